"""Plan of pads: how large the pads of each side of a case are, before they are moved aside for lumber.

Two strips carry the frames on each edge and blocks at the ends of slats on their faces. Where the rule wants foam that
is loaded as it likes, strips are cut to one block a frame, and blocks are no larger than the load asks for, down to
what does not buckle.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.base.own_length import OwnLength, grain_of, whole

_STEP: Final = OwnLength(INCH // 8, 5 * MM)


@dataclass(frozen=True, slots=True)
class Strips:
    """Pads of an edge: two of each frame.

    Attributes
    ----------
    wide : int
        Along the edge.
    runs : tuple of int
        Across each frame, in its middle; where all are as deep as their frames, each pair is one strip right through.
    """

    wide: int
    runs: tuple[int, ...]


# 6 arguments: what is borne and how, two of them by keyword
def strips(
    reach: int, depths: Sequence[int], area: int, least: int, *, cut: bool, sizes: UnitSystem = "inch"
) -> Strips:
    """Plan the pads of an edge.

    Parameters
    ----------
    reach : int
        Along the edge, of the shortest frame.
    depths : sequence of int
        Of the frames.
    area : int
        Bearing area that is wanted of all of them.
    least : int
        Least side of a pad.
    cut : bool
        Whether strips may be cut to blocks.
    sizes : {"inch", "metric"}
        By which sizes the shop goes.
    """
    deep = sum(depths)
    step = _STEP.of(sizes)
    wide = min(_up(max(least, ceil(area / (2 * deep))), step), whole(reach // 2, grain_of(sizes)))
    runs = tuple(depths)
    if cut and 2 * wide * deep > area:
        share = area / (2 * wide * deep)
        runs = tuple(min(depth, _up(max(least, ceil(depth * share)), step)) for depth in depths)
    return Strips(wide, runs)


@dataclass(frozen=True, slots=True)
class Blocks:
    """Pads of a face: one at either end of each slat that has any.

    Attributes
    ----------
    wide : tuple of int
        Along each slat.
    tall : tuple of int
        Across it; a pad taller than its slat bears on the slat only.
    bare : bool
        Whether only the outermost rows of slats have any.
    """

    wide: tuple[int, ...]
    tall: tuple[int, ...]
    bare: bool = False


def blocks(
    slats: Sequence[tuple[int, int, int]], area: int, least: int, *, cut: bool, sizes: UnitSystem = "inch"
) -> Blocks:
    """Plan the pads of a face.

    Parameters
    ----------
    slats : sequence of (int, int, int)
        Where each lies across its run, how broad it is, and how long.
    area : int
        Bearing area that is wanted of all of them.
    least : int
        Least side of a pad.
    cut : bool
        Whether pads may be narrower than their slats, and rows between the outermost go without.
    sizes : {"inch", "metric"}
        By which sizes the shop goes.
    """
    step, grain = _STEP.of(sizes), grain_of(sizes)
    rows = {at for at, _, _ in slats}
    outer = [slat for slat in slats if slat[0] in (min(rows), max(rows))]
    all_of_them = sum(2 * least * min(broad, least) for _, broad, _ in slats)
    bare = cut and len(outer) < len(slats) and all_of_them > area
    share = -(-area // (2 * len(outer if bare else slats)))
    wide, tall = [], []
    for _, broad, length in slats:
        run, across = _up(max(least, ceil(share / broad)), step), max(broad, least)
        if cut and run * broad > share:
            across = max(least, min(across, _up(ceil(share / run), step)))
        wide.append(min(run, whole(length // 2, grain)))
        tall.append(across)
    return Blocks(tuple(wide), tuple(tall), bare)


def area_of_strips(plan: Strips) -> int:
    """Return the bearing area of the pads of an edge."""
    return 2 * plan.wide * sum(plan.runs)


def area_of_blocks(plan: Blocks, slats: Sequence[tuple[int, int, int]]) -> int:
    """Return the bearing area of the pads of a face."""
    rows = {at for at, _, _ in slats}
    return sum(
        2 * wide * min(tall, broad)
        for wide, tall, (at, broad, _) in zip(plan.wide, plan.tall, slats, strict=True)
        if not plan.bare or at in (min(rows), max(rows))
    )


def _up(value: int, step: int) -> int:
    """Round up to the next step."""
    return -(-value // step) * step
