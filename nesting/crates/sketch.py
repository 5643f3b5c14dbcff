"""A sketch: what one design of a crate takes, worked out without making it."""

from collections import Counter
from dataclasses import dataclass
from typing import Final

from nesting.crates.judge import Bill
from nesting.crates.model import Crate, Size
from nesting.cutting.parts import Part, StickPart


@dataclass(frozen=True, slots=True)
class Sketch:
    """What a design takes and comes to.

    Attributes
    ----------
    outside : Size
        Of the crate, as it travels.
    gross_g : int
        Its weight with all that is in it, in grams.
    parts : tuple of Part
        Rectangles to saw; the same sizes, goods and counts as the crate that is made of the design.
    sticks : tuple of StickPart
        Lumber to saw, the same.
    bill : Bill
        All else: what is bought by number, and work by hand by the names of :data:`WORK`. Its areas hold what comes off
        rolls, its grams all but the pieces.
    carried : Size or None
        Its outside as it goes through a door, outriggers off; None where nobody worked that out.
    """

    outside: Size
    gross_g: int
    parts: tuple[Part, ...]
    sticks: tuple[StickPart, ...]
    bill: Bill
    carried: Size | None = None


WORK: Final = {
    "hole": "holes",
    "screw": "screws",
    "staple": "staples",
    "glue_run": "glue_runs",
    "wrap": "wraps",
    "mounting": "mountings",
    "assembly": "assemblies",
    "bolt": "bolts",
    "fitting": "fittings",
    "seal": "seals",
}
"""Operations by hand, each with its count in :class:`nesting.crates.model.Work`; ``part`` counts the parts beside."""


def sketch_of(crate: Crate) -> Sketch:
    """Return the sketch of a crate that was made."""
    rolls: Counter[str] = Counter()
    for roll in crate.rolls:
        rolls[roll.good] += roll.width * roll.length * roll.count
    work = {name: getattr(crate.work, many) for name, many in WORK.items()}
    work["part"] = sum(part.count for part in crate.parts) + sum(stick.count for stick in crate.sticks)
    return Sketch(
        outside=crate.outside,
        gross_g=round(crate.gross_kg * 1000),
        parts=crate.parts,
        sticks=crate.sticks,
        bill=Bill(
            areas=dict(rolls),
            each={each.good: each.count for each in crate.piecework},
            work={name: count for name, count in work.items() if count},
            grams=round(crate.tare_kg * 1000),
        ),
        carried=crate.carried,
    )
