"""Quotes as they were sent: frozen with order, prices and rules, cutting plans, and that day's figures and papers."""

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from pricing.store.database import Database
from pricing.store.sent_papers import SentPapers
from pricing.store.time import Clock


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A quote that is about to be sent.

    Attributes
    ----------
    number : str
        On the quote.
    sent_on : date
        Day of the quote.
    total : Decimal
        In ``currency``.
    content, office, plans : str
        JSON: the order with the job's own changes; prices, rates, rules, rack and destinations; cutting plans.
    result : str
        JSON: the whole quote as tables (:func:`pricing.output.tables.quote_document`).
    papers : mapping of str to bytes
        What goes out, by name, such as ``"packet.pdf"``.
    """

    number: str
    sent_on: date
    total: Decimal
    currency: str
    content: str
    office: str
    plans: str
    result: str
    papers: Mapping[str, bytes]


@dataclass(frozen=True, slots=True)
class SentQuote:
    """One version of a job's quote as it was sent.

    Attributes
    ----------
    job, version : int
        Versions count from 1 within a job.
    number, sent_on, total, currency, content, office, plans, result
        As :class:`Outgoing` has them.
    at : str
        Moment when it was frozen.
    """

    job: int
    version: int
    number: str
    sent_on: date
    total: Decimal
    currency: str
    content: str
    office: str
    plans: str
    result: str
    at: str


class Quotes:
    """All quotes that were sent.

    Parameters
    ----------
    database : Database
        Where they are kept.
    clock : callable
        Moment of each save as text.
    papers : SentPapers
        Where their papers are kept.
    """

    def __init__(self, database: Database, clock: Clock, papers: SentPapers) -> None:
        self._database = database
        self._clock = clock
        self._papers = papers

    def freeze(self, job: int, quote: Outgoing, made_by: str) -> SentQuote:
        """Keep a quote with its papers, by whichever program made them, for good as the job's next version.

        All or nothing; the tables refuse any later change.
        """
        with self._database.writing() as link:
            row = link.execute("SELECT coalesce(max(version), 0) + 1 FROM quotes WHERE job = ?", (job,)).fetchone()
            at = self._clock()
            link.execute(
                "INSERT INTO quotes VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (job, row[0], quote.number, quote.sent_on.isoformat(), str(quote.total), quote.currency, quote.content,
                 quote.office, quote.plans, quote.result, at),
            )  # fmt: skip
            self._papers.keep(job, row[0], quote.papers, made_by)
            return self.get(job, row[0])

    def get(self, job: int, version: int) -> SentQuote:
        """Return one version; LookupError where it was never sent."""
        row = self._database.row("SELECT * FROM quotes WHERE job = ? AND version = ?", (job, version))
        if row is None:
            raise LookupError(f"job {job} has no version {version}")
        return _sent(row)

    def of(self, job: int) -> list[SentQuote]:
        """Return every version of a job, the latest first."""
        rows = self._database.rows("SELECT * FROM quotes WHERE job = ? ORDER BY version DESC", (job,))
        return [_sent(row) for row in rows]


def _sent(row: sqlite3.Row) -> SentQuote:
    values = {name: row[name] for name in SentQuote.__slots__}
    return SentQuote(**{**values, "sent_on": date.fromisoformat(row["sent_on"]), "total": Decimal(row["total"])})
