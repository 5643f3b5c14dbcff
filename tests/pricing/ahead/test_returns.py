"""The way back: which crates return, worked by hand for one crate, and laws of the three ways."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.crates.cases.consignment import near_sizes
from pricing.ahead.methods.handling import handling
from pricing.ahead.returns import Back, plan_returns, returns_text
from pricing.quoting.quote import Quote, quote
from pricing.quoting.work import work
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import ReuseRules
from tests.pricing.ahead.test_methods import consignment, order_of
from tests.pricing.builds import small_build

ON = date(2027, 4, 1)
RATE = Decimal("55.00")


def office(rate: Decimal | None = RATE, reuse: ReuseRules | None = None) -> Office:
    place = Destination("Harbour Gallery", "US", dock=True, profile="pallet", handler_rate=rate)
    studio = Office(destinations=Destinations((place,)))
    return replace(studio, rates=replace(studio.rates, reuse=reuse or ReuseRules()))


@cache
def priced() -> Quote:
    """Two travel frames in a case and two copies in one carton."""
    return work(consignment(), office(), on=ON, search=QUICK)


@cache
def ruled() -> Quote:
    """Quote the same made as the rules alone make it: each copy in a carton of its own."""
    alone = near_sizes(consignment().artworks[:2], office().shop)
    return work(consignment(), office(), on=ON, search=QUICK, design=alone)


def with_rules(made: Quote, reuse: ReuseRules) -> Quote:
    return replace(made, rates=replace(made.rates, reuse=reuse))


def crates(made: Quote, *unsold: str) -> dict[str, Back]:
    return {row.crate: row for place in plan_returns(made, unsold or None) for row in place.crates}


def test_only_crates_of_unsold_pieces_come_back() -> None:
    case = priced().build.crates[-1].crate
    assert set(crates(priced(), "A-01")) == {case}
    for piece in ("B-01#1", "B-01#2", "B-01"):
        assert set(crates(priced(), piece)) == {"K3"}
    assert set(crates(priced())) == {case, "K3"}
    apart = ruled()
    assert set(crates(apart, "B-01#2")) == {"K4"}
    assert set(crates(apart, "B-01")) == {"K3", "K4"}
    assert set(crates(apart)) == {apart.build.crates[-1].crate, "K3", "K4"}


def test_a_carton_comes_back_without_the_copy_that_was_sold_and_only_what_comes_back_is_wrapped() -> None:
    """Both copies lie in one: the other's 3 lb stayed there, and so did half of the layers."""
    one, both = crates(priced(), "B-01#1")["K3"], crates(priced())["K3"]
    assert (one.pieces, one.sold, one.empty) == (("B-01#1",), ("B-01#2",), ())
    assert one.kg == pytest.approx(both.kg - 1.36, abs=0.11)
    assert 2 * one.minutes == both.minutes == priced().build.crate("K3").work.wraps * 6


def test_a_case_brings_back_the_empty_frames_of_what_was_sold_and_is_lighter_by_the_work() -> None:
    case = priced().build.crates[-1]
    row = crates(priced(), "A-01")[case.crate]
    assert (row.pieces, row.sold, row.empty) == (("A-01",), ("A-02",), ("K2",))
    # a work of 30 lb stayed there: 13.6 kg
    assert row.kg == pytest.approx(case.gross_kg - 13.6, abs=0.11)
    assert crates(priced())[case.crate].kg == case.gross_kg


def test_a_closed_crate_by_hand() -> None:
    """Counts of a crate made by hand: no lid screws are told apart there, so no lid; one mounting, 24 screws."""
    place = Destination("Harbour Gallery", handler_rate=Decimal("60.00"))
    made = quote(small_build(), Office(destinations=Destinations((place,))), on=ON)
    row = crates(made, "A-01")["K1"]
    assert row.minutes == 0
    assert row.costs["nothing"] == 0
    # ten minutes of packing to print and bag, no screws that open it
    hour = default_price_book().price("hour packing").price
    assert row.sent["screws"] == (hour / 6).quantize(Decimal("0.01"))


def test_minutes_and_costs_by_hand_for_a_carton() -> None:
    """Layers folded back at the handlers' rate: 6 minutes each; 1.5 times as long without instructions.

    Once round in glassine, 2 layers of foam outside it: 3 for the one copy of two that comes back.
    """
    row = crates(priced(), "B-01#1")["K3"]
    minutes = 3 * 6
    assert row.minutes == minutes
    assert row.costs["nothing"] == (RATE * minutes / 60 * Decimal("1.5")).quantize(Decimal("0.01"))
    assert row.costs["screws"] == (RATE * minutes / 60).quantize(Decimal("0.01")) + row.sent["screws"]
    assert "lid" not in row.costs


def test_without_a_rate_nothing_is_advised() -> None:
    made = work(consignment(), office(None), on=ON, search=QUICK)
    row = crates(made, "A-01")[made.build.crates[-1].crate]
    assert row.costs == {}
    assert row.advice is None
    assert row.sent["screws"] > 0
    assert "not known" in returns_text(plan_returns(made, ["A-01"]), "USD")


def test_help_pays_the_more_the_longer_searching_takes_and_a_lid_the_more_are_lost() -> None:
    case = priced().build.crates[-1].crate
    patient = crates(with_rules(priced(), ReuseRules(search_factor=Decimal(1), lids_lost=Decimal(0))), "A-01")[case]
    assert patient.advice == "nothing"
    hurried = crates(with_rules(priced(), ReuseRules(search_factor=Decimal(5), lids_lost=Decimal(0))), "A-01")[case]
    assert hurried.advice == "screws"
    assert hurried.costs["screws"] == patient.costs["screws"]
    losing = crates(
        with_rules(priced(), ReuseRules(search_factor=Decimal(5), lids_lost=Decimal(1), lid_minutes=Decimal(480))),
        "A-01",
    )[case]
    assert losing.costs["lid"] < losing.costs["nothing"]


def test_what_serves_again_is_what_later_trips_bear() -> None:
    row = crates(priced(), "B-01#1")["K3"]
    assert row.serves_again == 0  # a carton serves once
    case = crates(priced(), "A-01")[priced().build.crates[-1].crate]
    share = priced().share("A-01")
    making = share.total - share.columns["freight"] - share.columns.get("insurance", Decimal(0))
    assert abs(Fraction(case.serves_again) - Fraction(making) * 3 / 4) <= Fraction(1, 200)


def test_freight_back_is_reckoned_on_what_comes_back() -> None:
    (place,) = plan_returns(priced())
    (there,) = priced().shipments
    assert place.freight.amount == there.chosen.amount
    (fewer,) = plan_returns(priced(), ["B-01#1"])
    assert fewer.freight.amount < place.freight.amount


def test_a_spare_lid_weighs_and_costs_by_its_area() -> None:
    """The opening face of the case, by the price and area of a 4 x 8 ft sheet of strand board at 21.00, 15 % wasted."""
    case = priced().build.crates[-1]
    row = crates(priced(), "A-01")[case.crate]
    side = "right" if any("opening end" in f.purpose for f in case.fixings) else "front"
    faces = [p for p in case.parts if p.name.startswith(f"{case.crate}.{side}")]
    wood = sum(Fraction(p.length * p.width * p.count, 96 * 48 * INCH * INCH) for p in faces) * 21 * Fraction(115, 100)
    bench = priced().book.price("hour bench").price * 45 / 60
    extra = Fraction(row.sent["lid"]) - Fraction(row.sent["screws"]) - wood - Fraction(bench)
    (there,) = priced().shipments
    assert 0 < extra < Fraction(there.chosen.amount) / 4


def test_a_lid_that_rides_on_freight_nobody_knows_is_not_advised() -> None:
    """Its weight would ride for nothing, and it would seem the cheapest the sooner."""
    rules = ReuseRules(lids_lost=Decimal(1))
    lid = crates(with_rules(priced(), rules), "A-01")
    (name,) = lid
    assert ("lid" in lid[name].costs, lid[name].incomplete) == (True, "")
    far = Office(destinations=Destinations((Destination("Harbour Gallery", "US", profile="van", handler_rate=RATE),)))
    made = with_rules(work(consignment(), far, on=ON, search=QUICK), rules)
    row = crates(made, "A-01")[name]
    assert set(row.costs) == set(row.sent) == {"nothing", "screws"}
    assert row.incomplete == "a spare lid is incomplete: no freight to Harbour Gallery"
    text = returns_text(plan_returns(made, ["A-01"]), "USD")
    assert row.incomplete in text
    assert "incomplete, refused: no distance to Harbour Gallery is known" in text


def test_a_piece_that_is_not_in_the_order_is_told_of() -> None:
    with pytest.raises(FaultsFound, match=r'found "X"; accepted: one of A-01, A-02, B-01#1, B-01#2'):
        plan_returns(priced(), ["X"])
    assert plan_returns(priced(), []) == ()
    assert returns_text((), "USD") == "Nothing comes back."


def test_the_text_marks_the_cheapest() -> None:
    text = returns_text(plan_returns(priced(), ["A-01"]), "USD")
    row = crates(priced(), "A-01")[priced().build.crates[-1].crate]
    assert row.advice is not None
    assert f"{row.costs[row.advice]:,.2f}*" in text
    assert text.count("*") == 2
    assert "frames K2 empty" in text


# -- a bolted lid ------------------------------------------------------------------------------------------------------


@cache
def closed_crate(terms: str) -> Quote:
    """Quote a closed crate whose piece is consigned or sold."""
    order = order_of(("A-01", "30", "36", "2", "18 lb", "closed", "", "Harbour Gallery", "1", "paint"))
    (piece,) = order.artworks
    stated = replace(order, artworks=(replace(piece, extra=(("terms", terms),)),))
    return work(stated, office(), on=ON, search=QUICK)


def test_bolts_are_drawn_as_screws_are_and_sent_along_as_spares() -> None:
    """By hand: as many minutes a bolt as a screw; of each ten one spare, at a fiftieth of a box's price, with waste."""
    made = closed_crate("consigned")
    (crate,) = made.build.crates
    bolts = sum(bolt.frees == "crate" for bolt in crate.bolts)
    assert bolts
    hands = handling("A-01", made.build, made.rates.labour)
    assert [(cover.what, cover.screws, cover.bolts, cover.sentence()) for cover in hands.covers] == [
        ("lid", 0, bolts, f"lid: {bolts} bolts")
    ]
    assert hands.turned == bolts + hands.mounting
    row = crates(made)["K1"]
    labour = made.rates.labour
    assert row.minutes == (bolts + hands.mounting) * labour.screw + labour.mounting
    each = Fraction(made.book.price("bolt 1/4x1-1/2 box 50").price) / 50 * (1 + Fraction(made.rates.price.waste))
    spare = -(-bolts * Fraction(made.rates.reuse.spare_screws) // 1) * each
    kit = Fraction(made.rates.reuse.kit_minutes) / 60 * Fraction(made.book.price(labour.packing_hour).price)
    assert abs(Fraction(row.sent["screws"]) - spare - kit) <= Fraction(1, 100)


def test_a_sold_crate_counts_its_screws() -> None:
    made = closed_crate("sold")
    (lid,) = handling("A-01", made.build, made.rates.labour).covers
    assert (lid.bolts, lid.screws) == (0, sum(f.count for f in made.build.crates[0].fixings if f.frees == "crate"))
    assert lid.sentence() == f"lid: {lid.screws} screws"
