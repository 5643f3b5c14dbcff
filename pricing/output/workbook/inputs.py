"""The rates on the Assumptions page: every rule of the front office that a formula follows, to be changed there."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final, get_args

from nesting.base.rule_files import told_in
from pricing.output.workbook import by_place
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Formula, Page
from pricing.quoting.ladder import markup_and_margin
from pricing.studio.rates import Charge, Payer, RoundWay

_RATIO: Final = {"validate": "decimal", "criteria": "between", "minimum": 0, "maximum": 5}
_BASES: Final = {"ratio": "rate", "money": "money", "days": "count", "minutes": "number"}


@dataclass(frozen=True, slots=True)
class Input:
    """A rule that a formula follows: its group in the rates, its field there, the name of its cell, its title."""

    group: str
    rule: str
    name: str
    title: str
    words: Sequence[str] = ()


_YES_NO: Final = ("yes", "no")
_FROM_COST: Final = (
    Input("price", "charge", "charge_basis", "Charged", get_args(Charge)),
    Input("price", "waste", "waste_rate", "Waste of what is used"),
    Input("price", "sheet_waste", "sheet_waste_rate", "Waste of parts by area"),
    Input("price", "contingency", "contingency_rate", "Contingency"),
    Input("price", "overhead", "overhead_rate", "Overhead"),
    Input("price", "profit_rate", "", "Profit"),
    Input("price", "discount", "discount_rate", "Discount"),
    Input("price", "minimum", "minimum_charge", "Minimum charge"),
    Input("price", "round_to", "round_to", "Round to"),
    Input("price", "round_way", "round_way", "Round", get_args(RoundWay)),
    Input("price", "valid_days", "valid_days", "Holds for"),
    Input("price", "stale_days", "stale_after_days", "Prices stale after"),
)
_TAX: Final = (
    Input("tax", "rate", "sales_tax_rate", ""),
    Input("tax", "on_freight", "tax_on_freight", "on freight too", _YES_NO),
    Input("tax", "on_insurance", "tax_on_insurance", "on insurance too", _YES_NO),
)
_CARRIED: Final = (
    Input("insurance", "rate", "insurance_rate", "Insurance rate"),
    Input("insurance", "minimum", "insurance_minimum", "Least premium"),
    Input("sale", "commission", "commission_rate", "Gallery's commission"),
    Input("sale", "shipping_paid_by", "shipping_paid_by", "Packing, shipping paid by", get_args(Payer)),
    Input("sale", "art_tax", "art_tax_rate", "Sales tax on artworks"),
)


def fill(binder: Binder, page: Page) -> None:
    """Write every rate with its name, then the minutes of the operations that the plan has."""
    rates = binder.quote.rates
    page.section("Rates: from cost to price")
    _heads(page)
    for each in _FROM_COST:
        if each.rule == "profit_rate":
            _profit(binder, page)
        else:
            _rule(binder, page, each)
    page.skip()
    _by_good(binder, page)
    page.section("Taxes, insurance and sale prices")
    _heads(page)
    for each in _TAX:
        _rule(binder, page, each)
    for category, rate in rates.purchase_tax.items():
        name = binder.names.of("purchase_tax", category)
        doc = "Paid on what is bought and not got back, by the tax category of its price."
        _put(page, f"Purchase tax, {category}", name, rate, "rate", doc)
    for each in _CARRIED:
        _rule(binder, page, each)
    page.skip()
    _places(binder, page)
    page.section("Minutes of work")
    _heads(page)
    facts = {each.name: told for each, told in told_in(rates.labour, rates.sizes)}
    for row in binder.quote.labour:
        found = facts[row.operation]
        doc = f"{found.doc} Source: {found.source}."
        _put(page, row.title, binder.names.of("minutes", row.operation), row.minutes, "number", doc, unit="minutes")
    page.skip()


def _by_good(binder: Binder, page: Page) -> None:
    """Write for each good in use whether it is charged by a rule of its own; an empty cell is as all others."""
    quote = binder.quote
    batches = quote.sawn.batches if quote.sawn else ()
    rows = [*quote.takeoff.rows, *(row for batch in batches for row in batch.rows)]
    if not rows:
        return
    page.section("Charged by a rule of its own")
    page.heads("Good", "Rule", "", "Where the rule above is used; empty: as all others", right=(1,))
    for good, title in {row.good: row.title for row in rows}.items():
        own = quote.charging.by_good.get(good, "")
        _put(page, good, binder.names.of("charge", good), own, "right", title, words=get_args(Charge))
    page.skip()


def _places(binder: Binder, page: Page) -> None:
    """Write what places, or the order, say for themselves; nothing where none does."""
    own = by_place.inputs(binder)
    if not own:
        return
    page.section("Tax and sale by place")
    _heads(page)
    for each in own:
        _put(page, each.title, each.name, each.value, each.base, each.doc, words=each.words)
    page.skip()


def _heads(page: Page) -> None:
    page.heads("What", "Value", "", "What it does", right=(1,))


def _rule(binder: Binder, page: Page, each: Input) -> None:
    """Write one rule with the meaning that it has in the rates."""
    group = getattr(binder.quote.rates, each.group)
    facts = next(told for found, told in told_in(group, binder.quote.rates.sizes) if found.name == each.rule)
    value = binder.quote.charge if each.rule == "charge" else getattr(group, each.rule)
    shown = yes(value) if isinstance(value, bool) else value
    unit = binder.quote.currency if facts.unit == "money" else facts.unit if facts.unit == "days" else ""
    title = each.title or group.name
    _put(page, title, each.name, shown, _BASES.get(facts.unit, "right"), facts.doc, unit=unit, words=each.words)


def _profit(binder: Binder, page: Page) -> None:
    """Write the profit both ways: the one that the shop sets, and the other that follows from it."""
    rules = binder.quote.rates.price
    markup, margin = markup_and_margin(rules)
    ways: Iterator[tuple[str, str, Any, str]]
    if rules.profit == "markup":
        follows = Formula("markup_rate/(1+markup_rate)", margin)
        ways = iter(
            (
                (
                    "Markup on cost",
                    "markup_rate",
                    rules.profit_rate,
                    "Profit as a part of cost: price = cost x (1 + m).",
                ),
                (
                    "that is, margin on price",
                    "margin_rate",
                    follows,
                    "The same profit as a part of price: m / (1 + m).",
                ),
            )
        )
    else:
        follows = Formula("margin_rate/(1-margin_rate)", markup)
        ways = iter(
            (
                (
                    "Margin on price",
                    "margin_rate",
                    rules.profit_rate,
                    "Profit as a part of price: price = cost / (1 - m).",
                ),
                ("that is, markup on cost", "markup_rate", follows, "The same profit as a part of cost: m / (1 - m)."),
            )
        )
    for title, name, value, doc in ways:
        _put(page, title, name, value, "rate", doc)


# arguments: the cells of a row
def _put(
    page: Page, title: str, name: str, value: Any, base: str, doc: str, *, unit: str = "", words: Sequence[str] = ()
) -> None:
    """Write one rate: title, value, unit, meaning; a value that follows from another is no input."""
    page.put(0, title, "wrap")
    page.put(1, value, base, yours=not isinstance(value, Formula), name=name)
    if words:
        page.sheet.data_validation(page.row, 1, page.row, 1, {"validate": "list", "source": list(words)})
    elif base == "rate" and not isinstance(value, Formula):
        page.sheet.data_validation(page.row, 1, page.row, 1, _RATIO)
    page.put(2, unit, "quiet")
    page.put(3, doc, "quiet wrap")
    page.next()


def yes(value: bool) -> str:
    """Return a choice as the word that formulas look for."""
    return "yes" if value else "no"
