"""The price book as a file: one table in CSV or XLSX, read with every fault told at once, and written back the same."""

import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from nesting.base.days import DayOrder
from nesting.base.faults import Faults
from nesting.base.measure import UnitSystem, shorten
from nesting.intake.hedges import without_hedge
from pricing.money import DEAREST, typed_amount
from pricing.studio.decimal_marks import Marks
from pricing.studio.pricebook import FORMS, MOST_BREAKS, MOST_UNITS, Price, PriceBook
from pricing.studio.table_file import (
    Table,
    TableRow,
    csv_text,
    days_told,
    missing_columns,
    note_error,
    read_day,
    read_table,
    stop_at_all,
    table_from,
    unknown_columns,
)

BREAK_COLUMNS: Final = tuple(
    name for number in range(2, MOST_BREAKS + 2) for name in (f"from {number}", f"price {number}")
)
COLUMNS: Final = (
    "stock", "good", "form", "size", "price", "currency", *BREAK_COLUMNS,
    "supplier", "priced", "tax", "sold", "limit", "note",
)  # fmt: skip
_AMOUNTS: Final = ("price", *BREAK_COLUMNS[1::2])
REQUIRED: Final = ("stock", "good", "form", "price", "currency")

_MEANINGS: Final = {
    "stock": "what is bought; a stock size of the shop's goods, or a kind of hour",
    "good": "the good it is a size of",
    "form": "sheet, stick, roll, each, box or hour",
    "size": "for people",
    "price": "of one, before any sales tax that you get back",
    "currency": "the same in every row",
    "from 2": "from so many on ...",
    "price 2": "... each costs this; the break applies to all of them",
    "supplier": "the buying list is grouped by it",
    "priced": "day of the price, such as 2026-01-31; old prices are flagged",
    "tax": "tax category, as in rates.toml",
    "sold": "whole or by length (rolls only)",
    "limit": "how many the supplier has at the most; empty: enough",
    "note": "for people",
}
_COMMENTS: Final = (
    "Price book. One row prices one thing bought. Lines that start with # are comments.",
    *(f"{name}: {meaning}" for name, meaning in _MEANINGS.items()),
)


def read_price_book(path: Path, days: DayOrder | None = None) -> PriceBook:
    """Read a price book, as written here or as a spreadsheet saved it.

    Semicolons or tabs between cells, ``58,00``, ``1.234,50``, ``$58.00`` and days as the country writes them are read.

    Parameters
    ----------
    path : Path
        A ``.csv`` or ``.xlsx`` file; columns in any order and letter case.
    days : {"month first", "day first"}, optional
        How 03/04/2026 is meant; otherwise it is asked.

    Returns
    -------
    PriceBook
        Invented still where nobody has changed a row of the built-in book.

    Raises
    ------
    FaultsFound
        Every fault, each with its row and column.
    """
    return _studios_own(read_table(path, days))


def price_book_from(content: bytes, file: str, days: DayOrder | None = None) -> PriceBook:
    """Make a price book of a table file's content; see :func:`read_price_book`."""
    return _studios_own(table_from(content, file, days))


def _studios_own(table: Table) -> PriceBook:
    book = _book(table)
    built_in = [default_price_book(sizes) for sizes in _BUILT_IN]
    return replace(book, invented=any((book.currency, book.rows) == (each.currency, each.rows) for each in built_in))


_BUILT_IN: Final[Mapping[UnitSystem, str]] = {"inch": "prices.csv", "metric": "prices_metric.csv"}


@cache
def default_price_book(sizes: UnitSystem = "inch") -> PriceBook:
    """Return the built-in price book of a shop by inches or by millimetres; its prices are invented."""
    return _book(table_from(default_prices_text(sizes).encode(), "prices.csv"), invented=True)


def unchanged(book: PriceBook) -> tuple[Price, ...]:
    """Return the rows that nobody has changed since they were built in, in nothing: no price, day or supplier."""
    built_in = next((each for each in map(default_price_book, _BUILT_IN) if each.currency == book.currency), None)
    if built_in is None:
        return ()
    return tuple(row for row in book.rows if built_in.by_stock.get(row.stock) == row)


def default_prices_text(sizes: UnitSystem = "inch") -> str:
    """Return the built-in price book as it is packaged, comments included."""
    return (files("pricing.studio") / _BUILT_IN[sizes]).read_text(encoding="utf-8")


def price_book_csv(book: PriceBook) -> str:
    """Write a price book as CSV; :func:`read_price_book` reads the same back."""
    return csv_text(COLUMNS, [_cells(row, book.currency) for row in book.rows], _comments(book))


def price_book_xlsx(book: PriceBook) -> bytes:
    """Write a price book as a workbook of one page, numbers as numbers and each heading explained in a note."""
    from openpyxl import Workbook
    from openpyxl.comments import Comment
    from openpyxl.styles import Font

    made = Workbook()
    page = made.worksheets[0]
    page.title = "Prices"
    page.append([f"# {_comments(book)[0]}"])
    page.append(list(COLUMNS))
    for cell in page[2]:
        cell.font = Font(bold=True)
        if cell.value in _MEANINGS:
            cell.comment = Comment(_MEANINGS[str(cell.value)], "casewright")
    for row in book.rows:
        page.append([_plain(cell) for cell in _cells(row, book.currency)])
        for cell in page[page.max_row]:
            if isinstance(cell.value, str):
                cell.data_type = "s"  # text that starts with = stays text
    for letter, width in {"A": 34, "B": 20, "D": 22, "M": 22, "R": 40}.items():
        page.column_dimensions[letter].width = width
    page.freeze_panes = "B3"
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def _comments(book: PriceBook) -> tuple[str, ...]:
    first = (
        ("Invented prices, for demonstration only: replace them by your own suppliers' prices.",)
        if book.invented
        else ()
    )
    return (*first, *_COMMENTS)


def _plain(cell: Any) -> Any:
    """Return a cell as openpyxl writes it."""
    return float(cell) if isinstance(cell, Decimal) else cell


def _cells(row: Price, currency: str) -> list[Any]:
    """Return a row's cells in the order of the columns."""
    breaks: list[Any] = [cell for pair in row.breaks for cell in pair]
    breaks += [None] * (2 * MOST_BREAKS - len(breaks))
    return [
        row.stock, row.good, row.form, row.size, row.price, currency, *breaks,
        row.supplier, row.priced, row.tax, "by length" if row.by_length else "whole", row.limit, row.note,
    ]  # fmt: skip


def _book(table: Table, *, invented: bool = False) -> PriceBook:
    """Make a price book of a table, or raise every fault in it."""
    faults = Faults(table.file)
    faults.found.extend(missing_columns(table, REQUIRED, COLUMNS))
    marks = Marks.of(table, _AMOUNTS)
    hedged: list[str] = []
    rows: list[Price] = []
    seen: dict[str, int] = {}
    currencies: dict[str, int] = {}
    for each in table.rows:
        before = len(faults.found)
        values = _values(_plainly(each, hedged, marks, faults), faults)
        stock = values["stock"]
        if stock in seen:
            faults.add(each.row, "stock", stock, f"each stock once; row {seen[stock]} has it too")
        seen.setdefault(stock, each.row)
        currencies.setdefault(_currency(each, faults), each.row)
        if len(faults.found) > before:
            continue
        try:
            rows.append(Price(**values, row=each.row))
        except ValueError as error:
            note_error(faults, each.row, error)
    _one_currency(currencies, faults)
    if not table.rows:
        faults.add(None, None, "no rows", "at least one price")
    stop_at_all(faults, table, REQUIRED)
    warnings = (*table.warnings, *unknown_columns(table, COLUMNS), *days_told(table, ("priced",)))
    if hedged:
        warnings = (*warnings, f"{table.file}: assumed where a cell is in doubt: {'; '.join(hedged)}")
    return PriceBook(next(iter(currencies)), tuple(rows), table.file, warnings, invented=invented)


def _plainly(each: TableRow, hedged: list[str], marks: Marks, faults: Faults) -> TableRow:
    """Return a row whose prices and day bear no doubt, which is noted, and no point between thousands."""
    cells = dict(each.cells)
    for column in (*_AMOUNTS, "priced"):
        text = each.get(column)
        rest = without_hedge(text) if text else None
        # What nobody knows yet is no price; a day that nobody knows is none.
        if rest is not None and (rest or column == "priced"):
            hedged.append(f'{column} "{shorten(text)}" of {each.get("stock")}: {rest or "no day"}')
            cells[column] = rest
        if column == "priced" or not (text := cells.get(column, "")):
            continue
        if accepted := marks.doubt(text):
            faults.add(each.row, column, text, accepted)
            cells[column] = "1"  # told already
        elif (meant := marks.meant(text)) != text:
            hedged.append(f'{column} "{shorten(text)}" of {each.get("stock")}: {meant}, as others have decimal commas')
            cells[column] = meant
    return replace(each, cells=cells)


def _currency(each: TableRow, faults: Faults) -> str:
    """Read the currency of a row."""
    code = each.get("currency").upper()
    if len(code) != 3 or not (code.isascii() and code.isalpha()):
        faults.add(each.row, "currency", code, "three letters such as USD")
        return ""
    return code


def _one_currency(currencies: dict[str, int], faults: Faults) -> None:
    """Note every currency after the first."""
    known = [(code, row) for code, row in currencies.items() if code]
    for code, row in known[1:]:
        faults.add(row, "currency", code, f"{known[0][0]}, as in row {known[0][1]}: one currency in the whole table")


def _values(each: TableRow, faults: Faults) -> dict[str, Any]:
    """Read the cells of a row, noting what cannot be read."""
    for column in ("stock", "good", "form", "price"):
        if not each.get(column):
            faults.add(each.row, column, "", f"a {column}")
    form = each.get("form").lower()
    if form and form not in FORMS:
        faults.add(each.row, "form", form, f"one of {', '.join(FORMS)}")
    sold = each.get("sold").lower() or "whole"
    if sold not in ("whole", "by length"):
        faults.add(each.row, "sold", sold, "whole or by length")
    return {
        "stock": each.get("stock"),
        "good": each.get("good"),
        "form": form,
        "size": each.get("size"),
        "price": _amount(each, "price", faults),
        "breaks": _breaks(each, faults),
        "supplier": each.get("supplier"),
        "priced": read_day(each, "priced", faults),
        "tax": each.get("tax").lower() or "goods",
        "by_length": sold == "by length",
        "limit": _count(each, "limit", faults),
        "note": each.get("note"),
    }


def _amount(each: TableRow, column: str, faults: Faults) -> Decimal:
    """Read an amount of whole hundredths."""
    text = each.get(column)
    if not text:
        return Decimal(0)
    try:
        amount = typed_amount(text, each.get("currency").upper())
    except ValueError:
        faults.add(each.row, column, text, "an amount such as 58.00, 58,00 or 1,234.50, in the currency of its row")
        return Decimal(0)
    if amount > DEAREST:  # of more digits than Decimal divides, it could not even be asked for hundredths
        faults.add(each.row, column, text, f"an amount up to {DEAREST:,}")
        return Decimal(0)
    if amount * 100 % 1:
        accepted = "two decimals at the most; sell smaller things by the box"
        if re.fullmatch(r"[1-9][0-9]{0,2}\.[0-9]{3}", text):
            accepted = f"{text.replace('.', '')} or {text[:-1]}: the point may be either"
        faults.add(each.row, column, text, accepted)
        return Decimal(0)
    return amount.quantize(Decimal("0.01"))


def _count(each: TableRow, column: str, faults: Faults) -> int | None:
    """Read a whole number, or None from an empty cell."""
    text = each.get(column)
    if not text:
        return None
    if not (text.isascii() and text.isdigit()) or len(text) > 20 or int(text) > MOST_UNITS:
        faults.add(each.row, column, text, f"a whole number up to {MOST_UNITS}")
        return None
    return int(text)


def _breaks(each: TableRow, faults: Faults) -> tuple[tuple[int, Decimal], ...]:
    """Read the price breaks of a row."""
    breaks = []
    for number in range(2, MOST_BREAKS + 2):
        start, price = f"from {number}", f"price {number}"
        if not each.get(start) and not each.get(price):
            continue
        if not each.get(start) or not each.get(price):
            faults.add(each.row, start if each.get(price) else price, "", "both a quantity and a price for a break")
            continue
        count = _count(each, start, faults)
        if count is not None:
            breaks.append((count, _amount(each, price, faults)))
    return tuple(breaks)


def columns_text() -> Sequence[str]:
    """Return every column with its meaning, for help and documents."""
    return [f"{name}: {_MEANINGS.get(name, '')}".rstrip(": ") for name in COLUMNS]
