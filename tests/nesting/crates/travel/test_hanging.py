"""Where French cleats go on a piece, and where their screws find wood."""

import re
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given

from nesting.advice.fasteners import distances
from nesting.advice.mounting import screws_needed
from nesting.base.measure import INCH
from nesting.crates.load import Hung, load_of
from nesting.crates.shells.mounting import piece_case, piece_screw
from nesting.crates.traits import Packing, Refused
from nesting.crates.travel.french import Pair
from nesting.crates.travel.hanging import Rows, back_slat, front_slat, pairs_for, rows_for
from nesting.order import Artwork, Back
from nesting.shop.shop_file import default_shop
from tests.strategies import lengths

SHOP = default_shop()


def hung(width: float, height: float, kg: float = 8) -> Hung:
    artwork = Artwork("A-01", int(width * INCH), int(height * INCH), 2 * INCH, weight_kg=Decimal(str(kg)))
    return load_of(Packing("K1", (artwork,), SHOP, "asked for")).hung[0]


def test_slats_are_wider_on_a_large_piece_and_behind_cleats() -> None:
    """Both halves of a pair are 5-9/32 in high: the slat behind them is the next 1/2 in, 5-1/2 in, as a 1x6 is."""
    small, large = hung(30, 40).artwork, hung(30, 60).artwork
    assert (front_slat(small, SHOP), front_slat(large, SHOP)) == (7 * INCH // 2, 11 * INCH // 2)
    assert back_slat(small, SHOP) == back_slat(large, SHOP) == 11 * INCH // 2


def test_a_cleat_runs_across_the_joint_of_its_slat() -> None:
    """One length where a sheet gives it; else its own joint is 16 in past the slat's."""
    for pair in pairs_for(hung(98, 60), SHOP, "inch", 0, [52 * INCH]):
        ((start, length),) = pair.runs
        assert (start, length) == (5 * INCH, 94 * INCH)
    for pair in pairs_for(hung(110, 60), SHOP, "inch", 0, [58 * INCH]):
        (first, length), (second, rest) = pair.runs
        assert first + length == second == 74 * INCH
        assert second + rest == 111 * INCH


def test_a_heavy_piece_takes_more_screws_than_three() -> None:
    piece = hung(60, 60, 60)
    fix = piece_screw(piece.artwork, SHOP, "inch")
    (low, _) = pairs_for(piece, SHOP, "inch", 0, ())
    rows = rows_for(low, piece, 12, fix, SHOP, "inch")
    assert len(rows.removal) == 12
    assert len(rows.into_piece) > 3
    assert all(b - a >= SHOP.cleats.screw_apart for a, b in pairwise(rows.removal))
    with pytest.raises(Refused, match="a French cleat 56 in long has no room for 60 removal screws"):
        rows_for(low, piece, 60, fix, SHOP, "inch")


def test_a_cleat_too_short_for_its_screws_says_which_screws_it_has_no_room_for() -> None:
    piece = hung(10, 60, 120)
    (low, _) = pairs_for(piece, SHOP, "inch", 0, ())
    with pytest.raises(Refused) as refused:
        rows_for(low, piece, 2, piece_screw(piece.artwork, SHOP, "inch"), SHOP, "inch")
    (why,) = refused.value.reasons
    assert re.fullmatch(
        "a French cleat 7 1/2 in long has no room for the [0-9]+ screws #[0-9]+ x [0-9/-]+ that hold it to the piece",
        why.found,
    )


@given(
    bar=lengths(3 * INCH // 2, 3 * INCH),
    deep=lengths(3 * INCH // 4, 2 * INCH),
    width=lengths(12 * INCH, 60 * INCH),
    height=lengths(14 * INCH, 60 * INCH),
)
def test_screws_into_a_strainer_stay_in_its_bars(bar: int, deep: int, width: int, height: int) -> None:
    artwork = Artwork("A-01", width, height, 2 * INCH, back=Back("strainer", bar, deep), weight_kg=Decimal(4))
    asked = Packing("K1", (artwork,), SHOP, "asked for")
    piece = load_of(asked).hung[0]
    slat = SHOP.good(SHOP.travel.slat_good)
    fix = piece_screw(artwork, SHOP, "inch")
    for pair in pairs_for(piece, SHOP, "inch", slat.thickness, ()):
        rows = rows_for(pair, piece, 3, fix, SHOP, "inch")
        assert len(rows.into_piece) >= 3
        for x, y in rows.into_piece:
            left, low = x - piece.x, y - piece.y
            beside = min(left, width - left)
            over = min(low, height - low)
            assert 0 < min(beside, over) < bar
            assert pair.y + pair.width <= y <= pair.y + pair.height


def strained(bar: float, width: float = 30, height: float = 40) -> Hung:
    back = Back("strainer", int(bar * INCH), INCH)
    artwork = Artwork("A-01", int(width * INCH), int(height * INCH), 2 * INCH, back=back, weight_kg=Decimal(4))
    return load_of(Packing("K1", (artwork,), SHOP, "asked for")).hung[0]


def rows(pair: Pair, piece: Hung, screws: int) -> Rows:
    return rows_for(pair, piece, screws, piece_screw(piece.artwork, SHOP, "inch"), SHOP, "inch")


def along(piece: Hung, places: tuple[int, ...]) -> list[float]:
    """Return places in inches from the piece's left edge."""
    return [(at - piece.x) / INCH for at in places]


def test_a_slat_is_wide_beyond_48_in_only() -> None:
    assert front_slat(hung(30, 48).artwork, SHOP) == 7 * INCH // 2
    assert isinstance(back_slat(hung(30, 48).artwork, SHOP), int)


def test_pairs_by_hand() -> None:
    """Both halves are 6 - 23/32 in high and lie 2 in inside a piece 30 x 40 in; the upper one is set to 1/16 in."""
    piece = hung(30, 40)
    low, high = pairs_for(piece, SHOP, "inch", 7, ())
    assert (low.name, high.name) == ("french-cleat-low", "french-cleat-high")
    assert (low.z, high.z) == (7, 7)
    assert (low.y - piece.y) / INCH == 2
    assert (high.y - piece.y) / INCH == 32.6875  # 40 - 2 - 5.28125, down to the step
    assert low.runs == high.runs == ((piece.x + 2 * INCH, 26 * INCH),)
    assert isinstance(high.y, int)


def test_a_joint_is_known_to_both_pairs() -> None:
    assert [pair.joints for pair in pairs_for(hung(110, 60), SHOP, "inch", 0, [58 * INCH])] == [(58 * INCH,)] * 2


def test_a_cleat_as_long_as_a_sheet_is_in_one_piece() -> None:
    """A piece 100 in wide takes 96 in of cleat, a sheet's length."""
    (low, _) = pairs_for(hung(100, 60), SHOP, "inch", 0, [53 * INCH])
    assert low.runs == ((5 * INCH, 96 * INCH),)


def test_a_cleat_leaves_no_end_shorter_than_the_least() -> None:
    """Its joint is 16 in past the slat's, but never within 4 in of its end, 111 in."""
    for joint, ends in ((90, [106]), (91, []), (96, [])):
        (low, _) = pairs_for(hung(110, 60), SHOP, "inch", 0, [joint * INCH])
        assert [(start + length) // INCH for start, length in low.runs] == [*ends, 111]


def test_the_smallest_piece_for_two_pairs() -> None:
    """5.28125 in of cleats, 5-1/2 in of slat and a step of 1/16 in: 10-27/32 in high; 4 in of cleat wide."""
    least = hung(4, 10.84375, 1)
    low, high = pairs_for(least, SHOP, "inch", 0, ())
    assert (low.y, low.runs) == (least.y, ((least.x, 4 * INCH),))
    assert high.y - least.y == 11 * INCH // 2 + INCH // 16
    for width, height, said in ((4, 10.84, "4 wide and 10 27/32 in"), (3.9375, 40, "3 15/16 wide and 40 in")):
        with pytest.raises(Refused) as refused:
            pairs_for(hung(width, height, 1), SHOP, "inch", 0, ())
        (why,) = refused.value.reasons
        assert why.found == f"a travel frame for a piece {said} high"
        assert why.accepted == (
            "a piece 4 in wide and 10 27/32 in high for two pairs of French cleats, or method closed"
        )
        assert (why.piece, why.column) == ("A-01", "method")
    with pytest.raises(Refused) as refused:
        pairs_for(hung(20, 10, 1), SHOP, "metric", 0, ())
    (why,) = refused.value.reasons
    assert why.found == "a travel frame for a piece 508 wide and 254 mm high"
    assert why.accepted.startswith("a piece 101.6 mm wide and 275.4 mm high for two pairs")


@pytest.mark.parametrize(
    ("height", "slat", "inset"),
    [(14, 0, 1.5625), (12, 0, 0.5625), (40, 0, 2), (16, 8, 1.3125)],
)  # fmt: skip
def test_pairs_move_outwards_on_a_low_piece_or_a_wide_slat(height: float, slat: int, inset: float) -> None:
    """Half of what is left beside 5.28125 in of cleats, 5-1/2 in or 8 in of slat and a step; never more than 2 in."""
    piece = hung(30, height, 1)
    (low, _) = pairs_for(piece, SHOP, "inch", 0, (), slat * INCH)
    assert (low.y - piece.y) / INCH == pytest.approx(inset, abs=0.02)
    assert isinstance(low.y, int)


@pytest.mark.parametrize(("width", "short"), [(4.5, 0.25), (6, 0.75), (12, 1.5), (40, 2)])
def test_cleats_are_shorter_than_their_piece(width: float, short: float) -> None:
    """An eighth of its width at either end, 2 in at the most, and 4 in at the least are left."""
    piece = hung(width, 40, 1)
    (low, _) = pairs_for(piece, SHOP, "inch", 0, ())
    assert low.runs == ((piece.x + int(short * INCH), int((width - 2 * short) * INCH)),)
    assert isinstance(low.runs[0][1], int)


@pytest.mark.parametrize(("bar", "inset"), [(2, 0.125), (3, 0.359375), (4, 0.859375), (8, 2)])
def test_the_upper_row_of_a_strainer_stands_in_the_middle_of_a_wide_bar(bar: float, inset: float) -> None:
    """Half the bar less half the cleat's short face, 2.28125 in; 1/8 in at the least, 2 in at the most."""
    piece = strained(bar, 40, 60)
    low, high = pairs_for(piece, SHOP, "inch", 0, ())
    assert (low.y - piece.y) / INCH == inset
    assert isinstance(low.y, int)
    assert low.runs[0][0] - piece.x == INCH // 8
    # 1.140625 in and the inset below the upper edge, within a step.
    assert (piece.y + 60 * INCH - high.piece_line) / INCH == pytest.approx(1.140625 + inset, abs=1 / 16)


def test_a_piece_of_canvas_or_with_cleats_of_its_own_has_no_travel_frame() -> None:
    own = Back("cleated", cleat_thickness=INCH, cleat_width=3 * INCH, cleat_low=2 * INCH, cleat_high=INCH)
    for units, thick in (("inch", "1 in"), ("metric", "25.4 mm")):
        piece = hung(30, 40)
        with pytest.raises(Refused) as refused:
            pairs_for(replace(piece, artwork=replace(piece.artwork, back=own)), SHOP, units, 0, ())  # type: ignore[arg-type]
        (why,) = refused.value.reasons
        assert (why.piece, why.column) == ("A-01", "method")
        assert why.found == (
            f"a travel frame for a piece with cleats of its own, {thick} thick: French cleats lie flat on a back"
        )
        assert why.accepted == "closed or battened, which screws into the piece's own cleats"
    canvas = replace(hung(30, 40), artwork=replace(hung(30, 40).artwork, support="canvas"))
    with pytest.raises(Refused, match="solid, of canvas"):
        pairs_for(canvas, SHOP, "inch", 0, ())
    thin = replace(hung(30, 40), artwork=replace(hung(30, 40).artwork, depth=INCH // 2))
    with pytest.raises(Refused, match=r"9\.5 mm of wood"):
        pairs_for(thin, SHOP, "metric", 0, ())


def test_rows_by_hand() -> None:
    """A cleat of 26 in that begins 2 in inside: a screw each 12 in into the piece, from 1 in inside its ends.

    The removal screws keep 19/32 in from these: evenly, on 1/8 in, no three find room farther apart than 10-3/4 in. Two
    hold the lower half to its slat, an eighth of 26 in inside its ends.
    """
    piece = hung(30, 40)
    (low, _) = pairs_for(piece, SHOP, "inch", 0, ())
    found = rows(low, piece, 3)
    assert found.pair is low
    assert along(piece, tuple(x for x, _ in found.into_piece)) == [3, 15, 27]
    assert {y for _, y in found.into_piece} == {low.piece_line}
    assert along(piece, found.removal) == [3.625, 14.375, 25.125]
    assert along(piece, found.hanging) == [5.25, 24.75]


def pair_of(runs: list[tuple[float, float]], joints: list[float]) -> Pair:
    inch = tuple((int(x * INCH), int(length * INCH)) for x, length in runs)
    return Pair("by hand", 5 * INCH, 0, 3 * INCH, 23 * INCH // 32, inch, tuple(int(at * INCH) for at in joints))


def test_rows_across_a_joint_by_hand() -> None:
    """Cleats of 69 and 37 in, the slat's joint at 58 in: two screws 2 and 5 in on either side of it in each half.

    Of twelve removal screws 12 x 69 / 106 = 8 and 12 x 37 / 106 = 5 fall to them, rounded up, of two at least two each.
    Into the piece one each 12 in: 6 and 4. Into the slat one each 24 in: 3 and 2.
    """
    piece, pair = hung(110, 60), pair_of([(5, 69), (74, 37)], [58])
    flanks = [at * INCH for at in (53, 56, 60, 63)]
    for screws, of_first, of_second in ((12, 8, 5), (2, 2, 2)):
        found = rows(pair, piece, screws)
        assert set(flanks) <= set(found.removal)
        assert set(flanks) <= set(found.hanging)
        for places, first, second in (
            (found.removal, of_first + 4, of_second),
            (found.hanging, 3 + 4, 2),
            (tuple(x for x, _ in found.into_piece), 6, 4),
        ):
            assert list(places) == sorted(places)
            assert [sum(at < 74 * INCH for at in places), sum(at > 74 * INCH for at in places)] == [first, second]
        for places in (found.removal, found.hanging):
            assert all(b - a >= INCH for a, b in pairwise(places) if not a < 74 * INCH < b)
        into = [x for x, _ in found.into_piece]
        assert all(abs(x - at) >= 19 * INCH // 32 for x in into for at in found.removal)
        assert (into[0], into[5], into[6], into[9]) == (6 * INCH, into[5], 75 * INCH, 110 * INCH)
        assert into[5] <= 73 * INCH
        # An eighth of 69 in is 8-5/8 in, of 37 in 4-5/8 in.
        assert (found.hanging[0], found.hanging[-1]) == (int(13.625 * INCH), int(106.375 * INCH))
        # 1 in inside the ends; those of the second cleat, which no joint lies behind, are evenly apart.
        on_left, on_right = ([at for at in found.removal if (at < 74 * INCH) is left] for left in (True, False))
        assert (on_left[0] >= 6 * INCH, on_left[-1] <= 73 * INCH) == (True, True)
        assert (on_right[0] >= 75 * INCH, on_right[-1] <= 110 * INCH) == (True, True)
        assert len({b - a for a, b in pairwise(on_right)}) == 1
        assert all(at % (INCH // 8) == 0 for at in on_right)


def test_screws_beside_a_joint_only_where_the_cleat_has_room_for_them() -> None:
    """Joints at 8 and 71 in of a cleat from 5 to 74 in: 1 in inside its ends stand 6, 10, 13 and 66, 69, 73 in."""
    found = rows(pair_of([(5, 69)], [8, 71]), hung(110, 60), 3)
    beyond = rows(pair_of([(5, 69)], [10, 69]), hung(110, 60), 3)
    assert min(beyond.hanging) == 8 * INCH  # not 5 in, where the cleat begins
    assert max(beyond.hanging) == 71 * INCH  # not 74 in, where it ends
    for at in (6, 10, 13, 66, 69, 73):
        assert at * INCH in found.removal
        assert at * INCH in found.hanging
    assert min(found.removal + found.hanging) == 6 * INCH
    assert max(found.removal + found.hanging) == 73 * INCH


def test_screws_of_a_short_end_and_of_two_feet_and_one_inch() -> None:
    """A cleat of 20 in takes three into the piece, as any; one of 49 in three into its slat, one of 48 in two."""
    found = rows(pair_of([(5, 69), (74, 20)], []), hung(110, 60), 3)
    assert sum(x > 74 * INCH for x, _ in found.into_piece) == 3
    assert [len(rows(pair_of([(5, long)], []), hung(110, 60), 3).hanging) for long in (48, 49)] == [2, 3]
    assert [len(rows(pair_of([(5, long)], []), hung(110, 60), 3).into_piece) for long in (72, 73)] == [6, 7]


def test_screws_into_the_piece_rise_with_its_weight_and_are_shared_by_length() -> None:
    """As many for both pairs as the advice asks for 250 kg; of a pair's, 69 and 37 parts of 106, each rounded up."""
    piece = hung(110, 60, 250)
    fix = piece_screw(piece.artwork, SHOP, "inch")
    needed = screws_needed(piece_case(piece, fix, SHOP), SHOP.mounting, cleats=2)
    assert needed > 4 * 10  # more than one each 12 in would give
    found = rows(pair_of([(5, 69), (74, 37)], []), piece, 3)
    of_first = sum(x < 74 * INCH for x, _ in found.into_piece)
    assert of_first == -(-needed // 2 * 69 // 106)
    assert len(found.into_piece) - of_first == -(-needed // 2 * 37 // 106)


def test_screws_into_upright_bars_stand_one_over_the_other() -> None:
    """In the middle of bars 2 in wide; a quarter of the short face, 2.28125 in, above and below its middle."""
    piece = strained(2)
    low, high = pairs_for(piece, SHOP, "inch", 0, ())
    into = rows(low, piece, 3).into_piece
    assert [(x - piece.x) / INCH for x, _ in into] == [1, 1, 29, 29]
    assert [(y - low.piece_line) / INCH for _, y in into] == pytest.approx([-0.5703, 0.5703] * 2, abs=1e-4)
    assert all(isinstance(x, int) and isinstance(y, int) for x, y in into)
    # The upper row has the upper bar all along.
    assert {y for _, y in rows(high, piece, 3).into_piece} == {high.piece_line}


@pytest.mark.parametrize(("short", "step"), [(1.9, 0.475), (2.28125, 0.5703), (4.0, 1.0)])
def test_how_far_one_over_the_other(short: float, step: float) -> None:
    """In the middle of each half of the short face: 2.5 D = 0.475 in clear of its edges, 5 D apart, at the least."""
    piece = strained(2)
    for off in (0, 1):
        face = round(short * INCH) + off
        pair = Pair("by hand", 5 * INCH, 0, face + INCH, INCH, ((3 * INCH, 30 * INCH),))
        into = rows(pair, piece, 3).into_piece
        assert [(y - pair.piece_line) / INCH for _, y in into] == pytest.approx([-step, step] * 2, abs=1e-4)
        assert all(isinstance(y, int) for _, y in into)


def test_a_cleat_too_narrow_for_one_over_the_other_is_refused() -> None:
    """Cleats 1-1/2 in wide of 23/32 in have a short face of 25/32 in: two screws in it would stand 0.4 in apart."""
    piece = strained(2)
    narrow = replace(SHOP, travel=replace(SHOP.travel, cleat_width=3 * INCH // 2))
    low, high = pairs_for(piece, narrow, "inch", 0, ())
    fix = piece_screw(piece.artwork, narrow, "inch")
    for units, high_as in (("inch", "25/32 in"), ("metric", "19.8 mm")):
        with pytest.raises(Refused) as refused:
            rows_for(low, piece, 3, fix, narrow, units)  # type: ignore[arg-type]  # one of two words
        (why,) = refused.value.reasons
        assert (why.piece, why.column) == ("A-01", "method")
        assert why.found == (
            f"French cleats with a short face {high_as} high, which have no room for two screws #10 x 1-1/4 one over "
            "the other in an upright bar"
        )
        assert why.accepted == (
            "wider French cleats (cleat_width of [travel] in shop.toml), or method closed or battened"
        )
    # Along the upper bar one row is enough, as on a solid back.
    assert len(rows_for(high, piece, 3, fix, narrow, "inch").into_piece) == 3
    least = Pair("by hand", 5 * INCH, 0, round(1.9 * INCH) - 1 + INCH, INCH, ((3 * INCH, 30 * INCH),))
    with pytest.raises(Refused, match="one over the other"):
        rows(least, piece, 3)


def test_a_bar_beyond_a_cleat_takes_no_screw_and_too_few_are_refused() -> None:
    """Bars 3/4 in wide have their middle 3/8 in from the side, and a No. 10 wants 0.475 in of the cleat beside it."""
    for units, wide in (("inch", "3/4 in"), ("metric", "19.1 mm")):
        piece = strained(0.75)
        (low, _) = pairs_for(piece, SHOP, "inch", 0, ())
        with pytest.raises(Refused) as refused:
            rows_for(low, piece, 3, piece_screw(piece.artwork, SHOP, "inch"), SHOP, units)  # type: ignore[arg-type]
        (why,) = refused.value.reasons
        assert (why.piece, why.column) == ("A-01", "back")
        assert why.found == f"bars {wide} wide that no screw of the lower French cleat reaches"
        assert why.accepted == "wider bars, a crossbar behind the lower cleat with back = cleated, or method closed"


def test_what_a_cleat_without_room_is_told() -> None:
    piece = hung(60, 60, 60)
    (low, _) = pairs_for(piece, SHOP, "inch", 0, ())
    fix = piece_screw(piece.artwork, SHOP, "inch")
    with pytest.raises(Refused) as refused:
        rows_for(low, piece, 60, fix, SHOP, "metric")
    (why,) = refused.value.reasons
    assert (why.piece, why.column) == ("A-01", "method")
    assert why.found == "a French cleat 1422.4 mm long has no room for 60 removal screws"
    assert why.accepted == "a wider piece, or method closed or battened"
    narrow = hung(10, 60, 120)
    (low, _) = pairs_for(narrow, SHOP, "inch", 0, ())
    with pytest.raises(Refused) as refused:
        rows_for(low, narrow, 2, piece_screw(narrow.artwork, SHOP, "inch"), SHOP, "metric")
    (why,) = refused.value.reasons
    assert (why.piece, why.column) == ("A-01", "method")
    assert why.found.startswith("a French cleat 190.5 mm long has no room for the ")
    assert why.accepted == "a wider or lighter piece, or method closed or battened"


def test_a_joint_that_lies_where_the_hanging_screws_would_stand_moves_them() -> None:
    """Three screws on 69 in would stand at 39-1/2 in in the middle: a joint at 42 or 37 in has one at 40 or 39 in."""
    for joint, beside in ((42, 40), (37, 39)):
        found = rows(pair_of([(5, 69)], [joint]), hung(110, 60), 3)
        assert beside * INCH in found.hanging
        assert len(found.hanging) == 3 + 4
        assert all(b - a >= INCH for a, b in pairwise(found.hanging))


def test_hanging_screws_stand_on_the_step() -> None:
    """An eighth of 26.3 in is 3.2875 in: 3-1/4 in. The last would stand at 28.05 in: 28 in, on 1/8 in."""
    (first, last) = rows(pair_of([(5, 26.3)], []), hung(110, 60), 3).hanging
    assert first == 33 * INCH // 4
    assert last == 28 * INCH
    assert isinstance(first, int)
    assert isinstance(last, int)


def test_two_joints_too_near_for_two_hanging_screws_leave_one_in_the_middle() -> None:
    """Joints 3 and 4-1/2 in along a cleat of 8 in: beside the screws that flank them only 3-1/2 to 4 in is free."""
    piece = strained(2, 8)
    start = piece.x / INCH
    pair = Pair(
        "by hand",
        5 * INCH,
        0,
        4 * INCH,
        INCH,
        ((piece.x, 8 * INCH + 1),),
        (piece.x + 3 * INCH, piece.x + 9 * INCH // 2),
    )
    hanging = rows(pair, piece, 1).hanging
    assert [at / INCH - start for at in hanging] == [1, 2.5, 4, 5, 6.5]
    assert all(isinstance(at, int) for at in hanging)


def test_one_removal_screw_where_one_is_asked_for() -> None:
    piece = hung(30, 40)
    assert len(rows(pair_of([(5, 26)], []), piece, 1).removal) == 1


def test_removal_screws_stand_in_line_with_those_well_above_and_below_them() -> None:
    """19/32 in above and below the line is far enough; a little less moves the removal screw 19/32 in aside."""
    piece = strained(2)
    for short, first in ((2.375, 1.0), (2.374, 1.625)):
        width = round(short * INCH) + INCH
        pair = Pair("by hand", 5 * INCH, 0, width, INCH, ((piece.x, 30 * INCH),))
        assert (rows(pair, piece, 3).removal[0] - piece.x) / INCH == first


def test_the_lower_row_of_a_very_wide_bar_runs_along_it() -> None:
    """A cleat 2 in inside has its row 2 + 4.140625 in above the edge: within a bar of 8 in, less 0.475 in."""
    piece = strained(8, 40, 60)
    low, _ = pairs_for(piece, SHOP, "inch", 0, ())
    into = rows(low, piece, 3).into_piece
    assert [y for _, y in into] == [low.piece_line] * 4


def test_where_a_row_is_still_within_its_bar() -> None:
    """2.5 D of a No. 10, 0.475 in, from both edges of a bar 2 in wide: 0.475 to 1.525 in, above the lower edge here."""
    piece = strained(2)
    edge = distances(10).edge
    for up, there in ((edge, True), (edge - 1, False), (2 * INCH - edge, True), (2 * INCH - edge + 1, False)):
        width, short = 4 * INCH, 3 * INCH
        pair = Pair("by hand", piece.y + up - width - short // 2, 0, width, INCH, ((piece.x, 30 * INCH),))
        assert pair.piece_line - piece.y == up
        assert ({y for _, y in rows(pair, piece, 3).into_piece} == {pair.piece_line}) is there


def test_a_cleat_takes_the_screws_of_both_bars_where_it_just_reaches_over_them() -> None:
    """Bars 2 in wide have their middles 1 in inside; a cleat must reach 2.5 D of a No. 10, 0.475 in, past these."""
    piece = strained(2)
    start, length = piece.x + INCH - distances(10).edge, 28 * INCH + 2 * distances(10).edge
    assert len(rows(Pair("by hand", 5 * INCH, 0, 4 * INCH, INCH, ((start, length),)), piece, 3).into_piece) == 4
    for short in ((start + 1, length - 1), (start, length - 1)):
        with pytest.raises(Refused, match="no screw of the lower French cleat reaches"):
            rows(Pair("by hand", 5 * INCH, 0, 4 * INCH, INCH, (short,)), piece, 3)


def test_what_a_word_means_in_a_shop_counts_for_its_cleats() -> None:
    """A cradled piece that states nothing has the shop's bars: 4 in wide, half of them less half of 2.28125 in."""
    ruled = replace(SHOP, cleats=replace(SHOP.cleats, hollow_backs=("cradled = cradle 4 x 1 1/2, face 1/4",)))
    artwork = Artwork("A-01", 30 * INCH, 40 * INCH, 2 * INCH, support="cradled birch panel", weight_kg=Decimal(4))
    piece = load_of(Packing("K1", (artwork,), ruled, "asked for")).hung[0]
    low, _ = pairs_for(piece, ruled, "inch", 0, ())
    assert (low.y - piece.y) / INCH == 0.859375
