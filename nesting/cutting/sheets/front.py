"""The front of goods and work: layouts that cost no more goods than they save at the saw.

What bounds and proofs are about is goods alone. Beside the cheapest layout stand others: of the same goods laid in
plainer ways, and of dearer goods. Each is weighed by the sum of its goods and of the work at the saw, less what its
kept offcuts are worth; the work is told by whoever knows the shop's tools. The layout of the least sum is cut.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from nesting.cutting.sheets.cutting import Keep, lay
from nesting.cutting.sheets.filling import fill, orders, preferences
from nesting.cutting.sheets.model import MILLE, Offcut, SheetLayout, Trade
from nesting.cutting.sheets.pattern import Pattern
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.solution import Placed, Solution
from nesting.cutting.sheets.ties import relaid

_MANY: Final = 25
"""Past so many different sheets no other layouts are looked for."""
_PLAIN: Final = 120
"""Past so many parts no layouts of dearer goods are looked for."""
_WEIGHED: Final = 4
"""Of the layouts of equal goods, so many are weighed whole: those of the least estimates."""
_DEARER: Final = 2
"""Of those of dearer goods."""
_WAYS: Final = 2
"""Of the other ways to lay one sheet."""
_TURNS: Final = 2
"""How often all sheets are gone through for plainer ways."""
_SLACK: Final = 100
"""An estimate may be wrong by so manyth a part of the work: what it puts further above the best is not weighed."""


@dataclass(frozen=True, slots=True)
class Alone:
    """What cutting one sheet asks where nothing else is cut, in thousandths of the unit that sheets cost in.

    Attributes
    ----------
    work : int
        All but settings.
    settings : mapping of hashable to int
        What each setting costs; sheets that are cut together share those that they have in common.
    """

    work: int
    settings: Mapping[Hashable, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Bench:
    """What stands beside goods, as whole numbers.

    Attributes
    ----------
    work : callable
        Tells what it costs to cut some sheets, in thousandths of the unit that sheets cost in.
    kept : int
        Thousandths of its part of a sheet's cost that a kept offcut is worth.
    least_goods : bool
        Whether the least goods are cut whatever work they take.
    key : tuple
        What tells it from others.
    alone : callable or None
        Tells what a single sheet asks by itself, from which the work of many is estimated; without it sheets are taken
        to share nothing.
    """

    work: Callable[[tuple[SheetLayout, ...]], int]
    kept: int = 0
    least_goods: bool = False
    key: tuple[object, ...] = ()
    alone: Callable[[SheetLayout], Alone] | None = None

    def by_itself(self, sheet: SheetLayout) -> Alone:
        """Return what one sheet asks, however often it is cut."""
        single = replace(sheet, repeat=1)
        return Alone(self.work((single,))) if self.alone is None else self.alone(single)


def worth(sheets: Iterable[SheetLayout], kerf: int, kept: int) -> int:
    """Return what the offcuts of some sheets are worth, in thousandths; a sheet that is left whole is no offcut."""
    total = 0
    for each in sheets if kept else ():
        if isinstance(each.cuts, Offcut):
            continue
        area = sum(a * b for _, _, a, b, leaf in each.pieces(kerf) if isinstance(leaf, Offcut))
        sheet = each.sheet
        total += each.repeat * kept * sheet.cost * area // (sheet.length * sheet.width)
    return total


class Front:
    """The layouts that were weighed, and the one of the least sum.

    Parameters
    ----------
    run : Run
        With its best solution, after ties.
    keep : (int, int)
        Least size of an offcut.
    bench : Bench
        What stands beside goods.
    """

    def __init__(self, run: Run, keep: Keep, bench: Bench) -> None:
        self.run = run
        self.keep = keep
        self.bench = bench
        self.least = run.cost
        self.trades: dict[Solution, Trade] = {}
        self._alone: dict[Placed, tuple[Alone, int]] = {}
        self.best = run.solution
        self.first = self.weigh(run.solution)

    @property
    def chosen(self) -> Trade:
        """What was weighed of the best."""
        return self.trades[self.best]

    def weigh(self, solution: Solution) -> Trade:
        """Weigh a solution."""
        known = self.trades.get(solution)
        if known is None:
            problem = self.run.problem
            sheets = lay(problem, solution, self.keep)
            cost = self.run.prices.cost(solution.key(self.run.prices))
            kept = worth(sheets, problem.kerf, self.bench.kept)
            if cost > self.least:  # stock that is bought to lie on the rack is no saving
                kept = min(kept, self.first.kept)
            known = self.trades[solution] = Trade(cost, self.bench.work(sheets), kept)
        return known

    def offer(self, solution: Solution) -> bool:
        """Take a solution if its sum is less."""
        trade = self.weigh(solution)
        if (trade.goods > self.least and self.bench.least_goods) or trade.sum >= self.chosen.sum:
            return False
        self.best = solution
        return True

    def improve(self) -> None:
        """Look for layouts whose goods and work cost less together."""
        if len(self.run.solution.sheets) > _MANY:
            return
        self._offer_best(self.run.equals, _WEIGHED)
        self.plainer()
        for other in self._best(self._dearer(), _DEARER):
            if self.offer(other):
                self.plainer()

    def plainer(self) -> None:
        """Lay the contents of sheets in other ways, as long as the sum falls."""
        for _ in range(_TURNS):
            before = self.best
            for stock, pattern, _ in before.sheets:
                self.run.check()
                if any((s, p) == (stock, pattern) for s, p, _ in self.best.sheets):
                    others = (other for other in relaid(self.run, stock, pattern) if other != pattern)
                    self._offer_best((_changed(self.best, (stock, pattern), other) for other in others), _WAYS)
            if self.best == before:
                return

    def estimate(self, solution: Solution) -> int:
        """Tell about what the sum of a solution is: each sheet by itself, but settings in common once.

        Exact where one sheet is cut. Of many the order of cuts may need a setting twice, or find stacks over sheets.
        """
        goods = self.run.prices.cost(solution.key(self.run.prices))
        settings: dict[Hashable, int] = {}
        work = kept = 0
        for stock, pattern, repeat in solution.sheets:
            alone, back = self._sheet(stock, pattern)
            work, kept = work + repeat * alone.work, kept + repeat * back
            settings.update(alone.settings)
        if goods > self.least:
            kept = min(kept, self.first.kept)
        return goods * MILLE + work + sum(settings.values()) - kept

    def _sheet(self, stock: int, pattern: Pattern) -> tuple[Alone, int]:
        """Return what one sheet asks by itself, and what its offcuts are worth, remembered."""
        known = self._alone.get((stock, pattern))
        if known is None:
            problem = self.run.problem
            sheet = lay(problem, Solution(((stock, pattern, 1),)), self.keep)[0]
            back = worth((sheet,), problem.kerf, self.bench.kept)
            known = self._alone[stock, pattern] = self.bench.by_itself(sheet), back
        return known

    def _offer_best(self, solutions: Iterable[Solution], most: int) -> None:
        """Offer the solutions of the least estimates."""
        for other in self._best(solutions, most):
            self.offer(other)

    def _best(self, solutions: Iterable[Solution], most: int) -> list[Solution]:
        """Return the solutions of the least estimates, as far as these come near the best."""
        room = self.estimate(self.best) + self.chosen.work // _SLACK
        ranked = sorted(
            (told, index, each)
            for index, each in enumerate(dict.fromkeys(solutions))
            if (told := self.estimate(each)) < room
        )
        return [each for _, _, each in ranked[:most]]

    def _dearer(self) -> Iterator[Solution]:
        """Yield layouts of dearer goods, as far as their work could pay for them: strips by width, simply filled."""
        problem, prices = self.run.problem, self.run.prices
        room = self.least + self.chosen.work // MILLE
        if problem.total > _PLAIN or problem.total < 2:
            return
        for preference in preferences(problem):
            for order in orders(problem):
                self.run.check()
                made = fill(problem, order, preference, self.run.places)
                if made is not None and self.least < prices.cost(made.key(prices)) < room:
                    yield made

    def front(self) -> tuple[Trade, ...]:
        """Return what was weighed and is beaten by nothing in goods and work both, by goods."""
        return unbeaten(self.trades.values())


def unbeaten(trades: Iterable[Trade]) -> tuple[Trade, ...]:
    """Return what is beaten in goods and in all else by nothing, by goods; less than a unit saved is nothing."""
    front: list[Trade] = []
    for trade in sorted(set(trades), key=lambda each: (each.goods, each.work - each.kept, each.work)):
        if not front or trade.work - trade.kept + MILLE <= front[-1].work - front[-1].kept:
            front.append(trade)
    return tuple(front)


def _changed(solution: Solution, one: tuple[int, Pattern], other: Pattern) -> Solution:
    """Return a solution with one pattern in the place of another."""
    return Solution.of((s, other if (s, p) == one else p) for s, p, repeat in solution.sheets for _ in range(repeat))
