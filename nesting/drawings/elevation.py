"""Elevations: a face of a crate drawn flat to scale, everything on it measured from its left and its lower edge.

What lies on the face is told at the left and below, holes at the right and above; numbers are those of the list of
parts. Where holes stand too unevenly for that they are numbered instead, and a table has their places.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from nesting.base.measure import UnitSystem
from nesting.drawings.blocks import blocks
from nesting.drawings.dimensions import SIZE, Series, lanes, merged, span
from nesting.drawings.faces import Face, Shown, Spot
from nesting.drawings.scene import (
    BOLD,
    FAINT,
    HIDDEN,
    PLAIN,
    POINT,
    THIN,
    WHITE,
    Arrow,
    Bounds,
    Circle,
    Item,
    Line,
    Pen,
    Point,
    Polygon,
    Scene,
    Text,
    rectangle,
)  # fmt: skip
from nesting.drawings.typeface import ASCENT, text_width, wrapped

_PENS: dict[str, tuple[Pen, float | None]] = {"solid": (PLAIN, WHITE), "hidden": (HIDDEN, None), "faint": (FAINT, None)}
_NARROW = 100.0
"""A face narrower than this on paper, in points, has everything told at the left and below."""
_MOST_LANES = 5
_MARGIN = 3.0
_HEAD = 10.0
"""A line of the title, in points."""
_LEAST_HEAD = 120.0
Told = tuple[list[Series], list[Series]]
"""Places across and upward."""

_WORDS = {"hole": "holes", "buyer's": "squares", "bolt": "bolts", "screw": "screws"}


@dataclass(frozen=True, slots=True)
class Elevation:
    """A face's scene.

    Attributes
    ----------
    scene : Scene
        With the face's title.
    listed : bool
        Whether its holes are numbered and must stand in a table, since they are too uneven to be told in lanes.
    """

    scene: Scene
    listed: bool = False


def label(parts: Sequence[str], numbers: Mapping[str, int]) -> str:
    """Return the numbers of parts; their names without the crate's where they have none."""
    known = [numbers[part] for part in parts if part in numbers]
    return span(known) if known else ", ".join(part.partition(".")[2] or part for part in parts)


def elevation(face: Face, numbers: Mapping[str, int], scale: float, units: UnitSystem) -> Elevation:
    """Draw a face.

    Parameters
    ----------
    face : Face
        What is on it.
    numbers : mapping of str to int
        Of parts, as their list has them.
    scale : float
        How many times larger it is than its drawing on paper.
    units : {"inch", "metric"}
        Of the figures.
    """
    unit = POINT * scale
    near = _of_parts(face, numbers)
    far, listed = _of_spots(face, numbers)
    if min(face.width, face.height) / unit < _NARROW:
        near, far = (near[0] + far[0], near[1] + far[1]), ([], [])
    drawn = _extent(face)
    across, upward = (0.0, face.width), (0.0, face.height)
    whole = Series((face.width,), whole=True)
    high = [] if face.broken else [Series((face.height,), whole=True)]
    bottom = lanes([*merged(near[0]), whole], "bottom", across, (drawn.bottom, 0), unit, units)
    left = lanes([*merged(near[1]), *high], "left", upward, (drawn.left, 0), unit, units)
    top = lanes(merged(far[0]), "top", across, (drawn.top, face.height), unit, units)
    right = lanes(merged(far[1]), "right", upward, (drawn.right, face.width), unit, units)
    if right.high * unit > drawn.top and top.high * unit > drawn.right:
        right = lanes(merged(far[1]), "right", upward, (top.high * unit, face.width), unit, units)
    edge = max(drawn.right, top.high * unit) if far[1] else drawn.right
    items = [
        *bottom.items,
        *left.items,
        *top.items,
        *right.items,
        *_things(face, numbers, unit, counted=listed or face.numbered),
    ]
    low = Bounds(
        min(drawn.left / unit - left.depth, bottom.low, top.low) - _MARGIN,
        min(drawn.bottom / unit - bottom.depth, left.low, right.low) - _MARGIN,
        max(edge / unit + right.depth, bottom.high, top.high) + _MARGIN,
        max(drawn.top / unit + top.depth, left.high, right.high) + _MARGIN,
    )
    heads = wrapped(face.title, SIZE, max(low.width, _LEAST_HEAD), bold=True)
    wide = max(low.width, *(text_width(line, SIZE, bold=True) + 2 for line in heads))
    moved = [_moved(item, -low.left * unit, -low.bottom * unit) for item in items]
    for index, line in enumerate(reversed(heads)):
        moved.append(Text((0, (low.height + 3 + _HEAD * index) * unit), line, SIZE, bold=True))
    tall = low.height + 3 + _HEAD * len(heads)
    return Elevation(Scene(wide * unit, tall * unit, tuple(moved), scale, face.title), listed)


def stacked(drawn: Sequence[Elevation], gap: float) -> Elevation:
    """Return drawings of one scale as one, each below the one before it, so many points apart."""
    scale = drawn[0].scene.scale
    wide = max(each.scene.width for each in drawn)
    high = sum(each.scene.height for each in drawn) + gap * POINT * scale * (len(drawn) - 1)
    items: list[Item] = []
    low = high
    for each in drawn:
        low -= each.scene.height
        items += [_moved(item, 0.0, low) for item in each.scene.items]
        low -= gap * POINT * scale
    return Elevation(Scene(wide, high, tuple(items), scale, drawn[0].scene.title))


def _moved(item: Item, dx: float, dy: float) -> Item:
    """Return an item elsewhere."""

    def to(point: Point) -> Point:
        return point[0] + dx, point[1] + dy

    if isinstance(item, Line | Arrow):
        return replace(item, start=to(item.start), end=to(item.end))
    if isinstance(item, Polygon):
        return replace(item, points=tuple(map(to, item.points)))
    if isinstance(item, Circle):
        return replace(item, centre=to(item.centre))
    return replace(item, at=to(item.at))


def _extent(face: Face) -> Bounds:
    """Return how far everything drawn reaches, from the face's lower left corner."""
    boxes = [each.at for each in face.shown]
    return Bounds(
        min(0, *(at[0] for at in boxes), *(spot.x for spot in face.spots)),
        min(0, *(at[1] for at in boxes), *(spot.y for spot in face.spots)),
        max(face.width, *(at[0] + at[2] for at in boxes), *(spot.x for spot in face.spots)),
        max(face.height, *(at[1] + at[3] for at in boxes), *(spot.y for spot in face.spots)),
    )


def _told(points: Mapping[tuple[int, int], set[str]], numbers: Mapping[str, int], word: str = "") -> Told:
    """Return the places of one kind of thing as series along both axes."""
    across, upward = [], []
    for xs, ys, _ in blocks((x, y, 0) for x, y in points):
        named = frozenset(numbers[part] for x in xs for y in ys for part in points[x, y] if part in numbers)
        if xs != (0,):
            across.append(Series(xs, word, named))
        if ys != (0,):
            upward.append(Series(ys, word, named))
    return across, upward


def _of_parts(face: Face, numbers: Mapping[str, int]) -> Told:
    """Return where the parts on a face lie: those of one kind and size together."""
    kinds: dict[tuple[str, int, int], dict[tuple[int, int], set[str]]] = {}
    for each in face.shown:
        if each.measured:
            x, y, dx, dy = each.at
            kinds.setdefault((each.role, dx, dy), {}).setdefault((x, y), set()).update(each.parts)
    across: list[Series] = []
    upward: list[Series] = []
    for points in kinds.values():
        more = _told(points, numbers)
        across += more[0]
        upward += more[1]
    return across, upward


def _of_spots(face: Face, numbers: Mapping[str, int]) -> tuple[Told, bool]:
    """Return where the holes are, and whether they are too uneven to be told in lanes."""
    kinds: dict[str, dict[tuple[int, int], set[str]]] = {}
    for spot in face.spots:
        kinds.setdefault(spot.kind, {}).setdefault((spot.x, spot.y), set()).add(spot.into)
    across: list[Series] = []
    upward: list[Series] = []
    for kind, points in kinds.items():
        more = _told(points, {}, _WORDS[kind])
        if len(more[0]) > 1 and any(part in numbers for into in points.values() for part in into):
            # Rows that differ are told by what they go into.
            more = _told(points, numbers, f"{_WORDS[kind]} in")
        across += more[0]
        upward += more[1]
    if max(len(merged(across)), len(merged(upward))) > _MOST_LANES:
        return ([], []), True
    return (across, upward), False


def _things(face: Face, numbers: Mapping[str, int], unit: float, *, counted: bool) -> Iterator[Item]:
    """Yield the face itself: what lies on it, its outline, holes, and numbers where they hide nothing."""
    for each in face.shown:
        pen, fill = _PENS[each.look]
        left, low, dx, dy = each.at
        yield rectangle(left, low, dx, dy, pen=pen, fill=fill, tip=", ".join(each.parts))
    if face.broken:
        yield from (
            Line(start, end, BOLD)
            for start, end in pairwise(((0, face.height), (0, 0), (face.width, 0), (face.width, face.height)))
        )
    else:
        yield rectangle(0, 0, face.width, face.height, pen=BOLD, fill=None)
    taken: list[Bounds] = []
    arm = 4.0 * unit
    for spot in face.spots:
        x, y = float(spot.x), float(spot.y)
        yield Line((x - arm, y), (x + arm, y), THIN)
        yield Line((x, y - arm), (x, y + arm), THIN)
        yield Circle((x, y), 2.0, THIN)
        if spot.kind == "buyer's":
            yield rectangle(x - 0.9 * arm, y - 0.9 * arm, 1.8 * arm, 1.8 * arm, pen=THIN)
        taken.append(Bounds(x - arm, y - arm, x + arm, y + arm))
    if counted:
        for number, spot in enumerate(face.spots, start=1):
            yield from _number(str(number), _around(spot, unit), unit, taken, face)
    named: set[str] = set()
    for each in reversed(face.shown):
        text = label(each.parts, numbers)
        if each.look != "hidden" and text not in named and (each.measured or each.look == "solid"):
            found = list(_number(text, _within(each, text, unit), unit, taken, face, bold=True))
            named.update([text] if found else [])
            yield from found


def _around(spot: Spot, unit: float) -> Iterator[tuple[float, float]]:
    """Yield where the number of a hole may stand: its middle."""
    for dx, dy in ((1, 1), (-1, 1), (1, -1), (-1, -1), (0, 1.6), (0, -1.6), (1.8, 0), (-1.8, 0)):
        yield spot.x + dx * 8.5 * unit, spot.y + dy * 8.0 * unit


def _within(each: Shown, text: str, unit: float) -> Iterator[tuple[float, float]]:
    """Yield where the number of a part may stand: in it, in its middle first, or right beside it if it is thin."""
    x, y, dx, dy = each.at
    half = (text_width(text, SIZE, bold=True) / 2 + 1.5) * unit
    # A thin part bears its number right on it; one that is small both ways would vanish under it.
    if (dx > 2 * half and dy > SIZE * unit) or max(dx, dy) > 4 * half:
        for along in (0.5, 0.25, 0.75, 0.12, 0.88):
            yield (x + dx * along, y + dy / 2) if dx > dy else (x + dx / 2, y + dy * along)
    for along in (0.5, 0.3, 0.7):
        if dx > dy:
            yield x + dx * along, y + dy + 5 * unit
            yield x + dx * along, y - 5 * unit
        else:
            yield x + dx + half, y + dy * along
            yield x - half, y + dy * along


def _number(
    text: str, spots: Iterable[tuple[float, float]], unit: float, taken: list[Bounds], face: Face, *, bold: bool = False
) -> Iterator[Item]:
    """Write a number at the first place where it lies over nothing."""
    half, up = text_width(text, SIZE, bold=bold) / 2 * unit, ASCENT * SIZE * unit
    room = Bounds(0, 0, face.width, face.height)
    for x, y in spots:
        box = Bounds(x - half, y - up / 2, x + half, y + up / 2)
        if room.holds(box) and not any(box.meets(other, 2.0 * unit) for other in taken):
            taken.append(box)
            yield rectangle(
                box.left - unit, box.bottom - unit, box.width + 2 * unit, up + 2 * unit, pen=None, fill=WHITE
            )
            yield Text((x, box.bottom), text, SIZE, "middle", bold)
            return
