import csv
import io
import zipfile
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from nesting.base.faults import FaultsFound
from pricing.studio.table_file import (
    csv_text,
    heading,
    missing_columns,
    read_table,
    table_from,
    unknown_columns,
    yes_or_no,
)


def test_comments_blanks_and_letter_case() -> None:
    table = table_from(b"# a comment\n\nDoor_Width , NAME\n 30 ,x\n,,\n#off,y\n", "t.csv")
    assert table.headings == ("door width", "name")
    assert [(row.row, dict(row.cells)) for row in table.rows] == [(4, {"door width": "30", "name": "x"})]
    assert table.rows[0].get("country") == ""


def test_a_semicolon_table_and_a_byte_order_mark() -> None:
    assert table_from("\ufeffa;b\n1,5;2\n".encode(), "t.csv").rows[0].cells == {"a": "1,5", "b": "2"}


@pytest.mark.parametrize(
    ("content", "file", "found"),
    [
        (b"", "t.csv", "nothing"),
        (b"# only a comment\n", "t.csv", "nothing"),
        (b"a,b\n\0,2\n", "t.csv", "no text"),
        (b'a,b\n"1,2\n', "t.csv", "cannot be split"),
        (b"PK nonsense", "t.xlsx", "no workbook"),
        (b"a,b\n", "t.pdf", "ends in .pdf"),
    ],
)
def test_what_is_no_table(content: bytes, file: str, found: str) -> None:
    with pytest.raises(FaultsFound, match=found):
        table_from(content, file)


def test_what_is_wrong_with_its_shape_is_told_together_with_its_cells() -> None:
    table = table_from(b"a,a,b\n1,2,#REF!,3\n", "t.csv")
    told = [each.found for each in missing_columns(table, ("c",), ("a", "b"))]
    assert told == ["2 columns of that name", "3 beyond the last column", ""]


def test_a_table_in_the_encoding_of_a_spreadsheet_is_read_and_told() -> None:
    table = table_from("name;price\nB\u00fcrste;\u20ac 5,00\n".encode("cp1252"), "t.csv")
    assert table.rows[0].cells == {"name": "B\u00fcrste", "price": "\u20ac 5,00"}
    assert "Windows-1252" in table.warnings[0]


def test_a_workbook_that_unpacks_to_too_much_is_refused_before_it_is_read() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as bomb:
        for number in range(3):
            bomb.writestr(f"xl/worksheets/sheet{number}.xml", b"0" * 70_000_000)
    with pytest.raises(FaultsFound, match="unpacked at the most"):
        table_from(packed.getvalue(), "t.xlsx")


def test_workbook_cells_read_as_a_person_typed_them(tmp_path: Path) -> None:
    book = Workbook()
    page = book.worksheets[0]
    page.append(["name", "price", "day", "flag", "sum"])
    page.append(["x", 0.1 + 0.2, date(2026, 1, 31), True, 58])
    book.save(tmp_path / "t.xlsx")
    row = read_table(tmp_path / "t.xlsx").rows[0]
    assert dict(row.cells) == {"name": "x", "price": "0.3", "day": "2026-01-31", "flag": "yes", "sum": "58"}


def test_cells_without_a_value_count_where_their_column_does() -> None:
    book = Workbook()
    page = book.worksheets[0]
    page.append(["name", "price", "margin"])
    page.append(["x", "=1+1", "#REF!"])
    page.append(["#N/A", 3, None])
    stream = io.BytesIO()
    book.save(stream)
    table = table_from(stream.getvalue(), "t.xlsx")
    assert [row.row for row in table.rows] == [2, 3]  # an error in the first cell makes no comment
    assert [fault.message for fault in missing_columns(table, ("name",), ("price",))] == [
        't.xlsx, row 2, column price: found "=1+1"; accepted: a value; save the file in a spreadsheet, which stores it',
        't.xlsx, row 3, column name: found "#N/A"; accepted: a value; the spreadsheet shows an error here',
    ]


def test_only_the_first_page_that_people_see_is_read() -> None:
    book = Workbook()
    book.worksheets[0].append(["hidden"])
    for title in ("Prices", "Notes"):
        book.create_sheet(title).append(["name", title])
        book[title].append(["x", 1])
    book.worksheets[0].sheet_state = "hidden"
    book.active = 1
    stream = io.BytesIO()
    book.save(stream)
    assert table_from(stream.getvalue(), "t.xlsx").headings == ("name", "prices")


def test_the_heading_alone_says_the_separator() -> None:
    table = table_from(b"#off; as; a; comment\ndestination\nNorth; the yard\nSouth; the yard\n", "t.csv")
    assert [dict(row.cells) for row in table.rows] == [
        {"destination": "North; the yard"}, {"destination": "South; the yard"},
    ]  # fmt: skip


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FaultsFound, match=r"t\.csv: found"):
        read_table(tmp_path / "t.csv")


cells = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12).map(str.strip)


@given(st.lists(st.tuples(cells, cells), min_size=1, max_size=5))
def test_what_is_written_never_starts_as_a_formula_and_numbers_stay(rows: list[tuple[str, str]]) -> None:
    text = csv_text(("a", "b"), [(*row,) for row in rows])
    for line in text.splitlines()[1:]:
        assert line.lstrip('"')[:1] not in ("=", "+", "-", "@")
    assert csv_text(("a",), [[Decimal("-1.50")]]).splitlines()[1] == "-1.50"


def test_columns_that_lack_or_are_unknown() -> None:
    table = table_from(b"name,colour\nx,red\n", "t.csv")
    assert [fault.column for fault in missing_columns(table, ("name", "price"))] == ["price"]
    assert unknown_columns(table, ("name",)) == ("t.csv: column colour is not known and was passed over",)
    assert heading("  Door_Width ") == "door width"


def test_yes_and_no() -> None:
    assert yes_or_no("Yes")
    assert not yes_or_no("no")
    with pytest.raises(ValueError, match="neither yes nor no"):
        yes_or_no("maybe")


def test_bytes_of_nothing_are_no_table() -> None:
    with pytest.raises(FaultsFound, match="bytes that are no text"):
        table_from(bytes(1000), "prices.csv")


@given(
    st.lists(
        st.lists(
            st.text(st.sampled_from("'=+-@#a \";,"), min_size=1).map(str.strip).filter(bool), min_size=2, max_size=2
        ),
        min_size=1,
    )
)
def test_text_comes_back_as_it_was_and_never_as_a_formula(rows: list[list[str]]) -> None:
    text = csv_text(("name", "place"), rows)
    assert not any(cell[:1] in ("=", "+", "-", "@") for row in csv.reader(io.StringIO(text)) for cell in row)
    found = table_from(text.encode(), "t.csv").rows
    assert [[row.get("name"), row.get("place")] for row in found] == rows


def test_cells_pasted_from_a_spreadsheet_are_split_at_tabs() -> None:
    (row,) = table_from(b"name\tplace\nR-1\tbay 2, high\n", "t.csv").rows
    assert (row.get("name"), row.get("place")) == ("R-1", "bay 2, high")
