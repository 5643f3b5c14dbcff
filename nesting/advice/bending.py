"""Bending: strips, beams on two supports, and how wide a strip takes part under a row of cleats.

Statics; stress = M / S with S = b t^2 / 6, so that half the thickness bends at four times the stress. Inches,
pounds-force and psi inside.
"""

from math import pi, sqrt
from typing import Literal

from nesting.advice.panels import Panel

Grain = Literal["up", "across", "any"]


def section_modulus(width_in: float, thickness_in: float) -> float:
    """Return b t^2 / 6 of a rectangle, in3."""
    return width_in * thickness_in**2 / 6


def bending_stress(moment: float, width_in: float, thickness_in: float) -> float:
    """Return the stress in psi at the face of a strip under a moment in lbf in."""
    return moment / section_modulus(width_in, thickness_in)


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
    """Return how wide a strip takes part under a line load along it, in inches.

    It is 0.9 L (E_across / E_along)^(1/4): for a long orthotropic plate under a line load q sin(pi x / L), torsion left
    out, D_x k^4 w + D_y w'''' = q delta(y) with k = pi / L has the width q / (D_x k^4 w(0)) =
    2 sqrt(2) (L / pi) (D_y / D_x)^(1/4) (our derivation; plate equation of Timoshenko and Woinowsky-Krieger, *Theory of
    Plates and Shells*, 1959).
    """
    return 2 * sqrt(2) / pi * span_in * sqrt(sqrt(panel.across_e_psi / panel.along_e_psi))
