"""Tax by place and kind of line: which rule holds where, what it is on, and what it comes to."""

from dataclasses import dataclass
from decimal import Decimal

from pricing.studio.destinations import Destination
from pricing.studio.rates import Rates
from pricing.studio.sale_terms import TaxedKind


@dataclass(frozen=True, slots=True)
class TaxRule:
    """One tax: what it is called, how much, and on what.

    Attributes
    ----------
    name : str
        As the bill says it.
    rate : Decimal
        As a part of one; 0 where nothing is taxed.
    on : tuple of {"work", "freight", "insurance"}
        Kinds of line of the quote that it is on.
    art : Decimal
        Rate on the artworks' list prices.
    reason : str
        Why nothing is taxed; empty where it is taxed, or where the rate is 0 as typed.
    """

    name: str
    rate: Decimal
    on: tuple[TaxedKind, ...]
    art: Decimal
    reason: str = ""


@dataclass(frozen=True, slots=True)
class PlaceTax:
    """What one rule of tax comes to over the places where it holds.

    Attributes
    ----------
    rule : TaxRule
        The rule.
    places : tuple of str
        Destinations, in the order of the pieces; empty for the one rule of an order whose places say nothing.
    pieces : tuple of str
        The pieces that go there; each bears its part.
    base, amount : Decimal
        What is taxed, and the tax, rounded half up once.
    """

    rule: TaxRule
    places: tuple[str, ...]
    pieces: tuple[str, ...]
    base: Decimal
    amount: Decimal


def tax_rule(place: Destination, rates: Rates) -> TaxRule:
    """Return the rule of tax at a place; what the place leaves open is as the rates say."""
    terms, usual = place.terms, rates.tax
    name = terms.tax_name or usual.name
    if terms.export:
        return TaxRule(name, Decimal(0), (), Decimal(0), terms.export)
    rate = usual.rate if terms.tax_rate is None else terms.tax_rate
    if terms.tax_on is None:
        passed: tuple[tuple[TaxedKind, bool], ...] = (("freight", usual.on_freight), ("insurance", usual.on_insurance))
        return TaxRule(name, rate, ("work", *(kind for kind, on in passed if on)), rates.sale.art_tax)
    art = rates.sale.art_tax if terms.tax_rate is None else rate
    on = tuple(kind for kind in terms.tax_on if kind != "art")
    return TaxRule(name, rate, on, art if "art" in terms.tax_on else Decimal(0))
