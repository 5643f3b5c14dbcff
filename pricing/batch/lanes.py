"""Processes of this machine as one executor, of which each may die without harm to the others.

Python's :class:`~concurrent.futures.ProcessPoolExecutor` breaks as a whole when one of its processes is killed, and
does not say by which task. So each process here is a pool of its own, a *lane*, with a thread that feeds it: when it
dies, its task is known and tried once more in a fresh process, and the other lanes go on.
"""

import os
import pickle
import queue
import signal
import threading
from collections.abc import Callable
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from multiprocessing import active_children, get_context
from typing import Any, Final

from pricing.batch.troubles import WorkerKilledError

TRIES: Final = 2
"""How often a task is tried whose process is killed."""


@dataclass(frozen=True, slots=True)
class _Given:
    """One call that waits for a lane."""

    future: Future[Any]
    call: Callable[..., Any]
    words: tuple[Any, ...]
    named: dict[str, Any] = field(default_factory=dict)


class Lanes(Executor):
    """So many processes, each started afresh (spawned) when its first task comes.

    Parameters
    ----------
    count : int
        Processes.
    begin : callable
        What each does first, with `words`.
    words : tuple
        For `begin`.
    spent : callable, optional
        Asked of each answer: whether its process has grown too large and is to be replaced.
    """

    def __init__(
        self,
        count: int,
        begin: Callable[..., None],
        words: tuple[Any, ...] = (),
        spent: Callable[[Any], bool] = lambda _: False,
    ) -> None:
        self._begin = (begin, words)
        self._spent = spent
        self._waiting: queue.SimpleQueue[_Given | None] = queue.SimpleQueue()
        self._closed = False
        self._threads = [threading.Thread(target=self._lane, daemon=True) for _ in range(count)]
        for thread in self._threads:
            thread.start()

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Hand a call to the next lane that is free."""
        if self._closed:
            raise RuntimeError("these lanes are closed")
        future: Future[Any] = Future()
        self._waiting.put(_Given(future, fn, args, kwargs))
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Take no more; with `cancel_futures` end what runs, by force."""
        self._closed = True
        if cancel_futures:
            while True:
                try:
                    given = self._waiting.get_nowait()
                except queue.Empty:
                    break
                if given is not None:
                    given.future.cancel()
            for child in active_children():
                child.kill()
        for _ in self._threads:
            self._waiting.put(None)
        if wait:
            for thread in self._threads:
                thread.join()

    def _lane(self) -> None:
        """Work tasks one after the other."""
        pool: ProcessPoolExecutor | None = None
        while (given := self._waiting.get()) is not None:
            if given.future.set_running_or_notify_cancel():
                pool = self._worked(given, pool)
        if pool is not None:
            self._dropped(pool)

    def _worked(self, given: _Given, pool: ProcessPoolExecutor | None) -> ProcessPoolExecutor | None:
        """Work one task in a process that is replaced when it dies; return the process for the next task."""
        trouble: BaseException = WorkerKilledError()
        for _ in range(TRIES):
            pool = pool or self._fresh()
            try:
                answer = pool.submit(given.call, *given.words, **given.named).result()
            except BrokenProcessPool:
                pool = self._dropped(pool)
                if self._closed:
                    break
            except BaseException as error:  # noqa: BLE001 - handed on to whoever waits for it
                trouble = error
                break
            else:
                given.future.set_result(answer)
                return self._dropped(pool) if self._spent(answer) else pool
        given.future.set_exception(trouble)
        return pool

    def _fresh(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(1, get_context("spawn"), _begun, (*self._begin,))

    @staticmethod
    def _dropped(pool: ProcessPoolExecutor) -> None:
        """Let a process go; None, which stands for the next one."""
        pool.shutdown(wait=False)


def _begun(begin: Callable[..., None], words: tuple[Any, ...]) -> None:
    """Begin in a new process: leave Ctrl-C to the one that waits for it, and end when that one ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    begin(*words)


def _end_with_parent() -> None:
    """Wait for the process that started this one, which may be killed without a word, and end."""
    from multiprocessing import parent_process

    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


_setting: bytes = b""
_opened: Any = None


def take_setting(packed: bytes) -> None:
    """Keep what all tasks of this process share; it is opened when the first comes."""
    global _setting, _opened
    _setting, _opened = packed, None


def with_setting(call: Callable[..., Any], *words: Any) -> Any:
    """Call with what all tasks share before the rest."""
    global _opened  # noqa: PLW0603 - one process, one batch
    if _opened is None:
        _opened = pickle.loads(_setting)  # noqa: S301 - packed by the process that started this one
    return call(_opened, *words)
