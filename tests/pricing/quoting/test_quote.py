from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.build import Build
from pricing.money import CurrencyError, half_up
from pricing.quoting.quote import Line, Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.pricebook import Price, PriceBook, purchase
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rack import OnShelf, Rack, RackOffcut
from pricing.studio.rates import Charge, InsuranceRules, Rates, TaxRules
from pricing.studio.rates_file import default_rates
from tests.pricing.builds import builds, small_build

ON = date(2026, 11, 1)
PLACES = Destinations((Destination("Harbour Gallery", "US", km=Decimal(120), profile="van"),))


def taxed() -> Rates:
    """Return rates with every tax at work."""
    return replace(
        default_rates(),
        tax=TaxRules(rate=Decimal("0.0825"), on_freight=True),
        purchase_tax={"goods": Decimal("0.06")},
    )


def priced(build: Build | None = None, **changes: object) -> Quote:
    """Price a build with taxes and a van."""
    facts: dict[str, Any] = {"rates": taxed(), "destinations": PLACES} | changes
    office = Office(**{name: facts[name] for name in ("rates", "destinations", "rack") if name in facts})
    asked = {name: facts[name] for name in ("number", "charge") if name in facts}
    return quote(build or small_build(), office, on=facts.get("on", ON), **asked)


def test_dates_number_and_currency() -> None:
    made = priced(number="Q-7")
    assert (made.currency, made.number, made.on, made.valid_until) == ("USD", "Q-7", ON, date(2026, 12, 1))


@pytest.mark.parametrize("charge", get_args(Charge))
def test_every_line_is_quantity_times_price_and_every_total_a_sum(charge: str) -> None:
    made = priced(charge=charge)
    assert len({line.key for line in (*made.lines, *made.passed)}) == len(made.lines) + len(made.passed)
    for line in (*made.lines, *made.passed):
        exact = Fraction(line.quantity) * Fraction(line.unit_price)
        if line.taken is not None and charge != "bought":
            exact = Fraction(line.quantity * line.taken.bought_amount) / Fraction(line.taken.needed)
        assert line.amount == half_up(exact)
        assert sum(line.bearers.values()) == 1
    assert made.step("direct").amount == sum(line.amount for line in made.lines)
    assert made.step("freight").amount == made.section("freight") > 0
    assert made.step("insurance").amount == made.section("insurance")
    assert made.total == sum(step.amount for step in made.steps)


@given(builds(), st.sampled_from(get_args(Charge)), st.booleans())
@settings(max_examples=25)
def test_shares_sum_to_the_total_to_the_cent_always(build: Build, charge: str, marked: bool) -> None:
    rates = taxed()
    rates = replace(rates, price=replace(rates.price, freight_marked_up=marked, discount=Decimal("0.0333")))
    made = quote(build, Office(rates=rates, destinations=PLACES), on=ON, charge=charge)  # type: ignore[arg-type]  # drawn
    assert sum(share.total for share in made.shares) == made.total
    for share in made.shares:
        assert sum(share.columns.values()) == share.total
    for section in ("sheets", "hardware", "labour", "freight", "insurance", "purchase tax"):
        parts = sum(share.columns.get(section, Decimal(0)) for share in made.shares)
        assert parts == made.section(section)
    for step in made.steps:
        if step.key in ("contingency", "overhead", "profit", "discount", "minimum", "rounding", "tax"):
            assert sum(share.columns[step.key] for share in made.shares) == step.amount


def dearer(book: PriceBook, stock: str, more: Decimal) -> PriceBook:
    """Return the book with every tier of one row dearer."""
    rows = [
        replace(row, price=row.price + more, breaks=tuple((n, each + more) for n, each in row.breaks))
        if row.stock == stock
        else row
        for row in book.rows
    ]
    return replace(book, rows=tuple(rows))


@given(builds(), st.data(), st.sampled_from(get_args(Charge)))
@settings(max_examples=25)
def test_a_higher_price_never_lowers_the_total(build: Build, data: st.DataObject, charge: str) -> None:
    book = default_price_book()
    row = data.draw(st.sampled_from(book.rows))
    more = data.draw(st.integers(1, 5000).map(lambda c: Decimal(c).scaleb(-2)))
    totals = [
        quote(build, Office(book=each, rates=taxed(), destinations=PLACES), on=ON, charge=charge).total  # type: ignore[arg-type]  # drawn
        for each in (book, dearer(book, row.stock, more))
    ]
    assert totals[0] <= totals[1]


@given(builds())
@settings(max_examples=15)
def test_charging_what_is_bought_never_charges_less_than_what_is_used(build: Build) -> None:
    bought = priced(build, charge="bought").total
    assert priced(build, charge="used").total <= bought >= priced(build, charge="area").total


def test_a_first_price_alone_raised_never_lowers_the_total_even_where_a_break_is_then_stretched_for() -> None:
    """9 boxes at 7.00 are 63.00 and 10 at 6.50 are 65.00; at 7.30 nine are 65.70, so ten are bought."""
    book = default_price_book()

    def with_screws(first: str) -> PriceBook:
        screws = Price("screw 8x2-1/2 box 100", "screw 8x2-1/2", "box", Decimal(first), breaks=((10, Decimal("6.50")),))
        return replace(book, rows=tuple(screws if row.stock == screws.stock else row for row in book.rows))

    build = small_build()
    work = replace(build.crates[0].piecework[0], count=810)
    crates = (replace(build.crates[0], piecework=(work,)), *build.crates[1:])
    build = replace(build, crates=crates)
    for charge in ("bought", "used"):
        low, high = (quote(build, Office(book=with_screws(first)), on=ON, charge=charge) for first in ("7.00", "7.30"))
        assert low.section("hardware") <= high.section("hardware")
    row = next(r for r in high.takeoff.rows if r.good == "screw 8x2-1/2")
    assert [row.needed, row.bought, row.each, row.bought_amount] == [9, 10, Decimal("6.50"), Decimal("65.00")]
    assert row.used_amount == half_up(Fraction(row.used) * 65 / 9)
    assert row.used_amount <= row.bought_amount


def line_of(made: Quote, key: str) -> Line:
    """Return the line of a key."""
    return next(line for line in (*made.lines, *made.passed) if line.key == key)


def test_the_break_behind_a_line_can_be_repeated_by_formula() -> None:
    for line in priced(charge="bought").lines:
        if line.price is not None and line.taken is not None:
            needed = line.taken.needed
            assert line.amount == min(max(needed, Decimal(start)) * each for start, each in line.price.tiers)
            assert line.amount == purchase(line.price, int(needed)).amount


def test_purchase_tax_is_a_line_of_its_own() -> None:
    made = priced()
    goods = sum(line.amount for line in made.lines if line.tax == "goods")
    assert line_of(made, "purchase tax:goods").amount == half_up(goods * Decimal("0.06"))


def test_rack_stock_is_charged_at_book_value_without_purchase_tax() -> None:
    rack = Rack((RackOffcut("R-1", "osb-7/16", 96 * INCH, 48 * INCH, Decimal("9.00"), 3),), currency="USD")
    made = priced(small_build(rack), rack=rack)
    line = line_of(made, "sheets:R-1")
    assert (line.unit_price, line.tax, line.price) == (Decimal("9.00"), "", None)
    assert "rack" in line.description


def test_what_the_shelf_gives_is_charged_only_as_used() -> None:
    shelf = Rack(shelf=(OnShelf("glue", "wood-glue", 500),), currency="USD")
    assert not any(line.good == "wood-glue" for line in priced(rack=shelf, charge="bought").lines)
    assert any(line.good == "wood-glue" for line in priced(rack=shelf, charge="used").lines)


def test_freight_passes_through_unmarked_unless_the_shop_says_otherwise() -> None:
    plain = priced()
    assert plain.step("freight").amount == Decimal("288.00")
    rates = taxed()
    rates = replace(rates, price=replace(rates.price, freight_marked_up=True))
    marked = quote(small_build(), Office(rates=rates, destinations=PLACES), on=ON)
    assert not marked.passed
    assert marked.step("freight").amount == 0
    assert marked.step("direct").amount == plain.step("direct").amount + 288 + plain.section("insurance")
    assert marked.section("freight") == 288


def test_insurance_goes_by_declared_value_else_the_price() -> None:
    """A-01 has a price of 1000 and no declared value, A-02 is declared at 800 twice: 2600 at 0.6 % are 15.60."""
    made = priced()
    assert made.section("insurance") == Decimal("15.60")
    assert made.share("A-01").columns["insurance"] == Decimal("6.00")
    dear = replace(taxed(), insurance=InsuranceRules(minimum=Decimal("40.00")))
    again = quote(small_build(), Office(rates=dear, destinations=PLACES), on=ON)
    assert again.section("insurance") == 40
    none = replace(taxed(), insurance=InsuranceRules(rate=Decimal(0)))
    assert quote(small_build(), Office(rates=none), on=ON).section("insurance") == 0


def test_every_piece_with_a_price_gets_a_sale_price_from_its_share() -> None:
    made = priced()
    assert [sale.piece for sale in made.sales] == ["A-01"]
    assert made.sales[0].shipping == made.share("A-01").total


@pytest.mark.parametrize("where", ["book", "rates", "rack", "order"])
def test_currencies_never_mix(where: str) -> None:
    book, rates, rack, currency = default_price_book(), default_rates(), Rack(currency="USD"), "USD"
    build = small_build(currency="EUR" if where == "order" else currency)
    if where == "book":
        book = replace(book, currency="EUR")
    if where == "rates":
        rates = replace(rates, currency="EUR")
    if where == "rack":
        rack = Rack(currency="EUR")
    with pytest.raises(CurrencyError, match="EUR"):
        quote(build, Office(book=book, rates=rates, rack=rack), on=ON)


def test_missing_prices_are_one_error_that_lists_them_all() -> None:
    book = default_price_book()
    gone = {"ply-3/8 4x8", "hour bench"}
    thin = replace(book, rows=tuple(row for row in book.rows if row.stock not in gone))
    with pytest.raises(FaultsFound) as caught:
        quote(small_build(), Office(book=thin), on=ON)
    assert {fault.found for fault in caught.value.faults} == {f"no price for {stock}" for stock in gone}


def test_crates_that_do_not_suit_are_named() -> None:
    low = Destinations((Destination("Harbour Gallery", door_width=30 * INCH, door_height=40 * INCH),))
    assert [each.crate for each in priced(destinations=low).unsuited] == ["K4"]


@pytest.mark.parametrize(
    ("profile", "liftgate", "told"),
    [
        ("pallet", "95.00", "a liftgate is in the freight, ask for enough people"),
        ("pallet", "0", "ask for a liftgate and enough people"),
        ("van", "95.00", "ask for a liftgate and enough people"),
        ("van then pallet", "95.00", "a liftgate is in the freight, ask for enough people"),
        ("pallet then van", "95.00", "ask for a liftgate and enough people"),
    ],
)
def test_a_liftgate_is_asked_for_only_where_the_freight_holds_none(profile: str, liftgate: str, told: str) -> None:
    rates = default_rates()
    pallet = replace(rates.profile("pallet"), liftgate=Decimal(liftgate))
    carriers = tuple(pallet if each.name == "pallet" else replace(each, km=Decimal(40)) for each in rates.freight)
    rates = replace(rates, freight=carriers, delivery=replace(rates.delivery, hands_lb=Decimal(100)))
    place = Destination("Harbour Gallery", "US", km=Decimal(120), profile=profile)
    made = priced(rates=rates, destinations=Destinations((place,)))
    assert made.incomplete == ()
    (heavy,) = made.unsuited
    assert heavy.text == f"weighs 142 lb, and Harbour Gallery has neither dock nor forklift: {told}"


def test_a_quote_is_the_same_every_time() -> None:
    assert priced() == priced()
