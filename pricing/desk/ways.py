"""Ways to pack: every method for every piece, reckoned by the worker, and the answers kept.

A comparison is one of a job's content, the studio's papers, the day and the program that works it out. It is found
again by a digest of these, so that after a change it stands there as one of what was before, and after an undo as one
of what is now; under another version of the program it is shown as one of that which made it.
"""

import hashlib
from collections import OrderedDict
from dataclasses import dataclass
from datetime import date
from importlib.metadata import version
from threading import Lock
from typing import Final, Generic, Protocol, TypeVar

from nesting.base.progress import Progress
from nesting.base.search import Search
from nesting.base.stop import Stop
from nesting.base.version import made_by
from nesting.crates.cases.consignment import Grouping
from nesting.crates.registry import askable
from nesting.order import Order
from nesting.shop.shop import Shop
from pricing.ahead.methods import Combination, Pricer, combine, units_of
from pricing.ahead.methods.combine import BUDGET, By
from pricing.desk.content import Content
from pricing.desk.recent import Recent
from pricing.store.answers import Answers, Kept
from pricing.studio.office import Office

_KEPT: Final = 24
_SEARCHED: Final = Recent(1_000)
"""What the worker searched for comparisons before, so that to compare again after a small change takes little."""


@dataclass(frozen=True)
class Wish:
    """How a comparison is made.

    Attributes
    ----------
    by : {"total", "trip"}
        What the cheapest combination is the cheapest by.
    free : bool
        Whether it may change methods that the order asks for.
    """

    by: By = "total"
    free: bool = False


@dataclass(frozen=True)
class Comparing:
    """The work of comparing; see :func:`pricing.ahead.methods.combine`."""

    order: Order
    office: Office
    on: date
    seed: int
    wish: Wish
    taken: Grouping | None = None

    @property
    def name(self) -> str:
        """The key of what comes of it."""
        return "ways"

    def run(self, report: Progress, stop: Stop) -> Combination:
        """Compare; asked to stop, what was not yet priced stays so, and the best so far is the best."""
        search = Search(self.seed, "quick", stop, memory=_SEARCHED)
        pricer = Pricer(self.order, self.office, self.on, search, taken=self.taken)
        most = prices_at_most(self.order, self.office.shop)

        def told(count: int) -> None:
            report(f"{count} whole orders priced, {most} at most", min(1.0, count / most))

        pricer.told = told
        return combine(pricer, by=self.wish.by, free=self.wish.free)


def prices_at_most(order: Order, shop: Shop) -> int:
    """Return how many whole orders a comparison prices at the most."""
    return len(units_of(order, shop)) * len(askable()) + BUDGET


@dataclass(frozen=True)
class Compared:
    """A comparison that was made.

    Attributes
    ----------
    key : str
        What it is of; see :func:`key_of`.
    content : Content
        The job then.
    wish : Wish
        How it was made.
    found : Combination
        What came of it.
    stopped : bool
        Whether it was ended early.
    """

    key: str
    content: Content
    wish: Wish
    found: Combination
    stopped: bool


def key_of(content: Content, stamp: str, on: date) -> str:
    """Return the key of an answer, a digest of what it is worked out from: whatever changes a figure changes it.

    Of another program, or of another optimiser below it, no figure is sure to be the same.
    """
    return hashlib.sha256(repr((content.text(), stamp, on, made_by(), version("ortools"))).encode()).hexdigest()


class Keyed(Protocol):
    """An answer that knows what it is of."""

    @property
    def key(self) -> str:
        """See :func:`key_of`."""


K = TypeVar("K", bound=Keyed)


class Lately(Generic[K]):
    """Answers of long work made lately, by job and key; the oldest are forgotten.

    Parameters
    ----------
    stored : Answers, optional
        Where the last one of each job outlives the desk that is closed.
    """

    def __init__(self, stored: Answers[K] | None = None) -> None:
        self._known: OrderedDict[tuple[int, str], Kept[K]] = OrderedDict()
        self._lock = Lock()
        self._stored = stored

    def keep(self, job: int, made: K) -> None:
        """Keep an answer as the job's latest."""
        with self._lock:
            self._note(job, Kept(made, made_by()))
        if self._stored is not None:
            self._stored.keep(job, made)

    def _note(self, job: int, kept: Kept[K]) -> None:
        self._known[job, kept.answer.key] = kept
        self._known.move_to_end((job, kept.answer.key))
        while len(self._known) > _KEPT:
            self._known.popitem(last=False)

    def of(self, job: int, key: str) -> K | None:
        """Return the answer of the job as it is, or else its latest one, or None."""
        found = self._find(job, key)
        return found.answer if found else None

    def earlier(self, job: int, key: str) -> str:
        """Return the program that worked out what :meth:`of` returns; empty where it was this one."""
        found = self._find(job, key)
        return found.made_by if found and found.made_by != made_by() else ""

    def _find(self, job: int, key: str) -> Kept[K] | None:
        with self._lock:
            if exact := self._known.get((job, key)):
                return exact
            lately = next((kept for (whose, _), kept in reversed(self._known.items()) if whose == job), None)
            if lately is None and self._stored is not None:
                lately = self._stored.last(job)
                if lately is not None:
                    self._note(job, lately)
            return lately

    def forget(self) -> None:
        """Forget all that is not stored, after other jobs took the place of these."""
        with self._lock:
            self._known.clear()
