"""Pages being filled: a flow of headings, paragraphs, tables and drawings from top to bottom.

Everything on a page is placed here in points from the page's lower left corner, and becomes a scene of scale 1. A flow
fills regions (one column of a page, or several) one after the other and begins a new page when the last one is full.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from nesting.drawings.packet.cell import Cell, row_height
from nesting.drawings.packet.paper import Paper
from nesting.drawings.scene import (
    BLACK,
    BOLD,
    FAINT,
    HIDDEN,
    PLAIN,
    POINT,
    THIN,
    WHITE,
    Anchor,
    Bookmark,
    Bounds,
    Inset,
    Item,
    Line,
    Link,
    Polygon,
    Scene,
    Text,
    rectangle,
)
from nesting.drawings.typeface import LEAST, printable, shortened, text_width, wrapped

LEADING = 1.3
"""Distance of lines as a part of the letter size."""
SPARSE = 1 / 3
"""A page filled less than this gives way where it can."""
_SPARE = 0.03
_TITLE = 15.0
_WARNING = 9.0
"""Letter size of what stands below the title of every page of a flow."""
_APART = 12.0
"""Free height between two parts on one page, in points."""
_CUT = 10.0
"""Free height below a line to cut along, in points."""
FOOT = 8.0
"""Height of the foot's letters' line above the margin's edge, in points."""


@dataclass(slots=True)
class Draft:
    """A page that is still being filled; ``begins`` names the sections that begin on it beside the page's own."""

    paper: Paper
    section: str
    items: list[Item] = field(default_factory=list)
    insets: list[Inset] = field(default_factory=list)
    numbered: bool = True
    bookmarks: list[Bookmark] = field(default_factory=list)
    links: list[tuple[Bounds, int]] = field(default_factory=list)
    begins: list[str] = field(default_factory=list)

    @property
    def filled(self) -> float:
        """How far down between its margins the page is filled, as a part; what stands in its foot is no filling."""
        low: float = self.paper.height
        for item in self.items:
            if isinstance(item, Text | Line):
                low = min(low, item.at[1] if isinstance(item, Text) else min(item.start[1], item.end[1]))
            elif isinstance(item, Polygon):
                low = min(low, *(y for _, y in item.points))
        for inset in self.insets:
            low = min(low, round(inset.at[1]))
        return (self.paper.height - self.paper.margin - low) / (self.paper.height - 2 * self.paper.margin)

    def scene(self, number: int, count: int, order: str) -> Scene:
        """Return the finished page with its foot: order, section, page of pages."""
        items = list(self.items)
        if self.numbered:
            left, right = self.paper.margin / POINT, (self.paper.width - self.paper.margin) / POINT
            y = self.paper.margin / POINT
            pages = f"page {number} of {count}"
            room = right - left - text_width(pages, LEAST) - 12
            foot = shortened(printable(f"{order}  ·  {self.section}"), LEAST, room)
            items.append(Line((left * POINT, (y + 11) * POINT), (right * POINT, (y + 11) * POINT), FAINT))
            items.append(Text((left * POINT, (y + 2.2) * POINT), foot, LEAST, grey=0.3))
            items.append(Text((right * POINT, (y + 2.2) * POINT), pages, LEAST, "end", grey=0.3))
        return Scene(
            self.paper.width,
            self.paper.height,
            tuple(items),
            title=self.section,
            insets=tuple(self.insets),
            bookmarks=tuple(self.bookmarks),
            links=tuple(Link(area, page) for area, page in self.links),
        )


@dataclass(frozen=True, slots=True)
class Region:
    """Where a flow writes: left edge, width, top and bottom, in points."""

    left: float
    width: float
    top: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, its share of the width, where its text stands, and its weight."""

    title: str
    share: float
    anchor: Anchor = "start"
    bold: bool = False


class Flow:
    """Pages of one section, filled from top to bottom.

    Parameters
    ----------
    paper : Paper
        Of every page.
    section : str
        Named in the foot.
    title, subtitle : str
        Head of the first page; the title comes again, smaller, on the pages that follow.
    warning : str
        Stands below the title of every page.
    size : float
        Letter size of the title on the first page.
    lower : float
        Points that stay free at the foot of every page, so that the last one gets more (:func:`evenly`).
    """

    # 7 arguments: a page's head is told in them, and how low it may be filled
    def __init__(
        self,
        paper: Paper,
        section: str,
        title: str,
        subtitle: str = "",
        *,
        warning: str = "",
        lower: float = 0.0,
        size: float = _TITLE,
    ) -> None:
        self.paper = paper
        self.section = section
        self.title = title
        self.warning = warning
        self.lower = lower
        self.size = size
        self.pages: list[Draft] = []
        self.columns = 1
        self.gutter = 18.0
        self.regions: list[Region] = []
        self.y = 0.0
        self.new_page(first=True)
        if subtitle:
            self.paragraph(subtitle, size=9.5)
            self.space(3)

    # 6 arguments: what stands in the part's head, what writes it, and where it may begin
    def part(
        self,
        title: str,
        block: Callable[["Flow"], None],
        *,
        section: str = "",
        warning: str = "",
        size: float = _TITLE,
        least: float = math.inf,
    ) -> Draft:
        """Write a part with a title of its own: below what stands here where it fits whole, else on a new page.

        Parameters
        ----------
        title, warning : str
            As of the flow itself.
        size : float
            Letter size of the title.
        block : callable
            Writes the part into a flow; called twice, as it is measured first.
        section : str
            For the foot of pages that begin with this part; the flow's own when not given. A page that it shares with
            what stands above bears both.
        least : float
            Height that is left from which it begins here even where it goes on over the page, in points.

        Returns
        -------
        Draft
            The page on which the part begins.
        """
        self.section = section or self.section
        trial = Flow(self.paper, self.section, title, warning=warning, size=size)
        block(trial)
        used = (trial.paper.height - trial.paper.margin) / POINT - trial.low
        self.in_one_column()
        self.title, self.warning, self.size = title, warning, size
        if (len(trial.pages) == 1 and used + _APART <= self.room) or self.room >= least:
            self.y -= _APART
            self._head(self.y, first=True)
        else:
            self.new_page(first=True)
        begun = self.page
        block(self)
        return begun

    @property
    def low(self) -> float:
        """The lowest point written or drawn on the page, in points."""
        paper = self.page.paper
        return (paper.height - paper.margin - self.page.filled * (paper.height - 2 * paper.margin)) / POINT

    # Where things go.

    @property
    def whole(self) -> float:
        """Height of a page that goes on, under its head."""
        trial = Flow(self.paper, self.section, self.title, warning=self.warning, lower=self.lower)
        trial.new_page()
        return trial.room

    @property
    def page(self) -> Draft:
        """The page being filled."""
        return self.pages[-1]

    @property
    def region(self) -> Region:
        """The region being filled."""
        return self.regions[0]

    @property
    def left(self) -> float:
        """Left edge of the region."""
        return self.region.left

    @property
    def width(self) -> float:
        """Width of the region."""
        return self.region.width

    @property
    def room(self) -> float:
        """Height that is left in the region."""
        return self.y - self.region.bottom

    def new_page(self, *, first: bool = False) -> None:
        """Go on on a new page, under the title in small letters, or in large ones where something begins."""
        self.pages.append(Draft(self.paper, self.section))
        self._head((self.paper.height - self.paper.margin) / POINT, first=first)

    def _head(self, top: float, *, first: bool) -> None:
        margin = self.paper.margin / POINT
        size = self.size if first else 10.0
        title = self.title if first else f"{self.title}, continued"
        lines = wrapped(printable(title), size, self.paper.width / POINT - 2 * margin, bold=True)
        for line in lines:
            top -= size * LEADING
            if line:
                self.put(margin, top + size * 0.35, line, size=size, bold=True)
        for line in wrapped(printable(self.warning), _WARNING, self.paper.width / POINT - 2 * margin, bold=True):
            if line:
                top -= _WARNING * LEADING
                self.put(margin, top + _WARNING * 0.35, line, size=_WARNING, bold=True)
        top -= 2 if self.warning else 0
        self.rule(margin, self.paper.width / POINT - margin, top, bold=first)
        self._regions(top - 8)

    def _regions(self, top: float) -> None:
        margin = self.paper.margin / POINT
        whole = self.paper.width / POINT - 2 * margin
        width = (whole - self.gutter * (self.columns - 1)) / self.columns
        bottom = margin + FOOT + 10 + self.lower
        self.regions = [
            Region(margin + index * (width + self.gutter), width, top, bottom) for index in range(self.columns)
        ]
        self.y = top

    def in_columns(self, number: int) -> None:
        """Write in that many columns from here down, on the pages that follow too."""
        top = min(self.y, self.region.top)
        self.columns = number
        self._regions(top)

    def in_one_column(self) -> None:
        """Write over the whole width from here down: below the columns, of which all but the last are full."""
        if self.columns > 1:
            self.y = self.region.bottom if len(self.regions) < self.columns else self.y
            self.in_columns(1)

    def advance(self) -> None:
        """Go on in the next region: another column, or a new page."""
        if len(self.regions) > 1:
            self.regions.pop(0)
            self.y = self.region.top
        else:
            self.new_page()

    def need(self, height: float) -> None:
        """Go on in the next region unless that much height is left here."""
        if self.room < height and self.y < self.region.top - 0.01:
            self.advance()

    def space(self, height: float) -> None:
        """Leave some height free, at the end of a region as much as there is."""
        self.y -= min(height, max(0.0, self.room))

    # Things.

    # 5 arguments: what stands in the half's head, and what writes it
    def half(self, title: str, block: Callable[["Flow"], None], *, section: str, warning: str = "") -> None:
        """Write a part on the lower half of the page, under a line along which the paper is cut apart."""
        middle = self.paper.height / 2 / POINT
        left, right = self.paper.margin, self.paper.width - self.paper.margin
        self.page.items.append(Line((left, middle * POINT), (right, middle * POINT), HIDDEN))
        self.section, self.title, self.warning = section, title, warning
        self._head(middle - _CUT, first=True)
        block(self)

    # arguments: a text with its place and looks, by keyword from there on
    def put(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = 9.0,
        bold: bool = False,
        anchor: Anchor = "start",
        grey: float = BLACK,
    ) -> None:
        """Write one line of text anywhere on the page, in letters of the least size at least; an empty one is none."""
        shown = printable(text)
        if shown:
            self.page.items.append(Text((x * POINT, y * POINT), shown, max(size, LEAST), anchor, bold, grey=grey))

    def rule(self, x1: float, x2: float, y: float, *, bold: bool = False) -> None:
        """Draw a level line."""
        self.page.items.append(Line((x1 * POINT, y * POINT), (x2 * POINT, y * POINT), BOLD if bold else THIN))

    def upright(self, x: float, bottom: float, top: float) -> None:
        """Draw an upright line."""
        self.page.items.append(Line((x * POINT, bottom * POINT), (x * POINT, top * POINT), THIN))

    def box(self, x: float, y: float, width: float, height: float, *, fill: float | None = None) -> None:
        """Draw a rectangle from its lower left corner."""
        self.page.items.append(rectangle(x * POINT, y * POINT, width * POINT, height * POINT, pen=PLAIN, fill=fill))

    def heading(self, text: str, *, keep: float = 40.0) -> None:
        """Write a heading that stays with what follows, ``keep`` points of it."""
        lines = wrapped(printable(text), 11.0, self.width, bold=True)
        self.need(len(lines) * 11 * LEADING + 6 + keep)
        self.space(6)
        self._lines(lines, 11.0, bold=True)
        self.space(3)

    def paragraph(
        self,
        text: str,
        *,
        size: float = 9.0,
        bold: bool = False,
        indent: float = 0.0,
        mark: str = "",
        after: float = 4.0,
    ) -> None:
        """Write a paragraph, with a mark (a number, a box) standing before its first line where there is one."""
        size = max(size, LEAST)
        lines = wrapped(printable(text), size, self.width - indent, bold=bold)
        self.need(min(len(lines), 3) * size * LEADING)
        if mark:
            if self.room < size * LEADING:
                self.advance()
            self.put(self.left, self.y - size * 0.98, mark, size=size, bold=True)
        self._lines(lines, size, bold=bold, indent=indent)
        self.space(after)

    def _lines(self, lines: Iterable[str], size: float, *, bold: bool = False, indent: float = 0.0) -> None:
        for line in lines:
            if self.room < size * LEADING:
                self.advance()
            self.y -= size * LEADING
            self.put(self.left + indent, self.y + size * (LEADING - 0.98), line, size=size, bold=bold)

    def caution(self, text: str, *, indent: float = 0.0) -> None:
        """Write a caution with a warning triangle: in a frame, or plain and indented where it belongs to a step."""
        framed = indent == 0
        size, pad = 8.5, 6.0 if framed else 2.0
        left = self.left + indent
        lines = wrapped(printable(text), size, self.width - indent - 34 - pad)
        height = max(22.0 if framed else 17.0, len(lines) * size * LEADING + 2 * pad)
        self.need(height + 4)
        top = self.y - (2 if framed else 0)
        if framed:
            self.box(left, top - height, self.width, height)
        self._triangle(left + (17 if framed else 9), top - height / 2, 1.0 if framed else 0.74)
        middle = top - (height - len(lines) * size * LEADING) / 2
        for index, line in enumerate(lines, start=1):
            at = middle - index * size * LEADING + size * 0.32
            self.put(left + (34 if framed else 23), at, line, size=size)
        self.y = top - height
        self.space(6)

    def _triangle(self, x: float, y: float, size: float) -> None:
        corners = ((x - 9 * size, y - 7 * size), (x + 9 * size, y - 7 * size), (x, y + 8.5 * size))
        self.page.items.append(Polygon(tuple((a * POINT, b * POINT) for a, b in corners), PLAIN, WHITE))
        self.put(x, y - 5 * size, "!", size=11 * size, bold=True, anchor="middle")

    def tick(self, text: str, *, size: float = 9.0) -> None:
        """Write a line to be ticked, an empty box before it."""
        lines = wrapped(printable(text), size, self.width - 18)
        self.need(len(lines) * size * LEADING + 4)
        self.box(self.left + 1, self.y - size * 1.05, 9, 9)
        self._lines(lines, size, indent=18)
        self.space(4)

    def blank(self, label: str, *, lines: int = 1, width: float | None = None) -> None:
        """Write a label and lines to write on by hand."""
        size = 8.5
        room = width or self.width
        self.need(lines * 20.0)
        self.y -= 18
        label_width = min(text_width(printable(label), size), room * 0.6)
        self.put(self.left, self.y + 3, shortened(printable(label), size, label_width), size=size)
        self.rule(self.left + label_width + 6, self.left + room, self.y)
        for _ in range(lines - 1):
            self.y -= 20
            self.rule(self.left, self.left + room, self.y)
        self.space(4)

    def blanks(self, labels: Sequence[str]) -> None:
        """Write several labels with a line each, side by side."""
        size, gap = 8.5, 14.0
        each = (self.width - gap * (len(labels) - 1)) / len(labels)
        self.need(23)
        self.y -= 18
        for index, label in enumerate(labels):
            x = self.left + index * (each + gap)
            shown = shortened(printable(label), size, each * 0.6)
            self.put(x, self.y + 3, shown, size=size)
            self.rule(x + text_width(shown, size) + 6, x + each, self.y)
        self.space(5)

    def drawing(self, scene: Scene, *, centred: bool = True, after: float = 8.0) -> None:
        """Set a drawing in, on the next page where it does not fit here."""
        width, height = (each / POINT for each in scene.paper)
        self.need(height)
        self.y -= height
        x = self.left + ((self.width - width) / 2 if centred else 0.0)
        self.page.insets.append(Inset(scene, (x * POINT, self.y * POINT)))
        self.space(after)

    def table(
        self, columns: Sequence[Column], rows: Iterable[Sequence[str]], *, size: float = 8.0, after: float = 8.0
    ) -> list[tuple[Draft, Bounds]]:
        """Write a table; its head comes again in every region, a row is never divided.

        Returns
        -------
        list of (Draft, Bounds)
            On which page each row stands, and where on it.
        """
        size = max(size, LEAST)
        placed = []
        self.table_head(columns, size)
        for row in rows:
            cells = self.cells(columns, row, size)
            height = row_height(cells, size)
            if self.room < height:
                self.advance()
                self.table_head(columns, size)
            self.table_row(columns, cells, size, height)
            left, low = self.left * POINT, self.y * POINT
            placed.append((self.page, Bounds(left, low, left + self.width * POINT, low + height * POINT)))
        self.space(after)
        return placed

    def _edges(self, columns: Sequence[Column]) -> list[float]:
        total = sum(column.share for column in columns)
        edges = [self.left]
        for column in columns:
            edges.append(edges[-1] + self.width * column.share / total)
        return edges

    def cells(self, columns: Sequence[Column], row: Sequence[str], size: float) -> list[Cell]:
        """Return a row of a table broken into lines."""
        return [
            Cell.fitted(printable(text), size, right - left - (8.5 if column.anchor == "end" else 5), bold=column.bold)
            for column, text, (left, right) in zip(columns, row, pairwise(self._edges(columns)), strict=True)
        ]

    def table_head(self, columns: Sequence[Column], size: float) -> None:
        """Write the head of a table, if it has one, where a few rows have room under it."""
        self.head_row(columns, size, size * 4)

    def head_row(self, columns: Sequence[Column], size: float, under: float | None = None) -> None:
        """Write the head of a table, if it has one: here, unless room is asked for under it."""
        titles = [column.title for column in columns]
        if not any(titles):
            return
        bold = [replace(column, bold=True) for column in columns]
        head = max(LEAST, size * 0.92)
        cells = self.cells(bold, titles, head)
        height = row_height(cells, size)
        if under is not None:
            self.need(height + under)
        self.table_row(bold, cells, head, height, heavy=True)

    def table_row(
        self, columns: Sequence[Column], cells: list[Cell], size: float, height: float, *, heavy: bool = False
    ) -> None:
        """Write one row of a table with the line under it."""
        edges = self._edges(columns)
        for column, cell, (left, right) in zip(columns, cells, pairwise(edges), strict=True):
            x = {"start": left + 2.5, "middle": (left + right) / 2, "end": right - 6}[column.anchor]
            y = self.y - 2
            for line in cell.lines:
                y -= size * 1.22
                self.put(x, y + size * 0.26, line, size=cell.size, bold=column.bold, anchor=column.anchor)
        self.y -= height
        pen = PLAIN if heavy else FAINT
        self.page.items.append(
            Line((self.left * POINT, self.y * POINT), ((self.left + self.width) * POINT, self.y * POINT), pen)
        )


def evenly(make: Callable[[float], Flow]) -> list[Draft]:
    """Return the pages of a flow, none of them nearly empty: where the last would be, all of them end higher.

    Parameters
    ----------
    make : callable
        Makes the flow, given the points that stay free at the foot of its pages.
    """
    flow = make(0.0)
    count = len(flow.pages)
    if count == 1 or flow.page.filled >= SPARSE + _SPARE:
        return flow.pages
    for lower in range(30, 420, 45):
        other = make(float(lower))
        if len(other.pages) > count:
            break
        if other.page.filled >= SPARSE + _SPARE:
            return other.pages
    return flow.pages
