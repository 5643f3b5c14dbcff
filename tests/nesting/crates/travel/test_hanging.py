"""Where French cleats go on a piece, and where their screws find wood."""

import re
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given

from nesting.base.measure import INCH
from nesting.crates.load import Hung, load_of
from nesting.crates.shells.mounting import piece_screw
from nesting.crates.traits import Packing, Refused
from nesting.crates.travel.hanging import back_slat, front_slat, pairs_for, rows_for
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
