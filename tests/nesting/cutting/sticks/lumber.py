"""What the tests of lumber share: arithmetic of their own, all plans of small problems, a model, invented orders."""

import itertools
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cache
from typing import Literal

import pytest
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from nesting.base.search import Effort, Search
from nesting.cutting.parts import StickPart
from nesting.cutting.sticks import Stick, StickError, StickPlan, cut_sticks

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
    parts: Sequence[StickPart], sticks: Sequence[Stick], kerf: int = 0, effort: Effort = "normal", seed: int = 0
) -> StickPlan:
    plan = cut_sticks(parts, sticks, kerf=kerf, search=Search(seed, effort))
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


def assert_best_of_all(parts: Sequence[StickPart], sticks: Sequence[Stick], kerf: int) -> None:
    """Assert that the plan is the best of all plans, ties included, or that there is none."""
    best = best_of_all(parts, sticks, kerf)
    if best is None:
        with pytest.raises(StickError, match="too few sticks"):
            cut_sticks(parts, sticks, kerf=kerf)
        return
    plan = solve(parts, sticks, kerf)
    assert plan.proven
    assert (plan.cost, plan.spend, plan.count) == best


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


def orders(rng: random.Random, sizes: int, most: int) -> list[StickPart]:
    """Return lengths in sixteenths of an inch, as crates need them."""
    return [stick_part(f"p{i}", rng.randint(8 * 16, 70 * 16) * IN // 16, rng.randint(1, most)) for i in range(sizes)]


# Real orders: outer cases, each with twelve edges of three lengths and two skids, sizes to the sixteenth.


def case_lumber(rng: random.Random) -> list[StickPart]:
    """Return the lumber of one to eight invented cases."""
    parts = []
    for case in range(rng.randint(1, 8)):
        for name, low, high in (("long", 30, 90), ("short", 24, 70), ("deep", 8, 30)):
            parts.append(stick_part(f"K{case}.{name}", rng.randint(low * 16, high * 16) * IN // 16, 4))
        parts.append(stick_part(f"K{case}.skid", rng.randint(10 * 16, 30 * 16) * IN // 16, 2))
    return parts


def all_patterns(sizes: Sequence[int], demand: Sequence[int], room: int) -> list[tuple[int, ...]]:
    """Return every pattern of a small problem."""
    choices = itertools.product(*(range(count + 1) for count in demand))
    return [c for c in choices if sum(n * size for n, size in zip(c, sizes, strict=True)) <= room]
