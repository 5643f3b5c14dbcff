"""The price book's file by itself: what each cell may hold, at its ends, and what is said otherwise."""

import io
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import load_workbook

from nesting.base.faults import FaultsFound
from pricing.studio.pricebook import Price, PriceBook
from pricing.studio.pricebook_file import (
    BREAK_COLUMNS,
    COLUMNS,
    REQUIRED,
    columns_text,
    default_price_book,
    default_prices_text,
    price_book_csv,
    price_book_from,
    price_book_xlsx,
    read_price_book,
    unchanged,
)

GOOD = {"stock": "X", "good": "ply", "form": "sheet", "price": "58.00", "currency": "USD"}


def book(*rows: dict[str, str]) -> PriceBook:
    """Read rows, each a good one with some cells changed."""
    whole = [{**GOOD, **row} for row in rows or ({},)]
    names = list(dict.fromkeys(name for row in whole for name in row))
    lines = [";".join(names), *(";".join(row.get(name, "") for name in names) for row in whole)]
    return price_book_from("\n".join(lines).encode(), "p.csv")


def said(*rows: dict[str, str]) -> list[str]:
    """Return every sentence of what is refused, without the file's name."""
    with pytest.raises(FaultsFound) as caught:
        book(*rows)
    return [fault.message.removeprefix("p.csv, ") for fault in caught.value.faults]


FORMS = "one of sheet, stick, roll, each, box, hour"
AMOUNT = "an amount such as 58.00, 58,00 or 1,234.50, in the currency of its row"
DECIMALS = "two decimals at the most; sell smaller things by the box"


@pytest.mark.parametrize(
    ("column", "text", "found", "accepted"),
    [
        ("stock", "", "", "a stock"),
        ("good", "", "", "a good"),
        ("form", "", "", "a form"),
        ("price", "", "", "a price"),
        ("form", "slab", "slab", FORMS),
        ("sold", "Half", "half", "whole or by length"),
        ("currency", "", "", "three letters such as USD"),
        ("currency", "us", "US", "three letters such as USD"),
        ("currency", "usd1", "USD1", "three letters such as USD"),
        ("currency", "U1D", "U1D", "three letters such as USD"),
        ("currency", "ÜSD", "ÜSD", "three letters such as USD"),
        ("price", "five", "five", AMOUNT),
        ("price", "EUR 5.00", "EUR 5.00", AMOUNT),
        ("price", "10000000.01", "10000000.01", "an amount up to 10,000,000"),
        ("price", "-10000000.01", "-10000000.01", AMOUNT),
        ("price", "0.0001", "0.0001", DECIMALS),
        ("price", "1.234", "1.234", "1234 or 1.23: the point may be either"),
        ("price", "12.345", "12.345", "12345 or 12.34: the point may be either"),
        ("price", "123.456", "123.456", "123456 or 123.45: the point may be either"),
        ("price", "1234.567", "1234.567", DECIMALS),
        ("price", "0.123", "0.123", DECIMALS),
        ("limit", "many", "many", "a whole number up to 1000000"),
        ("limit", "-1", "-1", "a whole number up to 1000000"),
        ("limit", "1000001", "1000001", "a whole number up to 1000000"),
        ("limit", "²", "²", "a whole number up to 1000000"),
        ("limit", "0" * 21, "0" * 21, "a whole number up to 1000000"),
    ],
)
def test_what_a_price_book_does_not_take(column: str, text: str, found: str, accepted: str) -> None:
    quoted = f'"{found}"' if found else "nothing"
    assert said({column: text}) == [f"row 2, column {column}: found {quoted}; accepted: {accepted}"]


@pytest.mark.parametrize(
    ("row", "found", "accepted"),
    [
        ({"from 2": "1", "price 2": "5"}, "a break from 1", "2 to 1000000, in rising order"),
        ({"from 2": "5", "price 2": "59"}, "59.00 from 5", "no more than the 58.00 before it"),
        (
            {"from 2": "5", "price 2": "5", "from 3": "5", "price 3": "5"},
            "a break from 5",
            "6 to 1000000, in rising order",
        ),
        ({"sold": "by length"}, "a sheet sold by length", "only rolls are sold by length"),
        ({"form": "hour", "from 2": "5", "price 2": "5"}, "1 breaks", "3 at the most, and none for hours"),
    ],
)
def test_what_a_price_itself_does_not_take(row: dict[str, str], found: str, accepted: str) -> None:
    assert said(row) == [f'row 2: found "{found}"; accepted: {accepted}']


def test_a_break_has_a_quantity_and_a_price() -> None:
    both = "both a quantity and a price for a break"
    assert said({"from 2": "5"}) == [f"row 2, column price 2: found nothing; accepted: {both}"]
    assert said({"price 4": "5"}) == [f"row 2, column from 4: found nothing; accepted: {both}"]
    assert said({"from 3": "5", "price 3": "x"}) == [f'row 2, column price 3: found "x"; accepted: {AMOUNT}']
    assert said({"from 3": "x", "price 3": "5"}) == [
        'row 2, column from 3: found "x"; accepted: a whole number up to 1000000'
    ]


def test_everything_that_a_row_may_hold() -> None:
    (row,) = book(
        {
            "stock": "R", "form": "Roll", "size": "wide", "price": "10000000", "currency": "usd", "supplier": "Yard",
            "from 2": "2", "price 2": "5.00", "from 3": "30", "price 3": "4.00", "from 4": "1000000", "price 4": "0",
            "priced": "2026-01-31", "tax": "WORK", "sold": "By Length", "limit": "1000000", "note": "heavy",
        }
    ).rows  # fmt: skip
    assert row == Price(
        "R", "ply", "roll", Decimal("10000000.00"), "wide",
        ((2, Decimal("5.00")), (30, Decimal("4.00")), (1_000_000, Decimal("0.00"))), "Yard", date(2026, 1, 31), "work",
        by_length=True, limit=1_000_000, note="heavy",
    )  # fmt: skip
    assert str(row.price) == "10000000.00"
    (plain,) = book({"limit": "00000000000000000007", "sold": "whole"}).rows
    assert plain == Price("X", "ply", "sheet", Decimal("58.00"), limit=7)
    assert (plain.row, plain.tax, plain.priced, book({"limit": "0"}).rows[0].limit) == (2, "goods", None, 0)


def test_a_stock_stands_once_and_a_table_has_one_currency() -> None:
    assert said({}, {"currency": "EUR"}, {"stock": "Y", "currency": "EUR"}, {"stock": "Z", "currency": "GBP"}, {}) == [
        'row 3, column stock: found "X"; accepted: each stock once; row 2 has it too',
        'row 3, column currency: found "EUR"; accepted: USD, as in row 2: one currency in the whole table',
        'row 5, column currency: found "GBP"; accepted: USD, as in row 2: one currency in the whole table',
        'row 6, column stock: found "X"; accepted: each stock once; row 2 has it too',
    ]
    assert said({"currency": "?"}, {"stock": "Y", "currency": "EUR"}) == [
        'row 2, column currency: found "?"; accepted: three letters such as USD'
    ]


def test_a_table_without_rows_or_columns() -> None:
    with pytest.raises(FaultsFound) as caught:
        price_book_from(b"stock,good,form,price,currency\n", "p.csv")
    assert str(caught.value) == 'p.csv: found "no rows"; accepted: at least one price'
    with pytest.raises(FaultsFound) as caught:
        price_book_from(b"stock,price\nx,1\n", "p.csv")
    assert [fault.message for fault in caught.value.faults] == [
        f"p.csv, column {name}: found nothing; accepted: a column {name}; this table has stock, price"
        for name in ("good", "form", "currency")
    ]
    assert REQUIRED == ("stock", "good", "form", "price", "currency")


def test_prices_in_doubt_are_taken_and_told() -> None:
    made = book({"price": "~58.00", "priced": "about 2026-01-31"}, {"stock": "Y", "price": "58.00?", "priced": "?"})
    assert [(row.price, row.priced) for row in made.rows] == [
        (Decimal("58.00"), date(2026, 1, 31)), (Decimal("58.00"), None),
    ]  # fmt: skip
    assert made.warnings == (
        (
            'p.csv: assumed where a cell is in doubt: price "~58.00" of X: 58.00; priced "about 2026-01-31" of X: '
            '2026-01-31; price "58.00?" of Y: 58.00; priced "?" of Y: no day'
        ),
    )
    assert said({"price": "?"}) == [f'row 2, column price: found "?"; accepted: {AMOUNT}']


def test_points_and_commas_of_a_table_that_has_both() -> None:
    made = book({"price": "5,50"}, {"stock": "Y", "price": "1.234", "from 2": "9", "price 2": "1.230"})
    assert (made.rows[1].price, made.rows[1].breaks) == (Decimal(1234), ((9, Decimal(1230)),))
    assert made.warnings == (
        (
            'p.csv: assumed where a cell is in doubt: price "1.234" of Y: 1234, as others have decimal commas; '
            'price 2 "1.230" of Y: 1230, as others have decimal commas'
        ),
    )
    assert said({"price": "5,50"}, {"stock": "Y", "price": "1,234"}) == [
        'row 3, column price: found "1,234"; accepted: 1234 or 1,23: the comma may be either'
    ]


def test_days_and_columns_that_are_remarked() -> None:
    made = price_book_from(
        b"stock,good,form,price,currency,priced,colour\nX,ply,sheet,1,USD,03/04/2026,red\n", "p.csv", "day first"
    )
    assert made.rows[0].priced == date(2026, 4, 3)
    assert made.warnings[0] == "p.csv: column colour is not known and was passed over"
    assert made.warnings[1].startswith("p.csv: days such as 03/04/2026 (3 April 2026) are read as")
    assert (made.source, made.invented) == ("p.csv", False)


@pytest.mark.parametrize("sizes", ["inch", "metric"])
def test_what_is_built_in_is_invented_until_it_is_changed(tmp_path: Path, sizes: str) -> None:
    text = default_prices_text(sizes)  # type: ignore[arg-type]  # both words
    path = tmp_path / "mine.csv"
    path.write_text(text, encoding="utf-8")
    made = read_price_book(path)
    assert made.invented
    assert made.source == "mine.csv"
    assert unchanged(made) == made.rows
    first = made.rows[0]
    dearer = replace(first, price=first.price + 1)
    other = PriceBook(made.currency, (dearer, *made.rows[1:]))
    assert unchanged(other) == made.rows[1:]
    assert unchanged(PriceBook("XXX", made.rows)) == ()
    lines = text.splitlines()
    assert lines[0] == ('"# Invented prices, for demonstration only: replace them by your own suppliers\' prices."')
    assert price_book_csv(replace(made, invented=False)).splitlines()[0] == (
        "# Price book. One row prices one thing bought. Lines that start with # are comments."
    )


def test_a_row_as_it_is_written() -> None:
    row = Price(
        "R", "film", "roll", Decimal("5.00"), "w", ((9, Decimal("4.50")),), "Yard", date(2026, 1, 31), "work",
        by_length=True, limit=7, note="n",
    )  # fmt: skip
    made = PriceBook("EUR", (row, Price("S", "ply", "sheet", Decimal("1.00"))))
    assert price_book_csv(made).splitlines()[-3:] == [
        ",".join(COLUMNS),
        "R,film,roll,w,5.00,EUR,9,4.50,,,,,Yard,2026-01-31,work,by length,7,n",
        "S,ply,sheet,,1.00,EUR,,,,,,,,,goods,whole,,",
    ]
    assert COLUMNS[:6] == ("stock", "good", "form", "size", "price", "currency")
    assert COLUMNS[12:] == ("supplier", "priced", "tax", "sold", "limit", "note")
    assert BREAK_COLUMNS == ("from 2", "price 2", "from 3", "price 3", "from 4", "price 4")


def test_the_workbook_as_people_see_it() -> None:
    row = Price("=1+1", "film", "roll", Decimal("5.25"), priced=date(2026, 1, 31))
    data = price_book_xlsx(PriceBook("EUR", (row,), invented=True))
    loaded = load_workbook(io.BytesIO(data))
    assert loaded.sheetnames == ["Prices"]
    page = loaded["Prices"]
    assert str(page["A1"].value).startswith("# Invented prices")
    assert [cell.value for cell in page[2]] == list(COLUMNS)
    assert all(cell.font.bold for cell in page[2])
    notes = {str(cell.value): cell.comment.text for cell in page[2] if cell.comment}
    assert notes["currency"] == "the same in every row"
    assert "from 3" not in notes
    assert (page["A3"].value, page["A3"].data_type) == ("=1+1", "s")
    assert page.cell(3, COLUMNS.index("price") + 1).value == 5.25
    assert page.freeze_panes == "B3"
    widths = {letter: page.column_dimensions[letter].width for letter in "ABDMR"}
    assert widths == {"A": 34, "B": 20, "D": 22, "M": 22, "R": 40}
    assert price_book_from(data, "p.xlsx").rows == (row,)


def test_every_column_with_its_meaning() -> None:
    assert list(columns_text()) == [
        "stock: what is bought; a stock size of the shop's goods, or a kind of hour",
        "good: the good it is a size of",
        "form: sheet, stick, roll, each, box or hour",
        "size: for people",
        "price: of one, before any sales tax that you get back",
        "currency: the same in every row",
        "from 2: from so many on ...",
        "price 2: ... each costs this; the break applies to all of them",
        "from 3", "price 3", "from 4", "price 4",
        "supplier: the buying list is grouped by it",
        "priced: day of the price, such as 2026-01-31; old prices are flagged",
        "tax: tax category, as in rates.toml",
        "sold: whole or by length (rolls only)",
        "limit: how many the supplier has at the most; empty: enough",
        "note: for people",
    ]  # fmt: skip
    assert default_price_book().source == "prices.csv"
