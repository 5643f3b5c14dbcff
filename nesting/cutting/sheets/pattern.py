"""Patterns: how one sheet is divided, as a slicing tree without sizes.

A pattern is a leaf, the integer ``2 * item + turned``, or a tuple whose head is the direction in which its branches
follow one another: ``ALONG`` the length (split by crosscuts) or ``ACROSS`` it (split by rips). The room that a pattern
needs follows from its items, so every pattern whose need is no more than the sheet can be cut, and a pattern found on
one sheet can be checked on any other. Slicing trees: Otten (1982), doi:10.1109/DAC.1982.1585510.
"""

from collections import Counter
from collections.abc import Iterator

from nesting.cutting.sheets.problem import Problem

ALONG = 0
ACROSS = 1

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
    return Counter(code >> 1 for code in leaves(pattern))


def tidy(problem: Problem, pattern: Pattern) -> Pattern:
    """Bring a pattern to canonical form: nested equal directions merged, branches sorted with equal sizes together."""
    if isinstance(pattern, int):
        item = problem.items[pattern >> 1]
        return pattern & ~1 if item.length == item.width else pattern
    head = pattern[0]
    branches: list[Pattern] = []
    for branch in pattern[1:]:
        clean = tidy(problem, branch)
        if isinstance(clean, tuple) and (clean[0] == head or len(clean) == 1):
            branches.extend(clean[1:])
        else:
            branches.append(clean)
    if len(branches) == 1:
        return branches[0]

    def rank(branch: Pattern) -> tuple[int, int, str]:
        along, across = need(problem, branch)
        return (-along, -across, repr(branch)) if head == ALONG else (-across, -along, repr(branch))

    return (head, *sorted(branches, key=rank))


def without(pattern: Pattern, surplus: Counter[int]) -> Pattern | None:
    """Drop items that are surplus, counting them off; None when nothing is left."""
    if isinstance(pattern, int):
        if surplus[pattern >> 1] > 0:
            surplus[pattern >> 1] -= 1
            return None
        return pattern
    branches = [kept for kept in (without(branch, surplus) for branch in pattern[1:]) if kept is not None]
    return (pattern[0], *branches) if branches else None
