"""Counts as people write them."""


def plural(count: int, word: str, words: str = "") -> str:
    """Write a count with its word: 1 sheet, 2 sheets, 3 boxes with ``words="boxes"``."""
    return f"{count} {word if count == 1 else words or word + 's'}"
