"""Everything as plain files in one archive: each table as lines of JSON, and CSV beside it for people.

It is written as it is read, all of one moment, while pages read and write on.
"""

import base64
import csv
import hashlib
import io
import json
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, BinaryIO, Final

from pricing.store.database import Database
from pricing.store.schema import TABLES
from pricing.store.sent_papers import unpack
from pricing.studio.table_file import guarded

FORMAT: Final = "casewright-desk/2"
FORMER_FORMAT: Final = "casewright-desk/1"
"""Of archives without a manifest, whose pictures stood in their table."""
ABOUT: Final = "about.json"
MANIFEST: Final = "manifest.json"
PICTURES: Final = "pictures"
_PAPERS: Final = {"sent_papers": ("sent", "version"), "pin_papers": ("pinned", "number")}
"""Tables of papers: the folder that their files go to, and the column that tells versions of a job apart."""


class _Packing:
    """An archive that is being written, with the digest of every file in it."""

    def __init__(self, packed: zipfile.ZipFile) -> None:
        self._packed = packed
        self.files: dict[str, dict[str, Any]] = {}
        self.rows: dict[str, int] = {}

    @contextmanager
    def file(self, name: str, *, squeezed: bool = True) -> Iterator[Callable[[bytes], None]]:
        """Write a file bit by bit."""
        info = zipfile.ZipInfo(name)
        info.compress_type = zipfile.ZIP_DEFLATED if squeezed else zipfile.ZIP_STORED
        digest, size = hashlib.sha256(), 0
        with self._packed.open(info, "w", force_zip64=True) as out:

            def write(more: bytes) -> None:
                nonlocal size
                size += len(more)
                digest.update(more)
                out.write(more)

            yield write
        self.files[name] = {"bytes": size, "sha256": digest.hexdigest()}

    def whole(self, name: str, content: bytes, *, squeezed: bool = True) -> None:
        """Write a file at once."""
        with self.file(name, squeezed=squeezed) as write:
            write(content)


def export(database: Database, out: BinaryIO) -> None:
    """Write an archive of every table.

    A zip file: ``about.json``, ``tables/NAME.jsonl`` (one row a line), ``csv/NAME.csv`` (the same for reading), every
    job's current table of artworks as ``artworks/JOB.csv``, every picture as ``pictures/NUMBER.jpg``, the papers of
    every sent quote as ``sent/JOB-VERSION/NAME``, and those of what is pinned as ``pinned/JOB-NUMBER/NAME``, which
    their tables point to; last ``manifest.json``, with size and SHA-256 of every other file and how many rows each
    table has. All of one moment.
    """
    with database.aside() as link, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        made = _Packing(packed)
        made.whole(ABOUT, _json({"format": FORMAT, "version": database.version}))
        for table in TABLES:
            for name, content, squeezed in _files(link, table):
                made.whole(name, content, squeezed=squeezed)
            made.rows[table] = 0
            with made.file(f"tables/{table}.jsonl") as write:
                for row in _rows(link, table):
                    write(f"{json.dumps(row, ensure_ascii=False)}\n".encode())
                    made.rows[table] += 1
            with made.file(f"csv/{table}.csv") as write:
                for number, row in enumerate(_rows(link, table)):
                    write(_csv([row] if number else [dict(zip(row, row, strict=True)), row]))
        query = """SELECT r.document, r.content FROM revisions r JOIN documents d
                   ON d.name = r.document AND d.revision = r.number WHERE r.document LIKE 'job:%'"""
        for row in link.execute(query):
            made.whole(f"artworks/{row['document'].partition(':')[2]}.csv", _artworks(row["content"]))
        packed.writestr(zipfile.ZipInfo(MANIFEST), _json({"files": made.files, "rows": made.rows}))


def _json(value: Any) -> bytes:
    return f"{json.dumps(value, indent=1)}\n".encode()


def _files(link: sqlite3.Connection, table: str) -> Iterator[tuple[str, bytes, bool]]:
    """Yield what of a table are files that every program can open: name, content, and whether squeezing pays."""
    if table == "pictures":
        for row in link.execute("SELECT id, jpeg FROM pictures ORDER BY rowid"):
            yield _picture(row["id"]), row["jpeg"], False
    if table in _PAPERS:
        for row in link.execute(f"SELECT * FROM {table} ORDER BY rowid"):  # noqa: S608 - our own names
            yield _paper(table, row), unpack(row["packing"], row["content"]), bool(row["packing"])


def _picture(number: int) -> str:
    return f"{PICTURES}/{number}.jpg"


def _paper(table: str, row: sqlite3.Row) -> str:
    folder, version = _PAPERS[table]
    return f"{folder}/{row['job']}-{row[version]}/{row['name']}"


def _rows(link: sqlite3.Connection, table: str) -> Iterator[dict[str, Any]]:
    """Yield the rows of a table, with pointers to files in place of what those hold."""
    for row in link.execute(f"SELECT * FROM {table} ORDER BY rowid"):  # noqa: S608 - our own names
        plain = {name: _plain(value) for name, value in dict(row).items()}
        if table == "pictures":
            plain["jpeg"] = {"file": _picture(row["id"])}
        elif table in _PAPERS:
            plain["content"] = {"file": _paper(table, row)}
        yield plain


def _plain(value: Any) -> Any:
    return {"base64": base64.b64encode(value).decode()} if isinstance(value, bytes) else value


def _csv(rows: list[dict[str, Any]]) -> bytes:
    """Write rows for people; text never becomes a formula in a spreadsheet."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([_cell(value) for value in row.values()] for row in rows)
    return text.getvalue().encode()


def _artworks(content: str) -> bytes:
    """Write a job's table as people know it; nothing where it cannot be read, for the table itself is kept anyway."""
    try:
        made = json.loads(content)
        rows = [made["headings"], *made["rows"]]
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerows([[guarded(cell) for cell in row] for row in rows])
    except (ValueError, KeyError, TypeError, AttributeError):
        return b""
    return text.getvalue().encode()


def _cell(value: Any) -> Any:
    if isinstance(value, dict):
        return value.get("file", "(bytes)")
    return guarded(value) if isinstance(value, str) else value
