"""Longer searches: one at a time in each of two lanes, the rest queue; each tells how far it is and can be stopped.

A job may wait for several at once if they are of different kinds (its figure settles, ways to pack are compared); a
newer one of a kind takes the place of the one before it. Figures settle in a lane of their own, since whoever wants to
send a quote waits for them; whatever takes longer goes in the other. There what nobody asked for, a cheaper way, gives
way to what somebody did, and begins again when that is done.
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

from nesting.base.progress import silent
from nesting.base.stop import Stop
from pricing.desk import ration
from pricing.desk.worker import Work

State = Literal["waiting", "running", "done", "stopped", "failed"]
Kind = Literal["figure", "tried", "settling", "trial", "cuts", "cheaper", "ways", "scenarios"]
Found = Mapping[str, Any]
"""What came of each task, by its name."""
_UNFIGURED: Final = "The process that worked it out ended early; change something, or open the desk again."
_WORDS: Final[Mapping[Kind, tuple[str, str, str]]] = {
    "figure": ("The figure is about to be worked out", "Working the figure out", _UNFIGURED),
    "tried": ("The other way is about to be worked out", "Working the other way out", _UNFIGURED),
    "settling": (
        "The figure is about to settle",
        "The figure is settling",
        "It could not settle; the first figure stands.",
    ),
    "trial": (
        "The trial is about to be worked through",
        "Working the trial through",
        "The trial ended early; its first figure stands.",
    ),
    "cuts": (
        "A better answer will be looked for",
        "Looking for a better answer",
        "The search ended early; what was found before stands.",
    ),
    "cheaper": (
        "A cheaper way will be looked for",
        "Looking for a cheaper way",
        "Looking for a cheaper way ended early.",
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
PATIENCE: Final = 0.5
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
    kind : {"figure", "tried", "settling", "trial", "cuts", "cheaper", "ways", "scenarios"}
        What is searched for.
    large : bool
        Whether it is of a large order.
    here : bool
        Whether it is so short that it runs in the desk's own process, behind the pages.
    dropped : bool
        Whether nobody asks for it any more.
    sent, halted : bool
        Whether the worker has its tasks, and whether it is to stop.
    gives_way : bool
        Whether it is to stop for another one, and to begin again after that.
    state : str
        waiting, running, done, stopped or failed.
    fraction : float
        How much is done, 0 to 1.
    stage : str
        What is searched now.
    news : str
        What came of it, for people.
    """

    job: int
    tasks: tuple[Work, ...]
    finished: Callable[[Found, bool], str]
    ready: float = 0.0
    kind: Kind = "settling"
    large: bool = False
    here: bool = False
    dropped: bool = False
    sent: bool = False
    halted: bool = False
    gives_way: bool = False
    state: State = "waiting"
    fraction: float = 0.0
    stage: str = ""
    news: str = ""
    found: dict[str, Any] = field(default_factory=dict)

    @property
    def over(self) -> bool:
        """Whether it has ended."""
        return self.state in ("done", "stopped", "failed")

    @property
    def unasked(self) -> bool:
        """Whether it goes on by itself, and nobody waits for it."""
        return self.kind == "cheaper"

    @property
    def lane(self) -> str:
        """In which lane it runs."""
        if self.here:
            return _HERE
        if self.kind in ("figure", "tried"):
            return "figures"
        if self.large:
            return "large"
        return "settling" if self.kind in ("settling", "trial") else "search"

    def wait_again(self) -> None:
        """Make it one that waits, with nothing done."""
        self.state, self.fraction, self.stage, self.found = "waiting", 0.0, "", {}
        self.sent = self.halted = self.gives_way = False

    @property
    def text(self) -> str:
        """What goes on, for people."""
        before, doing, _ = _WORDS[self.kind]
        if self.state == "waiting":
            return before
        return f"{doing}: {self.stage}" if self.stage not in ("", "begin") else doing

    def facts(self) -> dict[str, Any]:
        """Return what a page shows of it."""
        return {
            "kind": self.kind, "state": self.state, "fraction": round(self.fraction, 3), "text": self.text,
            "news": self.news,
        }  # fmt: skip


_TRIES: Final = 20
_AGAIN: Final = 0.01
_HERE: Final = "here"
_LANES: Final = ("settling", "search", "figures", "large", _HERE)
_SHOWN: Final[Mapping[Kind, int]] = {"figure": 0, "settling": 1}
"""What is shown of a job first, where several things go on."""


class _Lane:
    """Searches that follow one another, and the process that runs them."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.running: Search | None = None
        self.process: BaseProcess | None = None
        self.link: Connection | None = None
        self.ready = False

    def takes(self, search: Search) -> bool:
        """Whether a search goes in this lane."""
        return search.lane == self.name

    def worker(self) -> Connection:
        """Return the pipe to a living worker."""
        if self.process is None or self.link is None or not self.process.is_alive():
            self.ready = False
            context = multiprocessing.get_context("spawn")
            self.link, other = context.Pipe()
            name = f"casewright {self.name}"
            self.process = context.Process(target=ration.main, args=(other,), daemon=True, name=name)
            self.process.start()
            other.close()
        return self.link

    def interrupt(self) -> None:
        """Tell the worker to stop, or note it while its tasks are on their way: two must not write at once."""
        if self.running is not None:
            self.running.halted = True
            if not self.running.sent:
                return
        if self.process is None or self.link is None or not self.process.is_alive():
            return
        with suppress(OSError):
            self.link.send("stop")
            if self.ready and hasattr(os, "kill") and self.process.pid and os.name == "posix":
                os.kill(self.process.pid, signal.SIGINT)

    def lost(self) -> int | None:
        """Give up a worker that ended by itself; return its status."""
        process, self.process = self.process, None
        if process is None:
            return None
        process.join(timeout=2)
        return process.exitcode

    def end(self) -> None:
        """End the worker."""
        if self.link is not None:
            self.link.close()
        if self.process is not None:
            self.process.join(timeout=2)
            if self.process.is_alive():
                self.process.terminate()
                self.process.join(timeout=2)


class Searches:
    """The queue of searches, and the worker processes that run them one after the other."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._queue: list[Search] = []
        self._latest: dict[int, Search] = {}
        self._lanes = tuple(map(_Lane, _LANES))
        self._closed = False
        self._threads = [
            Thread(target=self._serve, args=(lane,), name=f"casewright {lane.name}", daemon=True)
            for lane in self._lanes
        ]
        for thread in self._threads:
            thread.start()

    def of(self, job: int) -> Search | None:
        """Return the search of a job that runs, or else waits, or else ended last; a figure that settles first."""
        with self._changed:
            return self._of(job)

    def _of(self, job: int) -> Search | None:
        running = (lane.running for lane in self._lanes)
        found = [each for each in (*running, *self._queue) if each and each.job == job and not each.dropped]
        return min(found, key=lambda each: _SHOWN.get(each.kind, len(_SHOWN)), default=self._latest.get(job))

    def pending(self, job: int, kind: Kind) -> Search | None:
        """Return a job's search of a kind while it waits or runs."""
        with self._changed:
            going = (*(lane.running for lane in self._lanes), *self._queue)
            return next((e for e in going if e and e.job == job and e.kind == kind and not e.dropped), None)

    def waiting(self) -> int:
        """Return how many searches wait."""
        with self._changed:
            return len(self._queue)

    # arguments: whose, what, who takes what comes of it, and how it waits in which lane
    def begin(
        self,
        job: int,
        tasks: tuple[Work, ...],
        finished: Callable[[Found, bool], str],
        *,
        patience: float = PATIENCE,
        kind: Kind = "settling",
        large: bool = False,
        here: bool = False,
    ) -> Search | None:
        """Ask for a search; an earlier one of the same job and kind is stopped, or left out if it was still waiting."""
        search = Search(job, tasks, finished, time.monotonic() + patience, kind, large, here)
        with self._changed:
            self._drop(job, kind)
            if not tasks:
                self._latest.pop(job, None)
                return None
            for other in self._queue:  # whoever asks for another kind has done with typing
                if other.job == job and kind not in ("figure", "tried"):  # those nobody asks for by hand
                    other.ready = min(other.ready, search.ready)
            self._queue.append(search)
            for lane in self._lanes:
                running = lane.running
                if running is not None and running.unasked and not search.unasked and lane.takes(search):
                    running.gives_way = True
                    lane.interrupt()
            self._changed.notify_all()
        return search

    @property
    def is_busy_here(self) -> bool:
        """Whether something is worked out in this very process."""
        with self._changed:
            going = (*(lane.running for lane in self._lanes), *self._queue)
            return any(each is not None and each.here for each in going)

    def warm(self, task: Work) -> None:
        """Have figures' worker start and do a task of which nobody is told, so that the first figure settles sooner."""
        with self._changed:
            self._queue.append(Search(0, (task,), lambda *_: "", kind="settling", dropped=True))
            self._changed.notify_all()

    def drop(self, job: int, kind: Kind) -> None:
        """End a job's search of a kind, since what it was asked about is no more."""
        with self._changed:
            self._drop(job, kind)
            self._changed.notify_all()

    def _drop(self, job: int, kind: Kind) -> None:
        for old in [each for each in self._queue if each.job == job and each.kind == kind]:
            self._queue.remove(old)
            old.state, old.dropped = "stopped", True
        for lane in self._lanes:
            if lane.running is not None and (lane.running.job, lane.running.kind) == (job, kind):
                lane.running.dropped = True
                lane.interrupt()

    def stop(self, job: int) -> None:
        """Stop the search of a job that runs, or else the first that waits; the best found so far is kept.

        Of a first figure there is nothing yet that could be kept: it is worked out to its end.
        """
        with self._changed:
            search = self._of(job)
            if search is not None and search.kind in ("figure", "tried"):
                return
            if search in self._queue:
                self._queue.remove(search)
                search.state, search.news = "stopped", "Stopped before it began."
                self._latest[job] = search
            for lane in self._lanes:
                if search is not None and search is lane.running:
                    search.gives_way = False
                    lane.interrupt()
            self._changed.notify_all()

    def close(self) -> None:
        """End the workers."""
        with self._changed:
            self._closed = True
            self._queue.clear()
            for lane in self._lanes:
                lane.interrupt()
            self._changed.notify_all()
        for thread in self._threads:
            thread.join(timeout=5)
        for lane in self._lanes:
            lane.end()

    def _next(self, lane: _Lane) -> Search | None:
        """Wait for a search of a lane whose time has come; None when closed."""
        with self._changed:
            while not self._closed:
                now = time.monotonic()
                mine = [each for each in self._queue if lane.takes(each)]
                # What nobody asked for is not begun while somebody is about to ask: it would only be broken off.
                mine = [each for each in mine if not each.unasked] or mine
                due = [each for each in mine if each.ready <= now]
                if due:
                    first = min(due, key=lambda each: each.kind != "cuts")  # of equals the one that asked first
                    self._queue.remove(first)
                    first.state = "running"
                    lane.running = first
                    return first
                self._changed.wait(min((each.ready - now for each in mine), default=None))
            return None

    def _serve(self, lane: _Lane) -> None:
        """Run one search of a lane after the other."""
        while (search := self._next(lane)) is not None:
            state: State = "failed"
            try:
                stopped = self._run(lane, search)
                if stopped and self._again(lane, search):
                    continue
                # What was broken off because nobody asks for it any more is nobody's wish for the best so far.
                news = "" if search.dropped and stopped else search.finished(search.found, stopped)
                state = "stopped" if stopped else "done"
            except (EOFError, OSError):
                news = _WORDS[search.kind][2] + ration.told(lane.lost())
            except Exception as error:  # noqa: BLE001 - one bad search must not end the thread that serves all
                news = f"The search failed: {error}"
            with self._changed:  # whoever looks sees it run, or sees it over and the next one before it
                search.news, search.state = news, state
                lane.running = None
                if not search.dropped and not search.unasked:  # what goes on by itself takes no news away
                    self._latest[search.job] = search
                self._changed.notify_all()

    def _again(self, lane: _Lane, search: Search) -> bool:
        """Put back what stopped for another one; say whether it did."""
        with self._changed:
            if not search.gives_way or search.dropped:
                return False
            search.wait_again()
            self._queue.append(search)
            lane.running = None
            return True

    def _run(self, lane: _Lane, search: Search) -> bool:
        """Have the worker run a search; return whether it was stopped."""
        if search.here:
            search.found |= {task.name: task.run(silent, Stop()) for task in search.tasks}
            search.fraction = 1.0
            return False
        link = lane.worker()
        _send(link, search.tasks)
        with self._changed:
            search.sent = True
            if search.halted:
                lane.interrupt()
        while not self._closed:
            if not link.poll(0.2):
                continue
            kind, *told = link.recv()
            if kind == "progress":
                search.fraction, search.stage = told
            elif kind == "ready":
                lane.ready = True
            elif kind == "found":
                search.found[told[0]] = told[1]
            else:
                search.fraction = 1.0
                return bool(told[0])
        return True


def _send(link: Connection, tasks: tuple[Work, ...]) -> None:
    """Send tasks to a worker.

    What an order has worked out of itself it keeps in itself, in whichever thread asks first; where that is while it is
    written for the worker, the writing breaks off before a byte is sent, and is begun again.
    """
    for _ in range(_TRIES):
        with suppress(RuntimeError):
            link.send(tasks)
            return
        time.sleep(_AGAIN)
    link.send(tasks)
