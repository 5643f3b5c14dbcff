"""Skids: two runners across the short side of a heavy case, and outriggers where its base is narrow for its height."""

from dataclasses import dataclass
from math import ceil

from nesting.advice.forks import needs_outriggers
from nesting.base.measure import INCH, MM
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.gear.members import Lumber, Section, section_of
from nesting.crates.model import Box
from nesting.shop.shop import Shop

_STEP = OwnLength(INCH // 8, 5 * MM)


@dataclass(frozen=True, slots=True)
class Skids:
    """Where the skids of a case or a crate go.

    Attributes
    ----------
    section : Section
        Of one piece of lumber, which stands on edge.
    height : int
        Room that they leave under the case.
    plies : int
        Pieces side by side in one skid.
    clear : int
        Between the two skids.
    starts : tuple of int
        Left edge of each, from the left side of the case.
    over : int
        How far outriggers, or longer skids, reach beyond the case, front and back; 0 where there are none.
    """

    section: Section
    height: int
    plies: int
    clear: int
    starts: tuple[int, int]
    over: int

    @property
    def wide(self) -> int:
        """Width of a skid."""
        return self.plies * self.section.thick


def plan_skids(width: int, height: int, depth: int, shop: Shop, *, laminated: bool) -> Skids:
    """Plan the skids of a case of that outside, not counting the skids.

    They run from front to back, at least the shop's clear width apart for a jack, and as far as the quarters of a long
    case. A case too short for that has them at its ends.
    """
    rules = shop.case
    section = section_of(rules.skid_good, shop, laminated=laminated)
    wide = rules.skid_plies * section.thick
    step = shop.own(_STEP)
    clear = max(rules.skid_clear, width // 2 // step * step)
    clear = min(clear, width - 2 * wide)
    left = shop.whole((width - clear) // 2) - wide
    total = height + section.breadth
    over = 0
    if needs_outriggers(depth, total, shop.forks):
        base = ceil(shop.forks.base_share * total)
        over = -(-(base - depth) // (2 * step)) * step
    return Skids(section, section.breadth, rules.skid_plies, clear, (left, left + wide + clear), over)


def lay_skids(bench: Bench, skids: Skids, x: int, z: int, width: int, depth: int) -> Lumber:
    """Put the skids and outriggers on the bench, their lower edges at height 0.

    Parameters
    ----------
    x, z, width, depth : int
        The case's outside, from its left and its back.
    """
    lumber = Lumber(bench, skids.section)
    thick, high = skids.section.thick, skids.section.breadth
    for number, start in enumerate(skids.starts):
        for ply in range(skids.plies):
            at = x + start + ply * thick
            lumber.put("skid", Box(at, 0, z, thick, high, depth), along="z", flat="x", role="skid")
        if skids.over:
            # On the outer side of the skid where the case reaches that far, else on the inner one.
            outer = x + start - thick if number == 0 else x + start + skids.wide
            inner = x + start + skids.wide if number == 0 else x + start - thick
            at = outer if x <= outer and outer + thick <= x + width else inner
            box = Box(at, 0, z - skids.over, thick, high, depth + 2 * skids.over)
            lumber.put("outrigger", box, along="z", flat="x", role="outrigger")
    return lumber
