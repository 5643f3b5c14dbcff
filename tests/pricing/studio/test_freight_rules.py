"""Worked examples of carriers' and reference pages, the source named beside each; wrong ones stay wrong."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH, MM, convert
from pricing.studio import freight_rules as f
from pricing.studio.freight_rules import Caps, Piece, Rounding

LB = Decimal("0.45359237")
LIGHT = Decimal("0.1")


def box(length: str, width: str, height: str, kg: Decimal = LIGHT, name: str = "") -> Piece:
    """Make a piece from decimal inches."""
    along, across, up = (int(Decimal(side) * INCH) for side in (length, width, height))
    return Piece(along, across, up, kg, name)


@pytest.mark.parametrize(
    ("metric", "inch", "published"),
    [("139", "cm**3/kg", 5021.7), ("166", "cm**3/kg", 5997.1), ("194", "cm**3/kg", 7008.7)],
)
def test_divisors_in_both_systems(metric: str, inch: str, published: float) -> None:
    """Computed: in3/lb in cm3/kg; by pint."""
    assert convert(float(metric), "inch**3/lb", inch) == pytest.approx(published, abs=0.05)


def test_air_divisor_in_inches() -> None:
    """An air cargo page divides cubic inches by 366 for kilograms: 6000 cm3/kg is 366.1 in3/kg, 166.08 in3/lb."""
    assert convert(6000, "cm**3/kg", "inch**3/kg") == pytest.approx(366.1, abs=0.05)
    assert convert(6000, "cm**3/kg", "inch**3/lb") == pytest.approx(166.08, abs=0.005)
    assert convert(5000, "cm**3/kg", "inch**3/lb") == pytest.approx(138.40, abs=0.005)


def test_each_side_rounds_up() -> None:
    """A parcel reference page, since 18 August 2025: 11.1 x 8.5 x 6.2 in counts as 12 x 9 x 7; 756 / 139 bills 6 lb."""
    piece = box("11.1", "8.5", "6.2")
    assert [f.rounded(side, INCH) for side in piece.sides] == [12, 9, 7]
    assert float(f.dimensional_lb(piece)) == pytest.approx(5.439, abs=0.0005)
    assert f.billed_lb(piece) == 6
    assert float(f.dimensional_lb(piece, rounding="none")) == pytest.approx(4.208, abs=0.0005)
    assert f.billed_lb(piece, rounding="none") == 5


def test_older_rule() -> None:
    """A postal manual, superseded: nearest inch, divisor 194; 12 x 12 x 14 in is 10.39, billed 11 lb."""
    piece = box("12.4", "11.5", "14.49")
    assert [f.rounded(side, INCH, "nearest") for side in piece.sides] == [14, 12, 12]
    assert float(f.dimensional_lb(piece, Decimal(194), "nearest")) == pytest.approx(10.39, abs=0.005)
    assert f.billed_lb(piece, Decimal(194), "nearest") == 11


def test_a_foot_each_way_at_166() -> None:
    """An air cargo page: 12 x 12 x 12 / 166 is 10.41 lb (exactly 10.4096)."""
    assert float(f.dimensional_lb(box("12", "12", "12"), f.POSTAL_DIVISOR)) == pytest.approx(10.4096, abs=0.00005)


def test_eight_by_eight_by_six_is_not_288() -> None:
    """A page prints "8 x 8 x 6 = 288"; the product is 384 (288 is 8 x 6 x 6)."""
    assert f.dimensional_lb(box("8", "8", "6"), Decimal(1)) == 384


def test_post_counts_volume_only_beyond_a_cubic_foot() -> None:
    """The post's divisor is for parcels over one cubic foot (quoted)."""
    assert f.billed_lb(box("12", "12", "12"), f.POSTAL_DIVISOR, over_in3=f.CUBIC_FOOT_IN3) == 1
    assert f.billed_lb(box("13", "12", "12"), f.POSTAL_DIVISOR, over_in3=f.CUBIC_FOOT_IN3) == 12


def test_the_greater_weight_is_billed() -> None:
    assert f.billed_lb(box("12", "9", "7", 20 * LB)) == 20
    assert f.billed_lb(box("12", "9", "7", 20 * LB + Decimal("0.0001"))) == 21
    assert f.billed_lb(box("12", "9", "7", 2 * LB)) == 6


def test_air_chargeable_weight() -> None:
    """IATA practice, from memory: 100 x 100 x 20 cm over 6000 is 33.33, charged 33.5 kg."""
    flat = Piece(1000 * MM, 1000 * MM, 200 * MM, Decimal(20))
    assert float(f.dimensional_kg(flat)) == pytest.approx(33.333, abs=0.0005)
    assert f.air_chargeable_kg([flat]) == Decimal("33.5")
    assert f.air_chargeable_kg([flat, flat]) == 67
    heavy = Piece(100 * MM, 100 * MM, 100 * MM, Decimal("50.01"))
    assert f.air_chargeable_kg([heavy]) == Decimal("50.5")
    assert f.air_chargeable_kg([flat, heavy]) == Decimal("70.5")
    assert f.air_chargeable_kg([flat], f.COURIER_DIVISOR) == 40


def test_density_class_of_a_worked_example() -> None:
    """A freight reference page: 40 x 48 x 48 in, 425 lb: 53.33 ft3, 7.97 lb/ft3 (exactly 7.96875), class 125."""
    pallet = box("48", "40", "48", 425 * LB)
    assert f.density_lb_ft3([pallet]) == Decimal("7.96875")
    assert f.freight_class([pallet]) == "125"
    assert f.freight_class([pallet], f.SCALE_LEGACY) == "125"


@pytest.mark.parametrize(
    ("least", "level", "below"),
    [
        ("1", "300", "400"), ("2", "250", "300"), ("4", "175", "250"), ("6", "125", "175"), ("8", "100", "125"),
        ("10", "92.5", "100"), ("12", "85", "92.5"), ("15", "70", "85"), ("22.5", "65", "70"), ("30", "60", "65"),
        ("35", "55", "60"), ("50", "50", "55"),
    ],
)  # fmt: skip
def test_scale_of_2025(least: str, level: str, below: str) -> None:
    """NMFC Docket 2025-1, one chart quoted in full, two lists that agree: the lower bound belongs to the level."""
    assert f.class_of_density(Decimal(least)) == level
    assert f.class_of_density(Decimal(least) - Decimal("1e-20")) == below


def test_ten_and_a_half_belongs_to_the_old_scale() -> None:
    """A blog mixes both scales (8 to 10.5 is 100): in 2025 it is 92.5 from 10 on; 10.5 is the old bound."""
    assert f.class_of_density(Decimal("10.2")) == "92.5"
    assert f.class_of_density(Decimal("10.2"), f.SCALE_LEGACY) == "100"
    assert f.class_of_density(Decimal("10.5"), f.SCALE_LEGACY) == "92.5"


@pytest.mark.parametrize(
    ("density", "old", "new"),
    [
        ("8.5", "110", "100"),
        ("6.5", "150", "125"),
        ("4.5", "200", "175"),
        ("9.5", "100", "100"),
        ("5.5", "175", "175"),
        ("0.5", "500", "400"),
    ],
)
def test_old_and_new_scale(density: str, old: str, new: str) -> None:
    """A carrier's page quoting the old 18-class guideline, against the scale of 2025."""
    assert f.class_of_density(Decimal(density), f.SCALE_LEGACY) == old
    assert f.class_of_density(Decimal(density)) == new


def test_thirteen_and_eighteen_levels() -> None:
    assert len(f.SCALE_2025) == 13
    assert len(f.SCALE_LEGACY) == 18


def test_length_plus_girth() -> None:
    """Two parcel pages: 48 x 30 x 6 in is 120 in, whichever side is written first."""
    assert f.length_plus_girth(box("48", "30", "6")) == 120 * INCH
    assert f.length_plus_girth(box("6", "48", "30")) == 120 * INCH
    assert f.length_plus_girth(box("48.1", "30", "6")) == 121 * INCH
    assert f.length_plus_girth(box("48.1", "30", "6"), "none") == 120 * INCH + INCH // 10


def test_parcel_caps() -> None:
    """108 and 165 in from a carrier's help page; 150 lb from memory."""
    caps = f.PARCEL_CAPS
    assert f.piece_refusals(box("108", "20", "8", 150 * LB), caps) == ()
    assert f.piece_refusals(box("48", "48", "10", 50 * LB), caps) == ()
    long, big, heavy = (
        f.piece_refusals(piece, caps)
        for piece in (
            box("109", "10", "4", name="K1"),
            box("60", "48", "5", name="K2"),
            box("20", "20", "20", 150 * LB + Decimal("0.001"), name="K3"),
        )
    )
    assert long == ("K1 is too long: 109 in, at the most 108 in",)
    assert big == ("K2 is too big: length plus girth 166 in, at the most 165 in",)
    assert heavy == ("K3 is too heavy: 150.1 lb, at the most 150 lb",)
    assert len(f.piece_refusals(box("120", "120", "40", 900 * LB), caps)) == 3
    large = box("109", "60", "5", 150 * LB + Decimal("0.001"), name="K1")
    assert f.piece_refusals(large, caps, "metric") == (
        "K1 is too long: 2768.6 mm, at the most 2743.2 mm",
        "K1 is too big: length plus girth 6070.6 mm, at the most 4191 mm",
        "K1 is too heavy: 68.1 kg, at the most 68.0 kg",
    )


def test_height_and_load() -> None:
    caps = Caps(highest=63 * INCH, load_lb=Decimal(100))
    tall = box("30", "10", "64", 60 * LB, "K1")
    lying = box("64", "10", "30", 60 * LB, "K2")
    assert f.piece_refusals(lying, caps) == ()
    assert f.shipment_refusals([lying], caps) == ()
    assert f.shipment_refusals([tall, lying], caps) == (
        "K1 is too high: 64 in, at the most 63 in",
        "the load is too heavy: 120.0 lb, at the most 100 lb",
    )


def test_no_limits_refuse_nothing() -> None:
    assert f.shipment_refusals([box("999", "999", "999", 9999 * LB)], Caps()) == ()


def test_bad_values_are_refused() -> None:
    with pytest.raises(ValueError, match="more than zero each way"):
        box("0", "1", "1")
    with pytest.raises(ValueError, match="found a weight"):
        box("1", "1", "1", Decimal(0))
    with pytest.raises(ValueError, match="found a weight"):
        box("1", "1", "1", Decimal("NaN"))
    with pytest.raises(ValueError, match="divisor"):
        f.billed_lb(box("1", "1", "1"), Decimal(0))
    with pytest.raises(ValueError, match="no density"):
        f.density_lb_ft3([])
    with pytest.raises(ValueError, match="density of 0"):
        f.class_of_density(Decimal(0))
    with pytest.raises(ValueError, match="negative"):
        Caps(longest=-1)


_SIDE = st.integers(1, 200 * INCH)
_PIECES = st.builds(
    Piece, _SIDE, _SIDE, _SIDE, st.decimals("0.1", "2000", places=1, allow_nan=False, allow_infinity=False)
)


@given(_PIECES, st.integers(0, 10 * INCH), st.sampled_from(["up", "nearest", "none"]))
def test_a_larger_piece_never_bills_less(piece: Piece, more: int, rounding: Rounding) -> None:
    larger = Piece(piece.length + more, piece.width, piece.height, piece.gross_kg)
    assert f.billed_lb(larger, rounding=rounding) >= f.billed_lb(piece, rounding=rounding)
    assert f.billed_lb(piece) >= f.billed_lb(piece, rounding="none")
    assert f.billed_lb(piece) >= f.as_decimal(piece.pounds)
    assert f.length_plus_girth(larger) >= f.length_plus_girth(piece)


@given(st.lists(_PIECES, min_size=1, max_size=5))
def test_a_shipment_flies_for_no_less_than_its_weight_and_no_more_than_its_pieces(pieces: Sequence[Piece]) -> None:
    charged = f.air_chargeable_kg(pieces)
    assert charged >= sum(piece.gross_kg for piece in pieces)
    assert charged <= sum(f.air_chargeable_kg([piece]) for piece in pieces)
    assert charged % Decimal("0.5") == 0


@given(st.decimals("0.01", "200", places=3), st.decimals("0", "50", places=3))
def test_denser_freight_never_has_a_higher_class(density: Decimal, more: Decimal) -> None:
    for scale in (f.SCALE_2025, f.SCALE_LEGACY):
        light, dense = (Fraction(f.class_of_density(d, scale)) for d in (density, density + more))
        assert dense <= light
