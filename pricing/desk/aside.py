"""Aside: what a page of a large job would wait for too long is made in a process of its own, kept, and ends at a word.

Designs of a crate side by side price the whole job for each, and a packet draws every crate: minutes of a thousand
pieces. A page waits for them for so long; after that it says that they are being made, and to ask again. They are made
to the end or not at all, so that what is shown never rests on how long somebody waited.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from threading import BoundedSemaphore, Event, Lock
from time import monotonic
from typing import Any, Final, Literal

from nesting.base.faults import Fault, FaultsFound
from nesting.base.progress import Progress
from nesting.base.stop import Stop
from nesting.crates.model import Crate
from pricing.desk.search import Found, Search, Searches
from pricing.desk.settling import SEARCHED, Settling
from pricing.desk.short_list import Candidate, short_list
from pricing.quoting.quote import Quote
from pricing.store import StoreError

AsideKind = Literal["designs", "paper"]
ASIDE: Final[tuple[AsideKind, ...]] = ("designs", "paper")
"""What is made so."""
LONGEST: Final = 20.0
"""Seconds that a request waits: see :data:`pricing.desk.budget.PAGE`."""
_WAITING: Final = 6
"""Requests that wait so at once."""
_LOOKS: Final = 0.1
_KEPT: Final = 12
_MOST_BYTES: Final = 200_000_000
"""What is kept at the most: of papers, by their size."""


class AsideError(StoreError):
    """What was asked for is not there yet.

    Parameters
    ----------
    text : str
        What is said of it.
    job : int
        Whose it is.
    going : {"designs", "paper"} or None
        As what it is being made, so that it can be stopped; None where it is not.
    """

    def __init__(self, text: str, job: int, going: AsideKind | None = None) -> None:
        super().__init__(text)
        self.job, self.going = job, going


@dataclass(frozen=True)
class Made:
    """What came of it: a value, or why there is none.

    Attributes
    ----------
    value : Any
        None where there are faults, or trouble.
    faults : tuple of Fault
        Every reason why it cannot be made.
    trouble : str
        A mistake of ours, as it calls itself.
    """

    value: Any = None
    faults: tuple[Fault, ...] = ()
    trouble: str = ""


@dataclass(frozen=True)
class Making:
    """The work of making something, in a worker, where it may be broken off at any time: nothing comes of it then.

    Attributes
    ----------
    make : callable
        Makes it; it travels between processes, with all that it is made of.
    """

    make: Callable[[], Any]
    name: str = "aside"

    def run(self, _report: Progress, stop: Stop) -> Made:
        """Make it."""
        try:
            with stop.search():
                return Made(self.make())
        except FaultsFound as error:
            return Made(faults=error.faults)
        except MemoryError:
            raise  # a process without memory left must end
        except Exception as error:  # noqa: BLE001 - a mistake of ours is told on the page, and ends no process
            return Made(trouble=f"{type(error).__name__}: {error}")


def designs(asked: Settling, quote: Quote, crate: Crate) -> tuple[Candidate, ...]:
    """Lay the designs of a crate side by side, with what this process searched before."""
    return short_list(asked, quote, crate, SEARCHED)


def seen(pictures: Mapping[str, bytes]) -> Hashable:
    """Return pictures as part of a key."""
    return tuple((name, hash(data)) for name, data in pictures.items())


class Same:
    """A quote as part of a key: the very same one, since to compare two takes long."""

    def __init__(self, quote: Quote) -> None:
        self._quote = quote

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other._quote is self._quote

    def __hash__(self) -> int:
        return id(self._quote)


@dataclass
class _Going:
    """One that is being made."""

    key: Hashable
    kind: AsideKind
    ended: Event = field(default_factory=Event)
    search: Search | None = None
    stopped: bool = False

    @property
    def over(self) -> bool:
        """Whether nothing more comes of it."""
        return self.ended.is_set() or (self.search is not None and self.search.over)


class Aside:
    """Has things made, one of each kind and job at a time, and keeps the latest.

    Parameters
    ----------
    searches : Searches
        Runs it.
    longest : float
        Seconds that a request waits.
    """

    def __init__(self, searches: Searches, longest: float = LONGEST) -> None:
        self._searches, self._longest = searches, longest
        self._lock = Lock()
        self._kept: OrderedDict[Hashable, Made] = OrderedDict()
        self._going: dict[tuple[int, str], _Going] = {}
        self._seats = BoundedSemaphore(_WAITING)

    # arguments: whose, which, of what kind, what people call it, what makes it, how long it waits
    def get(
        self,
        job: int,
        key: Hashable,
        kind: AsideKind,
        what: str,
        make: Callable[[], Any],
        longest: float | None = None,
    ) -> Any:
        """Return what was made; have it made where it is not, and wait for it so long.

        Raises
        ------
        AsideError
            Where it takes longer, or was stopped.
        nesting.base.faults.FaultsFound
            Every reason why it cannot be made.
        """
        key, waits = (job, kind, key), self._longest if longest is None else min(longest, self._longest)
        if (found := self._known(key)) is not None:
            return _given(found, job, what)
        if not self._seats.acquire(blocking=False):
            raise AsideError(f"{what}: too many wait for such at once. Ask again in a moment.", job)
        try:
            end = monotonic() + waits
            while True:
                going = self._begin(job, key, kind, make)
                while not going.ended.wait(_LOOKS) and not going.over and monotonic() < end:
                    pass
                if (found := self._known(key)) is not None:
                    return _given(found, job, what)
                if going.key == key and going.over:
                    raise AsideError(_ended(going, what), job)
                if monotonic() >= end:
                    break
        finally:
            self._seats.release()
        raise AsideError(
            f"{what}: this takes longer than the {waits:.0f} seconds that a page waits. It is made behind the "
            "pages, and other jobs do not wait for it. Ask again in a while; it is kept when it is made.",
            job, going.kind,
        )  # fmt: skip

    def _begin(self, job: int, key: Hashable, kind: AsideKind, make: Callable[[], Any]) -> _Going:
        """Return what is made of a kind and job now; begin this where nothing is."""
        with self._lock:
            going = self._going.get((job, kind))
            if going is not None and not going.over:
                return going
            going = self._going[job, kind] = _Going(key, kind)

            def finished(found: Found, stopped: bool) -> str:
                made: Made | None = found.get("aside")
                going.stopped = stopped
                if made is not None:
                    self._keep(key, made)
                going.ended.set()
                return "Stopped; nothing was made." if made is None else ""

            going.search = self._searches.begin(job, (Making(make),), finished, patience=0.0, kind=kind)
            return going

    def _known(self, key: Hashable) -> Made | None:
        with self._lock:
            if (found := self._kept.get(key)) is not None:
                self._kept.move_to_end(key)
            return found

    def _keep(self, key: Hashable, made: Made) -> None:
        with self._lock:
            self._kept[key] = made
            self._kept.move_to_end(key)
            while len(self._kept) > 1 and (len(self._kept) > _KEPT or self._size() > _MOST_BYTES):
                self._kept.popitem(last=False)

    def _size(self) -> int:
        return sum(len(each.value) for each in self._kept.values() if isinstance(each.value, bytes))

    def drop(self, job: int) -> None:
        """Break off what is made of a job, since it is another by now."""
        for kind in ASIDE:
            self._searches.drop(job, kind)

    def forget(self) -> None:
        """Forget all, after all that is stored was replaced."""
        with self._lock:
            self._kept.clear()


def _given(made: Made, job: int, what: str) -> Any:
    if made.faults:
        raise FaultsFound(made.faults)
    if made.trouble:
        raise AsideError(f"{what}: the program failed on this ({made.trouble}).", job)
    return made.value


def _ended(going: _Going, what: str) -> str:
    """Say why nothing came of something that is over."""
    if going.search is not None and going.search.state == "failed":
        return f"{what}: {going.search.news}"
    return f"{what}: it was stopped, and nothing came of it. Ask again to have it made."
