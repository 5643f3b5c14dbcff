"""Panels: what one carries in bending, and how much thinner it may be than its name.

Allowable stresses are for the full section. What each kind of panel bears stands in the shop's table of materials.
"""

from dataclasses import dataclass

from nesting.base.measure import INCH


@dataclass(frozen=True, slots=True)
class Panel:
    """Bending properties of one kind of panel, on the full section.

    Attributes
    ----------
    name : str
        As people say it.
    along_psi, across_psi : float
        Allowable bending stress with the strips along and across the face grain.
    along_e_psi, across_e_psi : float
        Modulus of elasticity, the same way.
    source : str
        Where the figures come from.
    """

    name: str
    along_psi: float
    across_psi: float
    along_e_psi: float
    across_e_psi: float
    source: str

    def __post_init__(self) -> None:
        if not (0 < self.across_psi <= self.along_psi and 0 < self.across_e_psi <= self.along_e_psi):
            raise ValueError(f"panel {self.name}: must be weaker across the grain than along it, and more than nothing")


def least_thickness(category: int) -> int:
    """Return the thinnest panel sold under a thickness category, exact grid, rounded down.

    1/32 in under the category up to 13/16 in, 5 % above (US PS 1 as reproduced by APA; PS 2 alike, from memory).

    Raises
    ------
    ValueError
        For a category of 1/32 in or less.
    """
    if category <= INCH // 32:
        raise ValueError(f"no panel is {category} thick; accepted: more than 1/32 in")
    return category - INCH // 32 if 16 * category <= 13 * INCH else category * 95 // 100
