"""A studio by millimetres: its files as they are begun, and freight by road, sea and parcel worked by hand."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from typer.testing import CliRunner

from nesting.base.measure import INCH, MM
from pricing.cli.command import app
from pricing.output.job import read_both
from pricing.studio.destinations import destinations_csv
from pricing.studio.freight_rules import Piece, billed_kg, loading_metres, road_chargeable_kg
from pricing.studio.office import Office, office_texts, read_office
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rack import rack_csv
from pricing.studio.rates_file import default_rates, rates_from


def piece(length: int, width: int, height: int, kg: str) -> Piece:
    """Make a piece of whole millimetres."""
    return Piece(length * MM, width * MM, height * MM, Decimal(kg))


def test_a_folder_that_is_begun_by_millimetres_is_whole(tmp_path: Path) -> None:
    made = CliRunner().invoke(app, ["start", str(tmp_path / "studio"), "--sizes", "metric"])
    assert made.exit_code == 0
    office = read_office(tmp_path / "studio")
    assert office.shop.units == "metric"
    assert office.book.currency == office.rates.currency == "EUR"
    assert office.book.invented
    lacking = [s.stock for good in office.shop.goods for s in good.sizes if s.stock not in office.book.by_stock]
    assert lacking == []
    assert office.shop.gear.pad_good == "pe-plank-50"  # no file of before: its goods of gear are its own


def test_bare_numbers_of_an_order_are_millimetres_there(tmp_path: Path) -> None:
    studio, order = tmp_path / "studio", tmp_path / "order.csv"
    studio.mkdir()
    (studio / "shop.toml").write_text('[studio]\nsizes = "metric"\n', encoding="utf-8")
    order.write_text("piece,width,height,depth,weight\nA-01,760,1020,40,9.5\n", encoding="utf-8")
    read, office = read_both(order, studio, None)
    assert read.units == "metric"
    assert read.artworks[0].width == 760 * MM
    assert office.rates == default_rates("metric")
    assert office.book == default_price_book("metric")


def test_rates_read_back_as_they_are_written() -> None:
    texts = office_texts("metric")
    assert rates_from(texts["rates.toml"], "rates.toml") == default_rates("metric")
    stated = [line for line in texts["rates.toml"].splitlines() if "=" in line and not line.startswith("#")]
    assert not [line for line in stated if "_lb" in line or ' in"' in line or "USD" in line]
    assert Office().rates.sizes == "inch"


def test_a_pallet_takes_two_fifths_of_a_metre_of_a_trailer() -> None:
    """Forwarders' pages and geometry: 1.2 x 0.8 m of a trailer 2.4 m wide; 1.2 x 1.0 m takes half a metre."""
    assert loading_metres(piece(1200, 800, 1500, "200"), 2400 * MM) == Fraction(2, 5)
    assert loading_metres(piece(1200, 1000, 1500, "200"), 2400 * MM) == Fraction(1, 2)


@pytest.mark.parametrize(
    ("kg", "divisor", "metre", "billed", "by"),
    [
        ("200", 3000, 0, "480", "volume"),  # 1.2 x 0.8 x 1.5 = 1.44 m3, at 333.33 kg
        ("200", 3000, 1750, "700", "0.40 loading metres"),
        ("900", 3000, 1750, "900", "gross weight"),
        ("200", 1000, 0, "1440", "volume"),  # by sea 1,000 kg a cubic metre
    ],
)
def test_by_road_and_sea_by_hand(kg: str, divisor: int, metre: int, billed: str, by: str) -> None:
    found = road_chargeable_kg([piece(1200, 800, 1500, kg)], Decimal(divisor), Decimal(metre), 2400 * MM)
    assert found == (Decimal(billed), by)


def test_a_parcel_by_the_kilogram_by_hand() -> None:
    """60 x 60 x 12.3 cm counts 60 x 60 x 13 / 5000 = 9.36, up to 10 kg; one of 12.1 kg is billed 13."""
    assert billed_kg(piece(600, 600, 123, "4")) == 10
    assert billed_kg(piece(600, 600, 123, "12.1")) == 13


def test_the_divisor_of_a_parcel_by_the_kilogram_need_not_be_stated() -> None:
    head = 'form = 2\ncurrency = "EUR"\n[delivery]\nprofile = "p"\n'
    text = f'{head}[freight.p]\nkind = "parcel"\nas_of = 2026-10-01\nper_kg = 1.00\n'
    assert rates_from(text, "rates.toml").profile("p").divisor == 5000
    assert rates_from(text.replace("per_kg", "per_lb"), "rates.toml").profile("p").divisor == 139


def test_bare_lengths_of_the_other_files_are_millimetres_there(tmp_path: Path) -> None:
    """A file that says nothing of sizes goes as its shop goes."""
    files = {
        "shop.toml": '[studio]\nsizes = "metric"\n',
        "rates.toml": 'form = 2\ncurrency = "EUR"\n[delivery]\nprofile = "road"\n[freight.road]\nkind = "road"\n'
        "as_of = 2026-10-01\nlongest = 6000\nover_length = { 2400 = 40.00 }\n",
        "rack.csv": "name,good,length,width\nR-1,ply-9,600,400\nR-2,ply-9,24 in,400\n",
        "destinations.csv": "destination,door width,door height,profile\nQuay,860,2000,road\n",
    }
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    office = read_office(tmp_path)
    road, (quay,) = office.rates.profile("road"), office.destinations.rows
    assert office.rates.sizes == "metric"
    assert (road.longest, dict(road.over_length)) == (6000 * MM, {"2400 mm": Decimal("40.00")})
    assert (quay.door_width, quay.door_height) == (860 * MM, 2000 * MM)
    assert [(each.length, each.width) for each in office.rack.offcuts] == [
        (600 * MM, 400 * MM), (24 * INCH, 400 * MM)
    ]  # fmt: skip
    assert "860 mm,2000 mm" in destinations_csv(office.destinations, "metric")
    assert "609.6 mm,400 mm" in rack_csv(office.rack, "metric")
    (tmp_path / "shop.toml").unlink()
    (tmp_path / "rates.toml").write_text(files["rates.toml"].replace("6000", "60"), encoding="utf-8")
    (tmp_path / "destinations.csv").write_text("destination,door width,door height\nQuay,34,80\n", encoding="utf-8")
    (tmp_path / "rack.csv").write_text("name,good,length,width\nR-1,ply-3/8,24,12\n", encoding="utf-8")
    plain = read_office(tmp_path)
    assert plain.destinations.rows[0].door_width == 34 * INCH
    assert plain.rack.offcuts[0].length == 24 * INCH
    assert plain.rates.profile("road").longest == 60 * INCH


def test_a_file_of_before_means_what_it_meant() -> None:
    former = replace(default_rates(), currency="USD")
    assert former.sizes == "inch"
    assert default_rates("metric").labour == former.labour
