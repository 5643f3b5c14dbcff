"""Everything as plain files in one archive, and back: each table as lines of JSON, and CSV beside it for people."""

import base64
import csv
import io
import json
import shutil
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from pricing.store.database import FILE, Database, StoreError
from pricing.store.schema import MIGRATIONS, TABLES
from pricing.store.sent_papers import unpack
from pricing.studio.table_file import guarded

FORMAT: Final = "casewright-desk/1"
_PAPERS: Final = {"sent_papers": ("sent", "version"), "pin_papers": ("pinned", "number")}
"""Tables of papers: the folder that their files go to, and the column that tells versions of a job apart."""
_MOST_UNPACKED: Final = 4_000_000_000
_DAMAGED: Final = (
    zipfile.BadZipFile, zlib.error, KeyError, ValueError, AttributeError, TypeError, EOFError, RuntimeError,
)  # fmt: skip
"""What reading an archive raises that is none of ours, is cut off, locked, or packed in a way that we do not know."""


def export(database: Database) -> bytes:
    """Return an archive of every table.

    Returns
    -------
    bytes
        A zip file: ``about.json``, ``tables/NAME.jsonl`` (one row a line), ``csv/NAME.csv`` (the same for reading),
        every job's current table of artworks as ``artworks/JOB.csv``, the papers of every sent quote as
        ``sent/JOB-VERSION/NAME``, and those of what is pinned as ``pinned/JOB-NUMBER/NAME``, which their tables point
        to. All of one moment.
    """
    out = io.BytesIO()
    with database.writing(), zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:

        def write(name: str, text: str) -> None:
            packed.writestr(zipfile.ZipInfo(name), text, zipfile.ZIP_DEFLATED)

        write("about.json", json.dumps({"format": FORMAT, "version": database.version}, indent=1) + "\n")
        for table in TABLES:
            kept = database.each(f"SELECT * FROM {table} ORDER BY rowid")  # noqa: S608 - our own names
            if table in _PAPERS:
                plain = [_pointer(packed, dict(row), *_PAPERS[table]) for row in kept]
            else:
                plain = [{name: _plain(value) for name, value in dict(row).items()} for row in kept]
            write(f"tables/{table}.jsonl", "".join(f"{json.dumps(row, ensure_ascii=False)}\n" for row in plain))
            write(f"csv/{table}.csv", _csv(plain))
        query = """SELECT r.document, r.content FROM revisions r JOIN documents d
                   ON d.name = r.document AND d.revision = r.number WHERE r.document LIKE 'job:%'"""
        for row in database.rows(query):
            content = json.loads(row["content"])
            text = io.StringIO()
            rows = [content["headings"], *content["rows"]]
            csv.writer(text, lineterminator="\n").writerows([[guarded(cell) for cell in row] for row in rows])
            write(f"artworks/{row['document'].partition(':')[2]}.csv", text.getvalue())
    return out.getvalue()


def _plain(value: Any) -> Any:
    return {"base64": base64.b64encode(value).decode()} if isinstance(value, bytes) else value


def _pointer(packed: zipfile.ZipFile, row: dict[str, Any], folder: str, version: str) -> dict[str, Any]:
    """Write a paper as a file that every program can open; return its row with the place of that file."""
    place = f"{folder}/{row['job']}-{row[version]}/{row['name']}"
    content = unpack(row["packing"], row["content"])
    packed.writestr(zipfile.ZipInfo(place), content, zipfile.ZIP_DEFLATED if row["packing"] else zipfile.ZIP_STORED)
    return {**row, "content": {"file": place}}


def _csv(rows: list[dict[str, Any]]) -> str:
    """Write rows for people; text never becomes a formula in a spreadsheet."""
    text = io.StringIO()
    if rows:
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(rows[0])
        writer.writerows([_cell(value) for value in row.values()] for row in rows)
    return text.getvalue()


def _cell(value: Any) -> Any:
    if isinstance(value, dict):
        return value.get("file", "(bytes)")
    return guarded(value) if isinstance(value, str) else value


def restore(database: Database, archive: bytes) -> None:
    """Put an archive's content in place of everything, after a backup; all or nothing.

    An archive of an earlier version is brought up to date as a store of that version is.

    Raises
    ------
    StoreError
        When it is no archive of ours, of a later version, or does not hold together.
    """
    with TemporaryDirectory(prefix="casewright-") as place:
        try:
            with zipfile.ZipFile(io.BytesIO(archive)) as packed:
                if sum(each.file_size for each in packed.infolist()) > _MOST_UNPACKED:
                    raise StoreError(f"the archive unpacks to more than {_MOST_UNPACKED // 1_000_000_000} GB")
                about = json.loads(packed.read("about.json"))
                version = about.get("version", 0)
                if about.get("format") != FORMAT or version not in range(1, len(MIGRATIONS) + 1):
                    raise StoreError("this archive was not made by this program, or by a later version of it")
                with closing(Database(Path(place), migrations=MIGRATIONS[:version])) as old:
                    held = {f"tables/{name}.jsonl": name for name in old.tables}
                    old.refill({held[file]: _rows(packed, file) for file in packed.namelist() if file in held})
        except _DAMAGED as error:
            raise StoreError("this is no archive of the desk, or a damaged one; nothing was changed") from error
        _replace(database, Path(place))


def _rows(packed: zipfile.ZipFile, name: str) -> Iterator[dict[str, Any]]:
    """Yield the rows of a table one after the other: photos of years need not fit into memory at once.

    A line ends where we ended it, and not at one of the other line ends that a person's text may hold.
    """
    with packed.open(name) as lines:
        for line in lines:
            yield _back(packed, json.loads(line))


def bring_back(database: Database, backup: str) -> None:
    """Put a backup in place of everything, after another backup; it is brought up to date first.

    Raises
    ------
    LookupError
        When there is no backup of that name.
    StoreError
        When it cannot be used.
    """
    found = {path.name: path for path in backups(database)}
    if backup not in found:
        raise LookupError("there is no such backup")
    with TemporaryDirectory(prefix="casewright-") as place:
        shutil.copyfile(found[backup], Path(place) / FILE)
        _replace(database, Path(place))


def backups(database: Database) -> list[Path]:
    """Return the backups, the latest first."""
    return sorted(database.backups.glob("*.sqlite"), key=lambda path: (-path.stat().st_mtime, path.name))


def _replace(database: Database, folder: Path) -> None:
    """Put the store of a folder, brought up to date, in place of everything."""
    with closing(Database(folder)) as other:
        tables = {name: map(dict, other.each(f"SELECT * FROM {name}")) for name in other.tables}  # noqa: S608 - the store's own names
        database.back_up("before-restoring")
        database.refill(tables)


def _back(packed: zipfile.ZipFile, row: dict[str, Any]) -> dict[str, Any]:
    return {name: _bytes(packed, row, value) if isinstance(value, dict) else value for name, value in row.items()}


def _bytes(packed: zipfile.ZipFile, row: dict[str, Any], value: dict[str, str]) -> bytes:
    """Return the bytes that a row has written in it, or as a file of its own."""
    if "file" not in value:
        return base64.b64decode(value["base64"])
    content = packed.read(value["file"])
    return zlib.compress(content, 9) if row["packing"] else content
