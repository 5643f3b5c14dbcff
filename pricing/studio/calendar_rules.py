# ruff: noqa: RUF009 - rule() makes a dataclass field, which is what a default should be
"""The rules of the calendar: who works when, and how long suppliers take."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

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
        unknown = [word for word in self.working_days.split() if word not in WEEK]
        if unknown or not self.working_days.split():
            raise ValueError(f"working_days: found {self.working_days!r}; accepted: some of {' '.join(WEEK)}")
        try:
            _ = self.closed_days
        except ValueError as error:
            raise ValueError(f"closed: found {self.closed!r}; accepted: days such as 2026-12-25") from error

    @property
    def closed_days(self) -> frozenset[date]:
        """Days on which the shop is closed."""
        return frozenset(date.fromisoformat(text) for text in self.closed.replace(",", " ").split())

    @property
    def weekdays(self) -> frozenset[int]:
        """Working weekdays, Monday 0."""
        return frozenset(WEEK.index(word) for word in self.working_days.split())
