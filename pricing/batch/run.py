"""A batch from its listing to its rows: few tasks under way at a time, each answer kept as it comes."""

import time
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, wait
from dataclasses import dataclass, field
from typing import Final

from nesting.base.counts import counted
from pricing.batch.engine import Engine
from pricing.batch.keeping import Kept
from pricing.batch.listing import Listing
from pricing.batch.row import Row
from pricing.batch.troubles import BatchError
from pricing.batch.working import Outcome, Setting, Task, Took, failed

AHEAD: Final = 2
"""Tasks under way for each worker: one that it works, one that waits."""
_LOOK: Final = 2.0
"""Seconds after which the engine is looked at, where no answer comes."""
_KILLED: Final = (
    "the process that worked it was ended by the system, and so was the one that tried it again; "
    "often it had no memory left"
)

Told = Callable[[str, float], None]
"""Takes a sentence of how far it is, and the part done (0 to 1)."""


@dataclass(slots=True)
class Run:
    """What a batch has come to so far.

    Attributes
    ----------
    count : int
        Orders listed.
    rows : dict of int to tuple
        By place in the listing: row, and what it took; None where nothing was worked.
    found : int
        How many were kept before.
    """

    count: int
    rows: dict[int, tuple[Row, Took | None]] = field(default_factory=dict)
    found: int = 0

    @property
    def table(self) -> list[Row]:
        """Rows in the order of the listing."""
        return [self.rows[place][0] for place in sorted(self.rows)]

    def counted(self, outcome: str) -> int:
        """Return how many orders came out so."""
        return sum(row.outcome == outcome for row, _ in self.rows.values())


@dataclass(frozen=True, slots=True)
class _Waiting:
    """A task under way."""

    place: int
    task: Task
    digest: str


def run_batch(  # 6 arguments
    run: Run,
    listing: Listing,
    setting: Setting,
    engine: Engine,
    kept: Kept,
    *,
    prepared: Callable[[Task], Task],
    again: bool = False,
    told: Told = lambda _text, _part: None,
) -> None:  # arguments: what a batch is made of is six values, each with its own maker
    """Work all orders of a listing.

    Parameters
    ----------
    run : Run
        Is filled, so that whoever ends this early knows how far it came.
    listing, setting, engine, kept
        Which orders, how, by whom, and where what comes of them is kept.
    prepared : callable
        Gives a task what is read for it only now, such as pictures.
    again : bool
        Whether to work orders again that are kept.
    told : callable
        Is told how far it is.

    Raises
    ------
    BatchError
        When the engine cannot go on; what is kept stays.
    OSError
        When something cannot be kept; see :meth:`Kept.put`.
    """
    whole = setting.digest
    waiting: dict[Future[Outcome], _Waiting] = {}
    clock = _Clock(run, told)
    tasks = enumerate(listing.tasks())
    more = True
    while more or waiting:
        while more and len(waiting) < AHEAD * engine.width():
            more = _hand_in(next(tasks, None), run, waiting, engine, kept, whole, prepared, again=again)
            clock.tell()
        done, _ = wait(waiting, _LOOK, FIRST_COMPLETED)
        if not done:
            engine.look(None)
        for future in sorted(done, key=lambda each: waiting[each].place):
            each = waiting.pop(future)
            run.rows[each.place] = _settled(future, each, engine, kept)
            clock.worked()


def _hand_in(  # arguments: the values of a batch once more, for one task
    given: tuple[int, Task] | None,
    run: Run,
    waiting: dict[Future[Outcome], _Waiting],
    engine: Engine,
    kept: Kept,
    whole: str,
    prepared: Callable[[Task], Task],
    *,
    again: bool,
) -> bool:
    """Hand the next task in, or find it kept; False where there is none."""
    if given is None:
        return False
    place, task = given
    task = prepared(task)
    digest = task.digest(whole)
    found = None if again else kept.look(task.name, digest)
    if found is not None:
        run.rows[place] = found
        run.found += 1
    else:
        waiting[engine.submit(task)] = _Waiting(place, task, digest)
    return True


def _settled(future: Future[Outcome], each: _Waiting, engine: Engine, kept: Kept) -> tuple[Row, Took | None]:
    """Return the row of a task that is done, and keep it; what failed is kept by nobody, and tried the next time."""
    try:
        outcome = future.result()
    except BatchError:
        raise
    except engine.killed:
        return failed(each.task, _KILLED), None
    except (CancelledError, Exception) as error:  # noqa: BLE001 - whatever an engine says of one task is told in its row
        engine.look(error)
        return failed(each.task, f"{type(error).__name__}: {error}"), None
    if outcome.row.outcome == "failed":
        return outcome.row, outcome.took
    return kept.put(each.task.name, each.digest, outcome), outcome.took


class _Clock:
    """Tells how far a batch is, at a steady pace, and about how long what is left will take."""

    def __init__(self, run: Run, told: Told) -> None:
        self._run, self._told = run, told
        self._began, self._last, self._worked = time.monotonic(), 0.0, 0

    def worked(self) -> None:
        """Count an order."""
        self._worked += 1
        self.tell()

    def tell(self) -> None:
        """Tell, if it is time."""
        now = time.monotonic()
        if now - self._last < 0.5:
            return
        self._last = now
        run = self._run
        done = len(run.rows)
        troubles = "".join(self._troubles())
        pace = (now - self._began) / self._worked if self._worked else 0.0
        left = f"; {lasting(pace * (run.count - done))} left" if self._worked else ""
        self._told(f"{done:,} of {run.count:,} {counted(run.count, 'order')}{troubles}{left}", done / max(1, run.count))

    def _troubles(self) -> Iterator[str]:
        for word in ("held", "faulty", "failed"):
            if count := self._run.counted(word):
                yield f", {count:,} {word}"


def lasting(seconds: float) -> str:
    """Say how long something takes, as people do."""
    if seconds < 90:
        return f"about {max(1, round(seconds))} s"
    if seconds < 5400:
        return f"about {round(seconds / 60)} min"
    return f"about {seconds / 3600:.1f} h"
