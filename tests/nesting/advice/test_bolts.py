"""Bolts: areas and pulls by hand, beside the tables that they come from."""

import pytest

from nesting.advice.bolts import (
    check_handles,
    check_prying,
    check_pull_through,
    head_area,
    prying,
    pull_allowed,
    washer_area,
)


def test_areas_of_washers_and_heads() -> None:
    # Standard cut washers (ASME, from memory): 1/4 in, 3/4 wide: 0.365 sq in; 3/8 in, 1 wide: 0.635; 1/2: 1.236.
    assert [round(washer_area(d), 3) for d in (0.25, 0.375, 0.5)] == [0.365, 0.635, 1.236]
    # A 3/8 in carriage bolt: head 0.83 in wide, 0.43 sq in after the neck hole: two thirds of the washer.
    assert head_area(0.375) == pytest.approx(0.43, abs=0.005)


def test_what_they_hold_before_they_sink_in() -> None:
    # At 340 psi (Group 1 plywood): 124 and 216 lb.
    assert pull_allowed(washer_area(0.25)) == pytest.approx(124, abs=0.5)
    assert pull_allowed(washer_area(0.375)) == pytest.approx(216, abs=0.5)


def test_a_handle_pulled_out_by_hand() -> None:
    # 149 lb by four people: 37.25 lb a handle, three times is 111.75; two T-nuts hold 2 x 124 = 248 lb.
    rated, pulled = check_handles(37.25, 3, 150), check_pull_through(37.25, 3, 2, 0.25)
    assert (rated.demand, rated.capacity, rated.verdict) == (111.75, 150, "ok")
    assert (pulled.demand, pulled.verdict) == (111.75, "ok")
    assert pulled.capacity == pytest.approx(248, abs=1)
    assert check_pull_through(90, 3, 2, 0.25).verdict == "fails"


def test_a_handle_that_nobody_rated_or_that_is_too_weak() -> None:
    unrated = check_handles(10, 3, 0)
    assert unrated.verdict == "fails"
    assert "ask its maker" in unrated.note
    assert not unrated.structure
    assert check_handles(60, 3, 150, structure=True).verdict == "fails"


def test_longer_skids_pry_their_bolts() -> None:
    # 200 lb, 4 in beyond the crate, the farther bolt 5 in from the edge: 100 x 4 / 5 = 80 lb, with 2 for safety 160;
    # a head holds 0.43 x 340 = 146 lb.
    assert prying(200, 4, 5) == 80
    found = check_prying(200, 4, 5, 0.375)
    assert found.demand == 160
    assert found.capacity == pytest.approx(146, abs=1)
    assert found.verdict == "fails"
    assert check_prying(200, 3, 5, 0.375).verdict == "ok"


def test_figures_in_the_orders_units() -> None:
    assert check_handles(10, 3, 150, "metric").unit == "kg"
    assert check_prying(200, 3, 5, 0.375, "metric").unit == "N"
