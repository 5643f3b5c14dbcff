"""What works a batch: an executor, how wide it is, and how its own troubles are told."""

import pickle
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from pricing.ahead.parallel import processors
from pricing.batch.edition import edition
from pricing.batch.lanes import Lanes, take_setting, with_setting
from pricing.batch.memory import whole_mb
from pricing.batch.troubles import WorkerKilledError
from pricing.batch.working import Outcome, Setting, Task, work_task

MOST_MB: Final = 600
"""Megabytes that a worker may hold."""
RECYCLED_MB: Final = 480
"""Megabytes over which a worker is replaced by a fresh one after an order, so that the next finds room."""


@dataclass(frozen=True, slots=True)
class Engine:
    """What works tasks.

    Attributes
    ----------
    executor : Executor
        Any of :mod:`concurrent.futures`.
    call : callable
        What the executor is asked to do, with `words` and the task.
    words : tuple
        Before the task.
    width : callable
        How many tasks are worked at a time just now.
    killed : tuple of type
        Exceptions of a task whose process was killed, and whose next one too.
    look : callable
        Looks whether the engine still works; raises :class:`~pricing.batch.troubles.BatchError` where not. It is
        handed the exception of a task that says so, or None now and then.
    """

    executor: Executor
    call: Callable[..., Any]
    words: tuple[Any, ...]
    width: Callable[[], int]
    killed: tuple[type[BaseException], ...] = (WorkerKilledError,)
    look: Callable[[BaseException | None], None] = lambda _: None

    def submit(self, task: Task) -> Future[Outcome]:
        """Hand a task in."""
        return self.executor.submit(self.call, *self.words, task, edition())


def usual_workers() -> int:
    """Return how many processes this machine takes: one a processor, where memory lets them."""
    memory = whole_mb()
    return max(1, min(processors(), memory // MOST_MB if memory else processors()))


@contextmanager
def processes(setting: Setting, workers: int) -> Iterator[Engine]:
    """Work in processes of this machine; whatever ends it, they end."""
    lanes = Lanes(workers, take_setting, (pickle.dumps(setting),), lambda done: done.took.left > RECYCLED_MB)
    try:
        yield Engine(lanes, with_setting, (work_task,), lambda: workers)
    except BaseException:
        lanes.shutdown(wait=False, cancel_futures=True)
        raise
    lanes.shutdown()
