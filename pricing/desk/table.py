"""The table of artworks: from typed cells, pasted text or a dropped file to an order, with every fault at its cell."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from nesting.base.days import DayOrder
from nesting.base.faults import Fault, FaultsFound, refuse
from nesting.base.measure import UnitSystem, shorten
from nesting.base.tables.cells import text_of
from nesting.base.tables.table import BOOKS, TEXTS, Row, Table, check_size
from nesting.base.tables.text import decode
from nesting.intake import order_from_rows, split_text
from nesting.intake.headings import find_heading, read_headings
from nesting.intake.lines import number_alike
from nesting.intake.reading import sheets_of
from nesting.intake.tomlfile import read_toml
from nesting.order import Order
from nesting.shop.backs import write_words
from pricing.desk.content import HEADINGS, MOST_ROWS, Content
from pricing.studio.table_file import unguarded

SOURCE: Final = "the table"


_RULE: Final = re.compile(r"\b(?:under|of) \[(\w+)\] in shop\.toml")
"""How a rule of the shop's file is named to who has that file before them."""

HEADING_ROWS: Final = 2
"""What a row of an order is counted from, less what a row of the table is: the heading is an order's row 1."""


@dataclass(frozen=True, slots=True)
class CellFault:
    """A fault where a person can see it.

    Attributes
    ----------
    row : int or None
        From 0 below the heading; -1 is the heading; None is the whole table.
    column : int or None
        From 0; None is the whole row.
    text : str
        The message, without the place.
    missing : bool
        Whether the cell is only blank, not wrong.
    """

    row: int | None
    column: int | None
    text: str
    missing: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """What a table says.

    Attributes
    ----------
    order : Order or None
        None while it has faults, or holds nothing.
    faults : tuple of CellFault
        Everything that keeps it from being an order.
    """

    order: Order | None
    faults: tuple[CellFault, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether nothing was typed yet."""
        return self.order is None and not self.faults


def read(content: Content, name: str, days: DayOrder | None = None) -> Reading:
    """Read a job's table; ``days`` says how 03/04/2026 is meant in it, and without it such a day is asked."""
    if not any(cell.strip() for row in content.rows for cell in row):
        return Reading(None)
    try:
        order = order_from_rows(
            [content.headings, *content.rows], units=content.units, name=name, source=SOURCE, days=days
        )
    except FaultsFound as error:
        return Reading(None, cell_faults(content, error.faults))
    return Reading(order)


def cell_faults(content: Content, faults: Sequence[Fault]) -> tuple[CellFault, ...]:
    """Return faults of rows and columns as places of the table."""
    places = columns(content.headings)
    found = []
    for fault in faults:
        mine = fault.file in (SOURCE, "")
        row = fault.row - HEADING_ROWS if mine and fault.row is not None else None
        column = places.get(fault.column or "") if row is not None else None
        said = f"“{shorten(fault.found)}” cannot be read here. " if fault.found.strip() else ""
        if row is None:
            said = f"{fault.file}: " if fault.file not in (SOURCE, "") else ""
            said += f"{fault.column}: " if fault.column else ""
            said += f"{here(fault.found)}. " if fault.found.strip() else ""
        elif column is None:
            said = f"{fault.column or 'this row'}: {fault.found} " if fault.found.strip() else f"{fault.column}: "
        wanted = f"Write {here(fault.accepted)}." if fault.accepted else ""
        found.append(CellFault(row, column, f"{said}{wanted}".strip(), missing=not fault.found.strip()))
    return tuple(found)


def here(text: str) -> str:
    """Say where a rule is changed on the desk, where a message names the shop's file: its group on the page Shop."""
    return _RULE.sub(r"under “\1” on the page Shop", text)


def columns(headings: Sequence[str]) -> Mapping[str, int]:
    """Return the place of every column that is understood, by our name for it."""
    found: dict[str, int] = {}
    for place, heading in enumerate(read_headings(headings)):
        for name in filter(None, (heading.name, heading.also, *heading.order)):
            found.setdefault(name, place)
    return found


def with_cell(content: Content, piece: str, column: str, text: str) -> Content:
    """Return the same job with one cell of a piece's row changed; a column that is missing is added.

    Raises
    ------
    LookupError
        When no row is of that piece.
    """
    made, at = _with_column(content, column)
    rows = [list(row) for row in made.rows]
    found = [row for row, name in zip(rows, _pieces(made), strict=True) if name == piece]
    if not found:
        raise LookupError(f"no piece {piece} in the table")
    for row in found:
        row[at] = text
    return made.with_rows(made.headings, tuple(map(tuple, rows)))


def with_everywhere(content: Content, column: str, text: str, unless: Collection[str] = ()) -> Content:
    """Return the same job with a text in a column of every row of work, but where it or another of some says anything.

    A column that is missing is added.
    """
    made, at = _with_column(content, column)
    places = columns(made.headings)
    said = [at, *(places[name] for name in unless if name in places)]
    rows = [
        (*row[:at], text, *row[at + 1 :])
        if any(cell.strip() for cell in row) and not any(row[place].strip() for place in said)
        else row
        for row in made.rows
    ]
    return made.with_rows(made.headings, tuple(rows))


def with_row(content: Content, cells: Mapping[str, str]) -> Content:
    """Return the same job with a row more, its cells by our name for the column; columns that are missing are added."""
    places = {}
    for column in cells:
        content, places[column] = _with_column(content, column)
    row = [""] * len(content.headings)
    for column, text in cells.items():
        row[places[column]] = text
    return content.with_rows(content.headings, (*content.rows, tuple(row)))


def without_rows(content: Content, pieces: Collection[str]) -> Content:
    """Return the same job without the rows of some pieces."""
    kept = [row for row, name in zip(content.rows, _pieces(content), strict=True) if name not in pieces]
    return content.with_rows(content.headings, tuple(kept))


def _with_column(content: Content, column: str) -> tuple[Content, int]:
    """Return the same job with a column, its rows as long as its heading, and where the column stands."""
    places, headings = columns(content.headings), content.headings
    if column not in places:
        headings = (*headings, column)
    rows = tuple((*row, *([""] * (len(headings) - len(row)))) for row in content.rows)
    return content.with_rows(headings, rows), places.get(column, len(headings) - 1)


def _pieces(content: Content) -> list[str]:
    """Return the piece of every row; empty where it has none."""
    places = columns(content.headings)
    own = places.get("piece", -1)
    names = [" ".join(row[own].split()) if 0 <= own < len(row) else "" for row in content.rows]
    return number_alike([shorten(name, 60) for name in names]) if own == places.get("title") else names


def pasted(text: str) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Split pasted text into a heading and rows.

    A first row that holds known column names is the heading. Otherwise the cells are taken in the order of a new
    table's columns.

    Raises
    ------
    FaultsFound
        Where the text cannot be split, or is too long.
    """
    rows = [tuple(cell.strip() for cell in row) for row in split_text(text, file="what was pasted")]
    rows = [row for row in rows if any(row)]
    if not rows:
        raise refuse("what was pasted", "", "cells copied from a spreadsheet, or a table as text")
    known = columns(rows[0])
    headed = len(known) >= 2 or ("piece" in known and len(rows[0]) == 1)
    if len(rows) - headed > MOST_ROWS:
        raise refuse("what was pasted", f"{len(rows) - headed} rows", f"{MOST_ROWS} rows at the most")
    if headed:
        return _square(rows[0], rows[1:])
    width = max(len(row) for row in rows)
    return _square(HEADINGS[:width], rows)


def dropped(file: str, data: bytes) -> tuple[str, UnitSystem | None, tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Read a dropped file into a name, units where it states them, a heading and rows; faults in cells are left there.

    Parameters
    ----------
    file : str
        Its name, of which only the ending and the words are looked at.
    data : bytes
        Its content.

    Raises
    ------
    FaultsFound
        Where it is no table at all, or too large.
    """
    name, ending = Path(file).stem.replace("_", " ").strip() or "order", Path(file).suffix.lower()
    check_size(file, data, "a file")
    if ending in TEXTS:
        text, _ = decode(file, data)
        headings, rows = _from_table(file, [tuple(map(unguarded, row)) for row in split_text(text, file=file)])
        return name, None, headings, rows
    if ending in BOOKS:
        table = _order_sheet(file, sheets_of(file, data))
        return (name, None, *_from_table(file, [_texts(row) for row in _gaps(table.rows)]))
    if ending == ".toml":
        toml = read_toml(file, data)
        toml.faults.stop_if_any()
        units: UnitSystem | None = "metric" if (toml.units or "").strip().lower() in ("metric", "mm") else None
        return (toml.name or name, units, *_from_table(file, [_texts(row) for row in toml.table.rows]))
    raise refuse(file, f"the ending {ending or '(none)'}", "a table in CSV, XLSX or TOML")


def _order_sheet(file: str, tables: Sequence[Table]) -> Table:
    """Return the sheet whose heading is that of an order."""
    fitting = [table for table in tables if "piece" in {heading.name for heading in find_heading(table)[0]}]
    if len(tables) == 1:
        return tables[0]
    if len(fitting) != 1:
        raise refuse(file, f"{len(tables)} sheets with rows", "one sheet with a heading of piece, width, height, depth")
    return fitting[0]


def _gaps(rows: Sequence[Row]) -> list[Row]:
    """Return rows in order; blank ones between them were dropped by the reader already."""
    return sorted(rows, key=lambda row: row.number)


def _texts(row: Row) -> tuple[str, ...]:
    """Return a row's cells as a person would have typed them."""
    return tuple(cell_text(cell) for cell in row.cells)


def cell_text(cell: object) -> str:
    """Return a cell of a spreadsheet or of TOML as a person would have typed it."""
    if isinstance(cell, datetime):
        whole = cell.hour == cell.minute == cell.second == 0
        return cell.date().isoformat() if whole else cell.isoformat(sep=" ", timespec="minutes")
    if isinstance(cell, Mapping) and "kind" in cell:
        return write_words(
            text_of(cell["kind"]), {key: text for key in cell if (text := text_of(cell[key])) and key != "kind"}
        )
    return text_of(cell)


def _from_table(file: str, rows: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Find the heading among the first rows."""
    filled = [tuple(cell.strip() for cell in row) for row in rows if any(cell.strip() for cell in row)]
    if not filled:
        raise refuse(file, "", "a heading and a row for each artwork")
    found = find_heading(Table(file, tuple(Row(number, row) for number, row in enumerate(filled, start=1))))
    return _square(_strings(found[1]), [_strings(row) for row in found[2]])


def _strings(row: Row) -> tuple[str, ...]:
    return tuple(map(text_of, row.cells))


def _square(
    headings: Sequence[str], rows: Sequence[Sequence[str]]
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Make every row as long as the heading; cells beyond it get columns of their own."""
    width = max([len(headings), *(len(row) for row in rows)])
    head = [*headings, *(f"column {place + 1}" for place in range(len(headings), width))]
    return tuple(head), tuple((*row, *([""] * (width - len(row)))) for row in rows)
