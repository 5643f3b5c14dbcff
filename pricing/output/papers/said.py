"""What several papers say in the same words: works, sizes, parties and wood packing as plain text."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from nesting.base.counts import few, joined
from nesting.base.measure import UnitSystem
from nesting.crates.model import Crate
from nesting.order import Artwork
from nesting.shop.stated import kept, kind_of_work
from pricing.output.offer.content import both_sizes, whole_millimetres
from pricing.output.papers.consignment import Consignment
from pricing.output.papers.headings import Heading, advised
from pricing.studio.parties import Party
from pricing.studio.vat import UNION

BROKER: Final = (
    "Origin, heading, value and terms are the sender's own statements, headings as advice: a licensed customs broker "
    "decides. Of taxes ask a licensed adviser."
)
WRITE: Final = "______________________"
"""What stands in a line of text where something is to be written."""
Facts = tuple[tuple[str, str], ...]
"""Labels with what is known; empty leaves a line to write on."""


def hung_size(work: Artwork, shop: UnitSystem, between: str = "\n") -> str:
    """Write a work's size as galleries do, height before width: in both units, or in a shop's millimetres alone."""
    sides = (work.height, work.width, work.depth)
    return whole_millimetres(sides) if shop == "metric" else both_sizes(sides, between)


def name_of(work: Artwork) -> str:
    """Return a work in a few words: artist, title, year, medium."""
    title = f"“{work.title}”" if work.title else ""
    return ", ".join(filter(None, (work.artist, title, work.year, work.medium))) or "artwork"


def origin_of(consignment: Consignment, work: Artwork) -> str:
    """Return the country in which a piece was made, as its order says, else the studio."""
    return kept(work.extra, "origin") or consignment.studio.origin


def reason_of(consignment: Consignment, work: Artwork) -> str:
    """Return why a piece goes abroad, as its order says, else the studio."""
    return kept(work.extra, "reason") or consignment.studio.reason


def heading_of(consignment: Consignment, work: Artwork) -> Heading:
    """Return the heading of a piece: as order or studio state it, else as its words suggest."""
    typed = kept(work.extra, "tariff") or consignment.studio.tariff
    if typed:
        return Heading(typed, "", typed=True)
    return advised(work, kind_of_work(work, consignment.studio), consignment.quote.on.year)


def wants_eori(country: str) -> bool:
    """Say whether customs of a country want an EORI number; the United Kingdom has one of its own."""
    return country in UNION or country == "GB"


def addressed(party: Party | None) -> tuple[str, ...]:
    """Return whom something goes to, line by line; with lines to write on where that is not known."""
    if party is None or not party.known:
        return (party.name if party else WRITE, WRITE, WRITE)
    reached = ", ".join(filter(None, (party.phone, party.email)))
    address = party.address or (WRITE,)
    return tuple(filter(None, (party.name, party.contact, *address, party.country, reached)))


def party_lines(party: Party | None) -> tuple[str, ...]:
    """Return a party for an invoice: as it is addressed, with its numbers, or lines to write them on."""
    if party is None or not party.known:
        return addressed(party)
    return (*addressed(party), *numbers(party.tax_number, party.eori, party.country))


def numbers(tax: str, eori: str, country: str) -> Iterator[str]:
    """Yield a party's numbers, or lines to write them on."""
    yield f"Tax number: {tax or WRITE}"
    if eori or wants_eori(country):
        yield f"EORI: {eori or WRITE}"


def sender(consignment: Consignment) -> tuple[str, ...]:
    """Return who sends, line by line, with a line to write the address on where it is not known."""
    name, *rest = consignment.sender_lines
    return (name, *rest) if consignment.studio.address else (name, WRITE, *rest)


def sender_block(consignment: Consignment) -> tuple[str, ...]:
    """Return the studio for an invoice, with its numbers."""
    studio = consignment.studio
    return (*sender(consignment), *numbers(studio.tax_number, studio.eori, studio.country))


def sender_missing(consignment: Consignment) -> Iterator[str]:
    """Yield what is not known of the studio and an invoice must say."""
    studio = consignment.studio
    for text, name in (
        (studio.address, "address"), (studio.country, "country"), (studio.tax_number, "tax_number"),
        (studio.responsible, "responsible"),
    ):  # fmt: skip
        if not text:
            yield f"{name} of the studio ([studio] of shop.toml)"
    if wants_eori(studio.country) and not studio.eori:
        yield "eori of the studio ([studio] of shop.toml)"


def party_missing(party: Party | None, role: str) -> Iterator[str]:
    """Yield what is not known of a party and an invoice must say."""
    if party is None or not party.known:
        yield f"{role}{f': address of {party.name}' if party else ''} (parties.csv)"
        return
    if not party.address:
        yield f"address of {party.name} (parties.csv)"
    if not party.tax_number:
        yield f"tax number of {party.name} (parties.csv)"
    if wants_eori(party.country) and not party.eori:
        yield f"EORI of {party.name}, where it has one (parties.csv)"


def of_works(what: str, works: Iterable[Artwork]) -> Iterator[str]:
    """Yield what is not known of some works, all of them in one sentence."""
    names = tuple(dict.fromkeys(work.copy_of or work.piece for work in works))
    if names:
        yield f"{what} of {few(names)} (order)"


def wood(consignment: Consignment, crates: Sequence[Crate]) -> tuple[str, tuple[str, ...]]:
    """Return what is said of the wood of packages, and those that need the mark of ISPM 15.

    ISPM 15 asks for the mark on raw wood thicker than 6 mm; plywood and strand board need none.
    """
    raw = tuple(crate.crate for crate in crates if crate.raw_wood)
    if not raw:
        return "none that needs a mark: no raw wood over 6 mm (ISPM 15)", ()
    if not consignment.border:
        return f"raw wood in {few(raw)}, unmarked: for no border without the mark of ISPM 15", ()
    rules, home, there = consignment.quote.build.shop.ispm, consignment.studio.country, consignment.country
    if rules.exempt(home, there):
        return f"raw wood in {few(raw)}; between {home} and {there} no mark is asked for at present (ISPM 15)", ()
    rest = "" if len(raw) == len(crates) else "; none in the others"
    return f"raw wood in {joined(raw)}{rest}: treated wood with the mark of ISPM 15 by an accredited maker", raw
