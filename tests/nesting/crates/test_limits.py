"""Limits of shock where pieces ride in foam: the order's column counts there too."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.advice.carriage import Carriage
from nesting.advice.cushion import SHOCK
from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, LB_KG
from nesting.crates.cases.pads import cushion_layers, cushion_wanted
from nesting.crates.expand import expand
from nesting.crates.limits import as_ordered, never_snug, shock_limit, snug_faults
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
FIXED = replace(SHOP, case=replace(SHOP.case, cushion="fixed"))


def test_nobody_states_a_limit_unless_somebody_does() -> None:
    assert shock_limit([Artwork("A-01", INCH, INCH, INCH)], SHOP) == (0.0, "")


@pytest.mark.parametrize(("limit", "layers"), [(0.0, 2), (40.0, 2), (9.0, 2), (8.0, 3), (6.0, 3), (5.9, 4)])
def test_foam_is_as_thick_as_a_stated_limit_asks(limit: float, layers: int) -> None:
    """Fixed at 4 in, two layers, nobody's limit leaves it. 80 lb drop 12 in: C h / G is 4 in at 9 G, 4.5 at 8."""
    assert cushion_layers(80 * float(LB_KG), 40 * INCH, FIXED, "pe-plank-2", limit=limit) == layers


@pytest.mark.parametrize(
    ("rule", "carriage", "inch"),
    [
        # 80 lb drop 12 in by common carrier: 3 x 12 / 30 is 1.2 in, and never under 2 in.
        ("checked", "common carrier", 2.0),
        # 10 in by art carrier, 6 in by own van (levels II and III): 1.0 and 0.6 in, and never under 1 in.
        ("checked", "art carrier", 1.0),
        ("checked", "own van", 1.0),
        ("snug", "own van", 0.5),
        ("fixed", "common carrier", 4.0),
    ],
)
def test_how_thick_foam_is_by_rule_and_carriage(rule: str, carriage: Carriage, inch: float) -> None:
    shop = replace(SHOP, case=replace(SHOP.case, cushion=rule))
    assert cushion_wanted(80 * float(LB_KG), 40 * INCH, shop, carriage=carriage) == inch * INCH


@pytest.mark.parametrize("thickness", [INCH // 2, 3 * INCH, 12 * INCH])
def test_a_fixed_thickness_is_kept_over_its_whole_range(thickness: int) -> None:
    """The least and the greatest that the rule takes, and what nobody states a limit for."""
    shop = replace(FIXED, cushion=replace(SHOP.cushion, thickness=thickness))
    assert cushion_wanted(5.0, 20 * INCH, shop) == thickness
    # A stated limit of 9 G and a drop of 30 in ask for 10 in.
    assert cushion_wanted(5.0, 20 * INCH, shop, limit=9.0) == max(thickness, 10 * INCH)


def test_snug_goes_by_gentle_hands_only() -> None:
    order = Order("o", (Artwork("A-01", INCH, INCH, INCH),), source="o.csv")
    snug = replace(order, cushion="snug")
    assert snug_faults(["Here", "There"], {}, SHOP, order) == ()
    shop = as_ordered(SHOP, snug)
    assert [fault.column for fault in snug_faults(["Here", "There", "Here"], {"There": "own van"}, shop, snug)] == [
        "cushion"
    ]
    (fault,) = snug_faults(["Here", "", "There", "Here"], {}, shop, snug)
    assert fault.found == "snug, to Here, a destination that is not stated and There by common carrier"
    assert fault.accepted == "checked or fixed; snug where the freight profile of each is an own van or an art handler"
    (fault,) = snug_faults([""], {}, shop, order)
    assert (fault.file, fault.column) == ("shop", "case.cushion")
    assert never_snug(shop).case.cushion == "checked"


@pytest.mark.parametrize(("method", "side"), [("carton", 12), ("travel", 40)])
def test_cartons_and_cases_keep_to_a_stated_limit(method: str, side: int) -> None:
    def feels(limit: Decimal | None) -> tuple[float, float]:
        piece = Artwork("A-01", side * INCH, side * INCH, 2 * INCH, weight_kg=Decimal(4), method=method,
                        shock_limit=limit)  # fmt: skip
        packed = expand(Order("an order", (piece,)), SHOP)[-1]
        check = next(check for check in packed.checks if check.name == SHOCK)
        assert check.structure == (limit is not None)
        assert check.demand is not None
        assert check.capacity is not None
        # So light a piece hardly presses on plank: what its curve says is held against a stated limit all the same.
        assert (check.verdict == "fails") == (check.demand > check.capacity and limit is not None)
        assert (packed.standing == "held") == (check.verdict == "fails")
        return check.demand, check.capacity

    (free, takes), (kept, stated) = feels(None), feels(Decimal(28))
    assert free > 0 < kept
    assert stated == 28 < takes


def test_an_order_sent_snugly_goes_by_gentle_hands_or_is_refused() -> None:
    """Half an inch, and what comes through it is printed; nobody's limit judges it."""
    pieces = tuple(
        Artwork(f"A-0{n}", 40 * INCH, 40 * INCH, 2 * INCH, weight_kg=Decimal(20), method="travel", destination="There")
        for n in range(2)
    )
    order = Order("o", pieces, source="o.csv", cushion="snug")
    with pytest.raises(FaultsFound, match="snug, to There by common carrier") as found:
        expand(order, SHOP)
    assert len(found.value.faults) == 1
    (case,) = (crate for crate in expand(order, SHOP, carriage={"There": "own van"}) if crate.rides)
    check = next(check for check in case.checks if check.name == SHOCK)
    assert case.standing == "good"
    assert "by own van" in check.note
    assert "(snug)" in check.note
    foam = [placed.box for placed in case.placed if placed.role == "cushion"]
    assert {min(box.dx, box.dy, box.dz) for box in foam} == {INCH // 2}
