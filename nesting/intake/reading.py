"""From a file, or a table typed in, to an :class:`~nesting.order.Order`: reads, understands, checks, then builds."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final, cast, get_args

from nesting.base.faults import Fault, Faults, FaultsFound, refuse
from nesting.base.measure import UnitSystem, shorten
from nesting.base.tables.cells import Cell
from nesting.base.tables.table import BOOKS, TEXTS, Table, check_size, content_of, gather
from nesting.base.tables.text import read_csv
from nesting.intake.cross_checks import (
    check_companions,
    check_names,
    currency,
    cushion,
    doubts,
    plain_photos,
    unify_spelling,
)
from nesting.intake.headings import (
    check_headings,
    find_heading,
    is_comment,
    read_heading,
    settle_dimensions,
    unknown_columns,
)
from nesting.intake.lines import artwork_of, read_line
from nesting.intake.money import CODES
from nesting.intake.strangers import check_table, check_workbook
from nesting.intake.tomlfile import TomlOrder, read_toml
from nesting.order import Order

_ACCEPTED: Final = "a file in CSV, XLSX or TOML"
_ROWS: Final = "a heading and a row for each artwork"


def read_order(path: str | Path, *, units: UnitSystem | None = None) -> Order:
    """Read an order from a CSV, XLSX or TOML file.

    Parameters
    ----------
    path : str or Path
        The file; its ending says what it is.
    units : {"inch", "metric"}, optional
        What bare numbers mean; otherwise what a TOML order says, else inches and pounds.

    Returns
    -------
    Order
        With a warning for whatever was read with a doubt.

    Raises
    ------
    FaultsFound
        With every fault of the file, or why it could not be opened.
    """
    path = Path(path)
    return read_upload(path.name, content_of(path, str(path), _ACCEPTED), units=units)


def read_upload(file: str, data: bytes, *, units: UnitSystem | None = None) -> Order:
    """Read an order from a file's content, such as one dropped on the desk.

    Parameters
    ----------
    file : str
        Its name: the ending says what it is, and messages begin with it. It is never opened.
    data : bytes
        Its content.
    units : {"inch", "metric"}, optional
        As for :func:`read_order`.

    Raises
    ------
    FaultsFound
        With every fault found.
    """
    file = shorten(Path(file).name, 80) or "order"
    name = Path(file).stem.replace("_", " ").strip() or "order"
    if Path(file).suffix.lower() == ".toml":
        _check_size(file, data)
        return _from_toml(name, read_toml(file, data), units)
    return _from_table(name, _table_of(file, data), units or "inch")


def _table_of(file: str, data: bytes) -> Table:
    """Return the table of a CSV or XLSX file, before anything in it is understood."""
    _check_size(file, data)
    ending = Path(file).suffix.lower()
    if ending in BOOKS:
        return _choose(file, data)
    if ending in TEXTS:
        return read_csv(file, data)
    raise refuse(file, f"the ending {ending or '(none)'}", f"{_ACCEPTED}; save it as one of these")


def _check_size(file: str, data: bytes) -> None:
    """Refuse what is far too much, or nothing."""
    check_size(file, data, _ACCEPTED)
    if not data.strip():
        raise refuse(file, "", _ROWS)


def order_from_rows(
    rows: Sequence[Sequence[Cell]],
    *,
    units: UnitSystem = "inch",
    name: str = "order",
    source: str = "table",
    currency_code: str | None = None,
) -> Order:
    """Make an order from a table that was typed or pasted, the heading in its first row.

    Parameters
    ----------
    rows : sequence of sequences
        Cells as text or typed values. Faults count rows from 1 with the heading.
    units : {"inch", "metric"}
        What bare numbers mean.
    name, source : str
        The order's name, and the name that messages begin with.
    currency_code : str, optional
        Three-letter code of all amounts.

    Raises
    ------
    FaultsFound
        With every fault found, each at its row and column.
    """
    return _from_table(name, gather(source, rows), units, stated=currency_code)


def sheets_of(file: str, data: bytes) -> list[Table]:
    """Return every sheet of a workbook that holds anything; :class:`FaultsFound` where none does."""
    from nesting.base.tables.workbook import read_workbook

    tables = read_workbook(file, data)
    if not tables:
        raise refuse(file, "", "a sheet with a heading and a row for each artwork")
    return tables


def _choose(file: str, data: bytes) -> Table:
    """Return the one sheet of a workbook that is an order."""
    tables = sheets_of(file, data)
    check_workbook(file, [table.file.removeprefix(f"{file}, sheet ") for table in tables])
    if len(tables) == 1:
        return tables[0]
    fitting = []
    for table in tables:
        names = {heading.name for heading in find_heading(table)[0]}
        if "piece" in names and len(names - {None}) >= 3:
            fitting.append(table)
    if len(fitting) == 1:
        return fitting[0]
    sheets = ", ".join(table.file.removeprefix(f"{file}, sheet ") for table in fitting or tables)
    raise refuse(file, f"the sheets {sheets}", "one sheet with a heading that has piece, width, height and depth")


def _from_toml(stem: str, toml: TomlOrder, units: UnitSystem | None) -> Order:
    """Check what stands at the top of a TOML order, then read its artworks."""
    faults = toml.faults
    stated = toml.units
    if stated is not None:
        stated = {"inches": "inch", "in": "inch", "mm": "metric"}.get(stated.strip().lower(), stated.strip().lower())
        if stated not in get_args(UnitSystem):
            faults.add(None, "units", toml.units or "", "inch or metric")
        elif units is not None and stated != units:
            faults.add(None, "units", toml.units or "", f"{units}, as was asked for with the file")
    undecided = any(fault.column == "units" for fault in faults)
    if toml.currency is not None and toml.currency.upper() not in CODES:
        faults.add(None, "currency", toml.currency, "a code of three letters such as USD or EUR")
    known = cast("UnitSystem", stated) if stated in get_args(UnitSystem) else (units or "inch")
    code = toml.currency.upper() if toml.currency and toml.currency.upper() in CODES else None
    name = " ".join((toml.name or "").split()) or stem
    if undecided:
        raise FaultsFound([*faults, *_wrong_either_way(name, toml.table, code)])
    order = _from_table(name, toml.table, known, stated=code, top=faults, row_word="artwork", cushioned=toml.cushion)
    return replace(order, commission=toml.commission, buyer=toml.buyer, gallery=toml.gallery)


def _wrong_either_way(name: str, table: Table, code: str | None) -> list[Fault]:
    """Return what is wrong with a TOML order's artworks whichever way its bare numbers are meant."""
    told: list[list[Fault]] = []
    for units in get_args(UnitSystem):
        try:
            _from_table(name, table, units, stated=code, row_word="artwork")
        except FaultsFound as found:
            told.append(list(found.faults))
        else:
            return []
    inch, metric = told
    same = {(fault.row, fault.column, fault.found) for fault in metric}
    return [fault for fault in inch if (fault.row, fault.column, fault.found) in same]


def _from_table(  # 7 arguments: a table's rows, and what may stand above them in a file
    name: str,
    table: Table,
    units: UnitSystem,
    *,
    stated: str | None = None,
    top: Faults | None = None,
    row_word: str = "row",
    cushioned: str = "",
) -> Order:
    """Understand a table's heading, read its rows, check them together, and build the order."""
    faults = Faults(table.file, row_word, list(top) if top else [])
    if not table.rows:
        raise refuse(table.file, "", _ROWS)
    if row_word == "row":
        headings, heading_row, rows = find_heading(table)
        check_table(table.file, headings)
        number: int | None = heading_row.number
    else:
        headings, number, rows = (
            tuple(map(read_heading, range(len(table.rows[0].cells)), table.rows[0].cells)),
            None,
            table.rows[1:],
        )
    check_headings(headings, number, faults)
    headings = settle_dimensions(headings, number, rows, faults)
    if not rows:
        faults.add(None, None, "no row below the heading", "a row for each artwork")
    lines = [read_line(row, headings, units, faults) for row in rows]
    warnings = [*table.warnings, *unknown_columns(table.file, headings)]
    for column in ("destination", "set", "buyer", "gallery"):
        warnings += unify_spelling(lines, column, table.file)
    warnings += plain_photos(lines, table.file)
    check_names(lines, faults)
    check_companions(lines, faults)
    code = currency(lines, stated, faults)
    foam = cushion(lines, cushioned, faults)
    faults.stop_if_any()
    skipped = [row for row in table.rows if number is not None and row.number < number and not is_comment(row)]
    if skipped:
        warnings.append(f"{table.file}: row {number} is taken as the heading; what stands above it was left out")
    warnings += doubts(lines, units, table.file)
    try:
        artworks = tuple(artwork_of(line) for line in lines)
        return Order(name, artworks, units, code, tuple(warnings), table.file, cushion=foam)
    except (ValueError, TypeError) as error:
        # Every rule of an artwork is checked above; should one be forgotten, the person still gets a message.
        raise FaultsFound([*refuse(table.file, str(error), "an order within the limits").faults]) from error
