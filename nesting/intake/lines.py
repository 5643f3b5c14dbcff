"""One row of an order to one artwork: every cell is read, every fault noted, before anything is put together."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from nesting.base.faults import Faults
from nesting.base.measure import LENGTHS_ACCEPTED, MeasureError, UnitSystem, format_length_exact, shorten
from nesting.base.tables.cells import is_blank, text_of
from nesting.base.tables.table import Row
from nesting.intake.cells import CellError, Scale, read_dimensions
from nesting.intake.columns import BY_NAME
from nesting.intake.headings import DIMENSIONS, DIMENSIONS_ACCEPTED, Heading
from nesting.intake.money import Money
from nesting.order import GREATEST_SIDE, Artwork, Back
from nesting.shop.backs import BackWords, keys_of, write_back
from nesting.shop.stated import KEPT_TERMS, kept_name

_SIDES: Final = ("width", "height", "depth")
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
    """

    row: int
    values: dict[str, Any] = field(default_factory=dict)
    extra: tuple[tuple[str, str], ...] = ()
    marks: dict[str, str] = field(default_factory=dict)
    faulty: bool = False


def read_line(row: Row, headings: Sequence[Heading], units: UnitSystem, faults: Faults) -> Line:
    """Read every cell of a row; what can't be read is noted in ``faults``."""
    before = len(faults.found)
    values: dict[str, Any] = {}
    extra: dict[str, str] = {}
    marks: dict[str, str] = {}
    for place, cell in enumerate(row.cells):
        heading = headings[place] if place < len(headings) else Heading(place, "")
        if heading.skipped:
            continue
        if heading.name is None:
            if not is_blank(cell):
                _keep(row, heading, text_of(cell), extra, faults)
            continue
        accepted = DIMENSIONS_ACCEPTED if heading.name == DIMENSIONS else BY_NAME[heading.name].accepted
        scale = Scale(units, heading.unit)
        try:
            if heading.name == DIMENSIONS:
                sides = read_dimensions(cell, _dimensions_accepted(heading), scale, heading.order)
                values |= _limited_sides(sides or {}, scale)
                continue
            value = BY_NAME[heading.name].read(cell, accepted, scale)
        except (CellError, MeasureError) as error:
            faults.add(row.number, heading.name, text_of(cell), error.accepted)
            continue
        if isinstance(value, Money):
            marks[heading.name] = value.mark or heading.unit or ""
            value = value.amount
        if value is not None:
            values[heading.name] = value
    _check_required(row, headings, values, faults, before)
    _check_together(row, values, faults)
    return Line(row.number, values, tuple(extra.items()), marks, len(faults.found) > before)


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
