"""The packing list: every package with its contents, marks, weights and size in both systems, and no prices.

What it must say: the packing list of export.gov's guide to exporting (2016) and the glossary of the European Union.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from nesting.base.counts import few, joined, plural
from nesting.base.measure import INCH, MM, format_weight
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.drawings.marks import NAMES
from nesting.order import Artwork
from pricing.output.offer.content import both_sizes
from pricing.output.papers.consignment import Consignment
from pricing.output.papers.said import Facts, addressed, name_of, of_works, sender, wood
from pricing.quoting.for_the_way import strapped

TITLE: Final = "Packing list"
_MOST_NAMED: Final = 8
"""Copies that are named one by one."""
_FOOT: Final = 12 * INCH
_METRE: Final = 1000 * MM


@dataclass(frozen=True, slots=True)
class Weights:
    """Net, tare and gross, in tenths of a unit that add up: net and tare are the gross."""

    net: Decimal
    tare: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True)
class Package:
    """A package.

    Attributes
    ----------
    number : str
        Which of how many.
    mark : str
        What is written on it.
    kind : str
        What it is.
    holds : tuple of str
        Its contents, a work each.
    size : str
        Outside, width × height × depth, in inches and in millimetres, a line each.
    cubic_feet, cubic_metres : Decimal
        Its outside volume.
    pounds, kilograms : Weights
        What it weighs.
    """

    number: str
    mark: str
    kind: str
    holds: tuple[str, ...]
    size: str
    cubic_feet: Decimal
    cubic_metres: Decimal
    pounds: Weights
    kilograms: Weights


@dataclass(frozen=True, slots=True)
class PackingList:
    """All that a packing list says.

    Attributes
    ----------
    studio : tuple of str
        Whose paper it is, line by line.
    number, day, place : str
        Of the quote; its day (ISO 8601); where it goes.
    parties : tuple of (str, tuple of str)
        Who sends and who receives, line by line.
    facts : tuple of (str, str)
        Before the packages.
    packages : tuple of Package
        Each of them.
    cubic_feet, cubic_metres : Decimal
        Of all, as printed above one another.
    pounds, kilograms : Weights
        Of all, likewise.
    closing : tuple of (str, str)
        Facts after the packages.
    missing : tuple of str
        What is left to be written.
    """

    studio: tuple[str, ...]
    number: str
    day: str
    place: str
    parties: tuple[tuple[str, tuple[str, ...]], ...]
    facts: Facts
    packages: tuple[Package, ...]
    cubic_feet: Decimal
    cubic_metres: Decimal
    pounds: Weights
    kilograms: Weights
    closing: Facts
    missing: tuple[str, ...]


def packing_list(consignment: Consignment) -> PackingList:
    """Return the packing list of a consignment."""
    quote, crates = consignment.quote, consignment.crates
    packages = tuple(_package(consignment, number, crate) for number, crate in enumerate(crates, start=1))
    return PackingList(
        studio=consignment.sender_lines,
        number=quote.number,
        day=quote.on.isoformat(),
        place=consignment.destination,
        parties=(("Shipper", sender(consignment)), ("Consignee", addressed(consignment.receiver))),
        facts=(
            ("Order", quote.build.order.name),
            ("Leaves", f"{consignment.leaves}, as planned" if consignment.leaves else ""),
        ),
        packages=packages,
        cubic_feet=sum((each.cubic_feet for each in packages), Decimal(0)),
        cubic_metres=sum((each.cubic_metres for each in packages), Decimal(0)),
        pounds=_all([each.pounds for each in packages]),
        kilograms=_all([each.kilograms for each in packages]),
        closing=tuple(_closing(consignment)),
        missing=tuple(packing_list_missing(consignment)),
    )


def packing_list_missing(consignment: Consignment) -> Iterator[str]:
    """Yield what a packing list lacks, a sentence each."""
    if not consignment.quote.number:
        yield "a number"
    if not consignment.studio.address:
        yield "address of the studio ([studio] of shop.toml)"
    receiver = consignment.receiver
    if receiver is None or not receiver.known or not receiver.address:
        yield f"address of {receiver.name if receiver else 'who receives'} (parties.csv or destinations.csv)"
    if consignment.destination and not consignment.country:
        yield f"country of {consignment.destination}: abroad, an invoice for customs is needed (destinations.csv)"
    yield from of_works("title", (work for work in consignment.works if not work.title))
    if wood(consignment, consignment.crates)[1]:
        yield "marks of ISPM 15 on the packages (written by hand)"


def weights(kg: Decimal | float, gross_kg: Decimal | float) -> tuple[Weights, Weights]:
    """Return net, tare and gross in pounds and in kilograms, each to a tenth, the tare as what is left."""

    def of(write: Callable[[Decimal | float], str]) -> Weights:
        net, gross = Decimal(write(kg)), Decimal(write(gross_kg))
        return Weights(net, gross - net, gross)

    return of(lambda each: format_weight(each, "inch")), of(lambda each: format_weight(each, "metric"))


def _package(consignment: Consignment, number: int, crate: Crate) -> Package:
    works = {work.piece: work for work in consignment.works}
    pounds, kilograms = weights(crate.net_kg, crate.gross_kg)
    outside = crate.outside
    volume = outside.width * outside.height * outside.depth
    word = method_of(crate).one
    return Package(
        number=f"{number} of {len(consignment.crates)}",
        mark=crate.crate,
        kind=f"{word[:1].upper()}{word[1:]}",
        holds=tuple(_holds([works[piece] for piece in crate.pieces if piece in works])),
        size=both_sizes((outside.width, outside.height, outside.depth)),
        cubic_feet=_part(volume, _FOOT, "0.1"),
        cubic_metres=_part(volume, _METRE, "0.001"),
        pounds=pounds,
        kilograms=kilograms,
    )


def _holds(works: Sequence[Artwork]) -> Iterator[str]:
    """Yield the contents of a package, copies of one line of the order together."""
    found: dict[str, list[Artwork]] = {}
    for work in works:
        found.setdefault(work.copy_of or work.piece, []).append(work)
    for name, copies in found.items():
        first, *more = (copy.piece for copy in copies)
        many = f"{first} to {more[-1].removeprefix(name)}, {len(copies)} pieces" if len(more) > _MOST_NAMED else ""
        names = many or ", ".join((first, *(each.removeprefix(name) for each in more)))
        yield f"{names}: {name_of(copies[0])}"


def _part(volume: int, side: int, step: str) -> Decimal:
    """Return a volume in cubes of a side, half up to a step."""
    exact = Fraction(volume, side**3) / Fraction(step)
    return Decimal(int(exact + Fraction(1, 2))) * Decimal(step)


def _all(each: Sequence[Weights]) -> Weights:
    nothing = Decimal(0)
    return Weights(
        sum((one.net for one in each), nothing), sum((one.tare for one in each), nothing),
        sum((one.gross for one in each), nothing),
    )  # fmt: skip


def _closing(consignment: Consignment) -> Iterator[tuple[str, str]]:
    yield "Packages", plural(len(consignment.crates), "package")
    for name, handed in strapped(consignment.quote.shipments):
        if name == consignment.destination:
            on = consignment.quote.build.shop.good(handed.on).title
            pounds, kilograms = weights(handed.gross_kg, handed.gross_kg)
            size = both_sizes((handed.length, handed.height, handed.width), "; ")
            gross = f"gross {pounds.gross} lb ({kilograms.gross} kg) with it"
            yield "Handed over strapped", f"{few(handed.crates)} on {on}: {size} (length × height × width), {gross}"
    text, marked = wood(consignment, consignment.crates)
    yield "Wood packing", text
    if marked:
        yield "Marks of ISPM 15 on the packages", ""
    marks = dict.fromkeys(NAMES.get(mark, mark) for crate in consignment.crates for mark in crate.marks)
    if marks:
        yield "Handling marks on packages", joined([mark.lower() for mark in marks])
