"""Scenes as PDF: one page a scene, vectors and real text with the typeface embedded.

The same scenes give the same bytes: no clock is read. The document says its language and its title, has an outline and
links, and opens with the outline beside it. It is not tagged: the library (fpdf2 2.8) writes structure for pictures
alone, none for text that is placed; texts stand in the file in the order in which they are read.
"""

from collections.abc import Iterable
from datetime import UTC, date, datetime

from fpdf import FPDF, ViewerPreferences
from fpdf.enums import PageMode, RenderStyle
from fpdf.fonts import TTFFont

from nesting.base.progress import Progress, silent
from nesting.drawings.scene import POINT, Arrow, Circle, Frame, Item, Line, Pen, Point, Polygon, Scene, Text, head
from nesting.drawings.svg import HEAD
from nesting.drawings.typeface import typeface_path

_FAMILY = "drawings"
_REPORT_EVERY = 8
_LANGUAGE = "en-GB"
_UNDATED = datetime(2000, 1, 1, tzinfo=UTC)
"""Day of making of a document of which no day is known: it would be no help to read the clock."""


class _Book:
    """A PDF being written: the library's document, and the pen and font that it has in hand."""

    def __init__(self, title: str, on: date | None) -> None:
        self.pdf = FPDF(unit="pt")
        self.pdf.set_auto_page_break(auto=False)
        self.pdf.set_title(title)
        self.pdf.set_lang(_LANGUAGE)
        self.pdf.viewer_preferences = ViewerPreferences(display_doc_title=True)
        self.pdf.page_mode = PageMode.USE_OUTLINES
        made = datetime(on.year, on.month, on.day, tzinfo=UTC) if on else None
        # The library would take the clock's time where none is given.
        self.pdf.set_creation_date(made or _UNDATED)
        self.pdf.add_font(_FAMILY, "", typeface_path())
        self.pdf.add_font(_FAMILY, "B", typeface_path(bold=True))
        self.pdf.set_font(_FAMILY, "", 8)
        self.pen: Pen | None = None
        self.fill: float | None = None
        self.height = 0.0

    def close(self) -> None:
        """Close the font files, which the library leaves open until it is thrown away."""
        for font in self.pdf.fonts.values():
            if isinstance(font, TTFFont):
                font.ttfont.close()

    def page(self, scene: Scene) -> None:
        """Add a scene as a page of its own size."""
        width, self.height = (each / POINT for each in scene.paper)
        self.pdf.add_page(format=(width, self.height))
        self.pen = self.fill = None
        for mark in scene.bookmarks:
            self.pdf.start_section(mark.title, level=mark.level)
        for item, frame in scene.on_paper():
            self.draw(item, frame)
        for link in scene.links:
            target = self.pdf.add_link(page=link.page)
            left, top = link.area.left / POINT, self.height - link.area.top / POINT
            self.pdf.link(left, top, link.area.width / POINT, link.area.height / POINT, target)

    def draw(self, item: Item, frame: Frame) -> None:
        """Draw one item."""

        def at(point: Point) -> Point:
            x, y = frame.place(point)
            return x, self.height - y

        if isinstance(item, Line):
            self.take(item.pen)
            self.pdf.line(*at(item.start), *at(item.end))
        elif isinstance(item, Polygon):
            self.outline([at(point) for point in item.points], item.pen, item.fill)
        elif isinstance(item, Circle):
            style = self.style(item.pen, item.fill)
            if style is not None:
                self.pdf.circle(*at(item.centre), item.radius, style)
        elif isinstance(item, Arrow):
            start, end = at(item.start), at(item.end)
            self.take(item.pen)
            self.pdf.line(*start, *end)
            for one, other in ((start, end), (end, start)) if item.both else ((start, end),):
                corners = head(one, other, HEAD)
                if corners is not None:
                    self.outline(list(corners), None, item.pen.grey)
        else:
            self.write(item, at(item.at))

    def style(self, pen: Pen | None, fill: float | None) -> RenderStyle | None:
        """Take pen and fill in hand, and return how the library names their use."""
        if pen is not None:
            self.take(pen)
        if fill is not None and fill != self.fill:
            self.pdf.set_fill_color(round(255 * fill))
            self.fill = fill
        if pen is None:
            return None if fill is None else RenderStyle.F
        return RenderStyle.D if fill is None else RenderStyle.DF

    def outline(self, points: list[Point], pen: Pen | None, fill: float | None) -> None:
        """Draw a polygon."""
        style = self.style(pen, fill)
        if style is not None:
            self.pdf.polygon(points, style=style)

    def take(self, pen: Pen) -> None:
        """Take a pen in hand, writing only what changed."""
        if pen == self.pen:
            return
        before = self.pen
        if before is None or before.width != pen.width:
            self.pdf.set_line_width(pen.width)
        if before is None or before.grey != pen.grey:
            self.pdf.set_draw_color(round(255 * pen.grey))
        if before is None or before.dashes != pen.dashes:
            dash, gap = (pen.dashes[0], pen.dashes[-1]) if pen.dashes else (0.0, 0.0)
            self.pdf.set_dash_pattern(dash, gap)
        self.pen = pen

    def write(self, item: Text, at: Point) -> None:
        """Write a text. Its fill is its own; shapes set theirs again."""
        self.pdf.set_font(_FAMILY, "B" if item.bold else "", item.size)
        if self.fill is not None or item.grey:
            self.pdf.set_fill_color(round(255 * item.grey))
            self.fill = item.grey
        self.pdf.set_text_color(round(255 * item.grey))
        x, y = at
        before = {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * item.width
        if item.turned:
            with self.pdf.rotation(90, x, y):
                self.pdf.text(x - before, y, item.text)
        else:
            self.pdf.text(x - before, y, item.text)


def to_pdf(
    pages: Iterable[Scene], *, title: str, on: date | None = None, count: int = 0, progress: Progress = silent
) -> bytes:
    """Return scenes as a PDF, a page each.

    Parameters
    ----------
    pages : iterable of Scene
        In order; each gives its page its size.
    title : str
        Of the document.
    on : date, optional
        Day of making that the document bears.
    count : int
        How many pages there are, for the progress; 0 where it is not known.
    progress : Progress
        Told every few pages.
    """
    book = _Book(title, on)
    try:
        for number, scene in enumerate(pages, start=1):
            book.page(scene)
            if number % _REPORT_EVERY == 0:
                progress("writing pages", min(1.0, number / count) if count else 0.0, f"page {number}")
        data = bytes(book.pdf.output())
    finally:
        book.close()
    progress("writing pages", 1.0)
    return data
