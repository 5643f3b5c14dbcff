"""The order of cuts: complete, followable, and better grouped than the tree's own order."""

from collections import Counter

import pytest
from hypothesis import given, settings

from nesting.base.measure import FOOT, INCH
from nesting.cutting.sheets import Cut, Node, Offcut, PartLeaf, Sheet, SheetLayout, Trim
from nesting.shop.house_rules import SawRules
from tests.benchmarks.cut_order import HANDLE_AREA, order_cuts, setups
from tests.nesting.drawings.cut_trees import layouts, random_layout, wanted

KERF = INCH // 8
BOARD = Sheet("board 4x8", 96 * INCH, 48 * INCH, 5000)


def count_cuts(node: Node, across: dict[str, int]) -> int:
    """Count the saw's cuts in a tree: none where the first piece takes all there is."""
    if not isinstance(node, Cut):
        return 0
    rest = across[node.direction] - node.at - KERF
    first = count_cuts(node.first, {**across, node.direction: node.at})
    behind = count_cuts(node.rest, {**across, node.direction: rest}) if rest > 0 else 0
    return first + behind + (across[node.direction] > node.at)


def naive_setups(node: Node, settings_: list[tuple[str, int]]) -> list[tuple[str, int]]:
    """List fence settings in the tree's own order."""
    if isinstance(node, Cut):
        settings_.append((node.direction, node.at))
        naive_setups(node.first, settings_)
        naive_setups(node.rest, settings_)
    return settings_


def strips(width: int, names: list[str]) -> Node:
    """Return a sheet ripped into equal strips, the rest an offcut."""
    node: Node = Offcut()
    for name in reversed(names):
        node = Cut("rip", width, PartLeaf(name, turned=False), node)
    return node


@settings(max_examples=150, deadline=None)
@given(layouts())
def test_every_cut_once_and_numbered(layout: SheetLayout) -> None:
    steps = order_cuts(layout.sheet, layout.cuts, KERF)
    trim = layout.sheet.trim or Trim()
    trims = sum(1 for each in (trim.left, trim.right, trim.bottom, trim.top) if each)
    sizes = {"rip": layout.sheet.usable_width, "cross": layout.sheet.usable_length}
    assert len(steps) == trims + count_cuts(layout.cuts, sizes)
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))


@settings(max_examples=100, deadline=None)
@given(layouts())
def test_cut_lines_are_on_the_sheet_and_different(layout: SheetLayout) -> None:
    steps = order_cuts(layout.sheet, layout.cuts, KERF)
    for step in steps:
        x1, y1, x2, y2 = step.line
        assert (x1 == x2) != (y1 == y2)
        assert 0 <= x1 <= x2 <= layout.sheet.length
        assert 0 <= y1 <= y2 <= layout.sheet.width
    # What takes off dust alone, or leaves it, runs along the edge that it squares, where a trim may have run before it.
    lines = {(step.line, "dust" in (step.off.kind, step.stays.kind)) for step in steps}
    assert len(lines) == len(steps)


def test_grouping_needs_no_more_settings_than_the_tree_on_the_whole() -> None:
    ours = naive = 0
    for seed in range(60):
        layout = random_layout(seed)
        steps = order_cuts(layout.sheet, layout.cuts, KERF)
        ours += setups(tuple(step for step in steps if step.action != "trim"))
        listed = naive_setups(layout.cuts, [])
        naive += sum(1 for before, now in zip([None, *listed], listed, strict=False) if before != now)
    assert ours < naive


def test_equal_rips_of_two_panels_come_together() -> None:
    names = [f"K1.strip-{i}" for i in range(4)]
    halves = Cut("cross", (96 * INCH - KERF) // 2, strips(5 * INCH, names), strips(5 * INCH, names))
    steps = order_cuts(BOARD, halves, KERF)
    assert steps[0].action == "crosscut"
    assert {(step.action, step.fence) for step in steps[1:]} == {("rip", 5 * INCH)}
    assert setups(steps) == 2


def test_a_large_sheet_is_halved_before_strips_are_ripped() -> None:
    names = [f"K1.strip-{i}" for i in range(8)]
    steps = order_cuts(BOARD, strips(5 * INCH, names), KERF)
    first = steps[0]
    assert first.action == "rip"
    # Four strips and the kerfs between them: the kerf is in the number.
    assert first.fence in {n * 5 * INCH + (n - 1) * KERF for n in (4, 5)}
    assert max(first.off.dx * first.off.dy, first.stays.dx * first.stays.dy) <= 20 * FOOT * FOOT
    assert setups(steps) == 2


def test_panels_are_small_before_any_part_is_cut_where_the_tree_allows_it() -> None:
    quarters = Cut(
        "cross",
        47 * INCH,
        Cut("rip", 20 * INCH, PartLeaf("K1.a", turned=False), PartLeaf("K1.b", turned=False)),
        Cut("rip", 20 * INCH, PartLeaf("K1.c", turned=False), PartLeaf("K1.d", turned=False)),
    )
    steps = order_cuts(BOARD, quarters, KERF)
    assert steps[0].action == "crosscut"
    assert all(step.off.dx * step.off.dy <= HANDLE_AREA for step in steps)


def test_trim_comes_first() -> None:
    sheet = Sheet("board 4x8", 96 * INCH, 48 * INCH, 5000, trim=Trim(left=INCH // 4, bottom=INCH // 4))
    steps = order_cuts(sheet, Cut("rip", 12 * INCH, PartLeaf("K1.a", turned=False), Offcut()), KERF)
    assert [step.action for step in steps] == ["trim", "trim", "rip"]
    assert [step.edge for step in steps] == ["left", "bottom", "bottom"]


def test_a_whole_sheet_needs_no_cut() -> None:
    assert order_cuts(BOARD, PartLeaf("K1.face", turned=False), KERF) == ()


def test_a_cut_outside_its_panel_is_refused() -> None:
    with pytest.raises(ValueError, match="outside"):
        order_cuts(BOARD, Cut("rip", 49 * INCH, Offcut(), Offcut()), KERF)


def test_the_same_layout_gives_the_same_order() -> None:
    layout = random_layout(5)
    again = random_layout(5)
    assert order_cuts(layout.sheet, layout.cuts, KERF) == order_cuts(again.sheet, again.cuts, KERF)


@settings(max_examples=60, deadline=None)
@given(layouts())
def test_every_part_is_freed_once(layout: SheetLayout) -> None:
    steps = order_cuts(layout.sheet, layout.cuts, KERF)
    freed = Counter(side.name for step in steps for side in (step.off, step.stays) if side.kind == "part")
    expected = Counter[str]()
    for (name, _, _), count in wanted(layout, KERF).items():
        expected[name] += count
    if steps:
        assert freed == expected


def test_what_one_person_handles_is_the_shops_to_say() -> None:
    """A whole sheet is too much or not: the first cut halves it as evenly as may be, or takes the strip at the edge."""
    rest = Cut("rip", 20 * INCH, PartLeaf("K1.wide", turned=False), Offcut())
    tree = Cut("rip", 6 * INCH, PartLeaf("K1.strip", turned=False), rest)
    weak, strong = SawRules(panel_sq_ft=8.0), SawRules(panel_sq_ft=40.0)
    assert weak.panel_area == 8 * FOOT * FOOT
    halved = order_cuts(BOARD, tree, KERF, weak.panel_area)
    assert halved[0].fence == 26 * INCH + KERF  # both parts and the kerf between them, of 48 in
    assert order_cuts(BOARD, tree, KERF, strong.panel_area)[0].fence == 6 * INCH
