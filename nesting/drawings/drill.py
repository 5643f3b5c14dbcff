"""The drill map: the outside of a crate's back at scale, with every mounting screw measured from two edges."""

from collections.abc import Sequence
from typing import Literal

from nesting.base.measure import UnitSystem, format_length
from nesting.crates.model import Box, Crate, Drill, Placed
from nesting.drawings.scene import (
    BLACK,
    BOLD,
    FAINT,
    HIDDEN,
    PLAIN,
    POINT,
    THIN,
    WHITE,
    Bounds,
    Circle,
    Item,
    Line,
    Scene,
    Text,
    rectangle,
)
from nesting.drawings.sheet import fitting_scale
from nesting.drawings.typeface import ASCENT, text_width

_LEFT = 46.0
"""Room for the figures at the left, in points."""
_ROW = 8.4
_MOST_ROWS = 4
_SIZE = 6.8
_SQUARE = 3.6
"""Half the side of the square round a screw of the buyer's half, in points."""
_OUTSIDE = frozenset({"back", "batten", "seam batten", "slat"})
_BEHIND = frozenset({"cleat", "french cleat", "bearing pad"})


def half_held(crate: Crate, point: Drill) -> Literal["", "hanging", "piece"]:
    """Return which half of a French cleat a screw holds; empty where it goes into another part.

    Both halves come from one blank and bear its name, so the height decides: a screw stands where one half alone lies.
    """
    for placed in crate.placed:
        box = placed.box
        if placed.half and placed.part == point.into and box.y < point.y < box.y + box.dy:
            return placed.half
    return ""


def _mirrored(box: Box, width: int) -> tuple[int, int, int, int]:
    """Return a box as seen from behind: x from the back's left, y, extents."""
    return width - box.x - box.dx, box.y, box.dx, box.dy


def drill_scene(crate: Crate, room_width: float, room_height: float, units: UnitSystem) -> Scene | None:
    """Draw the back of a crate from outside.

    Parameters
    ----------
    crate : Crate
        With its parts placed.
    room_width, room_height : float
        What the drawing may take on paper, in points.
    units : {"inch", "metric"}
        Of the figures.

    Returns
    -------
    Scene or None
        None where nothing is drilled. Parts on the outside are drawn in full, cleats and bearing pads behind it dashed.
        A screw that holds the half of a French cleat that stays with the buyer has a square round it.
    """
    if not crate.drill:
        return None
    width, height = crate.shell.width, crate.shell.height
    below = 24.0 + _ROW * _MOST_ROWS
    scale = fitting_scale(width, height, (room_width - _LEFT - 8) * POINT, (room_height - below - 8) * POINT)
    unit = POINT * scale
    along = sorted({d.x for d in crate.drill})
    rows = _rows(along, unit, units)
    left, low = _LEFT * unit, (24.0 + _ROW * (max(rows.values()) + 1)) * unit
    items: list[Item] = []
    for each in _back(crate.placed):
        mx, my, dx, dy = _mirrored(each.box, width)
        pen, fill = (HIDDEN, None) if each.role in _BEHIND else (PLAIN, WHITE)
        items.append(rectangle(left + mx, low + my, dx, dy, pen=pen, fill=fill, tip=each.part))
    items.append(rectangle(left, low, width, height, pen=BOLD, fill=None))
    taken: list[Bounds] = []
    within = Bounds(left, low, left + width, low + height)
    arm = 4.5 * unit
    for number, point in enumerate(crate.drill, start=1):
        x, y = left + float(point.x), low + float(point.y)
        items += [
            Line((x - arm, y), (x + arm, y), THIN),
            Line((x, y - arm), (x, y + arm), THIN),
            Circle((x, y), 2.0, THIN),
            Circle((x, y), 0.7, None, BLACK),
        ]
        if half_held(crate, point) == "hanging":
            side = _SQUARE * unit
            items.append(rectangle(x - side, y - side, 2 * side, 2 * side, pen=THIN, fill=None))
        taken.append(Bounds(x - arm, y - arm, x + arm, y + arm))
        items.extend(_number(str(number), x, y, unit, taken, within))
    items.extend(_scale_along(rows, left, low, unit, units))
    items.extend(_scale_up(sorted({d.y for d in crate.drill}), left, low, unit, units))
    extent = left + width + 8 * unit, low + height + 8 * unit
    return Scene(*extent, tuple(items), scale, f"{crate.crate}, back from outside")


def _back(placed: Sequence[Placed]) -> list[Placed]:
    """Return what is seen on the back or lies right behind it, in the order to draw it.

    Outside parts of the rear half come first, the outermost last of them; then cleats and pads.
    """
    deepest = max((each.box.z + each.box.dz for each in placed), default=0)
    found = [
        each
        for each in placed
        if each.role in _BEHIND or (each.role in _OUTSIDE and 2 * (each.box.z + each.box.dz) <= deepest)
    ]
    # Layers of one cleat or pad lie behind each other, and their dashes would run together: the one that lies on the
    # piece is drawn, which takes the screws.
    drawn = {(each.role in _BEHIND, each.box.x, each.box.y, each.box.dx, each.box.dy): each for each in found}
    # A batten covers the seam that it lies on; what is behind the back is drawn through everything.
    return sorted(drawn.values(), key=lambda each: (each.role in _BEHIND, -each.box.z))


def _number(text: str, x: float, y: float, unit: float, taken: list[Bounds], within: Bounds) -> list[Item]:
    """Write a screw's number beside it, where it hides nothing."""
    half, up = text_width(text, 7.0, bold=True) / 2 * unit, ASCENT * 7.0 * unit
    for dx, dy in ((1, 1), (-1, 1), (1, -1), (-1, -1), (0, 2.0), (0, -2.0), (2.2, 0), (-2.2, 0)):
        centre = (x + dx * (half + 4.5 * unit), y + dy * (up / 2 + 3.5 * unit))
        box = Bounds(centre[0] - half, centre[1] - up / 2, centre[0] + half, centre[1] + up / 2)
        if within.holds(box) and not any(box.meets(other, 0.4 * unit) for other in taken):
            taken.append(box)
            back = rectangle(
                box.left - unit, box.bottom - unit, box.width + 2 * unit, box.height + 2 * unit, pen=None, fill=WHITE
            )
            return [back, Text((centre[0], box.bottom), text, 7.0, "middle", bold=True)]
    return []


def _rows(values: Sequence[int], unit: float, units: UnitSystem) -> dict[int, int]:
    """Return in which row each figure below the drawing stands, so that none hides another; those without room lack."""
    ends = [float("-inf")] * _MOST_ROWS
    placed = {}
    for value in values:
        half = text_width(format_length(value, units), _SIZE) / 2 * unit
        row = next((i for i, end in enumerate(ends) if value - half > end + 2 * unit), None)
        if row is not None:
            ends[row] = value + half
            placed[value] = row
    return placed


def _scale_along(rows: dict[int, int], left: float, low: float, unit: float, units: UnitSystem) -> list[Item]:
    """Write distances from the left edge below the drawing."""
    items: list[Item] = []
    for value, row in rows.items():
        x, y = left + value, low - (11 + _ROW * row) * unit
        items.append(Line((x, low), (x, y + 6.2 * unit), FAINT))
        items.append(Text((x, y), format_length(value, units), _SIZE, "middle"))
    items.append(Text((left, 3 * unit), "from the left edge →", _SIZE, grey=0.3))
    return items


def _scale_up(values: Sequence[int], left: float, low: float, unit: float, units: UnitSystem) -> list[Item]:
    """Write distances from the bottom edge at the left of the drawing."""
    items: list[Item] = []
    free = float("-inf")
    for value in values:
        y = low + value
        text = format_length(value, units)
        at = y - ASCENT * _SIZE / 2 * unit
        if at < free:
            continue
        free = at + 8.4 * unit
        items.append(Line((left - 3 * unit, y), (left, y), FAINT))
        items.append(Text((left - 5 * unit, at), text, _SIZE, "end"))
    word = "from the bottom edge →"
    items.append(Text((6.5 * unit, low), word, _SIZE, turned=True, grey=0.3))
    return items
