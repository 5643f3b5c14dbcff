"""The typeface of the drawings: where its files are, how wide text is, and fitting text into a width.

DejaVu Sans Condensed is shipped as package data with its licence (``typefaces/LICENCE.txt``): a free face whose
figures stay apart in small sizes, with the primes, fractions and multiplication signs of the trade, and with Latin,
Greek and Cyrillic letters.
"""

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
MISSING = "\ufffd"


@dataclass(frozen=True)
class _Face:
    """Advance widths of one face, by character, as parts of the letter size."""

    widths: dict[int, float]

    def width(self, text: str) -> float:
        widths = self.widths
        return sum(widths[ord(c)] for c in text)


def typeface_path(*, bold: bool = False) -> Path:
    """Return the font file of the regular or the bold face."""
    with as_file(files("nesting.drawings") / "typefaces" / ("bold.ttf" if bold else "regular.ttf")) as path:
        return path


@lru_cache(maxsize=2)
def _face(*, bold: bool) -> _Face:
    with TTFont(typeface_path(bold=bold), lazy=True) as font:
        cmap, metrics, em = font.getBestCmap(), font["hmtx"].metrics, font["head"].unitsPerEm
        return _Face({code: metrics[glyph][0] / em for code, glyph in cmap.items()})


def printable(text: str) -> str:
    """Return text with what the typeface cannot show replaced by a mark, and all white space by single spaces."""
    known = _face(bold=False).widths
    return "".join(c if ord(c) in known else MISSING for c in " ".join(text.split()))


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
    for most in range(len(text) - 1, 0, -1):
        cut = text[:most].rstrip() + "…"
        if text_width(cut, size, bold=bold) <= room:
            return cut
    return "…"


def wrapped(text: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """Break text into lines of at most ``room`` points: at spaces, and inside a word only where it alone is wider.

    Returns
    -------
    list of str
        At least one line; an empty text gives one empty line.
    """
    lines: list[str] = []
    line = ""
    for whole in text.split():
        word = whole
        longer = f"{line} {word}" if line else word
        if text_width(longer, size, bold=bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        while text_width(word, size, bold=bold) > room and len(word) > 1:
            most = len(word) - 1
            while most > 1 and text_width(word[:most], size, bold=bold) > room:
                most -= 1
            lines.append(word[:most])
            word = word[most:]
        line = word
    lines.append(line)
    return lines
