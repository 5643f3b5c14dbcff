"""Archives as bytes: small enough for tests to hold, to change and to compare."""

import io
import zipfile
from collections.abc import Mapping

from pricing.store.database import Database
from pricing.store.export import export
from pricing.store.restoring import restore
from pricing.store.schema import TABLES


def exported(database: Database) -> bytes:
    """Return an archive of everything."""
    out = io.BytesIO()
    export(database, out)
    return out.getvalue()


def restored(database: Database, archive: bytes) -> tuple[str, ...]:
    """Put an archive in place of everything; return what is remarked of it."""
    return restore(database, io.BytesIO(archive))


def zipped(files: Mapping[str, str | bytes]) -> bytes:
    """Return files as an archive."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name, content in files.items():
            packed.writestr(name, content)
    return out.getvalue()


def former(version: int, tables: Mapping[str, str], known: tuple[str, ...] = TABLES) -> bytes:
    """Return an archive as it was made before there were manifests: every table, those not named without rows."""
    about = f'{{"format": "casewright-desk/1", "version": {version}}}'
    rows = {f"tables/{name}.jsonl": tables.get(name, "") for name in dict.fromkeys((*known, *tables))}
    return zipped({"about.json": about, **rows})
