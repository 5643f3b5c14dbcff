"""Where handling marks go: on the sides that they say, in the sizes of the standard, none over another."""

from dataclasses import replace
from decimal import Decimal
from itertools import combinations

import pytest

from nesting.base.measure import INCH, MM
from nesting.crates.handling import CARTON_MARKS, CRATE_MARKS, with_marks
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.drawings.mark_sides import sides_scene
from nesting.drawings.marking import GRAVITY, GROSS, LEAST, SIDES, across, body_of, handle_side, marks_of, sides_of
from nesting.drawings.marks import NAMES
from nesting.shop.shop_file import default_shop
from tests.nesting.crates.cases.test_outer import cased, piece
from tests.nesting.drawings.builds import random_builds
from tests.nesting.drawings.overlap import beyond_paper

SHOP = default_shop()


def every_crate(count: int) -> list[Crate]:
    return [crate for build in random_builds(count) for crate in build.crates]


def test_every_mark_is_on_its_side_and_over_no_other() -> None:
    seen = set()
    for crate in every_crate(12):
        sides = {side.name: side for side in sides_of(crate)}
        marks = marks_of(crate)
        seen |= {mark.name for mark in marks}
        for mark in marks:
            left, bottom, right, top = mark.box
            assert left >= 0
            assert bottom >= 0
            assert right <= sides[mark.side].width
            assert top <= sides[mark.side].height
            assert mark.size in (200 * MM, 150 * MM, 100 * MM) or LEAST <= mark.size < 100 * MM
        for one, other in combinations(marks, 2):
            if one.side == other.side:
                apart = one.box[2] <= other.box[0] or other.box[2] <= one.box[0]
                assert apart or one.box[3] <= other.box[1] or other.box[3] <= one.box[1], (crate.crate, one, other)
        # What a crate asks for stands on front and back at least.
        for name in crate.marks:
            if name != "lift here":
                assert {"front", "back"} <= {mark.side for mark in marks if mark.name == name}, (crate.crate, name)
    assert {*CRATE_MARKS, "forks here", GROSS} <= seen


def test_the_centre_of_gravity_is_on_four_sides_at_its_place() -> None:
    """By hand: from the front's left edge x, from the back's its width less x; from the left side's left edge z."""
    case, _ = cased(*(piece(name, 40, 40, weight_kg=Decimal(w)) for name, w in (("A", 10), ("B", 15), ("C", 30))))
    body = body_of(case)
    assert case.body is not None
    assert (body.dx, body.dy, body.dz) == (case.body.width, case.body.height, case.body.depth)
    x, y, z = case.centre[0] - body.x, case.centre[1] - body.y, case.centre[2] - body.z
    assert z > body.dz / 2 + INCH / 4, "the heaviest frame stands in front"
    wanted = {"front": x, "back": body.dx - x, "left side": z, "right side": body.dz - z}
    found = {mark.side: mark for mark in marks_of(case) if mark.name == GRAVITY}
    assert set(found) == set(SIDES)
    for name, mark in found.items():
        assert abs(mark.x + mark.size / 2 - wanted[name]) <= 2
        assert abs(mark.y + mark.size / 2 - y) <= 2


def test_no_mark_of_the_centre_of_gravity_lies_under_a_handle() -> None:
    """Beside it at the same height, or not on that side: a mark elsewhere would tell another height."""
    covered = beside = 0
    for crate in every_crate(16):
        body = body_of(crate)
        found = {mark.side: mark for mark in marks_of(crate) if mark.name == GRAVITY}
        for side in sides_of(crate):
            handles = [
                (*across(side.name, body, each.box), each.box.y - body.y, each.box.y + each.box.dy - body.y)
                for each in crate.gear
                if each.role == "handle" and handle_side(body, each.box) == side.name
            ]
            mark = found.get(side.name)
            if GRAVITY not in crate.marks or (mark is None and not handles):
                continue
            covered += mark is None
            if mark is not None:
                left, low, right, top = mark.box
                assert all(right <= a or b <= left or top <= c or d <= low for a, b, c, d in handles), crate.crate
                assert abs(mark.y + mark.size / 2 - side.centre[1]) <= 2
                beside += abs(mark.x + mark.size / 2 - side.centre[0]) > 2
    assert covered + beside


def test_arrows_are_nearest_the_upper_left_corner_and_fragile_is_next() -> None:
    """ISO 780, from memory: both upper left on all four upright sides, the arrows nearest to the corner."""
    case, _ = cased(piece("A", 40, 40), piece("B", 40, 40))
    for side in sides_of(case):
        mine = {mark.name: mark for mark in marks_of(case) if mark.side == side.name}
        up, fragile = mine["this way up"], mine["fragile"]
        assert up.x <= 2 * INCH
        assert side.height - up.y - up.size <= 2 * INCH
        assert (fragile.x, fragile.y) == min(
            ((m.x, m.y) for m in mine.values() if m.name not in (GRAVITY, "this way up", "forks here")),
            key=lambda at: (-at[1], at[0]),
        )


def test_forks_between_the_skids_and_hands_at_the_handles() -> None:
    heavy = with_marks(cased(*(piece(name, 40, 40, weight_kg=Decimal(15)) for name in "ABC"))[0])
    assert heavy.marks[-1] == "forks here"
    skids = [p.box for p in heavy.placed if p.role == "skid"]
    forks = [mark for mark in marks_of(heavy) if mark.name == "forks here"]
    assert {mark.side for mark in forks} == {"front", "back"}
    for mark in forks:
        spans = [across(mark.side, body_of(heavy), box) for box in skids]
        assert not any(a < mark.x + mark.size and mark.x < b for a, b in spans)
    light = with_marks(cased(piece("A", 24, 20, weight_kg=Decimal(2)))[0])
    assert light.marks[-1] == "lift here"
    assert {mark.side for mark in marks_of(light) if mark.name == "lift here"} == {"left side", "right side"}
    assert with_marks(light) == light


def test_cartons_and_frames_get_only_what_is_true_of_them() -> None:
    for crate in every_crate(12):
        kind = method_of(crate)
        if kind.rides:
            assert crate.marks == ()
            assert marks_of(crate) == ()
        elif kind.name == "carton":
            assert crate.marks == CARTON_MARKS
        else:
            assert crate.marks[: len(CRATE_MARKS)] == CRATE_MARKS
        assert "sling here" not in crate.marks
    assert NAMES["sling here"] == "Sling here"


@pytest.mark.parametrize("size", [(520.0, 128.0), (300.0, 90.0)])
def test_the_sides_are_drawn_within_their_room(size: tuple[float, float]) -> None:
    drawn = 0
    for crate in every_crate(8):
        scene = sides_scene(crate, *size)
        if scene is None:
            assert not crate.marks
            continue
        drawn += 1
        assert scene.width <= (size[0] + 1) * INCH / 72
        assert scene.height <= (size[1] + 1) * INCH / 72
        assert len(scene.insets) == len(marks_of(crate))
        assert not beyond_paper(scene)
    assert drawn > 5


def test_a_side_too_small_for_marks_has_none() -> None:
    crate = next(crate for crate in every_crate(12) if GRAVITY in crate.marks)
    thin = replace(crate, body=None, gear=(), outside=replace(crate.outside, depth=INCH), centre=(10, 10, 10))
    assert {mark.side for mark in marks_of(thin)} <= {"front", "back"}
