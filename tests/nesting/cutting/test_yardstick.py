"""The yardstick held against the optimisers: never above what is proven by its floor, never below by its fill."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.search import QUICK
from nesting.cutting.parts import Part, StickPart
from nesting.cutting.sheets import Sheet, nest
from nesting.cutting.sticks import Stick, cut_sticks
from nesting.cutting.yardstick import SheetGauge, StickGauge, Yard, fill, floor, size_of, wanted

WHOLE = Sheet("whole", 96, 48, 4000)
STOCK = (WHOLE, Sheet("half", 48, 48, 2300), Sheet("left", 60, 20, 300, count=1, source="rack"))
STICKS = (Stick("8ft", 96, 410), Stick("12ft", 144, 600), Stick("left", 50, 20, 1, "rack"))

sides = st.integers(6, 48)
panels = st.lists(
    st.builds(
        lambda length, width, count, grain: (length, width, count, "length" if grain else "any"),
        sides,
        sides,
        st.integers(1, 4),
        st.booleans(),
    ),
    min_size=1,
    max_size=4,
)


def parts_of(rows: list[tuple[int, int, int, str]], name: str = "K") -> list[Part]:
    return [
        Part(f"{name}{n}", length, width, "ply", count, "length" if grain == "length" else "any")
        for n, (length, width, count, grain) in enumerate(rows)
    ]


@settings(max_examples=20)
@given(rows=panels, kerf=st.integers(0, 1), plain=st.booleans())
def test_what_the_optimiser_finds_lies_between_floor_and_fill(
    rows: list[tuple[int, int, int, str]], kerf: int, plain: bool
) -> None:
    parts = parts_of(rows)
    stock = (WHOLE,) if plain else STOCK
    least, quick = floor(parts, stock, kerf), fill(parts, stock, kerf)
    best = nest(parts, stock, kerf=kerf, search=QUICK)
    assert quick is not None
    assert least <= best.cost
    assert best.bound <= quick


@settings(max_examples=20)
@given(rows=panels, kerf=st.integers(0, 1), more=panels, back=st.integers(0, 1000))
def test_other_names_another_order_and_a_larger_table_change_nothing(
    rows: list[tuple[int, int, int, str]], kerf: int, more: list[tuple[int, int, int, str]], back: int
) -> None:
    mine, theirs = wanted(parts_of(rows))["ply"], wanted(parts_of(rows[::-1], "other"))["ply"]
    assert mine == theirs
    large = {size_of(part) for part in (*parts_of(rows), *parts_of(more))}
    small = Yard({"ply": STOCK}, kerfs={"ply": kerf}, keep=(24, 6), back=back).gauge("ply", (size for size, _ in mine))
    big = Yard({"ply": STOCK[::-1]}, kerfs={"ply": kerf}, keep=(24, 6), back=back).gauge("ply", large)
    want = dict(mine)
    counts = [np.array([want.get(size, 0) for size in gauge.sizes], dtype=np.int64) for gauge in (small, big)]
    assert small.fill(counts[0]) == big.fill(counts[1])


@settings(max_examples=20)
@given(rows=panels, back=st.integers(0, 1000))
def test_what_leftovers_bring_back_is_never_more_than_they_are(
    rows: list[tuple[int, int, int, str]], back: int
) -> None:
    sizes = wanted(parts_of(rows))["ply"]
    counts = np.array([count for _, count in sizes], dtype=np.int64)
    table = tuple(size for size, _ in sizes)
    bought, used = (SheetGauge((WHOLE,), table, 1, (24, 6), each) for each in (0, back))
    costs = bought.fill(counts), used.fill(counts)
    least = int(used.floors((counts @ used.measures).reshape(1, -1))[0])
    assert costs[0] is not None
    assert costs[1] is not None
    assert least <= costs[1] <= costs[0]
    # By hand: the sheets' area that is no part cannot bring back more than all of it is worth.
    net = sum(length * width * count for (length, width, _), count in sizes)
    count = costs[0] // WHOLE.cost
    spare = count * WHOLE.length * WHOLE.width - net
    assert costs[0] - costs[1] <= count * WHOLE.cost * spare * back / (1000 * count * WHOLE.length * WHOLE.width) + 1


def test_one_part_by_hand() -> None:
    # 47 x 47 of 96 x 48, kerf 1: two on a sheet; what is left beside one is 48 x 48 and brings back half of 2,000.
    part = Part("K", 47, 47, "ply")
    assert fill([part], [WHOLE], 1) == 4000
    gauge = SheetGauge((WHOLE,), (size_of(part),), 1, (24, 6), 500)
    one, two, three = (gauge.fill(np.array([n], dtype=np.int64)) for n in (1, 2, 3))
    assert (one, two, three) == (4000 - 4000 * 48 * 48 * 500 // (96 * 48 * 1000), 4000, 2 * 4000 - 1000)
    assert gauge.fill(np.array([0], dtype=np.int64)) == 0


def test_a_part_larger_than_half_a_sheet_each_way_counts_for_a_whole_one() -> None:
    parts = [Part("K", 60, 30, "ply", 3)]
    assert floor(parts, [WHOLE]) == fill(parts, [WHOLE]) == 3 * 4000


def test_a_part_that_fits_nowhere_has_no_fill() -> None:
    assert fill([Part("K", 97, 10, "ply")], [WHOLE]) is None
    assert fill([Part("K", 40, 90, "ply", 1, "length")], [WHOLE]) is None
    gauge = SheetGauge((WHOLE,), ((40, 90, False), (90, 40, True)))
    assert gauge.misfits.tolist() == [1, 0]


def test_sheets_that_run_out_have_no_fill() -> None:
    left = Sheet("left", 60, 20, 300, count=1, source="rack")
    assert fill([Part("K", 60, 20, "ply")], [left]) == 300
    assert fill([Part("K", 60, 20, "ply", 2)], [left]) is None


def test_price_breaks_are_kept() -> None:
    sheet = Sheet("whole", 96, 48, 4000, breaks=((3, 3000),))
    parts = [Part("K", 96, 48, "ply", 3)]
    assert floor(parts, [sheet]) == fill(parts, [sheet]) == 9000


def test_two_goods_in_one_call_are_refused() -> None:
    with pytest.raises(ValueError, match="one good"):
        fill([Part("K", 9, 9, "ply"), Part("L", 9, 9, "board")], [WHOLE])


@settings(max_examples=20)
@given(
    rows=st.lists(st.tuples(st.integers(5, 96), st.integers(1, 5)), min_size=1, max_size=5, unique_by=lambda r: r[0])
)
def test_lumber_lies_between_floor_and_fill_too(rows: list[tuple[int, int]]) -> None:
    parts = [StickPart(f"K{n}", length, "2x3", count) for n, (length, count) in enumerate(rows)]
    sizes = wanted(parts)["2x3"]
    gauge = StickGauge(STICKS, tuple(size for size, _ in sizes), 1, 24)
    counts = np.array([count for _, count in sizes], dtype=np.int64)
    quick = gauge.fill(counts)
    best = cut_sticks(parts, STICKS, kerf=1, search=QUICK)
    assert quick is not None
    assert int(gauge.floors((counts @ gauge.measures).reshape(1, -1))[0]) <= best.cost
    assert best.bound <= quick
    assert quick <= best.cost * 1.5


def test_lumber_by_hand() -> None:
    # Four of 47 in with a kerf of 1: two 8 ft; what is left of one 8 ft beside one part is 48 long and worth keeping.
    gauge = StickGauge(STICKS[:1], ((47, 0, False), (97, 0, False)), 1, 24, 500)
    costs = [gauge.fill(np.array(row, dtype=np.int64)) for row in ((0, 0), (1, 0), (4, 0), (0, 1))]
    assert costs == [0, 410 - 410 * 48 * 500 // (96 * 1000), 820, None]
    assert gauge.misfits.tolist() == [0, 1]


@pytest.mark.parametrize("back", [-1, 1001])
def test_a_leftover_brings_back_a_part_of_its_cost(back: int) -> None:
    with pytest.raises(ValueError, match="brings back"):
        Yard(back=back)


def test_areas_at_the_cheapest_rate_add_up() -> None:
    yard = Yard({"ply": STOCK[:2]}, {"2x3": STICKS[:2]})
    wants = (("ply", (((48, 24, True), 2),)), ("2x3", (((72, 0, False), 2),)), ("foam", (((9, 9, True), 1),)))
    assert yard.by_area(wants) == 4000 * 48 * 24 * 2 // (96 * 48) + 600
    assert yard.measures("2x3")
    assert not yard.measures("foam")


def test_parts_of_several_goods_are_cut_by_themselves() -> None:
    """Two of 48 x 24 in lie on one sheet of 48 x 96, each of two sticks on one of its own; foam is not measured."""
    yard = Yard({"ply": STOCK[:1]}, {"2x3": STICKS[:1]})
    wants = (("ply", (((48, 24, True), 2),)), ("2x3", (((72, 0, False), 2),)), ("foam", (((9, 9, True), 1),)))
    assert yard.fill(wants) == WHOLE.cost + 2 * 410
    assert yard.fill((("ply", (((480, 240, True), 1),)),)) is None
