"""Foam curves: what shock a plank of foam lets through at the load that it bears, and what load it likes best.

Foam that is struck by s psi of static stress from a height h, t thick, takes up E = s h / t (in-lb for each cubic inch)
and pushes back with a stress that goes by E alone, whatever height and thickness it comes of (stress-energy method; the
form of the curve is from memory). So one curve gives all: G = stress / s.

For polyethylene plank of about 2 lb/ft3 two points were read, in a foam fabricator's worked example: 2 in of it, struck
from 24 in, let 40 G through at 0.4 and at 1.2 psi alike. The exponential through them, stress = 9.238 exp(0.11444 E),
is a fit to two points and no maker's curve. At its best load, t / (0.11444 h), it has a cushion factor C = G t / h of
2.87; figures of the literature give 2.93 and 3.00 (:mod:`nesting.advice.cushion`), and what is remembered of makers'
curves for the second to fifth drop 4.0 to 4.6, 1.4 to 1.6 times the fit.

**Decided once**: the fit gives the *shape*, how the shock rises to both sides of the best load; the shop's rule
``cushion.factor`` gives the *level*, C at the best load, 3 as built in. Who trusts the makers' curves, or expects
several hard drops, states 4.3 there. Any method of curves is good to 20 % at best (thesis on convoluted foam, MSU 1999,
abstract). Under 0.4 psi and beyond 14.4 in-lb/in3 nothing was read: there it is extrapolation, and is said so.
"""

from dataclasses import dataclass
from math import e, exp
from typing import Final

from nesting.advice.check import KPA_PER_PSI, said
from nesting.base.measure import UnitSystem

_WAYS: Final = 60
"""Halvings in search of a load; far more than floats can tell apart."""


_HARD: Final = 100.0
"""Exponent from which it is no foam any more but a board, and floats would overflow further on."""


@dataclass(frozen=True, slots=True)
class FoamCurve:
    """A stress-energy curve, stress = base exp(rise E), in psi and in-lb/in3.

    Attributes
    ----------
    base_psi, rise : float
        Its two constants.
    read_from_psi : float
        Least static stress of which anything was read; below it is extrapolation.
    read_to : float
        Most energy of which anything was read, in-lb/in3; beyond it the foam may bottom out.
    source : str
        Where it comes from.
    """

    base_psi: float
    rise: float
    read_from_psi: float = 0.0
    read_to: float = 0.0
    source: str = ""

    def __post_init__(self) -> None:
        if min(self.base_psi, self.rise) <= 0:
            raise ValueError(f"found {self.base_psi} exp({self.rise} E); accepted: two constants above 0")

    @property
    def factor(self) -> float:
        """Cushion factor C = G t / h at the best load: base x rise x e, for G is least where s = t / (rise h)."""
        return self.base_psi * self.rise * e

    def stress(self, energy: float) -> float:
        """Return the stress in psi with which it pushes back, having taken up so many in-lb for each cubic inch."""
        return self.base_psi * exp(min(self.rise * energy, _HARD))


PLANK: Final = FoamCurve(
    9.238,
    0.11444,
    0.4,
    14.4,
    "fit through the two points of a foam fabricator's worked example: [[2 in, 24 in, 40 G at 0.4 and 1.2 psi|51 mm, "
    "610 mm, 40 G at 2.76 and 8.27 kPa]]",
)
"""Polyethylene plank of about 2 lb/ft3."""


def energy(drop: int, thickness: int, stress: float) -> float:
    """Return E = s h / t in in-lb/in3; lengths in any one unit, the stress in psi."""
    if thickness <= 0:
        raise ValueError("no foam, no cushion: accepted is a thickness of more than nothing")
    return stress * drop / thickness


def felt(drop: int, thickness: int, stress: float, curve: FoamCurve = PLANK, *, factor: float = 0.0) -> float:
    """Return the shock in G that foam lets through.

    Parameters
    ----------
    drop, thickness : int
        How far it falls, and how thick the foam is, in one unit.
    stress : float
        Static stress on the pads, in psi.
    curve : FoamCurve
        Of the foam.
    factor : float
        Cushion factor at the best load, by which the curve is raised or lowered; 0 leaves it as it was read.
    """
    if stress <= 0:
        raise ValueError(f"found {stress} psi; accepted: a static stress of more than nothing")
    level = factor / curve.factor if factor else 1.0
    return level * curve.stress(energy(drop, thickness, stress)) / stress


def best_stress(drop: int, thickness: int, curve: FoamCurve = PLANK) -> float:
    """Return the static stress in psi at which the least shock comes through, t / (rise h)."""
    if drop <= 0:
        raise ValueError(f"found a drop of {drop}; accepted: more than nothing")
    return thickness / (curve.rise * drop)


def stress_range(
    drop: int, thickness: int, limit: float, curve: FoamCurve = PLANK, *, factor: float = 0.0
) -> tuple[float, float] | None:
    """Return between which static stresses in psi no more than a limit of shock comes through; None where nowhere.

    The shock falls up to the best load and rises beyond it, so that the range is one piece.
    """
    best = best_stress(drop, thickness, curve)
    if felt(drop, thickness, best, curve, factor=factor) > limit:
        return None
    low, high = 0.0, best
    for _ in range(_WAYS):
        middle = (low + high) / 2
        if middle > 0 and felt(drop, thickness, middle, curve, factor=factor) <= limit:
            high = middle
        else:
            low = middle
    least, low, high = high, best, 2 * best
    while felt(drop, thickness, high, curve, factor=factor) <= limit:
        low, high = high, 2 * high
    for _ in range(_WAYS):
        middle = (low + high) / 2
        if felt(drop, thickness, middle, curve, factor=factor) <= limit:
            low = middle
        else:
            high = middle
    return least, low


def extrapolated(drop: int, thickness: int, stress: float, curve: FoamCurve = PLANK, units: UnitSystem = "inch") -> str:
    """Say where nothing was read of the curve at such a load; empty where it was read on both sides of it."""
    if stress < curve.read_from_psi:
        return f"under {said(curve.read_from_psi, 'psi', units)} nothing was read of it: extrapolated"
    if curve.read_to and energy(drop, thickness, stress) > curve.read_to:
        # An in-lb for each cubic inch is a psi, a kJ for each cubic metre a kPa.
        most = f"{curve.read_to:g} in-lb/in3" if units == "inch" else f"{curve.read_to * KPA_PER_PSI:.3g} kJ/m3"
        return f"beyond {most} nothing was read of it: it may bottom out"
    return ""
