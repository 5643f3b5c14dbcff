"""The liner: rigid foam strips inside the frame, cut to fit between corner blocks, round gussets and gear's blocks."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from nesting.base.measure import INCH, MM
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.model import Box
from nesting.crates.shells.frame import Frame
from nesting.crates.shells.seams import Interval
from nesting.crates.splices import splice
from nesting.shop.shop import Shop

_SHORTEST: Final = OwnLength(INCH, 25 * MM)
"""Shortest strip of liner that anybody cuts."""


def line(bench: Bench, frame: Frame, z: int, *, behind: int) -> int:
    """Put the liner on the bench and return its length in all, exact grid.

    Parameters
    ----------
    frame : Frame
        Already placed with the back edge of its strips at ``z``.
    behind : int
        Room that the lower strip leaves at the back for the setting blocks.
    """
    shop = bench.shop
    good = shop.good(shop.frame.liner_good)
    t, foam = frame.thickness, good.thickness
    longest = max(size.length for size in good.sizes) - shop.saw.trim_left - shop.saw.trim_right
    w, h = frame.width, frame.height
    blocks = [m.box for m in frame.of("corner block")]
    gussets = [m.box for m in frame.of("gusset")]
    backing = [p.box for p in bench.placed if p.role == "backing block"]
    under = [p.box for p in bench.placed if p.role == "skid block"]
    block, leg = blocks[0].dx, blocks[0].dy
    total = 0
    for name, y, back in (("liner-bottom", t, behind), ("liner-top", h - t - foam, 0)):
        taken = [(g.x, g.x + g.dx) for g in gussets if g.dx > g.dy and (g.y < h // 2) == (y < h // 2)]
        taken += [(b.x, b.x + b.dx) for b in under if y == t]
        for a, z_ in _runs(t + block, w - t - block, taken, longest, shop):
            box = Box(a, y, z + back, z_ - a, foam, frame.lined - back)
            bench.panel(name, good.good, box, "liner", flat="y", along="x")
            total += z_ - a
    end = t + max(leg, foam)
    for x in (t, w - t - foam):
        taken = [(g.y, g.y + g.dy) for g in gussets if g.dy > g.dx and (g.x < w // 2) == (x < w // 2)]
        taken += [(b.y, b.y + b.dy) for b in backing if (b.x < w // 2) == (x < w // 2)]
        for a, z_ in _runs(end, h - end, taken, longest, shop):
            bench.panel("liner-side", good.good, Box(x, a, z, foam, z_ - a, frame.lined), "liner", flat="x", along="y")
            total += z_ - a
    return total


def _runs(start: int, end: int, taken: Sequence[Interval], longest: int, shop: Shop) -> list[Interval]:
    """Return the stretches between obstacles, each cut to the stock length; what is too short to cut is left open."""
    runs: list[Interval] = []
    at = start
    for low, high in [*sorted(taken), (end, end)]:
        if low - at >= shop.own(_SHORTEST):
            ends = [0, *splice(low - at, longest, shop.joinery.snap), low - at]
            runs += [(at + a, at + z) for a, z in pairwise(ends)]
        at = max(at, high)
    return runs
