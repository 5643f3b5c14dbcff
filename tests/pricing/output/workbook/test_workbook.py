"""The whole workbook, reopened by another library: formulas and values there, totals the quote's, text only text."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from openpyxl.worksheet.worksheet import Worksheet
from xlsxwriter.worksheet import Worksheet as XlsxWorksheet

from nesting.crates.registry import method as packing_method
from pricing.output.workbook import workbook_bytes, write_workbook
from pricing.output.workbook.binder import FIXED_AND_LIVE, TABS
from pricing.output.workbook.client import cautions
from pricing.output.workbook.page import clean
from pricing.quoting.quote import quote as priced
from tests.pricing.output.workbook.support import DAY, differences, generated, named, opened, sample, table, written

NAMES = ("small_sale.csv", "gallery_consignment.csv", "giant_panel.toml", "metric_pair.xlsx")
_CELL = re.compile(r"\$?[A-Z]{1,3}\$?\d+")


@pytest.mark.parametrize("name", NAMES)
def test_cached_values_are_the_quotes(name: str) -> None:
    quote = sample(name)
    assert differences(written(name), quote) == []


def test_cached_values_of_generated_orders_are_the_quotes() -> None:
    for quote in generated(6, seed=3):
        assert differences(workbook_bytes(quote), quote) == []


def test_pages_stand_in_order() -> None:
    assert tuple(opened(written("small_sale.csv"), values=False).sheetnames) == TABS


def test_the_same_quote_gives_the_same_bytes() -> None:
    assert workbook_bytes(sample("small_sale.csv")) == written("small_sale.csv")


class LibrarysOwn(XlsxWorksheet):  # type: ignore[misc]  # the library has no types
    """Our worksheet's calls, answered by what the library has for them."""

    def put_formula(self, row: int, column: int, formula: str, style: Any, value: Any) -> None:
        self.write_formula(row, column, f"={formula}", style, value)

    def put_number(self, row: int, column: int, number: float, style: Any) -> None:
        self.write_number(row, column, number, style)

    def put_text(self, row: int, column: int, text: str, style: Any) -> None:
        self.write_string(row, column, text, style)

    def put_blank(self, row: int, column: int, style: Any) -> None:
        self.write_blank(row, column, None, style)

    def write_across(self, row: int, column: int, cells: Iterable[tuple[str | None, float]], style: Any) -> None:
        for at, (formula, value) in enumerate(cells, start=column):
            if formula is None:
                self.put_number(row, at, value, style)
            else:
                self.put_formula(row, at, formula, style, value)


@pytest.mark.parametrize("name", NAMES)
def test_no_formula_needs_what_the_worksheet_leaves_out(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The library's own worksheet marks functions younger than the file format; without any, both write the same."""
    monkeypatch.setattr("pricing.output.workbook.binder.PlainWorksheet", LibrarysOwn)
    assert workbook_bytes(sample(name)) == written(name)


def test_written_whole(tmp_path: Path) -> None:
    quote = sample("small_sale.csv")
    write_workbook(quote, tmp_path / "quote.xlsx")
    assert (tmp_path / "quote.xlsx").read_bytes() == workbook_bytes(quote)
    assert [path.name for path in tmp_path.iterdir()] == ["quote.xlsx"]


def test_every_sum_is_a_formula() -> None:
    """What a total is made of can be followed down to cells that are typed; none of the sums is typed itself."""
    formulas = named(opened(written("gallery_consignment.csv"), values=False))
    sums = [
        name
        for name in formulas
        if re.match("quote_total|bought_amount|step_|after_|cost_of_|amount_|bought_|each_", name)
    ]
    assert len(sums) > 60
    for name in sums:
        assert str(formulas[name]).startswith("="), f"{name} is typed: {formulas[name]}"


def test_every_formula_has_a_value_and_none_is_an_error() -> None:
    content = written("gallery_consignment.csv")
    formulas, values = opened(content, values=False), opened(content, values=True)
    count = 0
    for tab in TABS:
        for row in formulas[tab].iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    count += 1
                    value = values[tab][cell.coordinate].value
                    assert not str(value).startswith("#"), f"{tab}!{cell.coordinate}: {cell.value} is {value}"
                    # Only what says so itself may show nothing: a break out of reach, a box for nothing bought.
                    assert value is not None or '""' in str(cell.value), f"{tab}!{cell.coordinate}: {cell.value}"
    assert count > 2000


def test_inputs_have_readable_names_and_a_ground_of_their_own() -> None:
    book = opened(written("gallery_consignment.csv"), values=False)
    for name in (
        "markup_rate", "contingency_rate", "overhead_rate", "discount_rate", "minimum_charge", "round_to",
        "sales_tax_rate", "commission_rate", "insurance_rate", "price_ply_23_32_4x8", "needed_ply_23_32_4x8",
        "used_ply_23_32_4x8", "price_hour_bench", "minutes_screw", "charge_basis", "quote_date",
        "waste_rate", "sheet_waste_rate", "charge_osb_7_16", "charge_pe_plank_1",
    ):  # fmt: skip
        tab, cell = next(iter(book.defined_names[name].destinations))
        found = book[tab][cell.replace("$", "")]
        assert found.data_type != "f", name
        assert found.fill.fgColor.rgb == "FFFFF6D6", name


def test_markup_and_margin_are_both_shown() -> None:
    """25 % markup is 20 % margin (calculation: 0.25 / 1.25)."""
    values = named(opened(written("small_sale.csv"), values=True))
    assert values["markup_rate"] == pytest.approx(0.25)
    assert values["margin_rate"] == pytest.approx(0.2)


def test_text_from_the_order_is_never_a_formula() -> None:
    quote = sample("small_sale.csv")
    nasty = [
        '=HYPERLINK("http://example.invalid","x")',
        "+1+1",
        "@SUM(A1)",
        "-2+3",
        "=cmd|' /C calc'!A0",
        "a\x00b\x0bc",
        "x" * 40_000,
    ]
    build = quote.build
    for text in nasty:
        works = tuple(replace(each, title=text, notes=text) for each in build.order.artworks)
        order = replace(build.order, name=text[:200], artworks=works)
        changed = priced(replace(build, order=order), quote.office, on=DAY, number=text[:200])
        book = opened(workbook_bytes(changed), values=False)
        titles = [cell for tab in ("Quote", "Shares", "Freight") for row in book[tab].iter_rows() for cell in row]
        shown = [cell for cell in titles if isinstance(cell.value, str) and cell.value[:4] == clean(text)[:4]]
        assert shown
        assert all(cell.data_type == "s" for cell in shown), text[:40]


def test_sheets_to_buy_are_told_for_each_good() -> None:
    """The Buying page says how many sheets of each stock to fetch: what the layouts take, less the rack."""
    quote = sample("gallery_consignment.csv")
    sheet = opened(written("gallery_consignment.csv"), values=True)["Buying"]
    told = {
        row[4]: row[1] for row in sheet.iter_rows(values_only=True) if row[0] == "☐" and isinstance(row[1], int | float)
    }
    for layout in quote.build.layouts:
        bought = [each for each in layout.sheets if each.sheet.source == "buy"]
        for stock in {each.sheet.name for each in bought}:
            assert told[stock] == sum(each.repeat for each in bought if each.sheet.name == stock)


def test_one_piece_is_looked_up_with_its_reasons() -> None:
    quote = sample("gallery_consignment.csv")
    values = opened(written("gallery_consignment.csv"), values=True)["Shares"]
    texts = [str(cell) for row in values.iter_rows(max_row=22, values_only=True) for cell in row if cell is not None]
    first = quote.shares[0]
    assert first.piece in texts
    assert any(Decimal(text) == first.total for text in texts if re.fullmatch(r"\d+(\.\d+)?", text))
    assert quote.build.crate(first.crate).reason in texts
    assert any("area of its parts" in text for text in texts)


def test_client_and_packet_are_told_alike_how_a_crate_is_opened() -> None:
    """A crate opened lying, with its lid up, would let its pieces hang from their screws alone."""
    told = " ".join(cautions())
    for method, page, client in (
        ("closed", "Stand the crate upright", "upright"),
        ("carton", "flat, face side up", "flat"),
    ):
        assert page in packing_method(method).texts.opening[0]
        assert client in told
    assert "lid up" not in told


def test_it_says_what_is_fixed_and_what_is_live() -> None:
    book = opened(written("small_sale.csv"), values=True)
    for tab in ("Buying", "Cut list", "Sheets", "Costs", "Assumptions"):
        assert any(FIXED_AND_LIVE in str(cell.value) for row in book[tab].iter_rows() for cell in row), tab


@pytest.mark.parametrize("name", NAMES)
def test_every_page_is_set_up_for_paper(name: str) -> None:
    quote = sample(name)
    book = opened(written(name), values=False)
    paper = "9" if quote.build.order.units == "metric" else "1"
    for tab in TABS:
        sheet: Worksheet = book[tab]
        assert sheet.print_area, tab
        assert str(sheet.page_setup.paperSize) == paper
        if tab not in ("Sheets", "Workings"):
            assert sheet.sheet_properties.pageSetUpPr is not None
            assert sheet.sheet_properties.pageSetUpPr.fitToPage
        foot: Any = sheet.oddFooter
        assert foot.right.text == "page &P of &N"
    for tab in ("Buying", "Cut list", "Costs", "Crates", "Prices"):
        assert book[tab].print_title_rows, tab


def test_each_layout_has_a_picture_and_no_paper_breaks_one() -> None:
    quote = sample("gallery_consignment.csv")
    sheet: Any = opened(written("gallery_consignment.csv"), values=False)["Sheets"]
    layouts = [each for layout in quote.build.layouts for each in layout.sheets]
    assert len(sheet._images) == len(layouts)  # noqa: SLF001 - openpyxl has no other way to count pictures
    rows = Counter(each.anchor._from.row for each in sheet._images)  # noqa: SLF001 - the same of where they lie
    assert set(rows.values()) <= {1, 2}, "two beside each other"
    assert len(rows) == (len(layouts) + 1) // 2
    for brk in sheet.row_breaks.brk:
        # A break stands before the row with the drawings' titles, two rows above the drawings.
        assert brk.id + 2 in rows


def test_shares_table_sums_to_the_total() -> None:
    quote = sample("gallery_consignment.csv")
    rows = table(opened(written("gallery_consignment.csv"), values=True)["Shares"], "Piece", "Total")
    assert len(rows) == len(quote.shares)
    assert round(sum(row["Total"] for row in rows.values()), 2) == float(quote.total)
