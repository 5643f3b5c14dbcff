"""The same works in a shop by inches and in one by millimetres: the one takes about what the other takes."""

import csv
from decimal import Decimal

import pytest

from nesting.base.measure import MM
from nesting.crates.expand import expand
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop
from tests.benchmarks.both_shops import DATA, SIDES, whole

WITHIN = {"parts_m2": 0.05, "sticks_m": 0.08, "screws": 0.08, "hours": 0.05, "tare_kg": 0.15, "outside_m3": 0.10}
"""How far sums over all orders may lie apart: 9 mm against 3/8 in, 150 mm against 6 in, 38 x 63 against 2x3."""


def recorded() -> list[dict[str, str]]:
    with DATA.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_every_recorded_build_of_either_shop_stands_up_to_the_verifier() -> None:
    rows = recorded()
    assert len(rows) == 20
    for row in rows:
        for side in SIDES:
            assert (row[f"faults_{side}"], row[f"failing_{side}"], row[f"unpacked_{side}"]) == ("0", "0", "0"), row


def test_recorded_sums_lie_close_together() -> None:
    whole = [row for row in recorded() if row["held_inch"] == row["held_metric"] == "0"]
    assert len(whole) >= 15
    for figure, most in WITHIN.items():
        inch, metric = (sum(float(row[f"{figure}_{side}"]) for row in whole) for side in SIDES)
        assert metric == pytest.approx(inch, rel=most), figure
    assert all(abs(int(row["crates_inch"]) - int(row["crates_metric"])) <= 1 for row in whole)


def test_a_sale_in_both_shops_side_by_side() -> None:
    """A small crate and a carton: parts and screws within a sixth, weight within a fifth, and every check passed."""
    pieces = (
        Artwork("A-1", 760 * MM, 610 * MM, 38 * MM, weight_kg=Decimal("7.5"), method="closed"),
        Artwork("A-2", 300 * MM, 250 * MM, 25 * MM, weight_kg=Decimal("1.4"), method="carton"),
    )
    inch, metric = (expand(whole(Order("side by side", pieces, "metric"), side), default_shop(side)) for side in SIDES)
    assert [crate.method for crate in inch] == [crate.method for crate in metric] == ["closed", "carton"]
    for one, other in zip(inch, metric, strict=True):
        assert all(check.verdict != "fails" for crate in (one, other) for check in crate.checks)
        areas = [sum(part.length * part.width * part.count for part in crate.parts) for crate in (one, other)]
        assert areas[1] == pytest.approx(areas[0], rel=0.17), one.method
        assert other.tare_kg == pytest.approx(one.tare_kg, rel=0.2), one.method
        assert other.work.screws == pytest.approx(one.work.screws, rel=0.17)
