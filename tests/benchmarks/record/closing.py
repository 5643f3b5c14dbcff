"""Closing a problem: a layout with a sheet fewer than the best known, or a proof that there is none.

One stock, up to 126 parts. The linear program over the sets of parts that one sheet holds, each part at most as often
as it is wanted, is solved to its end: the search proposes sheets first, then :class:`Sets` lists those worth more than
a sheet until there is none (column generation, Gilmore and Gomory 1961, doi:10.1287/opre.9.6.849). Then all sets are
listed that a layout of K sheets can use at all: with values v of the parts, V in all, and no sheet holding more than h,
each of its sheets holds V - (K - 1) h or more (enumeration of routes by reduced cost, Baldacci, Christofides and
Mingozzi 2008, doi:10.1007/s10107-007-0178-5). CP-SAT chooses K of them that hold all parts, or proves that none do.

Of the values that solve the program a mean of some is taken, drawn by lot from the face of the best: few parts are then
worth nothing, and few sets are worth a sheet by chance.

What is claimed is reckoned in integers: floats only propose values, which are rounded before anything is listed.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from ortools.sat.python import cp_model
from scipy.optimize import linprog
from scipy.sparse import csr_matrix, vstack

from nesting.cutting.sheets.compiled import Ints
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.relaxation import Column
from tests.benchmarks.record.sets import Sets

_FINE = 1 << 20
"""What a sheet is worth; values are rounded to whole parts of it."""

# A set must be worth this much more than a sheet to be new.
_NEW = 8

# Draws from the face of the best values; sets with the same first part asked for in a round, sets taken from it.
_DRAWS = 6
_EACH = 5
_TAKEN = 2000

# A first part has this share of a round's work, until no round finds anything new so.
_SHARES = 25

# Sets that CP-SAT chooses from, at most.
_CHOICES = 100_000


@dataclass(frozen=True, slots=True)
class Work:
    """How much may be done, counted and never measured.

    Attributes
    ----------
    rounds : int
        Of the program.
    joins : int
        Pairs of sets joined, in all.
    each : int
        And in one listing.
    choosing : float
        CP-SAT's deterministic time.
    """

    rounds: int = 60
    joins: int = 500_000_000
    each: int = 120_000_000
    choosing: float = 60.0


@dataclass(frozen=True, slots=True)
class Closed:
    """What came of it.

    Attributes
    ----------
    bound : int
        Sheets that are needed at least, proven; 0 where nothing was.
    columns : tuple of Column
        The sets of the sheets of a better layout, or of its parts that are worth something; empty where none was found.
    how : str
        In words.
    relaxed : float
        What the program came to, as a float.
    work : int
        Pairs of sets joined.
    known : tuple of Column
        All sets met.
    """

    bound: int
    columns: tuple[Column, ...]
    how: str
    relaxed: float
    work: int
    known: tuple[Column, ...] = ()


class _Program:
    """The linear program, and values that solve it."""

    def __init__(self, problem: Problem, seed: int) -> None:
        self._problem = problem
        self._random = np.random.default_rng(seed)
        self._demand = np.array([float(item.demand) for item in problem.items])
        self._areas = np.array([item.area / problem.stocks[0].area for item in problem.items])

    def values(self, columns: Sequence[Column]) -> tuple[float, Ints] | None:
        """Return the program's cost with these sets, and values of the items."""
        table = matrix(self._problem, columns)
        ones = np.ones(len(columns))
        solved = linprog(-self._demand, A_ub=table, b_ub=ones, bounds=(0, 1), method="highs-ds")
        if solved.x is None:
            return None
        face = vstack([table, csr_matrix(-self._demand)]).tocsr()
        limits = np.append(ones, solved.fun + 1e-7)
        total = np.zeros(len(self._demand))
        for draw in range(_DRAWS):
            weights = self._areas * self._random.random(len(total)) * (-1 if draw % 2 else 1)
            drawn = linprog(-weights, A_ub=face, b_ub=limits, bounds=(0, 1), method="highs-ds")
            total += solved.x if drawn.x is None else drawn.x
        return -float(solved.fun), np.round(total / _DRAWS * _FINE).astype(np.int64)


def matrix(problem: Problem, columns: Sequence[Column]) -> csr_matrix:
    """Return how many of each item each set holds."""
    rows = [k for k, (_, held) in enumerate(columns) for _ in held]
    items = [t for _, held in columns for t, _ in sorted(held)]
    counts = [n for _, held in columns for _, n in sorted(held)]
    return csr_matrix((counts, (rows, items)), shape=(len(columns), len(problem.items)), dtype=float)


def close(  # 6 arguments: what, how good it is known to be, from what, by which lots, how much, told to whom
    problem: Problem,
    best: int,
    known: Iterable[Column],
    seed: int,
    work: Work,
    tell: Callable[[str], None] = lambda _: None,
) -> Closed:
    """Look for a layout of fewer than `best` sheets, or for a proof that there is none.

    Parameters
    ----------
    known : iterable of Column
        Sets that one sheet is known to hold.
    tell : callable
        Told what each round came to.
    """
    sets, program = Sets(problem), _Program(problem, seed)
    columns = dict.fromkeys((*known, *((0, frozenset({(t, 1)})) for t in range(len(problem.items)))))
    fewer, left, relaxed, is_deep = best - 1, work.joins, 0.0, False
    for number in range(work.rounds):
        solved = program.values(list(columns))
        if solved is None or left <= 0:
            break
        relaxed, values = solved
        total = sum(int(v) * item.demand for v, item in zip(values, problem.items, strict=True))
        worth = max(_FINE + _NEW, -(-total // fewer))
        most = min(left, work.each)
        found = sets.listed(
            values, worth, each=_EACH, work=most, share=most if is_deep else most // _SHARES, most=_TAKEN
        )
        left -= found.work
        fresh = [column for column in found.columns if column not in columns]
        columns |= dict.fromkeys(fresh)
        tell(f"round {number}: {relaxed:.4f}, {len(fresh)} new sets, {found.work / 1e6:.0f} M joins")
        if found.is_complete and not found.columns:
            if worth * fewer >= total + fewer:  # so (worth - 1) * fewer >= total: `fewer` sheets may do
                return _chosen(sets, values, worth - 1, fewer, columns, (relaxed, work.joins - left, work), tell)
            return Closed(
                -(-total // (worth - 1)), (), "proven by the program", relaxed, work.joins - left, tuple(columns)
            )
        if not fresh and is_deep:
            break
        is_deep = not fresh
    return Closed(0, (), "the program was not solved", relaxed, work.joins - left, tuple(columns))


def _chosen(  # 7 arguments: what is known by now, one after another
    sets: Sets,
    values: Ints,
    holds: int,
    sheets: int,
    columns: Iterable[Column],
    spent: tuple[float, int, Work],
    tell: Callable[[str], None],
) -> Closed:
    """List all sets that a layout of so many sheets can use, and choose among them."""
    relaxed, joins, work = spent
    problem = sets.problem
    total = sum(int(v) * item.demand for v, item in zip(values, problem.items, strict=True))
    worth = total - (sheets - 1) * holds
    known = tuple(columns)
    if not values.all():
        # Parts worth nothing may be on any sheet, in countless sets: first it is seen whether the others leave a way.
        some = [t for t, value in enumerate(values) if value]
        part = replace(problem, items=tuple(problem.items[t] for t in some))
        found = Sets(part).listed(values[some], worth, work=work.each, most=_CHOICES)
        joins += found.work
        status, chosen = choose(part, found.columns, sheets, work.choosing) if found.is_complete else ("too many", [])
        tell(f"of {len(some)} sizes {len(found.columns)} sets, worth {worth / _FINE:.5f} of a sheet: {status}")
        if status == "INFEASIBLE":
            return Closed(sheets + 1, (), f"none among all {len(found.columns)} sets of parts", relaxed, joins, known)
        if chosen:
            whole = [(stock, frozenset((some[t], n) for t, n in held)) for stock, held in chosen]
            return Closed(0, tuple(whole), "chosen among sets of parts", relaxed, joins, known)
    found = sets.listed(values, worth, work=work.each, most=_CHOICES)
    joins += found.work
    tell(f"{len(found.columns)} sets are worth {worth / _FINE:.5f} of a sheet, complete: {found.is_complete}")
    choices = found.columns if found.is_complete else list(dict.fromkeys((*found.columns[: _CHOICES // 4], *known)))
    status, chosen = choose(problem, choices, sheets, work.choosing)
    tell(status)
    if chosen:
        return Closed(0, tuple(chosen), "chosen among sets", relaxed, joins, known)
    if status == "INFEASIBLE" and found.is_complete:
        return Closed(sheets + 1, (), f"none among all {len(choices)} sets", relaxed, joins, known)
    how = f"{'all' if found.is_complete else 'not all'} of {len(choices)} sets, {status}"
    return Closed(0, (), how, relaxed, joins, (*known, *found.columns[:_TAKEN]))


def choose(problem: Problem, columns: Sequence[Column], sheets: int, work: float) -> tuple[str, list[Column]]:
    """Choose so many sets that hold all parts; returns CP-SAT's status and the choice."""
    model = cp_model.CpModel()
    demand = [item.demand for item in problem.items]
    chosen = [model.new_int_var(0, max(-(-demand[t] // n) for t, n in held), "") for _, held in columns]
    rows: list[list[cp_model.LinearExpr]] = [[] for _ in problem.items]
    for (_, held), each in zip(columns, chosen, strict=True):
        for t, n in sorted(held):
            rows[t].append(n * each)
    for row, item in zip(rows, problem.items, strict=True):
        model.add(sum(row) >= item.demand)
    model.add(sum(chosen) <= sheets)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = work
    solver.parameters.catch_sigint_signal = False  # else the program never hears of Ctrl-C again
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return solver.status_name(status), []
    return "found", [column for column, each in zip(columns, chosen, strict=True) for _ in range(solver.value(each))]
