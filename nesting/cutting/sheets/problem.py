"""Problem: the same question in the smallest whole numbers, in an order that no caller can change.

A part of l x w and a kerf k on a sheet of L x W: n parts side by side need n - 1 kerfs, so they fit exactly when their
(l + k) sum to at most L + k. With that the kerf is gone. Every position in a layout pushed to the left and down is a
sum of part sizes, so all sizes may be divided by the common divisor of the parts' sizes, and the sheets' rounded down.
Parts of one size are one item with a demand.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

from nesting.cutting.parts import Part
from nesting.cutting.sheets.model import NestError, Sheet
from nesting.cutting.stock import LONGEST, MOST

# More parts than this in one call is a slip; areas and their sums must stay inside 63 bits.
MOST_PARTS = 100_000
_ROOM = 2**62

_GRAIN = {"any": "", "length": ", with the grain"}


@dataclass(frozen=True, slots=True)
class Item:
    """All parts of one size.

    Attributes
    ----------
    length, width : int
        Size with its kerf, in the problem's units; the longer first unless the grain forbids turning.
    turns : bool
        Whether it may be turned, and turning changes anything.
    demand : int
        How many are wanted.
    parts : tuple of Part
        The parts, in canonical order.
    """

    length: int
    width: int
    turns: bool
    demand: int
    parts: tuple[Part, ...]

    @property
    def area(self) -> int:
        """Area with kerfs."""
        return self.length * self.width

    def ways(self) -> tuple[tuple[int, int], ...]:
        """Sizes (along the sheet's length, along its width) in which it can lie."""
        if self.turns:
            return (self.length, self.width), (self.width, self.length)
        return ((self.length, self.width),)


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet in the problem's units.

    Attributes
    ----------
    sheet : Sheet
        Where it came from.
    length, width : int
        What items can fill.
    limit : int
        How many can be used: no more than there are, nor than there are parts.
    """

    sheet: Sheet
    length: int
    width: int
    limit: int

    @property
    def area(self) -> int:
        """Area that items can fill."""
        return self.length * self.width

    @property
    def rack(self) -> bool:
        """Whether it is in store: on the rack, or open already."""
        return self.sheet.source != "buy"

    def holds(self, item: Item) -> bool:
        """Whether one such item fits on it."""
        return any(a <= self.length and b <= self.width for a, b in item.ways())


@dataclass(frozen=True, slots=True)
class Problem:
    """Items to cut from stocks.

    Attributes
    ----------
    good : str
        The good.
    kerf : int
        In the caller's units.
    unit : int
        How many of the caller's units one of the problem's is.
    items : tuple of Item
        Largest area first.
    stocks : tuple of Stock
        Only those on which something fits; in canonical order.
    """

    good: str
    kerf: int
    unit: int
    items: tuple[Item, ...]
    stocks: tuple[Stock, ...]

    @property
    def total(self) -> int:
        """How many parts there are."""
        return sum(item.demand for item in self.items)

    @property
    def area(self) -> int:
        """Area of all parts, with kerfs."""
        return sum(item.demand * item.area for item in self.items)


def read_problem(parts: Sequence[Part], sheets: Sequence[Sheet], kerf: int) -> Problem:
    """Check the input and bring it to its smallest terms.

    Raises
    ------
    NestError
        Every fault at once: mixed goods, names used twice, parts that fit on no sheet, numbers beyond reason.
    """
    NestError.whole("saw", "kerf", kerf, 0, LONGEST)
    faults = _faults(parts, sheets)
    if faults:
        raise NestError(*faults)
    if not parts:
        return Problem("", kerf, 1, (), ())
    parts = sorted(parts, key=lambda p: (-p.length, -p.width, p.grain, p.name))
    sizes: dict[tuple[int, int, bool], list[Part]] = {}
    for part in parts:
        length, width = part.length + kerf, part.width + kerf
        turns = part.grain == "any" and length != width
        if part.grain == "any" and length < width:
            length, width = width, length
        sizes.setdefault((length, width, turns), []).append(part)
    unit = gcd(*(side for length, width, _ in sizes for side in (length, width)))
    items = [
        Item(length // unit, width // unit, turns, sum(p.count for p in group), tuple(group))
        for (length, width, turns), group in sizes.items()
    ]
    items.sort(key=lambda i: (-i.area, -i.length, i.turns))
    total = sum(item.demand for item in items)
    stocks = [
        Stock(
            sheet,
            (sheet.usable_length + kerf) // unit,
            (sheet.usable_width + kerf) // unit,
            total if sheet.count is None else min(total, sheet.count),
        )
        for sheet in sheets
    ]
    stocks = [s for s in stocks if s.limit and any(s.holds(item) for item in items)]
    stocks.sort(key=lambda s: (-s.area, -s.length, s.sheet.cost, s.sheet.breaks, s.sheet.source, s.limit, s.sheet.name))
    faults = [
        f"part {part.name} ({part.length} x {part.width}{_GRAIN[part.grain]}) fits on no sheet"
        for item in items
        if not any(stock.holds(item) for stock in stocks)
        for part in item.parts
    ]
    if stocks and max(s.area for s in stocks) * total > _ROOM:
        faults.append("the sheets are too large, in these units, to sum their areas in 64 bits")
    if not faults and sum(s.limit * s.area for s in stocks) < sum(i.demand * i.area for i in items):
        faults.append("there are not enough sheets for the area of the parts")
    if faults:
        raise NestError(*faults)
    return Problem(parts[0].good, kerf, unit, tuple(items), tuple(stocks))


def _faults(parts: Sequence[Part], sheets: Sequence[Sheet]) -> list[str]:
    """Tell what is wrong before any arithmetic."""
    faults = []
    goods = sorted({part.good for part in parts})
    if len(goods) > 1:
        faults.append(f"one call nests one good, not {', '.join(goods)}")
    faults += [
        f"sheet {s.name} is of {s.good}, the parts are of {goods[0]}"
        for s in sheets
        if s.good and [s.good] != goods[:1] and goods
    ]
    for kind, names in (("part", [p.name for p in parts]), ("sheet", [s.name for s in sheets])):
        faults += [f"{kind} {name} is given more than once" for name, times in Counter(names).items() if times > 1]
    faults += [f"part {p.name}: count must be at most {MOST}, not {p.count}" for p in parts if p.count > MOST]
    faults += [f"part {p.name}: sizes must be at most {LONGEST}" for p in parts if max(p.length, p.width) > LONGEST]
    if not faults and sum(p.count for p in parts) > MOST_PARTS:
        faults.append(f"{sum(p.count for p in parts)} parts are more than one call can nest ({MOST_PARTS})")
    if parts and not sheets:
        faults.append("there is no sheet to cut from")
    return faults
