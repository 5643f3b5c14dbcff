"""Climate: the air inside a crate, how much silica gel goes with it abroad, and where its bags lie behind a piece."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

from nesting.advice.climate import gel_kg
from nesting.base.measure import INCH, MM, UnitSystem
from nesting.base.own_length import OwnLength, grain_of, whole_up
from nesting.crates.model import Box
from nesting.crates.traits import Packing
from nesting.shop.goods import Good

BAG_G: Final = 10.0
"""What a bag weighs without its gel."""
_BAG: Final = (OwnLength(7 * INCH, 180 * MM), OwnLength(5 * INCH, 130 * MM), OwnLength(INCH // 2, 12 * MM))
"""A flat bag of 250 g: length, width, thickness; measured by nobody, so measure yours."""
_BAG_GEL_G: Final = 250.0
ROOM: Final = OwnLength(INCH // 8, 3 * MM)
"""What a bag keeps from the back of the piece."""
BESIDE: Final = OwnLength(INCH // 2, 12 * MM)
"""What it keeps from cleats, pads and other bags, and from the edges of the piece."""
BAND: Final = OwnLength(4 * INCH, 100 * MM)
"""How far a band of tape holds on beyond a bag, at each end."""


def air_inside(inside: Box, solids: Iterable[Box]) -> float:
    """Return the air in cubic metres that solids leave of a room; none of them meet."""
    room = inside.volume - sum(_shared(inside, box) for box in solids)
    return float(room) / (1000 * MM) ** 3


def _shared(one: Box, other: Box) -> int:
    """Return the volume that two boxes share."""
    sides = (
        min(one.x + one.dx, other.x + other.dx) - max(one.x, other.x),
        min(one.y + one.dy, other.y + other.dy) - max(one.y, other.y),
        min(one.z + one.dz, other.z + other.dz) - max(one.z, other.z),
    )
    return sides[0] * sides[1] * sides[2] if min(sides) > 0 else 0


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag of silica gel: what it holds, and how large it lies."""

    good: str
    gel_g: float
    length: int
    width: int
    thickness: int
    sizes: UnitSystem = "inch"

    @classmethod
    def of(cls, good: Good, sizes: UnitSystem = "inch") -> "Bag":
        """Return the bag of a good: as long for its gel as one of 250 g is."""
        gel = max(1.0, good.each_g - BAG_G)
        usual, wide, thick = (side.of(sizes) for side in _BAG)
        length = max(wide, whole_up(round(usual * gel / _BAG_GEL_G), grain_of(sizes)))
        return cls(good.good, gel, length, wide, thick, sizes)


def bags_wanted(air_m3: float, bag: Bag, packing: Packing) -> int:
    """Return how many whole bags the leakage of a journey asks for."""
    rules = packing.shop.gear
    kg = gel_kg(air_m3, rules.exchanges, rules.days, rules.humidity)
    return ceil(round(1000 * kg / bag.gel_g, 9))


def bag_places(bag: Bag, room: Sequence[Box], solids: Sequence[Box], count: int) -> list[Box]:
    """Lay so many bags flat behind pieces, clear of what lies there; fewer where there is no room for all.

    Parameters
    ----------
    room : sequence of Box
        Behind each piece, from the back to the piece.
    solids : sequence of Box
        All that the crate is made of.
    """
    placed: list[Box] = []
    for space in room:
        if space.dz < bag.thickness + ROOM.of(bag.sizes):
            continue
        taken = [box for box in solids if box.meets(space)]
        while len(placed) < count:
            found = _next(bag, space, taken)
            if found is None:
                break
            placed.append(found)
            taken.append(found)
    return placed


def _next(bag: Bag, space: Box, taken: Sequence[Box]) -> Box | None:
    """Return the lowest free place for one bag, lying or upright; beside what is taken, or at an edge of the piece."""
    off = BESIDE.of(bag.sizes)
    across = sorted({space.x + off, *(box.x + box.dx + off for box in taken)})
    up = sorted({space.y + off, *(box.y + box.dy + off for box in taken)})
    for y in up:
        for x in across:
            for dx, dy in ((bag.length, bag.width), (bag.width, bag.length)):
                inside = space.x < x and x + dx + off <= space.x + space.dx and space.y < y
                if not inside or y + dy + off > space.y + space.dy:
                    continue
                kept = Box(x - off + 1, y - off + 1, space.z, dx + 2 * off - 2, dy + 2 * off - 2, space.dz)
                if not any(box.meets(kept) for box in taken):
                    return Box(x, y, space.z, dx, dy, bag.thickness)
    return None
