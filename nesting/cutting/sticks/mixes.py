"""The cheapest mix: how many sticks of each stock, so that all cuts hold."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from nesting.cutting.sticks.bounds import Cut, Key, Mix, rate
from nesting.cutting.sticks.problem import Problem

NODES = {"quick": 4_000, "normal": 8_000, "thorough": 40_000}

# Pruning is done in floating point, on the safe side by far more than its errors.
_SAFE = 1 - 1e-9


@dataclass
class MixSearch:
    """Depth-first search over the numbers of each stock, cheapest length first.

    Parameters
    ----------
    problem : Problem
        What to cut.
    cuts : sequence of Cut
        What a mix must satisfy.
    barred : sequence of Mix
        Mixes that are known not to do, nor anything that has no more of any stock.
    below : Key
        Only a mix of a lesser key is of interest.
    nodes : int
        How many may be visited.
    """

    problem: Problem
    cuts: Sequence[Cut]
    barred: Sequence[Mix]
    below: Key
    nodes: int
    best: Mix | None = field(default=None, init=False)

    @property
    def complete(self) -> bool:
        """Whether every mix was looked at, so that `best` is the best, or there is none."""
        return self.nodes >= 0

    def run(self) -> Mix | None:
        """Return the mix of least key, or None."""
        stocks = self.problem.stocks
        self._rates = rates = [float(rate(stock)) * _SAFE for stock in stocks]
        self._order = sorted(range(len(stocks)), key=lambda i: (rates[i] / stocks[i].size, i))
        depths = range(len(stocks) + 1)
        rest = [self._order[depth:] for depth in depths]
        # For each depth and cut: least cost and least number of sticks of one unit of worth, and all worth there is.
        self._price = [
            [min((rates[i] / c.tops[i] for i in left if c.tops[i]), default=0.0) for c in self.cuts] for left in rest
        ]
        self._most = [[max((c.tops[i] for i in left), default=0) for c in self.cuts] for left in rest]
        self._room = [[sum(c.tops[i] * stocks[i].limit for i in left) for c in self.cuts] for left in rest]
        self._counts = [0] * len(stocks)
        self._descend(0, [cut.need for cut in self.cuts], (0, 0, 0))
        return self.best

    def _floor(self, depth: int, missing: Sequence[int], key: Key) -> Key:
        """Return what the key will be at least."""
        cost, more = 0.0, 0
        for need, price, most in zip(missing, self._price[depth], self._most[depth], strict=True):
            if need > 0:
                cost = max(cost, need * price)
                more = max(more, -(-need // most))
        return key[0] + int(cost - 1e-6) + (cost > 1e-6), key[1], key[2] + more

    def _descend(self, depth: int, missing: Sequence[int], key: Key) -> None:
        self.nodes -= 1
        if self.nodes < 0 or any(need > room for need, room in zip(missing, self._room[depth], strict=True)):
            return
        if self._floor(depth, missing, key) >= self.below:
            return
        if depth == len(self._order):
            mix = tuple(self._counts)
            if not any(all(n <= most for n, most in zip(mix, bar, strict=True)) for bar in self.barred):
                self.best, self.below = mix, key
            return
        index = self._order[depth]
        stock = self.problem.stocks[index]
        tops = [cut.tops[index] for cut in self.cuts]
        for count in self._range(depth, missing, key):
            total, bought = stock.stick.purchase(count)
            used = min(bought, stock.limit)  # what a price break gives away may as well be cut
            self._counts[index] = used
            after = [need - used * top for need, top in zip(missing, tops, strict=True)]
            self._descend(depth + 1, after, (key[0] + total, key[1] + (0 if stock.rack else total), key[2] + bought))
        self._counts[index] = 0

    def _range(self, depth: int, missing: Sequence[int], key: Key) -> range:
        """Return the numbers of the next stock that are worth trying.

        No more than the cuts need of it, unless that gets past a barred mix. Where its cost, and the least cost of what
        the cuts then still miss, come to more than is of interest, the numbers beyond are left out: these lines rise or
        fall with the number.
        """
        index = self._order[depth]
        tops = [cut.tops[index] for cut in self.cuts]
        needed = max((-(-need // top) for need, top in zip(missing, tops, strict=True) if top and need > 0), default=0)
        most = min(max(needed, *(bar[index] + 1 for bar in self.barred), 0), self.problem.stocks[index].limit)
        if depth == len(self._order) - 1:
            return range(needed, most + 1)
        least, left = 0, self.below[0] - key[0] + 1e-6
        for need, top, price in zip(missing, tops, self._price[depth + 1], strict=True):
            slope = self._rates[index] - price * top
            if need > 0 and abs(slope) > 1e-6:
                end = (left - price * need) / slope
                if slope > 0:
                    most = min(most, int(max(end, -1)) + 1)
                else:
                    least = max(least, int(min(max(end, 0), most + 1)) - 1)
        return range(most, least - 1, -1)
