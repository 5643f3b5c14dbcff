"""Problem: the same question in the smallest whole numbers, in an order that no caller can change.

A part of length l and a kerf k on a stick of length L: n parts need n - 1 kerfs, so they fit exactly when the
sum of (l + k) is at most L + k. With that the kerf is gone, and parts of one length are one item with a demand.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import gcd

from nesting.cutting.parts import StickPart
from nesting.cutting.sticks.stock import Stick, StickError
from nesting.cutting.stock import LONGEST, MOST

# A pattern is what one stick is cut into: (item, how many), items ascending, so that equal cuts are equal values.
Pattern = tuple[tuple[int, int], ...]

# Subset sums are kept as the bits of one integer; past this many bits they are not worth their time.
_FINEST = 4_000_000


@dataclass(frozen=True, slots=True)
class Stock:
    """A stick in the problem's units.

    Attributes
    ----------
    stick : Stick
        Where it came from; of several equal ones, the first, with the count of all.
    size : int
        Length that parts can fill, cut down to what some set of parts fills exactly.
    limit : int
        How many can be used: no more than there are, nor than there are parts.
    twins : tuple of Stick
        All sticks that it stands for, in order of name.
    """

    stick: Stick
    size: int
    limit: int
    twins: tuple[Stick, ...] = ()

    def cost(self, count: int) -> int:
        """Tell what it costs to have `count` of them, at the best break."""
        return self.stick.purchase(count)[0]

    @property
    def rack(self) -> bool:
        """Whether it is in store: on the rack, or open already."""
        return self.stick.source != "buy"


@dataclass(frozen=True, slots=True)
class Problem:
    """Items to pack into stocks.

    Attributes
    ----------
    sizes : tuple of int
        Length of each item with its kerf, descending, no two equal.
    demand : tuple of int
        How many of each item.
    stocks : tuple of Stock
        In canonical order: longest first, then cheapest, then by name.
    unit : int
        What lengths were divided by.
    """

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    stocks: tuple[Stock, ...]
    unit: int

    @property
    def total(self) -> int:
        """Length of all items together."""
        return sum(size * count for size, count in zip(self.sizes, self.demand, strict=True))

    def used(self, pattern: Pattern) -> int:
        """Length that a pattern fills."""
        return sum(self.sizes[item] * count for item, count in pattern)


def lots(count: int) -> Iterator[int]:
    """Split a count so that the sums of the lots are all numbers from 0 to `count` (1, 2, 4, ... and a rest)."""
    lot = 1
    while count > 0:
        lot = min(lot, count)
        yield lot
        count -= lot
        lot *= 2


def sums(sizes: Sequence[int], demand: Sequence[int], most: int) -> int:
    """Every length that some of the items fill exactly, as the bits of an integer, up to `most`."""
    mask = (1 << (most + 1)) - 1
    bits = 1
    for size, count in zip(sizes, demand, strict=True):
        for lot in lots(min(count, most // size)):
            bits |= (bits << (lot * size)) & mask
    return bits


def _check(parts: Sequence[StickPart], sticks: Sequence[Stick], kerf: int) -> None:
    """Refuse what no search should be asked."""
    StickError.whole("saw", "kerf", kerf, 0, LONGEST)
    faults = []
    goods = sorted({part.good for part in parts})
    if len(goods) > 1:
        faults.append(f"one call cuts one good, not {', '.join(goods)}")
    for kind, names in (("part", [part.name for part in parts]), ("stick", [stick.name for stick in sticks])):
        faults += [f"{kind} {name} is named twice" for name in sorted({n for n in names if names.count(n) > 1})]
    longest = max((stick for stick in sticks if stick.count != 0), key=lambda s: (s.usable, s.name), default=None)
    for part in parts:
        if part.length > LONGEST:
            faults.append(f"part {part.name}: length {part.length} is more than {LONGEST}")
        elif longest is None:
            faults.append(f"part {part.name}: there are no sticks")
        elif part.length > longest.usable:
            faults.append(f"part {part.name} is longer than every stick; the longest is {longest.name}")
    wanted = sum(part.count for part in parts)
    if wanted > MOST:
        faults.append(f"{wanted} parts of {goods[0]}: more than {MOST} in one call")
    if faults:
        raise StickError(*faults)


def _check_counts(problem: Problem, good: str) -> None:
    """Refuse what is plainly short of stock: the items of one size and longer, or all items by length."""
    room = sum(stock.limit * stock.size for stock in problem.stocks)
    if room < problem.total:
        raise StickError(
            f"{good}: there are too few sticks; all of them are {room * 100 // problem.total}% of the parts"
        )
    needed = 0
    for size, count in zip(problem.sizes, problem.demand, strict=True):
        needed += count
        places = sum(stock.limit * (stock.size // size) for stock in problem.stocks)
        if places < needed:
            raise StickError(f"{good}: there are too few sticks; of the {needed} longest parts {places} find room")


def _gather_twins(sticks: Sequence[Stick]) -> list[tuple[Stick, ...]]:
    """Put sticks together that differ by name alone: offcuts of one length and value."""
    groups: dict[object, list[Stick]] = {}
    for stick in sorted(sticks, key=lambda stick: stick.name):
        alone = stick.count is None or bool(stick.breaks)
        like = stick.name if alone else (stick.usable, stick.cost, stick.source)
        groups.setdefault(like, []).append(stick)
    return [tuple(group) for group in groups.values()]


def pose(parts: Sequence[StickPart], sticks: Sequence[Stick], kerf: int) -> Problem:
    """Check everything and put it in canonical form.

    Raises
    ------
    StickError
        If goods are mixed, names repeat, a part is longer than every stick, values are absurd, or there are plainly
        too few sticks.
    """
    _check(parts, sticks, kerf)
    demand: dict[int, int] = {}
    for part in parts:
        demand[part.length + kerf] = demand.get(part.length + kerf, 0) + part.count
    sizes = sorted(demand, reverse=True)
    unit = gcd(*sizes) or 1
    small = [size // unit for size in sizes]
    counts = [demand[size] for size in sizes]
    useful = [stick for stick in sticks if stick.count != 0 and stick.usable + kerf >= sizes[-1]]
    most = max((stick.usable + kerf) // unit for stick in useful)
    reach = sums(small, counts, most) if most <= _FINEST else None
    wanted = sum(counts)
    stocks = []
    for twins in _gather_twins(useful):
        stick = twins[0]
        if len(twins) > 1:
            stick = replace(stick, count=min(sum(twin.count or 0 for twin in twins), MOST))
        size = (stick.usable + kerf) // unit
        if reach is not None:
            size = (reach & ((1 << (size + 1)) - 1)).bit_length() - 1
        stocks.append(Stock(stick, size, wanted if stick.count is None else min(stick.count, wanted), twins))
    stocks.sort(key=lambda s: (-s.stick.usable, s.stick.cost, s.stick.source, s.stick.breaks, s.stick.name))
    problem = Problem(tuple(small), tuple(counts), tuple(stocks), unit)
    _check_counts(problem, parts[0].good)
    return problem
