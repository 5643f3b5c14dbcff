"""Tables in several columns of a page, of equal height where they end, so that the page goes on below them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from nesting.drawings.packet.cell import row_height
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.typeface import LEAST, printable, wrapped

_WORTH: Final = 80.0
"""Height under which a table that goes on over the page does not begin on this one, in points."""
_STEP: Final = 4.0
_BOX: Final = 10.5
"""What a box to tick takes of a band's width."""
_MOST: Final = 24
"""Lines of a band at the most, as of a cell."""


@dataclass(frozen=True, slots=True)
class Band:
    """A row of a table that runs over all its columns and stays with the row after it: a heavy line, a plain one.

    Attributes
    ----------
    text, more : str
        What is heavy, and what is plain below it.
    tick : bool
        Whether a box to tick stands before it.
    """

    text: str
    more: str = ""
    tick: bool = False


Row = Sequence[str] | Band


@dataclass(frozen=True, slots=True)
class Block:
    """A drawing that stands in a column or over the whole width, with what is told of it.

    Attributes
    ----------
    height : float
        With the room below it, in points.
    write : callable
        Writes it at the left edge of the flow's region, from the flow's height down, and leaves that height alone.
    """

    height: float
    write: Callable[[Flow], None]


# 5 arguments: where, in how many columns, and what stands in them
def column_table(
    flow: Flow, number: int, columns: Sequence[Column], rows: Sequence[Row], drawings: Sequence[Block] = ()
) -> None:
    """Write a table in that many columns of the page; its head comes again in each, and the flow goes on below.

    Drawings of a column's width stand first. Where one does not fit in a column, rows fill it.
    """
    writer = ColumnWriter(flow, number, columns, rows, drawings)
    while writer.waits:
        if not writer.page():
            flow.new_page()
    flow.space(8)


class ColumnWriter:
    """A table in columns, with drawings, written page by page.

    Parameters
    ----------
    flow : Flow
        In one column, before and after each call.
    """

    # 5 arguments: as of `column_table`
    def __init__(
        self, flow: Flow, number: int, columns: Sequence[Column], rows: Sequence[Row], drawings: Sequence[Block]
    ) -> None:
        self.flow = flow
        self.number = number
        flow.in_columns(number)
        self.table = _Table(flow, columns)
        self.units = self.table.units(rows)
        flow.in_columns(1)
        self.drawings = [_Unit((), each.height, each) for each in drawings]

    @property
    def waits(self) -> bool:
        """Whether anything is still to be written."""
        return bool(self.units or self.drawings)

    def page(self) -> bool:
        """Write what fits on the page, all columns of equal height where it is all; return whether it was all."""
        flow = self.flow
        flow.in_columns(self.number)
        every = self.table.shares(self.drawings, self.units, self.number)
        written = sum(map(len, every))
        some = written < len(self.drawings) + len(self.units)
        if not every[0] or (some and flow.room < _WORTH):
            flow.in_columns(1)
            return False
        self.table.write(every)
        drawn = sum(unit.block is not None for share in every for unit in share)
        self.drawings = self.drawings[drawn:]
        self.units = self.units[written - drawn :]
        flow.in_columns(1)
        return not some


@dataclass(frozen=True, slots=True)
class _Unit:
    """Rows that stay together, bands with the row after them; or a drawing."""

    rows: tuple[Row, ...]
    height: float
    block: Block | None = None


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
        room = self.flow.width - 4 - (_BOX if band.tick else 0)
        heavy = wrapped(printable(band.text), LEAST, room, bold=True)
        plain = wrapped(printable(band.more), LEAST, room) if band.more else []
        return [*((line, True) for line in heavy), *((line, False) for line in plain)][:_MOST]

    def shares(self, drawings: Sequence[_Unit], units: Sequence[_Unit], number: int) -> list[list[_Unit]]:
        """Divide drawings and rows, each in order, among the columns: as low as all fit, else down to the foot."""
        every = sum(unit.height for unit in (*drawings, *units))
        depth = min(self.flow.room, every / number + self.head)
        found = self.divided(drawings, units, number, depth)
        while sum(map(len, found)) < len(drawings) + len(units) and depth < self.flow.room:
            depth = min(self.flow.room, depth + _STEP)
            found = self.divided(drawings, units, number, depth)
        return found

    def divided(
        self, drawings: Sequence[_Unit], units: Sequence[_Unit], number: int, depth: float
    ) -> list[list[_Unit]]:
        """Divide drawings and rows among columns of a depth: drawings while one fits, then rows."""
        shares: list[list[_Unit]] = []
        drawn = wrote = 0
        for _ in range(number):
            share: list[_Unit] = []
            used = 0.0
            while drawn < len(drawings) and used + drawings[drawn].height <= depth:
                share.append(drawings[drawn])
                used += drawings[drawn].height
                drawn += 1
            used += self.head
            while wrote < len(units) and used + units[wrote].height <= depth:
                share.append(units[wrote])
                used += units[wrote].height
                wrote += 1
            shares.append(share)
        return shares

    def write(self, shares: Sequence[Sequence[_Unit]]) -> None:
        """Write a share of the rows into each column; the flow stands at the lowest of them then."""
        flow = self.flow
        top = lowest = flow.y
        for index, units in enumerate(shares):
            if index:
                flow.regions.pop(0)
                flow.y = top
            headed = False
            for unit in units:
                if unit.block is not None:
                    unit.block.write(flow)
                    flow.y -= unit.height
                    continue
                if not headed:
                    flow.head_row(self.columns, LEAST)  # its room was counted when the rows were shared out
                    headed = True
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
        x = flow.left + 2.5
        if row.tick:
            flow.box(x, y - LEAST * 1.06, 7.5, 7.5)
            x += _BOX
        for line, bold in self.lines(row):
            y -= LEAST * 1.22
            flow.put(x, y + LEAST * 0.26, line, size=LEAST, bold=bold)
        flow.y -= height
        flow.rule(flow.left, flow.left + flow.width, flow.y)
