"""Pricer: the most valuable pattern for every stock at once, exactly, in integers.

A bounded knapsack by dynamic programming over the lengths that some set of parts fills, in place of all lengths:
nothing changes in between (the normal patterns of Herz 1972, doi:10.1147/rd.165.0462).
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from nesting.cutting.sticks.problem import Pattern, lots, sums

_Places = npt.NDArray[np.int64]


class Pricer:
    """Prices patterns of items with sizes and a demand, on lengths.

    Parameters
    ----------
    sizes, demand : sequence of int
        The items. A pattern has no item more often than it is wanted.
    lengths : sequence of int
        Of the stocks.
    """

    def __init__(self, sizes: Sequence[int], demand: Sequence[int], lengths: Sequence[int]) -> None:
        most = max(lengths)
        bits = sums(sizes, demand, most)
        raw = np.frombuffer(bits.to_bytes(most // 8 + 1, "little"), dtype=np.uint8)
        self._places: _Places = np.flatnonzero(np.unpackbits(raw, bitorder="little")).astype(np.int64)
        self._ends = [int(np.searchsorted(self._places, length, side="right")) - 1 for length in lengths]
        # Each lot is taken or left: (item, how many, first place it fits, what is then left, as a place).
        self._lots: list[tuple[int, int, int, Any]] = []
        for item, (size, count) in enumerate(zip(sizes, demand, strict=True)):
            for lot in lots(min(count, most // size)):
                first = int(np.searchsorted(self._places, lot * size))
                before = np.searchsorted(self._places, self._places[first:] - lot * size, side="right") - 1
                self._lots.append((item, lot, first, before))

    @property
    def cells(self) -> int:
        """Size of the table that one call fills, the unit in which work is counted."""
        return len(self._places) * len(self._lots)

    def price(self, values: Sequence[int]) -> list[tuple[int, Pattern]]:
        """Return for every length the greatest value that fits, and a pattern that has it."""
        best: _Places = np.zeros(len(self._places), dtype=np.int64)
        taken: list[npt.NDArray[np.bool_] | None] = []
        for item, lot, first, before in self._lots:
            if values[item] <= 0 or first >= len(best):
                taken.append(None)
                continue
            with_lot = best[before] + values[item] * lot
            better = with_lot > best[first:]
            best[first:] = np.where(better, with_lot, best[first:])
            taken.append(better)
        return [(int(best[end]), self._trace(taken, end)) for end in self._ends]

    def _trace(self, taken: Sequence[npt.NDArray[np.bool_] | None], place: int) -> Pattern:
        pattern: dict[int, int] = {}
        for (item, lot, first, before), better in zip(reversed(self._lots), reversed(taken), strict=True):
            if better is not None and place >= first and better[place - first]:
                pattern[item] = pattern.get(item, 0) + lot
                place = int(before[place - first])
        return tuple(sorted(pattern.items()))
