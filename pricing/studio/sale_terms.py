"""What holds where something is sold or sent to: the gallery's commission, who pays the way, and which tax on what.

Each field that a place leaves open is the one of the rates, as it was before places could say anything. Which tax
applies where is for whoever does the books to say: the same bill has another base in every state, so that it is
typed for each place and never reckoned from the place's name.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, Literal, get_args

from nesting.base.faults import Faults
from nesting.base.ratio import ratio_text
from nesting.order import MOST_COMMISSION
from pricing.studio.rates import Payer
from pricing.studio.table_file import TableRow, read_choice, read_part, read_words

TaxedKind = Literal["art", "work", "freight", "insurance"]
"""A kind of line that a tax may be on: the artworks' list prices; crates, materials and work; freight; insurance."""
TERMS: Final = ("commission", "paid by", "tax name", "tax rate", "tax on", "export")
"""Columns of the table of destinations."""
_LONGEST: Final = 200


@dataclass(frozen=True, slots=True)
class SaleTerms:
    """What holds at one place; None or empty leaves a field to the rates.

    Attributes
    ----------
    commission : Decimal or None
        The seller's part of the list price, as a part of one: 0 for a direct sale.
    paid_by : {"list price", "buyer", "artist", "gallery"} or None
        Who bears packing and shipping.
    tax_name : str
        What the tax is called.
    tax_rate : Decimal or None
        As a part of one.
    tax_on : tuple of {"art", "work", "freight", "insurance"} or None
        What it is on; an empty tuple is nothing.
    export : str
        Why nothing is taxed: the line that a zero-rated bill must bear. Empty where it is taxed as said above.
    """

    commission: Decimal | None = None
    paid_by: Payer | None = None
    tax_name: str = ""
    tax_rate: Decimal | None = None
    tax_on: tuple[TaxedKind, ...] | None = None
    export: str = ""

    def __post_init__(self) -> None:
        if self.commission is not None and not 0 <= self.commission <= MOST_COMMISSION:
            raise ValueError(f"found the commission {self.commission}; accepted: 0 to {ratio_text(MOST_COMMISSION)}")
        if self.tax_rate is not None and not 0 <= self.tax_rate <= 1:
            raise ValueError(f"found the tax rate {self.tax_rate}; accepted: 0 to 100 %")

    @property
    def says_tax(self) -> bool:
        """Whether it says anything of tax."""
        return bool(self.tax_name or self.export) or self.tax_rate is not None or self.tax_on is not None


def read_terms(each: TableRow, faults: Faults) -> SaleTerms:
    """Read the cells of a place, noting what cannot be read."""
    values: dict[str, Any] = {
        "commission": read_part(each, "commission", MOST_COMMISSION, faults),
        "tax_rate": read_part(each, "tax rate", Decimal(1), faults),
        "paid_by": read_choice(each, "paid by", {payer: payer for payer in get_args(Payer)}, faults),
        "tax_on": _kinds(each, faults),
    }
    for column, field in (("tax name", "tax_name"), ("export", "export")):
        values[field] = read_words(each, column, faults, _LONGEST)
    return SaleTerms(**values)


def term_cells(terms: SaleTerms) -> list[str]:
    """Return the cells under :data:`TERMS`; :func:`read_terms` reads the same back."""
    on = "" if terms.tax_on is None else ", ".join(terms.tax_on) or "nothing"
    return [
        ratio_text(terms.commission), terms.paid_by or "", terms.tax_name, ratio_text(terms.tax_rate), on, terms.export,
    ]  # fmt: skip


def _kinds(each: TableRow, faults: Faults) -> tuple[TaxedKind, ...] | None:
    """Read what a tax is on, in whatever order it is written."""
    text = each.get("tax on").lower()
    words = [word for word in re.split(r"[\s,;+&]+", text) if word not in ("", "and")]
    kinds = get_args(TaxedKind)
    if not words:
        return None
    if words == ["all"]:
        return kinds
    if words == ["nothing"]:
        return ()
    if not set(words) <= set(kinds):
        faults.add(each.row, "tax on", each.get("tax on"), f"some of {', '.join(kinds)}; or all, or nothing")
        return None
    return tuple(kind for kind in kinds if kind in words)
