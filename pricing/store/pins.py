"""Pins: jobs as they were when they were accepted or first cut, whole, and what is sawn of them.

A pin never changes; only whether it holds does. Which pins of a job hold, and what is sawn of each, is a document too
(see :func:`paper`), written in the same transaction as the tables: every pin, tick and unpinning is one step of undo.
"""

import json
import sqlite3
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final, Literal

from pricing.quoting.quote import Quote
from pricing.store.codec import decode, encode
from pricing.store.database import Database
from pricing.store.documents import Conflict, Document, Documents
from pricing.store.errors import StoreError
from pricing.store.jobs import PINNING
from pricing.store.sent_papers import pack, unpack
from pricing.store.time import Clock

Place = tuple[int, str, int]
"""Number of a pin, a good, and which of the good's layouts, counted from 0."""
Made = tuple[int, str, int, str]
"""Number of a pin, a good, which of its layouts, and the mark of one cut of it that is made."""
_NOT_PINNED: Final = "it is not pinned any more; look at it again before a sheet is ticked"
_UNREADABLE: Final = (ValueError, TypeError, LookupError, AttributeError, ArithmeticError, zlib.error)


def paper(job: int) -> str:
    """Return the name of the document that says which pins of a job hold and what is sawn of them."""
    return f"cut:{job}"


@dataclass(frozen=True, slots=True)
class Pinning:
    """What is about to be pinned.

    Attributes
    ----------
    why : str
        For people, such as ``"accepted, version 2 as it was sent"``.
    on_day : date
        The day from which it is pinned.
    revision : int
        Of the job's document.
    content : str
        What was entered, as JSON.
    quote : Quote or None
        What came of it; None where no program of today can work it through any more.
    result : str
        JSON: the whole quote as tables (:func:`pricing.output.tables.quote_document`).
    sent : int
        The sent version whose papers are its papers; 0 where it has its own.
    papers : mapping of str to bytes
        Its own, where they are made already; else see :meth:`Pins.keep_papers`.
    """

    why: str
    on_day: date
    revision: int
    content: str
    quote: Quote | None
    result: str
    sent: int = 0
    papers: Mapping[str, bytes] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Pin:
    """A job as it is pinned, its quote and papers aside, which are asked for by themselves.

    Attributes
    ----------
    job, number : int
        Pins count from 1 within a job.
    at : str
        Moment.
    made_by : str
        The program that pinned it.
    why, on_day, revision, content, result, sent
        As :class:`Pinning` has them.
    """

    job: int
    number: int
    at: str
    on_day: date
    made_by: str
    why: str
    revision: int
    content: str
    result: str
    sent: int


@dataclass(frozen=True)
class Cut:
    """Which pins of a job hold, and what is sawn of them; never changed in place.

    Attributes
    ----------
    pins : tuple of int
        The numbers of those that hold, the latest last.
    sawn : mapping of Place to int
        How many are sawn of each layout of which any is.
    made : frozenset of Made
        Single cuts that are ticked at the saw, each made on all sheets of its layout.
    """

    pins: tuple[int, ...] = ()
    sawn: Mapping[Place, int] = field(default_factory=dict)
    made: frozenset[Made] = frozenset()

    def text(self) -> str:
        """Write as JSON."""
        told = {"pins": self.pins, "sawn": sorted([*place, count] for place, count in self.sawn.items())}
        return json.dumps({**told, "made": sorted(self.made)} if self.made else told)

    def of(self, pin: int) -> dict[tuple[str, int], int]:
        """Return how many are sawn of one pin, by good and layout."""
        return {(good, sheet): count for (number, good, sheet), count in self.sawn.items() if number == pin}

    def without_latest(self) -> "Cut":
        """Return it with the latest pin taken out, and the ticks of its sheets with it."""
        left = self.pins[:-1]
        return Cut(
            left,
            {place: count for place, count in self.sawn.items() if place[0] in left},
            frozenset(each for each in self.made if each[0] in left),
        )

    def with_sawn(self, place: Place, count: int) -> "Cut":
        """Return it with so many sawn of one layout; with fewer than before, none of its cuts counts as made."""
        sawn = {other: each for other, each in self.sawn.items() if other != place}
        fewer = count < self.sawn.get(place, 0)
        made = frozenset(each for each in self.made if each[:3] != place) if fewer else self.made
        return replace(self, sawn={**sawn, place: count} if count else sawn, made=made)


Ticking = Callable[[Cut, int], Cut]
"""What a tick makes of what holds, given the number of the pin that it is of."""


def cut_from(text: str) -> Cut:
    """Read what :meth:`Cut.text` wrote; nothing is a job of which nothing was ever pinned."""
    if not text:
        return Cut()
    document = json.loads(text)
    sawn = {(pin, good, sheet): count for pin, good, sheet, count in document["sawn"]}
    made = frozenset((pin, good, sheet, mark) for pin, good, sheet, mark in document.get("made", ()))
    return Cut(tuple(document["pins"]), sawn, made)


def quote_bytes(quote: Quote | None) -> bytes:
    """Write a whole quote as packed JSON; nothing where there is none."""
    if quote is None:
        return b""
    return zlib.compress(json.dumps(encode(quote), ensure_ascii=False, separators=(",", ":")).encode(), 9)


def quote_from(packed: bytes) -> Quote | None:
    """Read what :func:`quote_bytes` wrote; None where this program cannot."""
    try:
        made: Quote = decode(Quote, json.loads(zlib.decompress(packed)))
    except _UNREADABLE:
        return None
    return made


class Pins:
    """The pins of all jobs."""

    def __init__(self, database: Database, clock: Clock, documents: Documents) -> None:
        self._database = database
        self._clock = clock
        self._documents = documents

    def document(self, job: int) -> Document:
        """Return the current revision of what holds and is sawn, by which pages tell what they showed."""
        return self._documents.get(paper(job))

    def cut(self, job: int) -> Cut:
        """Return which pins hold and what is sawn of them."""
        return cut_from(self.document(job).content)

    def get(self, job: int, number: int) -> Pin:
        """Return a pin, whether it holds or not; LookupError where there is none of that number."""
        row = self._database.row(
            """SELECT job, number, at, on_day, made_by, why, revision, content, result, sent FROM pins
               WHERE job = ? AND number = ?""",
            (job, number),
        )
        if row is None:
            raise LookupError(f"job {job} has no pin {number}")
        return _pin(row)

    def current(self, job: int) -> Pin | None:
        """Return the latest pin that holds, or None."""
        row = self._database.row(
            "SELECT max(number) AS number FROM pins WHERE job = ? AND NOT gone HAVING max(number)", (job,)
        )
        return self.get(job, row["number"]) if row else None

    def ever(self, job: int) -> bool:
        """Whether a job was ever pinned."""
        return self._database.row("SELECT 1 FROM pins WHERE job = ?", (job,)) is not None

    def wanting(self) -> list[int]:
        """Return the jobs that were sent and accepted, but never pinned, as under a program that pinned none."""
        marks = ", ".join("?" * len(PINNING))
        query = f"""SELECT j.id FROM jobs j
            JOIN standings s ON s.id = (SELECT max(id) FROM standings WHERE job = j.id AND NOT gone)
            WHERE s.standing IN ({marks}) AND EXISTS (SELECT 1 FROM quotes q WHERE q.job = j.id)
              AND NOT EXISTS (SELECT 1 FROM pins p WHERE p.job = j.id) ORDER BY j.id"""  # noqa: S608 - only marks
        return [row["id"] for row in self._database.rows(query, PINNING)]

    def quote(self, job: int, number: int) -> Quote | None:
        """Return the quote of a pin; None where this program cannot read it, or none could when it was pinned."""
        row = self._database.row("SELECT quote FROM pins WHERE job = ? AND number = ?", (job, number))
        return quote_from(row["quote"]) if row else None

    def paper(self, job: int, number: int, name: str) -> bytes:
        """Return a paper that a pin keeps itself; LookupError where it keeps none of that name."""
        query = "SELECT packing, content FROM pin_papers WHERE job = ? AND number = ? AND name = ?"
        row = self._database.row(query, (job, number, name))
        if row is None:
            raise LookupError(f"pin {number} of job {job} keeps no {name[:40]}")
        return unpack(row["packing"], row["content"])

    def printed(self, job: int, number: int) -> bool:
        """Whether a pin keeps papers of its own."""
        query = "SELECT 1 FROM pin_papers WHERE job = ? AND number = ? LIMIT 1"
        return self._database.row(query, (job, number)) is not None

    def unprinted(self) -> list[tuple[int, int]]:
        """Return the pins, by job and number, that are to have papers of their own and have none; the latest first."""
        rows = self._database.rows(
            """SELECT job, number FROM pins AS p WHERE sent = 0 AND length(quote) > 0 AND NOT EXISTS
               (SELECT 1 FROM pin_papers AS o WHERE o.job = p.job AND o.number = p.number) ORDER BY at DESC, number"""
        )
        return [(row["job"], row["number"]) for row in rows]

    def keep_papers(self, job: int, number: int, papers: Mapping[str, bytes]) -> None:
        """Keep the papers of a pin that has none; all of them, and once for good."""
        packed = [(job, number, name, *pack(content)) for name, content in papers.items()]
        with self._database.writing() as link:
            if not self.printed(job, number):
                link.executemany("INSERT INTO pin_papers VALUES (?, ?, ?, ?, ?)", packed)

    # What changes them; each is one transaction, or part of the caller's, and one step of undo.

    def pin(
        self,
        job: int,
        pinning: Pinning,
        made_by: str,
        *,
        based_on: int,
        sawn: "tuple[str, int, int] | Ticking | None" = None,
    ) -> Pin:
        """Pin a job, with the first tick where one brought it about: a good, one of its layouts, and a count; or any.

        Raises
        ------
        pricing.store.Conflict
            When it was pinned, unpinned or ticked since revision ``based_on`` of :meth:`document`.
        """
        with self._database.writing() as link:
            before = self._unless_moved(job, based_on)
            row = link.execute("SELECT coalesce(max(number), 0) + 1 FROM pins WHERE job = ?", (job,)).fetchone()
            number = int(row[0])
            link.execute(
                "INSERT INTO pins VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 1)",
                (job, number, self._clock(), pinning.on_day.isoformat(), made_by, pinning.why, pinning.revision,
                 pinning.content, quote_bytes(pinning.quote), pinning.result, pinning.sent),
            )  # fmt: skip
            for name, content in pinning.papers.items():
                link.execute("INSERT INTO pin_papers VALUES (?, ?, ?, ?, ?)", (job, number, name, *pack(content)))
            after = replace(before, pins=(*before.pins, number))
            if callable(sawn):
                after = sawn(after, number)
            elif sawn:
                good, sheet, count = sawn
                after = replace(after, sawn={**after.sawn, (number, good, sheet): count})
            self._write(job, before, after, f"pinned: {pinning.why}", based_on)
            return self.get(job, number)

    def saw(self, job: int, place: Place, count: int, *, based_on: int, what: str) -> None:
        """Note how many are sawn of one layout of a pin that holds; raises as :meth:`pin`."""
        with self._database.writing():
            before = self._unless_moved(job, based_on)
            if place[0] not in before.pins:
                raise StoreError(_NOT_PINNED)
            self._write(job, before, before.with_sawn(place, count), what, based_on)

    def tick(self, job: int, number: int, ticking: Ticking, *, what: str) -> None:
        """Note cuts of a pin that holds, whatever else was ticked meanwhile: no tick rests on what others do."""
        with self._database.writing():
            document = self.document(job)
            before = cut_from(document.content)
            if number not in before.pins:
                raise StoreError(_NOT_PINNED)
            self._write(job, before, ticking(before, number), what, document.revision)

    def unpin(self, job: int, *, based_on: int) -> None:
        """Take the latest pin off; it is kept, and undo brings it back with its ticks. Raises as :meth:`pin`."""
        with self._database.writing():
            before = self._unless_moved(job, based_on)
            if not before.pins:
                raise StoreError("it is not pinned")
            self._write(job, before, before.without_latest(), "unpinned", based_on)

    def step(self, job: int, way: Literal["undo", "redo"], *, based_on: int) -> Document:
        """Undo or redo the latest pin, tick or unpinning; raises as :meth:`pin`, and LookupError where none is left."""
        with self._database.writing():
            before = self.cut(job)
            go = self._documents.redo if way == "redo" else self._documents.undo
            made = go(paper(job), based_on=based_on)
            self._fill(job, before, cut_from(made.content))
            return made

    def _unless_moved(self, job: int, based_on: int) -> Cut:
        """Return what holds, or raise :class:`Conflict` where it is not as it was seen."""
        document = self.document(job)
        if document.revision != based_on:
            raise Conflict(document, self._documents.at(paper(job), based_on))
        return cut_from(document.content)

    def _write(self, job: int, before: Cut, after: Cut, what: str, based_on: int) -> None:
        """Make what holds another and keep it as a revision; the first time, what was before as one too."""
        if not based_on:
            based_on = self._documents.save(paper(job), before.text(), based_on=0, what="not pinned").revision
        self._documents.save(paper(job), after.text(), based_on=based_on, what=what)
        self._fill(job, before, after)

    def _fill(self, job: int, before: Cut, after: Cut) -> None:
        """Bring the tables to what holds."""
        with self._database.writing() as link:
            for number in {*before.pins} ^ {*after.pins}:
                gone = int(number not in after.pins)
                link.execute("UPDATE pins SET gone = ? WHERE job = ? AND number = ?", (gone, job, number))
            link.execute("DELETE FROM sawn WHERE job = ?", (job,))
            rows = [(job, *place, count) for place, count in after.sawn.items()]
            link.executemany("INSERT INTO sawn VALUES (?, ?, ?, ?, ?)", rows)


def _pin(row: sqlite3.Row) -> Pin:
    values = {name: row[name] for name in Pin.__slots__}
    return Pin(**{**values, "on_day": date.fromisoformat(row["on_day"])})
