"""Shipments: what one carrier takes from one place to another, by the ways that destinations name.

What one carrier asks for one shipment is :mod:`pricing.quoting.freight`; here crates find their carriers.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from nesting.base.measure import UnitSystem
from nesting.crates.model import Crate
from pricing.quoting.freight import Offer, collected, offer
from pricing.studio.destinations import Destinations
from pricing.studio.rates import Rates


@dataclass(frozen=True, slots=True)
class Shipment:
    """What one carrier takes from one place to another.

    Attributes
    ----------
    destination : str
        Where its crates go in the end.
    crates : tuple of str
        Those that travel by themselves.
    chosen : Offer
        The profile that the quote charges.
    others : tuple of Offer
        What every other profile would ask for the same crates, for comparison; none where the way has several legs.
    leg, legs : int
        Which leg of how many on the way of these crates, from 1.
    origin, to : str
        From where to where; an empty origin is the studio, an empty ``to`` the destination.
    part : str
        What tells it from other shipments to the same destination, such as ``parcel``; empty where it is the only one.
    """

    destination: str
    crates: tuple[str, ...]
    chosen: Offer
    others: tuple[Offer, ...]
    leg: int = 1
    legs: int = 1
    origin: str = ""
    to: str = ""
    part: str = ""

    @property
    def key(self) -> str:
        """What its lines are called by: the destination, and the part where there are several."""
        return f"{self.destination}:{self.part}" if self.part else self.destination


def ship(
    crates: Sequence[Crate],
    destinations: Destinations,
    rates: Rates,
    units: UnitSystem = "inch",
    *,
    on: date | None = None,  # noqa: ARG001 - the interface first; the days of quotations follow
    home: str = "",  # noqa: ARG001 - and so do the countries of profiles
) -> tuple[Shipment, ...]:
    """Return the shipments to every destination, in the order of the crates; frames in a case travel with it.

    ``units`` says how refusals write sizes and weights; ``on`` is the day by which quotations hold, all of them where
    it is None; ``home`` is the studio's country.
    """
    by_place: dict[str, list[Crate]] = {}
    for crate in crates:
        if crate.inside_of is None:
            by_place.setdefault(crate.destination, []).append(crate)
    shipments = []
    for name, group in by_place.items():
        place = destinations.get(name)
        wanted = place.profile or rates.delivery.profile
        offers = {profile.name: offer(group, place, profile, units) for profile in rates.freight}
        chosen = offers.pop(wanted, None) or collected(wanted, by="client")
        shipments.append(Shipment(place.name, tuple(c.crate for c in group), chosen, tuple(offers.values())))
    return tuple(shipments)
