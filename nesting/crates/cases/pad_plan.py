"""Plan of pads: how large the pads of each side of a case are, before they are moved aside for lumber.

Two strips carry the frames on each edge and blocks at the ends of slats on their faces. Where the rule wants foam that
is loaded as it likes, strips are cut to one block a frame, and blocks are no larger than the load asks for, down to
what does not buckle.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

from nesting.base.measure import INCH

_STEP: Final = INCH // 8


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


def strips(reach: int, depths: Sequence[int], area: int, least: int, *, cut: bool) -> Strips:
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
    """
    deep = sum(depths)
    wide = min(_up(max(least, ceil(area / (2 * deep)))), reach // 2)
    runs = tuple(depths)
    if cut and 2 * wide * deep > area:
        share = area / (2 * wide * deep)
        runs = tuple(min(depth, _up(max(least, ceil(depth * share)))) for depth in depths)
    return Strips(wide, runs)


def block(broad: int, area: int, least: int, *, cut: bool) -> tuple[int, int]:
    """Plan one block on a slat: its extent along it and across it.

    Parameters
    ----------
    broad : int
        Breadth of the slat.
    area : int
        Bearing area that is wanted of it.
    cut : bool
        Whether it may be narrower than the slat.
    """
    wide = _up(max(least, ceil(area / broad)))
    tall = max(broad, least)
    if cut and wide * broad > area:
        tall = max(least, min(tall, _up(ceil(area / wide))))
    return wide, tall


def _up(value: int) -> int:
    """Round up to the next 1/8 in."""
    return -(-value // _STEP) * _STEP
