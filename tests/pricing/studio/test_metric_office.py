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
from pricing.quoting.liability import liable
from pricing.quoting.loads import piece_of
from pricing.quoting.offers import Handed
from pricing.quoting.particulars import Particulars
from pricing.quoting.surcharges import all_charges
from pricing.studio.destinations import Destination, destinations_csv
from pricing.studio.freight_rules import (
    Piece,
    air_chargeable_kg,
    billed_kg,
    layers,
    length_plus_girth,
    loading_metres,
    piece_refusals,
    road_chargeable_kg,
    volume_kg,
)
from pricing.studio.office import Office, office_texts, read_office
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rack import rack_csv
from pricing.studio.rates_file import default_rates, rates_from

RATES = default_rates("metric")


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


def test_two_that_are_stacked_share_a_metre() -> None:
    """Forwarders' pages: a pallet that may be stacked counts half; of 1,500 mm only one stands under 2,600 mm."""
    assert loading_metres(replace(piece(1200, 800, 1200, "200"), layers=2), 2400 * MM) == Fraction(1, 5)
    assert [layers(high * MM, 2, 2600 * MM) for high in (1200, 1300, 1301, 1500, 3000)] == [2, 2, 1, 1, 1]
    assert layers(1200 * MM, 1, 2600 * MM) == 1


def test_what_is_strapped_upright_shares_no_metre_where_the_carrier_says_so() -> None:
    road = replace(RATES.profile("road"), stack_most=2)
    free, strapped = (Handed(("K1",), "", 1200 * MM, 800 * MM, 1200 * MM, Decimal(90), stacks=s) for s in (True, False))
    assert [piece_of(each, road).layers for each in (free, strapped)] == [2, 2]
    assert [piece_of(each, replace(road, no_stack="strapped")).layers for each in (free, strapped)] == [2, 1]
    assert [piece_of(each, replace(road, no_stack="all")).layers for each in (free, strapped)] == [1, 1]


def test_thirty_three_pallets_fill_a_trailer() -> None:
    """33 EUR pallets or 26 industrial ones go into 13.6 m (forwarders' pages, from memory): 13.2 and 13.0 metres."""
    assert 33 * loading_metres(piece(1200, 800, 1500, "200"), 2400 * MM) == Fraction(132, 10)
    assert 26 * loading_metres(piece(1200, 1000, 1500, "200"), 2400 * MM) == 13


def test_volume_weights_of_a_cubic_metre() -> None:
    """Road 1:3 (333 kg), air 1:6 (167 kg), sea 1:1 (1,000 kg): forwarders' pages, from memory; air 166.67 as read."""
    cube = piece(1000, 1000, 1000, "10")
    assert [round(volume_kg([cube], RATES.profile(way).divisor)) for way in ("road", "air", "sea")] == [333, 167, 1000]
    # 30 x 45 x 65 cm, 14 kg: 14.625, billed 15 (a freight firm's fact sheet).
    assert air_chargeable_kg([piece(300, 450, 650, "14")]) == 15


def test_girth_goes_by_whole_centimetres_where_the_tariff_does() -> None:
    """1,200.1 x 600 x 300 mm: 121 + 2 x 60 + 2 x 30 = 301 cm, over 300; by inches 48 + 48 + 24 = 120 in."""
    parcel = Piece(1200 * MM + 800, 600 * MM, 300 * MM, Decimal(20), "K1")
    assert length_plus_girth(parcel, unit=10 * MM) == 3010 * MM
    assert piece_refusals(parcel, RATES.profile("parcel").caps, "metric") == (
        "K1 is too big: length plus girth 3010 mm, at the most 3000 mm",
    )
    assert not piece_refusals(piece(1200, 600, 300, "31.5"), RATES.profile("parcel").caps, "metric")
    heavy = piece_refusals(replace(piece(1200, 600, 300, "31.6"), name="K1"), RATES.profile("parcel").caps, "metric")
    assert heavy == ("K1 is too heavy: 31.6 kg, at the most 31.5 kg",)


def test_a_carrier_answers_by_special_drawing_rights_at_the_rate_as_typed() -> None:
    """CMR, article 23: 8.33 SDR a kilogram; 40 kg are 333.2 SDR, at 1.20 EUR 399.84. By sea 666.67 SDR a piece."""
    handed = [Handed(("K1",), "", 1000 * MM, 400 * MM, 1000 * MM, Decimal(40))]
    told = Particulars(values={"K1": Decimal(5000)}, sdr=Decimal("1.20"))
    most, (text,) = liable(handed, RATES.profile("road"), told)
    assert most == Decimal("399.84")
    assert "(8.33 SDR a kilogram of gross weight, an SDR at 1.2000) of 5000.00 declared" in text
    assert liable(handed, RATES.profile("air"), told)[0] == Decimal("1248.00")  # Montreal, 26 SDR
    assert liable(handed, RATES.profile("sea"), told)[0] == Decimal("800.00")  # Hague-Visby, the higher
    assert liable([replace(handed[0], gross_kg=Decimal(400))], RATES.profile("sea"), told)[0] == Decimal("960.00")
    unknown, (asks,) = liable(handed, RATES.profile("road"), replace(told, sdr=Decimal(0)))
    assert unknown is None
    assert asks.endswith("type what one is worth, XDR under [currencies]")


def test_extras_are_told_by_the_unit_of_the_tariff() -> None:
    handed = Handed(("K1",), "", 1300 * MM, 400 * MM, 300 * MM, Decimal(20))
    taken = [(handed, piece_of(handed, RATES.profile("parcel")))]
    found = all_charges([], taken, Destination("x"), RATES.profile("parcel"), Particulars())
    assert [each.title for each in found if each.key == "long"] == ["longest side over 120 cm"]
    long = Handed(("K1",), "", 2500 * MM, 400 * MM, 300 * MM, Decimal(20))
    road = RATES.profile("road")
    told = all_charges([], [(long, piece_of(long, road))], Destination("x", dock=True), road, Particulars())
    assert "longer than 240 cm" in [each.title for each in told]


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
