"""A table as it was read, before anything in it is understood, and the limits of every file that holds one.

A table is a page or a few, so whatever is far larger was not meant.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from nesting.base.faults import refuse
from nesting.base.tables.cells import Cell, is_blank

TEXTS: Final = (".csv", ".tsv", ".tab", ".txt")
BOOKS: Final = (".xlsx", ".xlsm", ".xltx")
"""How the names of tables end: as text, and as workbooks."""
MOST_BYTES: Final = 8_000_000
"""Largest file that is opened, in bytes."""
MOST_ROWS: Final = 2_000
"""Most rows that hold anything, the heading counted, unless a reader has more to expect."""
MOST_COLUMNS: Final = 200


@dataclass(frozen=True, slots=True)
class Row:
    """One row that holds anything: its number as a spreadsheet counts, and its cells from the first column on."""

    number: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of one table.

    Attributes
    ----------
    file : str
        Name for messages; a workbook's sheet is named with it.
    rows : tuple of Row
        Those that hold anything, heading included.
    warnings : tuple of str
        What was odd about reading it.
    """

    file: str
    rows: tuple[Row, ...]
    warnings: tuple[str, ...] = ()


_WHY: Final[dict[type[Exception], str]] = {FileNotFoundError: "no such file", IsADirectoryError: "a folder"}
"""The commonest of what keeps a file from being opened, in words of ours."""


def content_of(path: Path, file: str, accepted: str) -> bytes:
    """Return a file's content, cut off where it is too large anyway; :func:`check_size` tells that.

    Raises
    ------
    FaultsFound
        Where it cannot be opened.
    """
    try:
        with path.open("rb") as stream:
            return stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        told = error.strerror if isinstance(error, OSError) and error.strerror else "a path that cannot be opened"
        raise refuse(file, _WHY.get(type(error), told), accepted) from error


def check_size(file: str, data: bytes, accepted: str) -> None:
    """Raise :class:`FaultsFound` for what is far too much."""
    if len(data) > MOST_BYTES:
        raise refuse(file, f"more than {MOST_BYTES:,} bytes", f"{accepted} of {MOST_BYTES:,} bytes at the most")


def gather(
    file: str, rows: Iterable[Sequence[Cell]], warnings: Iterable[str] = (), *, most_rows: int = MOST_ROWS
) -> Table:
    """Count the rows, drop those that hold nothing, and refuse too many or too wide ones.

    Raises
    ------
    FaultsFound
        Over ``most_rows`` or :data:`MOST_COLUMNS`.
    """
    kept: list[Row] = []
    for number, cells in enumerate(rows, start=1):
        if not cells:
            continue
        width = max((place for place, cell in enumerate(cells, start=1) if not is_blank(cell)), default=0)
        if not width:
            continue
        if width > MOST_COLUMNS:
            raise refuse(file, f"{width} columns in row {number}", f"{MOST_COLUMNS} columns at the most")
        if len(kept) == most_rows:
            raise refuse(file, f"more than {most_rows} rows", f"{most_rows} rows at the most, the heading counted")
        kept.append(Row(number, tuple(cells[:width])))
    return Table(file, tuple(kept), tuple(warnings))
