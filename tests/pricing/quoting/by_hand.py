"""Orders priced by hand: tables that a person worked out, held against a quote line by line, to the cent.

A table is text: a row a line, its columns parted by ``|``; what follows ``#`` is how the sum was found. Every amount in
it is typed. So that no slip of the pen stands there, each row is multiplied out once more with plain Decimal numbers;
nothing of what prices orders is used for that.

What counts in money stands here or in the tests: prices, minutes, rules and carriers, all invented. A later default
moves none of it.
"""

from collections.abc import Sequence
from dataclasses import fields, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, Final

from nesting.crates.cases.consignment import Grouping
from nesting.intake import order_from_rows
from nesting.order import Order
from nesting.shop.shop_file import default_shop
from pricing.quoting.lines import Line
from pricing.quoting.quote import Quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import FreightProfile, InsuranceRules, PriceRules, Rates, SaleRules
from pricing.studio.rates_file import default_rates

CENT: Final = Decimal("0.01")
PRICED: Final = date(2026, 10, 1)
PRICES: Final = """
ply-23/32 4x8         | 58.00
ply-3/8 4x8           | 36.00
osb-7/16 4x8          | 21.00
foam-board-1 4x8      | 26.50
pe-plank-2 4x9        | 148.00
glassine 48in x 100yd | 96.00
kraft 48in x 900ft    | 72.00
foam-wrap 48in x 250ft | 88.00
poly-6mil 10x100ft    | 79.00
screw 10x1 box 100    | 8.90
screw 10x1-1/4 box 100 | 9.40
screw 10x1-1/2 box 100 | 9.90
screw 8x2-1/2 box 100 | 11.80
washer-10 box 100     | 5.10
staple box 1000       | 4.60
handle                | 5.75
bolt 1/4x3 box 50     | 13.90
t-nut 1/4 box 50      | 7.90
strapping 250ft       | 24.00
strap buckle box 50   | 9.50
wood-glue 500g        | 8.90
hot-glue 1kg          | 14.50
gasket 17ft           | 4.80
tape 55yd             | 3.95
carton 16x16x12       | 4.60
carton 20x20x12       | 5.90
pallet 48x40          | 24.00
hour saw              | 46.00
hour bench            | 42.00
hour packing          | 48.00
"""
"""What one of each costs; all else is as the built-in price book says, and none of it is in these orders."""
MINUTES: Final = """
load | 3
carry | 0.5
setup | 1
track_cut | 2
rip | 0.75
crosscut | 0.5
turn | 0.1
stop_setup | 0.7
chop_cut | 0.25
knife_cut | 0.5
bevel_setup | 4
stick_cut | 0.75
strip | 0.75
hole | 0.25
screw | 0.2
staple | 0.05
bolt | 1.5
fitting | 1
glue_run | 1.5
assembly | 12
wrap | 12
mounting | 15
mark_out | 0.25
seal | 4
label | 0.25
record | 8
yard | 15
hand_over | 5
"""
BY_AREA: Final = ("foam-board-1", "pe-plank-2")
"""Goods that are charged by their parts and waste; all else is charged by use."""
HEADINGS: Final = (
    "piece", "title", "width", "height", "depth", "weight", "method", "price", "destination", "surface", "support",
    "back",
)  # fmt: skip
BACKED: Final = ("resin", "birch panel", "solid")
"""Surface, support and back of every work in these orders."""


def order(*rows: Sequence[str]) -> Order:
    """Return an order of works on solid panels: piece to destination of each row."""
    return order_from_rows([HEADINGS, *((*row, *BACKED) for row in rows)])


AS_COUNTED: Final = Grouping((), "as the rules give them")
"""Every carton by the rules: what was counted by hand, whatever a search of designs would find cheaper."""


def studio(place: Destination, *carriers: FreightProfile) -> Office:
    """Return a studio with the prices, minutes and rules that these orders are worked with, and these carriers."""
    prices = dict(rows(PRICES))
    book = default_price_book()
    priced = [
        replace(row, price=Decimal(prices[row.stock]), breaks=()) if row.stock in prices else row for row in book.rows
    ]
    built_in = default_rates()
    minutes = {name: Decimal(each) for name, each in rows(MINUTES)}
    known = [each.name for each in fields(built_in.labour) if isinstance(getattr(built_in.labour, each.name), Decimal)]
    stated: dict[str, Any] = {name: minutes.get(name, Decimal(0)) for name in known}
    rates = Rates(
        "USD",
        labour=replace(built_in.labour, **stated),
        price=PriceRules(
            charge="used", waste=Decimal("0.10"), sheet_waste=Decimal("0.15"), offcut_value=Decimal("0.5"),
            contingency=Decimal("0.05"), overhead=Decimal("0.10"), profit="markup", profit_rate=Decimal("0.25"),
            discount=Decimal(0), minimum=Decimal("75.00"), round_to=Decimal("1.00"), round_way="nearest",
        ),
        sale=SaleRules(commission=Decimal("0.50"), shipping_paid_by="list price"),
        insurance=InsuranceRules(rate=Decimal("0.006"), minimum=Decimal(0), as_of=PRICED),
        delivery=replace(built_in.delivery, profile="collect", pallets="pallet 48x40"),
        by_good=dict.fromkeys(BY_AREA, "area"),
        freight=(FreightProfile("collect", "collect", PRICED), *carriers),
    )  # fmt: skip
    # Parts were counted with 4 in of foam all round, as shop files of before have it.
    shop = replace(default_shop(), case=replace(default_shop().case, cushion="fixed"))
    return Office(shop, replace(book, rows=tuple(priced)), rates, destinations=Destinations((place,)))


def cents(value: Decimal) -> Decimal:
    """Round half up, as one does by hand."""
    return value.quantize(CENT, rounding=ROUND_HALF_UP)


def rows(table: str) -> list[list[str]]:
    """Return the cells of a table, without what follows ``#``."""
    lines = (line.partition("#")[0].strip() for line in table.strip().splitlines())
    return [[cell.strip() for cell in line.split("|")] for line in lines if line]


def check_lines(lines: Sequence[Line], *tables: str) -> dict[str, Decimal]:
    """Hold lines against tables of key, quantity, rate, amount; return the sum of each section.

    The keys must be those of the lines, all of them, in their order.
    """
    worked = [row for table in tables for row in rows(table)]
    assert [line.key for line in lines] == [row[0] for row in worked]
    sums: dict[str, Decimal] = {}
    for line, (key, quantity, each, amount, *_) in zip(lines, worked, strict=True):
        assert cents(Decimal(quantity) * Decimal(each)) == Decimal(amount), f"by hand: {key}"
        found = (line.quantity, line.unit_price, line.amount)
        assert found == (Decimal(quantity), Decimal(each), Decimal(amount)), key
        sums[line.section] = sums.get(line.section, Decimal(0)) + Decimal(amount)
    return sums


def check_labour(made: Quote, table: str) -> Decimal:
    """Hold all operations against a table of operation, count, minutes, hours, rate, amount; return their sum."""
    worked = rows(table)
    assert [row.operation for row in made.labour] == [cells[0] for cells in worked]
    for row, (operation, count, minutes, hours, each, amount, *_) in zip(made.labour, worked, strict=True):
        exact = Decimal(count) * Decimal(minutes) / 60
        assert exact.quantize(Decimal("0.0001"), rounding=ROUND_HALF_UP) == Decimal(hours), f"by hand: {operation}"
        assert cents(Decimal(hours) * Decimal(each)) == Decimal(amount), f"by hand: {operation}"
        assert (row.count, row.minutes, row.hours) == (int(count), Decimal(minutes), Decimal(hours)), operation
        assert (row.rate, row.amount) == (Decimal(each), Decimal(amount)), operation
    lines = [line for line in made.lines if line.section == "labour"]
    assert [(line.key, line.quantity, line.amount) for line in lines] == [
        (f"labour:{cells[0]}", Decimal(cells[3]), Decimal(cells[5])) for cells in worked
    ]
    return sum((Decimal(cells[5]) for cells in worked), Decimal(0))


def check_steps(made: Quote, table: str) -> None:
    """Hold the ladder against a table of step, amount and what has come together so far."""
    worked = [(key, Decimal(amount), Decimal(running)) for key, amount, running in rows(table)]
    so_far = Decimal(0)
    for key, amount, running in worked:
        so_far += amount
        assert so_far == running, f"by hand: {key}"
    assert [(step.key, step.amount, step.running) for step in made.steps] == worked
    assert made.total == worked[-1][2]


def check_shares(made: Quote, table: str) -> None:
    """Hold the shares against a table: a column for each piece behind the name of a section or step.

    Its first row names the pieces, its last one is what each bears in all; every column adds up, and so does every row.
    """
    (_, *pieces), *worked, (_, *totals) = rows(table)
    for number, piece in enumerate(pieces):
        columns = {name: Decimal(parts[number]) for name, *parts in worked}
        assert sum(columns.values()) == Decimal(totals[number]), f"by hand: {piece}"
        share = made.share(piece)
        assert (dict(share.columns), share.total) == (columns, Decimal(totals[number])), piece
    assert sum(map(Decimal, totals)) == made.total
    amounts = {step.key: step.amount for step in made.steps}
    for name, *parts in worked:
        if name in amounts:
            assert sum(map(Decimal, parts)) == amounts[name], f"by hand: {name}"


def check_parts(made: Quote, tables: Sequence[str], labour: str, sections: Sequence[str]) -> dict[str, Decimal]:
    """Add up the first piece's part of every row, the last column of each table, section by section."""
    sums: dict[str, Decimal] = dict.fromkeys(sections, Decimal(0))
    for cells in (cells for table in tables for cells in rows(table)):
        sums[cells[0].partition(":")[0]] += Decimal(cells[-1])
    sums["labour"] = sum((Decimal(cells[-1]) for cells in rows(labour)), Decimal(0))
    first = made.shares[0]
    assert {name: first.columns[name] for name in sections} == sums
    return sums
