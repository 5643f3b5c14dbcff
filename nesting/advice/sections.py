"""Sections: how stiff strips of panel are and how far they bend, alone, glued together, and merely fastened.

Panels come with properties for their full section (:class:`nesting.advice.panels.Panel`), which are those of the
plies that work, spread over the whole thickness: allowable stress and modulus of a sheet are about half of those of
solid wood, and far less across the grain. What bends together takes the same curvature, so stiffnesses add, and the
lot has reached its limit where the first of them has.

Sources: strength of materials; APA, Panel Design Specification (strip factor, from memory; its two ends meet the
formula exactly); EN 1995-1-1, Table 9.1 (acting width of a flange, from memory) and annex B (fastened, not glued, from
memory); APA, Plywood Design Specification, supplement on stressed-skin panels (rolling shear under a batten, half of
it along a rim, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, pi

ROLLING_SHEAR_PSI = 53.0
"""Allowable rolling shear of plywood, Group 1, S-2, dry (worked example in a book on formwork, p. 137)."""


def strip_factor(width_in: float) -> float:
    """Return what is left of a panel's bending strength in a strip: 0.25 + 0.03125 w from 8 to 24 in, 0.5 to 1."""
    return min(1.0, max(0.5, 0.25 + 0.03125 * width_in))


def acting_width(rib_in: float, plate_in: float, span_in: float, thickness_in: float) -> float:
    """Return how wide a strip of a panel works with a rib glued to it: the rib, and a tenth of the span or 20 t."""
    return min(plate_in, rib_in + min(0.1 * span_in, 20 * thickness_in))


@dataclass(frozen=True, slots=True)
class Strip:
    """A rectangle of panel that bends flatwise.

    Attributes
    ----------
    width, thickness : float
        Inches.
    e_psi, psi : float
        Modulus of elasticity and allowable stress along it, on the full section.
    """

    width: float
    thickness: float
    e_psi: float
    psi: float

    def __post_init__(self) -> None:
        if min(self.width, self.thickness, self.e_psi, self.psi) <= 0:
            raise ValueError(f"a strip has width, thickness, stiffness and strength, not {self}")

    @property
    def area(self) -> float:
        """Square inches."""
        return self.width * self.thickness

    @property
    def inertia(self) -> float:
        """Second moment of area about its own middle, in4."""
        return self.width * self.thickness**3 / 12


@dataclass(frozen=True, slots=True)
class Bent:
    """Something that bends.

    Attributes
    ----------
    ei : float
        Stiffness, lb in2.
    curvature : float
        Where it reaches its allowable stress, 1/in.
    """

    ei: float
    curvature: float

    @property
    def moment(self) -> float:
        """What it bears alone, lbf in."""
        return self.ei * self.curvature


def alone(strip: Strip) -> Bent:
    """Return a strip by itself: E I, and f / (E t / 2)."""
    return Bent(strip.e_psi * strip.inertia, 2 * strip.psi / (strip.e_psi * strip.thickness))


@dataclass(frozen=True, slots=True)
class Glued:
    """A rib glued to a plate: one section.

    Attributes
    ----------
    axis : float
        Neutral axis from the plate's far face, inches.
    ei : float
        Stiffness, lb in2.
    flow : float
        E A a of the rib about the axis: times the shear force over ``ei``, the shear flow at the glue line per inch.
    bent : Bent
        Where the first of its two outer faces reaches its allowable stress.
    """

    axis: float
    ei: float
    flow: float
    bent: Bent


def glued(plate: Strip, rib: Strip) -> Glued:
    """Return the section of a rib glued to a plate, each with its own modulus (transformed section).

    With equal moduli and full sections, a plate 3/8 x 12 with a rib 3/4 x 5-1/2 has its axis 0.4565 in from the
    plate's face and 0.92706 in4.
    """
    pull, push = plate.e_psi * plate.area, rib.e_psi * rib.area
    middle, rib_middle = plate.thickness / 2, plate.thickness + rib.thickness / 2
    axis = (pull * middle + push * rib_middle) / (pull + push)
    ei = (
        plate.e_psi * plate.inertia
        + pull * (axis - middle) ** 2
        + rib.e_psi * rib.inertia
        + push * (rib_middle - axis) ** 2
    )
    far = plate.thickness + rib.thickness - axis
    limit = min(plate.psi / (plate.e_psi * axis), rib.psi / (rib.e_psi * far))
    return Glued(axis, ei, push * (rib_middle - axis), Bent(ei, limit))


def glue_line_psi(section: Glued, rib_in: float, shear_lbf: float) -> float:
    """Return the shear at the glue line: V E A a / (E I b)."""
    return shear_lbf * section.flow / (section.ei * rib_in)


def fastened_ei(plate: Strip, rib: Strip, slip_lb_in: float, apart_in: float, span_in: float) -> float:
    """Return the stiffness of a rib that is fastened to a plate and not glued (EN 1995-1-1, annex B), lb in2.

    Parameters
    ----------
    slip_lb_in : float
        Slip modulus of the fasteners that stand side by side.
    apart_in : float
        Between such places.

    Returns
    -------
    float
        Between the sum of both alone (no slip modulus) and :func:`glued` (an endless one).
    """
    if slip_lb_in <= 0:
        return plate.e_psi * plate.inertia + rib.e_psi * rib.inertia
    give = pi**2 * plate.e_psi * plate.area * apart_in / (slip_lb_in * span_in**2)
    gamma = 1 / (1 + give)
    apart = (plate.thickness + rib.thickness) / 2
    pull, push = gamma * plate.e_psi * plate.area, rib.e_psi * rib.area
    rib_arm = pull * apart / (pull + push)
    return plate.e_psi * plate.inertia + rib.e_psi * rib.inertia + pull * (apart - rib_arm) ** 2 + push * rib_arm**2


def together(parts: Sequence[Bent]) -> Bent:
    """Return what bends to one curvature: stiffnesses add, the least curvature limits."""
    return Bent(sum(part.ei for part in parts), min((part.curvature for part in parts), default=inf))


def rolling_shear_psi(shear_lbf: float, width_in: float, thickness_in: float) -> float:
    """Return 3 V / (2 b t); with 53 psi it gives the published Fs(Ib/Q) of 3/8, 15/32 and 23/32 in within a tenth."""
    return 1.5 * shear_lbf / (width_in * thickness_in)
