"""The Assumptions page: rates to change, what is fixed, what to know before sending, rules, cautions and sources."""

from collections.abc import Iterator, Sequence
from dataclasses import fields
from decimal import Decimal
from typing import Any, Final

from nesting.advice.check import ADVICE
from nesting.measure import UnitSystem, format_length
from nesting.rules import RuleFacts, rules_of
from nesting.shop import Shop
from pricing.ladder import markup_and_margin
from pricing.workbook.binder import FIXED_AND_LIVE, Binder
from pricing.workbook.client import CAUTIONS
from pricing.workbook.page import Formula, Page

_WIDTHS: Final = (190, 96, 70, 324)
_LEAD: Final = (
    "What this quote rests on. Cells on a yellow ground, here and on the other pages, are yours to change; every other figure "
    "follows from them or is fixed."
)
_SAW: Final = (
    "Measure a sheet before it is cut: factory sheets may be short, over, or out of square. Measure the kerf of your own blade.",
    "Guard and riving knife on, eyes and ears protected, large panels supported; unplug before the blade is changed.",
    "Lift with enough people, lids screwed down, and never stand below a raised case.",
)
_RATIO: Final = {"validate": "decimal", "criteria": "between", "minimum": 0, "maximum": 5}


def fill(binder: Binder) -> None:
    """Write the page and name every rate."""
    page = binder.page("Assumptions", _WIDTHS)
    page.title("Assumptions", f"{_LEAD} {FIXED_AND_LIVE}")
    _flags(binder, page)
    _rates(binder, page)
    _minutes(binder, page)
    _fixed(binder, page)
    _cautions(binder, page)
    _sources(binder, page)
    _rules(binder, page)
    page.finish(foot=binder.foot)


def _flags(binder: Binder, page: Page) -> None:
    """Write what to know before the quote is sent."""
    page.section("To know before this quote is sent")
    told = [flag.text for flag in binder.quote.flags]
    told += [f"{each.crate} to {each.destination}: {each.text}." for each in binder.quote.unsuited]
    for text in told or ["Nothing stands out."]:
        page.paragraph(text, "alarm" if told else "quiet wrap")
    page.skip()


class _Inputs:
    """Writes rates: title, value, unit, meaning, each with its name."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def heads(self) -> None:
        """Write the headings."""
        self.page.heads("What", "Value", "", "What it does", right=(1,))

    def put(
        self, title: str, name: str, value: Any, base: str, doc: str, *, words: Sequence[str] = (), unit: str = ""
    ) -> None:
        """Write one rate that may be changed."""
        page = self.page
        page.put(0, title, "wrap")
        page.put(1, value, base, yours=not isinstance(value, Formula), name=name)
        if words:
            page.sheet.data_validation(page.row, 1, page.row, 1, {"validate": "list", "source": list(words)})
        elif base == "rate":
            page.sheet.data_validation(page.row, 1, page.row, 1, _RATIO)
        page.put(2, unit, "quiet")
        page.put(3, doc, "quiet wrap")
        page.next()


def _rates(binder: Binder, page: Page) -> None:
    """Write the rates from cost to price, taxes, sale prices and insurance."""
    quote, currency = binder.quote, binder.quote.currency
    price, tax, sale, insurance = quote.rates.price, quote.rates.tax, quote.rates.sale, quote.rates.insurance
    markup, margin = markup_and_margin(price)
    by_markup = price.profit == "markup"
    inputs = _Inputs(page)
    page.section("Rates: from cost to price")
    inputs.heads()
    put = inputs.put
    put("Charged", "charge_basis", quote.charge, "right", "bought: all that must be bought; used: what the job uses up, with "
        "its part of waste.", words=("bought", "used"))  # fmt: skip
    put("Contingency", "contingency_rate", price.contingency, "rate", "Added to direct cost for what goes wrong.")
    put(
        "Overhead",
        "overhead_rate",
        price.overhead,
        "rate",
        "Added to direct cost and contingency for rent, tools, office.",
    )
    put("Markup on cost", "markup_rate", markup if by_markup else Formula("margin_rate/(1-margin_rate)", markup), "rate",
        "Profit as a part of cost." if by_markup else "The same profit as a part of cost: m / (1 - m).")  # fmt: skip
    put("Margin on price", "margin_rate", Formula("markup_rate/(1+markup_rate)", margin) if by_markup else margin, "rate",
        "The same profit as a part of price: m / (1 + m)." if by_markup else "Profit as a part of price: cost / (1 - m).",
    )  # fmt: skip
    put("Discount", "discount_rate", price.discount, "rate", "Taken off after profit.")
    put(
        "Minimum charge",
        "minimum_charge",
        price.minimum,
        "money",
        "No job is charged less, before freight and tax.",
        unit=currency,
    )
    put("Round to", "round_to", price.round_to, "money", "The price is rounded to a multiple of this.", unit=currency)
    put("Round", "round_way", price.round_way, "right", "nearest (halves up), or always up.", words=("nearest", "up"))
    put("Holds for", "valid_days", price.valid_days, "count", "How long the quote holds.", unit="days")
    put(
        "Stale after",
        "stale_after_days",
        price.stale_days,
        "count",
        "An older price is marked on the Prices page.",
        unit="days",
    )
    page.skip()
    page.section("Taxes, insurance and sale prices")
    inputs.heads()
    put(
        tax.name,
        "sales_tax_rate",
        tax.rate,
        "rate",
        "On the price; ask whoever does the books what applies where you are.",
    )
    put(
        "on freight too",
        "tax_on_freight",
        _yes(tax.on_freight),
        "right",
        "Whether freight is taxed.",
        words=("yes", "no"),
    )
    put(
        "on insurance too",
        "tax_on_insurance",
        _yes(tax.on_insurance),
        "right",
        "Whether insurance is taxed.",
        words=("yes", "no"),
    )
    for category, rate in quote.rates.purchase_tax.items():
        name = binder.names.of("purchase_tax", category)
        put(
            f"Purchase tax, {category}",
            name,
            rate,
            "rate",
            "Paid on what is bought and not got back, by the tax of its price.",
        )
    put(
        "Insurance rate",
        "insurance_rate",
        insurance.rate,
        "rate",
        f"Premium as a part of declared value, of {insurance.as_of}.",
    )
    put(
        "Least premium",
        "insurance_minimum",
        insurance.minimum,
        "money",
        "Of a consignment that declares anything.",
        unit=currency,
    )
    put(
        "Gallery's commission",
        "commission_rate",
        sale.commission,
        "rate",
        "Its part of the list price, tax not counted.",
    )
    put("Packing, shipping paid by", "shipping_paid_by", sale.shipping_paid_by, "right",
        "list price (it rises by S / (1 - c)), buyer, artist or gallery.", words=("list price", "buyer", "artist", "gallery"),
    )  # fmt: skip
    put("Sales tax on artworks", "art_tax_rate", sale.art_tax, "rate", "It bears no commission.")
    page.skip()


def _minutes(binder: Binder, page: Page) -> None:
    """Write the minutes of the operations that the plan has."""
    rules = {facts.name: facts for facts in rules_of(binder.quote.rates.labour)}
    inputs = _Inputs(page)
    page.section("Minutes of work")
    inputs.heads()
    for row in binder.quote.labour:
        doc = f"{rules[row.operation].doc} Source: {rules[row.operation].source}."
        inputs.put(row.title, binder.names.of("minutes", row.operation), row.minutes, "number", doc, unit="minutes")
    page.skip()


def _fixed(binder: Binder, page: Page) -> None:
    """Write what was settled when the workbook was made."""
    quote, build = binder.quote, binder.quote.build
    units = build.order.units
    page.section("Fixed when this workbook was made")
    carried = (
        "join the direct cost and are marked up" if quote.rates.price.freight_marked_up else "pass through unmarked"
    )
    facts = (
        ("Cutting plans", "which sheets, sticks and rolls are taken and what is cut from each; which sizes of boxes are bought"),
        ("Methods and crates", "sizes, weights, hardware and counts of work, as on the other pages"),
        ("Freight and insurance", carried),
        ("Ways of shipping", "which profile each destination takes, distances, billed weights and classes"),
        ("Units", "inches and pounds" if units == "inch" else "millimetres and kilograms"),
        ("Currency", quote.currency),
        ("Kerf of the sheet saw", format_length(build.shop.saw.kerf, units, 64, mark=True)),
        ("Search", f"seed {build.seed}, effort {build.effort}: the same again gives the same plan"
         + (f"; cut short by {build.stopped}" if build.stopped else "")),
        ("Prices from", quote.book.source or ("the built-in price book" + (", invented" if quote.book.invented else ""))),
        ("Rates from", quote.rates.source or "the built-in rates"),
    )  # fmt: skip
    for title, text in facts:
        page.put(0, title, "wrap")
        page.put(1, text, "wrap", span=3)
        page.next()
    page.skip()


def _cautions(binder: Binder, page: Page) -> None:
    page.section("Cautions")
    borders = any(crate.raw_wood for crate in binder.quote.build.crates)
    wood = ("Crates with raw wood need treated, marked wood to cross a border.",) if borders else ()
    for text in (*CAUTIONS, *_SAW, *wood):
        page.paragraph(text)
    page.skip()


def _sources(binder: Binder, page: Page) -> None:
    """Write the formulas behind the findings, each once, with source and limits."""
    page.section("What is advice, and where it comes from")
    page.paragraph(ADVICE)
    seen: dict[tuple[str, str], str] = {}
    for crate in binder.quote.build.crates:
        for check in crate.checks:
            seen.setdefault((check.formula, check.source), f"{check.name.split(',')[0]}. {check.limits_of_use}")
    if seen:
        page.heads("What", "Formula", "", "Source")
    for (formula, source), what in seen.items():
        page.put(0, what, "quiet wrap")
        page.put(1, formula, "quiet wrap", span=2)
        page.put(3, source, "quiet wrap")
        page.next()
    page.skip()


def _rules(binder: Binder, page: Page) -> None:
    """Write the shop's rules that the crates were made by."""
    page.section("Rules of the shop, as used")
    page.paragraph("They shaped the crates and are changed in the shop file, not here.", "quiet wrap")
    page.heads("Rule", "Value", "Unit", "Meaning and source", right=(1,))
    units = binder.quote.build.order.units
    for group, facts, value in _rule_values(binder.quote.build.shop):
        shown, unit = _rule_text(facts, value, units)
        page.put(0, f"{group}: {facts.name.replace('_', ' ')}", "wrap")
        page.put(1, shown, "wrap", align="right")
        page.put(2, unit, "quiet wrap")
        page.put(3, f"{facts.doc} ({facts.source})", "quiet wrap")
        page.next()


def _rule_values(shop: Shop) -> Iterator[tuple[str, RuleFacts, Any]]:
    """Yield every rule of the shop with its group and its value."""
    for each in fields(shop):
        group = getattr(shop, each.name)
        if each.name in ("goods", "studio"):
            continue
        for facts in rules_of(group):
            yield each.name, facts, getattr(group, facts.name)


def _rule_text(facts: RuleFacts, value: Any, units: UnitSystem) -> tuple[str, str]:
    """Return a rule's value for people, and its unit."""
    if facts.unit == "length":
        return format_length(value, units, 64), "mm" if units == "metric" else "in"
    if isinstance(value, bool):
        return _yes(value), ""
    if isinstance(value, Decimal):
        return f"{value:f}", facts.unit
    return str(value), "" if facts.unit == "word" else facts.unit


def _yes(value: bool) -> str:
    return "yes" if value else "no"
