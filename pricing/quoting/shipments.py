"""Shipments: what goes to each destination, and by which profile."""

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.base.measure import UnitSystem
from nesting.crates.model import Crate
from pricing.quoting.freight import offer
from pricing.quoting.offers import Offer, collected
from pricing.quoting.particulars import NONE_GIVEN, Particulars
from pricing.studio.destinations import Destinations
from pricing.studio.rates import Rates


@dataclass(frozen=True, slots=True)
class Shipment:
    """All crates of one destination.

    Attributes
    ----------
    destination : str
        Its name.
    crates : tuple of str
        Those that travel by themselves.
    chosen : Offer
        The profile that the quote charges.
    others : tuple of Offer
        What every other profile would ask, for comparison.
    """

    destination: str
    crates: tuple[str, ...]
    chosen: Offer
    others: tuple[Offer, ...]


def ship(
    crates: Sequence[Crate],
    destinations: Destinations,
    rates: Rates,
    units: UnitSystem = "inch",
    particulars: Particulars = NONE_GIVEN,
) -> tuple[Shipment, ...]:
    """Return a shipment for every destination, in the order of the crates; frames in a case travel with it.

    ``units`` says how refusals write sizes and weights; ``particulars`` what else carriers are told of the crates.
    """
    by_place: dict[str, list[Crate]] = {}
    for crate in crates:
        if crate.inside_of is None:
            by_place.setdefault(crate.destination, []).append(crate)
    shipments = []
    for name, group in by_place.items():
        place = destinations.get(name)
        wanted = place.profile or rates.delivery.profile
        offers = {profile.name: offer(group, place, profile, units, particulars) for profile in rates.freight}
        chosen = offers.pop(wanted, None) or collected(wanted, by="client")
        shipments.append(Shipment(place.name, tuple(c.crate for c in group), chosen, tuple(offers.values())))
    return tuple(shipments)
