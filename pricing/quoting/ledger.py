"""A total as the entries that it is the sum of: all that is kept of a quote beside which another one is shown."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from pricing.quoting.quote import Quote

STEP: Final = "step"
"""Section of what no line is: contingency, overhead, profit, rounding, tax."""
_SUMS: Final = frozenset({"direct", "freight", "insurance"})
"""Steps that only add lines up."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line or step of a quote.

    Attributes
    ----------
    key : str
        Of the line or step: the same in quotes of orders that differ.
    section : str
        Where a line belongs; :data:`STEP` for a step.
    title : str
        For people.
    amount : Decimal
        What it adds to the total.
    hours : Decimal
        Of work.
    """

    key: str
    section: str
    title: str
    amount: Decimal
    hours: Decimal = Decimal(0)


def entries_of(quote: Quote) -> tuple[Entry, ...]:
    """Return the entries of a quote, lines first; they sum to its total."""
    lines = [
        Entry(line.key, line.section, line.description, line.amount, line.labour.hours if line.labour else Decimal(0))
        for line in (*quote.lines, *quote.passed)
    ]
    steps = [
        Entry(f"step:{each.key}", STEP, each.title, each.amount)
        for each in quote.steps
        if each.amount and each.key not in _SUMS
    ]
    return (*lines, *steps)
