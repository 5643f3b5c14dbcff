"""What is done at the saw, as values: settings of a tool one after the other, each with all cuts made at it.

A setting is one thing that a person sets (a fence, a stop, a guide) and then cuts by, again and again, whatever sheet,
crate or face the pieces belong to. Lengths are exact integers of the grid.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from nesting.cutting.sawing.cut_order import Action, Edge, Outcome

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
class SawCut:
    """One cut, as it is made on each of the sheets that are cut alike.

    Attributes
    ----------
    number : int
        From 1 within the good, in the order of cutting.
    layout : int
        Index of the layout among :attr:`Layout.sheets`.
    repeat : int
        On how many sheets it is made.
    panel : str
        What is cut: the layout's number and the panel's letter, such as ``"2C"``.
    edge : {"left", "right", "bottom", "top"}
        The panel's edge that lies against fence or stop, as the layout is drawn.
    along, across : int
        Size of the panel along the cut, and across it.
    off, stays : Outcome
        What lies between fence (or stop) and blade, and what lies beyond.
    line : tuple of float
        ``(x1, y1, x2, y2)``, the middle of the kerf on the sheet.
    """

    number: int
    layout: int
    repeat: int
    panel: str
    edge: Edge
    along: int
    across: int
    off: Outcome
    stays: Outcome
    line: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Setting:
    """A tool set once, and all cuts made so.

    Attributes
    ----------
    tool : {"track", "table", "chop", "knife", "band", "none"}
        What cuts.
    action : {"trim", "rip", "crosscut"}
        A rip runs along the sheet's length, a crosscut across it.
    at : int
        Distance of fence, stop or guide from the blade: the size of what lies between. Of a trim: what is lost.
    cuts : tuple of SawCut
        In order.
    passes : int
        How often the tool goes through, all sheets counted; what is cut in a stack goes through once.
    stacked : int
        How many lie on each other at the most.
    with_block : bool
        Whether a push block moves the piece.
    """

    tool: Tool
    action: Action
    at: int
    cuts: tuple[SawCut, ...]
    passes: int
    stacked: int = 1
    with_block: bool = False


@dataclass(frozen=True, slots=True)
class Effort:
    """What a plan asks of a person, in counts; what each costs is told by whoever knows money.

    Attributes
    ----------
    settings, passes : mapping of Tool to int
        How often each tool is set, and goes through.
    turns : int
        How often a panel is turned by a quarter before its next cut.
    carries : int
        Sheets and large panels brought to a tool.
    """

    settings: Mapping[Tool, int] = field(default_factory=dict)
    passes: Mapping[Tool, int] = field(default_factory=dict)
    turns: int = 0
    carries: int = 0


@dataclass(frozen=True, slots=True)
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
