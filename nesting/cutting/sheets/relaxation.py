"""The bound from the linear relaxation over cutting patterns (Gilmore and Gomory 1961, doi:10.1287/opre.9.6.849).

Why it holds. Take any whole values v >= 0 of the items, and let h(s) be at least the value of any pattern of stock s.
A layout holds demand-many of each item, worth V = sum of v times demand; its sheets hold at most h(s) each; so the
cost is at least that of the cheapest numbers of sheets, price breaks and limits respected, whose h sum to V or more.
This needs no linear program: the program only proposes good values. Its float duals are rounded to integers, h is
computed for the rounded values by integer dynamic programming over all guillotine patterns (most parts unlimited,
positions rounded up where there are too many: both only raise h), and the cheapest numbers of sheets are found
exactly, which lifts the bound to the next total that can be paid.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from nesting.cutting.sheets import subproblem
from nesting.cutting.sheets.bounds import cheapest_mix
from nesting.cutting.sheets.grid import Axis, axis
from nesting.cutting.sheets.key_costs import Prices, rate
from nesting.cutting.sheets.problem import Problem

# Values are rounded to this many parts of the dearest stock's rate.
_FINE = 1 << 20

# The program's value may lie this far above what the rounded values prove before more rounds are worth it.
_CLOSE = 0.9998

# A pattern: its stock, and how many of each item it holds.
Column = tuple[int, frozenset[tuple[int, int]]]


@dataclass(frozen=True, slots=True)
class Bounding:
    """How much work the bound may take.

    Attributes
    ----------
    points : tuple of int
        Positions in each direction, coarse before fine.
    effort : int
        Steps of dynamic programming, in all.
    tracked : int
        Items that are used at most once in a pattern, on the last grid.
    """

    points: tuple[int, ...]
    effort: int
    tracked: int


class Pricer:
    """Exact, or bounding, pricing of patterns on all stocks at once."""

    def __init__(self, problem: Problem, along: Axis, across: Axis) -> None:
        self.along, self.across = along, across
        self._items = np.array([(i.length, i.width, int(i.turns)) for i in problem.items], np.int64)
        shortest = min(min(i.length, i.width) for i in problem.items)
        self._tables = (
            along.points,
            across.points,
            *subproblem.pairs(along, shortest),
            *subproblem.pairs(across, shortest),
        )
        self._corners = [(along.up(s.length), across.up(s.width)) for s in problem.stocks]
        self.track(())

    @classmethod
    def of(cls, problem: Problem, points: int) -> "Pricer | None":
        """Make one, or None where the sheets are too large for the parts."""
        along: Counter[int] = Counter()
        across: Counter[int] = Counter()
        length = max(s.length for s in problem.stocks)
        width = max(s.width for s in problem.stocks)
        for item in problem.items:
            for a, b in item.ways():
                if a <= length and b <= width:
                    along[a] += item.demand
                    across[b] += item.demand
        first = axis(sorted(along.items()), [s.length for s in problem.stocks], points)
        second = axis(sorted(across.items()), [s.width for s in problem.stocks], points)
        return cls(problem, first, second) if first and second else None

    @property
    def steps(self) -> int:
        """About how many steps one pricing takes."""
        nx, ny = len(self.along.points), len(self.across.points)
        return int(3 ** len(self.items)) * nx * ny * (nx + ny) // 4 + 200_000

    @property
    def exact(self) -> bool:
        """Whether no position was rounded."""
        return self.along.exact and self.across.exact

    def track(self, items: Iterable[int]) -> None:
        """From now on use each of these items at most once in a pattern."""
        self._tracked = np.zeros(len(self._items), np.int64)
        self.items = tuple(items)
        for bit, item in enumerate(self.items):
            self._tracked[item] = 1 << bit
        masks, nx, ny = 1 << len(self.items), len(self.along.points), len(self.across.points)
        self._found = np.zeros((masks, nx, ny), np.int64)
        self._turned = np.zeros((masks, ny, nx), np.int64)
        self._how = np.zeros((masks, nx, ny, 4), np.int32)

    def price(self, values: "np.ndarray") -> list[int]:
        """Return at least the greatest value that a sheet of each stock holds, for whole values of the items."""
        for table in (self._found, self._turned, self._how):
            table.fill(0)
        subproblem.best_values(*self._tables, self._items, values, self._tracked, self._found, self._turned, self._how)
        return [int(self._found[-1][corner]) for corner in self._corners]

    def pattern(self, stock: int) -> Column:
        """Read how many of each item the best pattern of a stock holds."""
        counts: Counter[int] = Counter()
        stack = [(len(self._found) - 1, *self._corners[stock])]
        while stack:
            mask, i, j = stack.pop()
            kind, one, two, part = (int(x) for x in self._how[mask, i, j])
            if kind == 1:
                counts[one] += 1
            elif kind == 2:
                stack += [(part, one, j), (mask ^ part, two, j)]
            elif kind == 3:
                stack += [(part, i, one), (mask ^ part, i, two)]
        return stock, frozenset(counts.items())


class Master:
    """The linear program: cover the demand with patterns at the least mean cost.

    Parameters
    ----------
    problem : Problem
        Demand and stocks.
    columns : iterable of Column
        Patterns to start from.
    mix : tuple of int, optional
        Numbers of sheets to make do with; then the area of parts left out is minimised instead of cost.
    """

    def __init__(self, problem: Problem, columns: Iterable[Column], mix: tuple[int, ...] | None = None) -> None:
        self.problem = problem
        self.rates = [0.0 if mix else float(rate(problem, s)) for s in range(len(problem.stocks))]
        self.dearest = 1.0 if mix else max(self.rates) or 1.0
        self._mix = mix
        self._build(columns)

    def _build(self, columns: Iterable[Column]) -> None:
        """Write the program down."""
        from ortools.linear_solver import pywraplp  # heavy; most orders are proven without it

        problem, mix = self.problem, self._mix
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        endless = self._solver.infinity()
        self._rows = [self._solver.Constraint(item.demand, endless) for item in problem.items]
        limits = mix or tuple(stock.limit for stock in problem.stocks)
        self._limits = [self._solver.Constraint(-endless, limit) for limit in limits]
        self._cost = self._solver.Objective()
        self._cost.SetMinimization()
        self._variables: dict[Column, object] = {}
        # A whisker of cost keeps free stock from being used without end.
        self._whisker = 0.0 if mix else 1e-6 * self.dearest
        # Leaving a part out costs two sheets, so that the program always has an answer and no value is absurd.
        largest = max(item.area for item in problem.items)
        for row, item in zip(self._rows, problem.items, strict=True):
            self._column(item.area / largest if mix else 2 * self.dearest, {row: 1})
        for column in columns:
            self.add(column)

    def _column(self, cost: float, entries: dict[object, int]) -> object:
        variable = self._solver.NumVar(0, self._solver.infinity(), "")
        self._cost.SetCoefficient(variable, cost)
        for row, count in entries.items():
            row.SetCoefficient(variable, count)  # type: ignore[attr-defined]  # the solver's own type is not exported
        return variable

    def add(self, column: Column) -> bool:
        """Add a pattern; False when it is there already."""
        stock, counts = column
        if not counts or column in self._variables:
            return False
        entries: dict[object, int] = {self._rows[t]: n for t, n in sorted(counts)}
        entries[self._limits[stock]] = 1
        self._variables[column] = self._column(self.rates[stock] + self._whisker, entries)
        return True

    def solve(self) -> tuple[float, "np.ndarray"]:
        """Solve; returns the cost and the items' values, rounded to integers; no values where the solver gives up."""
        if not self._solved():
            return 0.0, np.zeros(len(self._rows), np.int64)
        scale = _FINE / self.dearest
        duals = [max(0, round(row.dual_value() * scale)) for row in self._rows]
        return float(self._cost.Value()), np.array(duals, np.int64)

    def asked(self) -> list[int]:
        """Return what a pattern of each stock must be worth, by the last values, for the program to gain by it."""
        scale = _FINE / self.dearest
        return [
            max(1, round((each + self._whisker - limit.dual_value()) * scale))
            for each, limit in zip(self.rates, self._limits, strict=True)
        ]

    def amounts(self) -> dict[Column, int]:
        """How much of each pattern the program uses, in thousandths; of those that it uses."""
        used = {c: round(1000 * v.solution_value()) for c, v in self._variables.items()}  # type: ignore[attr-defined]  # the solver's own type is not exported
        return {column: amount for column, amount in used.items() if amount > 0}

    def _solved(self) -> bool:
        """Solve from where it stands, or else from scratch."""
        if self._solver.Solve() == self._solver.OPTIMAL:
            return True
        self._build(list(self._variables))
        return bool(self._solver.Solve() == self._solver.OPTIMAL)

    def overused(self) -> list[int]:
        """Items that the program uses more often in one pattern than they are wanted, worst first."""
        excess: Counter[int] = Counter()
        if not self._solved():
            return []
        for (_, counts), variable in self._variables.items():
            amount = variable.solution_value()  # type: ignore[attr-defined]  # the solver's own type is not exported
            for t, n in counts:
                if n > 1 and self.problem.items[t].demand == 1 and amount > 1e-6:
                    excess[t] += round(amount * (n - 1) * self.problem.items[t].area)
        return [t for t, _ in sorted(excess.items(), key=lambda pair: (-pair[1], pair[0])) if excess[t]]

    def columns(self, forbidden: Iterable[int]) -> list[Column]:
        """All patterns that use none of these items twice."""
        once = set(forbidden)
        return [c for c in self._variables if not any(n > 1 and t in once for t, n in c[1])]


def pattern_bound(
    prices: Prices,
    target: int,
    work: Bounding,
    check: Callable[[], None],
    known: Iterable[Column] = (),
) -> int:
    """Lower bound on the key from patterns.

    Parameters
    ----------
    prices : Prices
        Keys, and with them the problem.
    target : int
        The best key known; the work ends when the bound reaches it.
    check : callable
        Called between rounds; may raise to cut the work off.
    known : iterable of Column
        Patterns to start from; they must be true ones.

    Returns
    -------
    int
        A bound that holds; 0 where the sheets are too large for the parts to be priced.
    """
    return max((bound for bound, _ in pattern_bounds(prices, lambda: target, work, check, known)), default=0)


def pattern_bounds(
    prices: Prices,
    target: Callable[[], int],
    work: Bounding,
    check: Callable[[], None],
    known: Iterable[Column] = (),
) -> Iterator[tuple[int, int]]:
    """Yield bounds as in :func:`pattern_bound`, one after each pricing, with the steps that it took.

    So whoever asks can go on with something else in between, and come back or not; the best key that is known is asked
    for anew each time.
    """
    known = list(known)
    problem = prices.problem
    left = work.effort
    for points in work.points:
        pricer = Pricer.of(problem, points)
        if pricer is None:
            continue
        master = Master(problem, known)
        while True:
            for bound in _converging(prices, target, left // pricer.steps, pricer, master):
                check()
                left -= pricer.steps
                yield bound, pricer.steps
                if bound >= target():
                    return
            fresh = [t for t in master.overused() if t not in pricer.items]
            room = work.tracked - len(pricer.items)
            if not fresh or room <= 0 or not (pricer.exact or points == work.points[-1]):
                break
            pricer.track((*pricer.items, *fresh[: min(room, 2)]))
            master = Master(problem, master.columns(pricer.items))
        if pricer.exact:
            break


def _converging(
    prices: Prices, target: Callable[[], int], rounds: int, pricer: Pricer, master: Master
) -> Iterator[int]:
    """Price patterns and solve in turn until nothing more can come of it; yields the bound after each pricing."""
    best, problem = 0, master.problem
    for _ in range(rounds):
        lower, values = master.solve()
        if not values.any():
            return
        holds = pricer.price(values)
        total = sum(int(v) * item.demand for v, item in zip(values, problem.items, strict=True))
        best = max(best, cheapest_mix(problem, prices, holds, total))
        yield best
        if best >= target():
            return
        fresh = [master.add(pricer.pattern(stock)) for stock, held in enumerate(holds) if held > 0]
        # The relaxation is at most `lower`; when that is all but proven, or rounds up to the bound, more is idle.
        worst = max(h / (r * _FINE / master.dearest) if r else 1.0 for h, r in zip(holds, master.rates, strict=True))
        if not any(fresh) or worst * _CLOSE <= 1.0:
            return
        if len(problem.stocks) == 1 and _pays(problem, prices, lower) <= best:
            return


def _pays(problem: Problem, prices: Prices, lower: float) -> int:
    """Least key of whole sheets of a single stock that cost no less than `lower`."""
    each = float(rate(problem, 0))
    sheets = int(-(-(lower - 1e-4 * each) // each)) if each else 0
    return prices.key(0, min(max(sheets, 0), problem.stocks[0].limit))
