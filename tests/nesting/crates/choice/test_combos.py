"""Combinations of designs: against all of them on tiny orders, and laws."""

from collections import Counter
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.crates.choice.combos import Combination, Group, Option, Steps, best_combinations
from nesting.cutting.sheets import Sheet
from nesting.cutting.sticks import Stick
from nesting.cutting.yardstick import SheetGauge, Size, StickGauge, Wanted, Yard

YARD = Yard(
    {"ply": (Sheet("whole", 96, 48, 4000), Sheet("half", 48, 48, 2300)), "board": (Sheet("board", 96, 48, 2100),)},
    {"lumber": (Stick("8ft", 96, 410), Stick("12ft", 144, 700))},
    {"ply": 1, "board": 1},
    1,
    (24, 6),
    750,
)


def wants(**goods: tuple[tuple[int, int, int], ...]) -> tuple[tuple[str, Wanted], ...]:
    """Length, width and count of the parts of each good; a width of 0 makes a stick."""
    sizes: dict[str, dict[Size, int]] = {}
    for good, parts in sorted(goods.items()):
        for length, width, count in parts:
            size = (max(length, width), min(length, width), bool(width))
            sizes.setdefault(good, {}).setdefault(size, 0)
            sizes[good][size] += count
    return tuple((good, tuple(sorted(each.items()))) for good, each in sizes.items())


def gauges_of(groups: tuple[Group, ...], yard: Yard = YARD) -> dict[str, SheetGauge | StickGauge]:
    """Return gauges of all that any option wants."""
    sizes: dict[str, set[Size]] = {}
    for option in (o for group in groups for each in group for slot in each for o in slot):
        for good, sized in option.wants:
            sizes.setdefault(good, set()).update(size for size, _ in sized)
    return {good: yard.gauge(good, each) for good, each in sizes.items()}


def cost_of(groups: tuple[Group, ...], found: Combination, gauges: dict[str, SheetGauge | StickGauge]) -> int | None:
    """Cost a combination anew, option by option."""
    cost = 0
    counts: dict[str, Counter[Size]] = {}
    for group, number, chosen in zip(groups, found.alternatives, found.options, strict=True):
        for slot, option in zip(group[number], chosen, strict=True):
            cost += slot[option].rest
            for good, sized in slot[option].wants:
                counts.setdefault(good, Counter()).update(dict(sized))
    for good, each in counts.items():
        cut = gauges[good].fill(np.array([each[size] for size in gauges[good].sizes], dtype=np.int64))
        if cut is None:
            return None
        cost += cut
    return cost


def every(groups: tuple[Group, ...]) -> list[Combination]:
    """Return all combinations, by brute force."""
    made, gauges = [], gauges_of(groups)
    for alternatives in product(*(range(len(group)) for group in groups)):
        slots = [group[number] for group, number in zip(groups, alternatives, strict=True)]
        for options in product(*(product(*(range(len(slot)) for slot in each)) for each in slots)):
            each = Combination(0, tuple(alternatives), tuple(options))
            cost = cost_of(groups, each, gauges)
            if cost is not None:
                made.append(Combination(cost, each.alternatives, each.options))
    return made


sides = st.integers(8, 60)
parts = st.lists(st.tuples(sides, sides, st.integers(1, 3)), min_size=1, max_size=2).map(tuple)
options = st.builds(
    lambda rest, ply, board, sticks: Option(
        rest, wants(ply=ply, board=board, lumber=tuple((length, 0, 2) for length in sticks))
    ),
    st.integers(0, 3000),
    parts,
    parts,
    st.lists(st.integers(20, 90), max_size=2),
)
slots = st.lists(options, min_size=1, max_size=2).map(tuple)
alternatives = st.lists(slots, min_size=1, max_size=2).map(tuple)
orders = st.lists(st.lists(alternatives, min_size=1, max_size=2).map(tuple), min_size=1, max_size=2).map(tuple)


@settings(max_examples=12)
@given(groups=orders)
def test_tiny_orders_agree_with_every_combination(groups: tuple[Group, ...]) -> None:
    found = best_combinations(groups, YARD)
    brute = every(groups)
    assert found.complete
    if not brute:
        assert not found.best
        return
    assert found.best[0].cost == min(each.cost for each in brute)
    for each in found.best[:3]:
        assert each.cost == cost_of(groups, each, gauges_of(groups))
    if found.ruled is not None:
        assert found.best[0].cost <= found.ruled.cost


def panel(rest: int, *sizes: tuple[int, int, int]) -> Option:
    return Option(rest, wants(board=sizes))


def test_parts_of_two_crates_that_share_a_sheet_are_chosen_though_each_is_dearer_by_itself() -> None:
    yard = Yard({"board": (Sheet("board", 96, 48, 2000),)}, kerfs={"board": 1})
    alone = panel(0, (60, 40, 1))
    shared = panel(300, (47, 47, 1))
    found = best_combinations(((((alone, shared), (alone, shared)),),), yard)
    # Two of 60 x 40 take two sheets; two of 47 x 47, with a kerf between, take one.
    assert found.best[0] == Combination(2600, (0,), ((1, 1),))
    assert found.ruled == Combination(4000, (0,), ((0, 0),))


def test_what_is_cut_in_any_case_leaves_room_that_a_design_may_use() -> None:
    yard = Yard({"board": (Sheet("board", 96, 48, 2000),)})
    group = (((panel(0, (50, 30, 1)), panel(100, (36, 48, 1))),),)
    assert best_combinations((group,), yard).best[0].options == ((0,),)
    assert best_combinations((group,), yard, wants(board=((60, 48, 1),))).best[0].options == ((1,),)


def test_a_good_that_is_not_measured_costs_nothing_here() -> None:
    group = (((Option(7, wants(foam=((10, 10, 1),))),),),)
    assert best_combinations((group,), YARD).best[0].cost == 7


def test_a_design_that_fits_on_no_sheet_is_not_taken() -> None:
    yard = Yard({"board": (Sheet("board", 96, 48, 2000),)})
    group = (((panel(0, (50, 49, 1)), panel(900, (50, 30, 1))),),)
    found = best_combinations((group,), yard)
    assert [each.options for each in found.best] == [((1,),)]
    assert found.ruled is None


@settings(max_examples=10)
@given(groups=orders, turned=st.booleans())
def test_slots_in_another_order_come_to_the_same_cost(groups: tuple[Group, ...], turned: bool) -> None:
    other = tuple(tuple(each[::-1] for each in group) for group in groups)
    other = other[::-1] if turned else other
    mine, theirs = best_combinations(groups, YARD), best_combinations(other, YARD)
    assert [each.cost for each in mine.best[:1]] == [each.cost for each in theirs.best[:1]]


def test_few_steps_still_find_what_the_rules_give_and_what_one_change_brings() -> None:
    yard = Yard({"board": (Sheet("board", 96, 48, 2000),)})
    dear = panel(500, (50, 40, 1))
    slot = tuple(panel(n, (90 - n, 20, 1)) for n in range(30))
    found = best_combinations((((((dear, *slot)), (dear, *slot), slot),),), yard, steps=Steps(1, 3, 60, 1))
    assert not found.complete
    assert found.compared <= 60 + 60 + 1
    assert found.ruled is not None
    assert found.best[0].cost < found.ruled.cost


@pytest.mark.parametrize("groups", [((),), ((((),),),)])
def test_nothing_to_choose_from_is_refused(groups: tuple[Group, ...]) -> None:
    with pytest.raises(ValueError, match="needs"):
        best_combinations(groups, YARD)


def test_equal_crates_are_not_told_apart() -> None:
    slot = (panel(0, (40, 30, 1)), panel(10, (47, 24, 1)), panel(20, (47, 47, 1)))
    found = best_combinations((((slot,) * 4,),), YARD)
    assert all(list(each.options[0]) == sorted(each.options[0]) for each in found.best)


def test_gauges_are_made_for_what_a_yard_measures() -> None:
    assert isinstance(YARD.gauge("ply", [(10, 10, True)]), SheetGauge)
    assert isinstance(YARD.gauge("lumber", [(10, 0, False)]), StickGauge)
