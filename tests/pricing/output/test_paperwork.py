"""Paperwork: a set of papers for each destination, with what the order, the studio and the table of places know."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.drawings.packet import Party
from nesting.intake import order_from_rows
from nesting.order import Order
from nesting.shop.shop_file import default_shop, shop_from
from pricing.output.paperwork import buying_lines, travel_papers
from pricing.output.tables import buying
from pricing.quoting.quote import Quote, quote
from pricing.quoting.work import work
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.parties import Parties
from pricing.studio.parties import Party as Contract

PLACES = Destinations(
    (
        Destination("Far Gallery", country="GB", address="7 Wharf Row (invented)\nFar Town"),
        Destination("Near Gallery", country="US", address="2 Lane (invented)"),
    )
)
HEADING = ["piece", "width", "height", "depth", "price", "declared", "destination", "Country of Origin",
           "tariff_heading", "Terms", "reason", "qty"]  # fmt: skip
ROWS = [
    ["X-01", "20", "16", "1 1/2", "2400", "2000.50", "Far Gallery", "US", "9701.91", "Consigned", "", "1"],
    ["X-02", "18", "16", "1 1/2", "1800", "", "Far Gallery", "Iceland", "9701.91", "on  consignment", "", "2"],
    ["X-03", "16", "16", "1 1/2", "", "", "Near Gallery", "", "", "", "", "1"],
    ["X-04", "15", "16", "1 1/2", "300", "", "Near Gallery", "", "", "sold", "", "1"],
]


def ordered(rows: list[list[str]] = ROWS) -> Order:
    return order_from_rows([HEADING, *rows], currency_code="USD")


@pytest.fixture(scope="module")
def quoted() -> Quote:
    shop = default_shop()
    studio = replace(shop.studio, address="1 Yard (invented)", reason="exhibition", tariff="9701.21")
    office = Office(shop=replace(shop, studio=studio), destinations=PLACES)
    return work(ordered(), office, on=date(2027, 3, 2), number="Q-17", search=QUICK)


def test_columns_for_papers_are_kept_without_a_warning() -> None:
    order = ordered()
    assert not [warning for warning in order.warnings if "not understood" in warning]
    strange = order_from_rows([[*HEADING, "mood"], [*ROWS[0], "calm"]])
    assert any('"mood" is not understood' in warning for warning in strange.warnings)


def test_terms_that_say_nothing_are_a_fault_with_the_others() -> None:
    with pytest.raises(FaultsFound) as caught:
        ordered([["X-01", "wide", "16", "1 1/2", "", "", "", "", "", "perhaps", "", "1"]])
    told = [fault.message for fault in caught.value.faults]
    assert any("column width" in text for text in told)
    assert 'table, row 2, column terms: found "perhaps"; accepted: consigned or sold' in told


def test_a_set_for_each_destination_across_a_border_or_not(quoted: Quote) -> None:
    far, near = travel_papers(quoted)
    assert (far.destination, far.pieces, far.border) == ("Far Gallery", ("X-01", "X-02#1", "X-02#2"), True)
    assert (near.destination, near.pieces, near.border) == ("Near Gallery", ("X-03", "X-04"), False)
    assert (far.number, far.date) == ("Q-17", "2027-03-02")
    assert far.receiver == Party("Far Gallery", ("7 Wharf Row (invented)", "Far Town", "GB"))
    assert near.receiver == Party("Near Gallery", ("2 Lane (invented)",))
    assert far.sender == Party(quoted.build.shop.studio.name, ("1 Yard (invented)", "US"))
    assert near.sender.lines == ("1 Yard (invented)",)


def test_values_are_declared_or_the_price_and_a_total_leaves_nothing_out(quoted: Quote) -> None:
    far, near = travel_papers(quoted)
    assert far.values == {"X-01": "2,000.50", "X-02#1": "1,800.00", "X-02#2": "1,800.00"}
    assert (far.total, far.currency) == ("5,600.50", "USD")
    assert near.values == {"X-04": "300.00"}
    assert near.total == ""


def test_the_packet_knows_on_which_terms_each_piece_travels(quoted: Quote) -> None:
    far, near = travel_papers(quoted)
    assert far.terms == {"X-01": "consigned", "X-02#1": "consigned", "X-02#2": "consigned"}
    assert near.terms == {"X-03": "", "X-04": "sold"}


def test_a_place_that_nobody_knows_is_no_border_and_no_place_leaves_lines_to_write_on() -> None:
    rows = [[*row[:6], place, *row[7:]] for row, place in zip(ROWS[:2], ("Elsewhere", ""), strict=True)]
    made = work(ordered(rows), Office(destinations=PLACES), on=date(2027, 3, 2), search=QUICK)
    elsewhere, nowhere = travel_papers(made)
    assert elsewhere.receiver == Party("Elsewhere")
    assert nowhere.receiver == Party()
    assert not elsewhere.border
    assert not nowhere.border


def test_the_buying_list_has_suppliers_prices_and_weights(quoted: Quote) -> None:
    rows, lines = buying(quoted), buying_lines(quoted)
    assert len(rows) == len(lines) > 3
    for row, line in zip(rows, lines, strict=True):
        assert row.price is not None
        assert (line.supplier, line.stock, line.good) == (row.price.supplier, row.stock, row.title)
        assert f"{row.bought_amount:,.2f} USD" in line.note
        assert line.kg == pytest.approx(row.kg_each * float(row.bought))
        if row.bought == row.bought.to_integral_value():
            assert line.count == row.bought
            assert line.amount == ""


def test_a_length_off_a_roll_is_told_in_what_a_counter_measures() -> None:
    office = Office()
    rolls = tuple(replace(row, by_length=row.form == "roll") for row in office.book.rows)
    made = work(ordered(), replace(office, book=replace(office.book, rows=rolls)), on=date(2027, 3, 2), search=QUICK)
    lines = {line.stock: line for line in buying_lines(made)}
    cut = [row for row in buying(made) if row.bought != row.bought.to_integral_value()]
    assert cut
    for row in cut:
        size = next(size for size in made.build.shop.good(row.good).sizes if size.stock == row.stock)
        text = lines[row.stock].amount
        assert text.endswith(" in")
        inches = int(text.removesuffix(" in"))
        exact = Decimal(size.length) * row.bought / INCH
        assert exact <= inches < exact + 1
        assert lines[row.stock].note.startswith("cut off a roll")


def test_the_shop_file_takes_what_papers_need_and_refuses_other_terms() -> None:
    shop = shop_from({"studio": {"terms": "sold", "origin": "US"}, "labels": {"rows": 7}}, "shop.toml")
    assert (shop.studio.terms, shop.studio.origin, shop.labels.rows) == ("sold", "US", 7)
    with pytest.raises(FaultsFound, match=r"studio\.terms: found \"lent\"; accepted: consigned, sold, or nothing"):
        shop_from({"studio": {"terms": "lent"}}, "shop.toml")


def test_whoever_a_place_names_as_its_party_receives_there(quoted: Quote) -> None:
    far, near = PLACES.rows
    places = Destinations((replace(far, party="Pier Hall"), replace(near, party="Nobody known")))
    hall = Contract("Pier Hall", "M. Example", ("Pier 4", "Far Town"), "GB", email="hall@example.org")
    made = quote(quoted.build, replace(quoted.office, destinations=places, parties=Parties((hall,))), on=quoted.on)
    one, other = travel_papers(made)[:2]
    assert one.receiver == Party("Pier Hall", ("M. Example", "Pier 4", "Far Town", "GB", "hall@example.org"))
    assert other.receiver == Party("Near Gallery", ("2 Lane (invented)",)), "as it was, and told"
    assert made.strangers == ("no party Nobody known",)
    (lack,) = (each for each in made.lacks if each.kind == "party")
    assert "Nobody known,,,," in lack.mend.files
