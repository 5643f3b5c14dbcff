"""Board feet: how yards tally lumber, by nominal size.

A board foot is 144 cubic inches of *nominal* stock; stock thinner than an inch counts as an inch (American Softwood
Lumber Standard PS 20, section on tally; from memory, and 144 in3 quoted on several trade pages). Weights go by the
dressed size.
"""

from decimal import Decimal
from fractions import Fraction
from typing import Final

from nesting.base.measure import FOOT, INCH
from nesting.shop.goods import Good
from nesting.shop.shop import Shop
from pricing.money import half_up
from pricing.quoting.takeoff import Taken

_DRESSED: Final = {
    3 * INCH // 4: 1,
    3 * INCH // 2: 2,
    5 * INCH // 2: 3,
    7 * INCH // 2: 4,
    11 * INCH // 2: 6,
    29 * INCH // 4: 8,
    37 * INCH // 4: 10,
    45 * INCH // 4: 12,
}
"""Nominal inches by dressed dry size (PS 20: 1 in is 3/4, 2 to 6 in lose 1/2, 8 in and more lose 3/4)."""


def board_feet(thickness: Fraction | int, width: Fraction | int, feet: Fraction | int) -> Fraction:
    """Return the board feet of one stick: nominal inches by nominal inches by feet, over 12."""
    return max(Fraction(thickness), Fraction(1)) * Fraction(width) * Fraction(feet) / 12


def stick_board_feet(good: Good, length: int) -> Fraction | None:
    """Return the board feet of a stick of dressed lumber; None where the section is no dressed size."""
    thickness, width = _DRESSED.get(good.thickness), _DRESSED.get(good.breadth)
    if good.form != "stick" or thickness is None or width is None:
        return None
    return board_feet(thickness, width, Fraction(length, FOOT))


def bought_board_feet(shop: Shop, row: Taken) -> Decimal | None:
    """Return the board feet of what is bought of a row, to a thousandth; None for anything but dressed lumber."""
    good = shop.good(row.good)
    length = next((size.length for size in good.sizes if size.stock == row.stock), 0)
    feet = stick_board_feet(good, length)
    return None if feet is None else half_up(feet * Fraction(row.bought), Decimal("0.001"))
