"""Pieces left to the shop: every method is tried, what none takes is told, and the rest of the order goes on."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, LB_KG
from nesting.crates.choose import ways
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.crates.registry import methods
from nesting.crates.traits import Refused, reason
from nesting.crates.unpacked import Unpacked, unpacked_line, unpacked_rows, unpacked_short
from nesting.order import Artwork, Order
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop

SHOP = default_shop()


def piece(name: str, width: float, height: float, lb: float, depth: float = 1.5, **fixed: object) -> Artwork:
    size = (int(width * INCH), int(height * INCH), int(depth * INCH))
    return Artwork(name, *size, weight_kg=Decimal(str(lb)) * LB_KG, **fixed)  # type: ignore[arg-type]


HOPELESS = piece("B", 60, 40, 30, support="canvas", row=3)
"""No wood at its back for any screw, and larger than every carton."""
GOOD = piece("A", 12, 12, 2, row=2)


def packed(*pieces: Artwork, shop: Shop = SHOP) -> tuple[tuple[Crate, ...], list[Unpacked]]:
    unpacked: list[Unpacked] = []
    return expand(Order("o", pieces, source="order.csv"), shop, unpacked=unpacked), unpacked


def test_one_piece_that_nothing_packs_leaves_the_others_as_they_are_without_it() -> None:
    crates, unpacked = packed(GOOD, HOPELESS, replace(GOOD, piece="C", row=4))
    assert crates == packed(GOOD, replace(GOOD, piece="C", row=4))[0]
    assert [(each.piece, each.row) for each in unpacked] == [("B", 3)]
    (why, carton) = unpacked[0].why
    assert why == "no battened crate or travel frame: no screw holds in its back: solid, of canvas"
    assert carton.startswith("no carton: no stocked carton takes it wrapped and cushioned: ")
    assert "back = strainer" in unpacked[0].accepted


def test_an_order_of_which_nothing_is_left_is_refused_with_every_reason() -> None:
    with pytest.raises(FaultsFound) as found:
        packed(HOPELESS, replace(HOPELESS, piece="D", row=4))
    assert [(fault.row, fault.column) for fault in found.value.faults] == [(3, "back"), (4, "back")]


def test_what_the_order_asks_by_name_and_cannot_be_is_a_fault_and_the_rest_is_told_with_it() -> None:
    with pytest.raises(FaultsFound) as found:
        packed(GOOD, HOPELESS, replace(HOPELESS, piece="D", row=4, method="battened"))
    assert [(fault.row, fault.column) for fault in found.value.faults] == [(3, "back"), (4, "back")]


def test_every_method_is_tried_once_first_those_that_the_rules_go_on_to() -> None:
    for name, made in methods().items():
        if made.make is None:
            continue
        tried = ways(name)
        assert tried[0].method is made
        assert len({way.method.name for way in tried}) == len(tried)
        rest = [way.method for way in tried if way.spared]
        assert rest == [each for each in methods().values() if each.spare and not any(
            each is way.method for way in tried if not way.spared)]  # fmt: skip


def test_a_carton_takes_beyond_the_rule_what_no_crate_can_hold_and_says_so() -> None:
    """A canvas without bars takes no screw; 25 x 20 in is over the rule of 24 in for cartons."""
    canvas = piece("A", 25, 20, 4, depth=1, support="canvas")
    crates, unpacked = packed(canvas)
    assert not unpacked
    assert [crate.method for crate in crates] == ["carton"]
    assert (
        "no battened: no screw holds in its back: solid, of canvas; a carton takes it, beyond the shop's rule"
        in crates[0].reason
    )
    assert any("longer than the 24 in that the shop sends in a carton" in text for text in crates[0].warnings)


def test_no_carton_takes_more_than_it_is_rated_for() -> None:
    """Rule 41: 80 lb gross in a double wall of 200 lb burst, as a packaging supplier reproduces it."""
    lead = piece("A", 12, 12, 70, support="canvas")
    heavy = piece("B", 12, 12, 85, support="canvas")
    crates, unpacked = packed(lead, heavy)
    assert [(crate.method, crate.pieces) for crate in crates] == [("carton", ("A",))]
    assert crates[0].gross_kg < 80 * float(LB_KG)
    assert [each.piece for each in unpacked] == ["B"]


def test_a_rider_asks_no_more_for_company_that_is_not_there() -> None:
    together = [piece(name, 60, 40, 40, together=("B",), destination="Hall") for name in ("A", "C")]
    crates, unpacked = packed(*together, replace(HOPELESS, destination="Hall"))
    assert [each.piece for each in unpacked] == ["B"]
    assert [(crate.method, crate.pieces) for crate in crates if crate.rides] == [("outer", ("A", "C"))]


def test_where_no_case_can_be_made_the_frames_that_the_shop_chose_go_otherwise(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(casing: object) -> Crate:
        raise Refused(*(reason(each, "method", "no case", "another") for each in casing.artworks))  # type: ignore[attr-defined]

    monkeypatch.setattr("nesting.crates.expand.case_maker", lambda: none)
    pair = [piece(name, 60, 40, 40, destination="Hall") for name in ("A", "B")]
    crates, unpacked = packed(*pair)
    assert [(crate.crate, crate.method) for crate in crates] == [("K1", "battened"), ("K2", "battened")]
    assert all("no outer case: no case" in crate.reason for crate in crates)
    assert not unpacked
    three = [piece("C", 60, 40, 40, destination="Hall"), replace(pair[0], together=("B",)), pair[1]]
    crates, unpacked = packed(*three)
    assert [(crate.crate, crate.method, crate.pieces) for crate in crates] == [
        ("K1", "battened", ("C",)), ("K2", "battened", ("A", "B")),
    ]  # fmt: skip
    assert not unpacked
    with pytest.raises(FaultsFound, match="no case"):
        packed(replace(pair[0], method="travel"), pair[1])


def test_copies_with_which_the_same_is_wrong_are_told_together() -> None:
    _, unpacked = packed(GOOD, replace(HOPELESS, quantity=6))
    assert len(unpacked) == 6
    (row,) = unpacked_rows(unpacked)
    assert row.pieces == "B#1, B#2, B#3, B#4, B#5, B#6"
    assert unpacked_line(unpacked).startswith("Packed by nothing, and in no total: B#1, B#2, B#3, B#4 and 2 more: no ")
    assert unpacked_short(unpacked, "below").endswith("B#4 and 2 more. Why, and what would mend it: below.")
    assert unpacked_line(()) == unpacked_short((), "below") == ""
