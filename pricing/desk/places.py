"""Places: how many of something there may be at once, in all and for each who asks."""

from collections import Counter
from collections.abc import Hashable, Iterator
from contextlib import contextmanager


class Places:
    """So many places, of which each who asks has only some.

    Parameters
    ----------
    most, each : int
        How many there are, and how many of them one has at the most.
    """

    def __init__(self, most: int, each: int) -> None:
        self._most, self._each = most, each
        self._taken: Counter[Hashable] = Counter()

    @contextmanager
    def one(self, who: Hashable) -> Iterator[bool]:
        """Take a place while the context lasts; yield whether there was one."""
        got = self._taken.total() < self._most and self._taken[who] < self._each
        self._taken[who] += got
        try:
            yield got
        finally:
            self._taken[who] -= got
            if not self._taken[who]:
                del self._taken[who]
