"""The general list of a carnet: the goods that cross a border for a time, and come back as they left.

Columns are those of the general list in the annex to the ATA Convention, with nothing added; how it is filled in is
asked by two chambers of commerce in the United Kingdom: each item by itself, identical ones alone together, nothing
vague.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from nesting.base.measure import UnitSystem
from nesting.crates.weigh import piece_weight
from nesting.order import Artwork
from nesting.shop.stated import under_carnet
from pricing.money import show, total
from pricing.output.papers.consignment import Consignment
from pricing.output.papers.packing_list import weights
from pricing.output.papers.said import WRITE, hung_size, of_works, origin_of, sender_missing

TITLE: Final = "General list for a carnet"
COLUMNS: Final = (
    "Item number", "Trade description of goods and marks and numbers, if any", "Number of pieces", "Weight or volume",
    "Value", "Country of origin", "For customs use",
)  # fmt: skip
BACK: Final = (
    "Everything on this list comes back within a year of the carnet's issue, or by the earlier day that customs write "
    "on it. Nothing on it is used up; whether a work that may be sold there can be on it, ask the chamber that issues "
    "it."
)
_COUNTRY: Final = re.compile(r"[A-Z]{2}")
_VAGUE: Final = re.compile(r"\b(?:various|assorted|miscellaneous|misc|sundry|etc|box of|set of)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the list, or several identical pieces.

    Attributes
    ----------
    number : int
        Of the item, from 1.
    about : tuple of str
        What it is, and the marks of the packages that hold it, line by line.
    count : int
        How many pieces.
    weight : str
        Net, of all pieces, in both systems, a line each.
    value : str
        Of all pieces; empty leaves a line to write on.
    origin : str
        Two letters (ISO 3166-1); empty leaves a line to write on.
    """

    number: int
    about: tuple[str, ...]
    count: int
    weight: str
    value: str
    origin: str


@dataclass(frozen=True, slots=True)
class GeneralList:
    """All that a general list says.

    Attributes
    ----------
    studio : tuple of str
        Whose paper it is, line by line.
    number, day, place, currency : str
        Of the quote; its day (ISO 8601); where it goes; of the values.
    warning : str
        What must be read first.
    items : tuple of Item
        What comes back.
    count : int
        Pieces in all.
    weight : str
        Of all, in both systems, a line each.
    value : str
        Of all; empty where one is not known.
    missing : tuple of str
        What is left to be written.
    """

    studio: tuple[str, ...]
    number: str
    day: str
    place: str
    currency: str
    warning: str
    items: tuple[Item, ...]
    count: int
    weight: str
    value: str
    missing: tuple[str, ...]


def carried(consignment: Consignment) -> tuple[Artwork, ...]:
    """Return the works that cross a border under a carnet."""
    if not consignment.customs:
        return ()
    return tuple(work for work in consignment.works if under_carnet(work) is True)


def general_list(consignment: Consignment) -> GeneralList:
    """Return the general list of a consignment."""
    quote = consignment.quote
    lines = list(_alike(consignment))
    shop = quote.build.shop
    weighed = [_weight(piece_weight(copies[0], shop).kg, len(copies)) for copies in lines]
    values = [_value(copies[0]) for copies in lines]
    worth = [value * len(copies) for value, copies in zip(values, lines, strict=True) if value is not None]
    items = tuple(
        Item(
            number,
            tuple(_about(consignment, copies)),
            len(copies),
            _told(weight, shop.units),
            "" if value is None else f"{value * len(copies):,.2f}",
            _origin(consignment, copies[0]),
        )
        for number, (copies, weight, value) in enumerate(zip(lines, weighed, values, strict=True), start=1)
    )
    return GeneralList(
        studio=consignment.sender_lines,
        number=quote.number,
        day=quote.on.isoformat(),
        place=consignment.destination,
        currency=quote.currency,
        warning=consignment.warning,
        items=items,
        count=sum(len(copies) for copies in lines),
        weight=_told(
            (sum((kg for kg, _ in weighed), Decimal(0)), sum((lb for _, lb in weighed), Decimal(0))), shop.units
        ),
        value=show(total(worth), quote.currency) if len(worth) == len(lines) else "",
        missing=tuple(general_list_missing(consignment)),
    )


def general_list_missing(consignment: Consignment) -> Iterator[str]:
    """Yield what a general list lacks, a sentence each."""
    works = carried(consignment)
    yield from (text for text in sender_missing(consignment) if text.startswith(("address", "responsible")))
    yield from of_works("title", (work for work in works if not work.title))
    yield from of_works("a title that is not vague", (work for work in works if _VAGUE.search(work.title)))
    yield from of_works("declared value or price, more than 0,", (work for work in works if _value(work) is None))
    yield from of_works("country of origin, two letters,", (work for work in works if not _origin(consignment, work)))
    sold = (work for work in works if consignment.terms(work) == "sold")
    yield from of_works("terms: what is sold does not come back, and goes under no carnet;", sold)


def _alike(consignment: Consignment) -> Iterator[list[Artwork]]:
    """Yield copies of one line of the order together, all others alone."""
    found: dict[str, list[Artwork]] = {}
    for work in carried(consignment):
        found.setdefault(work.copy_of or work.piece, []).append(work)
    yield from found.values()


def _about(consignment: Consignment, copies: list[Artwork]) -> Iterator[str]:
    work = copies[0]
    title = f"“{work.title}”" if work.title else WRITE
    yield ", ".join(filter(None, (work.artist, title, work.year)))
    yield work.medium or WRITE
    yield ", ".join(
        filter(
            None,
            (
                hung_size(work, consignment.quote.build.shop.units, "; "),
                f"edition {work.edition}" if work.edition else "",
            ),
        )
    )
    packages = dict.fromkeys(consignment.package_of.get(copy.piece, "") for copy in copies)
    mark = (work.copy_of or work.piece) if len(copies) > 1 else work.piece
    yield f"Marks: {mark}, in package {', '.join(filter(None, packages))}"


def _value(work: Artwork) -> Decimal | None:
    """Return what a work is worth; None where nobody says, or nothing."""
    return (work.price if work.declared is None else work.declared) or None


def _origin(consignment: Consignment, work: Artwork) -> str:
    """Return the two letters of the country of origin; empty where other words are typed."""
    origin = origin_of(consignment, work)
    return origin if _COUNTRY.fullmatch(origin) else ""


def _weight(kg: float, count: int) -> tuple[Decimal, Decimal]:
    """Return what so many pieces weigh in kilograms and in pounds, each piece to a tenth."""
    pounds, kilograms = weights(kg, kg)
    return kilograms.gross * count, pounds.gross * count


def _told(weight: tuple[Decimal, Decimal], shop: UnitSystem) -> str:
    kg, lb = weight
    return f"{kg:.1f} kg" if shop == "metric" else f"{kg:.1f} kg\n{lb:.1f} lb"
