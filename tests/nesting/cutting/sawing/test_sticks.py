"""Lumber cut to length: every stick gives its parts, a length is set once, and stacks pass once."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.cutting.parts import StickPart
from nesting.cutting.sawing.sticks import StickWork, stick_work
from nesting.cutting.sticks import Stick, StickPlan, cut_sticks
from nesting.cutting.sticks.plan import StickLayout
from nesting.shop.house_rules import ToolRules
from tests.strategies import lengths as any_length

TOOLS = ToolRules()
TWO_BY_FOUR = (3 * INCH // 2, 7 * INCH // 2)


def plan(*sticks: StickLayout, kerf: int = INCH // 8) -> StickPlan:
    return StickPlan("2x4", kerf, sticks, 0, 0, 0, proven=True, stopped=None)


def stick(length: int = 96 * INCH, *, trim: int = 0) -> Stick:
    return Stick("2x4 8ft", length, 500, trim=trim)


def replay(work: StickWork, made: StickPlan, lengths: dict[str, int]) -> Counter[str]:
    """Cut every stick as the settings say, in their order, with nothing known but sticks, kerf and lengths."""
    rests = [each.stick.length for each in made.sticks]
    found: Counter[str] = Counter()
    for setting in work.settings:
        for cut in setting.cuts:
            if setting.trim:
                assert setting.at == made.sticks[cut.layout].stick.trim
                assert rests[cut.layout] == made.sticks[cut.layout].stick.length, "an end is squared before any part"
                rests[cut.layout] -= setting.at
            for part in cut.parts:
                assert lengths[part] == setting.at
                # What is left over would need no cut: one that is made leaves something, if only dust.
                assert rests[cut.layout] > setting.at
                rests[cut.layout] -= setting.at + work.kerf
                found[part] += cut.repeat
            if cut.left:
                assert rests[cut.layout] == lengths[cut.left]
                rests[cut.layout] = 0
                found[cut.left] += cut.repeat
    return found


@st.composite
def cut_lists(draw: st.DrawFn) -> tuple[StickPlan, dict[str, int]]:
    """Plans of the optimiser, of sticks with and without a trim."""
    sizes = draw(st.lists(any_length(INCH, 90 * INCH), min_size=1, max_size=8))
    parts = [StickPart(f"K{i}.edge", size, "2x4", draw(st.integers(1, 5))) for i, size in enumerate(sizes)]
    kerf = draw(st.sampled_from((0, INCH // 16, INCH // 8)))
    stock = (stick(trim=draw(st.sampled_from((0, INCH // 2)))), stick(120 * INCH))
    named = tuple(replace(each, name=f"2x4 {each.length}") for each in stock)
    return cut_sticks(parts, named, kerf=kerf), {part.name: part.length for part in parts}


@given(cut_lists(), st.sampled_from((INCH // 2, 3 * INCH // 2, 2 * INCH, 4 * INCH)))
def test_every_stick_gives_its_parts_and_each_length_is_set_once(
    found: tuple[StickPlan, dict[str, int]], thickness: int
) -> None:
    made, lengths = found
    work = stick_work(made, lengths, (thickness, 3 * INCH), TOOLS)
    wanted = Counter({name: sum(each.repeat * each.parts.count(name) for each in made.sticks) for name in lengths})
    assert replay(work, made, lengths) == wanted
    stops = [setting.at for setting in work.settings if not setting.trim]
    assert stops == sorted(set(stops), reverse=True)
    for setting in work.settings:
        single = sum(max(1, len(cut.parts)) * cut.repeat for cut in setting.cuts)
        assert setting.stacked == 1 or setting.stacked * thickness <= TOOLS.chop_stack
        assert -(-single // setting.stacked) <= setting.passes <= single
    assert work.effort.settings == {"chop": len(work.settings)}
    assert work.effort.passes == {"chop": sum(setting.passes for setting in work.settings)}


def test_a_length_is_set_once_whatever_stick_and_crate_it_is_of() -> None:
    lengths = {"K1.edge": 40 * INCH, "K2.edge": 40 * INCH, "K1.skid": 20 * INCH}
    made = plan(StickLayout(stick(), ("K1.edge", "K2.edge"), 1), StickLayout(stick(), ("K2.edge", "K1.skid"), 2))
    work = stick_work(made, lengths, TWO_BY_FOUR, TOOLS)
    assert [(each.at, each.passes, each.stacked) for each in work.settings] == [(40 * INCH, 4, 1), (20 * INCH, 2, 1)]
    assert all(each.tool != "none" for each in work.settings)


def test_sticks_lie_on_each_other_as_high_as_the_saw_takes_them() -> None:
    lengths = {"a": 20 * INCH}
    made = plan(StickLayout(stick(), ("a", "a", "a"), 2), StickLayout(stick(), ("a",), 3))
    # Two of 3/4 in lie 1-1/2 in high, a third would be 2-1/4: stacks of 3 + 3, 1 + 1 and 1 cuts.
    (setting,) = stick_work(made, lengths, (3 * INCH // 4, 3 * INCH), TOOLS).settings
    assert (setting.passes, setting.stacked) == (3 + 1 + 1, 2)
    (setting,) = stick_work(made, lengths, (3 * INCH // 4, 3 * INCH), replace(TOOLS, chop_stack=3 * INCH)).settings
    assert (setting.passes, setting.stacked) == (3 + 1, 4)


def test_what_ends_with_the_stick_needs_no_cut_of_its_own() -> None:
    lengths = {"a": 48 * INCH, "b": 48 * INCH - INCH // 8}
    work = stick_work(plan(StickLayout(stick(), ("a", "b"), 1)), lengths, TWO_BY_FOUR, TOOLS)
    ((cut,),) = (setting.cuts for setting in work.settings)
    assert (cut.parts, cut.left) == (("a",), "b")
    assert stick_work(plan(StickLayout(stick(), ("w",), 1)), {"w": 96 * INCH}, TWO_BY_FOUR, TOOLS).settings == ()


@pytest.mark.parametrize(("breadth", "tool"), [(11 * INCH // 2, "chop"), (29 * INCH // 4, "track")])
def test_what_is_wider_than_the_chop_saw_is_cut_along_a_guide(breadth: int, tool: str) -> None:
    made, lengths = plan(StickLayout(stick(), ("a", "a"), 3)), {"a": 30 * INCH}
    (setting,) = stick_work(made, lengths, (INCH // 2, breadth), TOOLS).settings
    assert setting.tool == tool
    assert (setting.passes, setting.stacked) == ((2, 3) if tool == "chop" else (6, 1))


def test_with_neither_saw_it_is_refused() -> None:
    made, lengths = plan(StickLayout(stick(), ("a",), 1)), {"a": 30 * INCH}
    bare = replace(TOOLS, chop=0, track=0)
    work = stick_work(made, lengths, TWO_BY_FOUR, bare)
    assert {each.tool for each in work.settings} == {"none"}


def test_a_clamp_holds_what_is_shorter_than_a_hand_asks_on_both_sides() -> None:
    short, long = {"a": 4 * INCH}, {"a": 20 * INCH}
    made = plan(StickLayout(stick(24 * INCH), ("a",) * 5, 1))
    (setting,) = stick_work(made, short, TWO_BY_FOUR, TOOLS).settings
    assert setting.clamped
    # A long part is held itself, however little is left behind the blade.
    (setting,) = stick_work(plan(StickLayout(stick(24 * INCH), ("a",), 1)), long, TWO_BY_FOUR, TOOLS).settings
    assert not setting.clamped
    (setting,) = stick_work(plan(StickLayout(stick(24 * INCH), ("a",), 1)), short, TWO_BY_FOUR, TOOLS).settings
    assert not setting.clamped, "20 in are left to hold"


def test_what_the_trim_leaves_may_be_a_part() -> None:
    made, lengths = plan(StickLayout(stick(trim=INCH), ("a",), 2)), {"a": 95 * INCH}
    work = stick_work(made, lengths, TWO_BY_FOUR, TOOLS)
    ((cut,),) = (setting.cuts for setting in work.settings)
    assert (cut.parts, cut.left, work.settings[0].trim) == ((), "a", True)
    assert replay(work, made, lengths) == {"a": 2}
