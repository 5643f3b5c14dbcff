"""Extras, decks and liability in the workbook: cells are the quote's, and rates of extras are inputs."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from pricing.output.tables import quote_tables
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from tests.pricing.output.workbook.support import changed, differences, opened, recalculated, sample

DAY = date(2026, 10, 15)
PLACES = Destinations(
    (
        Destination("Harbour Gallery", "US", profile="pallet", inside=True, limited=True),
        Destination("Hillside Gallery", "US", profile="pallet", residential=True, inside=True),
    )
)


@cache
def shipped(limited: str = "85.00", by_weight: str = "9.50", tier: str = "90.00") -> Quote:
    """Return the consignment by pallet freight: one place pays inside delivery by weight, the other its least."""
    was = sample("gallery_consignment.csv")
    rates = was.rates
    pallet = replace(
        rates.profile("pallet"), limited=Decimal(limited), inside=Decimal(80), inside_100lb=Decimal(by_weight),
        tilt_each=1, over_length={"60 in": Decimal(tier)}, over_length_each=True,
    )  # fmt: skip
    freight = tuple(pallet if each.name == "pallet" else each for each in rates.freight)
    office = replace(was.office, rates=replace(rates, freight=freight), destinations=PLACES)
    return quote(was.build, office, on=DAY, number="Q-1")


def test_the_sample_bears_every_kind_of_extra() -> None:
    harbour, hillside = (each.chosen for each in shipped().shipments)
    keys = {charge.key for charge in harbour.charges}
    assert {"over_length_1", "liftgate", "limited", "inside"} <= keys
    assert "residential" in {charge.key for charge in hillside.charges}
    titles = [charge.title for made in (harbour, hillside) for charge in made.charges if charge.key == "inside"]
    assert titles == ["inside delivery", "inside delivery, at the least"]
    assert {need.good for need in harbour.needs} == {"a-frame 72x36", "pallet 48x40", "tilt-indicator"}


def test_cells_of_extras_and_decks_are_the_quotes() -> None:
    made = shipped()
    content = workbook_bytes(made)
    assert differences(content, made) == []
    sheet: Any = opened(content, values=True)["Freight"]
    told = " ".join(str(cell) for row in sheet.iter_rows(values_only=True) for cell in row if cell is not None)
    assert all(text[1:] in told for text in made.shipments[0].chosen.insure)
    table = next(each for each in quote_tables(made) if each.name == "freight")
    charged = [dict(zip(table.headings, row, strict=True)) for row in table.rows if row[2] == "charged"]
    assert [row["told"] for row in charged] == ["; ".join((*s.chosen.told, *s.chosen.insure)) for s in made.shipments]
    assert "only insurance covers" in str(charged[0]["told"])


@pytest.mark.office
def test_rates_of_extras_are_inputs_recalculated(office: str, tmp_path: Path) -> None:
    cells = {
        "freight_pallet_limited": 97.5,
        "freight_pallet_inside": 10.25,
        "freight_pallet_over_length_1": 75.35,
    }
    wanted = shipped("97.50", "10.25", "75.35")
    assert wanted.total != shipped().total
    for content in recalculated(office, {"extras": changed(shipped(), cells)}, tmp_path).values():
        assert differences(content, wanted) == []
