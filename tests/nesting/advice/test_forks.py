import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.forks import ForkRules, check_forks, check_tipping, needs_outriggers, tipping_angle
from nesting.base.measure import INCH

RULES = ForkRules()


@pytest.mark.parametrize(
    ("height", "jack", "forks"),
    [
        (7 * INCH // 2, "ok", "ok"),
        (13 * INCH // 4, "fails", "ok"),
        (5 * INCH // 2, "fails", "ok"),
        (3 * INCH // 2, "fails", "fails"),
    ],
)
def test_skid_heights(height: int, jack: str, forks: str) -> None:
    """A lowered jack is 3 to 3-1/4 in high (three equipment pages): 4x4 or 2x4 on edge passes, 2x4 flat does not."""
    checks = check_forks(height, 28 * INCH, RULES)
    assert [found.verdict for found in checks] == [jack, "ok", forks]


def test_skid_width() -> None:
    """27 in over both forks (three equipment pages)."""
    assert check_forks(7 * INCH // 2, 27 * INCH, RULES)[1].verdict == "ok"
    assert check_forks(7 * INCH // 2, 27 * INCH - 1, RULES)[1].verdict == "fails"


def test_outriggers_under_a_third() -> None:
    """Common practice, no source."""
    assert not needs_outriggers(20 * INCH, 60 * INCH, RULES)
    assert needs_outriggers(20 * INCH - 1, 60 * INCH, RULES)
    bare, helped = (check_tipping(10 * INCH, 60 * INCH, 30 * INCH, RULES, outriggers=has) for has in (False, True))
    assert bare.verdict == helped.verdict == "watch"
    assert "it has no outriggers: never let it stand free" in bare.note
    assert "its outriggers do not make up for its height: never let it stand free" in helped.note
    for has in (False, True):
        wide = check_tipping(24 * INCH, 60 * INCH, 30 * INCH, RULES, "metric", outriggers=has)
        assert (wide.verdict, wide.unit, wide.note) == ("ok", "mm", "falls when tilted 22 degrees")


def test_tipping_angle_by_statics() -> None:
    assert tipping_angle(20 * INCH, 10 * INCH) == pytest.approx(45.0)
    with pytest.raises(ValueError, match="centre of gravity above"):
        tipping_angle(20 * INCH, 0)


@given(st.integers(1, 10**8), st.integers(1, 10**8), st.integers(1, 10**7))
def test_a_wider_base_stands_better(base: int, centre: int, more: int) -> None:
    assert tipping_angle(base + more, centre) >= tipping_angle(base, centre)
    assert tipping_angle(base, centre + more) <= tipping_angle(base, centre)
