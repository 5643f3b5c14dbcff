import io
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from nesting.base.faults import FaultsFound
from pricing.studio.pricebook import PriceBook
from pricing.studio.pricebook_file import (
    COLUMNS,
    columns_text,
    default_price_book,
    default_prices_text,
    price_book_csv,
    price_book_from,
    price_book_xlsx,
    read_price_book,
)
from tests.strategies import odd_texts

HEAD = "stock,good,form,price,currency,from 2,price 2,from 3,price 3,priced,sold,limit\n"


def faults_of(tmp_path: Path, text: str) -> list[tuple[int | None, str | None, str]]:
    """Return row, column and found of every fault in a price book."""
    (tmp_path / "prices.csv").write_text(text, encoding="utf-8")
    with pytest.raises(FaultsFound) as caught:
        read_price_book(tmp_path / "prices.csv")
    faults = sorted(caught.value.faults, key=lambda fault: fault.row or 0)
    return [(fault.row, fault.column, fault.found) for fault in faults]


def test_the_packaged_prices_are_what_the_writer_writes_and_say_that_they_are_invented() -> None:
    book = default_price_book()
    assert price_book_csv(book) == default_prices_text()
    assert "Invented prices" in default_prices_text().splitlines()[0]


@pytest.mark.parametrize("name", ["prices.csv", "prices.xlsx"])
def test_both_kinds_of_file_read_back_the_same(tmp_path: Path, name: str) -> None:
    book = default_price_book()
    content = price_book_xlsx(book) if name.endswith("xlsx") else price_book_csv(book).encode()
    (tmp_path / name).write_bytes(content)
    again = read_price_book(tmp_path / name)
    assert (again.currency, again.rows) == (book.currency, book.rows)
    assert again.warnings == ()


def test_a_book_that_nobody_has_changed_is_invented_still(tmp_path: Path) -> None:
    """What ``start`` writes is a copy of it: a quote made with that before it is edited says so too."""
    path = tmp_path / "prices.csv"
    path.write_text(default_prices_text(), encoding="utf-8")
    assert read_price_book(path).invented
    path.write_text(default_prices_text().replace("58.00", "58.01", 1), encoding="utf-8")
    assert not read_price_book(path).invented


def test_the_workbook_holds_numbers_as_numbers_and_text_as_text() -> None:
    book = default_price_book()
    page = load_workbook(io.BytesIO(price_book_xlsx(book))).worksheets[0]
    assert page.cell(2, 1).value == "stock"
    assert page.cell(2, 1).comment is not None
    assert page.cell(3, COLUMNS.index("price") + 1).value == pytest.approx(58.0)


def test_columns_in_any_order_and_letter_case(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("CURRENCY,Price,STOCK,Form,good,colour\nusd,1.50,x,EACH,x,red\n")
    book = read_price_book(tmp_path / "p.csv")
    assert (book.currency, book.rows[0].price, book.rows[0].form) == ("USD", Decimal("1.50"), "each")
    assert book.warnings == ("p.csv: column colour is not known and was passed over",)


def test_every_fault_is_told_at_once_with_row_and_column(tmp_path: Path) -> None:
    text = HEAD + (
        "a,a,sheet,58.00,USD,10,54.00,,,2026-01-31,,\n"
        "a,a,sheet,58.00,EUR,,,,,,,\n"
        "b,b,slab,1.005,USD,10,,,,31/2/2026,sometimes,many\n"
        ",c,each,five,US,,,,,,,\n"
        "d,d,each,1.00,USD,5,2.00,,,,,\n"
    )
    assert faults_of(tmp_path, text) == [
        (3, "stock", "a"),
        (3, "currency", "EUR"),
        (4, "form", "slab"),
        (4, "sold", "sometimes"),
        (4, "price", "1.005"),
        (4, "price 2", ""),
        (4, "priced", "31/2/2026"),
        (4, "limit", "many"),
        (5, "stock", ""),
        (5, "price", "five"),
        (5, "currency", "US"),
        (6, None, "2.00 from 5"),
    ]


def test_missing_columns_and_an_empty_table(tmp_path: Path) -> None:
    assert [column for _, column, _ in faults_of(tmp_path, "stock,price\nx,1\n")] == ["good", "form", "currency"]
    assert faults_of(tmp_path, HEAD) == [(None, None, "no rows")]


@given(st.lists(odd_texts(), min_size=6, max_size=6))
def test_odd_cells_give_a_book_or_faults_never_anything_else(
    tmp_path_factory: pytest.TempPathFactory, odd: list[str]
) -> None:
    path = tmp_path_factory.mktemp("odd") / "prices.csv"
    safe = [
        text.replace("\ud800", "?").replace('"', "'").replace("\n", " ").replace("\r", " ").replace("\0", "?")
        for text in odd
    ]
    cells = [f'"{text}"' for text in safe]
    path.write_text(f"stock,good,form,price,currency,from 2\n{','.join(cells)}\n", encoding="utf-8")
    told: object
    try:
        told = read_price_book(path)
    except FaultsFound as error:
        told = error
    assert isinstance(told, PriceBook | FaultsFound)


def test_every_column_is_explained() -> None:
    assert len(columns_text()) == len(COLUMNS)
    assert columns_text()[0].startswith("stock: what is bought")


@pytest.mark.parametrize("end", ["\r", "\r\n", "\n"])
def test_a_line_end_in_a_cell_does_not_end_its_row(end: str) -> None:
    """Found by fuzzing: a bare return was written without quotes, and what was written was refused."""
    book = price_book_from(
        f'stock,good,form,size,price,currency\nX,ply-3/8,sheet,"a{end}b",1.00,USD\n'.encode(), "p.csv"
    )
    assert book.rows[0].size == "a\nb"
    assert price_book_from(price_book_csv(book).encode(), "p.csv").rows == book.rows


@pytest.mark.parametrize("price", ["9" * 40, "-" + "9" * 40, "10000000.01"])
def test_an_amount_of_very_many_digits_is_told(tmp_path: Path, price: str) -> None:
    """Found by fuzzing: Decimal could not be asked whether it has hundredths."""
    text = f"stock,good,form,price,currency\nX,ply-3/8,sheet,{price},USD\n"
    assert [column for _, column, _ in faults_of(tmp_path, text)] == ["price"]
