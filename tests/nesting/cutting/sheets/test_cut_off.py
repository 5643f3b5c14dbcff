"""Deadlines, interrupts, progress, and what an import costs."""

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet, nest
from tests.benchmarks.__main__ import many
from tests.benchmarks.orders import INCH, KERF, order
from tests.layout_verifier import verify

PLY = Sheet("4x8", 96 * INCH, 48 * INCH, 5800)


def hard() -> list[Part]:
    """Parts that no bound proves quickly."""
    return many(120, sizes=60)


def test_a_deadline_cuts_off_and_says_so() -> None:
    parts = hard()
    nest(parts, [PLY], kerf=KERF, deadline=0.0)  # compiles
    start = time.monotonic()
    layout = nest(parts, [PLY], kerf=KERF, effort="thorough", deadline=0.5)
    assert time.monotonic() - start < 30
    verify(layout, parts, [PLY], KERF)
    assert layout.stopped == "deadline" or layout.proven


@pytest.mark.parametrize("count", [400, 1500])
def test_no_time_at_all_still_gives_a_layout(count: int) -> None:
    parts = many(count)
    layout = nest(parts, [PLY], kerf=KERF, deadline=0.0)
    verify(layout, parts, [PLY], KERF)
    assert layout.stopped == "deadline"


def test_an_interrupt_returns_the_best_found() -> None:
    parts = hard()
    timer = threading.Timer(1.5, lambda: os.kill(os.getpid(), signal.SIGINT))
    timer.start()
    try:
        layout = nest(parts, [PLY], kerf=KERF, effort="thorough")
    finally:
        timer.cancel()
    verify(layout, parts, [PLY], KERF)
    assert layout.stopped == "interrupt" or layout.proven


def test_an_interrupt_stops_the_set_cover(monkeypatch: pytest.MonkeyPatch) -> None:
    """The solver swallows the signal by itself; here it must end while the solver runs."""
    from nesting.cutting.sheets import cover as module

    solving: list[str] = []
    run = module.run

    def interrupted(solver: Any, model: Any, check: Any) -> object:
        solving.append("yes")
        os.kill(os.getpid(), signal.SIGINT)
        return run(solver, model, check)

    monkeypatch.setattr(module, "run", interrupted)
    parts = hard()
    layout = nest(parts, [PLY], kerf=KERF, effort="normal")
    verify(layout, parts, [PLY], KERF)
    assert not solving or layout.stopped == "interrupt"


def test_progress_is_told_stage_fraction_cost_and_bound() -> None:
    told: list[tuple[str, float, int | None, int]] = []
    made = order(9)
    layout = nest(made.parts, made.sheets, kerf=KERF, progress=lambda *report: told.append(report))
    assert told
    assert all(0 <= fraction <= 1 for _, fraction, _, _ in told)
    assert all(cost is None or bound <= cost for _, _, cost, bound in told)
    assert told[-1][2] == layout.cost


def test_a_progress_that_raises_interrupt_stops_the_search() -> None:
    def stop(stage: str, fraction: float, cost: int | None, bound: int) -> None:
        del stage, fraction, bound
        if cost is not None:
            raise KeyboardInterrupt

    made = order(9)
    layout = nest(made.parts, made.sheets, kerf=KERF, progress=stop)
    verify(layout, made.parts, made.sheets, KERF)
    assert layout.stopped == "interrupt"


def test_importing_is_light() -> None:
    code = (
        "import sys, nesting.cutting.sheets; print(sorted({'numba', 'ortools', 'numpy', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"


def test_an_easy_order_loads_nothing_heavy() -> None:
    code = (
        "import sys\nfrom nesting.cutting.parts import Part\nfrom nesting.cutting.sheets import Sheet, nest\n"
        "nest([Part('a', 40, 20, 'g', 3)], [Sheet('s', 96, 48, 100)], kerf=1, effort='quick')\n"
        "print(sorted({'numba', 'ortools', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"


def test_where_nothing_can_be_cached_code_still_compiles(tmp_path: Path) -> None:
    """An install that is read-only, for a user without a home: compiled in memory, the same answer."""
    code = (
        "from unittest import mock\nfrom numba.core import caching\n"
        "caching.CacheImpl._locator_classes = []\n"
        "from nesting.cutting.sheets.kernel import left_value\nimport numpy as np\n"
        "print(left_value(np.array([2, 1]), np.array([[3, 4, 0, 12], [5, 6, 1, 30]])))"
    )
    env = {**os.environ, "HOME": str(tmp_path)}
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True, env=env)
    assert done.stdout.strip() == "54"
