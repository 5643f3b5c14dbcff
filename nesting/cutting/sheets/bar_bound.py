"""The bound from bars: a mix of sheets is refuted by what straight lines across its sheets can meet.

Why it holds. Take any layout on n(s) sheets of each stock, whole values u >= 0 of every item in every way that it can
lie on every stock, and let h(s) be at least the greatest sum of u over parts that one line along a sheet of stock s
can meet: their lengths sum to no more than the sheet's, each is used no more often than it is wanted, and only parts
that fit are used. Sweeping the line over the sheet's width, the sum of u times the part's width over the parts on it
is at most h(s) times the sheet's width. The same goes for lines across, with values v. So where the parts, each on the
stock and in the way where it counts least, are worth more by u times width plus v times length than all the sheets
hold, the mix cannot hold the parts, with guillotine cuts or without. These are one-dimensional bar relaxations
(Belov, Kartak, Rohling and Scheithauer 2009, doi:10.1111/j.1475-3995.2009.00713.x; cited from memory), in both
directions at once. A linear program only proposes values; they are rounded to integers, and the h are found for the
rounded values by an integer knapsack.
"""

from collections.abc import Callable

import numpy as np

from nesting.cutting.sheets.coarse import coarsened
from nesting.cutting.sheets.mixes import Mix
from nesting.cutting.sheets.problem import Problem

# Values of one part are rounded to this many parts of the largest part's area.
_FINE = 1 << 20

# Longer sides times more items would make the knapsacks slow, so units are made coarser.
_CELLS = 400_000

# Rounds of the linear program; some twenty are the rule.
_ROUNDS = 60

# A line: its direction (0 along, 1 across) and stock.
Line = tuple[int, int]


def knapsack(room: int, choices: list[tuple[int, int, int]]) -> tuple[int, list[int]]:
    """Return the greatest value that fits, and how often each (size, most, value) is used for it."""
    best = np.zeros(room + 1, np.int64)
    taken: list[tuple[int, int, np.ndarray]] = []
    for index, (size, most, value) in enumerate(choices):
        left, lot = min(most, room // size) if value > 0 else 0, 1
        while left > 0:
            times = min(lot, left)
            other = best[: room + 1 - times * size] + times * value
            better = np.zeros(room + 1, np.bool_)
            better[times * size :] = other > best[times * size :]
            best = best.copy()
            best[better] = other[better[times * size :]]
            taken.append((index, times, better))
            left -= times
            lot *= 2
    counts, at = [0] * len(choices), room
    for index, times, better in reversed(taken):
        if better[at]:
            counts[index] += times
            at -= times * choices[index][0]
    return int(best[room]), counts


class Bars:
    """The linear program over bars: place parts in ways so that lines cover them, leaving out the least area."""

    def __init__(self, problem: Problem, mix: Mix) -> None:
        from ortools.linear_solver import pywraplp  # heavy; most orders are proven without it

        self.problem = problem
        self.mix = mix
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        endless = self._solver.infinity()
        stocks = [s for s, n in enumerate(mix) if n]
        self.ways = [
            (t, s, a, b)
            for t, item in enumerate(problem.items)
            for s in stocks
            for a, b in item.ways()
            if a <= problem.stocks[s].length and b <= problem.stocks[s].width
        ]
        self._largest = max(item.area for item in problem.items)
        self._cost = self._solver.Objective()
        self._cost.SetMinimization()
        demands = [self._solver.Constraint(item.demand, endless) for item in problem.items]
        for row, item in zip(demands, problem.items, strict=True):
            self._column({row: 1}, item.area / self._largest)
        self._covers = [[self._solver.Constraint(0, endless) for _ in self.ways] for _ in range(2)]
        for w, (t, _, a, b) in enumerate(self.ways):
            self._column({demands[t]: 1, self._covers[0][w]: -b, self._covers[1][w]: -a})
        self.lines: dict[Line, object] = {}
        for s in stocks:
            stock = problem.stocks[s]
            self.lines[0, s] = self._solver.Constraint(-endless, mix[s] * stock.width)
            self.lines[1, s] = self._solver.Constraint(-endless, mix[s] * stock.length)
        self._seen: set[tuple[Line, tuple[int, ...]]] = set()

    def _column(self, entries: dict[object, int], cost: float = 0.0) -> None:
        variable = self._solver.NumVar(0, self._solver.infinity(), "")
        self._cost.SetCoefficient(variable, cost)
        for row, count in entries.items():
            row.SetCoefficient(variable, count)  # type: ignore[attr-defined]  # the solver's own type is not exported

    def values(self) -> list[list[int]] | None:
        """Solve; return whole values of every way along and across, or None where nothing more can come of it."""
        if self._solver.Solve() != self._solver.OPTIMAL or self._cost.Value() <= 1e-7:
            return None
        scale = _FINE * float(self._largest) / min(max(s.length, s.width) for s in self.problem.stocks)
        return [[max(0, round(row.dual_value() * scale)) for row in rows] for rows in self._covers]

    def add(self, line: Line, counts: list[int]) -> bool:
        """Add a bar; False when it is there already."""
        if (line, tuple(counts)) in self._seen:
            return False
        self._seen.add((line, tuple(counts)))
        entries: dict[object, int] = {self.lines[line]: 1}
        entries.update({row: n for row, n in zip(self._covers[line[0]], counts, strict=True) if n})
        self._column(entries)
        return True


def bars_refute(problem: Problem, mix: Mix, check: Callable[[], None]) -> bool:
    """Tell whether lines across its sheets prove that a mix cannot hold the parts.

    Parameters
    ----------
    mix : tuple of int
        How many sheets of each stock.
    check : callable
        Called between rounds; may raise to cut the work off.
    """
    problem = coarsened(problem, _CELLS // len(problem.items))
    if len(problem.items) * max(max(s.length, s.width) for s in problem.stocks) > _CELLS:
        return False
    program = Bars(problem, mix)
    if {way[0] for way in program.ways} != set(range(len(problem.items))):
        return True  # a part fits on none of these sheets
    for _ in range(_ROUNDS):
        check()
        values = program.values()
        if values is None:
            return False
        worth = 0
        for t, item in enumerate(problem.items):
            worth += item.demand * min(
                b * values[0][w] + a * values[1][w] for w, (u, _, a, b) in enumerate(program.ways) if u == t
            )
        held, fresh = 0, False
        for line in program.lines:
            value, counts = _fullest(program, line, values[line[0]])
            stock = problem.stocks[line[1]]
            held += mix[line[1]] * (stock.length if line[0] else stock.width) * value
            fresh |= program.add(line, counts)
        if worth > held:
            return True
        if not fresh:
            return False
    return False


def _fullest(program: Bars, line: Line, values: list[int]) -> tuple[int, list[int]]:
    """Return the greatest value that a line meets, and how often it meets each way of each item."""
    stock = program.problem.stocks[line[1]]
    choices = []
    for (t, s, a, b), value in zip(program.ways, values, strict=True):
        choices.append((b if line[0] else a, program.problem.items[t].demand if s == line[1] else 0, value))
    return knapsack(stock.width if line[0] else stock.length, choices)
