"""Prices: what a number of sheets costs, and the least that any sheets holding enough can cost.

Sheets are compared by one integer, the key: cost first, then how many are bought (so that ties favour the rack), then
how many there are.
"""

from collections.abc import Sequence
from fractions import Fraction

from nesting.cutting.sheets.problem import Problem

_ROOM = 2**61


class Prices:
    """Keys of numbers of sheets.

    Attributes
    ----------
    scale : int
        The key of one unit of cost; costs are ``key // scale``.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        # More sheets than parts are taken only to reach a price break.
        sheets = 1 + sum(max(s.limit, *(start for start, _ in s.sheet.breaks), 1) for s in problem.stocks)
        dearest = sum(s.sheet.cost * max(s.limit, *(start for start, _ in s.sheet.breaks), 1) for s in problem.stocks)
        # Keys stay inside 64 bits: where sums of money are absurd, the ties of cost are given up one after the other.
        self.scale, self._bought, self._each = next(
            weights
            for weights in ((sheets * sheets, sheets, 1), (sheets, 0, 1), (1, 0, 0))
            if dearest * weights[0] < _ROOM or weights[0] == 1
        )
        self._tables: list[list[int]] = [[0] for _ in problem.stocks]

    def key(self, stock: int, count: int) -> int:
        """Key of having at least `count` sheets of a stock."""
        table = self._tables[stock]
        sheet = self.problem.stocks[stock].sheet
        while len(table) <= count:
            cost, taken = sheet.purchase(len(table))
            table.append(cost * self.scale + taken * ((self._bought if sheet.source == "buy" else 0) + self._each))
        return table[count]

    def total(self, counts: Sequence[int]) -> int:
        """Key of a number of each stock."""
        return sum(self.key(stock, count) for stock, count in enumerate(counts))

    def cost(self, key: int) -> int:
        """Cost that a key stands for."""
        return key // self.scale


def rate(problem: Problem, stock: int) -> Fraction:
    """Least cost of one sheet of a stock, over all numbers that can be used.

    Between two breaks the mean cost stays or falls towards the next, so only the breaks and the ends count.
    """
    each = problem.stocks[stock]
    ends = {1, each.limit, *(start for start, _ in each.sheet.breaks if start <= each.limit)}
    return min(Fraction(each.sheet.purchase(count)[0], count) for count in ends)
