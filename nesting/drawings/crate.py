"""The view of a crate taken apart, with a number and a leader for each part."""

from collections.abc import Container, Sequence
from dataclasses import dataclass
from math import ceil

from nesting.crates.model import Crate
from nesting.drawings.explode import contents, explode, things
from nesting.drawings.scene import BLACK, POINT, THIN, WHITE, Bounds, Circle, Item, Line, Pen, Scene, Text
from nesting.drawings.sheet import fitting_scale
from nesting.drawings.solid import Flat, View, visible_lines, visible_point
from nesting.drawings.typeface import ASCENT

_OUTLINE = Pen(0.6)
_LEADER = Pen(0.4, grey=0.35)
_BEHIND = Pen(0.4, grey=0.35, dashes=(2.0, 1.5))
"""Leader to a part that others hide."""
_SIZE = 8.0
_BALLOON = 7.0
_PITCH = 17.0
_LEAST_PITCH = 13.5
"""From number to number, in points: circles may touch, letters do not get smaller."""
_COLUMN = 19.0
"""From one column of numbers to the next, where there are more parts than one column holds, in points."""
_MARGIN = 34.0
"""Room at either side for numbers, in points."""


@dataclass(frozen=True, slots=True)
class CrateDrawing:
    """A crate's scene and what its numbers stand for, in order: names of parts, pieces or travel frames.

    ``behind`` says that others hide some part, to which a dashed line leads.
    """

    scene: Scene
    names: tuple[str, ...]
    behind: bool = False


def names_of(crate: Crate) -> tuple[str, ...]:
    """Return what is drawn of a crate, in the order of the numbers that stand for it."""
    return tuple(dict.fromkeys(each.part for each in things(crate)))


def crate_drawing(crate: Crate, room_width: float, room_height: float, view: View | None = None) -> CrateDrawing | None:
    """Draw a crate taken apart.

    Parameters
    ----------
    crate : Crate
        With its parts placed.
    room_width, room_height : float
        What the drawing may take on paper, in points.
    view : View, optional
        Where it is seen from.

    Returns
    -------
    CrateDrawing or None
        None where nothing is placed. Lengths across the line of sight are to the scene's scale.
    """
    view = view or View()
    placed = things(crate)
    if not placed:
        return None
    solids = explode(placed, contents(crate))
    corners = [view.flat(corner) for solid in solids for corner in solid.corners]
    left, right = min(p[0] for p in corners), max(p[0] for p in corners)
    low, high = min(p[1] for p in corners), max(p[1] for p in corners)
    names = names_of(crate)
    side = (len(names) + 1) // 2
    columns = ceil(side * _LEAST_PITCH / (room_height - 4))
    margin = _MARGIN + (columns - 1) * _COLUMN
    scale = fitting_scale(right - left, high - low, (room_width - 2 * margin) * POINT, (room_height - 12) * POINT)
    unit = POINT * scale
    rows = ceil(side / columns)
    pitch = max(_LEAST_PITCH, min(_PITCH, (room_height - 4) / rows))
    height = max(high - low + 12 * unit, (pitch * rows + 4) * unit)
    width = right - left + 2 * margin * unit
    up = (height - (high - low)) / 2 - low
    over = margin * unit - left

    def shifted(point: Flat) -> Flat:
        return point[0] + over, point[1] + up

    items: list[Item] = [
        Line(shifted(a), shifted(b), _OUTLINE) for _, a, b in visible_lines(solids, view, slack=0.05 * unit)
    ]
    anchors: dict[str, list[Flat]] = {name: [] for name in names}
    for index, each in enumerate(placed):
        point = visible_point(solids, index, view)
        if point is not None:
            anchors[each.part].append(shifted(point))
    behind = {each.part: solids[index] for index, each in reversed([*enumerate(placed)]) if not anchors[each.part]}
    for name, solid in behind.items():
        flats = [shifted(view.flat(corner)) for corner in solid.corners]
        anchors[name].append((sum(x for x, _ in flats) / len(flats), sum(y for _, y in flats) / len(flats)))
    items.extend(_balloons(names, anchors, behind, Bounds(0, 0, width, height), unit, pitch, columns))
    return CrateDrawing(Scene(width, height, tuple(items), scale, f"{crate.crate}, taken apart"), names, bool(behind))


# 7 arguments: what is numbered and what of it is hidden, where there is room, and how the numbers stand in it
def _balloons(
    names: Sequence[str],
    anchors: dict[str, list[Flat]],
    behind: Container[str],
    room: Bounds,
    unit: float,
    pitch: float,
    columns: int,
) -> list[Item]:
    """Set the numbers of the parts in columns on both sides of the drawing, a leader to each, dashed to hidden ones."""
    middle = room.width / 2
    radius = min(_BALLOON, pitch / 2)
    # Each name points at the copy nearest to a side; the outer half of the names on either side goes there.
    best = {name: max(points, key=lambda p: abs(p[0] - middle)) for name, points in anchors.items() if points}
    order = sorted(best, key=lambda name: best[name][0])
    half = (len(order) + 1) // 2
    leaders: list[Item] = []
    numbers: list[Item] = []
    for side, edge, inward in ((order[:half], 0.0, 1), (order[half:], room.width / unit, -1)):
        falling = sorted(side, key=lambda name: -best[name][1])
        for index in range(columns):
            column = falling[index::columns]
            x = edge + inward * (radius + 2 + index * _COLUMN)
            for name, y in zip(
                column, _apart([best[n][1] / unit for n in column], room.height / unit, pitch), strict=True
            ):
                point, centre = best[name], (x * unit, y * unit)
                hidden = name in behind
                leaders.append(
                    Line((centre[0] + inward * radius * unit, centre[1]), point, _BEHIND if hidden else _LEADER)
                )
                leaders.append(Circle(point, 1.1, _LEADER, WHITE) if hidden else Circle(point, 1.1, None, BLACK))
                numbers.append(Circle(centre, radius, THIN, WHITE))
                number = str(names.index(name) + 1)
                numbers.append(Text((centre[0], centre[1] - ASCENT * _SIZE / 2 * unit), number, _SIZE, "middle"))
    return [*leaders, *numbers]


def _apart(wanted: Sequence[float], height: float, pitch: float) -> list[float]:
    """Return heights near those wanted (which fall), one pitch apart at the least and inside the drawing."""
    top = height - _BALLOON - 1
    placed: list[float] = []
    for value in wanted:
        placed.append(min(value, top, (placed[-1] - pitch) if placed else top))
    # What fell out at the bottom pushes those above up again.
    floor = _BALLOON + 1
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = max(placed[index], floor)
        floor = placed[index] + pitch
    return placed
