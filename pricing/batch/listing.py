"""Which orders a batch has: files of a folder, or rows of one long table; each is read only when its turn comes.

A long table is gone through twice: first for its heading and the names of its orders, then, slowly, for the orders.
So an order whose rows do not adjoin is known before any part of it is worked, and how many there are is known too.
"""

import csv
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Final

from nesting.base.faults import Fault, FaultsFound, refuse
from nesting.base.measure import UnitSystem, shorten
from nesting.base.tables.cells import Cell, is_blank, text_of
from nesting.base.tables.table import BOOKS, MOST_COLUMNS, MOST_ROWS, TEXTS, Row, Table, check_size, content_of
from pricing.batch.working import Task
from pricing.studio.office import NAMES

_TABLE_ACCEPTED: Final = "a folder of orders, or a table in CSV or XLSX with a column that names the order"
_ENDINGS: Final = (*TEXTS, *BOOKS, ".toml")
_NO_ORDERS: Final = frozenset({*NAMES, "scenarios.toml"})
"""Files of a folder that say something else."""
_DELIMITERS: Final = ("\t", ";", ",", "|")
_MOST_BOOK_ROWS: Final = 20_000
_BOMS: Final = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}


@dataclass(frozen=True, slots=True)
class Listing:
    """The orders of a batch.

    Attributes
    ----------
    count : int
        How many.
    folder : Path
        Beside what: its places, parties and pictures are the orders' own.
    tasks : callable
        Makes them one by one, each time anew, always in the same order.
    """

    count: int
    folder: Path
    tasks: Callable[[], Iterator[Task]]


def list_orders(source: Path, *, units: UnitSystem | None = None, column: str = "order") -> Listing:
    """List the orders of a folder or of a long table.

    Parameters
    ----------
    source : Path
        A folder, each of whose tables is an order, or a table.
    units : {"inch", "metric"}, optional
        Of bare numbers.
    column : str
        The heading of the long table's column that names the order.

    Raises
    ------
    FaultsFound
        Where it is neither, or holds no order.
    """
    if source.is_dir():
        return _of_folder(source, units)
    if source.suffix.lower() not in (*TEXTS, *BOOKS):
        found = f"the ending {source.suffix or '(none)'}" if source.exists() else "no such file"
        raise refuse(str(source), found, _TABLE_ACCEPTED)
    return _of_table(source, units, column)


def _of_folder(folder: Path, units: UnitSystem | None) -> Listing:
    """List the files of a folder; their names are looked at, and nothing is opened."""
    try:
        names = sorted(
            each.name
            for each in folder.iterdir()
            if each.suffix.lower() in _ENDINGS
            and not each.name.startswith((".", "~$"))
            and each.name.lower() not in _NO_ORDERS
            and not each.is_dir()
        )
    except OSError as error:
        raise refuse(str(folder), error.strerror or "a folder that cannot be read", _TABLE_ACCEPTED) from error
    if not names:
        raise refuse(str(folder), "no order", f"files that end in {', '.join(_ENDINGS)}, one for each order")
    alike = Counter(Path(name).stem.casefold() for name in names)

    def tasks() -> Iterator[Task]:
        for name in names:
            stem = Path(name).stem
            order = name if alike[stem.casefold()] > 1 else stem
            try:
                content = content_of(folder / name, name, "a file that can be read")
            except FaultsFound as error:
                yield Task(order, name, name, units=units, faults=tuple(each.message for each in error.faults))
            else:
                yield Task(order, name, name, content, units)

    return Listing(len(names), folder, tasks)


def _of_table(path: Path, units: UnitSystem | None, column: str) -> Listing:
    """List the orders of a long table."""
    rows = _book_rows(path) if path.suffix.lower() in BOOKS else _text_rows(path)
    heading, place = None, 0
    names: Counter[str] = Counter()
    last = None
    for row in rows():
        if heading is None:
            heading, place = row, _place_of(row, column, path.name)
            continue
        name = _name_in(row, place)
        if name.casefold() != last or not name:
            names[name.casefold()] += 1
        last = name.casefold()
    if heading is None or not names:
        raise refuse(path.name, "no row below the heading", "a heading, and a row for each artwork")
    return Listing(names.total(), path.parent, lambda: _grouped(path.name, rows(), place, names, units))


def _grouped(
    file: str, rows: Iterator[Row], place: int, names: Counter[str], units: UnitSystem | None
) -> Iterator[Task]:
    """Yield an order for each run of rows of one name."""
    head = next(rows)
    heading = Row(head.number, _without(head.cells, place))
    met: Counter[str] = Counter()
    for (_, key), group in groupby(rows, lambda row: _run(row, place)):
        first, kept, count = None, [], 0
        for row in group:
            first = first or row
            last = row.number
            count += 1
            if count < MOST_ROWS:
                kept.append(Row(row.number, _without(row.cells, place)))
        if first is None:  # pragma: no cover - a group has a row
            continue
        met[key] += 1
        name = _name_in(first, place)
        where = f"row {first.number}" if last == first.number else f"rows {first.number} to {last}"
        source = f"{file}, {where}"
        if not name:
            fault = Fault(file, first.number, "order", "", "the name of an order")
            yield Task(source, source, file, faults=(fault.message,))
        elif names[key] > 1:
            shown = name if met[key] == 1 else f"{name}, again in {where}"
            accepted = "rows of one order that adjoin; sort the table by that column"
            fault = Fault(file, first.number, "order", f"{name}, in {names[key]} places", accepted)
            yield Task(shown, source, file, faults=(fault.message,))
        elif count >= MOST_ROWS:
            fault = Fault(
                file, first.number, "order", f"{name}, of {count:,} rows", f"{MOST_ROWS - 1} rows at the most"
            )
            yield Task(name, source, file, faults=(fault.message,))
        else:
            yield Task(name, source, file, Table(file, (heading, *kept)), units)


def _run(row: Row, place: int) -> tuple[int, str]:
    """Return what rows of one order have in common: the name, or, where there is none, their own number."""
    name = _name_in(row, place)
    return (0 if name else row.number), name.casefold()


def _name_in(row: Row, place: int) -> str:
    """Return the name of a row's order."""
    return " ".join(text_of(row.cells[place]).split()) if place < len(row.cells) else ""


def _without(cells: Sequence[Cell], place: int) -> tuple[Cell, ...]:
    """Return a row without the cell that names its order."""
    return (*cells[:place], *cells[place + 1 :])


def _place_of(row: Row, column: str, file: str) -> int:
    """Return which column names the order."""
    wanted = " ".join(column.split()).casefold()
    found = [place for place, cell in enumerate(row.cells) if " ".join(text_of(cell).split()).casefold() == wanted]
    if len(found) == 1:
        return found[0]
    told = ", ".join(text_of(cell) for cell in row.cells)
    raise FaultsFound([
        Fault(
            file, row.number, None, shorten(told, 200) if not found else f"{len(found)} columns {column}",
            f"a heading with one column {column}, which names the order of each row; "
            "--column says what it is called, and a file of one order belongs in a folder",
        )
    ])  # fmt: skip


def _book_rows(path: Path) -> Callable[[], Iterator[Row]]:
    """Return what goes through the first sheet of a workbook."""
    from nesting.base.tables.workbook import read_workbook

    data = content_of(path, str(path), _TABLE_ACCEPTED)
    check_size(path.name, data, "a longer table as CSV; as XLSX one")
    tables = read_workbook(path.name, data, most_rows=_MOST_BOOK_ROWS, first=True)
    return lambda: iter(tables[0].rows if tables else ())


def _text_rows(path: Path) -> Callable[[], Iterator[Row]]:
    """Return what goes through a CSV file row by row, of which only one is held at a time."""
    try:
        with path.open("rb") as file:
            begin = file.read(65_536)
        encoding = _BOMS.get(begin[:2]) or _encoding(path)
    except OSError as error:
        raise refuse(str(path), error.strerror or "a file that cannot be read", _TABLE_ACCEPTED) from error
    first = begin.decode(encoding, "replace").lstrip().partition("\n")[0]
    said = first.strip("\r\n")[4:] if first[:4].lower() == "sep=" else ""
    delimiter = said if said in _DELIMITERS else max(_DELIMITERS, key=lambda mark: len(_split(first, mark)))

    def rows() -> Iterator[Row]:
        number = 0
        with path.open(encoding=encoding, newline="") as file:
            try:
                for number, cells in enumerate(csv.reader(file, delimiter=delimiter, strict=True), start=1):
                    if said in _DELIMITERS and number == 1:
                        continue
                    width = max((place for place, cell in enumerate(cells, start=1) if not is_blank(cell)), default=0)
                    if width > MOST_COLUMNS:
                        raise refuse(path.name, f"{width} columns in row {number}", f"{MOST_COLUMNS} at the most")
                    if width:
                        yield Row(number, tuple(cells[:width]))
            except (csv.Error, UnicodeError) as error:
                accepted = 'quotes in pairs, with inches doubled inside them ("30 1/2"")'
                raise refuse(path.name, f"row {number + 1} that cannot be split ({error})", accepted) from None

    return rows


def _split(line: str, delimiter: str) -> list[str]:
    """Split a line."""
    return next(csv.reader([line], delimiter=delimiter), [])


def _encoding(path: Path) -> str:
    """Return how a text is written: in UTF-8, else in Windows-1252."""
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            while file.read(1 << 20):
                pass
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8-sig"
