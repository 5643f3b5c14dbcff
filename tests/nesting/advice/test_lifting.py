"""Revised NIOSH equation, DHHS 94-110: constant and distance multipliers as printed; caps and tables from memory."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.check import KG_PER_LB
from nesting.advice.lifting import (
    Lift,
    LiftingRules,
    check_lifting,
    lift_of_crate,
    multipliers,
    recommended_lb,
    team_factor,
    team_for,
)
from nesting.base.measure import INCH, MM

RULES = LiftingRules()


@pytest.mark.parametrize(
    ("out", "up", "travel", "limit"), [(10, 30, 10, 51.0), (20, 30, 10, 25.5), (20, 10, 30, 51 * 0.5 * 0.85 * 0.88)]
)
def test_recommended_limit(out: int, up: int, travel: int, limit: float) -> None:
    """Computed by hand from the printed formulas; the last is 19.07 lb."""
    assert recommended_lb(Lift(out * INCH, up * INCH, travel * INCH)) == pytest.approx(limit, rel=1e-9)


@given(st.integers(250, 630), st.integers(0, 1750), st.integers(250, 1750))
def test_metric_form_gives_the_same_limit(out: int, up: int, travel: int) -> None:
    """23 kg, 25/H, 1 - 0.003 |V - 75|, 0.82 + 4.5/D: the printed metric form, rounded by its authors."""
    metric = 23 * (25 / (out / 10)) * (1 - 0.003 * abs(up / 10 - 75)) * (0.82 + 4.5 / (travel / 10))
    ours = recommended_lb(Lift(out * MM, up * MM, travel * MM)) * KG_PER_LB
    assert ours == pytest.approx(metric, rel=0.05)


def test_caps() -> None:
    """Clamps of 94-110, from memory."""
    assert multipliers(Lift(out=5 * INCH))["HM"] == 1.0
    assert multipliers(Lift(out=25 * INCH))["HM"] == 0.4
    assert multipliers(Lift(out=25 * INCH + 1))["HM"] == 0.0
    assert multipliers(Lift(up=70 * INCH))["VM"] == pytest.approx(0.7)
    assert multipliers(Lift(up=70 * INCH + 1))["VM"] == 0.0
    assert multipliers(Lift(travel=0))["DM"] == 1.0
    assert multipliers(Lift(travel=70 * INCH))["DM"] == pytest.approx(0.82 + 1.8 / 70)
    assert multipliers(Lift(travel=71 * INCH))["DM"] == 0.0
    assert multipliers(Lift(turned=90))["AM"] == pytest.approx(0.712)
    assert multipliers(Lift(turned=135))["AM"] == pytest.approx(0.568)
    assert multipliers(Lift(turned=136))["AM"] == 0.0
    assert multipliers(Lift(up=29 * INCH, coupling="fair"))["CM"] == 0.95
    assert multipliers(Lift(coupling="fair"))["CM"] == 1.0
    assert multipliers(Lift(coupling="poor"))["CM"] == 0.90
    assert recommended_lb(Lift(frequency=0.5)) == pytest.approx(25.5)
    assert list(multipliers(Lift())) == ["HM", "VM", "DM", "AM", "CM", "FM"]


@pytest.mark.parametrize(("people", "each", "team"), [(2, 20, 26.67), (2, 25, 33.3), (3, 25, 37.5)])
def test_team_factors(people: int, each: float, team: float) -> None:
    """Rule of the British Health and Safety Executive, quoted by three safety pages."""
    assert people * each * team_factor(people) == pytest.approx(team, abs=0.05)


def test_nobody_lifts_nothing() -> None:
    with pytest.raises(ValueError, match="1 or more"):
        team_factor(0)


@pytest.mark.parametrize(
    ("pound", "longest", "team"),
    [
        (20, 36, "one person"), (50, 48, "one person"), (50.01, 36, "two people"), (20, 49, "two people"),
        (66.6, 36, "two people"), (66.7, 36, "three people"), (75.1, 36, "four people"), (149.9, 36, "four people"),
        (150, 36, "forks"),
    ],
)  # fmt: skip
def test_teams(pound: float, longest: int, team: str) -> None:
    """50 lb a person (ASTM D6804: 40 to 50 typical), 2/3 of two, 1/2 of more; forks from 150 lb (from memory)."""
    assert team_for(pound * KG_PER_LB, longest * INCH, RULES) == team


@given(st.floats(0.1, 400), st.floats(0, 100), st.integers(10, 120))
def test_more_weight_never_takes_fewer_people(pound: float, more: float, longest: int) -> None:
    order = ["one person", "two people", "three people", "four people", "forks"]
    light, heavy = (team_for(w * KG_PER_LB, longest * INCH, RULES) for w in (pound, pound + more))
    assert order.index(light) <= order.index(heavy)


def test_a_crate_with_and_without_handles() -> None:
    """36 x 5-1/2 in on the floor: H 10.75, V 18, D 30: 51 x 0.930 x 0.910 x 0.880 = 38.0 lb with handles."""
    with_handles = lift_of_crate(36 * INCH, 11 * INCH // 2, RULES, handles=True)
    without = lift_of_crate(36 * INCH, 11 * INCH // 2, RULES, handles=False)
    assert recommended_lb(with_handles) == pytest.approx(51 * (10 / 10.75) * 0.91 * 0.88)
    assert recommended_lb(without) == pytest.approx(0.9 * recommended_lb(with_handles))


@pytest.mark.parametrize(
    ("height", "depth", "lift_to", "out", "up", "travel"),
    [
        (61, 2, 30, 10, 30, 30),  # hands no nearer than 10 in, no higher than 30 in at the start
        (36, 8, 12, 12, 18, 12),
        (36, 8, 5, 12, 18, 10),  # D is 10 in at the least
    ],
)
def test_where_the_hands_are(height: int, depth: int, lift_to: int, out: int, up: int, travel: int) -> None:
    """H = 8 in + half the depth, V half way up (94-110, from memory)."""
    rules = LiftingRules(lift_to=lift_to * INCH)
    lift = lift_of_crate(height * INCH, depth * INCH, rules, handles=True)
    assert (lift.out, lift.up, lift.travel) == (out * INCH, up * INCH, travel * INCH)


def test_where_the_hands_are_is_on_the_grid() -> None:
    lift = lift_of_crate(36 * INCH + 1, 8 * INCH + 1, RULES, handles=True)
    assert isinstance(lift.out, int)
    assert isinstance(lift.up, int)


@pytest.mark.parametrize(
    ("pound", "may", "verdict"),
    [
        (50, 51.0, "ok"),
        (60, 68.0, "ok"),  # two people: 2 x 51 x 2/3
        (70, 76.5, "ok"),  # three: 3 x 51 / 2
        (100, 102.0, "ok"),  # four: 4 x 51 / 2
        (120, 102.0, "watch"),
        (200, 102.0, "info"),  # forks; four people by hand
    ],
)
def test_what_a_team_may_lift(pound: float, may: float, verdict: str) -> None:
    found = check_lifting(pound * KG_PER_LB, 36 * INCH, Lift(), RULES)
    assert found.capacity == pytest.approx(may)
    assert found.ratio == pytest.approx(pound / may)
    assert found.verdict == verdict


@pytest.mark.parametrize(
    ("pound", "lift", "index", "verdict"),
    [
        (25.5, Lift(out=20 * INCH), 1.0, "ok"),  # 51 / 2
        (38.25, Lift(out=20 * INCH, frequency=0.5), 3.0, "watch"),  # 51 / 4
        (1.02, Lift(frequency=0.01), 2.0, "watch"),  # 0.51 lb
        (1.02, Lift(frequency=0.0), None, "fails"),
    ],
)
def test_where_the_lifting_index_turns(pound: float, lift: Lift, index: float | None, verdict: str) -> None:
    """To 1 nobody is asked to do anything, to 3 with care, beyond by no one (NIOSH 94-110)."""
    found = check_lifting(pound * KG_PER_LB, 36 * INCH, lift, RULES)
    assert found.ratio == index
    assert found.verdict == verdict
    assert ("dolly" in found.note) == (verdict != "ok")


def test_what_the_check_prints_beside_its_figures() -> None:
    far = check_lifting(40 * KG_PER_LB, 36 * INCH, Lift(out=20 * INCH), RULES)
    assert far.name == "lifting"
    assert far.formula == "lifting index = weight / (n RWL team factor); RWL = 51 HM VM DM AM CM FM"
    assert far.source == "NIOSH 94-110 (rev. 2021); team factors of the HSE (quoted)"
    assert far.limits_of_use == "healthy adults, two hands, good floor, seldom lifted; not for stairs or carrying far"
    assert far.note == (
        "the second figure is what NIOSH recommends that one person lift by hand in this way; one person; "
        "use a dolly or a lift table, and keep it close and low"
    )


def test_lifting_index_decides() -> None:
    good = Lift()
    assert check_lifting(40 * KG_PER_LB, 36 * INCH, good, RULES).verdict == "ok"
    far = check_lifting(40 * KG_PER_LB, 36 * INCH, Lift(out=20 * INCH), RULES)
    assert far.verdict == "watch"
    assert far.ratio == pytest.approx(40 / 25.5)
    assert check_lifting(48 * KG_PER_LB, 36 * INCH, Lift(out=25 * INCH, up=0), RULES).verdict == "fails"
    out_of_reach = check_lifting(40 * KG_PER_LB, 36 * INCH, Lift(out=30 * INCH), RULES)
    assert out_of_reach.verdict == "fails"
    assert out_of_reach.ratio is None
    forks = check_lifting(200 * KG_PER_LB, 36 * INCH, good, RULES)
    assert forks.verdict == "info"
    assert forks.note.startswith("the second figure is what NIOSH recommends that four people lift by hand")
    assert forks.note.endswith("forks or a pallet jack; not by hand")
    alone = check_lifting(40 * KG_PER_LB, 36 * INCH, good, RULES, "metric")
    assert "NIOSH recommends that one person lift by hand" in alone.note
    assert alone.unit == "kg"
    assert alone.demand == pytest.approx(40 * KG_PER_LB)


def test_bad_lifts_are_refused() -> None:
    assert recommended_lb(Lift(frequency=0.0)) == 0.0
    with pytest.raises(ValueError, match="frequency factor"):
        Lift(frequency=2.0)
    for wrong in ({"out": -1}, {"up": -1}, {"travel": -1}, {"turned": -1}):
        with pytest.raises(ValueError, match="a lift has distances"):
            Lift(**wrong)  # type: ignore[arg-type]  # one field each
    with pytest.raises(ValueError, match="one_person_lb"):
        LiftingRules(one_person_lb=5.0)
