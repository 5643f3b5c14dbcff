"""Condition reports that are sent: a page for each work, with what is known of it, both times side by side.

What they say is the packet's (:mod:`nesting.drawings.condition`); here it is laid on the studio's letterhead, with the
work's picture where there is one, and signed by both at both times.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Final

from fpdf.enums import XPos, YPos

from nesting.base.measure import UnitSystem, format_weight
from nesting.drawings.condition import (
    COMING,
    CORNER,
    GOING,
    GRADES,
    IN,
    MEASURED,
    OFTEN,
    OUT,
    Report,
    face_size,
    report_of,
)
from nesting.drawings.packet.paper import PaperName
from nesting.order import Artwork
from pricing.output.letterhead import INK, QUIET, RULE, SMALL, Heading, Letterhead
from pricing.output.offer.content import LOGO
from pricing.output.papers.consignment import Consignment
from pricing.output.papers.paper import Look, Paper
from pricing.output.papers.said import Facts, addressed, hung_size, of_works, sender

TITLE: Final = "Condition report"
_HELP: Final = f"{MEASURED} Mark it on the face above, with a number for each photograph."
_PICTURE: Final = 104.0
_LEAST_FACE, _MOST_FACE = 110.0, 230.0
"""Least and greatest height of the room for a face."""
_ROW, _MOST_ROW = 21.0, 34.0
"""Least and greatest height of a row to write in."""
_BELOW: Final = 132.0
"""Height of what stands below the faces, the rows left out."""
_TIMES: Final = ((OUT, GOING), (IN, COMING))
_MOST_LINES: Final = 5
"""Lines of a fact: each work has one page."""
_GAP: Final = 16.0
_BOX: Final = 8.0


@dataclass(frozen=True, slots=True)
class Sent:
    """A report with whom and what it goes with.

    Attributes
    ----------
    report : Report
        What is known, and what is looked at.
    lender, borrower : tuple of str
        Both sides, line by line, with lines to write on.
    facts : tuple of (str, str)
        What is known, each with its label; empty leaves a line to write on.
    """

    report: Report
    lender: tuple[str, ...]
    borrower: tuple[str, ...]
    facts: Facts

    @property
    def piece(self) -> str:
        """The work's name; also under which its picture is found."""
        return self.report.work.piece


def sent(consignment: Consignment) -> tuple[Sent, ...]:
    """Return the report of each work of a consignment."""
    return tuple(_sent(consignment, work) for work in consignment.works)


def _sent(consignment: Consignment, work: Artwork) -> Sent:
    report = report_of(work, consignment.quote.build)
    shop = consignment.quote.build.shop.units
    weight = ""
    if work.weight_kg is not None:
        told: tuple[UnitSystem, ...] = ("metric",) if shop == "metric" else ("inch", "metric")
        weight = ", ".join(format_weight(float(work.weight_kg), units, mark=True) for units in told)
    sold = consignment.terms(work) == "sold"
    owner = consignment.buyer(work) if sold else None
    facts = (
        ("Work", f"{work.piece}, {report.title}"),
        *((fact.label, fact.text) for fact in report.made),
        ("Height, width, depth", hung_size(work, shop)),
        ("Weight", weight),
        *((fact.label, fact.text) for fact in report.known),
        ("Travels in", consignment.package_of.get(work.piece, "")),
    )
    lender = addressed(owner) if sold else sender(consignment)
    return Sent(report, lender, addressed(consignment.gallery(work) or consignment.receiver), facts)


def condition_pdf(
    consignment: Consignment, reports: Sequence[Sent], pictures: Mapping[str, bytes], paper: PaperName = "letter"
) -> bytes:
    """Return condition reports as PDF, a page each."""
    quote = consignment.quote
    about = ", ".join(each.piece for each in reports) if len(reports) == 1 else consignment.destination
    writing = quote.build.writing
    heading = Heading(TITLE, consignment.sender_lines, quote.number, quote.on.isoformat(), about, writing=writing)
    with _Sheet(heading, paper, close=True) as page:
        for place, each in enumerate(reports):
            if place:
                page.add_page()
            page.report(each, pictures, (quote.number, quote.on.isoformat()))
        return bytes(page.output())


class _Sheet(Letterhead):
    """Condition reports while they are set."""

    def report(self, sent: Sent, pictures: Mapping[str, bytes], dated: tuple[str, str]) -> None:
        """Write one report on a page of its own."""
        self.head(pictures.get(LOGO))
        self.blocks((("Owner, lender", sent.lender), ("Borrower", sent.borrower)), (*dated, ""))
        self.known(sent, pictures.get(sent.report.work.copy_of or sent.piece))
        rows, bottom = 1 + len(sent.report.aspects), self.h - self.b_margin
        self.faces(sent.report.work, max(_LEAST_FACE, min(_MOST_FACE, bottom - self.y - rows * _ROW - _BELOW)))
        self.rows(sent.report, max(_ROW, min(_MOST_ROW, (bottom - self.y - _BELOW) / rows)))
        self.signed()
        self.line_of(f"{_HELP} {OFTEN}", SMALL, grey=QUIET)

    def known(self, sent: Sent, picture: bytes | None) -> None:
        """Write what is known, and the work's picture beside it."""
        top, right = self.y, self.r_margin
        if picture:
            self.image(BytesIO(picture), self.w - right - _PICTURE, top, _PICTURE, _PICTURE, keep_aspect_ratio=True)
            self.set_right_margin(right + _PICTURE + _GAP)
        self.set_y(top)
        room = self.epw / 2 - 8 - self.label - 6
        self.beside([(label, self.clipped(text, room, _MOST_LINES)) for label, text in sent.facts])
        self.set_right_margin(right)
        self.y = max(self.y, top + (_PICTURE if picture else 0)) + self.gap

    def faces(self, work: Artwork, room: float) -> None:
        """Draw the face twice, to be marked going out and coming in."""
        half, top = (self.epw - _GAP) / 2, self.y
        wide, high = face_size(work, half, room - 24)
        for place, (time, _) in enumerate(_TIMES):
            left = self.l_margin + place * (half + _GAP)
            self.set_xy(left, top)
            self.ink(style="B")
            self.cell(half, self.high, f"{time}: the face, as it hangs")
            self.set_draw_color(INK)
            self.set_line_width(0.8)
            self.rect(left, top + 13, wide, high)
            self.set_xy(left, top + 13 + high + 1)
            self.ink(SMALL, grey=QUIET)
            self.cell(half, 9, CORNER)
        self.set_xy(self.l_margin, top + high + 26)
        self.ink()

    def rows(self, report: Report, high: float) -> None:
        """Leave rows to write on: in general with the grades, then what is looked at."""
        first = 92.0
        width = (self.epw - first) / 2
        edges = [self.l_margin + first + place * width for place in range(2)]
        top = self.y
        for x, (time, told) in zip(edges, _TIMES, strict=True):
            self.set_xy(x + 4, top)
            self.ink(SMALL, grey=QUIET)
            self.cell(width, 11, f"{time}: {told}")
        self.y = top + 12
        self.set_draw_color(RULE)
        self.set_line_width(0.5)
        for place, row in enumerate(("in general", *report.aspects)):
            self.line(self.l_margin, self.y, self.w - self.r_margin, self.y)
            self.set_x(self.l_margin)
            self.ink(SMALL)
            self.cell(first, high, row, new_x=XPos.LEFT, new_y=YPos.TOP)
            if not place:
                for x in edges:
                    self.grades(x + 4, high)
            self.y += high
        self.line(self.l_margin, self.y, self.w - self.r_margin, self.y)
        for x in edges:
            self.line(x, top, x, self.y)
        self.y += 4

    def grades(self, x: float, high: float) -> None:
        """Write the four grades, a box to tick before each."""
        y = self.y
        for word in GRADES:
            self.set_draw_color(INK)
            self.rect(x, y + (high - _BOX) / 2, _BOX, _BOX)
            self.set_xy(x + _BOX + 2, y)
            self.cell(self.get_string_width(word), high, word)
            x += _BOX + 2 + self.get_string_width(word) + 9
        self.set_draw_color(RULE)
        self.y = y

    def signed(self) -> None:
        """Leave lines for both to sign on, at both times."""
        parts = (("date, place", 0.25), ("examined by", 0.22), ("for the lender", 0.24), ("for the borrower", 0.23))
        for time, _ in _TIMES:
            self.y += 20
            self.set_draw_color(INK)
            self.set_line_width(0.6)
            x = self.l_margin
            for place, (label, part) in enumerate(parts):
                self.line(x, self.y, x + self.epw * part, self.y)
                self.set_xy(x, self.y + 1)
                self.ink(SMALL, grey=QUIET)
                self.cell(self.epw * part, 10, label if place else f"{time}: {label}")
                self.y -= 1
                x += self.epw * (part + 0.02)
            self.y += 12
        self.set_xy(self.l_margin, self.y + 4)
        self.ink()


def _wanted(consignment: Consignment) -> bool:
    return bool(consignment.works)


def _made(consignment: Consignment, look: Look) -> list[bytes]:
    return [condition_pdf(consignment, sent(consignment), look.pictures, look.paper)]


def _missing(consignment: Consignment) -> list[str]:
    return [
        line
        for what, key in (("artist", "artist"), ("year", "year"), ("medium", "medium"), ("weight", "weight_kg"))
        for line in of_works(what, (work for work in consignment.works if not getattr(work, key)))
    ]


CONDITION: Final = Paper("condition-reports", TITLE, _wanted, _made, _missing)
