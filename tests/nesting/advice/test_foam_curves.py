"""The two read points of a foam fabricator's worked example, and algebra on the curve through them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.advice.foam_curves import (
    PLANK,
    FoamCurve,
    best_stress,
    energy,
    extrapolated,
    felt,
    stress_range,
)
from nesting.base.measure import INCH


@pytest.mark.parametrize("stress", [0.4, 1.2])
def test_the_points_that_were_read(stress: float) -> None:
    """2 in of polyethylene plank, 24 in: 40 G at 0.4 and at 1.2 psi (fabricator's worked example, within 10 %)."""
    assert felt(24 * INCH, 2 * INCH, stress) == pytest.approx(40.0, rel=1e-3)
    # At the level of the shop's rule, C 3 at the best load, still within the 10 %.
    assert felt(24 * INCH, 2 * INCH, stress, factor=3.0) == pytest.approx(40.0, rel=0.1)
    assert extrapolated(24 * INCH, 2 * INCH, stress) == ""


def test_the_constants_are_those_of_an_exponential_through_them() -> None:
    """E = s h / t is 4.8 and 14.4 in-lb/in3, the stresses 16 and 48 psi: b = ln 3 / 9.6, a = 16 exp(-4.8 b)."""
    assert (energy(24, 2, 0.4), energy(24, 2, 1.2)) == pytest.approx((4.8, 14.4))
    assert PLANK.stress(4.8) == pytest.approx(16, rel=1e-4)
    assert PLANK.stress(14.4) == pytest.approx(48, rel=1e-4)


@pytest.mark.parametrize(
    ("inch", "least", "best"),
    [(12, 17.2, 1.46), (18, 25.9, 0.97), (24, 34.5, 0.73), (30, 43.1, 0.58), (36, 51.7, 0.49)],
)
def test_least_shock_of_two_inches(inch: int, least: float, best: float) -> None:
    """Computed by that fit: G = 2.874 h / t at t / (b h)."""
    stress = best_stress(inch * INCH, 2 * INCH)
    assert stress == pytest.approx(best, abs=0.01)
    assert felt(inch * INCH, 2 * INCH, stress) == pytest.approx(least, abs=0.1)
    assert PLANK.factor == pytest.approx(2.874, abs=0.001)


@pytest.mark.parametrize(("inch", "shock"), [(8, 12.9), (12, 18.0)])
def test_a_pad_by_hand(inch: int, shock: float) -> None:
    """66 lb on four pads 3-3/8 in square, 2 in thick: 66 / 45.5625 = 1.4486 psi.

    x = s / best s is 0.663 at 8 in and 0.995 at 12 in; C h / t is 12 and 18; times exp(x - 1) / x: 12.9 and 18.0.
    """
    stress = 66 / (4 * 3.375**2)
    assert stress == pytest.approx(1.4486, abs=1e-4)
    assert felt(inch * INCH, 2 * INCH, stress, factor=3.0) == pytest.approx(shock, abs=0.05)


@settings(max_examples=30)
@given(st.integers(3, 36), st.integers(1, 6), st.floats(8.0, 150.0))
def test_the_range_of_loads_is_where_the_limit_is_kept(drop: int, thick: int, limit: float) -> None:
    found = stress_range(drop * INCH, thick * INCH, limit, factor=3.0)
    best = best_stress(drop * INCH, thick * INCH)
    assert (found is None) == (felt(drop * INCH, thick * INCH, best, factor=3.0) > limit)
    if found is None:
        return
    low, high = found
    assert low <= best <= high
    for inside in (low, high, (low + high) / 2):
        assert felt(drop * INCH, thick * INCH, inside, factor=3.0) <= limit * (1 + 1e-9)
    for outside in (0.99 * low, 1.01 * high):
        assert felt(drop * INCH, thick * INCH, outside, factor=3.0) > limit


def test_where_nothing_was_read_it_says_so() -> None:
    assert "extrapolated" in extrapolated(24, 2, 0.39)
    assert "bottom out" in extrapolated(24, 2, 1.21)
    assert extrapolated(24, 2, 0.39, units="metric").startswith("under 2.76 kPa ")
    assert extrapolated(24, 2, 1.21, units="metric").startswith("beyond 99.3 kJ/m3 ")
    assert extrapolated(24, 2, 0.1, FoamCurve(5.0, 0.2)) == "", "of another foam's curve nobody says what was read"


def test_bad_values_are_refused() -> None:
    with pytest.raises(ValueError, match="no cushion"):
        energy(24, 0, 1.0)
    with pytest.raises(ValueError, match="static stress of more than nothing"):
        felt(24, 2, 0.0)
    with pytest.raises(ValueError, match="a drop of 0"):
        best_stress(0, 2)
    with pytest.raises(ValueError, match="two constants above 0"):
        FoamCurve(0.0, 1.0)
