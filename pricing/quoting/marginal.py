"""Marginal price: what one more piece adds, the difference of two quotes: of the order, and of the order without it.

Both are quotes as anybody would ask for them, so that the difference is the one that a studio finds by leaving a line
out of its file and quoting again.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.crates.held import without_named
from nesting.order import Artwork, Order
from pricing.quoting.incomplete import told
from pricing.quoting.quote import Quote

Quoted = Callable[[Order], Quote]
"""Quotes a changed order as the whole one was quoted: on the same day, with the same papers and the same search."""
ENDED: Final = "not worked out: it was ended early"


@dataclass(frozen=True, slots=True)
class Marginal:
    """What one more piece costs.

    Attributes
    ----------
    piece : str
        The line of the order; of several copies, one.
    without : Decimal or None
        Total of the same order without it; None where that is not known.
    price : Decimal or None
        Total less ``without``; less than nothing where the order would be dearer without the piece, as it may be
        where a price break or a case just fits. None where the two totals do not compare.
    why : str
        Why they do not; empty where they do.
    """

    piece: str
    without: Decimal | None
    price: Decimal | None
    why: str = ""


def marginal_price(piece: str, priced: Quote, quoted: Quoted) -> Marginal:
    """Price one more piece by quoting the order without it.

    Parameters
    ----------
    piece : str
        A line of the order, not a copy.
    priced : Quote
        Of the order with it.
    quoted : callable
        Quotes the order without it.
    """
    if priced.incomplete:
        return Marginal(piece, None, None, told(priced.incomplete))
    rest = order_without(priced.build.order, piece)
    if rest is None:
        return Marginal(piece, Decimal("0.00"), priced.total)
    try:
        other = quoted(rest)
    except FaultsFound as found:
        return Marginal(piece, None, None, f"the others cannot be made without it: {found.faults[0].found}")
    if other.build.stopped or priced.build.stopped:
        return Marginal(piece, None, None, ENDED)
    if not priced.compares_with(other):
        unlike = sorted(set(priced.build.held_pieces) ^ set(other.build.held_pieces))
        return Marginal(piece, None, None, told(other.incomplete) or without_named(unlike))
    return Marginal(piece, other.total, priced.total - other.total)


def order_without(order: Order, piece: str) -> Order | None:
    """Return the order with one copy of a line less; None where nothing is left."""
    gone = order.artwork(piece)
    lines: list[Artwork] = []
    for each in order.artworks:
        if each is not gone:
            lines.append(each)
        elif each.quantity > 1:
            lines.append(replace(each, quantity=each.quantity - 1))
    if not lines:
        return None
    left = {each.piece for each in lines} | {copy.piece for each in lines for copy in each.copies()}
    kept = tuple(
        replace(
            each,
            together=tuple(name for name in each.together if name in left),
            apart=tuple(name for name in each.apart if name in left),
        )
        for each in lines
    )
    return replace(order, artworks=kept)


def marginal_prices(priced: Quote, quoted: Quoted, pieces: Collection[str] | None = None) -> tuple[Marginal, ...]:
    """Return the marginal price of every line of a quote's order, or of some, each quoted without one copy of it.

    A line of which a crate is held has none: the total lacks it.
    """
    held = priced.build.held_pieces
    return tuple(
        marginal_price(artwork.piece, priced, quoted)
        for artwork in priced.build.order.artworks
        if (pieces is None or artwork.piece in pieces) and not any(copy.piece in held for copy in artwork.copies())
    )
