"""The bound from the linear relaxation over cutting patterns (Gilmore and Gomory 1961, doi:10.1287/opre.9.6.849).

Why it holds. Take any whole values v >= 0 of the items, and let h(s) be at least the value of any pattern of stock s. A layout
holds demand-many of each item, worth V = sum of v times demand; its sheets hold at most h(s) each; so the cost is at least that of
the cheapest numbers of sheets, price breaks and limits respected, whose h sum to V or more. This needs no linear program:
the program only proposes good values. Its float duals are rounded to integers, h is computed for the rounded values by integer
dynamic programming over all guillotine patterns (parts unlimited, positions rounded up where there are too many: both only
raise h), and the cheapest numbers of sheets are found exactly, which lifts the bound to the next total that can be paid.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from nesting.sheets import pricing
from nesting.sheets.bounds import cheapest_mix
from nesting.sheets.grid import Axis, axis
from nesting.sheets.prices import Prices, rate
from nesting.sheets.problem import Problem

# Values are rounded to this many parts of the dearest stock's rate.
_FINE = 1 << 20


@dataclass(frozen=True, slots=True)
class Bounding:
    """How much work the bound may take.

    Attributes
    ----------
    points : int
        Positions in each direction.
    rounds : int
        Times that patterns are priced.
    """

    points: int = 320
    rounds: int = 600


class Pricer:
    """Exact, or bounding, pricing of patterns on all stocks at once."""

    def __init__(self, problem: Problem, along: Axis, across: Axis) -> None:
        self.along, self.across = along, across
        self._items = np.array([(i.length, i.width, int(i.turns)) for i in problem.items], np.int64)
        self._shortest = min(min(i.length, i.width) for i in problem.items)
        shape = (len(along.points), len(across.points))
        self._found, self._how, self._other = (np.zeros(shape, np.int64) for _ in range(3))
        self._corners = [(along.up(s.length), across.up(s.width)) for s in problem.stocks]

    @classmethod
    def of(cls, problem: Problem, points: int) -> "Pricer | None":
        """Make one, or None where the sheets are too large for the parts."""
        ways = [(way, item.demand) for item in problem.items for way in item.ways()]
        along: dict[int, int] = {}
        across: dict[int, int] = {}
        length = max(s.length for s in problem.stocks)
        width = max(s.width for s in problem.stocks)
        for (a, b), demand in ways:
            if a <= length and b <= width:
                along[a] = along.get(a, 0) + demand
                across[b] = across.get(b, 0) + demand
        first = axis(sorted(along.items()), [s.length for s in problem.stocks], points)
        second = axis(sorted(across.items()), [s.width for s in problem.stocks], points)
        return cls(problem, first, second) if first and second else None

    def price(self, values: "np.ndarray") -> list[int]:
        """Return at least the greatest value that a sheet of each stock holds, for whole values of the items."""
        pricing.best_values(
            self.along.points,
            self.along.least,
            self.across.points,
            self.across.least,
            self._shortest,
            self._items,
            values,
            self._found,
            self._how,
            self._other,
        )
        return [int(self._found[corner]) for corner in self._corners]

    def pattern(self, stock: int) -> dict[int, int]:
        """Read how many of each item the best pattern of a stock holds."""
        counts: dict[int, int] = {}
        stack = [self._corners[stock]]
        columns = len(self.along.points)
        while stack:
            i, j = stack.pop()
            if self._found[i, j] == 0:
                continue
            how, other = int(self._how[i, j]), int(self._other[i, j])
            if how <= -2:
                counts[-2 - how] = counts.get(-2 - how, 0) + 1
            elif how < columns:
                stack += [(how, j), (other, j)]
            else:
                stack += [(i, how - columns), (i, other)]
        return counts


class Master:
    """The linear program: cover the demand with patterns at the least mean cost."""

    def __init__(self, problem: Problem) -> None:
        from ortools.linear_solver import pywraplp  # noqa: PLC0415 - heavy; most orders are proven without it

        self.problem = problem
        self.rates = [float(rate(problem, s)) + 1e-6 for s in range(len(problem.stocks))]
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        endless = self._solver.infinity()
        self._rows = [self._solver.Constraint(item.demand, endless) for item in problem.items]
        self._limits = [self._solver.Constraint(-endless, stock.limit) for stock in problem.stocks]
        self._cost = self._solver.Objective()
        self._cost.SetMinimization()
        self._dearest = max(self.rates)
        # Leaving a part out costs more than any sheet, so that the program always has an answer.
        for row in self._rows:
            self._column(2 * self._dearest * len(self._rows), {row: 1})
        self.seen: set[tuple[int, frozenset[tuple[int, int]]]] = set()

    def _column(self, cost: float, entries: dict[object, int]) -> None:
        variable = self._solver.NumVar(0, self._solver.infinity(), "")
        self._cost.SetCoefficient(variable, cost)
        for row, count in entries.items():
            row.SetCoefficient(variable, count)  # type: ignore[attr-defined]  # the solver's own type is not exported

    def add(self, stock: int, counts: dict[int, int]) -> bool:
        """Add a pattern; False when it is there already."""
        sign = (stock, frozenset(counts.items()))
        if not counts or sign in self.seen:
            return False
        self.seen.add(sign)
        entries: dict[object, int] = {self._rows[t]: n for t, n in counts.items()}
        entries[self._limits[stock]] = 1
        self._column(self.rates[stock], entries)
        return True

    def solve(self) -> tuple[float, "np.ndarray"]:
        """Solve; returns the cost and the items' values, rounded to integers."""
        self._solver.Solve()
        scale = _FINE / self._dearest
        duals = [max(0, round(row.dual_value() * scale)) for row in self._rows]
        return float(self._cost.Value()), np.array(duals, np.int64)


def pattern_bound(
    problem: Problem,
    prices: Prices,
    target: int,
    work: Bounding,
    check: Callable[[], None],
    known: list[tuple[int, dict[int, int]]] | None = None,
) -> int:
    """Lower bound on the key from patterns.

    Parameters
    ----------
    target : int
        The best key known; the work ends when the bound reaches it.
    check : callable
        Called between rounds; may raise to cut the work off.
    known : list, optional
        Patterns (stock, counts) to start from.

    Returns
    -------
    int
        A bound that holds; 0 where the sheets are too large for the parts to be priced.
    """
    pricer = Pricer.of(problem, work.points)
    if pricer is None:
        return 0
    master = Master(problem)
    for stock, counts in known or ():
        master.add(stock, counts)
    best = 0
    mix = partial(cheapest_mix, problem, prices)
    for _ in range(work.rounds):
        check()
        lower, values = master.solve()
        if not values.any():
            break
        holds = pricer.price(values)
        total = sum(int(v) * item.demand for v, item in zip(values, problem.items, strict=True))
        best = max(best, mix(holds, total))
        fresh = False
        for stock, held in enumerate(holds):
            if held > 0:
                fresh |= master.add(stock, pricer.pattern(stock))
        # The true relaxation is at most `lower`; when even that rounds up to the bound, nothing more can come of it.
        if best >= target or not fresh or (len(problem.stocks) == 1 and _pays(problem, prices, lower) <= best):
            break
    return best


def _pays(problem: Problem, prices: Prices, lower: float) -> int:
    """The least key of whole sheets of a single stock that is no less than `lower`."""
    each = float(rate(problem, 0))
    sheets = int(-(-(lower - 1e-4 * each) // each)) if each else 0
    return prices.key(0, min(max(sheets, 0), problem.stocks[0].limit))
