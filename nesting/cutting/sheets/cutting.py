"""Cutting: a solution becomes cut trees in the caller's own units, with parts named and offcuts kept whole."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import repeat
from typing import Final

from nesting.cutting.parts import Part
from nesting.cutting.sheets.model import Cut, Node, Offcut, PartLeaf, SheetLayout, Waste
from nesting.cutting.sheets.pattern import ACROSS, ALONG, Pattern, leaves
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.solution import Solution

Keep = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Saw:
    """How pieces are cut and which leftovers are kept.

    Attributes
    ----------
    problem : Problem
        Sizes of the items.
    keep : (int, int)
        Least length and width, either way round, of a leftover worth keeping.
    """

    problem: Problem
    keep: Keep
    _needs: dict[Pattern, tuple[int, int]] = field(default_factory=dict, repr=False, compare=False)

    def size(self, code: int) -> tuple[int, int]:
        """Size of a leaf with its kerf, in the caller's units."""
        item = self.problem.items[code >> 1]
        size = item.length * self.problem.unit, item.width * self.problem.unit
        return size[::-1] if code & 1 else size

    def need(self, pattern: Pattern) -> tuple[int, int]:
        """Room that a pattern needs, kerfs included, in the caller's units."""
        if isinstance(pattern, int):
            return self.size(pattern)
        known = self._needs.get(pattern)
        if known is None:
            sizes = [self.need(branch) for branch in pattern[1:]]
            if pattern[0] == ALONG:
                known = sum(a for a, _ in sizes), max((b for _, b in sizes), default=0)
            else:
                known = max((a for a, _ in sizes), default=0), sum(b for _, b in sizes)
            self._needs[pattern] = known
        return known

    def remains(self, length: int, width: int) -> Node:
        """Name what is left of a piece, whose size is given with its kerfs."""
        length, width = length - self.problem.kerf, width - self.problem.kerf
        if min(length, width) <= 0:
            return Waste()
        keep = sorted(self.keep)
        return Offcut() if min(length, width) >= keep[0] and max(length, width) >= keep[1] else Waste()

    def cut(self, pattern: Pattern, length: int, width: int, names: Iterator[PartLeaf]) -> Node:
        """Cut a pattern from a piece whose size is given with its kerfs.

        Of the two ways to take off what is too much, the one that leaves the larger single offcut is chosen.
        """
        along, across = self.need(pattern)
        if along == 0:
            return self.remains(length, width)
        spare_along, spare_across = length - along, width - across
        head = pattern[0] if isinstance(pattern, tuple) else None
        rip_first = spare_across > 0 and length * spare_across > spare_along * width
        if rip_first and head != ACROSS:
            # The whole length of spare width comes off in one piece.
            first = self.cut(pattern, length, across, names)
            return Cut("rip", across - self.problem.kerf, first, self.remains(length, spare_across))
        if not rip_first and spare_along > 0 and head != ALONG:
            first = self.cut(pattern, along, width, names)
            return Cut("cross", along - self.problem.kerf, first, self.remains(spare_along, width))
        if isinstance(pattern, int):
            if spare_across > 0:
                return Cut("rip", across - self.problem.kerf, next(names), self.remains(length, spare_across))
            return next(names)
        return self._row(pattern, length, width, names)

    def _row(self, pattern: Pattern, length: int, width: int, names: Iterator[PartLeaf]) -> Node:
        """Cut off one branch after another; the rest of the last cut is what remains of the piece."""
        assert isinstance(pattern, tuple)  # noqa: S101 - only rows come here
        cuts: list[tuple[int, Node]] = []
        for branch in pattern[1:]:
            along, across = self.need(branch)
            if pattern[0] == ALONG:
                cuts.append((along, self.cut(branch, along, width, names)))
                length -= along
            else:
                cuts.append((across, self.cut(branch, length, across, names)))
                width -= across
        spare = length if pattern[0] == ALONG else width
        if spare:
            node = self.remains(length, width)
        else:
            _, node = cuts.pop()
        for at, first in reversed(cuts):
            node = Cut("cross" if pattern[0] == ALONG else "rip", at - self.problem.kerf, first, node)
        return node


def lay(problem: Problem, solution: Solution, keep: Keep) -> tuple[SheetLayout, ...]:
    """Cut trees of a solution, each with as many repeats as its part names allow."""
    saw, wanted = Saw(problem, keep), _wanted(problem)
    made = [each for sheet in solution.sheets for each in _cut_alike(saw, *sheet, wanted)]
    return (*made, *spare_sheets(problem, solution))


def cut_bare(saw: Saw, stock: int, pattern: Pattern) -> SheetLayout:
    """Cut one sheet without names, where only the cuts and what is left over matter."""
    sheet = saw.problem.stocks[stock].sheet
    length, width = sheet.usable_length + saw.problem.kerf, sheet.usable_width + saw.problem.kerf
    return SheetLayout(sheet, saw.cut(pattern, length, width, repeat(_NAMELESS)), 1)


_NAMELESS: Final = PartLeaf("", turned=False)


def _wanted(problem: Problem) -> list["_Wanted"]:
    """How many of each part name every item stands for."""
    return [_Wanted(item.parts) for item in problem.items]


def _cut_alike(
    saw: Saw, stock: int, pattern: Pattern, repeat: int, wanted: Sequence["_Wanted"]
) -> Iterator[SheetLayout]:
    """Cut a pattern so many times; what its parts are named is wanted no more."""
    problem = saw.problem
    sheet = problem.stocks[stock].sheet
    length, width = sheet.usable_length + problem.kerf, sheet.usable_width + problem.kerf
    left = repeat
    while left:
        times, names = _name(problem, pattern, wanted, left)
        yield SheetLayout(sheet, saw.cut(pattern, length, width, iter(names)), times)
        left -= times


def _name(problem: Problem, pattern: Pattern, wanted: Sequence["_Wanted"], most: int) -> tuple[int, list[PartLeaf]]:
    """Give each leaf a part's name so that as many sheets as possible are cut alike."""
    codes = list(leaves(pattern))
    counts = Counter(code >> 1 for code in codes)
    low, high = 1, most
    while low < high:
        middle = (low + high + 1) // 2
        if all(wanted[item].holds(middle) >= count for item, count in counts.items()):
            low = middle
        else:
            high = middle - 1
    names: list[PartLeaf] = []
    for code in codes:
        item = problem.items[code >> 1]
        part = wanted[code >> 1].take(low)
        along = (item.width if code & 1 else item.length) * problem.unit - problem.kerf
        names.append(PartLeaf(part.name, _turned(part, along)))
    return low, names


class _Wanted:
    """What an item's parts are still wanted of, by their names.

    Equal parts of a thousand crates are one item: what is asked of all of them is kept by how many are left of a name,
    and a name of which nothing is left is looked at no more.
    """

    def __init__(self, parts: Sequence[Part]) -> None:
        self.parts = {part.name: part for part in parts}
        self.left = Counter[str]({part.name: part.count for part in parts})
        self.tally = Counter(self.left.values())

    def holds(self, times: int) -> int:
        """Return how often a name can be given so many times."""
        return sum(names * (left // times) for left, names in self.tally.items())

    def take(self, times: int) -> Part:
        """Take the first part of which so many are left, so many times."""
        name = next(name for name, left in self.left.items() if left >= times)
        left = self.left[name]
        self.tally[left] -= 1
        if left == times:
            del self.left[name]
        else:
            self.left[name] = left - times
            self.tally[left - times] += 1
        return self.parts[name]


def _turned(part: Part, along: int) -> bool:
    """Whether a part lies turned when it takes `along` of the sheet's length."""
    return part.length != along


def spare_sheets(problem: Problem, solution: Solution) -> Iterator[SheetLayout]:
    """Whole sheets taken only because the price break that they reach saves more than they cost."""
    for stock, count in enumerate(solution.counts(problem)):
        sheet = problem.stocks[stock].sheet
        extra = sheet.purchase(count)[1] - count
        if extra:
            yield SheetLayout(sheet, Offcut(), extra)
