"""Goods and work weighed together: what is cut, and what is said of it."""

from collections import Counter
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from nesting.base.search import Search
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Cut, Layout, Node, Offcut, Sheet, SheetLayout, nest
from nesting.cutting.sheets.filling import fill, orders, preferences
from nesting.cutting.sheets.front import Alone, Bench, Front, unbeaten, worth
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.model import Trade
from nesting.cutting.sheets.problem import read_problem
from nesting.cutting.sheets.run import Run
from tests.layout_verifier import verify

QUICK = Search(effort="quick")
BOARD = Sheet("board", 96, 48, 3000)


def cuts(node: Node) -> int:
    """Count the cuts of a tree."""
    return 1 + cuts(node.first) + cuts(node.rest) if isinstance(node, Cut) else 0


def each_cut(cost: int) -> Bench:
    """Work that costs so much, in thousandths, for each cut and ten times as much for each sheet."""
    return Bench(lambda sheets: cost * sum(each.repeat * (10 + cuts(each.cuts)) for each in sheets))


def test_without_work_the_answer_is_the_one_of_goods_alone() -> None:
    parts = [Part("a", 30, 20, "board", 4), Part("b", 40, 10, "board", 3)]
    plain = nest(parts, [BOARD])
    free = nest(parts, [BOARD], bench=Bench(lambda _: 0))
    assert replace(free, front=(), trade=None) == plain
    assert (plain.front, plain.trade) == ((), None)


def test_what_a_second_size_costs_more_is_paid_where_it_saves_more_work() -> None:
    """Four parts of 48 x 24 fill a board for 3,000 in three cuts; made to size at 800 each they need no cut."""
    parts = [Part("a", 48, 24, "board", 4)]
    made = Sheet("made to size", 48, 24, 800)
    stock = [BOARD, made]

    def work(rate: int) -> Bench:
        return Bench(lambda sheets: rate * sum(each.repeat * cuts(each.cuts) for each in sheets))

    cheap = nest(parts, stock, bench=work(10_000))
    assert (cheap.cost, cheap.over, cheap.proven, cheap.sheets[0].sheet.name) == (3000, 0, True, "board")
    dear = nest(parts, stock, bench=work(100_000))
    assert (dear.cost, dear.over, dear.bound, dear.proven) == (3200, 200, 3000, True)
    assert dear.trade is not None
    assert [(each.goods, each.work) for each in dear.front] == [(3000, 300_000), (3200, 0)]
    assert dear.trade == dear.front[-1]
    least = nest(parts, stock, bench=replace(work(100_000), least_goods=True))
    assert (least.cost, least.over) == (3000, 0)


def test_settings_in_common_are_counted_once_in_an_estimate() -> None:
    """Two boards that need the same two settings, and one of them a third."""
    parts = [Part("a", 96, 20, "board", 4), Part("b", 30, 8, "board", 3)]
    problem = read_problem(parts, [BOARD], 0)
    run = Run(problem, Prices(problem), QUICK)
    for preference in preferences(problem):
        for order in orders(problem):
            run.offer(fill(problem, order, preference, run.places))
    trees = Counter[int]()

    def alone(sheet: SheetLayout) -> Alone:
        trees[cuts(sheet.cuts)] += 1
        assert sheet.repeat == 1
        return Alone(7, {"fence": 100, cuts(sheet.cuts): 10})

    front = Front(run, (0, 0), Bench(lambda _: 0, alone=alone))
    sheets = sum(count for *_, count in run.solution.sheets)
    assert sheets == 2
    assert front.estimate(run.solution) == run.cost * 1000 + sheets * 7 + 100 + len(trees) * 10
    known = sum(trees.values())
    front.estimate(run.solution)
    assert sum(trees.values()) == known, "a sheet is asked for once"


def test_a_bench_that_knows_no_single_sheets_takes_their_work_as_it_is() -> None:
    sheet = SheetLayout(BOARD, Cut("cross", 48, Offcut(), Offcut()), 3)
    assert each_cut(5).by_itself(sheet) == Alone(55)


def test_dearer_goods_that_save_less_than_a_unit_are_not_told() -> None:
    plain, spoiled, better = Trade(5800, 4_186_400), Trade(11_600, 4_185_900), Trade(11_600, 4_185_400)
    assert unbeaten([spoiled, plain]) == (plain,)
    assert unbeaten([better, plain]) == (plain, better)


def test_an_offcut_is_worth_its_part_of_its_sheet_and_a_whole_sheet_nothing() -> None:
    half = SheetLayout(BOARD, Cut("cross", 48, Offcut(), Cut("rip", 24, Offcut(), Offcut())), 2)
    assert worth([half], 0, 500) == 2 * 500 * 3000
    assert worth([SheetLayout(BOARD, Offcut(), 1)], 0, 500) == 0
    assert worth([half], 0, 0) == 0


@given(
    sizes=st.lists(st.tuples(st.integers(3, 60), st.integers(3, 40), st.integers(1, 4)), min_size=1, max_size=6),
    cost=st.integers(0, 40_000),
    kept=st.integers(0, 1000),
)
def test_the_sum_is_never_above_that_of_the_least_goods(
    sizes: list[tuple[int, int, int]], cost: int, kept: int
) -> None:
    parts = [Part(f"p{i}", max(a, b), min(a, b), "board", count) for i, (a, b, count) in enumerate(sizes)]
    stock = [BOARD, Sheet("small", 60, 40, 1900)]
    bench = replace(each_cut(cost), kept=kept)
    plain = nest(parts, stock, kerf=1, search=QUICK)
    made = nest(parts, stock, kerf=1, search=QUICK, bench=bench)
    verify(made, parts, stock, 1)
    assert made.cost - made.over == plain.cost
    assert (made.bound, made.proven) == (plain.bound, plain.proven)
    assert made.trade is not None
    assert _sum(made, bench) == made.trade.sum or made.over
    assert made.trade.sum <= _sum(plain, bench)
    goods = [each.goods for each in made.front]
    assert goods == sorted(set(goods)) or kept
    assert min(each.sum for each in made.front) == made.trade.sum
    assert made == nest(list(reversed(parts)), stock, kerf=1, search=QUICK, bench=bench)


def _sum(layout: Layout, bench: Bench) -> int:
    return layout.cost * 1000 + bench.work(layout.sheets) - worth(layout.sheets, layout.kerf, bench.kept)
