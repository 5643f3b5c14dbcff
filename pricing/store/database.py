"""The SQLite file: opened so that what was acknowledged survives a kill, migrated after a backup, and watched.

Write-ahead log, ``synchronous=FULL`` (the log reaches the disk before a write is acknowledged), foreign keys on. The
file is checked page by page when it is opened; before and after every write it is looked whether it still is the one
that was opened. Once it is not, or is damaged, nothing is read or written any more: see :attr:`Database.trouble`.
"""

import os
import re
import sqlite3
import stat
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from threading import RLock
from typing import Any, Final
from unicodedata import normalize

from pricing.store.backups import RESCUED, backups_in, copied, free, look, prune
from pricing.store.errors import StoreError, UnusableError, UnwritableError, told, told_of_system
from pricing.store.folder import BACKUPS, FILE, PART, settle, sync
from pricing.store.schema import MIGRATIONS
from pricing.store.shape import check_shape

_WAIT_MS: Final = 5_000
_ACCENTS: Final = re.compile("[\u0300-\u036f]")
LOG: Final = "-wal"
_BESIDE: Final = (LOG, "-shm")
"""What the names of the files that SQLite keeps beside its own end with."""
_LASTING: Final = "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;"
_IN_THE_MAKING: Final = "PRAGMA journal_mode=MEMORY; PRAGMA synchronous=OFF;"
"""What makes a file quickly that nobody misses if it is not finished."""


def plain(text: str) -> str:
    """Return a text as it is searched: without capitals and accents, so that etude finds Étude."""
    return text.lower() if text.isascii() else _ACCENTS.sub("", normalize("NFKD", text.casefold()))


class Database:
    """One connection, used by one thread at a time.

    Parameters
    ----------
    folder : Path
        Where the file lies; made if missing.
    begun : bool, optional
        Whether a file must be there already; by what lies beside it when not given.
    passing : bool
        Whether it is only on its way to another place: no backup is made of it.

    Attributes
    ----------
    committed : callable or None
        Called after every transaction that was written, before whoever wrote it goes on; for tests of what others may
        write in just that moment.
    trouble : str
        Why the file cannot be used any more; empty while it can.

    Raises
    ------
    StoreError
        When the file is no store, is damaged, gone or empty, or was written by a later version of the program; or when
        the system does not let us have it.
    """

    def __init__(
        self, folder: Path, *, migrations: Sequence[str] = MIGRATIONS, begun: bool | None = None, passing: bool = False
    ) -> None:
        self.path = folder / FILE
        self.backups = folder / BACKUPS
        self.committed: Callable[[], None] | None = None
        self.trouble = ""
        self._passing = passing
        self._migrations = migrations
        self._protected = False
        self._lock = RLock()
        self._aside = RLock()  # of the two always taken first
        self._depth = 0
        try:
            folder.mkdir(parents=True, exist_ok=True)
            if not self._there(begun):
                _create(self.path, migrations)
            self._link, self._known = self._opened()
        except sqlite3.Error as error:
            raise self._told(error) from error
        except OSError as error:
            raise told_of_system(error, self.path) or self._told(error) from error
        try:
            self._check(self._link)
            self._migrate(migrations, passing=passing)
        except sqlite3.Error as error:
            self._link.close()
            raise self._told(error) from error
        except BaseException:
            self._link.close()
            raise

    def _there(self, begun: bool | None) -> bool:
        """Whether the file is there; :class:`UnusableError` where one must be, or where it is empty."""
        try:
            facts = self.path.stat()
        except FileNotFoundError:
            if begun is None:
                begun = self.path.with_name(f"{FILE}{LOG}").exists() or bool(backups_in(self.backups))
            if begun:
                raise UnusableError(f"{self.path} is gone, though a desk was begun here.") from None
            return False
        if not stat.S_ISREG(facts.st_mode):
            raise UnusableError(f"{self.path} is no file, but a folder or something else of that name.")
        if not facts.st_size:
            raise UnusableError(f"{self.path} is empty: 0 bytes are left of it.")
        return True

    def _opened(self) -> tuple[sqlite3.Connection, tuple[int, int]]:
        """Open the file; return the connection, and by what the file is known again."""
        _own(self.path, *_BESIDE)
        link = sqlite3.connect(self.path, isolation_level=None, check_same_thread=False, timeout=_WAIT_MS / 1000)
        try:
            link.row_factory = sqlite3.Row
            link.create_function("plain", 1, plain, deterministic=True)
            check_shape(link, self.path, self._migrations)
            link.executescript(_IN_THE_MAKING if self._passing else _LASTING)
            link.execute("PRAGMA foreign_keys=ON")
            _own(self.path, "")
            facts = self.path.stat()
        except BaseException:
            link.close()
            raise
        return link, (facts.st_dev, facts.st_ino)

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

    def _migrate(self, migrations: Sequence[str], *, passing: bool) -> None:
        """Bring the file up to date, one migration after the other, each in one transaction, after a backup."""
        version = self.version
        if 0 < version < len(migrations) and not passing:
            self.back_up(f"before-{version + 1}")
        for number in range(version + 1, len(migrations) + 1):
            _step(self._link, number, migrations[number - 1])

    def _open_again(self) -> None:
        """Open the file anew where it was found write-protected: one opened so stays so though the protection is gone.

        The old connection goes first, since all of a program share what SQLite keeps beside the file.
        """
        if not self._protected or not all(os.access(each, os.W_OK) for each in (self.path, self.path.parent)):
            return
        self._link.close()
        try:
            with self._telling():
                self._link, self._known = self._opened()
        except (StoreError, OSError) as error:
            self.trouble = str(error)
            raise UnusableError(self.trouble) from error
        self._protected = False

    # -- watching

    def _told(self, error: Exception) -> StoreError:
        """Return an error as people are told of it; one that is about the file for good is remembered."""
        found = told(error, self.path) if isinstance(error, sqlite3.Error) else None
        self._protected |= getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_READONLY
        if isinstance(found, UnusableError):
            self.trouble = self.trouble or str(found)
        return found or StoreError(f"{self.path} cannot be used: {error}")

    @contextmanager
    def _telling(self) -> Iterator[None]:
        """Turn what SQLite says of the file into words; what it says of a row goes through as it is."""
        if self.trouble:
            raise UnusableError(self.trouble)
        try:
            yield
        except sqlite3.Error as error:
            if told(error, self.path) is None:
                raise
            raise self._told(error) from error

    def look(self) -> None:
        """See that the file still is the one that was opened; :class:`UnusableError` where it is not."""
        if not self.trouble and self._gone():
            with self._lock:  # it may just be replaced by ourselves
                self.trouble = self._gone()
        if self.trouble:
            raise UnusableError(self.trouble)

    def _gone(self) -> str:
        """Return what happened to the file; empty where nothing did."""
        try:
            facts = self.path.stat()
        except FileNotFoundError:
            return f"{self.path} is gone: it was deleted or moved while the desk was open."
        except OSError as error:
            raise told_of_system(error, self.path) or self._told(error) from error
        if (facts.st_dev, facts.st_ino) != self._known:
            return f"{self.path} is another file: it was replaced while the desk was open."
        return "" if facts.st_size else f"{self.path} was emptied while the desk was open."

    def check(self) -> None:
        """Check every page of the file while others go on; :class:`UnusableError` where it is damaged."""
        self.look()
        with self.aside() as link:
            self._check(link)

    def _check(self, link: sqlite3.Connection) -> None:
        """Run SQLite's quick check (https://sqlite.org/pragma.html#pragma_quick_check)."""
        said = link.execute("PRAGMA quick_check(1)").fetchone()[0]
        if said != "ok":
            said = " ".join(str(said).replace("*** in database main ***", "").split())[:120]
            self.trouble = f"{self.path} is damaged (SQLite's check: {said})."
            raise UnusableError(self.trouble)

    @contextmanager
    def aside(self) -> Iterator[sqlite3.Connection]:
        """Hold a connection that only reads, all of one moment, while pages read and write on."""
        with self._aside, self._telling():
            address = f"{self.path.absolute().as_uri()}?mode=ro"
            with closing(sqlite3.connect(address, uri=True, isolation_level=None, check_same_thread=False)) as link:
                link.row_factory = sqlite3.Row
                link.execute("BEGIN")
                link.execute("SELECT count(*) FROM sqlite_master").fetchone()  # the moment is this one
                yield link

    # -- backups

    def back_up(self, why: str, at: datetime | None = None) -> Path:
        """Copy the whole store into the folder of backups while pages go on; those beyond the rule go."""
        self.look()
        with self.aside() as link, telling_of_system(self.backups):
            made = copied(link, self.backups, why, at or datetime.now(UTC))
        prune(self.backups)
        return made

    def rescue(self) -> Path | None:
        """Make a backup of what can still be read through the open connection, though the file's name is gone.

        Returns
        -------
        Path or None
            None where what came of it is not whole.
        """
        with self._aside, self._lock:
            try:
                made = copied(self._link, self.backups, RESCUED, datetime.now(UTC))
            except (sqlite3.Error, OSError):
                return None
        if look(made, len(MIGRATIONS)).trouble:
            made.unlink(missing_ok=True)
            return None
        return made

    def become(self, file: Path, why: str) -> None:
        """Put another whole store, of this form, in place of this one, which becomes a backup: both or neither.

        A kill leaves the one or the other. Pages wait no longer than it takes to rename a file.
        """
        with self._aside, self._lock, telling_of_system(self.path):
            self.look()
            with self._telling():
                busy = self._link.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
            if busy:
                raise UnwritableError(f"Another program holds {self.path}. Close it, then try again.")
            self.backups.mkdir(exist_ok=True, mode=0o700)
            kept = free(self.backups, why, datetime.now(UTC))
            self._link.close()
            try:
                settle(file)
                try:
                    os.link(self.path, kept)
                except OSError:  # a disk without second names: a copy, then
                    with closing(sqlite3.connect(self.path)) as link:
                        copied(link, self.backups, why, datetime.now(UTC))
                for tail in _BESIDE:
                    self.path.with_name(f"{FILE}{tail}").unlink(missing_ok=True)
                try:
                    file.replace(self.path)
                except OSError:
                    kept.unlink(missing_ok=True)  # it would be the store that stands, and change with it
                    raise
                sync(self.path.parent)
            finally:
                self._link, self._known = self._opened()
        prune(self.backups)

    # -- reading and writing

    def rows(self, query: str, values: Sequence[Any] = ()) -> list[sqlite3.Row]:
        """Read rows."""
        with self._lock, self._telling():
            return self._link.execute(query, values).fetchall()

    def row(self, query: str, values: Sequence[Any] = ()) -> sqlite3.Row | None:
        """Read the first row, or None."""
        with self._lock, self._telling():
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
            self.look()
            self._open_again()
            with self._telling():
                self._link.execute("BEGIN IMMEDIATE")
                self._depth = 1
                try:
                    yield self._link
                    self._link.execute("COMMIT")  # may itself be refused, by a deferred key
                except BaseException:
                    if self._link.in_transaction:  # of some errors SQLite undoes all by itself
                        self._link.execute("ROLLBACK")
                    raise
                finally:
                    self._depth = 0
            self.look()  # what went into a file that is gone was kept nowhere
        if self.committed is not None:
            self.committed()

    def fill(self, table: str, rows: Iterable[Mapping[str, Any]]) -> int:
        """Insert rows into an empty table within :meth:`writing`; return how many.

        Raises
        ------
        StoreError
            For a row that the table does not take, or that has more than it takes: nothing is left out unseen.
        """
        known = dict.fromkeys(column["name"] for column in self._link.execute(f"PRAGMA table_info({table})"))
        count = 0
        for row in rows:
            names = row.keys()
            marks = ", ".join("?" * len(names))
            query = f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks})"  # noqa: S608 - the table's own columns
            count += 1
            if not names or names - known.keys():
                odd = ", ".join(name[:40] for name in sorted(names - known.keys())[:4]) or "none of its columns"
                found = f"{table}, row {count}: found {odd}"
                raise StoreError(f"{found}; accepted: {', '.join(known)}; nothing was changed")
            try:
                self._link.execute(query, [row[name] for name in names])
            except (sqlite3.IntegrityError, sqlite3.ProgrammingError, sqlite3.InterfaceError) as error:
                raise StoreError(f"{table}, row {count}: {error}; nothing was changed") from error
        return count

    @contextmanager
    def unguarded(self) -> Iterator[None]:
        """Hold one transaction in which no trigger fires and keys are checked at its end; for a store in the making."""
        guards = self.rows("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        with self.writing() as link:
            link.execute("PRAGMA defer_foreign_keys=ON")
            for guard in guards:
                link.execute(f"DROP TRIGGER {guard['name']}")
            for table in self.tables:
                link.execute(f"DELETE FROM {table}")  # noqa: S608 - our own names
            yield
            for guard in guards:
                link.execute(guard["sql"])

    def close(self) -> None:
        """Close the file."""
        with self._aside, self._lock:
            self._link.close()


@contextmanager
def telling_of_system(place: Path) -> Iterator[None]:
    """Turn what the system refuses into words."""
    try:
        yield
    except OSError as error:
        found = told_of_system(error, place)
        if found is None:
            raise
        raise found from error


def _own(path: Path, *tails: str) -> None:
    """Let others of this machine read nothing of what is beside a store, and its owner write there what may be written.

    SQLite gives what it keeps beside a file the file's own rights: opened once while write-protected, a store could
    never be written again. What the owner protects stays protected.
    """
    if os.name != "posix":
        return
    for tail in tails:
        with suppress(PermissionError, FileNotFoundError):  # what is not ours stays as it is
            (path.with_name(f"{path.name}{tail}")).chmod(path.stat().st_mode & 0o700)


def _step(link: sqlite3.Connection, number: int, migration: str) -> None:
    """Run one migration in one transaction."""
    try:
        link.executescript(f"BEGIN IMMEDIATE;\n{migration}\nPRAGMA user_version={number};\nCOMMIT;")
    except sqlite3.DatabaseError:
        if link.in_transaction:
            link.rollback()
        raise


def _create(path: Path, migrations: Sequence[str]) -> None:
    """Make a new store beside its place, and put it there whole: a file of 0 bytes is never a desk just begun."""
    part = path.with_name(f".{FILE}.{os.getpid()}{PART}")
    part.unlink(missing_ok=True)
    try:
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        with closing(sqlite3.connect(part, isolation_level=None)) as link:
            link.executescript(_IN_THE_MAKING)
            for number, migration in enumerate(migrations, 1):
                _step(link, number, migration)
        settle(part)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    sync(path.parent)
