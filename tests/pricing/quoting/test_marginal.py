from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import INCH
from nesting.order import Artwork, Order
from pricing.quoting.marginal import ENDED, Marginal, marginal_price, marginal_prices, order_without
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from tests.pricing.builds import PIECES, build_of, crates_of, holding, small_build, small_order

ON = date(2026, 11, 1)
OFFICE = Office()


def quoted(order: Order) -> Quote:
    """Quote the smaller orders by hand, every piece in a crate of its own kind."""
    sizes = {piece.split("#")[0]: (width, height) for piece, width, height in PIECES}
    pieces = [(copy.piece, *sizes[copy.piece.split("#")[0]]) for copy in order.copies()]
    build = build_of(order, crates_of(pieces, min(2, sum(name.startswith("A-02") for name, *_ in pieces))))
    return quote(build, OFFICE, on=ON)


def priced(office: Office = OFFICE) -> Quote:
    return quote(small_build(), office, on=ON)


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
    made = priced()
    found = {each.piece: each for each in marginal_prices(made, quoted)}
    assert set(found) == {"A-01", "A-02"}
    for piece, each in found.items():
        rest = order_without(small_order(), piece)
        assert rest is not None
        assert each.without == quoted(rest).total
        assert each.price == made.total - quoted(rest).total
        assert each.why == ""
    assert [each.piece for each in marginal_prices(made, quoted, ["A-02"])] == ["A-02"]


def test_an_order_that_is_dearer_without_a_piece_says_so() -> None:
    dear = replace(OFFICE, rates=replace(OFFICE.rates, price=replace(OFFICE.rates.price, minimum=Decimal(9999))))
    made = marginal_price("A-01", priced(), lambda order: quote(quoted(order).build, dear, on=ON))
    assert made.without is not None
    assert made.without > 9999
    assert made.price == priced().total - made.without < 0


def test_the_only_piece_bears_all() -> None:
    alone = order_without(small_order(), "A-02")
    assert alone is not None
    one = order_without(alone, "A-02")
    assert one is not None
    made = quoted(one)
    assert marginal_prices(made, pytest.fail) == (Marginal("A-01", Decimal("0.00"), made.total),)  # type: ignore[arg-type]  # never called


def test_of_an_incomplete_total_nothing_is_told() -> None:
    place = Destination("Harbour Gallery", "US", profile="van")  # whose distance nobody knows
    made = priced(replace(OFFICE, destinations=Destinations((place,))))
    assert marginal_price("A-01", made, pytest.fail) == Marginal(  # type: ignore[arg-type]  # never called
        "A-01", None, None, "incomplete: no freight to Harbour Gallery"
    )


def test_two_totals_that_lack_other_pieces_are_not_compared() -> None:
    made = marginal_price("A-01", priced(), lambda order: quote(holding(quoted(order).build, "A-02#1"), OFFICE, on=ON))
    assert (made.without, made.price) == (None, None)
    assert "A-02#1" in made.why


def test_what_cannot_be_made_without_a_piece_says_why() -> None:
    def refuse(order: Order) -> Quote:
        raise FaultsFound([Fault(order.source, 2, "apart", "no case for A-02", "another wish")])

    made = marginal_price("A-01", priced(), refuse)
    assert (made.price, made.why) == (None, "the others cannot be made without it: no case for A-02")


def test_of_a_search_that_was_ended_early_nothing_is_told() -> None:
    def ended(order: Order) -> Quote:
        other = quoted(order)
        cut = tuple(replace(each, stopped="interrupt") for each in other.build.layouts)
        return quote(replace(other.build, layouts=cut), OFFICE, on=ON)

    assert marginal_price("A-01", priced(), ended) == Marginal("A-01", None, None, ENDED)
