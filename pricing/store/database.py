"""The SQLite file: opened so that what was acknowledged survives a kill, migrated with a backup before each step.

Write-ahead log, ``synchronous=FULL`` (the log reaches the disk before a write is acknowledged), foreign keys on.
"""

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from threading import RLock
from typing import Any, Final

from pricing.store.schema import MIGRATIONS

FILE: Final = "desk.sqlite"
BACKUPS: Final = "backups"
_WAIT_MS: Final = 10_000


class StoreError(Exception):
    """The store cannot be opened, or refuses a change; the message is for people."""


class Database:
    """One connection, used by one thread at a time.

    Parameters
    ----------
    folder : Path
        Where the file lies; made if missing.

    Attributes
    ----------
    committed : callable or None
        Called after every transaction that was written, before whoever wrote it goes on; for tests of what others may
        write in just that moment.

    Raises
    ------
    StoreError
        When the file is no store, or was written by a later version of the program.
    """

    def __init__(self, folder: Path, *, migrations: Sequence[str] = MIGRATIONS) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.path = folder / FILE
        self.backups = folder / BACKUPS
        self.committed: Callable[[], None] | None = None
        self._lock = RLock()
        self._depth = 0
        self._link = sqlite3.connect(self.path, isolation_level=None, check_same_thread=False, timeout=_WAIT_MS / 1000)
        self._link.row_factory = sqlite3.Row
        try:
            self._link.execute("PRAGMA journal_mode=WAL")
            self._link.execute("PRAGMA synchronous=FULL")
            self._link.execute("PRAGMA foreign_keys=ON")
            self._migrate(migrations)
        except sqlite3.DatabaseError as error:
            self._link.close()
            raise StoreError(f"{self.path} cannot be used: {error}") from error
        except StoreError:
            self._link.close()
            raise

    @property
    def version(self) -> int:
        """How many migrations the file has been through."""
        return int(self._link.execute("PRAGMA user_version").fetchone()[0])

    @property
    def tables(self) -> tuple[str, ...]:
        """Every table of the file, as its version has them."""
        rows = self.rows(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%' ORDER BY name"
        )
        return tuple(row["name"] for row in rows)

    def _migrate(self, migrations: Sequence[str]) -> None:
        """Bring the file up to date, one migration after the other, each in one transaction after a backup."""
        if self.version > len(migrations):
            raise StoreError(
                f"{self.path} was written by a later version of this program (its version is {self.version}, "
                f"known are {len(migrations)}); update the program"
            )
        fresh = not self.version
        for number in range(self.version + 1, len(migrations) + 1):
            if not fresh:
                self.back_up(f"before-{number}")
            script = f"BEGIN IMMEDIATE;\n{migrations[number - 1]}\nPRAGMA user_version={number};\nCOMMIT;"
            try:
                self._link.executescript(script)
            except sqlite3.DatabaseError:
                if self._link.in_transaction:
                    self._link.rollback()
                raise

    def back_up(self, label: str) -> Path:
        """Copy the whole store into the folder of backups; an earlier copy of the same label is kept beside it."""
        self.backups.mkdir(exist_ok=True)
        path = self.backups / f"desk-{label}.sqlite"
        number = 1
        while path.exists():
            number += 1
            path = self.backups / f"desk-{label}-{number}.sqlite"
        with self._lock, closing(sqlite3.connect(path)) as copy:
            self._link.backup(copy)
        return path

    def rows(self, query: str, values: Sequence[Any] = ()) -> list[sqlite3.Row]:
        """Read rows."""
        with self._lock:
            return self._link.execute(query, values).fetchall()

    def each(self, query: str, values: Sequence[Any] = ()) -> Iterator[sqlite3.Row]:
        """Read rows one after the other: photos and papers of years need not fit into memory at once.

        Nobody else may write meanwhile: read within :meth:`writing`, or from a store of one's own.
        """
        return iter(self._link.execute(query, values))

    def row(self, query: str, values: Sequence[Any] = ()) -> sqlite3.Row | None:
        """Read the first row, or None."""
        with self._lock:
            found: sqlite3.Row | None = self._link.execute(query, values).fetchone()
            return found

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Hold one transaction; it is on the disk when the block ends, or undone if the block raises.

        A block inside another joins it.
        """
        with self._lock:
            if self._depth:
                yield self._link
                return
            self._link.execute("BEGIN IMMEDIATE")
            self._depth = 1
            try:
                yield self._link
                self._link.execute("COMMIT")  # may itself be refused, by a deferred key
            except BaseException:
                self._link.execute("ROLLBACK")
                raise
            finally:
                self._depth = 0
        if self.committed is not None:
            self.committed()

    def refill(self, tables: Mapping[str, Iterable[Mapping[str, Any]]]) -> None:
        """Put other rows in place of all, in one transaction; :class:`StoreError` where they do not hold together."""
        guards = self.rows("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        try:
            with self.writing() as link:
                link.execute("PRAGMA defer_foreign_keys=ON")
                for guard in guards:
                    link.execute(f"DROP TRIGGER {guard['name']}")
                for table in self.tables:
                    link.execute(f"DELETE FROM {table}")  # noqa: S608 - our own names
                for table in self.tables:
                    self._fill(link, table, tables.get(table, ()))
                for guard in guards:
                    link.execute(guard["sql"])
        except (sqlite3.DatabaseError, KeyError, TypeError) as error:
            raise StoreError(f"the tables do not hold together: {error}; nothing was changed") from error

    def _fill(self, link: sqlite3.Connection, table: str, rows: Iterable[Mapping[str, Any]]) -> None:
        """Insert rows into an empty table."""
        known = [column["name"] for column in link.execute(f"PRAGMA table_info({table})")]
        for row in rows:
            names = [name for name in row if name in known]
            marks = ", ".join("?" * len(names))
            query = f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks})"  # noqa: S608 - the table's own columns
            link.execute(query, [row[name] for name in names])

    def close(self) -> None:
        """Close the file."""
        with self._lock:
            self._link.close()
