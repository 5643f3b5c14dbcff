from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from nesting.base.measure import INCH
from nesting.build import Build
from nesting.order import Artwork, Order
from pricing.quoting.marginal import marginal_price, marginal_prices, order_without
from pricing.quoting.quote import quote
from pricing.studio.office import Office
from tests.pricing.builds import PIECES, build_of, crates_of, small_build, small_order


def rebuild(order: Order, start: Build) -> Build:
    """Build the smaller orders by hand, every piece in a crate of its own kind."""
    assert start.order != order
    sizes = {piece.split("#")[0]: (width, height) for piece, width, height in PIECES}
    pieces = [(copy.piece, *sizes[copy.piece.split("#")[0]]) for copy in order.copies()]
    return build_of(order, crates_of(pieces, min(2, sum(name.startswith("A-02") for name, *_ in pieces))))


def test_an_order_loses_one_copy_or_the_whole_line() -> None:
    order = small_order()
    fewer = order_without(order, "A-02")
    assert fewer is not None
    assert [(a.piece, a.quantity) for a in fewer.artworks] == [("A-01", 1), ("A-02", 1)]
    alone = order_without(order, "A-01")
    assert alone is not None
    assert [a.piece for a in alone.artworks] == ["A-02"]
    assert order_without(Order("one", order.artworks[:1]), "A-01") is None


def test_what_must_travel_together_forgets_a_piece_that_is_gone() -> None:
    a = Artwork("A", INCH * 9, INCH * 9, INCH, together=("B",), apart=("B", "C"))
    order = Order(
        "three", (a, replace(a, piece="B", together=("A",), apart=()), replace(a, piece="C", together=(), apart=()))
    )
    left = order_without(order, "B")
    assert left is not None
    assert (left.artwork("A").together, left.artwork("A").apart) == ((), ("C",))


def test_one_more_piece_costs_what_the_totals_differ_by() -> None:
    priced = quote(small_build(), Office(), on=date(2026, 11, 1))
    found = {each.piece: each for each in marginal_prices(priced, rebuild)}
    assert set(found) == {"A-01", "A-02"}
    for each in found.values():
        assert each.price == priced.total - each.without
        assert 0 < each.price < priced.total
    without = rebuild(order_without(small_order(), "A-01"), small_build())  # type: ignore[arg-type]  # two lines
    assert found["A-01"].without == quote(without, priced.office, on=priced.on).total


def test_the_marginal_price_is_never_negative() -> None:
    """A dearer build without the piece is not taken: what does for the order with it does for the order without."""
    made = marginal_price("A-01", small_build(), Decimal("100.00"), rebuild, lambda _: Decimal("120.00"))
    assert (made.price, made.without) == (Decimal("0.00"), Decimal("100.00"))


def test_the_only_piece_bears_all() -> None:
    build = replace(small_build(), order=Order("one", small_order().artworks[:1]))
    made = marginal_price("A-01", build, Decimal("100.00"), pytest.fail, pytest.fail)  # type: ignore[arg-type]  # never called
    assert made.price == 100
