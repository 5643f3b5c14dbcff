from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.shop.shop_file import default_goods
from pricing.studio.pricebook import Price, PriceBook, purchase
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import LabourRules

TIERED = Price("ply", "ply", "sheet", Decimal("58.00"), breaks=((10, Decimal("54.00")), (30, Decimal("51.50"))))


@st.composite
def prices(draw: st.DrawFn, /) -> Price:
    """Rows with falling breaks."""
    starts = sorted(draw(st.sets(st.integers(2, 40), max_size=3)))
    cents = sorted(
        draw(st.lists(st.integers(0, 10_000), min_size=len(starts) + 1, max_size=len(starts) + 1)), reverse=True
    )
    money = [Decimal(c).scaleb(-2) for c in cents]
    return Price("x", "x", "sheet", money[0], breaks=tuple(zip(starts, money[1:], strict=True)))


def unit_price(price: Price, count: int) -> Decimal:
    """Read the price of one at a count, the plain way."""
    return next(each for start, each in reversed(price.tiers) if count >= start)


@given(prices(), st.integers(1, 60))
def test_purchase_agrees_with_trying_every_count(price: Price, needed: int) -> None:
    bought = purchase(price, needed)
    tried = min((n * unit_price(price, n), n) for n in range(needed, 101))
    assert (bought.amount, bought.count) == tried
    assert bought.each == unit_price(price, bought.count)


@given(prices(), st.integers(0, 60))
def test_one_more_never_costs_less(price: Price, needed: int) -> None:
    assert purchase(price, needed).amount <= purchase(price, needed + 1).amount


def test_a_break_is_stretched_for() -> None:
    """9 at 58 are 522, 10 at 54 are 540; 28 at 54 are 1512, 30 at 51.50 are 1545; 29 at 54 are 1566."""
    assert purchase(TIERED, 9).count == 9
    assert (purchase(TIERED, 28).count, purchase(TIERED, 29).count) == (28, 30)
    assert purchase(TIERED, 0).amount == 0


def test_a_break_beyond_what_the_supplier_has_is_out_of_reach() -> None:
    limited = Price("ply", "ply", "sheet", Decimal("58.00"), breaks=TIERED.breaks, limit=29)
    assert purchase(limited, 29).count == 29


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("price", Decimal(-1), "price of"),
        ("price", Decimal("NaN"), "price of"),
        ("price", Decimal("1.005"), "whole hundredths"),
        ("breaks", ((5, Decimal(60)),), "no more than the"),
        ("breaks", ((5, Decimal(50)), (5, Decimal(40))), "rising order"),
        ("breaks", ((1, Decimal(50)),), "rising order"),
        ("breaks", tuple((n, Decimal(1)) for n in range(2, 7)), "at the most"),
        ("form", "pallet", "accepted: one of"),
        ("by_length", True, "only rolls"),
        ("limit", -1, "a limit of"),
        ("stock", "", "no stock"),
    ],
)
def test_bad_rows_are_refused_at_birth(field: str, value: object, message: str) -> None:
    facts: dict[str, object] = {"stock": "ply", "good": "ply", "form": "sheet", "price": Decimal(58)}
    with pytest.raises(ValueError, match=message):
        Price(**(facts | {field: value}))  # type: ignore[arg-type]  # wrong values are the point


def test_every_default_good_and_hour_has_a_price() -> None:
    book = default_price_book()
    assert book.missing(default_goods(), LabourRules().hours) == ()
    assert book.invented


def test_missing_prices_are_one_error_that_lists_them_all() -> None:
    book = default_price_book()
    gone = {"ply-3/8 4x8", "2x3 8ft", "hour bench"}
    thin = PriceBook("USD", tuple(row for row in book.rows if row.stock not in gone))
    with pytest.raises(FaultsFound) as caught:
        thin.require(default_goods(), LabourRules().hours)
    assert {fault.found for fault in caught.value.faults} == {f"no price for {stock}" for stock in gone}


def test_a_form_or_good_that_disagrees_is_a_fault() -> None:
    book = default_price_book()
    rows = tuple(
        Price("ply-3/8 4x8", "ply", "stick", Decimal(1)) if row.stock == "ply-3/8 4x8" else row for row in book.rows
    )
    assert {fault.column for fault in PriceBook("USD", rows).missing(default_goods())} == {"form", "good"}


def test_stale_prices_are_those_older_than_the_limit_or_undated() -> None:
    day = date(2026, 10, 1)
    rows = (
        Price("a", "a", "each", Decimal(1), priced=day),
        Price("b", "b", "each", Decimal(1), priced=date(2026, 9, 30)),
        Price("c", "c", "each", Decimal(1)),
    )
    stale = PriceBook("USD", rows).stale(date(2026, 12, 30), 90)
    assert [row.stock for row in stale] == ["b", "c"]


def test_a_stock_stands_once() -> None:
    row = Price("a", "a", "each", Decimal(1))
    with pytest.raises(ValueError, match="once"):
        PriceBook("USD", (row, row))


def test_a_stock_without_a_price_is_named() -> None:
    with pytest.raises(KeyError, match=r"no price for 'gold leaf' in prices\.csv"):
        default_price_book().price("gold leaf")


def test_an_hour_priced_as_a_thing_is_a_fault() -> None:
    book = PriceBook("USD", (Price("hour saw", "hour saw", "each", Decimal(1)),))
    assert [fault.column for fault in book.missing((), ("hour saw",))] == ["form"]
