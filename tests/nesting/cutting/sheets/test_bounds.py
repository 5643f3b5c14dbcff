"""Every bound on its own against exhaustive search, on fine and on coarse grids."""

from itertools import product
from random import Random

import numpy as np
import pytest

from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet
from nesting.cutting.sheets.bar_bound import bars_refute, knapsack
from nesting.cutting.sheets.bounds import area_bound, cheapest_mix, scaled_bound
from nesting.cutting.sheets.grid import axis, sums
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.mixes import mix_bound, mixes
from nesting.cutting.sheets.packing_bound import Refuting, packing_bound, packs_not
from nesting.cutting.sheets.problem import Problem, read_problem
from nesting.cutting.sheets.relaxation import Bounding, Master, pattern_bound
from nesting.cutting.sheets.subproblem import pairs
from tests.nesting.cutting.sheets.oracle import can_cut, cheapest, rectangles
from tests.nesting.cutting.sheets.test_layouts import tiny

FAR = 1 << 62


def nothing() -> None:
    """Never cut the work off."""


def solvable(seed: int) -> tuple[Problem, Prices, int]:
    parts, sheets, kerf = tiny(seed)
    best = cheapest(parts, sheets, kerf)
    if best is None:
        pytest.skip("a part fits nowhere")
    problem = read_problem(parts, sheets, kerf)
    return problem, Prices(problem), best


@pytest.mark.parametrize("seed", range(100, 130))
def test_every_bound_holds(seed: int) -> None:
    problem, prices, best = solvable(seed)
    bounds = [
        area_bound(problem, prices),
        scaled_bound(problem, prices, FAR),
        pattern_bound(prices, FAR, Bounding((80,), 10**9, 0), nothing),
        pattern_bound(prices, FAR, Bounding((80,), 10**9, 4), nothing),
        # So few points that sums are rounded up.
        pattern_bound(prices, FAR, Bounding((6,), 10**9, 2), nothing),
    ]
    assert all(0 <= prices.cost(bound) <= best for bound in bounds)


def test_patterns_bound_more_than_areas() -> None:
    # Two 60 x 60 never share a 100 x 100: five need five sheets, where their area would fill two.
    problem = read_problem([Part("a", 60, 60, "g", 5)], [Sheet("s", 100, 100, 1)], 0)
    prices = Prices(problem)
    assert prices.cost(area_bound(problem, prices)) == 5  # the common divisor already sees it
    problem = read_problem([Part("a", 60, 60, "g", 5), Part("b", 1, 1, "g")], [Sheet("s", 100, 100, 1)], 0)
    prices = Prices(problem)
    assert prices.cost(area_bound(problem, prices)) == 2
    assert prices.cost(scaled_bound(problem, prices, FAR)) == 5
    assert prices.cost(pattern_bound(prices, FAR, Bounding((80,), 10**9, 0), nothing)) == 5


def test_a_tracked_part_is_not_used_twice() -> None:
    # One strip a sheet long can be taken once only; used twice it would make two sheets look like enough for less.
    parts = [Part("once", 50, 100, "g"), Part("big", 51, 100, "g", 2, "length")]
    problem = read_problem(parts, [Sheet("s", 100, 100, 1)], 0)
    prices = Prices(problem)
    assert prices.cost(pattern_bound(prices, FAR, Bounding((80,), 10**9, 4), nothing)) == 3


@pytest.mark.parametrize("seed", range(10))
def test_the_cheapest_mix_is_the_cheapest(seed: int) -> None:
    random = Random(seed)
    sheets = [
        Sheet(
            f"s{k}", 10 + k, 10, random.randint(50, 200), random.randint(2, 4), breaks=((2, random.randint(30, 190)),)
        )
        for k in range(3)
    ]
    problem = read_problem([Part("a", 5, 5, "g", 12)], sheets, 0)
    prices = Prices(problem)
    holds = [random.randint(3, 9) for _ in problem.stocks]
    total = random.randint(5, 20)
    limits = [s.limit for s in problem.stocks]
    options = [
        prices.total((a, b, c))
        for a in range(limits[0] + 1)
        for b in range(limits[1] + 1)
        for c in range(limits[2] + 1)
        if a * holds[0] + b * holds[1] + c * holds[2] >= total
    ]
    assert cheapest_mix(problem, prices, holds, total) == min(options, default=prices.scale << 60)


def test_more_stocks_than_calls_can_nest_are_weighed() -> None:
    sheets = [Sheet(f"s{k}", 10, 10, 5 + k, 1) for k in range(1500)]
    problem = read_problem([Part("a", 10, 10, "g", 1400), Part("b", 10, 10, "g", 3, "length")], sheets, 0)
    assert cheapest_mix(problem, Prices(problem), [1] * len(sheets), 3) // Prices(problem).scale == 5 + 6 + 7


def test_sums_are_all_sums() -> None:
    assert sums([(3, 2), (5, 1)], 12) == [0, 3, 5, 6, 8, 11]
    assert sums([(3, 2)], 10**8) is None


def test_a_second_piece_is_no_larger_than_what_it_can_hold() -> None:
    made = axis([(30, 2), (50, 1)], [100], 99)
    assert made is not None
    assert made.exact
    assert made.points.tolist() == [0, 30, 50, 60, 80, 100]
    second, ends = pairs(made, 30)
    assert ends.tolist() == [1, 1, 1, 2, 2, 3]
    assert second[5, 1] == 3  # 30 of 100 leaves 70, which holds no more than 60
    assert second[5, 2] == 2
    assert second[4, 1] == 2


def test_points_are_never_too_far_apart() -> None:
    made = axis([(70, 9), (45, 4), (33, 7)], [1000, 640], 20)
    assert made is not None
    assert not made.exact
    assert int(np.diff(made.points).max()) < 33
    assert all(made.least <= made.points)
    assert {0, 640, 1000} <= {int(x) for x in made.points}


@pytest.mark.parametrize("seed", range(130, 160))
def test_refuting_mixes_gives_a_bound_that_holds(seed: int) -> None:
    _, prices, best = solvable(seed)
    target = prices.scale * (best + 1)
    assert prices.cost(mix_bound(prices, 0, target, Bounding((6, 80), 10**9, 0), nothing)) <= best


def test_a_mix_is_refuted_that_the_mean_of_all_prices_allows() -> None:
    # Each face needs a sheet of its own; two of the cheap kind hold only faces of 60, so two large are the least.
    sheets = [Sheet("large", 100, 100, 100), Sheet("cheap", 60, 60, 34, 5)]
    problem = read_problem([Part("a", 61, 61, "g", 2), Part("b", 20, 20, "g", 4)], sheets, 0)
    prices = Prices(problem)
    assert prices.cost(mix_bound(prices, 0, prices.scale * 201, Bounding((80,), 10**9, 0), nothing)) == 200


@pytest.mark.parametrize("seed", range(160, 220))
def test_free_packing_gives_a_bound_that_holds(seed: int) -> None:
    problem, prices, best = solvable(seed)
    target = prices.scale * (best + 1)
    assert prices.cost(packing_bound(problem, prices, 0, target, Refuting(packing=1.0), nothing)) <= best


def one_sheet(seed: int, spare: int = 0) -> tuple[Problem, bool]:
    """Return a few parts and one sheet of about their area, some units wider, and whether it can be cut."""
    random = Random(seed)
    parts = [
        Part(f"p{k}", random.randint(2, 9), random.randint(2, 9), "g", 1 + k % 2, random.choice(["any", "length"]))
        for k in range(random.randint(2, 4))
    ]
    kerf = random.randint(0, 1)
    area = sum((p.length + kerf) * (p.width + kerf) * p.count for p in parts)
    length = random.randint(9, 14)
    width = max(9, -(-area // (length + kerf)) + random.randint(0, spare))
    cut = can_cut(rectangles(parts), length, width, kerf)
    return read_problem(parts, [Sheet("s", length, width, 1)], kerf), cut


@pytest.mark.parametrize("seed", range(60))
def test_no_sheet_is_refuted_that_can_be_cut(seed: int) -> None:
    problem, cut = one_sheet(seed)
    refuted = packs_not(problem, (1,), 5.0, nothing)
    assert not (bars_refute(problem, (1,), nothing) and cut)
    # Up to four parts without overlap can be cut edge to edge, as the smallest knot of cuts takes five.
    assert refuted is not cut if problem.total <= 4 else not (refuted and cut)


@pytest.mark.parametrize("seed", range(220, 280))
def test_bars_never_refute_the_optimum(seed: int) -> None:
    problem, prices, best = solvable(seed)
    open_mixes = mixes(problem, prices, prices.scale * (best + 1))
    assert open_mixes
    # Of the mixes at the optimal cost one at least can be cut, so not all are refuted.
    at_best = [mix for key, mix in open_mixes if prices.cost(key) == best]
    assert not all(bars_refute(problem, mix, nothing) for mix in at_best)


def test_bars_refute_what_areas_allow() -> None:
    # Four strips of 60 lie lengthwise one above the other, 4 x 26 = 104 high: no line along meets two of them.
    problem = read_problem([Part("a", 60, 26, "g", 4, "length"), Part("b", 5, 5, "g", 2)], [Sheet("s", 100, 100, 1)], 0)
    assert bars_refute(problem, (1,), nothing)
    assert not bars_refute(problem, (2,), nothing)


@pytest.mark.parametrize("seed", range(20))
def test_the_knapsack_is_full(seed: int) -> None:
    random = Random(seed)
    choices = [(random.randint(1, 9), random.randint(0, 3), random.randint(0, 9)) for _ in range(4)]
    room = random.randint(0, 30)
    best = max(
        sum(n * value for n, (_, _, value) in zip(counts, choices, strict=True))
        for counts in product(*(range(most + 1) for _, most, _ in choices))
        if sum(n * size for n, (size, _, _) in zip(counts, choices, strict=True)) <= room
    )
    value, counts = knapsack(room, choices)
    assert value == best == sum(n * each for n, (_, _, each) in zip(counts, choices, strict=True))
    assert all(n <= most for n, (_, most, _) in zip(counts, choices, strict=True))
    assert sum(n * size for n, (size, _, _) in zip(counts, choices, strict=True)) <= room


def test_free_packing_refutes_what_patterns_allow() -> None:
    # The square of 61 and the strip leave no room for one of 45, though 12 % of the area.
    parts = [Part("a", 61, 61, "g", 1), Part("b", 45, 45, "g", 1), Part("c", 100, 30, "g", 1)]
    problem = read_problem(parts, [Sheet("s", 100, 100, 1)], 0)
    prices = Prices(problem)
    assert prices.cost(area_bound(problem, prices)) == 1
    assert prices.cost(packing_bound(problem, prices, 0, prices.key(0, 2), Refuting(packing=1.0), nothing)) == 2


def test_free_packing_keeps_out_of_large_orders() -> None:
    problem = read_problem([Part("a", 60, 60, "g", 61), Part("b", 7, 5, "g")], [Sheet("s", 100, 100, 1)], 0)
    # Sixty sheets do not hold them, but there are too many parts to try.
    assert not packs_not(problem, (60,), 1.0, nothing)


def test_a_program_that_fails_is_written_down_anew() -> None:
    problem, _, _ = solvable(100)
    master = Master(problem, [(0, frozenset({(0, 1)}))])
    before = master.solve()
    master._build(list(master._variables))  # noqa: SLF001 - what happens when the solver gives up
    after = master.solve()
    assert before[0] == pytest.approx(after[0])
    assert before[1].tolist() == after[1].tolist()
