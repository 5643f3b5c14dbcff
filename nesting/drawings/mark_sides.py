"""The four sides of a crate with its handling marks on them, drawn to scale for whoever puts them on."""

from nesting.base.measure import UnitSystem, format_weight
from nesting.crates.model import Box, Crate
from nesting.drawings.marking import GROSS, Mark, Side, across, body_of, marks_of, sides_of
from nesting.drawings.marks import mark_scene
from nesting.drawings.scene import FAINT, PLAIN, POINT, THIN, WHITE, Inset, Item, Line, Scene, Text, rectangle
from nesting.drawings.typeface import LEAST

_GAP = 14.0
_NAME = 11.0
_SLOT = 42.0
"""Least room of a side, for its name, in points."""
_FEET = ("skid", "outrigger")


def sides_scene(crate: Crate, width: float, height: float, shop: UnitSystem = "inch") -> Scene | None:
    """Draw the four sides in a row, each seen from outside; None for a crate without marks.

    Parameters
    ----------
    width, height : float
        Room on paper, in points.
    """
    marks = marks_of(crate)
    if not marks:
        return None
    sides, body = sides_of(crate), body_of(crate)
    feet = [placed.box for placed in crate.placed if placed.role in _FEET]
    below = body.y - min((box.y for box in feet), default=body.y)
    out = max(
        [0] + [end for side in sides for box in feet for end in _beyond(side, body, box)],
    )
    tall = sides[0].height + below
    scale = max(_scale([side.width + 2 * out for side in sides], width - 3 * _GAP), tall / (height - _NAME))
    items: list[Item] = []
    insets: list[Inset] = []
    x, y = 0.0, _NAME
    for side in sides:
        slot = max(_SLOT, (side.width + 2 * out) / scale)
        left, low = x + (slot - side.width / scale) / 2, y + below / scale
        for box in feet:
            a, b = across(side.name, body, box)
            items.append(_flat(left + a / scale, low + (box.y - body.y) / scale, (b - a) / scale, box.dy / scale))
        items.append(
            rectangle(left * POINT, low * POINT, side.width / scale * POINT, side.height / scale * POINT, pen=PLAIN)
        )
        for fitting in crate.gear:
            if fitting.role == "handle" and _shows(side, body, fitting.box):
                a, b = across(side.name, body, fitting.box)
                up = low + (fitting.box.y - body.y) / scale
                items.append(_flat(left + a / scale, up, (b - a) / scale, fitting.box.dy / scale))
        for mark in marks:
            if mark.side == side.name:
                at = ((left + mark.x / scale) * POINT, (low + mark.y / scale) * POINT)
                insets.append(Inset(_drawn(crate, mark, mark.size / scale, shop), at))
        middle = left + side.width / scale / 2
        items.append(Text((middle * POINT, 1.5 * POINT), side.name, LEAST, "middle", bold=True))
        x += slot + _GAP
    items.append(Line((0.0, y * POINT), ((x - _GAP) * POINT, y * POINT), FAINT))
    size = ((x - _GAP) * POINT, (y + tall / scale) * POINT)
    return Scene(*size, tuple(items), title=f"Marks on the sides of {crate.crate}", insets=tuple(insets))


def _scale(widths: list[int], room: float) -> float:
    """Return the scale at which sides stand in a row, narrow ones in slots wide enough for their names."""
    wide = sorted(widths, reverse=True)
    narrow = 0
    while True:
        rest = wide[: len(wide) - narrow]
        scale = sum(rest) / (room - narrow * _SLOT)
        if narrow == len(wide) - 1 or rest[-1] / scale >= _SLOT:
            return scale
        narrow += 1


def _beyond(side: Side, body: Box, box: Box) -> tuple[int, int]:
    """Return how far a foot reaches beyond a side, to the left and to the right."""
    low, high = across(side.name, body, box)
    return -low, high - side.width


def _shows(side: Side, body: Box, box: Box) -> bool:
    """Whether a handle is on a side."""
    if side.name in ("front", "back"):
        return box.z >= body.z + body.dz if side.name == "front" else box.z + box.dz <= body.z
    return box.x >= body.x + body.dx if side.name == "right side" else box.x + box.dx <= body.x


def _flat(x: float, y: float, dx: float, dy: float) -> Item:
    return rectangle(x * POINT, y * POINT, dx * POINT, dy * POINT, pen=THIN, fill=0.85)


def _drawn(crate: Crate, mark: Mark, side: float, shop: UnitSystem) -> Scene:
    """Draw one mark; the weight as figures, in both units unless the shop has one."""
    if mark.name != GROSS:
        scene = mark_scene(mark.name, side)
        if scene is not None:
            return scene
    unit = side * POINT
    told: tuple[UnitSystem, ...] = ("metric",) if shop == "metric" else ("inch", "metric")
    lines = ("GROSS", *(format_weight(crate.gross_kg, units, mark=True) for units in told))
    size = side / 4.6 * 6 / max(6, *map(len, lines))
    texts = [
        Text((unit / 2, unit * (0.68 - 0.27 * n)), line, size, "middle", bold=True) for n, line in enumerate(lines)
    ]
    if size < LEAST:  # the table of marks gives the figures
        texts = [Text((unit / 2, unit / 2 - 0.38 * LEAST * POINT), "G", LEAST, "middle", bold=True)]
    return Scene(unit, unit, (rectangle(0, 0, unit, unit, pen=THIN, fill=WHITE), *texts), title="Gross weight")
