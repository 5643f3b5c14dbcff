"""Shock: speeds and G by hand, what a limit holds, and foam under skids."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.check import KG_PER_LB
from nesting.advice.cushion import FACES, Cushioned, CushionRules, Foam, design_drop, impact_speed, shock
from nesting.advice.shock import (
    DROP,
    TOPPLE,
    Padded,
    Shaken,
    Tall,
    check_pads,
    check_shock,
    check_toppled,
    rigid_shock,
    topple_speed,
    weak,
)
from nesting.base.measure import INCH, MM

RULES = CushionRules()
PLANK = Foam("polyethylene plank", 0.5, 1.5, "handbooks, from memory")
GIVE = INCH // 4
IN_S = 1 / 0.0254
"""Inches a second in a metre a second."""


def shaken(pounds: float = 80, height: int = 66, longest: int = 60, **more: object) -> Shaken:
    return Shaken(pounds * KG_PER_LB, height * INCH, longest * INCH, GIVE, **more)  # type: ignore[arg-type]  # by name


@pytest.mark.parametrize(("inches", "speed"), [(12, 96.3), (18, 117.9), (24, 136.1), (30, 152.2)])
def test_a_drop_ends_at_the_speed_of_a_free_fall(inches: int, speed: float) -> None:
    """Physics, v = sqrt(2 g h), in in/s."""
    assert impact_speed(inches * INCH) * IN_S == pytest.approx(speed, abs=0.05)


def test_the_upper_edge_of_a_slab_of_66_in_topples_at_276_in_a_second() -> None:
    """Thin slab about its lower edge, sqrt(3 g h): g = 386.09 in/s2, 3 x 386.09 x 66 = 76446, its root 276.5."""
    assert topple_speed(66 * INCH) * IN_S == pytest.approx(276.5, abs=0.05)
    assert topple_speed(66 * INCH) == pytest.approx(impact_speed(99 * INCH)), (
        "as after a fall from one and a half of it"
    )


def test_a_rigid_stop_feels_the_drop_over_what_gives() -> None:
    """Energy balance: G = v^2 / (2 g d) = h / d; 12 in over 1/4 in is 48 G.

    A linear spring that uses all of 1/4 in peaks at twice that, 96 G (the same balance, 2 h / d).
    """
    assert rigid_shock(impact_speed(12 * INCH), GIVE) == pytest.approx(48)
    assert rigid_shock(impact_speed(12 * INCH), GIVE) == pytest.approx(96 / 2)
    # The middle of a slab of 66 in: 3 h / (8 d) = 3 x 66 / 2 = 99 G; its upper edge four times that.
    assert rigid_shock(topple_speed(66 * INCH) / 2, GIVE) == pytest.approx(99)
    assert rigid_shock(topple_speed(66 * INCH), GIVE) == pytest.approx(396)
    with pytest.raises(ValueError, match="something gives"):
        rigid_shock(1.0, 0)


@pytest.mark.parametrize(
    ("pounds", "felt"), [(20, 120), (21, 96), (41, 72), (61, 48), (100, 32), (200, 32), (201, 18), (501, 12)]
)
def test_the_drop_follows_from_the_weight(pounds: float, felt: float) -> None:
    """ISTA 1A: 30, 24, 18, 12, 8 in; ASTM D4169-09, level II, over 200 lb: half of 9 in, over 500 lb half of 6 in."""
    assert shaken(pounds).drop(RULES)[1] == pytest.approx(felt)


def test_without_a_limit_a_shock_informs_and_asks_nothing() -> None:
    drop, topple = check_shock(shaken(), RULES)
    assert (drop.name, topple.name) == (DROP, TOPPLE)
    assert [(each.verdict, each.structure, each.capacity, each.would_pass) for each in (drop, topple)] == [
        ("info", False, 30, "")
    ] * 2
    assert [drop.demand, topple.demand] == pytest.approx([48, 99])
    assert "drop of 12 in by weight, as if by common carrier, 96 in/s" in drop.note
    assert "give 1/4 in: an estimate, +/- 50 %; nobody states a limit: 30 G is what the rules say" in drop.note
    assert "rigid liner does not count; accept that knowingly, or take it there by hand" in drop.note
    assert "66 in high, its upper edge hits the floor at 276 in/s and feels 396 G" in topple.note
    assert check_shock(shaken(longest=20), RULES)[0].capacity == 40, "a small piece takes more"
    low = check_shock(shaken(300, 20), RULES)
    assert [each.verdict for each in low] == ["ok", "ok"]
    assert "knowingly" not in low[0].note
    assert "never let it stand free" not in low[1].note


def test_beyond_a_stated_limit_the_drop_fails_and_a_topple_only_where_nothing_prevents_it() -> None:
    drop, topple = check_shock(shaken(limit=40.0, whose="the order for A-01"), RULES, way_out="pads")
    assert (drop.verdict, drop.structure, drop.capacity, drop.would_pass) == ("fails", True, 40, "pads")
    assert "the limit is stated by the order for A-01" in drop.note
    assert (topple.verdict, topple.structure, topple.capacity, topple.would_pass) == ("info", False, 40, "")
    _, free = check_shock(shaken(limit=40.0, whose="x", topples=True), RULES, way_out="pads")
    assert (free.verdict, free.structure, free.would_pass) == ("fails", True, "pads")
    _, unlimited = check_shock(shaken(topples=True), RULES)
    assert unlimited.verdict == "info", "where nobody states a limit, none is passed"
    assert not weak(drop)
    assert not weak(free)


def test_a_shock_that_is_just_the_limit_keeps_it() -> None:
    drop, _ = check_shock(shaken(limit=48.0, whose="x"), RULES, way_out="pads")
    assert (drop.verdict, drop.structure, drop.would_pass) == ("ok", True, "")
    assert check_shock(shaken(limit=47.9, whose="x"), RULES)[0].verdict == "fails"


def test_on_pads_a_drop_feels_what_the_foam_lets_through() -> None:
    """C h / t: 3 x 12 / 2 = 18 G."""
    drop, topple = check_shock(shaken(limit=30.0, whose="x", pads=2 * INCH), RULES)
    assert (drop.verdict, drop.demand, drop.formula) == ("ok", 18, "G = C h / t")
    assert "on pads 2 in thick under its skids" in drop.note
    assert topple.demand == pytest.approx(99), "pads do nothing where it topples"


def test_figures_are_told_in_metric() -> None:
    drop, topple = check_shock(shaken(), RULES, "metric")
    assert "drop of 304.8 mm" in drop.note
    assert "2.45 m/s; crate, floor and wood give 6.4 mm" in drop.note
    assert "1676.4 mm high, its upper edge hits the floor at 7.02 m/s" in topple.note


@given(st.floats(1, 1000), st.floats(0, 200))
def test_a_heavier_crate_never_feels_more(kg: float, more: float) -> None:
    lighter, heavier = (Shaken(each, INCH, INCH, GIVE).drop(RULES)[1] for each in (kg, kg + more))
    assert heavier <= lighter


def test_a_pad_of_36_lb_at_1_2_psi_measures_30_sq_in() -> None:
    """A foam fabricator's worked example: 36 lb / 1.2 psi = 30 sq in, exactly.

    It reads 40 G off the curve of 2 in of foam of 2 lb/ft3 at a drop of 24 in. C h / t = 3 x 24 / 2 = 36 G: within the
    10 % that such readings are good to.
    """
    loaded, buckling = check_pads(36 * KG_PER_LB, Padded(30 * INCH**2, 3 * INCH, 2 * INCH, 1.33, PLANK))
    assert loaded.verdict == "ok"
    assert loaded.demand == pytest.approx(1.2)
    assert shock(24 * INCH, 2 * INCH, RULES.factor) == 36
    assert shock(24 * INCH, 2 * INCH, RULES.factor) == pytest.approx(40, rel=0.1)
    assert design_drop(36 * KG_PER_LB, RULES).height == 24 * INCH
    # (1.33 x 2)^2 = 7.08 sq in at the least.
    assert buckling.verdict == "ok"
    assert buckling.demand == pytest.approx(2.66)
    assert buckling.demand is not None
    assert buckling.demand**2 == pytest.approx(7.08, abs=0.01)


@pytest.mark.parametrize(
    ("area", "verdict", "told"),
    [
        (23, "fails", "it would bottom out"),
        (24, "ok", ""),
        (72, "ok", ""),
        (73, "fails", "it is hard"),
    ],
)
def test_foam_loaded_out_of_its_range_holds_the_crate(area: int, verdict: str, told: str) -> None:
    """36 lb: at 1.5 psi 24 sq in, at 0.5 psi 72."""
    loaded, _ = check_pads(36 * KG_PER_LB, Padded(area * INCH**2, 3 * INCH, 2 * INCH, 1.33, PLANK))
    assert (loaded.verdict, loaded.structure) == (verdict, True)
    assert told in loaded.note
    assert bool(loaded.would_pass) == (verdict == "fails")
    assert weak(loaded) == (verdict == "fails")


def test_a_pad_narrower_than_its_thickness_allows_buckles() -> None:
    _, buckling = check_pads(36 * KG_PER_LB, Padded(30 * INCH**2, 2 * INCH, 2 * INCH, 1.33, PLANK), "metric")
    assert (buckling.verdict, buckling.unit) == ("fails", "mm")
    assert buckling.capacity == pytest.approx(2 * INCH / MM)


URETHANE = Foam("urethane", 0.1, 1.0, "from memory")
"""No curve of it is known: what comes through is C h / t."""


def in_foam(limit: float = 0.0) -> Cushioned:
    """Return a case of 120 lb with 60 lb in foam of 2 in, its pads loaded with 0.5 psi."""
    areas = ((FACES, 120 * INCH**2), ("ends", 120 * INCH**2))
    return Cushioned(120 * KG_PER_LB, 60 * KG_PER_LB, 40 * INCH, 2 * INCH, areas, URETHANE, 2 * INCH, limit)


def test_what_falls_over_lands_half_way_up_as_from_three_eighths_of_its_height() -> None:
    """60 in high: 22-1/2 in, C h / t = 3 x 22.5 / 2 = 33.75 G; over 1/4 in of wood it would be 22.5 / 0.25 = 90 G."""
    check = check_toppled(in_foam(), Tall(60 * INCH, INCH // 4, topples=True), RULES)
    assert check.demand == pytest.approx(33.75)
    assert (check.capacity, check.verdict, check.structure) == (30.0, "info", False)
    assert check.note == "60 in high: half-way up it lands as from 22 1/2 in; its upper edge lands at twice that speed"


def test_foam_that_bottoms_out_is_no_harder_than_none() -> None:
    soft = replace(in_foam(), thickness=INCH // 2)
    check = check_toppled(soft, Tall(60 * INCH, INCH // 4, topples=False), RULES)
    assert check.demand == pytest.approx(90.0)
    assert "the foam bottoms out: as rigid as without any" in check.note
    assert check.note.endswith("it is kept upright against that")


@pytest.mark.parametrize(
    ("limit", "topples", "verdict"),
    [(30.0, True, "fails"), (30.0, False, "info"), (0.0, True, "info"), (34.0, True, "fails")],
)
def test_a_topple_on_foam_counts_where_nothing_keeps_a_case_upright(limit: float, topples: bool, verdict: str) -> None:
    check = check_toppled(in_foam(limit), Tall(60 * INCH, INCH // 4, topples=topples), RULES)
    assert check.verdict == verdict
    assert bool(check.would_pass) is check.structure is (verdict == "fails")
    low = check_toppled(in_foam(limit), Tall(40 * INCH, INCH // 4, topples=topples), RULES)
    assert low.verdict == "ok", "3 x 15 / 2 = 22.5 G"
