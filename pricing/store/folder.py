"""The data folder: its owner's alone, held by one desk at a time, and cleared of what killed runs left in it.

The lock is the system's own on ``desk.lock``, so that a crash frees it. The file's text tells that a desk was begun
here: a folder whose ``desk.sqlite`` is gone is then not taken for a new one.
"""

import errno
import json
import os
import shutil
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from pricing.store.errors import OpenElsewhereError, StoreError, told_of_system

FILE: Final = "desk.sqlite"
BACKUPS: Final = "backups"
LOCK: Final = "desk.lock"
PASSING: Final = "passing"
"""Where archives and stores are made before they are given out or put in place; empty while no desk is open."""
ASIDE: Final = "put-aside"
"""Where files go that the recovery page replaced."""
PART: Final = ".part"
"""What the names of files end with that are being written; a killed run leaves them."""
_PRIVATE: Final = 0o700
_BEYOND: Final = 1 << 20
"""Which byte is locked where only bytes can be: none of the text, which others may read."""


class DataFolder:
    """A data folder, held until it is closed.

    Parameters
    ----------
    path : Path
        Made if missing, with rights for its owner alone.

    Attributes
    ----------
    begun : bool or None
        Whether a desk was begun in it; None where nobody noted.
    remarks : tuple of str
        What a person should know of its opening.

    Raises
    ------
    OpenElsewhereError
        When another desk holds it.
    pricing.store.errors.UnwritableError
        When the system does not let us in.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.remarks: tuple[str, ...] = ()
        try:
            path.mkdir(parents=True, exist_ok=True, mode=_PRIVATE)
            self._make_private()
            self._handle = os.open(path / LOCK, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError as error:
            raise told_of_system(error, path) or StoreError(f"{path} cannot be used: {error.strerror}") from error
        try:
            self._take()
            kept = _kept(self._handle)
            self.begun: bool | None = kept.get("begun")
            self._note(self.begun)
            self.clear()
        except OSError as error:
            os.close(self._handle)
            raise told_of_system(error, path) or StoreError(f"{path} cannot be used: {error.strerror}") from error
        except StoreError:
            os.close(self._handle)
            raise

    def _make_private(self) -> None:
        """Shut others of this machine out of a folder that holds a desk, what is left of one, or nothing."""
        if os.name != "posix":
            return
        rights = self.path.stat().st_mode
        held = (self.path / FILE).exists() or (self.path / BACKUPS).exists()
        if not rights & 0o077 or not (held or not any(self.path.iterdir())):
            return
        with suppress(PermissionError):
            self.path.chmod(_PRIVATE)
            if held:
                self.remarks += (f"{self.path} could be read by others of this machine; from now on by you alone.",)

    def _take(self) -> None:
        """Lock the folder."""
        try:
            _lock(self._handle)
        except OSError as error:
            if error.errno not in (errno.EWOULDBLOCK, errno.EACCES, errno.EDEADLK):
                self.remarks += (f"{self.path} knows no locks: see that only one desk is open on it.",)
                return
            process = _kept(self._handle).get("process")
            named = f" (process {process})" if isinstance(process, int) else ""
            raise OpenElsewhereError(
                f"Another desk{named} is open on {self.path}. Work there, or close it and look again."
            ) from error

    def _note(self, begun: bool | None) -> None:
        text = json.dumps({"begun": begun, "process": os.getpid()}).encode() + b"\n"
        os.lseek(self._handle, 0, os.SEEK_SET)
        os.write(self._handle, text)
        os.truncate(self._handle, len(text))

    def note_begun(self, *, begun: bool = True) -> None:
        """Note that a desk stands here; or that there is none any more, so that another may be begun."""
        if begun != self.begun:
            self._note(begun)
            self.begun = begun

    def clear(self) -> None:
        """Remove what killed runs left half-written."""
        shutil.rmtree(self.path / PASSING, ignore_errors=True)
        for place in (self.path, self.path / BACKUPS):
            for path in place.glob(f".*{PART}*"):
                path.unlink(missing_ok=True)
        file = self.path / FILE
        for path in (self.path / BACKUPS).glob("*.sqlite") if file.exists() else ():
            if path.samefile(file):  # a second name of the store, given just before it was to be replaced
                path.unlink()

    def close(self) -> None:
        """Let others have it."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1


def passing(folder: Path) -> Path:
    """Return the place for what is only on its way."""
    place = folder / PASSING
    place.mkdir(exist_ok=True, mode=_PRIVATE)
    return place


def settle(file: Path) -> None:
    """See that what is in a file is on the disk."""
    with file.open("rb+") as opened:
        os.fsync(opened.fileno())


def sync(folder: Path) -> None:
    """See that a new name in a folder is on the disk."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _kept(handle: int) -> dict[str, Any]:
    """Return what the lock's text says; nothing where it says nothing."""
    os.lseek(handle, 0, os.SEEK_SET)
    try:
        made = json.loads(os.read(handle, 4096) or b"{}")
    except ValueError:
        return {}
    return made if isinstance(made, dict) else {}


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        os.lseek(handle, _BEYOND, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
