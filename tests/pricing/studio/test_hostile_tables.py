"""Files that mean harm, or are broken, come to every table alike: each is refused at once, in one clear sentence."""

from collections.abc import Callable
from typing import Any

import pytest
from openpyxl import Workbook

from nesting.base.faults import FaultsFound
from nesting.base.tables.table import MOST_BYTES, MOST_COLUMNS
from nesting.base.tables.workbook import MOST_UNPACKED, MOST_WRITTEN_ROWS
from nesting.intake import read_upload
from nesting.shop.shop_file import default_shop
from pricing.desk.supplier import read_list
from pricing.studio.destinations import destinations_from
from pricing.studio.parties import parties_from
from pricing.studio.pricebook_file import default_price_book, price_book_from
from pricing.studio.rack import rack_from
from pricing.studio.rates_file import default_rates
from tests.workbooks import SHEET, book_of, changed, entities, locked, lying, parts, rows_xml, saved

Read = Callable[[str, bytes], Any]
READERS: dict[str, Read] = {
    "order": read_upload,
    "rack": lambda file, data: rack_from(data, file, default_shop(), "USD"),
    "prices": lambda file, data: price_book_from(data, file),
    "destinations": lambda file, data: destinations_from(data, file, default_rates()),
    "parties": lambda file, data: parties_from(data, file),
    "supplier": lambda file, data: read_list(file, data, default_price_book()),
}
GOOD: dict[str, list[list[Any]]] = {
    "order": [["piece", "width", "height", "depth"], ["A-01", 30, 40, 1.5]],
    "rack": [["name", "good", "length", "width"], ["R-1", "ply-3/8", "30 in", "20 in"]],
    "prices": [["stock", "good", "form", "price", "currency"], ["ply-3/8 4x8", "ply-3/8", "sheet", 58.5, "USD"]],
    "destinations": [["destination", "country"], ["Harbour", "US"]],
    "parties": [["name", "address", "country"], ["Harbour", "1 Quay", "US"]],
    "supplier": [["stock", "price"], ["ply-3/8 4x8", 58.5]],
}
CELL = b'<c t="n"><v>1</v></c>'


def sheets(data: bytes) -> bytes:
    """Return a workbook of very many sheets."""
    book = Workbook()
    for number in range(60):
        book.create_sheet(f"Sheet of {number}")
    assert data
    return saved(book)


HARM: dict[str, tuple[Callable[[bytes], bytes], str]] = {
    "entities": (lambda data: changed(data, SHEET, entities), "an XML document type in"),
    "entities in a part of any name": (
        lambda data: changed(data, "x.bin", lambda _: entities(b"<x/>")), "an XML document type in",
    ),
    "a document type elsewhere": (
        lambda data: changed(data, SHEET, lambda xml: b'<!DOCTYPE x SYSTEM "http://127.0.0.1:9/never.dtd">' + xml),
        "an XML document type in",
    ),
    "a bomb": (
        lambda data: changed(data, SHEET, lambda xml: xml + b" " * (MOST_UNPACKED + 1)), "bytes unpacked at the most",
    ),
    "a part that lies": (lying, "accepted: a workbook"),
    "very many parts": (lambda _: parts(3000), "3,000 parts"),
    "very many cells": (
        lambda data: changed(data, SHEET, rows_xml((b"<row>" + CELL * 190 + b"</row>") * 1_000)), "tags",
    ),
    "very many rows": (
        lambda data: changed(data, SHEET, rows_xml(b"<row/>" * (MOST_WRITTEN_ROWS + 1))), "20,000 at the most",
    ),
    "a row out of the world": (
        lambda data: changed(data, SHEET, rows_xml(b'<row r="99999999999"><c><v>1</v></c></row>')), "rows",
    ),
    "a cell beyond the columns": (
        lambda data: changed(data, SHEET, rows_xml(b'<row r="1">' + CELL * (MOST_COLUMNS + 1) + b"</row>")),
        f"{MOST_COLUMNS} columns at the most",
    ),
    "very many sheets": (sheets, "50 sheets at the most"),
    "a password": (locked, "password"),
    "an old workbook": (lambda _: b"\xd0\xcf\x11\xe0" + b"0" * 600, "an old XLS file"),
    "cut short": (lambda data: data[: len(data) // 2], "a file that is no workbook"),
    "another file": (lambda _: b"hello", "a file that is no workbook"),
    "no sheet": (lambda data: changed(data, SHEET, lambda _: b"<worksheet>"), "a workbook that cannot be read"),
    "a cell of no type": (
        lambda data: changed(data, SHEET, rows_xml(b'<row r="1"><c t="s"><v>999999</v></c></row>')),
        "a workbook that cannot be read",
    ),
    "too large": (lambda data: data + b"\0" * MOST_BYTES, "more than 8,000,000 bytes"),
}  # fmt: skip


def refused(what: str, file: str, data: bytes) -> str:
    """Return the one sentence that is said of a file."""
    with pytest.raises(FaultsFound) as caught:
        READERS[what](file, data)
    (fault,) = caught.value.faults
    assert fault.file == file
    return fault.message


@pytest.mark.parametrize("what", READERS)
def test_what_is_well_formed_is_read(what: str) -> None:
    READERS[what]("t.xlsx", book_of(*GOOD[what]))
    READERS[what]("t.csv", "\n".join(",".join(map(str, row)) for row in GOOD[what]).encode())


@pytest.mark.parametrize("what", READERS)
@pytest.mark.parametrize("harm", HARM)
def test_a_workbook_that_means_harm_is_refused_by_every_table(what: str, harm: str) -> None:
    change, said = HARM[harm]
    assert said in refused(what, "t.xlsx", change(book_of(*GOOD[what])))


@pytest.mark.parametrize("harm", HARM)
def test_every_table_finds_the_same(harm: str) -> None:
    change, _ = HARM[harm]
    data = change(book_of(*GOOD["rack"]))
    found = {refused(what, "t.xlsx", data).partition("; accepted: ")[0] for what in READERS}
    assert len(found) == 1


@pytest.mark.parametrize("what", READERS)
@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (bytes(1000), "bytes that are no text"),
        (b"\xff\xfe\x00", "bytes that are"),
        (b"\x81\x8d", "bytes that are"),
        (b'a,b\n"1,2\n', "row 2 that cannot be split"),
        (b"a,b\n" + b"x" * 140_000, "row 2 that cannot be split"),
        (b"a" + b",b" * MOST_COLUMNS, f"{MOST_COLUMNS + 1} columns in row 1"),
        (b"a,b\n" + b"\n" * 100_000, "more than 100,000 lines"),
        (b"a,b\n" + b"1,2\n" * 20_001, "rows"),
        (b"a" * (MOST_BYTES + 1), "more than 8,000,000 bytes"),
        (b" \n\n", "found nothing"),
    ],
    ids=["nothing", "half a letter", "no letters", "an open quote", "a cell without end", "very many columns",
         "very many lines", "very many rows", "too large", "blank"],
)  # fmt: skip
def test_a_text_that_means_harm_is_refused_by_every_table(what: str, harm: bytes, said: str) -> None:
    assert said in refused(what, "t.csv", harm)


@pytest.mark.parametrize("what", READERS)
@pytest.mark.parametrize(
    ("cell", "accepted"),
    [("=1+1", "save the file in a spreadsheet, which stores it"), ("#REF!", "the spreadsheet shows an error here")],
)
def test_a_cell_without_a_value_is_told_at_its_place(what: str, cell: str, accepted: str) -> None:
    heading, row = GOOD[what]
    said = refused(what, "t.xlsx", book_of(heading, [*row[:1], cell, *row[2:]]))
    assert said.startswith(f't.xlsx, row 2, column {heading[1]}: found "{cell}"; accepted: ')
    assert accepted in said
