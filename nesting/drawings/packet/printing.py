"""Printing: what the packet is made from, and what the front office hands in as plain values.

The shop floor knows no money. Suppliers, weights with suppliers, and values on papers come in here as text.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Literal

from nesting.base.measure import UnitSystem, format_length, format_weight
from nesting.build import Build
from nesting.drawings.day_bars import Bar
from nesting.drawings.packet.paper import PAPERS, Paper, PaperName
from nesting.drawings.scene import POINT
from nesting.shop.house_rules.printing import GRIDS, LabelRules

Terms = Literal["", "consigned", "sold"]


@dataclass(frozen=True, slots=True)
class BuyingLine:
    """One line of the buying list.

    Attributes
    ----------
    supplier : str
        Where it is bought.
    good, stock : str
        What it is, for people, and in which size.
    count : int
        How many of that stock.
    note : str
        Anything a buyer should know, a price included.
    kg : float
        Weight of the line, all units together.
    amount : str
        Shown instead of the count where no whole units are bought, such as a length off a roll.
    """

    supplier: str
    good: str
    stock: str
    count: int
    note: str = ""
    kg: float = 0.0
    amount: str = ""


@dataclass(frozen=True, slots=True)
class Party:
    """A name and an address, line by line."""

    name: str = ""
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Strapped:
    """Crates as a carrier is handed them on one pallet or A-frame.

    Attributes
    ----------
    crates : tuple of str
        By name.
    on : str
        What they are strapped to, for people.
    width, height, depth : int
        Of all of it, exact grid.
    kg : float
        Gross, with what they are strapped to.
    """

    crates: tuple[str, ...]
    on: str
    width: int
    height: int
    depth: int
    kg: float


@dataclass(frozen=True, slots=True)
class TravelPapers:
    """What is known for the papers of one destination; whatever is empty is left as a line to write on.

    Attributes
    ----------
    destination : str
        Name of the place, in the papers' titles; may be empty.
    pieces : tuple of str
        The pieces (copies' names) that go there.
    number, date : str
        Of the papers, as the studio writes them.
    sender, receiver : Party
        Who sends, and who receives.
    border : bool
        Whether the goods cross a border.
    terms : mapping of str to {"", "consigned", "sold"}
        On which terms each piece (a copy's name) travels.
    currency : str
        Of the values.
    values : mapping of str to str
        Value of each piece (a copy's name), as text.
    total : str
        All values together, as text.
    strapped : tuple of Strapped
        What goes on a pallet or an A-frame.
    """

    destination: str = ""
    pieces: tuple[str, ...] = ()
    number: str = ""
    date: str = ""
    sender: Party = Party()
    receiver: Party = Party()
    border: bool = False
    terms: Mapping[str, Terms] = field(default_factory=dict)
    currency: str = ""
    values: Mapping[str, str] = field(default_factory=dict)
    total: str = ""
    strapped: tuple[Strapped, ...] = ()


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Plain label paper: rows and columns of labels, and the margins around and between them, in points.

    ``None`` for a margin takes the paper's own; ``paper`` is what the labels come on, the packet's own if empty.
    """

    rows: int = 10
    columns: int = 3
    top: float | None = None
    side: float | None = None
    row_gap: float = 0.0
    column_gap: float = 9.0
    paper: PaperName | Literal[""] = ""

    def __post_init__(self) -> None:
        if not (1 <= self.rows <= 30 and 1 <= self.columns <= 8):
            raise ValueError(f"a label sheet has 1 to 30 rows and 1 to 8 columns, not {self.rows} x {self.columns}")

    @classmethod
    def of(cls, rules: LabelRules) -> "LabelSheet":
        """Return the label sheet of a shop's rules."""
        if rules.grid:
            grid = GRIDS[rules.grid]
            return cls(
                grid.rows,
                grid.columns,
                grid.top / POINT,
                grid.side / POINT,
                column_gap=grid.column_gap / POINT,
                paper=grid.paper,
            )
        top, side, row_gap, column_gap = (
            length / POINT for length in (rules.top, rules.side, rules.row_gap, rules.column_gap)
        )
        return cls(rules.rows, rules.columns, top or None, side or None, row_gap, column_gap)


@dataclass(frozen=True, slots=True)
class Days:
    """The calendar as the packet prints it.

    Attributes
    ----------
    bars : tuple of Bar
        In the order of the page.
    off : frozenset of date
        Days on which nobody works.
    hours : mapping of str to str
        Person hours of a bar, by its name, as text.
    notes : mapping of str to str
        What else is known of a bar, by its name.
    told : tuple of str
        Sentences above the drawing, such as the last day to buy.
    """

    bars: tuple[Bar, ...]
    off: frozenset[date] = frozenset()
    hours: Mapping[str, str] = field(default_factory=dict)
    notes: Mapping[str, str] = field(default_factory=dict)
    told: tuple[str, ...] = ()


@dataclass(frozen=True)
class Printing:
    """A build to be printed; ``incomplete`` is what its quote lacks, in the front office's words."""

    build: Build
    paper: Paper = PAPERS["letter"]
    units: UnitSystem = "inch"
    buying: tuple[BuyingLine, ...] | None = None
    papers: tuple[TravelPapers, ...] | None = None
    labels: LabelSheet | None = None
    days: Days | None = None
    incomplete: tuple[str, ...] = ()

    @property
    def label_sheet(self) -> LabelSheet:
        """The label paper: as handed in, else the shop's own."""
        return self.labels or LabelSheet.of(self.build.shop.labels)

    @property
    def sets(self) -> tuple[TravelPapers, ...]:
        """The papers that travel, one set for each destination."""
        return plain_papers(self.build) if self.papers is None else self.papers

    @property
    def name(self) -> str:
        """The order's name."""
        return self.build.order.name

    def length(self, value: int, *, mark: bool = False) -> str:
        """Write a length in the printing's units."""
        return format_length(value, self.units, mark=mark)

    def size(self, *values: int, mark: bool = False) -> str:
        """Write several lengths with times signs between them."""
        text = " × ".join(self.length(value) for value in values)
        return f"{text}{self.mark}" if mark else text

    def weight(self, kg: float) -> str:
        """Write a weight in the printing's units, with its unit; never as nothing where there is something."""
        told = format_weight(kg, self.units, mark=True)
        return f"under 0.1 {told.partition(' ')[2]}" if kg > 0 and told.startswith("0 ") else told

    def cut(self, good: str) -> "Printing":
        """Return the printing in the units in which what is cut from a good is measured."""
        units = self.build.shop.measured_in(good, self.units)
        return self if units == self.units else replace(self, units=units)

    @property
    def of_pieces(self) -> "Printing":
        """The printing in the order's units, for the sizes of pieces."""
        units = self.build.order.units
        return self if units == self.units else replace(self, units=units)

    @property
    def unit_of_parts(self) -> str:
        """The unit of parts' sizes, for a page's head: each good has its own in a shop of both."""
        return f"{self.unit} or as marked" if self.build.shop.is_mixed else self.unit

    @property
    def unit_of_cuts(self) -> str:
        """The same of figures at the saw, which stand without a mark."""
        other = "millimetres" if self.units == "inch" else "inches"
        return f"{self.unit}, or in {other} where a good is sold in them" if self.build.shop.is_mixed else self.unit

    def gross(self, kg: float) -> str:
        """Write a weight for whoever lifts a crate, a stranger to the shop: in both units, unless the shop has one."""
        return format_weight(kg, "metric", mark=True) if self.shop_units == "metric" else both_weights(kg)

    @property
    def shop_units(self) -> UnitSystem:
        """Which sizes the shop goes by."""
        return self.build.shop.units

    @property
    def mark(self) -> str:
        """The unit as it stands behind a figure."""
        return " in" if self.units == "inch" else " mm"

    @property
    def unit(self) -> str:
        """The unit of bare figures, in words for a page's head."""
        return "inches" if self.units == "inch" else "millimetres"


def both_weights(kg: float) -> str:
    """Write a weight in pounds and in kilograms."""
    return f"{format_weight(kg, 'inch', mark=True)} ({format_weight(kg, 'metric', mark=True)})"


def plain_papers(build: Build) -> tuple[TravelPapers, ...]:
    """Return papers for each destination of an order, in the order in which it names them, with nothing else known.

    Pieces whose crate is held travel nowhere, and stand on no papers.
    """
    pieces: dict[str, list[str]] = {}
    for work in build.order.copies():
        if work.piece in build.held_pieces:
            continue
        pieces.setdefault(work.destination or "", []).append(work.piece)
    return tuple(
        TravelPapers(destination=place, pieces=tuple(names), receiver=Party(place)) for place, names in pieces.items()
    )


def paper_named(name: PaperName) -> Paper:
    """Return a paper by its name; :class:`ValueError` says which there are."""
    if name not in PAPERS:
        raise ValueError(f"found paper {name!r}; accepted: {', '.join(PAPERS)}")
    return PAPERS[name]
