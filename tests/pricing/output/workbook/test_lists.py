"""Lists that are sorted and filtered, figures that follow, and what is printed: a second program says so."""

import io
import subprocess
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pdfplumber
import pytest
from openpyxl.utils import range_boundaries

from pricing.ahead.calendar.dates import plan_dates
from pricing.output.workbook import workbook_bytes
from pricing.output.workbook.binder import TABS
from pricing.quoting.quote import Quote
from pricing.quoting.quote import quote as priced
from tests.pricing.output.workbook.support import Values, differences, recounted, rows_of, sample

LISTS = ("Buying", "Cut list", "Cuts", "Crates", "Calendar", "Checks")
MINUTES = 7.5


@cache
def made() -> Quote:
    return sample("gallery_consignment.csv")


@cache
def content() -> bytes:
    return workbook_bytes(made(), plan=plan_dates(made()))


def book() -> Any:
    return openpyxl.load_workbook(io.BytesIO(content()))


def span(sheet: Any) -> tuple[int, int, int, int]:
    """Return the first and last column and row of a list, its headings included."""
    left, top, right, bottom = range_boundaries(sheet.auto_filter.ref)
    return left, top, right, bottom  # type: ignore[return-value]  # a range has all four


def test_pages_that_are_lists_have_a_filter_over_their_rows_alone_and_their_heads_stay() -> None:
    found = book()
    for tab in LISTS:
        sheet = found[tab]
        left, top, right, bottom = span(sheet)
        assert sheet.freeze_panes == f"A{top + 1}", tab
        assert sheet.print_title_rows == f"${top}:${top}", tab
        assert [cell.value for cell in sheet[top]][1], tab
        inside = [m for m in sheet.merged_cells.ranges if m.min_row <= bottom and m.max_row > top]
        assert not inside, f"{tab}: rows with merged cells cannot be sorted"
        for row in sheet.iter_rows(min_row=top + 1, max_row=bottom, min_col=left, max_col=right):
            assert sum(cell.value is not None for cell in row) > 2, f"{tab} {row[0].row}: no row of the list"
        names = [
            name
            for name, defined in found.defined_names.items()
            for page, cell in defined.destinations
            if page == tab and ":" not in cell and top < sheet[cell.replace("$", "")].row <= bottom
        ]
        assert not names, f"{tab}: {names} would be other cells once it is sorted"
    for tab in TABS:
        if tab != "Quote":
            assert found[tab].freeze_panes, tab


def test_what_is_worked_out_stands_last() -> None:
    assert book().sheetnames[-1] == "Workings"
    assert book().sheetnames[-3:-1] == ["Assumptions", "Checks"]


def turned_round(sheet: Any) -> None:
    """Sort a list the other way round as a spreadsheet does: formulas keep their names, and follow their own row."""
    from openpyxl.formula.translate import Translator

    left, top, right, bottom = span(sheet)
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(top + 1, bottom, left, right)]
    for at, values in enumerate(reversed(rows)):
        for column, value in enumerate(values, start=left):
            cell = sheet.cell(top + 1 + at, column)
            from_cell = f"A{bottom - at}"
            formula = isinstance(value, str) and value.startswith("=")
            cell.value = Translator(value, from_cell).translate_formula(f"A{top + 1 + at}") if formula else value


def saved(found: Any) -> bytes:
    out = io.BytesIO()
    found.save(out)
    return out.getvalue()


def sorted_and_filtered() -> bytes:
    """Return the workbook with every list the other way round, and half of the rows hidden by a filter."""
    found = book()
    for tab in LISTS:
        turned_round(found[tab])
        _, top, _, bottom = span(found[tab])
        for row in range(top + 1, bottom + 1, 2):
            found[tab].row_dimensions[row].hidden = True
    return saved(found)


def other_minutes() -> tuple[bytes, Quote]:
    """Return the workbook with other minutes of work, the quote at those, and a finding whose figure is another."""
    found = book()
    rates = made().rates
    operations = ("screw", "rip", "wrap")
    assert {row.operation for row in made().labour} >= set(operations)
    minutes = Decimal(str(MINUTES))
    labour = replace(rates.labour, screw=minutes, rip=minutes, wrap=minutes)
    for operation in operations:
        tab, cell = next(iter(found.defined_names[f"minutes_{operation}"].destinations))
        found[tab][cell.replace("$", "")].value = MINUTES
    checks = found["Checks"]
    row = next(
        row for row in checks.iter_rows() if row[6].value and "IF(" in str(row[6].value) and '"fails"' in row[6].value
    )
    row[2].value = row[3].value * 2
    row[1].value = "this one"
    office = replace(made().office, rates=replace(rates, labour=labour))
    return saved(found), priced(made().build, office, on=made().on, number=made().number)


@pytest.mark.office
def test_sorted_and_filtered_lists_change_no_total_and_hours_and_findings_follow(office: str, tmp_path: Path) -> None:
    changed, wanted = other_minutes()
    found = recounted(office, {"sorted": sorted_and_filtered(), "minutes": changed}, tmp_path)
    assert differences(found["sorted"], made()) == []
    before = recounted_parts(found["sorted"])
    assert before == recounted_parts(found["minutes"])
    assert differences(found["minutes"], wanted) == []
    hours = [entry.hours for entry in plan_dates(wanted).entries]
    assert hours != [entry.hours for entry in plan_dates(made()).entries]
    sheet = found["minutes"].sheets["Calendar"]
    rows = {(row[0], row[1]): row[6] for row in sheet if len(row) > 6 and row[6] not in (None, "Hours")}
    planned = {(e.kind, e.what): float(e.hours) for e in plan_dates(wanted).entries if e.hours}
    assert {key: float(rows[key]) for key in planned} == planned
    one = next(row for row in found["minutes"].sheets["Checks"] if row[1] == "this one")
    assert (one[5], one[6]) == (2, "fails")


def recounted_parts(values: Values) -> list[Any]:
    """Return what stands outside the lists but is counted in them: parts of each good, what suppliers are paid."""
    parts = rows_of(values.sheets["Sheets"], "Sheets", "Parts")
    paid = [row[8] for row in values.sheets["Buying"] if len(row) > 8 and isinstance(row[8], float) and not row[1]]
    counts = [row["Parts"] for row in parts.values()]
    assert len(paid) > 3
    return [*counts, *paid]


@pytest.mark.office
def test_the_sample_prints_on_25_sheets_of_paper(office: str, tmp_path: Path) -> None:
    """Printed by LibreOffice; no column is too narrow for its figures, and each page says which it is."""
    (tmp_path / "quote.xlsx").write_bytes(content())
    subprocess.run(
        [office, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "pdf", "--outdir",
         tmp_path, tmp_path / "quote.xlsx"], check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    with pdfplumber.open(tmp_path / "quote.pdf") as document:
        assert len(document.pages) <= 25
        texts = [page.extract_text() for page in document.pages]
    assert not [text for text in texts if "###" in text]
    shown = {tab for tab in book().sheetnames if any(f" {tab} page " in text for text in texts)}
    assert shown == set(book().sheetnames)
