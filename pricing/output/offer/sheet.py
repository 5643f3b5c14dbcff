"""The offer as a workbook of one sheet, for a client who wants it so: values alone, no formula and no other page."""

from collections.abc import Collection
from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any, Final

import xlsxwriter
from PIL import Image

from nesting.base.writing import PLAIN, Writing
from nesting.drawings.packet.paper import PaperName
from pricing.output.offer.content import Offer

_WIDTHS: Final = (16, 36, 34, 18, 7, 14)
_LAST: Final = len(_WIDTHS) - 1
_LOGO: Final = (200, 64)
"""Most width and height of the logo, in points of a screen: 150 and 48 on paper."""
_INK: Final = "#282828"
_QUIET: Final = "#696969"
_RULE: Final = "#BEBEBE"
_PAPERS: Final[dict[PaperName, int]] = {"letter": 1, "a4": 9}
"""Numbers of papers as workbooks have them (ECMA-376, part 1, 18.3.1.63)."""


def offer_xlsx(
    offer: Offer,
    paper: PaperName = "letter",
    logo: bytes | None = None,
    writing: Writing = PLAIN,
) -> bytes:
    """Return an offer as a workbook of one sheet, with the logo; see :func:`pricing.output.offer.pages.offer_pdf`.

    It holds no pictures of the works, which would float over rows that are sorted.
    """
    out = BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}) as book:
        made = datetime.fromisoformat(offer.day).replace(tzinfo=UTC)
        book.set_properties(
            {
                "title": f"{offer.title}, {' '.join(filter(None, (offer.number, offer.client)))}",
                "author": offer.studio[0] if offer.studio else "",
                "created": made,
            }
        )
        sheet = _Sheet(book, writing.through(offer), paper)
        if logo:
            sheet.head(logo)
        sheet.fill()
    return out.getvalue()


class _Sheet:
    """The sheet while it is written, a row after the other."""

    def __init__(self, book: Any, offer: Offer, paper: PaperName) -> None:
        self.book, self.offer, self.row = book, offer, 0
        self.sheet = book.add_worksheet("Offer")
        self.sheet.hide_gridlines(2)
        self.sheet.set_paper(_PAPERS[paper])
        self.sheet.fit_to_pages(1, 0)
        self.sheet.set_margins(0.6, 0.6, 0.6, 0.7)
        self.sheet.set_footer(
            f"&L{offer.studio[0].replace('&', '&&')}  {offer.number.replace('&', '&&')}&Rpage &P of &N"
        )
        for column, width in enumerate(_WIDTHS):
            self.sheet.set_column(column, column, width)
        self.styles: dict[tuple[tuple[str, Any], ...], Any] = {}

    def style(self, **facts: Any) -> Any:
        """Return a style, each made once."""
        whole = {"font_name": "Calibri", "font_size": 10, "font_color": _INK, "valign": "top", **facts}
        key = tuple(sorted(whole.items()))
        if key not in self.styles:
            self.styles[key] = self.book.add_format(whole)
        return self.styles[key]

    def head(self, logo: bytes) -> None:
        """Set the logo at the right of the first lines, in the size that it has on paper at the most."""
        with Image.open(BytesIO(logo)) as found:
            scale = min(_LOGO[0] / found.width, _LOGO[1] / found.height)
        facts = {"image_data": BytesIO(logo), "x_scale": scale, "y_scale": scale, "object_position": 2}
        self.sheet.insert_image(0, 3, "logo.png", {**facts, "description": "Logo"})

    def fill(self) -> None:
        """Write it all."""
        offer = self.offer
        name, *lines = offer.studio
        self.wide(name, bold=True, font_size=13)
        for line in lines:
            self.wide(line, font_color=_QUIET, font_size=9)
        self.row += 1
        self.wide(offer.title, bold=True, font_size=16)
        if offer.warning:
            self.wide(offer.warning, bold=True)
        top = self.row
        for line in offer.to:
            self.sheet.merge_range(self.row, 0, self.row, 2, line, self.style(bold=self.row == top))
            self.row += 1
        for place, (label, text) in enumerate(
            (("Number", offer.number), ("Date", offer.day), ("Holds until", offer.until))
        ):
            if text:
                self.sheet.write_string(top + place, 3, label, self.style(font_color=_QUIET))
                self.sheet.merge_range(top + place, 4, top + place, _LAST, text, self.style(align="right"))
        self.row = max(self.row, top + 3)
        self.works()
        if offer.included:
            self.section("What is included")
            for text in offer.included:
                self.wide(f"•  {text}")
        self.packages()
        self.price()
        self.section("Terms")
        for text in offer.terms:
            self.wide(f"•  {text}", font_color=_QUIET, font_size=9)
        self.row += 1
        self.wide("Accepted as it stands here:")
        self.row += 2
        for first, last, label in ((0, 1, "Name"), (2, 3, "Signature"), (4, 5, "Date")):
            self.sheet.merge_range(self.row, first, self.row, last, label, self.style(top=1, font_color=_QUIET))

    def wide(self, text: str, **facts: Any) -> None:
        """Write a paragraph over the whole width, as many lines high as it needs."""
        self.sheet.merge_range(self.row, 0, self.row, _LAST, "", self.style(text_wrap=True, **facts))
        self.sheet.write_string(self.row, 0, text, self.style(text_wrap=True, **facts))
        self.high(((text, sum(_WIDTHS)),), float(facts.get("font_size", 10)))
        self.row += 1

    def high(self, cells: tuple[tuple[str, float], ...], size: float = 10) -> None:
        """Make the row as high as the texts in columns of those widths need."""
        lines = max(
            sum(1 + int(len(line) * size / 10 / max(1.0, width * 1.05)) for line in text.split("\n"))
            for text, width in cells
        )
        self.sheet.set_row(self.row, 4 + lines * (size + 3.5))

    def section(self, title: str) -> None:
        """Write the title of a part."""
        self.row += 1
        self.sheet.merge_range(self.row, 0, self.row, _LAST, title, self.style(bold=True, bottom=1, bottom_color=_RULE))
        self.row += 1

    def cells(self, *texts: str | int | Decimal | None, right: Collection[int] = (), **facts: Any) -> None:
        """Write a row of cells, text to the left, numbers and some columns to the right; a line below it."""
        line = {"bottom": 4, "bottom_color": _RULE, "text_wrap": True, **facts}
        for column, text in enumerate(texts):
            if isinstance(text, int | Decimal):
                shown = "#,##0.00" if isinstance(text, Decimal) else "0"
                self.sheet.write_number(self.row, column, text, self.style(num_format=shown, align="right", **line))
            else:
                side = {"align": "right"} if column in right else {}
                self.sheet.write_string(self.row, column, text or "", self.style(**line, **side))
        self.high(tuple((f"{text}", _WIDTHS[column]) for column, text in enumerate(texts) if text))
        self.row += 1

    def works(self) -> None:
        """Write the works, a line of the order a row."""
        sold = self.offer.kind == "sale"
        self.section("The works")
        price = f"Price, {self.offer.currency}" if sold else ""
        self.cells(
            "Work", "", "Width × height × depth", "Goes to", "No.", price, right=(4, 5), font_color=_QUIET, font_size=9
        )
        for item in self.offer.items:
            words = "\n".join(filter(None, (item.title, item.about, item.told)))
            self.cells(item.piece, words, item.size, item.goes, item.count, item.price if sold else "")

    def packages(self) -> None:
        """Write how the works arrive."""
        if not self.offer.packages:
            return
        self.section("How they travel")
        heads = ("Crate", "Holds", "Outside, width × height × depth", "Weight, packed")
        self.cells(*heads, "", "", font_color=_QUIET, font_size=9)
        for each in self.offer.packages:
            self.cells(each.what, each.holds, each.size, each.weight, "", "")

    def price(self) -> None:
        """Write the price, the total and how it is paid."""
        offer = self.offer
        self.section("The price")
        for each in offer.rows:
            self.sheet.merge_range(self.row, 0, self.row, _LAST - 1, each.title, self.style(text_wrap=True))
            if each.amount is None:
                self.sheet.write_string(self.row, _LAST, "to be quoted", self.style(align="right"))
            else:
                self.sheet.write_number(self.row, _LAST, each.amount, self.style(num_format="#,##0.00", align="right"))
            self.row += 1
        bold = {"bold": True, "font_size": 12, "top": 1, "bottom": 6}
        self.sheet.set_row(self.row, 21)
        self.sheet.merge_range(self.row, 0, self.row, _LAST - 2, "Total", self.style(**bold))
        self.sheet.write_string(self.row, _LAST - 1, offer.currency, self.style(align="right", **bold))
        self.sheet.write_number(self.row, _LAST, offer.total, self.style(num_format="#,##0.00", align="right", **bold))
        self.row += 1
        if offer.other:
            self.wide(f"That is {offer.other}.", font_color=_QUIET, font_size=9)
        for label, text in (*offer.payment, *offer.facts):
            self.sheet.merge_range(self.row, 0, self.row, 1, label, self.style(font_color=_QUIET, text_wrap=True))
            self.sheet.merge_range(self.row, 2, self.row, _LAST, text, self.style(text_wrap=True))
            self.high(((label, sum(_WIDTHS[:2])), (text, sum(_WIDTHS[2:]))))
            self.row += 1
