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
    costed : dict of Grouping to int or None
        What each came to so far, in turn.
    """

    whole: Whole
    costed: dict[Grouping, int | None] = field(default_factory=dict)
    _taken: Combination | None = None

    @property
    def best(self) -> Grouping:
        """The cheapest so far, the earlier of equal ones; the first where none could be made."""
        made = {each: cost for each, cost in self.costed.items() if cost is not None}
        return min(made, key=made.__getitem__) if made else next(iter(self.costed))

    def weigh(self, told: Callable[[Combination], Grouping], ruled: Combination, found: Found, most: int) -> None:
        """Cost what the rules give, and the best few that a search found.

        Parameters
        ----------
        told : callable
            Makes of a combination what can be built.
        ruled : Combination
            What the rules give.
        found : Found
            With something that is best.
        most : int
            How many are costed beside what the rules give.
        """
        least, self._taken = self._cost(told(ruled)), ruled
        most += len(self.costed)
        for chosen in self._worth_it(ruled, found):
            if len(self.costed) >= most:
                return
            cost = self._cost(told(chosen))
            if cost is not None and (least is None or cost < least):
                least, self._taken = cost, chosen

    def _cost(self, grouping: Grouping) -> int | None:
        """Cost a choice once."""
        if grouping not in self.costed:
            self.costed[grouping] = self.whole(grouping)
        return self.costed[grouping]

    def _worth_it(self, ruled: Combination, found: Found) -> Iterator[Combination]:
        """Yield what is worth a try, in turn."""
        best = found.best[0]
        yield best
        for g in reversed(range(len(ruled.options))):
            base = self._taken or ruled
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
