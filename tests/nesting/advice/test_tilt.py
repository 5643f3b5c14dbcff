"""Tilt: how far what stands may lean."""

import pytest

from nesting.advice.tilt import check_tilt, least_half, tilt_of
from nesting.base.measure import INCH

MEND = "a wider base"


def test_worked_cases_of_statics() -> None:
    """Static angle = atan(half depth / height of the centre): 6-3/4 in deep, 66 high 5.8; 18 deep, 48 high 20.6.

    Both from the project's collected standards; the centre of gravity half way up.
    """
    assert tilt_of((27 * INCH // 8,), 33 * INCH) == pytest.approx(5.84, abs=0.01)
    assert tilt_of((9 * INCH, 9 * INCH), 24 * INCH) == pytest.approx(20.56, abs=0.01)


def test_the_least_side_decides_and_one_beyond_its_edge_has_fallen() -> None:
    assert tilt_of((10, 3, 10, 10), 10) == tilt_of((3,), 10)
    assert tilt_of((-1, 5), 10) == 0
    with pytest.raises(ValueError, match="above the floor"):
        tilt_of((5,), 0)


def test_the_least_half_is_the_tangent_rounded_up() -> None:
    """The tangent of 20 degrees is 0.363970; 40 in up: 14.5588 in."""
    half = least_half(20.0, 40 * INCH)
    assert half / INCH == pytest.approx(14.5588, abs=1e-4)
    assert tilt_of((half,), 40 * INCH) >= 20.0
    assert tilt_of((half - 1,), 40 * INCH) < 20.0
    with pytest.raises(ValueError, match="accepted: 0 to 90"):
        least_half(90.0, 1)


def test_what_falls_too_early_fails_with_what_would_pass() -> None:
    fails = check_tilt(20.0, 12.0, note="n", would_pass=MEND)
    assert (fails.verdict, fails.structure, fails.would_pass) == ("fails", True, MEND)
    holds = check_tilt(20.0, 21.0, note="n", would_pass=MEND)
    assert (holds.verdict, holds.would_pass) == ("ok", "")
    assert check_tilt(20.0, 21.0, note="n", watched=True).verdict == "watch"
    assert "MIL-STD-1660A" in holds.source
