"""Paper, foam and film by the piece."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.cartons.wrapping import Sheet, best_wrap, cover, foam_layers, gift_wrap, roll_length, wrap
from nesting.crates.model import Size
from nesting.cutting.rolls import ways
from nesting.shop.goods import StockSize
from nesting.shop.house_rules.packing import WrapRules
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
RULES = WrapRules()
sides = st.integers(INCH // 4, 90 * INCH)


def test_gift_wrap_is_the_house_formula() -> None:
    """2 (H + D) + 3 in around by W + 2 D along: the shop's rule, computed by hand for 12 x 10 x 2 in."""
    assert gift_wrap(Size(12 * INCH, 10 * INCH, 2 * INCH), 3 * INCH) == Sheet(27 * INCH, 16 * INCH)


@given(sides, sides, sides)
def test_the_sheet_covers_the_parcel(width: int, height: int, depth: int) -> None:
    """Around: the girth and a lap of 3 in. Along: flaps from two sides that together are as deep as the end."""
    sheet = gift_wrap(Size(width, height, depth), 3 * INCH)
    assert sheet.around - 3 * INCH == 2 * height + 2 * depth
    assert sheet.along - width == 2 * depth
    surface = 2 * (width * height + width * depth + height * depth)
    assert sheet.around * sheet.along >= surface


def test_a_narrow_roll_is_lapped_by_three_inches() -> None:
    """A sheet 60 x 20 in off a 48 in roll: turned, it takes 60 in in one strip; upright 2 lapped strips of 20 in."""
    assert roll_length(Sheet(60 * INCH, 20 * INCH), 48 * INCH, 3 * INCH) == 40 * INCH
    assert roll_length(Sheet(40 * INCH, 20 * INCH), 48 * INCH, 3 * INCH) == 20 * INCH
    assert roll_length(Sheet(93 * INCH, 50 * INCH), 48 * INCH, 3 * INCH) == 100 * INCH
    assert roll_length(Sheet(94 * INCH, 50 * INCH), 48 * INCH, 3 * INCH) == 150 * INCH
    assert roll_length(Sheet(40 * INCH, 40 * INCH), 3 * INCH, 3 * INCH) is None


@given(sides, sides, sides)
def test_the_way_round_takes_the_least_roll(width: int, height: int, depth: int) -> None:
    good = SHOP.good("glassine")
    parcel = Size(width, height, depth)
    best = best_wrap(parcel, good, RULES)
    both = (gift_wrap(parcel, RULES.overlap), gift_wrap(Size(height, width, depth), RULES.overlap))
    assert best in both
    lengths = [roll_length(sheet, good.sizes[0].width, RULES.roll_lap) for sheet in (best, *both)]
    assert lengths[0] == min(length for length in lengths if length is not None)


@given(sides, sides, sides, st.integers(1, 4))
def test_layers_grow_the_parcel_by_their_thickness(width: int, height: int, depth: int, foam: int) -> None:
    piece = Size(width, height, depth)
    wrapped = wrap("K1.A", piece, SHOP.good("glassine"), foam, SHOP)
    grown = 2 * (SHOP.good("glassine").thickness + foam * SHOP.good("foam-wrap").thickness)
    assert wrapped.size == Size(width + grown, height + grown, depth + grown)
    assert [part.good for part in wrapped.parts] == ["glassine"] + ["foam-wrap"] * foam
    areas = [part.length * part.width for part in wrapped.parts]
    assert areas == sorted(areas)
    assert len({part.name for part in wrapped.parts}) == len(wrapped.parts)
    roll = SHOP.good("foam-wrap").sizes[0]
    for part in wrapped.parts[1:]:
        chosen = ways(part, roll.width, 10**12)[0]
        assert chosen.strips * chosen.along == roll_length(Sheet(part.length, part.width), roll.width, part.lap)


@pytest.mark.parametrize(("pounds", "layers"), [(0.5, 2), (3.0, 2), (3.01, 3), (6.0, 3), (6.01, 4), (10.0, 4)])
def test_two_to_four_layers_of_foam(pounds: float, layers: int) -> None:
    """Foam wrap in two to four layers: common practice, no source."""
    assert foam_layers(pounds, RULES) == layers


def test_film_over_a_frame_of_36_by_36_by_5() -> None:
    """By hand: around 2 (36 + 5) + 3 = 85 in, along 36 + 10 = 46 in; staples on the lap and around both ends."""
    found = cover(Size(36 * INCH, 36 * INCH, 5 * INCH), SHOP.good("poly-6mil"), RULES)
    assert found.sheet == Sheet(85 * INCH, 46 * INCH)
    assert found.staples == 30


@given(sides, sides, sides)
def test_staples_stand_no_farther_apart_than_the_rule(width: int, height: int, depth: int) -> None:
    found = cover(Size(width, height, depth), SHOP.good("poly-6mil"), RULES)
    across, up = (width, height) if found.sheet.along == width + 2 * depth else (height, width)
    assert found.staples * RULES.staple_spacing >= across + 4 * up


def test_a_wider_roll_can_change_the_way_round() -> None:
    parcel = Size(30 * INCH, 60 * INCH, 2 * INCH)
    narrow = SHOP.good("glassine")
    wide = replace(narrow, sizes=(StockSize("wide", 3600 * INCH, 64 * INCH),))
    assert roll_length(best_wrap(parcel, wide, RULES), 64 * INCH, 3 * INCH) == 67 * INCH
    assert best_wrap(parcel, narrow, RULES) == Sheet(127 * INCH, 34 * INCH)
