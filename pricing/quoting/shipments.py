"""Shipments: what one carrier takes from one place to another, by the ways that destinations name.

What one carrier asks for one shipment is :mod:`pricing.quoting.freight`; here crates find their carriers: each goes by
the first way of its destination that takes it, on the last one where none does, which then says why. A quotation that a
carrier gave for all that goes to a place stands in their stead until its last day.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Final

from nesting.base.measure import UnitSystem
from nesting.crates.model import Crate
from pricing.quoting.freight import offer
from pricing.quoting.offers import Offer, collected
from pricing.quoting.particulars import NONE_GIVEN, Particulars
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.freight_ways import Way, ways_of
from pricing.studio.rates import FreightProfile, Rates

_KEPT: Final = (
    "on_pallets", "tilt_each", "shock_each", "declared_most", "released_per_lb", "released_per_kg",
    "released_per_piece", "list_over_per_lb", "cover_step", "cover_each", "cover_most", "released_sdr_per_kg",
    "released_sdr_per_piece", "sizes",
)  # fmt: skip
QUOTED: Final = "quoted"
"""Profile of the offer that a carrier's own quotation is, where it names none of the rates."""


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
    def way(self) -> str:
        """From where to where in words; empty where it is the whole way from the studio."""
        if self.legs == 1:
            return ""
        return f"leg {self.leg} of {self.legs}, {self.origin or 'the studio'} to {self.to or self.destination}"

    @property
    def key(self) -> str:
        """What its lines are called by: the destination, and the part where there are several."""
        return f"{self.destination}:{self.part}" if self.part else self.destination


@dataclass(frozen=True, slots=True)
class Carriers:
    """What carriers are found by.

    Attributes
    ----------
    rates : Rates
        With the freight profiles, and the one that is taken where a destination names none.
    units : {"inch", "metric"}
        How refusals write sizes and weights.
    particulars : Particulars
        What else carriers are told of the crates.
    on : date or None
        Day by which quotations hold; all of them where it is None.
    home : str
        The studio's country; empty where unknown.
    """

    rates: Rates
    units: UnitSystem = "inch"
    particulars: Particulars = NONE_GIVEN
    on: date | None = None
    home: str = ""

    def ways(self, place: Destination) -> tuple[Way, ...]:
        """Return the ways to a place, as it or the rates say.

        Raises
        ------
        ValueError
            Where they name a profile that the rates have not, as they may when the table was read with other rates.
        """
        return ways_of(place.profile or self.rates.delivery.profile, [each.name for each in self.rates.freight])

    def refused(self, way: Way, leg: int, place: Destination) -> tuple[str, ...]:
        """Return why one leg of a way does not lead to where it should, by the countries that its profile goes to.

        The last leg goes to the country of the place; those before it may stay at home. One of them must cross the
        border, and what a handler does on the other side crosses none. A country that nobody stated is the studio's.
        """
        profile = self.rates.profile(way[leg - 1])
        there = place.country or self.home
        last = leg == len(way)
        abroad = self.home and there != self.home
        if last and abroad and all(self.rates.profile(name).kind == "handler" for name in way):
            return (f"nothing takes it from {self.home} to {there}: a handler works where it is",)
        if not profile.reached or not there or there in profile.reached:
            return ()
        if not last and self.home in profile.reached:
            following = (self.rates.profile(name) for name in way)
            if any(each.kind != "handler" and (not each.reached or there in each.reached) for each in following):
                return ()
        return (f"it goes to {' '.join(profile.reached)} only, and {place.name} lies in {there}",)


def ship(  # arguments: those after units are facts of the office and of the day, each with its default
    crates: Sequence[Crate],
    destinations: Destinations,
    rates: Rates,
    units: UnitSystem = "inch",
    particulars: Particulars = NONE_GIVEN,
    *,
    on: date | None = None,
    home: str = "",
) -> tuple[Shipment, ...]:
    """Return the shipments to every destination, in the order of the crates; frames in a case travel with it.

    Parameters
    ----------
    crates : sequence of Crate
        All of them.
    destinations : Destinations
        Where they go.
    rates : Rates
        The freight profiles.
    units, particulars, on, home
        As of :class:`Carriers`.
    """
    carriers = Carriers(rates, units, particulars, on, home)
    by_place: dict[str, list[Crate]] = {}
    for crate in crates:
        if crate.inside_of is None:
            by_place.setdefault(crate.destination, []).append(crate)
    places = [(destinations.get(name), group) for name, group in by_place.items()]
    return tuple(shipment for place, group in places for shipment in shipments_to(place, group, carriers))


def shipments_to(place: Destination, crates: Sequence[Crate], carriers: Carriers) -> Iterator[Shipment]:
    """Yield the shipments that take crates to one place, leg by leg; the crates travel by themselves."""
    shipments = list(_shipments_to(place, crates, carriers))
    names = [shipment.chosen.profile for shipment in shipments]
    for number, (shipment, name) in enumerate(zip(shipments, names, strict=True)):
        same = names[:number].count(name) + 1
        part = f"{name} {same}" if names.count(name) > 1 else name
        yield replace(shipment, part=part if len(shipments) > 1 else "")


def _shipments_to(place: Destination, crates: Sequence[Crate], carriers: Carriers) -> Iterator[Shipment]:
    names = tuple(crate.crate for crate in crates)
    if quotation_holds(place, carriers.on):
        chosen = _quotation(place, crates, carriers)
        yield Shipment(place.name, names, chosen, tuple(_others(crates, place, carriers, chosen.profile)))
        return
    try:
        ways = carriers.ways(place)
    except ValueError:
        chosen = _unknown(place.profile or carriers.rates.delivery.profile, carriers.rates)
        yield Shipment(place.name, names, chosen, tuple(_others(crates, place, carriers, "")))
        return
    for way, group in _groups(place, crates, ways, carriers):
        yield from _along(way, group, place, carriers)


def _unknown(wanted: str, rates: Rates) -> Offer:
    """Return the offer where the rates have no such profile: refused, or somebody comes where they have none at all."""
    made = collected(wanted, by="client")
    return replace(made, title=wanted, refused=("the rates have no such freight profile",)) if rates.freight else made


def quotation_holds(place: Destination, on: date | None) -> bool:
    """Whether a carrier's quotation for a place holds on a day; one without a last day always does."""
    return place.quoted is not None and (on is None or place.quoted_until is None or on <= place.quoted_until)


def _quotation(place: Destination, crates: Sequence[Crate], carriers: Carriers) -> Offer:
    """Return the offer that a carrier's quotation is: the sum as typed, for all that goes there."""
    asked = place.quoted or Decimal(0)
    profile = next((each for each in carriers.rates.freight if each.name == place.quoted_by), None)
    title = (profile.title or profile.name) if profile else place.quoted_by
    # What goes along and what the carrier answers for is as its profile says, whatever the price.
    known = {name: getattr(profile, name) for name in _KEPT} if profile else {}
    rules = FreightProfile(QUOTED, "fixed", amount=asked, **known)
    made = offer(crates, place, rules, carriers.units, carriers.particulars)
    until = f"until {place.quoted_until}" if place.quoted_until else "without a last day"
    if profile:
        # It rides as that carrier takes it: on what pallets, and answered for up to what.
        rides = offer(crates, place, profile, carriers.units, carriers.particulars)
        made = replace(
            made, handed=rides.handed, needs=rides.needs, told=rides.told, insure=rides.insure, liable=rides.liable
        )
    return replace(
        made,
        profile=profile.name if profile else QUOTED,
        title=title or "A carrier's quotation",
        estimate=f"quoted, {until}",
        basis="a quotation as typed, for all that goes there",
        days=profile.transit_days if profile else 0,
        days_most=profile.days_most if profile else 0,
        as_of=None,
    )


def _others(crates: Sequence[Crate], place: Destination, carriers: Carriers, but: str) -> Iterator[Offer]:
    """Yield what every profile but one would ask to take crates all the way; a handler takes none from here."""
    for profile in carriers.rates.freight:
        if profile.name != but and profile.kind != "handler":
            yield _offered((profile.name,), 1, crates, place, carriers)


def _groups(
    place: Destination, crates: Sequence[Crate], ways: Sequence[Way], carriers: Carriers
) -> Iterator[tuple[Way, list[Crate]]]:
    """Yield the crates that go by each way: each by the first that takes it together with those before it.

    What no way takes goes last, by the last way, whose refusals it then bears.
    """
    rest = list(crates)
    if len(ways) == 1:
        yield ways[0], rest
        return
    for way in ways:
        if not rest:
            return
        taken = rest if _takes(way, rest, place, carriers) else _first_taken(way, rest, place, carriers)
        if taken:
            yield way, taken
        rest = [crate for crate in rest if crate not in taken]
    if rest:
        yield ways[-1], rest


def _first_taken(way: Way, crates: Iterable[Crate], place: Destination, carriers: Carriers) -> list[Crate]:
    """Return the crates that a way takes together, the first ones first."""
    alone = [crate for crate in crates if _takes(way, [crate], place, carriers)]
    if _takes(way, alone, place, carriers):
        return alone
    taken: list[Crate] = []
    for crate in alone:
        if _takes(way, [*taken, crate], place, carriers):
            taken.append(crate)
    return taken


def _takes(way: Way, crates: Sequence[Crate], place: Destination, carriers: Carriers) -> bool:
    """Whether every leg of a way takes crates together."""
    return bool(crates) and not any(
        _offered(way, leg, crates, place, carriers).refused for leg in range(1, len(way) + 1)
    )


def _offered(way: Way, leg: int, crates: Sequence[Crate], place: Destination, carriers: Carriers) -> Offer:
    """Return what the carrier of one leg, counted from 1, asks for crates."""
    profile = carriers.rates.profile(way[leg - 1])
    made = offer(crates, end_of(way, leg, place, profile), profile, carriers.units, carriers.particulars)
    if refused := carriers.refused(way, leg, place):
        return replace(made, charges=(), refused=(*made.refused, *refused))
    return made


def end_of(way: Way, leg: int, place: Destination, profile: FreightProfile) -> Destination:
    """Return where a leg ends: the place, or a carrier's house on the way, which has a dock and forks.

    As one leg of several a van drives its profile's own way, never the whole one.
    """
    if len(way) == 1:
        return place
    km = profile.km or None
    if leg == len(way):
        return replace(place, km=km)
    return Destination(stop_after(profile), dock=True, forklift=True, km=km)


def stop_after(profile: FreightProfile) -> str:
    """Return where a carrier's leg ends if another goes on from there, in words."""
    return profile.goes_to or f"where {profile.title or profile.name} ends"


def lifted_down(shipments: Sequence[Shipment]) -> frozenset[str]:
    """Return the crates whose freight holds a liftgate where they go."""
    return frozenset(
        crate
        for each in shipments
        if each.leg == each.legs and any(charge.key == "liftgate" for charge in each.chosen.charges)
        for crate in each.crates
    )


def _along(way: Way, crates: Sequence[Crate], place: Destination, carriers: Carriers) -> Iterator[Shipment]:
    """Yield a shipment for every leg of a way."""
    names = tuple(crate.crate for crate in crates)
    origin = ""
    for leg, name in enumerate(way, start=1):
        to = "" if leg == len(way) else stop_after(carriers.rates.profile(name))
        yield Shipment(
            destination=place.name,
            crates=names,
            chosen=_offered(way, leg, crates, place, carriers),
            others=tuple(_others(crates, place, carriers, name)) if len(way) == 1 else (),
            leg=leg,
            legs=len(way),
            origin=origin,
            to=to,
        )
        origin = to
