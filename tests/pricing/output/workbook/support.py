"""Quotes for the tests of the workbook, and the workbook recalculated by another program."""

import csv
import random
import re
import subprocess
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any, get_args
from zipfile import ZipFile

import openpyxl
from openpyxl.packaging.workbook import WorkbookPackage
from openpyxl.utils import range_boundaries
from openpyxl.workbook import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.xml.functions import fromstring

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, MM
from nesting.base.search import QUICK
from nesting.order import Artwork, Back, Order
from pricing.money import half_up
from pricing.output.job import read_both
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.pricebook import Price, PriceBook
from pricing.studio.rack import OnShelf, Rack, RackOffcut
from pricing.studio.rates import Charge, Payer
from pricing.studio.sale_terms import SaleTerms, TaxedKind

SAMPLES = Path(__file__).parents[4] / "sample_orders"
DAY = date(2026, 10, 15)
RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>{mode}</value></prop></item></oor:items>
"""


@cache
def sample(name: str) -> Quote:
    """Return the quote of a sample order, with freight that is paid and a destination that does not suit."""
    units = "metric" if "metric" in name else None
    order, office = read_both(SAMPLES / name, None, units)  # type: ignore[arg-type]  # a literal either way
    order = replace(order, currency=office.book.currency)
    return work(order, in_office(office), on=DAY, search=QUICK, number="Q-001")


@cache
def written(name: str) -> bytes:
    """Return the workbook of a sample order's quote."""
    return workbook_bytes(sample(name))


def in_office(office: Office) -> Office:
    """Return an office with taxes, places, and a rack with offcuts and opened boxes."""
    rates = office.rates
    price = replace(rates.price, discount=Decimal("0.03"), stale_days=10)
    tax = replace(rates.tax, rate=Decimal("0.08875"), on_freight=True)
    rates = replace(rates, price=price, tax=tax, purchase_tax={"goods": Decimal("0.0625"), "labour": Decimal(0)})
    places = Destinations(
        (
            Destination("Harbour Gallery", "US", 40 * INCH, 78 * INCH, km=Decimal(312), profile="van"),
            Destination("Hillside Gallery", "CA", residential=True, inside=True, profile="pallet"),
            Destination("Private buyer", "US", residential=True, profile="parcel"),
            Destination("Civic Hall", "US", dock=True, forklift=True, profile="air"),
        )
    )
    rack = Rack(
        (
            RackOffcut("R-1", "ply-23/32", 60 * INCH, 30 * INCH, Decimal("9.50"), 1, "rack A"),
            RackOffcut("R-2", "2x3", 80 * INCH, 0, Decimal("1.25"), 2, "rack B"),
        ),
        (OnShelf("S-1", "screw 10x1-1/4", 60), OnShelf("S-2", "glassine", 20_000 * MM, 48 * INCH)),
        "USD",
    )
    return replace(office, rates=rates, destinations=places, rack=rack)


def generated(count: int, seed: int = 0) -> Iterator[Quote]:
    """Yield quotes of small made-up orders with made-up rates; an order that cannot be built is passed over."""
    dice = random.Random(seed)
    while count:
        office = _office(dice)
        try:
            quote = work(_order(dice), office, on=DAY, search=QUICK, number=str(count))
        except FaultsFound:
            continue
        count -= 1
        yield quote


def _order(dice: random.Random) -> Order:
    units = dice.choice(["inch", "metric"])
    unit = INCH // 4 if units == "inch" else 5 * MM
    works = [
        Artwork(
            f"{'ABC'[n % 3]}-{n:02}", dice.randint(24, 150) * unit, dice.randint(24, 150) * unit,
            dice.randint(3, 8) * unit,
            title=dice.choice(["Low Tide", "=1+1", "Étude & <b>", "'quoted'"]),
            weight_kg=Decimal(dice.randint(10, 220)) / 10,
            quantity=dice.choice([1, 1, 1, 2, 3]), support="birch panel", back=Back("solid"),
            surface=dice.choice(["resin", "paint"]),
            price=dice.choice([None, Decimal(dice.randint(10_000, 900_000)) / 100]),
            declared=dice.choice([None, Decimal(dice.randint(1000, 9000))]),
            destination=dice.choice([None, "Harbour Gallery", "Private buyer"]),
            commission=dice.choice([None, None, None, Decimal(dice.randint(0, 600)) / 1000]),
        )
        for n in range(dice.randint(1, 4))
    ]  # fmt: skip
    whole = dice.choice([None, None, Decimal(dice.randint(0, 600)) / 1000])
    return Order("made-up order", tuple(works), units, "USD", commission=whole)  # type: ignore[arg-type]  # one of two


def _office(dice: random.Random) -> Office:
    """Return an office with made-up rates: every rule of the ladder, either way."""
    office = in_office(Office())
    rates = office.rates

    def rate(most: int) -> Decimal:
        return Decimal(dice.randint(0, most)) / 1000

    price = replace(
        rates.price,
        charge=dice.choice(["bought", "used", "used", "area"]),
        waste=rate(300),
        sheet_waste=rate(400),
        profit=dice.choice(["markup", "margin"]),
        contingency=rate(120),
        overhead=rate(250),
        profit_rate=rate(600),
        discount=dice.choice([Decimal(0), rate(150)]),
        minimum=Decimal(dice.randint(0, 150_000)) / 100,
        round_to=dice.choice([Decimal("0.01"), Decimal("0.05"), Decimal(1), Decimal(5), Decimal("2.5")]),
        round_way=dice.choice(["nearest", "up"]),
        freight_marked_up=dice.random() < 0.3,
    )
    tax = replace(rates.tax, rate=rate(250), on_freight=dice.random() < 0.5, on_insurance=dice.random() < 0.5)
    payer = dice.choice(get_args(Payer))
    sale = replace(rates.sale, commission=rate(600), shipping_paid_by=payer, art_tax=rate(100))
    insurance = replace(rates.insurance, rate=rate(20), minimum=Decimal(dice.randint(0, 80)))
    own = {good.good: dice.choice(get_args(Charge)) for good in office.shop.goods if dice.random() < 0.3}
    rates = replace(rates, price=price, tax=tax, sale=sale, insurance=insurance, by_good=own)
    rack = office.rack if dice.random() < 0.5 else Rack()
    if dice.random() < 0.5:
        rows = tuple(replace(row, terms=_terms(dice)) for row in office.destinations.rows)
        office = replace(office, destinations=Destinations(rows))
    return replace(office, rates=rates, rack=rack, book=_book(dice, office.book))


def _terms(dice: random.Random) -> SaleTerms:
    """Return what a made-up place says for itself: each of it, or not."""
    some: list[tuple[TaxedKind, ...]] = [(), ("work", "freight"), ("art", "work", "freight", "insurance"), ("art",)]
    return SaleTerms(
        commission=dice.choice([None, Decimal(dice.randint(0, 600)) / 1000]),
        paid_by=dice.choice([None, *get_args(Payer)]),
        tax_name=dice.choice(["", "VAT"]),
        tax_rate=dice.choice([None, Decimal(dice.randint(0, 250)) / 1000]),
        tax_on=dice.choice([None, *some]),
        export=dice.choice(["", "", "zero-rated: shipped abroad by the seller"]),
    )


def _book(dice: random.Random, book: PriceBook) -> PriceBook:
    """Return a price book whose prices and breaks are all made up."""
    rows: list[Price] = []
    for row in book.rows:
        price = half_up(row.price * Decimal(dice.randint(50, 180)) / 100)
        breaks: list[tuple[int, Decimal]] = []
        start, each = 1, price
        for _ in range(dice.choice([0, 0, 1, 2, 3]) if row.form != "hour" else 0):
            start += dice.randint(1, 4)
            each = half_up(each * Decimal(dice.randint(70, 100)) / 100)
            breaks.append((start, each))
        by_length = row.form == "roll" and dice.random() < 0.3
        rows.append(replace(row, price=price, breaks=() if by_length else tuple(breaks), by_length=by_length))
    return replace(book, rows=tuple(rows))


def opened(content: bytes, *, values: bool) -> Workbook:
    """Open a workbook with its formulas or with the values stored beside them."""
    return openpyxl.load_workbook(BytesIO(content), data_only=values)


def named(book: Workbook) -> dict[str, Any]:
    """Return the value of every named cell."""
    found = {}
    for name, defined in book.defined_names.items():
        places = list(defined.destinations)
        if len(places) == 1 and ":" not in places[0][1]:
            tab, cell = places[0]
            found[name] = book[tab][cell.replace("$", "")].value
    return found


def money(value: Any) -> Decimal:
    """Return a cell's number as an amount; more than a millionth beside a cent is a fault."""
    amount = half_up(Decimal(repr(float(value))))
    assert abs(float(value) - float(amount)) < 1e-6, value
    return amount


@dataclass(frozen=True, slots=True)
class Values:
    """What stands in the cells of a workbook.

    Attributes
    ----------
    names : mapping of str to object
        The value of each named cell.
    sheets : mapping of str to sequence of rows
        The values of each sheet.
    """

    names: Mapping[str, Any]
    sheets: Mapping[str, Sequence[Sequence[Any]]]


def stored(content: bytes) -> Values:
    """Return the values stored in a workbook, without its formats, which take most of the time of opening it."""
    book = openpyxl.load_workbook(BytesIO(content), data_only=True, read_only=True)
    try:
        sheets = {sheet.title: list(sheet.iter_rows(values_only=True)) for sheet in book.worksheets}
        return Values(_named_in(book.defined_names.values(), sheets), sheets)
    finally:
        book.close()


def _named_in(names: Iterable[DefinedName], sheets: Mapping[str, Sequence[Sequence[Any]]]) -> dict[str, Any]:
    """Return the value of every named cell from the values of the sheets."""
    found = {}
    for defined in names:
        places = list(defined.destinations)
        if len(places) == 1 and ":" not in places[0][1]:
            tab, cell = places[0]
            column, row, _, _ = range_boundaries(cell)
            assert column is not None
            assert row is not None
            found[str(defined.name)] = sheets[tab][row - 1][column - 1]
    return found


def recalculated(office: str, files: Mapping[str, bytes], folder: Path, *, mode: int = 0) -> dict[str, bytes]:
    """Return workbooks as LibreOffice writes them after it calculated every formula anew (mode 0), or not (mode 1)."""
    _converted(office, files, folder, mode, "xlsx")
    return {name: (folder / "after" / f"{name}.xlsx").read_bytes() for name in files}


COMMA, QUOTE, UTF_8, ALL_SHEETS = 44, 34, 76, -1
TEXT = f"csv:Text - txt - csv (StarCalc):{COMMA},{QUOTE},{UTF_8},1,,0,true,false,false,false,false,{ALL_SHEETS}"
"""Every sheet as a table of its own, numbers with all their digits: a third of the time of a workbook written again."""


def recounted(office: str, files: Mapping[str, bytes], folder: Path) -> dict[str, Values]:
    """Return all values of workbooks after LibreOffice calculated every formula anew.

    Numbers of money and counts are read with all their digits; which of them were text is not known, nor the last
    digits of percentages: :func:`recalculated` tells both.
    """
    _converted(office, files, folder, 0, TEXT)
    found = {}
    for name, content in files.items():
        with ZipFile(BytesIO(content)) as archive:
            tree: Any = fromstring(archive.read("xl/workbook.xml"))
        book: Any = WorkbookPackage.from_tree(tree)
        lines = {sheet.name: _lines(folder / "after", name, sheet.name) for sheet in book.sheets}
        sheets = {title: [[_read(cell) for cell in row] for row in csv.reader(each)] for title, each in lines.items()}
        found[name] = Values(_named_in(book.definedNames.definedName, sheets), sheets)
    return found


def _lines(folder: Path, name: str, sheet: str) -> Iterator[str]:
    with (folder / f"{name}-{sheet}.csv").open(encoding="utf-8", newline="") as file:
        yield from file


def _read(cell: str) -> Any:
    """Return what a cell of a table holds: a number where it is one."""
    return float(cell) if re.fullmatch(r"-?\d+(\.\d+)?(E[-+]\d+)?", cell) else cell or None


def _converted(office: str, files: Mapping[str, bytes], folder: Path, mode: int, form: str) -> None:
    """Have LibreOffice open workbooks, and write them in another form into the folder ``after``."""
    profile = folder / "profile" / "user"
    profile.mkdir(parents=True, exist_ok=True)
    (profile / "registrymodifications.xcu").write_text(RECALCULATE.format(mode=mode))
    before, after = folder / "before", folder / "after"
    before.mkdir(exist_ok=True)
    paths = []
    for name, content in files.items():
        path = before / f"{name}.xlsx"
        path.write_bytes(content)
        paths.append(str(path))
    command = [office, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", form]
    subprocess.run([*command, "--outdir", str(after), *paths], check=True, capture_output=True, timeout=600)


def changed(quote: Quote, changes: Mapping[str, Any]) -> bytes:
    """Return the workbook of a quote with other values in some named cells, saved by openpyxl."""
    book = opened(workbook_bytes(quote), values=False)
    for name, value in changes.items():
        tab, cell = next(iter(book.defined_names[name].destinations))
        book[tab][cell.replace("$", "")].value = value
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def differences(found_in: bytes | Values, quote: Quote) -> list[str]:
    """Return every total of a workbook's stored values that is not the quote's to the cent."""
    book = found_in if isinstance(found_in, Values) else stored(found_in)
    values = book.names
    wanted: dict[str, Decimal] = {"quote_total": quote.total}
    if quote.takeoff.rows:  # where every crate is held nothing is bought
        wanted["bought_amount"] = quote.takeoff.bought_amount
    for step in quote.steps:
        wanted[f"step_{step.key}"] = step.amount
        wanted[f"after_{step.key}"] = step.running
    sections = ("sheets", "sticks", "rolls", "hardware", "purchase tax", "labour", "freight", "insurance")
    for section in sections:
        name = f"cost_of_{section.replace(' ', '_')}"
        if name in values or quote.section(section):  # type: ignore[arg-type]  # each is a section
            wanted[name] = quote.section(section)  # type: ignore[arg-type]  # the same
    found = [
        f"{name}: {values.get(name)} not {value}"
        for name, value in wanted.items()
        if not _same(values.get(name), value)
    ]
    return [*found, *_share_differences(book, quote)]


def _same(value: Any, amount: Decimal) -> bool:
    return isinstance(value, int | float) and abs(float(value) - float(amount)) < 1e-6


def _share_differences(book: Values, quote: Quote) -> list[str]:
    """Compare the shares and sale prices, found by the headings of their tables."""
    shares = rows_of(book.sheets["Shares"], "Piece", "Total")
    found = [
        f"share of {share.piece}: {shares[share.piece]['Total']} not {share.total}"
        for share in quote.shares
        if not _same(shares[share.piece]["Total"], share.total)
    ]
    if quote.sales:
        sales = rows_of(book.sheets["Shares"], "Piece", "List price")
        for sale in quote.sales:
            row = sales[sale.piece]
            wanted = {
                "Packing, shipping S": sale.shipping, "List price": sale.list_price, "Gallery keeps": sale.gallery,
                "Artist nets": sale.artist, "Sales tax": sale.tax, "Buyer pays, delivered": sale.delivered,
            }  # fmt: skip
            found += [
                f"{sale.piece}: {key}: {row[key]} not {value}"
                for key, value in wanted.items()
                if not _same(row[key], value)
            ]
    return found


def table(sheet: Any, first: str, other: str) -> dict[str, dict[str, Any]]:
    """Return the rows of a sheet's table with both headings; see :func:`rows_of`."""
    return rows_of(list(sheet.iter_rows(values_only=True)), first, other)


def rows_of(rows: Sequence[Sequence[Any]], first: str, other: str) -> dict[str, dict[str, Any]]:
    """Return the rows of the table with both headings, by what stands in its first column, down to its sum."""
    at = next(n for n, row in enumerate(rows) if row[0] == first and other in row)
    heads = rows[at]
    found: dict[str, dict[str, Any]] = {}
    for row in rows[at + 1 :]:
        if row == heads:
            continue
        if row[0] is None or str(row[0]).startswith("All "):
            break
        found[str(row[0])] = dict(zip(heads, row, strict=True))
    return found
