"""One row of an order to one artwork: every cell is read, every fault noted, before anything is put together."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final, cast

from nesting.base.days import hangs_on_country
from nesting.base.faults import Faults
from nesting.base.measure import LENGTHS_ACCEPTED, MeasureError, UnitSystem, format_length_exact, format_weight, shorten
from nesting.base.tables.cells import Cell, is_blank, text_of
from nesting.base.tables.table import Row
from nesting.intake.cells import CellError, Scale, read_dimensions, read_text
from nesting.intake.columns import BY_NAME, Column
from nesting.intake.headings import DIMENSIONS, DIMENSIONS_ACCEPTED, Heading
from nesting.intake.hedges import without_hedge
from nesting.intake.money import Money
from nesting.order import GREATEST_SIDE, Artwork, Back
from nesting.shop.backs import BackWords, keys_of, write_back
from nesting.shop.stated import KEPT_TERMS, kept_name

_SIDES: Final = ("width", "height", "depth")
_SURE: Final = frozenset({*_SIDES, "quantity"})
"""Columns in which "n/a" or "-" does not mean that there is nothing to say."""
_BARS: Final[tuple[str, ...]] = ("bar_width", "bar_depth")
_WITH_BARS: Final = "strainer or cradle"


@dataclass(slots=True)
class Line:
    """A row that was read: our values by column name, and the currency marks seen.

    The checks between rows may write a name in ``values`` as another row has it.

    Attributes
    ----------
    row : int
        As in :class:`~nesting.base.tables.table.Row`.
    values : dict
        Only what stands there and could be read.
    extra : tuple of (str, str)
        Columns that are not understood.
    marks : dict of str to str
        Currency mark by column.
    faulty : bool
        Whether anything in it could not be read.
    assumed : tuple of (str, str, str)
        Cells that were read in spite of a doubt: column, text, and what is assumed.
    by_country : tuple of (str, date)
        Days that mean what they do by the studio's country only, as written and as read.
    """

    row: int
    values: dict[str, Any] = field(default_factory=dict)
    extra: tuple[tuple[str, str], ...] = ()
    marks: dict[str, str] = field(default_factory=dict)
    faulty: bool = False
    assumed: tuple[tuple[str, str, str], ...] = ()
    by_country: tuple[tuple[str, date], ...] = ()


def read_line(row: Row, headings: Sequence[Heading], order: Scale, faults: Faults) -> Line:
    """Read every cell of a row; what can't be read is noted in ``faults``. ``order`` has no unit of a column."""
    before = len(faults.found)
    line = Line(row.number)
    extra: dict[str, str] = {}
    for place, cell in enumerate(row.cells):
        heading = headings[place] if place < len(headings) else Heading(place, "")
        if heading.skipped:
            continue
        if heading.name is None:
            if not is_blank(cell):
                _keep(row, heading, text_of(cell), extra, faults)
            continue
        try:
            _take(line, heading, cell, replace(order, unit=heading.unit))
        except (CellError, MeasureError) as error:
            faults.add(row.number, heading.name, text_of(cell), error.accepted)
    line.extra = tuple(extra.items())
    _check_required(row, headings, line.values, faults, before)
    _check_together(row, line.values, faults)
    line.faulty = len(faults.found) > before
    return line


def _take(line: Line, heading: Heading, cell: Cell, scale: Scale) -> None:
    """Read a cell of a column that is understood into a line; raises as the readers of cells do."""
    if heading.name == DIMENSIONS:
        sides = read_dimensions(cell, _dimensions_accepted(heading), scale, heading.order)
        line.values |= _limited_sides(sides or {}, scale)
        return
    if heading.also:
        line.values |= _named_by_title(cell, heading.also)
        return
    column = BY_NAME[heading.name or ""]
    doubted = without_hedge(cell) if isinstance(cell, str) else None
    value = column.read(_undoubted(cell, doubted, column), column.accepted, scale)
    if doubted is not None and column.blank:
        line.assumed += ((column.name, text_of(cell), _meant(value, column, scale)),)
    if isinstance(value, Money):
        line.marks[column.name] = value.mark or heading.unit or ""
        value = value.amount
    if isinstance(value, date) and isinstance(cell, str) and hangs_on_country(doubted or cell):
        line.by_country += ((text_of(cell), value),)
    if value is not None:
        line.values[column.name] = value


def _undoubted(cell: Cell, doubted: str | None, column: Column) -> Cell:
    """Return a cell without its doubt where the column bears one; in sizes and counts any doubt is refused."""
    if doubted is None:
        return cell
    if column.blank:
        return doubted
    if column.name in _SURE:
        raise CellError(text_of(cell), f"{column.accepted}, for certain: a size or a count is not assumed")
    return cell


def _meant(value: object, column: Column, scale: Scale) -> str:
    """Say what is assumed of a cell in doubt."""
    if value is None:
        return column.blank
    if isinstance(value, Money):
        return f"{value.amount:,}"
    if isinstance(value, datetime):
        return value.isoformat(" ", "minutes")
    units = {"kg": "metric", "g": "metric", "lb": "inch", "oz": "inch"}.get(scale.unit or "", scale.units)
    return format_weight(value, cast("UnitSystem", units), mark=True) if isinstance(value, Decimal) else str(value)


def _named_by_title(cell: Cell, title: str) -> dict[str, str]:
    """Return title and name of a piece that goes by its title."""
    text = read_text(cell, BY_NAME[title].accepted)
    return {title: text, "piece": shorten(text, 60)} if text else {}


def number_alike(names: Sequence[str]) -> list[str]:
    """Return names of pieces that go by their titles, those that stand twice numbered: ``Untitled (2)``."""
    taken = {name.casefold() for name in names}
    seen: dict[str, int] = {}
    made = []
    for name in names:
        key = name.casefold()
        seen[key] = seen.get(key, 0) + 1
        if not name or seen[key] == 1:
            made.append(name)
            continue
        while (other := f"{name[:52]} ({seen[key]})").casefold() in taken:
            seen[key] += 1
        taken.add(other.casefold())
        made.append(other)
    return made


def _keep(row: Row, heading: Heading, text: str, extra: dict[str, str], faults: Faults) -> None:
    """Keep a cell of a column that is not understood; a cell beyond the heading is a fault."""
    if not heading.text:
        faults.add(row.number, None, text, f"nothing in cell {heading.place + 1}, which has no heading above it")
        return
    if kept_name(heading.text) == "terms" and " ".join(text.lower().split()) not in KEPT_TERMS:
        faults.add(row.number, "terms", text, "consigned or sold")
    name = heading.text if heading.text not in extra else f"{heading.text} ({heading.place + 1})"
    extra[name] = shorten(text, 2000)


def _dimensions_accepted(heading: Heading) -> str:
    """Say what a combined cell takes."""
    if not heading.order:
        return DIMENSIONS_ACCEPTED
    return f"{' x '.join(heading.order)}, such as {' x '.join(['30 1/2', '40', '1 1/2'][: len(heading.order)])}"


def _limited_sides(sides: dict[str, int], scale: Scale) -> dict[str, int]:
    """Pass sides from a combined cell through the limits of their own columns."""
    for side, value in sides.items():
        text = format_length_exact(value, scale.units, mark=True)
        try:
            BY_NAME[side].read(text, LENGTHS_ACCEPTED, Scale(scale.units))
        except CellError as error:
            raise CellError(text, f"for the {side} {error.accepted}") from None
    return sides


def _check_required(row: Row, headings: Sequence[Heading], values: dict[str, Any], faults: Faults, before: int) -> None:
    """Note required columns that stand in the table but are blank in this row."""
    told = {fault.column for fault in faults.found[before:]}
    for heading in headings:
        for name in heading.order if heading.name == DIMENSIONS else (heading.name,):
            if name is None or not BY_NAME[name].required or name in values or name in told or heading.name in told:
                continue
            faults.add(row.number, heading.name, "", BY_NAME[name].accepted)


def _check_together(row: Row, values: dict[str, Any], faults: Faults) -> None:
    """Note cells that contradict one another."""
    _check_back(row, values, faults)
    depth = values.get("depth")
    pour = values.get("pour_depth")
    if pour is not None and depth is not None and pour > depth:
        accepted = "a depth of resin no more than the depth of the piece, which includes it"
        faults.add(row.number, "pour_depth", format_length_exact(pour), accepted)


def _check_back(row: Row, values: dict[str, Any], faults: Faults) -> None:
    """Note a back that lacks its bars, has bars that are none of its own, or does not fit the piece."""
    words: BackWords | None = values.get("back")
    bars = {name: values[name] for name in _BARS if name in values}
    if words is None or "face" not in keys_of(words.kind):
        if bars:
            accepted = f"{_WITH_BARS}, since widths or depths of bars are given"
            faults.add(row.number, "back", words.kind if words else "", accepted)
    elif lacking := [name for name in _BARS if name not in words.sizes and name not in bars]:
        told = {fault.column for fault in faults.found if fault.row == row.number}
        if not told.intersection(lacking):
            faults.add(row.number, "back", words.kind, BY_NAME["back"].accepted)
        return
    if words is None:
        return
    back = words.back(bars if "face" in keys_of(words.kind) else None)
    # A side that could not be read has its own fault: no back is too large for it.
    accepted = back.misfit(*(values.get(side, GREATEST_SIDE) for side in _SIDES))
    if accepted:
        column = next((name for name in reversed(_BARS) if name in bars and name not in words.sizes), "back")
        found = write_back(back) if column == "back" else format_length_exact(bars[column])
        faults.add(row.number, column, found, accepted)


def artwork_of(line: Line) -> Artwork:
    """Put an artwork together from a line without faults."""
    values = dict(line.values)
    # The whole order's, see nesting.intake.cross_checks.
    values.pop("cushion", None)
    back: BackWords | None = values.pop("back", None)
    bars = {name: values.pop(name) for name in _BARS if name in values}
    for ours, theirs in (("weight", "weight_kg"), ("set", "set_name")):
        if ours in values:
            values[theirs] = values.pop(ours)
    return Artwork(**values, back=back.back(bars) if back else Back(), extra=line.extra, row=line.row)
