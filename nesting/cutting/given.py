"""Given: what a job has cut and opened already, so that a later plan lays out only the rest."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from nesting.cutting.parts import Part, StickPart


@dataclass(frozen=True, slots=True)
class OpenSheet:
    """Stock that the job has paid for and that nobody has cut: whole sheets, or what is left of a cut one and free.

    Attributes
    ----------
    good : str
        What it is of.
    name : str
        Unique among the open stock of its good; of a whole sheet, the name of the stock.
    length, width : int
        Its size; a stick has no width (0).
    count : int
        How many there are.
    """

    good: str
    name: str
    length: int
    width: int
    count: int


@dataclass(frozen=True, slots=True)
class Given:
    """What exists before a plan is made.

    Attributes
    ----------
    parts : mapping of str to tuple of Part
        Parts that are cut from sheets already, by good, under the names on their labels.
    sticks : mapping of str to tuple of StickPart
        The same for lumber.
    sheets : tuple of OpenSheet
        Stock that costs nothing any more.
    """

    parts: Mapping[str, tuple[Part, ...]] = field(default_factory=dict)
    sticks: Mapping[str, tuple[StickPart, ...]] = field(default_factory=dict)
    sheets: tuple[OpenSheet, ...] = ()
