"""Days as people write them, read in one way by orders, tables, forms and options.

Year first (``2026-03-14``) and a month as a word (``14 March 2026``) always count. ``03/04/2026`` is read as the
studio's country writes days; where nobody said which country that is, or it writes the year first, it is asked.
``14/03/2026`` has one meaning whatever the country.
"""

import re
from datetime import date, datetime, time
from typing import Final, Literal

from nesting.base.measure import plain, shorten

DayOrder = Literal["month first", "day first"]
"""How ``03/04/2026`` is meant: 4 March, or 3 April."""
DAYS_ACCEPTED: Final = "a day such as 2026-03-14 or 14 March 2026"

_MONTH_FIRST: Final = frozenset(["AS", "CQ", "GU", "MH", "MP", "PA", "PH", "PR", "UM", "US", "VI"])
_UNSAID: Final = frozenset(
    ["AF", "BT", "CA", "CN", "GL", "HU", "IR", "JP", "KP", "KR", "LT", "MN", "NP", "SE", "TW", "ZA", "BI", "ER", "BW",
     "HT", "LK", "LS", "MG", "MO", "MW", "PY", "RW", "SZ", "ZW"]
)  # fmt: skip
"""Countries whose short form of a day has the year first, or that write it in more than one way.

Both sets: Unicode CLDR, the pattern ``dateFormats/short`` of each country's official languages, as Babel 2.19 packs
them. The other countries write the day first.
"""

_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_FULL: Final = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
                "november", "december")  # fmt: skip
_MONTH: Final = {name: n for names in (_MONTHS, _FULL) for n, name in enumerate(names, 1)} | {"sept": 9}
_WEEKDAY: Final = re.compile(r"(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?\.?,?\s+(?=[0-9a-z])")

_CLOCK: Final = re.compile(
    r"(?:[t,]|at)?\s*([0-9]{1,2})[:h.]([0-9]{2})(?::([0-9]{2})(?:\.0{1,6})?)?\s*(am|pm|a\.m\.|p\.m\.)?"
)
_YEAR_FIRST: Final = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})")
_YEAR_LAST: Final = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4})(?![0-9])")
_SHORT: Final = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{2})(?![0-9])")
"""With the year in two digits, as some spreadsheets save it."""
_DAY_WORD: Final = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[\s\-.]*([a-z]+)\.?,?[\s\-]*([0-9]{4})")
_WORD_DAY: Final = re.compile(r"([a-z]+)\.?\s*([0-9]{1,2})(?:st|nd|rd|th)?,?\s+([0-9]{4})")
_LONGEST: Final = 40


class DayError(ValueError):
    """A day that cannot be read for certain.

    Attributes
    ----------
    found : str
        The text as it was written.
    accepted : str
        What would have been accepted.
    """

    def __init__(self, found: str, accepted: str) -> None:
        self.found = shorten(found)
        self.accepted = accepted
        super().__init__(f'found "{self.found}"; accepted: {accepted}')


def days_in(country: str) -> DayOrder | None:
    """Return how a country (two letters) writes ``03/04/2026``; None where it is unknown or writes the year first."""
    code = country.strip().upper()
    if not re.fullmatch(r"[A-Z]{2}", code) or code in _UNSAID:
        return None
    return "month first" if code in _MONTH_FIRST else "day first"


def hangs_on_country(text: str) -> bool:
    """Whether only the country says which day a text is.

    So does 03/04/2026, and a year in two digits; 14/03/2026 and 03/03/2026 do not.
    """
    read = _WEEKDAY.sub("", plain(text), count=1)
    if _SHORT.match(read):
        return True
    match = _YEAR_LAST.match(read)
    return match is not None and int(match[1]) != int(match[3]) and max(int(match[1]), int(match[3])) < 13


def parse_moment(text: str, order: DayOrder | None = None, accepted: str = DAYS_ACCEPTED) -> date:
    """Read a day, or a day and a local time (a :class:`datetime`).

    Parameters
    ----------
    text : str
        Such as ``2026-03-14``, ``14 March 2026``, ``Sat, March 14, 2026``, ``14/03/2026``, ``14.3.2026 14:30``.
    order : {"month first", "day first"}, optional
        How ``03/04/2026`` is meant; without it such a day is asked.
    accepted : str
        What messages say would do.

    Raises
    ------
    DayError
        For anything else.
    """
    if len(text) > _LONGEST:
        raise DayError(text, accepted)
    read = _WEEKDAY.sub("", plain(text), count=1)
    for pattern in (_YEAR_FIRST, _YEAR_LAST, _SHORT, _DAY_WORD, _WORD_DAY):
        match = pattern.match(read)
        if match is not None:
            break
    else:
        raise DayError(text, accepted)
    groups, rest = match.groups(), read[match.end() :].strip()
    try:
        if pattern is _YEAR_FIRST:
            day = date(int(groups[0]), int(groups[2]), int(groups[3]))
        elif pattern is _YEAR_LAST:
            day = _year_last((int(groups[0]), int(groups[2]), int(groups[3])), order, text)
        elif pattern is _SHORT:
            day = _short((int(groups[0]), int(groups[2]), 2000 + int(groups[3])), order, text, accepted)
        elif pattern is _DAY_WORD:
            day = date(int(groups[2]), _MONTH[groups[1]], int(groups[0]))
        else:
            day = date(int(groups[2]), _MONTH[groups[0]], int(groups[1]))
        return datetime.combine(day, _clock(rest, text, accepted)) if rest else day
    except (KeyError, ValueError) as error:
        if isinstance(error, DayError):
            raise
        raise DayError(text, f"{accepted}; there is no such day or time") from None


def parse_day(text: str, order: DayOrder | None = None, accepted: str = DAYS_ACCEPTED) -> date:
    """Read a day without a time; see :func:`parse_moment`."""
    moment = parse_moment(text, order, accepted)
    if isinstance(moment, datetime):
        raise DayError(text, f"{accepted}, without a time")
    return moment


def _year_last(numbers: tuple[int, int, int], order: DayOrder | None, text: str) -> date:
    """Read day and month where only one way makes a date, else as the country writes them; else ask."""
    first, second, year = numbers
    if first == second or second > 12:
        return date(year, first, second)
    if first > 12:
        return date(year, second, first)
    if order is None:
        raise DayError(text, f"{date(year, first, second)} or {date(year, second, first)}, written year first")
    return date(year, first, second) if order == "month first" else date(year, second, first)


def _short(numbers: tuple[int, int, int], order: DayOrder | None, text: str, accepted: str) -> date:
    """Read a day whose year has two digits as the country writes it, and in no other way."""
    if order is None:
        raise DayError(text, f"{accepted}, the year in four digits")
    first, second, year = numbers
    return date(year, first, second) if order == "month first" else date(year, second, first)


def _clock(rest: str, text: str, accepted: str) -> time:
    """Read a local time of day."""
    match = _CLOCK.fullmatch(rest)
    if match is None:
        zone = " (local time, without a zone)" if re.search(r"z$|[+-][0-9]{2}:?[0-9]{2}$|utc|gmt", rest) else ""
        raise DayError(text, accepted + zone)
    hour, minute, second, half = int(match[1]), int(match[2]), int(match[3] or 0), (match[4] or "")[:1]
    if half:
        if not 1 <= hour <= 12:
            raise DayError(text, f"{accepted}; there is no such day or time")
        hour = hour % 12 + (12 if half == "p" else 0)
    return time(hour, minute, second)
