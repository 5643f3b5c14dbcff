"""Whether a database is a store of this program, as its version has it: asked before anything of it is changed.

A number of a version alone says little, for other programs count theirs in the same place of the file. What a store
of a version must have is seen in one made of the same migrations in memory.
"""

import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import closing
from functools import lru_cache
from pathlib import Path
from typing import Final

from pricing.store.errors import UnusableError

_COLUMNS: Final = """SELECT m.name, c.name FROM sqlite_master m, pragma_table_info(m.name) c
                     WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite%'"""
_MOST_TOLD: Final = 4


def check_shape(link: sqlite3.Connection, path: Path, migrations: Sequence[str]) -> None:
    """Raise :class:`UnusableError` for a database that is none of ours, is of a later version, or lost a table."""
    version = int(link.execute("PRAGMA user_version").fetchone()[0])
    if version > len(migrations):
        raise UnusableError(
            f"{path} was written by a later version of this program (its version is {version}, "
            f"known are {len(migrations)}); update the program."
        )
    there = _columns(link)
    wanted = _wanted(tuple(migrations[:version])) if version > 0 else {}
    if there and not wanted.keys() & there.keys():
        raise UnusableError(f"{path} is a database, but no store of this program.")
    lost = [f"table {name}" for name in wanted if name not in there]
    lost += [
        f"column {column} of {name}"
        for name, columns in wanted.items()
        for column in sorted(columns - there.get(name, columns))
    ]
    if lost:
        more = f" and {len(lost) - _MOST_TOLD} more" if len(lost) > _MOST_TOLD else ""
        raise UnusableError(f"{path} is not whole: {', '.join(lost[:_MOST_TOLD])}{more} is missing.")


@lru_cache(maxsize=4)
def _wanted(migrations: tuple[str, ...]) -> Mapping[str, frozenset[str]]:
    """Return the columns of every table that these migrations make."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as link:
        link.create_function("plain", 1, str, deterministic=True)
        for migration in migrations:
            link.executescript(migration)
        return _columns(link)


def _columns(link: sqlite3.Connection) -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = {}
    for table, column in link.execute(_COLUMNS):
        found.setdefault(table, set()).add(column)
    return {name: frozenset(columns) for name, columns in found.items()}
