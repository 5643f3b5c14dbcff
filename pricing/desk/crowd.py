"""A crowd: who is there by address, and which of those that wait has waited longest, in as few steps however many."""

from collections import OrderedDict
from typing import Generic, TypeVar

T = TypeVar("T")


class Crowd(Generic[T]):
    """Those that are there, each of one address, and each either waiting or at work.

    What is asked of it takes the same time with ten as with ten thousand: whoever comes in by the thousand must not
    make each further one dearer.
    """

    def __init__(self) -> None:
        self._address: dict[T, str] = {}
        self._here: dict[str, int] = {}
        self._waiting: dict[str, OrderedDict[T, None]] = {}
        self._by_count: dict[int, OrderedDict[str, None]] = {}
        """Addresses by how many of theirs wait."""
        self._most = 0

    def __len__(self) -> int:
        return len(self._address)

    def __contains__(self, one: T) -> bool:
        return one in self._address

    def of(self, address: str) -> int:
        """Return how many of an address are there."""
        return self._here.get(address, 0)

    def wait(self, one: T, address: str) -> None:
        """Take one in, or back from work; of those that wait it is the youngest now."""
        if one not in self._address:
            self._address[one] = address
            self._here[address] = self._here.get(address, 0) + 1
        waiting = self._waiting.setdefault(address, OrderedDict())
        if one in waiting:
            waiting.move_to_end(one)
        else:
            waiting[one] = None
            self._move(address, len(waiting) - 1, len(waiting))

    def work(self, one: T) -> None:
        """Let one that is there go to work: it gives way to nobody."""
        address = self._address[one]
        waiting = self._waiting.get(address)
        if waiting is None or one not in waiting:
            return
        del waiting[one]
        if not waiting:
            del self._waiting[address]
        self._move(address, len(waiting) + 1, len(waiting))

    def leave(self, one: T) -> None:
        """Let one go, if it is there."""
        if one not in self._address:
            return
        self.work(one)
        address = self._address.pop(one)
        self._here[address] -= 1
        if not self._here[address]:
            del self._here[address]

    def first(self, address: str | None = None) -> T | None:
        """Return which of an address has waited longest, or of the address of which most wait; None where none does."""
        if address is None:
            if not self._most:
                return None
            address = next(iter(self._by_count[self._most]))
        waiting = self._waiting.get(address)
        return next(iter(waiting)) if waiting else None

    def _move(self, address: str, before: int, after: int) -> None:
        """Note how many of an address wait: one more, or one fewer."""
        if before:
            same = self._by_count[before]
            del same[address]
            if not same:
                del self._by_count[before]
        if after:
            self._by_count.setdefault(after, OrderedDict())[address] = None
        if after > self._most or (self._most == before and before not in self._by_count):
            self._most = after
