"""Days on the way: by when crates must be handed over to arrive in time, and when they arrive.

Carriers count their own working days, without the day of pick-up, weekends and their holidays (an LTL carrier's public
page; a logistics page): three days from a Thursday are Friday, Monday, Tuesday. Of a range the most days count. Where a
carrier's days are not known they count as none, and that is told.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from nesting.base.counts import plural
from pricing.quoting.shipments import Shipment
from pricing.studio.calendar_rules import CalendarRules
from pricing.studio.destinations import Destinations
from pricing.studio.rates import Rates
from pricing.studio.workdays import Workdays


@dataclass(frozen=True, slots=True)
class Leg:
    """One carrier's part of a way.

    Attributes
    ----------
    carrier : str
        Its title.
    days, days_most : int
        Fewest and most working days of the carrier; both 0 where not known, or where nobody carries.
    works : Workdays
        On which it works.
    known : bool
        Whether its days are known; they are where the client collects.
    """

    carrier: str
    days: int
    days_most: int
    works: Workdays
    known: bool


@dataclass(frozen=True, slots=True)
class Transit:
    """How long the crates of one way are under way.

    Attributes
    ----------
    destination : str
        Where they go.
    crates : tuple of str
        Those that travel by themselves.
    legs : tuple of Leg
        In order.
    deadline : date or None
        Last day on which they may arrive.
    """

    destination: str
    crates: tuple[str, ...]
    legs: tuple[Leg, ...]
    deadline: date | None

    @property
    def days(self) -> tuple[int, int]:
        """Fewest and most working days of all legs together."""
        return sum(leg.days for leg in self.legs), sum(leg.days_most for leg in self.legs)

    @property
    def unknown(self) -> tuple[str, ...]:
        """Carriers whose days on the way are not known."""
        return tuple(leg.carrier for leg in self.legs if not leg.known)

    @property
    def hand_over(self) -> date | None:
        """Last day to hand over so that even the most days end by the deadline; None without one."""
        day = self.deadline
        if day is None:
            return None
        for leg in reversed(self.legs):
            if leg.days_most:
                day = leg.works.earlier(day, leg.days_most)
        return day

    def arrives(self, handed_over: date) -> date:
        """Return the last day on which crates that are handed over on a day arrive, as far as days are known."""
        day = handed_over
        for leg in self.legs:
            if leg.days_most:
                day = leg.works.later(day, leg.days_most)
        return day

    def soonest(self, handed_over: date) -> date:
        """Return the first day on which they may arrive; where a carrier says one number only, by that."""
        day = handed_over
        for leg in self.legs:
            if leg.days_most:
                day = leg.works.later(day, leg.days or leg.days_most)
        return day

    def late_days(self, handed_over: date) -> int:
        """Return by how many days crates that are handed over on a day may arrive after the deadline; 0 if in time."""
        return max(0, (self.arrives(handed_over) - self.deadline).days) if self.deadline else 0

    @property
    def told(self) -> str:
        """The days on the way in words, such as ``3 to 5 working days on the way``; empty where none are known."""
        few, most = self.days
        if not most:
            return ""
        counted = plural(most, "working day") if few in (0, most) else f"{few} to {plural(most, 'working day')}"
        least = "at least " if self.unknown else ""
        return f"{least}{counted} on the way"

    @property
    def sentence(self) -> str:
        """Days on the way and the day to hand over, as one sentence for people; empty where neither is known."""
        days = self.told
        if self.deadline and self.hand_over:
            least = f", with {days}" if days else ""
            return f"To arrive by {self.deadline}{least}: hand over by {self.hand_over}."
        return f"{days[:1].upper()}{days[1:]}." if days else ""


def transits(shipments: Sequence[Shipment], destinations: Destinations, rates: Rates) -> tuple[Transit, ...]:
    """Return how long the crates of each way are under way, in the order of the shipments."""
    profiles = {profile.name: profile for profile in rates.freight}
    # A carrier of whom nothing is known works as most do.
    others = Workdays.of(CalendarRules())
    found = []
    for way in _ways(shipments):
        legs = tuple(
            Leg(
                each.chosen.title,
                each.chosen.days,
                each.chosen.days_most,
                profiles[each.chosen.profile].workdays if each.chosen.profile in profiles else others,
                each.chosen.days_most > 0 or each.chosen.kind == "collect",
            )
            for each in way
        )
        first = way[0]
        found.append(Transit(first.destination, first.crates, legs, destinations.get(first.destination).deadline))
    return tuple(found)


def by_crate(found: Sequence[Transit]) -> Mapping[str, Transit]:
    """Return the transit of each crate that travels by itself."""
    return {crate: each for each in found for crate in each.crates}


def _ways(shipments: Sequence[Shipment]) -> Iterator[list[Shipment]]:
    """Yield the legs of each way together; they follow each other."""
    way: list[Shipment] = []
    for each in shipments:
        way.append(each)
        if each.leg == each.legs:
            yield way
            way = []
