"""One workbook with inputs of every kind edited at once, recalculated by another program, is what a new run says."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

import pytest

from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destinations
from pricing.studio.office import Office
from pricing.studio.sale_terms import SaleTerms
from tests.pricing.output.workbook.support import changed, differences, recalculated, sample
from tests.pricing.output.workbook.test_shipments import DAY, PLACES, QUOTED, zoned

VAT: Final = SaleTerms(Decimal("0.4"), "list price", "VAT", Decimal("0.2"), ("art", "work", "freight"))
NEAR: Final = replace(PLACES.rows[0], terms=VAT)
CELLS: Final[dict[str, Any]] = {
    "contingency_rate": 0.075, "overhead_rate": 0.135, "markup_rate": 0.335, "discount_rate": 0.0125,
    "minimum_charge": 100, "round_to": 2.5, "waste_rate": 0.125, "sheet_waste_rate": 0.225,
    "charge_osb_7_16": "area", "charge_glassine": "bought", "purchase_tax_goods": 0.03, "insurance_rate": 0.0085,
    "minutes_setup": 1.3, "minutes_mark_out": 0.6, "minutes_seal": 5.5, "minutes_label": 0.35, "minutes_record": 11,
    "minutes_yard": 40, "minutes_hand_over": 7.5, "minutes_track_cut": 2.7, "minutes_carry": 0.35, "minutes_turn": 0.2,
    "minutes_stop_setup": 0.9, "minutes_chop_cut": 0.4, "minutes_knife_cut": 0.65, "minutes_bevel_setup": 5.5,
    "commission_harbour_gallery": 0.45, "tax_rate_harbour_gallery": 0.055, "tax_on_freight_harbour_gallery": "no",
    "freight_parcel_zone_5": 0.62, "freight_parcel_fuel": 0.205, "freight_quotation_hillside_gallery": 915.5,
}  # fmt: skip
"""Old inputs and those of every new rule: what is used, operations, places, zones and quotations."""


def studio() -> Office:
    """Return a studio whose places are taxed and shipped to in every new way."""
    plain = sample("gallery_consignment.csv").office
    return replace(plain, rates=zoned(plain.rates, "1.35", "0.18"), destinations=Destinations((NEAR, QUOTED)))


def edited(was: Office) -> Office:
    """Return the studio with the same inputs edited as in the cells."""
    rates = zoned(was.rates, "1.62", "0.205")
    price = replace(
        rates.price, contingency=Decimal("0.075"), overhead=Decimal("0.135"), profit_rate=Decimal("0.335"),
        discount=Decimal("0.0125"), minimum=Decimal(100), round_to=Decimal("2.5"), waste=Decimal("0.125"),
        sheet_waste=Decimal("0.225"),
    )  # fmt: skip
    labour = replace(
        rates.labour, setup=Decimal("1.3"), mark_out=Decimal("0.6"), seal=Decimal("5.5"), label=Decimal("0.35"),
        record=Decimal(11), yard=Decimal(40), hand_over=Decimal("7.5"), track_cut=Decimal("2.7"), carry=Decimal("0.35"),
        turn=Decimal("0.2"), stop_setup=Decimal("0.9"), chop_cut=Decimal("0.4"), knife_cut=Decimal("0.65"),
        bevel_setup=Decimal("5.5"),
    )  # fmt: skip
    rates = replace(
        rates, price=price, labour=labour, purchase_tax={"goods": Decimal("0.03")},
        insurance=replace(rates.insurance, rate=Decimal("0.0085")),
        by_good={**rates.by_good, "osb-7/16": "area", "glassine": "bought"},
    )  # fmt: skip
    terms = replace(VAT, commission=Decimal("0.45"), tax_rate=Decimal("0.055"), tax_on=("art", "work"))
    places = Destinations((replace(NEAR, terms=terms), replace(QUOTED, quoted=Decimal("915.50"))))
    return replace(was, rates=rates, destinations=places)


def priced(by: Office) -> Quote:
    return quote(sample("gallery_consignment.csv").build, by, on=DAY, number="Q-1")


@pytest.mark.office
def test_inputs_of_every_kind_edited_together_and_recalculated_equal_a_new_run(office: str, tmp_path: Path) -> None:
    before, after = priced(studio()), priced(edited(studio()))
    assert len(CELLS) >= 20
    assert before.total != after.total
    assert differences(workbook_bytes(before), before) == []
    again = recalculated(office, {"edited": changed(before, CELLS)}, tmp_path)["edited"]
    assert differences(again, after) == []
