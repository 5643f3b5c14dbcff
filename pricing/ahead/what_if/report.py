"""Scenarios side by side, as a plain table for the terminal and as JSON."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from textwrap import wrap
from typing import Any, Final

from nesting.base.measure import format_weight
from pricing.ahead.what_if.run import Answer
from pricing.money import amount_text
from pricing.quoting.lacks import graves
from pricing.quoting.quote import Quote

_NAME: Final = 26
_WIDE: Final = 110


def figures(quote: Quote) -> dict[str, Decimal | int | float]:
    """Return the figures that are compared, by name."""
    build = quote.build
    return {
        "total": quote.total,
        "materials": sum((quote.section(name) for name in ("sheets", "sticks", "rolls", "hardware")), Decimal(0)),
        "labour": quote.section("labour"),
        "freight": quote.section("freight"),
        "hours": quote.hours,
        "packages": len(build.travelling),
        "sheets": build.sheet_count,
        "kg": build.gross_kg,
    }


def report(answers: Sequence[Answer], currency: str) -> str:
    """Return the scenarios as text, one a line."""
    return "\n".join(_lines(answers, currency))


def _lines(answers: Sequence[Answer], currency: str) -> Iterator[str]:
    for line in held_lines(answers):
        yield line
        yield ""
    yield f"Each scenario is a full quote of its own. Amounts in {currency}; +/- is against the order as it is."
    yield ""
    yield (
        f"{'':<{_NAME}}{'total':>11}{'+/-':>11}{'materials':>11}{'labour':>10}{'freight':>10}{'hours':>8}"
        f"{'packages':>9}{'sheets':>7}{'weight':>11}  days late"
    )
    for answer in answers:
        yield from _line(answer, answers[0].quote)


def held_lines(answers: Sequence[Answer]) -> list[str]:
    """Return what is held, scenario by scenario: what stands before anything else."""
    return [
        f"{each.title}: {line[0].lower()}{line[1:]}"
        for each in answers
        if each.quote is not None and (line := each.quote.build.lacking_line)
    ]


def change(quote: Quote, base: Quote | None) -> Decimal | None:
    """Return what a total is above another; None where there is none, or where the two do not compare."""
    if base is None or not quote.compares_with(base):
        return None
    return quote.total - base.total


def _line(answer: Answer, base: Quote | None) -> Iterator[str]:
    title = answer.title
    if len(title) >= _NAME:
        yield title
        title = ""
    quote = answer.quote
    if quote is None:
        reasons = wrap("cannot be built: " + "; ".join(answer.refused), _WIDE - _NAME)
        yield f"{title:<{_NAME}}{reasons[0]}"
        yield from (" " * _NAME + line for line in reasons[1:])
        return
    found = figures(quote)
    above = change(quote, base)
    told = "" if above is None else f"{above:+,.2f}"
    late = max((entry.late_days for entry in answer.calendar.entries), default=0) if answer.calendar else 0
    weight = format_weight(float(found["kg"]), quote.build.units, mark=True)
    yield (
        f"{title:<{_NAME}}{found['total']:>11,.2f}{told:>11}{found['materials']:>11,.2f}{found['labour']:>10,.2f}"
        f"{found['freight']:>10,.2f}{found['hours']:>8.2f}{found['packages']:>9}{found['sheets']:>7}{weight:>11}"
        f"  {late or '-'}" + (f"  {quote.without}" if quote.without else "")
    )
    for lack in graves(quote.lacks):
        yield from wrap(f"! {lack.whole}", _WIDE, initial_indent="    ", subsequent_indent="      ")


def document(answers: Sequence[Answer], currency: str) -> dict[str, Any]:
    """Return the same as plain values for JSON; amounts are strings."""
    return {"currency": currency, "held": held_lines(answers), "scenarios": [_document(answer) for answer in answers]}


def _document(answer: Answer) -> dict[str, Any]:
    plain: dict[str, Any] = {"name": answer.name, "title": answer.title, "refused": list(answer.refused)}
    if answer.quote is not None:
        money = ("total", "materials", "labour", "freight")
        plain |= {
            key: amount_text(value) if key in money and isinstance(value, Decimal) else _plain(value)
            for key, value in figures(answer.quote).items()
        }
        plain["held"] = [crate.crate for crate in answer.quote.build.held]
        plain["unpacked"] = [each.piece for each in answer.quote.build.unpacked]
        plain["incomplete"] = list(answer.quote.incomplete)
        plain["lacks"] = [lack.as_dict() for lack in answer.quote.lacks]
    if answer.calendar is not None:
        last = answer.calendar.last_day_to_buy
        plain["late_days"] = max((entry.late_days for entry in answer.calendar.entries), default=0)
        plain["last_day_to_buy"] = last.isoformat() if last else None
    return plain


def _plain(value: Decimal | float) -> Any:
    return str(value) if isinstance(value, Decimal) else value
