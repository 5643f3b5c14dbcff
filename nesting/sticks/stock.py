"""Stick: lumber of one section that can be bought, or that lies on the rack, in one length."""

from dataclasses import dataclass
from typing import Literal

Source = Literal["buy", "rack"]

# Beyond these a value is a slip of the keyboard. They also keep every sum of the search inside 64 bits.
LONGEST = 2**40
DEAREST = 10**9
MOST = 10**6


class StickError(ValueError):
    """What cannot be cut from sticks, in one sentence a fault.

    Attributes
    ----------
    faults : tuple of str
        Each fault, as a sentence without its full stop.
    """

    def __init__(self, *faults: str) -> None:
        self.faults = faults
        super().__init__("; ".join(faults))


def whole(owner: str, label: str, value: object, least: int, most: int) -> None:
    """Raise :class:`StickError` unless `value` is an integer from `least` to `most`."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise StickError(f"{owner}: {label} must be an integer, not {value!r}")
    if not least <= value <= most:
        raise StickError(f"{owner}: {label} must be from {least} to {most}, not {value}")


@dataclass(frozen=True, slots=True)
class Stick:
    """One length of lumber that can be cut.

    Attributes
    ----------
    name : str
        Unique among the sticks of one call, such as ``"2x3 8ft"``.
    length : int
        Length as bought.
    cost : int
        Price of one, in the currency's smallest unit; of rack stock, its book value.
    count : int or None
        How many there are; None means as many as needed. Rack stock always has a count.
    source : {"buy", "rack"}
        Where it comes from.
    breaks : tuple of (int, int)
        ``(from_count, unit_cost)``, counts ascending from 2 or more. The break reached applies to all units.
    trim : int
        What comes off before the first part, in total, its kerf included.
    """

    name: str
    length: int
    cost: int
    count: int | None = None
    source: Source = "buy"
    breaks: tuple[tuple[int, int], ...] = ()
    trim: int = 0

    def __post_init__(self) -> None:
        if not self.name:
            raise StickError("a stick needs a name")
        owner = f"stick {self.name}"
        whole(owner, "length", self.length, 1, LONGEST)
        whole(owner, "cost", self.cost, 0, DEAREST)
        whole(owner, "trim", self.trim, 0, LONGEST)
        if self.trim >= self.length:
            raise StickError(f"{owner}: trim {self.trim} leaves nothing of length {self.length}")
        if self.count is not None:
            whole(owner, "count", self.count, 0, MOST)
        if self.source not in ("buy", "rack"):
            raise StickError(f"{owner}: source must be 'buy' or 'rack', not {self.source!r}")
        if self.source == "rack" and (self.breaks or self.count is None):
            raise StickError(f"{owner}: rack stock has a count and one price, its book value")
        reached = 1
        for start, each in self.breaks:
            whole(owner, "break", start, reached + 1, MOST)
            whole(owner, "break price", each, 0, DEAREST)
            reached = start

    @property
    def usable(self) -> int:
        """Length that is left after trim."""
        return self.length - self.trim

    def unit_cost(self, count: int) -> int:
        """Price of one when `count` are taken."""
        each = self.cost
        for start, price in self.breaks:
            if count >= start:
                each = price
        return each

    def purchase(self, needed: int) -> tuple[int, int]:
        """Cheapest way to have `needed` or more.

        A price break can make it cheaper to take more than are cut.

        Returns
        -------
        total, count : int
            What it costs and how many that is; the fewest among equals.
        """
        if not self.breaks or needed == 0:
            return needed * self.cost, needed
        counts = [needed, *(start for start, _ in self.breaks if start > needed)]
        return min((n * self.unit_cost(n), n) for n in counts if self.count is None or n <= self.count)
