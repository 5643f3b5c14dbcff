"""Stock: what sheets, sticks and rolls have in common, limits of their values, price breaks and what cannot be cut.

All numbers are whole: lengths on the caller's grid, costs in the currency's smallest unit.
"""

from collections.abc import Sequence
from typing import Literal

Source = Literal["buy", "rack", "open"]
"""Bought, off the rack at its book value, or open: the job has paid for it already."""
Breaks = Sequence[tuple[int, int]]
"""``(from_count, unit_cost)``, counts ascending from 2 or more. The break reached applies to all units."""

# Beyond these a value is a slip of the keyboard. They also keep every sum of the searches inside 64 bits.
LONGEST = 2**40
DEAREST = 10**9
MOST = 10**6


class StockError(ValueError):
    """What cannot be cut from the stock there is, in one sentence a fault; each kind of stock has its own.

    Attributes
    ----------
    faults : tuple of str
        Each fault, as a sentence without its full stop.
    """

    def __init__(self, *faults: str) -> None:
        self.faults = faults
        super().__init__("; ".join(faults))

    @classmethod
    def whole(cls, owner: str, label: str, value: object, least: int, most: int) -> None:
        """Raise this error unless `value` is an integer from `least` to `most`."""
        if isinstance(value, bool) or not isinstance(value, int):
            raise cls(f"{owner}: {label} must be an integer, not {value!r}")
        if not least <= value <= most:
            raise cls(f"{owner}: {label} must be from {least} to {most}, not {value}")

    @classmethod
    def bought(cls, owner: str, cost: int, count: int | None, source: Source, breaks: Breaks) -> None:
        """Raise this error unless cost, count and price breaks are whole, in range and in order."""
        cls.whole(owner, "cost", cost, 0, DEAREST)
        if source not in ("buy", "rack", "open"):
            raise cls(f"{owner}: source must be 'buy', 'rack' or 'open', not {source!r}")
        if count is not None:
            cls.whole(owner, "count", count, 0, MOST)
        elif source != "buy":
            raise cls(f"{owner}: {source} stock needs a count")
        reached = 1
        for start, unit in breaks:
            cls.whole(owner, "a price break's count", start, reached + 1, MOST)
            cls.whole(owner, "a price break's cost", unit, 0, DEAREST)
            reached = start


def unit_cost(cost: int, breaks: Breaks, count: int) -> int:
    """Return what each of `count` costs."""
    for start, lower in breaks:
        if count >= start:
            cost = lower
    return cost


def purchase(cost: int, breaks: Breaks, most: int | None, needed: int) -> tuple[int, int]:
    """Return the cheapest way to have at least `needed` of at most `most`.

    Returns
    -------
    tuple of (int, int)
        Total cost, and how many are taken: more than needed where a price break makes that cheaper, the fewest among
        equals.
    """
    if not breaks or needed == 0:
        return needed * cost, needed
    counts = [needed, *(start for start, _ in breaks if start > needed)]
    return min((n * unit_cost(cost, breaks, n), n) for n in counts if most is None or n <= most)
