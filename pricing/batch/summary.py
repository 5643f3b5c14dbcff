"""The table of all orders: as CSV, as Parquet for programs, and as a workbook for people.

The same rows give the same bytes. Nothing in them tells of time, machines or the order of answers; ``timings.csv``
does.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, time
from decimal import Decimal
from io import BytesIO
from typing import Any, Final

from nesting.base.counts import plural
from pricing.batch.row import AMOUNTS, COUNTS, NAMES, WEIGHTS, Row
from pricing.batch.working import Took
from pricing.studio.table_file import csv_text

BOUGHT_ONLY: Final = (
    "Bought stock only: offcuts on the rack are shared out among no orders, since one offcut would be promised to many."
)
OUTCOMES: Final = ("worked", "held", "faulty", "failed")
_WIDE: Final[Mapping[str, int]] = {"order": 26, "source": 30, "without": 40, "held": 50, "lacks": 50, "faults": 60,
                                   "remarks": 40, "folder": 44}  # fmt: skip
_CELL: Final = 32_000
"""Most letters of a workbook's cell (Excel takes 32,767)."""


def summary_contents(rows: Sequence[Row], on: date, asked: str) -> dict[str, bytes]:
    """Return the files of all orders by name; `asked` says by what effort and seed they were worked."""
    return {
        "summary.csv": summary_csv(rows).encode(),
        "summary.parquet": summary_parquet(rows),
        "summary.xlsx": summary_book(rows, on, asked),
    }


def summary_csv(rows: Sequence[Row]) -> str:
    """Return the table as CSV (RFC 4180)."""
    return csv_text(NAMES, ([getattr(row, name) for name in NAMES] for row in rows), end="\r\n")


def timings_csv(rows: Sequence[tuple[Row, Took | None]]) -> str:
    """Return what each order took; blank where it was not worked."""
    heads = ("order", "outcome", "processor_s", "wall_s", "process_mb")
    cells = (
        (row.order, row.outcome, *((took.processor, took.wall, took.megabytes) if took else ("", "", "")))
        for row, took in rows
    )
    return csv_text(heads, cells, end="\r\n")


def summary_parquet(rows: Sequence[Row]) -> bytes:
    """Return the table in Apache Parquet: counts as int64, amounts as decimals of two places, weights of one."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    kinds: dict[str, Any] = dict.fromkeys(NAMES, pa.string())
    kinds |= dict.fromkeys(COUNTS, pa.int64())
    kinds |= dict.fromkeys(AMOUNTS, pa.decimal128(18, 2))
    kinds |= dict.fromkeys(WEIGHTS, pa.decimal128(18, 1))
    schema = pa.schema([(name, kinds[name]) for name in NAMES])
    columns = [pa.array([getattr(row, name) for row in rows], kinds[name]) for name in NAMES]
    out = BytesIO()
    pq.write_table(pa.table(columns, schema=schema), out, compression="zstd")
    return out.getvalue()


def summary_book(rows: Sequence[Row], on: date, asked: str) -> bytes:
    """Return the workbook: a row an order, and the sums of each currency as formulas."""
    import xlsxwriter

    out = BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}) as book:
        book.set_properties(
            {
                "title": "Orders of a batch",
                "created": datetime.combine(on, time(), UTC).replace(tzinfo=None),
            }
        )
        head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        money = book.add_format({"num_format": "#,##0.00", "valign": "top"})
        tenth = book.add_format({"num_format": "#,##0.0", "valign": "top"})
        plain = book.add_format({"valign": "top"})
        wrapped = book.add_format({"valign": "top", "text_wrap": True})
        sheet = book.add_worksheet("Orders")
        sheet.freeze_panes(1, 1)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(0)
        for place, name in enumerate(NAMES):
            sheet.write_string(0, place, name.replace("_", " "), head)
            sheet.set_column(place, place, _WIDE.get(name, 12))
            style = money if name in AMOUNTS else tenth if name in WEIGHTS else wrapped if name in _WIDE else plain
            for number, row in enumerate(rows, start=1):
                cell = getattr(row, name)
                if isinstance(cell, Decimal | int):
                    sheet.write_number(number, place, cell, style)
                elif cell:
                    sheet.write_string(number, place, cell[:_CELL], style)
        if rows:
            sheet.autofilter(0, 0, len(rows), len(NAMES) - 1)
        _sums(book, rows, on, asked, head, money)
    return out.getvalue()


def _sums(book: Any, rows: Sequence[Row], on: date, asked: str, head: Any, money: Any) -> None:
    """Write what all orders come to, by outcome and by currency, and how they were worked."""
    sheet = book.add_worksheet("All")
    sheet.set_column(0, 0, 34)
    sheet.set_column(1, 1, 16)
    last = len(rows) + 1

    def column(name: str) -> str:
        letter = chr(ord("A") + NAMES.index(name))
        return f"Orders!${letter}$2:${letter}${max(2, last)}"

    line = 0
    for told in (
        f"{plural(len(rows), 'order')}, quoted as of {on}, {asked}.",
        BOUGHT_ONLY,
        "A total lacks what stands beside it under without; a faulty or failed order has none.",
    ):
        sheet.write_string(line, 0, told)
        line += 1
    line += 1
    sheet.write_row(line, 0, ("outcome", "orders"), head)
    for word in OUTCOMES:
        line += 1
        sheet.write_string(line, 0, word)
        value = sum(row.outcome == word for row in rows)
        sheet.write_formula(line, 1, f'=COUNTIF({column("outcome")},"{word}")', None, value)
    line += 2
    sheet.write_row(line, 0, ("total of all, by currency", "amount"), head)
    for currency in sorted({row.currency for row in rows if row.currency}):
        line += 1
        sheet.write_string(line, 0, currency)
        amount = sum((row.total for row in rows if row.currency == currency and row.total is not None), Decimal())
        formula = f'=SUMIF({column("currency")},"{currency}",{column("total")})'
        sheet.write_formula(line, 1, formula, money, float(amount))
