"""What goes wrong with the store, as a tree, each with one sentence for people that names the cause.

:class:`StoreError`: a change is refused, or the store cannot be opened.

- :class:`UnwritableError`: the system does not let us write, or read; what was kept before stands.
- :class:`UnusableError`: the file is damaged, gone, empty, another one, or of a later version: the recovery page helps.
- :class:`OpenElsewhereError`: another desk has the folder.
"""

import errno
import sqlite3
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final


class StoreError(Exception):
    """The store cannot be opened, or refuses a change; the message is for people."""


class UnwritableError(StoreError):
    """The system refuses.

    Attributes
    ----------
    full : bool
        Whether it is for want of room.
    """

    def __init__(self, message: str, *, full: bool = False) -> None:
        self.full = full
        super().__init__(message)


class UnusableError(StoreError):
    """The store's file is not, or not any more, what it should be."""


class OpenElsewhereError(StoreError):
    """Another desk works in the folder."""


_AFTER: Final = "Nothing of this was kept; all that was kept before stands."
_FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
_READ_ONLY: Final = frozenset({errno.EROFS})
_FORBIDDEN: Final = frozenset({errno.EACCES, errno.EPERM})


def _full(place: object) -> UnwritableError:
    return UnwritableError(f"The disk that holds {place} is full. {_AFTER} Make room, then try again.", full=True)


def _read_only(place: object) -> UnwritableError:
    return UnwritableError(
        f"{place} can only be read: the file, its folder or the disk is write-protected. {_AFTER} "
        "Lift the protection, then try again."
    )


def _forbidden(place: object) -> UnwritableError:
    return UnwritableError(
        f"There is no permission to open {place}, or to write beside it. {_AFTER} Open the desk from the account whose "
        "folder it is, or give this account the right."
    )


def _held(place: object) -> UnwritableError:
    return UnwritableError(f"Another program holds {place}. {_AFTER} Close that program, then try again.")


def _failing(place: object, error: Exception) -> UnwritableError:
    return UnwritableError(
        f"The disk that holds {place} fails ({error}). {_AFTER} See that it is still connected, then try again."
    )


def _damaged(place: object, error: Exception) -> UnusableError:
    return UnusableError(f"{place} is damaged ({error}).")


_CAUSES: Final[Mapping[int, Callable[[object, Exception], StoreError]]] = {
    sqlite3.SQLITE_CORRUPT: _damaged,
    sqlite3.SQLITE_NOTADB: _damaged,
    sqlite3.SQLITE_FULL: lambda place, _: _full(place),
    sqlite3.SQLITE_READONLY: lambda place, _: _read_only(place),
    sqlite3.SQLITE_BUSY: lambda place, _: _held(place),
    sqlite3.SQLITE_LOCKED: lambda place, _: _held(place),
    sqlite3.SQLITE_CANTOPEN: lambda place, _: _forbidden(place),
    sqlite3.SQLITE_PERM: lambda place, _: _forbidden(place),
    sqlite3.SQLITE_AUTH: lambda place, _: _forbidden(place),
    sqlite3.SQLITE_IOERR: _failing,
}


def told(error: sqlite3.Error, path: Path) -> StoreError | None:
    """Return what an error of SQLite means for people; None where it is about a row and not about the file.

    Its codes: https://sqlite.org/rescode.html (primary ones, the low eight bits).
    """
    code = getattr(error, "sqlite_errorcode", None)
    made = None if code is None else _CAUSES.get(code & 0xFF)
    return made(path, error) if made else None


def told_of_system(error: OSError, place: object = None) -> UnwritableError | None:
    """Return what an error of the system means for people; None where it is about something else than writing."""
    where = place or error.filename or "the desk"
    if error.errno in _FULL:
        return _full(where)
    if error.errno in _READ_ONLY:
        return _read_only(where)
    if error.errno in _FORBIDDEN:
        return _forbidden(where)
    return None
