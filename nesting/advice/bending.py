"""Bending: whether the back holds the piece that hangs on it, and the thinnest back that does.

The back is taken as strips along its face grain, supported where it meets the frame; the cleats load them.

- Grain up: strips run from rail to rail under both cleats, as wide as a cleat is long.
- Grain across: strips run from stile to stile. The piece holds its cleats straight, so that each cleat bears at its
  two ends. The strip that takes part is 0.9 L (E_across / E_along)^(1/4) wide: for a long orthotropic plate under a
  line load q sin(pi x / L), torsion left out, D_x k^4 w + D_y w'''' = q delta(y) with k = pi / L has the width
  q / (D_x k^4 w(0)) = 2 sqrt(2) (L / pi) (D_y / D_x)^(1/4) (our derivation; plate equation of Timoshenko and
  Woinowsky-Krieger, *Theory of Plates and Shells*, 1959). Each cleat gets no more than half the panel.

Statics of a beam on two supports; stress = M / S with S = b t^2 / 6, so that half the thickness bends at four times
the stress. Inches, pounds-force and psi inside.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sqrt
from typing import Literal

from nesting.advice.check import Check, Verdict, compare, inform, said, table_pounds
from nesting.advice.panels import Panel
from nesting.base.measure import UnitSystem, format_length, inches

Grain = Literal["up", "across", "any"]
_LIMITS = (
    "plane panel without seams or large holes, dry; held by the frame on all four sides; "
    "the piece keeps its cleats straight"
)


@dataclass(frozen=True, slots=True)
class Battens:
    """Strips glued along the back of a panel, grain along their length, of the panel's own material.

    Attributes
    ----------
    up : int
        How many uprights cross the cleats' length.
    across : int
        How many crosspieces lie behind each cleat.
    width, thickness : int
        Section of one, exact grid.
    """

    up: int = 0
    across: int = 0
    width: int = 0
    thickness: int = 0

    def __post_init__(self) -> None:
        if min(self.up, self.across, self.width, self.thickness) < 0:
            raise ValueError(f"battens cannot be less than nothing: {self}")


@dataclass(frozen=True, slots=True)
class Hung:
    """A piece hung on a back by two cleats.

    Attributes
    ----------
    weight_kg : float
        The piece.
    up, across : int
        Clear span of the back from rail to rail, and from stile to stile.
    cleat : int
        Length of a cleat.
    low, high : int
        Centre line of the lower cleat above the lower rail, and of the upper cleat below the upper rail.
    battens : Battens
        What stiffens the back.
    """

    weight_kg: float
    up: int
    across: int
    cleat: int
    low: int
    high: int
    battens: Battens = Battens()

    def __post_init__(self) -> None:
        if self.weight_kg < 0 or not 0 < self.cleat <= self.across:
            raise ValueError(f"a hung piece needs a weight and a cleat that fits between the stiles, not {self}")
        if self.low <= 0 or self.high <= 0 or self.low + self.high > self.up:
            raise ValueError(f"the cleats must lie between the rails, the lower one below the upper one, not {self}")


def section_modulus(width_in: float, thickness_in: float) -> float:
    """Return b t^2 / 6 of a rectangle, in3."""
    return width_in * thickness_in**2 / 6


def bending_stress(moment: float, width_in: float, thickness_in: float) -> float:
    """Return the stress in psi at the face of a strip under a moment in lbf in."""
    return moment / section_modulus(width_in, thickness_in)


def stiffened_modulus(width_in: float, thickness_in: float, number: int, batten_in: float, deep_in: float) -> float:
    """Return the section modulus of a strip with battens glued to one face, in3.

    A narrow batten's far edge may reach its limit before the plain strip would; then the plain strip counts, since it
    still holds when the batten has given way.
    """
    plain = section_modulus(width_in, thickness_in)
    rib = number * batten_in
    if rib <= 0 or deep_in <= 0:
        return plain
    sheet_area, rib_area = width_in * thickness_in, rib * deep_in
    axis = (sheet_area * thickness_in / 2 + rib_area * (thickness_in + deep_in / 2)) / (sheet_area + rib_area)
    inertia = (
        width_in * thickness_in**3 / 12
        + sheet_area * (axis - thickness_in / 2) ** 2
        + rib * deep_in**3 / 12
        + rib_area * (thickness_in + deep_in / 2 - axis) ** 2
    )
    return max(plain, inertia / max(axis, thickness_in + deep_in - axis))


def greatest_moment(first: float, second: float, span: float) -> float:
    """Return the greatest moment per unit of total load, two equal halves of it standing on a beam.

    Parameters
    ----------
    first, second : float
        Distance of one half from the first support, and of the other from the second.
    span : float
        Between the supports, which do not clamp.

    Returns
    -------
    float
        In the unit of the lengths; times the load it is the moment.
    """
    left = ((span - first) + second) / (2 * span)
    return max(left * first, (1 - left) * second)


def working_width(span_in: float, panel: Panel) -> float:
    """Return how wide a strip takes part under a line load along it, in inches (see the module's text)."""
    return 2 * sqrt(2) / pi * span_in * sqrt(sqrt(panel.across_e_psi / panel.along_e_psi))


def _modulus_and_arm(hung: Hung, panel: Panel, thickness: int, grain: Literal["up", "across"]) -> tuple[float, float]:
    """Return the section modulus (in3) of the strips and the moment per unit of load (in) for one way of the grain."""
    thick, battens = inches(thickness), hung.battens
    rib, deep = inches(battens.width), inches(battens.thickness)
    if grain == "up":
        section = stiffened_modulus(inches(hung.cleat), thick, battens.up, rib, deep)
        return section, greatest_moment(inches(hung.low), inches(hung.high), inches(hung.up))
    span = inches(hung.across)
    width = min(inches(hung.up) / 2, working_width(span, panel))
    section = 2 * stiffened_modulus(width, thick, battens.across, rib, deep)
    gap = (span - inches(hung.cleat)) / 2
    return section, greatest_moment(gap, gap, span)


def _ways(grain: Grain) -> tuple[Literal["up", "across"], ...]:
    return ("up", "across") if grain == "any" else (grain,)


def greatest_load(hung: Hung, panel: Panel, thickness: int, grain: Grain = "any") -> float | None:
    """Return the load, in pounds-force, at which the back reaches its allowable stress.

    Parameters
    ----------
    hung : Hung
        Spans and cleats; its weight does not matter here.
    panel : Panel
        Kind of panel.
    thickness : int
        Of the back alone, exact grid.
    grain : {"up", "across", "any"}
        Which way the face grain runs; ``"any"`` takes the worse of both.

    Returns
    -------
    float or None
        None where the cleats reach from support to support, so that nothing bends.
    """
    if thickness <= 0:
        raise ValueError(f"found a back {thickness} thick; accepted: more than nothing")
    loads = [
        panel.along_psi * section / arm
        for section, arm in (_modulus_and_arm(hung, panel, thickness, way) for way in _ways(grain))
        if arm > 0
    ]
    return min(loads) if loads else None


def check_back(
    hung: Hung,
    panel: Panel,
    thickness: int,
    handling_factor: float,
    grain: Grain = "any",
    units: UnitSystem = "inch",
) -> Check:
    """Check the back in bending under the piece's weight times the handling factor.

    Parameters
    ----------
    hung, panel, thickness, grain
        As for :func:`greatest_load`.
    handling_factor : float
        As in :class:`nesting.advice.mounting.MountingRules`.
    units : {"inch", "metric"}
        How figures and note are written.
    """
    load = table_pounds(hung.weight_kg) * handling_factor
    capacity = greatest_load(hung, panel, thickness, grain)
    name, formula = "back, bending", "M / (b t^2 / 6), strips along the face grain"
    if capacity is None:
        return inform(
            name,
            "the cleats reach from support to support: the back does not bend",
            formula=formula,
            source=panel.source,
            limits=_LIMITS,
            demand=load,
            unit="lbf",
            verdict="ok",
        ).in_system(units)
    reached = said(panel.along_psi * load / capacity, "psi", units, mark=False)
    return compare(
        name,
        load,
        capacity,
        "lbf",
        formula=formula,
        source=panel.source,
        limits=_LIMITS,
        note=f"{format_length(thickness, units, 64, mark=True)} {panel.name}, grain {grain}: {reached} of "
        f"{said(panel.along_psi, 'psi', units)} at {handling_factor:g} times the weight",
        structure=True,
    ).in_system(units)


def thinnest_back(
    hung: Hung, panel: Panel, thicknesses: Sequence[int], handling_factor: float, grain: Grain = "any"
) -> int | None:
    """Return the thinnest of the thicknesses that holds, or None where none does."""
    failed: Verdict = "fails"
    for thickness in sorted(thicknesses):
        if check_back(hung, panel, thickness, handling_factor, grain).verdict != failed:
            return thickness
    return None


def deflection_in(hung: Hung, panel: Panel, thickness: int, load_lbf: float) -> float:
    """Return how far the plain back gives at mid-span between the rails, grain up, in inches.

    Two loads at a from their supports give P a (3 L^2 - 4 a^2) / (48 E I) each (beam tables). Battens are left out, and
    so is the membrane action that stiffens a panel once it has given more than half its thickness.
    """
    span, inertia = inches(hung.up), inches(hung.cleat) * inches(thickness) ** 3 / 12
    total = 0.0
    for arm in (min(inches(hung.low), span / 2), min(inches(hung.high), span / 2)):
        total += load_lbf / 2 * arm * (3 * span**2 - 4 * arm**2) / (48 * panel.along_e_psi * inertia)
    return total
