"""A budget a request: how long its work may take while somebody waits, and how many of its kind may be at it.

What is over its budget is answered by a sentence: no answer rests on the clock but this one, which bears no figure. The
work itself is not broken off, since what it writes is written whole or not at all; it goes on in its thread, and has a
place of its own there, so that pages do not run out of places. What is long by nature, searches and papers of large
jobs, is not done in such threads but in processes that have a ration of memory and end at a word.
"""

import asyncio
import logging
import math
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Final, TypeVar

import anyio
from anyio import to_thread

T = TypeVar("T")
_LOG: Final = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Budget:
    """What a kind of request may take.

    Attributes
    ----------
    seconds : float
        Until it is answered, one way or the other, from when it has arrived.
    at_once : int
        How many of the kind are worked at together; more wait, within their seconds.
    """

    seconds: float
    at_once: int


PAGE: Final = Budget(25.0, 40)
"""Nearly all: shown or saved in less than a second, or else it waits for a figure, 20 seconds at the most."""
PAPERS: Final = Budget(60.0, 4)
"""What makes papers, or reads or writes whole files, while somebody waits."""
ARCHIVE: Final = Budget(900.0, 2)
"""What goes over everything that is kept."""
OVERDUE: Final = 40
"""Places at the most of work that goes on over its budget."""


class OverBudgetError(Exception):
    """A request was over its budget.

    Parameters
    ----------
    budget : Budget
        That it had.
    begun : bool
        Whether it was begun, and goes on.
    """

    def __init__(self, budget: Budget, *, begun: bool) -> None:
        super().__init__(budget.seconds)
        self.budget, self.begun = budget, begun

    def told(self, *, writes: bool) -> str:
        """Say so, for people."""
        seconds = f"{self.budget.seconds:,.0f} seconds that it may take"
        if not self.begun:
            return f"The desk has too much to do: this was not begun in the {seconds}. Nothing was changed; ask again."
        if not writes:
            return f"This takes longer than the {seconds}, and is not waited for. Nothing was changed; ask again later."
        return (
            f"This takes longer than the {seconds}. It goes on behind the pages, and is kept whole or not at all: look "
            "at what it was about before you send it again."
        )


class Workplaces:
    """The places of work in threads, by kind.

    The work of a kind that is over its budget gives its place to the next.
    """

    def __init__(self) -> None:
        self._of: dict[Budget, anyio.CapacityLimiter] = {}
        self._overdue: set[object] = set()
        self._any: anyio.CapacityLimiter | None = None

    def _limiter(self, budget: Budget) -> anyio.CapacityLimiter:
        if budget not in self._of:
            self._of[budget] = anyio.CapacityLimiter(budget.at_once)
        return self._of[budget]

    async def work(self, budget: Budget, what: Callable[[], T], name: str) -> T:
        """Do something in a thread, within a budget.

        Raises
        ------
        OverBudgetError
            When it takes longer.
        """
        loop, who = asyncio.get_running_loop(), object()
        end, limiter = loop.time() + budget.seconds, self._limiter(budget)
        self._any = self._any or anyio.CapacityLimiter(math.inf)
        try:
            with anyio.fail_after(budget.seconds):
                await limiter.acquire_on_behalf_of(who)
        except TimeoutError:
            raise OverBudgetError(budget, begun=False) from None
        task = loop.create_task(to_thread.run_sync(what, limiter=self._any))
        place = _Place(limiter, who)
        task.add_done_callback(lambda _: place.leave())
        await asyncio.wait({task}, timeout=max(0.0, end - loop.time()))
        if task.done():
            return task.result()
        _LOG.warning("%s took longer than %g seconds", name, budget.seconds)
        task.add_done_callback(lambda ended: self._end(ended, name))
        self._overdue.add(task)
        if len(self._overdue) <= OVERDUE:
            place.leave()
        raise OverBudgetError(budget, begun=True)

    def _end(self, task: "asyncio.Task[T]", name: str) -> None:
        """Note how something ended for which nobody waited."""
        self._overdue.discard(task)
        with suppress(asyncio.CancelledError):
            if (error := task.exception()) is not None:
                _LOG.error("%s, of which nobody saw the end: %s", name, error, exc_info=error)


class _Place:
    """A place that is left once."""

    def __init__(self, limiter: anyio.CapacityLimiter, who: object) -> None:
        self._limiter, self._who = limiter, who
        self._left = False

    def leave(self) -> None:
        if not self._left:
            self._left = True
            self._limiter.release_on_behalf_of(self._who)
