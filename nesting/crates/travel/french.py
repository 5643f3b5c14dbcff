"""French cleats: two halves from one blank by one bevelled rip; one is screwed to a slat, the other to the piece.

The halves hook into each other along a bevel of 45 degrees. The half that hangs the piece has its short face on the
slat and leans outwards; the half on the piece has its short face on the piece. Screws stand at the centre of the
short face, clear of the bevel.
"""

from dataclasses import dataclass

from nesting.base.own_length import whole, whole_up
from nesting.crates.bench import Bench
from nesting.crates.model import Box, Placed
from nesting.cutting.sawing.bevels import bevel_kerf


def blank_width(width: int, thickness: int, kerf: int, grain: int = 1) -> int:
    """Return how wide the blank of a pair is: 2 w - t + 1.414 k, to the next grain.

    Parameters
    ----------
    width : int
        Long face of each half, w.
    thickness : int
        Real thickness t of the stock.
    kerf : int
        Kerf k of the saw.
    grain : int
        Finest step of parts (:func:`nesting.base.own_length.grain_of`): what it adds stays on the half off the fence.

    Raises
    ------
    ValueError
        If the stock is as thick as the face is wide: a half would have no short face to screw through.
    """
    if width <= thickness:
        raise ValueError(f"a French cleat {width} wide from stock {thickness} thick has no short face")
    return whole_up(2 * width - thickness + bevel_kerf(kerf), grain)


@dataclass(frozen=True, slots=True)
class Pair:
    """A pair of halves hooked together, seen from the front.

    Attributes
    ----------
    name : str
        Short name of the blank, such as ``"french-cleat-high"``.
    y, z : int
        Lower edge of the hanging half; face of the slat that it lies on.
    width, thickness : int
        Long face w and thickness t.
    runs : tuple of (int, int)
        Where it begins and how long it is, left to right; more than one where a splice in the slat is in the way.
    joints : tuple of int
        Of the slat behind, with two more screws on either side of each in both halves.
    grain : int
        Finest step of where screws stand, and of how wide blanks are.
    """

    name: str
    y: int
    z: int
    width: int
    thickness: int
    runs: tuple[tuple[int, int], ...]
    joints: tuple[int, ...] = ()
    grain: int = 1

    @property
    def short(self) -> int:
        """Height of the short face."""
        return self.width - self.thickness

    @property
    def height(self) -> int:
        """Height of both halves hooked together."""
        return self.width + self.short

    @property
    def hanging_line(self) -> int:
        """Height of the screws of the half that hangs the piece."""
        return self.y + whole(self.short // 2, self.grain)

    @property
    def piece_line(self) -> int:
        """Height of the screws of the half on the piece."""
        return self.y + self.width + whole(self.short // 2, self.grain)

    @property
    def hanging_profile(self) -> tuple[tuple[int, int], ...]:
        """Outline (y, z) of the half that hangs the piece: its short face lies on the slat."""
        y, z, front = self.y, self.z, self.z + self.thickness
        return ((y, z), (y + self.short, z), (y + self.width, front), (y, front))

    @property
    def piece_profile(self) -> tuple[tuple[int, int], ...]:
        """Outline (y, z) of the half on the piece: its short face lies on the piece."""
        low, top = self.y + self.short, self.y + self.height
        z, front = self.z, self.z + self.thickness
        return ((low, z), (top, z), (top, front), (self.y + self.width, front))

    def place(self, bench: Bench, good: str, kerf: int) -> tuple[str, ...]:
        """Put a blank for each run on the bench and both of its halves where they go; return the blanks' names."""
        wide = blank_width(self.width, self.thickness, kerf, self.grain)
        names = []
        for x, length in self.runs:
            name = bench.panel(
                self.name,
                good,
                Box(x, self.y, self.z, length, wide, self.thickness),
                "french cleat",
                flat="z",
                along="x",
            )
            blank = bench.placed.pop()
            low = Box(x, self.y, self.z, length, self.width, self.thickness)
            high = Box(x, self.y + self.short, self.z, length, self.width, self.thickness)
            bench.placed += [
                Placed(name, blank.index, low, "french cleat", self.hanging_profile, "hanging"),
                Placed(name, blank.index, high, "french cleat", self.piece_profile, "piece"),
            ]
            names.append(name)
        return tuple(names)
