"""The load of a crate: its pieces side by side, where each hangs, and what they weigh."""

from dataclasses import dataclass

from nesting.crates.registry import Packing
from nesting.crates.weigh import PieceWeight, piece_weight
from nesting.order import Artwork


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
        From left to right.
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


def load_of(packing: Packing) -> Load:
    """Set the pieces side by side, their lower edges level, so that equal blocks carry them all.

    The shop's gap stands between the pieces of a set.
    """
    shop = packing.shop
    border, gap = shop.frame.larger_by // 2, shop.cleats.set_gap
    hung: list[Hung] = []
    x = border
    for artwork in packing.pieces:
        hung.append(Hung(artwork, piece_weight(artwork, shop), x, border))
        x += artwork.width + gap
    return Load(
        tuple(hung),
        x - gap - border,
        max(a.height for a in packing.pieces),
        max(a.depth for a in packing.pieces),
    )
