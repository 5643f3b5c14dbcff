"""Cells of a table: text broken into lines that fit a column, in letters that are never too small to read."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from nesting.drawings.typeface import LEAST, text_width, wrapped

_KEPT = "\u00a6"
"""Stands for the space of a mixed number while a cell is broken into lines; a little wider than a space."""
_MIXED = re.compile(r"(\d) (\d+/\d+)")
_JOINT = re.compile(r"(?<=[.\-])(?=[^\W\d])")
"""Where a part's name may be broken: after a point or a hyphen, but not before a figure, which would stand alone."""


@dataclass(frozen=True, slots=True)
class Cell:
    """Lines of a table's cell, and their size: smaller where a single word is wider than the column."""

    lines: tuple[str, ...]
    size: float

    @classmethod
    @lru_cache(maxsize=65_536)  # pages are made at several sizes of their drawings: most cells come several times
    def fitted(cls, text: str, size: float, room: float, *, bold: bool) -> "Cell":
        """Break a text at its spaces; only a word that is too wide even in the smallest letters is broken itself.

        Such a word is broken after a point or a hyphen, ``K4.back-`` and ``upright``; elsewhere only where it has none.
        A mixed number such as ``30 1/2`` counts as one word, so that no fraction stands alone.
        """
        if _KEPT not in text:
            text = _MIXED.sub(rf"\1{_KEPT}\2", text)
            kept = cls._broken(text, size, room, bold=bold)
            return cls(tuple(line.replace(_KEPT, " ") for line in kept.lines), kept.size)
        return cls._broken(text, size, room, bold=bold)

    @classmethod
    def _broken(cls, text: str, size: float, room: float, *, bold: bool) -> "Cell":
        widest = max((text_width(word, size, bold=bold) for word in text.split()), default=0.0)
        fitting = size if widest <= room else max(min(LEAST, size), size * room / widest * 0.999)
        words = " ".join(part for word in text.split() for part in _parted(word, fitting, room, bold=bold))
        return cls(tuple(_at_most(wrapped(words, fitting, room, bold=bold))), fitting)


def _parted(word: str, size: float, room: float, *, bold: bool) -> Iterator[str]:
    """Yield a word whole where it fits, else in parts that end at its joints, each as long as fits."""
    if text_width(word, size, bold=bold) <= room:
        yield word
        return
    part = ""
    for more in _JOINT.split(word):
        if part and text_width(part + more, size, bold=bold) > room:
            yield part
            part = ""
        part += more
    yield part


def _at_most(lines: list[str], most: int = 24) -> list[str]:
    """Return the lines, cut where a cell would outgrow a page."""
    return lines if len(lines) <= most else [*lines[: most - 1], "…"]


def row_height(cells: Sequence[Cell], size: float) -> float:
    """Return how high a row of a table is, in points."""
    return max(len(cell.lines) for cell in cells) * size * 1.22 + 2.6
