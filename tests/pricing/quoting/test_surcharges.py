"""Extras for the piece and for the place: worked by hand, or of a carrier's published rules, named beside each."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from nesting.base.measure import INCH
from pricing.quoting.freight import offer
from pricing.quoting.offers import Handed
from pricing.quoting.particulars import Particulars
from pricing.quoting.surcharges import all_charges, liftgate_refusals
from pricing.studio.destinations import Destination
from pricing.studio.freight_rules import Caps, Piece, piece_refusals
from pricing.studio.rates import FreightProfile
from tests.pricing.quoting.carried import DOCK, PLACE, box, charges, profile, stocked, taken

CLASSES = {
    level: Decimal(0)
    for level in ("50", "55", "60", "65", "70", "85", "92.5", "100", "125", "175", "250", "300", "400")
}
HANDLING = {
    "over_lb": "50", "over_lb_each": "24.00", "long_over": 48 * INCH, "long_each": "18.00",
    "second_over": 30 * INCH, "second_each": "17.00", "girth_over": 105 * INCH, "girth_each": "16.00",
    "wooden_each": "15.00",
}  # fmt: skip


def extras(
    carried: Sequence[tuple[Handed, Piece]], place: Destination, rules: FreightProfile, *wooden: str
) -> dict[str, str]:
    """Return what is added to a transport that costs nothing."""
    made = all_charges([], carried, place, rules, Particulars(wooden=wooden))
    return {charge.key: str(charge.amount) for charge in made}


def pallet(**rules: Any) -> Any:
    return profile("pallet", per_100lb=CLASSES, **rules)


@pytest.mark.parametrize(
    ("size", "weight", "extra"),
    [
        ((20, 10, 20), "50", {}),
        ((20, 10, 20), "50.1", {"over_lb": "24.00"}),
        ((48, 4, 20), "20", {}),
        ((48.1, 4, 20), "20", {"long": "18.00"}),
        ((30, 4, 31), "20", {}),
        ((30.1, 4, 31), "20", {"second": "17.00"}),
        ((25, 15, 25), "20", {}),  # 25 + 2 x (25 + 15) = 105
        ((25, 15.1, 25), "20", {"girth": "16.00"}),  # sides count in whole inches: 107
    ],
)
def test_additional_handling_begins_beyond_its_limits(
    size: tuple[float, float, float], weight: str, extra: dict[str, str]
) -> None:
    """Shippers' help pages quoting carriers, several agree: over 48, 30 and 105 in, over 50 lb."""
    assert extras([taken(*size, weight)], PLACE, profile("parcel", **HANDLING)) == extra


def test_a_piece_bears_the_dearest_extra_or_all_of_them() -> None:
    """One of 52 x 10 x 31 in, 60 lb, and a small one: 24.00 alone, or 24 + 18 + 17 + 16 and wood for both."""
    carried = [taken(52, 10, 31, "60"), taken(10, 10, 10, "5", "K2")]
    dearest = extras(carried, PLACE, profile("parcel", **HANDLING), "K1", "K2")
    assert dearest == {"over_lb": "24.00", "wooden": "15.00"}
    assert extras(carried, PLACE, profile("parcel", handling="all", **HANDLING), "K1", "K2") == {
        "over_lb": "24.00", "long": "18.00", "second": "17.00", "girth": "16.00", "wooden": "30.00",
    }  # fmt: skip
    assert extras(carried, PLACE, profile("parcel"), "K1", "K2") == {}, "an old profile states none"


@pytest.mark.parametrize(("length", "amount"), [(96, None), (96.1, "90.00"), (144, "90.00"), (150, "180.00")])
def test_over_length_goes_by_tiers(length: float, amount: str | None) -> None:
    """A logistics page: most carriers start above 96 in, tiers of 96 to 143, 144 to 239 in are seen."""
    tiers = {"96 in": Decimal(90), "144 in": Decimal(180)}
    made = charges(offer([box(length, 10, 10, 50.0)], DOCK, pallet(over_length=tiers)))
    assert list(made.values()) == ([] if amount is None else [amount])


def test_over_length_is_charged_once_or_for_each_piece() -> None:
    tiers = {"96 in": Decimal(90), "12 ft": Decimal(180)}
    crates = [box(100, 10, 10, 50.0), box(110, 10, 10, 50.0, "K2"), box(150, 10, 10, 50.0, "K3")]
    assert charges(offer(crates, DOCK, pallet(over_length=tiers))) == {"over_length_2": "180.00"}
    each = offer(crates, DOCK, pallet(over_length=tiers, over_length_each=True))
    assert charges(each) == {"over_length_1": "180.00", "over_length_2": "180.00"}


@pytest.mark.parametrize(("weight", "amount"), [("150", "41.76"), ("249.9", "41.76"), ("250", None)])
def test_long_light_shipments_are_charged_by_the_foot(weight: str, amount: str | None) -> None:
    """A carrier's rules tariff of 2017: two pieces of 9 ft, 300 lb: 18 ft x 2.32 = 41.76; none at 500 lb."""
    made = extras([taken(108, 10, 10, weight), taken(108, 10, 10, weight, "K2")], DOCK, pallet(lineal_per_ft="2.32"))
    assert made.get("lineal") == amount
    assert extras([taken(96, 10, 10, weight)], DOCK, pallet(lineal_per_ft="2.32")) == {}


@pytest.mark.parametrize(
    ("weight", "amount"),
    [
        ("400", "126.00"),
        ("2000", "239.20"),
        ("1053", "126.00"),
        ("1054", "126.06"),
        ("10568", "1263.93"),
        ("10570", "1264.00"),
    ],
)
def test_inside_delivery_goes_by_weight_between_its_least_and_its_most(weight: str, amount: str) -> None:
    """Item 566 of a carrier's rules tariff, 2018: 11.96 per cwt, at least 126, at most 1,264.

    400 lb cost 126.00 and 2,000 lb 239.20; the minimum ends at 1,053.5 lb, the maximum starts at 10,568.6.
    """
    place = replace(DOCK, inside=True)
    rules = pallet(inside="126", inside_100lb="11.96", inside_most="1264")
    assert extras([taken(40, 40, 40, weight)], place, rules) == {"inside": amount}


def test_inside_delivery_without_a_rate_by_weight_is_flat() -> None:
    place = replace(DOCK, inside=True)
    assert charges(offer([box(40, 40, 40, 900.0)], place, pallet(inside="120"))) == {"inside": "120.00"}


def test_limited_access_is_charged_once_and_not_where_the_place_is_residential() -> None:
    """A page on extras: not both charges on one end."""
    rules = pallet(limited="85", residential="110")
    crates = [box(40, 40, 40, 90.0)]
    assert charges(offer(crates, replace(DOCK, limited=True), rules)) == {"limited": "85.00"}
    assert charges(offer(crates, replace(DOCK, limited=True, residential=True), rules)) == {"residential": "110.00"}


def test_what_does_not_fit_the_liftgate_is_refused_without_a_dock() -> None:
    """Four trade pages: 80 x 55 in at the least on a trailer, 1,500 to 2,500 lb; the load is crate, pallet and jack."""
    rules = pallet(liftgate="95", liftgate_wide=80 * INCH, liftgate_deep=55 * INCH, liftgate_lb="1500")
    assert charges(offer([box(80, 55, 60, 90.0)], PLACE, rules)) == {"liftgate": "95.00"}
    wide = offer([box(84, 56, 60, 90.0)], PLACE, rules)
    told = "K1 stands on 84 in x 56 in, the liftgate's platform is 80 in x 55 in"
    assert wide.refused == (f"{told}, and Harbour Gallery has neither dock nor forklift",)
    assert wide.charges == ()
    assert offer([box(84, 56, 60, 90.0)], DOCK, rules).refused == ()
    assert offer([box(84, 56, 60, 90.0)], replace(PLACE, forklift=True), rules).refused == ()
    assert offer([box(84, 56, 60, 90.0)], PLACE, pallet(liftgate="95")).refused == (), "nobody states its size"
    for weight, heavy in (("1335", 0), ("1335.1", 1)):
        _, piece = taken(40, 40, 60, weight)
        assert len(list(liftgate_refusals([piece], PLACE, rules, "inch"))) == heavy, "with a jack of 165 lb"
    (told,) = offer([box(40, 40, 60, 606.0)], PLACE, rules, "metric").refused
    assert "K1 weighs 606 kg, and a jack 74.8 kg: the liftgate lifts 680.4 kg" in told


def test_a_typed_quotation_and_a_collection_bear_no_extras() -> None:
    for kind in ("fixed", "collect"):
        made = offer([box(60, 40, 60, 90.0)], replace(PLACE, inside=True, limited=True), profile(
            kind, inside="9", limited="9", amount="100", **HANDLING))  # fmt: skip
        assert charges(made) == ({"amount": "100.00"} if kind == "fixed" else {})


def test_what_is_asked_for_a_piece_is_borne_by_that_piece() -> None:
    """A carton of 30 lb bears nothing of what a crate of 10 lb costs for its wood; of what each parcel costs, half."""
    made = offer(
        [box(20, 20, 20, 13.6, "K1"), box(12, 4, 12, 4.5, "K2")],
        replace(PLACE, residential=True),
        profile("parcel", base="9.50", per_lb="0.85", residential="5.60", wooden_each="18.00", divisor="1000"),
        particulars=replace(stocked(), wooden=frozenset({"K2"})),
    )
    assert made.part_of("wooden") == {"K1": 0, "K2": 1}
    assert made.part_of("base") == made.part_of("residential") == {"K1": Fraction(1, 2), "K2": Fraction(1, 2)}
    assert made.part_of("weight") == made.bearers == {"K1": Fraction(3, 4), "K2": Fraction(1, 4)}


def test_an_extra_for_a_pallet_is_borne_by_the_crates_on_it() -> None:
    """Two crates of 20 and 10 kg on one pallet, and a third beside it that is not over the limit."""
    crates = [box(40, 8, 50, 20.0, "K1", "pallet"), box(40, 8, 50, 10.0, "K2", "pallet"), box(20, 20, 20, 5.0, "K3")]
    rules = profile("pallet", on_pallets=True, over_lb="50", over_lb_each="24.00", per_100lb=CLASSES)
    made = offer(crates, DOCK, rules, particulars=stocked())
    assert made.part_of("over_lb") == {"K1": Fraction(2, 3), "K2": Fraction(1, 3), "K3": 0}


@pytest.mark.parametrize(("side", "billed"), [("12", 1), ("12.1", 14)])
def test_the_post_counts_volume_only_beyond_a_cubic_foot(side: str, billed: int) -> None:
    """Archived postal guide: 166 in3/lb over 1 ft3; 1,728 in3 exactly none, 13 x 13 x 13 in are 13.2 lb, billed 14."""
    post = profile("parcel", per_lb="1", divisor="166", volume_over_ft3="1")
    edge = float(side)
    (weight,) = offer([box(edge, edge, edge, 0.4)], PLACE, post).billed
    assert weight.billed == billed


@pytest.mark.parametrize(
    ("weight", "most", "taken_by"), [("70", "108", False), ("70", "130", True), ("70.1", "130", False)]
)
def test_the_post_refuses_what_is_too_heavy_or_too_big(weight: str, most: str, *, taken_by: bool) -> None:
    """Archived postal guide: 48 x 30 x 6 in are 120 in of length plus girth, which only ground takes; 70 lb at most."""
    _, piece = taken(48, 6, 30, weight)
    caps = Caps(length_girth=int(most) * INCH, heaviest_lb=Decimal(70))
    assert (not piece_refusals(piece, caps)) == taken_by
