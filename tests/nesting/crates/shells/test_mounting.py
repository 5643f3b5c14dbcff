"""Mounting: screws that hold and never reach the artwork, at the least and greatest thickness of the panels."""

from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.fasteners import distances
from nesting.advice.mounting import screw_pulls
from nesting.base.measure import INCH
from nesting.crates.load import Hung
from nesting.crates.shells.mounting import (
    Depth,
    cleats_for,
    evenly,
    layers,
    mounting_case,
    mounting_screw,
    pads_for,
    piece_screw,
    pilot_text,
    screw_edge,
    screws_a_cleat,
    spread,
)
from nesting.crates.shells.piece_back import refuse_hollow, wood_depth
from nesting.crates.traits import Refused, RulesClash
from nesting.crates.weigh import PieceWeight
from nesting.order import Artwork, Back
from nesting.shop.house_rules import CleatRules
from nesting.shop.shop_file import default_shop
from tests.strategies import lengths

SHOP = default_shop()
GOOD = SHOP.good


def hung(width: float = 30, height: float = 30, depth: float = 1.5, **fixed: object) -> Hung:
    piece = Artwork("A", int(width * INCH), int(height * INCH), int(depth * INCH), **fixed)  # type: ignore[arg-type]
    return Hung(piece, PieceWeight(10.0), 3 * INCH, 3 * INCH)


def test_defaults_are_pinned() -> None:
    rules = CleatRules()
    # Common practice, no source: 3/4 in cleats, about 3 in wide; wood 3/4 in deep, tip 1/4 in short of the face.
    assert (rules.good, rules.width) == ("ply-23/32", 3 * INCH)
    assert (rules.piece_wood, rules.piece_tip) == (3 * INCH // 4, INCH // 4)
    assert rules.tip_short == INCH // 8


@pytest.mark.parametrize(
    ("held", "screw", "margin"),
    [
        # Least thicknesses of US PS 1 as reproduced by APA (READ-1): 3/8: 0.344, 15/32: 0.438, 23/32: 0.688 in.
        (("ply-3/8",), "#10 x 3/4", 0.344 + 0.688 - 0.75),
        (("ply-15/32",), "#10 x 1", 0.438 + 0.688 - 1.0),
        (("ply-23/32",), "#10 x 1-1/4", 0.688 + 0.688 - 1.25),
        (("ply-3/8", "ply-3/8"), "#10 x 1-1/4", 0.344 + 0.344 + 0.688 - 1.25),
        (("ply-3/8", "ply-23/32"), "#10 x 1-1/2", 0.344 + 0.688 + 0.688 - 1.5),
    ],
)
def test_the_longest_screw_whose_tip_stays_an_eighth_short(held: tuple[str, ...], screw: str, margin: float) -> None:
    chosen = mounting_screw([GOOD(name) for name in held], SHOP, "inch")
    assert chosen.short == screw
    assert chosen.margin / INCH == pytest.approx(margin, abs=1e-5)
    assert chosen.margin >= SHOP.cleats.tip_short


def test_countersinking_counts_and_a_thin_back_is_never_countersunk() -> None:
    sunk = replace(SHOP, cleats=replace(SHOP.cleats, countersink=INCH // 16))
    flush, deep = mounting_screw([GOOD("ply-23/32")], SHOP, "inch"), mounting_screw([GOOD("ply-23/32")], sunk, "inch")
    assert deep.good.breadth < flush.good.breadth
    assert mounting_screw([GOOD("ply-3/8")], sunk, "inch") == mounting_screw([GOOD("ply-3/8")], SHOP, "inch")


def test_screws_without_a_washer_head_get_a_loose_washer() -> None:
    assert not mounting_screw([GOOD("ply-3/8")], SHOP, "inch").washer
    assert mounting_screw([GOOD("ply-23/32")], SHOP, "inch").washer


def test_no_stocked_screw_is_a_clash_of_rules() -> None:
    only = replace(SHOP, cleats=replace(SHOP.cleats, screws=("screw 8x2-1/2",)))
    with pytest.raises(RulesClash, match="stays 1/8 in short"):
        mounting_screw([GOOD("ply-3/8")], only, "inch")


@given(
    back=st.sampled_from(["ply-3/8", "ply-15/32", "ply-23/32"]),
    battened=st.booleans(),
    sink=st.integers(0, 12).map(lambda n: n * INCH // 64),
)
def test_no_tip_reaches_the_artwork_at_any_thickness(back: str, battened: bool, sink: int) -> None:
    shop = replace(SHOP, cleats=replace(SHOP.cleats, countersink=sink))
    held = [GOOD("ply-3/8"), GOOD(back)] if battened else [GOOD(back)]
    chosen = mounting_screw(held, shop, "inch")
    used = sink if min(g.thickness for g in held) > 3 * INCH // 8 else 0
    cleat = GOOD(SHOP.cleats.good)
    thin = sum(g.least_thickness for g in held) + cleat.least_thickness
    thick = sum(g.greatest_thickness for g in held)
    assert thin - chosen.good.breadth - used >= INCH // 8
    under = INCH // 16 if chosen.washer else 0
    assert chosen.good.breadth + used - under - thick == chosen.thread >= SHOP.cleats.thread_least


def test_three_screws_a_cleat_at_least_and_more_for_weight() -> None:
    held = [GOOD("ply-23/32")]
    screw = mounting_screw(held, SHOP, "inch")
    assert screws_a_cleat(1.0, screw, held, SHOP) == 3  # common practice, no source
    # 2850 x 0.42^2 x 0.190 in = 95.52 lb/in (NDS 12.2-2 with G 0.42), 1/2 in of thread less the washer's 1/16 at the
    # least: 41.79 lb a screw; 80 lb x 8 = 640 lb needs 15.3 screws, 8 in each of two cleats.
    assert screws_a_cleat(80 * 0.45359237, screw, held, SHOP) == 8


def test_pilot_is_70_per_cent_of_the_root_in_softwood() -> None:
    # No. 10 root 0.152 in (NDS App. L3, from memory) x 0.7 = 0.106 in: 7/64 in drill; NDS Commentary 11.1.2.1, READ-1.
    assert pilot_text(GOOD("screw 10x1"), "inch") == "7/64 in"
    assert pilot_text(GOOD("screw 10x1"), "metric") == "2.5 mm"


@pytest.mark.parametrize(
    ("back", "depth", "surface", "wood"),
    [
        (Back("solid"), 1.5, "resin", 1.375),  # a resin coat of 1/8 in is taken off where the order doesn't say
        (Back("solid"), 1.5, "paint", 1.5),
        (Back("strainer", 2 * INCH, 3 * INCH // 4), 1.5, "resin", 0.75),
        (Back("cleated"), 1.5, "resin", 0.75),
    ],
)
def test_depth_of_wood_behind_the_face(back: Back, depth: float, surface: str, wood: float) -> None:
    assert wood_depth(hung(depth=depth, back=back, surface=surface).artwork, SHOP) == int(wood * INCH)


@pytest.mark.parametrize(
    ("depth", "screw"),
    [(0.875, "#10 x 1"), (1.125, "#10 x 1-1/4"), (1.5, "#10 x 1-1/2"), (2.5, "#8 x 2-1/2")],
)
def test_screws_into_the_piece_are_the_longest_that_stay_short_of_its_face(depth: float, screw: str) -> None:
    piece = hung(depth=depth).artwork
    chosen = piece_screw(piece, SHOP, "inch")
    assert chosen.short == screw
    assert chosen.margin >= INCH // 4
    assert chosen.thread > 0


@pytest.mark.parametrize(
    ("fixed", "found"),
    [
        ({"support": "canvas"}, "canvas"),
        ({"support": "aluminium composite"}, "aluminium"),
        ({"support": "hollow-core door"}, "hollow"),
        ({"depth": 0.5}, "3/8 in of wood"),
        ({"back": Back("strainer", 2 * INCH, INCH // 2)}, "1/2 in of wood"),
        ({"back": Back("strainer", INCH // 2, INCH)}, "bars 1/2 in wide"),
    ],
)
def test_a_piece_without_wood_for_screws_is_refused_with_what_to_add(fixed: dict[str, object], found: str) -> None:
    reasons = refuse_hollow(hung(**fixed).artwork, SHOP, "inch")  # type: ignore[arg-type]
    assert len(reasons) == 1
    assert found in reasons[0].found
    assert reasons[0].column == "back"
    assert "bars" in reasons[0].accepted


def test_a_piece_too_small_for_two_cleats_is_refused() -> None:
    with pytest.raises(Refused, match="too small for two mounting cleats"):
        cleats_for(hung(width=3, height=10), SHOP, "inch")
    with pytest.raises(Refused, match="too small for two mounting cleats"):
        cleats_for(hung(width=10, height=2.5), SHOP, "inch")


def test_cleats_lie_top_and_bottom_inside_the_piece() -> None:
    low, high = cleats_for(hung(), SHOP, "inch")
    assert (low.width, low.length) == (3 * INCH, 28 * INCH)
    assert (low.y, high.y + high.width) == (3 * INCH + INCH // 2, 33 * INCH - INCH // 2)
    assert low.line == low.y + low.width // 2


def test_cleats_of_a_wide_piece_are_joined_end_to_end() -> None:
    made = cleats_for(hung(width=120), SHOP, "inch")
    assert [c.name for c in made] == ["cleat-low-1", "cleat-low-2", "cleat-high-1", "cleat-high-2"]
    assert made[0].x + made[0].length == made[1].x
    assert sum(c.length for c in made[:2]) == 118 * INCH


@given(
    height=lengths(7 * INCH // 2, 60 * INCH),
    bar=lengths(5 * INCH // 4, 4 * INCH),
    strainer=st.booleans(),
)
def test_screws_into_the_piece_are_over_its_wood_with_wood_on_both_sides(height: int, bar: int, strainer: bool) -> None:
    back = Back("strainer", bar, INCH) if strainer else Back("solid")
    piece = Artwork("A", 30 * INCH, height, 2 * INCH, weight_kg=Decimal(5), back=back)
    edge = screw_edge(SHOP)
    for cleat in cleats_for(Hung(piece, PieceWeight(5.0), 3 * INCH, 3 * INCH), SHOP, "inch"):
        assert cleat.y + edge <= cleat.piece_line <= cleat.y + cleat.width - edge
        assert cleat.y + edge <= cleat.line <= cleat.y + cleat.width - edge
        if strainer:
            low, high = (3 * INCH, 3 * INCH + bar)
            if cleat.upper:
                low, high = 3 * INCH + height - bar, 3 * INCH + height
            assert low + edge <= cleat.piece_line <= high - edge
    low_cleat, high_cleat = cleats_for(Hung(piece, PieceWeight(5.0), 3 * INCH, 3 * INCH), SHOP, "inch")
    assert high_cleat.y - (low_cleat.y + low_cleat.width) >= SHOP.cleats.gap_least


@given(low=st.integers(0, 50), span=st.integers(10, 400), count=st.integers(2, 9), snap=st.sampled_from([1, 4, 16]))
def test_spread_keeps_apart_from_a_start_off_the_step(low: int, span: int, count: int, snap: int) -> None:
    apart = span // count
    places = spread(low, low + span, count, max(1, apart), (), snap)
    if places is not None:
        assert all(b - a >= apart for a, b in pairwise(places))
        assert low <= places[0]
        assert places[-1] <= low + span


def test_spread_is_even_where_nothing_is_in_the_way() -> None:
    assert spread(0, 100, 5, 10, (), 1) == [0, 25, 50, 75, 100]


@given(
    high=st.integers(10, 400),
    count=st.integers(1, 12),
    apart=st.integers(1, 40),
    taken=st.lists(st.tuples(st.integers(0, 380), st.integers(1, 40)).map(lambda p: (p[0], p[0] + p[1])), max_size=3),
    snap=st.sampled_from([1, 4]),
)
def test_spread_keeps_apart_and_out_of_the_way_or_says_that_it_cannot(
    high: int, count: int, apart: int, taken: list[tuple[int, int]], snap: int
) -> None:
    places = spread(0, high, count, apart, taken, snap)
    if places is None:
        # The tightest packing on the step, tried place by place, does not fit either.
        packed, at = 0, 0
        while at <= high:
            if all(not a < at < z for a, z in taken):
                packed, at = packed + 1, -(-(at + apart) // snap) * snap
            else:
                at += snap
        assert packed < count
        return
    assert len(places) == count
    assert all(0 <= at <= high for at in places)
    assert all(b - a >= apart for a, b in pairwise(places))
    assert all(not a < at < z for at in places for a, z in taken)


def test_edge_distance_is_of_the_thickest_screw() -> None:
    assert screw_edge(SHOP) == distances(10).edge


@pytest.mark.parametrize(
    ("held", "count", "screw", "thread"),
    [
        # Thread 5/8 in at the greatest thickness under a washer of 1/16 in, tip 1/8 in short at the least: with one
        # layer no length does both (0.625 + 0.125 + tolerances of 1/16 in twice and the washer are more than 0.688).
        (("ply-3/8",), 2, "#10 x 1-1/4", 1.25 - 0.0625 - 0.406),
        (("ply-15/32",), 2, "#10 x 1-1/4", 1.25 - 0.0625 - 0.500),
        (("ply-23/32",), 2, "#10 x 1-1/2", 1.50 - 0.0625 - 0.750),
        (("ply-3/8", "ply-3/8"), 2, "#10 x 1-1/2", 1.50 - 0.0625 - 0.812),
    ],
)
def test_a_second_layer_gives_the_thread_that_a_piece_hangs_by(
    held: tuple[str, ...], count: int, screw: str, thread: float
) -> None:
    goods = [GOOD(name) for name in held]
    with pytest.raises(RulesClash, match="has 5/8 in of thread"):
        mounting_screw(goods, SHOP, "inch", into=Depth.of(layers(1, SHOP)))
    chosen = mounting_screw(goods, SHOP, "inch", into=Depth.of(layers(count, SHOP)))
    assert chosen.short == screw
    assert chosen.thread / INCH == pytest.approx(thread, abs=1e-3)
    assert chosen.washer
    assert chosen.margin >= SHOP.cleats.tip_short


def test_a_fender_washer_is_what_pulls_through() -> None:
    # 690 pi D_H G^2 t (NDS 2018, 12.2.5, from memory): a washer of 1 in against a head of 0.43 in.
    held = [GOOD("ply-3/8")]
    with_washer = mounting_screw(held, SHOP, "inch", into=Depth.of(layers(2, SHOP)))
    case = mounting_case(10.0, with_washer, held, SHOP)
    _, through = screw_pulls(case, SHOP.mounting)
    assert through == pytest.approx(690 * pi * 1.0 * 0.42**2 * 0.344, rel=1e-3)


def test_pads_keep_a_solid_piece_off_the_back_between_its_rows() -> None:
    piece = hung(width=60, height=100)
    made = cleats_for(piece, SHOP, "inch")
    pads = pads_for(piece, made, SHOP)
    rows = sorted({c.y for c in made} | {p.y for p in pads})
    assert len(rows) == 5
    assert all(b - a <= 30 * INCH for a, b in pairwise(rows))
    assert all(piece.x + INCH <= p.x and p.x + p.length <= piece.x + 59 * INCH for p in pads)
    assert pads_for(hung(), cleats_for(hung(), SHOP, "inch"), SHOP) == ()


def test_pads_lie_behind_the_upright_bars_of_a_cradle() -> None:
    piece = hung(width=40, height=60, back=Back("cradle", INCH, INCH, middle_bars=1))
    pads = pads_for(piece, cleats_for(piece, SHOP, "inch"), SHOP)
    assert {(p.x - piece.x, p.length) for p in pads} == {(0, INCH), (39 * INCH // 2, INCH), (39 * INCH, INCH)}


def test_cleats_that_tie_a_piece_take_the_place_of_pads() -> None:
    piece = hung(width=40, height=60)
    made = cleats_for(piece, SHOP, "inch", tied=True)
    assert [c.name for c in made] == ["cleat-low", "cleat-middle", "cleat-high"]
    assert [c.middle for c in made] == [False, True, False]


def test_the_screws_of_a_narrow_bar_stand_in_its_middle() -> None:
    piece = hung(width=30, height=40, back=Back("cradle", 3 * INCH // 4, INCH))
    low, high = cleats_for(piece, SHOP, "inch")
    assert low.piece_line - piece.y == 3 * INCH // 8
    assert piece.y + 40 * INCH - high.piece_line == 3 * INCH // 8


def test_a_piece_with_cleats_of_its_own_gets_no_others() -> None:
    own = Back("cleated", cleat_thickness=INCH, cleat_width=3 * INCH, cleat_low=2 * INCH, cleat_high=INCH)
    piece = hung(width=30, height=40, depth=2.5, back=own)
    low, high = cleats_for(piece, SHOP, "inch")
    assert (low.own, high.own) == (INCH, INCH)
    assert (low.y - piece.y, piece.y + 40 * INCH - high.y - high.width) == (2 * INCH, INCH)
    assert low.line == low.y + 3 * INCH // 2


@given(
    low=lengths(0, 20 * INCH), span=lengths(2 * INCH, 90 * INCH), count=st.integers(2, 9),
    taken=st.lists(st.tuples(lengths(0, 90 * INCH), lengths(1, 8 * INCH)), max_size=3),
)  # fmt: skip
def test_points_set_out_evenly_are_even_on_the_step_and_clear(
    low: int, span: int, count: int, taken: list[tuple[int, int]]
) -> None:
    step, zones = INCH // 8, [(a, a + more) for a, more in taken]
    places = evenly(low, low + span, count, INCH, zones, step)
    if places is None:
        return
    assert len(places) == count
    assert low <= places[0]
    assert places[-1] <= low + span
    assert len({b - a for a, b in pairwise(places)}) == 1
    assert places[1] - places[0] >= INCH
    assert all(at % step == 0 and not any(a < at < z for a, z in zones) for at in places)
