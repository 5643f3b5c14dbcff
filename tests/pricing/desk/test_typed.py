"""Amounts and parts as people type them."""

from decimal import Decimal

import pytest

from pricing.desk.typed import in_cents, typed_part
from pricing.money import typed_amount


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("65", "65"), ("$65", "65"), ("65 $", "65"), ("$ 1,234.50", "1234.50"), ("USD 65.00", "65"), ("65usd", "65"),
        ("1.234,50", "1234.50"), ("65,50", "65.50"), ("1 234.50", "1234.50"), ("1\u202f234,5", "1234.5"),
        ("1'234.50", "1234.50"), ("65,-", "65"), ("65.–", "65"), ("1,234", "1234"),
    ],
)  # fmt: skip
def test_an_amount_is_read_as_it_is_meant(text: str, amount: str) -> None:
    assert typed_amount(text, "USD") == Decimal(amount)


@pytest.mark.parametrize("text", ["sixty", "", "€65", "65 EUR", "-5", "1.2.3", "$", "6 5 0 x", "nan", "1e5"])
def test_anything_else_is_refused_with_what_to_write(text: str) -> None:
    with pytest.raises(ValueError, match=r"write an amount in USD, such as 58\.00"):
        typed_amount(text, "USD")


def test_the_sign_is_that_of_the_field_s_currency() -> None:
    assert typed_amount("€65", "EUR") == 65
    assert typed_amount("£65", "GBP") == 65
    with pytest.raises(ValueError, match="EUR"):
        typed_amount("$65", "EUR")


def test_a_price_has_two_decimals() -> None:
    assert str(in_cents("$65", "USD")) == "65.00"
    with pytest.raises(ValueError, match=r"two decimals at the most, such as 65\.13"):
        in_cents("65.125", "USD")
    for beyond in ("9" * 40, "9" * 13 + ",50", "1" + "0" * 12):  # the first cannot be reckoned with at all
        with pytest.raises(ValueError, match="write an amount in USD"):
            in_cents(beyond, "USD")


def test_a_price_is_no_longer_than_a_price_can_be() -> None:
    assert str(in_cents("10000000", "USD")) == "10000000.00"
    with pytest.raises(ValueError, match="write 10,000,000 USD at the most"):
        in_cents("10000000.01", "USD")


@pytest.mark.parametrize(
    ("text", "part"),
    [("12 %", "0.12"), ("12", "0.12"), ("0.12", "0.12"), ("0", "0"), ("7,5", "0.075"), ("1 %", "0.01")],
)
def test_a_part_is_read_as_per_cent_or_as_a_part(text: str, part: str) -> None:
    assert typed_part(text) == Decimal(part)


@pytest.mark.parametrize("text", ["1", "some", "", "-3 %", "%"])
def test_what_may_be_meant_either_way_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="%"):
        typed_part(text)
