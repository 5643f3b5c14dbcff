"""Small tables as files (price book, destinations, rack): CSV and XLSX, read as text with the row of each cell.

A row whose first filled cell starts with ``#`` is a comment. The first other row is the heading; headings are
compared in small letters with single blanks, so ``Door Width`` and ``door_width`` are one. Files are opened as orders
are, by :mod:`nesting.base.tables`: nothing in a cell is computed or followed.
"""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from nesting.base.days import DayError, DayOrder, hangs_on_country, parse_day
from nesting.base.faults import Fault, Faults, refuse, said_by
from nesting.base.ratio import parse_ratio, ratio_text
from nesting.base.tables.cells import Cell, Unreadable, is_blank, text_of
from nesting.base.tables.table import BOOKS, TEXTS, Row, check_size, content_of
from nesting.base.tables.table import Table as TableAsRead
from nesting.base.tables.text import read_own_csv

MOST_ROWS: Final = 20_000
"""A supplier's list has thousands of rows; all other limits are those of every table."""
_FORMULA: Final = re.compile(r"'*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]")
"""What a spreadsheet takes for a formula; some take the full-width signs of East Asian keyboards for it too."""
_COMMENT: Final = re.compile(r"'*#")


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row: its number as a spreadsheet counts it, its filled cells by heading, and how 03/04/2026 is meant."""

    row: int
    cells: Mapping[str, str]
    days: DayOrder | None = None

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
    unread : tuple of Fault
        Cells that hold no value: an error, or a formula that was never calculated. They count where their column does.
    wrong : tuple of Fault
        Columns that stand twice, and cells beyond the last column; told together with what is wrong in cells.
    warnings : tuple of str
        What was odd about reading it.
    """

    file: str
    headings: tuple[str, ...]
    rows: tuple[TableRow, ...]
    unread: tuple[Fault, ...] = ()
    wrong: tuple[Fault, ...] = ()
    warnings: tuple[str, ...] = ()


def heading(text: str) -> str:
    """Return a heading as it is compared: small letters, single blanks, underscores as blanks."""
    return " ".join(text.replace("_", " ").split()).lower()


def read_table(path: Path, days: DayOrder | None = None) -> Table:
    """Read a CSV or XLSX file; raises :class:`FaultsFound` where it cannot be read as a table."""
    return table_from(content_of(path, path.name, "a file that can be read"), path.name, days)


def table_from(content: bytes, file: str, days: DayOrder | None = None) -> Table:
    """Make a table of a file's content; the name's ending tells the kind, ``days`` how 03/04/2026 is meant in it."""
    check_size(file, content, "a table in .csv or .xlsx")
    kind = Path(file).suffix.lower()
    if kind in BOOKS:
        from nesting.base.tables.workbook import read_workbook

        pages = read_workbook(file, content, most_rows=MOST_ROWS, first=True)
        return _table(pages[0] if pages else TableAsRead(file, ()), days)
    if kind in TEXTS:
        return _table(read_own_csv(file, content, MOST_ROWS), days)
    raise refuse(file, f"a file that ends in {kind or 'nothing'}", "a table in .csv or .xlsx")


def _cell(value: Cell) -> str:
    """Return a cell as the text that a person would have typed."""
    if isinstance(value, datetime | date):
        return value.isoformat()[:10]
    if isinstance(value, float):
        # A spreadsheet shows 15 digits: 0.1 + 0.2 is 0.3 there, and here.
        return f"{Decimal(f'{value:.15g}'):f}"
    return _lines(text_of(value))


def _lines(text: str) -> str:
    """Return a cell with one kind of line end: Python 3.11 writes a bare return without the quotes it needs."""
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _table(read: TableAsRead, days: DayOrder | None) -> Table:
    """Find the heading, note columns that stand twice, and set each cell below its heading."""
    file = read.file
    filled = [row for row in read.rows if not _is_comment(row)]
    if not filled:
        raise refuse(file, "", "a heading and at least one row")
    first, faults, unread = filled[0], Faults(file), Faults(file)
    headings = [heading(_cell(cell)) for cell in first.cells]
    for name in dict.fromkeys(headings):
        if name and headings.count(name) > 1:
            faults.add(first.number, name, f"{headings.count(name)} columns of that name", "each column once")
    made = []
    for row in filled[1:]:
        texts = [_cell(cell) for cell in row.cells]
        if extra := list(filter(None, texts[len(headings) :])):
            faults.add(row.number, None, f"{extra[0]} beyond the last column", "as many cells as the heading has")
        for name, cell in zip(headings, row.cells, strict=False):
            if isinstance(cell, Unreadable):
                unread.add(row.number, name, cell.text, cell.accepted)
        cells = zip(headings, _typed(texts), strict=False)
        made.append(TableRow(row.number, {name: cell for name, cell in cells if name and cell}, days))
    known = tuple(filter(None, headings))
    return Table(file, known, tuple(made), tuple(unread), tuple(faults), read.warnings)


def _is_comment(row: Row) -> bool:
    """Whether a row's first filled cell begins with ``#``, as text does and an error such as ``#REF!`` does not."""
    first = next(cell for cell in row.cells if not is_blank(cell))
    return not isinstance(first, Unreadable) and text_of(first).startswith("#")


def csv_text(
    headings: Sequence[str], rows: Iterable[Iterable[Any]], comments: Iterable[str] = (), end: str = "\n"
) -> str:
    """Write a table as CSV; `end` ends each line.

    A text cell that a spreadsheet would take for a formula gets an apostrophe before it, and so does a first cell that
    would read as a comment; reading takes it off again. Numbers stay as they are.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator=end)
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
    return guarded(_lines(cell)) if isinstance(cell, str) else cell


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


def note_error(faults: Faults, row: int, error: ValueError) -> None:
    """Note a value's own error as a fault of a row."""
    faults.add(row, None, *said_by(error), typed=False)


def read_day(each: TableRow, column: str, faults: Faults) -> date | None:
    """Read a day, or None from an empty cell."""
    text = each.get(column)
    try:
        return parse_day(text, each.days) if text else None
    except DayError as error:
        faults.add(each.row, column, text, error.accepted)
        return None


def days_told(table: Table, columns: Iterable[str]) -> tuple[str, ...]:
    """Return a remark where days of a table are read as the studio's country writes them."""
    texts = [text for row in table.rows for column in columns if (text := row.get(column)) and hangs_on_country(text)]
    if not texts:
        return ()
    day = parse_day(texts[0], table.rows[0].days)
    told = f"days such as {texts[0]} ({day.day} {day:%B %Y}) are read as the studio's country writes them"
    return (f"{table.file}: {told}; 2026-03-14 leaves no doubt",)


def read_part(each: TableRow, column: str, most: Decimal, faults: Faults) -> Decimal | None:
    """Read a part of one, written as a part or per cent, or None from an empty cell."""
    text = each.get(column)
    if not text:
        return None
    try:
        ratio = parse_ratio(text)
    except ValueError:
        ratio = None
    if ratio is None or ratio > most:
        faults.add(each.row, column, text, f"a part such as 40 % or 0.4, {ratio_text(most)} at the most")
        return None
    return ratio


def read_choice(each: TableRow, column: str, words: Mapping[str, Any], faults: Faults) -> Any:
    """Read one of a few words, or None from an empty cell."""
    text = " ".join(each.get(column).lower().split())
    if text and text not in words:
        faults.add(each.row, column, each.get(column), f"one of {', '.join(words)}")
    return words.get(text)


def read_words(each: TableRow, column: str, faults: Faults, most: int) -> str:
    """Read words on one line, no longer than ``most`` signs."""
    text = " ".join(each.get(column).split())
    if len(text) > most:
        faults.add(each.row, column, f"{len(text)} characters", f"{most} at the most")
        return ""
    return text


def yes_or_no(text: str) -> bool:
    """Read yes or no; :class:`ValueError` for anything else."""
    word = text.strip().lower()
    if word in ("yes", "y", "true", "1", "x"):
        return True
    if word in ("no", "n", "false", "0", "-"):
        return False
    raise ValueError(f"{text!r} is neither yes nor no")


def missing_columns(table: Table, required: Sequence[str], known: Iterable[str] = ()) -> list[Fault]:
    """Return every fault of a table's shape.

    Columns that stand twice, cells beyond them, required columns that lack, and cells of known ones without a value.
    """
    lacks = [
        Fault(table.file, None, name, "", f"a column {name}; this table has {', '.join(table.headings)}")
        for name in required
        if name not in table.headings
    ]
    known = {*required, *known}
    return [*table.wrong, *lacks] + [fault for fault in table.unread if fault.column in known]


def stop_at_all(faults: Faults, table: Table, required: Sequence[str]) -> None:
    """Raise everything that is wrong with a table at once, each thing once.

    A column that lacks is not told in every row, and a cell without a value not as one that is blank.
    """
    lacking = {name for name in required if name not in table.headings}
    without = {(each.row, each.column) for each in table.unread}
    faults.found = [
        each
        for each in faults.found
        if each.row is None
        or (each.column not in lacking and ((each.row, each.column) not in without or each in table.unread))
    ]
    faults.stop_if_any()


def unknown_columns(table: Table, known: Iterable[str]) -> tuple[str, ...]:
    """Return a warning for every column that is not known."""
    known = set(known)
    return tuple(
        f"{table.file}: column {name} is not known and was passed over" for name in table.headings if name not in known
    )
