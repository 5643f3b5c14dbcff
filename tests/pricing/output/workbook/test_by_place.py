"""Tax, commission and payer of places in the workbook: stored values are the quote's, and follow their own cells."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.parties import Parties, Party
from pricing.studio.sale_terms import SaleTerms
from tests.pricing.builds import build_of, closed, small_build
from tests.pricing.output.workbook.support import DAY, changed, differences, in_office, opened, recalculated

ABROAD, NEAR, OPEN = "Canal House", "Harbour Gallery", "Hill Rooms"
VAT = SaleTerms(Decimal("0.4"), "buyer", "VAT", Decimal("0.2"), ("art", "work", "freight"))
AWAY = SaleTerms(Decimal(0), export="zero-rated: shipped abroad by the seller")


def priced(near: SaleTerms = VAT, *, art: str = "0", rate: str = "0.0725", order: str = "0.3") -> Quote:
    """Price three pieces to three places: one with tax of its own, one abroad, and one that says nothing."""
    build = small_build()
    first = replace(build.order.artworks[0], destination=NEAR)
    abroad = replace(first, piece="B-01", destination=ABROAD, price=Decimal(700))
    open_ = replace(first, piece="C-01", destination=OPEN, price=Decimal(450), commission=Decimal("0.25"))
    works = (first, replace(first, piece="A-02", price=Decimal(300)), abroad, open_)
    crates = tuple(
        replace(closed(f"K{n}", work.piece, 20 + n, 30), destination=work.destination or "")
        for n, work in enumerate(works, start=1)
    )
    office = in_office(Office())
    rates = office.rates
    tax = replace(rates.tax, rate=Decimal(rate), on_freight=False)
    rates = replace(rates, tax=tax, sale=replace(rates.sale, art_tax=Decimal(art)))
    places = Destinations(
        (
            Destination(NEAR, "US", km=Decimal(312), profile="van", terms=near),
            Destination(ABROAD, "NL", profile="air", terms=AWAY),
            Destination(OPEN, "US", profile="parcel"),
        )
    )
    whole = replace(build.order, artworks=works, commission=Decimal(order) if order else None)
    return quote(build_of(whole, crates), replace(office, rates=rates, destinations=places), on=DAY, number="Q-1")


def test_stored_values_are_the_quotes() -> None:
    for made in (priced(), priced(order=""), priced(SaleTerms())):
        assert differences(workbook_bytes(made), made) == []
    assert [each.where for each in priced().levied] == [NEAR, ABROAD, OPEN]
    assert [sale.said for sale in priced().sales] == ["order", "order", "order", "piece"]
    assert [sale.said for sale in priced(order="").sales] == ["place", "place", "place", "piece"]


def test_the_client_reads_each_tax_and_why_none_is_due() -> None:
    made = priced()
    page = opened(workbook_bytes(made), values=True)["Quote"]
    rows = {str(row[2]): row[5] for row in page.iter_rows(values_only=True) if row[2]}
    vat = next(each for each in made.levied if each.rule.name == "VAT")
    assert rows[f"VAT, {NEAR}"] == pytest.approx(float(vat.amount))
    assert rows[f"Sales tax, {ABROAD}: {AWAY.export}"] == 0
    usual = next(each for each in made.levied if each.where == OPEN)
    assert rows[f"Sales tax, {OPEN}"] == pytest.approx(float(usual.amount))
    assert usual.amount > 0


def test_one_rate_for_all_needs_no_cells_by_place() -> None:
    """Old meaning: where no place says anything, the pages are as they were."""
    made = priced(SaleTerms(), order="")
    places = Destinations(tuple(replace(row, terms=SaleTerms()) for row in made.destinations.rows))
    made = quote(made.build, replace(made.office, destinations=places), on=DAY)
    book = opened(workbook_bytes(made), values=False)
    assert "Tax and sale by place" not in [cell.value for cell in book["Assumptions"]["A"]]
    assert not [name for name in book.defined_names if name.startswith(("tax_to", "tax_rate_", "commission_h"))]


@pytest.mark.office
def test_cells_of_places_edited_and_recalculated_equal_a_new_run(office: str, tmp_path: Path) -> None:
    """Every input that is new, and every old one that a place may leave to the rates, to the cent."""
    cells: dict[str, dict[str, Any]] = {
        "rates": {
            "tax_rate_harbour_gallery": 0.055, "tax_on_art_harbour_gallery": "no", "tax_on_work_harbour_gallery": "yes",
            "tax_on_freight_harbour_gallery": "no", "tax_on_insurance_harbour_gallery": "yes",
            "paid_by_harbour_gallery": "artist", "commission_of_the_order": 0.15, "sales_tax_rate": 0.0825,
            "art_tax_rate": 0.03,
        },
        "places": {"commission_harbour_gallery": 0.6, "commission_canal_house": 0.35,
                   "paid_by_harbour_gallery": "gallery"},
    }  # fmt: skip
    other = SaleTerms(Decimal("0.4"), "artist", "VAT", Decimal("0.055"), ("work", "insurance"))
    wanted = {"rates": priced(other, art="0.03", rate="0.0825", order="0.15")}
    place = priced(replace(VAT, commission=Decimal("0.6"), paid_by="gallery"), order="")
    rows = tuple(
        replace(row, terms=replace(AWAY, commission=Decimal("0.35"))) if row.name == ABROAD else row
        for row in place.destinations.rows
    )
    wanted["places"] = quote(place.build, replace(place.office, destinations=Destinations(rows)), on=DAY)
    files = {"rates": changed(priced(), cells["rates"]), "places": changed(priced(order=""), cells["places"])}
    for name, content in recalculated(office, files, tmp_path).items():
        assert differences(content, wanted[name]) == [], name


def parted(*rows: Party, gallery: str = "") -> Quote:
    """Price three pieces that parties buy and sell."""
    made = priced(order="")
    order = made.build.order
    works = tuple(replace(work, buyer="A. Collector" if n == 1 else "") for n, work in enumerate(order.artworks))
    build = replace(made.build, order=replace(order, artworks=works, gallery=gallery))
    return quote(build, replace(made.office, parties=Parties(rows)), on=DAY, number="Q-1")


BUYER = Party("A. Collector", insurance_by="buyer")
SELLER = Party("Pier Hall", commission=Decimal("0.35"), packing_by="list price", freight_by="gallery")


@pytest.mark.office
def test_each_partys_part_stands_in_the_workbook_and_follows_its_cells(office: str, tmp_path: Path) -> None:
    made = parted(BUYER, SELLER, gallery="pier hall")
    assert [sale.said for sale in made.sales] == ["gallery", "gallery", "gallery", "piece"]
    assert {(s.paid_by, s.freight_by, s.insurance_by) for s in made.sales} == {
        ("list price", "gallery", "buyer"), ("list price", "gallery", "list price"),
    }  # fmt: skip
    assert all(sale.freight > 0 and sale.insurance > 0 for sale in made.sales[:3])
    assert differences(workbook_bytes(made), made) == []
    other = parted(
        replace(BUYER, insurance_by="artist"),
        replace(SELLER, commission=Decimal("0.2"), packing_by="buyer", freight_by="artist"),
        gallery="Pier Hall",
    )
    cells = {
        "commission_of_pier_hall": 0.2, "freight_paid_by_pier_hall": "artist", "packing_paid_by_pier_hall": "buyer",
        "insurance_paid_by_a_collector": "artist",
    }  # fmt: skip
    (content,) = recalculated(office, {"parties": changed(made, cells)}, tmp_path).values()
    assert differences(content, other) == []


def test_one_payer_for_all_needs_no_columns_more() -> None:
    made = parted(replace(BUYER, packing_by="buyer", freight_by="buyer"))
    assert [sale.divided for sale in made.sales] == [False] * 4
    assert differences(workbook_bytes(made), made) == []
