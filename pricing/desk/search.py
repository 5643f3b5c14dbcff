"""Longer searches: one at a time, the rest queue; each tells how far it is and can be stopped.

A job may wait for several at once if they are of different kinds (better cuts, ways to pack compared); a newer one of
a kind takes the place of the one before it. Better cuts come first, since every page shows what they bring.
"""

import multiprocessing
import os
import signal
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Condition, Thread
from typing import Any, Final, Literal

from pricing.desk import worker
from pricing.desk.worker import Work
from pricing.money import cents_text

State = Literal["waiting", "running", "done", "stopped", "failed"]
Kind = Literal["cuts", "ways", "scenarios"]
Found = Mapping[str, Any]
"""What came of each task, by its name."""
_WORDS: Final[Mapping[Kind, tuple[str, str, str]]] = {
    "cuts": (
        "A better answer will be looked for",
        "Looking for better cuts",
        "The search ended early; the quick answer stands.",
    ),
    "ways": (
        "The ways to pack will be compared",
        "Comparing ways to pack",
        "The comparison ended early; start it again.",
    ),
    "scenarios": (
        "The scenarios will be quoted",
        "Quoting scenarios",
        "Quoting ended early; start it again.",
    ),
}
"""What is said of a search that waits, that runs, and that broke off."""
PATIENCE: Final = 0.8
"""Seconds that a search waits after the change that asked for it, so that typing does not start one for each letter."""


@dataclass
class Search:
    """One search and how far it is.

    Attributes
    ----------
    job : int
        Whose.
    tasks : tuple of Work
        What is searched.
    finished : callable
        Takes what was found and whether it was stopped, in the thread of the searches; says what came of it.
    kind : {"cuts", "ways", "scenarios"}
        What is searched for.
    dropped : bool
        Whether nobody asks for it any more.
    sent, halted : bool
        Whether the worker has its tasks, and whether it is to stop.
    state : str
        waiting, running, done, stopped or failed.
    fraction : float
        How much is done, 0 to 1.
    good, stage : str
        What is searched now.
    gap : int or None
        How much dearer than the proven bound the best plan of that good is, in hundredths.
    news : str
        What came of it, for people.
    """

    job: int
    tasks: tuple[Work, ...]
    finished: Callable[[Found, bool], str]
    ready: float = 0.0
    kind: Kind = "cuts"
    dropped: bool = False
    sent: bool = False
    halted: bool = False
    state: State = "waiting"
    fraction: float = 0.0
    good: str = ""
    stage: str = ""
    gap: int | None = None
    news: str = ""
    found: dict[str, Any] = field(default_factory=dict)

    @property
    def over(self) -> bool:
        """Whether it has ended."""
        return self.state in ("done", "stopped", "failed")

    @property
    def text(self) -> str:
        """What goes on, for people."""
        before, doing, _ = _WORDS[self.kind]
        if self.state == "waiting":
            return before
        if self.kind == "cuts":
            gap = f", at most {cents_text(self.gap)} above the cheapest cuts" if self.gap else ""
            return f"{doing}: {self.good}{gap}" if self.good else doing
        return f"{doing}: {self.stage}" if self.stage not in ("", "begin") else doing

    def facts(self) -> dict[str, Any]:
        """Return what a page shows of it."""
        return {
            "kind": self.kind, "state": self.state, "fraction": round(self.fraction, 3), "text": self.text,
            "news": self.news,
        }  # fmt: skip


class Searches:
    """The queue of searches, and the worker process that runs them one after the other."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._queue: list[Search] = []
        self._latest: dict[int, Search] = {}
        self._running: Search | None = None
        self._process: BaseProcess | None = None
        self._link: Connection | None = None
        self._ready = False
        self._closed = False
        self._thread = Thread(target=self._serve, name="searches", daemon=True)
        self._thread.start()

    def of(self, job: int) -> Search | None:
        """Return the search of a job that runs, or else waits, or else ended last."""
        with self._changed:
            return self._of(job)

    def _of(self, job: int) -> Search | None:
        if self._running is not None and self._running.job == job and not self._running.dropped:
            return self._running
        return next((each for each in self._queue if each.job == job), self._latest.get(job))

    def pending(self, job: int, kind: Kind) -> Search | None:
        """Return a job's search of a kind while it waits or runs."""
        with self._changed:
            going = [*([self._running] if self._running else []), *self._queue]
            return next((each for each in going if each.job == job and each.kind == kind and not each.dropped), None)

    def waiting(self) -> int:
        """Return how many searches wait."""
        with self._changed:
            return len(self._queue)

    def begin(
        self,
        job: int,
        tasks: tuple[Work, ...],
        finished: Callable[[Found, bool], str],
        *,
        patience: float = PATIENCE,
        kind: Kind = "cuts",
    ) -> Search | None:
        """Ask for a search; an earlier one of the same job and kind is stopped, or left out if it was still waiting."""
        search = Search(job, tasks, finished, time.monotonic() + patience, kind)
        with self._changed:
            self._drop(job, kind)
            if not tasks:
                self._latest.pop(job, None)
                return None
            for other in self._queue:  # whoever asks for another kind has done with typing
                if other.job == job:
                    other.ready = min(other.ready, search.ready)
            self._queue.append(search)
            self._changed.notify_all()
        return search

    def drop(self, job: int, kind: Kind) -> None:
        """End a job's search of a kind, since what it was asked about is no more."""
        with self._changed:
            self._drop(job, kind)
            self._changed.notify_all()

    def _drop(self, job: int, kind: Kind) -> None:
        for old in [each for each in self._queue if each.job == job and each.kind == kind]:
            self._queue.remove(old)
            old.state, old.dropped = "stopped", True
        if self._running is not None and (self._running.job, self._running.kind) == (job, kind):
            self._running.dropped = True
            self._interrupt()

    def stop(self, job: int) -> None:
        """Stop the search of a job that runs, or else the first that waits; the best found so far is kept."""
        with self._changed:
            search = self._of(job)
            if search is not None and search is self._running:
                self._interrupt()
            elif search in self._queue:
                self._queue.remove(search)
                search.state, search.news = "stopped", "Stopped before it began."
                self._latest[job] = search
            self._changed.notify_all()

    def _interrupt(self) -> None:
        """Tell the worker to stop, or note it while its tasks are on their way: two must not write at once."""
        if self._running is not None:
            self._running.halted = True
            if not self._running.sent:
                return
        if self._process is None or self._link is None or not self._process.is_alive():
            return
        with suppress(OSError):
            self._link.send("stop")
            if self._ready and hasattr(os, "kill") and self._process.pid and os.name == "posix":
                os.kill(self._process.pid, signal.SIGINT)

    def close(self) -> None:
        """End the worker."""
        with self._changed:
            self._closed = True
            self._queue.clear()
            self._interrupt()
            self._changed.notify_all()
        self._thread.join(timeout=5)
        if self._link is not None:
            self._link.close()
        if self._process is not None:
            self._process.join(timeout=2)
            if self._process.is_alive():
                self._process.terminate()
                self._process.join(timeout=2)

    def _next(self) -> Search | None:
        """Wait for a search whose time has come; None when closed."""
        with self._changed:
            while not self._closed:
                now = time.monotonic()
                due = [each for each in self._queue if each.ready <= now]
                if due:
                    first = min(due, key=lambda each: each.kind != "cuts")  # of equals the one that asked first
                    self._queue.remove(first)
                    first.state = "running"
                    self._running = first
                    return first
                self._changed.wait(min((each.ready - now for each in self._queue), default=None))
            return None

    def _serve(self) -> None:
        """Run one search after the other."""
        while (search := self._next()) is not None:
            state: State = "failed"
            try:
                stopped = self._run(search)
                news = search.finished(search.found, stopped)
                state = "stopped" if stopped else "done"
            except (EOFError, OSError):
                self._process = None
                news = _WORDS[search.kind][2]
            except Exception as error:  # noqa: BLE001 - one bad search must not end the thread that serves all
                news = f"The search failed: {error}"
            with self._changed:  # whoever looks sees it run, or sees it over and the next one before it
                search.news, search.state = news, state
                self._running = None
                if not search.dropped:
                    self._latest[search.job] = search
                self._changed.notify_all()

    def _run(self, search: Search) -> bool:
        """Have the worker run a search; return whether it was stopped."""
        link = self._worker()
        link.send(search.tasks)
        with self._changed:
            search.sent = True
            if search.halted:
                self._interrupt()
        while not self._closed:
            if not link.poll(0.2):
                continue
            kind, *told = link.recv()
            if kind == "progress":
                search.fraction, search.good, search.stage, cost, bound = told
                search.gap = None if cost is None else cost - bound
            elif kind == "ready":
                self._ready = True
            elif kind == "found":
                search.found[told[0]] = told[1]
            else:
                search.fraction = 1.0
                return bool(told[0])
        return True

    def _worker(self) -> Connection:
        """Return the pipe to a living worker."""
        if self._process is None or self._link is None or not self._process.is_alive():
            self._ready = False
            context = multiprocessing.get_context("spawn")
            self._link, other = context.Pipe()
            self._process = context.Process(target=worker.main, args=(other,), daemon=True, name="casewright search")
            self._process.start()
            other.close()
        return self._link
