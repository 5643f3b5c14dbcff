"""What a batch keeps: an order's row and files in a folder of its own, which is whole or not there.

The folder is named after the order and a digest of all that the answer depends on: the order, its pictures, the
studio's files, day, effort, seed, options, and the edition of the program. It is filled under a passing name and then
renamed, which happens whole or not at all. Its ``row.json`` holds the digests of the files and of itself, so that
what a failing disk left of it counts as nothing. What is kept is therefore found again by whoever asks the same.
"""

import hashlib
import json
import os
import re
import shutil
import sys
import tempfile
from contextlib import suppress
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from nesting.base.whole_files import replace_file
from pricing.batch.row import Row, plain_of, row_from
from pricing.batch.troubles import InUseError
from pricing.batch.working import Outcome, Took

ORDERS: Final = "orders"
_ROW: Final = "row.json"
_FORMAT: Final = "casewright-row/1"
_PART: Final = ".part-"
_LOCK: Final = ".lock"
_BEGUN: Final = ".batch.json"
_DIGITS: Final = 12
_LONGEST: Final = 60


class Kept:
    """The folder of a batch, held by one run at a time; to be used in a ``with``.

    Parameters
    ----------
    folder : Path
        Made where it is missing.

    Raises
    ------
    InUseError
        When another run has it.
    OSError
        When it cannot be written.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._orders = folder / ORDERS
        self._handle = -1

    def __enter__(self) -> Self:
        self._orders.mkdir(parents=True, exist_ok=True)
        self._handle = os.open(self.folder / _LOCK, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            _lock(self._handle)
        except OSError as error:
            os.close(self._handle)
            raise InUseError(self.folder) from error
        for left in self._orders.glob(f"{_PART}*"):
            shutil.rmtree(left, ignore_errors=True)
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        os.close(self._handle)

    def day(self, stated: date | None, today: date) -> date:
        """Return the day of every quote: the one stated, else that on which the folder was begun, else today.

        Without it a run that goes on after midnight would find nothing of what was kept.
        """
        with suppress(OSError, ValueError, KeyError, TypeError):
            begun = date.fromisoformat(json.loads((self.folder / _BEGUN).read_bytes())["day"])
            if stated in (None, begun):
                return begun
        return stated or today

    def begin(self, day: date) -> None:
        """Note the day of every quote, now that work begins."""
        replace_file(self.folder / _BEGUN, json.dumps({"day": day.isoformat()}).encode() + b"\n")

    def name(self, order: str, digest: str) -> str:
        """Return the name of an order's folder."""
        plain = re.sub(r"[^\w.-]+", "_", order).strip("._-")[:_LONGEST] or "order"
        return f"{plain}.{digest[:_DIGITS]}"

    def look(self, order: str, digest: str) -> tuple[Row, Took] | None:
        """Return what is kept of an order; None where there is nothing whole."""
        folder = self._orders / self.name(order, digest)
        try:
            noted = json.loads((folder / _ROW).read_bytes())
            whole = noted.pop("whole")
            if noted["format"] != _FORMAT or noted["digest"] != digest or whole != _digest_of(noted):
                return None
            for name, told in noted["files"].items():
                if hashlib.sha256((folder / name).read_bytes()).hexdigest() != told:
                    return None
            return row_from(noted["row"]), Took(**noted["took"])
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            return None

    def put(self, order: str, digest: str, outcome: Outcome) -> Row:
        """Keep what came of an order; return its row with the folder in it.

        Nothing is flushed to the disk one by one: what a power cut leaves half is known by its digests.

        Raises
        ------
        OSError
            When it cannot be written; nothing of it is then there.
        """
        name = self.name(order, digest)
        row = replace(outcome.row, folder=f"{ORDERS}/{name}")
        passing = Path(tempfile.mkdtemp(dir=self._orders, prefix=_PART))
        try:
            passing.chmod(0o777 & ~_umask())
            for within, content in outcome.files.items():
                path = passing / within
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content)
            noted: dict[str, Any] = {
                "format": _FORMAT,
                "digest": digest,
                "row": plain_of(row),
                "files": {each: hashlib.sha256(content).hexdigest() for each, content in outcome.files.items()},
                "took": asdict(outcome.took),
            }
            noted["whole"] = _digest_of(noted)
            (passing / _ROW).write_text(json.dumps(noted, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
            place = self._orders / name
            if place.exists():
                shutil.rmtree(place)
            passing.rename(place)
        except BaseException:
            shutil.rmtree(passing, ignore_errors=True)
            raise
        return row

    def left_over(self, rows: "list[Row]") -> int:
        """Return how many folders of orders are there that these rows do not name."""
        named = {Path(row.folder).name for row in rows}
        return sum(each.is_dir() and each.name not in named for each in self._orders.iterdir())


def _digest_of(noted: dict[str, Any]) -> str:
    """Return the digest of what is noted."""
    return hashlib.sha256(json.dumps(noted, sort_keys=True).encode()).hexdigest()


def _umask() -> int:
    """Return the process's file mode mask (it can only be read by setting it)."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
