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
        return self._passed(self.on_or_after(day), count, 1)

    def earlier(self, day: date, count: int) -> date:
        """Return the working day ``count`` working days before ``day`` (0: the day itself or the one before)."""
        return self._passed(self.on_or_before(day), count, -1)

    def between(self, first: date, last: date) -> int:
        """Count the working days from ``first`` on that come before ``last``."""
        if last <= first:
            return 0
        weeks, rest = divmod((last - first).days, 7)
        count = weeks * len(self.weekdays)
        count += sum((first.weekday() + n) % 7 in self.weekdays for n in range(rest))
        return count - sum(first <= day < last and day.weekday() in self.weekdays for day in self.closed)

    def _passed(self, day: date, count: int, way: int) -> date:
        """Return the working day so many working days after a day (1) or before it (-1): whole weeks at a time.

        An order of a thousand crates asks for thousands of days, each hundreds of days away.
        """
        week = len(self.weekdays)
        while week and count >= week:
            weeks = count // week
            try:
                far = day + timedelta(weeks=way * weeks)
            except OverflowError:
                return date.max if way > 0 else date.min
            low, high = (day, far) if way > 0 else (far, day)
            off = sum(low <= each <= high and each != day and each.weekday() in self.weekdays for each in self.closed)
            count -= weeks * week - off
            day = far
            if not count:  # the last of those days, which lies on this side where the week ends with days off
                return self._first(day, -way)
        for _ in range(count):
            day = self._first(beside(day, way), way)
        return day

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
