"""Tax by place and kind of line: which rule holds where, what it is on, and what it comes to."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from nesting.base.counts import few
from nesting.base.ratio import ratio_text
from pricing.money import from_cents, half_up, total
from pricing.quoting.ladder import Step
from pricing.quoting.shares import Division
from pricing.studio.destinations import Destination
from pricing.studio.rates import Rates
from pricing.studio.sale_terms import TaxedKind

ONE_RATE: Final = "rate x what is taxed"
BY_PLACE: Final = "by place, each at its own rate"


@dataclass(frozen=True, slots=True)
class TaxRule:
    """One tax: what it is called, how much, and on what.

    Attributes
    ----------
    name : str
        As the bill says it.
    rate : Decimal
        As a part of one; 0 where nothing is taxed.
    on : tuple of {"art", "work", "freight", "insurance"}
        Kinds of line that it is on. The quote has no art on it; what the rates alone say of art stands only below.
    art : Decimal
        Rate on the artworks' list prices.
    reason : str
        Why nothing is taxed; empty where it is taxed, or where the rate is 0 as typed.
    own : tuple of {"rate", "on"}
        What the place says itself: it stays as it is when the rates change.
    """

    name: str
    rate: Decimal
    on: tuple[TaxedKind, ...]
    art: Decimal
    reason: str = ""
    own: tuple[Literal["rate", "on"], ...] = ()


@dataclass(frozen=True, slots=True)
class PlaceTax:
    """What one rule of tax comes to over the places where it holds.

    Attributes
    ----------
    rule : TaxRule
        The rule.
    places : tuple of str
        Destinations, in the order of the pieces; an empty name where the order names none.
    pieces : tuple of str
        The pieces that go there, held ones among them; each bears its part.
    base, amount : Decimal
        What is taxed, and the tax, rounded half up once.
    """

    rule: TaxRule
    places: tuple[str, ...]
    pieces: tuple[str, ...]
    base: Decimal
    amount: Decimal

    @property
    def where(self) -> str:
        """Where it holds, in words; empty where no place is named."""
        return few(tuple(filter(None, self.places)))

    @property
    def told(self) -> str:
        """What is taxed there and how, without the amounts: ``VAT 20 % on work, freight; Pier Hall``."""
        rule = self.rule
        if rule.reason:
            how = f"none: {rule.reason}"
        else:
            on = [kind for kind in rule.on if kind != "art"]  # list prices stand on another bill
            how = f"{ratio_text(rule.rate)} on {', '.join(on)}" if on else "none"
        return "; ".join(filter(None, (f"{rule.name} {how}", self.where)))


def tax_rule(place: Destination, rates: Rates) -> TaxRule:
    """Return the rule of tax at a place; what the place leaves open is as the rates say."""
    terms, usual = place.terms, rates.tax
    name = terms.tax_name or usual.name
    if terms.export:
        return TaxRule(name, Decimal(0), (), Decimal(0), terms.export, ("rate", "on"))
    said: tuple[tuple[Literal["rate", "on"], object], ...] = (("rate", terms.tax_rate), ("on", terms.tax_on))
    own = tuple(what for what, value in said if value is not None)
    rate = usual.rate if terms.tax_rate is None else terms.tax_rate
    if terms.tax_on is None:
        passed: tuple[tuple[TaxedKind, bool], ...] = (("freight", usual.on_freight), ("insurance", usual.on_insurance))
        on: tuple[TaxedKind, ...] = ("work", *(kind for kind, taxed in passed if taxed))
        return TaxRule(name, rate, on, rates.sale.art_tax, own=own)
    art = rates.sale.art_tax if terms.tax_rate is None else rate
    return TaxRule(name, rate, terms.tax_on, art if "art" in terms.tax_on else Decimal(0), own=own)


def levy(division: Division, rules: Mapping[str, TaxRule], places: Mapping[str, str]) -> tuple[PlaceTax, ...]:
    """Tax what pieces bear, rule by rule, and let each piece bear the tax of its own place.

    One rule is rounded once, over all that it is on, half up (an invoice's usual way; some countries round each line
    instead). Work that is on the bill and freight that joined it are one: freight which is not billed by itself is
    taxed as the work is.

    Parameters
    ----------
    division : Division
        What every piece bears of all else; gets a column of tax.
    rules : mapping of str to TaxRule
        By piece.
    places : mapping of str to str
        Where each piece goes; empty where nobody says.
    """
    made = []
    by_rule: dict[TaxRule, list[str]] = {}
    for piece in division.everyone:
        by_rule.setdefault(rules[piece], []).append(piece)
    for rule, mine in by_rule.items():
        pieces = tuple(mine)
        taxed = division.so_far(taxed_columns(division, rule), frozenset(mine))
        base = from_cents(int(sum(taxed.values()) * 100))
        amount = half_up(base * rule.rate)
        division.add("tax", amount, taxed)
        made.append(PlaceTax(rule, tuple(dict.fromkeys(places[piece] for piece in pieces)), pieces, base, amount))
    return tuple(made)


def taxed_columns(division: Division, rule: TaxRule) -> list[str]:
    """Return the columns of a division that a rule taxes."""
    passed = [kind for kind in ("freight", "insurance") if kind in division.columns and kind not in division.work]
    return [*(division.work if "work" in rule.on else ()), *(kind for kind in passed if kind in rule.on)]


def with_tax(steps: Sequence[Step], taxes: Sequence[PlaceTax]) -> tuple[Step, ...]:
    """Return the steps with that of tax at their end: one rule's, or the sum of what the places ask."""
    base, amount = total(each.base for each in taxes), total(each.amount for each in taxes)
    running = steps[-1].running + amount
    if len(taxes) == 1:
        rule = taxes[0].rule
        return (*steps, Step("tax", rule.name, rule.rate, base, amount, running, rule.reason or ONE_RATE))
    names = ", ".join(dict.fromkeys(each.rule.name for each in taxes))
    return (*steps, Step("tax", names, None, base, amount, running, BY_PLACE))


def whole_tax(steps: Sequence[Step], rates: Rates, places: Mapping[str, str]) -> tuple[PlaceTax, ...]:
    """Return the one tax of a quote that was kept before places had their own."""
    step = steps[-1]
    where = tuple(dict.fromkeys(places.values()))
    return (PlaceTax(tax_rule(Destination("not stated"), rates), where, tuple(places), step.base, step.amount),)


def by_place(taxes: Sequence[PlaceTax]) -> tuple[PlaceTax, ...]:
    """Return the taxes that must be told one by one: those of several rules, or one that says why nothing is due."""
    return tuple(taxes) if len(taxes) > 1 or any(each.rule.reason for each in taxes) else ()
