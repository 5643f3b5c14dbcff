"""The calendar as rows, as text with bars for the terminal, as CSV, and as bars to draw."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Final

from nesting.base.counts import plural
from nesting.drawings.day_bars import Bar, Look, span_of
from nesting.drawings.packet import Days
from pricing.ahead.calendar.dates import Calendar, Entry, Kind
from pricing.studio.calendar_rules import CalendarRules
from pricing.studio.table_file import csv_text
from pricing.studio.workdays import Workdays

COLUMNS: Final = ("kind", "what", "first", "last", "due", "days_late", "hours", "note")
LOOKS: Final[dict[Kind, Look]] = {
    "pour": "moment", "cure": "passing", "buy": "passing", "cut": "work", "build": "work", "pack": "work",
    "hand over": "moment", "arrive": "moment",
}  # fmt: skip
"""How each kind of entry is drawn."""
_MARKS: Final[dict[Look, str]] = {"passing": "-", "work": "#", "moment": "*"}
_LONGEST: Final = 60
"""Columns that the bars of the text take at the most; of a longer calendar each stands for several days."""

CalendarRow = tuple[str, str, date, date, date | None, int, str, str]


def calendar_rows(calendar: Calendar) -> tuple[CalendarRow, ...]:
    """Return the entries as plain cells under :data:`COLUMNS`, in the calendar's order; hours as text."""
    return tuple(
        (each.kind, each.what, each.first, each.last, each.due, each.late_days, f"{each.hours or ''}", each.note)
        for each in calendar.entries
    )


def calendar_csv(calendar: Calendar) -> str:
    """Return the entries as CSV."""
    return csv_text(COLUMNS, calendar_rows(calendar))


def calendar_bars(calendar: Calendar) -> tuple[Bar, ...]:
    """Return the entries as bars to draw."""
    return tuple(
        Bar(f"{each.kind} {each.what}", each.first, each.last, LOOKS[each.kind], each.due, each.kind)
        for each in calendar.entries
    )


def days_off(calendar: Calendar, rules: CalendarRules) -> frozenset[date]:
    """Return the days between the calendar's first and last on which the shop does not work."""
    if not calendar.entries:
        return frozenset()
    works = Workdays.of(rules)
    first, last = _span(calendar)
    return frozenset(
        day
        for day in (first + timedelta(days=number) for number in range((last - first).days + 1))
        if not works.works(day)
    )


def packet_days(calendar: Calendar, rules: CalendarRules) -> Days:
    """Return the calendar as the shop packet prints it."""
    bars = calendar_bars(calendar)
    told = [calendar.lacking] if calendar.lacking else []
    told.append(f"Planned from {calendar.on}.")
    if calendar.last_day_to_buy is not None:
        told.append(f"Last day to buy everything and be in time: {calendar.last_day_to_buy}.")
    told += [f"Late: {each.kind} {each.what}, {plural(each.late_days, 'day')}." for each in calendar.late]
    pairs = list(zip(bars, calendar.entries, strict=True))
    return Days(
        bars,
        days_off(calendar, rules),
        {bar.name: f"{each.hours}" for bar, each in pairs if each.hours},
        {bar.name: each.note for bar, each in pairs if each.note},
        tuple(told),
    )


def _span(calendar: Calendar) -> tuple[date, date]:
    """Return the first and last day that the entries are drawn on."""
    return span_of(calendar_bars(calendar))


def calendar_text(calendar: Calendar, rules: CalendarRules) -> str:
    """Return the calendar as a table with bars, for the terminal."""
    return "\n".join(_lines(calendar, rules))


def _lines(calendar: Calendar, rules: CalendarRules) -> Iterator[str]:
    if calendar.lacking:
        yield calendar.lacking
        yield ""
    if not calendar.entries:
        yield "Nothing to plan."
        return
    first, last = _span(calendar)
    step = -(-((last - first).days + 1) // _LONGEST)
    off = days_off(calendar, rules)
    # What repeats: kind and what in one column, both days, how late.
    names = [f"{each.kind}: {each.what}" for each in calendar.entries]
    wide = min(44, max(len(name) for name in names))
    columns = -(-((last - first).days + 1) // step)
    yield f"{'':<{wide}}  {'first':<11}{'last':<11}{'due':<11}{'late':>5}  {_ruler(first, columns, step)}"
    for name, each in zip(names, calendar.entries, strict=True):
        shown = name if len(name) <= wide else f"{name[: wide - 1]}…"
        due = each.due.isoformat() if each.due else ""
        late = f"{each.late_days} d" if each.late_days else ""
        bar = "".join(_cell(first + timedelta(days=number * step), step, each, off) for number in range(columns))
        yield f"{shown:<{wide}}  {each.first!s:<11}{each.last!s:<11}{due:<11}{late:>5}  {bar}".rstrip()
    yield ""
    yield f"- time that passes, # work, * on that day, ! after the due day, . no work; a sign is {plural(step, 'day')}."
    yield from due_lines(calendar)


def due_lines(calendar: Calendar) -> Iterator[str]:
    """Yield what is late and by how much, and the last day to buy; nothing where no day is due."""
    if calendar.late:
        told = [f"{each.kind} {each.what} by {plural(each.late_days, 'day')}" for each in calendar.late]
        yield f"Late: {'; '.join(told)}."
    if calendar.last_day_to_buy is not None:
        yield f"Last day to buy without being late: {calendar.last_day_to_buy}."
    elif calendar.late:
        yield "No day of buying is early enough: look at the cures and the due days."


def _ruler(first: date, columns: int, step: int) -> str:
    """Write the days of some columns, month and day, wherever there is room."""
    text = ""
    for number in range(columns):
        if len(text) <= number and number + 5 <= columns + 4:
            text += " " * (number - len(text)) + (first + timedelta(days=number * step)).strftime("%m-%d") + "  "
    return text.rstrip()


def _cell(day: date, step: int, entry: Entry, off: frozenset[date]) -> str:
    """Return the sign of one column: what happens in its days."""
    days = [day + timedelta(days=number) for number in range(step)]
    busy = [each for each in days if entry.first <= each <= entry.last]
    if busy:
        return "!" if entry.due is not None and busy[-1] > entry.due else _MARKS[LOOKS[entry.kind]]
    return "." if all(each in off for each in days) else " "
