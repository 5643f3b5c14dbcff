import io
import time
import zipfile
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.worksheet.formula import ArrayFormula

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, MM
from nesting.base.tables.workbook import MOST_UNPACKED, MOST_WRITTEN_ROWS
from nesting.intake import read_upload
from nesting.order import Order
from tests.nesting.intake.support import HEAD
from tests.workbooks import SHEET, book_of, changed, entities, locked, lying, parts, rows_xml, saved


def read(data: bytes, **how: Any) -> Order:
    """Read a workbook as it would be dropped on the desk."""
    return read_upload("o.xlsx", data, **how)


def refused(data: bytes) -> list[str]:
    """Return what is said of a workbook that is refused."""
    with pytest.raises(FaultsFound) as caught:
        read(data)
    return [fault.message for fault in caught.value.faults]


GOOD = book_of(HEAD, ["A-01", 30, 40, 1.5])


def test_numbers_dates_and_answers_in_cells() -> None:
    data = book_of(
        [*HEAD, "weight", "qty", "poured", "ship by", "turn", "price", "title"],
        ["A-01", 30.5, "40 1/2", 1.5, 18.25, 2, datetime(2026, 3, 1, 14, 30), date(2026, 4, 1), True, 1200.5, 77],  # noqa: DTZ001 - local
        [102, 30, 0.1 + 0.2 + 30, 1, None, 1.0, date(2026, 3, 2), datetime(2026, 4, 2), False, 5, None],  # noqa: DTZ001 - local
    )
    first, second = read(data).artworks
    assert (first.width, first.height, first.depth) == (61 * INCH // 2, 81 * INCH // 2, 3 * INCH // 2)
    assert first.weight_kg == Decimal("18.25") * Decimal("0.45359237")
    assert (first.quantity, first.turn, first.price, first.title) == (2, True, Decimal("1200.50"), "77")
    assert first.poured == datetime(2026, 3, 1, 14, 30)  # noqa: DTZ001 - local
    assert first.ship_by == date(2026, 4, 1)
    assert second.piece == "102"
    assert second.height == 303 * INCH // 10  # what binary makes of 30.3 is read as 30.3
    assert (second.poured, second.ship_by) == (date(2026, 3, 2), date(2026, 4, 2))
    assert not isinstance(second.poured, datetime)


def test_days_counted_from_1904_are_the_same_days() -> None:
    book = Workbook()
    book.epoch = CALENDAR_MAC_1904
    sheet = book.active
    assert sheet is not None
    sheet.append([*HEAD, "poured"])
    sheet.append(["A-01", 30, 40, 1, date(2026, 3, 1)])
    data = saved(book)
    assert b'date1904="1"' in zipfile.ZipFile(io.BytesIO(data)).read("xl/workbook.xml")
    assert read(data).artworks[0].poured == date(2026, 3, 1)


def test_a_fraction_that_a_spreadsheet_took_for_a_date_is_told() -> None:
    said = refused(book_of(HEAD, ["A-01", 30, 40, date(2026, 1, 2)]))
    assert len(said) == 1
    assert "row 2, column depth" in said[0]
    assert "spreadsheets turn 1/2 into one" in said[0]
    assert "format the cells as text" in refused(book_of(HEAD, [date(2026, 1, 2), 30, 40, 1]))[0]


def test_formulas_give_their_stored_values_and_are_never_calculated() -> None:
    data = book_of(HEAD, ["A-01", "=10*3", 40, 1.5])
    assert refused(data) == [
        'o.xlsx, row 2, column width: found "=10*3"; accepted: a value; save the file in a spreadsheet, which stores it'
    ]
    stored = changed(data, SHEET, lambda xml: xml.replace(b"<f>10*3</f><v />", b"<f>10*3</f><v>31</v>"))
    assert stored != data
    assert read(stored).artworks[0].width == 31 * INCH
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEAD)
    sheet.append(["A-01", 30, 40, 1])
    sheet["B2"] = ArrayFormula("B2:B2", "=SUM(C2:D2)")
    assert "array formula" in refused(saved(book))[0]


def test_errors_in_cells_are_told_wherever_they_are_read() -> None:
    data = book_of([*HEAD, "title", "poured", "price", "turn", "together"], ["A-01", "#N/A", 40, 1, *["#REF!"] * 5])
    said = refused(data)
    assert [sentence.split(":")[0].rsplit(" ", 1)[1] for sentence in said] == [
        "width", "title", "poured", "price", "turn", "together"]  # fmt: skip
    assert all("the spreadsheet shows an error here" in sentence for sentence in said)


def test_the_one_sheet_with_a_heading_is_read() -> None:
    book = Workbook()
    notes = book.active
    assert notes is not None
    notes.append(["Works for spring"])
    works = book.create_sheet("Works")
    works.append(HEAD)
    works.append(["A-01", 30, "wide", 1])
    book.create_sheet("Empty")
    assert refused(saved(book))[0].startswith("o.xlsx, sheet Works, row 2, column height")
    works["C2"] = 40
    assert read(saved(book)).source == "o.xlsx, sheet Works"
    again = book.create_sheet("Works 2")
    again.append(HEAD)
    again.append(["A-02", 30, 40, 1])
    assert 'found "the sheets Works, Works 2"' in refused(saved(book))[0]
    again.sheet_state = "hidden"
    assert [artwork.piece for artwork in read(saved(book)).artworks] == ["A-01"]


def test_rows_are_counted_across_gaps() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for place, text in enumerate(HEAD, start=2):
        sheet.cell(5, place, text)
    for place, text in enumerate(["A-01", "30", "40", "x"], start=2):
        sheet.cell(1000, place, text)
    assert refused(saved(book))[0].startswith("o.xlsx, row 1000, column depth")


def test_what_a_sheet_says_of_its_extent_is_not_believed() -> None:
    for extent in (b"A1:XFD1048576", b"A1", b"nonsense"):
        data = changed(GOOD, SHEET, lambda xml, extent=extent: xml.replace(b'"A1:D2"', b'"' + extent + b'"'))  # type: ignore[misc]  # a default holds the loop's value
        assert data != GOOD
        try:
            assert read(data).artworks[0].width == 30 * INCH
        except FaultsFound as error:
            assert extent == b"nonsense", error  # noqa: PT017 - either outcome is right for nonsense


def test_metric_workbooks() -> None:
    data = book_of(["Ref", "Size (h x w x d) cm", "Weight (kg)"], ["A-01", "77,5 x 60 x 3,8", 8.4])
    artwork = read(data).artworks[0]
    assert (artwork.height, artwork.width, artwork.depth) == (775 * MM, 600 * MM, 38 * MM)
    assert artwork.weight_kg == Decimal("8.4")


# Workbooks that mean harm. Each must be refused, or read, in little time and space.


@pytest.mark.parametrize(
    "part", [SHEET, "xl/workbook.xml", "xl/styles.xml", "[Content_Types].xml", "xl/sharedStrings.xml", "x.bin"]
)
def test_xml_entities_are_refused_in_every_part(part: str) -> None:
    data = changed(GOOD, part, lambda xml: entities(xml or b"<x/>"))
    assert "an XML document type in " in refused(data)[0]


def test_a_document_type_elsewhere_is_never_fetched() -> None:
    outside = b'<!DOCTYPE worksheet SYSTEM "http://127.0.0.1:9/never.dtd">'
    assert "an XML document type in " in refused(changed(GOOD, SHEET, lambda xml: outside + xml))[0]


def test_entities_hidden_in_another_encoding_are_refused() -> None:
    def hide(xml: bytes) -> bytes:
        return entities(xml.replace(b"UTF-8", b"UTF-16")).decode().encode("utf-16")

    assert "an XML document type" in refused(changed(GOOD, SHEET, hide))[0]


def test_zip_bombs_are_refused_before_they_unpack() -> None:
    started = time.process_time()
    bomb = changed(GOOD, SHEET, lambda xml: xml + b" " * (MOST_UNPACKED + 1))
    assert len(bomb) < 100_000
    assert "bytes unpacked at the most" in refused(bomb)[0]
    assert "3,000 parts" in refused(parts(3000))[0]
    assert time.process_time() - started < 10


def test_a_part_that_lies_about_its_size_is_refused() -> None:
    assert refused(lying(GOOD))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (b"<row/>" * 1_000_000, "tags"),
        (b'<row><c t="n"><v>1</v></c></row>' * 200_000, "tags"),
        (b"<row/>" * 390_000, f"{MOST_WRITTEN_ROWS:,} rows"),
        (b'<row><c r="XFD1"/></row>' * 130_000, f"{MOST_WRITTEN_ROWS:,} rows"),
        (b'<row><c t="n"><v>1</v></c></row>' * 60_000, "2000 rows at the most"),
    ],
)
def test_a_million_rows_are_refused_in_little_time(rows: bytes, said: str) -> None:
    started = time.process_time()
    assert said in refused(changed(GOOD, SHEET, rows_xml(rows)))[0]
    assert time.process_time() - started < 30


def test_a_cell_at_the_last_row_costs_little() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEAD)
    sheet.append(["A-01", 30, 40, 1])
    sheet.cell(1_048_576, 2, " ")
    started = time.process_time()
    assert len(read(saved(book)).artworks) == 1
    beyond = changed(GOOD, SHEET, rows_xml(b'<row r="99999999999"><c><v>1</v></c></row>'))
    assert "rows" in refused(beyond)[0]
    assert time.process_time() - started < 30


def test_a_cell_beyond_the_columns_is_refused() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEAD)
    sheet.cell(2, 16_384, "far away")
    assert refused(saved(book))


@pytest.mark.parametrize(
    "xml",
    [
        b"",
        b"<",
        b"<worksheet>",
        b"<a/>",
        b'<row r="x"/>',
        b'<row r="-5"><c><v>1</v></c></row>',
        b'<row r="1"><c r="@@"><v>1</v></c></row>',
        b'<row r="1"><c t="s"><v>999999</v></c></row>',
        b'<row r="1"><c t="s"><v>x</v></c></row>',
        b'<row r="1"><c t="b"><v>7</v></c></row>',
        b'<row r="1"><c t="d"><v>soon</v></c></row>',
        b'<row r="1"><c s="99999"><v>1</v></c></row>',
        b'<row r="1"><c><v>1e999</v></c></row>',
        b'<row r="1"><c><v>' + b"9" * 10_000 + b"</v></c></row>",
        b'<row r="1"><c><v>nan</v></c></row>',
        b'<row r="1"><c t="n"><v>x</v></c></row>',
        b'<row r="1"><c><f t="shared" si="7"/><v>1</v></c></row>',
        b'<row r="1"><c t="inlineStr"><is></is></c></row>',
    ],
)
def test_malformed_sheets_are_refused(xml: bytes) -> None:
    assert refused(changed(GOOD, SHEET, rows_xml(xml)))
    assert refused(changed(GOOD, SHEET, lambda _: xml))


@pytest.mark.parametrize(
    "part", [name for name in zipfile.ZipFile(io.BytesIO(GOOD)).namelist() if not name.startswith("docProps")]
)
def test_any_part_may_be_missing_or_broken(part: str) -> None:
    for content in (b"", b"<x/>", b"\x00\xff" * 50):
        try:
            read(changed(GOOD, part, lambda _, content=content: content))  # type: ignore[misc]  # a default holds the loop's value
        except FaultsFound:
            continue


def test_workbooks_cut_short_or_altered_are_refused_or_read() -> None:
    for at in range(0, len(GOOD), 97):
        altered = GOOD[:at] + bytes([GOOD[at] ^ 0xFF]) + GOOD[at + 1 :]
        for data in (GOOD[:at], altered):
            try:
                read(data)
            except FaultsFound:
                continue


def test_workbooks_of_very_many_sheets_are_refused() -> None:
    book = Workbook()
    for number in range(60):
        book.create_sheet(f"Sheet of {number}")
    assert "50 sheets at the most" in refused(saved(book))[0]


def test_an_empty_workbook_is_refused() -> None:
    assert refused(saved(Workbook())) == [
        "o.xlsx: found nothing; accepted: a sheet with a heading and a row for each artwork"
    ]


def test_a_locked_workbook_is_told() -> None:
    assert "password" in refused(locked(GOOD))[0]
