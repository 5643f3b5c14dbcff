"""Small tables as files (price book, destinations, rack): CSV and XLSX, read as text with the row of each cell.

A row whose first filled cell starts with ``#`` is a comment. The first other row is the heading; headings are
compared in small letters with single blanks, so ``Door Width`` and ``door_width`` are one. Nothing in a cell is
computed or followed.
"""

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from nesting.base.faults import Fault, Faults, FaultsFound, refuse

LARGEST_FILE: Final = 20_000_000
LARGEST_UNPACKED: Final = 200_000_000
MOST_ROWS: Final = 20_000
MOST_COLUMNS: Final = 200
_FORMULA: Final = re.compile(r"'*[=+\-@\t\r]")
_COMMENT: Final = re.compile(r"'*#")


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row: its number as a spreadsheet counts it, and its filled cells by heading."""

    row: int
    cells: Mapping[str, str]

    def get(self, column: str) -> str:
        """Return a cell's text without blanks at its ends; empty where there is none."""
        return self.cells.get(column, "")


@dataclass(frozen=True, slots=True)
class Table:
    """A table as text.

    Attributes
    ----------
    file : str
        Name for messages.
    headings : tuple of str
        In order, as compared.
    rows : tuple of TableRow
        Rows with anything in them.
    """

    file: str
    headings: tuple[str, ...]
    rows: tuple[TableRow, ...]


def heading(text: str) -> str:
    """Return a heading as it is compared: small letters, single blanks, underscores as blanks."""
    return " ".join(text.replace("_", " ").split()).lower()


def read_table(path: Path) -> Table:
    """Read a CSV or XLSX file; raises :class:`FaultsFound` where it cannot be read as a table."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise refuse(path.name, error.strerror or str(error), "a file that can be read") from error
    return table_from(content, path.name)


def table_from(content: bytes, file: str) -> Table:
    """Make a table of a file's content; the name's ending tells the kind."""
    if len(content) > LARGEST_FILE:
        raise refuse(file, f"{len(content)} bytes", f"{LARGEST_FILE} bytes at the most")
    kind = Path(file).suffix.lower()
    if kind == ".xlsx":
        grid = _xlsx_grid(content, file)
    elif kind in (".csv", ".txt"):
        grid = _csv_grid(content, file)
    else:
        raise refuse(file, f"a file that ends in {kind or 'nothing'}", "a table in .csv or .xlsx")
    return _table(grid, file)


def _csv_grid(content: bytes, file: str) -> list[list[str]]:
    """Split a CSV text into cells; comma, semicolon or tab, whichever the heading has most of."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise refuse(file, f"bytes that are not UTF-8 (at {error.start})", "a CSV text in UTF-8") from error
    if "\0" in text:
        raise refuse(file, "bytes that are no text", "a CSV text in UTF-8")
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().lstrip('"').startswith("#")]
    first = lines[0] if lines else ""
    separator = max(",;\t", key=first.count)
    try:
        return [
            [cell.strip() for cell in row] for row in csv.reader(io.StringIO(text), delimiter=separator, strict=True)
        ]
    except csv.Error as error:
        raise refuse(file, f"not CSV: {error}", "a CSV text whose quotes close") from error


def _xlsx_grid(content: bytes, file: str) -> list[list[str]]:
    """Read the first page of a workbook as text."""
    from openpyxl import load_workbook

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            unpacked = sum(each.file_size for each in packed.infolist())
        if unpacked > LARGEST_UNPACKED:
            return _too_large(file)
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        page = book.worksheets[0]
        rows = page.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_COLUMNS, values_only=True)
        return [[_cell(value) for value in row] for row in rows]
    except FaultsFound:
        raise
    except Exception as error:  # openpyxl raises whatever its parsers raise on a broken file
        raise refuse(file, f"not a workbook: {error}", "an .xlsx workbook with the table on its first page") from error


def _too_large(file: str) -> list[list[str]]:
    raise refuse(file, "a workbook that unpacks to more than 200 MB", "a smaller workbook")


def _cell(value: Any) -> str:
    """Return a workbook cell as the text that a person would have typed."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime | date):
        return value.isoformat()[:10]
    if isinstance(value, float):
        # A spreadsheet shows 15 digits: 0.1 + 0.2 is 0.3 there, and here.
        return f"{Decimal(f'{value:.15g}'):f}"
    return str(value).strip()


def _table(grid: list[list[str]], file: str) -> Table:
    """Find the heading, refuse columns that stand twice, and keep rows with anything in them."""
    if len(grid) > MOST_ROWS:
        raise refuse(file, f"more than {MOST_ROWS} rows", f"{MOST_ROWS} rows at the most")
    filled = [
        (number, cells)
        for number, cells in enumerate(grid, start=1)
        if any(cells) and not next(cell for cell in cells if cell).startswith("#")
    ]
    if not filled:
        raise refuse(file, "", "a heading and at least one row")
    at, first = filled[0]
    headings = [heading(cell) for cell in first]
    faults = Faults(file)
    for name in dict.fromkeys(headings):
        if name and headings.count(name) > 1:
            faults.add(at, name, f"{headings.count(name)} columns of that name", "each column once")
    rows = []
    for number, cells in filled[1:]:
        extra = [cell for cell in cells[len(headings) :] if cell]
        if extra:
            faults.add(number, None, f"{extra[0]} beyond the last column", "as many cells as the heading has")
        typed = _typed(cells)
        rows.append(
            TableRow(number, {name: cell for name, cell in zip(headings, typed, strict=False) if name and cell})
        )
    faults.stop_if_any()
    return Table(file, tuple(name for name in headings if name), tuple(rows))


def csv_text(headings: Sequence[str], rows: Iterable[Sequence[Any]], comments: Iterable[str] = ()) -> str:
    """Write a table as CSV.

    A text cell that a spreadsheet would take for a formula gets an apostrophe before it, and so does a first cell that
    would read as a comment; reading takes it off again. Numbers stay as they are.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for comment in comments:
        writer.writerow([f"# {comment}"])
    writer.writerow(headings)
    for row in rows:
        cells = [_safe(cell) for cell in row]
        first = next((place for place, cell in enumerate(cells) if cell != ""), 0)
        if cells and isinstance(cells[first], str) and _COMMENT.match(cells[first]):
            cells[first] = f"'{cells[first]}"
        writer.writerow(cells)
    return out.getvalue()


def _safe(cell: Any) -> Any:
    """Return a cell for CSV: text never becomes a formula in a spreadsheet."""
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    return guarded(cell) if isinstance(cell, str) else cell


def guarded(cell: str) -> str:
    """Return a cell's text with an apostrophe before what a spreadsheet would take for a formula."""
    return f"'{cell}" if _FORMULA.match(cell) else cell


def unguarded(cell: str) -> str:
    """Return a cell's text without the apostrophe that :func:`guarded` put before it."""
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell


def _typed(cells: Sequence[str]) -> list[str]:
    """Return a row without the apostrophes that :func:`csv_text` put before its cells."""
    made = [unguarded(cell) for cell in cells]
    first = next((place for place, cell in enumerate(made) if cell), None)
    if first is not None and made[first].startswith("'") and _COMMENT.match(made[first]):
        made[first] = made[first][1:]
    return made


def note_error(faults: Faults, row: int | None, column: str | None, error: ValueError) -> None:
    """Note a value's own error, whose message reads ``found ...; accepted: ...``, as a fault of a row or key."""
    found, _, accepted = str(error).partition("; accepted: ")
    faults.add(row, column, found.removeprefix("found "), accepted or "values that agree with each other", typed=False)


def yes_or_no(text: str) -> bool:
    """Read yes or no; :class:`ValueError` for anything else."""
    word = text.strip().lower()
    if word in ("yes", "y", "true", "1", "x"):
        return True
    if word in ("no", "n", "false", "0", "-"):
        return False
    raise ValueError(f"{text!r} is neither yes nor no")


def missing_columns(table: Table, required: Sequence[str], at: int | None = None) -> list[Fault]:
    """Return a fault for every required column that the table lacks."""
    return [
        Fault(table.file, at, name, "", f"a column {name}; this table has {', '.join(table.headings)}")
        for name in required
        if name not in table.headings
    ]


def unknown_columns(table: Table, known: Iterable[str]) -> tuple[str, ...]:
    """Return a warning for every column that is not known."""
    known = set(known)
    return tuple(
        f"{table.file}: column {name} is not known and was passed over" for name in table.headings if name not in known
    )
