"""Work that grows with an order in line with it: steps are counted, never seconds."""

from collections.abc import Callable
from random import Random
from typing import Any

import numpy as np
import pytest

from nesting.base.measure import INCH
from nesting.crates.cases import consignment
from nesting.crates.cases.consignment import check_grouping, far_masks, near, near_sizes, parted
from nesting.crates.cases.partition import partition
from nesting.crates.choice import combos
from nesting.cutting.sawing import blanks
from nesting.order import Artwork
from nesting.shop.shop_file import default_shop
from tests.counting import counted


def works(count: int, places: int = 1, *, equal: bool = False) -> list[Artwork]:
    """Return pieces of many sizes, or of one."""
    random = Random(count)
    return [
        Artwork(
            f"W-{n}",
            width=INCH * (30 if equal else random.randint(20, 60)),
            height=INCH * (40 if equal else random.randint(20, 60)) + (0 if equal else n),
            depth=INCH,
            destination=f"Place {n % places}",
            turn=n % 3 == 0,
        )
        for n in range(count)
    ]


def grown(steps: Callable[[int], int], small: int, times: int = 4) -> float:
    """Return how many times more steps so many times more pieces take, beside that many."""
    return steps(small * times) / max(1, steps(small)) / times


def test_grouping_equal_frames_asks_no_more_of_each_the_more_there_are(monkeypatch: pytest.MonkeyPatch) -> None:
    shop = default_shop()

    def steps(count: int) -> int:
        with monkeypatch.context() as patch:
            calls = counted(patch, consignment, "near")
            made = works(count, equal=True)
            grouping = near_sizes(made, shop)
            assert check_grouping(grouping, made, shop) == []
            return calls["near"]

    assert grown(steps, 200) < 1.1


def test_masks_say_what_near_says() -> None:
    made, share = works(40), 0.15
    told = far_masks(made, share)
    for i, one in enumerate(made):
        for j, other in enumerate(made):
            assert bool(told.get(i, 0) >> j & 1) == (i != j and not near(one, other, share))
    assert far_masks([], share) == {}
    assert parted(made) == frozenset()


def test_cases_of_very_many_equal_frames_are_listed_in_line_with_them() -> None:
    """Every case of a thousand frames would be more than there are atoms; only neighbours are looked at."""
    listed: list[int] = []

    def costs(cases: Any) -> Any:
        listed.append(len(cases))
        return np.full(len(cases), 100, dtype=np.int64)

    for count in (150, 300):
        found = partition([(n,) for n in range(count)], {}, 5, costs, 1, [0] * count, longer=False)
        assert sum(map(len, found.cases)) == count
        assert found.bound is None
    assert listed[1] < 2.1 * listed[0]


def test_small_parts_of_equal_crates_are_gathered_in_line_with_them(monkeypatch: pytest.MonkeyPatch) -> None:
    tools = default_shop().tools

    def steps(count: int) -> int:
        with monkeypatch.context() as patch:
            calls = counted(patch, blanks, "_end")
            cells = [blanks.Small(f"p{n}", 5 * INCH, lengthwise=True) for n in range(count)]
            strips = blanks._filled(cells, 3 * INCH, tools, INCH // 8, 96 * INCH)  # noqa: SLF001 - the step by itself
            assert sum(len(strip.cells) for strip in strips) == count
            return calls["_end"]

    assert grown(steps, 300) < 1.3


def test_the_cheapest_sums_are_those_of_every_choice() -> None:
    """Two thousand rows are one step each; few enough to list all of them come to the same."""
    random = Random(1)
    rows = [np.array([random.randint(0, 50) for _ in range(3)], dtype=np.int64) for _ in range(5)]
    picks, complete = combos._cheapest_sums(rows, [-1] * 5, 300)  # noqa: SLF001 - by itself
    sums = sorted(sum(int(row[pick]) for row, pick in zip(rows, each, strict=True)) for each in picks.tolist())
    assert complete
    assert len(picks) == len({tuple(each) for each in picks.tolist()}) == 3**5
    few, whole = combos._cheapest_sums(rows, [-1] * 5, 7)  # noqa: SLF001
    assert not whole
    least = sorted(sum(int(row[pick]) for row, pick in zip(rows, each, strict=True)) for each in few.tolist())
    assert least == sums[:7]
    equal = [np.array([3, 1, 2], dtype=np.int64)] * 2000
    many, _ = combos._cheapest_sums(equal, [4] * 2000, 20)  # noqa: SLF001
    assert many.shape == (20, 2000)
    assert (np.diff(many, axis=1) >= 0).all(), "of rows that are alike only ascending choices count"
