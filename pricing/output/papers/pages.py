"""Papers for a border on the studio's letterhead: invoice, packing list and a carnet's general list as PDF."""

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Final

from fpdf import FontFace
from fpdf.enums import XPos, YPos

from pricing.output.letterhead import QUIET, SMALL, Column, Heading, Letterhead, tightest
from pricing.output.offer.content import LOGO
from pricing.output.papers import carnet
from pricing.output.papers.carnet import GeneralList
from pricing.output.papers.invoice import Charge, Invoice
from pricing.output.papers.invoicing import invoices
from pricing.output.papers.packing_list import TITLE, PackingList, Weights, packing_list, packing_list_missing
from pricing.output.papers.paper import Look, Paper
from pricing.output.papers.said import BROKER

_BOLD: Final = FontFace(emphasis="B")
_SIGNED: Final = (("Place and date", 0.30), ("Name in print", 0.32), ("Signature", 0.34))
_AMOUNT: Final = 66.0
_WORKS: Final = 7
"""Works of a package in one row; more run on in further ones."""
_MOST_LINES: Final = 3
"""Lines of one text in a cell."""
_TO_WRITE: Final = "__________"


def invoice_pdf(invoice: Invoice, look: Look) -> bytes:
    """Return an invoice for customs as PDF."""
    heading = Heading(
        invoice.title, invoice.studio, invoice.number, invoice.day, invoice.place, invoice.warning, look.writing
    )  # fmt: skip

    def fill(sheet: _Sheet) -> None:
        sheet.head(look.pictures.get(LOGO))
        sheet.line_of(invoice.notice, style="B")
        sheet.blocks(invoice.parties, (invoice.number, invoice.day, invoice.until))
        sheet.beside(invoice.facts)
        sheet.invoiced(invoice)
        sheet.charged(invoice)
        sheet.section("Packing", 80)
        sheet.facts(invoice.closing)
        sheet.section("To know", 60)
        sheet.points(invoice.advice, SMALL, QUIET)
        sheet.signatures("What stands here is true and complete, to the best of my knowledge:", _SIGNED)

    return _set(heading, look, fill)


def packing_list_pdf(made: PackingList, look: Look) -> bytes:
    """Return a packing list as PDF."""

    def fill(sheet: _Sheet) -> None:
        sheet.head(look.pictures.get(LOGO))
        sheet.blocks(made.parties, (made.number, made.day, ""))
        sheet.beside(made.facts)
        sheet.packages(made)
        sheet.facts(made.closing)
        sheet.signatures("Packed as it stands here:", _SIGNED)

    return _set(Heading(TITLE, made.studio, made.number, made.day, made.place, writing=look.writing), look, fill)


def general_list_pdf(made: GeneralList, look: Look) -> bytes:
    """Return a carnet's general list as PDF."""

    def fill(sheet: _Sheet) -> None:
        sheet.head(look.pictures.get(LOGO))
        sheet.blocks((("Holder", made.studio),), (made.number, made.day, ""))
        sheet.beside((("Carnet number", ""), ("Goes to", made.place)))
        sheet.goods(made)
        sheet.points((carnet.BACK, BROKER), SMALL, QUIET)
        sheet.signatures("What stands here is true and complete, to the best of my knowledge:", _SIGNED)

    heading = Heading(carnet.TITLE, made.studio, made.number, made.day, made.place, made.warning, look.writing)
    return _set(heading, look, fill)


def _set(heading: Heading, look: Look, fill: Callable[["_Sheet"], None]) -> bytes:
    return tightest(lambda close: _Sheet(heading, look.paper, close=close), fill)


class _Sheet(Letterhead):
    """A paper while it is set."""

    def invoiced(self, invoice: Invoice) -> None:
        """Write the works, each with its full description."""
        self.section("The works (height × width × depth)", 80)
        word, several = "Price" if invoice.sold else "Value", any(each.count > 1 for each in invoice.items)
        figures = [f"{word} of each, {invoice.currency}"]
        figures += [f"Amount, {invoice.currency}"] if several else []
        figures += [f"Amount, {invoice.other}"] if invoice.other else []
        width = self.epw - 72 - 22 - _AMOUNT * len(figures)
        columns: list[Column] = [("Work, in package", 72, "LEFT"), ("Description", width, "LEFT"), ("No.", 22, "RIGHT")]
        columns += [(each, _AMOUNT, "RIGHT") for each in figures]
        rows = [
            (
                f"{each.piece}\nin {each.marks}" if each.marks else each.piece, self.told(each.about, width),
                str(each.count), each.each or _TO_WRITE, *((each.amount or _TO_WRITE,) if several else ()),
                *((each.other or _TO_WRITE,) if invoice.other else ()),
            )
            for each in invoice.items
        ]  # fmt: skip
        self.grid(columns, rows, bold=True)

    def charged(self, invoice: Invoice) -> None:
        """Write the charges by name and the total."""
        if invoice.within:
            self.section("Charges that the prices hold" if invoice.sold else "Charges, beside the values", 60)
            for each in invoice.within:
                self.charge(each, other=bool(invoice.other))
        self.section("In all", 60)
        for each in invoice.added:
            self.charge(each, other=bool(invoice.other))
        self.ink(11, "B")
        self.cell(self.epw * 0.4, 16, invoice.total_title)
        amounts = invoice.total or f"{invoice.currency} {_TO_WRITE}"
        if invoice.other:
            amounts = f"{amounts}   ({invoice.total_other or f'{invoice.other} {_TO_WRITE}'})"
        self.cell(0, 16, amounts, align="R", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ink()
        if invoice.exchange:
            self.line_of(invoice.exchange, SMALL, grey=QUIET)

    def charge(self, charge: Charge, *, other: bool) -> None:
        """Write a charge: its name, and its amount in each currency."""
        amounts = [charge.amount or _TO_WRITE, *([charge.other or _TO_WRITE] if other else [])]
        top = self.y
        self.multi_cell(
            self.epw - _AMOUNT * len(amounts), self.high + 1, charge.title, align="L", new_x=XPos.RIGHT, new_y=YPos.NEXT
        )
        low, self.y = self.y, top
        for amount in amounts:
            self.cell(_AMOUNT, self.high + 1, amount, align="R")
        self.set_xy(self.l_margin, max(low, top + self.high + 1))

    def packages(self, made: PackingList) -> None:
        """Write every package, and the sums below."""
        self.section("Packages", 80)
        columns: list[Column] = [
            ("Marks and number", 58, "LEFT"), ("Kind of package, contents", 154, "LEFT"),
            ("Outside, width × height × depth", 130, "LEFT"), ("Volume", 46, "RIGHT"), ("Net", 46, "RIGHT"),
            ("Tare", 46, "RIGHT"), ("Gross", 48, "RIGHT"),
        ]  # fmt: skip
        table = self.open_table(columns)
        for each in made.packages:
            first, *more = [each.holds[at : at + _WORKS] for at in range(0, len(each.holds) or 1, _WORKS)]
            row = table.row()
            row.cell(f"{each.mark}\n{each.number}", style=_BOLD)
            row.cell(self.told((each.kind, *first), columns[1][1]))
            row.cell(each.size)
            row.cell(_volume(each.cubic_feet, each.cubic_metres), align="RIGHT")
            for text in _weights(each.pounds, each.kilograms):
                row.cell(text, align="RIGHT")
            for holds in more:
                row = table.row()
                row.cell(f"{each.mark}, more", style=_BOLD)
                row.cell(self.told(holds, columns[1][1]))
                row.cell("", colspan=5)
        row = table.row(style=_BOLD)
        row.cell("Together", colspan=3)
        row.cell(_volume(made.cubic_feet, made.cubic_metres), align="RIGHT")
        for text in _weights(made.pounds, made.kilograms):
            row.cell(text, align="RIGHT")
        table.render()
        self.ln(self.gap)

    def told(self, texts: Sequence[str], width: float) -> str:
        """Return texts below one another, the lines of each so many that a row of them fits its page."""
        return "\n".join(self.clipped(text, width, _MOST_LINES) for text in texts)

    def goods(self, made: GeneralList) -> None:
        """Write the goods in the columns of a general list, and the sums below."""
        self.section("Goods (sizes: height × width × depth)", 80)
        item, about, count, weight, value, origin, customs = carnet.COLUMNS
        columns: list[Column] = [
            (item, 36, "LEFT"), (about, 214, "LEFT"), (count, 44, "RIGHT"), (weight, 50, "RIGHT"),
            (f"{value}, {made.currency}", 58, "RIGHT"), (origin, 52, "RIGHT"), (customs, 74, "RIGHT"),
        ]  # fmt: skip
        rows = [
            (
                str(each.number), self.told(each.about, columns[1][1]), str(each.count), each.weight,
                each.value or _TO_WRITE, each.origin or _TO_WRITE[:6], "",
            )
            for each in made.items
        ]  # fmt: skip
        total = ("", "Total", str(made.count), made.weight, made.value.partition(" ")[2] or _TO_WRITE, "", "")
        self.grid(columns, [*rows, total], bold=True)
        self.ln(self.gap)


def _volume(feet: Decimal, metres: Decimal) -> str:
    return f"{feet} ft³\n{metres} m³"


def _weights(pounds: Weights, kilograms: Weights) -> tuple[str, str, str]:
    return (
        f"{pounds.net:,.1f} lb\n{kilograms.net:,.1f} kg",
        f"{pounds.tare:,.1f} lb\n{kilograms.tare:,.1f} kg",
        f"{pounds.gross:,.1f} lb\n{kilograms.gross:,.1f} kg",
    )


INVOICE: Final = Paper(
    name="invoice",
    title="Invoice for customs",
    wanted=lambda consignment: consignment.customs,
    make=lambda consignment, look: [invoice_pdf(each, look) for each in invoices(consignment)],
    missing=lambda consignment: [text for each in invoices(consignment) for text in each.missing],
    count=lambda consignment: len(invoices(consignment)),
)
PACKING_LIST: Final = Paper(
    name="packing-list",
    title=TITLE,
    wanted=lambda consignment: bool(consignment.crates),
    make=lambda consignment, look: [packing_list_pdf(packing_list(consignment), look)],
    missing=lambda consignment: list(packing_list_missing(consignment)),
)
GENERAL_LIST: Final = Paper(
    name="carnet-list",
    title=carnet.TITLE,
    wanted=lambda consignment: bool(carnet.carried(consignment)),
    make=lambda consignment, look: [general_list_pdf(carnet.general_list(consignment), look)],
    missing=lambda consignment: list(carnet.general_list_missing(consignment)),
)
