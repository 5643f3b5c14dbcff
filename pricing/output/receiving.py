"""Who receives what goes to a place, for every paper that says so."""

from collections.abc import Iterable

from nesting.order import Artwork
from pricing.quoting.quote import Quote
from pricing.studio.destinations import Destination
from pricing.studio.parties import Party


def receiver_at(quote: Quote, place: Destination | None, works: Iterable[Artwork]) -> Party | None:
    """Return who receives works at a place; None where the order names none.

    The party that the place names, else the one of the place's own name, else the place by its own address. Where that
    is not known either, the one buyer, else gallery, that the order names for all of these works, if the table knows
    it: an offer too goes to the buyer before the gallery.
    """
    if place is None:
        return None
    named = quote.parties.get(place.party or place.name)
    if named is not None and named.known:
        return named
    lines = tuple(line for line in (" ".join(line.split()) for line in place.address.splitlines()) if line)
    if not place.party and not lines:
        order = quote.build.order
        theirs = {quote.parties.buyer(work, order) or quote.parties.gallery(work, order) for work in works}
        found = theirs.pop() if len(theirs) == 1 else None
        if found is not None and found.known:
            return found
    return Party(place.name, address=lines, country=place.country, known=bool(lines))
