# ruff: noqa: RUF009 - rule() makes a dataclass field, which is what a default should be
"""The rules of the calendar: who works when, and how long suppliers take."""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from nesting.base.days import DayError, parse_day
from nesting.base.rules import check_rules, rule

WEEK: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True)
class CalendarRules:
    """Who works when, and how long suppliers take. Days are the studio's own local dates."""

    people: int = rule(2, unit="count", low=1, high=50, doc="People who cut, build and pack.")
    hours_per_day: Decimal = rule(
        Decimal(6), unit="hours", low=Decimal("0.5"), high=Decimal(16), doc="Hours at the bench of one person in a day."
    )
    working_days: str = rule("Mon Tue Wed Thu Fri", unit="word", doc="Days of the week on which the shop works.")
    closed: str = rule("", unit="word", doc="Days on which it does not, as 2026-12-24 2026-12-25.")
    lead_days: int = rule(
        3, unit="count", low=0, high=365, doc="Working days from an order to its delivery, by suppliers not listed."
    )
    hand_over_days: int = rule(
        1, unit="count", low=0, high=30, doc="Working days between the end of packing and the hand-over to the carrier."
    )

    def __post_init__(self) -> None:
        check_rules(self)
        _ = self.weekdays, self.closed_days

    @property
    def closed_days(self) -> frozenset[date]:
        """Days on which the shop is closed."""
        return days_in(self.closed)

    @property
    def weekdays(self) -> frozenset[int]:
        """Working weekdays, Monday 0."""
        return weekdays_in(self.working_days)


def weekdays_in(working_days: str) -> frozenset[int]:
    """Return the weekdays that a rule names, Monday 0; :class:`ValueError` where it names none or what is none."""
    words = working_days.split()
    if not words or any(word not in WEEK for word in words):
        raise ValueError(f"working_days: found {working_days!r}; accepted: some of {' '.join(WEEK)}")
    return frozenset(map(WEEK.index, words))


def days_in(closed: str) -> frozenset[date]:
    """Return the days that a rule names; :class:`ValueError` where one cannot be read."""
    parts = re.split(r"[,;\n]", closed) if re.search(r"[a-z]", closed.lower()) else closed.replace(",", " ").split()
    try:
        return frozenset(parse_day(text.strip()) for text in parts if text.strip())
    except DayError as error:
        raise ValueError(f"closed: found {closed!r}; accepted: days such as 2026-12-25") from error
