"""Consignments for the tests of papers: two places, home and abroad, works that are sold and that are not; invented."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache
from io import BytesIO
from typing import Any

from pdfminer.high_level import extract_text

from nesting.order import Artwork
from pricing.output.papers.consignment import Consignment, consignments
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.parties import Party
from pricing.studio.sale_terms import SaleTerms
from tests.pricing.builds import build_of, closed, small_build
from tests.pricing.output.offer.orders import DAY, office

ABROAD, HOME = "Pier Hall, Far Town", "Harbour Gallery"
HALL = Party(
    "Pier Hall", "M. Example", ("Pier 4", "Far Town FT1 2AB"), "GB", email="hall@example.org",
    tax_number="GB 999 9999 73", eori="GB123456789000", currency="EUR", deposit=Decimal("0.5"),
    rest_due="before the works leave",
)  # fmt: skip
STUDIO = {
    "address": "1 Yard (invented), Tide Town, ME", "tax_number": "12-3456789", "responsible": "R. Nobody",
    "kind_of_work": "original", "origin": "US", "reason": "exhibition",
}  # fmt: skip
PLACES = (
    Destination(
        ABROAD, "GB", km=Decimal(120), profile="van", party="Pier Hall", port="London Heathrow Airport",
        terms=SaleTerms(tax_name="VAT", export="zero-rated, shipped abroad by the seller", paid_by="buyer"),
    ),
    Destination(HOME, "US", km=Decimal(90), profile="van", address="12 Quay Walk (invented)"),
)  # fmt: skip


def work(number: int, terms: str, place: str = ABROAD, **facts: Any) -> Artwork:
    """Return a work on some terms; ``extra`` adds columns to them."""
    extra: Mapping[str, str] = {"terms": terms, **facts.pop("extra", {})}
    usual: dict[str, Any] = {
        "title": f"Tidal Study No. {number}", "artist": "Z. Ångström", "year": "2026",
        "medium": "resin and pigment on birch panel", "price": Decimal(900 + number),
        "buyer": "Pier Hall" if terms == "sold" else "",
    }  # fmt: skip
    first = small_build().order.artworks[0]
    return replace(
        first, piece=f"A-{number:02}", destination=place, **(usual | facts), extra=tuple(extra.items())
    )  # fmt: skip


def priced(*works: Artwork, studio: Mapping[str, str] | None = None, raw: str = "", number: str = "Q-17") -> Quote:
    """Price works, each in a crate of its own; the crate named ``raw`` holds raw wood."""
    copies = [copy for each in works for copy in each.copies()]
    crates = [
        replace(
            closed(f"K{n}", copy.piece, 20 + n % 7, 30), destination=copy.destination or "", raw_wood=f"K{n}" == raw,
            marks=("fragile", "this way up"),
        )
        for n, copy in enumerate(copies, start=1)
    ]  # fmt: skip
    build = build_of(replace(small_build().order, name="Spring show (invented)", artworks=works), crates)
    facts = replace(build.shop.studio, **(STUDIO if studio is None else studio))
    at = replace(office(HALL), destinations=Destinations(PLACES))
    return quote(replace(build, shop=replace(build.shop, studio=facts)), at, on=DAY, number=number)


@cache
def mixed() -> Quote:
    """Return a quote of two works sold and two not, abroad, and one at home."""
    return priced(
        work(1, "sold"), work(2, "sold"), work(3, "consigned"), work(4, "consigned", extra={"carnet": "yes"}),
        work(5, "consigned", HOME), raw="K3",
    )  # fmt: skip


@cache
def bare() -> Quote:
    """Return a quote of works of which next to nothing is known."""
    unknown: dict[str, Any] = {"title": "", "artist": "", "year": "", "medium": "", "price": None}
    return priced(work(1, "", **unknown), studio={"address": "", "kind_of_work": "", "origin": ""}, number="")


def abroad(made: Quote) -> Consignment:
    """Return the consignment that crosses a border."""
    return next(each for each in consignments(made) if each.border)


def text_of(pdf: bytes) -> str:
    """Return what stands in a PDF, by another library than the one that writes it; line breaks as blanks."""
    return " ".join(extract_text(BytesIO(pdf)).split())
