from datetime import date, datetime
from decimal import Decimal

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, MM, UnitSystem
from nesting.intake import read_upload
from nesting.order import Back

TOML = """
name = "Spring"
units = "metric"
currency = "eur"
colour = "blue"

[[artwork]]
piece = "A-01"
width = 775
height = 77.5
depth = "1 1/2 in"
weight = 8.4
back = { kind = "strainer", bar_width = 40, bar_depth = "2 cm" }
poured = 2026-03-01T14:30:00
ship_by = 2026-04-01
together = ["A-02"]
turn = true

[[artwork]]
piece = "A-02"
width = 300
height = 400
depth = 20
price = 1200.50

[destinations.harbour]
country = "US"
"""


def test_toml_orders() -> None:
    order = read_upload("o.toml", TOML.encode())
    assert (order.name, order.units, order.currency) == ("Spring", "metric", "EUR")
    assert order.warnings == ("o.toml: colour is not understood and was left out",)
    first, second = order.artworks
    assert (first.width, first.height, first.depth) == (775 * MM, 77_500 * MM // 1000, 3 * INCH // 2)
    assert first.back == Back("strainer", 40 * MM, 20 * MM)
    assert first.poured == datetime(2026, 3, 1, 14, 30)  # noqa: DTZ001 - local
    assert (first.ship_by, first.together, first.turn) == (date(2026, 4, 1), ("A-02",), True)
    assert (second.width, second.height, second.price) == (300 * MM, 400 * MM, Decimal("1200.50"))


def test_tables_of_other_readers_are_left_alone() -> None:
    assert "harbour" not in repr(read_upload("o.toml", TOML.encode()))


def test_faults_name_the_artwork_and_the_key() -> None:
    text = TOML.replace("775", '"wide"').replace('"eur"', '"shells"')
    with pytest.raises(FaultsFound) as caught:
        read_upload("o.toml", text.encode())
    assert [fault.message.split(";")[0] for fault in caught.value.faults] == [
        'o.toml, currency: found "shells"',
        'o.toml, artwork 1, width: found "wide"',
    ]


def test_units_that_are_not_known_stop_the_reading() -> None:
    with pytest.raises(FaultsFound) as caught:
        read_upload("o.toml", TOML.replace('"metric"', '"cubits"').encode())
    assert str(caught.value) == 'o.toml, units: found "cubits"; accepted: inch or metric'


def test_units_asked_for_and_units_stated_must_agree() -> None:
    assert read_upload("o.toml", TOML.encode(), units="metric").units == "metric"
    with pytest.raises(FaultsFound, match="inch, as was asked"):
        read_upload("o.toml", TOML.encode(), units="inch")
    plain = TOML.replace('units = "metric"\n', "")
    assert read_upload("o.toml", plain.encode(), units="metric").units == "metric"


@pytest.mark.parametrize(
    ("table", "back"),
    [
        (
            "{ kind = 'cradle', bar_width = '3/4', bar_depth = '1 in', face = 0.25, middle_bars = 2 }",
            Back("cradle", 3 * INCH // 4, INCH, INCH // 4, 2),
        ),
        ("{ kind = 'cleated' }", Back("cleated")),
        (
            "{ kind = 'cleated', cleat_thickness = '3/4', cleat_width = 3, cleat_low = 0, cleat_high = 2 }",
            Back("cleated", 0, 0, 0, 0, 3 * INCH // 4, 3 * INCH, 0, 2 * INCH),
        ),
    ],
)
def test_backs_are_tables_of_their_sizes(table: str, back: Back) -> None:
    text = f"[[artwork]]\npiece = 'A'\nwidth = 30\nheight = 40\ndepth = 2\nback = {table}\n"
    assert read_upload("o.toml", text.encode()).artworks[0].back == back


@pytest.mark.parametrize(
    ("line", "column"),
    [("width = [30]", "width"), ("width = {a = 1}", "width"), ("width = true", "width"), ("width = nan", "width"),
     ("width = inf", "width"), ("width = 2026-01-02", "width"), ("title = ['x']", "title"), ("together = [1.5]",
      "together"),
     ("together = [['A']]", "together"), ("poured = 07:30:00", "poured"), ("poured = 2026-03-01T10:00:00Z", "poured"),
     ("ship_by = 20260304", "ship_by"), ("back = {kind = 'strainer', colour = 'red'}", "back"), ("back = {}", "back"),
     ("back = {kind = 'solid', bar_width = 1}", "back"), ("back = {kind = 'cradle', cleat_low = 1}", "back"),
     ("back = {kind = 'cradle', bar_width = 1, bar_depth = 1, middle_bars = 1.5}", "back"),
     ("back = {kind = 'cleated', cleat_width = 1}", "back"), ("back = {kind = 'cradle', bar_width = 13}", "back"),
     ("back = ['solid']", "back"), ("turn = 2", "turn"), ("price = true", "price"), ("price = []", "price"),
     ("quantity = 1e999", "quantity"), ("piece = 2026-01-02", "piece"), ("notes = {}", "notes"),
      ("quantity = 0x1F4F", "quantity")],
)  # fmt: skip
def test_values_of_the_wrong_kind_are_faults(line: str, column: str) -> None:
    values = {"piece": "'A'", "width": "30", "height": "40", "depth": "1"} | dict([line.split(" = ", 1)])
    text = "[[artwork]]\n" + "\n".join(f"{key} = {value}" for key, value in values.items())
    with pytest.raises(FaultsFound) as caught:
        read_upload("o.toml", text.encode())
    assert {fault.column for fault in caught.value.faults} == {column}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "name = 3\nunits = []\n[[artwork]]\npiece = 'A'",
            ['name: found "3"', "units: found nothing", "width: found nothing", "height: found nothing"],
        ),
        ("[[artwork]]\n" * 2001, ['artwork: found "2001 tables"']),
        ("".join(f"[[artwork]]\nkey{n} = 1\n" for n in range(201)), ["201 different keys"]),
        ("[[artwork]]\n[[artwork]]", ["piece: found nothing", "width", "height", "depth"]),
    ],
)
def test_tops_and_sizes_that_cannot_be(text: str, said: list[str]) -> None:
    with pytest.raises(FaultsFound) as caught:
        read_upload("o.toml", text.encode())
    messages = [fault.message for fault in caught.value.faults]
    assert len(messages) >= len(said)
    for message, part in zip(messages, said, strict=False):
        assert part in message


@pytest.mark.parametrize("asked", [None, "inch"])
def test_wrong_units_are_told_with_whatever_else_is_wrong_however_they_were_meant(asked: UnitSystem | None) -> None:
    """775 is a width in mm and too large in inches: that is no fault while nobody knows which was meant."""
    wrong = TOML.replace('units = "metric"', f'units = "{"metric" if asked else "furlongs"}"')
    text = wrong.replace('piece = "A-02"', 'piece = "A-01"').replace("height = 400", 'height = "tall"')
    with pytest.raises(FaultsFound) as caught:
        read_upload("o.toml", text.replace('"eur"', '"shells"').encode(), units=asked)
    assert [(fault.row, fault.column) for fault in caught.value.faults][:2] == [(None, "units"), (None, "currency")]
    places = [(fault.row, fault.column) for fault in caught.value.faults][2:]
    assert (2, "height") in places
    assert (2, "piece") in places
    assert (1, "width") not in places
    with pytest.raises(FaultsFound) as alone:
        read_upload("o.toml", wrong.encode(), units=asked)
    assert [fault.column for fault in alone.value.faults] == ["units"]


def test_one_commission_for_a_whole_order_stands_at_the_top() -> None:
    order = read_upload("o.toml", TOML.replace('currency = "eur"', 'currency = "eur"\ncommission = 0').encode())
    assert (order.commission, order.artworks[0].commission) == (Decimal(0), None)
    assert read_upload("o.toml", TOML.encode()).commission is None
    with pytest.raises(FaultsFound, match=r'o\.toml, commission: found "half"; accepted: a part such as 40 %'):
        read_upload("o.toml", TOML.replace('currency = "eur"', 'commission = "half"').encode())
