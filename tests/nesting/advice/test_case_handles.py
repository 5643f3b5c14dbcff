"""Handles of cases against their share of the weight."""

from dataclasses import replace

import pytest

from nesting.advice.case_handles import T_NUT_LBF, Gripped, check_handles

FOUR = Gripped(gross_lb=140.0, lifters=4, factor=3.0, rated_lb=150.0, holds_lbf=4 * T_NUT_LBF, by="4 bolts")


def test_a_t_nut_bears_as_the_washer_of_its_size() -> None:
    """Cut washer 1/4 in: 0.365 sq in at 340 psi: 124 lb (the project's collected table of washers)."""
    assert round(T_NUT_LBF) == 124


@pytest.mark.parametrize(("lifters", "share"), [(1, 70.0), (2, 70.0), (3, 140 / 3), (4, 35.0)])
def test_each_lifter_holds_by_one_handle_and_one_alone_by_two(lifters: int, share: float) -> None:
    assert replace(FOUR, lifters=lifters).share == share


def test_the_lesser_of_rating_and_bolts_decides() -> None:
    """140 lb among four, three times: 105 lb against 150; two bolts bear 248 lb, one 124."""
    check = check_handles(FOUR)
    assert (check.demand, check.capacity, check.verdict) == (105.0, 150.0, "ok")
    assert check_handles(replace(FOUR, holds_lbf=T_NUT_LBF)).capacity == T_NUT_LBF
    assert check_handles(replace(FOUR, rated_lb=0.0)).capacity == 4 * T_NUT_LBF
    over = check_handles(replace(FOUR, lifters=2))
    assert (over.demand, over.verdict, over.structure) == (210.0, "fails", True)
    soft = check_handles(replace(FOUR, lifters=2), may_fail=False)
    assert (soft.verdict, soft.structure) == ("watch", False)
