"""Diving: a whole plan out of the linear relaxation, a few sticks at a time.

What the linear solution cuts a whole number of times is cut; where it cuts nothing whole, its greatest share is rounded
up; then the relaxation is solved again for what is left. (A diving heuristic; Vanderbeck 2005,
doi:10.1007/0-387-25486-2_12, places it among others.) At every step the rest is also filled quickly, from any stock.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from nesting.cutting.sticks.bounds import Mix
from nesting.cutting.sticks.column_generation import Columns, Share
from nesting.cutting.sticks.fill import Cuts, candidates, plan_mix
from nesting.cutting.sticks.problem import Pattern, Problem

STEPS = {"quick": 2, "normal": 30, "thorough": 300}


def left_over(problem: Problem, mix: Mix, begun: Cuts) -> tuple[Problem, Mix]:
    """Return what is left to cut, and what is left of a mix."""
    demand = list(problem.demand)
    for (_, pattern), repeat in begun.items():
        for item, count in pattern:
            demand[item] -= count * repeat
    used = plan_mix(problem, begun)
    stocks = tuple(replace(stock, limit=stock.limit - n) for stock, n in zip(problem.stocks, used, strict=True))
    rest = tuple(count - n for count, n in zip(mix, used, strict=True))
    return replace(problem, demand=tuple(demand), stocks=stocks), rest


def thin(pattern: Pattern, demand: Sequence[int]) -> Pattern:
    """Leave out of a pattern what is not wanted any more."""
    kept = ((item, min(count, demand[item])) for item, count in pattern)
    return tuple((item, count) for item, count in kept if count)


def _settle(problem: Problem, mix: Mix, begun: Cuts, shares: Sequence[Share]) -> Cuts | None:
    """Add what the relaxation cuts whole, or one stick of its greatest share; None when nothing can be added."""
    cuts = dict(begun)
    rest, left = left_over(problem, mix, begun)
    demand, free = list(rest.demand), list(left)

    def cut(stock: int, pattern: Pattern, most: int) -> int:
        times = min([most, free[stock], *(demand[item] // count for item, count in pattern)]) if pattern else 0
        if times > 0:
            cuts[stock, pattern] = cuts.get((stock, pattern), 0) + times
            free[stock] -= times
            for item, count in pattern:
                demand[item] -= count * times
        return times

    if sum(cut(stock, pattern, int(share + 1e-6)) for share, (stock, pattern) in shares):
        return cuts
    if any(cut(stock, thin(pattern, demand), 1) for _, (stock, pattern) in shares):
        return cuts
    return None


def dive(problem: Problem, mix: Mix | None, columns: Columns, shares: Sequence[Share], effort: str) -> Iterator[Cuts]:
    """Yield plans on the way from a linear solution down to a whole one.

    Parameters
    ----------
    problem : Problem
        What to cut.
    mix : Mix or None
        What to cut it from; None leaves that to the linear programs.
    columns : Columns
        Where the linear solution comes from; its work is counted on.
    shares : sequence of Share
        The linear solution.
    effort : str
        How many steps are taken.
    """
    cuts: Cuts = {}
    known = list(columns.columns)
    have = tuple(stock.limit for stock in problem.stocks) if mix is None else mix
    for _ in range(STEPS[effort]):
        settled = _settle(problem, have, cuts, shares)
        if settled is None:
            return
        cuts = settled
        rest, left = left_over(problem, have, cuts)
        yield from candidates(problem, cuts)
        if not any(rest.demand) or columns.cells < 0:
            return
        start = {(stock, thin(pattern, rest.demand)) for stock, pattern in known}
        smaller = Columns(rest, sorted(start), columns.cells)
        shares = smaller.check((0,) * len(left) if mix is None else left).shares
        columns.cells = smaller.cells
