"""Doubt in a cell: ``about 80``, ``TBD``, ``n/a``.

In prices, days and weights it is read, and told with what is assumed; elsewhere it is a fault like any other.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from nesting.base.counts import plural
from nesting.base.measure import plain, shorten
from nesting.intake.cells import BLANKS

_UNKNOWN: Final = frozenset(
    {"tbd", "tba", "tbc", "tbd.", "t.b.d.", "t.b.a.", "t.b.c.", "to be determined", "to be decided", "to be confirmed",
     "to be advised", "to be announced", "to be weighed", "to follow", "to come", "unknown", "not known", "n/k", "nk",
     "not available", "not applicable", "n.a.", "n/a.", "pending", "open", "?", "??", "???", "x?", "...", "…", ".",
     "--", "---", "poa", "p.o.a.", "por", "price on request", "price on application", "on request", "upon request",
     "on application", "nfs", "n.f.s.", "not for sale", "not yet", "tbd?", "not weighed"}
)  # fmt: skip
"""What says that nobody knows, or that there is nothing to say; :data:`~nesting.intake.cells.BLANKS` do so too."""
_WORDS: Final = (
    r"about|approximately|approximate|approx|appr|apx|around|roughly|circa|ca|c|est|estimated|estimate|say|guess|"
    r"probably|maybe|perhaps|some|prov|provisional|provisionally|tbc|to be confirmed|tbd"
)
_BEFORE: Final = re.compile(rf"(?:(?:{_WORDS})(?:\.|:|\b)[:,]?\s*|[~≈±∼˜]\s*|\+\s*/\s*-\s*)+(?=[$€£0-9a-z])")
_BEHIND: Final = re.compile(
    rf"(?:[\s,;]*[(\[]\s*(?:{_WORDS}|\?+)\.?\s*\??\s*[)\]]|[\s,;]+(?:{_WORDS})\.?|\s*\?+|\s*[~≈]|\s*\+\s*/\s*-|(?<=[0-9])ish|"
    r"\s+or so)$"
)
_NAMED: Final = 6
"""Cells that a remark names one by one."""


def without_hedge(text: str) -> str | None:
    """Return what a cell says without its doubt: ``80`` of ``about 80``, nothing of ``TBD``; None where it has none."""
    read = plain(text)
    if read in _UNKNOWN or read in BLANKS:
        return "" if read else None
    rest = _BEHIND.sub("", _BEFORE.sub("", read, count=1)).strip()
    if rest == read:
        return None
    return "" if rest in _UNKNOWN else rest


@dataclass(frozen=True, slots=True)
class Assumed:
    """A cell that was read in spite of its doubt.

    Attributes
    ----------
    column, where : str
        Our column, and the piece or row.
    text : str
        As it stands.
    meant : str
        What is assumed.
    """

    column: str
    where: str
    text: str
    meant: str


def remark(file: str, assumed: Iterable[Assumed]) -> list[str]:
    """Return one remark on everything that was assumed, alike cells together; nothing where nothing was."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for each in assumed:
        alike.setdefault((each.column, each.text, each.meant), []).append(each.where)
    if not alike:
        return []
    told = []
    for (column, text, meant), places in alike.items():
        named = ", ".join(places[:_NAMED])
        more = f" and {plural(len(places) - _NAMED, 'more', 'more')}" if len(places) > _NAMED else ""
        told.append(f'{column} "{shorten(text)}" of {named}{more}: {meant}')
    return [f"{file}: assumed where a cell is in doubt: {'; '.join(told)}"]
