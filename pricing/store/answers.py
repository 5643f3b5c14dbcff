"""Answers of long work: the last of each kind that a job had, kept so that a desk that is opened again has it still."""

import json
from typing import Final, Generic, TypeVar

from pricing.store.codec import decode, encode
from pricing.store.database import Database
from pricing.store.time import Clock

T = TypeVar("T")
_UNREADABLE: Final = (ValueError, TypeError, LookupError, AttributeError, ArithmeticError, StopIteration)


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
        Whose figures they are: the program's version. Those of another version are not read.
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

    def last(self, job: int) -> T | None:
        """Return the job's last answer.

        None where there is none, and where another version of the program wrote it or it cannot be read any more: it
        can be asked for again.
        """
        query = "SELECT content FROM answers WHERE job = ? AND kind = ? AND made_by = ?"
        row = self._database.row(query, (job, self._kind, self._by))
        if row is None:
            return None
        try:
            made: T = decode(self._made_of, json.loads(row["content"]))
        except _UNREADABLE:
            return None
        return made
