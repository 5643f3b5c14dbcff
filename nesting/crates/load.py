"""The load of a crate: its pieces, where each hangs, and what they weigh."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from nesting.crates.traits import Packing
from nesting.crates.weigh import PieceWeight, piece_weight
from nesting.order import Artwork
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Hung:
    """One piece in its crate; ``x``, ``y`` is its lower left corner from the frame's outside, seen from the front."""

    artwork: Artwork
    weight: PieceWeight
    x: int
    y: int


@dataclass(frozen=True, slots=True)
class Load:
    """The pieces of one crate.

    Attributes
    ----------
    hung : tuple of Hung
        In the order given: from left to right, or from the bottom up.
    width, height, depth : int
        Of all together.
    """

    hung: tuple[Hung, ...]
    width: int
    height: int
    depth: int

    @property
    def kg(self) -> float:
        """Weight of the pieces."""
        return sum(h.weight.kg for h in self.hung)


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Where the pieces of one crate stand: lower left corners from the frame's outside, and what all take together."""

    places: tuple[tuple[int, int], ...]
    width: int
    height: int


def arrange(pieces: Sequence[Artwork], shop: Shop) -> Arrangement:
    """Set pieces side by side, their lower edges level, or one above the other where that makes a shorter crate.

    The shop's gap stands between the pieces of a set; the first is at the left, or at the bottom.
    """
    border, gap = shop.frame.larger_by // 2, shop.cleats.set_gap
    # Rounded up in a shop by millimetres, so that the crate of a work measured in inches has whole sizes too.
    widths, heights = [shop.whole_up(a.width) for a in pieces], [shop.whole_up(a.height) for a in pieces]
    row = (sum(widths) + gap * (len(pieces) - 1), max(heights))
    stack = (max(widths), sum(heights) + gap * (len(pieces) - 1))

    if max(row) <= max(stack):
        starts = accumulate((w + gap for w in widths[:-1]), initial=border)
        return Arrangement(tuple((x, border) for x in starts), *row)
    starts = accumulate((h + gap for h in heights[:-1]), initial=border)
    asides = [border + shop.whole((stack[0] - w) // 2) for w in widths]
    return Arrangement(tuple(zip(asides, starts, strict=True)), *stack)


def load_of(packing: Packing) -> Load:
    """Hang the pieces of a packing where :func:`arrange` sets them."""
    made = arrange(packing.pieces, packing.shop)
    hung = tuple(
        Hung(artwork, piece_weight(artwork, packing.shop), x, y)
        for artwork, (x, y) in zip(packing.pieces, made.places, strict=True)
    )
    return Load(hung, made.width, made.height, max(a.depth for a in packing.pieces))
