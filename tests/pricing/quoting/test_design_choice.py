"""Chosen designs against those of before, for a few recorded orders; the benchmark of the same name works them all."""

from decimal import Decimal
from pathlib import Path

import pytest

from tests.benchmarks.design_choice import DATA, chosen, read_rows, sound
from tests.generated_orders import KINDS


@pytest.mark.parametrize(("kind", "seed"), [("consignment", 3), ("sale", 1)])
def test_no_order_is_dearer_than_it_was_before(kind: str, seed: int, tmp_path: Path) -> None:
    order = KINDS[kind](seed)
    before = read_rows(DATA / "design_before.csv")[order.name]
    now = chosen(order, tmp_path)
    assert sound(before)
    assert sound(now)
    assert Decimal(now["total"]) <= Decimal(before["total"])
    assert Decimal(now["price"]) <= Decimal(before["price"])
