"""Room in a trailer: worked examples of brokers' and logistics pages, the source named beside each; wrong ones too."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH, LB_KG
from pricing.studio.capacity import SCALE_PICTURES, Capacity, fits_platform, linear_feet, ratings
from pricing.studio.freight_rules import Piece, counted_ft3

CUBIC = Capacity(cubic_ft3=Decimal(750))
LINEAR = Capacity(linear_ft=Decimal(15))


def piece(length: str, width: str, height: str, pounds: str, counts_high: int = 0) -> Piece:
    """Make a piece of so many inches and pounds."""
    along, across, up = (int(Decimal(side) * INCH) for side in (length, width, height))
    return Piece(along, across, up, Decimal(pounds) * LB_KG, "", counts_high * INCH)


@pytest.mark.parametrize(
    ("pounds", "density", "pictures", "general"),
    [("70", "3.5", "300", "250"), ("140", "7", "175", "125"), ("250", "12.5", "92.5", "85")],
)
def test_pictures_have_classes_of_their_own(pounds: str, density: str, pictures: str, general: str) -> None:
    """Item 56165 (National Motor Freight Classification, quoted): a crate of 60 x 12 x 48 in is 20 ft3."""
    crate = [piece("60", "12", "48", pounds)]
    (item,), (plain,) = ratings(crate, SCALE_PICTURES), ratings(crate)
    assert (item.density, item.level) == (Decimal(density), pictures)
    assert (plain.density, plain.level) == (Decimal(density), general)


@pytest.mark.parametrize(("density", "level"), [("3.99", "300"), ("4", "175"), ("7.99", "175"), ("8", "92.5")])
def test_the_lower_bound_of_a_picture_class_belongs_to_it(density: str, level: str) -> None:
    """'Under 4 lb/ft3', '4 to under 8', '8 and more' (the same item)."""
    (rated,) = ratings([piece("12", "12", "12", density)], SCALE_PICTURES)
    assert rated.level == level


def test_what_nothing_goes_on_top_of_counts_to_84_in() -> None:
    """A broker's page on cubic capacity: 60 x 12 x 48 in, 140 lb is 20 ft3 and 7.0; to 84 in 35 ft3 and 4.0 lb/ft3."""
    assert counted_ft3(piece("60", "12", "48", "140")) == 20
    assert counted_ft3(piece("60", "12", "48", "140", 84)) == 35
    (rated,) = ratings([piece("60", "12", "48", "140", 84)])
    assert (rated.density, rated.level, rated.pounds) == (Decimal(4), "175", Decimal(140))
    assert counted_ft3(piece("60", "12", "90", "140", 84)) == Fraction(60 * 12 * 90, 1728), "higher than that: its own"


@pytest.mark.parametrize(
    ("volume", "density", "rules", "billed"),
    [
        ("750", "5.99", CUBIC, None),
        ("750.1", "5.99", CUBIC, 4501),  # 750.1 x 6 = 4500.6, up to the next pound
        ("750.1", "6", CUBIC, None),
        ("830.1", "3.9", Capacity(cubic_ft3=Decimal(830), cubic_lb_ft3=Decimal(4)), 3321),
        ("830.1", "4.1", Capacity(cubic_ft3=Decimal(830), cubic_lb_ft3=Decimal(4)), None),
    ],
)
def test_cubic_capacity_asks_for_both(volume: str, density: str, rules: Capacity, billed: int | None) -> None:
    """Two brokers' pages that list many carriers: more than 750 ft3 and less than 6 lb/ft3 (others 830 and 4)."""
    height = Decimal(volume) * 1728 / (100 * 100)  # in of a block of 100 x 100 in
    pounds = Decimal(volume) * Decimal(density)
    found = ratings([piece("100", "100", f"{height}", f"{pounds}")], rules=rules)
    assert [rated.pounds for rated in found[1:]] == ([] if billed is None else [billed])
    if billed is not None:
        assert (found[1].level, found[1].density) == ("125" if rules is CUBIC else "175", rules.cubic_lb_ft3)
        assert "cubic capacity" in found[1].why


def test_a_published_example_of_cubic_capacity_is_wrong() -> None:
    """A page prints 6 pallets of 48 x 48 x 55 in as 768 ft3: they are 440, too few; 11 would do."""
    six = [piece("48", "48", "55", "433.33")] * 6
    assert sum(counted_ft3(each) for each in six) == 440
    assert float(ratings(six, rules=CUBIC)[0].density) == pytest.approx(5.909, abs=0.0005)
    assert len(ratings(six, rules=CUBIC)) == 1
    assert len(ratings(six[:1] * 10, rules=CUBIC)) == 1
    assert len(ratings(six[:1] * 11, rules=CUBIC)) == 2


@pytest.mark.parametrize(
    ("count", "straight", "turned"),
    [(2, 4, Fraction(40, 12)), (6, 12, 10), (7, 16, Fraction(160, 12)), (1, 4, Fraction(40, 12))],
)
def test_linear_feet_of_pallets_two_across(count: int, straight: int, turned: Fraction) -> None:
    """Geometry: pairs of 48 x 40 in pallets take 48 or 40 in; an odd one takes a row of its own."""
    pallets = [piece("48", "40", "60", "300")] * count
    assert linear_feet(pallets) == straight
    assert linear_feet(pallets, turned=True) == turned


def test_what_is_too_wide_for_two_across_goes_single_file() -> None:
    """A broker's page: 5 pallets of 49 in are 'a little more than 20 ft', 5 x 49 / 12 = 20.42."""
    assert linear_feet([piece("49", "49", "60", "300")] * 5) == Fraction(5 * 49, 12)


def test_thin_crates_stand_many_abreast() -> None:
    """98 in less what must stay free takes twelve of 8 in, not thirteen; a shorter one goes beside a longer."""
    assert linear_feet([piece("60", "8", "60", "100")] * 12) == 5
    assert linear_feet([piece("60", "8", "60", "100")] * 13) == 10
    assert linear_feet([piece("96", "40", "60", "9"), piece("24", "20", "60", "9")]) == 8


@pytest.mark.parametrize(
    ("feet", "density", "billed"), [("16", "10", 20_000), ("15", "10", None), ("16", "22.5", None)]
)
def test_linear_feet_bill_pounds_for_each_foot(feet: str, density: str, billed: int | None) -> None:
    """A logistics page quotes a carrier: over 15 ft and under 22.5 lb/ft3 are 1,250 lb a foot, 16 ft 20,000 lb."""
    length = Decimal(feet) * 12
    volume = length * 90 * 90 / 1728
    found = ratings([piece(f"{length}", "90", "90", f"{volume * Decimal(density)}")], rules=LINEAR)
    assert [rated.pounds for rated in found[1:]] == ([] if billed is None else [billed])
    if billed is not None:  # 20,000 lb in 900 ft3 are 22.22 lb/ft3, class 70: not the class 92.5 of 10 lb/ft3
        assert (found[0].level, found[1].level) == ("92.5", "70")
        assert float(found[1].density) == pytest.approx(22.22, abs=0.005)


@given(
    sides=st.lists(st.tuples(st.integers(1, 120), st.integers(1, 97), st.integers(1, 84)), min_size=1, max_size=8),
    turned=st.booleans(),
)
def test_linear_feet_are_never_less_than_the_floor_nor_more_than_single_file(
    sides: list[tuple[int, int, int]], *, turned: bool
) -> None:
    pieces = [piece(str(a), str(b), str(c), "1") for a, b, c in sides]
    feet = linear_feet(pieces, turned=turned)
    assert feet >= Fraction(sum(a * b for a, b, _ in sides), 98 * 12)
    assert feet <= Fraction(sum(max(a, b) for a, b, _ in sides), 12)


@given(
    pounds=st.integers(1, 20_000),
    height=st.integers(1, 120),
    count=st.integers(1, 12),
    scale=st.sampled_from([SCALE_PICTURES, None]),
)
def test_no_rule_bills_less_or_another_class_than_its_density(
    pounds: int, height: int, count: int, scale: tuple[tuple[str, str], ...] | None
) -> None:
    rules = Capacity(cubic_ft3=Decimal(750), linear_ft=Decimal(12))
    pieces = [piece("48", "40", str(height), str(pounds), 84)] * count
    found = ratings(pieces, scale, rules) if scale else ratings(pieces, rules=rules)
    volume = sum(counted_ft3(each) for each in pieces)
    for rated in found:
        assert rated.pounds >= found[0].pounds
        assert 0 < Fraction(rated.density) <= Fraction(rated.pounds) / volume + Fraction(1, 10**20)
        assert float(rated.level) <= float(found[0].level)


@pytest.mark.parametrize(
    ("length", "width", "fits_trailer", "fits_truck"),
    [("48", "40", True, False), ("60", "30", True, True), ("56", "79", False, False), ("55", "80", True, False)],
)
def test_a_piece_stands_on_a_platform_either_way_round(
    length: str, width: str, fits_trailer: bool, fits_truck: bool
) -> None:
    """Four trade pages: tractor trailer 80 x 55 in at the least, box truck 60 x 30."""
    crate = piece(length, width, "60", "300")
    assert fits_platform(crate, 80 * INCH, 55 * INCH) == fits_trailer
    assert fits_platform(crate, 60 * INCH, 30 * INCH) == fits_truck
    assert fits_platform(crate, 0, 0), "nothing is known of the platform"
