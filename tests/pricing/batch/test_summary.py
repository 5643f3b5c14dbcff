"""The table of all orders, opened again: the same rows in three files, and no text that becomes a formula."""

import csv
from decimal import Decimal
from io import BytesIO, StringIO

import pyarrow.parquet as pq
from openpyxl import load_workbook

from pricing.batch.row import NAMES, Row
from pricing.batch.summary import BOUGHT_ONLY, summary_contents, timings_csv
from pricing.batch.working import Took
from tests.pricing.batch.samples import ON

ROWS = [
    Row(
        "North", "worked", "north.csv", 3, 2, 4, 0, Decimal("40.1"), Decimal("88.4"), Decimal("1234.50"), "USD",
        Decimal("800.00"), Decimal("120.00"), "no", Decimal("3.25"),
    ),
    Row("=1+1", "held", "s.csv", 1, 0, 0, 0, Decimal("0.0"), Decimal("0.0"), Decimal("10.00"), "USD", held="K1"),
    Row("East", "worked", "e.csv", 1, 1, 1, 1, Decimal("1.0"), Decimal("2.2"), Decimal("7.00"), "EUR"),
    Row("West", "faulty", "w.csv", faults='w.csv, row 2: found "x"'),
]  # fmt: skip


def test_the_same_rows_stand_in_all_three() -> None:
    contents = summary_contents(ROWS, ON, "quick effort, seed 0")
    wanted = [tuple(getattr(row, name) for name in NAMES) for row in ROWS]
    assert [
        tuple(row[name] for name in NAMES) for row in pq.read_table(BytesIO(contents["summary.parquet"])).to_pylist()
    ] == wanted
    text = list(csv.DictReader(StringIO(contents["summary.csv"].decode(), newline="")))
    assert [row["total"] for row in text] == ["1234.50", "10.00", "7.00", ""]
    assert text[1]["order"] == "'=1+1"
    book = load_workbook(BytesIO(contents["summary.xlsx"]))
    sheet = book["Orders"]
    heads = [str(cell.value).replace(" ", "_") for cell in sheet[1]]
    assert heads == list(NAMES)
    for row, told in zip(sheet.iter_rows(min_row=2), wanted, strict=True):
        for cell, value in zip(row, told, strict=True):
            assert cell.data_type != "f"
            found = cell.value if not isinstance(value, Decimal) else Decimal(str(cell.value))
            assert found == (value if value != "" else None)


def test_the_workbook_sums_each_currency_by_a_formula_and_says_what_was_left_out() -> None:
    data = summary_contents(ROWS, ON, "quick effort, seed 0")["summary.xlsx"]
    values, formulas = (load_workbook(BytesIO(data), data_only=only)["All"] for only in (True, False))
    told = {row[0]: row[1] for row in values.iter_rows(values_only=True)}
    assert BOUGHT_ONLY in told
    assert (told["USD"], told["EUR"], told["held"], told["faulty"]) == (1244.5, 7, 1, 1)
    assert {row[0]: row[1] for row in formulas.iter_rows(values_only=True)}["USD"] == (
        '=SUMIF(Orders!$K$2:$K$5,"USD",Orders!$J$2:$J$5)'
    )


def test_the_same_rows_give_the_same_bytes_and_no_rows_are_no_trouble() -> None:
    assert summary_contents(ROWS, ON, "x") == summary_contents(list(ROWS), ON, "x")
    assert pq.read_table(BytesIO(summary_contents([], ON, "x")["summary.parquet"])).num_rows == 0


def test_time_stands_in_a_table_of_its_own() -> None:
    text = timings_csv([(ROWS[0], Took(0.5, 0.75, 120)), (ROWS[3], None)])
    assert text.splitlines()[1:] == ["North,worked,0.5,0.75,120", "West,faulty,,,"]
    assert not {"processor_s", "wall_s"} & set(NAMES)
