from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given

from nesting.base.tables.cells import Unreadable
from nesting.intake.cells import CellError
from nesting.intake.money import Money, currency_of, read_money
from tests.strategies import money, odd_texts


@pytest.mark.parametrize(
    ("text", "amount", "mark"),
    [("1200", "1200", None), ("1,200", "1200", None), ("1,200.50", "1200.50", None), ("1.200,50", "1200.50", None),
     ("1 200,50", "1200.50", None), ("1'200.50", "1200.50", None), ("1’200.5", "1200.5", None), ("1.200.000",
      "1200000", None),
     ("900,50", "900.50", None), (".5", "0.5", None), ("0", "0", None), ("$1,200", "1200", "$"), ("US$ 1200",
      "1200", "USD"),
     ("€900", "900", "EUR"), ("900 €", "900", "EUR"), ("1200 USD", "1200", "USD"), ("usd 1200", "1200", "USD"),
      ("£5", "5", "GBP"),
     ("CAD $12", None, None), ("A$12", "12", "AUD")],
)  # fmt: skip
def test_amounts_as_people_write_them(text: str, amount: str | None, mark: str | None) -> None:
    if amount is None:
        with pytest.raises(CellError):
            read_money(text, "an amount")
    else:
        assert read_money(text, "an amount") == Money(Decimal(amount), mark)


@pytest.mark.parametrize(
    ("cell", "amount"),
    [(1200, "1200"), (1200.5, "1200.50"), (Decimal("1.25"), "1.25"), (0.1 + 0.2, "0.30"), (19.99 * 100, "1999")],
)
def test_numbers_in_cells(cell: Any, amount: str) -> None:
    assert read_money(cell, "an amount") == Money(Decimal(amount))


@pytest.mark.parametrize(
    "cell",
    ["-5", "(5)", "1.200", "12.345", "1,20,0", "1,2000", "12,34,567", "five", "5 shells", "$5€", "=5", "1e3",
     "nan", float("nan"),
     float("inf"), Decimal("NaN"), Decimal("1e999"), 1.005, 1e300, 10**40, True, [], {},
     "9999999999", Unreadable("#N/A", "a value"),
     "5%", "$", "1" * 500],
)  # fmt: skip
def test_what_is_no_amount_is_refused(cell: Any) -> None:
    with pytest.raises(CellError):
        read_money(cell, "an amount")


def test_a_point_that_may_separate_thousands_is_asked_about() -> None:
    with pytest.raises(CellError, match="1200, or"):
        read_money("1.200", "an amount")


def test_currencies() -> None:
    assert [currency_of(text) for text in ("eur", "€", "$", "US $", "xyz", "")] == [
        "EUR",
        "EUR",
        "$",
        "USD",
        None,
        None,
    ]


@given(money)
def test_written_amounts_read_back(amount: Decimal) -> None:
    for text in (f"{amount}", f"{amount:,}", f"{amount:,}".translate(str.maketrans(",.", ".,")), f"${amount:,}"):
        found = read_money(text, "an amount")
        assert found is not None
        assert found.amount == amount
    assert read_money(float(amount), "an amount") == Money(amount)


@given(odd_texts())
def test_odd_texts_are_refused_or_read(text: str) -> None:
    try:
        found = read_money(text, "an amount")
    except CellError:
        return
    assert found is None or (found.amount >= 0 and found.amount == round(found.amount, 2))
