"""Small parts off strips: no part is lost, none overlaps, no goods cost more, and hands have something to hold."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.cutting.parts import Grain, Part
from nesting.cutting.sawing.blanks import (
    Wish,
    blanked,
    gatherings,
    is_small,
    made_safe,
    strips_in,
    strips_told,
)
from nesting.cutting.sawing.model import SawPlan
from nesting.cutting.sawing.plan import saw_plan
from nesting.cutting.sheets import Layout, Sheet, nest
from nesting.shop.house_rules import SawRules, ToolRules
from tests.layout_verifier import verify

TOOLS = ToolRules()
KERF = INCH // 8
SHEET = Sheet("ply 4x8", 96 * INCH, 48 * INCH, 5000)


def part(name: str, length: float, width: float, count: int = 1, grain: Grain = "length") -> Part:
    return Part(name, round(length * INCH), round(width * INCH), "ply", count, grain)


def work(layout: Layout) -> SawPlan:
    return saw_plan(layout, 3 * INCH // 4, SawRules(), TOOLS)


def unsafe(layout: Layout) -> tuple[int, int]:
    cuts = work(layout).cuts
    return sum(cut.repeat for cut in cuts if cut.tool == "none"), sum(cut.repeat for cut in cuts if cut.clamped)


def again(parts: Sequence[Part], _hard: bool) -> Layout:
    return lay(parts)


def lay(parts: Sequence[Part], *sheets: Sheet) -> Layout:
    return nest(parts, sheets or (SHEET,), kerf=KERF, search=QUICK)


@st.composite
def cut_lists(draw: st.DrawFn) -> list[Part]:
    """Blocks in few widths, as crates have them, with some larger parts between them."""
    halves = st.integers(1, 23)
    blocks = st.tuples(halves, st.sampled_from((2, 3, 4, 7, 12, 19)), st.integers(1, 6))
    larger = st.tuples(st.integers(24, 96), st.integers(2, 60), st.integers(1, 2))
    sizes = [*draw(st.lists(blocks, min_size=1, max_size=8)), *draw(st.lists(larger, max_size=4))]
    grains: list[Grain] = draw(st.lists(st.sampled_from(("any", "length")), min_size=len(sizes), max_size=len(sizes)))
    return [
        part(f"K{number}.part", length / 2, width / 2, count, grain)
        for number, ((length, width, count), grain) in enumerate(zip(sizes, grains, strict=True))
    ]


@given(cut_lists(), st.builds(Wish, st.sampled_from((1, 2, 4)), st.sampled_from((1, 3)), *[st.booleans()] * 3))
def test_unfolding_loses_no_part_and_lays_none_over_another(parts: list[Part], wish: Wish) -> None:
    blanks = blanked(parts, TOOLS, KERF, (96 * INCH, 48 * INCH), wish)
    if blanks is None:
        assert wish.fewest > 1 or not any(is_small(each, TOOLS) for each in parts)
        return
    strips = [each for each in blanks.parts if each.name in blanks.strips]
    for each in strips:
        assert max(each.length, each.width) >= TOOLS.along_fence
        assert len(blanks.strips[each.name].cells) >= wish.fewest
    made = blanks.unfold(lay(blanks.parts))
    # Its bound is that of strips: of the parts it is none, and :func:`made_safe` puts the right one there.
    verify(replace(made, bound=0, proven=made.cost == 0), parts, (SHEET,), KERF)
    if wish.fewest == 1:
        # What is cut by itself leaves enough; strips may lie beside each other in one stage, which is only longer.
        cut = Counter(
            name for strip in strips_in(made, {each.name: each for each in parts}, TOOLS) for name in strip.parts
        )
        small = Counter({each.name: each.count for each in parts if is_small(each, TOOLS)})
        assert set(small) <= set(cut)


@given(cut_lists())
def test_no_more_cuts_are_unsafe_and_goods_cost_more_only_where_they_cannot_be_cut(parts: list[Part]) -> None:
    plain = lay(parts)
    made = made_safe(plain, parts, (SHEET,), TOOLS, again, work)
    verify(made, parts, (SHEET,), KERF)
    assert made.bound == min(plain.bound, made.cost)
    assert unsafe(made) <= unsafe(plain)
    assert made.cost <= plain.cost or (unsafe(plain)[0] and not unsafe(made)[0])
    assert made_safe(plain, parts[::-1], (SHEET,), TOOLS, again, work).cost == made.cost


def test_blocks_of_one_width_come_off_one_strip_longest_first_with_an_end_to_hold() -> None:
    parts = [part("K1.block", 3, 2, 4), part("K2.block", 4, 2, 4), part("K1.face", 40, 30)]
    blanks = blanked(parts, TOOLS, KERF, (96 * INCH, 48 * INCH), Wish())
    assert blanks
    ((name, strip),) = blanks.strips.items()
    assert [cell.part for cell in strip.cells] == ["K2.block"] * 4 + ["K1.block"] * 4
    assert strip.end == TOOLS.hold
    (laid,) = (each for each in blanks.parts if each.name == name)
    assert (laid.length, laid.width) == (4 * 3 * INCH + 4 * 4 * INCH + 8 * KERF + 8 * INCH, 2 * INCH)
    made = blanks.unfold(lay(blanks.parts))
    (found,) = strips_in(made, {each.name: each for each in parts}, TOOLS)
    # What lies behind the strip is not cut off it: the end is so much longer.
    assert found.width == 2 * INCH
    assert found.length >= laid.length
    assert found.held == found.length - laid.length + 8 * INCH
    assert "8 small parts off one strip 2 in wide" in strips_told([found], "inch")


def test_one_block_gets_a_blank_that_lies_along_the_fence() -> None:
    blanks = blanked([part("K1.block", 3, 2)], TOOLS, KERF, (96 * INCH, 48 * INCH), Wish(4))
    assert blanks
    (laid,) = blanks.parts
    assert laid.length == TOOLS.along_fence


def test_what_is_long_enough_itself_needs_no_end_to_hold() -> None:
    blanks = blanked([part("K1.block", 10, 3, 2)], TOOLS, KERF, (96 * INCH, 48 * INCH), Wish(2))
    assert blanks
    (strip,) = blanks.strips.values()
    assert strip.end == 0
    assert strip.length(KERF) == 20 * INCH + KERF


def test_grain_keeps_its_way_through_a_strip_that_runs_across_it() -> None:
    # Both are 6 in one way: the strip is 6 wide only if it lies across the grain of one of them; so they part.
    parts = [part("K1.a", 7, 6, 3), part("K1.b", 6, 1, 3)]
    blanks = blanked(parts, TOOLS, KERF, (96 * INCH, 48 * INCH), Wish())
    assert blanks
    made = blanks.unfold(lay(blanks.parts))
    verify(replace(made, bound=0, proven=made.cost == 0), parts, (SHEET,), KERF)


def test_a_layout_without_an_unsafe_cut_stays_as_it_is() -> None:
    parts = [part("K1.face", 40, 30, 2)]
    plain = lay(parts)

    def never(_parts: object, _hard: bool) -> Layout:
        raise AssertionError("nothing is laid out again")

    assert made_safe(plain, parts, (SHEET,), TOOLS, never, work) is plain


@given(cut_lists())
def test_a_draft_seeks_strips_only_for_what_no_tool_cuts_and_stops_at_the_first_that_will_do(parts: list[Part]) -> None:
    plain = lay(parts)
    asked: list[Layout] = []

    def counted(blanks: Sequence[Part], _hard: bool) -> Layout:
        asked.append(lay(blanks))
        return asked[-1]

    made = made_safe(plain, parts, (SHEET,), TOOLS, counted, work, draft=True)
    if not unsafe(plain)[0]:
        assert made is plain
        assert not asked
        return
    verify(made, parts, (SHEET,), KERF)
    assert unsafe(made)[0] <= unsafe(plain)[0]
    whole = made_safe(plain, parts, (SHEET,), TOOLS, again, work)
    assert bool(unsafe(made)[0]) == bool(unsafe(whole)[0])
    assert made.cost == whole.cost or made.cost <= plain.cost


def test_a_search_ends_at_the_cost_that_is_asked_for() -> None:
    parts = [part(f"K{number}.side", 31, 17, 3) for number in range(6)]
    least = lay(parts)
    made = nest(parts, (SHEET,), kerf=KERF, search=QUICK, enough=2 * least.cost)
    verify(replace(made, bound=0, proven=False), parts, (SHEET,), KERF)
    assert least.cost <= made.cost <= 2 * least.cost
    assert nest(parts, (SHEET,), kerf=KERF, search=QUICK, enough=least.bound) == least


def test_where_nothing_else_can_be_laid_out_the_plain_layout_stays() -> None:
    small = Sheet("ply 8x8", 8 * INCH, 8 * INCH, 100)
    parts = [part("K1.block", 3.9375, 3.9375, 4)]
    plain = lay(parts, small)
    assert unsafe(plain) > (0, 0)
    assert made_safe(plain, parts, (small,), TOOLS, lambda _parts, _hard: None, work) == plain


def test_what_no_tool_can_cut_is_cut_from_more_goods_where_that_helps() -> None:
    small = Sheet("ply 6x14", 29 * INCH // 2, 6 * INCH, 100)
    parts = [part("K1.block", 6, 4.625, 3, "any")]
    plain = lay(parts, small, SHEET)
    assert (plain.cost, unsafe(plain)[0] > 0) == (100, True)
    made = made_safe(plain, parts, (small, SHEET), TOOLS, lambda each, _hard: lay(each, small, SHEET), work)
    assert (made.cost > plain.cost, unsafe(made)[0]) == (True, 0)
    assert (made.bound, made.proven) == (plain.bound, False)


def test_slim_parts_lie_side_by_side_with_a_rest_for_the_fence() -> None:
    parts = [part("K1.edge", 40, 1.5, 3), part("K1.face", 40, 30)]
    blanks = blanked(parts, TOOLS, KERF, (96 * INCH, 48 * INCH), Wish(slim=True))
    assert blanks
    ((name, strip),) = blanks.strips.items()
    assert (strip.width, len(strip.cells), strip.end) == (40 * INCH, 3, TOOLS.narrowest)
    (laid,) = (each for each in blanks.parts if each.name == name)
    assert (laid.length, laid.width, laid.grain) == (40 * INCH, round((3 * 1.625 + 2) * INCH), "length")
    assert blanked(parts, TOOLS, KERF, (96 * INCH, 48 * INCH), Wish()) is None


def test_where_the_last_of_a_sheet_is_too_slim_for_the_fence_a_wider_rest_is_kept() -> None:
    strip, wider = Sheet("ply 3 in", 40 * INCH, 25 * INCH // 8, 100), Sheet("ply 8 in", 40 * INCH, 8 * INCH, 101)
    parts = [part("K1.edge", 40, 1.5, 2)]
    plain = lay(parts, strip, wider)
    assert unsafe(plain)[0]
    made = made_safe(plain, parts, (strip, wider), TOOLS, lambda each, _hard: lay(each, strip, wider), work)
    assert (made.cost, unsafe(made)) == (101, (0, 0))


def test_wishes_that_come_to_the_same_strips_are_tried_once() -> None:
    parts = [Part("block", 4 * INCH, 2 * INCH, "ply", 3), Part("rail", 40 * INCH, 6 * INCH, "ply", 2)]
    wishes = [Wish(), Wish(), Wish(share=2), Wish(hard=True), Wish(narrow=True)]
    found = list(gatherings(parts, (SHEET,), TOOLS, KERF, wishes))
    assert [number for number, _, _ in found] == [0, 3], "three blocks are shorter than half a sheet; rails are wide"
    assert not list(gatherings(parts[1:], (SHEET,), TOOLS, KERF, wishes))
