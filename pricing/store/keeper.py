"""The keeper: checks the store's file and backs it up by the clock, behind the pages."""

import logging
import shutil
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime
from threading import Event, Lock, Thread
from typing import Final

from pricing.store.backups import DAILY, backups_in
from pricing.store.database import Database
from pricing.store.errors import StoreError, UnusableError

EVERY: Final = 3600.0
"""Seconds from one check to the next."""
SOON: Final = 60.0
"""The same while nothing was kept yet: a first hour's work has a backup too."""
_ROOM: Final = 100_000_000
"""Bytes that a backup leaves free on the disk: the desk itself must go on."""
_LOG: Final = logging.getLogger(__name__)


def _now() -> datetime:
    return datetime.now(UTC)


class Keeper:
    """Checks and backs up at once, and then every hour; an empty desk each minute, until something is in it.

    Parameters
    ----------
    database : Database
        What it keeps; once that is damaged or gone, its trouble says so and the keeper leaves off.
    clock : callable
        The moment, in UTC.

    Attributes
    ----------
    checked : datetime or None
        When every page of the file was last found whole.
    trouble : str
        Why there is no backup of the day; empty where there is one, or nothing to back up.
    """

    def __init__(self, database: Database, clock: Callable[[], datetime] = _now) -> None:
        self._database = database
        self._clock = clock
        self.checked: datetime | None = None
        self.trouble = ""
        self._waiting = False
        self._starting = Lock()
        self._ended = Event()
        self._thread: Thread | None = None

    def begin(self, every: float = EVERY) -> None:
        """Begin behind the pages."""
        with self._starting:
            if self._thread is None and not self._ended.is_set():
                self._thread = Thread(target=self._run, args=(every,), name="keeper", daemon=True)
                self._thread.start()

    def _run(self, every: float) -> None:
        while not self._ended.is_set():
            try:
                self.round()
            except UnusableError:
                _LOG.exception("the store cannot be used any more")
                return
            except (StoreError, OSError, sqlite3.Error) as error:
                self.trouble = f"There is no backup of the day: {error}"
            self._ended.wait(min(every, SOON) if self._waiting else every)

    def round(self) -> None:
        """Check the file, and back it up where there is no backup of the day yet.

        Raises
        ------
        StoreError
            When it cannot be used, or not be backed up.
        """
        self._database.check()
        at = self._clock()
        self.checked = at
        held = [each for each in backups_in(self._database.backups) if each.why == DAILY]
        self._waiting = self._empty()
        if self._waiting or any(each.at.date() == at.date() for each in held):
            self.trouble = ""
            return
        wanted = self._database.path.stat().st_size + _ROOM
        left = shutil.disk_usage(self._database.path.parent).free
        if left < wanted:
            self.trouble = (
                f"There is no backup of the day: the disk that holds {self._database.backups} has "
                f"{left // 1_000_000:,} MB left, and {wanted // 1_000_000:,} MB are wanted."
            )
            return
        self._database.back_up(DAILY, at)
        self.trouble = ""

    def _empty(self) -> bool:
        """Whether nothing was ever kept."""
        row = self._database.row("SELECT EXISTS (SELECT 1 FROM jobs) OR EXISTS (SELECT 1 FROM documents)")
        return row is None or not row[0]

    def stop(self) -> None:
        """Leave off, after what is being checked or copied."""
        self._ended.set()
        if self._thread is not None:
            self._thread.join()
