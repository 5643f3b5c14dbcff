"""A sample job for an empty desk: an invented scenario that says so, in the shop's own units."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from nesting.base.measure import INCH, MM
from pricing.desk.content import Content
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.parties import Parties, Party

NAME: Final = "Sample job (invented)"
CLIENT: Final = "Sample Collector (invented)"
PLACE: Final = "Sample House (invented)"
_NOTE: Final = "Invented, for a first look: no such work, person or place"
_HEADINGS: Final = (
    "piece", "title", "width", "height", "depth", "weight", "support", "price", "buyer", "destination", "ship by",
    "notes",
)  # fmt: skip
_WORKS: Final = (
    # piece, title, sizes and weight in inches and pounds, and in millimetres and kilograms, price
    ("S-1", "Low Water", ("30", "40", "1 1/2", "19"), ("760", "1020", "38", "8.6"), "2400"),
    ("S-2", "Bright Interval", ("24", "24", "1 1/2", "10"), ("610", "610", "38", "4.5"), "1500"),
    ("S-3", "Long Evening", ("48", "60", "2", "52"), ("1220", "1520", "50", "23.6"), "6800"),
    ("S-4", "Small Weather", ("12", "12", "1", "3"), ("300", "300", "25", "1.4"), "450"),
)
_DAYS: Final = 60


def sample(office: Office, today: date) -> Content:
    """Return the job's table: four panels of resin for one house, to leave in two months."""
    metric = office.shop.units == "metric"
    leaves = (today + timedelta(days=_DAYS)).isoformat()
    rows = tuple(
        (
            piece,
            title,
            *(by_mm if metric else by_inch),
            "birch panel",
            price,
            CLIENT,
            PLACE,
            leaves,
            _NOTE if place == 0 else "",
        )
        for place, (piece, title, by_inch, by_mm, price) in enumerate(_WORKS)
    )
    return Content(units="metric" if metric else "inch", headings=_HEADINGS, rows=rows)


def with_place(places: Destinations, office: Office) -> Destinations | None:
    """Return the table with the sample's place, where it lacks it; its crates go by the first way that takes them."""
    if any(row.name == PLACE for row in places.rows):
        return None
    width, height = (860 * MM, 2000 * MM) if office.shop.units == "metric" else (36 * INCH, 80 * INCH)
    place = Destination(
        PLACE, country=office.shop.studio.country, door_width=width, door_height=height, residential=True,
        km=Decimal(150), address="1 Example Lane (invented)",
    )  # fmt: skip
    return replace(places, rows=(*places.rows, place))


def with_buyer(parties: Parties, office: Office) -> Parties | None:
    """Return the book of parties with the sample's buyer, where it lacks them."""
    if any(row.name == CLIENT for row in parties.rows):
        return None
    buyer = Party(CLIENT, address=("1 Example Lane (invented)",), country=office.shop.studio.country)
    return replace(parties, rows=(*parties.rows, buyer))
