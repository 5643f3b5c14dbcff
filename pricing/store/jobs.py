"""Jobs: the list of them, where each stands with its client, and what was fetched for it."""

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Final, Literal, get_args

from pricing.store.database import Database, plain
from pricing.store.documents import Conflict, Document, Documents
from pricing.store.errors import StoreError
from pricing.store.time import Clock

Standing = Literal["draft", "sent", "accepted", "deposit", "cut", "delivered", "invoiced", "paid", "declined"]
STANDINGS: Final[tuple[Standing, ...]] = get_args(Standing)
WAYS: Final = ("", "open", "late", *STANDINGS)
"""Which jobs are listed: all; those that have yet to leave the studio; those of them due before today; by standing."""
OUT: Final[tuple[Standing, ...]] = ("delivered", "invoiced", "paid", "declined")
"""Standings from which on nothing has to leave the studio any more."""
MOST: Final = 200
"""As many jobs are listed at once."""
PINNING: Final[tuple[Standing, ...]] = ("accepted", "deposit", "cut", "delivered", "invoiced", "paid")
"""Standings from which on a job is pinned."""


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job as the list shows it.

    Attributes
    ----------
    id : int
        Its number, never used twice.
    name, client : str
        For people.
    archived : bool
        Whether it is put away.
    created, changed : str
        Moments.
    pieces : int
        How many, as of the last price.
    total : str
        The last price as it is shown, such as ``"USD 1,234.00"``; empty where there is none yet.
    standing : str
        Where it stands.
    versions : int
        How many quotes were sent.
    held : str
        Which crates the total is without, and why; empty where none is held.
    due : date or None
        The day by which the first of it must leave the studio; None where no day is known.
    """

    id: int
    name: str
    client: str
    archived: bool
    created: str
    changed: str
    pieces: int
    total: str
    standing: Standing
    versions: int
    held: str = ""
    due: date | None = None

    @property
    def changed_on(self) -> date:
        """The day on which a person changed it last."""
        return date.fromisoformat(self.changed[:10])

    def late_by(self, today: date) -> int:
        """Return how many days ago it should have left the studio; 0 where it left, or has no such day."""
        return max(0, (today - self.due).days) if self.due and self.standing not in OUT else 0


@dataclass(frozen=True, slots=True)
class StandingEvent:
    """One step of a job's way: what happened, on which day, with which amount."""

    id: int
    standing: Standing
    on_day: date
    amount: Decimal | None
    note: str


_LIST: Final = """
SELECT j.*, (SELECT count(*) FROM quotes q WHERE q.job = j.id) AS versions,
    coalesce((SELECT s.standing FROM standings s WHERE s.job = j.id AND NOT s.gone ORDER BY s.id DESC LIMIT 1),
             'draft') AS standing
FROM jobs j
"""


class Jobs:
    """All jobs of a store."""

    def __init__(self, database: Database, clock: Clock, documents: Documents) -> None:
        self._database = database
        self._clock = clock
        self._documents = documents

    def add(self, name: str, client: str = "") -> int:
        """Begin a job; return its number."""
        with self._database.writing() as link:
            at = self._clock()
            cursor = link.execute(
                "INSERT INTO jobs (name, client, created, changed) VALUES (?, ?, ?, ?)", (name, client, at, at)
            )
            return int(cursor.lastrowid or 0)

    def get(self, job: int) -> JobRow:
        """Return a job; LookupError where there is none of that number."""
        row = self._database.row(f"{_LIST} WHERE j.id = ?", (job,))
        if row is None:
            raise LookupError(f"no job {job}")
        return _job(row)

    # arguments: three of them say which jobs, one in which order
    def find(
        self, words: str = "", *, archived: bool = False, way: str = "", today: date = date.min,
        by_due: bool = False, most: int = MOST,
    ) -> list[JobRow]:  # fmt: skip
        """Return the jobs that hold every word, those changed last first.

        Words are looked for in name, client and every cell of the table of artworks, without capitals and accents.

        Parameters
        ----------
        archived : bool
            Whether those that are put away are meant.
        way : str
            One of :data:`WAYS`.
        today : date
            For those that are late.
        by_due : bool
            Whether those that are due first come first, and those without a day last.
        most : int
            How many at the most.
        """
        if way not in WAYS:
            raise StoreError(f"{way} is no way to list jobs; there are {', '.join(WAYS[1:])}")
        tests = ["archived = ?"]
        found: list[object] = [int(archived)]
        for word in words.split()[:10]:
            tests.append("plain(name || ' ' || client || ' ' || words) LIKE ? ESCAPE '\\'")
            escaped = plain(word).replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
            found.append(f"%{escaped}%")
        if way in ("open", "late"):
            tests.append(f"standing NOT IN ({', '.join('?' * len(OUT))})")
            found += OUT
        elif way:
            tests.append("standing = ?")
            found.append(way)
        if way == "late":
            tests.append("due <> '' AND due < ?")
            found.append(today.isoformat())
        order = "due = '', due, " if by_due else ""
        query = f"SELECT * FROM ({_LIST}) WHERE {' AND '.join(tests)} ORDER BY {order}changed DESC, id DESC LIMIT ?"  # noqa: S608 - tests of ours, values bound
        return [_job(row) for row in self._database.rows(query, (*found, most))]

    def count(self, *, archived: bool = False) -> int:
        """Return how many there are."""
        row = self._database.row("SELECT count(*) FROM jobs WHERE archived = ?", (int(archived),))
        return int(row[0]) if row else 0

    def names(self, job: int) -> Document:
        """Return the current revision of a job's name and client; revision 0 while they are as the job began."""
        return self._documents.get(f"name:{job}")

    def rename(self, job: int, name: str, client: str, *, based_on: int) -> Document:
        """Change the names; return the revision that was written, or the current one where nothing changes.

        Raises
        ------
        pricing.store.Conflict
            When somebody else changed them since revision ``based_on`` of :meth:`names`.
        """
        with self._database.writing():
            row, now, paper = self.get(job), self.names(job), self.names(job).name
            if (row.name, row.client) == (name, client) and based_on == now.revision:
                return now
            if not based_on and now.revision:
                raise Conflict(now, self._documents.at(paper, 1))
            if not based_on:
                first = self._documents.save(paper, _names(row.name, row.client), based_on=0, what=row.name)
                based_on = first.revision
            what = [f"name {name}"] if name != row.name else []
            what += [f"client {client or 'none'}"] if client != row.client else []
            made = self._documents.save(paper, _names(name, client), based_on=based_on, what=", ".join(what) or name)
            self._call(job, name, client)
            return made

    def step_name(self, job: int, way: Literal["undo", "redo"], *, based_on: int) -> Document:
        """Undo or redo a change of the names; raises as :meth:`rename`, and LookupError where there is none."""
        with self._database.writing():
            go = self._documents.redo if way == "redo" else self._documents.undo
            made = go(f"name:{job}", based_on=based_on)
            row = named(self.get(job), made)
            self._call(job, row.name, row.client)
            return made

    def _call(self, job: int, name: str, client: str) -> None:
        self._change(
            "UPDATE jobs SET name = ?, client = ?, changed = ? WHERE id = ?", (name, client, self._clock(), job)
        )

    # arguments: what the list shows, and what it is searched by
    def note(self, job: int, *, pieces: int, total: str, words: str, held: str = "", due: date | None = None) -> None:
        """Note what the list shows and what it is searched by; does not count as a change by a person."""
        self._change(
            "UPDATE jobs SET pieces = ?, total = ?, words = ?, held = ?, due = ? WHERE id = ?",
            (pieces, total, words[:20_000], held[:2_000], due.isoformat() if due else "", job),
        )

    def touch(self, job: int) -> None:
        """Note that a person changed it now."""
        self._change("UPDATE jobs SET changed = ? WHERE id = ?", (self._clock(), job))

    def archive(self, job: int, *, away: bool = True) -> None:
        """Put a job away, or back on the list."""
        self._change("UPDATE jobs SET archived = ? WHERE id = ?", (int(away), job))

    def _change(self, query: str, values: Sequence[object]) -> None:
        with self._database.writing() as link:
            if not link.execute(query, values).rowcount:
                raise LookupError("no such job")

    # Where it stands.

    def stand(self, job: int, standing: Standing, on_day: date, amount: Decimal | None = None, note: str = "") -> int:
        """Note a step of the job's way."""
        if standing not in STANDINGS:
            raise StoreError(f"{standing} is no standing; there are {', '.join(STANDINGS)}")
        with self._database.writing() as link:
            self.get(job)
            cursor = link.execute(
                "INSERT INTO standings (job, standing, on_day, amount, note) VALUES (?, ?, ?, ?, ?)",
                (job, standing, on_day.isoformat(), "" if amount is None else str(amount), note),
            )
            self.touch(job)
            return int(cursor.lastrowid or 0)

    def standings(self, job: int, *, gone: bool = False) -> list[StandingEvent]:
        """Return the steps, oldest first; those taken out instead where asked for."""
        query = "SELECT * FROM standings WHERE job = ? AND gone = ? ORDER BY id"
        return [
            StandingEvent(
                r["id"], r["standing"], date.fromisoformat(r["on_day"]),
                Decimal(r["amount"]) if r["amount"] else None, r["note"],
            )
            for r in self._database.rows(query, (job, int(gone)))
        ]  # fmt: skip

    def strike(self, job: int, step: int, *, gone: bool = True) -> None:
        """Take a step out, or put it back: nothing is ever lost by a slip."""
        self._change("UPDATE standings SET gone = ? WHERE id = ? AND job = ?", (int(gone), step, job))

    # What was fetched at the yard.

    def fetched(self, job: int) -> dict[str, Decimal]:
        """Return how many of each stock are fetched, as the buying list has it."""
        rows = self._database.rows("SELECT stock, count FROM fetched WHERE job = ?", (job,))
        return {row["stock"]: Decimal(row["count"]) for row in rows}

    def fetch(self, job: int, stock: str, count: Decimal) -> None:
        """Note how many of a stock are fetched; none takes it off.

        Of a count that rises, the one before it is kept for :meth:`unfetch`.
        """
        with self._database.writing() as link:
            self.get(job)
            before, part = self._fetched(job, stock)
            if count != before:
                part = before if 0 < before < count else None
            self._note_fetched(link, job, stock, count, part)

    def unfetch(self, job: int, stock: str, whole: Decimal) -> None:
        """Take back that the whole of a line was fetched: what was fetched before it was ticked off is there again.

        Nothing changes where less than the whole is fetched, as after another tab took it back already.
        """
        with self._database.writing() as link:
            before, part = self._fetched(job, stock)
            if before >= whole:
                self._note_fetched(link, job, stock, part or Decimal(0), None)

    def _fetched(self, job: int, stock: str) -> tuple[Decimal, Decimal | None]:
        """Return how many of a stock are fetched, and how many were before that."""
        row = self._database.row("SELECT count, part FROM fetched WHERE job = ? AND stock = ?", (job, stock))
        if row is None:
            return Decimal(0), None
        return Decimal(row["count"]), Decimal(row["part"]) if row["part"] else None

    @staticmethod
    def _note_fetched(link: sqlite3.Connection, job: int, stock: str, count: Decimal, part: Decimal | None) -> None:
        link.execute("DELETE FROM fetched WHERE job = ? AND stock = ?", (job, stock))
        if count:
            link.execute(
                "INSERT INTO fetched (job, stock, count, part) VALUES (?, ?, ?, ?)",
                (job, stock, str(count), "" if part is None else str(part)),
            )

    # Pictures.

    def picture(self, number: int) -> bytes | None:
        """Return a picture."""
        row = self._database.row("SELECT jpeg FROM pictures WHERE id = ?", (number,))
        return bytes(row["jpeg"]) if row else None

    def keep_picture(self, jpeg: bytes) -> int:
        """Keep a picture for good and return its number; which piece it shows stands in the job's document."""
        with self._database.writing() as link:
            return int(link.execute("INSERT INTO pictures (jpeg) VALUES (?)", (jpeg,)).lastrowid or 0)


def _names(name: str, client: str) -> str:
    return json.dumps({"name": name, "client": client}, ensure_ascii=False)


def named(row: JobRow, document: Document) -> JobRow:
    """Return a job with name and client as a revision of :meth:`Jobs.names` has them, where one was saved."""
    if not document.content:
        return row
    made = json.loads(document.content)
    return replace(row, name=made["name"], client=made["client"])


def _job(row: sqlite3.Row) -> JobRow:
    return JobRow(
        id=row["id"],
        name=row["name"],
        client=row["client"],
        archived=bool(row["archived"]),
        created=row["created"],
        changed=row["changed"],
        pieces=row["pieces"],
        total=row["total"],
        standing=row["standing"],
        versions=row["versions"],
        held=row["held"],
        due=date.fromisoformat(row["due"]) if row["due"] else None,
    )
