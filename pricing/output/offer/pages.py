"""The offer on paper: one page where it fits, text and pictures set by a library of PDF, nothing else in the file."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from io import BytesIO
from typing import Final, Literal, TypeAlias

from fpdf import FPDF, FontFace
from fpdf.enums import TableBordersLayout, XPos, YPos
from fpdf.fonts import TTFFont
from fpdf.table import Row, Table

from nesting.drawings.packet.paper import PaperName
from nesting.drawings.typeface import printable, typeface_path
from pricing.output.offer.content import LOGO, Offer

_FAMILY: Final = "offer"
_MARGIN: Final = 42.0
_SIZE: Final = 9.0
_SMALL: Final = 8.0
_LINE: Final = 11.5
_CLOSE: Final = 10.0
"""Height of a line far apart, and close together where that spares a page."""
_PICTURE: Final = 30.0
_LOGO: Final = (150.0, 48.0)
_INK: Final = 40
_QUIET: Final = 105
_RULE: Final = 190
_HEAD: Final = FontFace(emphasis="", color=_QUIET, size_pt=_SMALL)
Column: TypeAlias = tuple[str, float, Literal["LEFT", "RIGHT"]]
"""Head, width and side of a column of a table."""


def offer_pdf(offer: Offer, pictures: Mapping[str, bytes], paper: PaperName = "letter") -> bytes:
    """Return an offer as PDF.

    Parameters
    ----------
    offer : Offer
        What it says.
    pictures : mapping of str to bytes
        Pictures by piece, and the studio's own under :data:`~pricing.output.offer.content.LOGO`, as
        :mod:`~pricing.output.offer.pictures` makes them.
    paper : {"letter", "a4"}
        What it is printed on.
    """
    plain, count = _set(offer, pictures, paper, close=False)
    if count == 1:
        return plain
    close, fewer = _set(offer, pictures, paper, close=True)
    return close if fewer < count else plain


def _set(offer: Offer, pictures: Mapping[str, bytes], paper: PaperName, *, close: bool) -> tuple[bytes, int]:
    """Return an offer with lines far apart or close together, and how many pages it has."""
    made = _Sheet(offer, paper, close=close)
    try:
        made.head(pictures.get(LOGO))
        made.works(pictures)
        made.included()
        made.packages()
        made.price()
        made.terms()
        made.accept()
        return bytes(made.output()), made.page_no()
    finally:
        made.close()


class _Sheet(FPDF):
    """The offer while it is set."""

    def __init__(self, offer: Offer, paper: PaperName, *, close: bool) -> None:
        super().__init__(unit="pt", format=paper)
        self.offer = offer
        self.c_margin = 0
        self.high = _CLOSE if close else _LINE
        self.gap = 4.0 if close else 7.0
        self.set_margins(_MARGIN, _MARGIN)
        self.set_auto_page_break(auto=True, margin=_MARGIN + 8)
        self.set_title(f"{offer.title}, {' '.join(filter(None, (offer.number, offer.client)))}")
        self.set_author(offer.studio[0] if offer.studio else "")
        self.set_lang("en-GB")
        # The library would take the clock's time; the offer has its own day.
        self.set_creation_date(datetime.fromisoformat(offer.day).replace(tzinfo=UTC))
        self.add_font(_FAMILY, "", typeface_path())
        self.add_font(_FAMILY, "B", typeface_path(bold=True))
        self.ink()
        self.add_page()

    def close(self) -> None:
        """Close the font files, which the library leaves open until it is thrown away."""
        for font in self.fonts.values():
            if isinstance(font, TTFFont):
                font.ttfont.close()

    def normalize_text(self, text: str) -> str:
        """Return a text as the typeface can print it, line by line; the library asks for each."""
        plain = "\n".join(map(_legible, text.split("\n")))
        made: str = super().normalize_text(plain)
        return made

    def ink(self, size: float = _SIZE, style: Literal["", "B"] = "", grey: int = _INK) -> None:
        """Take letters in hand."""
        self.set_font(_FAMILY, style, size)
        self.set_text_color(grey)

    def footer(self) -> None:
        """Write who, which and what page below each page."""
        self.set_y(-_MARGIN + 6)
        self.ink(_SMALL, grey=_QUIET)
        words = "  ·  ".join(filter(None, (self.offer.studio[0], self.offer.number)))
        self.cell(0, self.high, words, new_x=XPos.LEFT, new_y=YPos.TOP)
        self.cell(0, self.high, f"page {self.page_no()} of {{nb}}", align="R")
        self.ink()

    def line_of(self, text: str, size: float = _SIZE, style: Literal["", "B"] = "", grey: int = _INK) -> None:
        """Write a paragraph over the whole width."""
        self.ink(size, style, grey)
        self.multi_cell(0, size + 2.5, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ink()

    def section(self, title: str, room: float = 40.0) -> None:
        """Write the title of a part, together with what follows it."""
        if self.will_page_break(room):
            self.add_page()
        self.ln(self.gap)
        self.ink(_SIZE, "B")
        self.cell(0, self.high + 1, title, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.rule()
        self.ink()

    def rule(self) -> None:
        """Draw a thin line over the whole width."""
        self.set_draw_color(_RULE)
        self.set_line_width(0.5)
        self.line(self.l_margin, self.y, self.w - self.r_margin, self.y)
        self.y += 2

    def head(self, logo: bytes | None) -> None:
        """Write who offers, to whom, which and when."""
        offer, top = self.offer, self.y
        if logo:
            self.image(BytesIO(logo), self.l_margin, top, *_LOGO, keep_aspect_ratio=True)
        name, *lines = offer.studio
        self.ink(12, "B")
        self.cell(0, 15, name, align="R", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ink(_SMALL, grey=_QUIET)
        for line in lines:
            self.cell(0, 10.5, line, align="R", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.y = max(self.y, top + (_LOGO[1] if logo else 0)) + 8
        self.ink(15, "B")
        self.cell(0, 20, offer.title, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        if offer.warning:
            self.line_of(offer.warning, 10, "B")
        self.rule()
        self.y += 3
        top = self.y
        half = self.epw * 0.56
        for line in offer.to:
            self.ink(_SIZE, "B" if line == offer.to[0] else "")
            self.multi_cell(half, self.high, line, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        low, self.y = self.y, top
        for label, text in (("Number", offer.number), ("Date", offer.day), ("Holds until", offer.until)):
            if text:
                self.x = self.l_margin + half
                self.ink(_SMALL, grey=_QUIET)
                self.cell(64, self.high, label)
                self.ink()
                self.multi_cell(0, self.high, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.y = max(self.y, low)

    def open_table(self, columns: Sequence[Column]) -> Table:
        """Begin a table with a line below each row; its heads are repeated on each page."""
        self.set_draw_color(_RULE)
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
        for head, _, align in columns:
            row.cell(head, align=align)
        return table

    def works(self, pictures: Mapping[str, bytes]) -> None:
        """Write the works, a line of the order a row."""
        offer = self.offer
        sold, places = offer.kind == "sale", len({item.goes for item in offer.items}) > 1
        shown = any(item.piece in pictures for item in offer.items)
        columns: list[Column] = [("", _PICTURE + 8, "LEFT")] if shown else []
        columns += [("Work", 60, "LEFT"), ("", 200, "LEFT"), ("Width × height × depth", 120, "LEFT")]
        columns += [("Goes to", 84, "LEFT")] if places else []
        columns += [("No.", 26, "RIGHT")]
        columns += [(f"Price, {offer.currency}", 70, "RIGHT")] if sold else []
        self.section("The works", 60)
        table = self.open_table(columns)
        for item in offer.items:
            row = table.row()
            if shown:
                _picture(row, pictures.get(item.piece))
            row.cell(item.piece, style=FontFace(emphasis="B"))
            row.cell("\n".join(filter(None, (item.title, item.about, item.told))))
            row.cell(item.size)
            if places:
                row.cell(item.goes)
            row.cell(str(item.count), align="RIGHT")
            if sold:
                row.cell("" if item.price is None else f"{item.price:,.2f}", align="RIGHT")
        table.render()

    def included(self) -> None:
        """Write what the price covers."""
        if self.offer.included:
            self.section("What is included")
            for text in self.offer.included:
                self.line_of(f"•  {text}")

    def packages(self) -> None:
        """Write how the works arrive."""
        if not self.offer.packages:
            return
        self.section("How they travel")
        columns: list[Column] = [
            ("Crate", 92, "LEFT"), ("Holds", 116, "LEFT"), ("Outside, width × height × depth", 226, "LEFT"),
            ("Weight, packed", 86, "RIGHT"),
        ]  # fmt: skip
        table = self.open_table(columns)
        for each in self.offer.packages:
            row = table.row()
            for text in (each.what, each.holds, each.size):
                row.cell(text)
            row.cell(each.weight, align="RIGHT")
        table.render()

    def price(self) -> None:
        """Write the price in a few rows, the total, and how and when it is paid."""
        offer = self.offer
        self.section("The price", 26 + self.high * (len(offer.rows) + 3))
        for each in offer.rows:
            self.amount(each.title, "to be quoted" if each.amount is None else f"{each.amount:,.2f}")
        self.rule()
        self.ink(12, "B")
        self.cell(self.epw - 130, 18, "Total")
        self.cell(130, 18, f"{offer.currency} {offer.total:,.2f}", align="R", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ink()
        if offer.other:
            self.line_of(f"That is {offer.other}.", _SMALL, grey=_QUIET)
        if offer.payment or offer.facts:
            self.ln(2)
        for label, text in (*offer.payment, *offer.facts):
            self.pair(label, text)

    def amount(self, title: str, text: str) -> None:
        """Write a row of the price."""
        top = self.y
        self.multi_cell(self.epw - 100, self.high + 1, title, align="L", new_x=XPos.RIGHT, new_y=YPos.NEXT)
        low, self.y = self.y, top
        self.cell(100, self.high + 1, text, align="R", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.y = max(self.y, low)

    def pair(self, label: str, text: str) -> None:
        """Write a fact with its label before it."""
        if self.will_page_break(self.high * 2):
            self.add_page()
        top = self.y
        self.ink(_SMALL, grey=_QUIET)
        self.multi_cell(150, self.high, label, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        low, self.y = self.y, top
        self.ink()
        self.x = self.l_margin + 156
        self.multi_cell(0, self.high, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.y = max(self.y, low)

    def terms(self) -> None:
        """Write the terms in small letters."""
        self.section("Terms")
        for text in self.offer.terms:
            self.line_of(f"•  {text}", _SMALL, grey=_QUIET)

    def accept(self) -> None:
        """Leave a line to accept by."""
        if self.will_page_break(58):
            self.add_page()
        self.ln(8)
        self.line_of("Accepted as it stands here:", _SIZE)
        self.y += 16 + self.gap
        self.set_draw_color(_INK)
        self.set_line_width(0.6)
        parts = (("Name", 0.36), ("Signature", 0.40), ("Date", 0.20))
        x = self.l_margin
        for label, part in parts:
            self.line(x, self.y, x + self.epw * part, self.y)
            self.set_xy(x, self.y + 1)
            self.ink(_SMALL, grey=_QUIET)
            self.cell(self.epw * part, 10, label)
            self.y -= 1
            x += self.epw * (part + 0.02)
        self.ink()


def _legible(line: str) -> str:
    """Return a line with blanks kept as they are, and a mark for each letter that the typeface lacks."""
    return " ".join(printable(word) for word in line.replace("\t", " ").split(" "))


def _picture(row: Row, picture: bytes | None) -> None:
    """Set a work's picture into its cell, where there is one."""
    if picture is None:
        row.cell("")
    else:
        row.cell(img=BytesIO(picture))
