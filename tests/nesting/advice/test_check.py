import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice import check
from nesting.advice.check import ADVICE, Check, Unit, compare, figure, inform, said, table_pounds
from tests.nesting.advice.units import convert


def a_check(demand: float, capacity: float, unit: Unit = "lbf") -> Check:
    return compare("screws", demand, capacity, unit, formula="a / b", source="us", limits="none known")


def test_a_figure_in_a_note_follows_the_unit_system() -> None:
    assert (said(1290.4, "lbf", "inch"), said(1290.4, "lbf", "metric")) == ("1290 lbf", "5740 N")
    assert (said(5740.0, "N", "inch"), said(5740.0, "N", "metric")) == ("1290 lbf", "5740 N")
    assert said(815.0, "psi", "metric", mark=False) == figure(convert(815.0, "psi", "kPa")) == "5620"
    assert said(10.0, "sq in", "metric") == f"{figure(convert(10.0, 'inch**2', 'cm**2'))} sq cm"
    assert said(22.0, "G", "metric") == "22 G"


def test_constants_agree_with_pint() -> None:
    assert convert(1, "pound", "kg") == pytest.approx(check.KG_PER_LB, rel=1e-12)
    assert convert(1, "force_pound", "newton") == pytest.approx(check.N_PER_LBF, rel=1e-12)
    assert convert(1, "psi", "kPa") == pytest.approx(check.KPA_PER_PSI, rel=1e-12)


def test_verdict_follows_the_ratio() -> None:
    assert a_check(79.0, 100.0).verdict == "ok"
    # A check that holds asks nothing of anybody: "watch" is for what a person must do.
    assert a_check(100.0, 100.0).verdict == "ok"
    assert a_check(100.1, 100.0).verdict == "fails"
    assert a_check(0.0, 100.0).verdict == "ok"
    nothing = a_check(5.0, 0.0)
    assert nothing.verdict == "fails"
    assert nothing.ratio is None


def test_soft_values_only_warn() -> None:
    soft = compare("stress", 3.0, 2.0, "psi", formula="f", source="s", limits="l", worst="watch")
    assert soft.verdict == "watch"


def test_every_check_says_that_it_is_advice() -> None:
    assert "not a certification" in ADVICE
    assert a_check(1.0, 2.0).advice is ADVICE
    assert a_check(1.0, 2.0).as_dict()["advice"] == ADVICE
    json.dumps(a_check(1.0, 2.0).as_dict(), allow_nan=False)


@pytest.mark.parametrize(
    ("unit", "other", "factor"),
    [("lbf", "N", 4.4482216152605), ("lb", "kg", 0.45359237), ("in", "mm", 25.4), ("psi", "kPa", 6.894757293168361)],
)
def test_in_system_converts_there_and_back(unit: Unit, other: Unit, factor: float) -> None:
    """Factors: exact by definition (psi to the digits printed by NIST SP 811)."""
    there = a_check(3.0, 4.0, unit).in_system("metric")
    assert there.unit == other
    assert there.demand == pytest.approx(3.0 * factor, rel=1e-12)
    assert there.ratio == pytest.approx(0.75)
    back = there.in_system("inch")
    assert back.unit == unit
    assert back.capacity == pytest.approx(4.0, rel=1e-12)
    assert back.in_system("inch") is back


def test_units_without_a_partner_stay() -> None:
    shock = a_check(3.0, 4.0, "G")
    assert shock.in_system("metric") is shock


def test_bad_checks_are_refused() -> None:
    with pytest.raises(ValueError, match="needs its source"):
        compare("x", 1.0, 2.0, "lb", formula="f", source="", limits="l")
    with pytest.raises(ValueError, match="not a number"):
        a_check(math.inf, 2.0)
    with pytest.raises(ValueError, match="not demand over capacity"):
        Check("x", 1.0, 2.0, "lb", 0.7, "ok", "f", "s", "l")
    with pytest.raises(ValueError, match="no verdict"):
        Check("x", 1.0, 2.0, "lb", 0.5, "fine", "f", "s", "l")  # type: ignore[arg-type]  # the point of the test


def test_sentence_holds_figures_and_note() -> None:
    assert a_check(1.0, 2.0).sentence() == "screws: ok; 1 of 2 lbf"
    told = inform("lift", "two people", source="s", limits="l", demand=60.0, unit="lb")
    assert told.sentence() == "lift: info; 60 lb; two people"
    assert told.ratio is None
    assert inform("lift", "two people", source="s", limits="l").sentence() == "lift: info; two people"


@given(st.integers(0, 10**7))
def test_whole_pounds_survive_kilograms(pound: int) -> None:
    assert table_pounds(pound * check.KG_PER_LB) == pound


@pytest.mark.parametrize(
    ("value", "text"),
    [(1290.4, "1290"), (12.94, "12.9"), (0.01294, "0.0129"), (99.96, "100"), (0.0, "0"), (150, "150")],
)
def test_figures_are_plain(value: float, text: str) -> None:
    assert figure(value) == text
