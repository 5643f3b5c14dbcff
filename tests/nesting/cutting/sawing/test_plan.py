"""The order in which a person cuts: complete, possible with the tools, counted as by hand."""

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import FOOT, INCH
from nesting.cutting.sawing.model import SawCosts, SawCut, SawPlan, Setting, Tool
from nesting.cutting.sawing.plan import plan_in, saw_plan
from nesting.cutting.sheets import Cut, Layout, Node, Offcut, PartLeaf, Sheet, SheetLayout, Trim, Waste
from nesting.cutting.sheets.model import Direction
from nesting.shop.house_rules.saw import SawRules
from nesting.shop.house_rules.tools import ToolRules
from nesting.shop.shop_file import default_shop
from pricing.quoting.judging import saw_costs_of
from pricing.quoting.labour import saw_minutes
from pricing.studio.office import Office
from pricing.studio.rates import LabourRules
from tests.nesting.drawings.cut_trees import layouts, wanted

KERF = INCH // 8
PLY = 23 * INCH // 32
TOOLS = ToolRules()
STRONG = SawRules(panel_sq_ft=40.0)
"""Whole sheets can be handled: the table saw takes what its fence reaches."""


def inches(value: str | int) -> int:
    """Return a length in inches, such as ``"25 1/2"``, on the grid."""
    whole = sum((Fraction(part) for part in str(value).split()), Fraction(0)) * INCH
    assert whole.denominator == 1
    return whole.numerator


def leaf(name: str) -> Node:
    """Return a part, an offcut (``"+"``) or waste (``"-"``)."""
    if name == "+":
        return Offcut()
    return Waste() if name == "-" else PartLeaf(name, turned=False)


def stage(direction: Direction, *pieces: tuple[str | int, Node | str], rest: Node | str) -> Node:
    """Return cuts of one direction, one after the other: what each takes off, and what is left."""
    node = leaf(rest) if isinstance(rest, str) else rest
    for at, piece in reversed(pieces):
        node = Cut(direction, inches(at), leaf(piece) if isinstance(piece, str) else piece, node)
    return node


def board(length: str | int, width: str | int, tree: Node, repeat: int = 1, trim: Trim | None = None) -> SheetLayout:
    """Return a way to cut a board of that size."""
    return SheetLayout(Sheet("board", inches(length), inches(width), 5000, trim=trim), tree, repeat)


def layout_of(*sheets: SheetLayout) -> Layout:
    """Return sheets as one good's layout."""
    return Layout("ply", KERF, sheets, 0, 0, 0, proven=True)


def planned(*sheets: SheetLayout, saw: SawRules = STRONG, tools: ToolRules = TOOLS, thickness: int = PLY) -> SawPlan:
    """Plan boards that saws cut."""
    return saw_plan(layout_of(*sheets), thickness, saw, tools)


def told(plan: SawPlan) -> list[tuple[Tool, int]]:
    """Return the settings of a plan as tool and figure."""
    return [(each.tool, each.at) for each in plan.settings]


def only(plan: SawPlan) -> Setting:
    """Return the one setting of a plan."""
    (setting,) = plan.settings
    return setting


# Each limit of each tool.


def test_the_fence_reaches_so_far_and_the_other_side_may_lie_there() -> None:
    wide = planned(board(96, 48, stage("rip", (31, "a"), rest="b")))
    assert (only(wide).tool, only(wide).at) == ("table", inches("16 7/8"))
    assert only(wide).cuts[0].edge == "top", "31 in is beyond the fence: what remains of 48 in lies there"
    both = planned(board(60, "62 1/8", stage("rip", (31, "a"), rest="b")))
    assert told(both) == [("track", 31 * INCH)]
    assert told(planned(board(60, "60 1/8", stage("rip", (30, "a"), rest="b")))) == [("table", 30 * INCH)]


def test_a_piece_lies_long_enough_along_the_fence() -> None:
    for width, tool in ((12, "table"), ("11 7/8", "track")):
        assert only(planned(board(30, width, stage("cross", (8, "a"), rest="b")))).tool == tool


def test_nothing_narrow_lies_at_the_fence() -> None:
    one = planned(board(48, "11 5/8", stage("rip", ("1 1/2", "a"), rest="b")))
    assert (only(one).at, only(one).cuts[0].edge) == (10 * INCH, "top")
    assert planned(board(48, "12 1/8", stage("rip", (2, "a"), rest="b"))).settings[0].at in (2 * INCH, 10 * INCH)
    two = planned(board(48, "13 1/4", stage("rip", ("1 1/2", "a"), ("1 1/2", "b"), rest="c")))
    assert told(two) == [("table", inches("11 5/8")), ("table", 10 * INCH)], "the wide piece stays for the fence"
    pair = planned(board(48, "3 1/8", stage("rip", ("1 1/2", "a"), rest="b")))
    assert [each.tool for each in pair.refused] == ["none"]


def test_where_a_fence_would_part_narrow_strips_from_what_holds_them_they_fall_beside_the_rail() -> None:
    """12 strips of 1-1/2 in and a rest of 6-3/4, 14-7/16 long: no fence may be set beyond the length that lies at it.

    From 26-1/4 in, seven fall beside the rail. Of the 14-7/8 that are left, the rest lies at the fence for five more.
    """
    strips = tuple(("1 1/2", f"s{n}") for n in range(12))
    plan = planned(board("14 7/16", "26 1/4", stage("rip", *strips, rest="-")))
    assert not plan.refused
    assert Counter(cut.tool for cut in plan.cuts) == {"track": 7, "table": 5}
    assert [each.at for each in plan.settings if each.tool == "table"] == [
        inches(each) for each in ("13 1/4", "11 5/8", 10, "8 3/8", "6 3/4")
    ]
    bare = planned(board("14 7/16", "26 1/4", stage("rip", *strips, rest="-")), tools=replace(TOOLS, track=0))
    assert bare.refused, "without a rail one pair is left"


def test_a_plan_is_the_same_whatever_was_planned_before() -> None:
    """What was found of a sheet is remembered, by the tools too."""
    sheet = board(96, 48, stage("rip", (12, stage("cross", (20, "a"), (20, "b"), rest="+")), (7, "c"), rest="+"))
    first = planned(sheet)
    assert planned(sheet, tools=replace(TOOLS, chop=0, rip=0)) != first
    assert planned(sheet, sheet).settings[0].passes == 2 * first.settings[0].passes
    assert planned(sheet) == first


def test_a_push_block_moves_what_is_narrow() -> None:
    wide = planned(board(48, "20 1/8", stage("rip", (6, "a"), rest="b"), repeat=2))
    assert not any(each.with_block for each in wide.settings)
    narrow = planned(board(48, "20 1/8", stage("rip", ("5 7/8", "a"), rest="-")))
    assert only(narrow).with_block


def test_nothing_longer_from_fence_to_blade_than_along_it_is_cut_there() -> None:
    assert only(planned(board("50 1/8", 20, stage("cross", (25, "a"), rest="b")))).tool == "track"
    short = only(planned(board("50 1/8", 20, stage("cross", (20, "a"), rest="b"))))
    assert (short.tool, short.at) == ("table", 20 * INCH)


def test_what_is_long_across_the_fence_swings_and_goes_to_the_track_saw() -> None:
    for length, tool in ((60, "table"), ("60 1/8", "track")):
        assert only(planned(board(length, 20, stage("cross", (10, "a"), rest="+")))).tool == tool


def test_what_one_person_cannot_handle_is_broken_down_with_the_track_saw() -> None:
    tree = stage("rip", (6, "a"), rest="+")
    assert only(planned(board(96, 48, tree))).tool == "table"
    assert only(planned(board(96, 48, tree), saw=SawRules())).tool == "track"


def test_the_chop_saw_takes_strips_of_its_width() -> None:
    strip = stage("cross", (20, "a"), rest="b")
    assert only(planned(board(60, "5 1/2", strip))).tool == "chop"
    assert only(planned(board(60, "5 5/8", strip))).tool == "track"
    rails = replace(TOOLS, chop=12 * INCH)
    assert only(planned(board(60, 12, strip), tools=rails)).tool == "chop"
    assert only(planned(board(60, "5 1/2", strip), tools=replace(TOOLS, chop=0))).tool == "track"


def test_a_stack_at_the_chop_saw_is_no_higher_than_it_takes() -> None:
    strips = board(60, 4, stage("cross", (20, "a"), (20, "a"), rest="-"), repeat=5)
    for thickness, stacked, passes in ((INCH, 2, 5), (INCH // 2, 4, 3), (3 * INCH // 8, 5, 2), (5 * INCH // 4, 1, 10)):
        setting = only(planned(strips, thickness=thickness))
        assert (setting.tool, setting.stacked, setting.passes) == ("chop", stacked, passes)
    assert only(planned(strips, thickness=9 * INCH // 4)).tool == "track", "thicker than its stack"


def test_what_no_hand_may_hold_is_clamped() -> None:
    for length, clamped in (("12 1/8", False), ("12", True)):
        cut = only(planned(board(length, 4, stage("cross", (4, "a"), rest="b")))).cuts[0]
        assert (cut.tool, cut.clamped) == ("chop", clamped)
    assert planned(board("3 5/8", 4, stage("cross", ("1 3/4", "a"), rest="b"))).refused, "no clamp holds 1-3/4 in"


def test_the_rail_is_long_enough_and_has_wood_under_it() -> None:
    long = board(120, 48, stage("rip", (24, "a"), rest="b"))
    short = planned(long, saw=SawRules())
    assert short.settings == short.refused != ()
    assert only(planned(long, saw=SawRules(), tools=replace(TOOLS, track=120 * INCH))).tool == "track"
    no_table = replace(TOOLS, rip=0)
    for width, tool in ((6, "track"), ("5 7/8", "none")):
        assert only(planned(board(96, width, stage("rip", (3, "a"), rest="b")), tools=no_table)).tool == tool


def test_foam_and_board_are_cut_by_what_their_material_says() -> None:
    layout = layout_of(board(96, 48, stage("rip", (1, "a"), (40, "b"), rest="-")))
    for blade, tool in (("knife", "knife"), ("band", "band"), ("none", "none")):
        plan = saw_plan(layout, INCH, SawRules(), TOOLS, blade)  # type: ignore[arg-type]
        assert {each.tool for each in plan.settings} == {tool}
        assert len(plan.cuts) == 2
    assert plan.refused == plan.settings


def test_a_band_goes_through_what_is_as_long_in_a_stack() -> None:
    """Blocks of 2 in foam, three on each other under a band of 6 in: two of 40 in at once, one of 20 in by itself."""
    long = board(40, 12, stage("rip", (4, "a"), rest="b"), repeat=2)
    short = board(20, 12, stage("rip", (4, "c"), rest="d"))
    plan = saw_plan(replace(layout_of(long, short), kerf=0), 2 * INCH, STRONG, TOOLS, "band")
    assert [(each.at, each.passes, each.stacked) for each in plan.settings] == [(8 * INCH, 2, 2)]
    apart = (saw_plan(replace(layout_of(each), kerf=0), 2 * INCH, STRONG, TOOLS, "band") for each in (long, short))
    assert [each.effort.passes for each in apart] == [{"band": 1}, {"band": 1}]


def test_trims_are_made_before_all_else_with_the_rail_or_at_the_fence() -> None:
    trim = Trim(left=INCH // 4, right=0, bottom=INCH // 2, top=0)
    plan = planned(board(96, 48, stage("rip", (12, "a"), rest="+"), repeat=3, trim=trim))
    first, second, third = plan.cuts
    assert [(cut.action, cut.tool, cut.edge, cut.fence) for cut in (first, second)] == [
        ("trim", "track", "left", INCH // 4), ("trim", "track", "bottom", INCH // 2),
    ]  # fmt: skip
    assert (first.along, first.across) == (48 * INCH, 96 * INCH)
    assert (third.along, third.across) == (96 * INCH - INCH // 4, 48 * INCH - INCH // 2)
    assert plan.effort.passes == {"track": 6, "table": 3}
    assert plan.effort.rips == {"track": 3, "table": 3}
    narrow = planned(board(96, 5, PartLeaf("a", turned=False), trim=Trim(0, 0, INCH, 0)))
    cut = only(narrow).cuts[0]
    assert (cut.tool, cut.edge, cut.fence) == ("table", "top", 4 * INCH)
    assert (cut.off.kind, cut.stays.kind) == ("part", "waste")


# The order.


def two_sheets() -> tuple[SheetLayout, SheetLayout]:
    """Two sheets with strips of 5 in and parts of 40 in in common."""
    forty = stage("cross", (40, "a"), (40, "a"), rest="-")
    thirty = stage("cross", (40, "a"), (30, "b"), rest="-")
    one = board(96, 48, stage("rip", (5, forty), (5, forty), (5, forty), rest="+"))
    return one, board(96, 48, stage("rip", (5, thirty), (5, thirty), rest="+"))


def test_two_sheets_with_common_strips_counted_by_hand() -> None:
    """Break down, one fence for all strips, two stops for all parts.

    The first sheet's strips are 15-1/4 in with two kerfs, the second's 10-1/8 in: each is taken off its sheet at once,
    since a sheet is 32 sq ft and one person handles 20. Then 3 strips of 2 cuts and 2 of 1 cut: 2 and 1 passes of the
    table saw, at 5 in. At 40 in: 3 x 2 + 2 x 1 = 8 cuts, two strips of 23/32 in on each other under 2 in: 4 passes; at
    30 in 2 cuts: 1. The broken-down panels are 96 x 15-1/4 in = 10.2 sq ft and 96 x 10-1/8 in = 6.75: one armful; five
    strips of 96 x 5 in = 16.7 sq ft: one more.
    """
    plan = planned(*two_sheets(), saw=SawRules())
    assert [(each.tool, each.at, each.passes, each.stacked) for each in plan.settings] == [
        ("track", inches("15 1/4"), 1, 1), ("track", inches("10 1/8"), 1, 1), ("table", 5 * INCH, 3, 1),
        ("chop", 40 * INCH, 4, 2), ("chop", 30 * INCH, 1, 2),
    ]  # fmt: skip
    assert plan.effort.settings == {"track": 2, "table": 1, "chop": 2}
    assert plan.effort.passes == {"track": 2, "table": 3, "chop": 5}
    assert (plan.effort.loads, plan.effort.turns, plan.effort.carries) == (2, 0, 2)
    assert [cut.panel for cut in plan.of_layout(1)] == ["2A", "2B", "2C", "2B", "2C", "2B"]
    # 2 sheets x 3, 2 track cuts x 2, 2 armfuls x 0.5, 1 fence, 3 rips x 0.75, 2 stops x 0.7, 5 passes x 0.25
    minutes = 6 + 4 + 1 + 1 + Decimal("2.25") + Decimal("1.4") + Decimal("1.25")
    assert saw_minutes(plan.effort, Office().rates.labour) == minutes == Decimal("16.9")
    # Rates of before: 5 set-ups, 2 + 3 rips, 5 crosscuts.
    assert saw_minutes(plan.effort, LabourRules()) == 6 + 5 + Decimal("3.75") + Decimal("2.5")


def test_what_the_work_costs_is_its_minutes_at_the_hour_of_the_saw() -> None:
    """46.00 an hour: 16.9 minutes are 12.9567, in thousandths of a cent, each price rounded down."""
    office = Office()
    effort = planned(*two_sheets(), saw=SawRules()).effort
    hour = office.book.price(office.rates.labour.saw_hour).price
    exact = saw_minutes(effort, office.rates.labour) * hour / 60 * 100_000
    assert 0 <= exact - saw_costs_of(office).cost(effort) < 20
    assert SawCosts(load=7).cost(effort) == 14


def test_the_last_piece_of_a_strip_comes_free() -> None:
    plan = planned(board("50 1/4", 5, stage("cross", (10, "a"), (30, "b"), rest="a")))
    assert told(plan) == [("chop", 10 * INCH)], "both ends are cut at 10 in, and what is left is 30 in"


def test_a_setting_waits_for_what_is_still_inside_a_panel() -> None:
    """A panel is ripped at 8 in; 8 in is wanted by another too, once a wider rip has freed it."""
    inner = stage("cross", (20, stage("rip", (8, "a"), rest="-")), rest="-")
    tree = stage("rip", (8, "b"), (12, inner), rest="c")
    plan = planned(board(40, 48, tree, repeat=9))
    assert [at for tool, at in told(plan) if tool == "table"].count(8 * INCH) == 1


def test_turns_are_counted_where_a_panel_lay_at_the_table_the_other_way() -> None:
    quarters = stage("cross", (20, stage("rip", (20, "a"), rest="b")), rest=stage("rip", (20, "c"), rest="d"))
    plan = planned(board("40 1/8", "40 1/8", quarters, repeat=2))
    assert [(cut.action, cut.turned) for cut in plan.cuts] == [("crosscut", False), ("rip", True), ("rip", True)]
    assert plan.effort.turns == 4
    assert told(plan) == [("table", 20 * INCH)], "one fence for the cuts of both directions"


def test_the_same_strip_has_the_same_line_in_any_layout_and_any_number_of_sheets() -> None:
    one = board(48, 40, stage("rip", (9, "K1.a"), (9, "K2.a"), rest="-"), repeat=3)
    other = board(60, 30, stage("rip", (9, "K3.a"), rest="-"))
    setting = only(planned(one, other))
    assert (setting.at, setting.passes) == (9 * INCH, 7)
    assert [cut.repeat for cut in setting.cuts] == [3, 3, 1]


def check_limits(cut: SawCut, setting: Setting, tools: ToolRules, handle: int) -> None:
    """Check what hands and tools allow, said once more."""
    rest = cut.across - cut.fence - KERF
    if cut.tool == "table":
        assert tools.narrowest <= cut.fence <= tools.rip
        assert cut.along >= max(tools.along_fence, cut.fence)
        assert cut.along * cut.across <= handle
        assert cut.across <= 3 * cut.along
        assert setting.with_block == (cut.fence < tools.push_below)
    elif cut.tool == "chop":
        assert cut.along <= tools.chop
        assert setting.stacked * PLY <= tools.chop_stack
        assert cut.clamped == (max(cut.fence, rest) < tools.hold)
        assert max(cut.fence, rest) >= tools.narrowest
    elif cut.tool == "track":
        assert cut.along <= tools.track
        assert cut.across >= tools.clamp
    assert setting.tool == cut.tool
    assert cut.turned <= (cut.tool == "table")
    if cut.action != "trim":
        assert setting.at == cut.fence


@settings(max_examples=120, deadline=None)
@given(st.lists(layouts(), min_size=1, max_size=3))
def test_every_piece_comes_out_once_and_each_cut_holds_the_limits(sheets: list[SheetLayout]) -> None:
    plan = planned(*sheets, saw=SawRules())
    handle = 20 * FOOT * FOOT
    numbers = [cut.number for cut in plan.cuts]
    assert numbers == list(range(1, len(numbers) + 1))
    for setting in plan.settings:
        for cut in setting.cuts:
            check_limits(cut, setting, TOOLS, handle)
        made = sum(cut.repeat for cut in setting.cuts)
        assert -(-made // setting.stacked) <= setting.passes <= made
    for index, each in enumerate(sheets):
        cuts = plan.of_layout(index)
        assert all(cut.repeat == each.repeat and cut.panel.startswith(str(index + 1)) for cut in cuts)
        freed = Counter(
            (side.name, side.dx, side.dy) for cut in cuts for side in (cut.off, cut.stays) if side.kind == "part"
        )
        if cuts:
            assert freed == wanted(each, KERF)
        for cut in cuts:
            x1, y1, x2, y2 = cut.line
            assert (x1 == x2) != (y1 == y2)
            assert 0 <= x1 <= x2 <= each.sheet.length
            assert 0 <= y1 <= y2 <= each.sheet.width


@settings(max_examples=60, deadline=None)
@given(st.lists(layouts(), min_size=1, max_size=3))
def test_names_of_parts_change_nothing_but_names(sheets: list[SheetLayout]) -> None:
    def renamed(node: Node) -> Node:
        if isinstance(node, Cut):
            return replace(node, first=renamed(node.first), rest=renamed(node.rest))
        return replace(node, part=node.part[::-1]) if isinstance(node, PartLeaf) else node

    def shape(plan: SawPlan) -> list[tuple[object, ...]]:
        return [(cut.tool, cut.panel, cut.fence, cut.edge, cut.turned, cut.line) for cut in plan.cuts]

    plan = planned(*sheets, saw=SawRules())
    again = planned(*(replace(each, cuts=renamed(each.cuts)) for each in sheets), saw=SawRules())
    assert shape(plan) == shape(again)
    assert plan.effort == again.effort


def test_a_cut_outside_its_panel_is_refused() -> None:
    with pytest.raises(ValueError, match="outside"):
        planned(board(96, 48, stage("rip", (49, "a"), rest="b")))


def test_a_whole_sheet_is_no_work() -> None:
    plan = planned(board(96, 48, PartLeaf("a", turned=False)))
    assert plan.settings == ()
    assert plan.effort.loads == 0


def test_a_shop_plans_by_its_own_goods_and_tools() -> None:
    shop = default_shop()
    layout = replace(layout_of(board(96, 48, stage("rip", (1, "a"), rest="+"))), good="foam-board-1")
    assert {each.tool for each in plan_in(shop, layout).settings} <= {"knife", "band"}
    assert plan_in(shop, replace(layout, good="ply-3/8")).settings[0].tool in ("track", "table")


def test_blanks_that_are_narrowed_alike_are_narrowed_while_they_are_one_piece() -> None:
    """Three blocks of 6 x 4 in from a strip of 5 in: 18-1/4 in along the fence, where 6 in would be too short.

    Part b, 21-5/8 in, comes off at the chop saw; what is left is ripped once, and two cuts give three blocks.
    """
    block = stage("rip", (4, "a"), rest="-")
    tree = stage("cross", (6, block), (6, block), (6, block), rest="b")
    plan = planned(board(40, 5, tree))
    assert told(plan) == [("chop", inches("21 5/8")), ("table", 4 * INCH), ("chop", 6 * INCH)]
    assert (plan.cuts[1].along, plan.cuts[1].across) == (inches("18 1/4"), 5 * INCH)
    assert plan.effort.passes == {"chop": 3, "table": 1}
    single = planned(board(40, "5 3/4", stage("cross", (8, stage("rip", (4, "a"), rest="-")), rest="b")))
    assert single.refused, "one alone is too short for the fence, too wide for the chop saw, too narrow for the rail"


def test_strips_for_the_chop_saw_are_not_cut_together() -> None:
    strip = stage("cross", (30, "a"), rest="-")
    plan = planned(board(60, 15, stage("rip", (4, strip), (4, strip), (4, strip), rest="-")))
    assert told(plan) == [("table", 4 * INCH), ("chop", 30 * INCH)]
    assert plan.effort.passes == {"table": 3, "chop": 2}
