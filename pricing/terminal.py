"""The terminal's side of long work: a bar that shows how far it is, and Ctrl-C taken in good order."""

import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from nesting.progress import Progress
from nesting.stop import Stop

STOPPING = "Stopping with the best found so far. Ctrl-C again leaves at once, with nothing written."
_AGAIN = 0.05
_QUIET = 1.0
"""Seconds of work before a bar is shown."""


class Leave(BaseException):
    """Leave at once, with nothing written."""


@contextmanager
def progress_bar() -> Iterator[Progress]:
    """Show a bar on the terminal once the work has taken a second."""
    from rich.console import Console
    from rich.progress import BarColumn, TextColumn
    from rich.progress import Progress as Bar

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn())
    bar = Bar(*columns, console=console, transient=True, disable=not console.is_terminal)
    task = bar.add_task("", total=1.0, visible=True)
    began = time.monotonic()

    def report(stage: str, fraction: float, note: str = "") -> None:
        if time.monotonic() - began > _QUIET and not bar.live.is_started:
            bar.start()
        bar.update(task, completed=fraction, description=f"{stage} {note}".rstrip())

    try:
        yield report
    finally:
        bar.stop()


@contextmanager
def interrupts() -> Iterator[Stop]:
    """Take Ctrl-C: the first ends the searches with the best found, the second leaves; outside searches the first does.

    Yields
    ------
    Stop
        To be handed to the work.
    """
    from rich.console import Console

    stop = Stop()

    def interrupt(_number: int, frame: FrameType | None) -> None:
        if stop.closed:
            return
        if _importing(frame):  # a library that is half loaded could not be used again
            threading.Timer(_AGAIN, _interrupt_main).start()
            return
        if stop.asked or not (stop.searching or stop.soon):
            raise Leave
        stop.asked = True
        Console(stderr=True).print(STOPPING)
        if stop.searching:
            raise KeyboardInterrupt

    before = signal.signal(signal.SIGINT, interrupt)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)


def _importing(frame: FrameType | None) -> bool:
    """Whether a module is being loaded."""
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False


def _interrupt_main() -> None:
    """Send the interrupt again, so that it wakes the main thread where it waits."""
    main = threading.main_thread().ident
    if main is not None and hasattr(signal, "pthread_kill"):
        signal.pthread_kill(main, signal.SIGINT)
    else:  # pragma: no cover - where signals cannot be sent to a thread
        signal.raise_signal(signal.SIGINT)
