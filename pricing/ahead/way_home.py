"""The way home: what carriers ask to bring crates back, reckoned by the same shipments as the way there.

It begins at the gallery and ends at the studio. So nothing is asked for that the gallery's place asks for on delivery
(residential, limited access, inside, a liftgate for want of a dock); what the studio's own place asks for is a rule of
``[delivery]``. Distance, country and carriers are those of the way there.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from nesting.crates.model import Crate
from pricing.money import total
from pricing.quoting.incomplete import WORD, unpaid
from pricing.quoting.lines import declared, insurance_lines
from pricing.quoting.quote import Quote
from pricing.quoting.shipments import Shipment, ship
from pricing.studio.destinations import Destination, Destinations
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
        return f"{WORD}, {self.missing[0]}" if self.missing else ""


def studio_end(place: Destination, rules: DeliveryRules) -> Destination:
    """Return a gallery's place as a way home takes it: what a delivery meets is the studio."""
    return replace(
        place, residential=rules.home_residential, limited=False, inside=False, dock=rules.home_dock, forklift=False,
        deadline=None,
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
    place = studio_end(quote.destinations.get(crates[0].destination), quote.rates.delivery)
    named = replace(place, name=crates[0].destination or place.name)
    shipments = ship(crates, Destinations((named,)), quote.rates, quote.build.order.units)
    values = {copy.piece: declared(copy) for copy in quote.build.order.copies() if copy.piece in back}
    why = [
        each.chosen.refused[0] if each.chosen.refused else f"the rates have no profile {each.chosen.profile}"
        for each in unpaid(shipments, quote.rates)
    ]
    premium = total(line.amount for line in insurance_lines(values, quote.rates))
    return WayHome(shipments, premium, tuple(dict.fromkeys(why)))
