"""Formats: lengths in the order's unit, lines that a text takes."""

from io import BytesIO

import pytest
import xlsxwriter

from nesting.measure import INCH, MM, UnitSystem, parse_length
from pricing.workbook.style import Styles, text_lines


def styles(units: UnitSystem) -> Styles:
    return Styles(xlsxwriter.Workbook(BytesIO(), {"in_memory": True}), "USD", units)


@pytest.mark.parametrize(
    ("text", "units", "number", "shown"),
    [
        ("30", "inch", 30.0, "0"),
        ("30 1/2", "inch", 30.5, "# ??/??"),
        ("2 25/32", "inch", 2.78125, "# ??/??"),
        ("775 mm", "inch", 775 / 25.4, "0.000"),
        ("775 mm", "metric", 775.0, "0"),
        ("9.5 mm", "metric", 9.5, "0.0"),
        ("1/64 in", "metric", 25.4 / 64, "0.00"),
    ],
)
def test_lengths_are_numbers_in_the_orders_unit(text: str, units: UnitSystem, number: float, shown: str) -> None:
    value, style = styles(units).length(parse_length(text, units))
    assert value == pytest.approx(number, abs=1e-12)
    assert style.num_format == shown


def test_a_fraction_format_never_shows_a_wrong_fraction() -> None:
    """Two digits below the line hold every 1/64 in exactly; other lengths are decimals (calculation)."""
    for value in (INCH // 64, 63 * INCH // 64, 7 * INCH // 32, MM, 10 * INCH + 1):
        _, style = styles("inch").length(value)
        assert (style.num_format == "# ??/??") == (value % (INCH // 64) == 0)


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
