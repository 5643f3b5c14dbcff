"""Hidden lines: held against rays cast from points on the edges, which share no code with the drawing."""

import random

import pytest

from nesting.crates.model import Box
from nesting.drawings.solid import Flat, Solid, Vector, View, in_front, inside_interval, visible_lines, visible_point


def random_solids(seed: int) -> list[Solid]:
    """Return boxes, and a pair of bevelled halves, with no space in common."""
    rng = random.Random(seed)
    boxes: list[Box] = []
    while len(boxes) < 9:
        box = Box(*(rng.randint(0, 800) * 1000 for _ in range(3)), *(rng.randint(20, 500) * 1000 for _ in range(3)))
        if not any(box.meets(other) for other in boxes):
            boxes.append(box)
    solids = [Solid.cuboid(f"b{i}", box) for i, box in enumerate(boxes)]
    y, z, x, long = 1_500_000, 200_000, 100_000, 700_000
    low = Box(x, y, z, long, 300_000, 72_000)
    high = Box(x, y + 228_000, z, long, 300_000, 72_000)
    hanging = ((y, z), (y + 228_000, z), (y + 300_000, z + 72_000), (y, z + 72_000))
    piece = (
        (y + 228_000, z),
        (y + 528_000, z),
        (y + 528_000, z + 72_000),
        (y + 300_000, z + 72_000),
    )
    return [*solids, Solid.prism("hanging", low, hanging), Solid.prism("piece", high, tuple(reversed(piece)))]


def ray_meets(solid: Solid, start: Vector, toward: Vector, grown: float) -> bool:
    """Whether a ray from a point meets a solid whose faces are moved outward by some length (halfspace clipping)."""
    low, high = 1.0, float("inf")
    for normal, face in solid.faces:
        size = sum(n * n for n in normal) ** 0.5
        corner = solid.corners[face[0]]
        at = sum(n * (s - c) for n, s, c in zip(normal, start, corner, strict=True)) / size - grown
        by = sum(n * t for n, t in zip(normal, toward, strict=True)) / size
        if abs(by) < 1e-12:
            if at > 0:
                return False
            continue
        t = -at / by
        if by > 0:
            high = min(high, t)
        else:
            low = max(low, t)
    return low < high


def distance(point: Flat, a: Flat, b: Flat) -> float:
    """Distance from a point to a segment."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    long = dx * dx + dy * dy
    t = 0.0 if long == 0 else min(1.0, max(0.0, ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / long))
    return float(((point[0] - a[0] - t * dx) ** 2 + (point[1] - a[1] - t * dy) ** 2) ** 0.5)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("view", [View(), View(25, 15), View(-35, 40)])
def test_lines_are_drawn_where_rays_reach_the_viewer_and_nowhere_else(seed: int, view: View) -> None:
    solids = random_solids(seed)
    lines = visible_lines(solids, view, slack=10.0)
    drawn: dict[str, list[tuple[Flat, Flat]]] = {}
    for name, start, end in lines:
        drawn.setdefault(name, []).append((start, end))
    rng = random.Random(seed)
    shown = hidden = 0
    for solid in solids:
        front = [(n, f) for n, f in solid.faces if sum(a * b for a, b in zip(n, view.toward, strict=True)) > 1e-9]
        edges = {frozenset((f[i], f[(i + 1) % len(f)])) for _, f in front for i in range(len(f))}
        for edge in sorted(edges, key=sorted):
            a, b = (solid.corners[i] for i in sorted(edge))
            for _ in range(6):
                t = rng.random()
                point = (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t)
                others = [other for other in solids if other is not solid]
                surely = any(ray_meets(other, point, view.toward, -400.0) for other in others)
                perhaps = any(ray_meets(other, point, view.toward, 400.0) for other in others)
                if surely != perhaps:
                    continue  # too near an outline to tell
                near = min((distance(view.flat(point), *seg) for seg in drawn.get(solid.name, [])), default=1e18)
                if surely:
                    hidden += 1
                    assert near > 50.0, f"{solid.name} shows a hidden edge"
                else:
                    shown += 1
                    assert near < 1.0, f"{solid.name} lacks a visible edge"
    assert shown > 100
    assert hidden > 20


@pytest.mark.parametrize("seed", range(6))
def test_a_visible_point_reaches_the_viewer(seed: int) -> None:
    solids = random_solids(seed)
    view = View()
    found = 0
    for index, solid in enumerate(solids):
        point = visible_point(solids, index, view)
        if point is None:
            continue
        found += 1
        covered = [
            other.name
            for i, other in enumerate(solids)
            if i != index
            and in_front(other, solid, view.toward)
            and inside_interval((point[0] - 1, point[1]), (point[0] + 1, point[1]), outline(other, view), 0.0)
        ]
        assert not covered
    assert found >= 6


def outline(solid: Solid, view: View) -> list[Flat]:
    """Return a convex outline by gift wrapping (Jarvis 1973), unlike the drawing's own way."""
    points = [view.flat(c) for c in solid.corners]
    start = min(points)
    hull, at = [start], start
    while True:
        best = points[0] if points[0] != at else points[1]
        for p in points:
            side = (best[0] - at[0]) * (p[1] - at[1]) - (best[1] - at[1]) * (p[0] - at[0])
            if side < 0:
                best = p
        if best == start:
            return hull
        hull.append(best)
        at = best


def test_an_isolated_box_shows_nine_whole_edges() -> None:
    lines = visible_lines([Solid.cuboid("b", Box(0, 0, 0, 1000, 2000, 3000))], View(), slack=0.0)
    assert len(lines) == 9


def test_a_box_behind_a_larger_one_shows_nothing() -> None:
    front = Solid.cuboid("front", Box(0, 0, 5000, 9000, 9000, 100))
    back = Solid.cuboid("back", Box(4000, 4000, 4000, 100, 100, 100))
    assert in_front(front, back, View().toward)
    assert {name for name, _, _ in visible_lines([front, back], View(), slack=0.0)} == {"front"}
    assert visible_point([front, back], 1, View()) is None


def test_a_segment_is_cut_where_it_crosses_an_outline() -> None:
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    assert inside_interval((-10, 5), (30, 5), square, 0.0) == pytest.approx((0.25, 0.5))
    assert inside_interval((-10, 11), (30, 11), square, 0.0) is None
    assert inside_interval((0, 0), (10, 0), square, 0.1) is None
