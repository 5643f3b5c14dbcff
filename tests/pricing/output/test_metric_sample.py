"""The consignment by millimetres, with its studio beside it: read, built, priced and proven like the other samples."""

import json
from datetime import date
from functools import cache
from importlib.resources import files
from pathlib import Path

import jsonschema

from nesting.base.measure import MM
from nesting.base.search import QUICK
from nesting.crates.bevels import bevels_in
from nesting.cutting.sawing.plan import plan_in
from pricing.output.handover import build_document
from pricing.output.job import read_both
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from tests.build_verifier import verify_build
from tests.round_millimetres import fractions_of, odd_fences

SAMPLE = Path(__file__).parents[3] / "sample_orders" / "by_millimetres"


@cache
def made() -> Quote:
    """Return its quote, by quick plans."""
    order, office = read_both(SAMPLE / "consignment.csv", SAMPLE, None)
    return work(order, office, on=date(2026, 11, 28), search=QUICK)


def test_its_files_are_read_in_millimetres() -> None:
    order, office = read_both(SAMPLE / "consignment.csv", SAMPLE, None)
    assert (order.units, office.shop.units, office.book.currency) == ("metric", "metric", "EUR")
    assert (order.artworks[0].width, order.artworks[0].height, order.artworks[0].depth) == (
        1500 * MM, 1200 * MM, 50 * MM,
    )  # fmt: skip
    assert float(order.artworks[0].weight_kg or 0) == 23.5
    assert (back := order.artworks[0].back) is not None
    assert back.bar_width == 60 * MM
    assert office.shop.passage.door_width == 1400 * MM
    assert office.shop.by_name["ply-18"].thickness * 2 == 35 * MM
    assert {row.name: row.door_width // MM for row in office.destinations.rows} == {
        "Lakeside Gallery": 1600, "Harbour Rooms": 900, "Private buyer": 800,
    }  # fmt: skip
    assert not order.warnings


def test_it_is_quoted_whole_and_its_build_stands_up_to_the_verifier() -> None:
    quote = made()
    document = json.loads(json.dumps(build_document(quote.build, quote.currency)))
    schema = jsonschema.Draft202012Validator(
        json.loads((files("nesting") / "build.schema.json").read_text(encoding="utf-8"))
    )
    assert [error.message for error in schema.iter_errors(document)] == []
    assert verify_build(document) == []
    assert (quote.currency, quote.incomplete, quote.build.held, quote.build.unpacked) == ("EUR", (), (), ())
    assert {str(crate.method) for crate in quote.build.crates} == {"carton", "closed", "battened", "travel", "outer"}


def test_its_crates_and_cuts_are_whole_millimetres_and_halves_by_its_sheets_of_17_5() -> None:
    built = made().build
    shop, half = built.shop, MM // 2
    assert {good.thickness % MM for good in shop.goods if good.form == "sheet"} == {0, half}
    known = frozenset(
        f"{each / MM:g} mm" for good in shop.goods for each in (good.thickness, good.least, good.greatest)
    )
    assert [found for crate in built.crates for found in fractions_of(crate, known, half)] == []
    bevels = 0
    for layout in built.layouts:
        tilted = bevels_in(shop, built.crates, layout)
        bevels += len(tilted)
        assert list(odd_fences((*plan_in(shop, layout).settings, *tilted), layout.kerf, half)) == []
    assert bevels


def test_its_verifier_can_fail() -> None:
    quote = made()
    document = json.loads(json.dumps(build_document(quote.build, quote.currency)))
    document["sheet_goods"][0]["wanted"][0]["count"] += 1
    assert verify_build(document)
