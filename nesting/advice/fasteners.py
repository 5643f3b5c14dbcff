"""Wood screws: diameters, pilot holes, distances, and what one screw holds.

Inches and pounds-force inside, since every source is in them; :meth:`nesting.advice.check.Check.in_system` turns a
finding into newtons. Allowable and ultimate values differ by 5.5 times: each function's name says which it gives.

Sources: American Wood Council, National Design Specification for Wood Construction (NDS) and its Commentary; Forest
Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), chapter 8; a civil-engineering formula handbook, chapter 6,
p. 170 (the older lateral rule); Johnson (1960), ASTM STP 38339S, who found the 70 % lead hole good in eleven western
woods.
"""

from dataclasses import dataclass
from math import ceil, floor, pi
from typing import Literal

from nesting.base.measure import INCH, MM

ALLOWABLE_WITHDRAWAL = 2850.0
"""Coefficient of the NDS withdrawal equation 12.2-2, in psi."""

ULTIMATE_WITHDRAWAL = 15700.0
"""Coefficient of the Wood Handbook's ultimate withdrawal (from memory; its metric form 108.25 MPa agrees)."""

LATERAL_PENETRATION = 6.0
"""Screw diameters in the main member below which the lateral formulas do not apply (NDS 12.1.5, from memory)."""

_ROOTS = {6: 0.113, 8: 0.131, 10: 0.152, 12: 0.171}
_LATERAL_GROUPS = {1: 4800.0, 2: 3960.0, 3: 3240.0, 4: 2520.0}
_LATERAL_BY_GRAVITY = ((0.29, 0.43, 3360.0), (0.43, 0.48, 4320.0), (0.48, 0.53, 5280.0))


@dataclass(frozen=True, slots=True)
class Wood:
    """What a screw bites into.

    Attributes
    ----------
    name : str
        As people say it.
    gravity : float
        Specific gravity that the NDS designs with (oven-dry).
    group : int
        Group I to IV (1 to 4) of the older lateral rule (formula handbook, Table 6.2).
    hard : bool
        Hardwood, for the classic pilot rule.
    density_k, k_mod : float
        Characteristic density in kg/m3, and k_mod of a short load, for EN 1995; 0 where nobody states them.
    """

    name: str
    gravity: float
    group: int
    hard: bool = False
    density_k: float = 0.0
    k_mod: float = 0.0

    def __post_init__(self) -> None:
        if not 0.2 <= self.gravity <= 1.2:
            raise ValueError(f"wood {self.name}: found a specific gravity of {self.gravity}; accepted: 0.2 to 1.2")
        if self.group not in _LATERAL_GROUPS:
            raise ValueError(f"wood {self.name}: found group {self.group}; accepted: 1 to 4")

    @property
    def by_en(self) -> bool:
        """Whether the values are stated that EN 1995 asks."""
        return self.density_k > 0 and self.k_mod > 0


def screw_diameter(number: int) -> float:
    """Shank diameter of a wood screw by its number, in inches: 0.060 + 0.013 n (ASME B18.6.1, from memory).

    Raises
    ------
    ValueError
        Outside No. 0 to No. 24.
    """
    if not 0 <= number <= 24:
        raise ValueError(f"found screw No. {number}; accepted: 0 to 24")
    return (60 + 13 * number) / 1000


def screw_number(diameter_in: float) -> int:
    """Return the number of the wood screw whose diameter in inches is nearest."""
    number = round((diameter_in * 1000 - 60) / 13)
    if not 0 <= number <= 24:
        raise ValueError(f"found a screw {diameter_in} in thick; accepted: 0.060 to 0.372 in")
    return number


def root_diameter(number: int) -> float:
    """Root diameter in inches (NDS Appendix L3, from memory; other sizes in proportion to the shank)."""
    known = _ROOTS.get(number)
    return known if known is not None else round(0.8 * screw_diameter(number), 3)


@dataclass(frozen=True, slots=True)
class Pilot:
    """A pilot hole for the thread.

    Attributes
    ----------
    diameter_in : float
        What the rule computes.
    drill : int
        Nearest drill in 1/64 in steps, exact grid.
    drill_metric : int
        Nearest drill in 1/2 mm steps, exact grid.
    """

    diameter_in: float
    drill: int
    drill_metric: int


def pilot_hole(number: int, *, hard: bool = False) -> Pilot:
    """Pilot hole for a screw: 90 % of the root in hardwood, 70 % in softwood (NDS Commentary 11.1.2.1)."""
    diameter = root_diameter(number) * (0.9 if hard else 0.7)
    sixty_fourth, half_mm = INCH // 64, MM // 2
    return Pilot(
        diameter,
        floor(diameter * INCH / sixty_fourth + 0.5) * sixty_fourth,
        floor(diameter * INCH / half_mm + 0.5) * half_mm,
    )


def pilot_required(gravity: float) -> float | None:
    """Share of the root diameter that the present NDS (12.1.5, from memory) asks for, or None for no pilot hole.

    We drill all the same: thin cleats split, and a pilot with a stop keeps the drill off the artwork.
    """
    if gravity > 0.6:
        return 0.9
    return 0.7 if gravity > 0.5 else None


def clearance_hole(number: int) -> int:
    """Drill for the shank through the held member: the next 1/64 in over it (common practice), exact grid."""
    return ceil(screw_diameter(number) * 64) * (INCH // 64)


def least_penetration(number: int) -> int:
    """Thread in the main member from which the lateral formulas apply, 6 D, exact grid, rounded up."""
    return ceil(LATERAL_PENETRATION * (60 + 13 * number) * INCH / 1000)


@dataclass(frozen=True, slots=True)
class Distances:
    """Least distances of a screw, exact grid, rounded up.

    Attributes
    ----------
    edge : int
        To an edge along the grain.
    end_pulled, end_pushed : int
        To an end that the load pulls towards, or pushes away from.
    in_row : int
        Between screws along the grain.
    across : int
        Between screws across the grain.
    """

    edge: int
    end_pulled: int
    end_pushed: int
    in_row: int
    across: int


def distances(number: int, *, drilled: bool = True) -> Distances:
    """Edge, end and spacing distances that avoid splitting, in diameters (NDS Commentary tables, from memory).

    Parameters
    ----------
    number : int
        Screw number.
    drilled : bool
        Whether there is a pilot hole.
    """
    edge, pulled, pushed, row, across = (2.5, 10, 5, 10, 5) if drilled else (2.5, 15, 10, 15, 10)
    return Distances(*(ceil(n * (60 + 13 * number) * INCH / 1000) for n in (edge, pulled, pushed, row, across)))


def withdrawal_allowable(gravity: float, diameter_in: float, thread_in: float = 1.0) -> float:
    """Return the allowable withdrawal from side grain, dry: W = 2850 G^2 D per inch (NDS Eq. 12.2-2).

    Parameters
    ----------
    gravity : float
        Specific gravity G.
    diameter_in : float
        Shank diameter D.
    thread_in : float
        Thread in the main member, inches.

    Returns
    -------
    float
        Pounds-force.
    """
    return ALLOWABLE_WITHDRAWAL * gravity**2 * diameter_in * thread_in


def withdrawal_ultimate(gravity: float, diameter_in: float, thread_in: float = 1.0) -> float:
    """Mean load at which a screw pulls out of side grain: p = 15,700 G^2 D L (Wood Handbook), pounds-force."""
    return ULTIMATE_WITHDRAWAL * gravity**2 * diameter_in * thread_in


def withdrawal_share(grain: Literal["side", "end", "panel edge"]) -> float:
    """Share of the side-grain withdrawal that may be counted on.

    Nothing from end grain (NDS forbids such a load) nor from the edge of a panel (a house rule: plies split); the
    Wood Handbook's 75 % for end grain is a test mean, not a design value.
    """
    return 1.0 if grain == "side" else 0.0


def lateral_group(group: int, diameter_in: float) -> float:
    """Return the allowable lateral load of the older rule, p = C D^2 (Eq. 6.38 and Table 6.2), pounds-force."""
    return _LATERAL_GROUPS[group] * diameter_in**2


def lateral_handbook(gravity: float, diameter_in: float) -> float | None:
    """Lateral load p = K D^2 of the Wood Handbook for softwoods (from memory), pounds-force.

    Each K is 4/3 of the older rule's C. None outside the specific gravities 0.29 to 0.52 that it lists.
    """
    for low, below, coefficient in _LATERAL_BY_GRAVITY:
        if low <= gravity < below:
            return coefficient * diameter_in**2
    return None


def pull_through_allowable(gravity: float, head_in: float, thickness_in: float) -> float:
    """Return the allowable load of a round head through the held member.

    690 pi D_H G^2 t up to t = 2.5 D_H, then 1725 pi D_H^2 G^2 (NDS 2018, 12.2.5, from memory; the two branches meet).

    Parameters
    ----------
    gravity : float
        Specific gravity of the held member.
    head_in : float
        Diameter of the head or of the washer under it.
    thickness_in : float
        Thickness under the head.

    Returns
    -------
    float
        Pounds-force.
    """
    if thickness_in <= 2.5 * head_in:
        return 690 * pi * head_in * gravity**2 * thickness_in
    return 1725 * pi * head_in**2 * gravity**2
