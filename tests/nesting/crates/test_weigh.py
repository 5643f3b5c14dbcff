"""Weighing: volumes times densities, hardware, moments, uncertainty."""

from decimal import Decimal
from math import sqrt

import pytest

from nesting.base.measure import INCH, convert, format_weight
from nesting.crates.model import Box, Placed
from nesting.crates.weigh import PieceWeight, part_kg, piece_weight, weigh
from nesting.cutting.parts import Part, Piecework, RollPart, StickPart
from nesting.order import Artwork
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
FOOT = 12 * INCH
SHEET = Part("K1.back", 8 * FOOT, 4 * FOOT, "ply-23/32")


@pytest.mark.parametrize(
    ("good", "pounds"),
    # Trade pages quoting a magazine and APA, READ-2: 7/16 strand board 46 lb; 23/32 by the 3.0 lb/ft2 rule 69.0 lb.
    [("osb-7/16", 46.0), ("ply-23/32", 69.0)],
)
def test_weight_of_a_sheet_against_published_values(good: str, pounds: float) -> None:
    kg = part_kg(Part("a", 8 * FOOT, 4 * FOOT, good), SHOP)
    assert convert(kg, "kg", "lb") == pytest.approx(pounds, rel=0.03)


def test_lumber_weighs_by_its_dressed_section() -> None:
    # 2x4: 1-1/2 x 3-1/2 in dressed (PS 20-05, READ-1), 0.656 of the nominal volume; 470 kg/m3.
    dressed = part_kg(StickPart("a", 8 * FOOT, "2x4"), SHOP)
    assert dressed == pytest.approx(1.5 * 3.5 * 96 * 0.0254**3 * 470.0, rel=1e-9)


def test_film_weighs_as_the_trade_says() -> None:
    # 6-mil film at SG 0.92: a 20 x 100 ft roll is 57.4 lb (CALC).
    roll = RollPart("a", 100 * FOOT, 20 * FOOT, "poly-6mil")
    assert convert(part_kg(roll, SHOP), "kg", "lb") == pytest.approx(57.4, abs=0.05)


def test_gross_and_centre_are_moments() -> None:
    t = SHOP.good("ply-23/32").thickness
    kg = part_kg(SHEET, SHOP)
    made = weigh(
        parts=[SHEET],
        placed=[Placed("K1.back", 0, Box(0, 0, 0, 4 * FOOT, 8 * FOOT, t), "back")],
        pieces=[(PieceWeight(kg), Box(0, 0, t, 2 * FOOT, 2 * FOOT, 3 * t))],
        outside=Box(0, 0, 0, 4 * FOOT, 8 * FOOT, 4 * t),
        shop=SHOP,
    )
    assert made.net_kg == made.tare_kg == pytest.approx(kg)
    assert made.centre == (3 * FOOT // 2, 5 * FOOT // 2, 3 * t // 2)


def test_uncertainty_adds_within_a_good_and_combines_between() -> None:
    t = SHOP.good("ply-23/32").thickness
    kg = part_kg(SHEET, SHOP)
    made = weigh(
        parts=[Part("K1.back", 8 * FOOT, 4 * FOOT, "ply-23/32", 2)],
        placed=[Placed("K1.back", n, Box(0, 0, n * t, 4 * FOOT, 8 * FOOT, t), "back") for n in (0, 1)],
        piecework=[Piecework("handle", 10)],
        pieces=[(PieceWeight(5.0, 2.0), Box(0, 0, 2 * t, FOOT, FOOT, t))],
        outside=Box(0, 0, 0, 4 * FOOT, 8 * FOOT, 3 * t),
        shop=SHOP,
    )
    spread = SHOP.good("ply-23/32").weight_spread
    assert spread == 0.2  # panel density differs by up to 20 % between makers, READ-2
    handles = 10 * SHOP.good("handle").each_g / 1000 * SHOP.good("handle").weight_spread
    assert made.spread_kg == pytest.approx(sqrt((2 * kg * spread) ** 2 + handles**2 + 4.0))


def test_a_copy_that_is_not_placed_is_refused() -> None:
    with pytest.raises(ValueError, match="0 placed copies of 1 parts"):
        weigh(parts=[SHEET], outside=Box(0, 0, 0, FOOT, FOOT, FOOT), shop=SHOP)


def test_a_bevelled_part_weighs_what_its_profile_holds() -> None:
    t = SHOP.good("ply-23/32").thickness
    strip = Part("K1.cleat", FOOT, 3 * INCH, "ply-23/32")
    box = Box(0, 0, 0, FOOT, 3 * INCH, t)
    square = Placed("K1.cleat", 0, box, "french cleat", ((0, 0), (3 * INCH, 0), (3 * INCH, t), (0, t)))
    bevel = Placed("K1.cleat", 0, box, "french cleat", ((0, 0), (3 * INCH, 0), (3 * INCH - t, t), (0, t)))
    full, cut = (weigh(parts=[strip], placed=[p], outside=box, shop=SHOP).tare_kg for p in (square, bevel))
    assert full == pytest.approx(part_kg(strip, SHOP))
    assert cut / full == pytest.approx(1 - t / 2 / (3 * INCH))


def test_a_given_weight_is_taken_and_a_missing_one_estimated() -> None:
    given = Artwork("A", FOOT, FOOT, INCH, weight_kg=Decimal("2.5"))
    assert piece_weight(given, SHOP) == PieceWeight(2.5)
    guess = piece_weight(Artwork("A", FOOT, FOOT, INCH, support="birch panel"), SHOP)
    assert guess.spread_kg == pytest.approx(0.2 * guess.kg)
    assert piece_weight(given, SHOP).notes("inch") == ()
    pounds, kilograms = (guess.notes(units)[0] for units in ("inch", "metric"))
    assert pounds.startswith(f"weight {format_weight(guess.kg, mark=True)} estimated, within 20 %: birch plywood ")
    assert kilograms.startswith(f"weight {format_weight(guess.kg, 'metric', mark=True)} estimated")
    assert "kg" not in pounds
    assert "lb" not in kilograms


def test_metric_and_inch_agree_through_pint() -> None:
    # 3.0 lb/ft2 per inch of thickness is 577 kg/m3: 36 lb/ft3 through pint.
    assert convert(36.0, "lb/ft**3", "kg/m**3") == pytest.approx(SHOP.good("ply-23/32").density, rel=1e-3)
