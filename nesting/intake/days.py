"""Days and times in an order: year first, or the month as a word; never a guess between day and month."""

import re
from datetime import date, datetime, time
from typing import Final

from nesting.base.measure import plain
from nesting.base.tables.cells import Cell, Unreadable, text_of
from nesting.intake.cells import BLANKS, CellError
from nesting.order import EARLIEST, LATEST

_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_FULL: Final = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
                "november", "december")  # fmt: skip
_MONTH: Final = {name: n for names in (_MONTHS, _FULL) for n, name in enumerate(names, 1)} | {"sept": 9}

_CLOCK: Final = re.compile(
    r"(?:[t,]|at)?\s*([0-9]{1,2})[:h.]([0-9]{2})(?::([0-9]{2})(?:\.0{1,6})?)?\s*(am|pm|a\.m\.|p\.m\.)?"
)
_YEAR_FIRST: Final = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})")
_YEAR_LAST: Final = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4})")
_DAY_WORD: Final = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[\s\-.]*([a-z]+)\.?,?[\s\-]*([0-9]{4})")
_WORD_DAY: Final = re.compile(r"([a-z]+)\.?\s*([0-9]{1,2})(?:st|nd|rd|th)?,?\s+([0-9]{4})")


def read_moment(cell: Cell, accepted: str) -> date | None:
    """Read a day, or a day and a local time (a :class:`datetime`); ``None`` for a blank cell.

    Midnight in a spreadsheet's date cell means the day without a time.
    """
    if isinstance(cell, Unreadable):
        raise CellError(cell.text, cell.accepted)
    if isinstance(cell, datetime):
        if cell.tzinfo is not None:
            raise CellError(text_of(cell), f"{accepted}; local time, without a zone")
        moment = cell.replace(microsecond=0)
        return _in_range(moment.date() if moment.time() == time() else moment, text_of(cell), accepted)
    if isinstance(cell, date):
        return _in_range(cell, text_of(cell), accepted)
    text = text_of(cell)
    if cell is None or (isinstance(cell, str) and text.casefold() in BLANKS):
        return None
    if not isinstance(cell, str) or len(text) > 40:
        raise CellError(text, accepted)
    return _in_range(_parse(text, accepted), text, accepted)


def read_day(cell: Cell, accepted: str) -> date | None:
    """Read a day without a time."""
    moment = read_moment(cell, accepted)
    if isinstance(moment, datetime):
        raise CellError(text_of(cell), f"{accepted}, without a time")
    return moment


def _in_range(moment: date, text: str, accepted: str) -> date:
    """Return the day or time if its year is sensible."""
    day = moment.date() if isinstance(moment, datetime) else moment
    if not EARLIEST <= day <= LATEST:
        raise CellError(text, f"{accepted}, from {EARLIEST.year} to {LATEST.year}")
    return moment


def _parse(text: str, accepted: str) -> date:
    """Split a text into day and time and read both."""
    read = plain(text)
    for pattern in (_YEAR_FIRST, _YEAR_LAST, _DAY_WORD, _WORD_DAY):
        match = pattern.match(read)
        if match is not None:
            break
    else:
        raise CellError(text, accepted)
    groups, rest = match.groups(), read[match.end() :].strip()
    try:
        if pattern is _YEAR_FIRST:
            day = date(int(groups[0]), int(groups[2]), int(groups[3]))
        elif pattern is _YEAR_LAST:
            day = _year_last(int(groups[0]), int(groups[2]), int(groups[3]), text)
        elif pattern is _DAY_WORD:
            day = date(int(groups[2]), _MONTH[groups[1]], int(groups[0]))
        else:
            day = date(int(groups[2]), _MONTH[groups[0]], int(groups[1]))
        return datetime.combine(day, _clock(rest, text, accepted)) if rest else day
    except (KeyError, ValueError) as error:
        if isinstance(error, CellError):
            raise
        raise CellError(text, f"{accepted}; there is no such day or time") from None


def _year_last(first: int, second: int, year: int, text: str) -> date:
    """Read day and month, either way round, where only one way makes a date; else ask."""
    if first == second or second > 12:
        return date(year, first, second)
    if first > 12:
        return date(year, second, first)
    raise CellError(text, f"{date(year, first, second)} or {date(year, second, first)}, written year first")


def _clock(rest: str, text: str, accepted: str) -> time:
    """Read a local time of day."""
    match = _CLOCK.fullmatch(rest)
    if match is None:
        zone = " (local time, without a zone)" if re.search(r"z$|[+-][0-9]{2}:?[0-9]{2}$|utc|gmt", rest) else ""
        raise CellError(text, accepted + zone)
    hour, minute, second, half = int(match[1]), int(match[2]), int(match[3] or 0), (match[4] or "")[:1]
    if half:
        if not 1 <= hour <= 12:
            raise CellError(text, f"{accepted}; there is no such day or time")
        hour = hour % 12 + (12 if half == "p" else 0)
    return time(hour, minute, second)
