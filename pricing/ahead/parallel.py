"""Work spread over processes: the same answers as one process gives, in the same order, sooner."""

import os
import signal
from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")
R = TypeVar("R")


def processors() -> int:
    """Return how many processes this machine can run at a time for us."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def run_all(work: Callable[[T], R], tasks: Sequence[T], workers: int) -> list[R]:
    """Do tasks in several processes.

    Processes are started afresh (spawned) everywhere, so that nothing of this one's state is theirs. They leave Ctrl-C
    to this one: a search that it cut short would give another answer.

    Parameters
    ----------
    work : callable
        A function of a module, which depends on nothing but its task.
    tasks : sequence
        Values that can be pickled.
    workers : int
        Processes; with 1 all is done here.

    Returns
    -------
    list
        The answers in the order of the tasks.
    """
    workers = min(workers, len(tasks))
    if workers <= 1:
        return [work(task) for task in tasks]
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with ProcessPoolExecutor(workers, get_context("spawn"), _deaf) as pool:
        try:
            return list(pool.map(work, tasks))
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _deaf() -> None:
    """Leave Ctrl-C to the process that waits for this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
