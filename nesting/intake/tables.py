"""A table as it was read, before anything in it is understood; and tables from text (CSV, pasted cells).

Limits stand here for all kinds of file: an order is a page or two, so whatever is far larger was not meant.
"""

import codecs
import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from nesting.base.faults import refuse
from nesting.intake.cells import Cell, is_blank

MOST_BYTES: Final = 8_000_000
"""Largest file that is opened, in bytes."""
MOST_ROWS: Final = 2_000
"""Most rows that hold anything, the heading counted."""
MOST_COLUMNS: Final = 200
_MOST_LINES: Final = 100_000
"""Most rows of a text, blank or not."""
_DELIMITERS: Final = ("\t", ";", ",", "|")


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


def gather(file: str, rows: Iterable[Sequence[Cell]], warnings: Iterable[str] = ()) -> Table:
    """Count the rows, drop those that hold nothing, and refuse too many or too wide ones.

    Raises
    ------
    FaultsFound
        Over :data:`MOST_ROWS` or :data:`MOST_COLUMNS`.
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
        if len(kept) == MOST_ROWS:
            raise refuse(file, f"more than {MOST_ROWS} rows", f"{MOST_ROWS} rows at the most, the heading counted")
        kept.append(Row(number, tuple(cells[:width])))
    return Table(file, tuple(kept), tuple(warnings))


def decode(file: str, data: bytes) -> tuple[str, list[str]]:
    """Return the text of a file and a warning where its encoding was a second choice.

    UTF-8 with or without its mark, UTF-16 with its mark (what spreadsheets call Unicode text), else Windows-1252.

    Raises
    ------
    FaultsFound
        Where the bytes are no text.
    """
    text, warnings = "", []
    try:
        if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            text = data.decode("utf-16")
        else:
            text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        try:
            text = data.decode("cp1252")
            warnings = [f"{file}: not UTF-8; read as Windows-1252, so look at accented letters"]
        except UnicodeDecodeError:
            raise refuse(file, "bytes that are no text", "a table as CSV in UTF-8, or XLSX or TOML") from None
    if "\0" in text:
        raise refuse(file, "bytes that are no text", "a table as CSV in UTF-8, or XLSX or TOML")
    return text, warnings


def split_text(text: str, *, file: str = "table") -> list[list[str]]:
    r"""Split text into rows and cells at tabs, semicolons, commas or bars, whichever the heading uses.

    Pasting from a spreadsheet gives tabs. A first line ``sep=;`` says it outright.

    Parameters
    ----------
    text : str
        Lines ended in any way; cells may be quoted as in RFC 4180.
    file : str
        Name for messages.

    Raises
    ------
    FaultsFound
        For a quote that is never closed, or a cell of monstrous length.
    """
    return list(_split(text, file))


def _split(text: str, file: str) -> Iterator[list[str]]:
    """Yield the rows of :func:`split_text` one by one."""
    first, _, rest = text.partition("\n")
    delimiter = first.strip("\r\n")[4:]
    if first[:4].lower() == "sep=" and delimiter in _DELIMITERS:
        # Keep an empty first row, so that rows are counted as a spreadsheet does.
        text = "\n" + rest
    else:
        delimiter = _delimiter(text)
    return _rows(text, delimiter, file)


def _rows(text: str, delimiter: str, file: str) -> Iterator[list[str]]:
    """Yield rows, turning the csv module's errors into faults."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    number = 1
    try:
        for number, row in enumerate(reader, start=2):
            if number > _MOST_LINES:
                raise refuse(file, f"more than {_MOST_LINES:,} lines", f"{MOST_ROWS} rows at the most")
            yield row
    except csv.Error as error:
        accepted = 'quotes in pairs, with inches doubled inside them ("30 1/2""")'
        if "limit" in str(error):
            accepted = "cells of a few words; is a quote not closed?"
        raise refuse(file, f"row {number} that cannot be split", accepted) from None


def _delimiter(text: str) -> str:
    """Return the delimiter that splits the first lines most, of those that split them alike."""
    lines = [line for line in text[:20_000].splitlines() if line.strip()]
    sample = ([line for line in lines if not line.lstrip('" ').startswith("# ")] or lines)[:10]
    best, most = ",", 0
    for delimiter in _DELIMITERS:
        # The heading is the widest of the first lines: a title above it has no delimiters of its own.
        count = max((_outside_quotes(line).count(delimiter) for line in sample), default=0)
        heading = _outside_quotes(sample[0]).count(delimiter) if sample else 0
        if (score := 2 * heading + count) > most:
            best, most = delimiter, score
    return best


def _outside_quotes(line: str) -> str:
    """Return a line without its quoted cells."""
    return "".join(part for place, part in enumerate(line.split('"')) if place % 2 == 0)


def read_csv(file: str, data: bytes) -> Table:
    """Read a CSV file from its bytes.

    Raises
    ------
    FaultsFound
        Where it is no table of text.
    """
    text, warnings = decode(file, data)
    return gather(file, _split(text, file), warnings)
