"""Packing a mix exactly: by CP-SAT over all the patterns that a plan on it can hold.

A cut says that the tops of the mix's sticks make up the worth of all items; what it has to spare is little for a mix
that is cheap. A pattern that falls short of its stock's top by more than that cannot be in a plan on the mix. So few
are left that they can be listed, and a solver over the list is exact (the listing of columns by their reduced costs,
as Baldacci, Christofides and Mingozzi 2008, doi:10.1007/s10107-007-0178-5, do it for routes). Only patterns with no
room for a further wanted item are listed: a demand may be covered twice, and the surplus is left out afterwards.
"""

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from nesting.cutting.sticks.bounds import Cut, Mix
from nesting.cutting.sticks.column_generation import Column
from nesting.cutting.sticks.fill import Cuts
from nesting.cutting.sticks.problem import Problem

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

Outcome = Literal["best", "found", "none", "open"]

# Nodes of the listing, patterns handed to the solver, and its deterministic time for one mix, by effort.
NODES = {"quick": 20_000, "normal": 200_000, "thorough": 3_000_000}
MOST_PATTERNS = {"quick": 1_000, "normal": 6_000, "thorough": 40_000}
TIME = {"quick": 0.05, "normal": 0.3, "thorough": 10.0}


class TooManyError(Exception):
    """More patterns than the effort allows."""


class Listing:
    """Lists every full pattern that a plan on a mix can hold.

    Parameters
    ----------
    problem : Problem
        What to cut.
    cuts : sequence of Cut
        What rules patterns out.
    mix : Mix
        How many sticks of each stock there are.
    effort : str
        How much work may be done.
    """

    def __init__(self, problem: Problem, cuts: Sequence[Cut], mix: Mix, effort: str) -> None:
        self._problem = problem
        self._mix = mix
        self._nodes = NODES[effort]
        self._most = MOST_PATTERNS[effort]
        self._found: list[Column] = []
        # The tightest cut steers, the others are looked at once a pattern is complete.
        self._cuts = sorted(cuts, key=lambda cut: (cut.slack(mix) / cut.need, cut.worth))
        steer = self._cuts[0].worth
        sizes = problem.sizes
        # The most worth for its length first, so that the worth of what still fits is at most in proportion.
        self._order = sorted(range(len(sizes)), key=lambda i: (-steer[i] / sizes[i], i))
        self._smallest = [min(sizes[i] for i in self._order[depth:]) for depth in range(len(sizes))]
        self._counts = [0] * len(sizes)

    def run(self) -> list[Column] | None:
        """Return the patterns; None when there are too many."""
        steer = self._cuts[0]
        spare = steer.slack(self._mix)
        try:
            for index, count in enumerate(self._mix):
                if count:
                    self._descend(index, 0, self._problem.stocks[index].size, steer.tops[index] - spare)
        except TooManyError:
            return None
        return self._found

    def _descend(self, stock: int, depth: int, room: int, missing: int) -> None:
        """Try every number of the next item; `missing` is the worth that the pattern still has to gain."""
        self._nodes -= 1
        if self._nodes < 0:
            raise TooManyError
        if depth == len(self._order) or room < self._smallest[depth]:
            if missing <= 0:
                self._keep(stock, room)
            return
        item = self._order[depth]
        size, worth = self._problem.sizes[item], self._cuts[0].worth[item]
        if missing > 0 and missing * size > room * worth:
            return
        for count in range(min(self._problem.demand[item], room // size), -1, -1):
            self._counts[item] = count
            self._descend(stock, depth + 1, room - count * size, missing - count * worth)

    def _keep(self, stock: int, room: int) -> None:
        """Keep a pattern if nothing more fits and no cut rules it out."""
        problem, counts = self._problem, self._counts
        if any(
            size <= room and count < wanted
            for size, count, wanted in zip(problem.sizes, counts, problem.demand, strict=True)
        ):
            return
        pattern = tuple((item, count) for item, count in enumerate(counts) if count)
        for cut in self._cuts[1:]:
            if sum(cut.worth[item] * count for item, count in pattern) < cut.tops[stock] - cut.slack(self._mix):
                return
        self._found.append((stock, pattern))
        if len(self._found) > self._most:
            raise TooManyError


@dataclass(frozen=True, slots=True)
class Packing:
    """What the solver says of a mix.

    Attributes
    ----------
    cuts : Cuts or None
        A plan on the mix.
    refuted : bool
        Whether no plan is made of these patterns.
    interrupted : bool
        Whether Ctrl-C cut the search off.
    """

    cuts: Cuts | None
    refuted: bool
    interrupted: bool


def pack(problem: Problem, mix: Mix, patterns: Sequence[Column], seed: int, effort: str) -> Packing:
    """Choose how often each pattern is cut, with no more sticks than the mix has."""
    from ortools.sat.python import cp_model  # heavy, and seldom needed

    model = cp_model.CpModel()
    covers: list[list[Any]] = [[] for _ in problem.sizes]
    uses: list[list[Any]] = [[] for _ in mix]
    counts = []
    for stock, pattern in patterns:
        most = max(-(-problem.demand[item] // count) for item, count in pattern)
        taken = model.new_int_var(0, min(mix[stock], most), "")
        counts.append(taken)
        uses[stock].append(taken)
        for item, count in pattern:
            covers[item].append(count * taken)
    for terms, wanted in zip(covers, problem.demand, strict=True):
        model.add(sum(terms) >= wanted)
    for terms, have in zip(uses, mix, strict=True):
        model.add(sum(terms) <= have)
    solver, outcome, interrupted = run_solver(model, seed, TIME[effort])
    if outcome in ("none", "open"):
        return Packing(None, outcome == "none", interrupted)
    cuts = {key: solver.value(taken) for key, taken in zip(patterns, counts, strict=True) if solver.value(taken)}
    return Packing(without_surplus(problem, cuts), refuted=False, interrupted=interrupted)


def run_solver(model: "cp_model.CpModel", seed: int, limit: float) -> tuple["cp_model.CpSolver", Outcome, bool]:
    """Solve on a thread of its own, so that Ctrl-C reaches us and stops the solver instead of the program.

    Returns
    -------
    solver, outcome, interrupted
        The solver with its answer; whether that is the best, one found, none as it is proven, or open; and whether
        Ctrl-C cut it off.
    """
    from ortools.sat.python import cp_model  # heavy, and seldom needed

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed % 2**31
    solver.parameters.max_deterministic_time = limit
    solver.parameters.linearization_level = 2
    solver.parameters.catch_sigint_signal = False
    ended = threading.Event()
    status: list[Any] = [cp_model.UNKNOWN]

    def work() -> None:
        try:
            status.append(solver.solve(model))
        finally:
            ended.set()

    interrupted = False
    threading.Thread(target=work, daemon=True).start()
    while not ended.is_set():  # an interrupted join would take the thread for ended while it still runs
        try:
            ended.wait()
        except KeyboardInterrupt:
            interrupted = True
            solver.stop_search()
    outcomes: dict[Any, Outcome] = {
        cp_model.OPTIMAL: "best",
        cp_model.FEASIBLE: "found",
        cp_model.INFEASIBLE: "none",
        cp_model.UNKNOWN: "open",
    }
    return solver, outcomes[status[-1]], interrupted


def without_surplus(problem: Problem, cuts: Cuts) -> Cuts:
    """Leave out what is cut beyond the demand."""
    surplus = [-wanted for wanted in problem.demand]
    for (_, pattern), repeat in cuts.items():
        for item, count in pattern:
            surplus[item] += count * repeat
    surplus = [max(over, 0) for over in surplus]
    exact: Cuts = {}
    for (stock, pattern), repeat in sorted(cuts.items()):
        left = repeat
        while left:
            spare = {item: min(count, surplus[item]) for item, count in pattern if surplus[item]}
            times = min([left, *(surplus[item] // count for item, count in spare.items())])
            for item, count in spare.items():
                surplus[item] -= count * times
            kept = tuple((item, count - spare.get(item, 0)) for item, count in pattern if count > spare.get(item, 0))
            if kept:
                exact[stock, kept] = exact.get((stock, kept), 0) + times
            left -= times
    return exact
