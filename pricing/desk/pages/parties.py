"""The book of parties: who buys, sells and receives, and what was agreed with each."""

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.days import DayOrder
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.common import local
from pricing.desk.pages.fields import PARTY_FORM
from pricing.desk.pages.paper import Rows, rows_with, save_edit, save_paper, step_paper
from pricing.desk.studio import PARTIES, parties_in
from pricing.studio.parties import COLUMNS, Parties, parties_csv, parties_from
from pricing.studio.table_file import csv_text, table_from


def shown(call: Call[Desk]) -> Response:
    """Show the book, with a row to add whoever is asked for."""
    document = call.desk.papers.document(PARTIES)
    return call.page(
        "parties.html", here="parties", document=document, cells=cells(parties_in(document.content)), fields=PARTY_FORM,
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
    what = f"{old or typed[0]} {'taken out' if call.text('remove') else 'added'}"
    return save_paper(call, PARTIES, _written(rows, call.desk.days), what, local(call.text("back"), "/parties"))


def step(call: Call[Desk]) -> Response:
    """Undo or redo."""
    return step_paper(call, PARTIES, "/parties")


ROUTES = (
    Route("/parties", endpoint(shown)),
    Route("/parties", endpoint(change), methods=["POST"]),
    Route("/parties/step", endpoint(step), methods=["POST"]),
)
