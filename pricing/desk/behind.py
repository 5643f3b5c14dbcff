"""Large orders: worked out behind the pages, in a process of their own, so that no page waits and no other job does.

What stands in place of the figure meanwhile is the last that the job had, or else a rough one, and says so.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from threading import BoundedSemaphore, Event, Lock
from time import monotonic
from typing import Final, Literal

from pricing.desk.floor import Answer, Floor, Unfigured, is_large
from pricing.desk.rough import ABOUT
from pricing.desk.search import Found, Search, Searches
from pricing.desk.settling import Figured
from pricing.store import StoreError

LONGEST: Final = 20.0
"""Seconds that a request waits for a figure, where it can do nothing without."""
_SHORT: Final = 200
"""Pieces up to which an order that settled is built again by the desk itself: that takes less than another process to
start, two seconds at the most."""
_WAITING: Final = 6
"""Requests that wait so at once: more would leave no thread to whoever only looks at something."""
_LOOKS: Final = 0.1
_ENDED: Final = "The process that worked it out ended early."
_WORD: Final = ", settling"


class SettlingError(StoreError):
    """What was asked for waits for the settled figure."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"The figure is still settling: {what} waits for it, some seconds as a rule. Ask again when it has settled."
        )


@dataclass(frozen=True)
class Pending:
    """What stands in place of a figure that is being worked out behind the pages.

    Attributes
    ----------
    total : str
        The last total that the job had, or a rough one; empty where there is neither.
    told : str
        What it is, for people.
    """

    total: str = ""
    told: str = ""


@dataclass
class _Going:
    """One order that is being worked out."""

    key: str
    ended: Event = field(default_factory=Event)
    search: Search | None = None


class Behind:
    """Has large orders worked out, the latest of each job, and remembers what is on its way.

    Parameters
    ----------
    floor : Floor
        Takes what comes of it.
    searches : Searches
        Runs it.
    done : callable
        Told of each job whose own figure there is now, in the thread of the searches.
    """

    def __init__(self, floor: Floor, searches: Searches, done: Callable[[int], None]) -> None:
        self._floor = floor
        self._searches = searches
        self._done = done
        self._lock = Lock()
        self._going: dict[tuple[int, str], _Going] = {}
        self._seats = BoundedSemaphore(_WAITING)

    def begin(self, job: int, wanted: Unfigured, kind: Literal["figure", "tried"]) -> _Going:
        """Have an order worked out, unless that is on its way; an earlier one of the job and kind is given up."""
        with self._lock:
            going = self._going.get((job, kind))
            if going is not None and going.key == wanted.key and (not self._over(going, wanted) or self._failed(going)):
                return going
            going = self._going[job, kind] = _Going(wanted.key)
            going.search = self._asked(job, wanted, kind, going)
            return going

    def _asked(self, job: int, wanted: Unfigured, kind: Literal["figure", "tried"], going: _Going) -> Search | None:
        """Ask the searches for it."""

        def finished(found: Found, _stopped: bool) -> str:
            made: Figured | None = found.get(wanted.work.name)
            if made is not None:
                self._floor.take(wanted, made)
            going.ended.set()
            if made is not None and kind == "figure":
                self._done(job)
            return ""

        here = wanted.work.is_kept and not is_large(wanted.work.asked.order, _SHORT)
        return self._searches.begin(job, (wanted.work,), finished, patience=0.0, kind=kind, here=here)

    def _over(self, going: _Going, wanted: Unfigured) -> bool:
        """Whether nothing more comes of it; a process that broke off is told like any failure of the program."""
        if self._failed(going):
            news = going.search.news if going.search else ""
            self._floor.take(wanted, Figured(trouble=news or _ENDED))
        return going.ended.is_set() or (going.search is not None and going.search.over)

    def _failed(self, going: _Going) -> bool:
        """Whether the process broke off before anything came of it."""
        return going.search is not None and going.search.state == "failed" and not going.ended.is_set()

    def wait(self, job: int, wanted: Unfigured, kind: Literal["figure", "tried"]) -> Answer:
        """Wait for an order to be worked out.

        Raises
        ------
        nesting.base.faults.FaultsFound, pricing.desk.floor.FailedError
            As :meth:`pricing.desk.floor.Floor.known`.
        SettlingError
            Where it takes too long, or another is asked for meanwhile.
        """
        if not self._seats.acquire(blocking=False):
            raise SettlingError("this")
        try:
            going, end = self.begin(job, wanted, kind), monotonic() + LONGEST
            while not going.ended.wait(_LOOKS) and not self._over(going, wanted) and monotonic() < end:
                pass
        finally:
            self._seats.release()
        found = self._floor.known(wanted.key)
        if found is None:
            raise SettlingError("this")
        return found


def standing(total: str, *, same: bool, rough: Callable[[], str]) -> Pending:
    """Return what stands in place of a job's figure: the total that its list has, where the pieces are as many still.

    Parameters
    ----------
    total : str
        As the list of jobs has it.
    same : bool
        Whether the job has as many pieces as when that was noted.
    rough : callable
        Returns a rough total, or an empty text.
    """
    last = total.removesuffix(_WORD)
    if last and same and not last.startswith(ABOUT):
        return Pending(last, "As it was worked out last. The figure of what is entered now follows.")
    if found := rough():
        return Pending(found, "A rough figure. The figure itself follows.")
    return Pending("", "The figure is being worked out.")
