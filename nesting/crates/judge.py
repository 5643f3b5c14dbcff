"""The judge: what a design costs, in whole numbers that somebody hands in; the shop floor itself knows no money."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from nesting.base.measure import MM

_M2: Final = (1000 * MM) ** 2
"""Square grid units in a square metre."""

MINUTES: Final[Mapping[str, int]] = {
    "hole": 250,
    "screw": 200,
    "staple": 50,
    "glue_run": 1500,
    "part": 1500,
    "bolt": 1500,
}
"""Thousandths of a minute for one of each, where nobody times the work: a shop's guess."""


@dataclass(frozen=True, slots=True)
class Bill:
    """What a design takes.

    Attributes
    ----------
    areas : mapping of str to int
        Square grid units of each sheet good.
    each : mapping of str to int
        Pieces, grams or millimetres of what is bought by number.
    work : mapping of str to int
        How often each operation of :data:`MINUTES` is done.
    grams : int
        What all of it weighs.
    """

    areas: Mapping[str, int] = field(default_factory=dict)
    each: Mapping[str, int] = field(default_factory=dict)
    work: Mapping[str, int] = field(default_factory=dict)
    grams: int = 0


@dataclass(frozen=True, slots=True)
class Judge:
    """Whole costs of one of each, in any one unit; what is not named costs nothing but its weight.

    Attributes
    ----------
    areas : mapping of str to int
        Of a square metre of a good.
    each : mapping of str to int
        Of one of what is bought by number.
    minute, gram : int
        Of a minute of work by hand, and of a gram that is carried.
    minutes : mapping of str to int
        Thousandths of a minute of each operation.
    """

    areas: Mapping[str, int] = field(default_factory=dict)
    each: Mapping[str, int] = field(default_factory=dict)
    minute: int = 50
    gram: int = 1
    minutes: Mapping[str, int] = field(default_factory=lambda: dict(MINUTES))

    def hand_minutes(self, bill: Bill) -> float:
        """Return the minutes that the work of a bill takes."""
        return sum(self.minutes.get(name, 0) * count for name, count in bill.work.items()) / 1000

    def cost(self, bill: Bill) -> int:
        """Return what a bill costs, rounded down."""
        areas = sum(self.areas.get(good, 0) * area for good, area in bill.areas.items()) // _M2
        each = sum(self.each.get(good, 0) * count for good, count in bill.each.items())
        work = self.minute * sum(self.minutes.get(name, 0) * count for name, count in bill.work.items()) // 1000
        return areas + each + work + self.gram * bill.grams
