"""The way from an artist's price, a commission and the cost of shipping to a list price."""

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from nesting.order import Artwork, Order
from pricing.money import half_up
from pricing.quoting.taxes import TaxRule, tax_rule
from pricing.studio.destinations import Destination
from pricing.studio.parties import Party
from pricing.studio.rates import Payer, Rates

Said = Literal["piece", "order", "gallery", "place", "rates"]
"""Who says a commission: the piece's row, the order, the gallery's row, the destination, or the rates for all."""
SAID: Final[dict[Said, str]] = {
    "piece": "piece", "order": "order", "gallery": "gallery", "place": "destination", "rates": "rates",
}  # fmt: skip
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
        Who bears S, or its packing where others bear the rest.
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
    said : {"piece", "order", "gallery", "place", "rates"}
        Who says the commission.
    art_tax : Decimal
        Rate of the tax on the list price where it goes.
    tax_name : str
        What that tax is called; empty for what was kept before places had their own.
    untaxed : str
        Why nothing is taxed where it goes; empty where it is taxed, or where the rate is 0 as typed.
    freight, insurance : Decimal
        What of S the carrier and the insurer are paid.
    freight_by, insurance_by : {"list price", "buyer", "artist", "gallery"} or None
        Who bears these; None, as for what was kept before they could differ, is as ``paid_by`` says.
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
    freight: Decimal = Decimal(0)
    insurance: Decimal = Decimal(0)
    freight_by: Payer | None = None
    insurance_by: Payer | None = None

    @property
    def divided(self) -> bool:
        """Whether several bear S."""
        return {self.freight_by or self.paid_by, self.insurance_by or self.paid_by} != {self.paid_by}

    @property
    def agreed(self) -> "Agreed":
        """Who bears what of S, as it was reckoned."""
        freight, insurance = self.freight_by or self.paid_by, self.insurance_by or self.paid_by
        return Agreed(self.commission, self.paid_by, freight, insurance, self.art_tax)


@dataclass(frozen=True, slots=True)
class Shipping:
    """What packing and shipping one piece costs, with the tax on it: S.

    Attributes
    ----------
    whole : Decimal
        All of it.
    freight, insurance : Decimal
        What of it the carrier and the insurer are paid; marks and tax on them count as packing.
    """

    whole: Decimal
    freight: Decimal = Decimal(0)
    insurance: Decimal = Decimal(0)

    @property
    def packing(self) -> Decimal:
        """The rest of it."""
        return self.whole - self.freight - self.insurance


@dataclass(frozen=True, slots=True)
class Agreed:
    """What holds for the sale of one piece.

    Attributes
    ----------
    commission : Decimal
        c, the seller's part of the list price.
    packing_by, freight_by, insurance_by : {"list price", "buyer", "artist", "gallery"}
        Who bears each part of S.
    art_tax : Decimal
        Rate of the tax on the list price.
    """

    commission: Decimal = Decimal("0.5")
    packing_by: Payer = "list price"
    freight_by: Payer = "list price"
    insurance_by: Payer = "list price"
    art_tax: Decimal = Decimal(0)

    def borne(self, shipping: Shipping, payer: Payer) -> Decimal:
        """Return what of S somebody bears."""
        parts = (
            (self.packing_by, shipping.packing),
            (self.freight_by, shipping.freight),
            (self.insurance_by, shipping.insurance),
        )
        return sum((part for who, part in parts if who == payer), Decimal(0))


@dataclass(frozen=True, slots=True)
class Dealing:
    """All who have a word on the sale of one piece: what is nearest to it is heard first.

    Attributes
    ----------
    copy, order : Artwork, Order
        The piece and its order.
    place : Destination
        Where it goes.
    rates : Rates
        What holds where nobody says anything.
    buyer, gallery : Party or None
        Who buys it, and who sells it.
    """

    copy: Artwork
    order: Order
    place: Destination
    rates: Rates
    buyer: Party | None = None
    gallery: Party | None = None

    @property
    def said(self) -> Said:
        """Who says the commission."""
        return next((who for who, part in self._commissions() if part is not None), "rates")

    @property
    def agreed(self) -> Agreed:
        """What holds: who sells says the commission; buyer, gallery, place and rates, in turn, who bears what."""
        commission = next((part for _, part in self._commissions() if part is not None), self.rates.sale.commission)
        usual = self.place.terms.paid_by or self.rates.sale.shipping_paid_by
        parties = tuple(party for party in (self.buyer, self.gallery) if party is not None)
        return Agreed(
            commission,
            next((each.packing_by for each in parties if each.packing_by), usual),
            next((each.freight_by for each in parties if each.freight_by), usual),
            next((each.insurance_by for each in parties if each.insurance_by), usual),
            tax_rule(self.place, self.rates).art,
        )

    def _commissions(self) -> tuple[tuple[Said, Decimal | None], ...]:
        gallery = self.gallery.commission if self.gallery is not None else None
        return (
            ("piece", self.copy.commission), ("order", self.order.commission), ("gallery", gallery),
            ("place", self.place.terms.commission),
        )  # fmt: skip


def sold(dealing: Dealing, shipping: Shipping) -> SalePrice:
    """Return the sale price of a piece that has an artist's price, by what holds for it.

    Parameters
    ----------
    dealing : Dealing
        All who have a word on it.
    shipping : Shipping
        S, what packing and shipping this piece costs, with the tax on it. Where the list price bears S and is taxed
        itself, that tax is taxed again, and the quote tells it (lack ``taxed``): right where somebody else bills the
        packing; who sells at the list price alone has ``art`` taxed and nothing else.
    """
    rule: TaxRule = tax_rule(dealing.place, dealing.rates)
    made = sale_price(dealing.copy.piece, dealing.copy.price or Decimal(0), shipping, dealing.agreed)
    return replace(made, said=dealing.said, tax_name=rule.name, untaxed=rule.reason)


def sale_price(piece: str, price: Decimal, shipping: Shipping, agreed: Agreed) -> SalePrice:
    """Work the cost of packing and shipping into a sale price.

    With commission c, a list price P' = P + S / (1 - c) nets the artist P (1 - c) after paying S: 1000 at 50 % with
    100 to ship lists at 1200, not 1100. Rounded half up to the cent, so the net can differ by half a cent. Where
    several bear S, each bears its part, and the list price rises by its own alone.
    """
    c = agreed.commission
    price = half_up(price)
    within = agreed.borne(shipping, "list price")
    listed = list_price(price, within, c)
    kept = half_up(listed * c)
    tax = half_up(listed * agreed.art_tax)
    return SalePrice(
        piece=piece,
        artist_price=price,
        shipping=shipping.whole,
        commission=c,
        paid_by=agreed.packing_by,
        list_price=listed,
        gallery=kept - agreed.borne(shipping, "gallery"),
        artist=listed - kept - within - agreed.borne(shipping, "artist"),
        tax=tax,
        delivered=listed + tax + agreed.borne(shipping, "buyer"),
        art_tax=agreed.art_tax,
        freight=shipping.freight,
        insurance=shipping.insurance,
        freight_by=agreed.freight_by,
        insurance_by=agreed.insurance_by,
    )


def list_price(price: Decimal, shipping: Decimal, commission: Decimal) -> Decimal:
    """Return P' = P + S / (1 - c), rounded half up to the cent."""
    return half_up(Fraction(price) + Fraction(shipping) / (1 - Fraction(commission)))
