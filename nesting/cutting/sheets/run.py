"""Run: the state of one call of the optimiser: best solution, bound, and what may cut it off."""

import time

from nesting.base.search import Search
from nesting.cutting.sheets.effort import SETTINGS
from nesting.cutting.sheets.filling import Places
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.model import Stopped
from nesting.cutting.sheets.pattern import Pattern
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.solution import Placed, Solution

# How many solutions of the same key are kept for breaking ties.
_EQUALS = 12


class CutOff(Exception):  # noqa: N818 - it is no error
    """The search must end now.

    Attributes
    ----------
    reason : {"deadline", "interrupt"}
        Why.
    """

    def __init__(self, reason: Stopped) -> None:
        self.reason = reason
        super().__init__(reason)


class Run:
    """Best solution and bound of one call.

    Parameters
    ----------
    problem : Problem
        What is wanted.
    prices : Prices
        What solutions are compared by.
    search : Search
        From which seed, with how much work, and what ends it.
    most : int, optional
        How much dear work may be done; without it the effort says so.

    Attributes
    ----------
    best : Solution or None
        The best complete solution.
    equals : list of Solution
        Others of the same key.
    least_key : int
        Proven lower bound on the key of any solution.
    chunk : int
        Steps of compiled search between looks at the clock.
    places : Places
        What fillings of the same items found of places, whatever is filled in which order.
    relaid : dict of (int, Pattern) to tuple of Pattern
        Other ways to lay the contents of sheets; see :func:`nesting.cutting.sheets.ties.relaid`.
    work : int
        Dear work done so far, in microseconds of a machine of reference; counted by steps, never measured.
    asked : bool
        Whether only a cost is asked for, and no proof.
    is_short : bool
        Whether it ended for want of work that it was allowed.
    """

    def __init__(self, problem: Problem, prices: Prices, search: Search, most: int | None = None) -> None:
        self.problem = problem
        self.prices = prices
        self.search = search
        self.seed = search.seed
        self.settings = SETTINGS[search.effort]
        self.best: Solution | None = None
        self.equals: list[Solution] = []
        self.least_key = 0
        self.stopped: Stopped | None = None
        self.places: Places = {}
        self.work = 0
        self._most = most
        self.is_short = False
        self.asked = False
        self.relaid: dict[Placed, tuple[Pattern, ...]] = {}
        self.chunk = max(1, 400_000 // (problem.total + 20))
        self._end = None if search.deadline is None else time.monotonic() + search.deadline

    @property
    def solution(self) -> Solution:
        """The best solution, which must be known by now."""
        if self.best is None:
            raise ValueError("there is no solution yet")
        return self.best

    @property
    def key(self) -> int:
        """Key of the best solution."""
        return self.solution.key(self.prices)

    @property
    def cost(self) -> int:
        """Cost of the best solution."""
        return self.prices.cost(self.key)

    @property
    def bound(self) -> int:
        """Proven lower bound on cost."""
        return self.prices.cost(self.least_key)

    def settled(self) -> bool:
        """Whether the best solution is proven best, numbers of sheets included."""
        return self.best is not None and self.key <= self.least_key

    def proven(self) -> bool:
        """Whether the cost is proven lowest."""
        return self.best is not None and self.cost <= self.bound

    def offer(self, solution: Solution | None) -> None:
        """Take a complete solution if it is better."""
        if solution is None:
            return
        key = solution.key(self.prices)
        if self.best is None or key < self.key:
            self.best = solution
            self.equals = []
        elif key == self.key and len(self.equals) < _EQUALS and solution not in self.equals:
            self.equals.append(solution)

    def raise_bound(self, key: int) -> None:
        """Take a lower bound on the key."""
        self.least_key = max(self.least_key, key)

    def check(self) -> None:
        """Raise :class:`CutOff` when the deadline is past."""
        if self._end is not None and time.monotonic() > self._end:
            raise CutOff("deadline")

    def spent(self) -> bool:
        """Whether no dear work may be done any more."""
        if self._most is None or self.work < self._most:
            return False
        self.is_short = True
        return True

    def report(self, stage: str, fraction: float) -> None:
        """Tell how far the search is."""
        self.search.progress(stage, fraction, "", None if self.best is None else self.cost, self.bound)
