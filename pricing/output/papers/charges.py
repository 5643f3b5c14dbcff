"""Charges of an invoice for customs, each by its name: what the prices hold already, and what comes on top of them.

19 CFR 141.86(a)(8) asks for every charge by name and amount, freight, insurance, cases and packing among them, whether
or not it is in the price.
"""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Final, Literal, TypeAlias

from nesting.base.ratio import ratio_text
from nesting.order import Artwork
from pricing.money import total
from pricing.output.papers.consignment import Consignment
from pricing.quoting.sale import SalePrice, Shipping
from pricing.studio.rates import Payer

Named: TypeAlias = tuple[str, Decimal | None]
"""A charge: its name, and what it comes to; None where that is not known."""
Part = Literal["packing", "freight", "insurance"]
PARTS: Final[Mapping[Part, str]] = {
    "packing": "Packing: crates, materials and work", "freight": "Freight, an estimate",
    "insurance": "Insurance, an estimate",
}  # fmt: skip
_NOTHING: Final = Decimal(0)


def charges(
    consignment: Consignment, works: Sequence[Artwork], sales: Mapping[str, SalePrice] | None
) -> tuple[tuple[Named, ...], tuple[Named, ...]]:
    """Return the charges of some works: those that their prices hold, and those on top of them.

    Parameters
    ----------
    consignment : Consignment
        That they are of.
    works : sequence of Artwork
        Single pieces.
    sales : mapping of str to SalePrice, or None
        Prices by piece; None where nothing is sold: then all charges are of the first kind, for nobody is billed.
    """
    within, added = dict.fromkeys(PARTS, _NOTHING), dict.fromkeys(PARTS, _NOTHING)
    taxed: dict[str, Decimal] = {}
    for work in works:
        columns = consignment.quote.share(work.piece).columns
        tax = columns.get("tax", _NOTHING)
        whole = consignment.quote.share(work.piece).total - tax
        shipping = Shipping(whole, columns.get("freight", _NOTHING), columns.get("insurance", _NOTHING))
        sale = sales.get(work.piece) if sales is not None else None
        for part in PARTS:
            bought = sales is not None and (sale is None or _payer(sale, part) == "buyer")
            (added if bought else within)[part] += getattr(shipping, part)
        taxed[work.piece] = sum(
            (sale.tax if sale else _NOTHING, tax if sale and sale.paid_by == "buyer" else _NOTHING), _NOTHING
        )
    unknown = tuple(_unknown(consignment, works))
    held = [(PARTS[part], amount) for part, amount in within.items() if amount]
    on_top = [(PARTS[part], amount) for part, amount in added.items() if amount]
    if sales is None:
        return (*held, *unknown), ()
    return tuple(held), (*on_top, *unknown, *_taxes(consignment, taxed))


def _payer(sale: SalePrice, part: Part) -> Payer:
    """Return who bears a part: the buyer pays it on top of the price, all others have it within."""
    if part == "packing":
        return sale.paid_by
    return (sale.freight_by if part == "freight" else sale.insurance_by) or sale.paid_by


def _unknown(consignment: Consignment, works: Sequence[Artwork]) -> Iterator[Named]:
    """Yield what must be paid and is not known."""
    lines = consignment.quote.incomplete_pieces
    for line in dict.fromkeys(line for work in works for line in lines.get(work.piece, ())):
        what = line.removeprefix("no ")
        yield f"{what[:1].upper()}{what[1:]}, not known yet", None


def _taxes(consignment: Consignment, taxed: Mapping[str, Decimal]) -> Iterator[Named]:
    """Yield each tax with its rate and amount, or why there is none."""
    for tax in consignment.quote.levied:
        mine = [taxed[piece] for piece in tax.pieces if piece in taxed]
        if mine and tax.rule.reason:
            yield f"{tax.rule.name}: {tax.rule.reason}", Decimal("0.00")
        elif any(mine):
            yield f"{tax.rule.name} {ratio_text(tax.rule.rate or tax.rule.art)}", total(mine)
