"""Files of ours that are no order are told so once, and comments above a heading are passed over."""

from io import BytesIO

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import LB_KG
from nesting.intake.reading import read_upload

ORDER = "piece,title,width,height,depth,weight,quantity\nA-1,One,30 1/2,40,1 1/2,22 lb,1\n"


@pytest.mark.parametrize(
    ("table", "what"),
    [
        ("# Prices, invented\nstock,good,form,price,supplier\nply 4x8,ply,sheet,58.00,Yard\n", "a price book"),
        ("destination,country,door width,door height\nHarbour Gallery,US,36 in,80 in\n", "a table of destinations"),
        ("name,good,length,width,count,value,place\nR1,ply,40 in,20 in,1,5.00,rack\n", "a rack of offcuts"),
    ],
)  # fmt: skip
def test_another_table_is_named(table: str, what: str) -> None:
    with pytest.raises(FaultsFound) as told:
        read_upload("mine.csv", table.encode())
    assert [fault.found for fault in told.value.faults] == [f"{what}, not an order"]


def test_a_workbook_that_is_a_quote_is_named() -> None:
    from openpyxl import Workbook

    book = Workbook()
    for tab in ("Quote", "Buying", "Cut list", "Sheets", "Costs"):
        book.create_sheet(tab).append(["Part", "Width", "Height", tab])
    out = BytesIO()
    book.save(out)
    with pytest.raises(FaultsFound) as told:
        read_upload("quote.xlsx", out.getvalue())
    assert [fault.found for fault in told.value.faults] == ["a quote, not an order"]


def test_comments_above_the_heading_are_passed_over() -> None:
    plain = read_upload("order.csv", ORDER.encode())
    commented = f"# Works, of May; by, many, hands, and, more, commas, than, the, heading\n#second\n\n{ORDER}"
    read = read_upload("order.csv", commented.encode())
    assert read.artworks == plain.artworks
    assert not [text for text in read.warnings if "heading" in text]


def test_a_heading_may_begin_with_the_mark() -> None:
    """``#`` heads a column of weights in pounds."""
    table = "#,piece,title,width,height,depth,quantity\n22,A-1,One,30 1/2,40,1 1/2,1\n"
    assert read_upload("order.csv", table.encode()).artworks[0].weight_kg == 22 * LB_KG
