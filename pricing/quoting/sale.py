"""The way from an artist's price, a commission and the cost of shipping to a list price."""

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from nesting.order import Artwork, Order
from pricing.money import half_up
from pricing.quoting.taxes import TaxRule, tax_rule
from pricing.studio.destinations import Destination
from pricing.studio.rates import Payer, Rates, SaleRules

Said = Literal["piece", "order", "place", "rates"]
"""Who says a commission: the piece's row, the order, the destination, or the rates for all."""
SAID: Final[dict[Said, str]] = {"piece": "piece", "order": "order", "place": "destination", "rates": "rates"}
"""The same, in words."""


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
    said : {"piece", "order", "place", "rates"}
        Who says the commission.
    art_tax : Decimal
        Rate of the tax on the list price where it goes.
    tax_name : str
        What that tax is called; empty for what was kept before places had their own.
    untaxed : str
        Why nothing is taxed where it goes; empty where it is taxed, or where the rate is 0 as typed.
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
    said: Said = "rates"
    art_tax: Decimal = Decimal(0)
    tax_name: str = ""
    untaxed: str = ""


def who_says(copy: Artwork, order: Order, place: Destination) -> Said:
    """Return who says the commission on a piece: what is nearest to it is heard first."""
    if copy.commission is not None:
        return "piece"
    if order.commission is not None:
        return "order"
    return "rates" if place.terms.commission is None else "place"


def sale_rules(copy: Artwork, order: Order, place: Destination, rates: Rates) -> SaleRules:
    """Return the rules of a piece's sale: commission, payer and tax as piece, order, place and rates say, in turn."""
    said = {
        "piece": copy.commission, "order": order.commission, "place": place.terms.commission,
        "rates": rates.sale.commission,
    }[who_says(copy, order, place)]  # fmt: skip
    payer = place.terms.paid_by or rates.sale.shipping_paid_by
    commission = rates.sale.commission if said is None else said
    return SaleRules(commission, payer, tax_rule(place, rates).art)


def sold(copy: Artwork, order: Order, place: Destination, rates: Rates, shipping: Decimal) -> SalePrice:
    """Return the sale price of a piece that has an artist's price, by what holds where it goes.

    Parameters
    ----------
    shipping : Decimal
        S, what packing and shipping this piece costs, with the tax on it. Where the list price bears S and is taxed
        itself, that tax is taxed again, and the quote tells it (lack ``taxed``): right where somebody else bills the
        packing; who sells at the list price alone has ``art`` taxed and nothing else.
    """
    rule: TaxRule = tax_rule(place, rates)
    made = sale_price(copy.piece, copy.price or Decimal(0), shipping, sale_rules(copy, order, place, rates))
    return replace(made, said=who_says(copy, order, place), tax_name=rule.name, untaxed=rule.reason)


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
        art_tax=rules.art_tax,
    )


def list_price(price: Decimal, shipping: Decimal, commission: Decimal) -> Decimal:
    """Return P' = P + S / (1 - c), rounded half up to the cent."""
    return half_up(Fraction(price) + Fraction(shipping) / (1 - Fraction(commission)))
