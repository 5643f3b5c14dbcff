"""A lid that is opened again: bolts into T-nuts in a ledge inside the frame, a gasket inside the line of bolts.

The ledge is a ring of plywood that lies flat under the lid, glued into the frame. T-nuts go into it from behind, so
that a bolt draws them in; its tip stands out behind them, in the foam of the liner, and beside the opening that the
piece passes. Widths and distances without a source are common practice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from nesting.base.measure import INCH, MM, UnitSystem, format_length
from nesting.base.own_length import OwnLength
from nesting.crates.model import Box
from nesting.crates.traits import Packing
from nesting.shop.goods import Good
from nesting.shop.shop import Shop
from nesting.shop.stated import terms_of

LEDGE: Final = OwnLength(INCH, 25 * MM)
"""How far a ledge reaches into the opening: common practice, no source."""
LINE: Final = OwnLength(3 * INCH // 8, 10 * MM)
"""From the frame's inner face to the middle of a bolt; 1-1/2 D of a 1/4 in bolt, as NDS asks of an edge."""
GASKET: Final = OwnLength(INCH // 2, 12 * MM)
"""Width of the gasket, on the inner part of the ledge."""
CLEAR: Final = OwnLength(INCH // 8, 3 * MM)
"""What the piece keeps from a ledge as it passes, each side."""
HEAD: Final = OwnLength(INCH // 2, 13 * MM)
"""From the middle of a bolt to a batten beside it, so that a socket goes over its head: common practice, no source."""
FLANGE: Final = OwnLength(INCH // 2, 13 * MM)
"""From the middle of a bolt to a block or gusset behind it, clear of the T-nut's flange (3/4 in wide)."""
END: Final = OwnLength(INCH, 25 * MM)
"""From a bolt to the end of a strip of the ledge: 4 D of a 1/4 in bolt, as NDS asks of a loaded end."""
CORNER: Final = OwnLength(6 * INCH, 150 * MM)
"""How far from a corner the bolt near it may stand, where battens lie there."""
CLOSE: Final = OwnLength(2 * INCH, 50 * MM)
"""Least from bolt to bolt, so that T-nuts do not split the ledge between them: common practice, no source."""
HOLE: Final = OwnLength(9 * INCH // 32, 7 * MM)
"""Drill for a 1/4 in or M6 bolt, through lid and ledge."""
BARREL: Final = OwnLength(5 * INCH // 16, 8 * MM)
"""Drill for the barrel of its T-nut, in the ledge alone."""
PRESSED: Final = OwnLength(INCH // 16, 2 * MM)
"""What a gasket of 1/4 in or 6 mm foam is pressed to."""
TIP: Final = OwnLength(3 * INCH // 4, 20 * MM)
"""How far a bolt may stand out behind its T-nut."""
BORED: Final = OwnLength(7 * INCH // 8, 23 * MM)
"""How deep a gusset is bored behind a T-nut that stands over it, for tip and chips."""
_DIAMETER: Final = OwnLength(INCH // 4, 6 * MM)
"""Thickest bolt that a ledge has an edge for."""

Interval = tuple[int, int]
Point = tuple[int, int]


def reopened(packing: Packing) -> bool:
    """Whether the shop's rule wants bolts: always, never, or where a piece of the crate is consigned."""
    rule = packing.shop.gear.lid
    return rule == "bolts" or (rule == "auto" and comes_home(packing))


def comes_home(packing: Packing) -> bool:
    """Whether a piece of the crate is consigned, so that it may come back."""
    return any(terms_of(artwork, packing.shop.studio) == "consigned" for artwork in packing.pieces)


def unfit_bolt(lid: Good, clear: int, shop: Shop, units: UnitSystem) -> str:
    """Say why no bolt can hold this lid; empty where one can.

    Parameters
    ----------
    clear : int
        Between the piece and the frame, each side.
    """
    bolt, nut, ledge = shop.good(shop.gear.lid_bolt), shop.good(shop.gear.nut), shop.good(shop.joinery.block_good)

    def size(value: int) -> str:
        return format_length(value, units, 32, mark=True)

    reach, most = shop.own(LEDGE), shop.own(_DIAMETER)
    needed = reach + shop.own(CLEAR)
    if clear < needed:
        return f"the piece has {size(clear)} a side, and a ledge with room to pass it takes {size(needed)}"
    if round(bolt.diameter_in * INCH) > most:
        return f"{bolt.good} is thicker than {size(most)}: its nut has no edge on a ledge of {size(reach)}"
    thick = lid.greatest_thickness + shop.own(PRESSED) + ledge.greatest_thickness
    thread = bolt.breadth - (thick - nut.breadth)
    if thread < round(bolt.diameter_in * INCH):
        return f"{bolt.good} is too short for a lid of {lid.good} on {ledge.good}"
    if bolt.breadth - lid.least_thickness - ledge.least_thickness > shop.own(TIP):
        return f"{bolt.good} would stand out more than {size(shop.own(TIP))} behind its nut"
    return ""


@dataclass(frozen=True, slots=True)
class Rim:
    """The front edge of a frame, as bolts of a lid see it; boxes count by their outline from the front.

    Attributes
    ----------
    width, height, thickness : int
        Outside of the frame, and of its strips.
    ledge : tuple of Box
        Strips of the ledge.
    battens : tuple of Box
        On the lid: no bolt goes through them.
    gussets, blocks : tuple of Box
        Behind the ledge.
    sizes : {"inch", "metric"}
        By which sizes the shop goes.
    """

    width: int
    height: int
    thickness: int
    ledge: tuple[Box, ...]
    battens: tuple[Box, ...]
    gussets: tuple[Box, ...]
    blocks: tuple[Box, ...]
    sizes: UnitSystem = "inch"

    def own(self, length: OwnLength) -> int:
        """Return a length of the carpentry's own choosing."""
        return length.of(self.sizes)

    def zones(self, line: int, *, up: bool, bored: bool) -> list[Interval]:
        """Return where on a line round the opening no bolt may stand, level or up; over gussets only if ``bored``."""
        flange, end = self.own(FLANGE), self.own(END)
        found = [(self.battens, self.own(HEAD)), (self.blocks, flange), *(() if bored else ((self.gussets, flange),))]
        zones = [
            (low - off, high + off)
            for boxes, off in found
            for (low, high), (near, far) in (_seen(box, up=up) for box in boxes)
            if near - off < line < far + off
        ]
        for box in self.ledge:
            (low, high), (near, far) = _seen(box, up=up)
            if near < line < far:
                zones += [(low - end, low + end), (high - end, high + end)]
        return sorted(zones)

    def over_gusset(self, x: int, y: int) -> bool:
        """Whether a T-nut at a point lies over a gusset."""
        off = self.own(FLANGE)
        return any(g.x - off < x < g.x + g.dx + off and g.y - off < y < g.y + g.dy + off for g in self.gussets)


def _seen(box: Box, *, up: bool) -> tuple[Interval, Interval]:
    """Return a box along and across a line that runs up, or level."""
    level, upright = (box.x, box.x + box.dx), (box.y, box.y + box.dy)
    return (upright, level) if up else (level, upright)


def bolt_places(rim: Rim, apart: int, snap: int) -> tuple[Point, ...]:
    """Return where the bolts of a lid stand: one near each corner, on all sides no further apart than asked.

    Clear of gussets where that can be, else over them, where they are bored; none where battens leave no such places.
    """
    for bored in (False, True):
        placed = _round(rim, apart, snap, bored=bored)
        if placed is not None:
            return tuple(placed)
    return ()


def _round(rim: Rim, apart: int, snap: int, *, bored: bool) -> list[Point] | None:
    """Place the bolts below and above from corner to corner, then those at the sides between these."""
    t, placed, corners = rim.thickness, [], {}
    line_, end_, corner, close = (rim.own(each) for each in (LINE, END, CORNER, CLOSE))
    low, high = t + end_, rim.width - t - end_
    for y in (t + line_, rim.height - t - line_):
        zones = rim.zones(y, up=False, bored=bored)
        first = _onwards(low, min(high, t + corner), zones, snap)
        last = _onwards(-high, min(-low, corner + t - rim.width), [(-b, -a) for a, b in reversed(zones)], snap)
        if first is None or last is None:
            return None
        last = -last
        between = [] if last <= first else _between(first, last, (low, high), zones, (apart, snap, close))
        if between is None:
            return None
        row = sorted({first, *between, *((last,) if abs(last - first) >= close else ())})
        placed += [(x, y) for x in row]
        corners[y] = (row[0], row[-1])
    below, above = corners
    for x, side in ((t + line_, 0), (rim.width - t - line_, 1)):
        # Round the corner the way from bolt to bolt is longer than up the side.
        start, end = below - abs(corners[below][side] - x), above + abs(corners[above][side] - x)
        between = _between(
            start, end, (t + end_, rim.height - t - end_), rim.zones(x, up=True, bored=bored), (apart, snap, close)
        )
        if between is None:
            return None
        placed += [(x, y) for y in between]
    return placed


def _onwards(at: int, most: int, zones: Sequence[Interval], snap: int) -> int | None:
    """Return the first free place from a point on, set to the step; None beyond ``most``."""
    at = -(-at // snap) * snap
    for low, high in zones:
        if low < at < high:
            at = -(-high // snap) * snap
    return at if at <= most else None


def _between(
    start: int, end: int, span: Interval, zones: Sequence[Interval], steps: tuple[int, int, int]
) -> list[int] | None:
    """Place what stands between two points, evenly where free; ``steps`` are the widest gap, a step, the least gap."""
    apart, snap, close = steps
    low, high = span
    made: list[int] = []
    at = start
    while end - at > apart:
        even = at + (end - at) // -(-(end - at) // apart)
        lowest = max(low, at + close)
        down = _onwards(-min(even, high), -lowest, [(-b, -a) for a, b in reversed(zones)], snap)
        up = _onwards(max(even, lowest), min(high, at + apart, end - close), zones, snap)
        found = [place for place in (None if down is None else -down, up) if place is not None]
        if not found:
            return None
        at = min(found, key=lambda place: (abs(place - even), place))
        made.append(at)
    return made


def gasket_length(width: int, height: int, thickness: int, sizes: UnitSystem = "inch") -> int:
    """Return the length of a gasket on the inner part of the ledge of a frame, measured along its outside."""
    off = 2 * (thickness + LEDGE.of(sizes) - GASKET.of(sizes))
    return 2 * (width - off + height - off)


def tool_for(bolt: Good) -> str:
    """Name what turns the head of a bolt.

    It is 7/16 in across flats at 1/4 in (ASME B18.2.1), and 10 mm at M6 (ISO 4017, from memory).
    """
    diameter = round(bolt.diameter_in * INCH)
    socket = {_DIAMETER.inch: "a 7/16 in (11 mm) socket", _DIAMETER.metric: "a 10 mm socket"}.get(diameter, "")
    if not socket:
        return "a hand ratchet with the socket that fits their heads"
    return f"a hand ratchet with {socket}, or a spanner"
