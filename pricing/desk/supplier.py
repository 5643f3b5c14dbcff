"""A supplier's price list held against the price book: what it changes, and what of it is not known here."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from nesting.base.faults import Faults
from pricing.desk.studio import repriced
from pricing.desk.typed import in_cents
from pricing.studio.decimal_marks import Marks
from pricing.studio.pricebook import Price, PriceBook
from pricing.studio.table_file import TableRow, missing_columns, table_from

_STOCK = ("stock", "item", "article", "product", "code", "what")
_PRICE = ("price", "unit price", "price each", "each", "net price", "net")


@dataclass(frozen=True, slots=True)
class Offered:
    """One price that the list changes."""

    stock: str
    before: Decimal
    after: Decimal


@dataclass(frozen=True, slots=True)
class SupplierList:
    """What a supplier's list says.

    Attributes
    ----------
    changed : tuple of Offered
        Prices that differ.
    same : int
        How many are as in the book.
    unknown : tuple of str
        What the book does not have.
    told : tuple of str
        What was odd about reading it.
    """

    changed: tuple[Offered, ...]
    same: int
    unknown: tuple[str, ...]
    told: tuple[str, ...] = ()


def read_list(file: str, data: bytes, book: PriceBook) -> SupplierList:
    """Read a list: one column of what is sold, by the stock names of the price book or their sizes, one of prices.

    Raises
    ------
    nesting.base.faults.FaultsFound
        Every price that cannot be read, or that the columns are not there, or another currency than the book's.
    """
    table = table_from(data, file)
    faults = Faults(file)
    stock_column = next((name for name in _STOCK if name in table.headings), None)
    price_column = next((name for name in _PRICE if name in table.headings), None)
    for missing, found in (("stock", stock_column), ("price", price_column)):
        if found is None:
            faults.add(None, missing, "", f"a column {missing}; this list has {', '.join(table.headings)}")
    faults.found.extend(missing_columns(table, (), filter(None, (stock_column, price_column, "currency"))))
    faults.stop_if_any()
    known = {row.stock.casefold(): row for row in book.rows}
    changed, unknown, same = [], [], 0
    marks, told = Marks.of(table, (price_column or "",)), list(table.warnings)
    for each in table.rows:
        name, text = each.get(stock_column or ""), each.get(price_column or "")
        row = known.get(name.casefold())
        if row and (accepted := marks.doubt(text)):
            faults.add(each.row, price_column, text, accepted)
            continue
        _check_currency(each, book, faults)
        if row is None:
            unknown.append(name)
            continue
        meant = marks.meant(text)
        if meant != text:
            told.append(f"{file}, row {each.row}: {text} is read as {meant}, since others have decimal commas")
        try:
            after = repriced(row, str(in_cents(meant, book.currency))).price
        except ValueError:
            faults.add(each.row, price_column, text, f"an amount in {book.currency}, such as 58.00 or 58,00")
            continue
        same += after == row.price
        if after != row.price:
            changed.append(Offered(row.stock, row.price, after))
    faults.stop_if_any()
    return SupplierList(tuple(changed), same, tuple(dict.fromkeys(unknown)), tuple(told))


def _check_currency(each: TableRow, book: PriceBook, faults: Faults) -> None:
    code = each.get("currency").upper()
    if code and code != book.currency:
        faults.add(each.row, "currency", code, f"{book.currency}, the price book's currency")


def with_prices(book: PriceBook, prices: Mapping[str, str], on: date, supplier: str = "") -> PriceBook:
    """Return the book with new prices of a day; breaks keep what they take off, in proportion."""

    def renewed(row: Price) -> Price:
        text = prices.get(row.stock)
        if text is None:
            return row
        return replace(repriced(row, text), priced=on, supplier=supplier or row.supplier)

    return replace(book, rows=tuple(map(renewed, book.rows)), invented=False)
