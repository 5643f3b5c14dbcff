from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from pricing.money import (
    CurrencyError,
    amount_text,
    cents,
    cents_text,
    check_currency,
    from_cents,
    half_up,
    one_currency,
    parse_amount,
    show,
    up,
)

amounts = st.decimals(min_value=-(10**7), max_value=10**7, places=5)


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [
        ("0.005", "0.01"),
        ("2.675", "2.68"),
        ("1.005", "1.01"),
        ("2.665", "2.67"),
        ("-0.005", "-0.01"),
        ("0.0049", "0.00"),
    ],
)
def test_halves_go_up_where_floats_would_not(amount: str, rounded: str) -> None:
    assert half_up(Decimal(amount)) == Decimal(rounded)


@given(amounts)
def test_half_up_agrees_with_the_decimal_module(amount: Decimal) -> None:
    assert half_up(amount) == amount.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
    assert half_up(Fraction(amount)) == half_up(amount)


@given(amounts, amounts)
def test_rounding_keeps_order(one: Decimal, other: Decimal) -> None:
    low, high = sorted((one, other))
    assert half_up(low) <= half_up(high)
    assert up(low, Decimal(5)) <= up(high, Decimal(5))


def test_rounding_to_steps() -> None:
    assert half_up(Decimal("12.50"), Decimal(5)) == 15
    assert half_up(Decimal("12.49"), Decimal(5)) == 10
    assert up(Decimal("10.01"), Decimal(5)) == 15
    assert up(Decimal("10.00"), Decimal(5)) == 10


@given(st.integers(-(10**9), 10**9))
def test_cents_and_back(count: int) -> None:
    assert cents(from_cents(count)) == count
    assert Decimal(cents_text(count)) == from_cents(count)


def test_parts_of_a_cent_are_no_cents() -> None:
    with pytest.raises(ValueError, match="whole number of hundredths"):
        cents(Decimal("0.001"))


@pytest.mark.parametrize(
    ("text", "amount"), [("58", "58"), (" 58.00 ", "58.00"), ("1,234.50", "1234.50"), ("0.0625", "0.0625")]
)
def test_amounts_read(text: str, amount: str) -> None:
    assert parse_amount(text) == Decimal(amount)


@pytest.mark.parametrize("text", ["", "-1", "$5", "1,5", "12,34", "nan", "inf", "1e5", "٣", "=1+1", "5 USD", "9" * 20])
def test_what_is_no_amount(text: str) -> None:
    with pytest.raises(ValueError, match="is not an amount"):
        parse_amount(text)


def test_one_currency_or_a_fault_that_names_both() -> None:
    assert one_currency(("the book", "USD"), ("the rack", None), ("the order", "USD")) == "USD"
    with pytest.raises(CurrencyError, match="EUR in the order, USD in the book") as caught:
        one_currency(("the book", "USD"), ("the order", "EUR"))
    assert isinstance(caught.value, FaultsFound)
    assert str(caught.value).startswith("the book, column currency: found ")
    with pytest.raises(ValueError, match="no currency"):
        one_currency(("the book", None))


@pytest.mark.parametrize("code", ["usd", "US", "DOLLAR", "", "U5D"])
def test_what_is_no_currency(code: str) -> None:
    with pytest.raises(ValueError, match="three capital letters"):
        check_currency(code)


def test_amounts_are_shown_with_two_decimals() -> None:
    assert show(Decimal("1234.5"), "USD") == "USD 1,234.50"
    assert amount_text(Decimal("1234.5")) == "1234.50"
