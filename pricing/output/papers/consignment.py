"""A consignment: what goes to one destination, from whom and to whom, as every paper of it needs it."""

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Final

from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.order import Artwork
from nesting.shop.shop import Studio
from nesting.shop.stated import Terms, terms_of
from pricing.ahead.calendar.dates import plan_dates
from pricing.output.offer.content import INVENTED
from pricing.output.receiving import receiver_at
from pricing.quoting.quote import Quote
from pricing.studio.destinations import Destination
from pricing.studio.parties import Party
from pricing.studio.vat import UNION

NAMELESS: Final = ""
"""The name of the destination of works of which the order names none."""


@dataclass(frozen=True)
class Consignment:
    """What goes to one destination.

    Attributes
    ----------
    quote : Quote
        Of the whole order.
    destination : str
        As the order names it; empty for works of which it names none.
    works : tuple of Artwork
        Single pieces that are packed, in the order of the order.
    """

    quote: Quote
    destination: str
    works: tuple[Artwork, ...]

    @property
    def studio(self) -> Studio:
        """Who sends."""
        return self.quote.build.shop.studio

    @property
    def place(self) -> Destination | None:
        """What is known of the destination; None where there is none."""
        return self.quote.destinations.get(self.destination) if self.destination else None

    @property
    def country(self) -> str:
        """Where it goes, two letters: as the place says, else who receives there; empty where nobody does."""
        place, receiver = self.place, self.receiver
        return (place.country if place else "") or (receiver.country if receiver else "")

    @property
    def border(self) -> bool:
        """Whether it leaves the studio's country; False where that is not known."""
        return bool(self.studio.country and self.country) and self.country != self.studio.country

    @property
    def customs(self) -> bool:
        """Whether customs see it: between member states of the European Union they see nothing."""
        return self.border and not {self.studio.country, self.country} <= UNION

    @cached_property
    def receiver(self) -> Party | None:
        """Who receives; None where the order names no place."""
        return receiver_at(self.quote, self.place, self.works)

    def buyer(self, work: Artwork) -> Party | None:
        """Return who buys a piece, where the order says so."""
        return self.quote.parties.buyer(work, self.quote.build.order)

    def gallery(self, work: Artwork) -> Party | None:
        """Return who sells a piece, where the order says so."""
        return self.quote.parties.gallery(work, self.quote.build.order)

    def terms(self, work: Artwork) -> Terms:
        """Return on which terms a piece travels; empty where nobody says."""
        return terms_of(work, self.studio)

    @cached_property
    def crates(self) -> tuple[Crate, ...]:
        """The packages that a carrier sees."""
        mine = {work.piece for work in self.works}
        return tuple(crate for crate in self.quote.build.travelling if mine.intersection(crate.pieces))

    @cached_property
    def package_of(self) -> dict[str, str]:
        """In which package each piece travels; a frame's name where it rides in one."""
        found = {}
        for crate in self.quote.build.crates:
            if method_of(crate).is_case and crate.rides:
                continue
            for piece in crate.pieces:
                found[piece] = f"{crate.crate} in {crate.inside_of}" if crate.inside_of else crate.crate
        return found

    @cached_property
    def leaves(self) -> date | None:
        """The day on which it is planned to be handed over; None where none is."""
        name = self.destination or "destination not stated"
        days = [each.last for each in plan_dates(self.quote).entries if each.kind == "hand over" and each.what == name]
        return max(days, default=None)

    @property
    def sender_lines(self) -> tuple[str, ...]:
        """Who sends, for the head of a paper: name, address, country, how to reach it."""
        studio = self.studio
        reached = ", ".join(filter(None, (studio.phone, studio.email)))
        return tuple(filter(None, (studio.name, *studio.address.splitlines(), studio.country, reached)))

    @property
    def warning(self) -> str:
        """What must be read first: that prices are invented; empty where nothing is wrong."""
        return INVENTED if any(lack.kind == "invented" for lack in self.quote.lacks) else ""


def consignments(quote: Quote) -> tuple[Consignment, ...]:
    """Return what goes to each destination, in the order in which the order names them.

    Held pieces and those that nobody packs are on no paper.
    """
    found: dict[str, list[Artwork]] = {}
    for work in quote.build.order.copies():
        if work.piece not in quote.build.held_pieces:
            found.setdefault(work.destination or NAMELESS, []).append(work)
    return tuple(Consignment(quote, name, tuple(works)) for name, works in found.items())
