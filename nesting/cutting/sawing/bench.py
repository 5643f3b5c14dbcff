"""What lies at hand while a good is cut: stages of cuts that are still one panel, and the cuts that can be made now.

A stage is a panel divided by cuts of one direction (see :mod:`panels`); a run is what is still one piece of it. Cuts
are made at the ends of a run, with the end piece at the fence; where no tool can do that, anywhere in it, with either
side at the fence.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from nesting.cutting.sawing.limits import Limits
from nesting.cutting.sawing.model import Tool
from nesting.cutting.sawing.panels import Panel
from nesting.cutting.sheets import PartLeaf

Key = tuple[Tool, int]
"""A setting: the tool, and what lies between its fence, stop or rule and the blade."""


@dataclass(slots=True, eq=False)
class Stage:
    """A panel that is cut further, with what its cuts ask for.

    Attributes
    ----------
    panel : Panel
        The panel.
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
    scraps : tuple of bool
        Which segments are offcuts or waste.
    """

    panel: Panel
    rip: bool
    along: int
    starts: tuple[int, ...]
    ends: tuple[int, ...]
    end: int
    wanted: tuple[Key | None, ...]
    inner: tuple["Stage | None", ...]
    scraps: tuple[bool, ...]

    @classmethod
    def of(cls, panel: Panel, limits: Limits) -> "Stage":
        """Return a panel as a stage, with all stages inside it."""
        rip = panel.direction == "rip"
        along, start, length = (panel.dx, panel.y, panel.dy) if rip else (panel.dy, panel.x, panel.dx)
        starts, ends = [], []
        wanted: list[Key | None] = []
        inner, scraps = [], []
        for each in panel.segments:
            low, size = (each.y, each.dy) if rip else (each.x, each.dx)
            leaf = each.leaf
            scrap = leaf is not None and not isinstance(leaf, PartLeaf)
            tool = None if scrap else limits.setting(along, size)
            starts.append(low)
            ends.append(low + size)
            wanted.append(None if tool is None else (tool, size))
            inner.append(None if leaf is not None else cls.of(each, limits))
            scraps.append(scrap)
        return cls(
            panel, rip, along, tuple(starts), tuple(ends), start + length, tuple(wanted), tuple(inner), tuple(scraps)
        )

    def all_wanted(self) -> Iterator[Key]:
        """Yield the settings that are wanted here and inside."""
        yield from (key for key in self.wanted if key is not None)
        for each in self.inner:
            if each is not None:
                yield from each.all_wanted()


@dataclass(frozen=True, slots=True)
class Way:
    """A cut that can be made: behind segment `after`, with the lower (or left) side at the fence, or the other."""

    after: int
    from_low: bool


@dataclass(slots=True, eq=False)
class Run:
    """Neighbouring segments of a stage that are still one panel: from `low` to `high`.

    Attributes
    ----------
    order : int
        Counts panels as they come up: what came up first is taken first.
    layout, name : int, str
        Which layout it belongs to, and its panel's name.
    where : Tool or None
        The tool at which it lies; None of a sheet that nobody has brought yet.
    ripped : bool or None
        Whether its last cut at the table saw ran along the sheet; None where it comes from elsewhere.
    ways : dict of Key to Way
        The cuts that can be made of it now, by setting.
    reached : dict of Key to int
        How many pieces each setting would cut off its ends, without any other.
    needed : set of Key
        Settings that it needs in any case: with the last cut of a run without scrap one piece comes free.
    dust, across : bool, int
        Whether there is one more cut behind its last segment, and its size across the cuts.
    """

    order: int
    layout: int
    name: str
    stage: Stage
    low: int
    high: int
    where: Tool | None
    ripped: bool | None = None
    ways: dict[Key, Way] = field(default_factory=dict)
    reached: dict[Key, int] = field(default_factory=dict)
    needed: set[Key] = field(default_factory=set)
    dust: bool = field(init=False)
    across: int = field(init=False)

    def __post_init__(self) -> None:
        stage, last = self.stage, self.high == len(self.stage.ends) - 1
        end = stage.end if last else stage.ends[self.high]
        self.dust = last and end > stage.ends[-1]
        self.across = end - stage.starts[self.low]

    @property
    def area(self) -> int:
        """Its area."""
        return self.across * self.stage.along

    def size(self, way: Way) -> int:
        """Return what lies between fence and blade in a cut."""
        if way.from_low:
            return self.stage.ends[way.after] - self.stage.starts[self.low]
        last = self.stage.ends[self.high]
        return last - self.stage.starts[way.after + 1]

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


def see(run: Run, limits: Limits) -> None:
    """Find the cuts that can be made of a run now, what it reaches at its ends, and what it needs in any case."""
    stage, low, high = run.stage, run.low, run.high
    wanted = stage.wanted
    once: set[Key] = set()
    again: set[Key] = set()
    spare = not run.dust
    for key in wanted[low : high + 1]:
        if key is None:
            spare = False
        elif key in once:
            again.add(key)
        else:
            once.add(key)
    run.needed = again if spare else once
    run.reached = _reached(run)
    run.ways = {}
    if limits.soft is None and run.area > limits.handle:
        return
    first, last = wanted[low], wanted[high]
    if first is not None and _possible(run, first, limits) and not _stuck(run, low + 1, high, limits):
        run.ways[first] = Way(low, from_low=True)
    if last is None or high == low or run.dust:
        pass
    elif _possible(run, last, limits) and not _stuck(run, low, high - 1, limits):
        run.ways.setdefault(last, Way(high - 1, from_low=False))
    if not run.ways:
        _other_ways(run, limits)


def with_rail(run: Run, limits: Limits) -> Way:
    """Return the cut that is made where no fence or stop takes a run.

    Of what can be handled an end piece is cut off. What is too large is halved as evenly as its cuts allow, from the
    side whose size is that of finished pieces.
    """
    ways = [Way(run.low, from_low=True)]
    if run.high > run.low and not run.dust:
        ways.append(Way(run.high - 1, from_low=False))
    ways = [way for way in ways if not run.stage.scraps[run.low if way.from_low else run.high]]
    if ways and run.area <= limits.handle:
        return max(ways, key=lambda way: (run.size(way), way.from_low))

    def larger(way: Way) -> tuple[int, int, int, int, int]:
        at = run.size(way)
        first, last = (run.low, way.after) if way.from_low else (way.after + 1, run.high)
        stuck = sum(_stuck(run, *side, limits) for side in ((run.low, way.after), (way.after + 1, run.high)))
        return stuck, max(at, run.across - at - limits.kerf), run.scrap(first, last), at, way.after

    return min(run.any_way(), key=larger)


def _reached(run: Run) -> dict[Key, int]:
    """Count what can be cut off at the ends at one setting each, without any other."""
    wanted, low, high = run.stage.wanted, run.low, run.high
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


def _possible(run: Run, key: Key, limits: Limits) -> bool:
    """Whether a piece is cut off at the setting that it wants: that depends on the rest of its panel too."""
    tool, at = key
    if tool == "chop":
        return limits.stop(run.stage.along, run.across, at)
    return tool != "table" or limits.fence(run.stage.along, run.across, at)


def _stuck(run: Run, low: int, high: int, limits: Limits) -> bool:
    """Whether segments are so narrow, all of them, that none of them could lie at the fence while another falls."""
    if limits.soft is not None or run.stage.along <= limits.tools.chop or high < low:
        return False
    stage, least = run.stage, limits.tools.narrowest
    alone = low == high and not (run.dust and high == run.high and low > run.low)
    return not alone and all(stage.ends[at] - stage.starts[at] < least for at in range(low, high + 1))


def _other_ways(run: Run, limits: Limits) -> None:
    """Find the best cut that is made anywhere in a run at fence or stop."""
    best: tuple[tuple[int, int, int, int, int], Key, Way] | None = None
    for way in run.any_way():
        at = run.size(way)
        if limits.soft is not None:
            tool: Tool = limits.soft
        elif limits.stop(run.stage.along, run.across, at):
            tool = "chop"
        elif limits.fence(run.stage.along, run.across, at):
            tool = "table"
        else:
            continue
        first, last = (run.low, way.after) if way.from_low else (way.after + 1, run.high)
        stuck = sum(_stuck(run, *side, limits) for side in ((run.low, way.after), (way.after + 1, run.high)))
        rank = (stuck, run.scrap(first, last), max(at, run.across - at - limits.kerf), way.after, int(not way.from_low))
        if best is None or rank < best[0]:
            best = (rank, (tool, at), way)
    if best is not None:
        run.ways[best[1]] = best[2]
        run.needed.add(best[1])
