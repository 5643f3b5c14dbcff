"""Sheets cut by the words of a printed page and nothing else: the proof that whoever holds the page can work by it.

A band says what is set, and where; the rows under it say which panels are cut, from which edge, what comes off and what
stays. No size of a panel is printed: all follow from the sheets and the figures. Figures are to 1/64 in where that is
exact and else to the nearest 1/32, as on a scale, so that a part may come out by a 1/32 too large or small.
"""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Final

from tests.saw_simulation import Limits, inches_of

INCH: Final = 203_200
NEAR: Final = INCH // 32
_BAND: Final = re.compile(
    r"(?P<tool>[A-Z][a-z ]+?)(?:, (?P<actions>[a-z ]+))?: (?P<set>guide|fence|stop|rule|takes off) (?P<at>.*)"
)
_AT: Final = re.compile(r"at (?P<at>[^:]+?): (?P<off>.*)")
_COUNT: Final = re.compile(r"(?P<name>.+?)(?: (?P<count>\d+)×)?")
_FIGURE: Final = re.compile(r"(?P<whole>\d+)?(?: ?(?P<part>\d+/\d+))?(?: ?in|″|\")?")


class PageError(AssertionError):
    """What cannot be followed on a page."""


def figure(text: str) -> int:
    """Read a figure in inches, such as ``12 3/8``."""
    found = _FIGURE.fullmatch(text.strip())
    if found is None or not (found["whole"] or found["part"]):
        raise PageError(f"{text!r} is no figure")
    return int((Fraction(found["whole"] or 0) + Fraction(found["part"] or 0)) * INCH)


@dataclass(slots=True)
class Reader:
    """Somebody at the saw with a page.

    Attributes
    ----------
    kerf : int
        What a cut takes.
    limits : Limits
        What the tools reach.
    panels : dict of str to (int, int)
        Size of each panel on the bench, along the sheet and across it.
    repeats : mapping of str to int
        How many sheets are cut alike, by number of layout.
    came : list
        What came off: part, how many, size.
    number : int
        Of the last cut.
    """

    kerf: int
    limits: Limits
    panels: dict[str, tuple[int, int]]
    repeats: Mapping[str, int]
    came: list[tuple[str, int, int, int]] = field(default_factory=list)
    number: int = 0
    _at: int | None = None
    _trim: bool = False
    _tool: str = ""

    def band(self, text: str) -> None:
        """Set a tool."""
        found = _BAND.match(text)
        if found is None:
            raise PageError(f"what is to be set? {text!r}")
        told = found["at"].split(",")[0].removeprefix("at ")
        self._at = None if told.startswith("as told") else figure(told)
        self._trim = found["actions"] == "trim"
        self._tool = found["tool"]

    def row(self, number: str, panel: str, off: str, stays: str) -> None:
        """Cut as a row says."""
        at = self._at
        if at is None:
            found = _AT.fullmatch(off)
            if found is None:
                raise PageError(f"cut {number}: where? {off!r}")
            at, off = figure(found["at"]), found["off"]
        first, _, last = number.partition("–")
        if int(first) != self.number + 1:
            raise PageError(f"cut {number} comes after {self.number}")
        count = int(last or first) - int(first) + 1
        self.number += count
        names, edge = panel.rsplit(" ", 1)
        cut = names.split(", ")
        if len(cut) == 1:
            cut *= count
        comes = _each(off)
        if not len(cut) == len(comes) == count:
            raise PageError(f"cut {number}: {len(cut)} panels, {len(comes)} come off, {count} cuts")
        for index, (name, made) in enumerate(zip(cut, comes, strict=True)):
            goes_on = index + 1 < count and cut[index + 1] == name
            self._cut(name, edge, at, made, f"panel {name}" if goes_on else stays)

    def _cut(self, name: str, edge: str, at: int, off: str, stays: str) -> None:
        """Make one cut."""
        if name not in self.panels:
            raise PageError(f"there is no panel {name}")
        dx, dy = self.panels.pop(name)
        across = dy if edge in ("bottom", "top") else dx
        beyond = across - at - (0 if self._trim and self._tool != "Table saw" else self.kerf)
        if at >= across + NEAR:
            raise PageError(f"{name} is {inches_of(across)}, to be cut at {inches_of(at)}")
        self._reached(name, dx if edge in ("bottom", "top") else dy, across, at)
        for told, wide in ((off, at), (stays, max(beyond, 0))):
            size = (dx, wide) if edge in ("bottom", "top") else (wide, dy)
            if told == "nothing" and wide > NEAR:
                raise PageError(f"{inches_of(wide)} of {name} remain, nothing is told")
            self._lay(told, size, name)

    def _reached(self, name: str, along: int, across: int, at: int) -> None:
        """Hold a cut against what the tool reaches that the page names."""
        limits = self.limits
        if self._tool == "Track saw":
            possible = along <= limits.track and across + NEAR >= limits.clamp
        elif self._tool == "Table saw":
            wide = limits.narrowest - NEAR <= at <= limits.rip + NEAR
            possible = wide and along + NEAR >= max(limits.along_fence, at)
        elif self._tool == "Chop saw":
            possible = along <= limits.chop + NEAR
        else:
            possible = self._tool in ("Knife", "Bandsaw or hot wire")
        if not possible:
            raise PageError(f"{self._tool} at {inches_of(at)}: {name} is {inches_of(along)} x {inches_of(across)}")

    def _lay(self, told: str, size: tuple[int, int], of: str) -> None:
        """Lay what comes off on the bench, or with the parts."""
        if told.startswith("panel "):
            name = told.removeprefix("panel ")
            if name in self.panels:
                raise PageError(f"a second panel {name}")
            self.panels[name] = size
        elif told not in ("offcut", "waste", "nothing"):
            layout = re.match(r"\d+", of)
            self.came.append((told, self.repeats[layout[0] if layout else ""], *size))


def _each(off: str) -> list[str]:
    """Return what comes off, one for each cut."""
    if off.startswith("panels "):
        return [f"panel {name}" for name in off.removeprefix("panels ").split(", ")]
    found = []
    for text in off.split(", "):
        one = _COUNT.fullmatch(text)
        if one is None:
            raise PageError(f"what is {text!r}?")
        found += [one["name"]] * int(one["count"] or 1)
    return found


def follow(rows: Iterable[Any], sheets: Sequence[tuple[int, int, int]], kerf: int, limits: Limits) -> Reader:
    """Work through a page's rows: a band as one text, a cut as four.

    Parameters
    ----------
    rows : iterable of str or of four str
        As printed.
    sheets : sequence of (int, int, int)
        Length, width and number of each layout's sheets.
    kerf : int
        What a cut takes.
    limits : Limits
        What the tools reach.

    Returns
    -------
    Reader
        With all that came off.
    """
    panels = {f"{index + 1}A": (length, width) for index, (length, width, _) in enumerate(sheets)}
    reader = Reader(kerf, limits, panels, {str(index + 1): repeat for index, (*_, repeat) in enumerate(sheets)})
    for row in rows:
        if isinstance(row, str):
            reader.band(row)
        else:
            reader.row(*row)
    return reader


def wrong(reader: Reader, parts: Iterable[Any]) -> list[str]:
    """Return how what came off differs from a cut list."""
    wanted = {part.name: part for part in parts}
    count, faults = Counter[str](), []
    for name, repeat, dx, dy in reader.came:
        count[name] += repeat
        part = wanted.get(name)
        if part is None:
            faults.append(f"{name}: nobody wants it")
            continue
        ways = [(part.length, part.width)] + [(part.width, part.length)] * (part.grain != "length")
        if not any(abs(dx - along) <= NEAR and abs(dy - across) <= NEAR for along, across in ways):
            faults.append(f"{name} comes off {inches_of(dx)} x {inches_of(dy)}")
    faults += [
        f"{count[name]} of {name}, wanted {part.count}" for name, part in wanted.items() if count[name] != part.count
    ]
    return faults
