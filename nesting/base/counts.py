"""Counts and choices as people write them."""

from collections.abc import Sequence
from typing import Final

NAMED: Final = 4
"""Things that a line names."""


def plural(count: int, word: str, words: str = "") -> str:
    """Write a count with its word: 1 sheet, 2 sheets, 3 boxes with ``words="boxes"``."""
    return f"{count} {counted(count, word, words)}"


def counted(count: float, word: str, words: str = "") -> str:
    """Return the word that goes with a count which stands elsewhere, or is written in another way."""
    return word if count == 1 else words or f"{word}s"


def one_of(words: Sequence[str]) -> str:
    """Write what may be chosen from: carton, closed or travel."""
    return " or ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)


def joined(words: Sequence[str]) -> str:
    """Return words as a sentence lists them: ``a``, ``a and b``, ``a, b and c``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def few(names: Sequence[str]) -> str:
    """Return the first few names, and how many more there are."""
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more
