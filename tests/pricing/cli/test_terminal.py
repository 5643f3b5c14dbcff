"""Ctrl-C at the terminal: a search keeps its best, a second one leaves, and nothing comes between files."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import NoReturn

import pytest

from pricing.cli.terminal import STOPPING, interrupts, progress_bar

pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals are sent in another way there")


ROOT = Path(__file__).parents[3]


class Left(BaseException):
    """The program would have ended."""


def left() -> NoReturn:
    raise Left


def ctrl_c() -> None:
    os.kill(os.getpid(), signal.SIGINT)


def test_in_a_search_the_first_interrupts_it_and_the_second_leaves(capfd: pytest.CaptureFixture[str]) -> None:
    with interrupts(left) as stop, stop.searches():
        with pytest.raises(KeyboardInterrupt), stop.search():
            ctrl_c()
        assert stop.asked
        with pytest.raises(Left):
            ctrl_c()
    assert " ".join(capfd.readouterr().err.split()) == STOPPING


def test_between_searches_it_is_noted() -> None:
    with interrupts() as stop, stop.searches():
        ctrl_c()
        assert stop.asked


def test_outside_searches_the_first_leaves() -> None:
    with interrupts(left), pytest.raises(Left):
        ctrl_c()


def test_two_that_come_while_compiled_code_runs_are_two() -> None:
    with interrupts(left) as stop, stop.searches(), stop.search():
        handler = signal.getsignal(signal.SIGINT)
        assert callable(handler)
        signal.signal(signal.SIGINT, lambda *_: None)  # heard by the system alone, as within compiled code
        ctrl_c()
        ctrl_c()
        signal.signal(signal.SIGINT, handler)
        with pytest.raises(Left):
            handler(signal.SIGINT, None)


def test_while_files_are_replaced_and_afterwards_it_is_not_heard() -> None:
    before = signal.getsignal(signal.SIGINT)
    try:
        with interrupts(left) as stop:
            stop.closed = True
            ctrl_c()
            assert not stop.asked
        ctrl_c()
    finally:
        signal.signal(signal.SIGINT, before)


LEAVING = """
import contextlib, os, signal
from pricing.cli.terminal import leave_on_interrupt, progress_bar
with progress_bar(), contextlib.suppress(BaseException):
    leave_on_interrupt()
    os.kill(os.getpid(), signal.SIGINT)
print("still here")
"""


def test_leaving_says_so_and_nothing_swallows_it() -> None:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    left_by = [sys.executable, "-c", LEAVING]
    told = subprocess.run(left_by, env=environment, capture_output=True, text=True, check=False)
    assert (told.returncode, told.stdout, told.stderr) == (130, "", "Stopped; nothing was written.\n")


SHARING = """
import os, signal, threading, time
from pricing.ahead.parallel import run_all
from pricing.cli.terminal import leave_on_interrupt
if __name__ == "__main__":
    leave_on_interrupt()
    threading.Timer(1.5, os.kill, (os.getpid(), signal.SIGINT)).start()
    run_all(time.sleep, [60, 60], 2)
"""


def test_leaving_ends_the_processes_that_share_the_work_and_says_nothing_else(tmp_path: Path) -> None:
    (tmp_path / "sharing.py").write_text(SHARING, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    shared = [sys.executable, str(tmp_path / "sharing.py")]
    told = subprocess.run(shared, env=environment, capture_output=True, text=True, check=False, timeout=30)
    assert (told.returncode, told.stdout, told.stderr) == (130, "", "Stopped; nothing was written.\n")


def test_while_a_module_is_loaded_it_waits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "slow_module.py").write_text(
        "import os, signal\nos.kill(os.getpid(), signal.SIGINT)\nLOADED = sum(range(1000))\n", encoding="utf-8"
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    with interrupts() as stop, stop.searches(), stop.search():
        import slow_module  # type: ignore[import-not-found]  # written above

        assert slow_module.LOADED == 499_500
        assert not stop.asked
        with pytest.raises(KeyboardInterrupt):  # it comes after a moment
            time.sleep(5)
    del sys.modules["slow_module"]


def test_the_old_handler_is_back_afterwards() -> None:
    before = signal.getsignal(signal.SIGINT)
    with interrupts():
        assert signal.getsignal(signal.SIGINT) is not before
    assert signal.getsignal(signal.SIGINT) is before


def test_where_nobody_looks_there_is_no_bar(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pricing.cli.terminal._QUIET", 0.0)
    with progress_bar() as told:
        told("crates", 0.0)
        told("cutting plans", 0.5, "ply-3/8")
    assert capfd.readouterr() == ("", "")
