"""Eurocode 5: what screws, bolts and panels bear by EN 1995-1-1, where the shop's materials state European values.

Newtons, millimetres and N/mm2 inside, since the source is in them. A capacity is a characteristic value, times k_mod
for how long a load lasts and how damp the wood is, over gamma_M for the material; what is asked is the shop's own load,
the weight times its handling factor, times gamma_Q of a variable load. All values and equations are from memory, with
the relations of EN 384 among them and a second source beside them as cross-check: advice, as everywhere here.
"""

from dataclasses import dataclass
from math import ceil, sqrt
from typing import Final

CONNECTION: Final = 1.3
"""gamma_M of connections and of solid timber (EN 1995-1-1, table 2.3)."""

PANEL: Final = 1.2
"""gamma_M of plywood and strand board (the same)."""

VARIABLE: Final = 1.5
"""gamma_Q of a variable load (EN 1990, table A1.2)."""

K_MOD: Final = {"solid": (0.6, 0.7, 0.8, 0.9, 1.1), "strands": (0.3, 0.4, 0.55, 0.7, 0.9)}
"""k_mod of permanent, long, medium, short and instantaneous loads in service class 2 (EN 1995-1-1, table 3.1): of solid
timber and what is glued of veneers, and of strand board OSB/3."""

DEEPEST: Final = 6.0
"""Diameters of thread from which EN 1995-1-1, 8.7.2 (2), takes a screw in withdrawal; of the point of one in shear."""

REFERENCE: Final = 350.0
"""Density in kg/m3 that declared parameters of screws go with (EN 14592), that of C24."""

HEAD: Final = 8.0
"""Head pull-through parameter in N/mm2 of wood-based panels from 12 to 20 mm (approvals of wood screws)."""

HEAD_THIN: Final = 400.0
"""What a head holds in a panel thinner than :data:`HEAD_FROM`, in N (the same)."""
HEAD_FROM: Final = 12.0

ROOT: Final = 0.62
"""Root of a chipboard screw's thread in diameters (makers' lists)."""

TENSILE: Final = 600.0
"""Tensile strength of the wire in N/mm2 of which a yield moment is reckoned (EN 1995-1-1, 8.3.1.1, at the least)."""

UNDER_WASHER: Final = 3.0
"""So many times f_c,90,k wood bears under a washer (EN 1995-1-1, 8.5.2 (2))."""


@dataclass(frozen=True, slots=True)
class TimberClass:
    """A strength class of softwood by EN 338:2016; strengths characteristic, in N/mm2, densities in kg/m3.

    Attributes
    ----------
    bending, tension, compression, across, shear : float
        f_m,k, f_t,0,k, f_c,0,k, f_c,90,k and f_v,k.
    stiffness : float
        E_0,mean in N/mm2.
    density, mean_density : float
        rho_k and rho_mean.
    """

    bending: float
    tension: float
    compression: float
    across: float
    shear: float
    stiffness: float
    density: float
    mean_density: float


CLASSES: Final = {
    "C16": TimberClass(16.0, 8.5, 17.0, 2.2, 3.2, 8000.0, 310.0, 370.0),
    "C18": TimberClass(18.0, 10.0, 18.0, 2.2, 3.4, 9000.0, 320.0, 380.0),
    "C24": TimberClass(24.0, 14.5, 21.0, 2.5, 4.0, 11000.0, 350.0, 420.0),
}


def allowed(characteristic: float, k_mod: float, gamma_m: float = CONNECTION) -> float:
    """Return what may be asked of a characteristic value, the load's factor taken off: k_mod / (gamma_M gamma_Q)."""
    return characteristic * k_mod / (gamma_m * VARIABLE)


def allowed_lasting(characteristic: float, k_mod: float, gamma_m: float, duration: float) -> float:
    """Return the same of a panel before a shop's duration factor, which is k_mod's part in the rules of the shop.

    ``k_mod`` is that of an instantaneous load, which a knock is: after the factor that is what is left.
    """
    return allowed(characteristic, k_mod, gamma_m) / duration


def acting_together(count: float) -> float:
    """Return n_ef = n^0.9 of screws that are pulled together (EN 1995-1-1, eq. 8.41)."""
    return float(count**0.9)


def screws_for(load: float, one: float) -> int:
    """Return how many screws carry a load together: the least n with n^0.9 x one >= load."""
    return max(1, ceil(round(float((load / one) ** (1 / 0.9)), 9)))


def withdrawal_strength(diameter: float, thread: float, density: float) -> float:
    """Return f_ax,k = 0.52 d^-0.5 l_ef^-0.1 rho_k^0.8 in N/mm2 (EN 1995-1-1, eq. 8.39)."""
    return float(0.52 * diameter**-0.5 * thread**-0.1 * density**0.8)


def withdrawal(diameter: float, thread: float, density: float) -> float:
    """Return F_ax,k of one screw across the grain, f_ax,k d l_ef k_d with k_d = d / 8 up to 1, in N (eq. 8.38).

    It is for screws of 6 to 12 mm; thinner ones go by what their maker declares (eq. 8.40). With k_d the equation meets
    such figures: 5 mm at 350 kg/m3 come to 11.7 N/mm2, and 10 to 13 are declared.
    """
    return withdrawal_strength(diameter, thread, density) * diameter * thread * min(diameter / 8, 1.0)


def head_pull(head: float, thickness: float, alone: float = 0.0) -> float:
    """Return F_ax,k of a head or washer before it pulls through a panel, f_head d_h^2, in N (eq. 8.40b).

    The density of the panel is left out of it, as approvals leave it for panels.

    Parameters
    ----------
    head, thickness : float
        What bears on the panel, washer or head, and the panel; mm.
    alone : float
        The screw's own head; 0 where nothing lies under it. Approvals give a thin panel 400 N under a head, and say
        nothing of washers: there it counts by its circumference, on which the panel shears (our reading).
    """
    most = HEAD_THIN * max(1.0, head / alone if alone else 1.0)
    return min(HEAD * head**2, most) if thickness < HEAD_FROM else HEAD * head**2


def embedding(diameter: float, density: float) -> float:
    """Return f_h,k of plywood, 0.11 rho_k d^-0.3 in N/mm2 (EN 1995-1-1, eq. 8.20); d the effective diameter."""
    return float(0.11 * density * diameter**-0.3)


def yield_moment(diameter: float, tensile: float = TENSILE) -> float:
    """Return M_y,Rk = 0.3 f_u d^2.6 in N mm (EN 1995-1-1, eq. 8.14)."""
    return float(0.3 * tensile * diameter**2.6)


def effective(diameter: float) -> float:
    """Return the diameter that counts in shear where thread lies there: 1.1 roots (EN 1995-1-1, 8.7.1 (3))."""
    return 1.1 * ROOT * diameter


@dataclass(frozen=True, slots=True)
class Shear:
    """A screw in single shear, panel to panel.

    Attributes
    ----------
    held, thread : float
        Thickness of the panel under the head, and of what its point is in; mm.
    under, into : float
        f_h,k of both, N/mm2.
    diameter : float
        That counts, mm.
    """

    held: float
    thread: float
    under: float
    into: float
    diameter: float


def lateral(screw: Shear) -> float:
    """Return F_v,Rk of one screw in single shear: the least of six modes, no rope effect, in N (eq. 8.6)."""
    t, u, f, d = screw.held, screw.thread, screw.under, screw.diameter
    b, yields = screw.into / screw.under, yield_moment(screw.diameter)
    return min(
        f * t * d,
        screw.into * u * d,
        f * t * d / (1 + b) * (sqrt(b + 2 * b**2 * (1 + u / t + (u / t) ** 2) + b**3 * (u / t) ** 2) - b * (1 + u / t)),
        1.05 * f * t * d / (2 + b) * (sqrt(2 * b * (1 + b) + 4 * b * (2 + b) * yields / (f * d * t**2)) - b),
        1.05 * f * u * d / (1 + 2 * b)
        * (sqrt(2 * b**2 * (1 + b) + 4 * b * (1 + 2 * b) * yields / (f * d * u**2)) - b),
        1.15 * sqrt(2 * b / (1 + b)) * sqrt(2 * yields * f * d),
    )  # fmt: skip


def under_washer(across: float, area: float) -> float:
    """Return what wood bears under a washer, 3 f_c,90,k A, in N (EN 1995-1-1, 8.5.2 (2))."""
    return UNDER_WASHER * across * area
