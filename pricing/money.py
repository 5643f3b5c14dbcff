"""Money: Decimal amounts in one currency, counted to its hundredth, rounded half up.

Every amount that is shown was rounded once, half up, on its own line; sums add such amounts and are never rounded
again. The optimisers count the same hundredths as plain integers ("cents").
"""

import re
from collections.abc import Iterable
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, InvalidOperation
from fractions import Fraction
from typing import Final

from nesting.base.faults import Fault, FaultsFound
from nesting.base.figures import parse_figure

CENT: Final = Decimal("0.01")
DEAREST: Final = Decimal(10_000_000)
"""Highest single price that is read: beyond it a slip of the pen is certain, and the optimisers count in integers."""

_CURRENCY: Final = re.compile(r"[A-Z]{3}")
_BEYOND: Final = 10**12
"""No amount has so many whole units; those of more than 28 digits could not be reckoned with at all."""
_AMOUNT: Final = re.compile(r"[0-9]{1,12}(?:\.[0-9]{1,9})?")


class CurrencyError(FaultsFound):
    """Amounts in different currencies met.

    Attributes
    ----------
    met : tuple of (str, str)
        Each place that states a currency, and which.
    """

    def __init__(self, *met: tuple[str, str]) -> None:
        self.met = met
        first = {currency: place for place, currency in reversed(met)}
        told = ", ".join(f"{currency} in {place}" for currency, place in sorted(first.items()))
        super().__init__([Fault(met[0][0], None, "currency", told, "one currency throughout")])


def check_currency(code: str) -> str:
    """Return a currency code as it is, or raise :class:`ValueError`; three capital letters, as in ISO 4217."""
    if not _CURRENCY.fullmatch(code):
        raise ValueError(f"found the currency {code!r}; accepted: three capital letters such as USD")
    return code


def one_currency(*found: tuple[str, str | None]) -> str:
    """Return the one currency of several places.

    Parameters
    ----------
    *found : tuple of (str, str or None)
        Where (for the message) and which; None where a place says nothing.

    Raises
    ------
    CurrencyError
        When two places differ.
    """
    said = [(place, currency) for place, currency in found if currency]
    if not said:
        raise ValueError("no currency is given anywhere")
    if len({currency for _, currency in said}) > 1:
        raise CurrencyError(*said)
    return said[0][1]


def half_up(amount: Decimal | Fraction, step: Decimal = CENT) -> Decimal:
    """Round to a multiple of ``step``, halves away from zero, as a spreadsheet's ROUND does.

    A Fraction is rounded exactly; nothing passes through a float.
    """
    ratio = Fraction(amount) / Fraction(step)
    whole = (2 * abs(ratio.numerator) + ratio.denominator) // (2 * ratio.denominator)
    return (whole if ratio >= 0 else -whole) * step


def up(amount: Decimal, step: Decimal) -> Decimal:
    """Round upward to a multiple of ``step``."""
    return (amount / step).to_integral_value(rounding=ROUND_CEILING) * step


def cents(amount: Decimal) -> int:
    """Return an amount of whole hundredths as an integer; :class:`ValueError` when it has more digits."""
    scaled = amount * 100
    if scaled != scaled.to_integral_value():
        raise ValueError(f"{amount} is not a whole number of hundredths")
    return int(scaled)


def from_cents(count: int) -> Decimal:
    """Return an integer count of hundredths as an amount."""
    return Decimal(count).scaleb(-2)


def cents_text(count: int) -> str:
    """Write a count of hundredths as a decimal string: ``5800`` is ``"58.00"``."""
    sign, size = ("-" if count < 0 else ""), abs(count)
    return f"{sign}{size // 100}.{size % 100:02d}"


def amount_text(amount: Decimal) -> str:
    """Write a rounded amount with its two decimals, without a currency: ``1234.50``."""
    return f"{amount.quantize(CENT, rounding=ROUND_HALF_UP):f}"


def show(amount: Decimal, currency: str) -> str:
    """Write an amount for people: ``USD 1,234.50``."""
    return f"{currency} {amount.quantize(CENT, rounding=ROUND_HALF_UP):,}"


def parse_amount(text: str) -> Decimal:
    """Read a plain number such as ``58``, ``58.00`` or ``1,234.50``, zero or more.

    Raises
    ------
    ValueError
        For anything else: currency signs, a decimal comma and negative numbers included.
    """
    plain = text.strip()
    if re.fullmatch(r"[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?", plain):
        plain = plain.replace(",", "")
    if not _AMOUNT.fullmatch(plain):
        raise ValueError(f"{text!r} is not an amount such as 58.00")
    try:
        return Decimal(plain)
    except InvalidOperation as error:  # pragma: no cover - the pattern admits decimals only
        raise ValueError(str(error)) from error


_SIGNS: Final = {"$": ("USD", "CAD", "AUD", "NZD"), "\u20ac": ("EUR",), "\u00a3": ("GBP",), "\u00a5": ("JPY", "CNY")}
_SPACES: Final = re.compile(r"[\s\u00a0\u2009\u202f]+")


def typed_amount(text: str, currency: str) -> Decimal:
    """Read an amount as people and spreadsheets write it: ``65``, ``$65``, ``65.00 USD``, ``1,234.50``, ``1.234,50``.

    Parameters
    ----------
    text : str
        What was typed, or stands in a cell.
    currency : str
        Of the field: another one's sign or code is refused.

    Raises
    ------
    ValueError
        For anything else; the message says what to write.
    """
    plain = _SPACES.sub(" ", text).strip()
    signs = [sign for sign, codes in _SIGNS.items() if currency in codes]
    for mark in filter(None, (*signs, currency, currency.lower())):
        plain = plain.removeprefix(mark).removesuffix(mark).strip()
    amount = parse_figure(plain)
    if amount is not None and amount < _BEYOND:
        return amount
    try:
        return parse_amount(plain)
    except ValueError:
        raise ValueError(f"write an amount in {currency}, such as 58.00") from None


def total(amounts: Iterable[Decimal]) -> Decimal:
    """Sum amounts; 0.00 of nothing."""
    return sum(amounts, Decimal("0.00"))
