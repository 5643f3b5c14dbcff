"""Price books and places as a spreadsheet of a country with decimal commas saves them."""

from decimal import Decimal

import pytest

from nesting.base.faults import FaultsFound
from pricing.desk.supplier import read_list
from pricing.studio.destinations import destinations_from
from pricing.studio.pricebook_file import default_price_book, price_book_from
from pricing.studio.rates_file import default_rates

HEADING = "stock;good;form;price;currency;supplier;priced"
ROWS = ("Birke 12;Birke 12;sheet;58,00;EUR;Säge & Söhne;03.04.2026", "Kiste;Kiste;each;1.234,50;EUR;Säge & Söhne;")


def book(*rows: str, heading: str = HEADING) -> bytes:
    return "\r\n".join((heading, *rows)).encode()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("mark", [";", "\t"])
def test_a_spreadsheets_own_file_is_read(encoding: str, mark: str) -> None:
    text = book(*ROWS).decode().replace(";", mark)
    read = price_book_from(text.encode(encoding), "prices.csv", "day first")
    assert [row.price for row in read.rows] == [Decimal("58.00"), Decimal("1234.50")]
    assert {row.supplier for row in read.rows} == {"Säge & Söhne"}
    assert str(read.rows[0].priced) == "2026-04-03"
    assert any("Windows-1252" in said for said in read.warnings) == (encoding == "cp1252")


def test_a_point_between_thousands_is_told() -> None:
    read = price_book_from(book(*ROWS, "Haus;Haus;each;1.234;EUR;;"), "prices.csv", "day first")
    assert read.by_stock["Haus"].price == 1234
    assert any('"1.234" of Haus: 1234, as others have decimal commas' in said for said in read.warnings)


@pytest.mark.parametrize(
    ("rows", "accepted"),
    [
        ((ROWS[0], "Haus;Haus;each;1,234;EUR;;"), "1234 or 1,23: the comma may be either"),
        ((ROWS[0], "Tor;Tor;each;61.50;EUR;;", "Haus;Haus;each;1.234;EUR;;"), "1234 or 1.23: the point may be either"),
        (("Haus;Haus;each;1.234;EUR;;",), "1234 or 1.23: the point may be either"),
    ],
)
def test_what_may_be_meant_either_way_is_a_fault(rows: tuple[str, ...], accepted: str) -> None:
    with pytest.raises(FaultsFound) as caught:
        price_book_from(book(*rows), "prices.csv", "day first")
    assert [fault.accepted for fault in caught.value.faults] == [accepted]


def test_thousands_of_a_book_with_decimal_points_stay() -> None:
    read = price_book_from(book("Tor;Tor;each;61.50;EUR;;", "Haus;Haus;each;1,234;EUR;;"), "prices.csv")
    assert read.by_stock["Haus"].price == 1234
    assert not any("decimal" in said for said in read.warnings)


def test_amounts_of_places_are_told_where_they_may_be_meant_otherwise() -> None:
    rates = default_rates()
    comma = "destination;quoted;handler rate;distance;tax rate\nA;1.234;55,50;120,5 km;7,7 %\n"
    read = destinations_from(comma.encode(), "destinations.csv", rates)
    assert (read.rows[0].quoted, read.rows[0].handler_rate, read.rows[0].km) == (
        Decimal(1234),
        Decimal("55.50"),
        Decimal("120.5"),
    )
    assert read.rows[0].terms.tax_rate == Decimal("0.077")
    assert any("1.234 is read as 1234" in said for said in read.warnings)
    point = destinations_from(b"destination,quoted\nA,1.234\n", "destinations.csv", rates)
    assert point.rows[0].quoted == Decimal("1.23")
    assert any("1.234 is read as 1.234, since a point stands" in said for said in point.warnings)
    with pytest.raises(FaultsFound, match="distance"):
        destinations_from(b'destination,distance\nA,"1,234 km"\n', "destinations.csv", rates)


def test_a_suppliers_list_with_decimal_commas_is_read_and_told() -> None:
    prices = default_price_book()
    text = f"stock;price\n{prices.rows[0].stock};58,01\n{prices.rows[1].stock};1.234\n"
    read = read_list("list.csv", text.encode("cp1252"), prices)
    assert [each.after for each in read.changed] == [Decimal("58.01"), Decimal(1234)]
    assert any("1.234 is read as 1234" in said for said in read.told)
    with pytest.raises(FaultsFound, match="the comma may be either"):
        read_list("list.csv", text.replace("1.234", "1,234").encode(), prices)
