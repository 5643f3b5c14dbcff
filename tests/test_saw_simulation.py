"""The simulation of the saw finds each fault that is planted in a good order of cuts, and tells it once."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import pytest

from nesting.base.measure import INCH
from nesting.cutting.parts import Part
from nesting.cutting.sawing.model import Effort, Outcome, SawCut, SawPlan, Setting
from nesting.shop.shop_file import default_shop
from tests.saw_simulation import Limits, Lot, Stuff, limits_of, replay_lots

KERF = INCH // 8
PLY = Stuff(3 * INCH // 4)
LOTS = (Lot(96 * INCH, 48 * INCH, 2, ((60 * INCH, 7 * INCH + 3 * INCH // 4),)),)
PARTS = (Part("side", 60 * INCH, 20 * INCH, "ply", 4, "length"), Part("rail", 11 * INCH, 5 * INCH, "ply", 8))


def inches(length: float) -> int:
    return round(length * INCH)


def side(kind: Any, name: str, dx: float, dy: float) -> Outcome:
    return Outcome(kind, name, inches(dx), inches(dy))


def cut(
    number: int, panel: str, edge: Any, size: tuple[float, float], sides: tuple[Outcome, Outcome], *line: float
) -> dict[str, Any]:  # 6 arguments: what a cut is
    drawn = tuple(each * INCH for each in line)
    along, across = size
    return {"number": number, "panel": panel, "edge": edge, "along": inches(along), "across": inches(across),
            "off": sides[0], "stays": sides[1], "line": drawn}  # fmt: skip


def at(tool: Any, action: Any, fence: float, cuts: Sequence[Mapping[str, Any]], passes: int, **more: Any) -> Setting:
    """Return a setting with its cuts, on the two sheets that are cut alike."""
    each = {"layout": 0, "repeat": 2, "tool": tool, "action": action, "fence": inches(fence)}
    return Setting(tool, action, inches(fence), tuple(SawCut(**each, **cut) for cut in cuts), passes, **more)


def plan() -> SawPlan:
    """Two sheets cut alike: broken down with the track, ripped, and blocks cut off two strips in stacks of two.

    The sheet is first cut across, at 60 in. Then two sides and two strips are ripped off, and each strip gives two
    rails, the last of which leaves a piece that a hand may hold.
    """
    rail, rest = side("part", "rail", 11, 5), 35.875
    settings = (
        at("track", "crosscut", 60, (
            cut(1, "1A", "left", (48, 96), (side("panel", "1B", 60, 48), side("panel", "1A", rest, 48)),
                60.0625, 0, 60.0625, 48),), 2),
        at("table", "rip", 20, (
            cut(2, "1B", "bottom", (60, 48), (side("part", "side", 60, 20), side("panel", "1B", 60, 27.875)),
                0, 20.0625, 60, 20.0625),
            cut(3, "1B", "bottom", (60, 27.875), (side("part", "side", 60, 20), side("offcut", "offcut", 60, 7.75)),
                0, 40.1875, 60, 40.1875)), 4),
        at("table", "rip", 5, (
            cut(4, "1A", "bottom", (rest, 48), (side("panel", "1C", rest, 5), side("panel", "1A", rest, 42.875)),
                60.125, 5.0625, 96, 5.0625),
            cut(5, "1A", "top", (rest, 42.875), (side("panel", "1D", rest, 5), Outcome("waste", "waste")),
                60.125, 42.9375, 96, 42.9375)), 4, with_block=True),
        at("chop", "crosscut", 11, (
            cut(6, "1C", "left", (5, rest), (rail, side("panel", "1C", 24.75, 5)), 71.1875, 0, 71.1875, 5),
            cut(7, "1D", "left", (5, rest), (rail, side("panel", "1D", 24.75, 5)), 71.1875, 43, 71.1875, 48),
            cut(8, "1C", "left", (5, 24.75), (rail, Outcome("waste", "waste")), 82.3125, 0, 82.3125, 5),
            cut(9, "1D", "right", (5, 24.75), (rail, Outcome("waste", "waste")), 84.9375, 43, 84.9375, 48)), 4,
            stacked=2),
    )  # fmt: skip
    return SawPlan("ply", KERF, settings, counted(settings))


def counted(settings: tuple[Setting, ...]) -> Effort:
    """Count settings and passes; four panels come to the table one by one, all four strips to the chop saw at once."""
    tools = {each.tool for each in settings}
    return Effort(
        settings={tool: sum(each.tool == tool for each in settings) for tool in tools},
        passes={tool: sum(each.passes for each in settings if each.tool == tool) for tool in tools},
        rips={"table": 8},
        loads=2,
        carries=5,
    )


@dataclass(frozen=True)
class Planted:
    """A fault, how it gets into the order, and what must be told of it."""

    told: str
    change: Callable[[SawPlan], SawPlan]
    limits: Callable[[Limits], Limits] = lambda limits: limits
    stuff: Stuff = PLY


def setting(index: int, **changes: Any) -> Callable[[SawPlan], SawPlan]:
    """Change a setting; what the plan counts goes with it."""

    def changed(good: SawPlan) -> SawPlan:
        settings = list(good.settings)
        settings[index] = replace(settings[index], **changes)
        return replace(good, settings=tuple(settings), effort=counted(tuple(settings)))

    return changed


def one_cut(index: int, which: int, **changes: Any) -> Callable[[SawPlan], SawPlan]:
    """Change a cut of a setting."""

    def changed(good: SawPlan) -> SawPlan:
        cuts = list(good.settings[index].cuts)
        cuts[which] = replace(cuts[which], **changes)
        return setting(index, cuts=tuple(cuts))(good)

    return changed


def refenced(index: int, fence: float) -> Callable[[SawPlan], SawPlan]:
    """Set a fence elsewhere, and say so at each of its cuts."""

    def changed(good: SawPlan) -> SawPlan:
        cuts = tuple(replace(each, fence=inches(fence)) for each in good.settings[index].cuts)
        return setting(index, at=inches(fence), cuts=cuts)(good)

    return changed


def by(index: int, tool: Any) -> Callable[[SawPlan], SawPlan]:
    """Give a setting to another tool."""

    def changed(good: SawPlan) -> SawPlan:
        cuts = tuple(replace(each, tool=tool) for each in good.settings[index].cuts)
        return setting(index, tool=tool, cuts=cuts)(good)

    return changed


def swapped(good: SawPlan) -> SawPlan:
    """Rip the strips before the sheet is broken down: their panel is not there yet."""
    first, second, *others = good.settings
    number = [*second.cuts, *first.cuts]
    cuts = [replace(each, number=index + 1) for index, each in enumerate(number)]
    return replace(good, settings=(replace(second, cuts=(*cuts[:2],)), replace(first, cuts=(cuts[2],)), *others))


def short(good: SawPlan) -> SawPlan:
    """Leave the last cut out."""
    last = good.settings[-1]
    return setting(3, cuts=last.cuts[:-1], passes=3)(good)


def twice(good: SawPlan) -> SawPlan:
    """Set the fence where it stands."""
    first, second = good.settings[1].cuts
    halves = [replace(good.settings[1], cuts=(each,), passes=2) for each in (first, second)]
    settings = (good.settings[0], *halves, *good.settings[2:])
    return replace(good, settings=settings, effort=counted(settings))


def same(good: SawPlan) -> SawPlan:
    return good


FAULTS = {
    "wrong fence": Planted("panel 1B told 60 in x 48 in, comes off 59 in x 48 in", refenced(0, 59)),
    "kerf forgotten": Planted(
        "panel 1B told 60 in x 28 in, comes off 60 in x 27.875 in",
        one_cut(1, 0, stays=side("panel", "1B", 60, 28)),
    ),
    "from the wrong edge": Planted("drawn at", one_cut(2, 0, edge="top")),
    "across where it says along": Planted("a crosscut with its bottom edge", one_cut(1, 0, action="crosscut")),
    "another tool than it is set for": Planted("told track at 20 in", one_cut(1, 0, tool="track")),
    "another fence than it is set for": Planted("told table at 19 in", one_cut(1, 1, fence=inches(19))),
    "turned for nothing": Planted("told to be turned", one_cut(1, 1, turned=True)),
    "no clamp": Planted("not told to be clamped", same, lambda limits: replace(limits, hold=inches(14))),
    "a clamp for nothing": Planted("told to be clamped", one_cut(3, 0, clamped=True)),
    "too short for the clamp": Planted("no clamp holds it", same, lambda limits: replace(limits, narrowest=inches(14))),
    "too small for the rail": Planted("its rail is clamped", same, lambda limits: replace(limits, clamp=inches(97))),
    "a panel not there yet": Planted("there is no such panel", swapped),
    "no such panel": Planted("there is no such panel", one_cut(3, 1, panel="1E")),
    "a name made twice": Planted("a second 1C", one_cut(2, 1, off=side("panel", "1C", 35.875, 5))),
    "a part missing": Planted("6 of part rail, wanted 8", short),
    "left on the bench": Planted("panel 1D, 24.75 in x 5 in, is left on the bench", short),
    "a part nobody wants": Planted("2 of shelf, which nobody wants", one_cut(1, 0, off=side("part", "shelf", 60, 20))),
    "offcut thrown away": Planted(
        "offcuts none come off untold, 1 of 60 in x 7.75 in told do not",
        one_cut(1, 1, stays=side("waste", "waste", 60, 7.75)),
    ),
    "nothing is cut": Planted("at 48 in it cuts nothing", refenced(2, 48)),
    "dust told where wood remains": Planted("dust told, 13.625 in x 5 in remain", one_cut(3, 2, stays=Outcome("dust"))),
    "fewer sheets": Planted("1 of layout 1, it lies on 2", one_cut(2, 0, repeat=1)),
    "size along the cut": Planted("told 47 in x 96 in along and across", one_cut(0, 0, along=inches(47))),
    "numbers out of order": Planted("should be number 1", one_cut(0, 0, number=9)),
    "drawn elsewhere": Planted("drawn at", one_cut(0, 0, line=(0.0, 0.0, 0.0, 9.0))),
    "rip beyond the fence": Planted(
        "the fence stands at 20 in, it reaches 19 in", same, lambda limits: replace(limits, rip=inches(19))
    ),
    "longer from fence to blade than along it": Planted(
        "60 in from fence to blade is longer than 48 in along it", by(0, "table")
    ),
    "too large for one person": Planted(
        "32.0 sq ft on the table", by(0, "table"), lambda limits: replace(limits, rip=inches(70))
    ),
    "long across the fence": Planted("it swings", same, lambda limits: replace(limits, crosswise=1.2)),
    "short along the fence": Planted(
        "35.875 in along the fence, 36 in is the least", same, lambda limits: replace(limits, along_fence=inches(36))
    ),
    "narrow at the fence": Planted(
        "5 in between fence and blade, 5.5 in is the least", same, lambda limits: replace(limits, narrowest=inches(5.5))
    ),
    "no push block": Planted("a push block is not told at 5 in", setting(2, with_block=False)),
    "a push block for nothing": Planted("a push block is told at 20 in", setting(1, with_block=True)),
    "longer than the track": Planted(
        "48 in long, the track takes 40 in", same, lambda limits: replace(limits, track=inches(40))
    ),
    "too wide to chop": Planted(
        "5 in wide, the saw crosscuts 4.5 in", same, lambda limits: replace(limits, chop=inches(4.5))
    ),
    "stack too high": Planted("3 on each other, 2.25 in high", setting(3, stacked=3, passes=3)),
    "a stack on the table": Planted("2 on each other, 1.5 in high", setting(1, stacked=2, passes=2)),
    "passes too few": Planted("3 passes told, takes 4", setting(3, passes=3)),
    "passes too many": Planted("9 passes told, takes 4", setting(3, passes=9)),
    "a chain in one pass": Planted(
        "1 passes told, takes 2", setting(3, stacked=8, passes=1), lambda limits: replace(limits, chop_stack=inches(9))
    ),
    "a knife through plywood": Planted("not a tool for this good", by(1, "knife")),
    "a saw through foam": Planted("not a tool for this good", same, stuff=Stuff(INCH, soft=True)),
    "too thick for the knife": Planted(
        "1.5 in thick, it goes through 1 in", by(0, "knife"), stuff=Stuff(inches(1.5), soft=True)
    ),
    "another kerf": Planted("takes 0.125 in, the plan reckons 0.0625 in", lambda p: replace(p, kerf=KERF // 2)),
    "a blade thinner than planned": Planted(
        "part side is left larger",
        one_cut(1, 1, stays=side("part", "side", 60, 7.75)),
        lambda limits: replace(limits, kerfs=dict.fromkeys(limits.kerfs, KERF // 2)),
    ),
    "no tool": Planted("no tool for 1B 60 in x 48 in, 1B 60 in x 27.875 in", by(1, "none")),
    "a setting told twice": Planted("table set to 20 in where it stands so already", twice),
    "settings miscounted": Planted(
        "settings told", lambda p: replace(p, effort=replace(p.effort, settings={"table": 1}))
    ),
    "passes miscounted": Planted("passes told", lambda p: replace(p, effort=replace(p.effort, passes={"table": 1}))),
    "rips miscounted": Planted("rips told", lambda p: replace(p, effort=replace(p.effort, rips={"table": 7}))),
    "turns miscounted": Planted("2 turns told, are 0", lambda p: replace(p, effort=replace(p.effort, turns=2))),
    "armfuls miscounted": Planted("4 armfuls told", lambda p: replace(p, effort=replace(p.effort, carries=4))),
    "sheets miscounted": Planted("1 sheets told, are 2", lambda p: replace(p, effort=replace(p.effort, loads=1))),
}  # fmt: skip


def test_a_good_order_has_no_fault() -> None:
    assert replay_lots(plan(), LOTS, PARTS, limits_of(default_shop()), PLY) == []


@pytest.mark.parametrize("fault", FAULTS.values(), ids=FAULTS)
def test_a_planted_fault_is_found(fault: Planted) -> None:
    found = replay_lots(fault.change(plan()), LOTS, PARTS, fault.limits(limits_of(default_shop())), fault.stuff)
    assert [each for each in found if fault.told in each], found


@pytest.mark.parametrize("name", ["wrong fence", "from the wrong edge", "no push block", "too wide to chop", "no tool"])
def test_a_fault_is_not_told_again_by_what_follows(name: str) -> None:
    fault = FAULTS[name]
    found = replay_lots(fault.change(plan()), LOTS, PARTS, limits_of(default_shop()), PLY)
    cuts = [each.partition(" with")[0] for each in found]
    assert len(cuts) == len(set(cuts)), found
    assert not [each for each in found if "wanted" in each or "left on the bench" in each], found


def test_a_part_with_its_grain_across_is_found() -> None:
    across = (replace(PARTS[0], length=20 * INCH, width=60 * INCH), PARTS[1])
    found = replay_lots(plan(), LOTS, across, limits_of(default_shop()), PLY)
    assert found == ["part side lies across its grain"]
