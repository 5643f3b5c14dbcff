"""Batches: orders of thousands of parts, laid a few sheets at a time, so that time grows in line with the parts.

Each batch takes a fair sample of all that is left, several times what its sheets can hold, and keeps the fullest
sheets that the compiled search makes of it; each of them is cut as often as what is left allows. The last batch takes
what remains. This is the sheet-by-sheet way of sequential value correction (Cui, Zhong and Yao 2015,
doi:10.1016/j.ejor.2014.12.014) with fair samples in the place of corrected values. Nothing is guaranteed about the
cost.
"""

from collections import Counter
from dataclasses import replace

from nesting.base.search import Search
from nesting.cutting.sheets.key_costs import Prices, rate
from nesting.cutting.sheets.pattern import Pattern, contents
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.run import CutOff, Run
from nesting.cutting.sheets.search import RuinAndRecreate, scramble
from nesting.cutting.sheets.solution import Placed, Solution

# Parts of one batch, at most and about; and how much more it takes than its sheets hold.
_PARTS = 120
_SURPLUS = 3.5

# Steps of its search: usually, with the least effort, and where the answer is only compared by what it costs.
_STEPS, _QUICK, _DRAFT = 20_000, 4_000, 500


def _steps(search: Search) -> int:
    """Return the steps of one batch's search."""
    if search.effort != "quick":
        return _STEPS
    return _DRAFT if search.draft else _QUICK


def in_batches(run: Run) -> None:
    """Lay all parts, batch by batch, and offer the result unless limited stocks run out.

    When the search is cut off, the remaining batches are laid without search; when it is interrupted, that too is done
    for somebody who asked for the best so far, and for nobody else.
    """
    problem = run.problem
    left = [item.demand for item in problem.items]
    limits = [stock.limit for stock in problem.stocks]
    placed: list[Placed] = []
    total = sum(left)
    number = 0
    late: list[BaseException] = []
    while any(left):
        number += 1
        last = sum(left) <= _PARTS * 3 // 2
        demand = left if last else _sample(left, run.seed + number)
        try:
            if not late:
                run.check()
                run.report("batches", 1 - sum(left) / total)
            made = _batch(run, demand, limits, number, 1 if late else _steps(run.search), last=last)
        except (CutOff, KeyboardInterrupt) as stop:
            if isinstance(stop, KeyboardInterrupt) and run.search.stop is None:
                raise
            late.append(stop)
            continue
        if not made:
            return
        for stock, pattern, _ in made.sheets:
            held = contents(pattern)
            again = min(left[t] // n for t, n in held.items())
            times = min(again, limits[stock])
            if times <= 0:
                continue
            for t, n in held.items():
                left[t] -= n * times
            limits[stock] -= times
            placed += [(stock, pattern)] * times
    run.offer(Solution.of(placed))
    if late:
        raise late[0]


def _sample(left: list[int], number: int) -> list[int]:
    """Take a fair sample: every item in proportion, the remainders by lot."""
    total = sum(left)
    demand = []
    for t, count in enumerate(left):
        whole, rest = divmod(count * _PARTS, total)
        demand.append(min(count, whole + (scramble(number * len(left) + t) % total < rest)))
    if not any(demand):
        demand[max(range(len(left)), key=left.__getitem__)] = 1
    return demand


def _batch(run: Run, demand: list[int], limits: list[int], number: int, steps: int, *, last: bool) -> Solution | None:
    """Fill sheets with a sample; some of it may stay out, and the emptier sheets are not kept, but for the last."""
    # Only of what is in it: each step looks at every item that there is.
    taken = [t for t, n in enumerate(demand) if n]
    items = tuple(replace(run.problem.items[t], demand=demand[t]) for t in taken)
    stocks = tuple(replace(s, limit=min(n, sum(demand))) for s, n in zip(run.problem.stocks, limits, strict=True))
    part = replace(run.problem, items=items, stocks=stocks)
    made = _laid(part, run, number, steps, last=last)
    return Solution.of((s, _named(pattern, taken)) for s, pattern in made) if made else None


def _named(pattern: Pattern, items: list[int]) -> Pattern:
    """Return the pattern of a batch with its items numbered as the whole problem has them."""
    if isinstance(pattern, int):
        return items[pattern >> 1] << 1 | pattern & 1
    return (pattern[0], *(_named(branch, items) for branch in pattern[1:]))


def _laid(part: Problem, run: Run, number: int, steps: int, *, last: bool) -> list[Placed] | None:
    """Lay one batch out."""
    prices = Prices(part)
    search = RuinAndRecreate(part, prices, run.seed + number, pooling=False)
    if not search.begin(run.settings):
        return None
    best = search.solution()
    if last:
        used = 0
        while used < steps:
            search.load(best.placed())
            search.aim(best.key(prices) - 1, run.settings.history)
            used += search.run(steps - used, run.settings, pooling=False)
            if not search.complete():
                break
            best = search.solution()
        return best.placed()
    stocks = part.stocks
    budget = min(rate(part, s) / part.stocks[s].area for s in range(len(stocks)) if stocks[s].limit)
    area = int(part.area / _SURPLUS)
    search.load(best.placed())
    search.aim(
        max(int(budget * area) * prices.scale, min(prices.key(s, 1) for s in range(len(stocks)) if stocks[s].limit)),
        100,
    )
    search.run(steps, run.settings, pooling=False)
    made = search.nearest()
    return _fullest(part, made) if made else best.placed()


def _fullest(problem: Problem, placed: list[Placed]) -> list[Placed]:
    """Choose the sheets that are filled no worse than the mean, and at least one."""

    def filled(each: Placed) -> float:
        held: Counter[int] = contents(each[1])
        return sum(n * problem.items[t].area for t, n in held.items()) / problem.stocks[each[0]].area

    shares = [filled(each) for each in placed]
    mean = sum(shares) / len(shares)
    return [each for each, share in zip(placed, shares, strict=True) if share >= mean - 1e-9]
