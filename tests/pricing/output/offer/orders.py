"""Priced orders for the tests of offers: crates made by hand, parties and rates that are invented."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.offer_rules import Exchange
from pricing.studio.office import Office
from pricing.studio.parties import Parties, Party
from pricing.studio.sale_terms import SaleTerms
from tests.pricing.builds import build_of, closed, small_build

DAY = date(2026, 11, 28)
PLACE = "Harbour Gallery"
BUYER = Party(
    "Bay Foundation", "M. Example", ("12 Quay Street", "Harbor Town, ME 04101"), "US", deposit=Decimal("0.5"),
    rest_due="on delivery", currency="EUR", import_by="buyer", terms="Works are hung by the foundation.",
)  # fmt: skip
PRICES = Office().book.rows


def office(*parties: Party, tax: str = "0.2") -> Office:
    """Return an office whose prices are its own, with a planted markup and a supplier of an odd name."""
    built = Office()
    rows = tuple(
        replace(row, supplier="Zanzibar Odd Lumber", price=Decimal("43.17") if row.form == "hour" else row.price)
        for row in built.book.rows
    )
    rates = built.rates
    rates = replace(
        rates,
        price=replace(rates.price, profit_rate=Decimal("0.3713"), profit="markup"),
        offer=replace(rates.offer, pay="By transfer, account 12 345", delivery_term="FCA Our Studio (Incoterms 2020)"),
        currencies=(Exchange("EUR", Decimal("0.9137"), date(2026, 11, 27), "our bank"),),
    )
    terms = SaleTerms(tax_name="VAT", tax_rate=Decimal(tax), tax_on=("work", "freight"))
    places = Destinations((Destination(PLACE, "US", km=Decimal(120), profile="van", terms=terms),))
    return replace(
        built,
        book=replace(built.book, rows=rows, invented=False),
        rates=rates,
        destinations=places,
        parties=Parties(parties),
    )


def priced(count: int = 2, at: Office | None = None, buyers: Sequence[str] = ("Bay Foundation",)) -> Quote:
    """Price so many works, bought by each in turn."""
    first = small_build().order.artworks[0]
    works = tuple(
        replace(
            first,
            piece=f"A-{number:02}",
            title=f"Tidal Study No. {number}",
            buyer=buyers[number % len(buyers)],
            artist="Z. Ångström",
            year="2026",
            medium="resin and pigment on birch panel",
            destination=PLACE,
            price=Decimal(900 + number),
            notes="Quagga: pays late, add a tenth",
        )
        for number in range(1, count + 1)
    )
    crates = [closed(f"K{n}", work.piece, 20 + n % 7, 30) for n, work in enumerate(works, start=1)]
    order = replace(small_build().order, name="orders_export_7", artworks=works)
    build = build_of(order, crates)
    shop = replace(build.shop, studio=replace(build.shop.studio, name="Tide Studio (invented)"))
    return quote(replace(build, shop=shop), at or office(BUYER), on=DAY, number="Q-17")
