"""Bevels of French cleats at the saw: one set-up a width, every blank once, the fence at the short face."""

from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest

from nesting.base.measure import INCH, LB_KG
from nesting.base.search import QUICK
from nesting.build import Build, build
from nesting.crates.bevels import bevelled, bevels_in
from nesting.crates.travel.french import Pair, blank_width
from nesting.cutting.parts import Part
from nesting.cutting.sawing.bevels import BEVEL, bevel_effort, bevel_settings, short_face
from nesting.cutting.sawing.limits import Limits
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sheets import Layout, PartLeaf, Sheet, SheetLayout
from nesting.order import Artwork, Back, Order
from nesting.shop.house_rules import SawRules, ToolRules
from nesting.shop.shop_file import default_shop
from tests.nesting.drawings.builds import supply_of

SHOP = default_shop()
THICK, KERF = 23 * INCH // 32, INCH // 8
SHEET = Sheet("ply 4x8", 96 * INCH, 48 * INCH, 5000)


@cache
def hung() -> Build:
    """Return two pieces that hang in travel frames, with a closed crate beside them."""
    pieces = [
        Artwork(
            f"A-0{number}", side * INCH, side * INCH, 3 * INCH // 2, weight_kg=Decimal(12) * LB_KG, method=method,
            back=Back("solid"),
        )
        for number, (side, method) in enumerate(((30, "travel"), (36, "travel"), (24, "closed")), start=1)
    ]  # fmt: skip
    return build(Order("o", tuple(pieces)), SHOP, supply_of(SHOP), search=QUICK)


def test_every_blank_of_an_order_is_ripped_once_in_one_setting() -> None:
    made = hung()
    blanks = bevelled(made.crates)
    assert len(blanks) == 4
    assert all("french-cleat" in name for name in blanks)
    (good,) = {part.good for part in blanks.values()}
    (layout,) = (each for each in made.layouts if each.good == good)
    (setting,) = bevels_in(SHOP, made.crates, layout)
    assert {cut.panel: cut.repeat for cut in setting.cuts} == {name: part.count for name, part in blanks.items()}
    assert setting.passes == sum(part.count for part in blanks.values())
    assert (setting.tool, setting.bevel, setting.with_block) == ("table", BEVEL, True)
    assert setting.at == SHOP.travel.cleat_width - SHOP.good(good).thickness
    assert setting.cuts[0].number == len(plan_in(SHOP, layout).cuts) + 1
    assert [cut.along for cut in setting.cuts] == sorted((cut.along for cut in setting.cuts), reverse=True)
    assert "away from the fence" in setting.reason
    for other in made.layouts:
        assert other is layout or bevels_in(SHOP, made.crates, other) == ()


def test_a_blank_is_wide_enough_to_be_ripped_at_all() -> None:
    """Both halves, the tilted kerf, and twice what lies between fence and blade at the least."""
    for part in bevelled(hung().crates).values():
        assert part.width >= 2 * SHOP.tools.narrowest
        assert part.width == blank_width(SHOP.travel.cleat_width, THICK, SHOP.saw.kerf)


@pytest.mark.parametrize("width", [3 * INCH, 5 * INCH // 2, 17 * INCH // 4])
@pytest.mark.parametrize("kerf", [0, INCH // 16, INCH // 8])
def test_the_fence_stands_at_the_short_face_of_a_half(width: int, kerf: int) -> None:
    pair = Pair("f", 0, 0, width, THICK, ((0, 30 * INCH),))
    assert short_face(blank_width(width, THICK, kerf), THICK, kerf) == pair.short


def laid(parts: dict[str, int]) -> Layout:
    sheets = tuple(SheetLayout(SHEET, PartLeaf(name, turned=False), count) for name, count in parts.items())
    return Layout("ply", KERF, sheets, 0, 0, 0, proven=True)


def limits(**rules: int) -> Limits:
    return Limits.of(THICK, KERF, SawRules(), replace(ToolRules(), **rules), "saw")


def test_another_width_is_another_setting_and_what_is_not_cut_is_not_ripped() -> None:
    sizes = {"K1.low": (40, 5.5), "K2.low": (30, 5.5), "K3.low": (30, 7), "K4.low": (30, 7)}
    blanks = {name: Part(name, long * INCH, round(wide * INCH), "ply", 2) for name, (long, wide) in sizes.items()}
    settings = bevel_settings(
        laid({"K1.low": 2, "K2.low": 2, "K3.low": 1, "K1.rail": 4}), blanks, THICK, KERF, limits()
    )
    assert [[cut.panel for cut in setting.cuts] for setting in settings] == [["K3.low"], ["K1.low", "K2.low"]]
    assert [setting.passes for setting in settings] == [1, 4]
    effort = bevel_effort(settings, SawRules().panel_area)
    assert (effort.settings, effort.passes, effort.rips) == ({"table": 2}, {"table": 5}, {"table": 5})
    assert effort.carries == 1


def test_what_is_short_is_ripped_while_it_is_still_a_strip_and_without_a_table_saw_nothing_rips_it() -> None:
    blanks = {"K1.low": Part("K1.low", 8 * INCH, 11 * INCH // 2, "ply", 2)}
    (setting,) = bevel_settings(laid({"K1.low": 2}), blanks, THICK, KERF, limits())
    assert (setting.tool, "still one strip" in setting.reason) == ("table", True)
    (setting,) = bevel_settings(laid({"K1.low": 2}), blanks, THICK, KERF, limits(rip=0))
    assert setting.tool == "none"
