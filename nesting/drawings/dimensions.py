"""Dimensions of a drawing: places told from one edge, along lanes beside what they measure.

Even places are told as a builder sets them out, the first and then every so much; others run from the same edge, each
with its own arrow. Nothing is added up on the way, so no error of one place goes on to the next.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from nesting.base.measure import UnitSystem, format_length
from nesting.drawings.scene import FAINT, THIN, WHITE, Arrow, Item, Line, Text, rectangle
from nesting.drawings.typeface import ASCENT, DESCENT, text_width

SIZE = 8.0
"""Letter size of every figure, in points."""
LANE = 11.5
"""From one lane to the next, in points."""
FIRST = 4.0
"""From what is measured to the nearest lane, in points."""
_GAP = 4.0
_LEAST = 130.0
"""How long a lane may get beside something shorter, in points."""
_FOOT = 1.5
"""From the edge of a lane to its line, in points."""

Side = Literal["bottom", "top", "left", "right"]


@dataclass(frozen=True, slots=True)
class Series:
    """Places along one axis.

    Attributes
    ----------
    values : tuple of int
        From the edge, rising.
    word : str
        What is placed there, where it is no numbered part.
    numbers : frozenset of int
        Of the parts that are placed there.
    whole : bool
        Whether it is the extent of what is drawn: one value, and an arrow at both ends.
    """

    values: tuple[int, ...]
    word: str = ""
    numbers: frozenset[int] = frozenset()
    whole: bool = False

    @property
    def label(self) -> str:
        """The word, and the numbers."""
        return " ".join(each for each in (self.word, span(self.numbers)) if each)


def span(numbers: Iterable[int]) -> str:
    """Write numbers with those that follow each other as one: ``5–8, 11``."""
    made: list[list[int]] = []
    for number in sorted(set(numbers)):
        if made and number == made[-1][1] + 1:
            made[-1][1] = number
        else:
            made.append([number, number])
    ends = ((str(a), str(b), ", " if b == a + 1 else "–") for a, b in made)
    return ", ".join(a if a == b else f"{a}{sign}{b}" for a, b, sign in ends)


def told(values: Sequence[int], units: UnitSystem) -> list[tuple[str, int, int]]:
    """Return what is written of places, each text with the two ends of its arrow.

    Three places or more that are even, also as they are written, are the first and then every so much.
    """

    def write(value: int) -> str:
        return format_length(value, units) if value > 0 else f"{format_length(-value, units)} beyond"

    gaps = {b - a for a, b in pairwise(values)}
    if len(values) > 2 and max(gaps) - min(gaps) <= 2:
        step = values[1] - values[0]
        first = [] if values[0] == 0 else [(f"first {write(values[0])}", 0, values[0])]
        return [*first, (f"then every {write(step)}", values[0], values[1])]
    return [(write(value), 0, value) for value in values if value]


def merged(series: Iterable[Series]) -> list[Series]:
    """Return series with those of the same values as one, their numbers joined; short ones first."""
    numbers: dict[tuple[bool, tuple[int, ...], str], set[int]] = {}
    for each in series:
        numbers.setdefault((each.whole, each.values, each.word), set()).update(each.numbers)
    made = [Series(values, word, frozenset(found), whole) for (whole, values, word), found in numbers.items()]
    return sorted(made, key=lambda each: (each.whole, each.values[-1], each.values, each.word))


@dataclass(frozen=True, slots=True)
class _Written:
    """A text on a lane: its span along the axis in points, and where it is anchored."""

    text: str
    start: float
    end: float
    bold: bool = False


@dataclass(frozen=True, slots=True)
class _Lane:
    arrows: tuple[tuple[int, int, bool], ...]
    texts: tuple[_Written, ...]


def _lanes(series: Series, units: UnitSystem, unit: float, low: float, high: float) -> list[_Lane]:
    """Set one series out on as few lanes as its texts need, between two limits in points."""
    waiting = told(series.values, units)
    made: list[_Lane] = []
    while waiting:
        arrows: list[tuple[int, int, bool]] = []
        texts: list[_Written] = []
        left: list[tuple[str, int, int]] = []
        label = series.label if not made else ""
        for text, start, end in waiting:
            span = _room_for(text, start / unit, end / unit, texts, low, high, whole=series.whole, first=not texts)
            if span is None:
                left.append((text, start, end))
                continue
            texts.append(_Written(text, *span))
            arrows.append((start, end, series.whole or start != 0))
        if label:
            width = text_width(label, SIZE, bold=True)
            at = max((end for _, end, _ in arrows), default=0) / unit + _GAP
            at = max(at, *(each.end + _GAP for each in texts))
            texts.append(_Written(label, at, at + width, bold=True))
        made.append(_Lane(tuple(arrows), tuple(texts)))
        waiting = left
    return made


def _room_for(  # 8 arguments: a text, its arrow's ends, what is taken, the limits, and what kind it is
    text: str,
    start: float,
    end: float,
    taken: Sequence[_Written],
    low: float,
    high: float,
    *,
    whole: bool,
    first: bool,
) -> tuple[float, float] | None:
    """Return where a text stands along its lane: over its arrow, else beyond the head; None without room."""
    width = text_width(text, SIZE)
    if end < start:
        choices = [end - _GAP - width, start + _GAP]
    elif whole or start:
        choices = [(start + end - width) / 2, end + _GAP, start - _GAP - width]
    else:
        choices = [end - _GAP - width, end + _GAP]
    fits_over = width + 2 * _GAP <= abs(end - start)
    for index, at in enumerate(choices):
        if index == 0 and not fits_over:
            continue
        if all(at + width + _GAP <= each.start or at >= each.end + _GAP for each in taken) and (
            low <= at and at + width <= high
        ):
            return at, at + width
    # Where even the first text of a lane finds no room it goes beyond the limit: nothing is left out.
    return (choices[1], choices[1] + width) if first else None


@dataclass(frozen=True, slots=True)
class Lanes:
    """What stands beside one side of a drawing.

    Attributes
    ----------
    items : tuple of Item
        In the drawing's own coordinates.
    depth : float
        How far they reach from it, in points.
    low, high : float
        How far they reach along it, in points.
    """

    items: tuple[Item, ...] = ()
    depth: float = 0.0
    low: float = 0.0
    high: float = 0.0


def lanes(  # 6 arguments: places, on which side of what extent, how large, how written
    series: Sequence[Series], side: Side, extent: tuple[float, float], near: tuple[float, float], unit: float,
    units: UnitSystem,
) -> Lanes:  # fmt: skip
    """Draw dimensions beside one side of a drawing.

    Parameters
    ----------
    series : sequence of Series
        What is told, nearest first.
    side : {"bottom", "top", "left", "right"}
        Where; below and above places run from left to right, at the sides from bottom to top.
    extent : tuple of float
        From where to where the drawing reaches along that side, in its own coordinates.
    near : tuple of float
        The edge from which lanes are counted, and to which lines run from them, across that side.
    unit : float
        A point of paper in the drawing's coordinates.
    units : {"inch", "metric"}
        Of the figures.
    """
    low, high = extent[0] / unit, extent[1] / unit
    # Nothing stands beyond the far end of a lane, so that short sides have room for words too.
    rows = [lane for each in series for lane in _lanes(each, units, unit, low, max(high, _LEAST))]
    upright, sign = side in ("left", "right"), 1 if side in ("top", "right") else -1
    point = _turned if upright else _level
    lines: list[Item] = []
    letters: list[Item] = []
    ends = [low, high]
    for number, lane in enumerate(rows):
        bands = [near[0] + sign * (FIRST + LANE * (number + step)) * unit for step in (0, 1)]
        # Letters stand on their line as they are read, turned ones to the left of it.
        at = max(bands) - _FOOT * unit if upright else min(bands) + _FOOT * unit
        for start, end, both in lane.arrows:
            lines.append(Arrow(point(start, at), point(end, at), THIN, both=both))
            lines += [Line(point(value, near[1]), point(value, at + sign * 2 * unit), FAINT) for value in (start, end)]
            ends += [start / unit - 2, end / unit + 2]
        for text in lane.texts:
            letters += _letters(text, at, unit, upright=upright)
            ends += [text.start - 2, text.end + 2]
    depth = FIRST + LANE * len(rows) + 2 if rows else 0.0
    return Lanes((*lines, *letters), depth, min(ends), max(ends))


def _letters(text: _Written, at: float, unit: float, *, upright: bool) -> list[Item]:
    """Return a text on its line, with white under it."""
    long, high = (text.end - text.start + 1.6) * unit, (ASCENT + DESCENT) * SIZE * unit
    start, low = (text.start - 0.8) * unit, 0.8 * unit
    base = low + DESCENT * SIZE * unit
    if upright:
        return [
            rectangle(at - low - high, start, high, long, pen=None, fill=WHITE),
            Text((at - base, text.start * unit), text.text, SIZE, "start", text.bold, turned=True),
        ]
    return [
        rectangle(start, at + low, long, high, pen=None, fill=WHITE),
        Text((text.start * unit, at + base), text.text, SIZE, "start", text.bold),
    ]


def _level(along: float, across: float) -> tuple[float, float]:
    return along, across


def _turned(along: float, across: float) -> tuple[float, float]:
    return across, along
