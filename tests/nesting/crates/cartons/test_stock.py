"""Stocked cartons: which of them takes a parcel, and how far one that telescopes is drawn out."""

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.cartons.stock import cartons, fits, smallest_carton
from nesting.crates.model import Size
from nesting.shop.goods import Good, StockSize
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
TELESCOPE = Good(
    "t",
    "Invented telescoping carton",
    "each",
    "carton",
    (StockSize("t"),),
    inside=(20 * INCH, 14 * INCH, 5 * INCH),
    opens_to=(26 * INCH, 14 * INCH, 9 * INCH),
)
sides = st.integers(INCH, 40 * INCH)


@given(st.tuples(sides, sides, sides))
@settings(max_examples=60)
def test_it_is_drawn_out_as_far_as_it_must_be_and_no_farther(need: tuple[int, int, int]) -> None:
    found = fits(Size(*need), [TELESCOPE])
    takes = any(all(map(int.__le__, need, turned)) for turned in permutations(TELESCOPE.opens_to))
    assert bool(found) is takes
    for fit in found:
        room = (fit.inside.width, fit.inside.height, fit.inside.depth)
        assert all(map(int.__le__, need, room))
        # In the carton's own order: no side beyond its range, and none more than 1/4 in farther out than needed.
        for order in permutations(range(3)):
            drawn = [room[index] for index in order]
            wanted = [need[index] for index in order]
            if all(
                low <= side <= high and (side in (low, high) or side - want < INCH // 4)
                for low, high, side, want in zip(TELESCOPE.inside, TELESCOPE.opens_to, drawn, wanted, strict=True)
            ):
                break
        else:
            pytest.fail(f"{room} for {need}")


def test_the_one_that_is_asked_for_is_taken() -> None:
    need = Size(10 * INCH, 10 * INCH, 4 * INCH)
    asked = smallest_carton(need, SHOP, "carton 36x36x12")
    assert asked is not None
    assert asked.good.good == "carton 36x36x12"
    assert smallest_carton(need, SHOP, "none of that name") is None


def test_flat_and_telescoping_cartons_are_stocked_and_rated() -> None:
    stocked = {good.good: good for good in cartons(SHOP)}
    assert sum(name.startswith("picture carton") for name in stocked) == 5
    assert sum(bool(good.opens_to) for good in stocked.values()) == 4
    assert all(good.rated_lb > 0 for good in stocked.values())


def test_a_carton_that_opens_to_less_than_it_holds_is_refused() -> None:
    with pytest.raises(ValueError, match="opens_to is no less than inside"):
        replace(TELESCOPE, opens_to=(26 * INCH, 13 * INCH, 9 * INCH))
