# ruff: noqa: RUF009 - rule() makes a dataclass field, which is what a default should be
"""What offers to clients say of money: deposit, how to pay, terms, and what a second currency is worth."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Final

from nesting.base.days import DayError, parse_day
from nesting.base.rules import Checked, rule
from pricing.money import check_currency, half_up

MINOR: Final = {
    **dict.fromkeys(("CLP", "ISK", "JPY", "KRW", "PYG", "UGX", "VND", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
}
"""Digits behind the point of currencies that have not two (ISO 4217, table of minor units; UGX from memory)."""
ZERO: Final = Decimal(0)
HIGHEST_RATE: Final = Decimal(1_000_000)


@dataclass(frozen=True, slots=True)
class OfferRules(Checked):
    """What offers to clients say where a party's own row of parties.csv says nothing."""

    deposit: Decimal = rule(
        ZERO,
        unit="ratio",
        low=ZERO,
        high=Decimal(1),
        doc="Part of the total that is due with the order; 0 asks for none.",
        source="made to order 50 %, reservations 25 % at least; public terms of three makers",
    )
    rest_due: str = rule("before the works leave the studio", unit="word", doc="When the rest is due.")
    pay: str = rule("", unit="word", doc="How to pay, such as a bank and an account; left out where blank.")
    delivery_term: str = rule(
        "", unit="word", doc="Delivery term with its place, such as FCA Our Studio (Incoterms 2020); blank: none."
    )
    terms: str = rule("", unit="word", doc="Terms of your own, on the offer below the others.")
    lead_days: int = rule(
        0, unit="days", low=0, high=365, doc="Working days from order to hand-over, where more than the calendar needs."
    )


@dataclass(frozen=True, slots=True)
class Exchange:
    """What another currency is worth, as somebody typed it.

    Attributes
    ----------
    currency : str
        The other one, three letters.
    rate : Decimal
        Units of it for one of the studio's own.
    day : date
        Of the rate.
    source : str
        Who says so.
    """

    currency: str
    rate: Decimal
    day: date
    source: str = ""

    def __post_init__(self) -> None:
        _ = check_currency(self.currency)
        if not (self.rate.is_finite() and 0 < self.rate <= HIGHEST_RATE):
            raise ValueError(f"rate: found {self.rate}; accepted: more than 0, {HIGHEST_RATE} at the most")

    @property
    def smallest(self) -> Decimal:
        """The smallest sum that is paid in it."""
        return Decimal(1).scaleb(-MINOR.get(self.currency, 2))

    def of(self, amount: Decimal) -> Decimal:
        """Return an amount of the studio's own currency in this one, half up to its smallest sum."""
        return half_up(amount * self.rate, self.smallest)

    def show(self, amount: Decimal) -> str:
        """Write an amount of the studio's own currency in this one: ``EUR 1,234.50``."""
        return f"{self.currency} {self.of(amount):,.{MINOR.get(self.currency, 2)}f}"

    @property
    def text(self) -> str:
        """Rate, day and source in one line, which :func:`exchange_from` reads."""
        return "; ".join((f"{self.rate:f}", self.day.isoformat(), self.source))


def exchange_from(currency: str, text: str) -> Exchange:
    """Read what another currency is worth of a line such as ``0.9137; 2026-11-27; our bank``.

    Raises
    ------
    ValueError
        With what was found and what is accepted.
    """
    parts = [" ".join(part.split()) for part in text.split(";", 2)]
    rate, day, source = (*parts, "", "")[:3]
    try:
        worth = Decimal(rate)
    except InvalidOperation:
        raise ValueError(f"rate: found {rate or 'nothing'}; accepted: a number such as 0.9137") from None
    try:
        of = parse_day(day)
    except DayError as error:
        raise ValueError(f"day: found {day or 'nothing'}; accepted: {error.accepted}") from None
    return Exchange(currency, worth, of, source)
