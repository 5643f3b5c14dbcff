"""One pricing path: every total that is told anywhere is what a fresh quote of that order says, to the cent.

The orders are generated, go through the readers as files do, and are changed as people change them: a line taken out of
the file, a number of copies lowered, a method written into a cell.
"""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from nesting.base.search import QUICK
from pricing.ahead.methods import Pricer, compare
from pricing.ahead.what_if.run import AS_IT_IS, run_scenarios
from pricing.ahead.what_if.scenarios import Scenario
from pricing.quoting.marginal import marginal_prices
from pricing.quoting.work import work
from tests.benchmarks.marginals import fewer, quoted
from tests.generated_orders import KINDS, ON, GeneratedOrder

FEW = 6
"""Rows of the largest order that is asked here; the benchmark ``tests.benchmarks.marginals`` asks all."""


def orders(kind: str, count: int) -> Iterator[GeneratedOrder]:
    """Yield so many orders of a kind that have more than one line, and not too many."""
    found = (order for order in map(KINDS[kind], range(1000)) if 2 <= len(order.rows) <= FEW)
    yield from (order for order, _ in zip(found, range(count), strict=False))


@pytest.mark.parametrize(("kind", "count"), [("sale", 35), ("consignment", 15)])
def test_what_a_piece_adds_is_the_difference_of_two_quotes(kind: str, count: int, tmp_path: Path) -> None:
    asked = told = 0
    for order in orders(kind, count):
        whole = quoted(order, tmp_path)
        piece = order.rows[order.seed % len(order.rows)]["piece"]
        office, memory = whole.office, replace(QUICK, memory={})
        for each in marginal_prices(whole, lambda rest: work(rest, office, on=ON, search=memory), [piece]):  # noqa: B023
            asked += 1
            other = quoted(fewer(order, piece), tmp_path)
            if each.price is None:
                assert not whole.compares_with(other), order.name
            else:
                assert (each.without, each.price) == (other.total, whole.total - other.total), order.name
                told += 1
    assert asked >= count * 4 // 5
    assert told >= count // 2


def test_every_way_to_pack_is_priced_as_a_quote_of_that_order_would_be(tmp_path: Path) -> None:
    order = next(orders("consignment", 1))
    whole = quoted(order, tmp_path)
    pricer = Pricer(whole.build.order, whole.office, ON, QUICK)
    found = compare(pricer)
    assert found.now.total == whole.total
    priced = [
        (unit, row) for unit, rows in zip(found.units, found.rows, strict=True) for row in rows
        if row.order_total is not None and len(unit.lines) == 1
    ]  # fmt: skip
    assert len(priced) >= 4
    for unit, row in priced[::3]:
        written = tuple({**each, "method": row.method} if each["piece"] in unit.lines else each for each in order.rows)
        other = quoted(replace(order, rows=written), tmp_path)
        assert row.order_total == other.total, (unit, row.method)
        if row.difference is not None:
            assert row.difference == other.total - whole.total


def test_scenarios_are_priced_as_quotes_are(tmp_path: Path) -> None:
    order = next(orders("sale", 1))
    whole = quoted(order, tmp_path)
    office = whole.office
    taxed = replace(office, rates=replace(office.rates, tax=replace(office.rates.tax, rate=Decimal("0.08"))))
    asked = Scenario("taxed", "with sales tax", whole.build.order, taxed)
    now, then = run_scenarios(whole.build.order, office, [asked], on=ON, search=QUICK)
    assert (now.name, now.total) == (AS_IT_IS, whole.total)
    assert then.total == work(whole.build.order, taxed, on=ON, search=QUICK).total
