"""Patterns: how one sheet is divided, as a slicing tree without sizes.

A pattern is a leaf, the integer ``2 * item + turned``, or a tuple whose head is the direction in which its branches
follow one another: ``ALONG`` the length (split by crosscuts) or ``ACROSS`` it (split by rips). The room that a pattern
needs follows from its items, so every pattern whose need is no more than the sheet can be cut, and a pattern found on
one sheet can be checked on any other. Slicing trees: Otten (1982), doi:10.1109/DAC.1982.1585510.
"""

from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from nesting.cutting.sheets.problem import Problem

ALONG = 0
ACROSS = 1
_KNOWN: Final = 20_000
"""Patterns whose contents are remembered: a search asks for them over and over."""

Pattern = int | tuple  # type: ignore[type-arg]  # a recursive tuple type that mypy cannot write shortly

# The sheet that stays whole.
EMPTY: Pattern = (ALONG,)


def leaf(item: int, *, turned: bool) -> int:
    """Pattern of a single item."""
    return 2 * item + turned


def leaf_size(problem: Problem, code: int) -> tuple[int, int]:
    """Size (along, across) of a leaf."""
    item = problem.items[code >> 1]
    return (item.width, item.length) if code & 1 else (item.length, item.width)


def need(problem: Problem, pattern: Pattern) -> tuple[int, int]:
    """Room (along, across) that a pattern needs."""
    if isinstance(pattern, int):
        return leaf_size(problem, pattern)
    sizes = [need(problem, branch) for branch in pattern[1:]]
    if pattern[0] == ALONG:
        return sum(a for a, _ in sizes), max((b for _, b in sizes), default=0)
    return max((a for a, _ in sizes), default=0), sum(b for _, b in sizes)


def leaves(pattern: Pattern) -> Iterator[int]:
    """All leaves, in order."""
    if isinstance(pattern, int):
        yield pattern
    else:
        for branch in pattern[1:]:
            yield from leaves(branch)


def contents(pattern: Pattern) -> Counter[int]:
    """How many of each item a pattern holds."""
    counts: Counter[int] = Counter()
    dict.update(counts, _counted(pattern))  # plainly, since a counter would add them up one by one
    return counts


@lru_cache(maxsize=_KNOWN)
def _counted(pattern: Pattern) -> tuple[tuple[int, int], ...]:
    """Return how many of each item a pattern holds, in the order in which they come."""
    counts: dict[int, int] = {}
    for code in leaves(pattern):
        counts[code >> 1] = counts.get(code >> 1, 0) + 1
    return tuple(counts.items())


_Sized = tuple[Pattern, int, int]
"""A pattern with the room that it needs, along and across."""


def tidy(problem: Problem, pattern: Pattern) -> Pattern:
    """Bring a pattern to canonical form: nested equal directions merged, branches sorted with equal sizes together."""
    return _tidied(problem, pattern)[0][0]


def _tidied(problem: Problem, pattern: Pattern) -> tuple[_Sized, list[_Sized]]:
    """Return a pattern in canonical form, and its branches, both with the room that they need."""
    if isinstance(pattern, int):
        item = problem.items[pattern >> 1]
        code = pattern & ~1 if item.length == item.width else pattern
        return (code, *leaf_size(problem, code)), []
    head = pattern[0]
    branches: list[_Sized] = []
    last: list[_Sized] = []
    for branch in pattern[1:]:
        clean, inside = _tidied(problem, branch)
        if isinstance(clean[0], tuple) and (clean[0][0] == head or len(clean[0]) == 1):
            branches.extend(inside)
        else:
            branches.append(clean)
            last = inside
    if len(branches) == 1:
        return branches[0], last
    if head == ALONG:
        branches.sort(key=lambda each: (-each[1], -each[2], repr(each[0])))
        along, across = sum(a for _, a, _ in branches), max((b for _, _, b in branches), default=0)
    else:
        branches.sort(key=lambda each: (-each[2], -each[1], repr(each[0])))
        along, across = max((a for _, a, _ in branches), default=0), sum(b for _, _, b in branches)
    return ((head, *(each for each, _, _ in branches)), along, across), branches


def without(pattern: Pattern, surplus: Counter[int]) -> Pattern | None:
    """Drop items that are surplus, counting them off; None when nothing is left."""
    if isinstance(pattern, int):
        if surplus[pattern >> 1] > 0:
            surplus[pattern >> 1] -= 1
            return None
        return pattern
    branches = [kept for kept in (without(branch, surplus) for branch in pattern[1:]) if kept is not None]
    return (pattern[0], *branches) if branches else None
