"""Strips are filled by first fit, and sheets that are cut alike are looked into once."""

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import FOOT, INCH
from nesting.cutting.sawing import bench, blanks
from nesting.cutting.sawing.blanks import Small
from nesting.cutting.sawing.limits import Limits
from nesting.cutting.sheets import Cut, PartLeaf, Sheet, Waste
from nesting.shop.house_rules.saw import SawRules
from nesting.shop.house_rules.tools import ToolRules

KERF = INCH // 8
TOOLS = ToolRules()
LONGEST = 96 * INCH


def one_by_one(cells: list[Small], width: int, limit: int) -> list[list[Small]]:
    """Return what first fit decreasing puts where, cell by cell, as textbooks state it; each strip is asked."""
    strips: list[list[Small]] = []
    for cell in cells:
        for taken in strips:
            more = [*taken, cell]
            full = sum(each.size for each in more) + (len(more) - 1) * KERF
            last = [each.size for each in more[-2:]]
            end = blanks._end(width, more[0].size, last, full, TOOLS, KERF)  # noqa: SLF001 - a rule of its own
            if full + (end + KERF if end else 0) <= limit:
                taken.append(cell)
                break
        else:
            strips.append([cell])
    return strips


@st.composite
def rows(draw: st.DrawFn) -> list[Small]:
    """Draw small parts of few sizes, many of each, the longest first."""
    sizes = draw(st.lists(st.tuples(st.integers(4, 96), st.integers(1, 25)), min_size=1, max_size=5))
    made = [
        Small(f"p{row}-{n}", size * INCH // 8, lengthwise=True)
        for row, (size, count) in enumerate(sizes)
        for n in range(count)
    ]
    return sorted(made, key=lambda cell: (-cell.size, cell.part))


@settings(max_examples=60, deadline=None)
@given(rows(), st.sampled_from([INCH, 2 * INCH, 7 * INCH // 2, 5 * INCH, 14 * INCH]), st.sampled_from([96, 48, 24]))
def test_many_equal_parts_lie_where_each_by_itself_would(cells: list[Small], width: int, feet: int) -> None:
    limit = feet * INCH
    sizes = [cell.size for cell in cells]
    runs = [(size, sizes.count(size)) for size in dict.fromkeys(sizes)]
    found = blanks._Filling(cells, width, TOOLS, KERF, limit).fill(runs)  # noqa: SLF001 - the step by itself
    assert found == one_by_one(cells, width, limit)


def test_filling_ends_where_strips_are_more_than_are_asked_for() -> None:
    cells = [Small(f"p{n}", 40 * INCH, lengthwise=True) for n in range(9)]
    filling = blanks._Filling(cells, 3 * INCH, TOOLS, KERF, LONGEST)  # noqa: SLF001
    assert len(filling.fill([(40 * INCH, 9)], most=2)) > 2


def test_sheets_that_are_cut_alike_are_looked_into_once_and_keep_their_names() -> None:
    limits = Limits.of(INCH // 2, KERF, SawRules(), TOOLS, "saw")
    sheet = Sheet("board", 8 * FOOT, 4 * FOOT, 5000)

    def looked(first: str, second: str) -> tuple[bench.Opened, tuple[str, ...]]:
        rest = Cut("rip", 10 * INCH, PartLeaf(second, turned=False), Waste())
        return bench.opened(sheet, Cut("rip", 20 * INCH, PartLeaf(first, turned=False), rest), limits)

    (one, names), (two, others) = looked("A", "B"), looked("C", "D")
    assert one is two
    assert (names, others) == (("A", "B"), ("C", "D"))
    assert one.stage is not None
    parts = [each for each in one.stage.freed if each is not None and each.kind == "part"]
    assert [bench.named(each, others).name for each in parts] == ["C", "D"]
    turned = Cut("rip", 20 * INCH, PartLeaf("A", turned=True), Waste())
    assert bench.opened(sheet, turned, limits)[0] is not one
