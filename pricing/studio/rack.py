"""Rack and shelf: what the studio has already, so that it need not be bought.

The rack holds offcuts of sheets and lumber, each with a size, a book value and a place. The shelf holds what is open or
in store by quantity: screws in use units, paper and film as the length left on a roll.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from nesting.base.faults import Faults
from nesting.base.measure import MM, MeasureError, UnitSystem, format_length, format_length_exact, parse_length
from nesting.shop.goods import Good
from nesting.shop.shop import Shop
from pricing.money import CENT, DEAREST, cents, parse_amount
from pricing.studio.table_file import (
    Table,
    TableRow,
    csv_text,
    missing_columns,
    read_table,
    stop_at_all,
    table_from,
)

COLUMNS: Final = ("name", "good", "length", "width", "count", "value", "place")
MOST: Final = 1_000_000
MOST_OFFCUTS: Final = 300
"""Most different offcuts of one good that a plan is searched over; equal ones share a row by their count."""
LONGEST: Final = 20_000 * MM
"""Longest and widest offcut, 20 m: beyond it a slip of the unit is certain."""


@dataclass(frozen=True, slots=True)
class RackOffcut:
    """A kept piece of a sheet or a stick.

    Attributes
    ----------
    name : str
        Unique, such as ``"R-014"``.
    good : str
        The sheet or stick good.
    length, width : int
        Exact grid; the length runs with the grain; a stick has no width (0).
    value : Decimal
        Book value of one.
    count : int
        How many equal ones.
    place : str
        Where it lies.
    """

    name: str
    good: str
    length: int
    width: int = 0
    value: Decimal = Decimal("0.00")
    count: int = 1
    place: str = ""

    def __post_init__(self) -> None:
        if not self.name or not self.good:
            raise ValueError("an offcut needs a name and a good")
        if self.length <= 0 or self.width < 0 or not 1 <= self.count <= MOST:
            raise ValueError(f"offcut {self.name}: needs a size and a count")
        if not (self.value.is_finite() and 0 <= self.value <= DEAREST):
            raise ValueError(f"offcut {self.name}: value must be from 0 to {DEAREST}, not {self.value}")
        cents(self.value)


@dataclass(frozen=True, slots=True)
class OnShelf:
    """A quantity in store.

    Attributes
    ----------
    name : str
        Unique; for a thing by number usually the good's name.
    good : str
        A roll good or a good bought each.
    quantity : int
        Use units (pieces, grams, millimetres); of a roll, the length left on it (exact grid).
    width : int
        Of a roll: its width; 0 elsewhere.
    place : str
        Where it is.
    """

    name: str
    good: str
    quantity: int
    width: int = 0
    place: str = ""

    def __post_init__(self) -> None:
        if not self.name or not self.good:
            raise ValueError("a thing on the shelf needs a name and a good")
        if self.quantity <= 0 or self.width < 0:
            raise ValueError(f"{self.name}: needs a quantity of more than zero")


@dataclass(frozen=True, slots=True)
class Rack:
    """Everything in store; empty unless told.

    Attributes
    ----------
    offcuts : tuple of RackOffcut
        Sheets and sticks.
    shelf : tuple of OnShelf
        Rolls and things by number.
    currency : str or None
        Of the book values; None where there are none.
    """

    offcuts: tuple[RackOffcut, ...] = ()
    shelf: tuple[OnShelf, ...] = ()
    currency: str | None = None

    def __post_init__(self) -> None:
        names = [each.name for each in self.offcuts] + [each.name for each in self.shelf]
        if len(set(names)) < len(names):
            raise ValueError("each thing in store has a name of its own")

    def offcut(self, name: str) -> RackOffcut:
        """Return the offcut of that name."""
        for each in self.offcuts:
            if each.name == name:
                return each
        raise KeyError(f"no offcut {name!r} on the rack")

    def on_shelf(self, good: str) -> int:
        """Return how many use units of a good (bought each) are in store."""
        return sum(each.quantity for each in self.shelf if each.good == good)

    def rolls(self, good: str, width: int) -> tuple[OnShelf, ...]:
        """Return the open rolls of a good and width, longest first."""
        found = [each for each in self.shelf if each.good == good and each.width == width]
        return tuple(sorted(found, key=lambda each: (-each.quantity, each.name)))


def read_rack(path: Path, shop: Shop, currency: str) -> Rack:
    """Read ``rack.csv``: one row for each thing in store, its kind told by its good.

    Columns: ``name``, ``good``, ``length`` (offcuts, sticks, open rolls), ``width`` (sheets; of a roll where the shop
    has several), ``count`` (offcuts: how many; things by number: the quantity), ``value`` (of one offcut), ``place``.
    Lengths without a unit are as the shop goes: in inches or in millimetres.

    Raises
    ------
    FaultsFound
        Every fault, each with its row and column.
    """
    return rack_of(read_table(path), shop, currency)


def rack_from(content: bytes, file: str, shop: Shop, currency: str) -> Rack:
    """Make a rack of a table file's content; see :func:`read_rack`."""
    return rack_of(table_from(content, file), shop, currency)


def rack_csv(rack: Rack, units: UnitSystem = "inch") -> str:
    """Write a rack as CSV; :func:`read_rack` reads the same back."""

    def told(value: int) -> str:
        return format_length_exact(value, units, mark=True) if value else ""

    rows: list[list[Any]] = [
        [e.name, e.good, told(e.length), told(e.width), e.count, e.value, e.place] for e in rack.offcuts
    ]
    rows += [
        [
            e.name,
            e.good,
            told(e.quantity) if e.width else "",
            told(e.width),
            "" if e.width else e.quantity,
            "",
            e.place,
        ]
        for e in rack.shelf
    ]
    return csv_text(COLUMNS, rows, ("What is in store. Lengths with their unit; a thing by number has only a count.",))


def rack_of(table: Table, shop: Shop, currency: str) -> Rack:
    """Make a rack of a table, or raise every fault in it; see :func:`read_rack`."""
    faults = Faults(table.file)
    faults.found.extend(missing_columns(table, ("name", "good"), COLUMNS))
    for unknown in table.headings:
        if unknown not in COLUMNS:
            faults.add(None, unknown, "a column that is not known", f"the columns {', '.join(COLUMNS)}", typed=False)
    offcuts: list[RackOffcut] = []
    shelf: list[OnShelf] = []
    stocks = {size.stock for good in shop.goods for size in good.sizes}
    seen: dict[str, int] = {}
    for each in table.rows:
        name, good = each.get("name"), shop.by_name.get(each.get("good"))
        if not name:
            faults.add(each.row, "name", "", "a name of its own")
        elif name in stocks:
            faults.add(each.row, "name", name, "a name that is not that of a bought size")
        elif name in seen:
            faults.add(each.row, "name", name, f"a name of its own; row {seen[name]} has it too")
        seen.setdefault(name, each.row)
        if good is None:
            faults.add(each.row, "good", each.get("good"), f"one of {', '.join(shop.by_name)}")
            continue
        before = len(faults.found)
        made = (_offcut if good.form in ("sheet", "stick") else _shelved)(each, good, faults, shop.units)
        if len(faults.found) > before or not name:
            continue
        if isinstance(made, RackOffcut):
            offcuts.append(made)
        else:
            shelf.append(made)
    _refuse_many(offcuts, faults)
    stop_at_all(faults, table, ("name", "good"))
    return Rack(tuple(offcuts), tuple(shelf), currency)


def _refuse_many(offcuts: Sequence[RackOffcut], faults: Faults) -> None:
    """Note the goods of which there are too many different offcuts."""
    for good_name, count in Counter(each.good for each in offcuts).items():
        if count > MOST_OFFCUTS:
            accepted = f"{MOST_OFFCUTS} at the most; equal ones share a row by their count, and small ones may go"
            faults.add(None, "good", f"{count} rows of {good_name}", accepted)


def _offcut(each: TableRow, good: Good, faults: Faults, units: UnitSystem) -> RackOffcut:
    """Read an offcut of a sheet or a stick."""
    length = _read_length(each, "length", faults, units, most=LONGEST)
    width = _read_length(each, "width", faults, units, most=LONGEST) if good.form == "sheet" else 0
    count = _read_count(each, faults) if each.get("count") else 1
    value = _read_value(each, faults)
    name = each.get("name") or "?"
    return RackOffcut(name, good.good, length, width, value, count, each.get("place"))


def _read_value(each: TableRow, faults: Faults) -> Decimal:
    """Read a book value; nothing is 0.00."""
    text = each.get("value") or "0"
    try:
        value = parse_amount(text)
    except ValueError:
        value = Decimal("0.001")
    if not 0 <= value <= DEAREST or value % CENT:
        faults.add(each.row, "value", text, f"an amount such as 12.50, {DEAREST} at the most")
        return Decimal("0.00")
    return value.quantize(CENT)


def _shelved(each: TableRow, good: Good, faults: Faults, units: UnitSystem) -> OnShelf:
    """Read an open roll or a quantity of things."""
    name = each.get("name") or "?"
    if good.form != "roll":
        return OnShelf(name, good.good, _read_count(each, faults), 0, each.get("place"))
    widths = {size.width for size in good.sizes}
    if each.get("width"):
        width = _read_length(each, "width", faults, units)
    elif len(widths) == 1:
        width = widths.pop()
    else:
        faults.add(each.row, "width", "", "the roll's width, since the shop has several")
        width = 1
    return OnShelf(name, good.good, _read_length(each, "length", faults, units), width, each.get("place"))


def _read_length(each: TableRow, column: str, faults: Faults, units: UnitSystem, *, most: int = 0) -> int:
    """Read a length of more than zero, up to ``most`` where that is not zero."""
    text = each.get(column)
    try:
        value = parse_length(text, units) if text else 0
    except MeasureError as error:
        faults.add_measure(each.row, column, error)
        return 1
    if value <= 0:
        faults.add(each.row, column, text, "a length such as 30 1/2 in, 775 mm")
        return 1
    if most and value > most:
        faults.add(each.row, column, text, f"{format_length(most, 'metric', mark=True)} at the most")
        return 1
    return value


def _read_count(each: TableRow, faults: Faults) -> int:
    """Read a whole number of 1 or more."""
    text = each.get("count")
    if not (text.isascii() and text.isdigit() and len(text) <= 20 and 1 <= int(text) <= MOST):
        faults.add(each.row, "count", text, f"a whole number from 1 to {MOST}")
        return 1
    return int(text)
