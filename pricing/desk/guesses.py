"""Guesses at the key: each wrong one of an address is answered later than the one before, and only a few wait at once.

Whoever has the key is never kept waiting: only what is wrong is, and the answers that wait hold few connections. What
keeps a guesser out is the length of the key; this keeps a patient one from filling the desk with work and its log with
noise.
"""

import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

_FIRST: Final = 0.25
_LONGEST: Final = 8.0
_FORGIVEN: Final = 600.0
"""Seconds without a wrong guess after which an address begins anew."""
_WAITING: Final = 8
_ADDRESSES: Final = 1_000


@dataclass(slots=True)
class _Guesser:
    wrong: int = 0
    waiting: int = 0
    last: float = 0.0


class Guesses:
    """Wrong guesses, by address.

    Parameters
    ----------
    clock : callable
        Seconds.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._by: OrderedDict[str, _Guesser] = OrderedDict()

    def wrong(self, address: str) -> float | None:
        """Note a wrong guess; return the seconds that its answer waits, None where too many of its address wait.

        Whoever is told seconds says when the wait is over, by :meth:`answered`.
        """
        now = self._clock()
        one = self._by.get(address) or _Guesser()
        if not one.waiting and now - one.last > _FORGIVEN:
            one = _Guesser()
        self._by[address] = one
        self._by.move_to_end(address)
        while len(self._by) > _ADDRESSES:
            self._by.popitem(last=False)
        one.last = now
        if one.waiting >= _WAITING:
            return None
        one.wrong += 1
        one.waiting += 1
        return min(_LONGEST, _FIRST * 2.0 ** min(one.wrong - 1, 20))

    def answered(self, address: str) -> None:
        """Say that a wait is over."""
        if one := self._by.get(address):
            one.waiting = max(0, one.waiting - 1)
