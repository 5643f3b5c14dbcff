"""Spreadsheets as people keep them give an order with remarks, or one clear list; the tables are invented."""

import re
from datetime import date, datetime
from decimal import Decimal

import pytest

from nesting.base.days import DayError, days_in, hangs_on_country, parse_day
from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, MM
from nesting.intake import order_from_rows, read_upload
from nesting.intake.headings import read_headings
from nesting.intake.hedges import without_hedge
from nesting.intake.lines import number_alike
from nesting.order import Order
from tests.nesting.intake.messy_tables import MESSY
from tests.nesting.intake.support import faults_of


def read(name: str) -> Order:
    return read_upload(name, MESSY[name], days="day first")


def told(order: Order, words: str) -> str:
    return next((warning for warning in order.warnings if words in warning), "")


def test_a_gallerys_list_with_title_total_and_terms() -> None:
    order = read("gallery list.csv")
    assert [artwork.piece for artwork in order.artworks] == ["IG-101", "IG-102", "IG-103"]
    assert order.artworks[1].title == "High Tide"
    assert (order.artworks[1].width, order.artworks[1].height) == (30 * INCH, 40 * INCH)
    assert 'read "Inv #" as piece, "H" as height, "W" as width, "D" as depth' in order.warnings[0]
    assert told(order, "TOTAL (3 works)")
    assert told(order, "what stands below the totals left out")


def test_titles_name_the_pieces_and_guesses_are_one_remark() -> None:
    order = read("my paintings.csv")
    assert [artwork.piece for artwork in order.artworks] == ["Untitled", "Untitled (2)", "Ember"]
    assert [artwork.title for artwork in order.artworks] == ["Untitled", "Untitled", "Ember"]
    assert [artwork.price for artwork in order.artworks] == [Decimal(2400), None, Decimal(1800)]
    assert order.artworks[2].weight_kg is None
    assumed = [warning for warning in order.warnings if "assumed" in warning]
    assert len(assumed) == 1
    for words in ('weight "about 18 lb" of Untitled: 18 lb', 'price "POA" of Untitled (2): no price', '"?" of Ember'):
        assert words in assumed[0]


def test_a_table_of_a_spreadsheet_in_europe() -> None:
    order = read("Werkliste.csv")
    assert [artwork.piece for artwork in order.artworks] == ["1", "2"]
    first = order.artworks[0]
    assert (first.title, first.width, first.depth) == ("Küste", 762 * MM, 38 * MM)
    assert (first.price, first.weight_kg, order.currency) == (Decimal("1200.00"), Decimal("8.5"), "EUR")
    assert first.ship_by == date(2026, 11, 3)
    assert told(order, "days such as 03.11.2026 (3 November 2026) are read as the studio's country writes them")
    assert told(order, "a row of totals")
    assert 'weight "ca. 6" of 2: 6 kg' in told(order, "assumed")


def test_a_workbook_with_headings_in_two_rows() -> None:
    order = read("inventory.xlsx")
    assert [(artwork.piece, artwork.height, artwork.width) for artwork in order.artworks] == [
        ("C-1", 40 * INCH, 30 * INCH), ("C-2", 40 * INCH, 30 * INCH),
    ]  # fmt: skip
    assert order.artworks[1].declared == Decimal("4800.50")
    assert order.artworks[0].ship_by == date(2026, 11, 20)
    assert '"Pick-up date" as ship by (a note before)' in told(order, "read ")


def test_sizes_in_both_systems() -> None:
    order = read("consignment_2026.csv")
    assert (order.artworks[0].width, order.artworks[0].height) == (30 * INCH, 40 * INCH)
    assert order.artworks[1].quantity == 2
    assert order.artworks[0].destination == "Harbour Gallery"
    heading, cell = ["Ref", "Size (H x W x D)"], "40 x 30 x 2 in. (101.6 x 60 x 5.1 cm)"
    assert "the width is not the same in both systems" in faults_of(heading, ["R1", cell])[0]


def test_units_in_a_row_of_their_own_and_headings_again() -> None:
    order = read("show.csv")
    assert [artwork.piece for artwork in order.artworks] == ["1", "2", "3"]
    assert [artwork.title for artwork in order.artworks] == ["Gate", "Fence", "Stile"]
    assert order.currency == "USD"
    assert told(order, '3 rows of totals left out ("Subtotal", "Grand total")')
    assert told(order, "the heading stands again")


def test_cells_out_of_a_document() -> None:
    first, second = read("pasted.txt").artworks
    assert (first.width, first.depth, first.poured) == (61 * INCH // 2, 7 * INCH // 4, date(2026, 3, 14))
    assert (second.width, second.height, second.poured) == (30 * INCH, 36 * INCH, None)


def test_sizes_and_counts_in_doubt_are_faults() -> None:
    with pytest.raises(FaultsFound) as found:
        read("in doubt.csv")
    assert [(fault.row, fault.column, fault.found) for fault in found.value.faults] == [
        (2, "width", "about 30"), (3, "height", "TBD"), (3, "quantity", "n/a"), (4, "depth", ""),
    ]  # fmt: skip


def test_which_side_is_which_is_asked() -> None:
    with pytest.raises(FaultsFound, match="the order stated in the heading"):
        read("sizes.csv")
    assert "may be any side" in faults_of(["Inv #", "Length", "Width", "Height"], ["A", "30", "40", "2"])[0]


def test_what_is_wrong_with_columns_and_with_cells_is_one_list() -> None:
    with pytest.raises(FaultsFound) as found:
        read("all at once.csv")
    places = [(fault.row, fault.column) for fault in found.value.faults]
    assert places == [(1, "price"), (1, "depth"), (2, "width"), (2, "ship_by"), (3, "price"), (3, "ship_by"),
                      (3, "piece")]  # fmt: skip


@pytest.mark.parametrize(
    ("texts", "names"),
    [
        (["Title", "W", "H", "D"], ["piece", "width", "height", "depth"]),
        (["Inv. No.", "Work", "Price"], ["piece", "title", "price"]),
        (["Work", "Title"], [None, "piece"]),
        (["Artwork", "Inv #"], ["piece", None]),  # "Artwork" was the piece before
        (["Artwork", "Ref"], ["title", "piece"]),
        (["#", "Title", "Weight"], ["piece", "title", "weight"]),
        (["#", "piece"], ["weight", "piece"]),  # as before
        (["#", "piece", "Weight"], [None, "piece", "weight"]),
        (["piece", "Weight", "Est. weight"], ["piece", "weight", None]),
        (["piece", "Approx weight", "Est. weight"], ["piece", None, None]),
        (["Catalogue no", "Artist(s)", "Ship-to", "Pick up date"], ["piece", "artist", "destination", "ship_by"]),
        (["№", "Size HWD", "Name"], ["piece", "dimensions", "title"]),
        (["Nr.", "H/W/D (cm)"], ["piece", "dimensions"]),
        (["piece", "Overall width", "Framed height"], ["piece", "width", "height"]),
    ],
)
def test_headings_are_understood_together(texts: list[str], names: list[str | None]) -> None:
    assert [heading.name for heading in read_headings(texts)] == names


def test_two_names_for_a_piece_are_asked() -> None:
    said = faults_of(["ref", "code", "W", "H", "D"], ["A", "B", "30", "40", "2"])
    assert "call the one piece, the other title or notes" in said[0]


def test_a_note_of_before_stays_one_where_its_cells_say_something_else() -> None:
    order = order_from_rows([["piece", "w", "h", "d", "pick up"], ["A", "30", "40", "2", "by van"]])
    assert order.artworks[0].extra == (("pick up", "by van"),)
    order = order_from_rows([["piece", "#", "w", "h", "d"], ["A", "1", "30", "40", "2"], ["B", "2", "30", "40", "2"]])
    assert [artwork.weight_kg for artwork in order.artworks] == [None, None]


def test_rows_of_totals() -> None:
    head, rows = ["Title", "w", "h", "d", "price"], [["A", "30", "40", "2", "10"], ["B", "30", "40", "2", "20"]]
    for last in (["", "", "", "", "30"], ["Total", "", "", "", ""], ["", "", "", "", "Sum:"], ["2 works"]):
        order = order_from_rows([head, *rows, last])
        assert [artwork.piece for artwork in order.artworks] == ["A", "B"]
        assert told(order, "a row of totals left out")
    # What is no sum is no total, and a work of that name is one.
    assert "column piece: found nothing" in faults_of(head, *rows, ["", "", "", "", "31"])[0]
    work = order_from_rows([head, *rows, ["Total", "30", "40", "2", ""]])
    assert work.artworks[-1].piece == "Total"
    assert faults_of(head, *rows, ["Total Eclipse", "", "", "", ""])


@pytest.mark.parametrize(
    ("text", "rest"),
    [
        ("about 80", "80"), ("~80", "80"), ("approx. $1,200", "$1,200"), ("80 lb (est.)", "80 lb"),
        ("ca. 6 kg", "6 kg"),
        ("c. 14 March 2026", "14 march 2026"), ("80?", "80"), ("80ish", "80"), ("+/- 80", "80"), ("TBD", ""),
        ("to be confirmed", ""), ("n/a", ""), ("-", ""), ("?", ""), ("$1,200 TBC", "$1,200"), ("est: 40", "40"),
        ("80", None), ("$1,200.00", None), ("2026-03-14", None), ("14 March 2026", None), ("", None), ("CAD 12", None),
    ],
)  # fmt: skip
def test_doubt_is_taken_off(text: str, rest: str | None) -> None:
    assert without_hedge(text) == rest


def test_titles_that_stand_twice_are_numbered() -> None:
    assert number_alike(["A", "a", "B", "A (2)", "A"]) == ["A", "a (3)", "B", "A (2)", "A (4)"]
    assert all(len(name) <= 60 for name in number_alike(["x" * 60] * 3))


@pytest.mark.parametrize(
    ("country", "day"),
    [("US", date(2026, 3, 4)), ("GB", date(2026, 4, 3)), ("DE", date(2026, 4, 3)), ("AU", date(2026, 4, 3))],
)
def test_days_by_the_country(country: str, day: date) -> None:
    # Unicode CLDR, short date patterns: en-US M/d/yy, en-GB dd/MM/y, de dd.MM.yy, en-AU d/M/yy.
    for text in ("03/04/2026", "3.4.2026", "03-04-26", "Sat 03/04/2026"):
        assert parse_day(text, days_in(country)) == day
        assert hangs_on_country(text)
    assert parse_day("2026-04-03", days_in(country)) == date(2026, 4, 3)
    assert parse_day("14/03/2026", days_in(country)) == date(2026, 3, 14)


@pytest.mark.parametrize("country", ["CA", "SE", "JP", "", "Atlantis"])
def test_days_are_asked_where_the_country_does_not_say(country: str) -> None:
    with pytest.raises(DayError, match="2026-03-04 or 2026-04-03"):
        parse_day("03/04/2026", days_in(country))


def test_a_doubted_day_with_its_time() -> None:
    head, cells = ["piece", "w", "h", "d", "poured"], ["A", "30", "40", "2", "about 2026-03-14 14:30"]
    order = order_from_rows([head, cells])
    assert order.artworks[0].poured == datetime(2026, 3, 14, 14, 30)  # noqa: DTZ001 - local
    assert re.search(r"of A: 2026-03-14 14:30", order.warnings[-1])
