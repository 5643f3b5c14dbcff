"""Standards section 2: board foot = 144 in3 of nominal stock; the exact values are computed."""

from decimal import Decimal
from fractions import Fraction

import pytest

from nesting.base.measure import FOOT, INCH
from nesting.shop.shop_file import default_shop
from pricing.quoting.board_feet import board_feet, bought_board_feet, stick_board_feet
from pricing.quoting.takeoff import take_off
from pricing.studio.pricebook_file import default_price_book
from tests.pricing.builds import small_build


@pytest.mark.parametrize(
    ("thickness", "width", "tally"),
    [(1, 3, "2.000"), (1, 4, "2.667"), (1, 6, "4.000"), (2, 3, "4.000"), (2, 4, "5.333")],
)
def test_eight_foot_sticks(thickness: int, width: int, tally: str) -> None:
    assert round(board_feet(thickness, width, 8), 3) == Fraction(tally)


def test_thin_stock_counts_as_an_inch() -> None:
    assert board_feet(Fraction(1, 2), 12, 1) == 1


def test_dressed_sections_are_tallied_by_their_nominal_size() -> None:
    shop = default_shop()
    assert stick_board_feet(shop.good("2x3"), 8 * FOOT) == 4
    assert stick_board_feet(shop.good("2x4"), 12 * FOOT) == 8
    assert stick_board_feet(shop.good("ply-3/8"), 8 * FOOT) is None


def test_what_is_bought_is_tallied() -> None:
    taken = take_off(small_build(), default_price_book())
    stick = next(row for row in taken.rows if row.form == "stick")
    length = next(s.length for s in default_shop().good("2x3").sizes if s.stock == stick.stock)
    assert bought_board_feet(default_shop(), stick) == stick.bought * Decimal(length // INCH) / 24
    sheet = next(row for row in taken.rows if row.form == "sheet")
    assert bought_board_feet(default_shop(), sheet) is None
