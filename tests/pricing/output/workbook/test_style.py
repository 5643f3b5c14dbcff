"""Formats: lengths in the order's unit, lines that a text takes."""

from fractions import Fraction
from io import BytesIO
from math import floor

import pytest
import xlsxwriter
from hypothesis import given, strategies

from nesting.base.measure import INCH, UnitSystem, parse_length
from pricing.output.workbook.style import Styles, text_lines


def styles(units: UnitSystem) -> Styles:
    return Styles(xlsxwriter.Workbook(BytesIO(), {"in_memory": True}), "USD", units)


SHARED = styles("inch")


@pytest.mark.parametrize(
    ("text", "units", "number", "shown"),
    [
        ("30", "inch", 30.0, "0"),
        ("30 1/2", "inch", 30.5, "# ?/2"),
        ("2 25/32", "inch", 2.78125, "# ??/32"),
        ("1352.4 mm", "inch", 1352.4 / 25.4, "# ?/4"),
        ("2 1/64", "inch", 2.015625, "# ?/32"),
        ("76.201 mm", "inch", 76.201 / 25.4, "0"),
        ("775 mm", "metric", 775.0, "0"),
        ("9.5 mm", "metric", 9.5, "0.0"),
        ("1/64 in", "metric", 25.4 / 64, "0.0"),
        ("890.96 mm", "metric", 890.96, "0"),
    ],
)
def test_lengths_are_numbers_in_the_orders_unit(text: str, units: UnitSystem, number: float, shown: str) -> None:
    value, style = styles(units).length(parse_length(text, units))
    assert value == pytest.approx(number, abs=1e-12)
    assert style.num_format == shown


@given(value=strategies.integers(0, 200 * INCH))
def test_a_fraction_format_shows_the_nearest_32nd(value: int) -> None:
    """What a spreadsheet shows: the number rounded to the denominator that the format states (calculation)."""
    number, style = SHARED.length(value)
    _, _, denominator = style.num_format.partition("/")
    shown = Fraction(floor(Fraction(number) * int(denominator or 1) + Fraction(1, 2)), int(denominator or 1))
    assert abs(shown - Fraction(value, INCH)) <= Fraction(1, 64) + Fraction(1, 10**9)
    assert 32 % int(denominator or 1) == 0


def test_weights_are_rounded_as_texts_round_them() -> None:
    """43.0 kg is 94.799 lb; 42.977 kg is 94.748 lb (calculation with the exact pound)."""
    assert styles("inch").weight(43.0) == 94.8
    assert styles("inch").weight(42.977) == 94.7
    assert styles("metric").weight(42.96) == 43.0


def test_one_format_is_made_once() -> None:
    made = styles("inch")
    assert made.get("money", bold=True) is made.get("money", bold=True)
    assert made.get("money") is not made.get("money", yours=True)


def test_longer_texts_take_more_lines() -> None:
    assert text_lines("short", 200) == 1
    assert text_lines("", 200) == 1
    assert text_lines("one\ntwo", 200) == 2
    assert text_lines("words " * 40, 200) > text_lines("words " * 20, 200) > 1
    assert text_lines("x" * 40_000, 200) > 20
