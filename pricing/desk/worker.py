"""The worker: a process of its own that runs long searches, so that pages stay quick, and that can be told to stop.

It takes a list of tasks, sends back progress and one plan after the other, and ends when the desk does. Told to stop,
it sends the best plan of the search that runs and leaves the rest undone.
"""

import os
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from types import FrameType
from typing import Any, Literal

from nesting.parts import Part, StickPart
from nesting.sheets import Layout, NestError, Sheet, nest
from nesting.sticks import Stick, StickError, StickPlan, cut_sticks


@dataclass(frozen=True)
class Task:
    """One good to be laid out.

    Attributes
    ----------
    kind : {"sheet", "stick"}
        Which optimiser.
    good : str
        The good.
    parts, stock, kerf, seed, effort
        As :func:`nesting.sheets.nest` and :func:`nesting.sticks.cut_sticks` take them.
    offcut_min : tuple of (int, int)
        Sheets only.
    """

    kind: Literal["sheet", "stick"]
    good: str
    parts: tuple[Part, ...] | tuple[StickPart, ...]
    stock: tuple[Sheet, ...] | tuple[Stick, ...]
    kerf: int
    seed: int
    effort: Literal["quick", "normal", "thorough"]
    offcut_min: tuple[int, int] | None = None


class _Stopper:
    """Turns an interrupt into a stop: of the search that runs, and of all after it."""

    def __init__(self, link: Connection) -> None:
        self.stopped = False
        self.searching = False
        self._link = link

    def interrupt(self, _signal: int, _frame: FrameType | None) -> None:
        self.stopped = True
        if self.searching:
            raise KeyboardInterrupt

    def look(self) -> None:
        """Take a message to stop where signals cannot be sent."""
        if self._link.poll() and self._link.recv() == "stop":
            self.stopped = True
        if self.stopped and self.searching:
            raise KeyboardInterrupt


def main(link: Connection) -> None:
    """Serve searches until the other end is closed."""
    import nesting.sheets.cover
    import nesting.sheets.relaxation
    import nesting.sheets.search  # noqa: F401 - heavy libraries load before a search can be interrupted

    if hasattr(os, "nice"):
        os.nice(5)  # whoever looks at a page comes first
    stopper = _Stopper(link)
    signal.signal(signal.SIGINT, stopper.interrupt)
    with suppress(EOFError, BrokenPipeError, ConnectionResetError):
        while True:
            message: Any = link.recv()
            if message == "stop":
                continue
            stopper.stopped = False
            _serve(link, message, stopper)
    sys.stderr.flush()
    os._exit(0)  # libraries may hold threads of their own, which have nothing left to do


def _serve(link: Connection, tasks: tuple[Task, ...], stopper: _Stopper) -> None:
    """Run the tasks of one search one after the other."""
    for number, task in enumerate(tasks):
        if stopper.stopped:
            break

        def report(
            stage: str, fraction: float, cost: int | None, bound: int, at: int = number, now: Task = task
        ) -> None:
            stopper.searching = False  # an interrupt must not tear a message apart
            link.send(("progress", (at + fraction) / len(tasks), now.good, stage, cost, bound))
            stopper.searching = True
            stopper.look()

        link.send(("progress", number / len(tasks), task.good, "begin", None, 0))
        with suppress(NestError, StickError, KeyboardInterrupt):
            stopper.searching = True
            plan = _run(task, report)
            stopper.searching = False
            link.send(("plan", task.good, plan))
        stopper.searching = False
    link.send(("done", stopper.stopped))


def _run(task: Task, report: Callable[..., None]) -> Layout | StickPlan:
    """Run one search."""
    arguments: Any = {"kerf": task.kerf, "seed": task.seed, "effort": task.effort}
    if task.kind == "stick":
        return cut_sticks(task.parts, task.stock, **arguments)  # type: ignore[arg-type]  # the kind says which they are
    return nest(task.parts, task.stock, offcut_min=task.offcut_min, progress=report, **arguments)  # type: ignore[arg-type]  # the same
