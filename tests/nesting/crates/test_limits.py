"""Limits of shock where pieces ride in foam: the order's column counts there too."""

from decimal import Decimal

import pytest

from nesting.base.measure import INCH, LB_KG
from nesting.crates.cases.pads import cushion_layers
from nesting.crates.expand import expand
from nesting.crates.limits import shock_limit
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


def test_nobody_states_a_limit_unless_somebody_does() -> None:
    assert shock_limit([Artwork("A-01", INCH, INCH, INCH)], SHOP) == (0.0, "")


@pytest.mark.parametrize(("limit", "layers"), [(0.0, 2), (40.0, 2), (9.0, 2), (8.0, 3), (6.0, 3), (5.9, 4)])
def test_foam_is_as_thick_as_a_stated_limit_asks(limit: float, layers: int) -> None:
    """Nobody's limit leaves the shop's 4 in, two layers. 80 lb drop 12 in: C h / G is 4 in at 9 G, 4.5 at 8, 6 at 6."""
    assert cushion_layers(80 * float(LB_KG), 40 * INCH, SHOP, "pe-plank-2", limit=limit) == layers


@pytest.mark.parametrize(("method", "side"), [("carton", 12), ("travel", 40)])
def test_cartons_and_cases_keep_to_a_stated_limit(method: str, side: int) -> None:
    def feels(limit: Decimal | None) -> tuple[float, float]:
        piece = Artwork("A-01", side * INCH, side * INCH, 2 * INCH, weight_kg=Decimal(4), method=method,
                        shock_limit=limit)  # fmt: skip
        packed = expand(Order("an order", (piece,)), SHOP)[-1]
        check = next(check for check in packed.checks if check.name == "cushion, thickness")
        assert check.verdict == "ok"
        assert check.demand is not None
        assert check.capacity is not None
        return check.demand, check.capacity

    (free, loose), (asked, laid) = feels(None), feels(Decimal(28))
    assert asked > free
    assert laid >= asked
    assert laid >= loose
