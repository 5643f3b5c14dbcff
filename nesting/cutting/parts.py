"""Parts: what is cut, each of one good, with a name, a size and a count.

A part is a value: two equal parts are interchangeable on a layout. Lengths are exact integers (see
:mod:`nesting.base.measure`); nothing here cares about the unit.
"""

from dataclasses import dataclass
from typing import Final, Literal, get_args

Grain = Literal["any", "length"]


_GRAINS: Final = get_args(Grain)


def _counted(*numbers: object) -> bool:
    """Tell quickly whether all are whole numbers above nothing."""
    return all(type(number) is int and number > 0 for number in numbers)


def _refuse(kind: str, name: str, sizes: dict[str, int], count: int) -> None:
    """Raise :class:`ValueError` unless every size and the count are positive integers."""
    if not name:
        raise ValueError(f"a {kind} needs a name")
    for label, value in (*sizes.items(), ("count", count)):
        if isinstance(value, bool) or not isinstance(value, int):
            raise TypeError(f"{kind} {name}: {label} must be an integer, not {value!r}")
        if value <= 0:
            raise ValueError(f"{kind} {name}: {label} must be more than zero, not {value}")


@dataclass(frozen=True, slots=True)
class Part:
    """A rectangle to cut from a sheet good.

    Attributes
    ----------
    name : str
        Unique within an order, such as ``"K1.back"``.
    length, width : int
        Size along and across the grain where ``grain`` is ``"length"``; otherwise either way round.
    good : str
        The sheet good it is cut from; one good is one thickness.
    count : int
        How many are cut.
    grain : {"any", "length"}
        ``"length"`` keeps ``length`` along the sheet's length (the direction of the face grain).
    panel_of : str or None
        The face that a seamed panel belongs to.
    seam : int or None
        Position of the seam that the panel ends at, from the face's left or bottom edge; with ``panel_of``.
    """

    name: str
    length: int
    width: int
    good: str
    count: int = 1
    grain: Grain = "any"
    panel_of: str | None = None
    seam: int | None = None

    def __post_init__(self) -> None:
        if self.name and self.grain in _GRAINS and _counted(self.length, self.width, self.count):
            return  # thousands are made for an order, next to all of them sound
        _refuse("part", self.name, {"length": self.length, "width": self.width}, self.count)
        if self.grain not in _GRAINS:
            raise ValueError(f"part {self.name}: grain must be 'any' or 'length', not {self.grain!r}")


@dataclass(frozen=True, slots=True)
class StickPart:
    """A length to cut from lumber of one section.

    Attributes
    ----------
    name : str
        Unique within an order, such as ``"K3.edge-long"``.
    length : int
        Finished length.
    good : str
        The stick good, such as ``"2x3"``.
    count : int
        How many are cut.
    """

    name: str
    length: int
    good: str
    count: int = 1

    def __post_init__(self) -> None:
        if self.name and _counted(self.length, self.count):
            return
        _refuse("stick part", self.name, {"length": self.length}, self.count)


@dataclass(frozen=True, slots=True)
class RollPart:
    """A rectangle of paper, film or foam to take off a roll.

    Attributes
    ----------
    name : str
        Unique within an order, such as ``"K1.A-01.glassine"``.
    length, width : int
        Size needed after laps; which way round it comes off the roll is chosen where rolls are laid out.
    good : str
        The roll good, such as ``"glassine"``.
    count : int
        How many are taken.
    lap : int
        How much two strips overlap where the roll is narrower than the piece needs.
    """

    name: str
    length: int
    width: int
    good: str
    count: int = 1
    lap: int = 0

    def __post_init__(self) -> None:
        _refuse("roll part", self.name, {"length": self.length, "width": self.width}, self.count)
        if self.lap < 0:
            raise ValueError(f"roll part {self.name}: lap must not be negative, not {self.lap}")


@dataclass(frozen=True, slots=True)
class Piecework:
    """Things used by number: screws, washers, handles, cartons, staples, glue by the gram, tape by the metre.

    Attributes
    ----------
    good : str
        The good, such as ``"screw 10x1-1/4"``.
    count : int
        How many of the good's own use unit (pieces, grams, millimetres: the shop's goods table says which).
    """

    good: str
    count: int

    def __post_init__(self) -> None:
        _refuse("count of", self.good, {}, self.count)
