"""The terminal's side of long work: a bar that shows how far it is, and Ctrl-C taken in good order."""

import logging
import os
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import NoReturn, Self

from nesting.base.progress import Progress
from nesting.base.shown import shown, shown_on_a_line
from nesting.base.stop import Stop

STOPPING = "Stopping with the best found so far. Ctrl-C again leaves at once, with nothing written."
_AGAIN = 0.05
_QUIET = 1.0
"""Seconds of work before a bar is shown."""


_at_leaving: list[Callable[[], None]] = []
"""What puts the terminal back in order."""


def leave() -> NoReturn:
    """Leave at once, with nothing written: from wherever the program is, and without waiting for anything.

    No exception is raised for it: one that comes while a library loads or calls back may be swallowed there.
    """
    for put_back in reversed(_at_leaving):
        put_back()
    os.write(2, b"Stopped; nothing was written.\n")
    if "multiprocessing" in sys.modules:
        for child in sys.modules["multiprocessing"].active_children():
            child.kill()
    if "multiprocessing.util" in sys.modules:  # comes with the first process only
        sys.modules["multiprocessing.util"]._exit_function()  # noqa: SLF001 - gives back what processes share, as at a quiet end
    os._exit(130)


def leave_on_interrupt() -> None:
    """Take Ctrl-C, until something else does: it leaves."""
    signal.signal(signal.SIGINT, lambda _number, _frame: leave())


@contextmanager
def progress_bar() -> Iterator[Progress]:
    """Show a bar on the terminal once the work has taken a second, and what the work has to say for itself above it."""
    from rich.console import Console
    from rich.markup import escape
    from rich.progress import BarColumn, TextColumn
    from rich.progress import Progress as Bar

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn())
    bar = Bar(*columns, console=console, transient=True, disable=not console.is_terminal)
    task = bar.add_task("", total=1.0, visible=True)
    began = time.monotonic()

    def report(stage: str, fraction: float, note: str = "", *_: object) -> None:
        if time.monotonic() - began > _QUIET and not bar.live.is_started:
            bar.start()
        bar.update(task, completed=fraction, description=escape(shown_on_a_line(f"{stage} {note}".rstrip())))

    spoken = _Spoken(lambda text: console.print(shown(text), highlight=False, markup=False))
    told = logging.getLogger("nesting")
    told.addHandler(spoken)
    told.setLevel(logging.INFO)
    _at_leaving.append(bar.stop)
    try:
        yield report
    finally:
        told.removeHandler(spoken)
        _at_leaving.remove(bar.stop)
        bar.stop()


class _Spoken(logging.Handler):
    """Prints what a library says; a bar stays below it."""

    def __init__(self, say: Callable[[str], None]) -> None:
        super().__init__()
        self._say = say

    def emit(self, record: logging.LogRecord) -> None:
        """Print one record."""
        self._say(record.getMessage())


@contextmanager
def interrupts(leaving: Callable[[], None] = leave) -> Iterator[Stop]:
    """Take Ctrl-C: the first ends the searches with the best found, the second leaves; outside searches the first does.

    Once files are being replaced it is not heard any more, to the end of the program.

    Parameters
    ----------
    leaving : callable
        Called to leave.

    Yields
    ------
    Stop
        To be handed to the work.
    """
    stop = Stop()
    with _Presses() as presses:

        def interrupt(_number: int, frame: FrameType | None) -> None:
            if stop.closed:
                return
            if presses.count() > 1 or not (stop.searching or stop.soon):
                leaving()
            elif _importing(frame):  # a library that is half loaded could not be used again
                presses.again()
            else:
                stop.asked = True
                _say_stopping()
                if stop.searching:
                    raise KeyboardInterrupt

        before = signal.signal(signal.SIGINT, interrupt)
        try:
            yield stop
        finally:
            signal.signal(signal.SIGINT, signal.SIG_IGN if stop.closed else before)


class _Presses:
    """How often Ctrl-C was pressed.

    Python joins signals that come while it is in compiled code into one call of the handler; the system tells of each.
    """

    def __enter__(self) -> Self:
        self._told, self._tell = socket.socketpair()
        for end in (self._told, self._tell):
            end.settimeout(0)
        self._before = signal.set_wakeup_fd(self._tell.fileno(), warn_on_full_buffer=False)
        self._pressed = 0
        return self

    def __exit__(self, *_: object) -> None:
        signal.set_wakeup_fd(self._before)
        self._told.close()
        self._tell.close()

    def count(self) -> int:
        """Return how often it was pressed so far."""
        with suppress(BlockingIOError):
            self._pressed += self._told.recv(4096).count(signal.SIGINT)
        return self._pressed

    def again(self) -> None:
        """Let the last one come once more in a moment."""
        self._pressed -= 1
        threading.Timer(_AGAIN, _interrupt_main).start()


def _say_stopping() -> None:
    from rich.console import Console

    try:
        Console(stderr=True).print(STOPPING)
    except RuntimeError:  # the interrupt came while something else was being written
        os.write(2, f"{STOPPING}\n".encode())


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
