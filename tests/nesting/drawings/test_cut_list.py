"""The printed list alone cuts the sheet: it is parsed and replayed, and gives exactly the parts."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.cutting.sheets import Cut, PartLeaf, Sheet, SheetLayout
from nesting.drawings.cut_list import fence
from tests.benchmarks.cut_order import order_cuts
from tests.nesting.drawings.cut_texts import CutListError, cut_list, exact, read_exact, replay
from tests.nesting.drawings.cut_trees import layouts, random_layout, wanted

KERF = INCH // 8


def printed(layout: SheetLayout, kerf: int, units: UnitSystem) -> str:
    steps = order_cuts(layout.sheet, layout.cuts, kerf)
    return cut_list(steps, layout.sheet.length, layout.sheet.width, kerf, units)


@settings(max_examples=150, deadline=None)
@given(layouts(), st.sampled_from(["inch", "metric"]))
def test_replaying_the_list_gives_exactly_the_parts(layout: SheetLayout, units: UnitSystem) -> None:
    whole = layout.cuts.part if isinstance(layout.cuts, PartLeaf) else "waste"
    freed = replay(printed(layout, KERF, units), units, whole=whole)
    assert Counter((f.name, f.dx, f.dy) for f in freed if f.kind == "part") == wanted(layout, KERF)


@pytest.mark.parametrize("kerf", [0, 1, 3 * INCH // 32, 3 * MM])
def test_any_kerf(kerf: int) -> None:
    for seed in range(25):
        layout = random_layout(seed, kerf=kerf)
        if isinstance(layout.cuts, Cut):
            freed = replay(printed(layout, kerf, "metric"), "metric")
            assert Counter((f.name, f.dx, f.dy) for f in freed if f.kind == "part") == wanted(layout, kerf)


@given(st.integers(1, 10**8), st.sampled_from(["inch", "metric"]))
def test_lengths_are_exact_however_odd(value: int, units: UnitSystem) -> None:
    assert read_exact(exact(value, units), units) == value


def test_a_shop_fraction_stays_plain_and_an_odd_one_says_its_rounding() -> None:
    assert exact(35 * INCH // 8, "inch") == "4 3/8"
    assert exact(INCH * 29 // 64, "inch") == "29/64"
    # A French cleat's blank, 2w - t + 1.414 k, lies on no fraction (issue's own figure: 5.458 in).
    assert exact(1109106, "inch") == "5 15/32 (138.63825 mm)"
    assert exact(23 * INCH // 32, "metric") == "18.3 (18.25625)"


def test_a_fence_is_set_from_one_scale() -> None:
    assert fence(35 * INCH // 8, "inch") == "4 3/8"
    assert fence(INCH * 29 // 64, "inch") == "29/64"
    assert fence(1109106, "inch") == "5 15/32"
    assert fence(1109106, "metric") == "138.6"
    assert fence(13524 * MM // 10, "inch") == "53 1/4"


def test_a_line_reads_as_people_say_it() -> None:
    sheet = Sheet("board 4x8", 96 * INCH, 48 * INCH, 1)
    cuts = Cut("rip", 35 * INCH // 8, PartLeaf("K1.rail", turned=False), PartLeaf("K1.back", turned=False))
    text = printed(SheetLayout(sheet, cuts, 1), KERF, "inch")
    assert text.splitlines() == [
        "A is the sheet, 96 × 48, kerf 1/8",
        "1 rip A fence 4 3/8 from bottom: K1.rail; stays: K1.back",
    ]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "does not say"),
        ("A is the sheet, 96 × 48, kerf 1/8\n1 rip B fence 4 from bottom: K1.a; stays: waste", "no panel B"),
        ("A is the sheet, 96 × 48, kerf 1/8\n1 rip A fence 49 from bottom: K1.a; stays: waste", "outside"),
        ("A is the sheet, 96 × 48, kerf 1/8\n1 rip A fence 4 from left: K1.a; stays: waste", "no fence at the left"),
        ("A is the sheet, 96 × 48, kerf 1/8\n1 rip A fence 4 from bottom: panel B; stays: waste", "never finished"),
        ("A is the sheet, 96 × 48, kerf 1/8\n1 rip A fence 4 from bottom: K1.a; stays: nothing", "nothing of"),
        ("A is the sheet, 96 × 48, kerf 1/8\n1 rip A fence 48 from bottom: K1.a; stays: K1.b", "K1.b of"),
        ("A is the sheet, 96 × 48, kerf 1/8\n1 saw A at 4", "cannot read"),
    ],
)
def test_a_list_that_cannot_be_followed_says_where(text: str, why: str) -> None:
    with pytest.raises(CutListError, match=why):
        replay(text, "inch")
