"""Stop: somebody asks for the searches to end early, and wants the best that was found."""

from collections.abc import Iterator
from contextlib import contextmanager


class Stop:
    """A wish to end early, shared by whoever takes it (a signal's handler) and the work that grants it.

    The search that runs is interrupted and keeps its best; those after it are made short. Outside a search nothing is
    interrupted: the wish is granted at the next one.

    Attributes
    ----------
    asked : bool
        Whether the end was asked for.
    searching : bool
        Whether a search runs that a KeyboardInterrupt would end in good order.
    soon : bool
        Whether searches run one after the other, so that between two of them the wish need only be noted.
    closed : bool
        Whether all is made and files are being replaced, so that nothing may come between.
    """

    def __init__(self) -> None:
        self.asked = False
        self.searching = False
        self.soon = False
        self.closed = False

    @contextmanager
    def searches(self) -> Iterator[None]:
        """Say that searches follow, one after the other."""
        self.soon = True
        try:
            yield
        finally:
            self.soon = False

    @contextmanager
    def search(self) -> Iterator[None]:
        """Say that a search runs."""
        self.searching = True
        try:
            yield
        finally:
            self.searching = False
