"""Lumber: every plan is checked by arithmetic of its own, small ones against all plans, larger ones against CP-SAT.

Prices are invented.
"""

import itertools
import random
import signal
import subprocess
import sys
import threading
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

import nesting.sticks
from nesting.parts import StickPart
from nesting.sticks import Stick, StickError, StickPlan, cut_sticks
from nesting.sticks.bounds import Cut, by_length, fractional
from nesting.sticks.columns import Columns
from nesting.sticks.exact import Listing, run_solver
from nesting.sticks.pricing import Pricer
from nesting.sticks.problem import pose

IN = 203_200
KERF = IN // 8
YARD = (Stick("2x3 8ft", 96 * IN, 410), Stick("2x3 10ft", 120 * IN, 525), Stick("2x3 12ft", 144 * IN, 640))


def stick_part(name: str, length: int, count: int = 1) -> StickPart:
    return StickPart(name, length, "2x3", count)


def paid(stick: Stick, count: int) -> int:
    """Return what some sticks of one stock cost: the break reached applies to all of them."""
    return count * [each for start, each in ((1, stick.cost), *stick.breaks) if start <= count][-1] if count else 0


def check(plan: StickPlan, parts: Sequence[StickPart], kerf: int) -> None:
    """Check a plan by arithmetic of its own."""
    length = {part.name: part.length for part in parts}
    made: Counter[str] = Counter()
    taken: Counter[Stick] = Counter()
    remainder = 0
    for layout in plan.sticks:
        assert layout.repeat >= 1
        usable = layout.stick.length - layout.stick.trim
        filled = sum(length[name] for name in layout.parts)
        assert filled + kerf * max(len(layout.parts) - 1, 0) <= usable
        remainder = max(remainder, usable - filled - kerf * len(layout.parts))
        made.update({name: count * layout.repeat for name, count in Counter(layout.parts).items()})
        taken[layout.stick] += layout.repeat
    assert made == Counter({part.name: part.count for part in parts})
    assert all(stick.count is None or count <= stick.count for stick, count in taken.items())
    assert plan.cost == sum(paid(stick, count) for stick, count in taken.items())
    assert plan.spend == sum(paid(stick, count) for stick, count in taken.items() if stick.source == "buy")
    assert plan.bound <= plan.cost
    assert plan.proven is (plan.bound == plan.cost)
    assert plan.remainder == remainder
    assert len({(layout.stick, layout.parts) for layout in plan.sticks}) == len(plan.sticks)


def solve(
    parts: Sequence[StickPart], sticks: Sequence[Stick], kerf: int = 0, effort: str = "normal", seed: int = 0
) -> StickPlan:
    plan = cut_sticks(parts, sticks, kerf=kerf, effort=effort, seed=seed)
    check(plan, parts, kerf)
    return plan


# All plans of a small problem.


def partitions(items: tuple[int, ...]) -> Iterator[list[list[int]]]:
    """Yield every way to put items into groups."""
    if not items:
        yield []
        return
    for rest in partitions(items[1:]):
        yield [[items[0]], *rest]
        for number, group in enumerate(rest):
            yield [*rest[:number], [items[0], *group], *rest[number + 1 :]]


def best_of_all(parts: Sequence[StickPart], sticks: Sequence[Stick], kerf: int) -> tuple[int, int, int] | None:
    """Return the least (cost, bought, sticks) of all plans; None when there is none."""

    @cache
    def at_least(stick: Stick, count: int) -> tuple[int, int, int]:
        most = stick.count if stick.count is not None else max(count, *(start for start, _ in stick.breaks), 0)
        totals = [(paid(stick, n), n) for n in range(count, max(most, count) + 1)]
        total, bought = min(totals)
        return total, total if stick.source == "buy" else 0, bought

    lengths = tuple(part.length for part in parts for _ in range(part.count))
    best: tuple[int, int, int] | None = None
    filled = {tuple(sorted(sum(group) + kerf * (len(group) - 1) for group in groups)) for groups in partitions(lengths)}
    for groups in filled:
        for chosen in itertools.product(sticks, repeat=len(groups)):
            if any(used > stick.length - stick.trim for used, stick in zip(groups, chosen, strict=True)):
                continue
            counts = Counter(chosen)
            if any(stick.count is not None and n > stick.count for stick, n in counts.items()):
                continue
            sums = [at_least(stick, n) for stick, n in counts.items()]
            key = (sum(s[0] for s in sums), sum(s[1] for s in sums), sum(s[2] for s in sums))
            best = key if best is None else min(best, key)
    return best


@st.composite
def small_sticks(draw: st.DrawFn, number: int) -> Stick:
    source: Literal["buy", "rack"] = draw(st.sampled_from(["buy", "rack"]))
    count = draw(st.integers(1, 3)) if source == "rack" else draw(st.none() | st.integers(1, 4))
    breaks: tuple[tuple[int, int], ...] = ()
    if source == "buy" and draw(st.booleans()):
        breaks = ((draw(st.integers(2, 4)), draw(st.integers(0, 12))),)
    return Stick(
        f"s{number}",
        draw(st.integers(6, 24)),
        draw(st.integers(0, 12)),
        count,
        source,
        breaks,
        draw(st.integers(0, 2)),
    )


@st.composite
def small_problems(draw: st.DrawFn) -> tuple[list[StickPart], list[Stick], int]:
    sticks = [draw(small_sticks(number)) for number in range(draw(st.integers(1, 3)))]
    longest = max(stick.usable for stick in sticks)
    lengths = draw(st.lists(st.integers(1, longest), min_size=1, max_size=5))
    return [stick_part(f"p{i}", length) for i, length in enumerate(lengths)], sticks, draw(st.integers(0, 2))


@given(small_problems())
@settings(max_examples=250)
def test_small_problems_agree_with_all_plans(problem: tuple[list[StickPart], list[Stick], int]) -> None:
    parts, sticks, kerf = problem
    best = best_of_all(parts, sticks, kerf)
    if best is None:
        with pytest.raises(StickError, match="too few sticks"):
            cut_sticks(parts, sticks, kerf=kerf)
        return
    plan = solve(parts, sticks, kerf)
    assert plan.proven
    assert (plan.cost, plan.spend, plan.count) == best


def test_all_plans_are_tried() -> None:
    assert sum(1 for _ in partitions(tuple(range(6)))) == 203  # the sixth Bell number


# An independent model, each part assigned to a stick.


def assigned(parts: Sequence[StickPart], sticks: Sequence[Stick], kerf: int) -> int:
    """Return the least cost by a model that knows no patterns: so many of each part on each of so many sticks."""
    model = cp_model.CpModel()
    bins = range(sum(part.count for part in parts))
    stocks = range(len(sticks))
    used = {(s, b): model.new_bool_var("") for s in stocks for b in bins}
    inside = {(p, b): model.new_int_var(0, part.count, "") for p, part in enumerate(parts) for b in bins}
    for p, part in enumerate(parts):
        model.add(sum(inside[p, b] for b in bins) == part.count)
    filled = [sum((part.length + kerf) * inside[p, b] for p, part in enumerate(parts)) for b in bins]
    room = [sum((stick.usable + kerf) * used[s, b] for s, stick in enumerate(sticks)) for b in bins]
    for b in bins:
        model.add_at_most_one(used[s, b] for s in stocks)
        model.add(filled[b] <= room[b])
        if b:
            model.add(filled[b] <= filled[b - 1])
    for s, stick in enumerate(sticks):
        if stick.count is not None:
            model.add(sum(used[s, b] for b in bins) <= stick.count)
    model.minimize(sum(stick.cost * used[s, b] for s, stick in enumerate(sticks) for b in bins))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.catch_sigint_signal = False  # else it keeps the signal from Python for good
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


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


# Refusals, before any search.


@pytest.mark.parametrize(
    ("parts", "sticks", "kerf", "words"),
    [
        ([stick_part("p", 145 * IN)], YARD, 0, "part p is longer than every stick; the longest is 2x3 12ft"),
        ([stick_part("p", 1)], (), 0, "there are no sticks"),
        ([stick_part("p", 1)], (Stick("s", 9, 1, count=0),), 0, "there are no sticks"),
        ([stick_part("p", 5), StickPart("q", 5, "2x4")], YARD, 0, "one call cuts one good, not 2x3, 2x4"),
        ([stick_part("p", 5), stick_part("p", 6)], YARD, 0, "part p is named twice"),
        ([stick_part("p", 5)], (YARD[0], YARD[0]), 0, "stick 2x3 8ft is named twice"),
        ([stick_part("p", 5)], YARD, -1, "kerf must be from 0"),
        ([stick_part("p", 5, 10**9)], YARD, 0, "more than 1000000 in one call"),
        ([stick_part("p", 2**50)], YARD, 0, "is more than"),
        (
            [stick_part("p", 60, 3), stick_part("q", 40), stick_part("r", 19)],
            (Stick("s", 119, 1, count=2), Stick("t", 40, 1, count=1)),
            0,
            "of the 3 longest parts 2 find room",
        ),
        ([stick_part("p", 30, 7)], (Stick("s", 100, 1, count=2),), 0, "all of them are 85% of the parts"),
    ],
)
def test_what_cannot_be_cut_is_refused_before_any_search(
    monkeypatch: pytest.MonkeyPatch,
    parts: list[StickPart],
    sticks: tuple[Stick, ...],
    kerf: int,
    words: str,
) -> None:
    def no_search(*_: object) -> None:
        pytest.fail("a search was begun")

    monkeypatch.setattr(nesting.sticks.solve, "Search", no_search)
    with pytest.raises(StickError, match=words):
        cut_sticks(parts, sticks, kerf=kerf)


def test_all_faults_are_told_at_once() -> None:
    parts = [stick_part("p", 145 * IN), stick_part("q", 146 * IN), stick_part("q", 1)]
    with pytest.raises(StickError) as error:
        cut_sticks(parts, YARD)
    assert len(error.value.faults) == 3


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": ""}, "needs a name"),
        ({"length": 0}, "length must be from 1"),
        ({"length": 1.5}, "length must be an integer"),
        ({"cost": -1}, "cost must be from 0"),
        ({"cost": True}, "cost must be an integer"),
        ({"count": -1}, "count must be from 0"),
        ({"trim": 96}, "trim 96 leaves nothing"),
        ({"source": "found"}, "source must be"),
        ({"source": "rack"}, "rack stock has a count"),
        ({"breaks": ((1, 5),)}, "break must be from 2"),
        ({"breaks": ((5, 5), (5, 4))}, "break must be from 6"),
        ({"breaks": ((5, -5),)}, "break price must be from 0"),
    ],
)
def test_a_wrong_stick_is_refused_at_birth(change: dict[str, object], words: str) -> None:
    with pytest.raises(StickError, match=words):
        replace(Stick("s", 96, 410), **change)  # type: ignore[arg-type]  # wrong on purpose


def test_an_unknown_effort_is_refused() -> None:
    with pytest.raises(StickError, match="effort must be one of"):
        cut_sticks([stick_part("p", 1)], YARD, effort="heroic")


def test_too_few_sticks_that_only_a_search_can_tell() -> None:
    # Room and places are enough, and still no three parts share a stick: 50 + 47 leaves 3, and 30 + 50 leaves 20.
    parts = [stick_part("a", 50, 2), stick_part("b", 47), stick_part("c", 45)]
    with pytest.raises(StickError, match="there are too few sticks"):
        cut_sticks(parts, [Stick("s", 96, 1, count=2)])


# Properties.


def orders(rng: random.Random, sizes: int, most: int) -> list[StickPart]:
    """Return lengths in sixteenths of an inch, as crates need them."""
    return [stick_part(f"p{i}", rng.randint(8 * 16, 70 * 16) * IN // 16, rng.randint(1, most)) for i in range(sizes)]


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
def test_more_effort_never_costs_more_here(effort: str) -> None:
    parts = orders(random.Random(3), 20, 8)
    assert solve(parts, YARD, KERF, effort).cost >= solve(parts, YARD, KERF, "thorough").cost


# Real orders: outer cases, each with twelve edges of three lengths and two skids, sizes to the sixteenth.


def case_lumber(rng: random.Random) -> list[StickPart]:
    """Return the lumber of one to eight invented cases."""
    parts = []
    for case in range(rng.randint(1, 8)):
        for name, low, high in (("long", 30, 90), ("short", 24, 70), ("deep", 8, 30)):
            parts.append(stick_part(f"K{case}.{name}", rng.randint(low * 16, high * 16) * IN // 16, 4))
        parts.append(stick_part(f"K{case}.skid", rng.randint(10 * 16, 30 * 16) * IN // 16, 2))
    return parts


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
from nesting.parts import StickPart
from nesting.sticks import Stick, cut_sticks
plan = cut_sticks([StickPart("p", 30, "g", {})], [Stick("s", 100, 1), Stick("t", 70, 1)])
print(plan.proven, any(name.split(".")[0] == "ortools" for name in sys.modules))
"""
    run = subprocess.run([sys.executable, "-c", script.format(7)], capture_output=True, text=True, check=True)
    assert run.stdout.split() == ["True", "False"]


# Ctrl-C.


def test_an_interrupted_search_gives_the_best_plan_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    parts = orders(random.Random(0), 20, 5)
    whole = solve(parts, YARD, KERF)
    monkeypatch.setattr(Columns, "check", interrupt)
    plan = solve(parts, YARD, KERF)
    assert whole.stopped is None
    assert plan.stopped == "interrupt"
    assert plan.bound <= whole.bound <= whole.cost <= plan.cost


def test_the_solver_stops_when_it_is_interrupted() -> None:
    # Market split (Cornuejols and Dawande 1999, doi:10.1287/ijoc.11.2.205): far longer than the test would wait.
    rng = random.Random(1)
    model = cp_model.CpModel()
    choices = [model.new_bool_var("") for _ in range(50)]
    for _ in range(6):
        weights = [rng.randint(0, 99) for _ in choices]
        model.add(sum(w * chosen for w, chosen in zip(weights, choices, strict=True)) == sum(weights) // 2)
    signal.signal(signal.SIGINT, signal.default_int_handler)  # a solver in another test may have kept it
    timer = threading.Timer(1.0, signal.pthread_kill, (threading.main_thread().ident, signal.SIGINT))
    timer.start()
    _, outcome, interrupted = run_solver(model, 0, 60.0)
    timer.cancel()
    assert (outcome, interrupted) == ("open", True)


# The bounds, piece by piece.


def all_patterns(sizes: Sequence[int], demand: Sequence[int], room: int) -> list[tuple[int, ...]]:
    """Return every pattern of a small problem."""
    choices = itertools.product(*(range(count + 1) for count in demand))
    return [c for c in choices if sum(n * size for n, size in zip(c, sizes, strict=True)) <= room]


@given(
    st.lists(st.tuples(st.integers(1, 30), st.integers(1, 4), st.integers(0, 50)), min_size=1, max_size=4),
    st.lists(st.integers(1, 60), min_size=1, max_size=3),
)
def test_pricing_is_exact(items: list[tuple[int, int, int]], lengths: list[int]) -> None:
    sizes, demand, values = zip(*items, strict=True)
    for length, (value, pattern) in zip(lengths, Pricer(sizes, demand, lengths).price(values), strict=True):
        patterns = all_patterns(sizes, demand, length)
        assert value == max(sum(n * v for n, v in zip(c, values, strict=True)) for c in patterns)
        assert sum(count * values[item] for item, count in pattern) == value
        assert sum(count * sizes[item] for item, count in pattern) <= length
        assert all(count <= demand[item] for item, count in pattern)


@given(small_problems())
def test_every_cut_holds_for_the_best_plan(problem: tuple[list[StickPart], list[Stick], int]) -> None:
    parts, sticks, kerf = problem
    try:
        posed = pose(parts, sticks, kerf)
    except StickError:
        return
    best = best_of_all(parts, sticks, kerf)
    cuts = [by_length(posed)]
    verdict = Columns(posed, [], 10**8).check((0,) * len(posed.stocks)).cut
    if verdict is not None:
        cuts.append(verdict)
    if best is not None:
        assert all(fractional(posed, cut) <= best[0] for cut in cuts)


def test_the_relaxation_proves_what_length_cannot() -> None:
    # Three parts of 51 from sticks of 100: by length two sticks would do, by patterns it takes three.
    posed = pose([stick_part("p", 51, 3)], [Stick("s", 100, 10), Stick("t", 98, 10)], 0)
    assert fractional(posed, Cut((100,), (100, 98), 300)) > 0
    verdict = Columns(posed, [], 10**8).check((2, 0))
    assert verdict.cut is not None
    assert verdict.cut.slack((2, 0)) < 0
    assert verdict.cut.slack((3, 0)) >= 0
    assert verdict.cut.slack((1, 2)) >= 0


@given(small_problems())
def test_listing_leaves_out_no_pattern_of_the_best_plan(problem: tuple[list[StickPart], list[Stick], int]) -> None:
    parts, sticks, kerf = problem
    try:
        posed = pose(parts, sticks, kerf)
        plan = cut_sticks(parts, sticks, kerf=kerf)
    except StickError:
        return
    mix = tuple(sum(layout.repeat for layout in plan.sticks if layout.stick in stock.twins) for stock in posed.stocks)
    listed = Listing(posed, [by_length(posed)], mix, "normal").run()
    assert listed is not None
    sizes = {size * posed.unit - kerf: item for item, size in enumerate(posed.sizes)}
    lengths = {part.name: part.length for part in parts}
    for layout in plan.sticks:
        stock = next(i for i, s in enumerate(posed.stocks) if layout.stick in s.twins)
        cut = Counter(sizes[lengths[name]] for name in layout.parts)
        assert any(s == stock and not cut - Counter(dict(pattern)) for s, pattern in listed)


def test_exported_names() -> None:
    assert set(nesting.sticks.__all__) == {"Stick", "StickError", "StickLayout", "StickPlan", "cut_sticks"}
