import pytest

from nesting.advice.panels import Panel, least_thickness
from nesting.base.measure import INCH


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
        Panel("odd", 100.0, 200.0, 1e6, 1e5, "none")
    with pytest.raises(ValueError, match="no panel"):
        least_thickness(INCH // 32)
