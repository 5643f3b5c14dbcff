"""The simulation of lumber at the saw finds each fault that is planted in a good order of cuts."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.cutting.parts import StickPart
from nesting.cutting.sawing.model import Effort
from nesting.cutting.sawing.sticks import StickCut, StickSetting, StickWork, stick_work
from nesting.cutting.sticks import Stick
from nesting.cutting.sticks.plan import StickLayout, StickPlan
from nesting.shop.shop_file import default_shop
from tests.saw_simulation import Limits, limits_of
from tests.stick_simulation import Section, replay_sticks

KERF = INCH // 8
SECTION = Section(INCH, 3 * INCH)
PARTS = (
    StickPart("rail", 40 * INCH, "1x3", 4),
    StickPart("stile", 15 * INCH, "1x3", 2),
    StickPart("end", 94 * INCH, "1x3"),
)
STICKS = StickPlan(
    "1x3",
    KERF,
    (
        StickLayout(Stick("1x3 8 ft", 96 * INCH, 300, trim=INCH // 2), ("rail", "rail", "stile"), 2),
        StickLayout(Stick("1x3 94 in", 94 * INCH, 300), ("end",), 1),
    ),
    0, 0, 0, proven=False, stopped=None,
)  # fmt: skip


def work() -> StickWork:
    """Two sticks trimmed, then cut in a stack of two; the third is a part as it is."""
    stops = (
        StickSetting("chop", INCH // 2, trim=True, cuts=(StickCut(0, 2, ()),), passes=1, stacked=2),
        StickSetting("chop", 40 * INCH, trim=False, cuts=(StickCut(0, 2, ("rail", "rail")),), passes=2, stacked=2),
        StickSetting("chop", 15 * INCH, trim=False, cuts=(StickCut(0, 2, ("stile",)),), passes=1, stacked=2),
    )
    return StickWork("1x3", KERF, stops, Effort({"chop": 3}, {"chop": 4}))


def setting(index: int, **changes: Any) -> Callable[[StickWork], StickWork]:
    """Change a setting; what is counted goes with it."""

    def changed(good: StickWork) -> StickWork:
        stops = list(good.settings)
        stops[index] = replace(stops[index], **changes)
        tools = {each.tool for each in stops}
        effort = Effort(
            {tool: sum(each.tool == tool for each in stops) for tool in tools},
            {tool: sum(each.passes for each in stops if each.tool == tool) for tool in tools},
        )
        return replace(good, settings=tuple(stops), effort=effort)

    return changed


@dataclass(frozen=True)
class Planted:
    """A fault, how it gets into the order, and what must be told of it."""

    told: str
    change: Callable[[StickWork], StickWork] = lambda good: good
    limits: Callable[[Limits], Limits] = lambda limits: limits
    section: Section = SECTION


FAULTS = {
    "wrong stop": Planted("rail is 40 in, the stop stands at 41 in", setting(1, at=41 * INCH)),
    "too much for the stick": Planted(
        "stile is cut off a stick of 0 in", setting(1, cuts=(StickCut(0, 2, ("rail", "rail", "rail")),))
    ),
    "a part missing": Planted("2 of rail, wanted 4", setting(1, cuts=(StickCut(0, 2, ("rail",)),))),
    "a part nobody wants": Planted("2 of shelf, wanted 0", setting(2, cuts=(StickCut(0, 2, ("shelf",)),))),
    "left that is not": Planted("rail is to be left, 0.125 in", setting(2, cuts=(StickCut(0, 2, ("stile",), "rail"),))),
    "fewer sticks": Planted("1 sticks, 2 are cut so", setting(2, cuts=(StickCut(0, 1, ("stile",)),))),
    "trimmed late": Planted("trimmed after parts", lambda good: replace(good, settings=good.settings[::-1])),
    "nothing is cut": Planted("nothing is cut", setting(2, cuts=())),
    "a stop set twice": Planted("the stop stood there before", setting(2, at=40 * INCH)),
    "a stack too high": Planted("3 on each other, 3 in high", setting(1, stacked=3)),
    "passes too few": Planted("1 passes told, takes 2", setting(1, passes=1)),
    "passes too many": Planted("9 passes told, takes 2", setting(1, passes=9)),
    "too wide": Planted("3 in wide, the saw crosscuts 2 in", limits=lambda limits: replace(limits, chop=2 * INCH)),
    "no stack with a track": Planted("2 on each other with the track", setting(1, tool="track")),
    "too wide for the track": Planted(
        "120 in wide, the track takes 110 in", setting(1, tool="track"), section=Section(INCH, 120 * INCH)
    ),
    "a knife": Planted("knife cuts no lumber", setting(2, tool="knife")),
    "no clamp": Planted("not told to be clamped", limits=lambda limits: replace(limits, hold=41 * INCH)),
    "a clamp for nothing": Planted("told to be clamped", setting(1, clamped=True)),
    "another kerf": Planted("takes more than", lambda good: replace(good, kerf=KERF // 2)),
    "miscounted": Planted("settings and passes told", lambda good: replace(good, effort=Effort({"chop": 2}))),
}  # fmt: skip


def test_a_good_order_has_no_fault() -> None:
    assert replay_sticks(work(), STICKS, PARTS, SECTION, limits_of(default_shop())) == []


@pytest.mark.parametrize("fault", FAULTS.values(), ids=FAULTS)
def test_a_planted_fault_is_found(fault: Planted) -> None:
    limits = fault.limits(limits_of(default_shop()))
    found = replay_sticks(fault.change(work()), STICKS, PARTS, fault.section, limits)
    assert [each for each in found if fault.told in each], found


@settings(max_examples=150, deadline=None)
@given(
    ways=st.lists(st.tuples(st.sampled_from([0, INCH // 2]), st.integers(1, 5), st.integers(0, 10**6)), max_size=4),
    thickness=st.sampled_from([INCH // 2, INCH, 3 * INCH // 2, 3 * INCH]),
    breadth=st.sampled_from([2 * INCH, 5 * INCH, 9 * INCH]),
)
def test_sticks_cut_at_random_come_out(ways: list[tuple[int, int, int]], thickness: int, breadth: int) -> None:
    shop = default_shop()
    layouts, lengths, counts = list[StickLayout](), dict[str, int](), Counter[str]()
    for trim, repeat, seed in ways:
        stick = Stick(f"stick {len(layouts)}", 96 * INCH, 300, trim=trim)
        names = filled(stick.usable, Random(seed), lengths)
        counts.update({name: names.count(name) * repeat for name in names})
        layouts.append(StickLayout(stick, names, repeat))
    plan = StickPlan("1x3", KERF, tuple(layouts), 0, 0, 0, proven=False, stopped=None)
    parts = [StickPart(name, length, "1x3", counts[name]) for name, length in lengths.items()]
    made = stick_work(plan, lengths, (thickness, breadth), shop.tools)
    assert replay_sticks(made, plan, parts, Section(thickness, breadth), limits_of(shop)) == []


def filled(room: int, random: Random, lengths: dict[str, int]) -> tuple[str, ...]:
    """Fill a stick with parts of a few lengths, at times to its very end; longest first."""
    names = []
    while room > INCH:
        length = room if random.random() < 0.2 else random.choice([1, 3, 7, 20, 33, 50]) * INCH
        if length > room:
            break
        name = next((each for each, known in lengths.items() if known == length), f"part-{len(lengths)}")
        lengths[name] = length
        names.append(name)
        room -= length + KERF
    return tuple(sorted(names, key=lambda name: -lengths[name]))
