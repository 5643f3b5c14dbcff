"""Published weights: sources named beside each check; "from memory" where no text was at hand."""

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.weights import (
    KG_M3_PER_LB_FT3,
    centre_of_gravity,
    cuboid_kg,
    lumber_density,
)
from nesting.base.measure import INCH
from tests.nesting.advice.units import convert

LB = 0.45359237


@dataclass(frozen=True)
class Block:
    x: int
    y: int
    z: int
    dx: int
    dy: int
    dz: int


def test_unit_of_density_agrees_with_pint() -> None:
    assert convert(1, "pound / foot**3", "kg / m**3") == pytest.approx(KG_M3_PER_LB_FT3, rel=1e-12)
    assert pytest.approx(16.0185, abs=0.00005) == KG_M3_PER_LB_FT3


@pytest.mark.parametrize(
    ("gravity", "formula", "published"),
    [(0.48, 33.546, 34), (0.45, 31.450, 31), (0.52, 36.34, 36), (0.39, 27.26, 26)],
)
def test_lumber_density(gravity: float, formula: float, published: float) -> None:
    """Wood Handbook formula (62.4 lb/ft3 of water); air-dry weights of a state university's table citing it."""
    pound = lumber_density(gravity, 12.0) / 1000 * 62.4
    assert pound == pytest.approx(formula, abs=0.01)
    assert lumber_density(gravity, 12.0) / KG_M3_PER_LB_FT3 == pytest.approx(published, rel=0.05)


def test_no_wood_is_like_that() -> None:
    with pytest.raises(ValueError, match="no wood"):
        lumber_density(-0.4)


def test_mdf_sheet_worked_example() -> None:
    """A how-to page weighs 4 x 8 ft x 1/2 in at 700 kg/m3 as 26.39 kg; the exact volume gives 26.43."""
    sheet = cuboid_kg(700.0, 96 * INCH, 48 * INCH, INCH // 2)
    assert sheet == pytest.approx(26.43, abs=0.01)
    assert sheet == pytest.approx(26.39, rel=0.003)


@pytest.mark.parametrize(
    ("minimum", "metric"),
    [(0.70, 11.2), (0.90, 14.4), (1.15, 18.4), (1.35, 21.6), (1.80, 28.8), (2.40, 38.4)],
)
def test_foam_densities_convert(minimum: float, metric: float) -> None:
    """ASTM D6817 / C578 minimum densities of expanded polystyrene, in both systems on makers' sheets."""
    assert minimum * KG_M3_PER_LB_FT3 == pytest.approx(metric, abs=0.06)


def test_centre_of_gravity_by_hand() -> None:
    left, right = Block(0, 0, 0, 10, 10, 10), Block(10, 0, 0, 10, 20, 10)
    assert centre_of_gravity([(1.0, left), (3.0, right)]) == (round((5 + 45) / 4), round((5 + 30) / 4), 5)
    with pytest.raises(ValueError, match="no centre"):
        centre_of_gravity([])
    with pytest.raises(ValueError, match="cannot weigh"):
        centre_of_gravity([(-1.0, left)])


@given(
    st.lists(
        st.tuples(
            st.floats(0.01, 50),
            st.builds(Block, *([st.integers(0, 10**7)] * 3), *([st.integers(1, 10**7)] * 3)),
        ),
        min_size=1,
        max_size=6,
    )
)
def test_centre_of_gravity_lies_among_the_bodies(bodies: list[tuple[float, Block]]) -> None:
    x, y, z = centre_of_gravity(bodies)
    assert min(b.x for _, b in bodies) <= x <= max(b.x + b.dx for _, b in bodies)
    assert min(b.y for _, b in bodies) <= y <= max(b.y + b.dy for _, b in bodies)
    assert min(b.z for _, b in bodies) <= z <= max(b.z + b.dz for _, b in bodies)


def test_no_cuboid_is_less_than_nothing() -> None:
    with pytest.raises(ValueError, match="cannot measure"):
        cuboid_kg(500.0, -1, 1, 1)
