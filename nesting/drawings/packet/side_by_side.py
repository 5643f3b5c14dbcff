"""Tables in several columns of a page, of equal height where they end, so that the page goes on below them."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from nesting.drawings.packet.cell import row_height
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.typeface import LEAST, printable, wrapped

_WORTH: Final = 120.0
"""Height under which a table that goes on over the page does not begin on this one, in points."""
_STEP: Final = 4.0
_MOST: Final = 24
"""Lines of a band at the most, as of a cell."""


@dataclass(frozen=True, slots=True)
class Band:
    """A row of a table that runs over all its columns and stays with the row after it: a heavy line, a plain one."""

    text: str
    more: str = ""


Row = Sequence[str] | Band


def column_table(flow: Flow, number: int, columns: Sequence[Column], rows: Sequence[Row]) -> None:
    """Write a table in that many columns of the page; its head comes again in each, and the flow goes on below."""
    flow.in_columns(number)
    table = _Table(flow, columns)
    units = table.units(rows)
    while units:
        shares = table.shares(units, number)
        end = shares[-1][1]
        if shares[0][1] == 0 or (end < len(units) and flow.room < _WORTH):
            flow.new_page()
            continue
        table.write([units[start:stop] for start, stop in shares])
        units = units[end:]
        if units:
            flow.new_page()
    flow.in_columns(1)
    flow.space(8)


@dataclass(frozen=True, slots=True)
class _Unit:
    """Rows that stay together: bands with the row after them."""

    rows: tuple[Row, ...]
    height: float


@dataclass
class _Table:
    """A table being written in columns."""

    flow: Flow
    columns: Sequence[Column]
    head: float = field(init=False)

    def __post_init__(self) -> None:
        bold = [replace(column, bold=True) for column in self.columns]
        self.head = row_height(self.flow.cells(bold, [each.title for each in self.columns], LEAST), LEAST)

    def units(self, rows: Sequence[Row]) -> list[_Unit]:
        """Return the rows, those together that stay together."""
        units, held = [], []
        for row in rows:
            held.append(row)
            if not isinstance(row, Band):
                units.append(_Unit(tuple(held), sum(map(self.height, held))))
                held = []
        return units

    def height(self, row: Row) -> float:
        """Return how high a row is, in points."""
        if isinstance(row, Band):
            return len(self.lines(row)) * LEAST * 1.22 + 4.0
        return row_height(self.flow.cells(self.columns, row, LEAST), LEAST) - 1.2

    def lines(self, band: Band) -> list[tuple[str, bool]]:
        """Return the lines of a band with their weight."""
        heavy = wrapped(printable(band.text), LEAST, self.flow.width - 4, bold=True)
        plain = wrapped(printable(band.more), LEAST, self.flow.width - 4) if band.more else []
        return [*((line, True) for line in heavy), *((line, False) for line in plain)][:_MOST]

    def shares(self, units: Sequence[_Unit], number: int) -> list[tuple[int, int]]:
        """Divide units in order among the columns: as low as all find room, else down to the foot of the page."""
        depth = min(self.flow.room, sum(unit.height for unit in units) / number + self.head)
        found = _divided(units, number, depth - self.head)
        while found[-1][1] < len(units) and depth < self.flow.room:
            depth = min(self.flow.room, depth + _STEP)
            found = _divided(units, number, depth - self.head)
        return found

    def write(self, shares: Sequence[Sequence[_Unit]]) -> None:
        """Write a share of the rows into each column; the flow stands at the lowest of them then."""
        flow = self.flow
        top = lowest = flow.y
        for index, units in enumerate(shares):
            if index:
                flow.regions.pop(0)
                flow.y = top
            if not units:
                continue
            flow.table_head(self.columns, LEAST)
            for unit in units:
                for row in unit.rows:
                    self.row(row)
            lowest = min(lowest, flow.y)
        flow.y = lowest

    def row(self, row: Row) -> None:
        """Write one row."""
        flow, height = self.flow, self.height(row)
        if not isinstance(row, Band):
            flow.table_row(self.columns, flow.cells(self.columns, row, LEAST), LEAST, height)
            return
        y = flow.y - 2.0
        for line, bold in self.lines(row):
            y -= LEAST * 1.22
            flow.put(flow.left + 2.5, y + LEAST * 0.26, line, size=LEAST, bold=bold)
        flow.y -= height
        flow.rule(flow.left, flow.left + flow.width, flow.y)


def _divided(units: Sequence[_Unit], number: int, depth: float) -> list[tuple[int, int]]:
    """Divide units in order among columns of a depth; each column is told by its first and its end."""
    shares, start = [], 0
    for _ in range(number):
        end, used = start, 0.0
        while end < len(units) and used + units[end].height <= depth:
            used += units[end].height
            end += 1
        shares.append((start, end))
        start = end
    return shares
