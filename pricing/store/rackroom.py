"""The rack of the store: offcuts on hand and which job takes them. Taking is one transaction: none is sold twice."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from pricing.rack import OnShelf, Rack, RackOffcut
from pricing.store.database import Database, StoreError
from pricing.store.time import Clock


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
    """Offcuts and opened boxes of a store."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database = database
        self._clock = clock

    def all(self, *, gone: bool = False) -> list[OnRack]:
        """Return every offcut that still has something to it, by good and size; or those that were taken off."""
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
        """Return what a job may be cut from: what is free, and what it has taken itself."""
        offcuts = []
        for each in self.all():
            count = each.free + sum(count for taker, count in each.taken if taker == job)
            if count:
                offcut = each.offcut
                offcuts.append(
                    RackOffcut(offcut.name, offcut.good, offcut.length, offcut.width, offcut.value, count, offcut.place)
                )
        return Rack(tuple(offcuts), self.shelf(), currency)

    def put(self, offcuts: Sequence[RackOffcut], from_job: int | None = None) -> None:
        """Put offcuts on the rack.

        Raises
        ------
        StoreError
            Where a name is in use.
        """
        try:
            with self._database.writing() as link:
                link.executemany(
                    "INSERT INTO offcuts VALUES (?, ?, ?, ?, ?, ?, ?, ?, 0)",
                    [(o.name, o.good, o.length, o.width, str(o.value), o.count, o.place, from_job) for o in offcuts],
                )
        except sqlite3.IntegrityError as error:
            raise StoreError("the rack has an offcut of that name already") from error

    def free_name(self, prefix: str = "R-") -> int:
        """Return a number from which on no offcut bears ``prefix`` and a number."""
        rows = self._database.rows("SELECT name FROM offcuts WHERE substr(name, 1, ?) = ?", (len(prefix), prefix))
        numbers = [int(tail) for row in rows if (tail := row["name"][len(prefix) :]).isdigit()]
        return max(numbers, default=0) + 1

    def change(self, name: str, *, count: int, place: str, value: Decimal) -> None:
        """Change count, place and value of an offcut; never to fewer than are taken."""
        with self._database.writing() as link:
            row = link.execute("SELECT coalesce(sum(count), 0) FROM takings WHERE offcut = ?", (name,)).fetchone()
            if count < max(1, row[0]):
                raise StoreError(f"{row[0]} of {name} are taken by jobs; put them back first")
            query = "UPDATE offcuts SET count = ?, place = ?, value = ? WHERE name = ?"
            if not link.execute(query, (count, place, str(value), name)).rowcount:
                raise LookupError(f"no offcut {name}")

    def strike(self, name: str, *, gone: bool = True) -> None:
        """Take an offcut off the list (it was thrown out, or never there), or put it back."""
        with self._database.writing() as link:
            if gone and link.execute("SELECT 1 FROM takings WHERE offcut = ?", (name,)).fetchone():
                raise StoreError(f"{name} is taken by a job; put it back first")
            if not link.execute("UPDATE offcuts SET gone = ? WHERE name = ?", (int(gone), name)).rowcount:
                raise LookupError(f"no offcut {name}")

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

    def shelf(self) -> tuple[OnShelf, ...]:
        """Return opened boxes and rolls."""
        rows = self._database.rows("SELECT * FROM shelf ORDER BY good, name")
        return tuple(OnShelf(r["name"], r["good"], r["quantity"], r["width"], r["place"]) for r in rows)

    def set_shelf(self, things: Sequence[OnShelf]) -> None:
        """Replace the whole shelf."""
        with self._database.writing() as link:
            link.execute("DELETE FROM shelf")
            link.executemany(
                "INSERT INTO shelf VALUES (?, ?, ?, ?, ?)",
                [(t.name, t.good, t.quantity, t.width, t.place) for t in things],
            )


def _offcut(row: sqlite3.Row) -> RackOffcut:
    return RackOffcut(
        row["name"], row["good"], row["length"], row["width"], Decimal(row["value"]), row["count"], row["place"]
    )
