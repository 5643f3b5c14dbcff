"""Bolts through wood: what bears under head, washer or T-nut, and what a handle and a skid's bolt hold by it.

Inches and pounds-force inside. Standard cut washers bear on 0.365 sq in (1/4 in bolt) and 0.635 sq in (3/8 in); a
carriage bolt has no washer under its head, which bears on the ring round its square neck. What wood allows across its
face is that of Group 1 plywood, 340 psi. All of them from memory, with the arithmetic as a cross-check.
"""

from math import pi
from typing import Final

from nesting.advice import eurocode
from nesting.advice.check import Check, compare, said
from nesting.base.measure import UnitSystem

BEARING_PSI: Final = 340.0
"""What Group 1 plywood bears across its face (APA, from memory)."""

_ALLOWED: Final = eurocode.allowed(eurocode.UNDER_WASHER * eurocode.CLASSES["C24"].across, 0.9)
_BY_EN: Final = (
    "[[|; beside it EN 1995-1-1, 8.5.2 (2), on C24: 3 x 2.5 N/mm2 x 0.9 / (1.3 x 1.5) = "
    f"{_ALLOWED:.2f} N/mm2, from memory]]"
)

FACTOR: Final = 2.0
"""Of safety where a bolt is pulled by prying (common practice, no source)."""

_WASHERS: Final = {0.25: (0.75, 0.3125), 0.375: (1.0, 0.4375), 0.5: (1.375, 0.5625)}
"""Outside and hole of a standard cut washer by its bolt (ASME sizes, from memory)."""

_HEADS: Final = {0.375: 0.83}
_HEAD: Final = 2.2
"""Width of a carriage bolt's head: by its bolt, else in diameters (ASME B18.5, from memory)."""

EDGE: Final = 1.5
"""Least distance of a bolt to an edge, in diameters (NDS)."""

END: Final = 4.0
"""Least distance to an end, and between bolts (NDS)."""


def washer_area(diameter_in: float) -> float:
    """Return what a cut washer, or the flange of a T-nut of that size, bears on, in square inches.

    A bolt of another size has a washer three diameters wide.
    """
    outer, hole = _WASHERS.get(diameter_in, (3 * diameter_in, diameter_in + 0.0625))
    return pi / 4 * (outer**2 - hole**2)


def head_area(diameter_in: float) -> float:
    """Return what a carriage bolt's head bears on round its neck hole, in square inches."""
    return pi / 4 * (_HEADS.get(diameter_in, _HEAD * diameter_in) ** 2 - diameter_in**2)


def pull_allowed(area: float, bolts: int = 1) -> float:
    """Return what bolts hold before head, washer or T-nut sinks into the wood, in pounds-force."""
    return bolts * area * BEARING_PSI


def check_handles(
    share_lb: float, factor: float, rated_lb: float, units: UnitSystem = "inch", *, structure: bool = False
) -> Check:
    """Hold a handle's share of the gross weight, with its factor, against what its maker allows.

    Parameters
    ----------
    share_lb : float
        What one handle lifts.
    factor : float
        So many times that it must bear.
    rated_lb : float
        What its maker allows; 0 where nobody states it.
    structure : bool
        Whether a failing check holds the crate.
    """
    note = f"share {said(share_lb, 'lb', units)} times {factor:g}"
    if not rated_lb:
        note += "; nobody states what the handle bears: ask its maker before anybody lifts by it"
    return compare(
        "handles",
        factor * share_lb,
        rated_lb,
        "lb",
        formula="factor x gross weight / lifters <= rated load of a handle",
        source="common practice, no source",
        limits="lifted evenly and slowly; jerks, stairs and drops not looked at",
        note=note,
        structure=structure,
        worked=("{} x {} lb = {} lb against {} lb", factor, share_lb, factor * share_lb, rated_lb),
    ).in_system(units)


def check_pull_through(
    share_lb: float, factor: float, bolts: int, diameter_in: float, units: UnitSystem = "inch"
) -> Check:
    """Hold the same against what the T-nuts behind a handle bear before they pull through block and stile."""
    return compare(
        "handles, pull-through",
        factor * share_lb,
        pull_allowed(washer_area(diameter_in), bolts),
        "lbf",
        formula="factor x share <= bolts x flange area x [[340 psi|2.344 N/mm2]]",
        source=f"bearing of Group 1 plywood and cut washer of ASME, both from memory{_BY_EN}",
        limits="flange of a T-nut as wide as a cut washer; block glued to the stile; dry wood",
        worked=(
            "{} x {} lb[[| x 9.807]] = {} lbf against {} x {} sq in[[| x 100]] x {} psi = {} lbf",
            factor,
            share_lb,
            factor * share_lb,
            bolts,
            washer_area(diameter_in),
            BEARING_PSI,
            pull_allowed(washer_area(diameter_in), bolts),
        ),
        in_si="N/mm2",
    ).in_system(units)


def prying(gross_lb: float, over_in: float, lever_in: float) -> float:
    """Return the pull on a skid's bolt when a crate rocks onto the ends of its two longer skids, in pounds-force.

    All of the weight then bears on both ends: T = (W / 2) over / lever, about the crate's lower edge.
    """
    return gross_lb / 2 * over_in / lever_in


def check_prying(
    gross_lb: float, over_in: float, lever_in: float, diameter_in: float, units: UnitSystem = "inch"
) -> Check:
    """Hold the pull on the bolts of longer skids against what their heads bear on the block inside."""
    return compare(
        "skid bolts, prying",
        FACTOR * prying(gross_lb, over_in, lever_in),
        pull_allowed(head_area(diameter_in)),
        "lbf",
        formula="2 (W / 2) over / lever <= head area x [[340 psi|2.344 N/mm2]]",
        source="statics; bearing of Group 1 plywood and head of ASME B18.5, from memory; factor 2 common practice"
        f"{_BY_EN}",
        limits="one bolt of each skid taken to hold, the farther one; slow rocking",
        worked=(
            "{} x ({} lb[[| x 9.807]] / 2) x {} in / {} in = {} lbf against {} sq in[[| x 100]] x {} psi = {} lbf",
            FACTOR,
            gross_lb,
            over_in,
            lever_in,
            FACTOR * prying(gross_lb, over_in, lever_in),
            head_area(diameter_in),
            BEARING_PSI,
            pull_allowed(head_area(diameter_in)),
        ),
        in_si="N/mm2",
    ).in_system(units)
