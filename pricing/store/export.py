"""Everything as plain files in one archive, and back: each table as lines of JSON, and CSV beside it for people."""

import base64
import csv
import io
import json
import zipfile
from typing import Any, Final

from pricing.store.database import Database, StoreError
from pricing.store.schema import MIGRATIONS, TABLES

FORMAT: Final = "casewright-desk/1"
_MOST_UNPACKED: Final = 400_000_000


def export(database: Database) -> bytes:
    """Return an archive of every table.

    Returns
    -------
    bytes
        A zip file: ``about.json``, ``tables/NAME.jsonl`` (one row a line), ``csv/NAME.csv`` (the same for reading), and
        every job's current table of artworks as ``artworks/JOB.csv``. All of one moment.
    """
    out = io.BytesIO()
    with database.writing(), zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:

        def write(name: str, text: str) -> None:
            packed.writestr(zipfile.ZipInfo(name), text, zipfile.ZIP_DEFLATED)

        write("about.json", json.dumps({"format": FORMAT, "version": database.version}, indent=1) + "\n")
        for table in TABLES:
            rows = [dict(row) for row in database.rows(f"SELECT * FROM {table} ORDER BY rowid")]  # noqa: S608 - our own names
            plain = [{name: _plain(value) for name, value in row.items()} for row in rows]
            write(f"tables/{table}.jsonl", "".join(f"{json.dumps(row, ensure_ascii=False)}\n" for row in plain))
            write(f"csv/{table}.csv", _csv(plain))
        query = """SELECT r.document, r.content FROM revisions r JOIN documents d
                   ON d.name = r.document AND d.revision = r.number WHERE r.document LIKE 'job:%'"""
        for row in database.rows(query):
            content = json.loads(row["content"])
            text = io.StringIO()
            csv.writer(text, lineterminator="\n").writerows([content["headings"], *content["rows"]])
            write(f"artworks/{row['document'].partition(':')[2]}.csv", text.getvalue())
    return out.getvalue()


def _plain(value: Any) -> Any:
    return {"base64": base64.b64encode(value).decode()} if isinstance(value, bytes) else value


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
        return "(a picture)"
    return f"'{value}" if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r") else value


def restore(database: Database, archive: bytes) -> None:
    """Put an archive's content in place of everything, after a backup; all or nothing.

    Raises
    ------
    StoreError
        When it is no archive of ours, of a later version, or does not hold together.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(archive)) as packed:
            if sum(each.file_size for each in packed.infolist()) > _MOST_UNPACKED:
                raise StoreError("the archive unpacks to more than 400 MB")
            about = json.loads(packed.read("about.json"))
            if about.get("format") != FORMAT or about.get("version", 0) > len(MIGRATIONS):
                raise StoreError("this archive was not made by this program, or by a later version of it")
            tables = {
                name: [json.loads(line) for line in packed.read(f"tables/{name}.jsonl").decode().splitlines()]
                for name in TABLES
                if f"tables/{name}.jsonl" in packed.namelist()
            }
    except (zipfile.BadZipFile, KeyError, ValueError, AttributeError) as error:
        raise StoreError(f"this is no archive of the desk: {error}") from error
    database.back_up("before-restoring")
    database.refill({name: [_back(row) for row in rows] for name, rows in tables.items()})


def _back(row: dict[str, Any]) -> dict[str, Any]:
    return {
        name: base64.b64decode(value["base64"]) if isinstance(value, dict) else value for name, value in row.items()
    }
