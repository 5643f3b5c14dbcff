"""Stick: lumber of one section that can be bought, or that lies on the rack, in one length."""

from dataclasses import dataclass

from nesting.cutting.stock import LONGEST, Source, StockError, purchase, unit_cost


class StickError(StockError):
    """What cannot be cut from sticks, in one sentence a fault."""


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
        How many there are; None means as many as needed. Only what is bought can have no count.
    source : {"buy", "rack", "open"}
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
        StickError.whole(owner, "length", self.length, 1, LONGEST)
        StickError.whole(owner, "trim", self.trim, 0, LONGEST)
        if self.trim >= self.length:
            raise StickError(f"{owner}: trim {self.trim} leaves nothing of length {self.length}")
        StickError.bought(owner, self.cost, self.count, self.source, self.breaks)
        if self.source == "rack" and self.breaks:
            raise StickError(f"{owner}: rack stock has one price, its book value")

    @property
    def usable(self) -> int:
        """Length that is left after trim."""
        return self.length - self.trim

    def unit_cost(self, count: int) -> int:
        """Return what each of `count` costs."""
        return unit_cost(self.cost, self.breaks, count)

    def purchase(self, needed: int) -> tuple[int, int]:
        """Return total cost and count of the cheapest way to have `needed`; see :mod:`nesting.cutting.stock`."""
        return purchase(self.cost, self.breaks, self.count, needed)
