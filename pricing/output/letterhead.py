"""A page with the studio's head on it: what offers and papers share, from the logo to the number below each page.

Text and pictures are set by a library of PDF, in our typeface; nothing else is in the file.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from typing import Final, Literal, Self, TypeAlias, TypeVar

from fpdf import FPDF, FontFace
from fpdf.enums import MethodReturnValue, TableBordersLayout, XPos, YPos
from fpdf.fonts import TTFFont
from fpdf.table import Row, Table

from nesting.base.writing import PLAIN, Writing
from nesting.drawings.packet.paper import PaperName
from nesting.drawings.typeface import printable, typeface_path

SIZE: Final = 9.0
SMALL: Final = 8.0
"""Heights of letters, in points."""
INK: Final = 40
QUIET: Final = 105
RULE: Final = 190
"""Greys of what is read first, of what explains it, and of lines."""
PICTURE: Final = 30.0
"""Width of a column with pictures."""
_FAMILY: Final = "letterhead"
_MARGIN: Final = 42.0
_LINE: Final = 11.5
_CLOSE: Final = 10.0
"""Height of a line far apart, and close together where that spares a page."""
_MOST_OF_A_FACT: Final = 8
"""Lines of a fact in one of two columns."""
_MOST_LINES: Final = 24
"""Lines of a cell of a table at the most."""
_DATED: Final = 128.0
"""Width of number and days beside parties."""
_TO_WRITE: Final = "__________"
_LOGO: Final = (150.0, 48.0)
_HEAD: Final = FontFace(emphasis="", color=QUIET, size_pt=SMALL)
Style = Literal["", "B"]
Side = Literal["LEFT", "RIGHT"]
Column: TypeAlias = tuple[str, float, Side]
"""Head, width and side of a column of a table."""
P = TypeVar("P", bound="Letterhead")


@dataclass(frozen=True, slots=True)
class Heading:
    """What a paper is, whose, and of what day: for its head, its foot and the file's own facts.

    Attributes
    ----------
    title : str
        What it is called.
    studio : tuple of str
        Whose it is: name, then address and how to reach it, line by line.
    number : str
        Of the quote it belongs to; empty where it has none.
    day : str
        On which it is made (ISO 8601).
    about : str
        Whom or what it is for, in the file's title.
    warning : str
        What must be read first; empty where nothing is wrong.
    writing : Writing
        How its figures and days are written.
    """

    title: str
    studio: tuple[str, ...]
    number: str
    day: str
    about: str = ""
    warning: str = ""
    writing: Writing = PLAIN


def tightest(begin: Callable[[bool], P], fill: Callable[[P], None]) -> bytes:
    """Return a paper with its lines far apart, or close together where that spares a page.

    Parameters
    ----------
    begin : callable
        Begins the paper; told whether its lines are close together.
    fill : callable
        Sets all of it.
    """
    found: list[tuple[bytes, int]] = []
    for close in (False, True):
        with begin(close) as made:
            fill(made)
            found.append((bytes(made.output()), made.page_no()))
        if found[0][1] == 1:
            break
    return min(found, key=lambda each: each[1])[0]


class Letterhead(FPDF):
    """A paper while it is set.

    Parameters
    ----------
    heading : Heading
        What it is.
    paper : {"letter", "a4"}
        What it is printed on.
    close : bool
        Whether its lines are close together.

    Attributes
    ----------
    aside, label : float
        Width of the labels before facts, in one column and in two, in points.
    """

    def __init__(self, heading: Heading, paper: PaperName = "letter", *, close: bool = False) -> None:
        super().__init__(unit="pt", format=paper)
        self.heading = heading
        self.c_margin = 0
        self._cut: set[str] = set()
        self.high = _CLOSE if close else _LINE
        self.gap = 4.0 if close else 7.0
        self.aside = 150.0
        self.label = 92.0
        self.set_margins(_MARGIN, _MARGIN)
        self.set_auto_page_break(auto=True, margin=_MARGIN + 8)
        about = " ".join(filter(None, (heading.number, heading.about)))
        self.set_title(heading.writing.told(f"{heading.title}, {about}".removesuffix(", ")))
        self.set_author(heading.studio[0] if heading.studio else "")
        self.set_lang("en-GB")
        # The library would take the clock's time; a paper has its own day.
        self.set_creation_date(datetime.fromisoformat(heading.day).replace(tzinfo=UTC))
        self.add_font(_FAMILY, "", typeface_path())
        self.add_font(_FAMILY, "B", typeface_path(bold=True))
        self.ink()
        self.add_page()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the font files, which the library leaves open until it is thrown away."""
        for font in self.fonts.values():
            if isinstance(font, TTFFont):
                font.ttfont.close()

    def normalize_text(self, text: str) -> str:
        """Return a text as the typeface can print it, line by line; the library asks for each."""
        plain = "\n".join(map(_legible, map(self._told, text.split("\n"))))
        made: str = super().normalize_text(plain)
        return made

    def _told(self, line: str) -> str:
        """Return a line with its figures and days as they are written here; one that was cut to be set has them so."""
        return line if line in self._cut else self.heading.writing.told(line)

    def ink(self, size: float = SIZE, style: Style = "", grey: int = INK) -> None:
        """Take letters in hand."""
        self.set_font(_FAMILY, style, size)
        self.set_text_color(grey)

    def footer(self) -> None:
        """Write who, which and what page below each page; the library asks for it."""
        self.set_y(-_MARGIN + 6)
        self.ink(SMALL, grey=QUIET)
        words = "  ·  ".join(filter(None, (*self.heading.studio[:1], self.heading.number)))
        self.cell(0, self.high, words, new_x=XPos.LEFT, new_y=YPos.TOP)
        page = f"page {self.page_no()} of "
        self.x = (
            self.w - self.r_margin - self.get_string_width(f"{page}0")
        )  # the library measures the mark, not the count
        self.cell(0, self.high, f"{page}{{nb}}")
        self.ink()

    def room(self, height: float) -> None:
        """Begin a new page unless that height is left on this one."""
        if self.will_page_break(height):
            self.add_page()

    def line_of(self, text: str, size: float = SIZE, style: Style = "", grey: int = INK) -> None:
        """Write a paragraph over the whole width."""
        self.ink(size, style, grey)
        self.multi_cell(0, size + 2.5, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ink()

    def points(self, texts: Sequence[str], size: float = SIZE, grey: int = INK) -> None:
        """Write sentences below one another, each with a point before it."""
        for text in texts:
            self.line_of(f"•  {text}", size, grey=grey)

    def section(self, title: str, room: float = 40.0) -> None:
        """Write the title of a part, together with what follows it."""
        self.room(room)
        self.ln(self.gap)
        self.ink(SIZE, "B")
        self.cell(0, self.high + 1, title, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.rule()
        self.ink()

    def rule(self) -> None:
        """Draw a thin line over the whole width."""
        self.set_draw_color(RULE)
        self.set_line_width(0.5)
        self.line(self.l_margin, self.y, self.w - self.r_margin, self.y)
        self.y += 2

    def head(self, logo: bytes | None = None) -> None:
        """Write whose paper it is, with the logo where there is one, and its title."""
        heading, top = self.heading, self.y
        if logo:
            self.image(BytesIO(logo), self.l_margin, top, *_LOGO, keep_aspect_ratio=True)
        for place, line in enumerate(heading.studio):
            self.ink(SMALL if place else 12, "" if place else "B", QUIET if place else INK)
            self.cell(0, 10.5 if place else 15, line, align="R", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.y = max(self.y, top + (_LOGO[1] if logo else 0)) + 8
        self.ink(15, "B")
        self.multi_cell(0, 20, heading.title, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        if heading.warning:
            self.line_of(heading.warning, 10, "B")
        self.rule()
        self.y += 3

    def addressed(self, to: Sequence[str], facts: Sequence[tuple[str, str]]) -> None:
        """Write whom it is for at the left, and facts with their labels at the right, those that are empty left out."""
        top, half = self.y, self.epw * 0.56
        self.lines(to, half)
        low, self.y = self.y, top
        for label, text in facts:
            if text:
                self.x = self.l_margin + half
                self.ink(SMALL, grey=QUIET)
                self.cell(64, self.high, label)
                self.ink()
                self.multi_cell(0, self.high, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.y = max(self.y, low)

    def lines(self, texts: Sequence[str], width: float) -> None:
        """Write lines below one another from where the pen stands, the first of them bold."""
        x = self.x
        for place, text in enumerate(texts):
            self.x = x
            self.ink(SIZE, "" if place else "B")
            self.multi_cell(width, self.high, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ink()

    def open_table(self, columns: Sequence[Column]) -> Table:
        """Begin a table with a line below each row; its heads are repeated on each page."""
        self.set_draw_color(RULE)
        self.set_line_width(0.4)
        table = Table(
            self,
            col_widths=tuple(width for _, width, _ in columns),
            text_align="LEFT",
            line_height=self.high,
            padding=(1.5, 0, 1.5, 0),
            borders_layout=TableBordersLayout.HORIZONTAL_LINES,
            headings_style=_HEAD,
            v_align="TOP",
        )
        row = table.row()
        for head, _, side in columns:
            row.cell(head, align=side)
        return table

    def clipped(self, text: str, width: float, most: int = _MOST_LINES) -> str:
        """Return a text cut to so many lines of a width: a row of a table that is higher than its page is refused."""
        lines = self.multi_cell(width, self.high, text, dry_run=True, output=MethodReturnValue.LINES)
        if not isinstance(lines, list) or len(lines) <= most:
            return text
        kept = (*lines[: most - 1], f"{lines[most - 1][:-1]}…")
        self._cut.update(kept)
        return "\n".join(kept)

    def grid(self, columns: Sequence[Column], rows: Iterable[Sequence[str]], *, bold: bool = False) -> None:
        """Write a table of text, each cell to its column's side; its first column bold where that is wanted."""
        table = self.open_table(columns)
        for cells in rows:
            row = table.row()
            for place, ((_, width, side), text) in enumerate(zip(columns, cells, strict=True)):
                row.cell(
                    self.clipped(text, width), align=side, style=FontFace(emphasis="B" if bold and not place else "")
                )
        table.render()

    def pair(self, label: str, text: str) -> None:
        """Write a fact with its label before it."""
        self.room(self.high * 2)
        top = self.y
        self.ink(SMALL, grey=QUIET)
        self.multi_cell(self.aside, self.high, label, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        low, self.y = self.y, top
        self.ink()
        self.x = self.l_margin + self.aside + 6
        self.multi_cell(0, self.high, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.y = max(self.y, low)

    def blank(self, label: str) -> None:
        """Leave a line to write a fact on, with its label before it."""
        self.room(self.high * 2)
        self.ink(SMALL, grey=QUIET)
        self.cell(self.aside, self.high + 3, label)
        self.set_draw_color(INK)
        self.set_line_width(0.4)
        self.line(self.l_margin + self.aside + 6, self.y + self.high, self.w - self.r_margin, self.y + self.high)
        self.set_xy(self.l_margin, self.y + self.high + 3)
        self.ink()

    def fact(self, label: str, text: str) -> None:
        """Write a fact, or leave a line to write it on where it is not known."""
        if text:
            self.pair(label, text)
        else:
            self.blank(label)

    def blocks(self, blocks: Sequence[tuple[str, Sequence[str]]], dated: tuple[str, str, str]) -> None:
        """Write parties beside one another, each below its role; at the right number, day and last day."""
        self.ln(4)
        given = zip(("Number", "Date", "Holds until"), (dated[0] or _TO_WRITE, *dated[1:]), strict=True)
        last = self.epw - _DATED
        width = last / max(2, len(blocks))
        top = low = self.y
        for place, (role, lines) in enumerate(blocks):
            self.set_xy(self.l_margin + place * width, top)
            self.ink(SMALL, grey=QUIET)
            self.cell(width, self.high, role, new_x=XPos.LEFT, new_y=YPos.NEXT)
            self.lines(lines, width - 10)
            low = max(low, self.y)
        self.y = top
        for label, text in given:
            if text:
                self.x = self.l_margin + last
                self.ink(SMALL, grey=QUIET)
                self.cell(56, self.high, label)
                self.ink()
                self.cell(0, self.high, text, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.set_xy(self.l_margin, max(low, self.y))
        self.ln(self.gap)

    def beside(self, facts: Sequence[tuple[str, str]]) -> None:
        """Write facts in two columns, each with its label or a line to write on."""
        half, width = (len(facts) + 1) // 2, self.epw / 2 - 8
        top = low = self.y
        for column, mine in enumerate((facts[:half], facts[half:])):
            self.y, x = top, self.l_margin + column * (width + 16)
            for label, text in mine:
                self.one_of_two(x, width, label, text)
            low = max(low, self.y)
        self.set_xy(self.l_margin, low)

    def one_of_two(self, x: float, width: float, label: str, text: str) -> None:
        """Write a fact where one of two columns stands."""
        top = self.y
        self.x = x
        self.ink(SMALL, grey=QUIET)
        self.multi_cell(self.label, self.high, label, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        low, self.y = self.y, top
        self.ink()
        if text:
            self.x = x + self.label + 6
            text = self.clipped(text, width - self.label - 6, _MOST_OF_A_FACT)
            self.multi_cell(width - self.label - 6, self.high, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        else:
            self.y += self.high + 3
            self.set_draw_color(INK)
            self.set_line_width(0.4)
            self.line(x + self.label + 6, self.y - 3, x + width, self.y - 3)
        self.y = max(self.y, low)

    def facts(self, facts: Sequence[tuple[str, str]]) -> None:
        """Write facts, each with its label or a line to write on."""
        for label, text in facts:
            self.fact(label, text)

    def signatures(self, text: str, parts: Sequence[tuple[str, float]]) -> None:
        """Leave lines to sign on; each part has its label and its width as a part of the whole, 0.02 between two."""
        self.room(58)
        self.ln(8)
        self.line_of(text)
        self.y += 16 + self.gap
        self.set_draw_color(INK)
        self.set_line_width(0.6)
        x = self.l_margin
        for label, part in parts:
            self.line(x, self.y, x + self.epw * part, self.y)
            self.set_xy(x, self.y + 1)
            self.ink(SMALL, grey=QUIET)
            self.cell(self.epw * part, 10, label)
            self.y -= 1
            x += self.epw * (part + 0.02)
        self.set_xy(self.l_margin, self.y + 12)
        self.ink()


def picture_cell(row: Row, picture: bytes | None) -> None:
    """Set a picture into a cell of a table, where there is one."""
    if picture is None:
        row.cell("")
    else:
        row.cell(img=BytesIO(picture), align="LEFT", padding=(2, 6, 2, 0))


def _legible(line: str) -> str:
    """Return a line with blanks kept as they are, and a mark for each letter that the typeface lacks."""
    return " ".join(printable(word) for word in line.replace("\t", " ").split(" "))
