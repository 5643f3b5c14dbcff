"""The book of parties: who buys, sells and receives, and what was agreed with each."""

from typing import Final, get_args

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.paper import rows_with, save_paper, step_paper
from pricing.desk.studio import PARTIES, parties_in
from pricing.studio.parties import COLUMNS, PAYMENTS, Bearer, Parties, parties_csv, parties_from
from pricing.studio.rates import Payer
from pricing.studio.table_file import csv_text, table_from

_CHOICES: Final = {**dict.fromkeys(PAYMENTS, get_args(Payer)), "import by": get_args(Bearer)}
_MEANT: Final = {
    "commission": "40 %, where it sells", "deposit": "50 %", "rest due": "before it leaves the studio",
    "country": "two letters, such as US", "currency": "EUR", "e-mail": "registrar@example.org",
}  # fmt: skip
"""What a cell may hold, where its name alone does not say it."""
_LONG: Final = ("address", "terms")
"""Columns of several lines."""


def shown(call: Call[Desk]) -> Response:
    """Show the book, with a row to add whoever is asked for."""
    document = call.desk.papers.document(PARTIES)
    return call.page(
        "parties.html", here="parties", document=document, cells=cells(parties_in(document.content)), columns=COLUMNS,
        choices=_CHOICES, meant=_MEANT, long=_LONG, added=" ".join(call.text("add", 60).split()),
    )  # fmt: skip


def cells(parties: Parties) -> list[list[str]]:
    """Return the book as text, in the order of its columns; lines of an address and of terms below each other."""
    table = table_from(parties_csv(parties).encode(), "parties.csv")
    rows = [[row.get(column.lower()) for column in COLUMNS] for row in table.rows]
    place = COLUMNS.index("address")
    return [[*row[:place], row[place].replace("; ", "\n"), *row[place + 1 :]] for row in rows]


def change(call: Call[Desk]) -> Response:
    """Change, add or remove a party."""
    papers = call.desk.papers
    old, typed = call.text("old", 60), [call.text(column, 1000) for column in COLUMNS]
    rows = rows_with(cells(papers.parties), old, None if call.text("remove") else typed)
    made = parties_from(csv_text(COLUMNS, rows).encode(), "parties.csv")
    what = f"{old or typed[0]} {'removed' if call.text('remove') else 'kept'}"
    return save_paper(call, PARTIES, parties_csv(made), what, "/parties")


def step(call: Call[Desk]) -> Response:
    """Undo or redo."""
    return step_paper(call, PARTIES, "/parties")


ROUTES = (
    Route("/parties", endpoint(shown)),
    Route("/parties", endpoint(change), methods=["POST"]),
    Route("/parties/step", endpoint(step), methods=["POST"]),
)
