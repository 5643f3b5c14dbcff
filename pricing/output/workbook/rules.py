"""The end of the Assumptions page: the rules of the shop that the crates were made by, as one list."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any, Final

from nesting.base.measure import UnitSystem, format_length
from nesting.base.rule_files import told_in, told_value
from nesting.base.rules import RuleFacts
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop, rule_groups
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.inputs import yes
from pricing.output.workbook.page import Page
from pricing.studio.rule_words import group_of, is_a_part, label_of, part_text

_LEAD: Final = (
    "They shaped the crates and are changed in the shop file, not here. Those that this shop has otherwise than the "
    "program comes with stand first, on paper too; the rest of the list is for the screen."
)
_UNITS: Final = {"word": "", "words": "", "yes or no": "", "day": "", "count": "", "ratio": "×", "percent": "%"}
"""What stands beside a value for kinds of rules that are no unit of measure."""


def fill(binder: Binder, page: Page) -> int:
    """Write the rules as a list at the end of a page; return the row after those that are the shop's own."""
    rows = sorted(_rule_values(binder.quote.build.shop), key=lambda row: not row[4])
    count = sum(own for *_, own in rows)
    page.section("Rules of the shop, as used")
    lead = f"{_LEAD} Of {len(rows)} rules {count or 'none'} {'are' if count > 1 else 'is'} otherwise."
    page.paragraph(lead, "quiet wrap")
    page.list_heads("Rule", "Value", "Unit", "Meaning", "Own", "Source", right=(1,), head=False)
    last = page.row
    units = binder.quote.build.units
    for group, facts, told, value, own in rows:
        shown, unit = _rule_text(told, value, units)
        if is_a_part(facts, f"{group}.{facts.name}"):
            shown, unit = part_text(value), ""
        name = f"{group}.{facts.name}"
        page.put(0, f"{group_of(group)}: {label_of(name)}", "wrap")
        page.put(1, shown, "wrap", align="right")
        page.put(2, unit, "quiet wrap")
        page.put(3, told.doc, "quiet wrap")
        page.put(4, yes(own), "strong" if own else "quiet")
        page.put(5, told.source, "quiet wrap")
        page.next()
        if own:
            last = page.row
    page.end_list()
    return last


def _rule_values(shop: Shop) -> Iterator[tuple[str, RuleFacts, RuleFacts, Any, bool]]:
    """Yield every rule with its group, how people read it, its value, and whether it is another than the program's."""
    metric = shop.units == "metric"
    for name, made in rule_groups():
        group, plain = getattr(shop, name), getattr(default_shop(shop.units), name) if metric else made()
        for facts, told in told_in(group, shop.units):
            value, first = (getattr(each, facts.name) for each in (group, plain))
            yield name, facts, told, told_value(facts, told, value), value != first


def _rule_text(facts: RuleFacts, value: Any, units: UnitSystem) -> tuple[str, str]:
    """Return a rule's value for people, and its unit."""
    if facts.unit == "length":
        return format_length(value, units, 64), "mm" if units == "metric" else "in"
    if isinstance(value, bool):
        return yes(value), ""
    unit = _UNITS.get(facts.unit, facts.unit)
    if isinstance(value, tuple):
        return ", ".join(map(str, value)) or "none", unit
    return f"{value:f}" if isinstance(value, Decimal) else str(value), unit
