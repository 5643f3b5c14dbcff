"""The Methods page: each piece packed each way, the rest of the order as it is, and the cheapest ways together."""

from typing import Final

from nesting.base.measure import UnitSystem
from nesting.crates.registry import called
from pricing.ahead.methods.combine import Combination
from pricing.ahead.methods.compare import Row
from pricing.ahead.methods.pricer import Outcome
from pricing.ahead.methods.units import Unit
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Page
from pricing.quoting.incomplete import told as words

_WIDTHS: Final = (84, 78, 78, 78, 56, 66, 86, 60, 60, 60, 300)
_LEAD: Final = (
    "Each piece packed each way, the rest of the order as it is. Cost, freight and hours are what the piece then "
    "bears; a trip is its cost with the crate written off over the trips that it serves. A record of the search, at "
    "the prices of the day of the quote: it does not follow changed prices."
)


def fill(binder: Binder, found: Combination) -> None:
    """Write the page."""
    page = binder.page("Methods", _WIDTHS, landscape=True)
    page.title("Methods", _LEAD)
    for line in found.held_lines():
        page.paragraph(line, "alarm")
    _together(binder, page, found)
    for unit, rows in zip(found.comparison.units, found.comparison.rows, strict=True):
        _unit(binder, page, unit, rows)
    page.finish(repeat=(0, 0), foot=binder.foot)


def _together(binder: Binder, page: Page, found: Combination) -> None:
    """Write what the cheapest combination is and what it saves."""
    currency = binder.quote.currency
    page.section("The cheapest ways together")
    each = found.each_cheapest
    lines: list[tuple[str, Outcome | None]] = [("As chosen now", found.comparison.now)]
    lines.append(("Every piece in its own cheapest way", each if isinstance(each, Outcome) else None))
    lines.append((found.best_called, found.best))
    for title, outcome in lines:
        page.put(0, title, span=4)
        if outcome is None:
            page.put(4, "cannot be built", "quiet", span=3, align="right")
        else:
            page.put(4, outcome.total if found.by == "total" else outcome.a_trip, "money", span=3)
            page.put(7, outcome.without, "alarm", span=4)
        page.next()
    for head, lacks in found.lacking():
        page.paragraph(f"{head}:", "alarm")
        for lack in lacks:
            page.paragraph(f"•  {lack.whole}", "alarm")
    for name, now, then in found.changed:
        page.paragraph(f"{name}: {then} instead of {now}", "quiet wrap", start=1)
    proof = "every combination was priced" if found.complete else "others may be cheaper still"
    told = f"{found.told_saving(currency)}. {found.evaluations} whole orders were priced; {proof}."
    page.paragraph(told)
    page.skip()


def _unit(binder: Binder, page: Page, unit: Unit, rows: tuple[Row, ...]) -> None:
    """Write one piece, or pieces that go together, with every way."""
    money, units = binder.money, binder.quote.build.units
    names = "" if unit.copies == (unit.name,) else f": {', '.join(unit.copies)}"
    page.section(f"{unit.name}{names}")
    page.heads(
        "Way", money("Cost"), money("Freight"), money("A trip"), "Hours", f"Weight, {binder.styles.weight_unit}",
        money("Order then +/-"), "Covers to remove", "Screws to draw", "Minutes to open", "At the gallery",
        right=range(1, 10),
    )  # fmt: skip
    for row in rows:
        _way(page, row, units)
    page.skip()


def _way(page: Page, row: Row, units: UnitSystem) -> None:
    """Write one way of packing."""
    page.put(0, f"{called(row.method)}{', now' if row.chosen else ''}", bold=row.chosen)
    told = [text for text in (words(row.incomplete), row.against, *row.troubles) if text]
    if row.bearing is None:
        reasons = "; ".join(row.refused) or "no reason is known"
        page.put(1, f"Cannot be made: {reasons}", "quiet wrap", span=page.columns - 1)
        page.next()
        return
    bearing, hands = row.bearing, row.bearing.handling
    for column, amount in ((1, bearing.cost), (2, bearing.freight), (3, bearing.a_trip), (6, row.difference)):
        page.put(column, amount, "money")
    page.put(4, bearing.hours, "number", num_format="0.0")
    page.put(5, page.styles.weight(bearing.kg), "weight")
    page.put(7, len(hands.covers), "count")
    page.put(8, hands.turned, "count")
    page.put(9, hands.minutes, "number", num_format="0.0")
    company = [f"shares its case with {', '.join(dict.fromkeys(bearing.company))}"] if bearing.company else []
    page.put(10, "; ".join([hands.hands(units), *company, *told]), "quiet wrap")
    page.next()
