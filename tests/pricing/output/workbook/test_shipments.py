"""Several shipments to a place, legs, zones and quotations: their cells are the quote's and follow their inputs."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from pricing.output.tables import quote_document, quote_tables
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.rates import Rates
from tests.pricing.output.workbook.support import changed, differences, opened, recalculated, sample

DAY = date(2026, 10, 15)


def zoned(rates: Rates, factor: str, fuel: str) -> Rates:
    """Return rates whose parcels go by zone, with a handler."""
    parcel = replace(
        rates.profile("parcel"), zones={"2": Decimal(1), "5": Decimal(factor)}, fuel=Decimal(fuel), transit_days=3,
        transit_days_most=3,
    )  # fmt: skip
    handler = replace(
        rates.profile("collect"), name="handler", kind="handler", title="A handler (invented)",
        base=Decimal("180.00"), per_piece=Decimal("45.00"), per_kg=Decimal("0.40"), transit_days=2,
    )  # fmt: skip
    van = replace(rates.profile("van"), km=Decimal(60), goes_to="the airport", transit_days=1, transit_days_most=2)
    air = replace(rates.profile("air"), goes_to="their airport", transit_days=0, transit_days_most=0)
    pallet = replace(rates.profile("pallet"), transit_days=0, transit_days_most=0)
    made = (parcel, van, handler, air, pallet)
    kept = [each for each in rates.freight if each.name not in {own.name for own in made}]
    return replace(rates, freight=(*made, *kept))


PLACES = Destinations(
    (
        Destination("Harbour Gallery", "US", profile="parcel, pallet", zone="5", dock=True, deadline=date(2026, 12, 1)),
        Destination("Hillside Gallery", "GB", profile="van then air then handler"),
    )
)
QUOTED = replace(PLACES.get("Hillside Gallery"), quoted=Decimal("840.00"), quoted_by="Somebody (invented)")


@cache
def shipped(factor: str = "1.35", fuel: str = "0.18", *, quoted: bool = False, price: str = "840.00") -> Quote:
    """Return the consignment sent by parcel and pallet to one place, and along three legs or as quoted to another."""
    was = sample("gallery_consignment.csv")
    there = replace(QUOTED, quoted=Decimal(price)) if quoted else PLACES.rows[1]
    places = Destinations((PLACES.rows[0], there))
    office = replace(was.office, rates=zoned(was.rates, factor, fuel), destinations=places)
    return quote(was.build, office, on=DAY, number="Q-1")


def test_the_sample_is_shipped_in_every_new_way() -> None:
    shipments = shipped().shipments
    assert [(each.chosen.profile, each.leg, each.legs) for each in shipments] == [
        ("parcel", 1, 1), ("pallet", 1, 1), ("van", 1, 3), ("air", 2, 3), ("handler", 3, 3),
    ]  # fmt: skip
    assert shipped().incomplete == ()
    assert len({line.key for line in shipped().passed}) == len(shipped().passed)


@pytest.mark.parametrize("quoted", [False, True])
def test_cells_of_every_shipment_are_the_quotes(quoted: bool) -> None:
    made = shipped(quoted=quoted)
    content = workbook_bytes(made)
    assert differences(content, made) == []
    sheet: Any = opened(content, values=True)["Freight"]
    told = [str(cell) for row in sheet.iter_rows(values_only=True) for cell in row if cell is not None]
    legs = {
        "To Hillside Gallery, leg 1 of 3, the studio to the airport",
        "To Harbour Gallery, Parcel carrier (invented rates)",
    }
    assert legs <= set(told) or quoted
    assert "To arrive by 2026-12-01, with 3 working days on the way: hand over by 2026-11-26." in told
    assert ("Somebody (invented): charged in this quote, quoted, without a last day" in told) == quoted


@pytest.mark.office
def test_zone_fuel_and_quotation_are_inputs_recalculated(office: str, tmp_path: Path) -> None:
    cells = {"freight_parcel_zone_5": 0.62, "freight_parcel_fuel": 0.205}
    asked = {**cells, "freight_quotation_hillside_gallery": 915.5}
    wanted = {
        "legs": shipped(),
        "zone": shipped("1.62", "0.205"),
        "quoted": shipped("1.62", "0.205", quoted=True, price="915.50"),
    }
    files = {
        "legs": workbook_bytes(shipped()),
        "zone": changed(shipped(), cells),
        "quoted": changed(shipped(quoted=True), asked),
    }
    assert len({each.total for each in wanted.values()}) == 3
    for name, content in recalculated(office, files, tmp_path).items():
        assert differences(content, wanted[name]) == [], name


def test_tables_and_document_name_legs_and_days() -> None:
    made = shipped()
    table = next(each for each in quote_tables(made) if each.name == "freight")
    charged = [dict(zip(table.headings, row, strict=True)) for row in table.rows if row[2] == "charged"]
    wanted = ("destination", "from", "to", "days_least", "days_most")
    assert [tuple(row[each] for each in wanted) for row in charged] == [
        ("Harbour Gallery", "", "", 3, 3), ("Harbour Gallery", "", "", None, None),
        ("Hillside Gallery", "", "the airport", 1, 2), ("Hillside Gallery", "the airport", "their airport", None, None),
        ("Hillside Gallery", "their airport", "", 2, 2),
    ]  # fmt: skip
    document = quote_document(made)
    parcels, pallet = document["arrivals"][:2]
    assert (parcels["hand_over_by"], parcels["deadline"], parcels["days"]) == ("2026-11-26", "2026-12-01", [3, 3])
    assert (pallet["hand_over_by"], pallet["days_unknown"]) == ("2026-12-01", ["Pallet freight (invented rates)"])
    assert document["arrivals"][2]["deadline"] is None
