"""Backs by hand: the arithmetic stands beside each case, inches, pounds-force and psi."""

from dataclasses import replace
from typing import Any

import pytest

from nesting.advice.backs import (
    Back,
    Pull,
    Ribs,
    Row,
    best,
    carried,
    check_back,
    check_joint,
    check_lid,
    check_row,
    handled_lbf,
)
from nesting.advice.bending import greatest_moment
from nesting.advice.check import KG_PER_LB, Check
from nesting.advice.panels import Panel
from nesting.advice.sections import Strip, alone
from nesting.base.measure import INCH

PLY = Panel("plywood", 815.0, 165.0, 1_180_000.0, 62_000.0, "APA, from memory")


def inch(value: float) -> int:
    return round(value * INCH)


PULL = Pull(140 * KG_PER_LB, inch(100), inch(64), inch(58), inch(4), inch(4), between=inch(92))
"""140 lb, rows of cleats 58 in long, each 4 in from a rail; 100 in from rail to rail."""

UPRIGHTS = Ribs("up", inch(20), inch(5.5), inch(0.75), PLY)


def test_the_handled_weight() -> None:
    assert handled_lbf(140 * KG_PER_LB, 8.0) == pytest.approx(1120.0)


@pytest.mark.parametrize(
    ("first", "second", "span", "moment"),
    [
        (25.0, 25.0, 100.0, 12.5),  # third-point style: P a / 2
        (50.0, 50.0, 100.0, 25.0),  # both in the middle: P L / 4
        (10.0, 30.0, 100.0, 12.0),  # reactions 0.6 and 0.4: 6 and 12
        (0.0, 40.0, 100.0, 12.0),  # one on its support: 0.3 x 40
    ],
)
def test_beams_of_the_tables(first: float, second: float, span: float, moment: float) -> None:
    assert greatest_moment(first, second, span) == pytest.approx(moment)


@pytest.mark.parametrize("psi", [1650.0, 1930.0])
def test_a_crosspiece_alone_from_stile_to_stile_is_seven_to_nine_times_over(psi: float) -> None:
    """Half of 1120 lbf even over 100 in: 7000 lbf in on 3/4 x 5-1/2, even at 1650 and 1930 psi of a full rectangle."""
    bears = alone(Strip(5.5, 0.75, 1.5e6, psi)).moment
    assert bears == pytest.approx(psi * 5.5 * 0.75**2 / 6)
    assert 7.0 <= 560 * 100 / 8 / bears <= 9.0


def test_crosspieces_over_seams_both_ways_bear_alone_and_are_far_over() -> None:
    """As its own plywood bears: 815 x 1.6 x 0.5 psi; the piece bears at the ends of its cleats, 21 in from a stile."""
    pull = replace(PULL, across=inch(100), low=inch(10), high=inch(10))
    level = Ribs("level", 0, inch(5.5), inch(0.75), PLY, whole=False)
    found = carried(pull, Back(PLY, inch(0.375), "up", level, frozenset({"up", "level"})), "up", "level", 8.0, 1.6)
    assert found is not None
    assert found.bent.moment == pytest.approx(815 * 1.6 * 0.5 * 5.5 * 0.75**2 / 6)
    # F a + F L / 8, in halves: the row bends with the cleats all along.
    assert found.moment == pytest.approx(1120 * (21 / 2 + 58 / 8) / 2)
    assert found.ratio > 20


def test_uprights_by_hand() -> None:
    """Rows 4 in from the rails load 20 in lanes: 1120 x 4 / 2 x 20 / 58 = 772.4 lbf in."""
    found = carried(PULL, Back(PLY, inch(0.375), "across", UPRIGHTS), "across", "up", 8.0, 1.6)
    assert found is not None
    assert found.moment == pytest.approx(1120 * 2 * 20 / 58)
    # The panel works across its grain: 62,000 psi, 165 x 1.6; of it 5.5 + 7.5 in act with the rib, 7 in bend alone.
    plate, rib = 62_000 * 13 * 0.375, 1_180_000 * 5.5 * 0.75
    axis = (plate * 0.1875 + rib * 0.75) / (plate + rib)
    ei = (
        62_000 * 13 * 0.375**3 / 12
        + plate * (axis - 0.1875) ** 2
        + 1_180_000 * 5.5 * 0.75**3 / 12
        + rib * (0.75 - axis) ** 2
    )
    rest = 62_000 * 7 * 0.375**3 / 12
    curvature = min(
        165 * 1.6 / (62_000 * axis),
        815 * 1.6 * 0.5 / (1_180_000 * (1.125 - axis)),
        165 * 1.6 / (62_000 * 0.1875),
    )
    assert found.bent.ei == pytest.approx(ei + rest)
    assert found.bent.moment == pytest.approx((ei + rest) * curvature)
    assert found.shear == pytest.approx(1120 / 2 * 20 / 58)


def test_a_seam_across_an_upright_leaves_it_alone_and_a_dry_one_only_adds() -> None:
    """No seam splice: the batten alone, 815 x 1.6 x 0.5 x 5.5 x 0.75^2 / 6; not glued: stiffnesses add."""
    broken = Back(PLY, inch(0.375), "across", replace(UPRIGHTS, whole=False), frozenset({"up"}))
    found = carried(PULL, broken, "across", "up", 8.0, 1.6)
    assert found is not None
    assert found.bent.moment == pytest.approx(815 * 1.6 * 0.5 * 5.5 * 0.75**2 / 6)
    assert found.plate_in == 0
    dry = carried(PULL, Back(PLY, inch(0.375), "across", replace(UPRIGHTS, glued=False)), "across", "up", 8.0, 1.6)
    assert dry is not None
    assert dry.section is None
    assert dry.ei == pytest.approx(58 / 20 * (62_000 * 20 * 0.375**3 / 12 + 1_180_000 * 5.5 * 0.75**3 / 12))


def test_a_weak_batten_never_takes_what_the_panel_bears_without_it() -> None:
    thin = Ribs("up", inch(40), inch(2), inch(0.25), Panel("soft", 50.0, 50.0, 2e6, 2e6, "invented"))
    found = carried(PULL, Back(PLY, inch(0.75), "up", thin), "up", "up", 8.0, 1.6)
    assert found is not None
    assert found.section is None
    assert found.bent.moment == pytest.approx(815 * 1.6 * 40 * 0.75**2 / 6)


def test_piece_and_back_that_are_tied_share_by_their_stiffness() -> None:
    """A piece as stiff as twice the back, half of it counted on: the back takes a half of F L / 8."""
    plain = Back(PLY, inch(0.71875), "up")
    free = carried(PULL, plain, "up", "up", 8.0, 1.6)
    assert free is not None
    tied = carried(replace(PULL, tied=True, piece_up=2 * free.ei), plain, "up", "up", 8.0, 1.6)
    assert tied is not None
    assert tied.share == pytest.approx(0.5)
    assert tied.moment == pytest.approx(free.moment + 0.5 * 1120 * 92 / 8)


def test_the_better_way_counts_for_the_worse_grain() -> None:
    back = Back(PLY, inch(0.71875))
    found = best(PULL, back, 8.0, 1.6)
    each = [best(PULL, replace(back, grain=grain), 8.0, 1.6) for grain in ("up", "across")]
    assert found is not None
    assert found.ratio == max(one.ratio for one in each if one is not None)
    assert best(PULL, replace(back, seams=frozenset({"up", "level"})), 8.0, 1.6) is None
    (none,) = check_back(PULL, replace(back, seams=frozenset({"up", "level"})), 8.0, 1.6)
    assert (none.verdict, none.capacity) == ("fails", 0.0)


def found_check(checks: tuple[Check, ...], name: str) -> Check:
    (check,) = [each for each in checks if each.name == name]
    return check


@pytest.mark.parametrize(
    ("way", "grain", "allowed"),
    [
        ("up", "up", 53 * 1.6),
        ("up", "across", 26.5 * 1.6),
        ("up", "any", 26.5 * 1.6),
        ("level", "across", 53 * 1.6),
        ("level", "up", 26.5 * 1.6),
        ("level", "any", 26.5 * 1.6),
    ],
)
def test_glue_across_the_grain_beneath_bears_half(way: str, grain: str, allowed: float) -> None:
    """APA, supplement on stressed-skin panels (from memory): 53 psi, 26 across the grain of the ply beneath."""
    other = frozenset({"level" if way == "up" else "up"})
    ribs = replace(UPRIGHTS, way=way)  # type: ignore[arg-type]  # one of two words
    back = Back(PLY, inch(0.375), grain, ribs, other)  # type: ignore[arg-type]  # the same
    glue = found_check(check_back(PULL, back, 8.0, 1.6), "glue under the battens, shear")
    assert glue.capacity == pytest.approx(allowed)


def test_a_row_between_uprights_by_hand() -> None:
    """20 in bays: half of F on 58 in, w s^2 / 8, on a cleat 0.688 x 3 of plywood, less what a stiff piece takes."""
    back = Back(PLY, inch(0.375), "across", replace(UPRIGHTS, whole=False), frozenset({"up"}))
    row = Row(inch(20), inch(3), inch(0.688), PLY)
    check = check_row(PULL, back, row, 8.0, 1.6)
    assert check is not None
    bears = 815 * 1.6 * 0.5 * 3 * 0.688**2 / 6
    assert check.demand == pytest.approx(560.0)
    assert check.demand is not None
    assert check.ratio == pytest.approx(560 / 58 * 20**2 / 8 / bears, rel=1e-4)
    cleat_ei = 1_180_000 * 3 * 0.688**3 / 12
    stiff = check_row(replace(PULL, piece_level=4 * cleat_ei), back, row, 8.0, 1.6)
    assert stiff is not None
    assert stiff.ratio == pytest.approx((check.ratio or 0) / 2, rel=1e-3)
    crossed = check_row(PULL, back, replace(row, crosspiece=(inch(5.5), inch(0.688)), batten=PLY), 8.0, 1.6)
    assert crossed is not None
    assert crossed.ratio == pytest.approx((check.ratio or 0) * 3 / 8.5, rel=1e-3)


def test_the_joint_with_the_frame_by_hand() -> None:
    """Half of 1120 lbf on each rail, on 58 in x 23/32 in of glue; 53 psi x 1.6, halved along a rim."""
    check = check_joint(PULL, inch(0.71875), 8.0, 1.6)
    assert check.demand == pytest.approx(560 / (58 * 0.71875), rel=1e-4)
    assert check.capacity == pytest.approx(53 * 1.6 / 2)


def test_the_battens_of_a_lid_bear_what_its_panel_brings_them() -> None:
    """A lid that spans 90 in: its panel reaches battens 24 in away with ease, and these bend over all of 90 in."""
    kg_m2 = 10.0
    ribs = Ribs("up", inch(27), inch(3), inch(0.75), PLY)
    lid = Back(PLY, inch(0.375), "across", ribs)
    check = check_lid(lid, (inch(90), inch(200), inch(24)), kg_m2, (4.0, 1.6))
    q = kg_m2 / KG_PER_LB * 0.0254**2 * 4
    assert check.demand == pytest.approx(q, rel=1e-6)
    lane = carried(replace(PULL, up=inch(90), cleat=inch(27)), replace(lid, ribs=ribs), "across", "up", 4.0, 1.6)
    assert lane is not None
    assert check.ratio == pytest.approx(q * 27 * 90**2 / 8 / lane.bent.moment, rel=1e-6)
    between = q * 24**2 / 8 / (815 * 1.6 * 0.375**2 / 6)
    assert between < (check.ratio or 0) / 3
    # A lid without battens has its panel alone, along the grain.
    bare = check_lid(replace(lid, ribs=None), (inch(200), inch(90), 0), kg_m2, (4.0, 1.6))
    assert bare.ratio == pytest.approx(q * 90**2 / 8 / (815 * 1.6 * 0.375**2 / 6), rel=1e-6)


@pytest.mark.parametrize("bad", [{"kg": -1.0}, {"cleat": 0}, {"cleat": inch(65)}, {"low": 0}, {"high": inch(97)}])
def test_a_pull_lies_between_its_rails(bad: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"what pulls|rows lie"):
        replace(PULL, **bad)
