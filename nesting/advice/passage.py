"""Passage: whether a crate goes through the doors, lifts, vans, containers and aircraft on its way.

A crate is turned in steps of a right angle, never tilted on a corner: what passes here passes in practice, and a crate
that does not may still be worked through by hand. Lengths are compared as exact integers. The limits are dated data
for the shop to edit: measure your own door, and ask your carrier.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import permutations
from typing import Literal

from nesting.advice.check import Check, Verdict, table_pounds
from nesting.base.measure import INCH, MM, UnitSystem, inches

Kind = Literal["door", "lift", "van", "container", "aircraft", "gear"]
Side = Literal["width", "height", "depth"]
AS_OF = "2025-26"
_METRE = 1000 * MM


@dataclass(frozen=True, slots=True)
class Way:
    """One allowed attitude of a crate.

    Attributes
    ----------
    up, across, along : {"width", "height", "depth"}
        Which of the crate's own measures stands upright, lies across the opening, and goes through it.
    """

    up: Side
    across: Side
    along: Side


@dataclass(frozen=True, slots=True)
class Limit:
    """An opening, a room, or both.

    Attributes
    ----------
    name : str
        For people.
    kind : {"door", "lift", "van", "container", "aircraft", "gear"}
        What it is.
    door : tuple of int
        Clear width and height of the opening, exact grid; empty where there is none.
    room : tuple of int
        Clear width, height and length behind it, exact grid; empty where there is none.
    most_kg : float or None
        Heaviest crate it takes.
    margin : int
        Room for hands, taken off the opening's width and height.
    source : str
        Where the figures come from.
    as_of : str
        When they were good.
    """

    name: str
    kind: Kind
    door: tuple[int, ...] = ()
    room: tuple[int, ...] = ()
    most_kg: float | None = None
    margin: int = 0
    source: str = "shop's own measure"
    as_of: str = AS_OF

    def __post_init__(self) -> None:
        if len(self.door) not in (0, 2) or len(self.room) not in (0, 3):
            raise ValueError(f"limit {self.name}: a door has a width and a height, a room also a length")
        if not (self.door or self.room or self.most_kg is not None):
            raise ValueError(f"limit {self.name}: limits nothing")
        if any(side <= self.margin for side in self.door) or any(side <= 0 for side in self.room) or self.margin < 0:
            raise ValueError(f"limit {self.name}: leaves no room")


def _door(name: str, width: int, height: int, source: str) -> Limit:
    return Limit(name, "door", door=(width, height), margin=INCH // 2, source=source)


_SLAB = "door pages, quoted; clear width 2 in and clear height 1 in less than the slab (from memory)"
_ISO = "shipping line's page, agreeing with ISO 1496-1 minimum internal sizes"
_FORWARDER = "forwarders' pages, quoted"

LIMITS: dict[str, Limit] = {
    limit.name: limit
    for limit in (
        _door("door 32 x 80 in", 30 * INCH, 79 * INCH, _SLAB),
        _door("door 36 x 80 in", 34 * INCH, 79 * INCH, _SLAB),
        _door("door 36 x 84 in", 34 * INCH, 83 * INCH, _SLAB),
        _door("double door 72 x 80 in", 68 * INCH, 79 * INCH, _SLAB),
        _door("accessible door", 32 * INCH, 79 * INCH, "ADA minimum clear width, quoted; height as a usual door"),
        Limit(
            "passenger lift", "lift", (36 * INCH, 83 * INCH), (68 * INCH, 90 * INCH, 51 * INCH), margin=INCH // 2,
            source="ADA least car and door sizes, from memory; heights usual",
        ),
        Limit(
            "cargo van, high roof", "van", (60 * INCH, 70 * INCH), (53 * INCH, 74 * INCH, 130 * INCH), margin=INCH // 2,
            source="usual size between the wheels, from memory: measure yours",
        ),
        Limit(
            "truck trailer 53 ft", "van", (94 * INCH, 108 * INCH), (98 * INCH, 108 * INCH, 630 * INCH),
            source="trade, from memory",
        ),
        Limit("lift gate", "gear", most_kg=1133.98, source="often 2500 lb or less, trade, from memory"),
        Limit(
            "container 20 ft", "container", (2280 * MM, 2260 * MM), (2330 * MM, 2350 * MM, 5870 * MM), source=_ISO
        ),
        Limit(
            "container 40 ft", "container", (2280 * MM, 2260 * MM), (2330 * MM, 2350 * MM, 12 * _METRE), source=_ISO
        ),
        Limit(
            "container 40 ft high cube", "container", (2280 * MM, 2560 * MM), (2330 * MM, 2650 * MM, 12 * _METRE),
            source=_ISO,
        ),
        Limit(
            "passenger aircraft, wide body", "aircraft", room=(2440 * MM, 1600 * MM, 3180 * MM),
            source=f"{_FORWARDER}: 160 cm in the belly, on a 244 x 318 cm pallet; usable inside the net is less",
        ),
        Limit(
            "passenger aircraft, narrow body", "aircraft", room=(1200 * MM, 40 * INCH, 1600 * MM),
            source=f"{_FORWARDER}: 40 in high on one page, 114 cm on another; footprint from memory: ask",
        ),
        Limit(
            "freighter main deck", "aircraft", room=(2440 * MM, 2440 * MM, 3180 * MM),
            source=f"{_FORWARDER}: 244 cm usual; up to 300 cm through a nose or side door",
        ),
    )
}  # fmt: skip
"""Built-in limits by name; a shop replaces or adds to them."""


@dataclass(frozen=True, slots=True)
class Load:
    """A crate as it travels: outside measures on the exact grid, gross weight, and whether it must stay upright."""

    width: int
    height: int
    depth: int
    gross_kg: float = 0.0
    upright: bool = True
    sides: dict[Side, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if min(self.width, self.height, self.depth) <= 0 or self.gross_kg < 0:
            raise ValueError(f"a crate has extent each way and a weight, unlike {self}")
        sides: dict[Side, int] = {"width": self.width, "height": self.height, "depth": self.depth}
        object.__setattr__(self, "sides", sides)

    def attitudes(self) -> tuple[Way, ...]:
        """Return the ways that it may be turned: two where it must stay upright, else six."""
        order: tuple[Side, ...] = ("height", "width", "depth")
        return tuple(Way(*way) for way in permutations(order) if not self.upright or way[0] == "height")


def _tightness(load: Load, way: Way, limit: Limit) -> tuple[Fraction, Side, int]:
    """Return demand over room where it is tightest, which side that is, and the room there."""
    pairs: list[tuple[Side, int]] = []
    if limit.door:
        width, height = (side - limit.margin for side in limit.door)
        pairs += [(way.up, height), (way.across, width)]
    if limit.room:
        width, height, length = limit.room
        # Behind the door it may be swung round, so the better of both ways round counts.
        straight: list[tuple[Side, int]] = [(way.across, width), (way.along, length)]
        swung: list[tuple[Side, int]] = [(way.along, width), (way.across, length)]
        pairs.append((way.up, height))
        pairs += min((straight, swung), key=lambda ends: max(Fraction(load.sides[s], room) for s, room in ends))
    side, room = max(pairs, key=lambda pair: Fraction(load.sides[pair[0]], pair[1]))
    return Fraction(load.sides[side], room), side, room


def ways(load: Load, limit: Limit) -> tuple[Way, ...]:
    """Return every attitude in which the crate passes, the roomiest first; its weight is not looked at."""
    if not (limit.door or limit.room):
        return load.attitudes()
    rated = [(_tightness(load, way, limit)[0], number, way) for number, way in enumerate(load.attitudes())]
    return tuple(way for tight, _, way in sorted(rated, key=lambda rate: rate[:2]) if tight <= 1)


def passes(load: Load, limit: Limit) -> bool:
    """Return whether the crate passes in some allowed attitude and is not too heavy."""
    return bool(ways(load, limit)) and (limit.most_kg is None or load.gross_kg <= limit.most_kg)


def check_passage(load: Load, limit: Limit, units: UnitSystem = "inch") -> Check:
    """Check one limit in the crate's best attitude; the figures, in these units, are those of the tightest side."""
    formula = "each side <= room for it, turned by right angles" + (", kept upright" if load.upright else "")
    limits = f"clear openings as of {limit.as_of}, not tilted on a corner; corridors and turns not looked at"
    name = f"passage, {limit.name}"
    if limit.most_kg is not None and (load.gross_kg > limit.most_kg or not (limit.door or limit.room)):
        weight, most = table_pounds(load.gross_kg), table_pounds(limit.most_kg)
        verdict: Verdict = "ok" if load.gross_kg <= limit.most_kg else "fails"
        found = Check(
            name=name,
            demand=weight,
            capacity=most,
            unit="lb",
            ratio=weight / most,
            verdict=verdict,
            formula="gross weight",
            source=limit.source,
            limits_of_use=limits,
        )
        return found.in_system(units)
    tight, side, room = min((_tightness(load, way, limit) for way in load.attitudes()), key=lambda rate: rate[0])
    demand, capacity = inches(load.sides[side]), inches(room)
    verdict = "ok" if tight <= 1 else "fails"
    note = f"the {side} decides" + ("" if tight <= 1 else "; lying down it may pass" if _lying(load, limit) else "")
    return Check(
        name=name,
        demand=demand,
        capacity=capacity,
        unit="in",
        ratio=demand / capacity,
        verdict=verdict,
        formula=formula,
        source=limit.source,
        limits_of_use=limits,
        note=note,
    ).in_system(units)


def _lying(load: Load, limit: Limit) -> bool:
    """Return whether a crate that must stay upright would pass if it need not."""
    return load.upright and bool(ways(Load(load.width, load.height, load.depth, load.gross_kg, upright=False), limit))


def refusals(load: Load, limits: Sequence[Limit]) -> tuple[Check, ...]:
    """Return the checks of those limits that the crate does not pass, in the order of the limits."""
    return tuple(check_passage(load, limit) for limit in limits if not passes(load, limit))
