"""Orders of cuts are carried out on a bench that knows only sheets, tools and limits: the cut list comes out."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.build import to_cut
from nesting.cutting.parts import Part
from nesting.cutting.sawing.plan import plan_in, saw_plan
from nesting.cutting.sawing.sticks import stick_work
from nesting.cutting.sheets import Cut, Layout, PartLeaf, SheetLayout
from nesting.shop.needs import Blade, blade_of
from nesting.shop.shop_file import default_shop
from pricing.output.job import read_both
from pricing.quoting.work import build_order
from tests.generated_orders import KINDS, ON
from tests.nesting.drawings.cut_trees import random_layout
from tests.saw_simulation import Stuff, limits_of, replay
from tests.stick_simulation import Section, replay_sticks

SALES: Final = range(30)
SMALL: Final = [seed for seed in range(60) if len(KINDS["consignment"](seed).rows) <= 8][:20]
"""Consignments of few works: some seconds of work in all."""
ORDERS: Final = [("sale", seed) for seed in SALES] + [("consignment", seed) for seed in SMALL]
KERF: Final = INCH // 8


@pytest.mark.parametrize(("kind", "seed"), ORDERS)
def test_every_good_of_an_order_is_cut_as_printed(kind: str, seed: int, tmp_path: Path) -> None:
    order, office = read_both(KINDS[kind](seed).write(tmp_path), None, None)
    build = build_order(order, office, on=ON, search=QUICK)
    parts, sticks = to_cut(build)
    limits = limits_of(build.shop)
    assert build.layouts
    for layout in build.layouts:
        good = build.shop.good(layout.good)
        stuff = Stuff(good.thickness, blade_of(build.shop, good) != "saw")
        assert replay(plan_in(build.shop, layout), layout, parts[layout.good], limits, stuff) == []
    for plan in build.stick_plans:
        good = build.shop.good(plan.good)
        mine = sticks[plan.good]
        work = stick_work(plan, {p.name: p.length for p in mine}, (good.thickness, good.breadth), build.shop.tools)
        assert replay_sticks(work, plan, mine, Section(good.thickness, good.breadth), limits) == []


def test_the_orders_are_fifty() -> None:
    assert len(set(ORDERS)) == 50


SHOPS: Final = {
    "all tools": {},
    "no table saw": {"rip": 0},
    "no chop saw": {"chop": 0},
    "a track alone": {"rip": 0, "chop": 0},
    "no track": {"track": 0},
    "a chop saw on rails": {"chop": 12 * INCH, "chop_stack": 3 * INCH},
    "a large table saw": {"rip": 52 * INCH, "narrowest": INCH},
}


def renamed(node: Any, index: int, dx: int, dy: int, kerf: int, found: dict[str, Part]) -> Any:
    """Give the parts of a layout names of its own, and gather them as a cut list."""
    if isinstance(node, PartLeaf):
        name = f"{index}.{node.part}"
        length, width = (dy, dx) if node.turned else (dx, dy)
        count = found[name].count if name in found else 0
        found[name] = Part(name, length, width, "board", count + 1)
        return replace(node, part=name)
    if not isinstance(node, Cut):
        return node
    rip = node.direction == "rip"
    rest = (dy if rip else dx) - node.at - kerf
    first = renamed(node.first, index, *((dx, node.at) if rip else (node.at, dy)), kerf, found)
    behind = renamed(node.rest, index, *((dx, rest) if rip else (rest, dy)), kerf, found) if rest > 0 else node.rest
    return replace(node, first=first, rest=behind)


def drawn(sheets: Sequence[SheetLayout], kerf: int) -> tuple[Layout, list[Part]]:
    """Return sheets cut at random as one good's layout, with its cut list."""
    made, parts = [], []
    for index, each in enumerate(sheets):
        found: dict[str, Part] = {}
        cuts = renamed(each.cuts, index, each.sheet.usable_length, each.sheet.usable_width, kerf, found)
        made.append(replace(each, cuts=cuts))
        parts += [replace(part, count=part.count * each.repeat) for part in found.values()]
    return Layout("board", kerf, tuple(made), 0, 0, 0, proven=False), parts


@pytest.mark.parametrize("tools", SHOPS.values(), ids=SHOPS)
@settings(max_examples=40, deadline=None)
@given(
    sheets=st.lists(st.integers(0, 10**6), min_size=1, max_size=3),
    thickness=st.sampled_from([INCH // 4, 3 * INCH // 4, 3 * INCH // 2, 3 * INCH]),
)
def test_sheets_cut_at_random_come_out_whatever_the_tools(
    tools: dict[str, int], sheets: list[int], thickness: int
) -> None:
    shop = default_shop()
    shop = replace(shop, tools=replace(shop.tools, **tools))
    layout, parts = drawn([random_layout(seed) for seed in sheets], KERF)
    plan = saw_plan(layout, thickness, shop.saw, shop.tools)
    faults = replay(plan, layout, parts, limits_of(shop), Stuff(thickness))
    # Cut at random, much is too small for any tool, and is said to be; all else must come out as it is told.
    assert [each for each in faults if "no tool for" not in each] == []


@settings(max_examples=40, deadline=None)
@given(sheets=st.lists(st.integers(0, 10**6), min_size=1, max_size=3), thin=st.booleans())
def test_foam_cut_at_random_comes_out(sheets: list[int], *, thin: bool) -> None:
    shop = default_shop()
    blade: Blade = "knife" if thin else "band"
    thickness, kerf = (INCH, 0) if thin else (3 * INCH, shop.tools.band_kerf)
    layout, parts = drawn([random_layout(seed, kerf=kerf) for seed in sheets], kerf)
    plan = saw_plan(layout, thickness, shop.saw, shop.tools, blade)
    assert replay(plan, layout, parts, limits_of(shop), Stuff(thickness, soft=True)) == []
