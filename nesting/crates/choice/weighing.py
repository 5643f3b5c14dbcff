"""Weighing: the best few choices costed for good, by whoever can make them, with a counted number of tries.

First fit knows no troubles and no ties, so what is chosen for one group of crates may spoil what is chosen for
another. After the best, each group by itself goes back to what the rules give, the last first; where the best was not
taken, each group comes in by itself. Then the plainer choices, another division of the frames, and what comes next.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from nesting.crates.cases.consignment import Grouping
from nesting.crates.choice.combos import Combination, Found
from nesting.crates.choice.costs import Whole


@dataclass
class Weighing:
    """Choices costed for good.

    Attributes
    ----------
    whole : Whole
        Costs one.
    told : callable
        Makes of a combination what can be built.
    most : int
        How many are costed beside what the rules give.
    taken : Combination or None
        The cheapest so far, the earlier of equal ones.
    """

    whole: Whole
    told: Callable[[Combination], Grouping]
    most: int
    taken: Combination | None = None
    _least: int | None = None
    _costed: set[Grouping] = field(default_factory=set)

    def weigh(self, ruled: Combination, found: Found) -> Grouping:
        """Return the choice that costs the least; what the rules give where nothing costs less."""
        self._offer(ruled)
        for chosen in self._worth_it(ruled, found):
            if len(self._costed) > self.most:
                break
            self._offer(chosen)
        return self.told(self.taken or ruled)

    def _offer(self, chosen: Combination) -> None:
        """Cost a choice, and take it where nothing was cheaper."""
        grouping = self.told(chosen)
        if grouping in self._costed:
            return
        self._costed.add(grouping)
        cost = self.whole(grouping)
        if cost is not None and (self._least is None or cost < self._least):
            self._least, self.taken = cost, chosen

    def _worth_it(self, ruled: Combination, found: Found) -> Iterator[Combination]:
        """Yield what is worth a try, in turn."""
        best = found.best[0]
        yield best
        for g in reversed(range(len(ruled.options))):
            base = self.taken or ruled
            source = ruled if _of(base, g) == _of(best, g) else best
            yield Combination(
                0,
                (*base.alternatives[:g], source.alternatives[g], *base.alternatives[g + 1 :]),
                (*base.options[:g], source.options[g], *base.options[g + 1 :]),
            )
        yield from found.plainer
        yield next((each for each in found.best if each.alternatives != best.alternatives), best)
        yield from found.best


def _of(chosen: Combination, g: int) -> tuple[int, tuple[int, ...]]:
    """Return what is chosen for one group."""
    return chosen.alternatives[g], chosen.options[g]
