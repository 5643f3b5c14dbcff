"""Columns: sheets found by what the linear program asks for, and layouts made of the sheets that it uses.

The pool of the search holds full sheets; whole layouts need sheets that go together. Here the linear program over
patterns (:mod:`nesting.cutting.sheets.relaxation`) tells what each part is worth, the compiled search looks for sheets
worth more than they cost (column generation, Gilmore and Gomory 1961, doi:10.1287/opre.9.6.849, with a heuristic in the
place of exact pricing), and so in turn. Then sheets that the program uses are taken as they are, by lot, and the
compiled search lays the few parts that remain (a dive, as surveyed by Sadykov, Vanderbeck, Pessoa, Tahiri and Uchoa
2019, doi:10.1287/ijoc.2018.0822). The sheets that a dive meets are known from then on, and that is what makes short
turns of pricing and diving find more than long ones. Nothing here proves anything.
"""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.pattern import Pattern, contents
from nesting.cutting.sheets.relaxation import Column, Master
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.search import RuinAndRecreate, scramble
from nesting.cutting.sheets.solution import Placed, Solution

# Stocks priced in one turn, steps for each, parts offered to them, the memory, and thousandths of the asked value for
# a sheet to be kept.
_STOCKS = 3
_STEPS = 3000
_OFFERED = 150
_HISTORY = 100
_NEAR = 980

# Microseconds to solve the program, and more for each sheet that is known.
_SOLVED = 15_000
_HELD = 5

# Columns added to the program at one time, at most.
_FRESH = 300

# Sheets left to the search of a dive, fewest and most; parts left, about; its steps and memory; and how many of the
# sheets that it meets are kept.
_FEWEST, _MOST = 4, 10
_PARTS = 100
_DIVE = 12_000
_LONG = 200
_LEARNT = 200

# No dive comes of a program that needs this many thousandths of a sheet more than there may be.
_HOPELESS = 400


class Columns:
    """Sheets that are known, and the linear program over them.

    Parameters
    ----------
    run : Run
        What is wanted, with some solution; better ones are offered to it.
    known : iterable of Placed
        Sheets to start from.

    Attributes
    ----------
    lower : float
        Cost that the program finds with the sheets known so far; no bound on anything.
    """

    def __init__(self, run: Run, known: Iterable[Placed]) -> None:
        self.run = run
        self._placed: dict[Column, Placed] = {}
        self._table = np.zeros((1024, len(run.problem.items) + 1), np.int64)
        self._master = Master(run.problem, ())
        self._turn = self._dives = 0
        for each in (*run.solution.placed(), *known):
            self._master.add(self._keep(each))
        self.lower, self._values = self._master.solve()
        self._asked = self._master.asked()
        self._lookers = [_Looker(run, stock) for stock in range(len(run.problem.stocks))]

    def _keep(self, placed: Placed) -> Column:
        stock, pattern = placed
        held = contents(pattern)
        column = (stock, frozenset(held.items()))
        if column not in self._placed:
            row = len(self._placed)
            if row == len(self._table):
                self._table = np.vstack((self._table, np.zeros_like(self._table)))
            self._placed[column] = placed
            self._table[row, 0] = stock
            for t, n in column[1]:
                self._table[row, 1 + t] = n
        return column

    def _gains(self) -> np.ndarray:
        """How much more each known sheet is worth than the program asks of its stock; whole numbers, so exact."""
        table = self._table[: len(self._placed)]
        gains: np.ndarray = table[:, 1:] @ self._values - np.array(self._asked, np.int64)[table[:, 0]]
        return gains

    def price(self, turns: int) -> None:
        """Look for sheets that the program gains by, and solve it anew, so many times."""
        for _ in range(turns):
            self.run.check()
            if not self._values.any():
                return
            count = len(self._lookers)
            for stock in sorted({(self._turn * _STOCKS + k) % count for k in range(_STOCKS)}):
                for pattern in self._lookers[stock].look(self._values, self._asked[stock], self._turn):
                    self._keep((stock, pattern))
            self._turn += 1
            self._solve()

    def _solve(self) -> None:
        """Solve the program until it gains by none of the known sheets."""
        columns = list(self._placed)
        while True:
            self.run.work += _SOLVED + _HELD * len(columns)
            gains = self._gains()
            best = np.argsort(-gains, kind="stable")[:_FRESH]
            added = [self._master.add(columns[k]) for k in best if gains[k] > 0]
            if not any(added):
                return
            self.lower, self._values = self._master.solve()
            self._asked = self._master.asked()

    def nearest(self, most: int) -> list[Placed]:
        """Return the sheets that come nearest to what the program asks for."""
        placed = list(self._placed.values())
        return [placed[k] for k in np.argsort(-self._gains(), kind="stable")[:most]]

    def promising(self) -> bool:
        """Whether the program leaves hope for a lower cost."""
        hope = self.run.cost - 1 + _HOPELESS * self._master.dearest / 1000
        return bool(self._values.any()) and self.lower <= hope

    def dive(self, times: int) -> None:
        """Take sheets that the program uses, by lot, and search for the rest, so many times."""
        amounts = self._master.amounts()
        lots: list[tuple[int, Placed]] = []
        for column, amount in amounts.items():
            whole, rest = divmod(amount, 1000)
            lots += [(1000, self._placed[column])] * whole + [(rest, self._placed[column])] * (rest > 0)
        sheets = sum(amounts.values()) // 1000
        for _ in range(times):
            if self.run.proven():
                return
            self.run.check()
            self._dives += 1
            self._dive(lots, sheets, scramble(self.run.seed * 1_000_003 + self._dives))

    def _dive(self, lots: list[tuple[int, Placed]], sheets: int, chance: int) -> None:
        run = self.run
        fewest = _FEWEST + chance % (_MOST - _FEWEST + 1)
        ranked = sorted(range(len(lots)), key=lambda k: (-lots[k][0] * (200 + scramble(chance + k) % 1000), k))
        wanted = [item.demand for item in run.problem.items]
        limits = [stock.limit for stock in run.problem.stocks]
        taken: list[Placed] = []
        for k in ranked:
            stock, pattern = lots[k][1]
            left = sheets - len(taken)
            if left <= 2 or (left <= fewest and sum(wanted) <= _PARTS):
                break
            held = contents(pattern)
            if limits[stock] and all(wanted[t] >= n for t, n in held.items()):
                taken.append((stock, pattern))
                limits[stock] -= 1
                for t, n in held.items():
                    wanted[t] -= n
        rest = self._lay(taken, wanted, limits, chance)
        if rest is not None:
            run.offer(Solution.of([*taken, *rest]))

    def _lay(self, taken: list[Placed], wanted: list[int], limits: list[int], chance: int) -> list[Placed] | None:
        """Search for the parts that the taken sheets leave, at a total below the best; None when none is found."""
        run, problem = self.run, self.run.problem
        if not any(wanted):
            return []
        items = tuple(replace(item, demand=n) for item, n in zip(problem.items, wanted, strict=True))
        stocks = tuple(replace(stock, limit=n) for stock, n in zip(problem.stocks, limits, strict=True))
        held = Solution.of(taken).counts(problem)
        part = replace(problem, items=items, stocks=stocks)
        if len(stocks) == 1:
            more = 0
            while more < limits[0] and run.prices.key(0, held[0] + more + 1) < run.key:
                more += 1
            if part.area > more * stocks[0].area:
                return None
        search = RuinAndRecreate(part, run.prices, chance, pooling=True, held=held)
        search.aim(run.key - 1, _LONG)
        complete = search.pursue(_DIVE, run, pooling=True)
        for each in search.pool(_LEARNT):
            self._keep(each)
        return search.current() if complete else None


class _Looker:
    """Searches for sheets of one stock that are worth the most."""

    def __init__(self, run: Run, stock: int) -> None:
        self._run = run
        only = replace(run.problem.stocks[stock], limit=1)
        items = tuple(
            replace(item, demand=min(item.demand, only.area // item.area) if only.holds(item) else 0)
            for item in run.problem.items
        )
        self._problem = replace(run.problem, items=items, stocks=(only,))
        self._search = RuinAndRecreate(self._problem, Prices(self._problem), run.seed + stock)
        self._settings = replace(run.settings, fill=_NEAR, every=1)
        self._read = 0

    def look(self, values: np.ndarray, asked: int, turn: int) -> list[Pattern]:
        """Return the patterns met, new ones only, that are worth about what is asked or more."""
        search = self._search
        search.value(np.maximum(values, 1).tolist(), [asked])
        search.clear(self._offered(values, turn))
        search.aim(search.prices.key(0, 1), _HISTORY)
        search.counted(_STEPS, self._run, pooling=True, settings=self._settings)
        found = search.pooled(self._read)
        self._read += len(found)
        return [pattern for _, pattern in found]

    def _offered(self, values: np.ndarray, turn: int) -> list[int]:
        """Choose parts to fill the sheet from: all, or those worth most for their area, with some luck."""
        demand = [item.demand for item in self._problem.items]
        if sum(demand) <= _OFFERED:
            return demand
        items = self._problem.items
        chance = scramble(self._run.seed * 1_000_003 + turn)
        ranked = sorted(
            range(len(items)),
            key=lambda t: (-int(values[t]) * (1000 + scramble(chance + t) % 400) // items[t].area, t),
        )
        offered, room = [0] * len(items), _OFFERED
        for t in ranked:
            offered[t] = min(demand[t], room)
            room -= offered[t]
        return offered
