"""Reach: how large the faces of a crate would be, by which the shop's rules choose between plain and battened ones."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from nesting.base.measure import INCH, MM
from nesting.base.own_length import OwnLength
from nesting.crates.load import arrange
from nesting.crates.shells.frame import framed
from nesting.crates.shells.seams import Stock
from nesting.crates.traits import Packing

FREE: Final = OwnLength(INCH // 2, 12 * MM)
"""Least room between the pieces and the liner of a frame that is smaller than the shop's rule has it, each side:
fingers reach in (our habit)."""
_SHARES: Final = (1, 2, 3)
"""How many faces may lie side by side along a side of a sheet."""


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


def smaller_frames(packing: Packing, stocks: Sequence[Stock]) -> Iterator[int]:
    """Yield by how much frames are larger than the pieces that bring a side of the faces within one of a sheet.

    Or within a half or a third of one, so that several lie side by side. The largest first; none that is not smaller
    than the shop's rule has it, or leaves no room beside the liner.
    """
    shop = packing.shop
    together = arrange(packing.pieces, shop)
    wood, liner = shop.good(shop.frame.frame_good).thickness, shop.good(shop.frame.liner_good).thickness
    least = max(2 * (wood + liner + shop.own(FREE)), shop.frame.larger_by - shop.frame.smaller_by)
    step = 2 * shop.joinery.snap
    sides = {
        (side - (share - 1) * stock.kerf) // share
        for stock in stocks
        for size in stock.sizes
        for side in size
        for share in _SHARES
    }
    found = {(side - across) // step * step for side in sides for across in (together.width, together.height)}
    yield from (by for by in sorted(found, reverse=True) if least <= by < shop.frame.larger_by)


def brought_within(packing: Packing, stocks: Sequence[Stock]) -> Packing:
    """Return a packing whose faces come out of one sheet of each stock, its frame smaller where that is enough.

    The packing as it is where they do anyhow, or where no smaller frame is enough.
    """
    if all(stock.fits(*faces_of(packing)) for stock in stocks):
        return packing
    sure = [stock.sure for stock in stocks]
    for by in smaller_frames(packing, sure):
        tried = framed(replace(packing, shell=replace(packing.shell, larger_by=by)))
        if all(stock.fits(*faces_of(tried)) for stock in sure):
            return tried
    return packing
