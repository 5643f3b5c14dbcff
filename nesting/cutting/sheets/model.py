"""What goes into the sheet optimiser besides parts, and what comes out: sheets, cut trees, layouts.

All lengths are integers of one unit, whichever the caller chooses; costs are whole numbers of the currency's smallest
unit.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from nesting.cutting.stock import LONGEST, Source, StockError, purchase, unit_cost

Direction = Literal["rip", "cross"]
Stopped = Literal["deadline", "interrupt"]


class NestError(StockError):
    """What cannot be nested, in one sentence a fault."""


@dataclass(frozen=True, slots=True)
class Trim:
    """What comes off each edge of a sheet before anything else, the kerf of that cut included.

    Attributes
    ----------
    left, right : int
        Taken off the length.
    bottom, top : int
        Taken off the width.
    """

    left: int = 0
    right: int = 0
    bottom: int = 0
    top: int = 0

    def __post_init__(self) -> None:
        for label in ("left", "right", "bottom", "top"):
            NestError.whole("trim", label, getattr(self, label), 0, LONGEST)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One size of sheet that can be cut.

    Attributes
    ----------
    name : str
        Unique among the sheets of one call, such as ``"ply-23/32 4x8"``.
    length, width : int
        Size as bought; the length runs with the face grain.
    cost : int
        Price of one; of rack stock, its book value.
    count : int or None
        How many there are; None means as many as needed. Only what is bought can have no count.
    trim : Trim or None
        What comes off the edges first.
    source : {"buy", "rack", "open"}
        Where it comes from.
    breaks : tuple of (int, int)
        ``(from_count, unit_cost)``, in ascending order of count. The break reached applies to all units.
    good : str
        The good that it is made of; empty means the good of the parts.
    """

    name: str
    length: int
    width: int
    cost: int
    count: int | None = None
    trim: Trim | None = None
    source: Source = "buy"
    breaks: tuple[tuple[int, int], ...] = ()
    good: str = ""

    def __post_init__(self) -> None:
        if not self.name:
            raise NestError("a sheet needs a name")
        owner = f"sheet {self.name}"
        NestError.whole(owner, "length", self.length, 1, LONGEST)
        NestError.whole(owner, "width", self.width, 1, LONGEST)
        NestError.bought(owner, self.cost, self.count, self.source, self.breaks)
        if self.usable_length <= 0 or self.usable_width <= 0:
            raise NestError(f"{owner}: the trim leaves nothing of it")

    @property
    def usable_length(self) -> int:
        """Length that is left after trimming."""
        return self.length - (self.trim.left + self.trim.right if self.trim else 0)

    @property
    def usable_width(self) -> int:
        """Width that is left after trimming."""
        return self.width - (self.trim.bottom + self.trim.top if self.trim else 0)

    def unit_cost(self, count: int) -> int:
        """Return what each of `count` costs."""
        return unit_cost(self.cost, self.breaks, count)

    def purchase(self, needed: int) -> tuple[int, int]:
        """Return total cost and count of the cheapest way to have `needed`; see :mod:`nesting.cutting.stock`."""
        return purchase(self.cost, self.breaks, self.count, needed)


@dataclass(frozen=True, slots=True)
class PartLeaf:
    """A finished part.

    Attributes
    ----------
    part : str
        Its name.
    turned : bool
        Whether its length lies across the sheet's length.
    """

    part: str
    turned: bool


@dataclass(frozen=True, slots=True)
class Offcut:
    """A piece that is left over and worth keeping."""


@dataclass(frozen=True, slots=True)
class Waste:
    """A piece not worth keeping, or nothing at all where a kerf or less remained."""


@dataclass(frozen=True, slots=True)
class Cut:
    """One cut from edge to edge.

    Attributes
    ----------
    direction : {"rip", "cross"}
        ``"rip"`` runs along the length and splits the width; ``"cross"`` runs across and splits the length.
    at : int
        Width (rip) or length (cross) of `first`. The saw then eats one kerf; `rest` is what remains.
    first, rest : Node
        The two pieces.
    """

    direction: Direction
    at: int
    first: "Node"
    rest: "Node"


Node = Cut | PartLeaf | Offcut | Waste


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """One way to cut a sheet, and how many sheets are cut so.

    Attributes
    ----------
    sheet : Sheet
        The sheet that is cut.
    cuts : Node
        How; an :class:`Offcut` at the root is a sheet taken whole because the price break that it reaches saves more.
    repeat : int
        How many sheets are cut this way.
    """

    sheet: Sheet
    cuts: Node
    repeat: int

    def pieces(self, kerf: int) -> Iterator[tuple[int, int, int, int, Node]]:
        """Walk the leaves as ``(x, y, length, width, leaf)``, measured from the sheet's corner."""
        trim = self.sheet.trim or Trim()
        stack: list[tuple[int, int, int, int, Node]] = [
            (trim.left, trim.bottom, self.sheet.usable_length, self.sheet.usable_width, self.cuts)
        ]
        while stack:
            x, y, length, width, node = stack.pop()
            if not isinstance(node, Cut):
                yield x, y, length, width, node
            elif node.direction == "rip":
                rest = node.at + kerf
                stack.append((x, y + rest, length, max(0, width - rest), node.rest))
                stack.append((x, y, length, node.at, node.first))
            else:
                rest = node.at + kerf
                stack.append((x + rest, y, max(0, length - rest), width, node.rest))
                stack.append((x, y, node.at, width, node.first))


MILLE: Final = 1000
"""Work and kept offcuts are weighed in thousandths of the unit that sheets cost in."""


@dataclass(frozen=True, slots=True)
class Trade:
    """One way to cut a good, as it was weighed.

    Attributes
    ----------
    goods : int
        What its sheets cost.
    work : int
        What the saw's work costs, in thousandths of the same unit.
    kept : int
        What its kept offcuts are worth, in thousandths.
    """

    goods: int
    work: int
    kept: int = 0

    @property
    def sum(self) -> int:
        """Goods and work, less what is kept, in thousandths."""
        return self.goods * MILLE + self.work - self.kept


@dataclass(frozen=True, slots=True)
class Layout:
    """The sheets of one good.

    Attributes
    ----------
    good : str
        The good that is cut; empty when nothing was wanted.
    kerf : int
        What each cut eats.
    sheets : tuple of SheetLayout
        Which sheets are cut, and how.
    cost : int
        What was minimised: bought stock, price breaks included, plus the book value of rack stock.
    spend : int
        What the bought stock alone costs.
    bound : int
        Proven lower bound on `cost`.
    proven : bool
        True exactly when `bound` equals the least cost that was found: `cost` less `over`.
    stopped : {"deadline", "interrupt"} or None
        What cut the search off; None when it ended by itself.
    sheet_count : int
        How many sheets are taken; the first number that breaks ties of cost (rack stock before bought).
    offcut_area : int
        Area of the largest single offcut; the second.
    layout_count : int
        How many different ways of cutting a sheet there are, names of parts aside; the third.
    setups : int
        How often a fence is set, equal settings of one stage of a layout being cut together; the last.
    use : float
        The fraction of the bought area that became parts; 0 when nothing was bought.
    over : int
        By how much `cost` is above the least that was found, for the sake of the work at the saw.
    front : tuple of Trade
        What was weighed of goods and work and is beaten in both by nothing, by goods; empty where no work was weighed.
    trade : Trade or None
        What was weighed of this layout.
    """

    good: str
    kerf: int
    sheets: tuple[SheetLayout, ...]
    cost: int
    spend: int
    bound: int
    proven: bool
    stopped: Stopped | None = None
    sheet_count: int = 0
    offcut_area: int = 0
    layout_count: int = 0
    setups: int = 0
    use: float = 0.0
    over: int = 0
    front: tuple[Trade, ...] = ()
    trade: Trade | None = None
