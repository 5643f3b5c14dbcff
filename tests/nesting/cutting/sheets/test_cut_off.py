"""Deadlines, interrupts, progress, and what an import costs."""

import gc
import os
import signal
import subprocess
import sys
import threading
import time
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import Any

import numpy as np
import pytest

import nesting.cutting.sheets
from nesting.base.search import Search
from nesting.base.stop import Stop
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Layout, Sheet, nest
from tests.benchmarks.__main__ import many
from tests.benchmarks.orders import INCH, KERF, order
from tests.layout_verifier import verify

PLY = Sheet("4x8", 96 * INCH, 48 * INCH, 5800)


def hard() -> list[Part]:
    """Parts that no bound proves quickly."""
    return many(120, sizes=60)


def test_a_deadline_cuts_off_and_says_so() -> None:
    parts = hard()
    nest(parts, [PLY], kerf=KERF, search=Search(deadline=0.0))  # compiles
    start = time.monotonic()
    layout = nest(parts, [PLY], kerf=KERF, search=Search(effort="thorough", deadline=0.5))
    assert time.monotonic() - start < 30
    verify(layout, parts, [PLY], KERF)
    assert layout.stopped == "deadline" or layout.proven


@pytest.mark.parametrize("count", [400, 1500])
def test_no_time_at_all_still_gives_a_layout(count: int) -> None:
    parts = many(count)
    layout = nest(parts, [PLY], kerf=KERF, search=Search(deadline=0.0))
    verify(layout, parts, [PLY], KERF)
    assert layout.stopped == "deadline"


def test_with_a_stop_an_interrupt_returns_the_best_found() -> None:
    parts = hard()
    gc.disable()  # a library of tests counts its time: what is raised while it counts is lost
    timer = threading.Timer(1.5, lambda: os.kill(os.getpid(), signal.SIGINT))
    timer.start()
    try:
        layout = nest(parts, [PLY], kerf=KERF, search=Search(effort="thorough", stop=Stop()))
    finally:
        timer.cancel()
        gc.enable()
    verify(layout, parts, [PLY], KERF)
    assert layout.stopped == "interrupt" or layout.proven


@pytest.mark.parametrize("stop", [None, Stop()])
def test_an_interrupt_stops_the_set_cover(monkeypatch: pytest.MonkeyPatch, stop: Stop | None) -> None:
    """The solver swallows the signal by itself; here it must end while the solver runs."""
    from nesting.cutting.sheets import cover as module

    for each in iter_modules(nesting.cutting.sheets.__path__, "nesting.cutting.sheets."):
        import_module(each.name)  # before, for one that is loaded meanwhile would keep what stands there
    solving: list[str] = []
    run = module.run

    def interrupted(solver: Any, model: Any, check: Any) -> object:
        solving.append("yes")
        os.kill(os.getpid(), signal.SIGINT)
        return run(solver, model, check)

    monkeypatch.setattr(module, "run", interrupted)
    made = order(41)  # which no bound proves before the set cover
    if stop is None:
        with pytest.raises(KeyboardInterrupt):
            nest(made.parts, made.sheets, kerf=KERF)
    else:
        layout = nest(made.parts, made.sheets, kerf=KERF, search=Search(stop=stop))
        verify(layout, made.parts, made.sheets, KERF)
        assert layout.stopped == "interrupt"
        assert stop.asked
    assert solving == ["yes"]


def test_progress_is_told_stage_fraction_cost_and_bound() -> None:
    told: list[tuple[float, int | None, int]] = []

    def report(stage: str, fraction: float, note: str = "", cost: int | None = None, bound: int = 0, /) -> None:
        assert stage
        assert not note
        told.append((fraction, cost, bound))

    made = order(9)
    layout = nest(made.parts, made.sheets, kerf=KERF, search=Search(progress=report))
    assert told
    assert all(0 <= fraction <= 1 for fraction, _, _ in told)
    assert all(cost is None or bound <= cost for _, cost, bound in told)
    assert told[-1][1] == layout.cost


class Interrupting:
    """A progress that is interrupted when it is told of a stage; it counts the calls after that."""

    def __init__(self, stage: str) -> None:
        self.stage, self.after = stage, -1

    def __call__(self, stage: str, *_: object) -> None:
        if self.after >= 0 or stage == self.stage:
            self.after += 1
        if self.after == 0:
            raise KeyboardInterrupt


@pytest.mark.parametrize("stage", ["batches", "offcuts", "search"])
def test_an_interrupt_reaches_the_caller_but_with_a_stop_the_best_comes_back(stage: str) -> None:
    made = order(38)
    parts, sheets = (many(1500, sizes=60), [PLY]) if stage == "batches" else (made.parts, made.sheets)
    alone, asked = Interrupting(stage), Stop()
    with pytest.raises(KeyboardInterrupt):
        nest(parts, sheets, kerf=KERF, search=Search(progress=alone))
    assert alone.after == 0
    layout = nest(parts, sheets, kerf=KERF, search=Search(stop=asked, progress=Interrupting(stage)))
    verify(layout, parts, sheets, KERF)
    assert layout.stopped == "interrupt"
    assert asked.asked
    assert not asked.searching


def test_a_loop_over_orders_ends_where_it_is_interrupted() -> None:
    made: list[Layout] = []

    def loop() -> None:
        for count in (10, 20, 30):
            search = Search(progress=Interrupting("offcuts" if count == 20 else "none"))
            made.append(nest(many(count), [PLY], kerf=KERF, search=search))

    with pytest.raises(KeyboardInterrupt):
        loop()
    assert [layout.stopped for layout in made] == [None]


def test_importing_is_light() -> None:
    code = (
        "import sys, nesting.cutting.sheets; print(sorted({'numba', 'ortools', 'numpy', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"


def test_an_easy_order_loads_nothing_heavy() -> None:
    code = (
        "import sys\nfrom nesting.base.search import QUICK\nfrom nesting.cutting.parts import Part\n"
        "from nesting.cutting.sheets import Sheet, nest\n"
        "nest([Part('a', 40, 20, 'g', 3)], [Sheet('s', 96, 48, 100)], kerf=1, search=QUICK)\n"
        "print(sorted({'numba', 'ortools', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"


def test_where_nothing_can_be_cached_code_still_compiles(tmp_path: Path) -> None:
    """An install that is read-only, for a user without a home: compiled in memory, the same answer."""
    code = (
        "from unittest import mock\nfrom numba.core import caching\n"
        "caching.CacheImpl._locator_classes = []\n"
        "import logging\nlogging.basicConfig(level=logging.INFO, format='%(message)s')\n"
        "from nesting.cutting.sheets.kernel import left_value\nimport numpy as np\n"
        "print(left_value(np.array([2, 1]), np.array([[3, 4, 0, 12], [5, 6, 1, 30]])))"
    )
    env = {**os.environ, "HOME": str(tmp_path)}
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True, env=env)
    assert done.stdout.strip() == "54"
    told = (
        "Compiling the search for this machine, in every run, since no folder is there to keep it in: some ten seconds."
    )
    assert done.stderr.strip() == told


def test_whoever_waits_for_the_compiler_is_told_so_once(tmp_path: Path) -> None:
    """By a line beside the command's bar, at its first use only."""
    code = (
        "from pricing.cli.terminal import progress_bar\n"
        "with progress_bar():\n"
        "    from nesting.cutting.first_fit import _compiled\n    _compiled()\n    _compiled()\n"
    )
    told = []
    for _ in range(2):
        env = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path)}
        done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True, env=env)
        told.append((done.stdout, done.stderr))
    assert told == [("", "Compiling the search for this machine, once: some ten seconds.\n"), ("", "")]


def test_first_fit_is_the_same_plain_and_compiled() -> None:
    from nesting.cutting.first_fit import _compiled, fit

    random = np.random.default_rng(1)
    ways = fit, _compiled()
    for number in range(40):
        kinds = int(random.integers(3, 20))
        items = np.column_stack(
            [random.integers(50, 900, kinds), random.integers(50, 500, kinds), random.integers(0, 2, kinds)]
        ).astype(np.int64)
        counts = random.integers(0, 6, kinds).astype(np.int64)
        stocks = np.array([[1000, 600, 1000 if number % 3 else 3], [1200, 500, 2]])
        results = []
        for way in ways:
            spots, used, kept = np.empty((2 * int(counts.sum()) + 2, 3), np.int64), np.zeros(2, int), np.zeros(2, int)
            done = way(items, np.arange(kinds), counts, stocks, np.array([1, 0]), spots, used, kept, 3, 300, 100)
            results.append((done, used.tolist(), kept.tolist()))
        assert results[0] == results[1]
