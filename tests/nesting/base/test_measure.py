import subprocess
import sys
from contextlib import suppress
from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import (
    FOOT,
    HEAVIEST_KG,
    INCH,
    LONGEST,
    MM,
    UNITS_PER_INCH,
    MeasureError,
    UnitSystem,
    convert,
    format_length,
    format_length_exact,
    format_weight,
    inches,
    millimetres,
    parse_length,
    parse_lengths,
    parse_weight,
    pounds,
    shorten,
)
from tests.strategies import lengths, odd_texts

UNITS: list[UnitSystem] = ["inch", "metric"]
ureg: pint.UnitRegistry[Decimal] = pint.UnitRegistry(non_int_type=Decimal)


def test_the_grid_is_the_one_that_build_files_state() -> None:
    assert UNITS_PER_INCH == INCH == 203_200
    assert INCH // 64 == 3_175
    assert INCH % 64 == 0
    assert (FOOT, MM) == (2_438_400, 8_000)


@pytest.mark.parametrize(
    ("unit", "grid"),
    [("inch", INCH), ("foot", FOOT), ("millimeter", MM), ("centimeter", 10 * MM), ("meter", 1000 * MM)],
)
def test_length_units_agree_with_pint(unit: str, grid: int) -> None:
    # Outside reference: pint's own definitions (exact by the 1959 agreement on yard and pound).
    assert ureg.Quantity(Decimal(1), unit).to("micrometer").magnitude * 8 == grid


@pytest.mark.parametrize(("unit", "word"), [("pound", "lb"), ("ounce", "oz"), ("kilogram", "kg"), ("gram", "g")])
def test_weight_units_agree_with_pint(unit: str, word: str) -> None:
    assert parse_weight(f"1 {word}") == ureg.Quantity(Decimal(1), unit).to("kilogram").magnitude


@pytest.mark.parametrize(
    ("least_in", "least_mm", "most_in", "most_mm"),
    [("0.219", 5.56, "0.281", 7.14), ("0.344", 8.73, "0.406", 10.32), ("0.438", 11.11, "0.500", 12.70),
     ("0.688", 17.46, "0.750", 19.05), ("0.950", 24.13, "1.050", 26.67), ("1.069", 27.15, "1.181", 30.00)],
)  # fmt: skip
def test_panel_thicknesses_in_both_units(least_in: str, least_mm: float, most_in: str, most_mm: float) -> None:
    # US PS 1 thickness table as reproduced by APA (performance category and thickness), read at the source. It rounds
    # both columns by itself (0.688 stands for 11/16), so they agree to 0.0005 in and 0.005 mm together.
    for inch, mm in ((least_in, least_mm), (most_in, most_mm)):
        assert abs(millimetres(parse_length(inch)) - mm) <= 0.0005 * 25.4 + 0.005 + 1e-9


def test_sheet_sizes_in_millimetres() -> None:
    # Arithmetic: a 4 x 8 ft sheet is 1219.2 x 2438.4 mm; 23/32 in is 18.256 mm to three places.
    assert format_length(parse_length("4'"), "metric", mark=True) == "1219.2 mm"
    assert format_length(parse_length("8 ft"), "metric", mark=True) == "2438.4 mm"
    assert round(millimetres(parse_length("23/32")), 3) == 18.256


THIRTY_AND_A_HALF = [
    "30.5", "30 1/2", "30-1/2", '30-1/2"', '30 1/2"', "30½", "30 ½", "30½″", "30 1⁄2”", "30,5", "30.50 in",
    "30 1/2 inches",
    "2' 6 1/2\"", "2'6-1/2\"", "2'-6 1/2\"", "2′ 6½″", "2’ 6 ½”", "2 ft 6 1/2 in", "2 ft. 6.5 in.",
    "2 feet, 6 1/2 inches",
    "2' 6 1/2", "2 feet and 6 1/2 inches", "61/2 in", "30 ¹⁄₂", "30 – 1/2", "30\u00a01/2''", "  30.5  ",
    "774.7 mm", "77.47 cm",
    "77,47 cm", "0.7747 m", "774,7 MM", "３０.５", "30 8/16",
]  # fmt: skip


@pytest.mark.parametrize("text", THIRTY_AND_A_HALF)
def test_lengths_as_people_write_them(text: str) -> None:
    assert parse_length(text) == 61 * INCH // 2


@pytest.mark.parametrize(
    ("text", "length"),
    [("775", 775 * MM), ("77,5 cm", 775 * MM), ("77.5cm", 775 * MM), ("1.2 m", 1200 * MM), ("30 in", 30 * INCH),
     ("0", 0),
     ("1,200.5", 9_604_000), ("1.200,5", 9_604_000), ("0,125", MM // 8), (".5", MM // 2), ("12.", 12 * MM)],
)  # fmt: skip
def test_metric_lengths(text: str, length: int) -> None:
    assert parse_length(text, "metric") == length


def test_a_heading_may_say_the_unit_of_bare_numbers() -> None:
    assert parse_length("77.5", "inch", bare="cm") == 775 * MM
    assert parse_length("30 in", "inch", bare="cm") == 30 * INCH
    assert parse_weight("8", "inch", bare="kg") == 8


def test_what_is_not_on_the_grid_goes_to_the_nearest() -> None:
    assert parse_length("1/3") == 67_733  # 67,733.33
    assert parse_length("2/3") == 135_467  # 135,466.67
    assert parse_length("0.0000625 mm") == 1  # half a step goes up
    assert parse_length("0.0000624 mm") == 0


@pytest.mark.parametrize(
    ("text", "said"),
    [("", "a length such as"), ("thirty", "775 mm"), ("-5", "not negative"), ("− 5 in", "not negative"), ("(5)",
     "not negative"),
     ("1/0", "over zero"), ("30 3/2", "less than one"), ("30.5 1/2", "not both"), ("2' 14\"", "less than 12"),
     ("2.5' 6\"", "whole feet"), ("30 x 40", "a length"), ("1e3", "a length"), ("nan", "a length"), ("inf", "a length"),
     ("30 cm 5 mm", "a length"), ("30 40", "a length"), ("1.2.3", "a length"), ("30 lb", "a length"),
      ("30 furlongs", "a length"),
     ("9" * 30, "1 km"), ("9" * 5000, "a length"), ("²", "a length"), ("=30", "a length"), ("6'-", "a length"),
     ("1.200.000", "a length"), ("+30", "a length"), ("30%", "a length"), ("1 200 mm", "a length")],
)  # fmt: skip
def test_what_cannot_be_read_for_certain_is_refused(text: str, said: str) -> None:
    with pytest.raises(MeasureError, match="found") as caught:
        parse_length(text)
    assert said in caught.value.accepted
    assert caught.value.found == shorten(text)


@pytest.mark.parametrize("text", ["1,200", "1,200 mm", "12,500"])
def test_a_comma_that_may_mean_either_is_asked_about(text: str) -> None:
    with pytest.raises(MeasureError, match="may mean either") as caught:
        parse_length(text, "metric")
    both = text.split(maxsplit=1)[0]
    assert both.replace(",", "") in caught.value.accepted
    assert both.replace(",", ".") in caught.value.accepted


@pytest.mark.parametrize(
    ("text", "kg"),
    [("22 lb", "9.97903214"), ("22lbs", "9.97903214"), ("22 pounds", "9.97903214"), ("22#", "9.97903214"), ("22",
     "9.97903214"),
     ("10 kg", "10"), ("10,5 kg", "10.5"), ("800 g", "0.8"), ("8 oz", "0.226796185"), ("2 lb 8 oz", "1.133980925"),
     ("2 lb, 8 oz", "1.133980925"), ("2 1/2 lb", "1.133980925"), ("1/3 kg", "0.333333333"), ("10/333 kg",
      "0.03003003"), ("2/3 kg", "0.666666667")],
)  # fmt: skip
def test_weights(text: str, kg: str) -> None:
    assert parse_weight(text) == Decimal(kg)


@pytest.mark.parametrize(
    "text", ["heavy", "-2 lb", "1,200 lb", "10 in", "2 lb 20 oz", "2 kg 300 g", "1e3", "nan", "9" * 20, ""]
)
def test_weights_that_are_refused(text: str) -> None:
    with pytest.raises(MeasureError):
        parse_weight(text)


@pytest.mark.parametrize(
    ("value", "units", "denominator", "mark", "text"),
    [(61 * INCH // 2, "inch", 32, True, "30 1/2 in"), (61 * INCH // 2, "inch", 32, False, "30 1/2"),
     (0, "inch", 32, True, "0 in"),
     (INCH // 2, "inch", 32, False, "1/2"), (INCH // 64, "inch", 32, False, "1/32"),
      (INCH // 64 - 1, "inch", 32, False, "0"),
     (INCH // 64, "inch", 64, False, "1/64"), (775 * MM, "inch", 32, False, "30 1/2"),
      (775 * MM, "inch", 16, False, "30 1/2"),
     (775 * MM, "metric", 32, True, "775 mm"), (6_197_600, "metric", 32, False, "774.7"),
      (MM // 20, "metric", 32, False, "0.1"),
     (MM // 20 - 1, "metric", 32, False, "0"), (-3 * INCH // 2, "inch", 32, False, "-1 1/2"),
      (-1, "inch", 32, False, "0"),
     (2 * INCH - 1, "inch", 32, False, "2")],
)  # fmt: skip
def test_formatting(value: int, units: UnitSystem, denominator: int, mark: bool, text: str) -> None:
    assert format_length(value, units, denominator, mark=mark) == text


def test_exact_formatting_never_rounds() -> None:
    assert format_length_exact(INCH // 64) == "1/64"
    assert format_length_exact(775 * MM) == "775 mm"
    assert format_length_exact(1) == "0.000125 mm"
    assert format_length_exact(1, "metric") == "0.000125"
    assert format_length_exact(30 * INCH, "metric", mark=True) == "762 mm"
    assert format_length_exact(-INCH) == "-1"


def test_weights_are_written_to_one_decimal() -> None:
    assert format_weight(Decimal("8.16466266"), mark=True) == "18 lb"
    assert format_weight(Decimal("8.16466266"), "metric", mark=True) == "8.2 kg"
    assert format_weight(10.0) == "22"
    assert format_weight(Decimal("0.25"), "metric") == "0.3"
    assert format_weight(Decimal("-0.01"), "metric") == "0"


def test_floats_for_physics() -> None:
    assert inches(61 * INCH // 2) == 30.5
    assert millimetres(61 * INCH // 2) == 774.7
    assert pounds(Decimal("0.45359237")) == 1.0


def test_other_units_go_through_pint() -> None:
    # Trade rule of 3.0 lb/ft2 for an inch of plywood = 36 lb/ft3 = 577 kg/m3 (calculated from tables read second-hand).
    assert convert(36, "lb/ft**3", "kg/m**3") == pytest.approx(577, abs=0.5)
    # 139 in3/lb = 5021.7 cm3/kg (arithmetic).
    assert convert(139, "in**3/lb", "cm**3/kg") == pytest.approx(5021.7, abs=0.05)
    with pytest.raises(pint.DimensionalityError):
        convert(1, "lb", "in")


def test_pint_is_not_loaded_before_it_is_needed() -> None:
    code = "import sys, nesting.base.measure, nesting.order; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@given(lengths(0, 10_000 * INCH), st.sampled_from(UNITS), st.booleans())
def test_exact_text_reads_back_as_the_same_length(value: int, units: UnitSystem, mark: bool) -> None:
    assert parse_length(format_length_exact(value, units, mark=mark), units) == value


@given(lengths(0, 10_000 * INCH), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_a_fraction_is_the_nearest_one(value: int, denominator: int) -> None:
    back = parse_length(format_length(value, "inch", denominator))
    assert 2 * denominator * abs(back - value) <= INCH
    assert 2 * abs(parse_length(format_length(value, "metric"), "metric") - value) <= MM // 10


@given(
    st.integers(0, 999), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]),
    st.sampled_from(["{w} {n}/{d}", "{w}-{n}/{d}", '{w} {n}/{d}"', "{w} {n}⁄{d} in", "{w}  {n} / {d}″",
    "{f}' {i} {n}/{d}\"",
                     "{f}′-{i} {n}/{d}″", "{f} ft {i} {n}/{d} in", "{dec}", "{dec}”", "{comma} inches", "{mm} mm"]),
)  # fmt: skip
def test_all_spellings_of_a_length_are_one_length(whole: int, over: int, under: int, style: str) -> None:
    over %= under
    exact = whole + Fraction(over, under)
    # With at least four places a decimal comma can't be taken for a separator of thousands.
    decimal = f"{whole}.{over * (10**6 // under):06}"
    text = style.format(
        w=whole, n=over, d=under, f=whole // 12, i=whole % 12, dec=decimal, comma=decimal.replace(".", ","),
        mm=f"{float(exact * Fraction(254, 10)):.9f}",
    )  # fmt: skip
    assert parse_length(text) == exact * INCH


@given(st.decimals(0, 10_000, places=3), st.sampled_from(["in", "ft", "mm", "cm", "m"]))
def test_reading_agrees_with_pint(number: Decimal, unit: str) -> None:
    grid = ureg.Quantity(number, unit).to("micrometer").magnitude * 8
    if grid > LONGEST:
        with pytest.raises(MeasureError):
            parse_length(f"{number} {unit}")
    else:
        assert abs(parse_length(f"{number} {unit}") - grid) <= Decimal("0.5")


@given(odd_texts(), st.sampled_from(UNITS))
def test_no_text_whatever_brings_it_down(text: str, units: UnitSystem) -> None:
    # Only MeasureError is let pass; anything else fails the test.
    with suppress(MeasureError):
        assert 0 <= parse_length(text, units) <= LONGEST
    with suppress(MeasureError):
        assert 0 <= parse_weight(text, units) <= HEAVIEST_KG


@given(st.integers(0, 10**9), st.integers(0, 15))
def test_weights_are_exact(grams: int, ounces: int) -> None:
    assert parse_weight(f"{grams // 1000}.{grams % 1000:03} kg", "metric") * 1000 == grams
    exact = parse_weight(f"{grams % 1000} lb {ounces} oz")
    assert Fraction(exact) == (grams % 1000 + Fraction(ounces, 16)) * Fraction("0.45359237")


def test_several_lengths_share_the_unit_behind_the_last_one_only() -> None:
    assert parse_lengths(["20", "40 mm"]) == (20 * MM, 40 * MM)
    assert parse_lengths(["2", "4cm"], "metric") == (20 * MM, 40 * MM)
    assert parse_lengths(["20 mm", "1"]) == (20 * MM, INCH)
    assert parse_lengths(["1", "2"], "metric", bare="cm") == (10 * MM, 20 * MM)
    assert parse_lengths(["1", "2' 6\""]) == (INCH, 30 * INCH)
    assert parse_lengths([]) == ()
