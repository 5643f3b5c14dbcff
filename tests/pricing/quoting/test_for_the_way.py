"""Pallets and indicators in the takeoff, the lines and the shares; nothing of them where the rates name none."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.measure import format_weight
from nesting.base.search import QUICK
from nesting.build import Build
from nesting.crates.model import Crate, Stands
from nesting.intake import order_from_rows
from pricing.output.paperwork import travel_papers
from pricing.output.tables import quote_document
from pricing.quoting.for_the_way import needed
from pricing.quoting.freight import offer
from pricing.quoting.offers import Need, collected
from pricing.quoting.particulars import particulars_of
from pricing.quoting.quote import Quote, quote
from pricing.quoting.shipments import Shipment, ship
from pricing.quoting.work import work
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.freight_rules import Piece, billed_lb, class_of_density
from pricing.studio.office import Office, stocked
from pricing.studio.pricebook import PriceBook
from pricing.studio.rack import OnShelf, Rack
from pricing.studio.rates import FreightProfile
from pricing.studio.rates_file import default_rates, former_rates
from tests.pricing.builds import PIECES, build_of, crates_of, small_order
from tests.pricing.desk.orders import HEADINGS
from tests.pricing.quoting.carried import LB, PLACE, box

DAY = date(2026, 11, 25)
GALLERY = Destination("Harbour Gallery", dock=True, profile="pallet")
OFFICE = Office(destinations=Destinations((GALLERY,)))


@cache
def thin() -> Build:
    """Return a build of three crates that straps keep upright, the last on an A-frame."""
    stands: tuple[Stands, ...] = ("pallet", "pallet", "A-frame")
    crates = zip(crates_of(PIECES, 0), stands, strict=True)
    return build_of(small_order(), [replace(crate, stands=how) for crate, how in crates])


def made(office: Office = OFFICE, build: Build | None = None) -> Quote:
    return quote(build or thin(), office, on=DAY)


def test_a_pallet_is_bought_as_a_line_borne_by_the_crates_on_it() -> None:
    """Two crates of 5 in deep share a pallet of 24.00; the third needs an A-frame of its own, 115.00."""
    priced = made()
    lines = {line.good: line for line in priced.lines}
    assert (lines["pallet 48x40"].amount, lines["a-frame 72x36"].amount) == (Decimal("24.00"), Decimal("115.00"))
    assert lines["pallet 48x40"].description == "Pallet 48 x 40 in, treated and marked, for the way: pallet 48x40"
    bears = {piece for piece, part in lines["pallet 48x40"].bearers.items() if part}
    assert bears == {PIECES[0][0], PIECES[1][0]}
    assert sum(lines["pallet 48x40"].bearers.values()) == 1
    row = next(row for row in priced.takeoff.rows if row.good == "a-frame 72x36")
    assert (row.bought, row.count, row.bearers) == (Decimal(1), 1, {"K3": Fraction(1)})
    assert sum(share.total for share in priced.shares) == priced.total


def test_papers_say_what_is_handed_over_on_a_pallet_with_its_weight() -> None:
    """The crates' own weights stay; what the carrier takes is weighed and measured with what it stands on."""
    priced = made()
    on = {each.on: each for each in priced.shipments[0].chosen.handed}
    pallet, frame = quote_document(priced)["strapped"]
    assert (pallet["crates"], pallet["on"], frame["crates"]) == (["K1", "K2"], "pallet 48x40", ["K3"])
    assert pallet["gross"] == format_weight(on["pallet 48x40"].gross_kg, "inch")
    (papers,) = travel_papers(priced)
    first, second = papers.strapped
    own = sum(crate.gross_kg for crate in priced.build.crates[:2])
    weighs = priced.build.shop.good("pallet 48x40").each_g / 1000
    assert weighs > 5
    assert first.kg == pytest.approx(own + float(weighs))
    assert (first.crates, first.on) == (("K1", "K2"), "Pallet 48 x 40 in, treated and marked, for the way")
    assert first.height > max(crate.outside.height for crate in priced.build.crates[:2])
    assert (first.width, first.depth) == (on["pallet 48x40"].length, on["pallet 48x40"].width)
    assert second.crates == ("K3",)


def test_papers_of_crates_that_go_as_they_are_say_nothing_of_pallets() -> None:
    for office in (replace(OFFICE, rates=former_rates()), Office()):
        priced = made(office)
        assert "strapped" not in quote_document(priced)
        assert [papers.strapped for papers in travel_papers(priced)] == [()]


def test_one_on_the_shelf_is_used_first() -> None:
    """A pallet that came with the plywood is on the shelf: none is bought."""
    rack = Rack((), (OnShelf("a pallet", "pallet 48x40", 1),), "USD")
    row = next(row for row in made(replace(OFFICE, rack=rack)).takeoff.rows if row.good == "pallet 48x40")
    assert (row.bought, row.bought_amount, row.shelf) == (Decimal(0), Decimal(0), Decimal(1))


def test_what_crates_are_made_with_and_what_goes_along_is_one_row() -> None:
    """Handles that serve as indicators too are had together; a sheet of foam serves as none."""
    pallet = next(each for each in default_rates().freight if each.name == "pallet")
    plain = made()
    handle = next(row for row in plain.takeoff.rows if row.form in ("each", "box") and row.bearers and row.count > 1)
    delivery = replace(
        default_rates().delivery, profile="pallet", tilt_indicator=handle.good, shock_indicator="pe-plank-2"
    )
    rates = replace(default_rates(), delivery=delivery, freight=(replace(pallet, tilt_each=2, shock_each=1),))
    priced = made(replace(OFFICE, rates=rates))
    rows = [row for row in priced.takeoff.rows if row.good == handle.good]
    assert sum(row.count for row in rows) == handle.count + 2 * 3
    assert len({row.stock for row in rows}) == len(rows)
    assert sum(rows[0].bearers.values()) == 1
    assert [row.count for row in priced.takeoff.rows if row.good == "pe-plank-2"] == [
        row.count for row in plain.takeoff.rows if row.good == "pe-plank-2"
    ]
    assert any("shock indicators are asked for and not stocked" in told for told in priced.shipments[0].chosen.told)


def test_rates_of_before_buy_none_and_say_so() -> None:
    before = replace(OFFICE, rates=former_rates())
    priced = made(before)
    assert not [line for line in priced.lines if "pallet" in line.good or "frame" in line.good]
    assert priced.shipments[0].chosen.needs == ()
    told = next(lack for lack in priced.lacks if lack.kind == "way")
    assert "K1, K2, K3 must be strapped upright to a pallet or an A-frame, which is in no price here" in told.line
    assert not told.grave


def test_a_price_book_of_before_stocks_none_and_that_is_told() -> None:
    """Its studio cannot buy what it has no price for: crates are measured as they are."""
    book = OFFICE.book
    old = PriceBook(book.currency, tuple(row for row in book.rows if row.good != "a-frame 72x36"
                                         and "pallet" not in row.good and "a-frame" not in row.good))  # fmt: skip
    build = thin()
    priced = made(replace(OFFICE, book=old), replace(build, shop=stocked(build.shop, old)))
    told = next(lack for lack in priced.lacks if lack.kind == "way")
    assert "no pallet or A-frame that is stocked holds K1, K2, K3 upright" in told.line


def test_a_named_deck_without_a_price_is_a_fault() -> None:
    book = OFFICE.book
    old = PriceBook(book.currency, tuple(row for row in book.rows if row.good != "pallet 48x40"))
    with pytest.raises(FaultsFound, match="no price for pallet 48x40"):
        made(replace(OFFICE, book=old))


def test_a_second_leg_takes_the_same_pallet() -> None:
    """Of two legs with the same crates one pallet counts; of two places each its own."""
    on = replace(collected("p", "client"), needs=(Need("pallet 48x40", 1, {"K1": Fraction(1)}),))
    other = replace(on, needs=(Need("pallet 48x40", 2, {"K2": Fraction(1, 2), "K3": Fraction(1, 2)}),))
    legs = [Shipment("A", ("K1",), on, (), leg=leg, legs=2) for leg in (1, 2)]
    assert [need.count for need in needed(legs)] == [1]
    (need,) = needed([*legs, Shipment("B", ("K2", "K3"), other, ())])
    assert (need.count, need.bearers) == (3, {name: Fraction(1, 3) for name in ("K1", "K2", "K3")})


def test_a_carriers_quotation_takes_its_own_pallets_along() -> None:
    quoted = replace(GALLERY, quoted=Decimal("410.00"), quoted_by="pallet")
    priced = made(replace(OFFICE, destinations=Destinations((quoted,))))
    assert priced.section("freight") == Decimal("410.00")
    assert [need.good for need in priced.shipments[0].chosen.needs] == ["pallet 48x40", "a-frame 72x36"]


def test_crates_of_wood_are_told_apart_from_cartons() -> None:
    """A carton is none, whatever stiffens it inside: what carriers ask for wood is asked of the crate alone."""
    rows = [
        ("A-01", "First", "30", "30", "1 1/2", "18 lb", "closed", ""),
        ("A-02", "Second", "14", "14", "1", "4 lb", "carton", ""),
    ]
    priced = work(order_from_rows([HEADINGS, *rows]), Office(), on=DAY, search=QUICK)
    assert [crate.method for crate in priced.build.crates] == ["closed", "carton"]
    told = particulars_of(priced.build, priced.rates, {"A-01": Decimal(900), "A-02": Decimal(80)})
    assert told.wooden == {"K1"}
    assert told.values == {"K1": Decimal("900.00"), "K2": Decimal("80.00")}


# -- what profiles of before bill --------------------------------------------------------------------------------------


def billed_before(crates: Sequence[Crate], place: Destination, rates: FreightProfile) -> Decimal:
    """Return what 0.2.0 asked, written anew from its rules: weight, fuel, the minimum, then what the place asks for."""

    def cents(value: Decimal | Fraction) -> Decimal:
        return Decimal(int(Fraction(value) * 100 + Fraction(1, 2))) / 100

    kilograms = [Fraction(str(crate.gross_kg)) for crate in crates]
    pounds = sum(kilograms) / Fraction(LB)
    if rates.kind == "parcel":
        pieces = [Piece(c.outside.width, c.outside.depth, c.outside.height, Decimal(str(c.gross_kg))) for c in crates]
        charged = [cents(rates.base * len(crates)), cents(rates.per_lb * sum(billed_lb(each) for each in pieces))]
    elif rates.kind == "pallet":
        inch = 203_200
        cubic = sum(Fraction(c.outside.width * c.outside.depth * c.outside.height, inch**3 * 1728) for c in crates)
        level = class_of_density(pounds / cubic)
        charged = [cents(rates.base), cents(Fraction(rates.per_100lb[level]) * -(-pounds // 1) / 100)]
    else:
        assert place.km is not None
        charged = [
            cents(rates.base * rates.part),
            cents(rates.per_km * rates.part * place.km * (1 + rates.there_and_back)),
        ]
    asked = sum(charged, Decimal(0))
    asked += cents(asked * rates.fuel)
    asked = max(asked, rates.minimum)
    if rates.kind == "pallet" and not (place.dock or place.forklift):
        asked += rates.liftgate
    asked += rates.residential * (len(crates) if rates.kind == "parcel" else 1) * place.residential
    return asked + rates.inside * place.inside


@given(
    sides=st.lists(
        st.tuples(
            st.integers(4, 40), st.integers(3, 30), st.integers(4, 40), st.integers(10, 600),
            st.sampled_from(["", "pallet", "A-frame"]),
        ),
        min_size=1, max_size=5,
    ),
    flags=st.tuples(st.booleans(), st.booleans(), st.booleans(), st.booleans()),
    name=st.sampled_from(["parcel", "pallet", "van", "shared-van"]),
)  # fmt: skip
def test_profiles_that_state_nothing_new_bill_as_before(
    sides: list[tuple[int, int, int, int, Stands]], flags: tuple[bool, bool, bool, bool], name: str
) -> None:
    """Whatever stands on what, whatever the shop stocks and the place says: to the cent."""
    crates = [box(w, d, h, kg / 10, f"K{n}", stands) for n, (w, d, h, kg, stands) in enumerate(sides, start=1)]
    dock, residential, inside, limited = flags
    place = replace(PLACE, dock=dock, residential=residential, inside=inside, limited=limited, km=Decimal(120))
    rates = former_rates().profile(name)
    told = particulars_of(thin(), default_rates(), {"A-01": Decimal(90_000)})
    now = offer(crates, place, rates, particulars=told)
    if now.refused:
        assert now.amount == 0
    else:
        assert now.amount == billed_before(crates, place, rates)
    assert (now.needs, now.liable, now.insure) == ((), None, ())


def test_shipments_of_former_rates_hand_over_what_travels() -> None:
    build = thin()
    (shipment,) = ship(
        build.crates, OFFICE.destinations, former_rates(), particulars=particulars_of(build, default_rates(), {})
    )
    assert [each.crates for each in shipment.chosen.handed] == [(name,) for name in shipment.crates]
