"""What holds at one place or for one party only: tax, commission and payers, as cells that formulas follow.

The cells are on the Assumptions page. Where nobody says anything, formulas follow the rates for all.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final, Literal, get_args

from nesting.base.counts import few
from pricing.output.workbook.binder import Binder
from pricing.quoting.sale import SalePrice
from pricing.quoting.taxes import PlaceTax
from pricing.studio.parties import Party
from pricing.studio.rates import Payer
from pricing.studio.sale_terms import TaxedKind

_KINDS: Final[dict[TaxedKind, str]] = {
    "art": "on the artworks' list prices",
    "work": "on crates, materials and work",
    "freight": "on freight",
    "insurance": "on insurance",
}
_SAID: Final = "As the table of destinations says for it."
_AGREED: Final = "As the table of parties says."
PARTS: Final[tuple[TaxedKind, ...]] = ("freight", "insurance")
"""Parts of what packing and shipping cost that others may bear than its packing."""
_Part = Literal["packing", "freight", "insurance"]


@dataclass(frozen=True, slots=True)
class PlaceInput:
    """A cell that one place's formulas follow: title, name, value, style, the words it takes, meaning."""

    title: str
    name: str
    value: Any
    base: str = "rate"
    words: tuple[str, ...] = ()
    doc: str = _SAID


class TaxCells:
    """Where one tax finds its rate and what it is on, as parts of formulas.

    Parameters
    ----------
    binder : Binder
        The workbook; its quote is what is taxed.
    tax : PlaceTax
        One of the quote's.
    """

    def __init__(self, binder: Binder, tax: PlaceTax) -> None:
        self.binder, self.tax = binder, tax
        self.alone = len(binder.quote.levied) == 1
        self.places = tuple(place or "no place" for place in tax.places)
        self.where = few(self.places)
        own = () if tax.rule.reason else tax.rule.own
        self.own_rate, self.own_on = "rate" in own, "on" in own

    def name(self, *what: str) -> str:
        """Return the name of a cell of this tax."""
        return self.binder.names.of(*what, *self.places)

    @property
    def rate(self) -> str:
        """The rate, as a formula."""
        if self.tax.rule.reason:
            return "0"
        return self.name("tax rate") if self.own_rate else "sales_tax_rate"

    @property
    def amount(self) -> str:
        """Name of the cell with what the tax comes to."""
        return "step_tax" if self.alone else self.name("tax to")

    @property
    def base(self) -> str:
        """Name of the cell with all that is taxed; only where there are several taxes."""
        return self.name("taxed to")

    def on(self, kind: TaxedKind, term: str) -> str:
        """Return a term of the base where the tax is on that kind of line, else nothing, as a formula."""
        if self.tax.rule.reason:
            return "0"
        if self.own_on:
            return f'IF({self.name("tax on", kind)}="yes",{term},0)'
        return term if kind == "work" else f'IF(tax_on_{kind}="yes",{term},0)'

    @property
    def art(self) -> str:
        """The rate on list prices, as a formula."""
        if self.tax.rule.reason:
            return "0"
        if not self.own_on:
            return "art_tax_rate"
        return self.on("art", self.rate if self.own_rate else "art_tax_rate")

    def inputs(self) -> Iterator[PlaceInput]:
        """Yield the cells that this tax needs, each defined once on the Assumptions page."""
        rule = self.tax.rule
        if self.own_rate:
            yield PlaceInput(f"{rule.name}, {self.where}", self.rate, rule.rate)
        if self.own_on:
            for kind, words in _KINDS.items():
                taxed = kind in rule.on
                title = f"{rule.name}, {self.where}: {words}"
                yield PlaceInput(title, self.name("tax on", kind), "yes" if taxed else "no", "right", ("yes", "no"))


def taxes(binder: Binder) -> list[TaxCells]:
    """Return the cells of every tax of the quote."""
    return [TaxCells(binder, tax) for tax in binder.quote.levied]


def art_rate(binder: Binder, piece: str) -> str:
    """Return the tax on a piece's list price, as a formula."""
    return next(cells.art for cells in taxes(binder) if piece in cells.tax.pieces)


def commission(binder: Binder, sale: SalePrice) -> str:
    """Return the commission on a piece, as a formula; empty where its own row of the order says it."""
    if sale.said == "piece":
        return ""
    if sale.said == "order":
        return "commission_of_the_order"
    if sale.said == "gallery":
        return binder.names.of("commission of", _parties(binder, sale)[-1].name)
    return binder.names.of("commission", _place(binder, sale)) if sale.said == "place" else "commission_rate"


def payer(binder: Binder, sale: SalePrice, part: _Part = "packing") -> str:
    """Return who pays a part of what a piece's packing and way cost, as a formula."""
    for party in _parties(binder, sale):
        if getattr(party, f"{part}_by"):
            return binder.names.of(f"{part} paid by", party.name)
    place = _place(binder, sale)
    own = binder.quote.destinations.get(place).terms.paid_by
    return binder.names.of("paid by", place) if own else "shipping_paid_by"


def part_of(binder: Binder, sale: SalePrice, part: TaxedKind) -> str:
    """Return what a piece bears of freight or of insurance, as a formula."""
    quote = binder.quote
    there = any(line.section == part for line in (*quote.lines, *quote.passed))
    return f"ROUND(SUM({binder.names.of(f'{part} of', sale.piece)}),2)" if there else "0"


def inputs(binder: Binder) -> list[PlaceInput]:
    """Return every cell that some place, or the order, says for itself, each once."""
    quote = binder.quote
    found = [each for cells in taxes(binder) for each in cells.inputs()]
    order = quote.build.order.commission
    if order is not None and any(sale.said == "order" for sale in quote.sales):
        found.append(PlaceInput("Commission of this order", "commission_of_the_order", order, doc="As the order says."))
    for sale in quote.sales:
        place = _place(binder, sale)
        terms = quote.destinations.get(place).terms
        if sale.said == "place":
            found.append(PlaceInput(f"Commission, {place}", commission(binder, sale), terms.commission))
        words = get_args(Payer)
        if sale.said == "gallery":
            party = _parties(binder, sale)[-1]
            cell = commission(binder, sale)
            found.append(PlaceInput(f"Commission of {party.name}", cell, party.commission, doc=_AGREED))
        for part in get_args(_Part):
            who = next((each for each in _parties(binder, sale) if getattr(each, f"{part}_by")), None)
            if who is not None:
                cell = payer(binder, sale, part)
                title = f"{part.capitalize()} paid by, {who.name}"
                found.append(PlaceInput(title, cell, getattr(who, f"{part}_by"), "right", words, _AGREED))
        if terms.paid_by:
            found.append(
                PlaceInput(f"Paid by, {place}", binder.names.of("paid by", place), terms.paid_by, "right", words)
            )
    return list({each.name: each for each in found}.values())


def _parties(binder: Binder, sale: SalePrice) -> list[Party]:
    """Return who buys a piece and who sells it, of whom anything is known."""
    order, parties = binder.quote.build.order, binder.quote.parties
    copy = binder.copy_of[sale.piece]
    return [party for party in (parties.buyer(copy, order), parties.gallery(copy, order)) if party and party.known]


def _place(binder: Binder, sale: SalePrice) -> str:
    """Return where a piece goes."""
    return binder.copy_of[sale.piece].destination or ""
