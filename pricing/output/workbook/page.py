"""Page: one worksheet, filled from top to bottom, with heights that fit its text and a set-up for paper.

Everything that comes from an order or a price book is written as text, never as a formula: a cell is a formula only
where this program wrote a :class:`Formula`.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any, Final

from xlsxwriter.utility import xl_col_to_name

from pricing.output.workbook.names import Names
from pricing.output.workbook.style import POINT_PX, SIZE, Styles, text_lines

ROW: Final = 12.0
"""Height of a row of one line, in points."""
TICK: Final = "☐"
_LINE: Final = 1.25
_HIGHEST: Final = 400.0
_KEPT_FREE: Final = 20.0
_REPEATED: Final = 30.0
_LONGEST: Final = 32_000
_SORTED: Final = 2
_INDENTED: Final = ("text", "wrap", "quiet", "quiet wrap", "alarm", "strong", "head", "day")
_UNPRINTABLE: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_EPOCH: Final = date(1899, 12, 30)


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula of ours and the value that it has at the quote's own figures.

    Attributes
    ----------
    text : str
        The formula, without its equals sign.
    value : Decimal, Fraction, int, float, str or date
        Stored beside it, for viewers that do not calculate.
    """

    text: str
    value: Decimal | Fraction | float | str | date


Value = str | int | float | Decimal | Fraction | date | Formula | None


def clean(text: str) -> str:
    """Return text without what a spreadsheet file cannot hold, and no longer than a cell takes."""
    return text if text.isprintable() and len(text) <= _LONGEST else _UNPRINTABLE.sub("\ufffd", text)[:_LONGEST]


def header_text(text: str) -> str:
    """Return text for a page's foot, where an ampersand would begin a code."""
    return clean(text).replace("&", "&&")[:120]


@dataclass(frozen=True, slots=True)
class Paper:
    """How a page is printed.

    Attributes
    ----------
    landscape : bool
        Whether the paper lies across.
    fit : bool
        Whether printing shrinks it to the paper's width; without, it must be narrow enough.
    scale : float
        Of what is printed, where it is not fitted to the paper's width.
    printed : int
        Columns that are printed, from the left; all where 0.
    breaks : bool
        Whether this program breaks it where a sheet of paper is full; without, who prints it does, and what runs a
        little over its last sheet is shrunk to it.
    line : float
        Height of a row of one line, in points.
    """

    landscape: bool = False
    fit: bool = True
    scale: float = 1.0
    printed: int = 0
    breaks: bool = True
    line: float = ROW


class Page:
    """A worksheet being filled.

    Parameters
    ----------
    sheet : xlsxwriter.worksheet.Worksheet
        The worksheet.
    styles, names : Styles, Names
        Of its workbook.
    widths : sequence of int
        Of its columns, in pixels; a sheet in portrait takes 680 in all at full size.
    paper : Paper
        How it is printed.
    """

    def __init__(
        self, sheet: Any, styles: Styles, names: Names, widths: Sequence[int], paper: Paper | None = None
    ) -> None:
        paper = paper or Paper()
        self.sheet = sheet
        self.styles = styles
        self.names = names
        self.widths = tuple(widths)
        self.printed = paper.printed or len(self.widths)
        self.row = 0
        self.line = self.needed = paper.line
        self.breaks: list[int] = []
        self._filled = 0.0
        self._heights: dict[int, float] = {}
        self._room = self._high(paper)
        self._repeat = False
        self._heads: tuple[tuple[str, ...], Sequence[int], int] | None = None
        self._last_used = 0
        self._list: int | None = None
        self._head = True
        sheet.hide_gridlines(2)
        for column, width in enumerate(widths):
            sheet.set_column_pixels(column, column, width, styles.get("text"))
        sheet.set_paper(9 if styles.units == "metric" else 1)
        if paper.landscape:
            sheet.set_landscape()
        sheet.set_margins(left=0.45, right=0.45, top=0.45, bottom=0.55)
        sheet.center_horizontally()
        self._fit, self._breaking, self._shrunk = paper.fit, paper.breaks, not paper.breaks
        if paper.fit:
            sheet.fit_to_pages(1, 0)
        else:
            sheet.set_print_scale(round(100 * paper.scale))

    def _high(self, paper: Paper) -> float:
        """Return the height of a sheet of paper, in points of this page as it is scaled to the paper's width."""
        width, height = (595.0, 842.0) if self.styles.units == "metric" else (612.0, 792.0)
        if paper.landscape:
            width, height = height, width
        scale = min(paper.scale, (width - 65) * POINT_PX / sum(self.widths[: self.printed]))
        return (height - 76) / scale

    def _papers(self, rows: int) -> int:
        """Return how many sheets of paper the first rows are printed on, where who prints them breaks them."""
        taken = sum(height for row, height in self._heights.items() if row < rows) / self._room
        whole = max(1, int(taken))
        return whole if taken <= whole * (1 + (_OVER - 1) / whole) else whole + 1

    @property
    def columns(self) -> int:
        """How many columns it has."""
        return len(self.widths)

    def put(
        self, column: int, value: Value, base: str = "text", *, name: str = "", span: int = 1, **changes: Any
    ) -> str:
        """Write a value into the current row and return the cell's address within the sheet.

        Parameters
        ----------
        column : int
            From 0.
        value : Value
            A str is always text.
        base : str
            Style; ``changes`` refine it.
        name : str
            Readable name that the cell gets.
        span : int
            Columns that the cell takes.
        """
        if self._repeat:
            self._repeat = False
            if self._heads is not None:
                texts, right, start = self._heads
                self.heads(*texts, right=right, start=start)
        if isinstance(value, str):
            value = self.styles.writing.told(value)
        if column and base in _INDENTED and "align" not in changes:
            changes |= {"indent": 1, "align": "left"}  # keeps a text apart from the figures that end where it begins
        style = self.styles.get(base, **changes)
        if span > 1:
            self.sheet.merge_range(self.row, column, self.row, column + span - 1, "", style)
        text = self._write(column, value, style)
        if text is not None:
            room = sum(self.widths[column : column + span]) - 9 * changes.get("indent", 0)
            self._heighten(text, room, style)
        if name:
            self.names.define(name, self.absolute(column))
        self._last_used = max(self._last_used, self.row)
        return self.cell(column)

    def across(self, column: int, cells: Iterable[tuple[str | None, float]], base: str, **changes: Any) -> None:
        """Write many figures beside each other in one style, each with the text of its formula or without one."""
        self.sheet.write_across(self.row, column, cells, self.styles.get(base, **changes))
        self._last_used = max(self._last_used, self.row)

    def _write(self, column: int, value: Value, style: Any) -> str | None:
        """Write a value; return what is read there, where that is a text."""
        sheet, row = self.sheet, self.row
        if isinstance(value, str):
            if value:
                sheet.put_text(row, column, clean(value), style)
            else:
                sheet.put_blank(row, column, style)
            return value
        if value is None:
            sheet.put_blank(row, column, style)
        elif not isinstance(value, Formula):
            sheet.put_number(row, column, plain(value), style)
        elif isinstance(value.value, str):
            sheet.put_formula(row, column, value.text, style, clean(self.styles.writing.told(value.value)))
            return value.value
        else:
            sheet.put_formula(row, column, value.text, style, plain(value.value))
        return None

    def _heighten(self, text: str, width: int, style: Any) -> None:
        """Make the row high enough for a text."""
        size = style.font_size
        if not style.text_wrap and size <= SIZE:
            return
        lines = text_lines(clean(text), width, size, bold=bool(style.bold)) if style.text_wrap else 1
        self.needed = max(self.needed, lines * size * _LINE + 3.0 if lines > 1 or size > SIZE else self.line)

    def length(self, column: int, value: int, **changes: Any) -> str:
        """Write a length as a number in the job's unit, or in one of its own."""
        number, style = self.styles.length(value, **changes)
        self.sheet.put_number(self.row, column, number, style)
        self._last_used = max(self._last_used, self.row)
        return self.cell(column)

    def tick(self, column: int) -> None:
        """Write an empty box to tick on paper."""
        self.put(column, TICK, "box")

    def next(self, height: float | None = None) -> None:
        """Finish the row at the height that its text needs, and go to the next, on new paper where this one is full."""
        needed = min(height if height is not None else self.needed, _HIGHEST)
        self.sheet.set_row_pixels(self.row, round(needed * POINT_PX))
        self._filled += needed
        self._heights[self.row] = needed
        self.row += 1
        self.needed = self.line
        if self._breaking and self._list is None and self._filled > self._room - _KEPT_FREE:
            self.new_paper()
            self._repeat = True

    def new_paper(self) -> None:
        """Begin a new sheet of paper with the current row; headings of a table that goes on are repeated by then."""
        if self._breaking:
            self.breaks.append(self.row)
            self._filled = _REPEATED

    def leave(self, rows: int, height: float) -> None:
        """Leave rows to be filled later, of that height together."""
        self.row += rows
        self._filled += height

    def back_to(self, row: int) -> None:
        """Go back to rows that were left; they are on the first paper, where no break comes any more."""
        self.row, self._breaking = row, False

    def keep(self, height: float) -> None:
        """Begin new paper unless this one has room for what must stay together."""
        if self._breaking and self._filled + height > self._room - _KEPT_FREE and self._filled > _REPEATED:
            self.new_paper()
            self._repeat = self._heads is not None

    def skip(self, height: float = 8.0) -> None:
        """Leave a gap, which ends a table."""
        self._heads = None
        self.next(height)

    def title(self, text: str, lead: str) -> None:
        """Write the page's title and what it is for."""
        self.put(0, text, "title")
        self.next(28)
        self.paragraph(lead, "lead")
        self.skip(6)

    def section(self, text: str) -> None:
        """Write a heading, with room for what begins below it."""
        self._heads = None
        self.keep(90)
        self.put(0, text, "section")
        self.next(21)

    def paragraph(self, text: str | Formula, base: str = "wrap", *, start: int = 0, **changes: Any) -> None:
        """Write a text across the page, as far as it is printed."""
        self.put(start, text, base, span=self.printed - start, **changes)
        self.next()

    def heads(self, *texts: str, right: Sequence[int] = (), start: int = 0) -> None:
        """Write the headings of a table; ``right`` lists the columns that are set flush right."""
        for offset, text in enumerate(texts):
            column = start + offset
            # A heading over columns that have none may run on over them.
            wide: dict[str, Any] = {"text_wrap": False} if text and texts[offset + 1 : offset + 2] == ("",) else {}
            self.put(column, text, "head right" if column in right else "head", **wide)
        self._heads = None
        self.next()
        self._heads = (texts, right, start)

    def list_heads(self, *texts: str, right: Sequence[int] = (), head: bool = True) -> None:
        """Write the headings of a list that is sorted and filtered: one row for each thing, and nothing between them.

        The rows before it and the headings stay in sight, the headings stand on every sheet of paper, and a list is
        broken where a sheet is full. A list that follows other things, no `head` of its page, is only filtered.
        """
        self.heads(*texts, right=right)
        self._heads, self._list, self._head = None, self.row - 1, head

    def end_list(self) -> None:
        """End the list; what follows, such as its sums, stays where it is when the list is sorted or filtered.

        A list of one row, or of none, has nothing to be sorted.
        """
        top, self._list = self._list, None
        if top is None:
            return
        if self.row - top > _SORTED:
            self.sheet.autofilter(top, 0, self.row - 1, self.columns - 1)
        if self._head:
            self.sheet.freeze_panes(top + 1, 0)
            self.sheet.repeat_rows(top)
        self._filled %= self._room

    def end_table(self) -> None:
        """Stop repeating the headings of a table on new paper."""
        self._heads = None

    def cell(self, column: int, row: int | None = None) -> str:
        """Return the address of a cell within the sheet, such as ``C5``."""
        return f"{_column(column)}{(self.row if row is None else row) + 1}"

    def absolute(self, column: int, row: int | None = None) -> str:
        """Return the address of a cell for other sheets and for names, such as ``'Cut list'!$C$5``."""
        return f"'{self.sheet.get_name()}'!${_column(column)}${(self.row if row is None else row) + 1}"

    def finish(
        self,
        *,
        repeat: tuple[int, int] | None = None,
        freeze: tuple[int, int] | None = None,
        foot: str,
        last: int | None = None,
    ) -> None:
        """Set what is printed: the area, down to a last row, rows that repeat on every sheet of paper, and the foot."""
        self.sheet.set_h_pagebreaks([row for row in self.breaks if row <= self._last_used])
        self.sheet.print_area(0, 0, max(self._last_used if last is None else last - 1, 0), self.printed - 1)
        if self._fit and self._shrunk:
            self.sheet.fit_to_pages(1, self._papers(self._last_used + 1 if last is None else last))
        if repeat is not None:
            self.sheet.repeat_rows(*repeat)
        if freeze is not None:
            self.sheet.freeze_panes(*freeze)
        self.sheet.set_footer(f"&L&8{header_text(self.styles.writing.told(foot))}&C&8&A&R&8page &P of &N")


_OVER: Final = 1.42
"""How much more than its sheets of paper hold a page may have and still be shrunk to them."""


@cache
def _column(column: int) -> str:
    """Return what a column is called; there are 16,384 at the most."""
    return str(xl_col_to_name(column))


def plain(value: float | Decimal | Fraction | date) -> float:
    """Return a value as the number that a spreadsheet stores."""
    if isinstance(value, date):
        return (value - _EPOCH).days
    return float(value)
