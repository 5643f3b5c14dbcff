"""Shares: which part of every amount each artwork bears, to the cent; marginal prices; and the way into a sale price.

An amount is divided by the largest remainder method (Hamilton 1792; Balinski and Young, *Fair Representation*, 1982):
every part gets its quota rounded down to the cent, and the cents left over go to the largest remainders, so that the
parts sum to the amount always. A tie goes to the piece that earlier roundings left short the most, then to the earlier piece.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Protocol

from nesting.build import Build
from nesting.crates.model import Box, Crate
from nesting.order import Artwork, Order
from pricing.money import cents, from_cents, half_up
from pricing.rates import Payer, SaleRules

Weights = Mapping[str, Fraction]


def apportion(amount: Decimal, weights: Weights, short: dict[str, Fraction] | None = None) -> dict[str, Decimal]:
    """Divide an amount by weights so that the parts sum to it to the cent.

    Parameters
    ----------
    amount : Decimal
        Whole hundredths; may be negative (a discount).
    weights : mapping of str to Fraction
        Zero or more each; equal parts where all are zero.
    short : dict of str to Fraction, optional
        What earlier roundings took from each, in cents; decides ties and is brought up to date, so that equal pieces stay
        within a cent of each other over many amounts.

    Returns
    -------
    dict of str to Decimal
        A part for every key, in the order of the weights.
    """
    if not weights:
        raise ValueError("nobody to bear the amount")
    if min(weights.values()) < 0:
        raise ValueError("a weight must not be negative")
    short = {} if short is None else short
    whole = sum(weights.values())
    if not whole:
        weights, whole = dict.fromkeys(weights, Fraction(1)), Fraction(len(weights))
    count, sign = abs(cents(amount)), (-1 if amount < 0 else 1)
    quotas = {key: count * weight / whole for key, weight in weights.items()}
    parts = {key: quota.numerator // quota.denominator for key, quota in quotas.items()}
    order = sorted(weights, key=lambda key: (parts[key] - quotas[key], -sign * short.get(key, Fraction(0))))
    for key in order[: count - sum(parts.values())]:
        parts[key] += 1
    for key, quota in quotas.items():
        short[key] = short.get(key, Fraction(0)) + sign * (quota - parts[key])
    return {key: from_cents(sign * part) for key, part in parts.items()}


def piece_weights(crates: Sequence[Crate]) -> dict[str, dict[str, Fraction]]:
    """Return, for each crate, each piece's part of it.

    A crate with one piece is that piece's. A set's crate is shared by the volume of its pieces, an outer case by the
    volume of the travel frames that ride in it, each frame's part going to its own pieces.
    """
    own: dict[str, dict[str, Fraction]] = {}
    frames: dict[str, list[Crate]] = {}
    for crate in crates:
        if crate.inside_of is not None:
            frames.setdefault(crate.inside_of, []).append(crate)
        if crate.method != "outer":
            own[crate.crate] = _by_volume(crate.pieces, dict(crate.pieces_placed))
    for crate in crates:
        if crate.method == "outer":
            own[crate.crate] = _of_frames(crate, frames.get(crate.crate, []), own)
    return own


def _by_volume(pieces: Sequence[str], boxes: Mapping[str, Box]) -> dict[str, Fraction]:
    """Share by volume where every piece's cuboid is known, else equally."""
    if all(piece in boxes for piece in pieces):
        whole = sum(boxes[piece].volume for piece in pieces)
        return {piece: Fraction(boxes[piece].volume, whole) for piece in pieces}
    return {piece: Fraction(1, len(pieces)) for piece in pieces}


def _of_frames(case: Crate, inside: Sequence[Crate], own: Mapping[str, Mapping[str, Fraction]]) -> dict[str, Fraction]:
    """Share an outer case among its travel frames by volume."""
    if not inside:
        return _by_volume(case.pieces, dict(case.pieces_placed))
    volumes = [frame.outside.width * frame.outside.height * frame.outside.depth for frame in inside]
    shares: dict[str, Fraction] = {}
    for frame, volume in zip(inside, volumes, strict=True):
        for piece, part in own[frame.crate].items():
            shares[piece] = shares.get(piece, Fraction(0)) + part * Fraction(volume, sum(volumes))
    return shares


def to_pieces(by_crate: Weights, pieces: Mapping[str, Weights], everyone: Sequence[str]) -> dict[str, Fraction]:
    """Turn crates' parts of an amount into pieces' parts, for every piece, zeros included."""
    weights = dict.fromkeys(everyone, Fraction(0))
    for crate, part in by_crate.items():
        for piece, share in pieces[crate].items():
            weights[piece] += part * share
    return weights


@dataclass(frozen=True, slots=True)
class Share:
    """What one artwork bears.

    Attributes
    ----------
    piece, title : str
        The artwork; a copy has a share of its own.
    crate : str
        The crate that it rides in.
    columns : mapping of str to Decimal
        Its part of every section and step, in the order of the quote; they sum to ``total``.
    total : Decimal
        All that it bears. Over all pieces the totals sum to the quote's.
    """

    piece: str
    title: str
    crate: str
    columns: Mapping[str, Decimal]
    total: Decimal


@dataclass(frozen=True, slots=True)
class SalePrice:
    """From an artist's price to what a buyer pays.

    Attributes
    ----------
    piece : str
        The artwork.
    artist_price : Decimal
        P, the list price that the artist would ask without packing and shipping.
    shipping : Decimal
        S, what packing and shipping this piece costs.
    commission : Decimal
        c, the gallery's part of the list price.
    paid_by : {"list price", "buyer", "artist", "gallery"}
        Who bears S.
    list_price : Decimal
        P' = P + S / (1 - c) where the list price bears it, else P.
    gallery : Decimal
        What the gallery keeps, after shipping where it pays it.
    artist : Decimal
        What the artist nets after packing and shipping.
    tax : Decimal
        Sales tax on the list price; it bears no commission.
    delivered : Decimal
        What the buyer pays in all.
    """

    piece: str
    artist_price: Decimal
    shipping: Decimal
    commission: Decimal
    paid_by: Payer
    list_price: Decimal
    gallery: Decimal
    artist: Decimal
    tax: Decimal
    delivered: Decimal


def sale_price(piece: str, price: Decimal, shipping: Decimal, rules: SaleRules) -> SalePrice:
    """Work the cost of packing and shipping into a sale price.

    With commission c, a list price P' = P + S / (1 - c) nets the artist P (1 - c) after paying S: 1000 at 50 % with
    100 to ship lists at 1200, not 1100. Rounded half up to the cent, so the net can differ by half a cent.
    """
    c = rules.commission
    price = half_up(price)
    payer = rules.shipping_paid_by
    listed = list_price(price, shipping, c) if payer == "list price" else price
    kept = half_up(listed * c)
    artist = listed - kept - (shipping if payer in ("list price", "artist") else 0)
    gallery = kept - (shipping if payer == "gallery" else 0)
    tax = half_up(listed * rules.art_tax)
    delivered = listed + tax + (shipping if payer == "buyer" else 0)
    return SalePrice(piece, price, shipping, c, payer, listed, gallery, artist, tax, delivered)


def list_price(price: Decimal, shipping: Decimal, commission: Decimal) -> Decimal:
    """Return P' = P + S / (1 - c), rounded half up to the cent."""
    return half_up(Fraction(price) + Fraction(shipping) / (1 - Fraction(commission)))


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
