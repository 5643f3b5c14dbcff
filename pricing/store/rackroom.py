"""The rack of the store: offcuts on hand, the history of the list, and which job takes them.

Taking is one transaction: none is sold twice.
"""

import sqlite3
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final, Literal

from pricing.store.database import Database
from pricing.store.documents import Conflict, Document, Documents
from pricing.store.errors import StoreError
from pricing.store.rackstate import RackState, Row, differences, state_from
from pricing.store.time import Clock
from pricing.studio.rack import MOST_OFFCUTS, OnShelf, Rack, RackOffcut

PAPER: Final = "rack"
"""Name of the document that holds the list."""
_LONGEST_WORDS: Final = 200


class TakenError(StoreError):
    """An offcut is not there to be taken (any more).

    Attributes
    ----------
    names : tuple of str
        Which; nothing at all was taken.
    """

    def __init__(self, names: Sequence[str]) -> None:
        self.names = tuple(names)
        super().__init__(f"not on the rack any more: {', '.join(names)}; nothing was taken")


@dataclass(frozen=True, slots=True)
class OnRack:
    """An offcut with what became of it.

    Attributes
    ----------
    offcut : RackOffcut
        As it was put there, its whole count.
    free : int
        How many no job has taken.
    taken : tuple of (int, int)
        Job and count.
    from_job : int or None
        The job that left it.
    gone : bool
        Whether a person took it off the list.
    """

    offcut: RackOffcut
    free: int
    taken: tuple[tuple[int, int], ...]
    from_job: int | None
    gone: bool


class RackRoom:
    """Offcuts and opened boxes of a store.

    The list is a document too (:data:`PAPER`), written in the same transaction as its tables: every change of it has a
    revision, which whatever changes it returns, and undo and redo lead to and fro as in any other document. A job's
    takings are no part of that.
    """

    def __init__(self, database: Database, clock: Clock, documents: Documents) -> None:
        self._database = database
        self._clock = clock
        self._documents = documents

    def all(self, *, gone: bool = False) -> list[OnRack]:
        """Return every offcut, the largest first within a good; ``gone`` ones instead where asked for."""
        takings: dict[str, list[tuple[int, int]]] = {}
        for row in self._database.rows("SELECT offcut, job, count FROM takings ORDER BY job"):
            takings.setdefault(row["offcut"], []).append((row["job"], row["count"]))
        query = "SELECT * FROM offcuts WHERE gone = ? ORDER BY good, length DESC, width DESC, name"
        found = []
        for row in self._database.rows(query, (int(gone),)):
            taken = tuple(takings.get(row["name"], ()))
            free = row["count"] - sum(count for _, count in taken)
            found.append(OnRack(_offcut(row), free, taken, row["from_job"], gone))
        return found

    def rack(self, currency: str, job: int | None = None) -> Rack:
        """Return what a job may be cut from: what is free, and what it has taken itself.

        What the job itself left is not among it: those are pieces of the very sheets that it would be cut from again.
        """
        offcuts = []
        for each in self.for_job(job):
            count = each.free + sum(count for taker, count in each.taken if taker == job)
            if count:
                offcuts.append(replace(each.offcut, count=count))
        return Rack(tuple(offcuts), self.shelf(), currency)

    def for_job(self, job: int | None) -> list[OnRack]:
        """Return every offcut on the list but those that a job left itself."""
        return [each for each in self.all() if job is None or each.from_job != job]

    def free_name(self, prefix: str = "R-") -> int:
        """Return a number from which on no offcut bears ``prefix`` and a number."""
        rows = self._database.rows("SELECT name FROM offcuts WHERE substr(name, 1, ?) = ?", (len(prefix), prefix))
        tails = [row["name"][len(prefix) :] for row in rows]
        return max((int(tail) for tail in tails if tail.isascii() and tail.isdigit()), default=0) + 1

    def shelf(self) -> tuple[OnShelf, ...]:
        """Return opened boxes and rolls."""
        rows = self._database.rows("SELECT * FROM shelf ORDER BY good, name")
        return tuple(OnShelf(r["name"], r["good"], r["quantity"], r["width"], r["place"]) for r in rows)

    # The list, and its history.

    def document(self) -> Document:
        """Return the current revision of the list, by which pages tell what they showed."""
        return self._documents.get(PAPER)

    def history(self, most: int = 20) -> list[Document]:
        """Return the latest changes, the newest first."""
        return self._documents.history(PAPER, most)

    def state(self) -> RackState:
        """Return the list as it is."""
        rows = [self._database.rows(f"SELECT * FROM {table} ORDER BY name") for table in ("offcuts", "shelf")]  # noqa: S608 - our own names
        offcuts, shelf = ({row["name"]: dict(row) for row in table} for table in rows)
        return RackState(offcuts, shelf)

    def seen(self, revision: int) -> RackState | None:
        """Return the list as a page showed it; None where that is not kept any more."""
        document = self.document()
        if revision == document.revision:
            return self.state()
        earlier = self._documents.at(PAPER, max(1, revision))  # before the first change all was as at revision 1
        return state_from(earlier.content) if earlier else None

    def put(self, offcuts: Sequence[RackOffcut], from_job: int | None = None) -> Document:
        """Put offcuts on the rack.

        Raises
        ------
        StoreError
            Where a name is in use, or a good has too many kinds of offcuts.
        """
        if not offcuts:
            return self.document()
        what = f"{', '.join(each.name for each in offcuts)} put on the rack"
        if from_job is not None:
            what = (
                f"job {from_job} left {len(offcuts)} kinds of offcut" if len(offcuts) > 1 else f"job {from_job}: {what}"
            )
        with self._database.writing():
            state = before = self.state()
            for each in offcuts:
                if each.name in state.offcuts or each.name in state.shelf:
                    raise StoreError(f"{each.name}: the name is in use, on rack or shelf or among what was taken off")
                state = state.with_offcut(each, from_job)
            return self._write(before, state, what)

    def change(self, name: str, *, based_on: int, **facts: Any) -> Document:
        """Change count, place or value of an offcut; one that is off the list comes back to it.

        Parameters
        ----------
        based_on : int
            The revision of the list that was looked at.
        **facts
            ``count`` (int), ``place`` (str), ``value`` (Decimal); what is not named stays.

        Raises
        ------
        pricing.store.Conflict
            When this offcut was changed since.
        StoreError
            When jobs have taken more.
        """
        with self._database.writing():
            before = self._unless_moved((name,), based_on)
            plain = {key: value if isinstance(value, int) else str(value) for key, value in facts.items()}
            after = before.with_facts(name, gone=0, **plain)
            moves = [f"{d.column} {d.before} → {d.after}" for d in differences(before, after, (name,))]
            return self._write(before, after, f"{name}: {', '.join(moves)}")

    def strike(self, name: str, *, based_on: int, gone: bool = True) -> Document:
        """Take an offcut off the list (it was thrown out, or never there), or put it back; raises as :meth:`change`."""
        with self._database.writing():
            before = self._unless_moved((name,), based_on)
            what = f"{name} taken off the list" if gone else f"{name} back on the list"
            return self._write(before, before.with_facts(name, gone=int(gone)), what)

    def shelve(self, thing: OnShelf, *, based_on: int) -> Document:
        """Put something on the shelf, or another quantity of it; raises as :meth:`change`."""
        with self._database.writing():
            before = self._unless_moved((thing.name,), based_on)
            if thing.name in before.offcuts:
                raise StoreError(f"{thing.name} is the name of an offcut; give it another")
            return self._write(before, before.with_shelved(thing), f"{thing.name} put on the shelf")

    def unshelve(self, name: str, *, based_on: int) -> Document:
        """Take something off the shelf; raises as :meth:`change`."""
        with self._database.writing():
            before = self._unless_moved((name,), based_on)
            return self._write(before, before.without_shelved(name), f"{name} taken off the shelf")

    def become(self, wanted: RackState, names: Collection[str], *, based_on: int, what: str) -> Document:
        """Make the list another, in one change; raises as :meth:`change`, of any of ``names``."""
        with self._database.writing():
            return self._write(self._unless_moved(names, based_on), wanted, what)

    def step(self, way: Literal["undo", "redo"], *, based_on: int) -> Document:
        """Undo or redo the latest change of the list.

        Raises
        ------
        pricing.store.Conflict
            When the list was changed since that revision.
        LookupError
            When nothing is left to undo or redo.
        StoreError
            When jobs have taken since what would go; then nothing is changed.
        """
        with self._database.writing():
            go = self._documents.redo if way == "redo" else self._documents.undo
            made = go(PAPER, based_on=based_on)
            self._fill(self.state(), state_from(made.content))
            return made

    def _unless_moved(self, names: Collection[str], based_on: int) -> RackState:
        """Return the list as it is, or raise :class:`Conflict` where any of the names is not as it was seen."""
        state, seen = self.state(), self.seen(based_on)
        if seen is None or not state.same(seen, names):
            earlier = self._documents.at(PAPER, max(1, based_on))
            raise Conflict(self.document(), earlier)
        return state

    def _write(self, before: RackState, after: RackState, what: str) -> Document:
        """Make the list another and keep it as a revision; the first time, what was there before as one too."""
        _refuse_impossible(before, after)
        revision = self.document().revision
        if not revision:
            revision = self._documents.save(PAPER, before.text(), based_on=0, what="as it was").revision
        self._fill(before, after)
        return self._documents.save(PAPER, self.state().text(), based_on=revision, what=what[:_LONGEST_WORDS])

    def _fill(self, before: RackState, after: RackState) -> None:
        """Write what differs into the tables; never less of an offcut than jobs have taken."""
        taken = {
            row["offcut"]: row["count"]
            for row in self._database.rows("SELECT offcut, sum(count) AS count FROM takings GROUP BY offcut")
        }
        with self._database.writing() as link:
            for name in before.offcuts.keys() | after.offcuts.keys():
                row, wanted = before.offcuts.get(name), after.offcuts.get(name)
                if row == wanted:
                    continue
                there = after.on_hand(name)
                if taken.get(name, 0) > (there["count"] if there else 0):
                    raise StoreError(f"{taken[name]} of {name} taken by jobs; put back there first what is to go here")
                if (
                    row
                    and taken.get(name)
                    and any(row[key] != (wanted or row)[key] for key in ("good", "length", "width"))
                ):
                    raise StoreError(f"{name} is taken by a job, and another offcut cannot stand in for it")
                _replace_row(link, "offcuts", name, wanted)
            for name in before.shelf.keys() | after.shelf.keys():
                if before.shelf.get(name) != after.shelf.get(name):
                    _replace_row(link, "shelf", name, after.shelf.get(name))

    # What jobs take.

    def take(self, job: int, counts: Mapping[str, int]) -> None:
        """Take offcuts for a job, all or none; what it had taken before and is not named goes back.

        Raises
        ------
        TakenError
            When any is not there in that count; then nothing is changed.
        """
        with self._database.writing() as link:
            link.execute("DELETE FROM takings WHERE job = ?", (job,))
            free = {each.offcut.name: each.free for each in self.all()}
            short = [name for name, count in counts.items() if count > free.get(name, 0)]
            if short:
                raise TakenError(short)
            link.executemany(
                "INSERT INTO takings VALUES (?, ?, ?, ?)",
                [(name, job, count, self._clock()) for name, count in counts.items() if count],
            )

    def taken(self, job: int) -> dict[str, int]:
        """Return what a job has taken."""
        rows = self._database.rows("SELECT offcut, count FROM takings WHERE job = ?", (job,))
        return {row["offcut"]: row["count"] for row in rows}


def _refuse_impossible(before: RackState, after: RackState) -> None:
    """Raise where a name would be used twice, or a good have more kinds of offcuts than a plan is searched over."""
    twice = sorted(name for name in after.shelf if after.on_hand(name))
    if twice:
        raise StoreError(f"{', '.join(twice)}: both on the rack and on the shelf; each needs a name of its own")
    one, other = (
        Counter(row["good"] for row in state.offcuts.values() if not row["gone"]) for state in (before, after)
    )
    for good, count in other.items():
        if count > MOST_OFFCUTS and count > one[good]:
            raise StoreError(f"{count} kinds of offcuts of {good}; at most {MOST_OFFCUTS}, small ones may go")


def _replace_row(link: sqlite3.Connection, table: str, name: str, row: Row | None) -> None:
    """Put a row in place of the one of that name; what refers to it stays."""
    if row is None:
        link.execute(f"DELETE FROM {table} WHERE name = ?", (name,))  # noqa: S608 - our own names
        return
    columns = ", ".join(row)
    marks = ", ".join("?" * len(row))
    fresh = ", ".join(f"{column} = excluded.{column}" for column in row if column != "name")
    query = f"INSERT INTO {table} ({columns}) VALUES ({marks}) ON CONFLICT (name) DO UPDATE SET {fresh}"  # noqa: S608 - our own columns
    link.execute(query, list(row.values()))


def _offcut(row: sqlite3.Row) -> RackOffcut:
    return RackOffcut(
        row["name"], row["good"], row["length"], row["width"], Decimal(row["value"]), row["count"], row["place"]
    )
