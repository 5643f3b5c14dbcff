"""Fullest first: orders of hundreds of parts, laid a sheet at a time, each as full as it can be.

Many parts of many sizes nearly always hold some that fill one sheet all but whole. So sheets are filled one after
another by the compiled search, each from a fair sample of what is left, large parts counting a little more than their
area so that the small ones stay for the end; the last few sheets are searched for together. What the full sheets save
is the room that the last ones have to spare. This is the exhaustive repetition of filling one stock length at a time
(sequential heuristic procedures, Haessler 1971, doi:10.1287/mnsc.17.12.B793; corrected values, Cui, Zhong and Yao 2015,
doi:10.1016/j.ejor.2014.12.014), with a search in the place of each filling. Nothing is guaranteed about the cost.
"""

from collections.abc import Iterator
from dataclasses import replace
from math import sqrt

from nesting.cutting.sheets.key_costs import Prices, rate
from nesting.cutting.sheets.pattern import contents
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.search import RuinAndRecreate, scramble
from nesting.cutting.sheets.solution import Placed, Solution

# Steps for all full sheets, and for one at most; parts that each is filled from, at most; and the memory.
_STEPS = 500_000
_EACH = 25_000
_OFFERED = 150
_HISTORY = 100

# How many of the last sheets are searched for together, one after another; steps of each such search, its memory.
_TOGETHER = (2, 3, 4, 5)
_REST = 40_000
_LONG = 200

# Values of parts are whole parts of a full sheet's.
_FINE = 1_000_000


def fullest_first(run: Run) -> Iterator[None]:
    """Fill sheets of the stock that is cheapest for its area, lay the rest together, and offer what is cheaper.

    It stops between sheets; the run's work is counted.
    """
    problem = run.problem
    stock = min(range(len(problem.stocks)), key=lambda s: (rate(problem, s) / problem.stocks[s].area, s))
    area = problem.stocks[stock].area
    filler = _Filler(run, stock)
    left = [item.demand for item in problem.items]
    taken: list[Placed] = []
    before: list[list[int]] = [list(left)]
    room = problem.area
    steps = min(_EACH, _STEPS * area // room)
    while room > _TOGETHER[0] * area and len(taken) < problem.stocks[stock].limit:
        run.report("full sheets", 1 - room / problem.area)
        placed = filler.fill(left, len(taken), steps)
        held = contents(placed[1])
        if not held:
            break
        taken.append(placed)
        for t, n in held.items():
            left[t] -= n
            room -= n * problem.items[t].area
        before.append(list(left))
        yield
    for last in _TOGETHER:
        kept = len(taken) - (last - _TOGETHER[0])
        if kept >= 0 and not run.settled():
            yield from _together(run, taken[:kept], before[kept])


def _together(run: Run, taken: list[Placed], left: list[int]) -> Iterator[None]:
    """Search for the last sheets at a total below the best."""
    problem = run.problem
    counts = Solution.of(taken).counts(problem)
    items = tuple(replace(item, demand=n) for item, n in zip(problem.items, left, strict=True))
    stocks = tuple(replace(s, limit=s.limit - n) for s, n in zip(problem.stocks, counts, strict=True))
    part = replace(problem, items=items, stocks=stocks)
    search = RuinAndRecreate(part, run.prices, run.seed, pooling=False, held=counts)
    if not search.begin(run.settings):
        return
    run.offer(Solution.of([*taken, *search.current()]))
    while not run.settled():
        search.aim(run.key - 1, _LONG)
        yield from search.pursuing(_REST, run, pooling=False)
        if not search.complete():
            return
        run.offer(Solution.of([*taken, *search.current()]))


class _Filler:
    """Fills single sheets of one stock."""

    def __init__(self, run: Run, stock: int) -> None:
        self._run, self._stock = run, stock
        only = replace(run.problem.stocks[stock], limit=1)
        self._most = [only.area // item.area if only.holds(item) else 0 for item in run.problem.items]
        items = tuple(
            replace(item, demand=min(item.demand, most))
            for item, most in zip(run.problem.items, self._most, strict=True)
        )
        one: Problem = replace(run.problem, items=items, stocks=(only,))
        self._search = RuinAndRecreate(one, Prices(one), run.seed, pooling=False)
        self._search.value([_value(item.area / only.area) for item in items], [_FINE])

    def fill(self, left: list[int], number: int, steps: int) -> Placed:
        """Fill one sheet, the so-many-th, from what is left."""
        search = self._search
        search.clear(self._offered(left, number))
        search.aim(search.prices.key(0, 1), _HISTORY)
        search.pursue(steps, self._run, pooling=False)
        placed = search.nearest()
        return self._stock, placed[0][1] if placed else ()

    def _offered(self, left: list[int], number: int) -> list[int]:
        """Choose what a sheet is filled from: sizes by lot, one of each in turn."""
        chance = scramble(self._run.seed * 1_000_003 + number)
        ranked = sorted(range(len(left)), key=lambda t: scramble(chance + t))
        offered, room = [0] * len(left), min(_OFFERED, sum(map(min, left, self._most)))
        while room:
            for t in ranked:
                if room and offered[t] < min(left[t], self._most[t]):
                    offered[t] += 1
                    room -= 1
        return offered


def _value(share: float) -> int:
    """Return the value of a part that fills so much of a sheet: its share to the power 17/16, by square roots."""
    return 1 + round(_FINE * share * sqrt(sqrt(sqrt(sqrt(share)))))
