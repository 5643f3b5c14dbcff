"""Conversion: quotes that were sent under 0.1.0, which kept no papers, get theirs while the figures still come out.

Jobs that were accepted under it are then pinned at what was sent last, as it was sent. What is pinned as it stands gets
its papers here too, so that whoever ticks the first cut at the saw does not wait for them.

It runs behind the pages from when the desk is opened, one quote after the other. What it was interrupted at is begun
again the next time; what is done is never done again.
"""

from collections.abc import Callable
from threading import Condition, Event, Lock, Thread

from nesting.base.version import made_by
from pricing.desk.frozen import print_afterwards
from pricing.store import Store
from pricing.store.quotes import SentQuote
from pricing.store.sent_papers import Printing


class Conversion:
    """Makes the papers that sent quotes lack.

    Parameters
    ----------
    store : Store
        Where the quotes are.
    pin : callable, optional
        Pins a job, by its number, that was accepted under a program that pinned none.
    paper : callable, optional
        Makes the papers of a pin, by the numbers of job and pin, unless it is told to leave off; says whether it did.
    """

    def __init__(
        self,
        store: Store,
        pin: Callable[[int], None] | None = None,
        paper: Callable[[int, int, Callable[[], bool]], bool] | None = None,
    ) -> None:
        self._store = store
        self._pin = pin
        self._paper = paper
        self._failed: set[tuple[int, int]] = set()
        self._starting = Lock()
        self._tried = Condition()
        self._asked: tuple[int, int] | None = None
        self._ended = Event()
        self._thread: Thread | None = None

    def begin(self) -> None:
        """Begin behind the pages, if a quote lacks its papers and it does not run already."""
        with self._starting:
            idle = self._thread is None or not self._thread.is_alive()
            wanting = self._store.sent_papers.wanting(made_by()) or (self._pin and self._store.pins.wanting())
            if idle and not self._ended.is_set() and (wanting or self._unprinted()):
                self._thread = Thread(target=self.run, name="conversion", daemon=True)
                self._thread.start()

    def run(self) -> None:
        """Make the papers of one quote after the other until none lacks them or the desk is closed; then pin."""
        try:
            while not self._ended.is_set() and (wanting := self._store.sent_papers.wanting(made_by())):
                job, version = self._asked if self._asked in wanting else wanting[0]
                print_afterwards(self._store, self._store.quotes.get(job, version), self._ended.is_set)
                with self._tried:
                    self._tried.notify_all()
            for job in self._store.pins.wanting() if self._pin else ():
                if self._pin and not self._ended.is_set():
                    self._pin(job)
            while self._paper and not self._ended.is_set() and (pins := self._unprinted()):
                if not self._paper(*pins[0], self._ended.is_set):
                    self._failed.add(pins[0])
        finally:
            with self._tried:
                self._tried.notify_all()

    def _unprinted(self) -> list[tuple[int, int]]:
        """Return the pins that lack their papers, and of which making them was not tried in vain."""
        return [each for each in self._store.pins.unprinted() if each not in self._failed] if self._paper else []

    def printed(self, job: int, number: int) -> bool:
        """Wait while the papers of a pin are made, where that goes on; return whether they are there."""
        while not (there := self._store.pins.printed(job, number)):
            thread = self._thread
            if thread is None or not thread.is_alive():
                break
            thread.join(timeout=0.1)
        return there or self._store.pins.printed(job, number)

    def printing(self, sent: SentQuote) -> Printing | None:
        """Return how a quote's papers came to be, once they are made where that goes on; None where it does not.

        Looking at them begins nothing: whoever waits is only served first.
        """
        while (found := self._store.sent_papers.printing(sent.job, sent.version)) is None:
            self._asked = sent.job, sent.version
            with self._tried:
                if self._thread is None or not self._thread.is_alive():
                    break
                self._tried.wait(timeout=0.5)  # at the last notice the thread may still be alive for a moment
        return found or self._store.sent_papers.printing(sent.job, sent.version)

    def stop(self) -> None:
        """Leave off after the paper that is being made; what is left is for the next time."""
        self._ended.set()

    def wait(self) -> None:
        """Wait until nothing runs behind the pages."""
        if self._thread is not None:
            self._thread.join()

    def close(self) -> None:
        """Leave off, and wait for the paper that is being made."""
        self.stop()
        self.wait()
