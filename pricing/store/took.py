"""What jobs really took: hours by operation, receipts by what they were for, and what finished jobs were reckoned with.

What somebody once typed stays as it was typed; under which heading of a list it counts stands beside it.
"""

import json
import sqlite3
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final, Literal

from pricing.store.database import Database

ActualKind = Literal["hours", "receipt"]
DONE: Final = ("delivered", "invoiced", "paid")
"""Standings from which on nothing more is worked on a job."""


@dataclass(frozen=True, slots=True)
class Noting:
    """Hours worked or a receipt, about to be noted.

    Attributes
    ----------
    kind : {"hours", "receipt"}
        Which.
    on_day : date
        When.
    what : str
        As it was typed: of hours whatever says more than the heading, of a receipt from whom.
    amount : Decimal
        Hours, or what was paid.
    note : str
        For people.
    under : str
        Heading of :mod:`pricing.quoting.noted`.
    stock : str
        What was bought; empty where that is not told.
    bought, left : Decimal or None
        How many of the stock were fetched, and how many of them were left when the job was done; None: not told.
    """

    kind: ActualKind
    on_day: date
    what: str
    amount: Decimal
    note: str = ""
    under: str = "other"
    stock: str = ""
    bought: Decimal | None = None
    left: Decimal | None = None

    @property
    def used(self) -> Decimal | None:
        """What the job used up; None where it is not told how much was left."""
        return None if self.bought is None or self.left is None else self.bought - self.left


@dataclass(frozen=True, slots=True)
class Actual(Noting):
    """Hours worked or a receipt: what a job really took."""

    id: int = 0


@dataclass(frozen=True, slots=True)
class Past:
    """A job of which something is noted.

    Attributes
    ----------
    job : int
        Its number.
    name : str
        For people.
    done : bool
        Whether it was delivered, and not declined since.
    labour, takeoff : list of dict
        Tables of the quote that is pinned, else of the one sent last; nothing where there is neither.
    pins : int
        How many versions of it were pinned, one after the other.
    """

    job: int
    name: str
    done: bool
    labour: list[dict[str, Any]]
    takeoff: list[dict[str, Any]]
    pins: int

    @property
    def is_reckoned(self) -> bool:
        """Whether a quote of it was kept."""
        return bool(self.labour or self.takeoff)


_PINNED: Final = """
SELECT json_extract(result, '$.tables.labour') AS labour, json_extract(result, '$.tables.takeoff') AS goods
FROM pins WHERE job = ? AND NOT gone ORDER BY number DESC LIMIT 1
"""
_SENT: Final = """
SELECT json_extract(result, '$.tables.labour') AS labour, json_extract(result, '$.tables.takeoff') AS goods
FROM quotes WHERE job = ? ORDER BY version DESC LIMIT 1
"""
_PAST: Final = """
SELECT j.id, j.name,
    EXISTS (SELECT 1 FROM standings s WHERE s.job = j.id AND NOT s.gone
            AND s.standing IN (?, ?, ?)) AS done,
    coalesce((SELECT s.standing FROM standings s WHERE s.job = j.id AND NOT s.gone ORDER BY s.id DESC LIMIT 1), '')
        AS standing,
    (SELECT count(*) FROM pins p WHERE p.job = j.id AND NOT p.gone) AS pins
FROM jobs j WHERE EXISTS (SELECT 1 FROM actuals a WHERE a.job = j.id AND NOT a.gone) ORDER BY j.id
"""


class Took:
    """What all jobs took."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, job: int, noting: Noting) -> int:
        """Note hours or a receipt; LookupError where there is no such job."""
        with self._database.writing() as link:
            if link.execute("SELECT 1 FROM jobs WHERE id = ?", (job,)).fetchone() is None:
                raise LookupError(f"no job {job}")
            cursor = link.execute(
                """INSERT INTO actuals (job, kind, on_day, what, amount, note, under, stock, bought, leftover)
                   VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""",
                (job, noting.kind, noting.on_day.isoformat(), noting.what, str(noting.amount), noting.note,
                 noting.under, noting.stock, _text(noting.bought), _text(noting.left)),
            )  # fmt: skip
            return int(cursor.lastrowid or 0)

    def of(self, job: int, *, gone: bool = False) -> list[Actual]:
        """Return hours and receipts, oldest first; those taken out instead where asked for."""
        query = "SELECT * FROM actuals WHERE job = ? AND gone = ? ORDER BY on_day, id"
        return [_actual(row) for row in self._database.rows(query, (job, int(gone)))]

    def put(self, job: int, entry: int, under: str) -> None:
        """Put an entry under another heading; what was typed stays."""
        self._change("UPDATE actuals SET under = ? WHERE id = ? AND job = ?", (under, entry, job))

    def tell(self, job: int, entry: int, stock: str, bought: Decimal | None, left: Decimal | None) -> None:
        """Say how much of a stock a receipt was for, and how much of it was left."""
        query = "UPDATE actuals SET stock = ?, bought = ?, leftover = ? WHERE id = ? AND job = ? AND kind = 'receipt'"
        self._change(query, (stock, _text(bought), _text(left), entry, job))

    def strike(self, job: int, entry: int, *, gone: bool = True) -> None:
        """Take an entry out, or put it back: nothing is ever lost by a slip."""
        self._change("UPDATE actuals SET gone = ? WHERE id = ? AND job = ?", (int(gone), entry, job))

    def _change(self, query: str, values: tuple[object, ...]) -> None:
        with self._database.writing() as link:
            if not link.execute(query, values).rowcount:
                raise LookupError("no such entry")

    def past(self) -> list[Past]:
        """Return every job of which something is noted, put away or not, with the tables that it was reckoned by."""
        found = []
        for row in self._database.rows(_PAST, DONE):
            kept = self._database.row(_PINNED, (row["id"],)) or self._database.row(_SENT, (row["id"],))
            labour, goods = (json.loads(kept[key] or "[]") for key in ("labour", "goods")) if kept else ([], [])
            done = bool(row["done"]) and row["standing"] != "declined"
            found.append(Past(row["id"], row["name"], done, labour, goods, row["pins"]))
        return found


def _text(amount: Decimal | None) -> str:
    return "" if amount is None else str(amount)


def _number(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def _actual(row: sqlite3.Row) -> Actual:
    return Actual(
        id=row["id"],
        kind=row["kind"],
        on_day=date.fromisoformat(row["on_day"]),
        what=row["what"],
        amount=Decimal(row["amount"]),
        note=row["note"],
        under=row["under"],
        stock=row["stock"],
        bought=_number(row["bought"]),
        left=_number(row["leftover"]),
    )
