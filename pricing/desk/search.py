"""Longer searches: one at a time for each job, the rest queue; each tells how far it is and can be stopped."""

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

from nesting.sheets import Layout
from nesting.sticks import StickPlan
from pricing.desk import worker
from pricing.desk.worker import Task

State = Literal["waiting", "running", "done", "stopped", "failed"]
Plans = Mapping[str, Layout | StickPlan]
PATIENCE: Final = 0.8
"""Seconds that a search waits after the change that asked for it, so that typing does not start one for each letter."""


@dataclass
class Search:
    """One search and how far it is.

    Attributes
    ----------
    job : int
        Whose.
    tasks : tuple of Task
        What is searched.
    finished : callable
        Takes the plans found and whether it was stopped, in the thread of the searches; says what came of it.
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
    tasks: tuple[Task, ...]
    finished: Callable[[Plans, bool], str]
    ready: float = 0.0
    state: State = "waiting"
    fraction: float = 0.0
    good: str = ""
    stage: str = ""
    gap: int | None = None
    news: str = ""
    plans: dict[str, Layout | StickPlan] = field(default_factory=dict)

    @property
    def over(self) -> bool:
        """Whether it has ended."""
        return self.state in ("done", "stopped", "failed")

    def facts(self) -> dict[str, Any]:
        """Return what a page shows of it."""
        return {
            "state": self.state, "fraction": round(self.fraction, 3), "good": self.good, "stage": self.stage,
            "gap": self.gap, "news": self.news,
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
        self._closed = False
        self._thread = Thread(target=self._serve, name="searches", daemon=True)
        self._thread.start()

    def of(self, job: int) -> Search | None:
        """Return the latest search of a job."""
        with self._changed:
            return self._latest.get(job)

    def waiting(self) -> int:
        """Return how many searches wait."""
        with self._changed:
            return len(self._queue)

    def begin(
        self, job: int, tasks: tuple[Task, ...], finished: Callable[[Plans, bool], str], *, patience: float = PATIENCE
    ) -> Search | None:
        """Ask for a search; an earlier one of the same job is stopped, or left out if it was still waiting."""
        search = Search(job, tasks, finished, time.monotonic() + patience)
        with self._changed:
            for old in [each for each in self._queue if each.job == job]:
                self._queue.remove(old)
                old.state = "stopped"
            if self._running is not None and self._running.job == job:
                self._interrupt()
            if not tasks:
                self._latest.pop(job, None)
                return None
            self._latest[job] = search
            self._queue.append(search)
            self._changed.notify_all()
        return search

    def stop(self, job: int) -> None:
        """Stop a job's search; the best found so far is kept."""
        with self._changed:
            for each in [each for each in self._queue if each.job == job]:
                self._queue.remove(each)
                each.state, each.news = "stopped", "Stopped before it began."
            if self._running is not None and self._running.job == job:
                self._interrupt()
            self._changed.notify_all()

    def _interrupt(self) -> None:
        """Tell the worker to stop."""
        if self._process is None or self._link is None or not self._process.is_alive():
            return
        with suppress(OSError):
            self._link.send("stop")
            if hasattr(os, "kill") and self._process.pid and os.name == "posix":
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
                    self._queue.remove(due[0])
                    due[0].state = "running"
                    self._running = due[0]
                    return due[0]
                self._changed.wait(min((each.ready - now for each in self._queue), default=None))
            return None

    def _serve(self) -> None:
        """Run one search after the other."""
        while (search := self._next()) is not None:
            try:
                stopped = self._run(search)
                search.news = search.finished(search.plans, stopped)
                search.state = "stopped" if stopped else "done"
            except (EOFError, OSError):
                self._process = None
                search.news, search.state = "The search ended early; the quick answer stands.", "failed"
            except Exception as error:  # noqa: BLE001 - one bad search must not end the thread that serves all
                search.news, search.state = f"The search failed: {error}", "failed"
            finally:
                with self._changed:
                    self._running = None
                    self._changed.notify_all()

    def _run(self, search: Search) -> bool:
        """Have the worker run a search; return whether it was stopped."""
        link = self._worker()
        link.send(search.tasks)
        while not self._closed:
            if not link.poll(0.2):
                continue
            kind, *told = link.recv()
            if kind == "progress":
                search.fraction, search.good, search.stage, cost, bound = told
                search.gap = None if cost is None else cost - bound
            elif kind == "plan":
                search.plans[told[0]] = told[1]
            else:
                search.fraction = 1.0
                return bool(told[0])
        return True

    def _worker(self) -> Connection:
        """Return the pipe to a living worker."""
        if self._process is None or self._link is None or not self._process.is_alive():
            context = multiprocessing.get_context("spawn")
            self._link, other = context.Pipe()
            self._process = context.Process(target=worker.main, args=(other,), daemon=True, name="casewright search")
            self._process.start()
            other.close()
        return self._link
