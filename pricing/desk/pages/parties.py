"""The book of parties: who buys, sells and receives, and what was agreed with each."""

from typing import Final, get_args

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.days import DayOrder
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.common import local
from pricing.desk.pages.paper import Field, Rows, rows_with, save_edit, save_paper, step_paper
from pricing.desk.studio import PARTIES, parties_in
from pricing.studio.consignment_rules import DiscountBy, Side
from pricing.studio.parties import COLUMNS, PAYMENTS, SIDES, Bearer, Parties, parties_csv, parties_from
from pricing.studio.rates import Payer
from pricing.studio.table_file import csv_text, table_from

_CHOICES: Final = {
    column: ("", *words)
    for column, words in {
        **dict.fromkeys(PAYMENTS, get_args(Payer)), "import by": get_args(Bearer), "discount by": get_args(DiscountBy),
        **dict.fromkeys(SIDES, get_args(Side)),
    }.items()
}  # fmt: skip
_MEANT: Final = {
    "commission": "40 %, where it sells", "deposit": "50 %", "rest due": "before it leaves the studio",
    "country": "two letters, such as US", "currency": "EUR", "e-mail": "registrar@example.org",
    "paid within": "30 days after a sale", "unsold back": "2027-03-31, or 90 days",
}  # fmt: skip
"""What a cell may hold, where its name alone does not say it."""
_LONG: Final = ("address", "terms")
"""Columns of several lines."""
_FIELDS: Final = tuple(
    Field(
        column,
        _CHOICES.get(column, ()),
        _MEANT.get(column, ""),
        long=column in _LONG,
        label=f"{column[:1].upper()}{column[1:]}",
    )
    for column in COLUMNS
)


def shown(call: Call[Desk]) -> Response:
    """Show the book, with a row to add whoever is asked for."""
    document = call.desk.papers.document(PARTIES)
    return call.page(
        "parties.html", here="parties", document=document, cells=cells(parties_in(document.content)), fields=_FIELDS,
        added=" ".join(call.text("add", 120).split()), back=call.text("back"),
    )  # fmt: skip


def cells(parties: Parties) -> list[list[str]]:
    """Return the book as text, in the order of its columns; lines of an address and of terms below each other."""
    table = table_from(parties_csv(parties).encode(), "parties.csv")
    rows = [[row.get(column.lower()) for column in COLUMNS] for row in table.rows]
    place = COLUMNS.index("address")
    return [[*row[:place], row[place].replace("; ", "\n"), *row[place + 1 :]] for row in rows]


def _written(rows: list[list[str]], days: DayOrder | None) -> str:
    return parties_csv(parties_from(csv_text(COLUMNS, rows).encode(), "parties.csv", days))


def change(call: Call[Desk]) -> Response:
    """Change cells of a party as they are typed, add a party, or remove one."""
    papers, old = call.desk.papers, call.text("old", 1000)
    if old and not call.text("remove"):
        own = {column: call.text(column, 1000).replace("\r\n", "\n") for column in COLUMNS if column in call.form}
        table = Rows(COLUMNS, lambda text: cells(parties_in(text)), lambda rows: _written(rows, call.desk.days))
        return save_edit(call, PARTIES, table.edit(old, own), local(call.text("back"), "/parties"))
    typed = [call.text(column, 1000) for column in COLUMNS]
    rows = rows_with(cells(papers.parties), old, None if call.text("remove") else typed)
    what = f"{old or typed[0]} {'removed' if call.text('remove') else 'added'}"
    return save_paper(call, PARTIES, _written(rows, call.desk.days), what, local(call.text("back"), "/parties"))


def step(call: Call[Desk]) -> Response:
    """Undo or redo."""
    return step_paper(call, PARTIES, "/parties")


ROUTES = (
    Route("/parties", endpoint(shown)),
    Route("/parties", endpoint(change), methods=["POST"]),
    Route("/parties/step", endpoint(step), methods=["POST"]),
)
