"""The benchmark of minutes at the saw: what it counts, by hand; and that its table says what is claimed of it."""

import csv
from decimal import Decimal
from statistics import median
from typing import Final

from nesting.base.measure import INCH
from nesting.shop.shop_file import default_shop
from pricing.studio.rates import LabourRules
from tests.benchmarks import spread
from tests.benchmarks.saw_before import COUNTS, Data, chosen
from tests.benchmarks.saw_minutes import AGAINST, HEAD, TABLE, charged, in_old_order

RULES: Final = LabourRules(
    load=Decimal(3), setup=Decimal(1), rip=Decimal("0.75"), crosscut=Decimal("0.5"), track_cut=Decimal(2),
    carry=Decimal("0.5"), turn=Decimal("0.1"), stop_setup=Decimal("0.7"), chop_cut=Decimal("0.25"),
    knife_cut=Decimal("0.5"), stick_cut=Decimal("0.75"),
)  # fmt: skip


def inches(*lengths: float) -> list[int]:
    return [round(length * INCH) for length in lengths]


def order() -> Data:
    """Two sheets cut alike: halved at 52 in, which no fence reaches; a strip ripped off, and a block off that."""
    panel, part, offcut, waste = "panel", "part", ["offcut", "offcut"], ["waste", "waste"]
    steps = [
        [0, "crosscut", "A", *inches(52), "left", [panel, "B", *inches(52, 48)], [*offcut, *inches(43.875, 48)],
         inches(52.0625, 0, 52.0625, 48)],
        [0, "rip", "B", *inches(20), "bottom", [panel, "C", *inches(52, 20)], [*offcut, *inches(52, 27.875)],
         inches(0, 20.0625, 52, 20.0625)],
        [0, "rip", "C", *inches(5), "bottom", [panel, "D", *inches(52, 5)], [*waste, *inches(52, 14.875)],
         inches(0, 5.0625, 52, 5.0625)],
        [0, "crosscut", "D", *inches(9), "left", [part, "K1.block", *inches(9, 5)], [*waste, *inches(42.875, 5)],
         inches(9.0625, 0, 9.0625, 5)],
    ]  # fmt: skip
    lots = [[*inches(96, 48), 2, []]]
    sheets = {"good": "ply-23/32", "thickness": 146_050, "kerf": INCH // 8, "cost": 5800, "lots": lots, "steps": steps}
    sticks = {
        "kerf": INCH // 8, "cost": 300, "sticks": [[96 * INCH, 0, 2, ["rail", "rail", "stile"]]],
        "parts": [["rail", 40 * INCH, 4], ["stile", 10 * INCH, 2]],
    }  # fmt: skip
    return {"order": "by hand", "sheets": [sheets], "sticks": [sticks]}


def test_what_no_fence_does_is_given_to_the_track_saw() -> None:
    counts = in_old_order(order(), default_shop(), RULES)
    # Of each sheet, the first cut and the last: at 52 in, and 5 in along the fence. Two rips at the table.
    assert (counts.cuts, counts.impossible, counts.cost) == (8, 4, 6100)
    # Panels B fill an armful each on their way to the table, strips D one together on their way back.
    sheets = 2 * 3 + 4 * 2 + 2 * 1 + 4 * Decimal("0.75") + 3 * Decimal("0.5")
    sticks = 2 * Decimal("0.7") + 6 * Decimal("0.75")
    assert counts.minutes == sheets + sticks


def test_a_kind_reader_takes_the_block_to_the_chop_saw() -> None:
    counts = in_old_order(order(), default_shop(), RULES, kindly=True)
    sheets = 2 * 3 + 2 * 2 + 2 * 1 + 4 * Decimal("0.75") + Decimal("0.7") + 2 * Decimal("0.25") + 3 * Decimal("0.5")
    assert counts.impossible == 2
    assert counts.minutes == sheets + 2 * Decimal("0.7") + 6 * Decimal("0.75")


def test_what_was_charged_took_one_fence_for_all() -> None:
    sheets = 2 * 3 + 4 * 1 + 4 * Decimal("0.75") + 4 * Decimal("0.5")
    assert charged(order(), RULES) == sheets + 2 * 1 + 6 * Decimal("0.75")


def test_what_is_printed_says_of_which_orders_it_is() -> None:
    names = [f"sale-{seed:04}" for seed in range(0, 100, 4)]
    assert spread.told([*names, "consignment-0001"], "sale", 100) == "25 of 100 recorded, every 4th"
    assert spread.told(names[1:], "sale", 100, names[:1]) == "25 of 100 recorded, every 4th"
    assert spread.told(names[1:], "sale", 100) == "24 of 100 recorded"
    assert spread.told(names[:-1], "sale", 100) == "24 of 100 recorded"
    assert spread.told((f"sale-{seed:04}" for seed in range(100)), "sale", 100) == "all 100 recorded"
    assert spread.told([], "sale", 100) == "0 of 100 recorded"
    assert [len([o for o in chosen("1/4") if o.kind == kind]) for kind in COUNTS] == [50, 25]


def test_the_table_says_what_is_claimed_of_it() -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == HEAD
    names = [row["order"] for row in rows]
    assert len(set(names)) == len(rows)
    # All orders, or so manyth of each kind: enough of them, and spread over all.
    assert any(names == [order.name for order in chosen(share)] for share in ("1/1", "1/2", "1/4", "1/8"))
    # All that is wrong are cuts that no tool makes, and those are told before anything is cut.
    assert [row["order"] for row in rows if int(row["faults"]) > int(row["refused"])] == []
    assert sum(int(row["refused"]) for row in rows) <= 2
    # Today's sheets, cut in the old order, take no less: the same goods, so no higher a sum.
    assert [row["order"] for row in rows if Decimal(row["minutes"]) > Decimal(row["minutes_same_sheets"])] == []
    # Sheets of their own may cost more, since crates and cartons are made otherwise today; in all they do not.
    assert sum(Decimal(row["sum"]) for row in rows) < sum(Decimal(row["sum_before"]) for row in rows)
    fewer = {
        title: median(1 - float(row["minutes"]) / float(row[key]) for row in rows) for title, key in AGAINST.items()
    }
    assert fewer["own sheets"] >= 0.2
    assert fewer["same sheets"] >= 0.2
