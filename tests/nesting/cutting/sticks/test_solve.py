"""Lumber: every plan is checked by arithmetic of its own, small ones against all plans, larger ones against CP-SAT.

Prices are invented.
"""

import random
import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given, settings

import nesting.cutting.sticks
from nesting.base.search import Effort
from nesting.cutting.parts import StickPart
from nesting.cutting.sticks import Stick, StickError, StickPlan, cut_sticks
from tests.nesting.cutting.sticks.lumber import (
    IN,
    KERF,
    YARD,
    assert_best_of_all,
    assigned,
    case_lumber,
    orders,
    partitions,
    small_problems,
    solve,
    stick_part,
)


@given(small_problems())
@settings(max_examples=250)
def test_small_problems_agree_with_all_plans(problem: tuple[list[StickPart], list[Stick], int]) -> None:
    assert_best_of_all(*problem)


def test_all_plans_are_tried() -> None:
    assert sum(1 for _ in partitions(tuple(range(6)))) == 203  # the sixth Bell number


@pytest.mark.parametrize("seed", range(10))
def test_larger_problems_agree_with_an_assignment_model(seed: int) -> None:
    rng = random.Random(seed)
    sticks = [
        Stick("8ft", 960, rng.randint(380, 420)),
        Stick("10ft", 1200, rng.randint(480, 560)),
        Stick("12ft", 1440, rng.randint(560, 700), count=rng.randint(1, 3)),
        Stick("rack", rng.randint(300, 800), rng.choice([0, 90]), count=1, source="rack"),
    ]
    parts = [stick_part(f"p{i}", rng.randint(200, 700), count) for i, count in enumerate((2, 2, 2, 1, 1))]
    plan = solve(parts, sticks, kerf=2)
    assert plan.proven
    assert plan.cost == assigned(parts, sticks, 2)


# Hand arithmetic.


def test_kerf_arithmetic() -> None:
    # N parts need N w + (N - 1) k (geometry; CALC): four equal parts of 96 in at 1/8 in are 23.90625 in at most, and
    # four of 24 in never come out of 96 in at any kerf above zero.
    eight = [Stick("8ft", 96 * IN, 410)]
    assert solve([stick_part("p", 23 * IN + IN * 29 // 32, 4)], eight, KERF).count == 1
    assert solve([stick_part("p", 23 * IN + IN * 29 // 32 + 1, 4)], eight, KERF).count == 2
    assert solve([stick_part("p", 24 * IN, 4)], eight, 0).count == 1
    assert solve([stick_part("p", 24 * IN, 4)], eight, 1).count == 2


def test_the_last_cut_may_run_off_the_end() -> None:
    plan = solve([stick_part("p", 48 * IN - KERF, 2)], [Stick("8ft", 96 * IN, 410)], KERF)
    assert (plan.count, plan.remainder) == (1, 0)


def test_trim_comes_off_first() -> None:
    exactly = [Stick("8ft", 96 * IN, 410, trim=IN)]
    assert solve([stick_part("p", 95 * IN)], exactly, KERF).count == 1
    with pytest.raises(StickError, match="longer than every stick"):
        cut_sticks([stick_part("p", 95 * IN + 1)], exactly, kerf=KERF)


def test_a_break_that_costs_less_is_bought_whole() -> None:
    sticks = [Stick("8ft", 96, 410, breaks=((6, 250),))]
    plan = solve([stick_part("p", 90, 4)], sticks)
    assert (plan.cost, plan.count, plan.proven) == (1500, 6, True)
    assert sorted((layout.parts, layout.repeat) for layout in plan.sticks) == [((), 2), (("p",), 4)]
    assert plan.remainder == 96
    # ... but not past what there is.
    plan = solve([stick_part("p", 90, 4)], [replace(sticks[0], count=5)])
    assert (plan.cost, plan.count) == (1640, 4)


def test_ties_favour_the_rack_then_few_sticks_then_a_long_remainder() -> None:
    rack = Stick("rack", 50, 410, 1, "rack")
    assert solve([stick_part("p", 40)], [Stick("8ft", 96, 410), rack]).spend == 0
    long = [Stick("8ft", 96, 400), Stick("16ft", 192, 800)]
    plan = solve([stick_part("p", 90, 2)], long)
    assert (plan.cost, plan.count) == (800, 1)
    # Ten of 30 on four sticks of 96: three, three, three and one; the last keeps 66.
    assert solve([stick_part("p", 30, 10)], long[:1]).remainder == 66


def test_equal_offcuts_are_one_stock_and_handed_out_by_name() -> None:
    rack = [Stick(f"r{n}", 50, 100, count, "rack") for n, count in enumerate((1, 2, 4))]
    plan = solve([stick_part("p", 40, 5)], [Stick("8ft", 96, 410), *rack])
    assert [(layout.stick.name, layout.repeat) for layout in plan.sticks] == [("r0", 1), ("r1", 2), ("r2", 2)]


def test_a_full_rack_is_searched_by_the_solver() -> None:
    rng = random.Random(20)
    rack = [Stick(f"r{n}", rng.randint(20, 90) * IN, rng.choice([0, 0, 50, 100, 150]), 1, "rack") for n in range(20)]
    parts = case_lumber(random.Random(30))
    plan = solve(parts, [*YARD, *rack], KERF)
    assert plan.proven
    assert plan.cost <= solve(parts, [*YARD, *rack[:10]], KERF).cost


def test_longest_lengths_are_used_where_they_are_cheapest() -> None:
    # 70 and 50 fill a 120 exactly; two 96 would cost more.
    plan = solve([stick_part("a", 70), stick_part("b", 50)], [Stick("96", 96, 410), Stick("120", 120, 525)])
    assert [(layout.stick.name, layout.parts) for layout in plan.sticks] == [("120", ("a", "b"))]


def test_names_of_equal_lengths_share_layouts() -> None:
    parts = [stick_part("a", 30, 6), stick_part("b", 30, 3), stick_part("c", 30, 3)]
    plan = solve(parts, [Stick("8ft", 96, 410)])
    assert {(layout.parts, layout.repeat) for layout in plan.sticks} == {
        (("a", "a", "a"), 2),
        (("b", "b", "b"), 1),
        (("c", "c", "c"), 1),
    }


def test_nothing_wanted_costs_nothing() -> None:
    assert solve([], YARD) == StickPlan("", 0, (), 0, 0, 0, proven=True, stopped=None)


@pytest.mark.parametrize("seed", range(6))
def test_order_and_unit_do_not_matter(seed: int) -> None:
    rng = random.Random(seed)
    parts = orders(rng, 9, 5)
    plan = solve(parts, YARD, KERF)
    shuffled, sticks = list(parts), list(YARD)
    rng.shuffle(shuffled)
    rng.shuffle(sticks)
    assert solve(shuffled, sticks, KERF) == plan
    larger = [replace(part, length=part.length * 7) for part in parts]
    scaled = solve(larger, [replace(stick, length=stick.length * 7) for stick in YARD], KERF * 7)
    assert [(layout.stick.name, layout.parts, layout.repeat) for layout in scaled.sticks] == [
        (layout.stick.name, layout.parts, layout.repeat) for layout in plan.sticks
    ]
    assert (scaled.cost, scaled.bound, scaled.remainder) == (plan.cost, plan.bound, plan.remainder * 7)


@pytest.mark.parametrize("seed", range(6))
def test_more_stock_or_fewer_parts_never_cost_more(seed: int) -> None:
    rng = random.Random(100 + seed)
    parts = orders(rng, 8, 4)
    plan = solve(parts, YARD, KERF)
    more = solve(parts, [*YARD, Stick("14ft", 168 * IN, 760), Stick("r", 60 * IN, 0, 2, "rack")], KERF)
    fewer = solve(parts[1:], YARD, KERF)
    assert plan.proven
    assert more.proven
    assert fewer.proven
    assert more.cost <= plan.cost
    assert fewer.cost <= plan.cost


def test_same_input_seed_and_effort_give_the_same_plan() -> None:
    parts = orders(random.Random(12), 30, 8)
    for effort in ("quick", "normal"):
        assert solve(parts, YARD, KERF, effort, 3) == solve(parts, YARD, KERF, effort, 3)


@pytest.mark.parametrize("effort", ["quick", "normal", "thorough"])
def test_more_effort_never_costs_more_here(effort: Effort) -> None:
    parts = orders(random.Random(3), 20, 8)
    assert solve(parts, YARD, KERF, effort).cost >= solve(parts, YARD, KERF, "thorough").cost


@pytest.mark.slow
def test_lumber_of_generated_consignments_is_proven() -> None:
    breaks = (*YARD[:2], replace(YARD[2], breaks=((10, 600),)), Stick("r1", 41 * IN, 120, 2, "rack"))
    proven = [
        solve(case_lumber(random.Random(seed)), sticks, KERF).proven for seed in range(20) for sticks in (YARD, breaks)
    ]
    assert sum(proven) >= 0.95 * len(proven)


def test_large_counts_are_quick_and_near_the_bound() -> None:
    plan = solve([stick_part("p", 31 * IN, 1_000_000)], YARD, KERF)
    assert plan.proven
    rng = random.Random(8)
    plan = solve([stick_part(f"p{i}", rng.randint(80, 700) * IN // 10, 500) for i in range(12)], YARD, KERF)
    assert plan.cost <= plan.bound * 1.001


def test_the_solver_is_imported_only_where_it_is_needed() -> None:
    script = """
import sys
from nesting.cutting.parts import StickPart
from nesting.cutting.sticks import Stick, cut_sticks
plan = cut_sticks([StickPart("p", 30, "g", {})], [Stick("s", 100, 1), Stick("t", 70, 1)])
print(plan.proven, any(name.split(".")[0] == "ortools" for name in sys.modules))
"""
    run = subprocess.run([sys.executable, "-c", script.format(7)], capture_output=True, text=True, check=True)
    assert run.stdout.split() == ["True", "False"]


def test_exported_names() -> None:
    assert set(nesting.cutting.sticks.__all__) == {"Stick", "StickError", "StickLayout", "StickPlan", "cut_sticks"}
