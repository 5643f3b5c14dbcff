"""Everything back: from an archive of plain files, or from a backup; beside a store that goes on, or in place of none.

A new store is made and checked beside the one that stands, and put in its place by one rename when all of it holds
together. What stood before becomes a backup.
"""

import base64
import hashlib
import json
import shutil
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from math import isfinite
from os import SEEK_END
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, BinaryIO, Final, TypeAlias

from pricing.store.backups import BEFORE_RESTORING, Backup, backups_in, look
from pricing.store.database import Database, telling_of_system
from pricing.store.errors import StoreError
from pricing.store.export import ABOUT, FORMAT, FORMER_FORMAT, MANIFEST
from pricing.store.folder import ASIDE, BACKUPS, FILE, DataFolder, passing, settle, sync
from pricing.store.schema import MIGRATIONS

Sound: TypeAlias = Callable[[Path], Iterable[str]]
"""Takes the folder of a store and returns what does not hold in it, for people; nothing where all does."""
MOST_UNPACKED: Final = 4_000_000_000
MOST_SQUEEZED: Final = 200
"""Times its packed size that a large file of an archive may unpack to. What we write stays below a third of that even
where a small document was saved thousands of times; what is made to keep a machine busy is packed 1,000 times."""
_LITTLE: Final = 32_000_000
"""Bytes that a file may unpack to however it is packed: a tenth of a second."""
MOST_FILES: Final = 200_000
MOST_LINE: Final = 64_000_000
MOST_DOCUMENT: Final = 16_000_000
MOST_PICTURE: Final = 20_000_000
_MOST_HEAD: Final = 64_000_000
"""Bytes at the most: all unpacked, one row, one document that people edit, one picture; of the manifest too."""
_DOCUMENTS: Final = "tables/revisions.jsonl"
_MOST_TOLD: Final = 12
_BITS: Final = 63
_NOTHING: Final = "nothing was changed"
_NO_MANIFEST: Final = (
    "This archive is of an earlier version and has no manifest: its files could not be held against their digests. "
    "All tables were there, and hold together."
)
_DAMAGED: Final = (
    zipfile.BadZipFile, zlib.error, KeyError, ValueError, AttributeError, TypeError, EOFError, RuntimeError,
    NotImplementedError, ArithmeticError,
)  # fmt: skip
"""What reading an archive raises that is none of ours, is cut off, locked, or packed in a way that we do not know."""
_PROSE: Final = {
    "quotes": ("job, version", ("content", "office", "plans", "result")),
    "pins": ("job, number", ("result",)),
    "answers": ("job, kind", ("content",)),
    "plans": ("key", ("content",)),
}
"""Columns that hold JSON, by table, and what a row of it is known by."""


@dataclass(frozen=True)
class _Archive:
    """An archive that is being read.

    Attributes
    ----------
    packed : ZipFile
    version : int
        Of the store that it was made of.
    digests : mapping of str to str, or None
        SHA-256 of each file; None where there is no manifest.
    counts : mapping of str to int
        Rows of each table, as the manifest has them.
    """

    packed: zipfile.ZipFile
    version: int
    digests: Mapping[str, str] | None
    counts: Mapping[str, int]

    def read(self, name: str, most: int) -> bytes:
        """Return a file whole."""
        size = self.packed.getinfo(name).file_size
        if size > most:
            raise StoreError(f"{name}: found {size:,} bytes; accepted: at most {most:,}; {_NOTHING}")
        return self.packed.read(name)

    def lines(self, name: str) -> Iterator[bytes]:
        """Yield the lines of a file. One ends where we ended it, and not at another line end in a person's text."""
        with self.packed.open(name) as opened:
            number = 0
            while line := opened.readline(MOST_LINE + 1):
                number += 1
                if len(line) > MOST_LINE:
                    raise StoreError(
                        f"{name}, line {number}: found more than {MOST_LINE:,} bytes; accepted: no more; {_NOTHING}"
                    )
                yield line


def restore(database: Database, archive: BinaryIO, sound: Sound = lambda _: ()) -> tuple[str, ...]:
    """Put an archive's content in place of everything, which becomes a backup; all or nothing.

    An archive of an earlier version is brought up to date as a store of that version is.

    Parameters
    ----------
    archive : file
        Read as it is needed, never whole.
    sound : callable
        Decodes the documents, of which the store itself knows only the text.

    Returns
    -------
    tuple of str
        What a person should know of it.

    Raises
    ------
    StoreError
        When it is no archive of ours, of a later version, is not as its manifest says, or does not hold together.
    """
    with telling_of_system(database.path), _on_the_way(database.path.parent) as place:
        try:
            with zipfile.ZipFile(archive) as packed:
                found = _opened(packed, archive.seek(0, SEEK_END))
                _unpack(found, place)
        except _DAMAGED as error:
            raise StoreError(f"this is no archive of the desk, or a damaged one; {_NOTHING}") from error
        _check(place, sound)
        database.become(place / FILE, BEFORE_RESTORING)
    return () if found.digests is not None else (_NO_MANIFEST,)


def _opened(packed: zipfile.ZipFile, size: int) -> _Archive:
    """Look at an archive from outside: whose it is, how large, and whether all is there as its manifest says."""
    within = packed.infolist()
    if len(within) > MOST_FILES or len({each.filename for each in within}) != len(within):
        raise StoreError(f"the archive holds more than {MOST_FILES:,} files, or one twice; {_NOTHING}")
    if sum(each.file_size for each in within) > MOST_UNPACKED:
        raise StoreError(f"the archive unpacks to more than {MOST_UNPACKED // 1_000_000_000} GB; {_NOTHING}")
    # By the sizes that it lists, before anything is unpacked; Python's zipfile never unpacks more of a file than that.
    if sum(each.compress_size for each in within) > size:
        raise StoreError(f"the archive lists more than the {size:,} bytes that it has; {_NOTHING}")
    for each in within:
        if each.file_size > max(_LITTLE, MOST_SQUEEZED * each.compress_size):
            raise StoreError(
                f"{each.filename}: found {each.compress_size:,} bytes that unpack to {each.file_size:,}; accepted: "
                f"at most {MOST_SQUEEZED} times as many; {_NOTHING}"
            )
    about = json.loads(_Archive(packed, 0, None, {}).read(ABOUT, _MOST_HEAD))
    version, form = about.get("version", 0), about.get("format")
    if form not in (FORMAT, FORMER_FORMAT) or type(version) is not int or not 0 < version <= len(MIGRATIONS):
        raise StoreError(f"this archive was not made by this program, or by a later version of it; {_NOTHING}")
    if form == FORMER_FORMAT:
        return _Archive(packed, version, None, {})
    if MANIFEST not in packed.namelist():
        raise StoreError(f"{MANIFEST} is missing from this archive: it is not whole; {_NOTHING}")
    manifest = json.loads(_Archive(packed, 0, None, {}).read(MANIFEST, _MOST_HEAD))
    found = _Archive(
        packed,
        version,
        {str(name): str(facts["sha256"]) for name, facts in manifest["files"].items()},
        {str(table): int(count) for table, count in manifest["rows"].items()},
    )
    _hold(found)
    return found


def _hold(archive: _Archive) -> None:
    """Hold every file against the manifest."""
    faults = []
    there = set(archive.packed.namelist())
    for name, digest in (archive.digests or {}).items():
        if name not in there:
            faults.append(f"{name} is missing")
        elif _digest(archive.packed, name) != digest:
            faults.append(f"{name} is not as it was when the archive was made")
    if faults:
        raise StoreError(_all_told("this archive is not whole", faults))


def _digest(packed: zipfile.ZipFile, name: str) -> str:
    try:
        with packed.open(name) as opened:
            return hashlib.file_digest(opened, "sha256").hexdigest()  # type: ignore[arg-type]  # it reads into buffers
    except _DAMAGED:
        return ""


def _all_told(head: str, faults: list[str]) -> str:
    """Return every fault in one message, of many the first."""
    more = f"; and {len(faults) - _MOST_TOLD} more" if len(faults) > _MOST_TOLD else ""
    return f"{head}: {'; '.join(faults[:_MOST_TOLD])}{more}; {_NOTHING}"


def _unpack(archive: _Archive, place: Path) -> None:
    """Fill a store of the archive's version with its rows."""
    with closing(Database(place, migrations=MIGRATIONS[: archive.version], passing=True)) as made:
        files = {name: f"tables/{name}.jsonl" for name in made.tables}
        within = archive.packed.namelist() if archive.digests is None else archive.digests
        if archive.digests is not None and archive.counts.keys() != files.keys():
            odd = sorted(archive.counts.keys() ^ files.keys())
            raise StoreError(_all_told("its manifest does not count the tables of its version", odd))
        if lacking := [file for file in files.values() if file not in within]:
            raise StoreError(_all_told("this archive is not whole", [f"{file} is missing" for file in lacking]))
        with made.unguarded():
            for table, file in files.items():
                count = made.fill(table, _rows(archive, file))
                if count != archive.counts.get(table, count):
                    raise StoreError(
                        f"{file} has {count} rows, and {archive.counts[table]} by the manifest; {_NOTHING}"
                    )
            if strays := [
                f"a row of {row['table']} belongs to one of {row['parent']} that is not there"
                for row in made.rows("PRAGMA foreign_key_check")
            ]:
                raise StoreError(_all_told("the tables do not hold together", list(dict.fromkeys(strays))))


def _rows(archive: _Archive, name: str) -> Iterator[dict[str, Any]]:
    """Yield the rows of a table one after the other: photos of years need not fit into memory at once."""
    for number, line in enumerate(archive.lines(name), 1):
        try:
            row = json.loads(line, parse_constant=_no_number)
            items = row.items()
        except (ValueError, AttributeError, RecursionError) as error:
            raise StoreError(f"{name}, line {number}: no row that can be read; {_NOTHING}") from error
        made = {}
        for column, value in items:
            where = f"{name}, line {number}, {column}"
            made[column] = _value(archive, row, value, where)
            if name == "tables/revisions.jsonl" and column == "content" and len(str(value)) > MOST_DOCUMENT:
                raise StoreError(
                    f"{where}: found more than {MOST_DOCUMENT:,} characters; accepted: no more; {_NOTHING}"
                )
        yield made


def _no_number(word: str) -> None:
    """Refuse what Python reads as a number and JSON has not: a store would keep it as nothing."""
    raise ValueError(word)


def _value(archive: _Archive, row: Mapping[str, Any], value: Any, where: str) -> Any:
    """Return a value as the store has it: a number that fits, or the bytes that a row has written in it or as a file.

    A store's numbers are whole ones of 64 bits (https://sqlite.org/datatype3.html).
    """
    if isinstance(value, int) and not -(1 << _BITS) <= value < 1 << _BITS:
        raise StoreError(
            f"{where}: found {str(value)[:40]}; accepted: a whole number from -2^63 to 2^63 - 1; {_NOTHING}"
        )
    if isinstance(value, list) or (isinstance(value, float) and not isfinite(value)):
        raise StoreError(f"{where}: found {str(value)[:40]}; accepted: a text, a number or a file; {_NOTHING}")
    if not isinstance(value, dict):
        return value
    if "file" not in value:
        return base64.b64decode(value["base64"])
    if archive.digests is not None and value["file"] not in archive.digests:
        raise StoreError(f"{where}: {value['file']} is missing; {_NOTHING}")
    most = MOST_PICTURE if "jpeg" in row else MOST_LINE
    content = archive.read(value["file"], most)
    return zlib.compress(content, 9) if row.get("packing") else content


def _check(place: Path, sound: Sound) -> None:
    """Bring a new store up to date, and see that it holds together."""
    with closing(Database(place, passing=True)) as made:
        faults = list(_at_odds(made))
    if not faults:
        faults = list(sound(place))
    if faults:
        raise StoreError(_all_told("what is in this archive does not hold together", faults))


def _at_odds(made: Database) -> Iterator[str]:
    """Yield what the keys of the tables do not see."""
    for row in made.rows(
        """SELECT d.name, d.revision FROM documents d LEFT JOIN revisions r
           ON r.document = d.name AND r.number = d.revision WHERE r.number IS NULL"""
    ):
        yield f"document {row['name']}: its revision {row['revision']} is missing"
    for row in made.rows(
        """SELECT name FROM documents WHERE (name LIKE 'job:%' OR name LIKE 'cut:%')
           AND substr(name, 5) NOT IN (SELECT CAST(id AS TEXT) FROM jobs)"""
    ):
        yield f"document {row['name']}: there is no such job"
    for table, (known_by, columns) in _PROSE.items():
        for column in columns:
            query = f"SELECT {known_by} FROM {table} WHERE NOT json_valid({column})"  # noqa: S608 - our own names
            for row in made.rows(query):
                yield f"{table} {' '.join(map(str, row))}: its {column} is no JSON"


@contextmanager
def _on_the_way(folder: Path) -> Iterator[Path]:
    """Hold a folder of its own on the disk of the store; gone at the end, or at the next start after a kill."""
    with TemporaryDirectory(prefix="store-", dir=passing(folder)) as place:
        yield Path(place)


def bring_back(database: Database, name: str) -> None:
    """Put a backup in place of everything, which becomes another backup; it is brought up to date first.

    Raises
    ------
    LookupError
        When there is no backup of that name.
    StoreError
        When it cannot be used.
    """
    found = _backup(database.backups, name)
    with telling_of_system(database.path), _on_the_way(database.path.parent) as place:
        _brought(found, place)
        database.become(place / FILE, BEFORE_RESTORING)


def _backup(place: Path, name: str) -> Backup:
    found = {each.name: each for each in backups_in(place)}
    if name not in found:
        raise LookupError("there is no such backup")
    return found[name]


def _brought(backup: Backup, place: Path) -> None:
    """Copy a backup and bring it up to date."""
    seen = look(backup.path, len(MIGRATIONS))
    if seen.trouble:
        raise StoreError(f"{backup.name} cannot be used, it is {seen.trouble}; {_NOTHING}")
    shutil.copyfile(backup.path, place / FILE)
    with closing(Database(place, passing=True)):
        pass


def recover(folder: DataFolder, name: str = "") -> Path | None:
    """Put a backup where no store can be used, or nothing where no name is given, so that an empty one is begun.

    What stood there is put aside, never removed.

    Returns
    -------
    Path or None
        Where that lies now; None where nothing was left of it.

    Raises
    ------
    LookupError, StoreError
        As :func:`bring_back`.
    """
    with telling_of_system(folder.path), _on_the_way(folder.path) as place:
        if name:
            _brought(_backup(folder.path / BACKUPS, name), place)
            settle(place / FILE)
        moved = _put_aside(folder.path)
        if name:
            (place / FILE).replace(folder.path / FILE)
        sync(folder.path)
        folder.note_begun(begun=bool(name))
    return moved


def _put_aside(folder: Path) -> Path | None:
    """Move the store's file, with what SQLite keeps beside it, into a folder of its own."""
    left = sorted(folder.glob(f"{FILE}*"))
    if not left:
        return None
    at, number = f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}", 1
    place = folder / ASIDE / at
    while place.exists():
        number += 1
        place = folder / ASIDE / f"{at}-{number}"
    place.mkdir(parents=True, mode=0o700)
    for path in left:
        path.replace(place / path.name)
    return place
