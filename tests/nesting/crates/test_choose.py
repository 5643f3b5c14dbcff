"""Choosing a method: facts of common practice, and what the order asks for."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.base.measure import INCH, LB_KG
from nesting.crates.choose import bundles_of, choose
from nesting.order import Artwork, Order
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


def piece(name: str, width: float, height: float, lb: float, **fixed: object) -> Artwork:
    size = (int(width * INCH), int(height * INCH), 3 * INCH // 2)
    return Artwork(name, *size, weight_kg=Decimal(str(lb)) * LB_KG, **fixed)  # type: ignore[arg-type]


def methods(*pieces: Artwork, shop: Shop = SHOP) -> list[str]:
    return [choice.method for choice in choose(bundles_of(Order("o", pieces)), shop)]


@pytest.mark.parametrize(
    ("width", "height", "lb", "method"),
    [
        # Common practice, no source: carton up to 24 in and 10 lb; closed crate up to 48 in; battened above.
        (24, 24, 10, "carton"),
        (24.25, 24, 10, "closed"),
        (24, 24, 10.1, "closed"),
        (40, 48, 30, "closed"),
        (40, 48.5, 30, "battened"),
        # Faces of 49 x 49 in are larger than a sheet: their seams lie on battens.
        (43, 43, 30, "battened"),
    ],
)
def test_method_by_size_and_weight(width: float, height: float, lb: float, method: str) -> None:
    assert methods(piece("A", width, height, lb)) == [method]


def test_two_of_the_larger_pieces_for_one_destination_go_in_travel_frames() -> None:
    # Common practice, no source.
    large = [piece(name, 60, 40, 40, destination="Harbour Gallery") for name in "AB"]
    assert methods(*large) == ["travel", "travel"]
    assert methods(large[0], replace(large[1], destination="Hillside Gallery")) == ["battened", "battened"]
    small = piece("C", 30, 30, 15, destination="Harbour Gallery")
    assert methods(large[0], small) == ["battened", "closed"]


def test_pieces_without_a_destination_are_not_taken_to_share_one() -> None:
    assert methods(piece("A", 60, 40, 40), piece("B", 60, 40, 40)) == ["battened", "battened"]


def test_what_the_order_asks_for_stands_and_is_not_tried_otherwise() -> None:
    choices = choose(bundles_of(Order("o", (piece("A", 60, 40, 40, method="closed"),))), SHOP)
    assert [(c.method, c.reason, c.by_shop) for c in choices] == [("closed", "the order asks for it", False)]


def test_a_set_is_one_bundle_where_its_first_piece_stands() -> None:
    order = Order(
        "o",
        (
            piece("A", 10, 10, 2, set_name="s"),
            piece("B", 10, 10, 2),
            piece("C", 30, 40, 20, set_name="s", quantity=2),
        ),
    )
    bundles = bundles_of(order)
    assert [[a.piece for a in bundle.pieces] for bundle in bundles] == [["A", "C#1", "C#2"], ["B"]]
    # 10 + 30 + 30 and two gaps of 3 in are 76 in wide, less than one above the other.
    assert [c.method for c in choose(bundles, SHOP)] == ["battened", "carton"]


def test_the_shops_rules_decide() -> None:
    shop = replace(SHOP, method=replace(SHOP.method, carton_size=12 * INCH, closed_size=20 * INCH))
    assert methods(piece("A", 13, 13, 2), piece("B", 21, 13, 2), shop=shop) == ["closed", "battened"]


def test_the_reason_names_size_weight_and_rule() -> None:
    (choice,) = choose(bundles_of(Order("o", (piece("A", 20, 16, 5),))), SHOP)
    assert choice.reason == "20 in and 5 lb: within 24 in and 10 lb for a carton"
    (choice,) = choose(bundles_of(Order("o", (piece("A", 20, 16, 5),), units="metric")), SHOP, "metric")
    assert choice.reason == "508 mm and 2.3 kg: within 609.6 mm and 4.5 kg for a carton"
