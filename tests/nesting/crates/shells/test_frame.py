"""The frame: facts of common practice, real thickness, joints, splices, corner blocks."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.bench import Bench
from nesting.crates.shells.frame import Frame, frame_for, strip_width
from nesting.crates.splices import longest_strip, splice
from nesting.crates.traits import RulesClash
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.strategies import lengths

SHOP = default_shop()
CLEAT = SHOP.good("ply-23/32").thickness


def measured(thickness: int) -> Shop:
    """Return the shop with its 3/4 in plywood measured anew."""
    goods = tuple(replace(g, thickness=thickness) if g.good == "ply-23/32" else g for g in SHOP.goods)
    return replace(SHOP, goods=goods)


def frame(width: int, height: int, depth: int = 3 * INCH // 2, shop: Shop = SHOP) -> Frame:
    return frame_for(width, height, depth, shop, "inch", behind=shop.good("ply-23/32").thickness)


def test_a_30_in_piece_sits_in_a_36_in_frame() -> None:
    # Common practice, no source: the frame's outside is 6 in longer and 6 in wider than the piece.
    made = frame(30 * INCH, 30 * INCH)
    assert (made.width, made.height) == (36 * INCH, 36 * INCH)


@pytest.mark.parametrize(
    ("thickness", "clear"),
    [(3 * INCH // 4, 9 * INCH // 4), (23 * INCH // 32, 2 * INCH + 9 * INCH // 32)],
)
def test_clear_is_3_in_less_the_real_thickness(thickness: int, clear: int) -> None:
    # Common practice, no source: 2-1/4 in with full 3/4 in stock, 2-9/32 in with 23/32.
    assert frame(30 * INCH, 30 * INCH, shop=measured(thickness)).clear == clear


def test_outside_stays_and_inside_follows_the_real_thickness() -> None:
    thin, thick = frame(20 * INCH, 24 * INCH, shop=measured(11 * INCH // 16)), frame(20 * INCH, 24 * INCH)
    assert (thin.width, thin.height) == (thick.width, thick.height)
    assert thin.inside.width - thick.inside.width == 2 * (23 * INCH // 32 - 11 * INCH // 16)


@pytest.mark.parametrize(
    ("side", "depth", "strip"),
    [
        (30, 1.5, 3.5),  # 1-1/2 + 23/32 + 1 is less than the least strip
        (36, 3, 4.75),  # 3 + 23/32 + 1 = 4-23/32, up to the next 1/8
        (36.5, 3, 5.25),  # over 36 in the room is 1-1/2: 5-7/32, up to the next 1/8
    ],
)
def test_strip_width_is_depth_cleat_and_room(side: float, depth: float, strip: float) -> None:
    # The project's own rule.
    wide = strip_width(int(side * INCH), 20 * INCH, int(depth * INCH), SHOP, behind=CLEAT)
    assert wide == int(strip * INCH)


def test_rails_run_through_or_stiles_do() -> None:
    bench = Bench("K1", SHOP)
    frame(30 * INCH, 40 * INCH).place(bench, 0)
    sizes = {part.name: part.length for part in bench.parts}
    assert sizes["K1.rail"] == 36 * INCH
    assert sizes["K1.stile"] == 46 * INCH - 2 * CLEAT
    other = replace(SHOP, frame=replace(SHOP.frame, rails_run_through=False))
    bench = Bench("K1", other)
    frame(30 * INCH, 40 * INCH, shop=other).place(bench, 0)
    sizes = {part.name: part.length for part in bench.parts}
    assert sizes["K1.rail"] == 36 * INCH - 2 * CLEAT
    assert sizes["K1.stile"] == 46 * INCH


def test_corner_blocks_are_no_thicker_than_the_liner() -> None:
    liner = SHOP.good(SHOP.frame.liner_good).thickness
    blocks = frame(30 * INCH, 30 * INCH).of("corner block")
    assert len(blocks) == 4
    assert all(min(m.box.dx, m.box.dy) <= liner for m in blocks)
    thin = replace(
        SHOP, goods=tuple(replace(g, thickness=INCH // 2) if g.good == "foam-board-1" else g for g in SHOP.goods)
    )
    with pytest.raises(RulesClash, match="corner blocks"):
        frame(30 * INCH, 30 * INCH, shop=thin)


def test_too_little_clearance_for_the_liner_is_refused() -> None:
    tight = replace(SHOP, frame=replace(SHOP.frame, larger_by=3 * INCH))
    with pytest.raises(RulesClash, match="less than the liner") as clash:
        frame(30 * INCH, 30 * INCH, shop=tight)
    assert "3 7/16" in clash.value.accepted  # 2 x (23/32 + 1)


def test_a_long_member_is_spliced_with_a_gusset_over_each_joint() -> None:
    made = frame(100 * INCH, 30 * INCH)
    rails, gussets = made.of("rail"), made.of("gusset")
    assert [m.box.dx for m in rails] == [53 * INCH] * 4
    assert len(gussets) == 2
    for g in gussets:
        joint = g.box.x + g.box.dx // 2
        assert {m.box.x + m.box.dx for m in rails} >= {joint}
        assert g.box.dx == SHOP.joinery.gusset_length


@given(
    length=lengths(INCH, 260 * INCH), longest=lengths(40 * INCH, 96 * INCH), snap=st.sampled_from([INCH // 16, 8000])
)
def test_splices_leave_no_piece_longer_than_the_stock(length: int, longest: int, snap: int) -> None:
    joints = splice(length, longest, snap)
    ends = [0, *joints, length]
    pieces = [b - a for a, b in pairwise(ends)]
    assert all(0 < piece <= longest for piece in pieces)
    assert len(pieces) == -(-length // longest)
    assert max(pieces) - min(pieces) <= snap * len(pieces)


def test_longest_strip_takes_the_trim_off() -> None:
    trimmed = replace(SHOP, saw=replace(SHOP.saw, trim_left=INCH // 4, trim_right=INCH // 8))
    assert longest_strip("ply-23/32", trimmed) == 96 * INCH - 3 * INCH // 8


def test_no_sheet_gives_a_strip_for_a_piece_deeper_than_it_is_wide() -> None:
    with pytest.raises(RulesClash, match="50 1/4 in wide for a piece 48 in deep"):
        frame_for(30 * INCH, 40 * INCH, 48 * INCH, SHOP, "inch", behind=3 * INCH // 4)
