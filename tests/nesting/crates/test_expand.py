"""Expanding an order: names, sets, cases, fallbacks, and every fault at once."""

import re
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import INCH, LB_KG
from nesting.crates.cases.consignment import CaseLoad, Grouping
from nesting.crates.expand import expand, riding
from nesting.crates.model import Crate
from nesting.intake import order_from_rows
from nesting.order import Artwork, Back, Order
from nesting.shop.shop_file import default_shop
from tests.strategies import artworks

SHOP = default_shop()


def piece(name: str, width: float, height: float, lb: float, **fixed: object) -> Artwork:
    size = (int(width * INCH), int(height * INCH), 3 * INCH // 2)
    return Artwork(name, *size, weight_kg=Decimal(str(lb)) * LB_KG, **fixed)  # type: ignore[arg-type]


def test_crates_are_named_in_the_order_of_their_pieces_and_cases_come_last() -> None:
    order = Order(
        "o",
        (
            piece("A", 60, 40, 40, destination="Harbour Gallery"),
            piece("B", 10, 8, 2),
            piece("C", 30, 30, 15, quantity=2),
            piece("D", 60, 40, 40, destination="Harbour Gallery"),
        ),
    )
    crates = expand(order, SHOP)
    assert [(c.crate, c.method, c.pieces, c.inside_of) for c in crates] == [
        ("K1", "travel", ("A",), "K6"),
        ("K2", "carton", ("B",), None),
        ("K3", "closed", ("C#1",), None),
        ("K4", "closed", ("C#2",), None),
        ("K5", "travel", ("D",), "K6"),
        ("K6", "outer", ("A", "D"), None),
    ]


def test_pieces_of_a_set_share_one_crate() -> None:
    order = Order("o", (piece("L", 30, 50, 29, set_name="s"), piece("R", 30, 50, 29, set_name="s")))
    (crate,) = expand(order, SHOP)
    assert crate.pieces == ("L", "R")
    left, right = (box for _, box in crate.pieces_placed)
    assert right.x - (left.x + left.dx) == SHOP.cleats.set_gap
    assert left.y == right.y
    assert crate.net_kg == pytest.approx(2 * 29 * float(LB_KG))


def test_a_set_in_travel_frames_shares_a_case() -> None:
    order = Order("o", tuple(piece(n, 50, 40, 20, set_name="s", method="travel") for n in ("L", "R")))
    assert [(c.method, sorted(c.pieces)) for c in expand(order, SHOP)] == [
        ("travel", ["L"]),
        ("travel", ["R"]),
        ("outer", ["L", "R"]),
    ]


def test_every_fault_is_told_at_once_with_its_row() -> None:
    order = Order(
        "o",
        (
            piece("A", 60, 40, 10, support="canvas", row=2),
            piece("B", 60, 40, 10, back=Back("strainer", 2 * INCH, INCH // 2), row=3),
            piece("C", 10, 10, 2, row=4),
            piece("D", 45, 45, 10, method="closed", row=5),
        ),
        source="order.csv",
    )
    with pytest.raises(FaultsFound) as found:
        expand(order, SHOP)
    assert [(f.file, f.row, f.column) for f in found.value.faults] == [
        ("order.csv", 2, "back"),
        ("order.csv", 3, "back"),
        ("order.csv", 5, "method"),
    ]
    assert "canvas" in found.value.faults[0].message
    assert "glue and clamp wooden bars" in found.value.faults[0].accepted


def test_a_clash_of_rules_is_told_once_not_for_each_piece() -> None:
    shop = replace(SHOP, frame=replace(SHOP.frame, larger_by=3 * INCH))
    order = Order("o", (piece("A", 30, 30, 15), piece("B", 31, 30, 15)))
    with pytest.raises(FaultsFound) as found:
        expand(order, shop)
    assert [fault.file for fault in found.value.faults] == ["shop"]
    assert "frame.larger_by" in found.value.faults[0].found


def test_where_the_shop_chose_a_carton_that_no_stock_takes_it_takes_a_crate() -> None:
    order = Order("o", (replace(piece("A", 24, 23, 6), depth=9 * INCH),))
    (crate,) = expand(order, SHOP)
    assert crate.method == "closed"
    assert "no carton" in crate.reason


def test_where_a_closed_crates_back_fails_the_shop_takes_a_battened_one() -> None:
    order = Order("o", (piece("A", 42, 42, 240),))
    (crate,) = expand(order, SHOP)
    assert crate.method == "battened"
    assert "closed fails" in crate.reason
    assert "back, bending" in crate.reason


def test_where_the_shop_chose_a_travel_frame_that_cannot_be_it_takes_a_battened_crate() -> None:
    low = piece("L", 60, 8, 10, destination="Harbour Gallery")
    shop = replace(SHOP, method=replace(SHOP.method, travel_from=1))
    order = Order("o", (piece("A", 60, 40, 40, destination="Harbour Gallery"), low))
    crates = expand(order, shop)
    assert [(c.method, c.pieces) for c in crates] == [("travel", ("A",)), ("battened", ("L",)), ("outer", ("A",))]
    assert "no travel" in crates[1].reason


def test_a_frame_that_shares_no_case_is_battened_instead() -> None:
    """Two larger pieces for one place, of sizes too far apart to share: travel frames would save nothing."""
    sizes = (
        piece("A", 60, 40, 40, destination="Harbour Gallery"),
        piece("B", 50, 96, 60, destination="Harbour Gallery"),
    )
    crates = expand(Order("o", sizes), SHOP)
    assert [(c.method, c.pieces) for c in crates] == [("battened", ("A",)), ("battened", ("B",))]
    assert all("no other frame shares its case" in c.reason for c in crates)


def test_a_good_that_is_not_stocked_is_a_fault_of_the_shop() -> None:
    shop = replace(SHOP, goods=tuple(g for g in SHOP.goods if g.good != "foam-board-1"))
    with pytest.raises(FaultsFound) as found:
        expand(Order("o", (piece("A", 30, 30, 15), piece("B", 60, 40, 15))), shop)
    assert [(f.file, f.found) for f in found.value.faults] == [("shop", "no good named foam-board-1")]


def test_mixed_sets_are_refused() -> None:
    order = Order(
        "o",
        (
            piece("A", 30, 30, 15, set_name="s", method="closed", destination="Harbour Gallery", row=2),
            piece("B", 30, 30, 15, set_name="s", method="battened", destination="Hillside Gallery", row=3),
        ),
    )
    with pytest.raises(FaultsFound) as found:
        expand(order, SHOP)
    assert [fault.column for fault in found.value.faults] == ["method", "destination"]


def test_what_no_case_can_give_is_told_with_the_other_faults() -> None:
    order = Order(
        "o",
        (
            piece("A", 60, 40, 40, method="travel", apart=("B",), together=("B",), row=2),
            piece("B", 60, 40, 40, method="travel", row=3),
            piece("C", 60, 40, 15, support="canvas", row=4),
        ),
    )
    with pytest.raises(FaultsFound) as found:
        expand(order, SHOP)
    assert [(f.row, f.column) for f in found.value.faults] == [(4, "back"), (2, "apart")]


def test_a_given_grouping_is_followed_and_a_wrong_one_refused() -> None:
    order = Order("o", tuple(piece(n, 60, 40, 40, destination="Harbour Gallery", method="travel") for n in ("A", "B")))
    apart = Grouping((CaseLoad(("A",), "Harbour Gallery"), CaseLoad(("B",), "Harbour Gallery")), "one each")
    assert [c.pieces for c in expand(order, SHOP, grouping=apart) if c.method == "outer"] == [("A",), ("B",)]
    with pytest.raises(FaultsFound, match="rides in no case"):
        expand(order, SHOP, grouping=Grouping((CaseLoad(("A",), "Harbour Gallery"),), "half"))


def test_the_country_of_a_destination_reaches_the_crate() -> None:
    order = Order("o", (piece("A", 30, 30, 15, destination="Hafen"),))
    (crate,) = expand(order, SHOP, countries={"Hafen": "DE"})
    assert "US to DE" in next(c.note for c in crate.checks if c.name == "wood at the border")


def test_metric_orders_read_in_millimetres() -> None:
    order = Order("o", (piece("A", 30, 30, 15),), units="metric")
    (crate,) = expand(order, SHOP)
    assert " mm" in crate.reason
    assert not any(re.search(r"[0-9] in\b(?! all)", step.text) for step in crate.steps)
    assert {drill.pilot for drill in crate.drill} == {"2.5 mm"}


@settings(max_examples=40)
@given(st.lists(artworks(quantity=1, together=(), apart=()), min_size=1, max_size=4, unique_by=lambda a: a.piece))
def test_any_order_is_expanded_whole_or_refused_in_words(pieces: list[Artwork]) -> None:
    order = Order("o", tuple(pieces))
    crates, faults = expanded(order)
    if faults:
        assert all(fault.found and fault.accepted for fault in faults)
        return
    carried = [name for crate in crates if crate.method != "outer" for name in crate.pieces]
    assert carried == [a.piece for a in order.copies()]
    assert [crate.crate for crate in crates] == [f"K{n}" for n in range(1, len(crates) + 1)]
    names = [p.name for crate in crates for p in crate.parts] + [s.name for crate in crates for s in crate.sticks]
    assert len(names) == len(set(names))
    assert (crates, ()) == expanded(order)


def expanded(order: Order) -> tuple[tuple[Crate, ...], tuple[Fault, ...]]:
    """Return the crates, or the faults."""
    try:
        return expand(order, SHOP), ()
    except FaultsFound as found:
        return (), found.faults


def test_a_piece_too_heavy_for_its_slats_travels_battened_and_takes_no_place_in_a_case() -> None:
    """Where the shop chose a travel frame whose slats would fail, it takes the next method, and the rest still ride."""
    rows = [
        ["piece", "width", "height", "depth", "weight", "destination"],
        ["light-1", "50", "60", "2", "45 lb", "Gallery"],
        ["light-2", "50", "60", "2", "45 lb", "Gallery"],
        ["heavy", "78", "60", "2", "240 lb", "Gallery"],
    ]
    order = order_from_rows(rows)
    shop = default_shop()
    crates = expand(order, shop)
    methods = {piece: crate.method for crate in crates if crate.method != "outer" for piece in crate.pieces}
    assert methods == {"light-1": "travel", "light-2": "travel", "heavy": "battened"}
    assert [piece.piece for piece, _ in riding(order, shop)] == ["light-1", "light-2"]


def test_what_is_wrong_with_every_copy_of_a_row_is_told_once() -> None:
    order = Order("o", (piece("A", 80, 90, 10, method="carton", quantity=999, row=2),))
    with pytest.raises(FaultsFound) as caught:
        expand(order, SHOP)
    (fault,) = caught.value.faults
    assert (fault.row, fault.column) == (2, "method")
    assert fault.found.startswith("A: no stocked carton takes it")
