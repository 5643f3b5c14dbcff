import pytest

from nesting.advice.panels import PANELS, Panel, least_thickness
from nesting.base.measure import INCH

_CAPACITY = {
    "plywood": ((3, 8, 250, 54), (15, 32, 370, 92), (19, 32, 625, 150), (23, 32, 845, 225)),
    "osb": ((3, 8, 300, 97), (7, 16, 385, 115), (15, 32, 445, 165), (23, 32, 1015, 405)),
}


@pytest.mark.parametrize("name", ["plywood", "osb"])
def test_stress_is_no_higher_than_the_capacities_per_foot(name: str) -> None:
    """APA Panel Design Specification, bending capacity in lbf in per foot of width, from memory: a range only."""
    panel = PANELS[name]
    for over, under, along, across in _CAPACITY[name]:
        modulus = 12 * (over / under) ** 2 / 6
        assert 0.75 * along / modulus <= panel.along_psi <= 1.02 * along / modulus
        assert 0.7 * across / modulus <= panel.across_psi <= 1.02 * across / modulus


def test_ultimate_leaves_room_over_the_allowable() -> None:
    """Wood Handbook: bending strength of plywood 3,000 to 7,000 psi, of strand board 3,000 to 4,000 (from memory)."""
    assert 3000 / PANELS["plywood"].along_psi > 3
    assert 3000 / PANELS["osb"].along_psi > 3


@pytest.mark.parametrize(
    ("category", "least"),
    [
        ((1, 4), 0.219),
        ((3, 8), 0.344),
        ((15, 32), 0.438),
        ((23, 32), 0.688),
        ((3, 4), 0.719),
        ((7, 8), 0.831),
        ((9, 8), 1.069),
    ],
)
def test_least_thickness(category: tuple[int, int], least: float) -> None:
    """US PS 1 as reproduced by APA, printed to 0.001 in."""
    over, under = category
    assert least_thickness(over * INCH // under) / INCH == pytest.approx(least, abs=0.0007)


def test_bad_panels_are_refused() -> None:
    with pytest.raises(ValueError, match="weaker across"):
        Panel("odd", 100.0, 200.0, 1e6, 1e5)
    with pytest.raises(ValueError, match="no panel"):
        least_thickness(INCH // 32)
