"""Cases partitioned at the least cost: against all partitions, simple rules and laws."""

import subprocess
import sys
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from nesting.crates.cases.partition import CaseCosts, NoPartitionError, masks, partition

SIZES = [41, 64, 44, 60, 58, 47, 66, 43, 52, 50, 61, 45]


def by_case(count: int, cost: Callable[[tuple[int, ...]], int]) -> CaseCosts:
    def costs(cases: NDArray[np.int16]) -> NDArray[np.int64]:
        return np.array([cost(tuple(int(p) for p in row if p < count)) for row in cases], dtype=np.int64)

    return costs


def all_partitions(pieces: list[int], most: int) -> Iterator[list[tuple[int, ...]]]:
    """Yield every partition of the pieces into groups of at most ``most``, by brute force."""
    if not pieces:
        yield []
        return
    first, rest = pieces[0], pieces[1:]
    for mask in range(1 << len(rest)):
        group = (first, *(p for bit, p in enumerate(rest) if mask >> bit & 1))
        if len(group) <= most:
            left = [p for p in rest if p not in group]
            for others in all_partitions(left, most):
                yield [group, *others]


def sized(sizes: list[int], base: int) -> Callable[[tuple[int, ...]], int]:
    """Cost of a case as tall as its tallest piece and as deep as all together, with a fixed part."""
    return lambda case: base + max(sizes[p] for p in case) * (2 + len(case))


@given(sizes=st.lists(st.integers(1, 60), min_size=1, max_size=8), base=st.integers(0, 200), most=st.integers(1, 5))
def test_up_to_eight_pieces_agree_with_every_partition(sizes: list[int], base: int, most: int) -> None:
    cost = sized(sizes, base)
    found = partition([(n,) for n in range(len(sizes))], {}, most, by_case(len(sizes), cost))
    least = min(sum(map(cost, each)) for each in all_partitions(list(range(len(sizes))), most))
    assert found.proven
    assert found.cost == least == sum(map(cost, found.cases))
    assert sorted(p for case in found.cases for p in case) == list(range(len(sizes)))


@given(
    costs=st.dictionaries(st.frozensets(st.integers(0, 5), min_size=1, max_size=3), st.integers(-1, 50), min_size=5),
)
def test_arbitrary_costs_and_forbidden_cases_agree_with_every_partition(costs: dict[frozenset[int], int]) -> None:
    def cost(case: tuple[int, ...]) -> int:
        return costs.get(frozenset(case), 40 if len(case) == 1 else -1)

    whole = [
        sum(map(cost, each)) for each in all_partitions(list(range(6)), 3) if all(cost(case) >= 0 for case in each)
    ]
    if not whole:
        with pytest.raises(NoPartitionError):
            partition([(n,) for n in range(6)], {}, 3, by_case(6, cost))
        return
    found = partition([(n,) for n in range(6)], {}, 3, by_case(6, cost))
    assert (found.cost, found.proven) == (min(whole), True)


@given(sizes=st.lists(st.integers(1, 4), min_size=2, max_size=6), base=st.integers(0, 9), most=st.integers(1, 4))
def test_the_next_best_are_those_of_all_partitions_that_differ_by_more_than_names(
    sizes: list[int], base: int, most: int
) -> None:
    sizes.sort(reverse=True)
    cost = sized(sizes, base)
    atoms = [(n,) for n in range(len(sizes))]
    found = partition(atoms, {}, most, by_case(len(sizes), cost), 4, sizes)
    least: dict[tuple[tuple[int, ...], ...], int] = {}
    for each in all_partitions(list(range(len(sizes))), most):
        least[tuple(sorted(tuple(sorted(sizes[p] for p in case)) for case in each))] = sum(map(cost, each))
    near = sorted(each for each in least.values() if each <= found.cost * 1.25)
    told = [found.cost, *(each for each, _ in found.others)]
    assert told == near[: len(told)]
    assert len(told) == min(4, len(near))
    signs = [
        tuple(sorted(tuple(sorted(sizes[p] for p in case)) for case in cases))
        for cases in (found.cases, *(cases for _, cases in found.others))
    ]
    assert len(set(signs)) == len(signs)
    assert [least[sign] for sign in signs] == told


def test_pieces_of_one_kind_that_are_bound_to_others_are_not_taken_for_one_another() -> None:
    found = partition([(0, 3), (1,), (2,)], {}, 2, by_case(4, lambda case: 5 + len(case)), 5, "aaaa")
    assert found.cases == ((0, 3), (1, 2))
    assert found.others == ()  # four cases cost more than a quarter more


def test_a_few_steps_and_the_longer_search_agree(monkeypatch: pytest.MonkeyPatch) -> None:
    atoms, costs = [(n,) for n in range(12)], by_case(12, sized(SIZES, 90))
    few = partition(atoms, {}, 5, costs, longer=False)
    assert few.proven
    monkeypatch.setattr("nesting.crates.cases.partition._TRIED", 0)
    longer = partition(atoms, {}, 5, costs)
    assert (longer.cost, longer.proven) == (few.cost, True)
    none = partition(atoms, {}, 5, costs, longer=False)
    assert not none.proven
    assert none.bound is not None
    assert none.bound <= few.cost <= none.cost


def test_together_and_apart_are_kept() -> None:
    cost = by_case(5, lambda case: 100 + len(case))
    found = partition([(0, 3), (1,), (2,), (4,)], masks({(1, 2), (0, 4)}), 5, cost)
    where = {piece: number for number, case in enumerate(found.cases) for piece in case}
    assert where[0] == where[3]
    assert where[1] != where[2]
    assert where[0] != where[4]
    assert len(found.cases) == 2
    assert found.proven


def test_never_worse_than_one_case_each_or_first_fit() -> None:
    sizes, cost = SIZES, sized(SIZES, 90)
    found = partition([(n,) for n in range(12)], {}, 5, by_case(12, cost))
    first_fit: list[list[int]] = []
    for piece in sorted(range(12), key=lambda n: -sizes[n]):
        for case in first_fit:
            if len(case) < 5:
                case.append(piece)
                break
        else:
            first_fit.append([piece])
    assert found.proven
    assert found.cost <= sum(cost(tuple(case)) for case in first_fit)
    assert found.cost <= sum(cost((n,)) for n in range(12))


@given(sizes=st.lists(st.integers(1, 60), min_size=2, max_size=7), most=st.integers(1, 4))
def test_relaxing_a_limit_never_costs_more(sizes: list[int], most: int) -> None:
    atoms = [(n,) for n in range(len(sizes))]
    costs = by_case(len(sizes), sized(sizes, 75))
    tight = partition(atoms, masks({(0, 1)}), most, costs)
    assert partition(atoms, {}, most, costs).cost <= tight.cost
    assert partition(atoms, masks({(0, 1)}), most + 1, costs).cost <= tight.cost


def test_a_piece_that_fits_no_case_is_named() -> None:
    with pytest.raises(NoPartitionError, match="pieces 2"):
        partition([(0,), (1,), (2,)], {}, 2, by_case(3, lambda case: -1 if 2 in case else 5))


def test_nothing_to_partition() -> None:
    assert partition([], {}, 5, by_case(0, lambda _: 1)).cases == ()


def test_forty_pieces_are_partitioned_with_a_bound() -> None:
    rng = np.random.default_rng(1)
    width, height = rng.integers(40, 70, 41), rng.integers(40, 70, 41)
    width[40] = height[40] = 0

    def costs(cases: NDArray[np.int16]) -> NDArray[np.int64]:
        wide, high = width[cases].max(axis=1), height[cases].max(axis=1)
        deep = 16 + 6 * (cases < 40).sum(axis=1)
        return np.asarray(2 * (wide * high + wide * deep + high * deep) + 3000, dtype=np.int64)

    found = partition([(n,) for n in range(40)], {}, 5, costs)
    assert found.considered == 760_098  # 40 + C(40,2) + C(40,3) + C(40,4) + C(40,5)
    assert found.bound is not None
    assert found.bound <= found.cost <= 1.01 * found.bound
    assert sorted(p for case in found.cases for p in case) == list(range(40))


def test_an_interrupt_of_the_solver_reaches_the_caller(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(solver: Any, model: Any, check: Any) -> object:
        assert not solver.parameters.catch_sigint_signal
        del model, check
        raise KeyboardInterrupt

    monkeypatch.setattr("nesting.cutting.sheets.cover.run", interrupted)
    monkeypatch.setattr("nesting.crates.cases.partition._TRIED", 0)
    with pytest.raises(KeyboardInterrupt):
        partition([(n,) for n in range(12)], {}, 5, by_case(12, sized(SIZES, 90)))


AFTERWARDS = """
import signal
import nesting.crates.cases.partition
nesting.crates.cases.partition._TRIED = 0
from tests.nesting.crates.cases.test_partition import SIZES, by_case, partition, sized
signal.signal(signal.SIGINT, lambda *_: print("heard"))
partition([(n,) for n in range(12)], {}, 5, by_case(12, sized(SIZES, 90)))
signal.raise_signal(signal.SIGINT)
"""


def test_an_interrupt_is_still_heard_after_cases_were_chosen() -> None:
    """A solver that catches Ctrl-C by itself leaves nobody listening afterwards."""
    told = subprocess.run([sys.executable, "-c", AFTERWARDS], capture_output=True, text=True, check=False)
    assert (told.returncode, told.stdout) == (0, "heard\n"), told.stderr
