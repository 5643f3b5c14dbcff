"""Working days: which days count, and how many lie between two dates. Pure dates, so clocks never enter."""

from dataclasses import dataclass
from datetime import date, timedelta

from pricing.studio.calendar_rules import CalendarRules, days_in, weekdays_in


@dataclass(frozen=True, slots=True)
class Workdays:
    """The working days of a shop or a carrier.

    Attributes
    ----------
    weekdays : frozenset of int
        Working weekdays, Monday 0.
    closed : frozenset of date
        Days off.

    Nothing here is refused: where time itself ends, the first or the last day there is stands for what lies beyond.
    """

    weekdays: frozenset[int]
    closed: frozenset[date]

    @classmethod
    def of(cls, rules: CalendarRules) -> "Workdays":
        """Make the working days of a shop's rules."""
        return cls(rules.weekdays, rules.closed_days)

    @classmethod
    def typed(cls, working_days: str, closed: str) -> "Workdays":
        """Make them of ``Mon Tue Wed`` and ``2026-12-25 2027-01-01``; :class:`ValueError` where they cannot be read."""
        return cls(weekdays_in(working_days), days_in(closed))

    def works(self, day: date) -> bool:
        """Whether that day is one of them."""
        return day.weekday() in self.weekdays and day not in self.closed

    def on_or_after(self, day: date) -> date:
        """Return the day, or the next working day."""
        return self._first(day, 1)

    def on_or_before(self, day: date) -> date:
        """Return the day, or the last working day before it."""
        return self._first(day, -1)

    def later(self, day: date, count: int) -> date:
        """Return the working day ``count`` working days after ``day`` (0: the day itself or the next)."""
        day = self.on_or_after(day)
        for _ in range(count):
            day = self.on_or_after(beside(day, 1))
        return day

    def earlier(self, day: date, count: int) -> date:
        """Return the working day ``count`` working days before ``day`` (0: the day itself or the one before)."""
        day = self.on_or_before(day)
        for _ in range(count):
            day = self.on_or_before(beside(day, -1))
        return day

    def between(self, first: date, last: date) -> int:
        """Count the working days from ``first`` on that come before ``last``."""
        if last <= first:
            return 0
        weeks, rest = divmod((last - first).days, 7)
        count = weeks * len(self.weekdays)
        count += sum((first.weekday() + n) % 7 in self.weekdays for n in range(rest))
        return count - sum(first <= day < last and day.weekday() in self.weekdays for day in self.closed)

    def _first(self, day: date, way: int) -> date:
        while not self.works(day) and (other := beside(day, way)) != day:
            day = other
        return day


def beside(day: date, way: int) -> date:
    """Return the day after (1) or before (-1); the day itself where there is none."""
    try:
        return day + timedelta(days=way)
    except OverflowError:
        return day
