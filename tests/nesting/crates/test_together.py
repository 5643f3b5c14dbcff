"""Pieces that must travel together share a carton or one crate, as frames share a case."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import permutations
from typing import Any

import pytest

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import INCH, LB_KG
from nesting.crates.cases.consignment import CartonLoad, Grouping
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


def work(name: str, width: float = 9, height: float = 12, depth: float = 1, lb: float = 2.5, **facts: Any) -> Artwork:
    size = (int(width * INCH), int(height * INCH), int(depth * INCH))
    return Artwork(name, *size, weight_kg=Decimal(str(lb)) * LB_KG, **facts)


def packed(*pieces: Artwork, grouping: Grouping | None = None) -> tuple[Crate, ...]:
    return expand(Order("o", pieces, source="order.csv"), SHOP, grouping=grouping)


def faults(*pieces: Artwork) -> Sequence[Fault]:
    with pytest.raises(FaultsFound) as found:
        packed(*pieces)
    return found.value.faults


PAIR = work("A", together=("B",), row=2), work("B", row=3)


def test_small_works_that_must_travel_together_share_a_carton_resin_in_trays() -> None:
    (crate,) = packed(*PAIR)
    assert (crate.method, crate.pieces) == ("carton", ("A", "B"))
    assert Counter(placed.part for placed in crate.placed)["K1.tray base"] == 2
    assert crate.reason.startswith("A, B together: 12 in and 2.5 lb: within ")
    crates = packed(work("C"), *(replace(each, surface="paint") for each in PAIR), work("D", together=("C",)))
    assert [crate.pieces for crate in crates] == [("C", "D"), ("A", "B")]
    assert not any("tray" in placed.part for placed in crates[1].placed)


def test_the_name_of_a_line_stands_for_all_its_copies() -> None:
    (crate,) = packed(replace(PAIR[0], quantity=2), PAIR[1])
    assert crate.pieces == ("A#1", "A#2", "B")


def test_rows_in_another_order_change_nothing_but_names() -> None:
    works = (*PAIR, work("C", 8, 8), work("D", 10, 10, together=("A",)))
    seen = {frozenset(frozenset(crate.pieces) for crate in packed(*rows)) for rows in permutations(works)}
    assert seen == {frozenset({frozenset("ABD"), frozenset("C")})}
    assert len({round(sum(crate.gross_kg for crate in packed(*rows)), 6) for rows in permutations(works)}) == 1


def test_what_must_travel_together_does_so_in_more_paper_than_others_rather_than_without_its_trays() -> None:
    none = replace(SHOP, carton=replace(SHOP.carton, fill_most=0))
    (crate,) = expand(Order("o", PAIR), none)
    assert Counter(placed.part for placed in crate.placed)["K1.tray base"] == 2
    assert [roll.name for roll in crate.rolls if roll.name.endswith(".fill")]


def test_works_that_no_carton_takes_together_go_in_one_crate_where_that_is_left_to_the_shop() -> None:
    broad = work("A", 18, 18, 3, 8, together=("B",), row=2), work("B", 18, 18, 3, 8, row=3)
    assert [crate.method for crate in packed(*(replace(each, together=()) for each in broad))] == ["carton"] * 2
    (crate,) = packed(*broad)
    assert (crate.method, crate.pieces) == ("closed", ("A", "B"))


def test_works_that_no_carton_takes_together_are_told_where_a_carton_is_asked_for() -> None:
    broad = [work(name, 20, 20, 6, 9, method="carton", row=row) for name, row in (("A", 2), ("B", 3), ("C", 4))]
    (fault,) = faults(replace(broad[0], together=("B", "C")), *broad[1:])
    assert (fault.file, fault.row, fault.column) == ("order.csv", 2, "together")
    assert fault.found.startswith("A: with B and C no stocked carton takes them wrapped and cushioned: ")
    assert fault.accepted == "fewer pieces together, another method, or a carton of that size among the shop's goods"


def test_what_stands_between_works_that_must_travel_together_is_told() -> None:
    far = [replace(PAIR[0], destination="Harbour"), replace(PAIR[1], destination="Hall")]
    assert [(f.row, f.column, f.found) for f in faults(*far)] == [(2, "destination", "A, B together: Harbour, Hall")]
    ways = [replace(PAIR[0], method="carton"), replace(PAIR[1], method="closed")]
    assert [(f.row, f.column, f.found) for f in faults(*ways)] == [(2, "method", "A, B together: carton, closed")]
    parted = [replace(PAIR[0], apart=("C",)), replace(PAIR[1], together=("C",)), work("C", row=4)]
    assert [(f.row, f.column, f.found) for f in faults(*parted)] == [(2, "apart", "A with C")]


def test_what_is_left_to_the_shop_goes_the_way_that_is_asked_of_its_company() -> None:
    """A piece in a travel frame takes the small work that must be with it along; before, its word was not heard."""
    frame = work("B", 40, 30, 2, 20, method="travel", destination="Hall")
    crates = packed(work("A", 20, 20, 2, 9, together=("B",), destination="Hall"), frame)
    assert [crate.pieces for crate in crates if crate.rides] == [("B", "A")]


def test_a_piece_that_rides_by_the_shops_choice_stays_with_a_small_one_in_one_crate() -> None:
    large = [work(name, 60, 40, 2, 40, destination="Hall") for name in ("A", "B", "C")]
    assert [len(crate.pieces) for crate in packed(*large) if crate.rides]
    crates = packed(replace(large[0], together=("D",)), *large[1:], work("D", destination="Hall"))
    assert ("A", "D") in [crate.pieces for crate in crates]


def test_a_set_and_what_must_be_with_it_go_in_one_crate() -> None:
    pair = [work(name, set_name="two") for name in ("A", "B")]
    (crate,) = packed(*pair, work("C", together=("A",)))
    assert crate.pieces == ("A", "B", "C")


def test_a_grouping_that_parts_what_must_travel_together_is_refused() -> None:
    works = (*PAIR, work("C"))
    with pytest.raises(FaultsFound, match="A, C: not all go in cartons that several may share"):
        packed(*works, grouping=Grouping((), cartons=(CartonLoad(("A", "C")),)))
