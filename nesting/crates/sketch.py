"""A sketch: what one design of a crate takes, worked out without making it."""

from dataclasses import dataclass

from nesting.crates.judge import Bill
from nesting.crates.model import Size
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
        All else: what is bought by number, and work by hand. Its areas hold what is not laid out on sheets.
    """

    outside: Size
    gross_g: int
    parts: tuple[Part, ...]
    sticks: tuple[StickPart, ...]
    bill: Bill
