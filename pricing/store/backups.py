"""Backups: whole copies of the store's file beside it, which are kept by rule and looked at before they are used.

Kept are, of those made daily, the last of each of the latest 7 days, 4 weeks and 6 months that have one; and the
latest 10 of those made before a risky step, or from an open desk whose file went. A day without the desk counts as
none, so that nothing is lost by a holiday or by a clock that goes wrong. A file of another name than ours is never
removed.
"""

import os
import re
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from pricing.store.folder import PART, sync

DAYS: Final = 7
WEEKS: Final = 4
MONTHS: Final = 6
STEPS: Final = 10
RULE: Final = (
    f"Kept are the last backup of each of the latest {DAYS} days, {WEEKS} weeks and {MONTHS} months that have one, and "
    f"the latest {STEPS} of those made before everything was replaced or the store's form changed."
)
DAILY: Final = "daily"
RESCUED: Final = "rescued"
BEFORE_RESTORING: Final = "before-restoring"
_TOLD: Final = {
    DAILY: "of the day",
    BEFORE_RESTORING: "before everything was replaced",
    RESCUED: "saved from the open desk when its file went",
}
_OURS: Final = re.compile(r"desk-(\d{8}T\d{6})Z-([^.]+)(?:\.\d+)?\.sqlite")
_MOMENT: Final = "%Y%m%dT%H%M%S"


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup in the folder.

    Attributes
    ----------
    path : Path
        Where it lies.
    at : datetime
        When it was made, UTC; of a file that does not say so, when it was last written.
    why : str
        ``"daily"``, or the step before which it was made; empty where its name does not say so.
    size : int
        Bytes.
    written : int
        When the file was last written, in nanoseconds: of two of one second, the later is known by it.
    """

    path: Path
    at: datetime
    why: str
    size: int
    written: int = 0

    @property
    def name(self) -> str:
        """The file's name."""
        return self.path.name

    @property
    def told(self) -> str:
        """Why it was made, for people."""
        if re.fullmatch(r"before-\d+", self.why):
            return "before the store's form changed"
        return _TOLD.get(self.why, "")


@dataclass(frozen=True, slots=True)
class Look:
    """What a backup holds, looked at without changing it.

    Attributes
    ----------
    trouble : str
        Why it cannot be used; empty where it can.
    jobs : int
        How many are in it.
    changed : str
        When any of them was last changed.
    version : int
        Of its form.
    """

    trouble: str = ""
    jobs: int = 0
    changed: str = ""
    version: int = 0


def name_for(why: str, at: datetime) -> str:
    """Return the name of a backup, without its ending."""
    return f"desk-{at.astimezone(UTC):{_MOMENT}}Z-{why}"


def backups_in(place: Path) -> list[Backup]:
    """Return the backups of a folder, the latest first."""
    found = []
    for path in place.glob("*.sqlite"):
        with suppress(OSError):
            facts = path.stat()
            ours = _parsed(path.name)
            at, why = ours or (datetime.fromtimestamp(facts.st_mtime, UTC), "")
            found.append(Backup(path, at, why, facts.st_size, facts.st_mtime_ns))
    return sorted(found, key=_age, reverse=True)


def _age(backup: Backup) -> tuple[datetime, int, str]:
    return backup.at, backup.written, backup.name


def _parsed(name: str) -> tuple[datetime, str] | None:
    """Return when and why a backup was made, as its name says; None where that is none of ours."""
    ours = _OURS.fullmatch(name)
    if ours is None:
        return None
    try:
        return datetime.strptime(ours[1], _MOMENT).replace(tzinfo=UTC), ours[2]
    except ValueError:
        return None


def surplus(backups: Iterable[Backup]) -> list[Backup]:
    """Return those that the rule does not keep."""
    ours = sorted((each for each in backups if each.why), key=_age, reverse=True)
    daily = [each for each in ours if each.why == DAILY]
    spans: tuple[tuple[int, Callable[[datetime], object]], ...] = (
        (DAYS, lambda at: at.date()),
        (WEEKS, lambda at: at.isocalendar()[:2]),
        (MONTHS, lambda at: (at.year, at.month)),
    )
    kept = [each for each in ours if each.why != DAILY][:STEPS]
    for most, span in spans:
        latest: dict[object, Backup] = {}
        for each in daily:
            latest.setdefault(span(each.at), each)
        kept += list(latest.values())[:most]
    return [each for each in ours if each not in kept]


def prune(place: Path) -> None:
    """Remove what the rule does not keep."""
    for each in surplus(backups_in(place)):
        with suppress(OSError):  # it is tried again after the next backup
            each.path.unlink()


def copied(link: sqlite3.Connection, place: Path, why: str, at: datetime) -> Path:
    """Copy the store of a connection into a folder of backups, by SQLite's online backup.

    It has its name only when it is whole, was looked at, and is on the disk.

    Source: https://sqlite.org/backup.html.
    """
    place.mkdir(parents=True, exist_ok=True, mode=0o700)
    part = place / f".{name_for(why, at)}{PART}"
    part.unlink(missing_ok=True)
    try:
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        with closing(sqlite3.connect(part)) as copy:
            link.backup(copy)
        path = free(place, why, at)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    sync(place)
    return path


def free(place: Path, why: str, at: datetime) -> Path:
    """Return a path in the folder of backups that no other has."""
    number, path = 1, place / f"{name_for(why, at)}.sqlite"
    while path.exists():
        number += 1
        path = place / f"{name_for(why, at)}.{number}.sqlite"
    return path


def look(path: Path, known: int, *, thorough: bool = True) -> Look:
    """Look into a backup without writing beside it.

    Parameters
    ----------
    known : int
        The latest form of a store that this program knows.
    thorough : bool
        Whether all of its pages are looked through.
    """
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as link:
            if thorough and link.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
                return Look(trouble="damaged")
            version = int(link.execute("PRAGMA user_version").fetchone()[0])
            if not version:
                return Look(trouble="no store")
            if version > known:
                return Look(trouble="of a later version of this program", version=version)
            count, changed = link.execute("SELECT count(*), max(changed) FROM jobs").fetchone()
            return Look("", int(count), str(changed or ""), version)
    except sqlite3.Error:
        return Look(trouble="damaged")
