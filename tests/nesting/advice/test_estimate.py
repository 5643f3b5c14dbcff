from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.estimate import Estimate, EstimateRules, estimate_weight, hollow_words, support_thickness
from nesting.advice.weights import cuboid_kg
from nesting.base.measure import INCH, MM
from nesting.order import SURFACES, Artwork, Back, Surface
from nesting.shop.shop_file import default_shop
from nesting.shop.supports import makeup, support_of

SHOP = default_shop()
RULES = EstimateRules()


def piece(support: str, *, depth: int = 3 * INCH // 4, width: int = 30 * INCH, height: int = 30 * INCH) -> Artwork:
    return Artwork("A-01", width, height, depth, support=support, surface="bare")


def estimated(artwork: Artwork) -> Estimate:
    return estimate_weight(artwork, RULES, makeup(artwork, SHOP))


def made_of(estimate: Estimate) -> list[str]:
    return [name for name, _ in estimate.layers]


@pytest.mark.parametrize(
    ("support", "material", "thickness"),
    [
        ("1/2 in Baltic birch, cradled", "birch plywood", INCH // 2),
        ("MDF 18 mm", "mdf", 18 * MM),
        ('plywood 3/4"', "plywood", 3 * INCH // 4),
        ("canvas on stretcher", "canvas", None),
        ("stretched linen, 1-1/2 in bars", "canvas", 3 * INCH // 2),
        ("solid oak", "hardwood", None),
        ("aluminum composite 3mm", "aluminium composite", 3 * MM),
        ("acrylic sheet 6 mm", "acrylic", 6 * MM),
        ("acrylic on plywood", "plywood", None),
        ("wooden panel", "lumber", None),
        ("cast of many hopes", None, None),
        ("", None, None),
        ("plywood 1/0 in", "plywood", None),
    ],
)
def test_reads_the_support(support: str, material: str | None, thickness: int | None) -> None:
    named = support_of(piece(support), SHOP)
    assert (named.material if named else None) == material
    assert support_thickness(support) == thickness


def test_solid_panel_is_its_volume() -> None:
    """3/4 in MDF at 48 lb/ft3 is exactly 3.0 lb/ft2: 30 x 30 in weighs 18.75 lb."""
    found = estimated(piece("MDF panel"))
    assert found.kg / 0.45359237 == pytest.approx(18.75, rel=1e-9)
    assert not found.guessed
    assert found.low_kg == pytest.approx(0.8 * found.kg)
    assert found.high_kg == pytest.approx(1.2 * found.kg)


def test_resin_adds_its_own_layer() -> None:
    bare = piece("MDF panel 1/2 in", depth=INCH)
    coated = replace(bare, surface="resin", pour_depth=INCH // 8)
    extra = estimated(coated).kg - estimated(bare).kg
    assert extra == pytest.approx(cuboid_kg(1107.0, 30 * INCH, 30 * INCH, INCH // 8))
    assert estimated(replace(bare, surface="resin")).layers[-1][0] == "resin"


def test_deep_panel_is_taken_as_hollow_unless_called_solid() -> None:
    hollow = estimated(piece("birch panel", depth=2 * INCH))
    solid = estimated(piece("solid birch panel", depth=2 * INCH))
    assert made_of(hollow) == ["birch plywood", "bars"]
    assert made_of(solid) == ["birch plywood"]
    assert solid.kg > 2 * hollow.kg


def test_strainer_bars_by_hand() -> None:
    """1/4 in face; bars 1-1/2 x 3/4 in: two of 30, two between them and one crossbar, of 27 in each."""
    strained = replace(piece("plywood", depth=INCH), back=Back("strainer", 3 * INCH // 2, 3 * INCH // 4))
    bars = dict(estimated(strained).layers)["bars"]
    run = (2 * 30 + 3 * 27) * INCH
    assert bars == pytest.approx(cuboid_kg(470.4, run, 3 * INCH // 2, 3 * INCH // 4))


def test_a_cradle_by_hand() -> None:
    """3/8 in face as stated; bars 3/4 x 1-1/2 in: two of 40, two of 28-1/2 and two uprights of 38-1/2 in."""
    back = Back("cradle", 3 * INCH // 4, 3 * INCH // 2, 3 * INCH // 8, 2)
    made = replace(piece("plywood", depth=2 * INCH, height=40 * INCH), back=back)
    layers = dict(estimated(made).layers)
    assert layers["plywood"] == pytest.approx(cuboid_kg(576.66, 30 * INCH, 40 * INCH, 3 * INCH // 8), rel=1e-4)
    run = int((2 * 40 + 2 * 28.5 + 2 * 38.5) * INCH)
    assert layers["bars"] == pytest.approx(cuboid_kg(470.4, run, 3 * INCH // 4, 3 * INCH // 2), rel=1e-3)


def test_a_word_of_a_hollow_build_weighs_as_the_shops_rule_says() -> None:
    rule = replace(SHOP.cleats, hollow_backs=("cradled = cradle 3/4 x 1 1/2, face 3/8, 2 middle bars",))
    shop = replace(SHOP, cleats=rule)
    said = piece("plywood, cradled", depth=2 * INCH)
    stated = replace(said, back=Back("cradle", 3 * INCH // 4, 3 * INCH // 2, 3 * INCH // 8, 2))
    assert estimate_weight(said, RULES, makeup(said, shop)) == estimated(stated)
    assert made_of(estimated(said)) == ["plywood", "bars"]


def test_own_cleats_are_weighed_beside_the_panel() -> None:
    """Panel of the 3/4 in that the cleats leave; two cleats of 30 x 3 x 3/4 in."""
    back = Back("cleated", cleat_thickness=3 * INCH // 4, cleat_width=3 * INCH)
    layers = dict(estimated(replace(piece("MDF", depth=3 * INCH // 2), back=back)).layers)
    assert layers["mdf"] == pytest.approx(18.75 * 0.45359237)
    assert layers["cleats"] == pytest.approx(cuboid_kg(470.4, 60 * INCH, 3 * INCH, 3 * INCH // 4), rel=1e-3)


@pytest.mark.parametrize(
    ("support", "words"),
    [
        ("Hollow-core door", ("hollow core", "hollow")), ("birch, CRADLED", ("cradled",)), ("light box", ("box",)),
        ("boxwood", ()), ("birch, not hollow", ()), ("no cradle", ()), ("non-hollow slab", ()), ("unbraced", ()),
        ("solid birch panel", ()), ("aluminium honeycomb", ("honeycomb",)), ("braced_panel", ("braced",)),
    ],
)  # fmt: skip
def test_words_of_a_hollow_build_are_whole_words(support: str, words: tuple[str, ...]) -> None:
    assert hollow_words(support) == words


def test_stretched_canvas_is_light() -> None:
    """Primed canvas 350 to 600 g/m2 and stretchers 0.3 to 0.6 lb/ft (trade, from memory): a plausible range only."""
    found = estimated(piece("canvas", depth=3 * INCH // 2))
    assert made_of(found) == ["canvas", "stretcher"]
    assert 1.0 < found.kg < 4.0


def test_glazing_is_counted() -> None:
    glazed = replace(piece("MDF", depth=INCH), surface="glazed")
    assert made_of(estimated(glazed))[-1] == "acrylic"
    assert made_of(estimated(replace(glazed, support="MDF under glass")))[-1] == "glass"


def test_unknown_support_is_told() -> None:
    found = estimated(piece(""))
    assert found.guessed
    assert found.note("inch").endswith("; support not known, weigh the piece")
    assert found.high_kg == pytest.approx(1.4 * found.kg)


@given(
    st.sampled_from(["birch panel cradled", "MDF", "canvas", "", "solid pine slab", "plywood 1/2 in", "glass"]),
    st.sampled_from(SURFACES),
    st.integers(INCH, 200 * INCH), st.integers(INCH, 200 * INCH), st.integers(1, 12 * INCH), st.integers(0, 6 * INCH),
)  # fmt: skip
def test_any_piece_weighs_the_sum_of_its_layers(
    support: str, surface: Surface, width: int, height: int, depth: int, pour: int
) -> None:
    base = Artwork("A-01", width, height, depth, support=support, pour_depth=pour)
    artwork = replace(base, surface=surface)
    found = estimated(artwork)
    assert found.kg == pytest.approx(sum(kg for _, kg in found.layers))
    assert all(kg >= 0 for _, kg in found.layers)
    assert 0 < found.low_kg < found.kg < found.high_kg
    heaviest = cuboid_kg(2700.0, width, height, depth) + 0.000475 * width * height / MM**2 / 1000
    assert found.kg <= heaviest * (1 + 1e-9)
    larger = estimated(replace(artwork, width=width + INCH))
    assert larger.kg > found.kg
