"""Amounts of money in an order: plain decimals with at most two places, and the currency mark beside them."""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from nesting.base.figures import parse_figure
from nesting.base.measure import plain
from nesting.base.tables.cells import Cell, Unreadable, text_of
from nesting.intake.cells import BLANKS, CellError
from nesting.order import DEAREST

CODES: Final = frozenset(
    {"AED", "AUD", "BRL", "CAD", "CHF", "CNY", "CZK", "DKK", "EUR", "GBP", "HKD", "HUF", "ILS", "INR",
     "JPY", "KRW", "MXN", "NOK", "NZD", "PLN", "SEK", "SGD", "THB", "TRY", "TWD", "USD", "ZAR"}
)  # fmt: skip
"""ISO 4217 codes that are understood beside an amount."""
_SIGNS: Final = {
    "$": "$",
    "us$": "USD",
    "ca$": "CAD",
    "c$": "CAD",
    "a$": "AUD",
    "au$": "AUD",
    "nz$": "NZD",
    "€": "EUR",
    "£": "GBP",
}
DOLLARS: Final = frozenset({"USD", "CAD", "AUD", "NZD", "HKD", "SGD", "TWD", "MXN"})
"""Currencies that a lone ``$`` may stand for."""

_MARK: Final = r"[a-z]{0,3}\s*[$€£]|[a-z]{3}"
_AMOUNT: Final = re.compile(rf"({_MARK})?\s*([0-9][0-9.,' ]*|\.[0-9]+)\s*({_MARK})?")


@dataclass(frozen=True, slots=True)
class Money:
    """An amount and the currency mark beside it: an ISO code, ``$`` alone, or ``None``."""

    amount: Decimal
    mark: str | None = None


def currency_of(text: str) -> str | None:
    """Return the ISO code (or ``$``) that a mark stands for; ``None`` if it is no currency."""
    mark = plain(text).replace(" ", "")
    return _SIGNS.get(mark) or (mark.upper() if mark.upper() in CODES else None)


def read_money(cell: Cell, accepted: str) -> Money | None:
    """Read an amount such as ``1200``, ``$1,200.00``, ``1.200,50 EUR``; ``None`` for a blank cell."""
    if isinstance(cell, Unreadable):
        raise CellError(cell.text, cell.accepted)
    if isinstance(cell, float):
        # A spreadsheet computes in binary: what is within a millionth of a cent was meant as whole cents.
        cents = cell * 100
        if abs(cell) < 1e12 and abs(cents - round(cents)) < 1e-6:
            cell = Decimal(round(cents)).scaleb(-2)
    if isinstance(cell, bool) or not isinstance(cell, str | int | float | Decimal | None):
        raise CellError(text_of(cell) or "an empty list", accepted)
    text = text_of(cell)
    if text.casefold() in BLANKS:
        return None
    read = plain(text)
    match = _AMOUNT.fullmatch(read) if len(text) <= 40 else None
    if match is None or (match[1] and match[3] and currency_of(match[1]) != currency_of(match[3])):
        raise CellError(text, accepted)
    mark = None
    if match[1] or match[3]:
        mark = currency_of(match[1] or match[3])
        if mark is None:
            raise CellError(text, accepted)
    amount = _amount(match[2].strip(), text, accepted)
    if amount > DEAREST:
        raise CellError(text, f"{accepted}, of {DEAREST:,} at the most")
    return Money(amount, mark)


def _amount(digits: str, text: str, accepted: str) -> Decimal:
    """Read digits with separators of thousands and a decimal point or comma."""
    amount = parse_figure(digits)
    if amount is not None:
        return amount
    if re.fullmatch(r"[1-9][0-9]{0,2}\.[0-9]{3}", digits):
        raise CellError(text, f"{digits.replace('.', '')}, or an amount with two decimals at the most")
    raise CellError(text, accepted)
