import io
from pathlib import Path

import pytest
from hypothesis import given
from openpyxl import Workbook

from nesting.faults import FaultsFound
from nesting.intake import columns_of, order_from_rows, order_rows, read_order, upload_rows
from nesting.order import Order
from tests.nesting.intake.support import HEAD
from tests.nesting.intake.test_round_trip import meant
from tests.strategies import orders

FOLDER = Path(__file__).parents[3] / "sample_orders"
SAMPLES = ["small_sale.csv", "gallery_consignment.csv", "giant_panel.toml", "metric_pair.xlsx"]


@given(orders())
def test_orders_read_back_from_rows(order: Order) -> None:
    back = order_from_rows(order_rows(order), units=order.units)
    assert back.artworks == tuple(map(meant, order.artworks))


@pytest.mark.parametrize("name", SAMPLES)
def test_samples_read_back_from_rows(name: str) -> None:
    order = read_order(FOLDER / name)
    rows = order_rows(order)
    assert order_from_rows(rows, units=order.units).artworks == order.artworks
    assert None not in columns_of(rows[0])


def test_rows_are_what_a_person_would_type() -> None:
    table = [[*HEAD, "weight", "poured", "shelf"], ["A-01", "30 1/2", "775 mm", "1.5", "18 lb", "1 March 2026", "B 12"]]
    assert order_rows(order_from_rows(table)) == [
        [
            "piece",
            "title",
            "width",
            "height",
            "depth",
            "weight",
            "quantity",
            "method",
            "surface",
            "back",
            "poured",
            "shelf",
        ],
        ["A-01", "", "30 1/2", "775 mm", "1 1/2", "18 lb", "1", "auto", "resin", "solid", "2026-03-01", "B 12"],
    ]
    metric = [[*HEAD, "weight"], ["A-01", "775", "600", "38", "8.4"]]
    assert order_rows(order_from_rows(metric, units="metric"))[1][2:6] == ["775", "600", "38", "8.4 kg"]


def test_a_file_with_faults_can_be_shown_as_it_stands() -> None:
    text = b"works\n\npiece,width\nA-01,thirty\n"
    assert upload_rows("o.csv", text) == [["works"], [], ["piece", "width"], ["A-01", "thirty"]]
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["piece", "width", "turn"])
    sheet.append([7, 30.5, True])
    sheet["A4"] = "=1+1"
    out = io.BytesIO()
    book.save(out)
    assert upload_rows("o.xlsx", out.getvalue()) == [["piece", "width", "turn"], ["7", "30.5", "yes"], [], ["=1+1"]]
    toml = (FOLDER / "giant_panel.toml").read_bytes()
    assert upload_rows("o.toml", toml)[1][0] == "P-01"
    with pytest.raises(FaultsFound):
        upload_rows("o.pdf", b"x")


def test_headings_are_named_by_place() -> None:
    assert columns_of(["Ref", "H x W x D", "Shelf", None]) == ("piece", "dimensions", None, None)
