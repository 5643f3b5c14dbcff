"""Purse: the dear work that the searches of an order may still do, shared by what each good could still save.

Fillings, cheap bounds and a first search are free. What follows them (:mod:`nesting.cutting.sheets.proofs` and
:mod:`nesting.cutting.sheets.pursuits`) is paid for, in microseconds of a machine of reference that are counted by steps
and never measured, so that neither clock nor cores change an answer.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from nesting.cutting.sheets.run import Run

# What is returned in the place of a piece of work when there is no more.
_OVER = object()


@dataclass(slots=True)
class Allowance:
    """The dear work of one search.

    Attributes
    ----------
    most : int or None
        What may be done; None leaves it to the effort. The last piece of work may go beyond it.
    done : int
        What was done.
    is_short : bool
        Whether the search ended for want of it; where it did not, any larger allowance gives the same answer.
    """

    most: int | None = None
    done: int = 0
    is_short: bool = False

    @property
    def left(self) -> int | None:
        """What may still be done."""
        return None if self.most is None else max(0, self.most - self.done)

    def add(self, done: int, *, is_short: bool) -> None:
        """Count what a search did."""
        self.done += done
        self.is_short |= is_short


@dataclass(slots=True)
class Purse:
    """The dear work of an order.

    Attributes
    ----------
    left : int or None
        What may still be done; None leaves it to the effort.
    stakes : dict of str to int
        What could still be saved, by good, of goods that are still to be laid.
    """

    left: int | None = None
    stakes: dict[str, int] = field(default_factory=dict)

    def share(self, good: str) -> int | None:
        """Return what a good may spend, by its stake among those that are still to be laid; the last may spend all."""
        if self.left is None:
            return None
        return self.left * self.stakes.get(good, 0) // (sum(self.stakes.values()) or 1)

    def pay(self, good: str, done: int) -> None:
        """Take out what a good spent; what it did not spend of its share is for those after it."""
        self.stakes.pop(good, None)
        if self.left is not None:
            self.left = max(0, self.left - done)


def in_turns(run: Run, hands: Sequence[tuple[int, Iterator[None]]]) -> None:
    """Let whoever has done the least work for its weight go on, until the cost is proven lowest or no work is left.

    So what is cheap comes before what is dear, whether it be a proof or a better layout, and neither costs more than a
    few times what the other would have needed.

    Parameters
    ----------
    run : Run
        What is improved, and counts the work.
    hands : sequence of (int, iterator)
        Weights, and who does a piece of work each time it is asked for the next.
    """
    done = dict.fromkeys(range(len(hands)), 0)
    while done and not run.proven() and not run.spent():
        turn = min(done, key=lambda k: (done[k] // hands[k][0], k))
        before = run.work
        if next(hands[turn][1], _OVER) is _OVER:
            del done[turn]
        else:
            done[turn] += run.work - before
