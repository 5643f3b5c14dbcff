"""The typeface of the drawings: where its files are, how wide text is, and fitting text into a width.

DejaVu Sans Condensed is shipped as package data with its licence (``typefaces/LICENCE.txt``): a free face whose
figures stay apart in small sizes, with the primes, fractions and multiplication signs of the trade, and with Latin,
Greek and Cyrillic letters.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import as_file, files
from pathlib import Path

from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # ships no types

FAMILY = "DejaVu Sans Condensed"
ASCENT = 0.76
"""Height of capitals, accents' room left out, as a part of the letter size."""
DESCENT = 0.24
"""Depth of the letters that hang below the line."""
LEAST = 8.0
"""The smallest letters on paper, in points: read at arm's length, at a saw."""
MISSING = "\ufffd"


@dataclass(frozen=True)
class Widths:
    """Advance widths of one face, by character, as parts of the letter size."""

    widths: dict[str, float]

    def width(self, text: str) -> float:
        """Return the width of a line of text, as a part of the letter size."""
        return sum(map(self.widths.__getitem__, text))


def typeface_path(*, bold: bool = False) -> Path:
    """Return the font file of the regular or the bold face."""
    with as_file(files("nesting.drawings") / "typefaces" / ("bold.ttf" if bold else "regular.ttf")) as path:
        return path


@lru_cache(maxsize=2)
def _face(*, bold: bool) -> Widths:
    with TTFont(typeface_path(bold=bold), lazy=True) as font:
        cmap, metrics, em = font.getBestCmap(), font["hmtx"].metrics, font["head"].unitsPerEm
        return Widths({chr(code): metrics[glyph][0] / em for code, glyph in cmap.items()})


@lru_cache(maxsize=1)
def _known() -> frozenset[str]:
    return frozenset(_face(bold=False).widths)


@lru_cache(maxsize=65_536)
def printable(text: str) -> str:
    """Return text with what the typeface cannot show replaced by a mark, and all white space by single spaces."""
    known, line = _known(), " ".join(text.split())
    return line if known.issuperset(line) else "".join(c if c in known else MISSING for c in line)


@lru_cache(maxsize=65_536)
def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return the width of a line of text in points.

    Raises
    ------
    KeyError
        For a character that the face lacks; pass the text through :func:`printable` first.
    """
    return _face(bold=bold).width(text) * size


def shortened(text: str, size: float, room: float, *, bold: bool = False) -> str:
    """Return the text, or as much of it as fits into ``room`` points with an ellipsis (which may be all)."""
    if text_width(text, size, bold=bold) <= room:
        return text

    def fits(most: int) -> bool:
        return text_width(f"{text[:most].rstrip()}…", size, bold=bold) <= room

    return f"{text[: _most(len(text) - 1, fits)].rstrip()}…"


def _most(end: int, fits: Callable[[int], bool]) -> int:
    """Return the greatest number up to ``end`` that fits, 0 where none does; what is less than one that fits, fits.

    Tried by doubling, then by halving, so that a long text is not measured whole for every short line of it.
    """
    low, high = 0, 1
    while high <= end and fits(high):
        low, high = high, 2 * high
    high = min(high, end + 1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def wrapped(text: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """Break text into lines of at most ``room`` points: at spaces, and inside a word only where it alone is wider.

    Returns
    -------
    list of str
        At least one line; an empty text gives one empty line.
    """
    return list(_wrapped(text, size, room, bold=bold))


@lru_cache(maxsize=16_384)  # pages are written several times over, until their drawings are as large as they can be
def _wrapped(text: str, size: float, room: float, *, bold: bool) -> tuple[str, ...]:
    lines: list[str] = []
    line, wide = "", 0.0
    space = text_width(" ", size, bold=bold)
    for word in text.split():
        # Words are measured once each: a paragraph would be measured again and again, up to each of its words.
        own = text_width(word, size, bold=bold)
        if (longer := wide + space + own if line else own) <= room:
            line, wide = f"{line} {word}" if line else word, longer
            continue
        if line:
            lines.append(line)
        if own <= room:
            line, wide = word, own
            continue
        start = 0
        while (most := _fitting(word, start, size, room, bold=bold)) < len(word) - start:
            lines.append(word[start : start + most])
            start += most
        line = word[start:]
        wide = text_width(line, size, bold=bold)
    return (*lines, line)


def _fitting(word: str, start: int, size: float, room: float, *, bold: bool) -> int:
    """Return how many letters of a word, from ``start`` on, fit into the room: one at the least."""
    face = _face(bold=bold)
    return max(1, _most(len(word) - start, lambda count: face.width(word[start : start + count]) * size <= room))
