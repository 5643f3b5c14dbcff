"""A piece that nothing packs is told first in everything that people and programs get, and no total holds it."""

import json
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

from typer.testing import CliRunner

from nesting.crates.traits import Reason
from nesting.crates.unpacked import UNPACKED, Unpacked
from nesting.drawings.packet.cover import cover_pages
from nesting.drawings.packet.printing import Printing
from nesting.drawings.scene import Text
from pricing.ahead.methods.pricer import outcome
from pricing.ahead.methods.units import units_of
from pricing.cli.command import app
from pricing.output.handover import build_document
from pricing.output.summary import summary
from pricing.output.tables import csv_files, quote_document
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote, quote
from pricing.studio.office import Office
from tests.pricing.builds import small_build
from tests.pricing.output.workbook.support import DAY, opened

WHY = "no closed crate or travel frame: no wood"
LEFT = Unpacked("Z-09", 9, (WHY,), (Reason("Z-09", 9, "back", "no wood", "a strainer"),))
LINE = f"Packed by nothing, and in no total: Z-09: {WHY}."


@cache
def lacking() -> Quote:
    """Return a quote of the small build with a piece more, which nothing packs."""
    made = small_build()
    more = replace(made.order.artworks[0], piece="Z-09", quantity=1, row=9, price=Decimal(500))
    order = replace(made.order, artworks=(*made.order.artworks, more))
    return quote(replace(made, order=order, unpacked=(LEFT,)), Office(), on=DAY)


def test_no_sum_holds_it_and_every_total_says_so() -> None:
    made, whole = lacking(), quote(small_build(), Office(), on=DAY)
    assert made.total == whole.total
    assert made.without.startswith("without Z-09, packed by nothing")
    assert not made.compares_with(whole)
    assert made.share("Z-09").total == 0
    assert "Z-09" not in [sale.piece for sale in made.sales]
    assert [lack.names for lack in made.lacks if lack.kind == "unpacked"] == [("Z-09",)]


def test_the_summary_begins_with_it() -> None:
    lines = summary(lacking()).splitlines()
    assert lines[0] == LINE
    assert f"  Z-09: {WHY}." in lines
    assert "     To pack it: a strainer" in lines


def test_tables_and_documents_name_it() -> None:
    assert f"Z-09,9,{WHY},a strainer" in csv_files(lacking())["unpacked.csv"]
    document = quote_document(lacking())
    assert document["unpacked"] == ["Z-09"]
    assert [row["crate"] for row in document["tables"]["shares"] if row["piece"] == "Z-09"] == [UNPACKED]
    assert "unpacked.csv" not in csv_files(quote(small_build(), Office(), on=DAY))
    assert build_document(lacking().build, "USD")["unpacked"] == [
        {"piece": "Z-09", "why": [WHY], "accepted": "a strainer"}
    ]


def test_every_page_of_the_workbook_says_so() -> None:
    book = opened(workbook_bytes(lacking()), values=True)
    for sheet in book.worksheets:
        told = [cell for row in sheet.iter_rows(values_only=True) for cell in row if isinstance(cell, str)]
        assert any("Z-09" in text and text.startswith("Packed by nothing") for text in told), sheet.title
    told = [cell for row in book["Crates"].iter_rows(values_only=True) for cell in row if isinstance(cell, str)]
    assert "Packed by nothing: not made, not in the total" in told
    assert WHY in told


def test_the_packet_begins_with_it() -> None:
    (page,) = cover_pages(Printing(lacking().build), ())
    told = [item.text for item in page.scene(1, 1, "o").items if isinstance(item, Text)]
    assert LINE in " ".join(told)
    assert "Packed by nothing: not in this packet" in told


def test_comparing_methods_leaves_it_to_the_shop() -> None:
    made = lacking()
    found = outcome(made, units_of(made.build.order, made.build.shop))
    bearing = found.bearings[-1]
    assert (bearing.method, bearing.cost, bearing.held) == ("auto", Decimal(0), WHY)
    assert not bearing.crates
    assert found.held == ("Z-09",)
    assert found.held_line == LINE


def test_the_command_writes_all_and_leaves_as_with_held_crates(tmp_path: Path) -> None:
    head = "piece,title,width,height,depth,weight,support\n"
    (tmp_path / "o.csv").write_text(f"{head}A,Tile,10,10,1,2,\nB,Cloth,60,40,1,20,canvas\n", encoding="utf-8")
    asked = ["quote", str(tmp_path / "o.csv"), "--out", str(tmp_path / "out"), "--effort", "quick", "--packet"]
    done = CliRunner().invoke(app, asked)
    assert done.exit_code == 3, done.output
    assert done.output.startswith("Packed by nothing, and in no total: B: no battened crate or travel frame: ")
    kept = json.loads((tmp_path / "out" / "build.json").read_text(encoding="utf-8"))
    assert [each["piece"] for each in kept["unpacked"]] == ["B"]
