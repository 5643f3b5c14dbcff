"""A comparison as a plain table for the terminal, and as JSON."""

from collections.abc import Iterator
from decimal import Decimal
from textwrap import wrap
from typing import Any, Final

from nesting.base.counts import plural
from nesting.base.measure import UnitSystem, format_weight
from nesting.crates.registry import called
from pricing.ahead.methods.combine import Combination
from pricing.ahead.methods.compare import Row
from pricing.ahead.methods.pricer import EARLY, Outcome
from pricing.ahead.methods.units import Unit
from pricing.money import amount_text, show
from pricing.quoting.incomplete import told

_WIDE: Final = 110


def report(found: Combination, currency: str, units: UnitSystem) -> str:
    """Return the table and the combination as text, at most 110 columns wide where names allow."""
    return "\n".join(_lines(found, currency, units))


def _lines(found: Combination, currency: str, units: UnitSystem) -> Iterator[str]:
    for line in found.held_lines():
        yield line
        yield ""
    yield f"Each piece packed each way, the rest of the order as it is. Amounts in {currency}; > is what is chosen now."
    yield "Cost, freight and hours are what the piece bears; a trip: with the crate written off over its trips."
    for unit, rows in zip(found.comparison.units, found.comparison.rows, strict=True):
        yield ""
        yield f"{unit.name}: {', '.join(unit.copies)}" if unit.copies != (unit.name,) else unit.name
        yield (
            f"  {'':<16}{'cost':>10}{'freight':>10}{'a trip':>10}{'hours':>8}{'weight':>11}{'order +/-':>12}  "
            "covers, screws, minutes to open"
        )
        for row in rows:
            yield from _row(row, units)
    yield ""
    yield from _combination(found, currency)


def _row(row: Row, units: UnitSystem) -> Iterator[str]:
    head = f"{'>' if row.chosen else ' '} {called(row.method):<16}"
    if row.bearing is None:
        yield from _wrapped(_refused(row.refused), head)
        return
    bearing, hands = row.bearing, row.bearing.handling
    change = f"{row.difference:+.2f}" if row.difference is not None else ""
    weight = format_weight(bearing.kg, units, mark=True)
    yield (
        f"{head}{bearing.cost:>10.2f}{bearing.freight:>10.2f}{bearing.a_trip:>10.2f}{bearing.hours:>8.2f}{weight:>11}"
        f"{change:>12}  {len(hands.covers)}, {hands.turned}, {hands.minutes.normalize():f}"
    )
    yield from _wrapped(hands.hands(units))
    if row.incomplete:
        yield from _wrapped(told(row.incomplete))
    if bearing.company:
        yield from _wrapped(f"shares its case with {', '.join(dict.fromkeys(bearing.company))}")
    for text in (row.against, *row.troubles):
        if text:
            yield from _wrapped(f"! {text}")


def _refused(reasons: tuple[str, ...]) -> str:
    """Say why there is no price."""
    first = reasons[0] if reasons else "no reason is known"
    return first if first == EARLY else f"cannot be made: {first}"


def _wrapped(text: str, head: str = "") -> list[str]:
    """Write a text beside the methods, in as many lines as it takes."""
    return wrap(text, _WIDE, initial_indent=f"{head:<18}", subsequent_indent=" " * 18)


def _combination(found: Combination, currency: str) -> Iterator[str]:
    now, best, each = found.comparison.now, found.best, found.each_cheapest
    by = "" if found.by == "total" else " (a trip, crates written off)"
    yield f"As chosen now{by:<32}{_money(found, now):>14}{_lacking(now)}"
    if isinstance(each, Outcome):
        yield f"Every piece in its cheapest row{by:<14}{_money(found, each):>14}{_lacking(each)}"
    else:
        yield f"Every piece in its cheapest row: {_refused(each.reasons)}"
    best_called = found.best_called.removeprefix("The ").capitalize()
    yield f"{best_called + by:<45}{_money(found, best):>14}{_lacking(best)}"
    for head, lacks in found.lacking():
        yield from wrap(f"{head}:", _WIDE)
        for lack in lacks:
            yield from wrap(f"! {lack.whole}", _WIDE, initial_indent="  ", subsequent_indent="    ")
    for name, before, after in found.changed:
        yield f"  {name}: {called(after)} instead of {called(before)}"
    if not found.changed:
        yield "  nothing to change"
    yield found.told_saving(currency) + (
        f", and {show(found.against_each, currency)} against every piece in its cheapest row."
        if found.against_each is not None
        else "."
    )
    if found.kept:
        names = ", ".join(found.kept)
        yield from wrap(f"Packed as the order asks, whatever is cheaper: {names}. --free changes them too.", _WIDE)
    proof = "every combination was priced" if found.complete else "others may be cheaper still"
    yield f"{plural(found.evaluations, 'whole order')} priced; {proof}."


def _lacking(outcome: Outcome) -> str:
    """Return what stands after a total that lacks held pieces or is incomplete."""
    return f"  {outcome.without}" if outcome.without else ""


def _money(found: Combination, outcome: Outcome) -> str:
    return f"{outcome.total if found.by == 'total' else outcome.a_trip:,.2f}"


def document(found: Combination, currency: str) -> dict[str, Any]:
    """Return the same as plain values for JSON; amounts are strings, weights kilograms, distances grid units."""
    table = found.comparison
    return {
        "currency": currency,
        "held": found.held_lines(),
        "now": _outcome(table.now),
        "units": [_unit(unit, rows) for unit, rows in zip(table.units, table.rows, strict=True)],
        "each_cheapest": _outcome(found.each_cheapest) if isinstance(found.each_cheapest, Outcome) else None,
        "best": _outcome(found.best),
        "comparable": found.comparable,
        "changed": [{"unit": name, "now": now, "then": then} for name, now, then in found.changed],
        "by": found.by,
        "saving": amount_text(found.saving),
        "against_each_cheapest": None if found.against_each is None else amount_text(found.against_each),
        "evaluations": found.evaluations,
        "complete": found.complete,
    }


def _outcome(outcome: Outcome) -> dict[str, Any]:
    return {
        "total": amount_text(outcome.total),
        "a_trip": amount_text(outcome.a_trip),
        "hours": str(outcome.hours),
        "methods": list(outcome.choice),
        "troubles": list(outcome.troubles),
        "lacks": [lack.as_dict() for lack in outcome.lacks],
        "held": list(outcome.held),
        "unpacked": list(outcome.unpacked),
        "incomplete": list(outcome.incomplete),
    }


def _unit(unit: Unit, rows: tuple[Row, ...]) -> dict[str, Any]:
    return {
        "unit": unit.name,
        "pieces": list(unit.copies),
        "destination": unit.destination,
        "asked": unit.asked,
        "methods": [_method(row) for row in rows],
    }


def _method(row: Row) -> dict[str, Any]:
    plain: dict[str, Any] = {
        "method": row.method,
        "chosen": row.chosen,
        "refused": list(row.refused),
        "against": row.against,
        "troubles": list(row.troubles),
        "incomplete": list(row.incomplete),
        "order_incomplete": list(row.order_incomplete),
        "order_total": _amount(row.order_total),
        "difference": _amount(row.difference),
    }
    if row.bearing is not None:
        each, hands = row.bearing, row.bearing.handling
        plain |= {
            "cost": amount_text(each.cost),
            "freight": amount_text(each.freight),
            "a_trip": amount_text(each.a_trip),
            "hours": str(each.hours),
            "kg": each.kg,
            "crates": list(each.crates),
            "shares_its_case_with": list(dict.fromkeys(each.company)),
            "covers": [cover.sentence() for cover in hands.covers],
            "mounting_screws": hands.mounting,
            "wrapped_layers": hands.wraps,
            "clear": hands.clear,
            "open_minutes": str(hands.minutes),
        }
    return plain


def _amount(amount: Decimal | None) -> str | None:
    return None if amount is None else amount_text(amount)
