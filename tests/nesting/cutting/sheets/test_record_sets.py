"""The benchmark's sets of parts, and the layouts and proofs made of them, against all subsets and all layouts."""

import csv
import json
from collections import Counter
from functools import cache
from itertools import combinations, product
from random import Random

import numpy as np
import pytest

from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet, nest
from nesting.cutting.sheets.pattern import contents, need
from nesting.cutting.sheets.problem import Problem, read_problem
from tests.benchmarks.instances import references
from tests.benchmarks.record import sets as record_sets
from tests.benchmarks.record.__main__ import LAYOUTS, TABLE
from tests.benchmarks.record.closing import Work, close
from tests.benchmarks.record.replay import replayed
from tests.benchmarks.record.sets import Sets, laid_out


def small(seed: int, count: int = 7, side: int = 12) -> Problem:
    """Make a problem of few parts, some alike, on a small sheet."""
    random = Random(seed)
    sizes = [(random.randint(2, 9), random.randint(2, 9)) for _ in range(count - 2)]
    parts = [Part(f"p{k}", *size, "g", 1 + (k < 2)) for k, size in enumerate(sizes)]
    return read_problem(parts, [Sheet("s", side, side - seed % 3, 1)], 0)


def holds(problem: Problem, parts: tuple[int, ...]) -> bool:
    """Whether the sheet holds these items, by trying every cut at every place."""
    stock = problem.stocks[0]

    @cache
    def fits(left: tuple[int, ...], length: int, width: int) -> bool:
        if len(left) <= 1:
            return not left or any(a <= length and b <= width for a, b in problem.items[left[0]].ways())
        for flags in product((0, 1), repeat=len(left) - 1):
            one = (left[0], *(t for t, flag in zip(left[1:], flags, strict=True) if flag))
            two = tuple(t for t, flag in zip(left[1:], flags, strict=True) if not flag)
            if two and any((fits(one, at, width) and fits(two, length - at, width)) for at in range(1, length)):
                return True
            if two and any((fits(one, length, at) and fits(two, length, width - at)) for at in range(1, width)):
                return True
        return False

    return fits(parts, stock.length, stock.width)


def largest(problem: Problem, values: "np.ndarray", worth: int) -> set[frozenset[tuple[int, int]]]:
    """All largest sets that the sheet holds and that are worth enough, from all subsets."""
    every = [t for t, item in enumerate(problem.items) for _ in range(item.demand)]
    held = {
        parts
        for n in range(1, len(every) + 1)
        for parts in set(combinations(every, n))
        if sum(problem.items[t].area for t in parts) <= problem.stocks[0].area and holds(problem, parts)
    }
    room = Counter(every)
    return {
        frozenset(Counter(parts).items())
        for parts in held
        if sum(int(values[t]) for t in parts) >= worth
        and not any(Counter(parts)[t] < room[t] and tuple(sorted((*parts, t))) in held for t in room)
    }


@pytest.fixture(autouse=True)
def little_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    """So little that it is emptied again and again."""
    monkeypatch.setattr(record_sets, "_BITS", 14)
    monkeypatch.setattr(record_sets, "_LISTED", 10_000)


@pytest.mark.parametrize("seed", [0, 1, 3])
def test_sets_are_those_of_all_subsets(seed: int) -> None:
    problem = small(seed)
    random = Random(seed)
    values = np.array([item.area * random.randint(5, 15) for item in problem.items], np.int64)
    listing = Sets(problem)
    whole = problem.stocks[0].area * 10
    for worth in (1, whole // 2, whole * 9 // 10, whole):
        found = listing.listed(values, worth)
        assert found.is_complete
        assert {held for _, held in found.columns} == largest(problem, values, worth)
        assert len(found.columns) == len(set(found.columns))


@pytest.mark.parametrize("seed", [0, 1])
def test_sets_can_be_cut(seed: int) -> None:
    problem = small(seed)
    stock = problem.stocks[0]
    values = np.array([item.area for item in problem.items], np.int64)
    for column in Sets(problem).listed(values, stock.area // 2).columns:
        pattern = laid_out(problem, column)
        assert pattern is not None
        assert frozenset(contents(pattern).items()) == column[1]
        along, across = need(problem, pattern)
        assert along <= stock.length
        assert across <= stock.width
    assert laid_out(problem, (0, frozenset((t, i.demand) for t, i in enumerate(problem.items)))) is None


@pytest.mark.parametrize("seed", [0, 3])
def test_closing_agrees_with_the_engine(seed: int) -> None:
    problem = small(seed, 10)
    layout = nest([p for item in problem.items for p in item.parts], [s.sheet for s in problem.stocks])
    assert layout.proven
    known = [(0, frozenset({(t, 1)})) for t in range(len(problem.items))]
    proof = close(problem, layout.cost, known, 0, Work())
    assert (proof.bound, proof.columns) == (layout.cost, ())
    found = close(problem, layout.cost + 1, known, 0, Work())
    assert len(found.columns) <= layout.cost
    assert all(laid_out(problem, column) is not None for column in found.columns)
    held = Counter[int]()
    for _, counts in found.columns:
        held.update(dict(counts))
    missing = [t for t, item in enumerate(problem.items) if held[t] < item.demand]
    assert found.bound == 0
    assert not missing or found.how == "chosen among sets of parts"  # others have no worth, and are put in later


def test_each_layout_that_saves_a_sheet_is_cut_again_of_the_instance_as_it_is_published() -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = {row["instance"]: row for row in csv.DictReader(file)}
    saved = {name for name, row in rows.items() if int(row["record"]) < int(row["normal"])}
    assert {file.stem for file in LAYOUTS.glob("*.json")} == saved
    assert all(int(row["bound"]) <= int(row["record"]) for row in rows.values())
    published = {each.name: each for each in references("classic") if each.name in saved}
    for name in saved:
        written = json.loads((LAYOUTS / f"{name}.json").read_text(encoding="utf-8"))
        assert replayed(written) == int(rows[name]["record"])
        each = published[name]
        assert written["sheet"] == [each.sheet.length, each.sheet.width]
        wanted = Counter((part["part"], *part["size"], part["count"]) for part in written["wanted"])
        assert wanted == Counter((part.name, part.length, part.width, part.count) for part in each.parts)
