"""Planks of one foam are stacked to the least thickness that is enough, in the fewest layers."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations_with_replacement

import pytest

from nesting.base.measure import INCH
from nesting.shop.planks import planks, stacked, thickness_of, thicknesses
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop

PLAIN = default_shop()
TWO = PLAIN.good("pe-plank-2")


def stocking(*halves: int) -> Shop:
    """Return a shop that stocks planks of so many halves of an inch."""
    made = tuple(replace(TWO, good=f"plank-{each}", thickness=each * INCH // 2) for each in halves)
    return replace(PLAIN, goods=(*(good for good in PLAIN.goods if good.material != TWO.material), *made))


@pytest.mark.parametrize("halves", [(4,), (2, 4), (1, 2, 4), (3, 4), (5, 2)])
def test_no_other_stack_is_thinner_or_has_fewer_layers(halves: Sequence[int]) -> None:
    shop = stocking(*halves)
    first = f"plank-{halves[0]}"
    for asked in range(1, 13):
        stack = stacked(asked * INCH // 2, shop, first)
        total, count = thickness_of(stack), len(stack)
        reached = [
            (sum(each), len(each))
            for layers in range(1, 13)
            for each in combinations_with_replacement(halves, layers)
            if sum(each) >= asked
        ]
        assert (total * 2 // INCH, count) == min(reached)
        assert [good.thickness for good in stack] == sorted((good.thickness for good in stack), reverse=True)


def test_only_the_same_foam_is_stacked() -> None:
    shop = stocking(2, 4)
    other = replace(TWO, good="urethane", material="ester urethane", thickness=INCH)
    shop = replace(shop, goods=(*shop.goods, other))
    assert [good.good for good in planks(shop, "plank-4")] == ["plank-2", "plank-4"]
    assert [good.good for good in stacked(3 * INCH, shop, "plank-4")] == ["plank-4", "plank-2"]
    assert thicknesses(4 * INCH, shop, "plank-4") == (INCH, 2 * INCH, 3 * INCH, 4 * INCH)


def test_of_two_of_one_thickness_the_named_one_is_taken() -> None:
    shop = replace(stocking(4), goods=(*stocking(4).goods, replace(TWO, good="other")))
    assert {good.good for good in stacked(4 * INCH, shop, "other")} == {"other"}
    assert [good.good for good in stacked(0, shop, "plank-4")] == ["plank-4"]
