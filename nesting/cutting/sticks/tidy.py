"""Ties of a proven plan: on the same sticks, one long remainder first, then few different layouts, by CP-SAT.

One stick is cut last: it takes any parts, as few as possible in length, and all other sticks hold patterns that a plan
on this mix can hold (:class:`nesting.cutting.sticks.exact.Listing`). Within its time the solver need not find the best.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from nesting.cutting.sticks.bounds import Mix
from nesting.cutting.sticks.column_generation import Column
from nesting.cutting.sticks.exact import run_solver, without_surplus
from nesting.cutting.sticks.fill import Cuts
from nesting.cutting.sticks.problem import Problem
from nesting.cutting.sticks.remainder import worth

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

# Deterministic time of each of the two steps, by effort.
TIME = {"quick": 0.0, "normal": 0.06, "thorough": 3.0}


class Tidy:
    """The model of both steps.

    Parameters
    ----------
    problem : Problem
        What to cut.
    mix : Mix
        The sticks, whose number stays.
    patterns : sequence of Column
        What sticks other than the last may be cut into.
    """

    def __init__(self, problem: Problem, mix: Mix, patterns: Sequence[Column]) -> None:
        from ortools.sat.python import cp_model  # heavy, and seldom needed

        self._problem = problem
        self._patterns = [(stock, pattern) for stock, pattern in patterns if mix[stock]]
        self._model: cp_model.CpModel = cp_model.CpModel()
        self._counts: list[Any] = []
        self._used: list[Any] = []
        covers: list[list[Any]] = [[] for _ in problem.sizes]
        uses: list[list[Any]] = [[] for _ in mix]
        for stock, pattern in self._patterns:
            most = min(mix[stock], max(-(-problem.demand[item] // count) for item, count in pattern))
            taken = self._model.new_int_var(0, most, "")
            used = self._model.new_bool_var("")
            self._model.add(taken <= most * used)
            self._counts.append(taken)
            self._used.append(used)
            uses[stock].append(taken)
            for item, count in pattern:
                covers[item].append(count * taken)
        self._last = [self._model.new_bool_var("") for _ in mix]
        self._model.add_exactly_one(last for last, have in zip(self._last, mix, strict=True) if have)
        self._rest = []
        for terms, wanted, size in zip(covers, problem.demand, problem.sizes, strict=True):
            most = min(wanted, max(stock.size for stock in problem.stocks) // size)
            self._rest.append(self._model.new_int_var(0, most, ""))
            self._model.add(sum(terms) + self._rest[-1] >= wanted)
        for terms, have, last in zip(uses, mix, self._last, strict=True):
            self._model.add(sum(terms) <= have - last) if have else self._model.add(last == 0)
        filled = sum(size * taken for size, taken in zip(problem.sizes, self._rest, strict=True))
        room = sum(stock.size * last for stock, last in zip(problem.stocks, self._last, strict=True))
        self._model.add(filled <= room)
        # Lengths of stocks in the problem's units, rounded down, tell which remainder is longer.
        whole = sum(
            stock.stick.usable // problem.unit * last for stock, last in zip(problem.stocks, self._last, strict=True)
        )
        self._remainder = whole - filled

    def run(self, cuts: Cuts, seed: int, effort: str) -> tuple[Cuts, bool]:
        """Return the better of a plan and what is found; and whether Ctrl-C cut the search off."""
        self._model.maximize(self._remainder)
        solver, outcome, interrupted = run_solver(self._model, seed, TIME[effort])
        if outcome in ("none", "open"):
            return cuts, interrupted
        best = min([cuts, self._plan(solver)], key=lambda plan: worth(self._problem, plan))
        if interrupted:
            return best, True
        self._model.add(self._remainder >= round(solver.objective_value))
        self._model.minimize(sum(self._used))
        for taken, used in zip(self._counts, self._used, strict=True):
            self._model.add_hint(taken, solver.value(taken))
            self._model.add_hint(used, solver.value(used))
        solver, outcome, interrupted = run_solver(self._model, seed, TIME[effort])
        plans = [best] if outcome in ("none", "open") else [best, self._plan(solver)]
        return min(plans, key=lambda plan: worth(self._problem, plan)), interrupted

    def _plan(self, solver: "cp_model.CpSolver") -> Cuts:
        """Read a plan; what is covered twice is left out, from the last stick first."""
        missing = list(self._problem.demand)
        cuts: Cuts = {}
        for key, taken in zip(self._patterns, self._counts, strict=True):
            if repeat := solver.value(taken):
                cuts[key] = repeat
                for item, count in key[1]:
                    missing[item] -= count * repeat
        cuts = without_surplus(self._problem, cuts)
        rest = tuple((item, count) for item, count in enumerate(missing) if count > 0)
        last = next(index for index, chosen in enumerate(self._last) if solver.value(chosen))
        if rest:
            cuts[last, rest] = cuts.get((last, rest), 0) + 1
        return cuts
