"""A page: what is text stays text, rows are high enough, paper ends between tables and not within."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.worksheet.worksheet import Worksheet

from pricing.output.workbook.names import Names
from pricing.output.workbook.page import Formula, Page, clean, header_text, plain
from pricing.output.workbook.style import Styles
from pricing.output.workbook.worksheet import PlainWorksheet


class Made:
    """A workbook with one page, to be filled and then read again."""

    def __init__(self) -> None:
        self.out = BytesIO()
        self.workbook = xlsxwriter.Workbook(self.out, {"in_memory": True})
        styles, names = Styles(self.workbook, "USD", "inch"), Names(self.workbook)
        self.page = Page(self.workbook.add_worksheet("One", PlainWorksheet), styles, names, [100, 100, 200])

    def read(self, *, values: bool = False) -> Worksheet:
        sheet = openpyxl.load_workbook(BytesIO(self.out.getvalue()), data_only=values)["One"]
        assert isinstance(sheet, Worksheet)
        return sheet


@contextmanager
def filled() -> Iterator[Made]:
    made = Made()
    yield made
    made.page.finish(foot="&P & co")
    made.workbook.close()


@given(
    st.text(min_size=1, max_size=60) | st.sampled_from(["=1+1", "+A1", "@x", "-1", "1e5", "TRUE", "http://x.invalid"])
)
def test_text_is_text(text: str) -> None:
    with filled() as made:
        made.page.put(0, text)
    cell = made.read()["A1"]
    assert cell.data_type in ("s", "n" if cell.value is None else "s")
    # Blanks at the ends and the two kinds of line ends are the file format's own affair.
    assert str(cell.value or "").split() == clean(text).split() or "_x" in str(cell.value)


def test_values_of_every_kind() -> None:
    with filled() as made:
        made.page.put(0, Decimal("12.35"), "money")
        made.page.put(1, date(2026, 3, 1), "day")
        made.page.put(2, Formula("A1*2", Decimal("24.70")), "money", name="twice")
    assert [cell.value for cell in made.read(values=True)[1]][::2] == [12.35, 24.7]
    assert made.read()["C1"].value == "=A1*2"
    assert made.read().parent.defined_names["twice"].attr_text == "'One'!$C$1"  # type: ignore[union-attr]  # it is there


def test_days_count_from_the_spreadsheets_own_first_day() -> None:
    """1 March 2026 is day 46082 (ECMA-376 part 1, 18.17.4.1: 1 January 1900 is 1; calculation)."""
    assert plain(date(2026, 3, 1)) == 46082
    assert plain(date(1900, 3, 1)) == 61


def test_rows_are_high_enough_for_their_text() -> None:
    with filled() as made:
        made.page.put(2, "a long text that goes on and on " * 6, "wrap")
        made.page.next()
        made.page.put(2, "short", "wrap")
        made.page.next()
    heights = made.read().row_dimensions
    # A row of the usual height states none.
    assert (heights[1].height or 15) > 3 * (heights[2].height or 15)


def test_headings_go_on_where_a_table_does() -> None:
    with filled() as made:
        page = made.page
        page.section("Table")
        page.heads("one", "two", "three")
        for number in range(180):
            page.put(0, number, "count")
            page.next()
        page.skip()
        page.section("Other")
    sheet = made.read()
    breaks = [found.id for found in sheet.row_breaks.brk]
    assert len(breaks) >= 3
    assert all(sheet.cell(row + 1, 1).value == "one" for row in breaks)
    assert [row[0].value for row in sheet.iter_rows()].count("one") == len(breaks) + 1


def test_a_heading_is_not_left_alone_at_the_foot() -> None:
    with filled() as made:
        page = made.page
        while not page.breaks:
            page.section("Heading")
            page.put(0, "a row")
            page.next()
    sheet = made.read()
    assert sheet.cell(sheet.row_breaks.brk[0].id + 1, 1).value == "Heading"


def test_a_foot_holds_no_codes() -> None:
    assert header_text("&P & co") == "&&P && co"
    with filled() as made:
        made.page.put(0, 1, "count")
    foot: Any = made.read().oddFooter
    assert foot.left.text == "&&P && co"


@pytest.mark.parametrize("text", ["a\x00b", "\ud800", "\x0b\x1f\ufffe"])
def test_what_a_file_cannot_hold_is_marked(text: str) -> None:
    assert "\ufffd" in clean(text)
    clean(text).encode("utf-8")


def test_a_text_is_no_longer_than_a_cell_takes() -> None:
    assert len(clean("x" * 99_999)) < 32_767
