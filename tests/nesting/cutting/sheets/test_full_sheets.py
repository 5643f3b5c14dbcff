"""Sheets filled one by one: layouts that are whole, never at a loss, and fuller than the first search makes them."""

import pytest

from nesting.base.search import Search
from nesting.cutting.sheets import Sheet
from nesting.cutting.sheets.cutting import lay
from nesting.cutting.sheets.filling import fits
from nesting.cutting.sheets.full_sheets import fullest_first
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.problem import read_problem
from nesting.cutting.sheets.report import describe
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.search import RuinAndRecreate
from tests.benchmarks.__main__ import many
from tests.benchmarks.orders import INCH, KERF
from tests.layout_verifier import verify

PLY = Sheet("4x8", 96 * INCH, 48 * INCH, 100)
SMALL = Sheet("4x4", 48 * INCH, 48 * INCH, 60)
FEW = Sheet("rack", 96 * INCH, 48 * INCH, 20, count=3, source="rack")


@pytest.fixture(autouse=True)
def _short(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take steps enough to see what comes of them."""
    monkeypatch.setattr("nesting.cutting.sheets.full_sheets._STEPS", 40_000)
    monkeypatch.setattr("nesting.cutting.sheets.full_sheets._REST", 2_000)


def begun(sheets: list[Sheet], count: int, seed: int) -> Run:
    """Return a run with the solution of one filling."""
    problem = read_problem(many(count), sheets, KERF)
    run = Run(problem, Prices(problem), Search(seed))
    search = RuinAndRecreate(problem, run.prices, seed)
    assert search.begin(run.settings)
    run.offer(search.solution())
    return run


@pytest.mark.parametrize("sheets", [[PLY], [PLY, SMALL], [PLY, FEW]], ids=["one", "two", "few"])
def test_the_layout_is_whole_and_costs_no_more(sheets: list[Sheet]) -> None:
    run = begun(sheets, 420, 0)
    first = run.cost
    for _ in fullest_first(run):
        pass
    assert run.cost <= first
    assert run.work > 0
    assert all(fits(run.problem, pattern, stock) for stock, pattern in run.solution.placed())
    layout = describe(run.problem, run.prices, run.solution, lay(run.problem, run.solution, (0, 0)), run.bound, None)
    verify(layout, many(420), sheets, KERF)


def test_it_saves_a_sheet_and_comes_to_the_same_again() -> None:
    runs = [begun([PLY], 440, 1) for _ in range(2)]
    before = runs[0].cost
    for run in runs:
        for _ in fullest_first(run):
            pass
    assert runs[0].cost < before
    assert runs[0].solution == runs[1].solution
