"""Sheets that the linear program asks for: true ones, never at a loss, and layouts made of them that are whole."""

from collections import Counter
from itertools import pairwise
from random import Random

import pytest

from nesting.base.search import Search
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Layout, Sheet, nest
from nesting.cutting.sheets.bounds import area_bound
from nesting.cutting.sheets.column_generation import Columns
from nesting.cutting.sheets.effort import SETTINGS
from nesting.cutting.sheets.filling import fits
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.pattern import contents
from nesting.cutting.sheets.problem import Problem, read_problem
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.search import RuinAndRecreate
from nesting.cutting.sheets.solution import Solution
from tests.benchmarks.instances import references
from tests.layout_verifier import verify


def cut_up(count: int, seed: int, length: int = 96, width: int = 48) -> list[Part]:
    """Cut sheets at random, edge to edge, into three to six parts each: they fit back onto as many sheets."""
    random, parts = Random(seed), []
    for sheet in range(count):
        boxes = [(length, width)]
        for _ in range(random.randint(2, 5)):
            boxes.sort(key=lambda box: box[0] * box[1])
            a, b = boxes.pop()
            at = random.randint(max(a, b) // 4, max(a, b) // 2)
            boxes += [(at, b), (a - at, b)] if a >= b else [(a, at), (a, b - at)]
        parts += [Part(f"{sheet}.{k}", a, b, "g") for k, (a, b) in enumerate(boxes)]
    return parts


def started(parts: list[Part], sheets: list[Sheet]) -> Run:
    """Begin a run with every part laid where a single pass of the search puts it."""
    problem = read_problem(parts, sheets, 0)
    run = Run(problem, Prices(problem), Search())
    search = RuinAndRecreate(problem, run.prices, 0, pooling=False)
    search.aim(2**62, 1)
    search.run(1, run.settings, pooling=False)
    run.offer(search.solution())
    return run


def laid(problem: Problem, solution: Solution) -> bool:
    """Whether a solution holds exactly what is wanted, on sheets that there are."""
    counts = solution.counts(problem)
    return (
        solution.contents() == Counter({t: item.demand for t, item in enumerate(problem.items)})
        and all(fits(problem, pattern, stock) for stock, pattern in solution.placed())
        and all(count <= stock.limit for count, stock in zip(counts, problem.stocks, strict=True))
    )


@pytest.mark.parametrize("seed", range(4))
def test_sheets_are_true_and_the_program_never_rises_nor_passes_the_area(seed: int) -> None:
    run = started(cut_up(10, seed), [Sheet("s", 96, 48, 100)])
    columns = Columns(run, ())
    lowest = [columns.lower]
    for _ in range(6):
        columns.price(1)
        lowest.append(columns.lower)
    assert all(after <= before + 1e-6 for before, after in pairwise(lowest))
    assert lowest[-1] < lowest[0]
    assert lowest[-1] >= run.problem.area / run.problem.stocks[0].area * 100 - 0.1
    known = columns.nearest(10_000)
    assert len(known) > len(run.solution.sheets)
    for stock, pattern in known:
        assert fits(run.problem, pattern, stock)
        assert all(n <= run.problem.items[t].demand for t, n in contents(pattern).items())


@pytest.mark.parametrize("seed", range(4))
def test_dives_save_sheets_and_lay_everything(seed: int) -> None:
    run = started(cut_up(10, seed), [Sheet("s", 96, 48, 100)])
    before = run.cost
    columns = Columns(run, ())
    for _ in range(3):
        columns.price(12)
        columns.dive(8)
    assert run.cost < before
    assert laid(run.problem, run.solution)


def test_limits_and_several_stocks_are_kept() -> None:
    sheets = [
        Sheet("whole", 96, 48, 100),
        Sheet("half", 48, 48, 45, count=2),
        Sheet("rack", 60, 30, 0, count=1, source="rack"),
        Sheet("many", 96, 48, 110, breaks=((6, 90),)),
    ]
    run = started(cut_up(10, 7), sheets)
    run.raise_bound(area_bound(run.problem, run.prices))
    before = run.cost
    columns = Columns(run, ())
    for _ in range(4):
        columns.price(6)
        columns.dive(6)
    assert laid(run.problem, run.solution)
    assert run.bound <= run.cost <= before


def test_the_next_sheet_is_priced_as_one_more_than_those_held() -> None:
    parts = [Part("a", 90, 40, "g", 1)]
    problem = read_problem(parts, [Sheet("s", 96, 48, 100, breaks=((3, 60),))], 0)
    prices = Prices(problem)
    for held, room in ((0, 100), (1, 180), (2, 180)):
        # three cost 180, which is less than two at 100: with one or two held 180 is enough, and 179 is not
        for budget, enough in ((room, True), (room - 1, False)):
            search = RuinAndRecreate(problem, prices, 0, pooling=False, held=(held,))
            search.aim((budget + 1) * prices.scale - 1, 1)
            search.run(50, SETTINGS["quick"], pooling=False)
            assert search.complete() is enough, (held, budget)


def test_an_instance_that_plain_search_leaves_open_is_closed_and_twice_alike() -> None:
    """Seven sheets are the area bound of this instance of Berkey and Wang (1987), class 3."""
    each = next(each for each in references("classic") if each.name == "cl03_040_09")
    stages: list[set[str]] = [set(), set()]

    def again(seen: set[str]) -> Layout:
        return nest(each.parts, [each.sheet], search=Search(progress=lambda stage, *_: seen.add(stage)))

    one, two = (again(seen) for seen in stages)
    verify(one, each.parts, [each.sheet], 0)
    assert (one.cost, one.bound, one.proven) == (7, 7, True)
    assert one == two
    assert all("matching sheets" in seen for seen in stages)
