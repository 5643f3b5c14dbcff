"""Handling marks as our own line drawings, by the meanings and names of ISO 780 (which marks mean what: from memory).

Each is drawn in a square. They are shop aids: paint or stick on marks of the size that the standard and the carrier ask
for. The mark of ISPM 15 is not among them: only an accredited maker may put it on.
"""

from dataclasses import replace
from itertools import pairwise
from math import cos, pi, sin

from nesting.drawings.scene import BLACK, BOLD, PLAIN, POINT, WHITE, Item, Line, Pen, Point, Polygon, Scene, rectangle

NAMES = {
    "fragile": "Fragile",
    "this way up": "This way up",
    "keep dry": "Keep away from rain",
    "keep away from rain": "Keep away from rain",
    "keep away from sunlight": "Keep away from sunlight",
    "centre of gravity": "Centre of gravity",
    "do not stack": "Do not stack",
    "do not roll": "Do not roll",
    "use no hooks": "Use no hooks",
    "forks here": "Forks here",
    "lift here": "Lift here",
    "sling here": "Sling here",
}
"""What a crate asks for, and the mark's name in ISO 780. "Forks here" and "Lift here" are the shop's own, no marks of
the standard: its "Sling here" is for chains, which no handle and no skid of ours is made for."""

_SIDE = 100.0
_MADE_FOR = 54.0
_HEAVY = Pen(2.2)


def mark_scene(name: str, side: float = 54.0) -> Scene | None:
    """Return a handling mark in a square of `side` points; None for one that is not drawn.

    Parameters
    ----------
    name : str
        A key of :data:`NAMES`.
    side : float
        Of the square on paper, in points.
    """
    made = _DRAWN.get(name)
    if made is None:
        return None
    unit = side / _SIDE * POINT
    frame = rectangle(2 * unit, 2 * unit, 96 * unit, 96 * unit, pen=PLAIN)
    return Scene(_SIDE * unit, _SIDE * unit, (frame, *(_scaled(item, unit) for item in made())), title=NAMES[name])


def _scaled(item: Line | Polygon, unit: float) -> Item:
    def at(point: Point) -> Point:
        return point[0] * unit, point[1] * unit

    if isinstance(item, Line):
        return Line(at(item.start), at(item.end), _thinned(item.pen, unit))
    pen = _thinned(item.pen, unit) if item.pen else None
    return Polygon(tuple(at(point) for point in item.points), pen, item.fill)


def _thinned(pen: Pen, unit: float) -> Pen:
    """Return a pen as thin as a small mark needs, so that it does not fill up; made for squares of 54 points."""
    return replace(pen, width=pen.width * min(1.0, unit * _SIDE / POINT / _MADE_FOR))


def _ring(x: float, y: float, radius: float, start: float = 0.0, end: float = 2 * pi, steps: int = 32) -> list[Point]:
    return [
        (x + radius * cos(start + (end - start) * i / steps), y + radius * sin(start + (end - start) * i / steps))
        for i in range(steps + 1)
    ]


def _path(points: list[Point], pen: Pen = _HEAVY) -> list[Line | Polygon]:
    return [Line(a, b, pen) for a, b in pairwise(points)]


def _fragile() -> list[Line | Polygon]:
    """Draw a stemmed glass with a crack."""
    bowl = Polygon(((30, 86), (70, 86), (66, 60), (53, 50), (47, 50), (34, 60)), _HEAVY, WHITE)
    stem = Polygon(((47.5, 50), (52.5, 50), (52.5, 22), (47.5, 22)), None, BLACK)
    foot = Polygon(((32, 22), (68, 22), (68, 16), (32, 16)), None, BLACK)
    return [bowl, stem, foot, *_path([(53, 86), (46, 76), (54, 69), (48, 60)], BOLD)]


def _up() -> list[Line | Polygon]:
    """Two arrows upward on a bar."""
    made: list[Line | Polygon] = [Polygon(((18, 20), (82, 20), (82, 14), (18, 14)), None, BLACK)]
    for x in (33, 67):
        made.append(Polygon(((x - 4, 26), (x + 4, 26), (x + 4, 62), (x - 4, 62)), None, BLACK))
        made.append(Polygon(((x - 13, 62), (x + 13, 62), (x, 86)), None, BLACK))
    return made


def _rain() -> list[Line | Polygon]:
    """Draw an umbrella with drops above."""
    top = Polygon(tuple(_ring(50, 44, 32, 0.0, pi)), _HEAVY, BLACK)
    handle = _path([(50, 44), (50, 20), (53, 15), (58, 15), (61, 20)], _HEAVY)
    drops = [Line((x, 92), (x - 4, 82), BOLD) for x in (24, 38, 52, 66, 80)]
    return [top, *handle, *drops]


def _sun() -> list[Line | Polygon]:
    """Draw a sun above a cover."""
    rays = [
        Line((50 + 17 * cos(a), 72 + 17 * sin(a)), (50 + 25 * cos(a), 72 + 25 * sin(a)), BOLD)
        for a in (i * pi / 4 for i in range(8))
    ]
    sun = Polygon(tuple(_ring(50, 72, 12)), _HEAVY, WHITE)
    return [sun, *rays, *_path([(18, 38), (50, 50), (82, 38)], _HEAVY), rectangle(34, 12, 32, 22, pen=_HEAVY)]


def _gravity() -> list[Line | Polygon]:
    """Draw a circle in quarters, two of them black, with cross hairs."""
    quarters: list[Line | Polygon] = [
        Polygon(((50, 50), *_ring(50, 50, 22, start, start + pi / 2, 12)), None, BLACK) for start in (0.0, pi)
    ]
    ring = Polygon(tuple(_ring(50, 50, 22)), _HEAVY)
    return [*quarters, ring, Line((50, 14), (50, 86), BOLD), Line((14, 50), (86, 50), BOLD)]


def _crossed() -> list[Line | Polygon]:
    return [Line((16, 16), (84, 84), _HEAVY), Line((16, 84), (84, 16), _HEAVY)]


def _no_stack() -> list[Line | Polygon]:
    """Draw a box on a box, crossed out."""
    return [rectangle(30, 16, 40, 30, pen=_HEAVY), rectangle(34, 50, 32, 26, pen=_HEAVY), *_crossed()]


def _no_roll() -> list[Line | Polygon]:
    """Draw a box that is being tipped, crossed out."""
    box = Polygon(((50, 16), (82, 38), (60, 70), (28, 48)), _HEAVY, WHITE)
    return [box, *_path(_ring(36, 60, 22, pi * 0.95, pi * 0.3, 12)), *_crossed()]


def _no_hooks() -> list[Line | Polygon]:
    """Draw a hook, crossed out."""
    hook = _path([(50, 86), (50, 48), *_ring(38, 48, 12, 0.0, -pi, 12), (30, 58)], Pen(3.2))
    return [*hook, Line((36, 86), (64, 86), Pen(3.2)), *_crossed()]


def _forks() -> list[Line | Polygon]:
    """Draw a box on two runners, with forks between them."""
    runners: list[Line | Polygon] = [
        Polygon(((x, 24), (x + 10, 24), (x + 10, 34), (x, 34)), None, BLACK) for x in (22, 68)
    ]
    forks: list[Line | Polygon] = [
        Polygon(((x, 26), (x + 12, 26), (x + 12, 31), (x, 31)), None, BLACK) for x in (36, 52)
    ]
    arrow: list[Line | Polygon] = [Polygon(((42, 12), (58, 12), (50, 22)), None, BLACK)]
    return [rectangle(22, 34, 56, 46, pen=_HEAVY), *runners, *forks, *arrow]


def _lift() -> list[Line | Polygon]:
    """Draw a box with a handle at either end, and hands' arrows upward at both."""
    made: list[Line | Polygon] = [rectangle(30, 14, 40, 50, pen=_HEAVY)]
    for x, inner in ((18, 30), (82, 70)):
        made += _path([(inner, 50), (x, 50), (x, 32), (inner, 32)], _HEAVY)
        made.append(Polygon(((x - 2.5, 56), (x + 2.5, 56), (x + 2.5, 74), (x - 2.5, 74)), None, BLACK))
        made.append(Polygon(((x - 8, 74), (x + 8, 74), (x, 88)), None, BLACK))
    return made


def _sling() -> list[Line | Polygon]:
    """Draw a chain's links at a box's edge."""
    links = [Polygon(tuple(_ring(50, y, 8)), _HEAVY, WHITE) for y in (84, 70, 56)]
    return [*links, rectangle(22, 14, 56, 34, pen=_HEAVY)]


_DRAWN = {
    "fragile": _fragile,
    "this way up": _up,
    "keep dry": _rain,
    "keep away from rain": _rain,
    "keep away from sunlight": _sun,
    "centre of gravity": _gravity,
    "do not stack": _no_stack,
    "do not roll": _no_roll,
    "use no hooks": _no_hooks,
    "forks here": _forks,
    "lift here": _lift,
    "sling here": _sling,
}
