"""Tipping: how far a crate may be tilted before it falls, and what it can be strapped to where that is too little.

The tip test of MIL-STD-1660A, 5.4.5, asks for a tip-over test only of a load that tips when an edge is lifted to
20 degrees; the shop's rule takes that as the tilt that a crate must stand. Angles are statics: the centre of gravity
passes over the edge at atan(half the base / its height).
"""

from dataclasses import replace
from math import atan2, ceil, degrees, radians, tan
from typing import Final

from nesting.advice.check import Check, compare
from nesting.base.measure import INCH

_STEP: Final = INCH // 2


def tips_at(half: int, high: int) -> float:
    """Return the tilt in degrees at which what has its centre of gravity so far inside its base and so high falls."""
    return degrees(atan2(max(0, half), high)) if high > 0 else 90.0


def half_for(tilt: float, high: int) -> int:
    """Return how far inside its base a centre of gravity of that height must lie to stand a tilt, rounded up."""
    return ceil(tan(radians(tilt)) * high)


def frame_base(tilt: float, high: int, depth: int, step: int = _STEP) -> int:
    """Return how deep an A-frame must be under a centre of gravity of that height, in steps: no less than the crate."""
    return max(-(-2 * half_for(tilt, high) // step) * step, -(-depth // step) * step)


def check_standing(tilt: float, angle: float, note: str, would_pass: str = "") -> Check:
    """Hold the angle at which a crate falls against the tilt that it must stand; a failing check holds it."""
    found = compare(
        "standing",
        tilt,
        angle,
        "deg",
        formula="atan(half the base / height of the centre of gravity) >= tilt",
        source="MIL-STD-1660A, 5.4.5 (tip test at 20 degrees); angle by statics",
        limits="slow tilt on a level floor, nothing sliding; straps drawn tight",
        note=note,
        structure=True,
    )
    if found.verdict != "fails":
        return found
    return replace(found, would_pass=would_pass)
