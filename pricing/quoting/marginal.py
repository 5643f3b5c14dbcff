"""Marginal price: what one more piece adds, by building the order with and without it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Protocol

from nesting.build import Build
from nesting.order import Artwork, Order
from pricing.quoting.quote import Quote, quote


class Rebuild(Protocol):
    """Builds a changed order; its searches should start from the layouts of the given build."""

    def __call__(self, order: Order, start: Build, /) -> Build:
        """Build the order."""


@dataclass(frozen=True, slots=True)
class Marginal:
    """What one more piece costs.

    Attributes
    ----------
    piece : str
        The line of the order; of several copies, one.
    without : Decimal
        Total of the same order without it.
    price : Decimal
        Total less ``without``; never less than nothing, because the work with the piece does for the order without it.
    """

    piece: str
    without: Decimal
    price: Decimal


def marginal_price(
    piece: str, build: Build, total: Decimal, rebuild: Rebuild, price_of: Callable[[Build], Decimal]
) -> Marginal:
    """Price one more piece by building the order with and without it.

    Parameters
    ----------
    piece : str
        A line of the order, not a copy.
    build : Build
        The order with it.
    total : Decimal
        Its total.
    rebuild : Rebuild
        Builds the order without it, starting from the layouts with it.
    price_of : callable
        The total of a build.
    """
    rest = order_without(build.order, piece)
    if rest is None:
        return Marginal(piece, Decimal("0.00"), total)
    without = min(total, price_of(rebuild(rest, build)))
    return Marginal(piece, without, total - without)


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


def marginal_prices(priced: Quote, rebuild: Rebuild) -> tuple[Marginal, ...]:
    """Return the marginal price of every line of a quote's order, each built once without one copy of it.

    A line of which a crate is held has none: the total lacks it.
    """

    def price_of(build: Build) -> Decimal:
        return quote(build, priced.office, on=priced.on, charge=priced.charge).total

    held = priced.build.held_pieces
    return tuple(
        marginal_price(artwork.piece, priced.build, priced.total, rebuild, price_of)
        for artwork in priced.build.order.artworks
        if not any(copy.piece in held for copy in artwork.copies())
    )
