"""Weights: of lumber by its specific gravity, of a cuboid and of a sheet, and where the centre of gravity lies."""

from collections.abc import Iterable
from typing import Protocol

from nesting.base.measure import MM

KG_M3_PER_LB_FT3 = 0.45359237 / 0.3048**3
"""kg/m3 in a pound per cubic foot, exact by definition of both (16.0185)."""

_M3 = (0.001 / MM) ** 3


def lumber_density(gravity: float, moisture: float = 12.0) -> float:
    """Return the weight of lumber in kg/m3: 1000 SG (1 + MC / 100) (Wood Handbook, FPL-GTR-190, chapter 4).

    Parameters
    ----------
    gravity : float
        Specific gravity on the volume at that moisture content.
    moisture : float
        Moisture content, per cent of the dry weight.
    """
    if not (0 < gravity < 2 and 0 <= moisture <= 200):
        raise ValueError(f"found a specific gravity of {gravity} at {moisture} % moisture; no wood is like that")
    return 1000 * gravity * (1 + moisture / 100)


def cuboid_kg(kg_m3: float, length: int, width: int, thickness: int) -> float:
    """Return the weight in kg of a cuboid whose sides are given on the exact grid."""
    if min(length, width, thickness) < 0:
        raise ValueError(f"a cuboid cannot measure {length} x {width} x {thickness}")
    return kg_m3 * _M3 * length * width * thickness


def sheet_kg_m2(kg_m3: float, thickness: int) -> float:
    """Return the weight in kg of one square metre of a sheet, its thickness on the exact grid."""
    return kg_m3 * thickness * 0.001 / MM


class Cuboid(Protocol):
    """Lower corner and extent on the exact grid."""

    @property
    def x(self) -> int:
        """Left."""

    @property
    def y(self) -> int:
        """Bottom."""

    @property
    def z(self) -> int:
        """Back."""

    @property
    def dx(self) -> int:
        """Extent to the right."""

    @property
    def dy(self) -> int:
        """Extent upwards."""

    @property
    def dz(self) -> int:
        """Extent to the front."""


def centre_of_gravity(bodies: Iterable[tuple[float, Cuboid]]) -> tuple[int, int, int]:
    """Return the common centre of gravity of uniform cuboids, rounded to the exact grid.

    Parameters
    ----------
    bodies : iterable of (float, Cuboid)
        Weight in kg and place of each.

    Returns
    -------
    tuple of int
        x, y, z.

    Raises
    ------
    ValueError
        If a weight is negative or nothing weighs anything.
    """
    total = x = y = z = 0.0
    for kg, box in bodies:
        if kg < 0:
            raise ValueError(f"a body cannot weigh {kg} kg")
        total += kg
        x += kg * (box.x + box.dx / 2)
        y += kg * (box.y + box.dy / 2)
        z += kg * (box.z + box.dz / 2)
    if total <= 0:
        raise ValueError("nothing that weighs anything has no centre of gravity")
    return round(x / total), round(y / total), round(z / total)
