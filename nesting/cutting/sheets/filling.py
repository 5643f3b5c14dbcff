"""Filling: greedy layouts in plain Python, for orders that need no more.

Parts are placed one after another where the loss of leftover area to the power 1.25 is least (after Gardeyn and
Wauters 2022, doi:10.1016/j.ejor.2021.11.031, who use 1.2), both ways round, with either cut first. A new sheet is
opened only when nothing else holds the part. Nothing is guaranteed except that the result can be cut.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from math import inf, sqrt
from typing import Final

from nesting.cutting.sheets.key_costs import rate
from nesting.cutting.sheets.pattern import ACROSS, ALONG, Pattern, need, tidy
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.solution import Solution

Order = Callable[[int], tuple[int, ...]]


def worth(length: int, width: int) -> float:
    """Value of a leftover: area to the power 1.25, by square roots, which every machine rounds the same."""
    area = float(length * width)
    return area * sqrt(sqrt(area))


@dataclass(slots=True)
class _Box:
    """A rectangle divided in one direction, with a leftover at its end."""

    head: int
    length: int
    width: int
    branches: "list[_Box | int]" = field(default_factory=list)
    slack: int = 0

    def leftover(self) -> tuple[int, int]:
        return (self.slack, self.width) if self.head == ALONG else (self.length, self.slack)

    def pattern(self) -> Pattern:
        return (self.head, *(b.pattern() if isinstance(b, _Box) else b for b in self.branches))


def _place(box: _Box, code: int, size: tuple[int, int], across_first: bool) -> list[_Box]:
    """Put an item into a box's leftover; returns the new boxes that have leftovers."""
    length, width = box.leftover()
    along = box.head == ALONG
    (p, room), (q, depth) = ((size[0], length), (size[1], width)) if along else ((size[1], width), (size[0], length))
    other = ACROSS if along else ALONG
    new: list[_Box] = []

    def make(head: int, run: int, across: int) -> _Box:
        made = _Box(head, run, across) if along else _Box(head, across, run)
        new.append(made)
        return made

    if across_first and p < room and q < depth:
        frame = make(other, room, depth)
        strip = make(box.head, room, q)
        strip.branches.append(code)
        strip.slack = room - p
        frame.branches.append(strip)
        frame.slack = depth - q
        box.branches.append(frame)
        box.slack = 0
    elif q < depth:
        frame = make(other, p, depth)
        frame.branches.append(code)
        frame.slack = depth - q
        box.branches.append(frame)
        box.slack -= p
    else:
        box.branches.append(code)
        box.slack -= p
    return new


_Way = tuple[int, tuple[int, int]]
"""A leaf of an item, and the size that it has so."""
_Choice = tuple[float, int, tuple[int, int], bool]
"""What a place gains (none gains more than nothing), the leaf, its size, and whether the cut across the box's
direction comes first."""
Places = dict[tuple[int, int, int], dict[int, _Choice]]
"""For leftovers, by the direction of their box and their size, what was found there for items."""
_PLACES: Final = 20_000
"""Leftovers of which more is remembered than helps."""
_NONE: Final[_Choice] = (-inf, 0, (0, 0), False)


def _choice(box: _Box, ways: Sequence[_Way]) -> _Choice:
    """Return where in a box's leftover an item loses least; of equal ways the first."""
    length, width = box.leftover()
    along = box.head == ALONG
    best = _NONE
    before: float | None = None
    for code, size in ways:
        a, b = size
        if a > length or b > width:
            continue
        if before is None:
            before = worth(length, width)
        gain = worth(length - a, width) + worth(a, width - b) - before
        if gain > best[0]:
            best = gain, code, size, not along
        if a < length and b < width:
            gain = worth(length - a, b) + worth(length, width - b) - before
            if gain > best[0]:
                best = gain, code, size, along
    return best


@dataclass(slots=True)
class _Boxes:
    """Boxes with leftovers, and what was found of each for every item: most stay as they are from one to the next.

    Attributes
    ----------
    sizes : sequence of sequence of (int, (int, int))
        Of each item, its leaves.
    least : int
        A leftover with a shorter side holds nothing.
    places : Places
        What is known of leftovers.
    """

    sizes: Sequence[Sequence[_Way]]
    least: int
    places: Places
    _open: list[tuple[_Box, dict[int, _Choice]]] = field(default_factory=list)

    def add(self, box: _Box) -> None:
        """Add a box, where its leftover may hold anything."""
        length, width = box.leftover()
        if length >= self.least and width >= self.least:
            self._open.append((box, self.places.setdefault((box.head, length, width), {})))

    def place(self, item: int) -> bool:
        """Put an item where it loses least, of equal places in the first; False where nothing holds it."""
        best, at = _NONE, -1
        for index, (box, known) in enumerate(self._open):
            choice = known.get(item)
            if choice is None:
                choice = known[item] = _choice(box, self.sizes[item])
            if choice[0] > best[0]:
                best, at = choice, index
        if at < 0:
            return False
        box, _ = self._open[at]
        _, code, size, across_first = best
        new = _place(box, code, size, across_first)
        length, width = box.leftover()
        if length >= self.least and width >= self.least:
            self._open[at] = box, self.places.setdefault((box.head, length, width), {})
        else:
            del self._open[at]
        for each in new:
            self.add(each)
        return True


def fill(
    problem: Problem, order: Sequence[int], preference: Sequence[int], places: Places | None = None
) -> Solution | None:
    """Place items in the given order.

    Parameters
    ----------
    order : sequence of int
        Items, each as often as it is wanted.
    preference : sequence of int
        Stocks in the order in which they are opened.
    places : Places, optional
        What was found of places in other fillings with items of these sizes: read and added to.

    Returns
    -------
    Solution or None
        None when the stocks that are limited run out.
    """
    roots: list[tuple[int, _Box]] = []
    left = [stock.limit for stock in problem.stocks]
    sizes = [[(2 * i + t, way) for t, way in enumerate(item.ways())] for i, item in enumerate(problem.items)]
    if places is not None and len(places) > _PLACES:
        places.clear()
    boxes = _Boxes(sizes, min(min(size) for ways in sizes for _, size in ways), {} if places is None else places)
    for item in order:
        if boxes.place(item):
            continue
        open_to = [s for s in preference if left[s] and problem.stocks[s].holds(problem.items[item])]
        if not open_to:
            return None
        stock = open_to[0]
        left[stock] -= 1
        root = _Box(ALONG, problem.stocks[stock].length, problem.stocks[stock].width)
        root.slack = root.length
        roots.append((stock, root))
        boxes.add(root)
        boxes.place(item)
    return Solution.of([(stock, tidy(problem, root.pattern())) for stock, root in roots])


def orders(problem: Problem) -> Iterator[list[int]]:
    """Item orders worth trying: by area, longer side, shorter side, perimeter, each descending."""
    keys: tuple[Callable[[int], tuple[int, ...]], ...] = (
        lambda i: (-problem.items[i].area,),
        lambda i: (-max(problem.items[i].ways()[0]), -min(problem.items[i].ways()[0])),
        lambda i: (-min(problem.items[i].ways()[0]), -max(problem.items[i].ways()[0])),
        lambda i: (-problem.items[i].length - problem.items[i].width,),
        lambda i: (problem.items[i].turns, -problem.items[i].area),
    )
    seen: set[tuple[int, ...]] = set()
    for key in keys:
        ranked = sorted(range(len(problem.items)), key=key)
        if tuple(ranked) not in seen:
            seen.add(tuple(ranked))
            yield [i for i in ranked for _ in range(problem.items[i].demand)]


def preferences(problem: Problem) -> Iterator[list[int]]:
    """Orders in which to open stocks: cheapest by area, largest first, smallest first, rack before all."""
    stocks = range(len(problem.stocks))
    keys: tuple[Callable[[int], tuple[float, ...]], ...] = (
        lambda s: (float(rate(problem, s) / problem.stocks[s].area), s),
        lambda s: (not problem.stocks[s].rack, float(rate(problem, s) / problem.stocks[s].area), s),
        lambda s: (s,),
        lambda s: (-s,),
    )
    seen: set[tuple[int, ...]] = set()
    for key in keys:
        ranked = sorted(stocks, key=key)
        if tuple(ranked) not in seen:
            seen.add(tuple(ranked))
            yield ranked


def fits(problem: Problem, pattern: Pattern, stock: int) -> bool:
    """Whether a pattern can be cut from a stock."""
    along, across = need(problem, pattern)
    return along <= problem.stocks[stock].length and across <= problem.stocks[stock].width
