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
from nesting.advice.bending import greatest_moment, working_width
from nesting.advice.check import KG_PER_LB, Check
from nesting.advice.panels import Panel
from nesting.advice.sections import Strip, alone
from nesting.base.measure import INCH, UnitSystem

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


def test_a_pull_may_fill_what_it_hangs_in() -> None:
    """A row as long as the opening, two rows in one place, and nothing that pulls: all of these can be."""
    assert replace(PULL, kg=0.0).kg == 0
    assert replace(PULL, kg=0.5).kg == 0.5
    assert replace(PULL, cleat=PULL.across).cleat == inch(64)
    assert replace(PULL, cleat=1, low=1, high=1).cleat == 1
    assert replace(PULL, low=inch(96)).low + PULL.high == PULL.up
    with pytest.raises(ValueError, match="rows lie"):
        replace(PULL, high=0)


def test_a_strip_of_panel_less_than_two_feet_wide_bears_less() -> None:
    """A back 16 in wide: 0.75 of its stress (APA, from memory). Its other way it is 100 in wide, and bears all."""
    narrow = replace(PULL, across=inch(16), cleat=inch(14))
    back = Back(PLY, inch(0.375), "up")
    up = carried(narrow, back, "up", "up", 8.0, 1.6)
    level = carried(narrow, back, "up", "level", 8.0, 1.6)
    assert up is not None
    assert level is not None
    assert up.bent.moment == pytest.approx(815 * 1.6 * 0.75 * 14 * 0.375**2 / 6)
    # The level row works on twice the 4 in to the rail, across the grain.
    assert level.plate_in == pytest.approx(8.0)
    assert level.bent.moment == pytest.approx(165 * 1.6 * 8 * 0.375**2 / 6)


def test_a_level_row_along_the_grain_works_on_a_strip_no_wider_than_half_the_back() -> None:
    """Rows 40 in from rails 100 in apart: 80 in each would be more than there is; half of 100 in."""
    wide = replace(PULL, low=inch(40), high=inch(40))
    level = carried(wide, Back(PLY, inch(0.375), "up"), "up", "level", 8.0, 1.6)
    assert level is not None
    assert level.plate_in == pytest.approx(50.0)
    # Along the row, a strip as wide as our derivation gives, where the back is high enough for it.
    along = carried(PULL, Back(PLY, inch(0.375), "across"), "across", "level", 8.0, 1.6)
    assert along is not None
    assert along.plate_in == pytest.approx(min(50.0, working_width(64.0, PLY)))
    low = carried(replace(PULL, up=inch(12)), Back(PLY, inch(0.375), "across"), "across", "level", 8.0, 1.6)
    assert low is not None
    assert low.plate_in == pytest.approx(6.0)


def test_battens_that_run_the_other_way_leave_the_panel_alone() -> None:
    level = Back(PLY, inch(0.375), "up", replace(UPRIGHTS, way="level", lane=0))
    found = carried(PULL, level, "up", "up", 8.0, 1.6)
    assert found is not None
    assert (found.plate_in, found.section) == (58.0, None)
    assert found.bent.moment == pytest.approx(815 * 1.6 * 58 * 0.375**2 / 6)


def test_the_rail_nearer_to_its_row_takes_more_than_half_of_the_shear() -> None:
    """Rows 4 in above the lower and 20 in below the upper rail, 100 in apart: (0.96 + 0.20) / 2 at the lower one."""
    for low, high in ((4, 20), (20, 4)):
        found = carried(
            replace(PULL, low=inch(low), high=inch(high)), Back(PLY, inch(0.375), "up"), "up", "up", 8.0, 1.6
        )
        assert found is not None
        assert found.shear == pytest.approx(1120 * 0.58)


def test_a_level_row_halves_the_shear_between_its_stiles() -> None:
    found = carried(PULL, Back(PLY, inch(0.375), "across"), "across", "level", 8.0, 1.6)
    assert found is not None
    assert found.shear == pytest.approx(1120 / 2 / 2)


def test_a_batten_beside_a_seam_it_does_not_lie_on_bears_alone_where_the_panel_ends_under_it() -> None:
    """The panel runs from rail to rail, but not under the batten: 815 x 1.6 x 0.5 x 5.5 x 0.75^2 / 6."""
    beside = Back(PLY, inch(0.375), "across", replace(UPRIGHTS, whole=False))
    found = carried(PULL, beside, "across", "up", 8.0, 1.6)
    assert found is not None
    assert found.bent.moment == pytest.approx(815 * 1.6 * 0.5 * 5.5 * 0.75**2 / 6)


def test_a_weak_batten_that_is_not_glued_takes_nothing_from_the_panel_either() -> None:
    thin = Ribs("up", inch(40), inch(2), inch(0.25), Panel("soft", 50.0, 50.0, 2e6, 2e6, "invented"), glued=False)
    found = carried(PULL, Back(PLY, inch(0.75), "up", thin), "up", "up", 8.0, 1.6)
    assert found is not None
    assert found.bent.moment == pytest.approx(815 * 1.6 * 40 * 0.75**2 / 6)


def test_a_stated_grain_is_the_only_one_that_is_judged() -> None:
    """Over 100 in from rail to rail the grain up is the better, across 64 in from stile to stile the other."""
    up, across = (best(PULL, Back(PLY, inch(0.71875), grain), 8.0, 1.6) for grain in ("up", "across"))
    assert up is not None
    assert across is not None
    assert up.ratio != across.ratio
    assert up == carried(PULL, Back(PLY, inch(0.71875)), "up", up.way, 8.0, 1.6)
    assert across == carried(PULL, Back(PLY, inch(0.71875)), "across", across.way, 8.0, 1.6)


LIMITS = (
    "dry panels without large holes; frame on all four sides; battens glued under clamps or cauls; the piece keeps its "
    "cleats straight"
)
SHARE = "EI of the back / (EI of the back + 0.5 EI of the piece)"
STRESSED_SKIN = "APA, supplement on stressed-skin panels (from memory)"
PRINTED = {
    "back, bending": (
        "lbf",
        f"sum(E I) x least of f / (E c); M = F a + b F L / 8, b = {SHARE}",
        "APA, from memory; EN 1995-1-1, section 9.1, and APA strip factor (from memory)",
        LIMITS,
    ),
    "back, rolling shear": (
        "psi",
        "3 V / (2 b t)",
        "53 psi, Group 1, S-2, dry: a book on formwork, p. 137",
        "plywood; the panel alone takes it",
    ),
    "glue under the battens, shear": (
        "psi",
        "V E A a / (E I b)",
        f"rolling shear 53 psi, halved across the grain of the ply beneath: {STRESSED_SKIN}",
        "a full glue line under clamps or cauls; screws alone give about a third of what glue gives",
    ),
    "cleats between uprights, bending": (
        "lbf",
        "w s^2 / 8 x E I / (E I + 0.25 EI of the piece) over sum(E I) x least of f / (E c)",
        "APA, from memory",
        LIMITS,
    ),
    "back to frame, glue": (
        "psi",
        "F / (2 c t)",
        f"rolling shear 53 psi, halved along a rim: {STRESSED_SKIN}",
        "a full glue line; screws into plywood edges count nothing",
    ),
    "lid, bending": ("psi", "q l^2 / 8 on strips or lanes", "APA, from memory", LIMITS),
}
GLUED = Back(PLY, inch(0.375), "across", UPRIGHTS)
ROW = Row(inch(20), inch(3), inch(0.688), PLY)
LID = Back(PLY, inch(0.375), "across", Ribs("up", inch(27), inch(3), inch(0.75), PLY))
LID_SPANS = (inch(90), inch(200), inch(24))


def every_check(units: UnitSystem) -> list[Check]:
    row = check_row(PULL, GLUED, ROW, 8.0, 1.6, units)
    assert row is not None
    joint = check_joint(PULL, inch(0.71875), 8.0, 1.6, units)
    return [
        *check_back(PULL, GLUED, 8.0, 1.6, units), row, joint, check_lid(LID, LID_SPANS, 10.0, (4.0, 1.6), units)
    ]  # fmt: skip


def test_what_each_check_prints_beside_its_figures() -> None:
    """All of it is structure: a crate that fails one of these is held."""
    found = every_check("inch")
    assert {c.name: (c.unit, c.formula, c.source, c.limits_of_use) for c in found} == PRINTED
    assert all(c.structure for c in found)


def test_what_each_check_says_in_inches_and_in_millimetres() -> None:
    """772 of 438 lbf in are worked out with the uprights above: 0.112985 N m each; 193 lbf are 859 N."""
    for units, thick, batten, moments, shear, bay, reach, over in (
        ("inch", "3/8 in", "5 1/2 in x 3/4 in", "772 of 438 lbf in", "193 lbf on 20 in", "20 in", "24 in", "90 in"),
        (
            "metric",
            "9.5 mm",
            "139.7 mm x 19.1 mm",
            "87.3 of 49.5 N m",
            "859 N on 508 mm",
            "508 mm",
            "610 mm",
            "2290 mm",
        ),
    ):
        notes = {check.name: check.note for check in every_check(units)}  # type: ignore[arg-type]  # one of two words
        assert notes == {
            "back, bending": f"{thick} plywood, grain across, with uprights {batten} glued, as one section, from rail "
            f"to rail: {moments} on a lane at 8 times the weight and 1.6 for its short time",
            "back, rolling shear": f"{shear} of it",
            "glue under the battens, shear": "",
            "cleats between uprights, bending": f"uprights {bay} apart",
            "back to frame, glue": "half of the pull on each rail, as long as the cleats",
            "lid, bending": f"its own weight x 4; the panel over {reach} to its battens, these over {over}",
        }
    told = [check.unit for check in every_check("metric")]
    assert told == ["N", "N/mm2", "N/mm2", "N", "N/mm2", "kPa"]
    assert every_check("metric")[0].demand == pytest.approx(1120 * 4.4482216, rel=1e-6)


def test_checks_are_in_inches_unless_asked() -> None:
    assert check_back(PULL, GLUED, 8.0, 1.6) == check_back(PULL, GLUED, 8.0, 1.6, "inch")


def test_a_back_that_nothing_carries_says_so() -> None:
    (none,) = check_back(PULL, Back(PLY, inch(0.375), "up", None, frozenset({"up", "level"})), 8.0, 1.6, "metric")
    assert (none.name, none.unit, none.structure) == ("back, bending", "N", True)
    assert none.note == "seams break the panel both ways, and no batten in one piece is as long as the back"
    assert none.source == "APA, from memory"


@pytest.mark.parametrize(
    ("back", "told"),
    [
        (Back(PLY, inch(0.71875), "up"), "23/32 in plywood, grain up, alone from rail to rail: "),
        (
            Back(PLY, inch(0.71875), "across", None, frozenset({"up"})),
            "23/32 in plywood, grain across, alone from stile to stile: ",
        ),
        # Uprights that carry nothing from stile to stile: the panel is alone there.
        (
            Back(PLY, inch(0.71875), "across", replace(UPRIGHTS, width=inch(0.5), thickness=inch(0.25))),
            "23/32 in plywood, grain across, alone from stile to stile: ",
        ),
        (
            Back(PLY, inch(0.375), "across", replace(UPRIGHTS, glued=False)),
            "3/8 in plywood, grain across, with uprights 5 1/2 in x 3/4 in their stiffness added, from rail to rail: ",
        ),
        (
            Back(PLY, inch(0.375), "up", replace(UPRIGHTS, whole=False), frozenset({"up", "level"})),
            "3/8 in plywood, grain up, with uprights 5 1/2 in x 3/4 in alone, over a seam, from rail to rail: ",
        ),
        (
            Back(PLY, inch(0.375), "across", replace(UPRIGHTS, way="level"), frozenset({"up"})),
            "3/8 in plywood, grain across, with crosspieces 5 1/2 in x 3/4 in glued, as one section, from stile to",
        ),
    ],
)
def test_what_carries_is_named(back: Back, told: str) -> None:
    assert check_back(PULL, back, 8.0, 1.6)[0].note.startswith(told)


def test_a_section_is_told_to_the_sixty_fourth() -> None:
    uprights = replace(UPRIGHTS, width=inch(5 + 23 / 64))
    back = Back(PLY, inch(23 / 64), "across", uprights, frozenset({"level"}))
    assert check_back(PULL, back, 8.0, 1.6)[0].note.startswith(
        "23/64 in plywood, grain across, with uprights 5 23/64 in x 3/4 in glued"
    )


def test_the_pull_that_a_back_bears_by_hand() -> None:
    """Grain up, from rail to rail: F / 2 on each row, 4 in from its rail, on 815 x 1.6 x 58 x 0.71875^2 / 6 lbf in."""
    plain = Back(PLY, inch(0.71875), "up", None, frozenset({"level"}))
    bending = check_back(PULL, plain, 8.0, 1.6)[0]
    bears = 815 * 1.6 * 58 * 0.71875**2 / 6
    assert bending.demand == pytest.approx(1120.0)
    assert bending.capacity == pytest.approx(bears / 2)
    assert bending.ratio == pytest.approx(1120 * 2 / bears)
    assert bending.verdict == "ok"


def test_a_tied_piece_is_told_with_its_share() -> None:
    plain = Back(PLY, inch(0.71875), "up", None, frozenset({"level"}))
    free = carried(PULL, plain, "up", "up", 8.0, 1.6)
    assert free is not None
    tied = check_back(replace(PULL, tied=True, piece_up=2 * free.ei), plain, 8.0, 1.6)[0]
    assert tied.note.endswith("for its short time; b = 0.5")
    assert check_back(PULL, plain, 8.0, 1.6)[0].note.endswith("for its short time")


def test_shear_by_hand() -> None:
    """V = 560 x 20 / 58 = 193.1 lbf: 3 V / (2 x 20 x 0.375) on the panel, E A a / (sum(E I) b) of it at the glue."""
    _, rolling, glue = check_back(PULL, GLUED, 8.0, 1.6)
    assert rolling.demand == pytest.approx(1.5 * 193.103 / 7.5, rel=1e-4)
    assert rolling.capacity == pytest.approx(53 * 1.6)
    plate, rib = 62_000 * 13 * 0.375, 1_180_000 * 5.5 * 0.75
    axis = (plate * 0.1875 + rib * 0.75) / (plate + rib)
    found = carried(PULL, GLUED, "across", "up", 8.0, 1.6)
    assert found is not None
    # `bent.ei` is worked out by hand with the uprights above; 7 in of panel beside the section take their part.
    assert glue.demand == pytest.approx(193.103 * rib * (0.75 - axis) / (found.bent.ei * 5.5), rel=1e-4)


def test_nothing_that_pulls_asks_nothing() -> None:
    light = replace(PULL, kg=0.0)
    bending = check_back(light, GLUED, 8.0, 1.6)[0]
    row = check_row(light, GLUED, ROW, 8.0, 1.6)
    assert row is not None
    # A capacity of one pound-force stands for "more than is asked", as nothing over nothing says nothing.
    assert (bending.demand, bending.capacity, bending.verdict) == (0.0, 1.0, "ok")
    assert (row.demand, row.capacity, row.verdict) == (0.0, 1.0, "ok")


def test_a_row_beside_a_glued_upright_brings_what_the_panel_does_not_carry() -> None:
    """7 in of panel between the sections carry 62,000 x 7 x 0.375^3 / 12 of the lane's stiffness."""
    row = check_row(PULL, GLUED, ROW, 8.0, 1.6)
    found = carried(PULL, GLUED, "across", "up", 8.0, 1.6)
    assert row is not None
    assert found is not None
    assert row.demand == pytest.approx(560 * (1 - 62_000 * 7 * 0.375**3 / 12 / found.bent.ei), rel=1e-6)


@pytest.mark.parametrize(
    "back",
    [
        Back(PLY, inch(0.375), "across", None),
        Back(PLY, inch(0.375), "across", replace(UPRIGHTS, way="level"), frozenset({"up"})),
        Back(PLY, inch(0.375), "across", replace(UPRIGHTS, glued=False)),  # the panel carries, stiffness added
        Back(PLY, inch(0.375), "up", None, frozenset({"up", "level"})),
    ],
)
def test_no_row_is_judged_where_no_upright_takes_its_load(back: Back) -> None:
    assert check_row(PULL, back, ROW, 8.0, 1.6) is None


def test_a_crosspiece_counts_only_with_what_it_is_of() -> None:
    """The narrower the strip the less it bears: 12 in has 0.625 of its stress where the cleat's 3 in has half."""
    plain = check_row(PULL, GLUED, ROW, 8.0, 1.6)
    assert check_row(PULL, GLUED, replace(ROW, crosspiece=(inch(5.5), inch(0.688))), 8.0, 1.6) == plain
    assert check_row(PULL, GLUED, replace(ROW, batten=PLY), 8.0, 1.6) == plain
    stiff = replace(ROW, crosspiece=(inch(12), inch(1.376)), batten=PLY)
    wide = check_row(PULL, GLUED, stiff, 8.0, 1.6)
    assert wide is not None
    # Twice as thick, it reaches its stress first: 815 x 1.6 x 0.625 over 1.18e6 x 0.688, times both stiffnesses.
    bears = (3 * 0.688**3 + 12 * 1.376**3) / 12 * 815 * 1.6 * 0.625 / 0.688
    assert wide.demand is not None
    assert wide.ratio == pytest.approx(wide.demand / 58 * 20**2 / 8 / bears, rel=1e-4)


def lid_check(lid: Back, spans: tuple[float, float, float], kg_m2: float = 10.0) -> Check:
    up, across, opening = (inch(each) for each in spans)
    return check_lid(lid, (up, across, opening), kg_m2, (4.0, 1.6))


Q = 10.0 / KG_PER_LB * 0.0254**2 * 4
"""Pressure of a lid of 10 kg/m2 at four times its weight, psi."""


def test_a_lid_is_judged_by_the_grain_it_has_or_by_the_worse() -> None:
    """90 in from rail to rail, a seam the other way: along the grain 815 psi bear it, across 165 psi."""
    along, across = (psi * 1.6 * 0.375**2 / 6 for psi in (815, 165))
    one_way = frozenset({"level"})
    other_way = frozenset({"up"})
    for grain, bears in (("up", across), ("across", along), ("any", across)):
        lid = lid_check(Back(PLY, inch(0.375), grain, None, other_way), (90, 90, 0))  # type: ignore[arg-type]  # a grain
        assert lid.ratio == pytest.approx(Q * 90**2 / 8 / bears, rel=1e-6)
    for grain, bears in (("up", along), ("across", across), ("any", across)):
        lid = lid_check(Back(PLY, inch(0.375), grain, None, one_way), (90, 90, 0))  # type: ignore[arg-type]  # a grain
        assert lid.ratio == pytest.approx(Q * 90**2 / 8 / bears, rel=1e-6)
        assert lid.note == "its own weight x 4; the panel alone over 90 in"


def test_a_lid_in_millimetres() -> None:
    bare = Back(PLY, inch(0.375), "up", None, frozenset({"level"}))
    metric = check_lid(bare, (inch(90), inch(90), 0), 10.0, (4.0, 1.6), "metric")
    assert metric.note == "its own weight x 4; the panel alone over 2290 mm"


def test_a_lid_that_bears_its_weight_with_ease_says_how() -> None:
    small = Back(PLY, inch(0.375), "up", None, frozenset({"level"}))
    for kg_m2 in (10.0, 0.0):
        lid = lid_check(small, (20, 20, 0), kg_m2)
        assert lid.verdict == "ok"
        assert lid.note == "its own weight x 4; the panel alone over 20 in"


def test_a_lid_that_nothing_carries_fails() -> None:
    none = lid_check(Back(PLY, inch(0.375), "any", None, frozenset({"up", "level"})), (90, 90, 0))
    assert (none.verdict, none.capacity) == ("fails", 0.0)
    assert none.note == "its own weight x 4; nothing leads to the frame"


@pytest.mark.parametrize(("way", "spans"), [("up", (40.0, 200.0, 80.0)), ("level", (200.0, 40.0, 80.0))])
def test_the_panel_of_a_lid_must_reach_its_battens(way: str, spans: tuple[float, float, float]) -> None:
    """Battens 80 in apart that bear with ease: what fails is the panel between them, along its grain, q s^2 / 8."""
    stout = Ribs(way, inch(80), inch(5.5), inch(3), PLY)  # type: ignore[arg-type]  # one of two words
    grain = "across" if way == "up" else "up"
    lid = lid_check(Back(PLY, inch(0.375), grain, stout, frozenset({"up", "level"})), spans)  # type: ignore[arg-type]
    assert lid.ratio == pytest.approx(Q * 80**2 / 8 / (815 * 1.6 * 0.375**2 / 6), rel=1e-6)
    assert lid.note == "its own weight x 4; the panel over 80 in to its battens, these over 40 in"
