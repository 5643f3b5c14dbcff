"""The papers of sent quotes, byte for byte: as they went out, or as they were made afterwards where none were kept.

The program of 0.1.0 kept a sent quote's figures, and made its papers anew whenever they were asked for. What it sent
gets its papers once, afterwards, and keeps them from then on like any other.
"""

import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from pricing.store.database import Database
from pricing.store.time import Clock

_PAYS: Final = 0.9
"""A paper is packed where that leaves less than this share of it: workbooks are packed already."""


@dataclass(frozen=True, slots=True)
class Printing:
    """How the papers of a sent quote came to be, or why there are none.

    Attributes
    ----------
    made_by : str
        The program that made them, or could not.
    at : str
        Moment.
    afterwards : bool
        Whether they were made after the quote was sent, from what was frozen with it.
    trouble : str
        Why there are none, for people; empty where they are kept.
    """

    made_by: str
    at: str
    afterwards: bool
    trouble: str


class SentPapers:
    """The papers of all quotes that were sent."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database = database
        self._clock = clock

    def keep(
        self, job: int, version: int, papers: Mapping[str, bytes], made_by: str, *, afterwards: bool = False
    ) -> None:
        """Keep every paper of a sent quote for good, all or none; the tables refuse any more and any other."""
        with self._database.writing() as link:
            for name, content in papers.items():
                row = (job, version, name, *pack(content))
                link.execute("INSERT INTO sent_papers VALUES (?, ?, ?, ?, ?)", row)
            self._note(job, version, made_by, afterwards=afterwards)

    def give_up(self, job: int, version: int, made_by: str, trouble: str) -> None:
        """Note why a program cannot make the papers of a sent quote; another one may still."""
        self._note(job, version, made_by, afterwards=True, trouble=trouble)

    def _note(self, job: int, version: int, made_by: str, *, afterwards: bool, trouble: str = "") -> None:
        with self._database.writing() as link:
            row = (job, version, made_by, self._clock(), int(afterwards), trouble)
            link.execute("INSERT OR REPLACE INTO printings VALUES (?, ?, ?, ?, ?, ?)", row)

    def printing(self, job: int, version: int) -> Printing | None:
        """Return how a quote's papers came to be; None where nobody has tried yet."""
        row = self._database.row("SELECT * FROM printings WHERE job = ? AND version = ?", (job, version))
        return Printing(row["made_by"], row["at"], bool(row["afterwards"]), row["trouble"]) if row else None

    def get(self, job: int, version: int, name: str) -> bytes:
        """Return a paper; LookupError where it is not kept."""
        query = "SELECT packing, content FROM sent_papers WHERE job = ? AND version = ? AND name = ?"
        row = self._database.row(query, (job, version, name))
        if row is None:
            raise LookupError(f"version {version} of job {job} keeps no {name[:40]}")
        return unpack(row["packing"], row["content"])

    def names(self, job: int, version: int) -> tuple[str, ...]:
        """Return the name of every paper that is kept of a quote, in the order in which they were."""
        query = "SELECT name FROM sent_papers WHERE job = ? AND version = ? ORDER BY rowid"
        return tuple(row["name"] for row in self._database.rows(query, (job, version)))

    def wanting(self, made_by: str) -> list[tuple[int, int]]:
        """Return job and version of every sent quote without papers that this program has not yet tried to make."""
        query = """SELECT q.job, q.version FROM quotes q
                   LEFT JOIN printings p ON p.job = q.job AND p.version = q.version
                   WHERE p.job IS NULL OR (p.trouble <> '' AND p.made_by <> ?) ORDER BY q.job, q.version"""
        return [(row["job"], row["version"]) for row in self._database.rows(query, (made_by,))]


def pack(content: bytes) -> tuple[str, bytes]:
    """Return how a paper is packed, and it so packed."""
    packed = zlib.compress(content, 9)
    return ("zlib", packed) if len(packed) < _PAYS * len(content) else ("", content)


def unpack(packing: str, content: bytes) -> bytes:
    """Return a paper as it was."""
    return zlib.decompress(content) if packing else content
