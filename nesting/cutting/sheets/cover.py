"""Set cover: the best choice among all sheets that the search met.

Monaci and Toth (2006), doi:10.1287/ijoc.1040.0089.
"""

import threading
from collections.abc import Callable, Iterable
from itertools import pairwise
from math import gcd

from nesting.cutting.sheets.pattern import contents, tidy, without
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.solution import Placed, Solution

# Microseconds on a machine of reference: to write down a sheet, and of a unit of CP-SAT's deterministic time.
_MODELLED = 80
_COVERED = 2_500_000


def cover(task: Run, pool: Iterable[Placed], number: int) -> Solution | None:
    """Choose sheets of a pool that hold every part and cost less than the best solution.

    Parameters
    ----------
    task : Run
        What is wanted, with some solution; its effort says how much work the solver may do, which is the same on every
        machine, and it may cut the solver off.
    pool : iterable of Placed
        Sheets met on the way.
    number : int
        Of the call, so that each has random numbers of its own.

    Returns
    -------
    Solution or None
        A better solution, or None when none was found. Surplus parts are taken out again.
    """
    from ortools.sat.python import cp_model  # heavy; most orders are settled without it

    problem, prices, best = task.problem, task.prices, task.solution
    columns = sorted({*pool, *((stock, pattern) for stock, pattern, _ in best.sheets)}, key=repr)
    model = cp_model.CpModel()
    used: list[list[cp_model.IntVar]] = [[] for _ in problem.stocks]
    rows: list[list[cp_model.LinearExpr]] = [[] for _ in problem.items]
    chosen = []
    hints = {(stock, pattern): repeat for stock, pattern, repeat in best.sheets}
    for stock, pattern in columns:
        counts = contents(pattern)
        most = min(problem.stocks[stock].limit, max(-(-problem.items[t].demand // n) for t, n in counts.items()))
        variable = model.new_int_var(0, most, "")
        model.add_hint(variable, hints.get((stock, pattern), 0))
        chosen.append(variable)
        used[stock].append(variable)
        for t, n in counts.items():
            rows[t].append(n * variable)
    for item, row in zip(problem.items, rows, strict=True):
        model.add(sum(row) >= item.demand)
    terms = []
    tables = [[prices.key(s, n) for n in range(stock.limit + 1)] for s, stock in enumerate(problem.stocks)]
    unit = gcd(*(key for table in tables for key in table)) or 1
    for s, each in enumerate(problem.stocks):
        count = model.new_int_var(0, each.limit, "")
        model.add(count == sum(used[s]))
        keys = [key // unit for key in tables[s]]
        steps = {b - a for a, b in pairwise(keys)}
        if len(steps) <= 1:
            terms.append((steps.pop() if steps else 0) * count)
        else:
            key = model.new_int_var(0, keys[-1], "")
            model.add_element(count, keys, key)
            terms.append(key)
    model.add(sum(terms) <= (best.key(prices) - 1) // unit)
    model.minimize(sum(terms))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    # Without this one worker stalls on covering rows.
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = task.settings.cover
    solver.parameters.random_seed = (task.seed + number) & 0x7FFFFFFF
    solver.parameters.catch_sigint_signal = False
    status = run(solver, model, task.check)
    task.work += _MODELLED * len(columns) + int(_COVERED * solver.response_proto.deterministic_time)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    placed = [each for each, variable in zip(columns, chosen, strict=True) for _ in range(solver.value(variable))]
    return trimmed(problem, placed)


def run(solver: "object", model: "object", check: Callable[[], None]) -> object:
    """Solve on a thread of its own, so that an interrupt or a deadline can stop it."""
    done: list[object] = []
    thread = threading.Thread(target=lambda: done.append(solver.solve(model)), daemon=True)  # type: ignore[attr-defined]  # loaded late
    thread.start()
    try:
        while thread.is_alive():
            thread.join(0.02)
            check()
    except BaseException:
        while thread.is_alive():
            solver.stop_search()  # type: ignore[attr-defined]  # loaded late
            thread.join(0.01)
        raise
    return done[0]


def trimmed(problem: Problem, placed: Iterable[Placed]) -> Solution:
    """Take surplus parts out of sheets that hold more than is wanted."""
    sheets = list(placed)
    surplus = Solution.of(sheets).contents()
    for t, item in enumerate(problem.items):
        surplus[t] -= item.demand
    kept = []
    # The emptiest sheets lose parts first, so that a sheet may become empty, or its offcut large.
    for stock, pattern in sorted(sheets, key=lambda each: (len(repr(each[1])), repr(each))):
        rest = without(pattern, surplus)
        if rest is not None:
            kept.append((stock, tidy(problem, rest)))
    return Solution.of(kept)
