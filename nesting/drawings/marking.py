"""Where the handling marks of a crate go: on which sides, how large, measured from the edges of each side.

Names and places follow ISO 780, from memory: upright arrows and fragile in the upper left corner of all four upright
sides, the arrows nearest to the corner; the centre of gravity on four sides, at its actual place; squares 100, 150 or
200 mm high, another size where a side is too small for that. Which size for which crate is common practice, no source.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from nesting.base.measure import INCH, MM
from nesting.crates.handling import FORKS, LIFT
from nesting.crates.model import Box, Crate

SideName = Literal["front", "left side", "back", "right side"]
SIDES: Final[tuple[SideName, ...]] = ("front", "left side", "back", "right side")
"""As one walks round a crate, to the left."""
SIZES: Final = (200 * MM, 150 * MM, 100 * MM)
LEAST: Final = 50 * MM
"""Smallest mark that is put on at all (common practice, no source)."""
GRAVITY: Final = "centre of gravity"
GROSS: Final = "gross weight"
"""No mark of the standard: letters and figures in a square of its own."""
_LARGE, _MIDDLING = 1000 * MM, 600 * MM
_EDGE = 40 * MM
"""From the edges of a side to the nearest mark."""
_GAP = 20 * MM
_BELOW = ("skid", "outrigger", "skid pad")


@dataclass(frozen=True, slots=True)
class Side:
    """One upright side of a crate's body, seen from outside.

    Attributes
    ----------
    name : str
        Which.
    width, height : int
        Of the body on that side.
    centre : tuple of int
        Centre of gravity: from its left edge, and up from its lower edge.
    """

    name: SideName
    width: int
    height: int
    centre: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark on one side.

    Attributes
    ----------
    name : str
        As a crate asks for it.
    side : str
        Where.
    x, y : int
        Its lower left corner, from the left and the lower edge of that side.
    size : int
        Of its square.
    """

    name: str
    side: SideName
    x: int
    y: int
    size: int

    @property
    def box(self) -> tuple[int, int, int, int]:
        """Left, bottom, right, top."""
        return self.x, self.y, self.x + self.size, self.y + self.size


def body_of(crate: Crate) -> Box:
    """Return where a crate's body is, without skids and handles, in the crate's coordinates."""
    boxes = [placed.box for placed in crate.placed if placed.role not in _BELOW]
    if crate.body is None or not boxes:
        return Box(0, 0, 0, crate.outside.width, crate.outside.height, crate.outside.depth)
    low = [min(getattr(box, axis) for box in boxes) for axis in "xyz"]
    high = [max(getattr(box, axis) + getattr(box, f"d{axis}") for box in boxes) for axis in "xyz"]
    return Box(low[0], low[1], low[2], high[0] - low[0], high[1] - low[1], high[2] - low[2])


def across(side: SideName, body: Box, box: Box) -> tuple[int, int]:
    """Return where a box begins and ends on a side, from that side's left edge, seen from outside."""
    if side == "front":
        return box.x - body.x, box.x + box.dx - body.x
    if side == "back":
        return body.x + body.dx - box.x - box.dx, body.x + body.dx - box.x
    if side == "left side":
        return box.z - body.z, box.z + box.dz - body.z
    return body.z + body.dz - box.z - box.dz, body.z + body.dz - box.z


def sides_of(crate: Crate) -> tuple[Side, ...]:
    """Return the four upright sides."""
    return _sides(crate, body_of(crate))


def _sides(crate: Crate, body: Box) -> tuple[Side, ...]:
    """Return the four upright sides of a body."""
    x, y, z = crate.centre
    point = Box(x, y, z, 1, 1, 1)
    wide: dict[SideName, int] = {"front": body.dx, "back": body.dx, "left side": body.dz, "right side": body.dz}
    return tuple(Side(name, wide[name], body.dy, (across(name, body, point)[0], y - body.y)) for name in SIDES)


def handle_side(body: Box, box: Box) -> SideName | None:
    """Return the side that a handle is on."""
    if box.z >= body.z + body.dz:
        return "front"
    if box.z + box.dz <= body.z:
        return "back"
    if box.x + box.dx <= body.x:
        return "left side"
    return "right side" if box.x >= body.x + body.dx else None


def marks_of(crate: Crate) -> tuple[Mark, ...]:
    """Return every mark of a crate where it goes; none for one that asks for none."""
    if not crate.marks:
        return ()
    body = body_of(crate)
    return tuple(mark for side in _sides(crate, body) for mark in _on(crate, body, side))


def _on(crate: Crate, body: Box, side: Side) -> Sequence[Mark]:
    """Return the marks of one side, in the largest size in which all of them find room; else as many as do."""
    least = min(body.dx, body.dy)
    wanted = SIZES[0] if least >= _LARGE else SIZES[1] if least >= _MIDDLING else SIZES[2]
    room = min(side.width, side.height)
    handles = _handles(crate, body, side)
    best: Sequence[Mark] = ()
    for size in (*SIZES, *range(SIZES[-1] - 10 * MM, LEAST - 1, -10 * MM)):
        if size > min(wanted, room):
            continue
        rest = _cornered(crate, side)
        fixed = list(_fixed(crate, body, side, size))
        if not all(_within(mark, side) for mark in fixed):
            continue
        made = [*fixed, *_from_corner(side, size, rest, [*(mark.box for mark in fixed), *handles])]
        if len(made) == len(fixed) + len(rest):
            return made
        best = max(best, made, key=len)
    return best


def _cornered(crate: Crate, side: Side) -> list[str]:
    """Return the marks that go from the upper left corner on; letters of the weight stand on the two broad sides."""
    rest = [mark for mark in dict.fromkeys(crate.marks) if mark not in (GRAVITY, FORKS, LIFT)]
    return rest + ([GROSS] if side.name in ("front", "back") else [])


def _from_corner(
    side: Side, size: int, rest: Sequence[str], taken: Sequence[tuple[int, int, int, int]]
) -> Iterator[Mark]:
    """Yield marks from the upper left corner on, where nothing else stands."""
    cells = iter(_cells(side, size))
    for name in rest:
        for x, y in cells:
            if not any(_meet((x, y, x + size, y + size), other) for other in taken):
                yield Mark(name, side.name, x, y, size)
                break


def _cells(side: Side, size: int) -> list[tuple[int, int]]:
    """Return where squares may stand, row by row from the upper left corner."""
    edge = min(_EDGE, max(0, (side.width - size) // 2))
    top = min(_EDGE, max(0, (side.height - size) // 2))
    columns = max(1, (side.width - 2 * edge + _GAP) // (size + _GAP))
    rows = max(1, (side.height - 2 * top + _GAP) // (size + _GAP))
    return [
        (edge + column * (size + _GAP), side.height - top - size - row * (size + _GAP))
        for row in range(rows)
        for column in range(columns)
    ]


def _within(mark: Mark, side: Side) -> bool:
    left, low, right, top = mark.box
    return left >= 0 and low >= 0 and right <= side.width and top <= side.height


def _meet(one: tuple[int, int, int, int], other: tuple[int, int, int, int]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _handles(crate: Crate, body: Box, side: Side) -> list[tuple[int, int, int, int]]:
    """Return the rooms of the handles on a side."""
    found = []
    for fitting in crate.gear:
        if fitting.role == "handle" and handle_side(body, fitting.box) == side.name:
            left, right = across(side.name, body, fitting.box)
            found.append((left, fitting.box.y - body.y, right, fitting.box.y + fitting.box.dy - body.y))
    return found


def _fixed(crate: Crate, body: Box, side: Side, size: int) -> Iterator[Mark]:
    """Yield the marks that stand where they say something of that place."""
    made: list[Mark] = []
    if GRAVITY in crate.marks:
        made += _gravity(side, size, _handles(crate, body, side))
    if FORKS in crate.marks:
        skids = [placed.box for placed in crate.placed if placed.role == "skid"]
        if all((box.dz > box.dx) == (side.name in ("front", "back")) for box in skids):
            spans = sorted(across(side.name, body, box) for box in skids)
            middle = (min(a for a, _ in spans) + max(b for _, b in spans)) // 2
            low = _EDGE // 2
            made.append(Mark(FORKS, side.name, middle - size // 2, low, size))
    if LIFT in crate.marks:
        for left, _, right, top in _handles(crate, body, side):
            at = max(0, min((left + right - size) // 2, side.width - size))
            made.append(Mark(LIFT, side.name, at, min(top + _GAP, side.height - size), size))
    for number, mark in enumerate(made):
        # The centre of gravity goes before what would cover it.
        if not any(_meet(mark.box, other.box) for other in made[:number]):
            yield mark


def _gravity(side: Side, size: int, handles: Sequence[tuple[int, int, int, int]]) -> list[Mark]:
    """Return the mark of the centre of gravity: at its place, or at its height beside a handle that covers the place.

    None where there is no room beside it either: at another height it would say what is not so.
    """
    x, y = side.centre
    spots = [x - size // 2]
    spots += [left - _GAP - size for left, *_ in handles] + [right + _GAP for _, _, right, _ in handles]
    for left in sorted(spots, key=lambda spot: abs(spot + size // 2 - x)):
        mark = Mark(GRAVITY, side.name, left, y - size // 2, size)
        # What stands over the edge at its very place goes in a smaller size.
        inside = left == spots[0] or _within(mark, side)
        if inside and not any(_meet(mark.box, handle) for handle in handles):
            return [mark]
    return []


def nearest(value: int) -> int:
    """Round to the next 1/4 in, as marks are stuck on."""
    return (value + INCH // 8) // (INCH // 4) * (INCH // 4)
