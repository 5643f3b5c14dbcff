"""The store as one thing: its database and its rooms."""

from pathlib import Path
from typing import TypeVar

from pricing.store.answers import Answers
from pricing.store.database import Database
from pricing.store.documents import Documents
from pricing.store.folder import DataFolder
from pricing.store.jobs import Jobs
from pricing.store.keeper import Keeper
from pricing.store.pins import Pins
from pricing.store.plans import Plans
from pricing.store.quotes import Quotes
from pricing.store.rackroom import RackRoom
from pricing.store.sent_papers import SentPapers
from pricing.store.time import Clock, now
from pricing.store.took import Took

T = TypeVar("T")


class Store:
    """Everything that the desk keeps; nobody else can open its folder until it is closed.

    Parameters
    ----------
    folder : Path
        The data folder; made if missing.
    clock : callable
        Moment of each save as text.

    Attributes
    ----------
    documents, jobs, took, sent_papers, quotes, pins, rack, plans
        The rooms.
    keeper : Keeper
        Checks and backs up by the clock, once it is begun.
    remarks : tuple of str
        What a person should know of its opening.

    Raises
    ------
    pricing.store.StoreError
        When the folder holds a file that cannot be used, is another desk's, or when the system does not let us in.
    """

    def __init__(self, folder: Path, clock: Clock = now) -> None:
        self.folder = folder
        self._clock = clock
        self._held = DataFolder(folder)
        try:
            self.database = Database(folder, begun=self._held.begun)
            self._held.note_begun()
        except BaseException:
            self._held.close()
            raise
        self.remarks = self._held.remarks
        self.keeper = Keeper(self.database)
        self.documents = Documents(self.database, clock)
        self.jobs = Jobs(self.database, clock, self.documents)
        self.took = Took(self.database)
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
        """Close the file, and let others have the folder."""
        self.keeper.stop()
        self.database.close()
        self._held.close()
