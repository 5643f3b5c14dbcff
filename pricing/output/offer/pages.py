"""The offer on paper: one page where it fits, on the studio's letterhead."""

from collections.abc import Iterable, Mapping
from typing import Final

from fpdf import FontFace
from fpdf.enums import XPos, YPos

from nesting.base.writing import PLAIN, Writing
from nesting.drawings.packet.paper import PaperName
from pricing.output.letterhead import PICTURE, QUIET, SIZE, SMALL, Column, Heading, Letterhead, picture_cell, tightest
from pricing.output.offer.content import LOGO, Offer


def offer_pdf(
    offer: Offer,
    pictures: Mapping[str, bytes],
    paper: PaperName = "letter",
    writing: Writing = PLAIN,
) -> bytes:
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
    writing : Writing
        How figures and days are written.
    """
    return tightest(lambda close: _Sheet(offer, paper, writing, close=close), lambda sheet: sheet.fill(pictures))


_MOST: Final = 8
"""Lines of a title, and of what is told below it: no row is higher than its page."""


class _Sheet(Letterhead):
    """The offer while it is set."""

    def __init__(self, offer: Offer, paper: PaperName, writing: Writing, *, close: bool) -> None:
        self.offer = offer
        heading = Heading(offer.title, offer.studio, offer.number, offer.day, offer.client, offer.warning, writing)
        super().__init__(heading, paper, close=close)

    def fill(self, pictures: Mapping[str, bytes]) -> None:
        """Write it all."""
        offer = self.offer
        self.head(pictures.get(LOGO))
        self.addressed(offer.to, (("Number", offer.number), ("Date", offer.day), ("Holds until", offer.until)))
        self.works(pictures)
        self.included()
        self.packages()
        self.price()
        self.section("Terms")
        self.points(offer.terms, SMALL, QUIET)
        self.signatures("Accepted as it stands here:", (("Name", 0.36), ("Signature", 0.40), ("Date", 0.20)))

    def works(self, pictures: Mapping[str, bytes]) -> None:
        """Write the works, a line of the order a row."""
        offer = self.offer
        sold, places = offer.kind == "sale", len({item.goes for item in offer.items}) > 1
        shown = any(item.piece in pictures for item in offer.items)
        columns: list[Column] = [("", PICTURE + 8, "LEFT")] if shown else []
        names, sizes = self.widest(i.piece for i in offer.items), self.widest(i.size for i in offer.items)
        columns += [("Work", min(90, max(30, names + 10)), "LEFT"), ("", 0, "LEFT")]
        columns += [("Width × height × depth", max(94, sizes + 8), "LEFT")]
        columns += [("Goes to", 84, "LEFT")] if places else []
        columns += [("No.", 26, "RIGHT")]
        columns += [(f"Price, {offer.currency}", 62, "RIGHT")] if sold else []
        left = self.epw - sum(width for _, width, _ in columns)
        columns = [(head, width or left, side) for head, width, side in columns]
        self.section("The works", 60)
        table = self.open_table(columns)
        wide = {head: width - 1 for head, width, _ in columns}
        for item in offer.items:
            row = table.row()
            if shown:
                picture_cell(row, pictures.get(item.piece))
            row.cell(self.clipped(item.piece, wide["Work"] - 8), style=FontFace(emphasis="B"))
            told = filter(None, (item.title, item.about, item.told))
            row.cell("\n".join(self.clipped(text, left - 1, _MOST) for text in told))
            row.cell(item.size)
            if places:
                row.cell(self.clipped(item.goes, wide["Goes to"]))
            row.cell(str(item.count), align="RIGHT")
            if sold:
                row.cell("" if item.price is None else f"{item.price:,.2f}", align="RIGHT")
        table.render()

    def widest(self, texts: Iterable[str]) -> float:
        """Return how wide the widest line of some texts is, in bold letters."""
        self.ink(SIZE, "B")
        found = max((self.get_string_width(line) for text in texts for line in text.split("\n")), default=0)
        self.ink()
        return found

    def included(self) -> None:
        """Write what the price covers."""
        if self.offer.included:
            self.section("What is included")
            self.points(self.offer.included)

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
            for text, (_, width, _) in zip((each.what, each.holds, each.size), columns, strict=False):
                row.cell(self.clipped(text, width - 8))
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
            self.line_of(f"That is {offer.other}.", SMALL, grey=QUIET)
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
