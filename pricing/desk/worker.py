"""The worker: a process of its own that runs long searches, so that pages stay quick, and that can be told to stop.

It takes a list of tasks, sends back progress and what comes of one after the other, and ends when the desk does. Told
to stop, it sends the best of the task that runs and leaves the rest undone.
"""

import os
import signal
import sys
from contextlib import suppress
from multiprocessing.connection import Connection
from types import FrameType
from typing import Any, Protocol

from nesting.base.faults import FaultsFound
from nesting.base.garbage import collect_seldom
from nesting.base.progress import Progress
from nesting.base.stop import Stop
from nesting.cutting.sheets import NestError
from nesting.cutting.sticks import StickError


class Work(Protocol):
    """What the worker can be given to do; its values travel between processes."""

    @property
    def name(self) -> str:
        """What it is about: the key of what comes of it."""

    def run(self, report: Progress, stop: Stop) -> object:
        """Do it and return what came of it; asked to stop, the best so far."""


class _Stopper:
    """Turns an interrupt into a stop: of the task that runs, and of all after it."""

    def __init__(self, link: Connection) -> None:
        self.stop = Stop()
        self._link = link

    def interrupt(self, _signal: int, _frame: FrameType | None) -> None:
        self.stop.asked = True
        if self.stop.searching:
            raise KeyboardInterrupt

    def look(self) -> None:
        """Take a message to stop where signals cannot be sent."""
        if self._link.poll() and self._link.recv() == "stop":
            self.stop.asked = True
        if self.stop.asked and self.stop.searching:
            raise KeyboardInterrupt


def main(link: Connection) -> None:
    """Serve searches until the other end is closed."""
    collect_seldom()
    import nesting.cutting.sheets.cover
    import nesting.cutting.sheets.relaxation
    import nesting.cutting.sheets.search  # noqa: F401 - heavy libraries load before a search can be interrupted

    if hasattr(os, "nice"):
        os.nice(5)  # whoever looks at a page comes first
    stopper = _Stopper(link)
    signal.signal(signal.SIGINT, stopper.interrupt)
    with suppress(EOFError, BrokenPipeError, ConnectionResetError):
        link.send(("ready",))  # before this a signal would end it
        while True:
            message: Any = link.recv()
            if message == "stop":
                continue
            stopper.stop.asked = False
            _serve(link, message, stopper)
    sys.stderr.flush()
    os._exit(0)  # libraries may hold threads of their own, which have nothing left to do


def _serve(link: Connection, tasks: tuple[Work, ...], stopper: _Stopper) -> None:
    """Do the tasks of one search one after the other."""
    stop = stopper.stop
    for number, task in enumerate(tasks):
        if stop.asked:
            break
        report = _reporter(link, stopper, number, len(tasks))
        link.send(("progress", number / len(tasks), "begin"))
        with suppress(NestError, StickError, FaultsFound, KeyboardInterrupt):
            link.send(("found", task.name, task.run(report, stop)))
    link.send(("done", stop.asked))


def _reporter(link: Connection, stopper: _Stopper, number: int, count: int) -> Progress:
    """Return what sends on how far one task of so many is, and looks for a message to stop."""
    stop = stopper.stop

    def report(stage: str, fraction: float, note: str = "", *_: object) -> None:
        searching, stop.searching = stop.searching, False  # an interrupt must not tear a message apart
        link.send(("progress", (number + fraction) / count, note or stage))
        stop.searching = searching
        stopper.look()

    return report
