"""From a file, or a table typed in, to an :class:`~nesting.order.Order`: reads, understands, checks, then builds."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final, cast, get_args

from nesting.base.days import DayOrder
from nesting.base.faults import Fault, Faults, FaultsFound, refuse
from nesting.base.measure import UnitSystem, shorten
from nesting.base.tables.cells import Cell
from nesting.base.tables.table import BOOKS, TEXTS, Table, check_size, content_of, gather
from nesting.base.tables.text import read_csv
from nesting.intake.cells import Scale
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
    Heading,
    check_headings,
    find_heading,
    is_comment,
    read_headings,
    remark_on_headings,
    settle_dimensions,
    settle_doubtful,
    unknown_columns,
)
from nesting.intake.hedges import Assumed, remark
from nesting.intake.lines import Line, artwork_of, number_alike, read_line
from nesting.intake.money import CODES
from nesting.intake.rows import artworks_only
from nesting.intake.strangers import check_table, check_workbook
from nesting.intake.tomlfile import TomlOrder, read_toml
from nesting.order import Order

_ACCEPTED: Final = "a file in CSV, XLSX or TOML"
_ROWS: Final = "a heading and a row for each artwork"


def read_order(
    path: str | Path,
    *,
    units: UnitSystem | None = None,
    otherwise: UnitSystem = "inch",
    days: DayOrder | None = None,
) -> Order:
    """Read an order from a CSV, XLSX or TOML file.

    Parameters
    ----------
    path : str or Path
        The file; its ending says what it is.
    units : {"inch", "metric"}, optional
        What bare numbers mean; if not given, what a TOML order says.
    otherwise : {"inch", "metric"}
        What they mean where neither says it, by the sizes of the shop.
    days : {"month first", "day first"}, optional
        How 03/04/2026 is meant (:func:`nesting.base.days.days_in` tells it of a country); otherwise it is asked.

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
    content = content_of(path, str(path), _ACCEPTED)
    return read_upload(path.name, content, units=units, otherwise=otherwise, days=days)


def read_upload(
    file: str,
    data: bytes,
    *,
    units: UnitSystem | None = None,
    otherwise: UnitSystem = "inch",
    days: DayOrder | None = None,
) -> Order:
    """Read an order from a file's content, such as one dropped on the desk.

    Parameters
    ----------
    file : str
        Its name: the ending says what it is, and messages begin with it. It is never opened.
    data : bytes
        Its content.
    units, otherwise, days
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
        return _from_toml(name, read_toml(file, data), units, Scale(otherwise, days=days))
    return _from_table(name, _table_of(file, data), Scale(units or otherwise, days=days))


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
    days: DayOrder | None = None,
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
    days : {"month first", "day first"}, optional
        As for :func:`read_order`.

    Raises
    ------
    FaultsFound
        With every fault found, each at its row and column.
    """
    return _from_table(name, gather(source, rows), Scale(units, days=days), stated=currency_code)


def order_from_table(
    table: Table, *, units: UnitSystem = "inch", name: str = "order", days: DayOrder | None = None
) -> Order:
    """Make an order from rows of a longer table, the heading first; faults keep the rows' own numbers.

    Raises
    ------
    FaultsFound
        With every fault found, each at its row and column.
    """
    return _from_table(name, table, Scale(units, days=days))


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


def _from_toml(stem: str, toml: TomlOrder, units: UnitSystem | None, otherwise: Scale) -> Order:
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
    known = cast("UnitSystem", stated) if stated in get_args(UnitSystem) else (units or otherwise.units)
    code = toml.currency.upper() if toml.currency and toml.currency.upper() in CODES else None
    name = " ".join((toml.name or "").split()) or stem
    if undecided:
        raise FaultsFound([*faults, *_wrong_either_way(name, toml.table, code, otherwise.days)])
    scale = replace(otherwise, units=known)
    order = _from_table(name, toml.table, scale, stated=code, top=faults, row_word="artwork", cushioned=toml.cushion)
    return replace(order, commission=toml.commission, buyer=toml.buyer, gallery=toml.gallery)


def _wrong_either_way(name: str, table: Table, code: str | None, days: DayOrder | None) -> list[Fault]:
    """Return what is wrong with a TOML order's artworks whichever way its bare numbers are meant."""
    told: list[list[Fault]] = []
    for units in get_args(UnitSystem):
        try:
            _from_table(name, table, Scale(units, days=days), stated=code, row_word="artwork")
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
    scale: Scale,
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
    left_out: tuple[str, ...] = ()
    if row_word == "row":
        headings, heading_row, rows = find_heading(table)
        check_table(table.file, headings)
        number: int | None = heading_row.number
        rows, left_out = artworks_only(rows, headings, heading_row)
    else:
        headings, number, rows = read_headings(table.rows[0].cells), None, table.rows[1:]
    check_headings(headings, number, faults)
    headings = settle_doubtful(settle_dimensions(headings, number, rows, faults), rows, scale)
    if not rows:
        faults.add(None, None, "no row below the heading", "a row for each artwork")
    lines = [read_line(row, headings, scale, faults) for row in rows]
    warnings = [*table.warnings, *remark_on_headings(table.file, headings), *unknown_columns(table.file, headings)]
    warnings += [f"{table.file}: {told}" for told in left_out]
    warnings += _name_by_titles(lines, headings, table.file)
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
    warnings += [*_assumed(lines, table.file), *doubts(lines, scale.units, table.file)]
    try:
        artworks = tuple(artwork_of(line) for line in lines)
        return Order(name, artworks, scale.units, code, tuple(warnings), table.file, cushion=foam)
    except (ValueError, TypeError) as error:
        # Every rule of an artwork is checked above; should one be forgotten, the person still gets a message.
        raise FaultsFound([*refuse(table.file, str(error), "an order within the limits").faults]) from error


def _name_by_titles(lines: Sequence[Line], headings: Sequence[Heading], file: str) -> list[str]:
    """Give titles that stand twice a number where pieces go by them; return a remark where they do."""
    if not any(heading.also and heading.name == "piece" for heading in headings):
        return []
    named = [line for line in lines if "piece" in line.values]
    made, twice = number_alike([line.values["piece"] for line in named]), 0
    for line, name in zip(named, made, strict=True):
        twice += line.values["piece"] != name
        line.values["piece"] = name
    alike = f", {twice} that stood before with a number" if twice else ""
    return [f"{file}: no column numbers the pieces, so that they go by their titles{alike}"]


def _assumed(lines: Sequence[Line], file: str) -> list[str]:
    """Return a remark on cells in doubt, and one on days that are read as the studio's country writes them."""
    told = [
        Assumed(column, line.values.get("piece", f"row {line.row}"), text, meant)
        for line in lines
        for column, text, meant in line.assumed
    ]
    days = {text: day for line in lines for text, day in line.by_country}
    warnings = remark(file, told)
    if days:
        text, day = next(iter(days.items()))
        more = f", and {len(days) - 1} more" if len(days) > 1 else ""
        country = "read as the studio's country writes them; 2026-03-14 leaves no doubt"
        warnings.append(f"{file}: days such as {text} ({day.day} {day:%B %Y}{more}) are {country}")
    return warnings
