"""Columns: the linear relaxation over cutting patterns, asked whether a mix of sticks can do.

Column generation after Gilmore and Gomory (1961, doi:10.1287/opre.9.6.849; 1963, doi:10.1287/opre.11.6.863), in the
role of the subproblem of a decomposition: the mix is fixed elsewhere, and the answer is a cut that this mix and its
like violate (Benders 1962, doi:10.1007/BF01386316). The linear program minimises what sticks beyond the mix would
cost. It is solved in floating point and only proposes dual values; these are rounded down to integers, and an exact
pricing tells the most that a pattern is worth under them, so that an inexact linear program makes a cut weaker and
never wrong.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from nesting.cutting.sticks.bounds import Cut, Mix, rate
from nesting.cutting.sticks.problem import Pattern, Problem
from nesting.cutting.sticks.subproblem import Pricer

# A pattern on a stock, and how often the linear program cuts it.
Column = tuple[int, Pattern]
Share = tuple[float, Column]

# Work is counted in cells of the pricing table.
CELLS = {"quick": 5 * 10**7, "normal": 8 * 10**8, "thorough": 10**10}
_ROUNDS = 2_000

# A table wider than this is built on a coarser grid.
_WIDEST = 4_000_000
_COARSE = 20_000
_MOST_CELLS = 4_000_000

# Duals stay below 2**32, so that the worth of a million items stays below 2**52. Rounding loses a tenth of a millionth.
_GREATEST_DUAL = 2**32


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the linear relaxation says of a mix.

    Attributes
    ----------
    cut : Cut or None
        An inequality that the mix violates; None when the relaxation, or its arithmetic, finds the mix good enough.
    shares : tuple of Share
        The linear solution, the most often cut first.
    """

    cut: Cut | None
    shares: tuple[Share, ...]


def _tables(problem: Problem) -> tuple[Pricer, Pricer]:
    """Return two pricing tables: no pattern is worth more than the first says, and all of the second can be cut.

    They are one and the same unless the exact table would be too wide; then the grid is coarser, and items are rounded
    down in the first and up in the second.
    """
    lengths = [stock.size for stock in problem.stocks]
    if max(lengths) <= _WIDEST:
        exact = Pricer(problem.sizes, problem.demand, lengths)
        if exact.cells <= _MOST_CELLS:
            return exact, exact
    grid = -(-max(lengths) // _COARSE)
    coarse = [length // grid for length in lengths]
    down = [max(size // grid, 1) for size in problem.sizes]
    up = [-(-size // grid) for size in problem.sizes]
    return Pricer(down, problem.demand, coarse), Pricer(up, problem.demand, coarse)


class Columns:
    """The linear program, with the patterns found so far.

    Parameters
    ----------
    problem : Problem
        What to cut.
    start : iterable of Column
        First patterns; with none, or too few, sticks are missed at a high cost.
    cells : int
        How much work may be done in all.
    """

    def __init__(self, problem: Problem, start: Sequence[Column], cells: int) -> None:
        from ortools.linear_solver import pywraplp  # heavy, and seldom needed

        self.problem = problem
        self.cells = cells
        self._bounding, self._cutting = _tables(problem)
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        self._objective = self._solver.Objective()
        infinity = self._solver.infinity()
        rates = [float(rate(stock)) for stock in problem.stocks]
        greatest = max(rates) or 1.0
        self._scale = _GREATEST_DUAL / (128.0 * greatest)
        self._items = [self._solver.Constraint(count, infinity) for count in problem.demand]
        self._limits = [self._solver.Constraint(-infinity, 0) for _ in problem.stocks]
        self._extra = [self._solver.NumVar(0, stock.limit, "") for stock in problem.stocks]
        for row, extra, each in zip(self._limits, self._extra, rates, strict=True):
            row.SetCoefficient(extra, -1)
            # A little more than its price, so that sticks without a price are not taken for nothing.
            self._objective.SetCoefficient(extra, each + greatest / 100)
        for row in self._items:
            missing = self._solver.NumVar(0, infinity, "")
            row.SetCoefficient(missing, 1)
            self._objective.SetCoefficient(missing, 100 * greatest)
        self.columns: dict[Column, Any] = {}
        for column in start:
            self._add(column)

    def _add(self, column: Column) -> bool:
        """Add a column; tell whether it is new."""
        stock, pattern = column
        if column in self.columns or not pattern:
            return False
        variable = self._solver.NumVar(0, self._solver.infinity(), "")
        for item, count in pattern:
            self._items[item].SetCoefficient(variable, count)
        self._limits[stock].SetCoefficient(variable, 1)
        self.columns[column] = variable
        return True

    def check(self, mix: Mix) -> Verdict:
        """Ask whether a mix can do."""
        for row, extra, stock, count in zip(self._limits, self._extra, self.problem.stocks, mix, strict=True):
            row.SetBounds(-self._solver.infinity(), count)
            extra.SetBounds(0, max(stock.limit - count, 0))
        violated: Cut | None = None
        shares: tuple[Share, ...] = ()
        for _ in range(_ROUNDS):
            if self._solver.Solve() != self._solver.OPTIMAL:
                break
            shares = self._shares()
            worth = [min(max(int(row.dual_value() * self._scale), 0), _GREATEST_DUAL) for row in self._items]
            if not any(worth):
                break
            priced = self._cutting.price(worth)
            self.cells -= self._cutting.cells
            added = [self._add((stock, pattern)) for stock, (_, pattern) in enumerate(priced)]
            ended = not any(added) or self.cells < 0
            if self._bounding is not self._cutting and ended:
                priced = self._bounding.price(worth)
                self.cells -= self._bounding.cells
            if self._bounding is self._cutting or ended:
                need = sum(value * count for value, count in zip(worth, self.problem.demand, strict=True))
                cut = Cut(tuple(worth), tuple(top for top, _ in priced), need)
                violated = cut if cut.slack(mix) < 0 else violated
            if ended:
                break
        return Verdict(violated, shares)

    def _shares(self) -> tuple[Share, ...]:
        taken = [(variable.solution_value(), column) for column, variable in self.columns.items()]
        return tuple(sorted((share for share in taken if share[0] > 1e-6), key=lambda share: (-share[0], share[1])))
