"""Orders priced by hand: tables that a person worked out, held against a quote line by line, to the cent.

A table is text: a row a line, its columns parted by ``|``; what follows ``#`` is how the sum was found. Every amount in
it is typed. So that no slip of the pen stands there, each row is multiplied out once more with plain Decimal numbers;
nothing of what prices orders is used for that.
"""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from nesting.intake import order_from_rows
from nesting.order import Order
from pricing.quoting.lines import Line
from pricing.quoting.quote import Quote

CENT: Final = Decimal("0.01")
HEADINGS: Final = (
    "piece", "title", "width", "height", "depth", "weight", "method", "price", "destination", "surface", "support",
    "back",
)  # fmt: skip
BACKED: Final = ("resin", "birch panel", "solid")
"""Surface, support and back of every work in these orders."""


def order(*rows: Sequence[str]) -> Order:
    """Return an order of works on solid panels: piece to destination of each row."""
    return order_from_rows([HEADINGS, *((*row, *BACKED) for row in rows)])


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
