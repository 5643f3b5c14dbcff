"""Mounting: screws that hold and never reach the artwork, at the least and greatest thickness of the panels."""

from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.fasteners import Wood, distances
from nesting.advice.mounting import screw_pulls
from nesting.base.measure import INCH
from nesting.crates.load import Hung
from nesting.crates.shells.mounting import (
    Depth,
    cleats_for,
    depth_of,
    evenly,
    layers,
    mounting_case,
    mounting_depth,
    mounting_screw,
    mounting_stop,
    pads_across,
    pads_for,
    piece_case,
    piece_screw,
    piece_stop,
    pilot_text,
    rows_between,
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
    # Hardwood: 0.152 x 0.9 = 0.137 in, 8.76 of 1/64 in.
    assert pilot_text(GOOD("screw 10x1"), "inch", Wood("oak", 0.67, 1, hard=True)) == "9/64 in"


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


def inches_of(*lengths: int) -> list[float]:
    return [length / INCH for length in lengths]


@pytest.mark.parametrize(("bar", "inset"), [(3, 0.5), (1.25, 0.125), (0.75, 0.0)])
def test_cleats_keep_their_own_wood_round_screws_in_the_middle_of_a_bar(bar: float, inset: float) -> None:
    """1/2 in inside, or half the bar less 2.5 D of a No. 10, 0.475 in: 0.15 in of 1-1/4, down to 1/8; 0 of 3/4."""
    piece = hung(width=30, height=40, back=Back("strainer", int(bar * INCH), INCH))
    low, high = cleats_for(piece, SHOP, "inch")
    assert inches_of(low.y - piece.y, piece.y + 40 * INCH - high.y - high.width) == [inset, inset]


@pytest.mark.parametrize(
    ("height", "inset", "width"), [(2.75, 0.0, 1.25), (3.0, 0.125, 1.25), (3.25, 0.25, 1.25), (5.0, 0.4375, 1.875)]
)
def test_cleats_of_a_low_piece_by_hand(height: float, inset: float, width: float) -> None:
    """1-1/4 in each and 1/4 in between them at the least; then 1/2 in of inset is given first, and width after it.

    At 5 in the row would stand at 3 + 1/2 + 15/16 in: 1/16 in outwards it is on a step of 1/8 in.
    """
    piece = hung(width=30, height=height)
    low, high = cleats_for(piece, SHOP, "inch")
    assert inches_of(low.y - piece.y, low.width, high.width) == [inset, width, width]
    assert high.y + high.width == piece.y + piece.artwork.height - int(inset * INCH)
    assert all(isinstance(each, int) for each in (low.y, low.width, high.y, low.line, low.piece_line))


@pytest.mark.parametrize(("width", "ends"), [(4.0, 0.0), (5.0, 0.5), (5.5, 0.75), (30.0, 1.0)])
def test_cleats_of_a_narrow_piece_reach_nearer_to_its_sides(width: float, ends: float) -> None:
    """1 in inside, unless less than 4 in were left."""
    low, _ = cleats_for(hung(width=width), SHOP, "inch")
    assert inches_of(low.x - 3 * INCH, low.length) == [ends, width - 2 * ends]
    assert isinstance(low.length, int)


def test_what_a_piece_too_small_for_cleats_is_told() -> None:
    """4 in of cleat; twice 1-1/4 in and 1/4 in between."""
    for units, least in (("inch", "4 in wide and 2 3/4 in"), ("metric", "101.6 mm wide and 69.9 mm")):
        for small in (hung(width=3.9), hung(height=2.7)):
            with pytest.raises(Refused) as refused:
                cleats_for(small, SHOP, units)  # type: ignore[arg-type]  # one of two words
            (why,) = refused.value.reasons
            assert (why.piece, why.column) == ("A", "method")
            assert why.found == "a piece too small for two mounting cleats"
            assert why.accepted == f"carton, or {least} high"
    with pytest.raises(Refused, match=r"9\.5 mm of wood"):
        cleats_for(hung(depth=0.5), SHOP, "metric")


def test_rows_stand_on_the_step_that_a_bench_sets_out() -> None:
    """A piece 1/16 in off the step: the lower row goes 1/16 in down, the upper one up, never past the piece."""
    off = replace(hung(height=40), y=3 * INCH + INCH // 16)
    low, high = cleats_for(off, SHOP, "inch")
    assert inches_of(low.y - off.y, high.y - off.y) == [0.4375, 36.5625]
    assert [cleat.line % (INCH // 8) for cleat in (low, high)] == [0, 0]
    least = replace(hung(height=2.75), y=3 * INCH + INCH // 16)
    low, high = cleats_for(least, SHOP, "inch")
    assert inches_of(low.y - least.y, high.y - least.y) == [0.0, 1.5]


def test_rows_between_two_by_hand() -> None:
    """At most 30 in from row to row, evenly, down to 1/16 in: thirds of 76 in are 25.33 and 50.67."""
    assert rows_between(0, 30 * INCH, SHOP) == []
    assert rows_between(INCH, 31 * INCH + 1, SHOP) == [16 * INCH]
    assert inches_of(*rows_between(INCH // 2, 153 * INCH // 2, SHOP)) == [25.8125, 51.125]
    assert all(isinstance(at, int) for at in rows_between(INCH // 2, 153 * INCH // 2, SHOP))


def test_middle_cleats_by_hand() -> None:
    piece = hung(width=40, height=80)
    made = cleats_for(piece, SHOP, "inch", tied=True, prefix="L-")
    assert [c.name for c in made] == ["L-cleat-low", "L-cleat-middle-1", "L-cleat-middle-2", "L-cleat-high"]
    assert [c.upper for c in made] == [False, False, False, True]
    assert inches_of(*(c.y - piece.y for c in made)) == [0.5, 25.8125, 51.125, 76.5]
    assert {(c.x - piece.x, c.length) for c in made} == {(INCH, 38 * INCH)}
    # Into a solid piece 3/4 in from the cleat's edge, apart from the mounting screws in its middle.
    assert inches_of(*(c.piece_line - c.y for c in made)) == [0.75, 0.75, 0.75, 2.25]
    assert {c.hung for c in made} == {piece}


def test_a_middle_cleat_reaches_over_the_bars_at_the_sides() -> None:
    """It takes screws in these alone: as wide as the piece, its row into the piece in its middle, joined as its own."""
    piece = hung(width=40, height=60, back=Back("cradle", INCH, INCH))
    _, middle, _ = cleats_for(piece, SHOP, "inch", tied=True)
    assert inches_of(middle.x - piece.x, middle.length, middle.piece_line - middle.y) == [0, 40, 1.5]
    wide = hung(width=97, height=60, back=Back("cradle", INCH, INCH))
    made = cleats_for(wide, SHOP, "inch", tied=True)
    assert [c.name for c in made] == ["cleat-low", "cleat-middle-1", "cleat-middle-2", "cleat-high"]
    assert sum(c.length for c in made if c.middle) == 97 * INCH


def test_own_cleats_lie_where_the_order_says() -> None:
    own = Back("cleated", cleat_thickness=INCH, cleat_width=3 * INCH + 1, cleat_low=2 * INCH, cleat_high=INCH)
    piece = hung(width=30, height=40, depth=2.5, back=own)
    low, high = cleats_for(piece, SHOP, "inch", prefix="L-")
    assert [(c.name, c.upper, c.middle) for c in (low, high)] == [
        ("L-own-cleat-low", False, False),
        ("L-own-cleat-high", True, False),
    ]
    for cleat in (low, high):
        assert (cleat.hung, cleat.x, cleat.length) == (piece, piece.x, 30 * INCH)
        assert cleat.line == cleat.piece_line == cleat.y + 3 * INCH // 2
        assert isinstance(cleat.line, int)
        assert isinstance(cleat.piece_line, int)
    # They came with the piece: no pads, and 1/32 in more or less than told.
    tall = hung(width=30, height=80, depth=2.5, back=own)
    assert pads_for(tall, cleats_for(tall, SHOP, "inch"), SHOP) == ()
    assert depth_of(layers(1, SHOP), (low, high)) == Depth(31 * INCH // 32, 33 * INCH // 32)


def test_the_depth_of_cleats_is_of_their_layers() -> None:
    """23/32 in: 0.688 to 0.750; 3/8 in: 0.344 to 0.406 (US PS 1, as above)."""
    made = cleats_for(hung(), SHOP, "inch")
    for count, least, greatest in ((1, 0.688, 0.750), (2, 1.032, 1.156), (3, 1.376, 1.500)):
        depth = depth_of(layers(count, SHOP), made)
        assert inches_of(depth.least, depth.greatest) == pytest.approx([least, greatest], abs=0.001)


def test_pads_by_hand() -> None:
    piece = hung(width=60, height=40)
    made = cleats_for(piece, SHOP, "inch")
    pads = pads_for(piece, made, SHOP, prefix="L-")
    assert {(p.name, p.y, p.length, p.width) for p in pads} == {("L-pad", piece.y + 37 * INCH // 2, 6 * INCH, 3 * INCH)}
    assert {p.name for p in pads_for(piece, made, SHOP)} == {"pad"}


@pytest.mark.parametrize(
    ("width", "places", "length"),
    [
        (60, [1, 27, 53], 6),  # 52 in from the first to the last: at most 30 in apart
        (38, [1, 31], 6),
        (39, [1, 16.5, 32], 6),
        (14, [1, 7], 6),
        (13.9375, [3.9375], 6),  # no room for two: one in the middle, on the step
        (6, [1], 4),
    ],
)
def test_pads_along_a_solid_back_by_hand(width: float, places: list[float], length: float) -> None:
    """6 in long and 1 in inside the sides."""
    piece = hung(width=width, height=80)
    found = pads_across(piece, SHOP)
    assert inches_of(*(x - piece.x for x, _ in found)) == places
    assert {each for _, each in found} == {int(length * INCH)}
    assert all(isinstance(x, int) for x, _ in found)


def test_a_piece_that_its_bars_fill_has_pads_as_a_solid_one() -> None:
    """Two bars of 3 in fill a back 6 in wide; bars lying down take none."""
    filled = hung(width=6, height=80, back=Back("strainer", 3 * INCH, INCH))
    assert pads_across(filled, SHOP) == [(filled.x + INCH, 4 * INCH)]
    low = hung(width=80, height=8, back=Back("strainer", 3 * INCH, INCH))  # uprights 3 in wide and 2 in high
    assert inches_of(*(x - low.x for x, _ in pads_across(low, SHOP))) == pytest.approx([1, 25, 49, 73])


def test_the_screw_into_the_piece_by_hand() -> None:
    """No. 10 x 1-1/2 sunk 1/8 in through 0.688 to 0.750 in of cleat: 0.875 in of thread, its tip at 0.937 in."""
    chosen = piece_screw(hung(depth=1.5, surface="paint").artwork, SHOP, "inch")
    assert chosen.short == "#10 x 1-1/2"
    assert inches_of(chosen.thread, chosen.margin) == pytest.approx([0.875, 1.5 - 0.937], abs=0.001)
    # 1/4 in short of the face exactly is short enough.
    tip = chosen.good.breadth + INCH // 8 - GOOD(SHOP.cleats.good).least_thickness
    just = Artwork("A", 30 * INCH, 30 * INCH, tip + INCH // 4, surface="paint")
    assert piece_screw(just, SHOP, "inch") == replace(chosen, margin=INCH // 4)
    assert piece_screw(replace(just, depth=just.depth - 1), SHOP, "inch").short == "#10 x 1-1/4"


def test_of_two_screws_that_bite_as_deep_the_shorter_goes_into_the_piece() -> None:
    """Bars 3/4 in deep under a face of 2 in: 1-1/2 and 2-1/2 in long both have 3/4 in of wood."""
    back = Back("strainer", 3 * INCH, 3 * INCH // 4, face=2 * INCH)
    chosen = piece_screw(hung(depth=3, surface="paint", back=back).artwork, SHOP, "inch")
    assert (chosen.short, chosen.thread) == ("#10 x 1-1/2", 3 * INCH // 4)


def test_no_screw_into_the_piece_is_a_clash_of_rules() -> None:
    """5/8 in sunk 1/8 in has nothing left behind a cleat of 3/4 in; one unit of the grid deeper it has."""
    piece = hung(depth=1.5).artwork
    only = replace(SHOP, cleats=replace(SHOP.cleats, piece_screws=("screw 8x5/8", "screw 8x2-1/2")))
    for units, short in (("inch", "1/4 in"), ("metric", "6.4 mm")):
        with pytest.raises(RulesClash) as clash:
            piece_screw(piece, only, units)  # type: ignore[arg-type]  # one of two words
        assert clash.value.found == (
            "no screw of screw 8x5/8, screw 8x2-1/2 holds a cleat of ply-23/32 to A and stays "
            f"{short} short of its face"
        )
        assert clash.value.accepted == "another length in cleats.piece_screws"
    deeper = replace(only, cleats=replace(only.cleats, piece_sink=INCH // 8 + 1))
    assert piece_screw(piece, deeper, "inch").thread == 1


def test_a_mounting_screw_that_just_passes() -> None:
    """1-1/4 in through 3/8 in, 0.344 in at the least: a cleat that leaves 1/8 in before its tip, and all its thread."""
    held = [GOOD("ply-3/8")]
    just = Depth(5 * INCH // 4 + INCH // 8 - held[0].least_thickness, 2 * INCH)
    chosen = mounting_screw(held, SHOP, "inch", into=just, own=True)
    assert (chosen.short, chosen.margin) == ("#10 x 1-1/4", INCH // 8)
    thinner = replace(just, least=just.least - 1)
    assert mounting_screw(held, SHOP, "inch", into=thinner, own=True).short == "#10 x 1"
    asks = [replace(SHOP, cleats=replace(SHOP.cleats, thread=chosen.thread + more)) for more in (0, 1)]
    assert mounting_screw(held, asks[0], "inch", into=just) == chosen
    with pytest.raises(RulesClash):
        mounting_screw(held, asks[1], "inch", into=just)


def test_of_two_mounting_screws_as_long_the_one_listed_first_is_taken() -> None:
    other = replace(GOOD("screw 10x1-1/4"), good="another 10x1-1/4")
    for screws in (("screw 10x1-1/4", other.good), (other.good, "screw 10x1-1/4")):
        both = replace(SHOP, goods=(*SHOP.goods, other), cleats=replace(SHOP.cleats, screws=screws))
        assert mounting_screw([GOOD("ply-23/32")], both, "inch").good.good == screws[0]


def test_what_no_mounting_screw_is_told_with() -> None:
    held = [GOOD("ply-3/8"), GOOD("ply-23/32")]
    only = replace(SHOP, cleats=replace(SHOP.cleats, screws=("screw 10x3/4", "screw 10x1")))
    for units, thread, short in (("inch", "1/4 in", "1/8 in"), ("metric", "6.4 mm", "3.2 mm")):
        with pytest.raises(RulesClash) as clash:
            mounting_screw(held, only, units)  # type: ignore[arg-type]  # one of two words
        assert clash.value.found == (
            "no mounting screw of screw 10x3/4, screw 10x1 goes through ply-3/8 and ply-23/32 into ply-23/32, has "
            f"{thread} of thread there and stays {short} short of the artwork"
        )
        assert clash.value.accepted == "another length in cleats.screws, or a thicker cleat"


def test_stops_by_hand() -> None:
    """Least thicknesses less 1/8 in, down to 1/64 in: 0.344 + 0.688 - 0.125 = 0.907; 0.344 more with a second layer."""
    held = [GOOD("ply-3/8")]
    assert mounting_depth(held, SHOP) == 29 * INCH // 32
    assert mounting_stop(held, SHOP, "inch") == "29/32 in"
    assert mounting_stop(held, SHOP, "metric") == "23 mm"
    two = Depth.of(layers(2, SHOP))
    assert mounting_depth(held, SHOP, two) == 5 * INCH // 4
    assert mounting_stop(held, SHOP, "inch", two) == "1 1/4 in"
    # As deep as the tip of a screw 1-1/2 in long that is sunk 1/8 in.
    screw = piece_screw(hung(depth=1.5, surface="paint").artwork, SHOP, "inch")
    assert piece_stop(screw, SHOP, "inch") == "1 5/8 in"
    assert piece_stop(screw, SHOP, "metric") == "41.3 mm"


def test_cases_that_the_advice_judges() -> None:
    """A washer-head screw of its own; a washer of 1 in where one goes under the head and the shop has one."""
    held = [GOOD("ply-3/8")]
    flush, hangs = (mounting_screw(held, SHOP, "inch", into=into) for into in (None, Depth.of(layers(2, SHOP))))
    assert (flush.washer, hangs.washer) == (False, True)
    own, washer = (mounting_case(10.0, screw, held, SHOP) for screw in (flush, hangs))
    assert (own.washer_head, own.washer_in, washer.washer_in) == (True, 0.0, 1.0)
    assert (own.weight_kg, own.screw, own.thread, own.held) == (10.0, 10, flush.thread, held[0].least_thickness)
    without = replace(SHOP, cleats=replace(SHOP.cleats, washer=""))
    assert mounting_case(10.0, hangs, held, without).washer_in == 0.0
    piece = hung(depth=1.5, surface="paint")
    into = piece_screw(piece.artwork, SHOP, "inch")
    case = piece_case(piece, into, SHOP)
    assert (case.weight_kg, case.screw, case.thread) == (10.0, 10, into.thread)
    assert (case.held, case.washer_in) == (GOOD("ply-23/32").least_thickness, 0.0)


def test_each_cleat_takes_its_share_of_the_screws() -> None:
    """80 lb x 8 = 640 lbf over 41.79 lbf a screw is 15.3: 16 in one cleat, 8 in each of two, 6 in each of three."""
    held = [GOOD("ply-23/32")]
    screw = mounting_screw(held, SHOP, "inch")
    kg = 80 * 0.45359237
    each = [screws_a_cleat(kg, screw, held, SHOP, cleats=cleats) for cleats in (1, 2, 3)]
    assert each == [16, 8, 6]
    assert all(isinstance(count, int) for count in each)


@pytest.mark.parametrize(
    ("low", "high", "count", "taken", "snap", "places"),
    [
        # One: the middle, on the step, or the nearest free place, the left one of two.
        (3, 14, 1, [], 4, [8]),
        (3, 14, 1, [(6, 10)], 4, [4]),
        (3, 14, 1, [(5, 10)], 1, [10]),
        (4, 14, 1, [(4, 15)], 1, [4]),
        (3, 14, 1, [(2, 14)], 1, [14]),
        (0, 20, 1, [(-1, 21)], 1, None),
        # Evenly, up to the step, the last at the end.
        (2, 30, 3, [], 4, [4, 16, 30]),
        (0, 20, 3, [], 1, [0, 10, 20]),
        (0, 19, 3, [], 1, None),
        # One steps aside: 40 in is as near to 50 as 60.
        (0, 100, 3, [(40, 60)], 1, [0, 40, 100]),
        # Two would step on each other: packed at 10, what lies behind the obstacle spread to the end.
        (0, 100, 5, [(20, 80)], 1, [0, 10, 20, 80, 100]),
        # Stepping aside to 50 leaves 17 to 67; packed from the left there are 25 between.
        (0, 100, 4, [(10, 50)], 1, [0, 50, 75, 100]),
        (0, 101, 4, [(10, 50)], 1, [0, 50, 75, 101]),
        (2, 102, 4, [(10, 50)], 4, [4, 52, 76, 102]),
        # The end is taken too: up to where that begins.
        (0, 100, 4, [(91, 200), (10, 50)], 1, [0, 50, 70, 91]),
    ],
)
def test_spread_by_hand(
    low: int, high: int, count: int, taken: list[tuple[int, int]], snap: int, places: list[int] | None
) -> None:
    assert spread(low, high, count, 10, taken, snap) == places


@pytest.mark.parametrize(
    ("low", "high", "count", "taken", "step", "places"),
    [
        (1, 99, 3, [], 4, [4, 48, 92]),  # 92 between the steps 4 and 96, 44 each
        (1, 99, 3, [(47, 49)], 4, [8, 52, 96]),
        (0, 20, 3, [], 1, [0, 10, 20]),
        (0, 19, 3, [], 1, None),
        (0, 20, 1, [], 1, None),
        (0, 100, 2, [(-1, 16)], 1, [16, 100]),  # sixteen spacings narrower than the widest
        (0, 100, 2, [(-1, 17)], 1, None),
        (0, 100, 3, [(90, 101)], 1, [0, 45, 90]),
    ],
)
def test_evenly_by_hand(
    low: int, high: int, count: int, taken: list[tuple[int, int]], step: int, places: list[int] | None
) -> None:
    assert evenly(low, high, count, 10, taken, step) == places
