"""The bound from sets against exhaustive search, and against sheets that were cut up at random and so are full."""

from dataclasses import replace
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.base.search import QUICK
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet, nest
from nesting.cutting.sheets.bar_bound import bars_refute
from nesting.cutting.sheets.coarse import coarsened
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.mixes import Mix, mixes
from nesting.cutting.sheets.packing_bound import Refuting, packing_bound, packs_not
from nesting.cutting.sheets.problem import Problem, read_problem
from nesting.cutting.sheets.set_bound import sets_refute
from tests.benchmarks.orders import KERF, order
from tests.nesting.cutting.sheets.test_bounds import nothing, one_sheet, solvable

ENDLESS = 10**12
SOME = settings(max_examples=50, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


def refuted(problem: Problem, mix: Mix) -> bool:
    return sets_refute(problem, mix, ENDLESS, nothing)


@pytest.mark.parametrize("seed", range(80))
def test_a_sheet_is_refuted_exactly_where_cuts_from_edge_to_edge_fail(seed: int) -> None:
    problem, cut = one_sheet(seed, spare=1)
    assert refuted(problem, (1,)) is not cut


@pytest.mark.parametrize("seed", range(300, 340))
def test_all_mixes_cheaper_than_the_optimum_are_refuted_and_one_at_it_is_not(seed: int) -> None:
    problem, prices, best = solvable(seed)
    listed = mixes(problem, prices, prices.scale * (best + 1))
    assert listed
    assert all(refuted(problem, mix) for key, mix in listed if prices.cost(key) < best)
    assert not all(refuted(problem, mix) for key, mix in listed if prices.cost(key) == best)


def test_a_knot_of_cuts_is_refuted() -> None:
    # Five parts lie around each other without waste; no cut from edge to edge starts that, so free packing is silent.
    parts = [Part("a", 60, 40, "g", 4), Part("b", 20, 20, "g")]
    problem = read_problem(parts, [Sheet("s", 100, 100, 1)], 0)
    assert not packs_not(problem, (1,), 5.0, nothing)
    assert refuted(problem, (1,))
    prices = Prices(problem)
    assert packing_bound(problem, prices, 0, prices.key(0, 2), Refuting(sets=1000), nothing) == prices.key(0, 2)


def test_work_is_kept_to() -> None:
    problem = read_problem([Part("a", 60, 40, "g", 4), Part("b", 20, 20, "g")], [Sheet("s", 100, 100, 1)], 0)
    assert not sets_refute(problem, (1,), 0, nothing)
    many = [Part(f"p{k}", 60 + k, 40, "g", 9) for k in range(9)]
    assert not refuted(read_problem(many, [Sheet("s", 2440, 1220, 1)], 3), (2,))


@st.composite
def full_sheets(draw: st.DrawFn) -> tuple[list[Part], list[Sheet], int, Mix]:
    """Cut sheets up at random, from edge to edge and with kerfs, until nothing is left over."""
    kerf = draw(st.sampled_from([0, 3, 25400]))
    unit = draw(st.sampled_from([1, 7, 12700]))
    random = Random(draw(st.integers(0, 10**6)))
    sheets = [Sheet("a", 96 * unit, 48 * unit, 50), Sheet("b", 70 * unit, 60 * unit, 40, 3)][: draw(st.integers(1, 2))]
    counts = [draw(st.integers(0 if len(sheets) > 1 and k == 0 else 1, 2)) for k in range(len(sheets))]
    parts: list[Part] = []
    for sheet, count in zip(sheets, counts, strict=True):
        for _ in range(count):
            pieces = [(sheet.length, sheet.width)]
            for _ in range(draw(st.integers(0, 9))):
                pieces.sort()
                length, width = pieces.pop(random.randrange(len(pieces)))
                along = random.random() < 0.5
                side = length if along else width
                # Some cuts fall on an even fraction of an inch, some anywhere.
                at = random.randint(1, max(1, side - kerf - 1))
                at = at // unit * unit or at if random.random() < 0.8 else at
                if at < 1 or side - kerf - at < 1:
                    pieces.append((length, width))
                elif along:
                    pieces += [(at, width), (length - kerf - at, width)]
                else:
                    pieces += [(length, at), (length, width - kerf - at)]
            parts += [Part(f"p{len(parts) + k}", a, b, "g", 1, "length") for k, (a, b) in enumerate(pieces)]
    parts = [replace(p, grain="any") if random.random() < 0.5 else p for p in parts]
    # Stocks stand in canonical order: by area.
    problem = read_problem(parts, sheets, kerf)
    mix = tuple(counts[[s.name for s in sheets].index(stock.sheet.name)] for stock in problem.stocks)
    return parts, sheets, kerf, mix


@SOME
@given(made=full_sheets(), cells=st.sampled_from([30, 100, 1600]))
def test_what_was_cut_is_never_refuted(made: tuple[list[Part], list[Sheet], int, Mix], cells: int) -> None:
    parts, sheets, kerf, mix = made
    problem = read_problem(parts, sheets, kerf)
    for rough in (problem, coarsened(problem, cells)):
        assert not sets_refute(rough, mix, 300_000, nothing)
        assert not bars_refute(rough, mix, nothing)


@pytest.mark.parametrize("cells", [40, 300, 4000])
@pytest.mark.parametrize("seed", range(6))
def test_coarser_units_are_few_and_round_down(seed: int, cells: int) -> None:
    made = order(seed)
    problem = read_problem(made.parts, made.sheets, KERF)
    rough = coarsened(problem, cells)
    assert [item.demand for item in rough.items] == [item.demand for item in problem.items]
    share = rough.unit // problem.unit
    for one, other in zip(problem.items, rough.items, strict=True):
        assert (other.length, other.width) == (one.length // share, one.width // share)
    for sheet, other_sheet in zip(problem.stocks, rough.stocks, strict=True):
        assert (other_sheet.length, other_sheet.width) == (sheet.length // share, sheet.width // share)
    if share > 1:
        assert max(max(s.length, s.width) for s in rough.stocks) <= cells
        assert min(item.width for item in rough.items) > 0


def test_odd_sizes_do_not_keep_the_unit_fine() -> None:
    parts = [Part("a", 8000, 4000, "g", 3), Part("b", 3001, 2000, "g")]
    problem = read_problem(parts, [Sheet("s", 24000, 12000, 1)], 0)
    assert problem.unit == 1
    assert coarsened(problem, 100).unit == 1000
    assert coarsened(problem, 24000) is problem


@pytest.mark.parametrize("seed", range(16))
def test_the_bound_is_below_what_generated_orders_cost(seed: int) -> None:
    made = order(2000 + seed)
    layout = nest(made.parts, made.sheets, kerf=KERF, search=QUICK)
    problem = read_problem(made.parts, made.sheets, KERF)
    prices = Prices(problem)
    above = prices.scale * (layout.cost + 1)
    assert prices.cost(packing_bound(problem, prices, 0, above, Refuting(sets=1_000_000), nothing)) <= layout.cost
