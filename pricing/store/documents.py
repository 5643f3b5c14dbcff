"""Documents: texts that people edit (a job, the price book, the rules), each with every revision it had.

A save names the revision that it is based on. If another came between, it raises :class:`Conflict` with the current
one, and nothing is written. Undo and redo write new revisions, so that history only grows. Each returns the revision
that it wrote itself, whatever others write in the same moment: the next save is based on it.
"""

import sqlite3
from dataclasses import dataclass
from typing import Final

from pricing.store.database import Database
from pricing.store.time import Clock

_BUILT_IN: Final = """SELECT ? AS document, 0 AS number, '' AS content, 'as built in' AS what, '' AS at,
    0 AS position, NULL AS parent, NULL AS ahead"""
_REVISIONS: Final = """SELECT r.*, r.parent = 0 OR p.number IS NOT NULL AS back, a.number IS NOT NULL AS forward,
    s.what AS undoes, a.what AS redoes FROM revisions r
    LEFT JOIN revisions p ON p.document = r.document AND p.number = r.parent
    LEFT JOIN revisions s ON s.document = r.document AND s.number = r.position
    LEFT JOIN revisions a ON a.document = r.document AND a.number = r.ahead"""
"""Every revision, with whether the ways back and forward lead to something that is kept, and what each would do."""
UNDONE: Final = "undone: "
REDONE: Final = "redone: "
"""What the words of an undo and of a redo begin with."""
KEPT: Final = 200
"""Revisions kept for each document; older ones go, the oldest first."""


@dataclass(frozen=True, slots=True)
class Document:
    """One revision of a document.

    Attributes
    ----------
    name : str
        Such as ``"prices"`` or ``"job:12"``.
    revision : int
        Counts from 1; 0 where nothing was ever saved.
    content : str
        The text; empty at revision 0.
    what : str
        What the change was, for people.
    at : str
        Moment of the save, ISO 8601 in UTC.
    can_undo, can_redo : bool
        Whether there is a way back, or forward again.
    undoes, redoes : str
        What the change was that undo would take back, or redo bring again; empty where there is no such way, or where
        that revision is not kept any more.
    """

    name: str
    revision: int
    content: str
    what: str = ""
    at: str = ""
    can_undo: bool = False
    can_redo: bool = False
    undoes: str = ""
    redoes: str = ""


class Conflict(Exception):  # noqa: N818 - a conflict is no error of the program
    """Somebody else saved meanwhile.

    Attributes
    ----------
    current : Document
        What is saved now.
    base : Document or None
        What the refused save was based on, if it is still kept.
    """

    def __init__(self, current: Document, base: Document | None) -> None:
        self.current = current
        self.base = base
        super().__init__(f"{current.name} was changed meanwhile: {current.what or 'saved'} at {current.at}")


class Documents:
    """All documents of a store."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database = database
        self._clock = clock

    def get(self, name: str) -> Document:
        """Return the current revision."""
        return self._at(name, None) or Document(name, 0, "")

    def at(self, name: str, revision: int) -> Document | None:
        """Return an earlier revision, or None where it is not kept."""
        return self._at(name, revision)

    def history(self, name: str, most: int = 50) -> list[Document]:
        """Return the latest revisions, the newest first."""
        query = f"{_REVISIONS} WHERE r.document = ? ORDER BY r.number DESC LIMIT ?"
        return [_document(row) for row in self._database.rows(query, (name, most))]

    def _at(self, name: str, revision: int | None) -> Document | None:
        query = f"""{_REVISIONS} JOIN documents d ON d.name = r.document
                    WHERE r.document = ? AND r.number = coalesce(?, d.revision)"""
        row = self._database.row(query, (name, revision))
        return _document(row) if row else None

    def save(self, name: str, content: str, *, based_on: int, what: str, over_built_in: bool = False) -> Document:
        """Save a new revision.

        Parameters
        ----------
        based_on : int
            The revision that was edited; 0 for a new document.
        what : str
            What was changed, for people.
        over_built_in : bool
            Whether the document, while nothing is saved, stands for something built in, to which undo leads back.

        Raises
        ------
        Conflict
            When that is no longer the current revision.
        """
        with self._database.writing() as link:
            before = self._current(name, based_on)
            if before is not None and before["content"] == content:
                return self.get(name)
            number = based_on + 1
            first = 0 if over_built_in else None
            parent = first if before is None else before["position"]
            return self._write(link, name, number, content, what, (number, parent, None))

    def undo(self, name: str, *, based_on: int) -> Document:
        """Go back to what stood before the latest change; raises :class:`Conflict` as :meth:`save`, or LookupError."""
        with self._database.writing() as link:
            now = self._current(name, based_on)
            earlier = self._row(name, now["parent"]) if now is not None else None
            if now is None or earlier is None:
                raise LookupError(f"nothing of {name} is left to undo")
            place = (earlier["position"], earlier["parent"], now["position"])
            told = self._row(name, now["position"]) or now
            return self._write(link, name, based_on + 1, earlier["content"], f"{UNDONE}{told['what']}", place)

    def redo(self, name: str, *, based_on: int) -> Document:
        """Take the latest undo back; raises as :meth:`undo`."""
        with self._database.writing() as link:
            now = self._current(name, based_on)
            later = self._row(name, now["ahead"]) if now is not None else None
            if now is None or later is None:
                raise LookupError(f"nothing of {name} is left to redo")
            query = """SELECT ahead FROM revisions WHERE document = ? AND position = ? AND number < ?
                       AND ahead IS NOT NULL ORDER BY number DESC LIMIT 1"""
            found = self._database.row(query, (name, later["position"], now["number"]))
            place = (later["position"], later["parent"], found["ahead"] if found else None)
            return self._write(link, name, based_on + 1, later["content"], f"{REDONE}{later['what']}", place)

    def _row(self, name: str, number: int | None) -> sqlite3.Row | None:
        if number == 0:
            return self._database.row(_BUILT_IN, (name,))
        return self._database.row("SELECT * FROM revisions WHERE document = ? AND number = ?", (name, number))

    def _current(self, name: str, based_on: int) -> sqlite3.Row | None:
        """Return the current revision's row, or raise where it is not the one that was edited."""
        row = self._database.row("SELECT revision FROM documents WHERE name = ?", (name,))
        number = row["revision"] if row else 0
        if number != based_on:
            raise Conflict(self.get(name), self.at(name, based_on))
        return self._row(name, number) if number else None

    def _write(
        self,
        link: sqlite3.Connection,
        name: str,
        number: int,
        content: str,
        what: str,
        place: tuple[int, int | None, int | None],
    ) -> Document:
        """Write a revision, make it the current one and return it; forget the oldest beyond those kept."""
        link.execute(
            "INSERT INTO documents VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET revision = excluded.revision",
            (name, number),
        )
        link.execute(
            "INSERT INTO revisions VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (name, number, content, what, self._clock(), *place),
        )
        link.execute("DELETE FROM revisions WHERE document = ? AND number <= ?", (name, number - KEPT))
        return self.get(name)


def _document(row: sqlite3.Row) -> Document:
    return Document(
        row["document"],
        row["number"],
        row["content"],
        row["what"],
        row["at"],
        can_undo=bool(row["back"]),
        can_redo=bool(row["forward"]),
        undoes=(row["undoes"] or "") if row["back"] else "",
        redoes=row["redoes"] or "",
    )
