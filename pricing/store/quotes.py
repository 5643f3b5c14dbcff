"""Quotes as they were sent: frozen with order, prices and rules, cutting plans and the figures of that day."""

import sqlite3
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from pricing.store.database import Database
from pricing.store.time import Clock


@dataclass(frozen=True, slots=True)
class SentQuote:
    """One version of a job's quote as it was sent.

    Attributes
    ----------
    job, version : int
        Versions count from 1 within a job.
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
    """All quotes that were sent."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database = database
        self._clock = clock

    def freeze(
        self, job: int, *, number: str, sent_on: date, total: Decimal, currency: str, content: str, office: str,
        plans: str, result: str,
    ) -> SentQuote:  # fmt: skip
        """Keep a quote for good as the job's next version; the tables refuse any later change."""
        with self._database.writing() as link:
            row = link.execute("SELECT coalesce(max(version), 0) + 1 FROM quotes WHERE job = ?", (job,)).fetchone()
            link.execute(
                "INSERT INTO quotes VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (job, row[0], number, sent_on.isoformat(), str(total), currency, content, office, plans, result,
                 self._clock()),
            )  # fmt: skip
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
