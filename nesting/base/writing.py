"""Figures and days as a country writes them, in texts that people read.

Everything inside, and every file for programs, has a decimal point and ISO days. A studio by millimetres may read
``1.234,50`` and ``01.03.2027``: each door to people (packet, papers, workbook, desk, terminal) puts its finished texts
through :meth:`Writing.told`, once, so that no formatter below knows of countries and none is doubled.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Any, Final, TypeVar

from nesting.base.measure import UnitSystem

T = TypeVar("T")
_COMMA_POINT: Final = frozenset((
    "AD", "AR", "AT", "AW", "AZ", "BA", "BE", "BI", "BN", "BO", "BQ", "BR", "CF", "CL", "CO", "CY", "DE", "DK",
    "DZ", "EA", "EC", "ES", "FO", "GL", "GQ", "GR", "HR", "IC", "ID", "IS", "IT", "LA", "LB", "LU", "LY", "MA",
    "MD", "ME", "MK", "MR", "NL", "RO", "RS", "RW", "SI", "SM", "SN", "SR", "TN", "TR", "UY", "VA", "VE", "VN"
))  # fmt: skip
_COMMA_SPACE: Final = frozenset((
    "AL", "AM", "AO", "AX", "BG", "BY", "CR", "CV", "CZ", "EE", "FI", "GE", "GW", "HT", "HU", "KG", "KZ", "LT",
    "LV", "MZ", "PL", "PT", "RU", "SE", "SJ", "SK", "ST", "TJ", "TM", "UA", "UZ", "XK", "ZA", "BF", "BJ", "BL",
    "CD", "CG", "CI", "CM", "DJ", "FR", "GA", "GF", "GN", "GP", "MC", "MF", "ML", "MQ", "MU", "NC", "NE", "PF",
    "PM", "RE", "SC", "TG", "WF", "YT"
))  # fmt: skip
_POINT_APOSTROPHE: Final = frozenset(("CH", "LI"))
_DAYS_WITH_POINTS: Final = frozenset((
    "AL", "AM", "AT", "AX", "AZ", "BA", "BG", "BY", "CH", "CZ", "DE", "DK", "EE", "FI", "FO", "GE", "HR", "IL",
    "IS", "KG", "KZ", "LI", "LV", "MD", "ME", "MK", "PL", "RO", "RS", "RU", "SI", "SJ", "SK", "TM", "TR", "UA",
    "XK"
))  # fmt: skip
"""How countries write decimals and thousands, and which write a day with points.

Unicode CLDR, of each country's first official language: its symbols for Latin digits, and its patterns
``dateFormats/medium`` and ``short``, as Babel 2.19 packs them. A narrow space between thousands is a wide one here.
The other countries write 1,234.50.
"""

_AFTER: Final = (
    "chapter", "section", "sect.", "equation", "eq.", "table", "figure", "clause", "article", "art.", "version", "app.",
    "NDS", "EN", "casewright", "RSMo",
)  # fmt: skip
"""Words after which 8.3 is a place in a book or an edition, and no figure."""
_DAY: Final = r"(?<![\w./-])(?P<day>[0-9]{4}-[0-9]{2}-[0-9]{2})(?![\w/]|[.-]\w)"
_FIGURE: Final = (
    r"(?<![\w.,:/#^])(?<!\w-)(?P<figure>[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?|[0-9]+\.[0-9]+)(?!\w|[.,:/-]\w)"
)
_MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_IN_WORDS: Final = rf"(?<![\w.])(?P<words>[0-9]{{1,2}} (?:{'|'.join(_MONTHS)}) [0-9]{{4}})(?!\w)"
_FORMS: Final = re.compile(r"\[\[(.*?)\|(.*?)\]\]")
_REFERENCE: Final = re.compile(
    rf"(?:^|[\s(;,])(?:{'|'.join(map(re.escape, _AFTER))})\s(?:[0-9.]+ (?:to|and) )?$", re.IGNORECASE
)


def form(text: str, system: UnitSystem) -> str:
    """Return a text of two forms, ``[[12 in (300 mm)|300 mm]]``, in the one of a unit system."""
    return _FORMS.sub(lambda found: found[2 if system == "metric" else 1], text)


@dataclass(frozen=True, slots=True)
class Writing:
    """How figures and days are written.

    Attributes
    ----------
    point, group : str
        Before the decimals, and between thousands.
    points_in_days : bool
        Whether a day is ``01.03.2027``; else it is ``2027-03-01``.
    verbatim : tuple of str
        What people wrote, and is left as they did wherever it stands in a text.
    """

    point: str = "."
    group: str = ","
    points_in_days: bool = False
    verbatim: tuple[str, ...] = ()

    def day(self, value: date) -> str:
        """Write a day."""
        return f"{value:%d.%m.%Y}" if self.points_in_days else value.isoformat()

    def figure(self, text: str) -> str:
        """Write a figure that is written with a decimal point and commas between thousands."""
        return text.translate({ord("."): self.point, ord(","): self.group})

    def told(self, text: str) -> str:
        """Return a text for people with its figures and days as they are written here.

        A name such as ``screw 3.5x16``, a place in a book such as ``12.2-2`` or ``chapter 8.3``, and what is `verbatim`
        are no figures.
        """
        if self.is_plain or not any(map(str.isdigit, text)):
            return text
        return _pattern(self.verbatim).sub(self._written, text)

    def through(self, value: T) -> T:
        """Return a frozen dataclass, a list or a mapping with every text in it told; all else as it is."""
        given: Any = value
        made: Any = value
        if self.is_plain:
            return value
        if isinstance(value, str):
            made = self.told(value)
        elif type(value) is tuple:
            made = tuple(self.through(each) for each in given)
        elif type(value) is list:
            made = [self.through(each) for each in given]
        elif isinstance(value, dict):
            made = {key: self.through(each) for key, each in value.items()}
        elif is_dataclass(value) and not isinstance(value, type):
            made = replace(value, **{each.name: self.through(getattr(value, each.name)) for each in fields(value)})
        return made  # type: ignore[no-any-return]  # of the same type, part by part

    def sparing(self, texts: Iterable[str]) -> "Writing":
        """Return the same that leaves what people wrote as they did."""
        if self.is_plain:
            return self
        return replace(self, verbatim=tuple(sorted({text for text in texts if text and self.told(text) != text})))

    @property
    def is_plain(self) -> bool:
        """Whether all texts stay as they are."""
        return (self.point, self.group, self.points_in_days) == (".", ",", False)

    def _written(self, found: "re.Match[str]") -> str:
        if found.lastgroup == "day":
            try:
                return self.day(date.fromisoformat(found[0]))
            except ValueError:
                return found[0]
        if found.lastgroup == "words":
            number, month, year = found[0].split()
            return self.day(date(int(year), 1 + _MONTHS.index(month), int(number)))
        before = found.string[max(0, found.start() - 24) : found.start()]
        if found.lastgroup == "figure" and not _REFERENCE.search(before):
            return self.figure(found[0])
        return found[0]


PLAIN: Final = Writing()
"""Points, commas between thousands and ISO days: nothing is changed."""


@lru_cache(maxsize=64)
def _pattern(verbatim: tuple[str, ...]) -> "re.Pattern[str]":
    """Return what is looked for in a text: what is left alone first, the longest before the others."""
    names = "|".join(re.escape(name) for name in sorted(verbatim, key=len, reverse=True))
    return re.compile(
        "|".join(filter(None, (rf"(?<!\w)(?P<name>{names})(?!\w)" if names else "", _DAY, _IN_WORDS, _FIGURE)))
    )


def writing_in(country: str) -> Writing:
    """Return how a country (two letters) writes figures and days; one that is unknown has points and ISO days."""
    code = country.strip().upper()
    for point, group, countries in (
        (",", ".", _COMMA_POINT),
        (",", "\u00a0", _COMMA_SPACE),
        (".", "'", _POINT_APOSTROPHE),
    ):
        if code in countries:
            return Writing(point, group, code in _DAYS_WITH_POINTS)
    return Writing(points_in_days=code in _DAYS_WITH_POINTS)
