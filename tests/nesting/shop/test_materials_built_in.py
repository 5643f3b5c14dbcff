"""The built-in table, pinned: every figure with its source, held against published values named beside each check."""

import pytest

from nesting.advice.weights import cuboid_kg, sheet_kg_m2
from nesting.base.measure import INCH, MM
from nesting.shop.materials import Figure, Material, properties
from nesting.shop.materials_built_in import BUILT_IN, built_in
from nesting.shop.shop_file import default_goods
from tests.nesting.advice.units import convert

LB = 0.45359237
FIGURES = [facts.name for facts in properties() if not facts.words]


def material(name: str) -> Material:
    found = built_in(name)
    assert found is not None, name
    return found


def figure(name: str, of: str) -> Figure:
    found = getattr(material(name), of)
    assert isinstance(found, Figure), (name, of)
    return found


def density(name: str) -> float:
    return figure(name, "density").value


def test_every_figure_has_a_source() -> None:
    found = [(m.material, name, f) for m in BUILT_IN for name in FIGURES if (f := getattr(m, name)) is not None]
    assert len(found) == 49
    assert [told for *told, each in found if not each.source.strip()] == []


def test_each_name_once_and_every_good_of_one_of_them() -> None:
    names = [each.material for each in BUILT_IN]
    assert len(set(names)) == len(names)
    assert {good.material for good in default_goods()} <= set(names)


@pytest.mark.parametrize(
    ("name", "value", "source"),
    [
        ("plywood", 576.665, "3.0 lb/ft2 per inch"),  # standards.md 1c: 36 lb/ft3, CALC on READ-2
        ("osb", 634.331, "3.3 lb/ft2 per inch"),  # standards.md 1c: 39.6 lb/ft3, CALC on READ-2
        ("birch plywood", 670.0, "640 to 700 kg/m3"),  # standards.md 9: trade, from memory
        ("mdf", 768.886, "ANSI A208.2"),  # standards.md 9: design 48 lb/ft3 (769)
        ("hardboard", 960.0, "trade value"),  # from memory, no other text
        ("lumber", 470.4, "SG 0.42 at 12 %"),  # standards.md 1e: 1000 SG (1 + MC / 100)
        ("hardwood", 705.6, "Wood Handbook Table 5-3"),  # standards.md 1e: N. red oak 0.63
        ("acrylic", 1185.366, "two trade pages"),  # standards.md 9: 74 lb/ft3
        ("glass", 2500.0, "EN 572"),  # standards.md 9: 2.5 kg/m2 per mm, from memory
        ("resin", 1107.0, "9.23 lb/gal"),  # standards.md 9: 1.106 to 1.108 g/cm3
        ("aluminium", 2700.0, "handbook value"),  # from memory
        ("aluminium composite", 1500.0, "4.5 kg/m2"),  # from memory
    ],
)
def test_densities(name: str, value: float, source: str) -> None:
    assert density(name) == pytest.approx(value, abs=0.001)
    assert source in figure(name, "density").source


def test_no_other_material_states_a_density() -> None:
    """What nobody weighed is stated nowhere: goods of foam, paper and film state their own."""
    assert sum(each.density is not None for each in BUILT_IN) == 12


@pytest.mark.parametrize(
    ("name", "gravity", "group"),
    [
        ("plywood", 0.42, 4),  # standards.md 1c: NDS Table 12.3.3B, other grades, from memory
        ("structural plywood", 0.50, 2),  # standards.md 1c: Structural I
        ("osb", 0.50, 2),  # standards.md 1c
        ("lumber", 0.42, 4),  # as spruce-pine-fir, the weaker of the common ones
        ("douglas fir", 0.50, 2),  # standards.md 1e: NDS Table 12.3.3A; Table 6.2 puts it in group II
        ("southern pine", 0.55, 2),  # standards.md 1e; group II
        ("hem-fir", 0.43, 3),  # standards.md 1e; hemlock in group III
        ("spruce-pine-fir", 0.42, 4),  # standards.md 1e; spruce in group IV
        ("spruce-pine-fir south", 0.36, 4),  # standards.md 1e
        ("red oak", 0.67, 1),  # NDS, from memory
    ],
)
def test_what_a_screw_holds(name: str, gravity: float, group: int) -> None:
    assert (figure(name, "gravity").value, figure(name, "group").value) == (gravity, group)
    assert "NDS Tables 12.3.3A and B" in figure(name, "gravity").source
    assert "Table 6.2" in figure(name, "group").source


def test_no_screw_holds_in_metal_and_acrylic_and_of_the_rest_nothing_is_said() -> None:
    none = {each.material for each in BUILT_IN if each.gravity is not None and each.gravity.value == 0}
    assert none == {"aluminium", "aluminium composite", "acrylic"}
    assert sum(each.gravity is not None for each in BUILT_IN) == 13


@pytest.mark.parametrize(
    ("name", "bends"),
    [("plywood", (815.0, 165.0, 1_180_000.0, 62_000.0)), ("osb", (980.0, 300.0, 930_000.0, 190_000.0))],
)
def test_bending(name: str, bends: tuple[float, ...]) -> None:
    keys = ("bending_along_psi", "bending_across_psi", "stiffness_along_psi", "stiffness_across_psi")
    figures = [figure(name, key) for key in keys]
    assert tuple(each.value for each in figures) == bends
    assert {each.source for each in figures} == {
        "APA, Panel Design Specification, capacities per foot of width (from memory, rounded down)"
    }
    assert sum(each.bending_along_psi is not None for each in BUILT_IN) == 2


_CAPACITY = {
    "plywood": ((3, 8, 250, 54), (15, 32, 370, 92), (19, 32, 625, 150), (23, 32, 845, 225)),
    "osb": ((3, 8, 300, 97), (7, 16, 385, 115), (15, 32, 445, 165), (23, 32, 1015, 405)),
}


@pytest.mark.parametrize("name", ["plywood", "osb"])
def test_stress_is_no_higher_than_the_capacities_per_foot(name: str) -> None:
    """APA Panel Design Specification, bending capacity in lbf in per foot of width, from memory: a range only.

    Plywood along at 3/8 (24/0), 15/32 (32/16) and 23/32 (48/24), 3-ply: structure.md, section 1.
    """
    along_psi, across_psi = (figure(name, key).value for key in ("bending_along_psi", "bending_across_psi"))
    for over, under, along, across in _CAPACITY[name]:
        modulus = 12 * (over / under) ** 2 / 6
        assert 0.75 * along / modulus <= along_psi <= 1.02 * along / modulus
        assert 0.7 * across / modulus <= across_psi <= 1.02 * across / modulus


def test_stiffness_is_within_the_span_rated_panels() -> None:
    """APA Panel Design Specification, Table 4A, EI in lb in2 per foot, from memory (structure.md, section 1)."""
    stiff = figure("plywood", "stiffness_along_psi").value
    for over, under, printed in ((3, 8, 66_000), (15, 32, 125_000), (23, 32, 440_000)):
        assert stiff * 12 * (over / under) ** 3 / 12 == pytest.approx(printed, rel=0.1)


def test_ultimate_leaves_room_over_the_allowable() -> None:
    """Wood Handbook: bending strength of plywood 3,000 to 7,000 psi, of strand board 3,000 to 4,000 (from memory)."""
    assert 3000 / figure("plywood", "bending_along_psi").value > 3
    assert 3000 / figure("osb", "bending_along_psi").value > 3


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("cushion foam", 0.5, 1.5),  # standards.md 4c: PE foam 2.2 lb/ft3, cushion handbooks, from memory
        ("ester urethane", 0.2, 0.6),  # standards.md 4c: 2 lb/ft3; the Getty's 0.228 psi (READ-1) lies inside
    ],
)
def test_what_a_foam_likes(name: str, low: float, high: float) -> None:
    assert (figure(name, "cushion_low_psi").value, figure(name, "cushion_high_psi").value) == (low, high)
    assert "from memory: a warning range only" in figure(name, "cushion_low_psi").source


def test_rigid_board_cushions_nothing() -> None:
    """It crushes at the first impact and never counts."""
    assert sum(each.cushion_low_psi is not None for each in BUILT_IN) == 2


def test_wood_at_the_border() -> None:
    """ISPM 15, scope and section 2.1 (standards.md 5): raw wood in scope; plywood, OSB, particle board exempt."""
    by_wood = {kind: {e.material for e in BUILT_IN if e.wood == kind} for kind in ("raw", "processed", None)}
    species = {"douglas fir", "southern pine", "hem-fir", "spruce-pine-fir", "spruce-pine-fir south", "red oak"}
    assert by_wood["raw"] == {"lumber", "hardwood", *species}
    assert by_wood["processed"] == {"plywood", "structural plywood", "birch plywood", "osb", "mdf", "hardboard"}
    assert by_wood[None] == {"glass", "resin"}


def test_what_each_is_to_a_face() -> None:
    """Common practice, no source: wood and board scratch, plastics imprint, only paper lies against a face."""
    goods = {good.material for good in default_goods()}
    assert {each.material: each.surface for each in BUILT_IN if each.material in goods} == {
        "plywood": "wood", "osb": "wood", "lumber": "wood", "carton": "wood", "rigid foam": "rigid foam",
        "cushion foam": "plank", "foam wrap": "foam wrap", "film": "film", "paper": "paper", "tape": "tape",
        "screw": "other", "hardware": "other", "glue": "other", "gasket": "other",
        "ester urethane": "plank", "corrugated": "wood",
    }  # fmt: skip


def test_wood_is_sawn_and_foam_and_board_are_cut_as_their_thickness_asks() -> None:
    cut = {good.good: material(good.material) for good in default_goods() if good.form == "sheet"}
    for made in cut.values():
        assert made.cut_by == ("saw" if made.is_wood else "knife or band")
    assert {name for name, made in cut.items() if not made.is_wood} == {
        "foam-board-1", "pe-plank-2", "pe-plank-1", "pe-plank-1/2", "soft-foam-1", "soft-foam-1-1/2", "corrugated-pad",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("name", "thickness", "published"),
    [
        ("osb", 7 * INCH // 16, 1.4),
        ("plywood", 15 * INCH // 32, 1.4), ("osb", 15 * INCH // 32, 1.5),
        ("plywood", INCH // 2, 1.5), ("osb", INCH // 2, 1.7),
        ("plywood", 19 * INCH // 32, 1.8), ("osb", 19 * INCH // 32, 2.0),
    ],
)  # fmt: skip
def test_panel_weight_per_square_foot(name: str, thickness: int, published: float) -> None:
    """APA approximate panel weights, as quoted on secondary pages, printed to 0.1 lb/ft2 (standards.md 1c)."""
    per_foot = convert(sheet_kg_m2(density(name), thickness), "kg / m**2", "pound / foot**2")
    assert per_foot == pytest.approx(published, abs=0.0505)


@pytest.mark.parametrize(
    ("name", "thickness", "pound"),
    [("osb", 7 * INCH // 16, 46), ("plywood", INCH // 2, 48), ("osb", 3 * INCH // 4, 80), ("osb", 23 * INCH // 32, 78)],
)
def test_full_sheet_weight(name: str, thickness: int, pound: float) -> None:
    """Trade pages quoting the APA, within 3 % (standards.md 1c)."""
    sheet = cuboid_kg(density(name), 96 * INCH, 48 * INCH, thickness)
    assert sheet / LB == pytest.approx(pound, rel=0.03)


def test_mdf_in_pounds_and_the_unit_trap() -> None:
    """3/4 in at 48 lb/ft3 is 3.0 lb/ft2 by arithmetic; 48 kg/m3 would be a foam (standards.md 9)."""
    per_foot = convert(sheet_kg_m2(density("mdf"), 3 * INCH // 4), "kg / m**2", "pound / foot**2")
    assert per_foot == pytest.approx(3.0, rel=1e-9)


def test_acrylic_glass_and_resin_per_area() -> None:
    """Two trade pages (acrylic), EN 572 from memory (glass), a supplier's 9.23 lb/gal (resin): standards.md 9."""
    acrylic = density("acrylic")
    assert convert(sheet_kg_m2(acrylic, INCH // 4), "kg/m**2", "pound/foot**2") == pytest.approx(1.55, rel=0.01)
    assert sheet_kg_m2(acrylic, 3 * MM) == pytest.approx(3.57, rel=0.01)
    assert sheet_kg_m2(density("glass"), 3 * MM) == pytest.approx(7.5)
    resin = density("resin")
    assert convert(sheet_kg_m2(resin, INCH // 8), "kg/m**2", "pound/foot**2") == pytest.approx(0.719, rel=0.005)
    assert convert(resin, "kg/m**3", "pound/gallon") == pytest.approx(9.23, rel=0.005)


def test_resin_worked_example() -> None:
    """A supplier's page: 50 x 36 x 0.010 in of epoxy is 18 in3, 0.0779 gal, 326.8 g (exactly 326.9)."""
    assert cuboid_kg(density("resin"), 50 * INCH, 36 * INCH, INCH // 100) == pytest.approx(0.3268, rel=0.003)
