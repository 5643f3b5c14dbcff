"""Least: a row of numbers that finds the first one small enough without looking at all: first fit among many bins."""

from typing import Final

_NONE: Final = 1 << 62


class Least:
    """Numbers at places from 0 on; a place that was never set holds nothing, and is found by nobody.

    Parameters
    ----------
    most : int
        How many places there are.
    """

    def __init__(self, most: int) -> None:
        self._size = 1 << max(0, most - 1).bit_length()
        self._least = [_NONE] * (2 * self._size)

    def get(self, place: int) -> int:
        """Return the number at a place."""
        return self._least[self._size + place]

    def set(self, place: int, number: int) -> None:
        """Put a number at a place."""
        i = self._size + place
        self._least[i] = number
        while i > 1:
            i //= 2
            self._least[i] = min(self._least[2 * i], self._least[2 * i + 1])

    def first(self, most: int, start: int = 0) -> int | None:
        """Return the first place, from `start` on, whose number is at most `most`; None where there is none."""
        least, i = self._least, self._size + start
        if start >= self._size:
            return None
        while least[i] > most:  # up and to the right, past all that is too large
            while i & 1:
                i //= 2
            if i == 0:
                return None
            i += 1
        while i < self._size:
            i = 2 * i if least[2 * i] <= most else 2 * i + 1
        return i - self._size
