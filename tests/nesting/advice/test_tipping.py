"""Tipping: worked by hand beside statics and the tip test of MIL-STD-1660A."""

from math import atan, degrees

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.tipping import check_standing, frame_base, half_for, tips_at
from nesting.base.measure import INCH
from nesting.shop.house_rules import GearRules


def test_angles_by_hand() -> None:
    # atan(half depth / height of the centre of gravity): 6-3/4 in deep, 66 high: 5.8 degrees; 18 deep, 48 high: 20.6.
    assert tips_at(27 * INCH // 8, 33 * INCH) == pytest.approx(5.84, abs=0.005)
    assert tips_at(9 * INCH, 24 * INCH) == pytest.approx(20.56, abs=0.005)


def test_a_pallet_keeps_a_centre_of_gravity_of_49_in_upright() -> None:
    # 20 / tan 20 = 54.95 in over the floor, 5-1/2 of it the deck.
    gear = GearRules()
    assert tips_at(gear.pallet_wide // 2, 49 * INCH + gear.pallet_high) > 20
    assert tips_at(gear.pallet_wide // 2, 50 * INCH + gear.pallet_high) < 20


def test_the_base_of_an_a_frame() -> None:
    # 2 x tan 20 x 60 in = 43.68 in, up to the next half inch; never less than the crate.
    assert frame_base(20, 60 * INCH, 8 * INCH) == 44 * INCH
    assert frame_base(20, 6 * INCH, 8 * INCH) == 8 * INCH


def test_the_check_holds_a_crate_that_falls_before_20_degrees() -> None:
    free = check_standing(20, 20.6, "free")
    falls = check_standing(20, 5.8, "free", "a lower crate")
    assert (free.verdict, free.would_pass, free.structure) == ("ok", "", True)
    assert (falls.verdict, falls.would_pass, falls.structure) == ("fails", "a lower crate", True)


@given(st.floats(1, 45), st.integers(INCH, 200 * INCH))
def test_half_a_base_worked_back_stands_its_tilt(tilt: float, high: int) -> None:
    half = half_for(tilt, high)
    assert degrees(atan(half / high)) >= tilt - 1e-9
    assert degrees(atan((half - 2) / high)) < tilt


def test_the_least_half_is_the_tangent_rounded_up() -> None:
    """The tangent of 20 degrees is 0.363970; 40 in up: 14.5588 in."""
    half = half_for(20.0, 40 * INCH)
    assert half / INCH == pytest.approx(14.5588, abs=1e-4)
    assert tips_at(half, 40 * INCH) >= 20.0 > tips_at(half - 1, 40 * INCH)


def test_what_has_its_centre_beyond_an_edge_has_fallen() -> None:
    assert tips_at(-1, 10) == 0
