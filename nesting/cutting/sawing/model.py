"""What is done at the saw, as values: settings of a tool one after the other, each with all cuts made at it.

A setting is one thing that a person sets (a fence, a stop, a guide) and then cuts by, again and again, whatever sheet,
crate or face the pieces belong to. Lengths are exact integers of the grid. The list alone is enough to cut by: each cut
names its panel, which edge of it lies against fence or stop, how far the blade is from there, and what the two sides
become. Where several sheets are cut alike, a cut is made on each of them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, Literal

Action = Literal["trim", "rip", "crosscut"]
Edge = Literal["left", "right", "bottom", "top"]
Tool = Literal["track", "table", "chop", "knife", "band", "none"]

TITLES: Final[Mapping[Tool, str]] = {
    "track": "track saw",
    "table": "table saw",
    "chop": "chop saw",
    "knife": "knife",
    "band": "bandsaw or hot wire",
    "none": "no tool of the shop",
}


@dataclass(frozen=True, slots=True)
class Outcome:
    """What is on one side of a cut: a panel to cut further, a part, an offcut, waste, or nothing but dust."""

    kind: Literal["panel", "part", "offcut", "waste", "dust"]
    name: str = ""
    dx: int = 0
    dy: int = 0


def letters(number: int) -> str:
    """Return the name of the nth panel: A, ..., Z, AA, AB, ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


@dataclass(frozen=True, slots=True)
class SawCut:
    """One cut, as it is made on each of the sheets that are cut alike.

    Panels are named by the layout's number and a letter, such as ``"2C"``: the whole sheet is A, what comes off gets
    the next letter if it is cut further, what stays keeps its name.

    Attributes
    ----------
    number : int
        From 1 within the good, in the order of cutting.
    action : {"trim", "rip", "crosscut"}
        A rip runs along the sheet's length, a crosscut across it; trim takes a strip off an edge.
    panel : str
        Name of the panel that is cut.
    fence : int
        Distance from the edge at fence, stop or rule to the blade: the size of `off` across the cut. Of a trim that is
        not made with the table saw: what is lost, the kerf included.
    edge : {"left", "right", "bottom", "top"}
        The panel's edge that lies there, as drawn.
    off, stays : Outcome
        What lies between that edge and the blade, and what lies beyond the blade. Of a trim the waste has no size; with
        the table saw the rest of the sheet lies between fence and blade, so that `off` is the panel that goes on.
    line : tuple of float
        ``(x1, y1, x2, y2)``, the middle of the kerf on the sheet.
    layout : int
        Index of the layout among :attr:`Layout.sheets`.
    repeat : int
        On how many sheets it is made.
    tool : {"track", "table", "chop", "knife", "band", "none"}
        What cuts.
    along, across : int
        Size of the panel along the cut, and across it.
    turned : bool
        Whether the panel is turned by a quarter before this cut: it was cut at this tool the other way before.
    clamped : bool
        Whether the chop saw's clamp holds what a hand may not: neither side of the cut is as long as it should be.
    """

    number: int
    action: Action
    panel: str
    fence: int
    edge: Edge
    off: Outcome
    stays: Outcome
    line: tuple[float, float, float, float]
    layout: int
    repeat: int
    tool: Tool
    along: int
    across: int
    turned: bool = False
    clamped: bool = False


@dataclass(frozen=True, slots=True)
class Setting:
    """A tool set once, and all cuts made so.

    Attributes
    ----------
    tool : {"track", "table", "chop", "knife", "band", "none"}
        What cuts.
    action : {"trim", "rip", "crosscut"}
        Of its first cut. A rip runs along the sheet's length, a crosscut across it; both may share a fence.
    at : int
        Distance of fence, stop or rule from the blade: the size of what lies between. Of a trim that is not made at a
        fence: what is lost.
    cuts : tuple of SawCut
        In order.
    passes : int
        How often the tool goes through, all sheets counted; what is cut in a stack goes through once.
    stacked : int
        How many lie on each other at the most.
    with_block : bool
        Whether a push block moves the piece.
    bevel : int
        Degrees by which the blade is tilted.
    reason : str
        What the person should know of it, such as why a blank is longer than its part; empty where nothing.
    """

    tool: Tool
    action: Action
    at: int
    cuts: tuple[SawCut, ...]
    passes: int
    stacked: int = 1
    with_block: bool = False
    bevel: int = 0
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Effort:
    """What a plan asks of a person, in counts; what each costs is told by whoever knows money.

    Attributes
    ----------
    settings, passes : mapping of Tool to int
        How often each tool is set, and goes through.
    rips : mapping of Tool to int
        Passes among them that run along the sheet.
    loads : int
        Sheets brought to their first tool.
    turns : int
        How often a panel is turned by a quarter before its next cut at the table saw.
    carries : int
        Armfuls of panels brought from one tool to another: as many panels as one person handles at once.
    """

    settings: Mapping[Tool, int] = field(default_factory=dict)
    passes: Mapping[Tool, int] = field(default_factory=dict)
    rips: Mapping[Tool, int] = field(default_factory=dict)
    loads: int = 0
    turns: int = 0
    carries: int = 0


@dataclass(frozen=True, slots=True)
class SawCosts:
    """Whole costs of one of each, in any one unit; what is not named costs nothing.

    Attributes
    ----------
    settings, rips, crosscuts : mapping of Tool to int
        Of setting a tool, and of a pass of it along the sheet and across it.
    load, turn, carry : int
        Of a sheet brought to the saw, a panel turned, an armful carried.
    """

    settings: Mapping[Tool, int] = field(default_factory=dict)
    rips: Mapping[Tool, int] = field(default_factory=dict)
    crosscuts: Mapping[Tool, int] = field(default_factory=dict)
    load: int = 0
    turn: int = 0
    carry: int = 0

    def cost(self, effort: Effort) -> int:
        """Return what the work of a plan costs."""
        total = effort.loads * self.load + effort.turns * self.turn + effort.carries * self.carry
        total += sum(count * self.settings.get(tool, 0) for tool, count in effort.settings.items())
        for tool, count in effort.passes.items():
            rips = effort.rips.get(tool, 0)
            total += rips * self.rips.get(tool, 0) + (count - rips) * self.crosscuts.get(tool, 0)
        return total


USUAL: Final = SawCosts(
    settings={"table": 1000, "chop": 700},
    rips={"track": 2000, "table": 750, "knife": 500, "band": 500, "none": 60_000},
    crosscuts={"track": 2000, "table": 500, "chop": 250, "knife": 500, "band": 500, "none": 60_000},
    load=3000,
    turn=100,
    carry=500,
)
"""Thousandths of a minute, where nobody times the work: a shop's guess. What no tool cuts is dearer than all else."""


@dataclass(frozen=True)
class SawPlan:
    """All cuts of one good, in order.

    Attributes
    ----------
    good : str
        What is cut.
    kerf : int
        What each cut takes.
    settings : tuple of Setting
        In the order of the work.
    effort : Effort
        What they come to.
    """

    good: str
    kerf: int
    settings: tuple[Setting, ...]
    effort: Effort

    @property
    def refused(self) -> tuple[Setting, ...]:
        """Settings that no tool of the shop can make."""
        return tuple(each for each in self.settings if each.tool == "none")

    @property
    def cuts(self) -> tuple[SawCut, ...]:
        """Every cut, in order."""
        return tuple(cut for each in self.settings for cut in each.cuts)

    def of_layout(self, index: int) -> tuple[SawCut, ...]:
        """Return the cuts of one layout, in the order of the whole plan, whose numbers they keep."""
        return self._by_layout.get(index, ())

    @cached_property
    def _by_layout(self) -> dict[int, tuple[SawCut, ...]]:
        found: dict[int, list[SawCut]] = {}
        for cut in self.cuts:
            found.setdefault(cut.layout, []).append(cut)
        return {index: tuple(cuts) for index, cuts in found.items()}
