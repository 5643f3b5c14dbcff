"""The row of one order in the table of all: what came of it, and nothing of how long it took."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any, Final, Literal

from nesting.base.measure import LB_KG
from nesting.cutting.sheets import Layout
from pricing.money import from_cents, half_up
from pricing.quoting.plans import plans_of
from pricing.quoting.quote import Quote

OutcomeWord = Literal["worked", "held", "faulty", "failed"]
_TENTH: Final = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class Row:
    """One order.

    Attributes
    ----------
    order : str
        Its name: of its file, or in the column of the long table.
    outcome : {"worked", "held", "faulty", "failed"}
        Worked; worked, and a crate of it is held or a piece packed by nothing; not worked, since something in it is
        wrong; not worked, since the program or the machine failed.
    source : str
        The file, with the rows of a long table.
    pieces, packages, sheets, sticks : int or None
        How many; packages, sheets and sticks of what is not held.
    gross_kg, gross_lb : Decimal or None
        All that travels.
    total, currency
        What the client pays, tax included, without what stands under `without`.
    direct_cost, freight : Decimal or None
        What all starts from, and what freight adds.
    proven : str
        ``yes`` where every plan is the cheapest cuts of its parts, proven; else ``no``.
    above_least : Decimal or None
        What goods cost at most above the cheapest cuts.
    without : str
        What stands beside the total: what is held or incomplete.
    held : str
        Held crates and pieces that nothing packs, in a sentence.
    lacks : str
        The grave things that the total lacks.
    faults : str
        All that is wrong, or why it failed.
    remarks : str
        What was read with a doubt.
    folder : str
        Where its files are, below the folder of the batch.
    """

    order: str
    outcome: OutcomeWord
    source: str
    pieces: int | None = None
    packages: int | None = None
    sheets: int | None = None
    sticks: int | None = None
    gross_kg: Decimal | None = None
    gross_lb: Decimal | None = None
    total: Decimal | None = None
    currency: str = ""
    direct_cost: Decimal | None = None
    freight: Decimal | None = None
    proven: str = ""
    above_least: Decimal | None = None
    without: str = ""
    held: str = ""
    lacks: str = ""
    faults: str = ""
    remarks: str = ""
    folder: str = ""


NAMES: Final = tuple(each.name for each in fields(Row))
COUNTS: Final = ("pieces", "packages", "sheets", "sticks")
AMOUNTS: Final = ("total", "direct_cost", "freight", "above_least")
WEIGHTS: Final = ("gross_kg", "gross_lb")
"""Columns that are whole numbers, money and weights to a tenth; all others are text."""


def row_of(quote: Quote, order: str, source: str) -> Row:
    """Return the row of a quote."""
    build = quote.build
    steps = {step.key: step for step in quote.steps}
    plans = plans_of(build).values()
    above = sum(
        (each.cost - (each.over if isinstance(each, Layout) else 0) - each.bound for each in plans if not each.proven),
        start=0,
    )
    kg = Decimal(str(build.gross_kg))
    return Row(
        order,
        "held" if build.is_lacking else "worked",
        source,
        pieces=len(build.order.copies()),
        packages=len(build.travelling),
        sheets=build.sheet_count,
        sticks=sum(stick.repeat for plan in build.stick_plans for stick in plan.sticks),
        gross_kg=half_up(kg, _TENTH),
        gross_lb=half_up(kg / LB_KG, _TENTH),
        total=quote.total,
        currency=quote.currency,
        direct_cost=steps["direct"].running,
        freight=steps["freight"].amount,
        proven="yes" if all(each.proven for each in plans) else "no",
        above_least=from_cents(above),
        without=quote.without,
        held=build.lacking_line,
        lacks=" / ".join(lack.line for lack in quote.lacks if lack.grave),
        remarks=" / ".join(build.order.warnings),
    )


def plain_of(row: Row) -> dict[str, Any]:
    """Return a row as values that JSON has; amounts and weights as text."""
    cells = {name: getattr(row, name) for name in NAMES}
    return {name: f"{cell:f}" if isinstance(cell, Decimal) else cell for name, cell in cells.items()}


def row_from(plain: Mapping[str, Any]) -> Row:
    """Return the row that :func:`plain_of` wrote.

    Raises
    ------
    ValueError, TypeError
        Where it wrote no such thing.
    """
    decimals = {*AMOUNTS, *WEIGHTS}
    cells: dict[str, Any] = {
        name: Decimal(cell) if name in decimals and cell is not None else cell for name, cell in plain.items()
    }
    return Row(**cells)
