"""Tilt: how far what stands may lean before it falls, from the place of its centre of gravity.

The tilt that a crate in transit must bear is the shop's rule; 20 degrees is the tip test of MIL-STD-1660A, 5.4.5.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import atan2, ceil, degrees, radians, tan

from nesting.advice.check import Check, compare
from nesting.base.measure import UnitSystem

SOURCE = "tip test of MIL-STD-1660A, 5.4.5; angle by statics"
FORMULA = "atan(centre of gravity to the edge it falls over / its height), the least of all sides"


def least_half(tilt: float, height: int) -> int:
    """Return how far the edge must be from below the centre of gravity to bear a tilt in degrees."""
    if not 0 <= tilt < 90 or height < 0:
        raise ValueError(f"found a tilt of {tilt} and a height of {height}; accepted: 0 to 90, and 0 or more")
    return ceil(tan(radians(tilt)) * height)


def tilt_of(halves: Sequence[int], height: int) -> float:
    """Return the tilt in degrees at which it falls.

    Parameters
    ----------
    halves : sequence of int
        From below the centre of gravity to each edge that it may fall over; below zero where it lies beyond one.
    height : int
        Of the centre of gravity above the floor.
    """
    if height <= 0 or not halves:
        raise ValueError("what stands has edges and a centre of gravity above the floor")
    return max(0.0, degrees(atan2(min(halves), height)))


# arguments: the figures, and what is said of them, by keyword
def check_tilt(
    tilt: float,
    angle: float,
    *,
    note: str,
    would_pass: str = "",
    watched: bool = False,
    units: UnitSystem = "inch",
) -> Check:
    """Hold the tilt that is asked for against the one at which it falls.

    Parameters
    ----------
    tilt, angle : float
        Degrees.
    watched : bool
        Whether it stands only while people keep it strapped to something.
    """
    check = compare(
        "standing",
        tilt,
        angle,
        "deg",
        formula=FORMULA,
        source=SOURCE,
        limits="rigid, level floor, at rest or gently moved; toppling harms thin panels more than a drop (Getty, 1998)",
        note=note,
        structure=True,
    ).in_system(units)
    if check.verdict == "fails":
        return replace(check, would_pass=would_pass)
    return replace(check, verdict="watch") if watched else check
