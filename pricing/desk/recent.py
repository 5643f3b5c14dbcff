"""What was searched lately, so that the same parts on the same stock are not laid out twice."""

from collections.abc import Callable, Hashable
from threading import Lock
from typing import Any, Final, Generic, TypeVar

T = TypeVar("T")
M = TypeVar("M")

SHOPS: Final = 6
"""What is kept of shops at the most: sketches, crates and frames (:mod:`nesting.crates.kept`) of the two latest states
of goods, rules and prices. Each may hold hundreds of whole crates, some 100 kB apiece."""


class Recent(dict[Hashable, Any]):
    """A memory of quick searches that forgets the oldest, so that a change searches only what it touches.

    What is kept of a shop is itself a table, far larger than one search, and is forgotten sooner.

    Parameters
    ----------
    most : int
        Searches that are remembered.
    """

    def __init__(self, most: int) -> None:
        super().__init__()
        self.most = most

    def __setitem__(self, request: Hashable, made: Any) -> None:
        super().__setitem__(request, made)
        if isinstance(made, dict):
            of_shops = [key for key, known in list(self.items()) if isinstance(known, dict)]
            for key in of_shops[:-SHOPS]:
                self.pop(key, None)
        while len(self) > self.most:
            del self[next(iter(self))]

    def setdefault(self, request: Hashable, default: Any = None) -> Any:
        """Return what is remembered; if nothing is, remember something (a plain dict would forget nothing for it)."""
        if request not in self:
            self[request] = default
        return self[request]


class Latest(Generic[T, M]):
    """What was made of the latest few values, by what they are and not what they equal: to compare takes long.

    Parameters
    ----------
    most : int
        Values that are remembered.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._made: list[tuple[T, M]] = []
        self._lock = Lock()

    def of(self, value: T, make: Callable[[T], M]) -> M:
        """Return what is made of a value."""
        with self._lock:
            for known, made in self._made:
                if known is value:
                    return made
        found = make(value)
        with self._lock:
            self._made = [*self._made, (value, found)][-self._most :]
        return found
