"""Solids in space, the direction they are seen from, and which lines of them can be seen.

Parts are cuboids, or prisms along x where they are bevelled: convex, and no two share space. For such solids, seen
along parallel rays, which of two is in front where their outlines overlap is the same everywhere: if a plane between
them has one on the viewer's side, that one. A plane along a face of either is enough, since all edges
run along x, y, z or lie in the plane of y and z (separating axes of convex polytopes; Gottschalk, Lin and Manocha
1996, doi:10.1145/237170.237244).

An edge is hidden where it lies inside the outline of a solid in front of its own. What remains is drawn; nothing is
painted over.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import cos, hypot, radians, sin

from nesting.crates.model import Box

Vector = tuple[float, float, float]
Flat = tuple[float, float]

_EPS = 1e-9
_TOUCH = 2.0
"""Solids that share less than this, a quarter of a micrometre, only touch."""


@dataclass(frozen=True, slots=True)
class View:
    """A direction of sight: turned about the upright axis, then tilted; degrees.

    The viewer stands in front (towards +z), to the right for a positive turn, and above for a positive tilt.
    """

    turn: float = 40.0
    tilt: float = 24.0

    @property
    def toward(self) -> Vector:
        """Unit vector from the scene to the viewer."""
        a, b = radians(self.turn), radians(self.tilt)
        return sin(a) * cos(b), sin(b), cos(a) * cos(b)

    def flat(self, point: Vector) -> Flat:
        """Return a point as seen, to the right and upward, at its true scale across the line of sight."""
        a, b = radians(self.turn), radians(self.tilt)
        x, y, z = point
        right = x * cos(a) - z * sin(a)
        depth = x * sin(a) + z * cos(a)
        return right, y * cos(b) - depth * sin(b)


@dataclass(frozen=True)
class Solid:
    """A prism along x with a convex outline in y and z.

    Attributes
    ----------
    name : str
        Of the part.
    x, dx : float
        Its start and extent along x.
    outline : tuple of (y, z)
        Convex, counterclockwise seen from +x (y to the right, z upward).
    """

    name: str
    x: float
    dx: float
    outline: tuple[Flat, ...]

    @classmethod
    def cuboid(cls, name: str, box: Box) -> "Solid":
        """Return the solid of a box."""
        y, z, top, front = box.y, box.z, box.y + box.dy, box.z + box.dz
        return cls(name, box.x, box.dx, ((y, z), (top, z), (top, front), (y, front)))

    @classmethod
    def prism(cls, name: str, box: Box, profile: Sequence[tuple[int, int]]) -> "Solid":
        """Return the solid of a bevelled part; its profile is put the right way round."""
        area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(profile, [*profile[1:], profile[0]], strict=True))
        outline = tuple(profile) if area > 0 else tuple(reversed(profile))
        return cls(name, box.x, box.dx, outline)

    def moved(self, x: float, y: float, z: float) -> "Solid":
        """Return the solid elsewhere."""
        return Solid(self.name, self.x + x, self.dx, tuple((a + y, b + z) for a, b in self.outline))

    @cached_property
    def corners(self) -> tuple[Vector, ...]:
        """All corners: the outline at the low end, then at the high end."""
        return tuple((x, y, z) for x in (self.x, self.x + self.dx) for y, z in self.outline)

    @cached_property
    def faces(self) -> tuple[tuple[Vector, tuple[int, ...]], ...]:
        """Each face: its outward normal and the indices of its corners in order."""
        n = len(self.outline)
        made: list[tuple[Vector, tuple[int, ...]]] = [
            ((-1.0, 0.0, 0.0), tuple(reversed(range(n)))),
            ((1.0, 0.0, 0.0), tuple(range(n, 2 * n))),
        ]
        for i in range(n):
            j = (i + 1) % n
            (y1, z1), (y2, z2) = self.outline[i], self.outline[j]
            # Counterclockwise, so that the outside is to the right of each side; of length 1.
            long = hypot(y2 - y1, z2 - z1)
            made.append(((0.0, (z2 - z1) / long, (y1 - y2) / long), (i, j, n + j, n + i)))
        return tuple(made)

    @cached_property
    def centre(self) -> Vector:
        """Mean of the corners."""
        n = len(self.corners)
        return (
            sum(c[0] for c in self.corners) / n,
            sum(c[1] for c in self.corners) / n,
            sum(c[2] for c in self.corners) / n,
        )


@dataclass(frozen=True)
class Seen:
    """A solid as seen: its corners on paper, its outline, its visible faces and edges."""

    solid: Solid
    flat: tuple[Flat, ...]
    outline: tuple[Flat, ...]
    front_faces: tuple[tuple[int, ...], ...]
    left: float
    right: float
    bottom: float
    top: float

    @classmethod
    @lru_cache(maxsize=4096)  # whether a part shows is asked of each, and each time all others are looked at
    def of(cls, solid: Solid, view: View) -> "Seen":
        """See a solid."""
        flat = tuple(view.flat(corner) for corner in solid.corners)
        toward = view.toward
        front = tuple(face for normal, face in solid.faces if _dot(normal, toward) > _EPS)
        xs, ys = [p[0] for p in flat], [p[1] for p in flat]
        return cls(
            solid=solid,
            flat=flat,
            outline=_hull(flat),
            front_faces=front,
            left=min(xs),
            right=max(xs),
            bottom=min(ys),
            top=max(ys),
        )

    @property
    def edges(self) -> tuple[tuple[int, int], ...]:
        """Edges of the faces turned to the viewer, each once."""
        found: dict[tuple[int, int], None] = {}
        for face in self.front_faces:
            for i, a in enumerate(face):
                b = face[(i + 1) % len(face)]
                found[min(a, b), max(a, b)] = None
        return tuple(found)

    def may_cover(self, other: "Seen") -> bool:
        """Whether the upright rectangles around two outlines overlap."""
        return (
            self.left < other.right and other.left < self.right and self.bottom < other.top and other.bottom < self.top
        )

    def holds(self, point: Flat) -> bool:
        """Whether a point lies inside the outline, which is asked only within the upright rectangle around it."""
        x, y = point
        return self.left <= x <= self.right and self.bottom <= y <= self.top and _holds(self.outline, point)


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _hull(points: Sequence[Flat]) -> tuple[Flat, ...]:
    """Return the convex hull, counterclockwise (Andrew 1979, doi:10.1016/0020-0190(79)90072-3)."""
    ordered = sorted(set(points))

    def chain(side: Sequence[Flat]) -> list[Flat]:
        made: list[Flat] = []
        for p in side:
            while len(made) >= 2 and _turn(made[-2], made[-1], p) <= _EPS:
                made.pop()
            made.append(p)
        return made[:-1]

    return tuple(chain(ordered) + chain(ordered[::-1]))


def _turn(a: Flat, b: Flat, c: Flat) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def in_front(one: Solid, other: Solid, toward: Vector) -> bool:
    """Whether `one` hides `other` where their outlines overlap.

    Returns
    -------
    bool
        Also False where no plane along a face parts the two, or none that is turned to the viewer.
    """
    for first, second, sign in ((one, other, -1.0), (other, one, 1.0)):
        for normal, face in first.faces:
            turned = _dot(normal, toward) * sign
            if turned <= _EPS:
                continue
            # `second` lies beyond this face of `first`, outside.
            limit = max(_dot(normal, first.corners[i]) for i in face)
            if all(_dot(normal, corner) >= limit - _TOUCH for corner in second.corners):
                return True
    return False


def inside_interval(start: Flat, end: Flat, outline: Sequence[Flat], slack: float) -> tuple[float, float] | None:
    """Return the part of a segment (0 to 1) that lies inside a convex outline by more than `slack`, or None.

    Clipping of a segment by the lines of a convex polygon (Cyrus and Beck 1978, doi:10.1016/0097-8493(78)90021-3).
    """
    low, high = 0.0, 1.0
    dx, dy = end[0] - start[0], end[1] - start[1]
    for i, a in enumerate(outline):
        b = outline[(i + 1) % len(outline)]
        nx, ny = a[1] - b[1], b[0] - a[0]
        size = (nx * nx + ny * ny) ** 0.5
        if size == 0:
            continue
        # Distance inward from this side, at the start and how it changes along the segment.
        at = ((start[0] - a[0]) * nx + (start[1] - a[1]) * ny) / size - slack
        by = (dx * nx + dy * ny) / size
        if abs(by) < _EPS:
            if at < 0:
                return None
            continue
        t = -at / by
        if by > 0:
            low = max(low, t)
        else:
            high = min(high, t)
        if low >= high:
            return None
    return low, high


def visible_lines(solids: Sequence[Solid], view: View, slack: float) -> list[tuple[str, Flat, Flat]]:
    """Return what can be seen of the edges of solids that share no space.

    Parameters
    ----------
    solids : sequence of Solid
        Convex, with no space in common (they may touch).
    view : View
        Where they are seen from.
    slack : float
        How far inside an outline an edge must be to be hidden by it, so that edges on an outline stay.

    Returns
    -------
    list of (str, (x, y), (x, y))
        Name of the part and both ends of each visible piece of an edge.
    """
    seen = [Seen.of(solid, view) for solid in solids]
    toward = view.toward
    lines: list[tuple[str, Flat, Flat]] = []
    for mine in seen:
        covers = [
            other
            for other in seen
            if other is not mine and other.may_cover(mine) and in_front(other.solid, mine.solid, toward)
        ]
        for a, b in mine.edges:
            start, end = mine.flat[a], mine.flat[b]
            hidden = [
                span for cover in covers if (span := inside_interval(start, end, cover.outline, slack)) is not None
            ]
            lines.extend((mine.solid.name, *_between(start, end, low, high)) for low, high in _rest(hidden))
    return lines


def _rest(hidden: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return what intervals leave of 0 to 1."""
    left, at = [], 0.0
    for low, high in sorted(hidden):
        if low > at + _EPS:
            left.append((at, low))
        at = max(at, high)
    if at < 1.0 - _EPS:
        left.append((at, 1.0))
    return left


def _between(start: Flat, end: Flat, low: float, high: float) -> tuple[Flat, Flat]:
    def at(t: float) -> Flat:
        return start[0] + (end[0] - start[0]) * t, start[1] + (end[1] - start[1]) * t

    return at(low), at(high)


def visible_point(solids: Sequence[Solid], index: int, view: View) -> Flat | None:
    """Return a point on paper where a solid shows, well inside one of its faces; None where it is hidden.

    A grid of points on its faces is tried, the middle of the largest first.
    """
    mine = Seen.of(solids[index], view)
    toward = view.toward
    covers = [
        other
        for i, solid in enumerate(solids)
        if i != index and (other := Seen.of(solid, view)).may_cover(mine) and in_front(solid, solids[index], toward)
    ]
    for face in sorted(mine.front_faces, key=lambda f: -_area([mine.flat[i] for i in f])):
        a, b, d = mine.flat[face[0]], mine.flat[face[1]], mine.flat[face[-1]]
        for part in _GRID:
            u, v = part
            point = (a[0] + (b[0] - a[0]) * u + (d[0] - a[0]) * v, a[1] + (b[1] - a[1]) * u + (d[1] - a[1]) * v)
            if not any(cover.holds(point) for cover in covers):
                return point
    return None


_GRID = tuple(
    sorted(
        ((u / 12, v / 12) for u in range(1, 12) for v in range(1, 12)),
        key=lambda p: (p[0] - 0.5) ** 2 + (p[1] - 0.5) ** 2,
    )
)


def _area(points: Sequence[Flat]) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]], strict=True))) / 2


def _holds(outline: Sequence[Flat], point: Flat) -> bool:
    before = outline[-1]
    for corner in outline:
        if _turn(before, corner, point) <= 0:
            return False
        before = corner
    return True
