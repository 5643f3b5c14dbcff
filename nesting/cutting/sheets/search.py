"""Search: the compiled ruin and recreate, driven towards one goal after another."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from nesting.cutting.sheets import engine, kernel
from nesting.cutting.sheets.effort import Settings
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.pattern import ACROSS, ALONG, Pattern, leaf_size, need, tidy
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.solution import Placed, Solution

_MASK = 2**63 - 1

# Nanoseconds of a step on a machine of reference, and more for each part that there is.
_STEP = 4000
_PART = 55


def scramble(value: int) -> int:
    """Mix 64 bits (splitmix64, Steele, Lea and Flood 2014, doi:10.1145/2660193.2660195)."""
    value = (value + 0x9E3779B97F4A7C15) & (2**64 - 1)
    value = ((value ^ value >> 30) * 0xBF58476D1CE4E5B9) & (2**64 - 1)
    value = ((value ^ value >> 27) * 0x94D049BB133111EB) & (2**64 - 1)
    return value ^ value >> 31


def read_sheet(words: Iterable[int]) -> Pattern:
    """Read a cut tree that the engine wrote down."""
    open_nodes: list[list[Pattern]] = [[ALONG]]
    for word in words:
        if word >= 0:
            open_nodes[-1].append(word)
        elif word == engine.CLOSE:
            done = open_nodes.pop()
            open_nodes[-1].append(tuple(done))
        else:
            open_nodes.append([-1 - word])
    return tuple(open_nodes[0])


class RuinAndRecreate:
    """State of one search.

    Parameters
    ----------
    problem : Problem
        What is wanted.
    prices : Prices
        Keys that the budget is counted in.
    seed : int
        Of the random numbers.
    pooling : bool
        Whether room is made for a pool.
    held : sequence of int, optional
        Sheets of each stock that are taken already: the next is priced as one more than these.
    """

    def __init__(
        self, problem: Problem, prices: Prices, seed: int, *, pooling: bool = True, held: Sequence[int] = ()
    ) -> None:
        self.problem = problem
        self.prices = prices
        total = problem.total
        nodes = 5 * total + 256
        most = [min(stock.limit, total) for stock in problem.stocks]
        self.book = np.zeros(kernel.BOOKS, np.int64)
        self.book[kernel.RNG] = scramble(seed * 2 + 1) & _MASK | 1
        self._state = self._arrays(nodes)
        self._saved = self._arrays(nodes)
        self._best = self._arrays(nodes)
        keys = np.zeros((len(problem.stocks), max(most) + 2), np.int64)
        for s, limit in enumerate(most):
            before = held[s] if held else 0
            for n in range(limit + 1):
                keys[s, n] = prices.key(s, before + n)
        self._task = (
            np.array([(i.length, i.width, int(i.turns), i.area) for i in problem.items], np.int64),
            np.array([(s.length, s.width, m, s.area) for s, m in zip(problem.stocks, most, strict=True)], np.int64),
            keys,
        )
        names = len(problem.items) + len(problem.stocks)
        capacity = 1 << 16 if pooling else 1
        self._pools = (
            np.array([scramble(n + 1) & _MASK for n in range(names)], np.int64),
            np.zeros(2 * capacity, np.int64),
            np.zeros((capacity, 4), np.int64),
            np.zeros(1 << 21 if pooling else 1, np.int32),
        )
        self._room = (
            np.zeros(total + 1, np.int64),
            np.zeros(total + 1, np.float64),
            np.zeros(nodes, np.int64),
            np.zeros(nodes, np.float64),
            np.zeros(nodes, np.int64),
        )
        self.clear()

    def _arrays(self, nodes: int) -> tuple[np.ndarray, ...]:
        total = self.problem.total
        return (
            np.full((nodes, kernel.FIELDS), -1, np.int64),
            np.zeros(nodes, np.int64),
            np.zeros((total + 1, 2), np.int64),
            np.zeros(len(self.problem.stocks), np.int64),
            np.zeros(len(self.problem.items), np.int64),
            np.zeros(3, np.int64),
        )

    def value(self, items: Sequence[int], stocks: Sequence[int]) -> None:
        """Count parts by these values from now on, not by area, and sheets as full by what each stock should hold."""
        self._task[0][:, kernel.VALUE] = items
        self._task[1][:, kernel.VALUE] = stocks

    def clear(self, wanted: Sequence[int] | None = None) -> None:
        """Take everything off the sheets; from now on these many of each item are wanted, all when not given."""
        node, free, _, used, left, _ = self._state
        node[:, kernel.HEAD] = kernel.FREE
        free[:] = np.arange(len(free))[::-1]
        used[:] = 0
        left[:] = [item.demand for item in self.problem.items] if wanted is None else wanted
        self.book[kernel.SHEETS] = self.book[kernel.TOP] = 0
        self.book[kernel.FREES] = len(free)

    def load(self, placed: Iterable[Placed]) -> None:
        """Start from sheets that are already divided; what they lack is left out."""
        self.clear()
        node, free, sheets, used, _, _ = self._state
        for stock, pattern in placed:
            each = self.problem.stocks[stock]
            sheet = kernel.open_sheet(node, free, self.book, sheets, used, stock, each.length, each.width)
            self._grow(sheet, tidy(self.problem, pattern))

    def _grow(self, root: int, pattern: Pattern) -> None:
        """Divide an empty sheet as a pattern says."""
        node, free, _, _, left, _ = self._state
        work: list[tuple[int, Pattern]] = []

        def divide(i: int, head: int, branches: tuple[Pattern, ...]) -> None:
            node[i, kernel.HEAD] = head
            room = int(node[i, kernel.LONG] if head == ALONG else node[i, kernel.WIDE])
            for branch in branches:
                along, across = need(self.problem, branch)
                run = along if head == ALONG else across
                length, width = (run, int(node[i, kernel.WIDE])) if head == ALONG else (int(node[i, kernel.LONG]), run)
                room -= run
                if isinstance(branch, int) and (along, across) == (length, width):
                    kernel.make(node, free, self.book, i, kernel.LEAF, length, width, 0, branch)
                    left[branch >> 1] -= 1
                else:
                    child = kernel.make(node, free, self.book, i, 1 - head, length, width, 0, -1)
                    work.append((child, branch))
            node[i, kernel.SLACK] = room

        head = pattern[0] if isinstance(pattern, tuple) else ALONG
        _, across = need(self.problem, pattern)
        along = need(self.problem, pattern)[0]
        spare = node[root, kernel.WIDE] - across if head == ALONG else node[root, kernel.LONG] - along
        if spare > 0 or isinstance(pattern, int):
            divide(root, 1 - head, (pattern,))
        else:
            divide(root, head, pattern[1:])
        while work:
            i, branch = work.pop()
            head = int(node[i, kernel.HEAD])
            inner = branch[1:] if isinstance(branch, tuple) and branch[0] == head else (branch,)
            divide(i, head, inner)

    def current(self) -> list[Placed]:
        """Read the sheets of the state at work."""
        return self._read(self._state, int(self.book[kernel.SHEETS]))

    def nearest(self) -> list[Placed]:
        """Read the sheets of the state that left out least."""
        return self._read(self._best, int(self._best[5][0]))

    def _read(self, state: tuple[np.ndarray, ...], count: int) -> list[Placed]:
        out = np.zeros(4 * len(state[1]) + 16, np.int32)
        placed = []
        for b in range(count):
            end = engine.write_sheet(state[0], state[2][b, 0], out, 0)
            placed.append((int(state[2][b, 1]), tidy(self.problem, read_sheet(out[:end].tolist()))))
        return placed

    def aim(self, budget: int, length: int) -> None:
        """Set a new goal: sheets are taken off until the key is within the budget, and the memory starts anew."""
        node, free, sheets, used, left, _ = self._state
        self.budget = budget
        while self.book[kernel.SHEETS] and sum(int(self._task[2][s, n]) for s, n in enumerate(used)) > budget:
            count = int(self.book[kernel.SHEETS])
            filled = [
                (self._filled(int(sheets[b, 0])) / self.problem.stocks[sheets[b, 1]].area, b) for b in range(count)
            ]
            _, b = min(filled)
            kernel.remove(node, free, self.book, sheets, used, left, self._room[4], sheets[b, 0], False)
        self.history = np.full((length, 2), np.inf)
        if budget < self.prices.scale << 40:
            self.history[:, 0] = float(kernel.left_value(left, self._task[0]))
            self.history[:, 1] = 0.0
        node3, free3, sheets3, used3, left3, counts3 = self._best
        kernel.copy_state(node, free, self.book, sheets, used, left, node3, free3, sheets3, used3, left3, counts3)

    def _filled(self, root: int) -> int:
        node = self._state[0]
        area, stack = 0, [root]
        while stack:
            i = stack.pop()
            if node[i, kernel.HEAD] == kernel.LEAF:
                area += int(node[i, kernel.LONG] * node[i, kernel.WIDE])
            child = node[i, kernel.FIRST]
            while child >= 0:
                stack.append(int(child))
                child = node[child, kernel.NEXT]
        return area

    def begin(self, settings: Settings) -> bool:
        """Lay what is left out once, whatever it costs; whether everything finds a place on the stock that there is."""
        self.aim(2**62, 1)
        self.run(1, settings, pooling=False)
        return self.complete()

    def run(self, steps: int, settings: Settings, *, pooling: bool) -> int:
        """Search; returns the steps used, fewer than asked when everything was placed."""
        least = min(min(item.length, item.width) for item in self.problem.items)
        every = settings.every if pooling else 1 << 60
        fill = settings.fill if pooling else 1 << 20
        node, free, sheets, used, left, _ = self._state
        tuning = np.array((settings.mean, settings.whole, settings.blink, least, fill, every), np.int64)
        return int(
            engine.search(
                (node, free, self.book, sheets, used, left),
                self._saved,
                self._best,
                self._task,
                self._pools,
                self._room,
                self.history,
                self.budget,
                steps,
                tuning,
            )
        )

    def counted(self, steps: int, run: Run, *, pooling: bool, settings: Settings | None = None) -> int:
        """Search as :meth:`run` does, count the work, and look at the clock."""
        used = self.run(steps, settings or run.settings, pooling=pooling)
        run.work += used * (_STEP + _PART * self.problem.total) // 1000
        run.check()
        return used

    def pursuing(self, steps: int, run: Run, *, pooling: bool) -> Iterator[None]:
        """Search until nothing is left out or the steps are used up, in pieces."""
        used = 0
        while used < steps and not self.complete():
            used += self.counted(min(steps - used, run.chunk), run, pooling=pooling)
            yield

    def pursue(self, steps: int, run: Run, *, pooling: bool) -> bool:
        """Search until nothing is left out or the steps are used up; whether nothing is."""
        for _ in self.pursuing(steps, run, pooling=pooling):
            pass
        return self.complete()

    def complete(self) -> bool:
        """Whether the state at work leaves nothing out."""
        return not self._state[4].any()

    @property
    def left(self) -> Counter[int]:
        """Items that the nearest state leaves out."""
        return Counter({t: int(n) for t, n in enumerate(self._best[4]) if n})

    def pool(self, most: int) -> list[Placed]:
        """Read the fullest sheets kept on the way."""
        pool = self._pools[2][: int(self.book[kernel.POOLED])]
        full = pool[:, 3] / np.array([stock.area for stock in self.problem.stocks])[pool[:, 0]]
        return self._pooled(np.argsort(-full, kind="stable")[:most])

    def pooled(self, start: int) -> list[Placed]:
        """Read the sheets kept on the way, but for the first so many."""
        return self._pooled(range(start, int(self.book[kernel.POOLED])))

    def _pooled(self, chosen: Iterable[int]) -> list[Placed]:
        _, _, pool, words = self._pools
        return [(int(pool[k, 0]), read_sheet(words[pool[k, 1] : pool[k, 2]].tolist())) for k in chosen]

    def solution(self) -> Solution:
        """Make a solution of the state at work."""
        return Solution.of(self.current())


__all__ = ["ACROSS", "RuinAndRecreate", "leaf_size", "read_sheet", "scramble"]
