"""Tables from XLSX workbooks, opened defensively.

A workbook is a zip of XML files from a stranger. Before openpyxl sees it: the sizes that its parts unpack to are added
up (Python's zipfile never unpacks more than a part declares, so the sum holds even against overlapping parts); every
XML part must begin without a document type, so that no entities exist to expand; and reading stops at the limits of
:mod:`nesting.base.tables.table`. Formulas are read as the values stored with them; nothing is ever calculated.
"""

import io
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, Final, cast
from xml.etree.ElementTree import ParseError

from nesting.base.faults import FaultsFound, refuse
from nesting.base.measure import shorten
from nesting.base.tables.cells import Cell, Unreadable, is_blank
from nesting.base.tables.table import MOST_COLUMNS, MOST_ROWS, Table, gather

if TYPE_CHECKING:
    from openpyxl import Workbook

MOST_UNPACKED: Final = 24_000_000
"""Most bytes that a workbook may unpack to; a table of 2,000 full rows needs about two million."""
MOST_WRITTEN_ROWS: Final = 20_000
"""Most rows that a sheet may write down, blank or not."""
MOST_TAGS: Final = 400_000
"""Most tags in all its parts: parsing costs by the tag, and a table of 1,000 full rows has some 200,000."""
MOST_PARTS: Final = 2_000
MOST_SHEETS: Final = 50
_LAST_ROW: Final = 1_048_576
_ACCEPTED: Final = "a workbook saved as XLSX, without a password"


def read_workbook(file: str, data: bytes, *, most_rows: int = MOST_ROWS, first: bool = False) -> list[Table]:
    """Read every sheet of a workbook that holds anything.

    Parameters
    ----------
    file : str
        Name for messages.
    data : bytes
        The file's content.
    most_rows : int
        Most rows of a sheet.
    first : bool
        Whether the first sheet alone is looked at.

    Returns
    -------
    list of Table
        One for each sheet with content, in the workbook's order, hidden ones left out.

    Raises
    ------
    FaultsFound
        Where the file is no workbook, or is larger than a table can be.
    """
    _check_zip(file, data)
    try:
        return _tables(file, data, most_rows, first=first)
    except FaultsFound:
        raise
    except Exception as error:  # openpyxl raises nearly anything on a malformed workbook
        raise refuse(file, f"a workbook that cannot be read ({type(error).__name__})", _ACCEPTED) from error


def _check_zip(file: str, data: bytes) -> None:
    """Refuse archives that are broken, locked, or unpack to more than a table can be."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            _check_parts(file, archive)
    except FaultsFound:
        raise
    except Exception as error:  # zipfile raises BadZipFile, zlib.error, NotImplementedError, OSError, ...
        locked = data.startswith(b"\xd0\xcf\x11\xe0")
        found = "an old XLS file or a workbook with a password" if locked else "a file that is no workbook"
        raise refuse(file, found, _ACCEPTED) from error


def _check_parts(file: str, archive: zipfile.ZipFile) -> None:
    """Add up what the parts unpack to, and look at the beginning of each."""
    parts = archive.infolist()
    unpacked = sum(part.file_size for part in parts)
    if len(parts) > MOST_PARTS or unpacked > MOST_UNPACKED:
        found = f"{len(parts):,} parts that unpack to {unpacked:,} bytes"
        raise refuse(file, found, f"a workbook of {MOST_UNPACKED:,} bytes unpacked at the most")
    if any(part.flag_bits & 1 for part in parts):
        raise refuse(file, "a workbook with a password", _ACCEPTED)
    # Every part, whatever it is called: a workbook may name any of them as a sheet.
    tags = 0
    for part in parts:
        content = archive.read(part)
        tags += content.count(b"<")
        if tags > MOST_TAGS:
            raise refuse(file, f"more than {MOST_TAGS:,} tags", "a sheet without so many cells")
        _check_prolog(file, part.filename, io.BytesIO(content))


def _check_prolog(file: str, part: str, stream: Any) -> None:
    """Refuse a part that declares a document type; entities can only be declared there, before the first element."""
    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import iterparse

    try:
        next(iter(iterparse(stream, events=("start",), forbid_dtd=True)), None)
    except DefusedXmlException:
        raise refuse(file, f"an XML document type in {part}", _ACCEPTED) from None
    except ParseError:
        # Photographs and the like; openpyxl refuses a sheet that is no XML.
        return


def _tables(file: str, data: bytes, most_rows: int, *, first: bool) -> list[Table]:
    """Read the sheets, values and formulas side by side."""
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openpyxl warns of styles and extensions that don't matter here
        values = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        formulas = load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
        try:
            names = [s.title for s in values.worksheets if s.sheet_state == "visible"]
            if len(names) > MOST_SHEETS:
                raise refuse(file, f"{len(names)} sheets", f"{MOST_SHEETS} sheets at the most")
            names = names[:1] if first else names
            tables = []
            for name in names:
                label = file if len(names) == 1 else f"{file}, sheet {shorten(name)}"
                tables.append(gather(label, _rows(label, name, values, formulas), most_rows=most_rows))
        finally:
            values.close()
            formulas.close()
    return [table for table in tables if table.rows]


def _rows(label: str, sheet: str, values: "Workbook", formulas: "Workbook") -> Iterator[Sequence[Cell]]:
    """Yield the rows of a sheet, each cell's stored value, or :class:`Unreadable` where it has none to give."""
    pair: list[Any] = [values[sheet], formulas[sheet]]
    for view in pair:
        # What a sheet says of its own extent is not to be believed.
        view.reset_dimensions()
    streams = [view.iter_rows(max_col=MOST_COLUMNS + 1) for view in pair]
    rows_written, gap = 0, None
    for number, (row, twin) in enumerate(zip(*streams, strict=False), start=1):
        if row is not gap:
            rows_written += 1
        if number > _LAST_ROW or rows_written > MOST_WRITTEN_ROWS:
            found = f"rows beyond {_LAST_ROW:,}" if number > _LAST_ROW else f"more than {MOST_WRITTEN_ROWS:,} rows"
            raise refuse(label, found, f"{MOST_WRITTEN_ROWS:,} at the most, blank ones counted")
        if row is gap:
            # openpyxl fills gaps between rows with one and the same tuple; a million of them cost little.
            yield ()
            continue
        if all(cell.value is None for cell in twin):
            gap = row
            yield ()
        else:
            yield [_cell(value, formula) for value, formula in zip(row, twin, strict=False)]


def _cell(value: Any, formula: Any) -> Cell:
    """Return a cell's value, or why it has none."""
    if value.data_type == "e":
        return Unreadable(str(value.value), "a value; the spreadsheet shows an error here")
    if formula.data_type == "f" and is_blank(value.value):
        text = str(formula.value) if isinstance(formula.value, str) else "an array formula"
        return Unreadable(text, "a value; save the file in a spreadsheet, which stores it")
    return cast("Cell", value.value)
