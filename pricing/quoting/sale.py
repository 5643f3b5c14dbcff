"""The way from an artist's price, a commission and the cost of shipping to a list price."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from pricing.money import half_up
from pricing.studio.rates import Payer, SaleRules


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
    return SalePrice(
        piece=piece,
        artist_price=price,
        shipping=shipping,
        commission=c,
        paid_by=payer,
        list_price=listed,
        gallery=gallery,
        artist=artist,
        tax=tax,
        delivered=delivered,
    )


def list_price(price: Decimal, shipping: Decimal, commission: Decimal) -> Decimal:
    """Return P' = P + S / (1 - c), rounded half up to the cent."""
    return half_up(Fraction(price) + Fraction(shipping) / (1 - Fraction(commission)))
