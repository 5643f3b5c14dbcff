from decimal import Decimal
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.shop.shop_file import default_shop
from pricing.studio.rack import OnShelf, Rack, RackOffcut, rack_csv, rack_from, read_rack

TEXT = """name,good,length,width,count,value,place
R-1,ply-3/8,40 in,36 in,2,12.50,wall
R-2,2x3,50 in,,,1.00,
box,screw 8x2-1/2,,,140,,drawer
roll,glassine,20 ft,,,,
"""


def test_one_table_holds_offcuts_sticks_boxes_and_open_rolls(tmp_path: Path) -> None:
    (tmp_path / "rack.csv").write_text(TEXT)
    rack = read_rack(tmp_path / "rack.csv", default_shop(), "USD")
    assert rack.offcuts == (
        RackOffcut("R-1", "ply-3/8", 40 * INCH, 36 * INCH, Decimal("12.50"), 2, "wall"),
        RackOffcut("R-2", "2x3", 50 * INCH, 0, Decimal("1.00")),
    )
    assert rack.shelf == (
        OnShelf("box", "screw 8x2-1/2", 140, 0, "drawer"),
        OnShelf("roll", "glassine", 240 * INCH, 48 * INCH),
    )
    assert rack.on_shelf("screw 8x2-1/2") == 140
    assert [each.name for each in rack.rolls("glassine", 48 * INCH)] == ["roll"]
    assert rack_from(rack_csv(rack).encode(), "rack.csv", default_shop(), "USD") == rack


def test_an_empty_table_is_an_empty_rack() -> None:
    assert rack_from(rack_csv(Rack()).encode(), "rack.csv", default_shop(), "USD") == Rack(currency="USD")


def test_every_fault_is_told_at_once() -> None:
    text = """name,good,length,width,count,value
R-1,ply-9/9,40 in,36 in,1,1
,ply-3/8,long,0,0,1.005
R-1,ply-3/8,40 in,36 in,,1
ply-3/8 4x8,ply-3/8,40 in,36 in,,1
box,screw 8x2-1/2,,,,
roll,glassine,,,,
"""
    with pytest.raises(FaultsFound) as caught:
        rack_from(text.encode(), "rack.csv", default_shop(), "USD")
    assert [(fault.row, fault.column) for fault in caught.value.faults] == [
        (2, "good"), (3, "name"), (3, "length"), (3, "width"), (3, "count"), (3, "value"), (4, "name"), (5, "name"),
        (6, "count"), (7, "length"),
    ]  # fmt: skip


@pytest.mark.parametrize("value", ["10000000.01", "999999999999", "9" * 40, "-1"])
def test_a_value_out_of_range_is_a_fault_at_its_row(value: str) -> None:
    with pytest.raises(
        FaultsFound, match=r"row 2, column value: found .*accepted: an amount such as 12\.50, 10"
    ) as caught:
        rack_from(
            f"name,good,length,width,value\nR-1,ply-3/8,40 in,36 in,{value}\n".encode(), "r.csv", default_shop(), "USD"
        )
    assert len(caught.value.faults) == 1


def test_a_column_that_is_not_known_is_a_fault_since_stock_could_be_misread() -> None:
    with pytest.raises(FaultsFound, match="colour"):
        rack_from(b"name,good,colour\nx,2x3,red\n", "rack.csv", default_shop(), "USD")


def test_bad_values_are_refused_at_birth() -> None:
    with pytest.raises(ValueError, match="name and a good"):
        RackOffcut("", "2x3", INCH)
    with pytest.raises(ValueError, match="size and a count"):
        RackOffcut("x", "2x3", 0)
    with pytest.raises(ValueError, match="value must be"):
        RackOffcut("x", "2x3", INCH, value=Decimal(-1))
    with pytest.raises(ValueError, match="quantity of more than zero"):
        OnShelf("x", "tape", 0)
    with pytest.raises(ValueError, match="name and a good"):
        OnShelf("", "tape", 1)
    with pytest.raises(ValueError, match="name of its own"):
        Rack((RackOffcut("x", "2x3", INCH),), (OnShelf("x", "tape", 1),))
    with pytest.raises(KeyError, match="no offcut"):
        Rack().offcut("x")


def test_a_rack_without_end_and_lengths_of_another_unit_are_told() -> None:
    heading = "name,good,length,width,count,value\n"
    many = "".join(f"o{n},ply-3/8,{20 + n % 60} in,10 in,1,1\n" for n in range(301))
    with pytest.raises(FaultsFound, match="301 rows of ply-3/8"):
        rack_from((heading + many).encode(), "rack.csv", default_shop(), "USD")
    long = f"o1,ply-3/8,999 m,10 in,1,1\no2,ply-3/8,10 in,10 in,{'9' * 5000},1\n"
    with pytest.raises(FaultsFound) as caught:
        rack_from((heading + long).encode(), "rack.csv", default_shop(), "USD")
    assert [(fault.row, fault.column) for fault in caught.value.faults] == [(2, "length"), (3, "count")]
