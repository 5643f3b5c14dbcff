"""The store as one thing: its database and its rooms."""

from pathlib import Path
from typing import TypeVar

from pricing.store.answers import Answers
from pricing.store.database import Database
from pricing.store.documents import Documents
from pricing.store.jobs import Jobs
from pricing.store.pins import Pins
from pricing.store.plans import Plans
from pricing.store.quotes import Quotes
from pricing.store.rackroom import RackRoom
from pricing.store.sent_papers import SentPapers
from pricing.store.time import Clock, now

T = TypeVar("T")


class Store:
    """Everything that the desk keeps.

    Parameters
    ----------
    folder : Path
        The data folder; made if missing.
    clock : callable
        Moment of each save as text.

    Attributes
    ----------
    documents, jobs, sent_papers, quotes, pins, rack, plans
        The rooms.

    Raises
    ------
    pricing.store.StoreError
        When the folder holds a file that cannot be used.
    """

    def __init__(self, folder: Path, clock: Clock = now) -> None:
        self.folder = folder
        self._clock = clock
        self.database = Database(folder)
        self.documents = Documents(self.database, clock)
        self.jobs = Jobs(self.database, clock, self.documents)
        self.sent_papers = SentPapers(self.database, clock)
        self.quotes = Quotes(self.database, clock, self.sent_papers)
        self.pins = Pins(self.database, clock, self.documents)
        self.rack = RackRoom(self.database, clock, self.documents)
        self.plans = Plans(self.database, clock)

    @property
    def rates_form(self) -> int:
        """The form of the rates that were built in when the folder was begun."""
        row = self.database.row("SELECT rates_form FROM begun")
        return int(row["rates_form"]) if row else 1

    def answers(self, kind: str, made_of: type[T], by: str) -> Answers[T]:
        """Return the room of the answers of one kind; see :class:`pricing.store.answers.Answers`."""
        return Answers(self.database, self._clock, kind, made_of, by)

    def close(self) -> None:
        """Close the file."""
        self.database.close()
