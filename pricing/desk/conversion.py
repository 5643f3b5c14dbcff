"""Conversion: quotes that were sent under 0.1.0, which kept no papers, get theirs while the figures still come out.

Jobs that were accepted under it are then pinned at what was sent last, as it was sent.

It runs behind the pages from when the desk is opened, one quote after the other. What it was interrupted at is begun
again the next time; what is done is never done again.
"""

from collections.abc import Callable
from threading import Event, Lock, Thread

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
    """

    def __init__(self, store: Store, pin: Callable[[int], None] | None = None) -> None:
        self._store = store
        self._pin = pin
        self._starting = Lock()
        self._one = Lock()
        self._ended = Event()
        self._thread: Thread | None = None

    def begin(self) -> None:
        """Begin behind the pages, if a quote lacks its papers and it does not run already."""
        with self._starting:
            idle = self._thread is None or not self._thread.is_alive()
            wanting = self._store.sent_papers.wanting(made_by()) or (self._pin and self._store.pins.wanting())
            if idle and not self._ended.is_set() and wanting:
                self._thread = Thread(target=self.run, name="conversion", daemon=True)
                self._thread.start()

    def run(self) -> None:
        """Make the papers of one quote after the other until none lacks them or the desk is closed; then pin."""
        while not self._ended.is_set() and (wanting := self._store.sent_papers.wanting(made_by())):
            self._print(*wanting[0], self._ended.is_set)
        for job in self._store.pins.wanting() if self._pin else ():
            if self._pin and not self._ended.is_set():
                self._pin(job)

    def printing(self, sent: SentQuote) -> Printing:
        """Return how a quote's papers came to be, made now where nobody has tried yet."""
        found = self._store.sent_papers.printing(sent.job, sent.version)
        while found is None:
            self._print(sent.job, sent.version)
            found = self._store.sent_papers.printing(sent.job, sent.version)
        return found

    def _print(self, job: int, version: int, ended: Callable[[], bool] = lambda: False) -> None:
        with self._one:
            if (job, version) in self._store.sent_papers.wanting(made_by()):
                print_afterwards(self._store, self._store.quotes.get(job, version), ended)

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
