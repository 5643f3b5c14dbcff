"""The way home: what carriers ask to bring crates back, reckoned by the same shipments as the way there.

It begins at the gallery and ends at the studio. So nothing is asked for that the gallery's place asks for on delivery
(residential, limited access, inside, a liftgate for want of a dock); what the studio's own place asks for is a rule of
``[delivery]``. Distance, country and carriers are those of the way there, leg by leg from its end. A quotation was for
the way there, and pallets that took crates there take them home.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from nesting.crates.model import Crate
from pricing.money import total
from pricing.quoting.freight import offer
from pricing.quoting.incomplete import WORD, unpaid
from pricing.quoting.lines import declared, insurance_lines
from pricing.quoting.particulars import particulars_of
from pricing.quoting.quote import Quote
from pricing.quoting.shipments import Carriers, Shipment, shipments_to
from pricing.studio.destinations import Destination
from pricing.studio.rates import DeliveryRules


@dataclass(frozen=True, slots=True)
class WayHome:
    """What bringing crates home from one place comes to.

    Attributes
    ----------
    shipments : tuple of Shipment
        As carriers take them; the first is taken at the gallery.
    insurance : Decimal
        Of the pieces that come back, by their declared value.
    missing : tuple of str
        Why its freight is not known; empty where it is.
    """

    shipments: tuple[Shipment, ...]
    insurance: Decimal
    missing: tuple[str, ...] = ()

    @property
    def amount(self) -> Decimal:
        """Freight of all shipments; of those that are refused, nothing."""
        return total(each.chosen.amount for each in self.shipments)

    @property
    def title(self) -> str:
        """By which profiles."""
        return ", ".join(dict.fromkeys(each.chosen.title for each in self.shipments))

    @property
    def estimate(self) -> str:
        """That it is an estimate, and of which day its figures are."""
        return ", ".join(dict.fromkeys(each.chosen.estimate for each in self.shipments))

    @property
    def incomplete(self) -> str:
        """What stands in the place of its amount where that is not known; else empty."""
        return f"{WORD}, refused: {self.missing[0]}" if self.missing else ""


def studio_end(place: Destination, rules: DeliveryRules) -> Destination:
    """Return a gallery's place as a way home takes it: what a delivery meets is the studio."""
    return replace(
        place, residential=rules.home_residential, limited=False, inside=False, dock=rules.home_dock, forklift=False,
        deadline=None, quoted=None, quoted_by="", quoted_until=None,
    )  # fmt: skip


def way_home(quote: Quote, crates: Sequence[Crate], back: Collection[str]) -> WayHome:
    """Return what bringing some crates of one place home comes to.

    Parameters
    ----------
    quote : Quote
        Of the way there.
    crates : sequence of Crate
        As they weigh on the way home, all of one destination.
    back : collection of str
        Pieces that they bring.
    """
    build, rates = quote.build, quote.rates
    place = studio_end(quote.destinations.get(crates[0].destination), rates.delivery)
    values = {copy.piece: declared(copy) for copy in build.order.copies() if copy.piece in back}
    carriers = Carriers(rates, build.units, particulars_of(build, rates, values), quote.on, build.shop.studio.country)
    shipments = tuple(
        _turned(each, place, crates, carriers) for each in _from_the_end(tuple(shipments_to(place, crates, carriers)))
    )
    why = [
        each.chosen.refused[0] if each.chosen.refused else f"the rates have no freight profile {each.chosen.profile}"
        for each in unpaid(shipments, rates)
    ]
    premium = total(line.amount for line in insurance_lines(values, rates))
    return WayHome(shipments, premium, tuple(dict.fromkeys(why)))


def _from_the_end(shipments: Sequence[Shipment]) -> list[Shipment]:
    """Return the legs of every way from its end, way by way."""
    ways: list[list[Shipment]] = []
    for each in shipments:
        if each.leg == 1:
            ways.append([])
        ways[-1].append(each)
    return [each for way in ways for each in reversed(way)]


def _turned(shipment: Shipment, place: Destination, crates: Sequence[Crate], carriers: Carriers) -> Shipment:
    """Return a leg of the way there as one of the way home: what began at the studio ends there."""
    if shipment.legs == 1:
        return shipment
    chosen = shipment.chosen
    profile = carriers.rates.profile(chosen.profile)
    ends = shipment.leg == 1
    stop = replace(place, km=profile.km or None)
    if not ends:
        stop = replace(stop, dock=True, residential=False)
    mine = [crate for crate in crates if crate.crate in shipment.crates]
    if not chosen.refused:
        chosen = offer(mine, stop, profile, carriers.units, carriers.particulars)
    leg = shipment.legs + 1 - shipment.leg
    return replace(shipment, chosen=chosen, leg=leg, origin=shipment.to or place.name, to=shipment.origin)
