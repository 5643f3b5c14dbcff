"""What a version is given by an earlier one, in everything that people and programs get. Works are invented."""

import io
import json
import shutil
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import pdfplumber
import pytest

from nesting.base.search import QUICK
from nesting.order import Order
from pricing.output.paperwork import packet_of
from pricing.output.summary import summary
from pricing.output.tables import quote_tables
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote, quote
from pricing.quoting.ticked import Ticked, remains, sawn_of
from pricing.quoting.work import work
from pricing.store.codec import decode, encode
from tests.pricing.output.workbook.support import changed, differences, opened, recalculated
from tests.pricing.quoting.test_sawn import MORE, ON, WORKS, fetched, office, ticks, version


@cache
def partly_cut() -> Quote:
    """Return a second version: of each layout all but one sheet cut, all fetched, a piece less and a piece more."""
    first = version()
    cut = ticks(first, lambda repeat: repeat if repeat == 1 else repeat - 1)
    cut = {(good, place): count for (good, place), count in cut.items() if good != "foam-board-1"}
    ticked = Ticked(1, cut, fetched(first))
    sawn = sawn_of(first, replace(ticked, free=remains(first, ticked)))
    studio = office()
    studio = replace(studio, rates=replace(studio.rates, purchase_tax={"goods": Decimal("0.09")}))
    return work(Order("pieces", (*WORKS[1:], MORE)), studio, on=ON, search=QUICK, sawn=sawn)


def test_the_sample_has_all_that_is_to_be_shown() -> None:
    made = partly_cut()
    assert made.build.used
    assert made.build.left_over
    assert {row.source for row in made.takeoff.rows} == {"buy", "open"}
    assert {line.section for line in made.lines if line.version} == {"sheets", "sticks", "purchase tax", "labour"}


def test_a_quote_with_it_is_kept_whole() -> None:
    made = partly_cut()
    assert decode(Quote, json.loads(json.dumps(encode(made)))) == made


def test_the_summary_tells_it_in_a_line() -> None:
    told = partly_cut().build.given_told
    assert " parts exist already and are used; " in told
    assert " left over: " in told
    assert told in " ".join(summary(partly_cut()).split())
    assert "exist already" not in summary(version())


@pytest.mark.parametrize("charge", ["bought", "used", "area"])
def test_the_workbook_comes_to_the_same_however_it_is_charged(charge: str, tmp_path: Path) -> None:
    made = partly_cut()
    other = quote(made.build, made.office, on=made.on, charge=charge, sawn=made.sawn)  # type: ignore[arg-type]  # one of the two
    assert differences(workbook_bytes(other), other) == []
    calc = shutil.which("soffice")
    if calc is None:
        pytest.skip("LibreOffice is not installed")
    content = changed(made, {"charge_basis": charge})
    assert differences(recalculated(calc, {"quote": content}, tmp_path)["quote"], other) == []


def test_cut_lists_hold_what_is_to_be_cut_and_the_labels_of_what_is_there() -> None:
    made = partly_cut()
    table = next(table for table in quote_tables(made) if table.name == "cut-list")
    listed = {(row[0], row[2]): row[table.headings.index("count")] for row in table.rows}
    for each in made.build.used:
        wanted = next(
            part
            for crate in made.build.crates
            for part in (*crate.parts, *crate.sticks)
            if part.name == each.part.name  # type: ignore[attr-defined]  # both have names
        )
        left = wanted.count - made.build.existing(wanted.name)  # type: ignore[attr-defined]  # and counts
        assert listed.get((each.part.good, each.part.name), 0) == left
    sheet = opened(workbook_bytes(made), values=True)["Cut list"]
    cells = [str(cell) for row in sheet.iter_rows(values_only=True) for cell in row if cell is not None]
    assert f"{made.build.given_told}." in cells
    assert {each.label for each in made.build.used} <= set(cells)


def test_the_packet_lists_what_exists_before_the_sheets() -> None:
    made = partly_cut()
    with pdfplumber.open(io.BytesIO(packet_of(made))) as document:
        pages = [page.extract_text() for page in document.pages]
    page = next(text for text in pages if "Cut already: not to cut again" in text)
    rest = "\n".join(pages[pages.index(page) :])
    assert all(each.label in rest for each in made.build.used)
    assert all(part.name in rest for part in made.build.left_over)
    assert any("Paid already, not to buy" in text for text in pages)
