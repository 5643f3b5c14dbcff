"""Climate: how much silica gel a closed crate takes for the damp that leaks in on its way, by exchange of its air."""

from nesting.advice.check import Check, inform
from nesting.base.counts import counted
from nesting.base.measure import UnitSystem

SATURATED = 17.3
"""Grams of water in a cubic metre of saturated air at 20 C (physics)."""
TAKES_UP = 35.0
"""Grams of water that a kilogram of regular-density silica gel takes up from 40 to 50 % relative humidity: 3.5 % of its
dry weight (Piechota, WAAC Newsletter 15(1))."""


def water_g(air_m3: float, exchanges: float, days: float, humidity: float) -> float:
    """Return the water in grams that leaks into a crate, or out of it.

    Parameters
    ----------
    air_m3 : float
        Air inside.
    exchanges : float
        How often a day it changes.
    days : float
        How long the crate is closed.
    humidity : float
        Relative humidity by which the air outside differs, percent.
    """
    return air_m3 * exchanges * days * SATURATED * humidity / 100


def gel_kg(air_m3: float, exchanges: float, days: float, humidity: float) -> float:
    """Return the silica gel in kg that holds the air within 10 % relative humidity against that leakage."""
    return water_g(air_m3, exchanges, days, humidity) / TAKES_UP


# arguments: what leaks, and what is put in against it
def check_air(
    air_m3: float, exchanges: float, days: float, humidity: float, bags: str, units: UnitSystem = "inch"
) -> Check:
    """Tell how much silica gel the leakage asks for, and what was put in.

    Parameters
    ----------
    bags : str
        What was put in, for people.
    """
    water = water_g(air_m3, exchanges, days, humidity)
    changes, lasts = counted(exchanges, "change"), counted(days, "day")
    return inform(
        "air inside, humidity",
        f"{air_m3:.3f} m3 of air, {exchanges:g} {changes} a day for {days:g} {lasts}, {humidity:g} % apart: "
        f"{water:.1f} g of water; {bags}",
        demand=gel_kg(air_m3, exchanges, days, humidity),
        unit="kg",
        formula="gel = V x exchanges a day x days x 17.3 g/m3 x dRH / (35 g of water a kg for each 10 % RH)",
        source="gel: Piechota, WAAC Newsletter 15(1), 3.5 % of dry weight from 40 to 50 % RH; water at 20 C: physics; "
        "one exchange a day: from memory",
        limits="20 C, gel conditioned to the piece's own humidity and not dried; leakage, not volume, sets the amount; "
        "the crate's own wood takes up more than the gel (1 kg to 100 litres of air governs them)",
    ).in_system(units)
