"""How a frame's corner is screwed: the ends of rail and stile, seen onto their outsides.

Steps say which screws and how many; here stands where. The outer ones at a corner are an inch from the strip's edges,
as the steps have it, those between them evenly; screws of a corner block keep clear of them. Places are our own
practice, no source: far enough from every edge for a pilot hole (half an inch is 2.6 diameters of a No. 10 screw).
"""

from dataclasses import dataclass
from typing import Final

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.base.own_length import OwnLength, grain_of, near, whole
from nesting.crates.model import Box, Crate
from nesting.drawings.faces import Face, Shown, Spot

SCALE: Final = 4
"""How many times larger a corner is than its drawing."""
_FROM_EDGE: Final = OwnLength(INCH, 25 * MM)
_BLOCK_EDGE: Final = OwnLength(INCH // 2, 12 * MM)
_CLEAR: Final = OwnLength(3 * INCH // 8, 10 * MM)
"""How near two screws that cross come to each other at the least, from middle to middle."""
_ASIDE: Final = OwnLength(INCH // 8, 3 * MM)
"""By how much one of a block is moved aside at a time."""
_BEYOND: Final = INCH // 2
"""How much of a strip is drawn beyond the block."""


@dataclass(frozen=True, slots=True)
class _Corner:
    """The lower left corner of a frame, its screws counted."""

    rail: Box
    stile: Box
    block: Box | None
    at_corner: int
    through_rail: int
    through_stile: int


def corner_faces(crate: Crate, sizes: UnitSystem = "inch") -> tuple[Face, ...]:
    """Return the ends of a frame's rail and stile with their screws; nothing where there is no frame.

    Left is the back, the lower edge is the corner; ``sizes`` are those that the shop goes by.
    """
    corner = _corner(crate)
    if corner is None:
        return ()
    rail, stile = corner.rail, corner.stile
    through = rail.x < stile.x + stile.dx  # the rail lies over the stile's end
    upper, under = ("rail", "stile") if through else ("stile", "rail")
    over = stile.dx if through else rail.dy
    of_corner = _spread(rail.dz, corner.at_corner, sizes)
    block = corner.block
    of_block = _beside(block.z - rail.z, block.dz, of_corner, sizes) if block is not None else ()
    into_upper = corner.through_rail if through else corner.through_stile
    into_under = corner.through_stile if through else corner.through_rail
    along_upper, along_under = _reach(corner.block, through=through)
    grain = grain_of(sizes)
    spots = [Spot(z, near(over // 2, grain), "", "screw") for z in of_corner]
    shown = [Shown((under,), under, (0, 0, rail.dz, over), "hidden")]
    high = over + along_upper
    if corner.block is not None:
        shown.append(
            Shown(("block",), "corner block", (corner.block.z - rail.z, over, corner.block.dz, along_upper), "hidden")
        )
        spots += [Spot(z, over + whole(along_upper // 2, grain), "", "screw") for z in of_block if into_upper]
    made = [_face(upper, rail.dz, high, shown, spots)]
    if corner.block is not None and into_under:
        thick = rail.dy if through else stile.dx
        shown = [
            Shown((upper,), upper, (0, 0, rail.dz, thick)),
            Shown(("block",), "corner block", (corner.block.z - rail.z, thick, corner.block.dz, along_under), "hidden"),
        ]
        spots = [Spot(z, thick + whole(along_under // 2, grain), "", "screw") for z in of_block]
        made.append(_face(under, rail.dz, thick + along_under, shown, spots))
    return tuple(made)


# 5 arguments: the strip, its extent, and what is drawn on it
def _face(strip: str, wide: int, high: int, shown: list[Shown], spots: list[Spot]) -> Face:
    title = f"{strip.capitalize()}'s end, from outside, 1:{SCALE}"
    return Face(f"corner {strip}", title, wide, high + _BEYOND, tuple(shown), tuple(spots), broken=True)


def _reach(block: Box | None, *, through: bool) -> tuple[int, int]:
    """Return how far the block reaches along the strip that lies over the other's end, and along that other one."""
    if block is None:
        return 0, 0
    return (block.dx, block.dy) if through else (block.dy, block.dx)


def _corner(crate: Crate) -> _Corner | None:
    """Return the corner at the lower left, None where no frame has one that is screwed."""
    found: dict[str, Box] = {}
    for role in ("rail", "stile", "corner block"):
        boxes = [each.box for each in crate.placed if each.role == role]
        if boxes:
            found[role] = min(boxes, key=lambda box: (box.y, box.x))
    count = _screws(crate, "rails to stiles") // 4
    if not {"rail", "stile"} <= found.keys() or not count:
        return None
    blocks = max(1, sum(each.role == "corner block" for each in crate.placed))
    both = _screws(crate, "strips to corner blocks") // blocks
    one = _screws(crate, "stiles to corner blocks") // blocks
    stiles = [each.box for each in crate.placed if each.role == "stile"]
    stile = min(stiles, key=lambda box: (box.x, box.y))
    return _Corner(found["rail"], stile, found.get("corner block"), count, both // 2, one or both // 2)


def _screws(crate: Crate, purpose: str) -> int:
    return sum(each.count for each in crate.fixings if each.purpose.startswith(purpose))


def _spread(wide: int, count: int, sizes: UnitSystem) -> tuple[int, ...]:
    """Return where screws stand across a strip: an inch from its edges, the others evenly between."""
    grain = grain_of(sizes)
    if count == 1:
        return (whole(wide // 2, grain),)
    edge = min(_FROM_EDGE.of(sizes), whole(wide // 3, grain))
    return tuple(edge + whole((wide - 2 * edge) * index // (count - 1), grain) for index in range(count))


def _beside(start: int, deep: int, others: tuple[int, ...], sizes: UnitSystem) -> tuple[int, ...]:
    """Return where the two screws into a block stand across the strip, clear of those of the corner."""
    edge, clear = min(_BLOCK_EDGE.of(sizes), whole(deep // 4, grain_of(sizes))), _CLEAR.of(sizes)
    low, high = start + edge, start + deep - edge
    while any(abs(high - other) < clear for other in others) and high - clear > low:
        high -= _ASIDE.of(sizes)
    return low, high
