"""Answers of long work: the last of each kind that a job had, kept so that a desk that is opened again has it still.

What an answer is of, the program that worked it out included, is for the answer itself to know; it is read whichever
version of the program kept it.
"""

import json
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

from pricing.store.codec import decode, encode
from pricing.store.database import Database
from pricing.store.time import Clock

T = TypeVar("T")
_UNREADABLE: Final = (ValueError, TypeError, LookupError, AttributeError, ArithmeticError)


@dataclass(frozen=True)
class Kept(Generic[T]):
    """An answer as it was kept, and the program that worked it out."""

    answer: T
    made_by: str


class Answers(Generic[T]):
    """The last answer of one kind of every job.

    Parameters
    ----------
    database : Database
        Where they are kept.
    clock : callable
        Moment of each save as text.
    kind : str
        What they are answers to, such as ``"ways"``.
    made_of : type
        What each is: a dataclass that :mod:`pricing.store.codec` knows.
    by : str
        Whose figures those are that are kept from now on: the program with its version.
    """

    def __init__(self, database: Database, clock: Clock, kind: str, made_of: type[T], by: str) -> None:
        self._database = database
        self._clock = clock
        self._kind = kind
        self._made_of = made_of
        self._by = by

    def keep(self, job: int, answer: T) -> None:
        """Keep an answer in place of the job's last one."""
        text = json.dumps(encode(answer), ensure_ascii=False, separators=(",", ":"))
        with self._database.writing() as link:
            link.execute(
                "INSERT OR REPLACE INTO answers VALUES (?, ?, ?, ?, ?)",
                (job, self._kind, self._by, text, self._clock()),
            )

    def last(self, job: int) -> Kept[T] | None:
        """Return the job's last answer.

        None where there is none, and where it cannot be read any more: it can be asked for again.
        """
        row = self._database.row("SELECT content, made_by FROM answers WHERE job = ? AND kind = ?", (job, self._kind))
        if row is None:
            return None
        try:
            made: T = decode(self._made_of, json.loads(row["content"]))
        except _UNREADABLE:
            return None
        return Kept(made, row["made_by"])
