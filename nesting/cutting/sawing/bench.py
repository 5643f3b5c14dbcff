"""What lies at hand while a good is cut: stages of cuts that are still one panel, and the cuts that can be made now.

A stage is a panel divided by cuts of one direction (see :mod:`panels`); a span is what is still one piece of it, and a
run is a span that lies somewhere in the shop. Cuts are made at the ends of a span, with the end piece at the fence;
where no tool can do that, anywhere in it, with either side at the fence.

Stages and spans know nothing of the order of cuts. What was found of a sheet is remembered, for plans of the same
sheet beside others are asked for again and again.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import count
from typing import Any, Final, Literal

from nesting.cutting.sawing.grouping import grouped
from nesting.cutting.sawing.limits import Limits
from nesting.cutting.sawing.model import Outcome, Tool
from nesting.cutting.sawing.panels import Panel, panels
from nesting.cutting.sheets import Cut, Node, Offcut, PartLeaf, Sheet
from nesting.cutting.sheets.model import Direction

Key = tuple[Tool, int]
"""A setting: the tool, and what lies between its fence, stop or rule and the blade."""


_OPENED: Final = 1024
"""Sheets that are remembered, names of their parts aside: those of many orders, each some ten kilobytes."""


@dataclass(slots=True, eq=False)
class Stage:
    """A panel that is cut further, with what its cuts ask for.

    Attributes
    ----------
    panel : Panel
        The panel.
    limits : Limits
        Of the tools.
    rip : bool
        Whether its cuts run along the sheet.
    along : int
        How long they are.
    starts, ends : tuple of int
        Where each segment begins and ends, across the cuts.
    end : int
        Where the panel ends: behind the last segment there may be dust.
    wanted : tuple of Key or None
        The setting at which each segment is cut off; None of scrap, and where no fence or stop does it.
    inner : tuple of Stage or None
        Each segment as a stage of its own, where it is cut further.
    freed : tuple of Outcome or None
        What each segment is, where it is not; parts bear the number under which :class:`Opened` has their names.
    scraps : tuple of bool
        Which segments are offcuts or waste.
    """

    panel: Panel
    limits: Limits
    rip: bool
    along: int
    starts: tuple[int, ...]
    ends: tuple[int, ...]
    end: int
    wanted: tuple[Key | None, ...]
    inner: tuple["Stage | None", ...]
    freed: tuple[Outcome | None, ...]
    scraps: tuple[bool, ...]
    _spans: dict[tuple[int, int], "Span"] = field(default_factory=dict)

    @classmethod
    def of(cls, panel: Panel, limits: Limits) -> "Stage":
        """Return a panel as a stage, with all stages inside it."""
        rip = panel.direction == "rip"
        along, start, length = (panel.dx, panel.y, panel.dy) if rip else (panel.dy, panel.x, panel.dx)
        starts, ends = [], []
        wanted: list[Key | None] = []
        inner: list[Stage | None] = []
        freed: list[Outcome | None] = []
        scraps = []
        for each in panel.segments:
            low, size = (each.y, each.dy) if rip else (each.x, each.dx)
            leaf = each.leaf
            scrap = leaf is not None and not isinstance(leaf, PartLeaf)
            tool = None if scrap else limits.setting(along, size)
            starts.append(low)
            ends.append(low + size)
            wanted.append(None if tool is None else (tool, size))
            inner.append(None if leaf is not None else cls.of(each, limits))
            freed.append(None if leaf is None else outcome(each))
            scraps.append(scrap)
        return cls(
            panel,
            limits,
            rip,
            along,
            tuple(starts),
            tuple(ends),
            start + length,
            tuple(wanted),
            tuple(inner),
            tuple(freed),
            tuple(scraps),
        )

    def all_wanted(self) -> Iterator[Key]:
        """Yield the settings that are wanted here and inside."""
        yield from (key for key in self.wanted if key is not None)
        for each in self.inner:
            if each is not None:
                yield from each.all_wanted()

    @property
    def whole(self) -> "Span":
        """The panel before its first cut."""
        return self.span(0, len(self.ends) - 1)

    def span(self, low: int, high: int) -> "Span":
        """Return neighbouring segments that are still one piece, with what can be seen of them."""
        known = self._spans.get((low, high))
        if known is None:
            known = self._spans[low, high] = Span(self, low, high)
        return known


def outcome(panel: Panel) -> Outcome:
    """Return what a panel is that is cut no further."""
    if isinstance(panel.leaf, PartLeaf):
        return Outcome("part", panel.leaf.part, panel.dx, panel.dy)
    name: Literal["offcut", "waste"] = "offcut" if isinstance(panel.leaf, Offcut) else "waste"
    return Outcome(name, name, panel.dx, panel.dy)


@dataclass(frozen=True, slots=True)
class Opened:
    """A sheet as it is looked at before its first cut.

    Attributes
    ----------
    whole : Outcome or None
        What it becomes where it is only trimmed.
    stage : Stage or None
        What is left after its trim, where that is cut.
    wanted : tuple of Key
        All settings that are wanted of it.
    """

    whole: Outcome | None
    stage: Stage | None = None
    wanted: tuple[Key, ...] = ()


def opened(sheet: Sheet, cuts: Node, limits: Limits) -> tuple[Opened, tuple[str, ...]]:
    """Return a sheet with all its stages, neighbours that are cut alike taken together, and the names of its parts.

    Names aside, sheets of a large order are often cut alike: what was found of one stands for all of them.
    """
    shape, names = _numbered(cuts)
    return _opened(sheet, shape, limits), names


def named(freed: Outcome, names: tuple[str, ...]) -> Outcome:
    """Return what is cut no further by its own name, where it bears the number of a part."""
    return Outcome("part", names[int(freed.name)], freed.dx, freed.dy) if freed.kind == "part" else freed


_Shape = tuple[str | int | bool | type[Node], ...]
"""A cut tree, node after node: direction and place of a cut, then both its sides; a part, and whether it is turned."""


def _numbered(cuts: Node) -> tuple[_Shape, tuple[str, ...]]:
    """Return a cut tree without the names of its parts, and those, in the order of the tree."""
    shape: list[str | int | bool | type[Node]] = []
    names: list[str] = []
    open_: list[Node] = [cuts]
    while open_:
        node = open_.pop()
        if isinstance(node, Cut):
            shape += (node.direction, node.at)
            open_ += (node.rest, node.first)
        elif isinstance(node, PartLeaf):
            shape += (PartLeaf, node.turned)
            names.append(node.part)
        else:
            shape.append(type(node))
    return tuple(shape), tuple(names)


def _tree(shape: Iterator[Any], numbers: Iterator[int]) -> Node:
    """Return the cut tree of a shape, its parts named by numbers."""
    kind = next(shape)
    if kind is PartLeaf:
        return PartLeaf(str(next(numbers)), next(shape))
    if isinstance(kind, str):
        direction: Direction = "rip" if kind == "rip" else "cross"
        at = next(shape)
        first = _tree(shape, numbers)
        return Cut(direction, at, first, _tree(shape, numbers))
    leaf: Node = kind()
    return leaf


@lru_cache(maxsize=_OPENED)
def _opened(sheet: Sheet, shape: _Shape, limits: Limits) -> Opened:
    root = grouped(panels(sheet, _tree(iter(shape), count()), limits.kerf), limits)
    if root.leaf is not None:
        return Opened(outcome(root))
    stage = Stage.of(root, limits)
    return Opened(None, stage, tuple(stage.all_wanted()))


@dataclass(frozen=True, slots=True)
class Way:
    """A cut that can be made: behind segment `after`, with the lower (or left) side at the fence, or the other."""

    after: int
    from_low: bool


class Span:
    """Neighbouring segments of a stage that are still one piece: from `low` to `high`.

    Attributes
    ----------
    dust : bool
        Whether there is one more cut behind its last segment.
    across, area : int
        Its size across the cuts, and its area.
    ways : mapping of Key to Way
        The cuts that can be made of it now, by setting.
    reached : tuple of (Key, int)
        How many pieces each setting would cut off its ends, without any other.
    needed : frozenset of Key
        Settings that it needs in any case: with the last cut of a span without scrap one piece comes free.
    """

    __slots__ = ("_rail", "across", "area", "dust", "high", "low", "needed", "reached", "stage", "ways")

    def __init__(self, stage: Stage, low: int, high: int) -> None:
        self.stage, self.low, self.high = stage, low, high
        last = high == len(stage.ends) - 1
        end = stage.end if last else stage.ends[high]
        self.dust = last and end > stage.ends[-1]
        self.across = end - stage.starts[low]
        self.area = self.across * stage.along
        self._rail: Way | None = None
        self.reached = tuple(_reached(self).items())
        self.needed = frozenset(_needed(self))
        self.ways: Mapping[Key, Way] = _ways(self)
        if not self.ways and (found := _other_way(self)):
            self.ways = {found[0]: found[1]}
            self.needed |= {found[0]}

    @property
    def with_rail(self) -> Way:
        """The cut that is made where no fence or stop takes it."""
        if self._rail is None:
            self._rail = _with_rail(self)
        return self._rail

    def size(self, way: Way) -> int:
        """Return what lies between fence and blade in a cut."""
        if way.from_low:
            return self.stage.ends[way.after] - self.stage.starts[self.low]
        return self.stage.ends[self.high] - self.stage.starts[way.after + 1]

    def any_way(self) -> Iterator[Way]:
        """Yield every cut that its stage allows, with either side at the fence."""
        for after in range(self.low, self.high):
            yield Way(after, from_low=True)
            if not self.dust:
                yield Way(after, from_low=False)
        if self.dust and self.low == self.high:
            yield Way(self.high, from_low=True)

    def scrap(self, low: int, high: int) -> int:
        """Count the scrap among segments."""
        return sum(self.stage.scraps[low : high + 1])


@dataclass(slots=True, eq=False)
class Run:
    """A span that lies in the shop.

    Attributes
    ----------
    order : int
        Counts panels as they come up: what came up first is taken first.
    layout, name : int, str
        Which layout it belongs to, and its panel's name.
    span : Span
        What it is.
    where : Tool or None
        The tool at which it lies; None of a sheet that nobody has brought yet.
    ripped : bool or None
        Whether its last cut at the table saw ran along the sheet; None where it comes from elsewhere.
    """

    order: int
    layout: int
    name: str
    span: Span
    where: Tool | None
    ripped: bool | None = None


def _needed(span: Span) -> set[Key]:
    """Return the settings that a span needs in any case."""
    once: set[Key] = set()
    again: set[Key] = set()
    spare = not span.dust
    for key in span.stage.wanted[span.low : span.high + 1]:
        if key is None:
            spare = False
        elif key in once:
            again.add(key)
        else:
            once.add(key)
    return again if spare else once


def _ways(span: Span) -> dict[Key, Way]:
    """Return the cuts that can be made at the ends of a span."""
    stage, low, high = span.stage, span.low, span.high
    limits, wanted = stage.limits, stage.wanted
    ways: dict[Key, Way] = {}
    if limits.soft is None and span.area > limits.handle:
        return ways
    first, last = wanted[low], wanted[high]
    if first is not None and _possible(span, first) and not _stuck(span, low + 1, high):
        ways[first] = Way(low, from_low=True)
    if last is None or high == low or span.dust:
        pass
    elif _possible(span, last) and not _stuck(span, low, high - 1):
        ways.setdefault(last, Way(high - 1, from_low=False))
    return ways


def _with_rail(span: Span) -> Way:
    """Return the cut that is made where no fence or stop takes a span.

    Of what can be handled an end piece is cut off. What is too large is halved as evenly as its cuts allow, from the
    side whose size is that of finished pieces.
    """
    limits = span.stage.limits
    ways = [Way(span.low, from_low=True)]
    if span.high > span.low and not span.dust:
        ways.append(Way(span.high - 1, from_low=False))
    ways = [way for way in ways if not span.stage.scraps[span.low if way.from_low else span.high]]
    if ways and span.area <= limits.handle:
        return max(ways, key=lambda way: (-_leaves_stuck(span, way), span.size(way), way.from_low))

    def larger(way: Way) -> tuple[int, int, int, int, int]:
        at = span.size(way)
        first, last = (span.low, way.after) if way.from_low else (way.after + 1, span.high)
        most = max(at, span.across - at - limits.kerf)
        return _leaves_stuck(span, way), most, span.scrap(first, last), at, way.after

    return min(span.any_way(), key=larger)


def _reached(span: Span) -> dict[Key, int]:
    """Count what can be cut off at the ends at one setting each, without any other."""
    wanted, low, high = span.stage.wanted, span.low, span.high
    found: dict[Key, int] = {}
    at, first, last = low, wanted[low], wanted[high]
    if first is not None:
        while at <= high and wanted[at] == first:
            at += 1
        found[first] = at - low
    if last is not None and at <= high:
        at = high
        while wanted[at] == last:
            at -= 1
        found[last] = found.get(last, 0) + high - at
    return found


def _possible(span: Span, key: Key) -> bool:
    """Whether a piece is cut off at the setting that it wants: that depends on the rest of its panel too."""
    tool, at = key
    if tool == "chop":
        return span.stage.limits.stop(span.stage.along, span.across, at)
    return tool != "table" or span.stage.limits.fence(span.stage.along, span.across, at)


def _stuck(span: Span, low: int, high: int) -> bool:
    """Whether segments are so narrow, all of them, that none of them could lie at the fence while another falls."""
    stage = span.stage
    limits = stage.limits
    if limits.soft is not None or stage.along <= limits.tools.chop or high < low:
        return False
    least = limits.tools.narrowest
    alone = low == high and not (span.dust and high == span.high and low > span.low)
    return not alone and all(stage.ends[at] - stage.starts[at] < least for at in range(low, high + 1))


def _leaves_stuck(span: Span, way: Way) -> int:
    """Count the sides of a cut that are stuck then."""
    return _stuck(span, span.low, way.after) + _stuck(span, way.after + 1, span.high)


def _other_way(span: Span) -> tuple[Key, Way] | None:
    """Return the best cut that is made anywhere in a span at fence or stop, with its setting; None where there is none.

    What is too large to be handled goes to no fence and no stop; nor does what could only be divided so that one side
    is stuck, where the rail does better.
    """
    along, limits = span.stage.along, span.stage.limits
    if limits.soft is None and span.area > limits.handle:
        return None
    best: tuple[tuple[int, int, int, int, int], Key, Way] | None = None
    for way in span.any_way():
        at = span.size(way)
        if limits.soft is not None:
            tool: Tool = limits.soft
        elif limits.stop(along, span.across, at):
            tool = "chop"
        elif limits.fence(along, span.across, at):
            tool = "table"
        else:
            continue
        first, last = (span.low, way.after) if way.from_low else (way.after + 1, span.high)
        most = max(at, span.across - at - limits.kerf)
        rank = (_leaves_stuck(span, way), span.scrap(first, last), most, way.after, int(not way.from_low))
        if best is None or rank < best[0]:
            best = (rank, (tool, at), way)
    if best is None:
        return None
    # What is stuck ends in a cut that no tool makes: rather one narrow piece after the other falls beside the rail.
    if best[0][0] and limits.rail(along, span.across) and not _leaves_stuck(span, span.with_rail):
        return None
    return best[1:]
