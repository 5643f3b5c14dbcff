"""The cheapest mix by CP-SAT, where there are too many stocks to try all numbers (a full rack)."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from nesting.cutting.sticks.bounds import Cut, Key, Mix
from nesting.cutting.sticks.exact import run_solver
from nesting.cutting.sticks.problem import Problem, Stock

# Deterministic time for one mix, by effort.
TIME = {"quick": 0.05, "normal": 0.2, "thorough": 5.0}

# The solver's sums stay below 2**62.
_GREATEST = 2**60


@dataclass(frozen=True, slots=True)
class MixAnswer:
    """What the solver found.

    Attributes
    ----------
    mix : Mix or None
        The best mix found.
    bound : int
        No mix that satisfies the cuts, and is not barred, costs less.
    complete : bool
        Whether the mix is the best one, or, without one, there is none.
    interrupted : bool
        Whether Ctrl-C cut the search off.
    """

    mix: Mix | None
    bound: int
    complete: bool
    interrupted: bool


def _pay(model: Any, stock: Stock, needed: Any) -> tuple[Any, Any]:
    """Return the cost and the number of sticks bought: all at one price, for enough of them to reach it."""
    prices = ((0, stock.stick.cost), *stock.stick.breaks)
    tiers, cost, total = [], 0, 0
    for step, (start, each) in enumerate(prices):
        if stock.stick.count is not None and start > stock.stick.count:
            break
        end = max(stock.limit, start)
        if step + 1 < len(prices):
            end = min(end, prices[step + 1][0] - 1)
        bought, reached = model.new_int_var(0, end, ""), model.new_bool_var("")
        model.add(bought <= end * reached)
        model.add(bought >= start * reached)
        tiers.append(reached)
        total, cost = total + bought, cost + each * bought
    model.add_at_most_one(tiers)
    model.add(needed <= total)
    return cost, total


def model_mix(
    problem: Problem, cuts: Sequence[Cut], barred: Sequence[Mix], below: Key, *, seed: int, limit: float
) -> MixAnswer:
    """Look for the mix of least key below a given one; as :class:`nesting.cutting.sticks.mixes.MixSearch` does.

    Where keys would be too large for the solver, ties are left out and only the cost is to be less.
    """
    from ortools.sat.python import cp_model  # heavy, and seldom needed

    model = cp_model.CpModel()
    needed = [model.new_int_var(0, stock.limit, "") for stock in problem.stocks]
    for cut in cuts:
        model.add(sum(top * count for top, count in zip(cut.tops, needed, strict=True)) >= cut.need)
    for bar in barred:
        more = [model.new_bool_var("") for _ in needed]
        for count, most, passed in zip(needed, bar, more, strict=True):
            model.add(count >= most + 1).only_enforce_if(passed)
        model.add_bool_or(more)
    cost, spend, sticks, most = 0, 0, 0, 1
    for stock, count in zip(problem.stocks, needed, strict=True):
        paid, taken = _pay(model, stock, count)
        cost, sticks, spend = cost + paid, sticks + taken, spend + (0 if stock.rack else paid)
        most += max(stock.limit, *(start for start, _ in stock.stick.breaks), 0)
    one = most * (below[0] + 1)
    if one * (below[0] + 1) < _GREATEST:
        value, least = one * cost + most * spend + sticks, one * below[0] + most * below[1] + below[2] - 1
    else:
        one, value, least = 1, cost, below[0] - 1
    model.add(value <= least)
    model.minimize(value)
    solver, outcome, interrupted = run_solver(model, seed, limit)
    if outcome == "none":
        return MixAnswer(None, below[0], complete=True, interrupted=interrupted)
    if outcome == "open":  # and then the solver's own bound may not be set
        return MixAnswer(None, 0, complete=False, interrupted=interrupted)
    bound = max(int(solver.best_objective_bound) // one, 0)
    mix = tuple(min(solver.value(count), stock.limit) for count, stock in zip(needed, problem.stocks, strict=True))
    # What a price break gives away may as well be cut.
    used = (min(stock.stick.purchase(n)[1], stock.limit) for n, stock in zip(mix, problem.stocks, strict=True))
    return MixAnswer(tuple(used), bound, outcome == "best", interrupted)
