"""French cleats: two halves from one blank by one bevelled rip."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.bench import Bench
from nesting.crates.travel.french import Pair, blank_width
from nesting.cutting.sawing.bevels import bevel_kerf
from nesting.shop.shop_file import default_shop
from tests.nesting.crates.case_proofs import apart, area


def test_the_blank_of_the_house() -> None:
    """W 3, t 23/32, k 1/8: 6 - 0.71875 + 1.41421 x 0.125 = 5.45803 in, the shop's rule, by hand."""
    blank = blank_width(3 * INCH, 23 * INCH // 32, INCH // 8)
    assert blank / INCH == pytest.approx(5.458, abs=0.0005)
    assert blank / INCH == pytest.approx(6 - 0.71875 + sqrt(2) / 8, abs=1e-5)


@given(st.integers(0, INCH))
def test_a_bevelled_kerf_is_rounded_up(kerf: int) -> None:
    eaten = bevel_kerf(kerf)
    assert eaten * eaten >= 2 * kerf * kerf
    assert eaten == 0 or (eaten - 1) ** 2 < 2 * kerf * kerf


def test_stock_as_thick_as_wide_has_no_short_face() -> None:
    with pytest.raises(ValueError, match="no short face"):
        blank_width(INCH, INCH, 0)


@given(
    thick=st.integers(INCH // 4, INCH),
    more=st.integers(1, 4 * INCH),
    kerf=st.integers(0, INCH // 4),
    y=st.integers(0, 50 * INCH),
)
def test_halves_hook_together_and_fill_their_blank(thick: int, more: int, kerf: int, y: int) -> None:
    """Short faces lie on slat and piece, the bevel is at 45 degrees, and wood and kerf make up the blank."""
    pair = Pair("f", y, 0, thick + more, thick, ((0, 30 * INCH),))
    low, high = pair.hanging_profile, pair.piece_profile
    assert apart(low, high)
    assert area(low) == area(high)
    assert area(low) + area(high) == pair.height * thick
    wood = blank_width(pair.width, thick, kerf) * thick - area(low) - area(high)
    assert 0 <= wood - sqrt(2) * kerf * thick <= thick
    assert pair.height == 2 * pair.width - thick
    (_, _), (a, z), (b, front), _ = low
    assert (b - a) == (front - z) == thick
    # Screws through the slat at the middle of the short face pass the whole thickness of the half.
    assert y < pair.hanging_line < y + pair.short or pair.short == 1
    assert y + pair.width <= pair.piece_line < y + pair.height


def test_one_blank_is_cut_and_both_halves_are_placed() -> None:
    bench = Bench("K1", default_shop())
    pair = Pair("french-cleat-low", 5 * INCH, 0, 3 * INCH, 23 * INCH // 32, ((0, 20 * INCH), (30 * INCH, 20 * INCH)))
    names = pair.place(bench, "ply-23/32", INCH // 8)
    assert names == ("K1.french-cleat-low", "K1.french-cleat-low")
    (part,) = bench.parts
    assert (part.count, part.length, part.width) == (2, 20 * INCH, blank_width(3 * INCH, 23 * INCH // 32, INCH // 8))
    assert [(p.index, p.half) for p in bench.placed] == [(0, "hanging"), (0, "piece"), (1, "hanging"), (1, "piece")]
