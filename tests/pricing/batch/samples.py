"""Values that tests of batches share: a setting, tasks of one small piece, outcomes, and calls for other processes."""

import os
import signal
import time
from collections.abc import Callable, Mapping
from concurrent.futures import Executor, Future
from datetime import date
from pathlib import Path
from typing import Any

from nesting.base.search import QUICK
from pricing.batch.engine import Engine
from pricing.batch.row import Row
from pricing.batch.working import Outcome, Setting, Task, Took
from pricing.output.job import Extras
from pricing.studio.office import Office

ON = date(2027, 4, 1)


def setting(*, files: bool = False) -> Setting:
    """Return a setting of the built-in studio."""
    return Setting(Office(), ON, QUICK, Extras(), files)


def task(name: str = "North", width: str = "20") -> Task:
    """Return an order of one small piece."""
    text = f"piece,width,height,depth,weight,support\nA,{width},16,1 1/2,6 lb,panel\n"
    return Task(name, f"{name}.csv", f"{name}.csv", text.encode())


def outcome(name: str = "North", files: Mapping[str, bytes] | None = None) -> Outcome:
    """Return what came of an order, made up."""
    return Outcome(Row(name, "worked", f"{name}.csv", pieces=1, currency="USD"), files or {}, Took(0.5, 0.75, 120))


class Inline(Executor):
    """Works everything when it is asked to, or at once; notes how much was under way at most."""

    def __init__(self, then: Callable[[list[tuple[Future[Any], Callable[[], Any]]]], None] | None = None) -> None:
        self.most = 0
        self._under_way: list[Future[Any]] = []
        self._then = then
        self._held: list[tuple[Future[Any], Callable[[], Any]]] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Take a call."""
        future: Future[Any] = Future()
        self._under_way = [each for each in self._under_way if not each.done()] + [future]
        self.most = max(self.most, len(self._under_way))
        self._held.append((future, lambda: fn(*args, **kwargs)))
        if self._then is None:
            self.settle()
        else:
            self._then(self._held)
        return future

    def settle(self) -> None:
        """Work all that is held."""
        settle(self._held)


def settle(held: list[tuple[Future[Any], Callable[[], Any]]]) -> None:
    """Work all that is held, the last first."""
    while held:
        future, call = held.pop()
        try:
            future.set_result(call())
        except Exception as error:  # noqa: BLE001 - handed on
            future.set_exception(error)


def engine(executor: Executor, call: Callable[..., Any], width: int = 1, **more: Any) -> Engine:
    """Return an engine that calls with a task and its edition."""
    return Engine(executor, call, (), lambda: width, **more)


def nothing() -> None:
    """Begin a process with nothing."""


def doubled(number: int) -> int:
    """Return twice a number."""
    return 2 * number


def killed_once(mark: Path) -> str:
    """Be killed by the system the first time, and answer the second."""
    if mark.exists():
        return "answered"
    mark.write_text("", encoding="utf-8")
    os.kill(os.getpid(), signal.SIGKILL)
    time.sleep(60)
    return "never"


def killed(mark: Path) -> None:
    """Be killed by the system, and leave a trace of each time."""
    with mark.open("a", encoding="utf-8") as file:
        file.write("x")
    os.kill(os.getpid(), signal.SIGKILL)
    time.sleep(60)


def own_process() -> int:
    """Return which process this is."""
    return os.getpid()
