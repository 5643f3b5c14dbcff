"""Reach: how large the faces of a crate would be, by which the shop's rules choose between plain and battened ones."""

from nesting.crates.load import arrange
from nesting.crates.shells.seams import Stock
from nesting.crates.traits import Packing


def reach_of(packing: Packing) -> int:
    """Return the longer side of all pieces as they hang together."""
    together = arrange(packing.pieces, packing.shop)
    return max(together.width, together.height)


def faces_of(packing: Packing) -> tuple[int, int]:
    """Return width and height of back and lid."""
    together, more = arrange(packing.pieces, packing.shop), packing.shop.frame.larger_by
    return together.width + more, together.height + more


def within_sheets(packing: Packing) -> bool:
    """Whether back and lid come out of one sheet each."""
    shop, outside = packing.shop, faces_of(packing)
    return all(Stock.of(shop.good(name), shop.saw).fits(*outside) for name in (shop.frame.back_light, shop.frame.lid))
