"""Solution: which patterns are cut from which stocks, while the search runs."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.pattern import EMPTY, Pattern, contents
from nesting.cutting.sheets.problem import Problem

# One sheet: the stock and how it is divided.
Placed = tuple[int, Pattern]


@dataclass(frozen=True, slots=True)
class Solution:
    """Patterns and how often each is cut.

    Attributes
    ----------
    sheets : tuple of (int, Pattern, int)
        Stock, pattern, repeats; sorted, no two of the same stock and pattern.
    """

    sheets: tuple[tuple[int, Pattern, int], ...]

    @classmethod
    def of(cls, placed: Iterable[Placed]) -> "Solution":
        """Gather single sheets; those that hold nothing are left out."""
        gathered = Counter(each for each in placed if each[1] != EMPTY)
        ranked = sorted(gathered.items(), key=lambda pair: (pair[0][0], -pair[1], repr(pair[0][1])))
        return cls(tuple((stock, pattern, repeat) for (stock, pattern), repeat in ranked))

    def placed(self) -> list[Placed]:
        """Every sheet on its own."""
        return [(stock, pattern) for stock, pattern, repeat in self.sheets for _ in range(repeat)]

    def counts(self, problem: Problem) -> list[int]:
        """How many of each stock are cut."""
        counts = [0] * len(problem.stocks)
        for stock, _, repeat in self.sheets:
            counts[stock] += repeat
        return counts

    def key(self, prices: Prices) -> int:
        """Key of what it takes."""
        return prices.total(self.counts(prices.problem))

    def contents(self) -> Counter[int]:
        """How many of each item it holds."""
        total: Counter[int] = Counter()
        for _, pattern, repeat in self.sheets:
            for item, count in contents(pattern).items():
                total[item] += count * repeat
        return total
