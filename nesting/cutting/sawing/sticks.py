"""Lumber cut to length as a person does it: a stop set once for each length, whatever crate, and all its cuts made.

Every stick gives its longest part first, so each length of a good is set once, and no fewer settings would do. Sticks
lie on each other as high as the saw takes them; those with the most cuts of a length lie together, which asks for the
fewest passes. What is wider than the chop saw reaches is cut along a guide, one by one.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby

from nesting.cutting.sawing.model import Effort, Tool
from nesting.cutting.sticks.plan import StickLayout, StickPlan
from nesting.shop.house_rules.tools import ToolRules


@dataclass(frozen=True, slots=True)
class StickCut:
    """What comes off each of the sticks that are cut alike, while one stop is set.

    Attributes
    ----------
    layout : int
        Index of the way of cutting among :attr:`StickPlan.sticks`.
    repeat : int
        How many sticks are cut so.
    parts : tuple of str
        What comes off each, one cut a part; a trim takes off none.
    left : str
        The part that is left of each stick after these cuts, with no cut of its own; empty where there is none.
    """

    layout: int
    repeat: int
    parts: tuple[str, ...]
    left: str = ""


@dataclass(frozen=True, slots=True)
class StickSetting:
    """A saw set once for lumber, and all cuts made so.

    Attributes
    ----------
    tool : {"chop", "track", "none"}
        What cuts.
    at : int
        From blade to stop: the length of the parts. Of a trim: what comes off the stick's end, the kerf included.
    trim : bool
        Whether ends are made square, before any part.
    cuts : tuple of StickCut
        By way of cutting; of a trim without parts.
    passes : int
        How often the saw goes through; what is cut in a stack goes through once.
    stacked : int
        How many sticks lie on each other at the most.
    clamped : bool
        Whether for some cut a clamp holds the stick, since neither side of it is as long as a hand asks.
    """

    tool: Tool
    at: int
    trim: bool
    cuts: tuple[StickCut, ...]
    passes: int
    stacked: int
    clamped: bool = False


@dataclass(frozen=True, slots=True)
class StickWork:
    """All cuts of one lumber good, in order.

    Attributes
    ----------
    good : str
        What is cut.
    kerf : int
        What each cut takes.
    settings : tuple of StickSetting
        Ends first, then the longest length.
    effort : Effort
        What they come to.
    """

    good: str
    kerf: int
    settings: tuple[StickSetting, ...]
    effort: Effort


def stick_work(plan: StickPlan, lengths: Mapping[str, int], section: tuple[int, int], tools: ToolRules) -> StickWork:
    """Put the cuts of a lumber good in order.

    Parameters
    ----------
    plan : StickPlan
        Which sticks are cut into what.
    lengths : mapping of str to int
        Length of each part, by name.
    section : (int, int)
        Thickness of a stick, which is its height on the saw, and its breadth.
    tools : ToolRules
        The shop's.

    Returns
    -------
    StickWork
    """
    thickness, breadth = section
    tool = _tool(breadth, tools)
    most = max(1, tools.chop_stack // thickness) if tool == "chop" else 1
    settings = []
    trims: dict[int, list[StickCut]] = {}
    by_length: dict[int, list[tuple[StickCut, bool]]] = {}
    for index, each in enumerate(plan.sticks):
        if each.parts and each.stick.trim:
            # A part as long as all that the trim leaves has no other cut.
            whole = each.parts[0] if lengths[each.parts[0]] == each.stick.usable else ""
            trims.setdefault(each.stick.trim, []).append(StickCut(index, each.repeat, (), whole))
        for length, cut, clamped in _cuts(index, each, lengths, plan.kerf, tools.hold):
            by_length.setdefault(length, []).append((cut, clamped))
    for at, ends in sorted(trims.items()):
        settings.append(_setting(tool, at, ends, most, trim=True))
    for at in sorted(by_length, reverse=True):
        made = by_length[at]
        held = any(clamped for _, clamped in made)
        settings.append(_setting(tool, at, [cut for cut, _ in made], most, clamped=held))
    passes = sum(each.passes for each in settings)
    effort = Effort({tool: len(settings)}, {tool: passes}) if settings else Effort()
    return StickWork(plan.good, plan.kerf, tuple(settings), effort)


def _tool(breadth: int, tools: ToolRules) -> Tool:
    """Return what cuts a stick of that breadth to length."""
    if breadth <= tools.chop:
        return "chop"
    return "track" if breadth <= tools.track else "none"


def _cuts(
    index: int, layout: StickLayout, lengths: Mapping[str, int], kerf: int, hold: int
) -> Iterable[tuple[int, StickCut, bool]]:
    """Yield the cuts of one way of cutting, longest first: length, what comes off, whether a clamp must hold it."""
    names = sorted(layout.parts, key=lambda name: -lengths[name])
    rest = layout.stick.usable
    spare = rest - sum(lengths[name] + kerf for name in names) + kerf
    # A part that ends where the stick does has no cut of its own: the last, which is as short as any.
    left = names.pop() if names and spare == 0 else ""
    whole = len(names)
    for length, group in groupby(names, key=lengths.__getitem__):
        parts = tuple(group)
        clamped = False
        for _ in parts:
            rest = max(0, rest - length - kerf)
            clamped = clamped or max(length, rest) < hold
        whole -= len(parts)
        yield length, StickCut(index, layout.repeat, parts, "" if whole else left), clamped


def _setting(
    tool: Tool, at: int, cuts: list[StickCut], most: int, *, trim: bool = False, clamped: bool = False
) -> StickSetting:
    """Return a setting with its passes: sticks with the most cuts lie together, so that the fewest passes do."""
    each = sorted((len(cut.parts) or 1 for cut in cuts for _ in range(cut.repeat)), reverse=True)
    return StickSetting(tool, at, trim, tuple(cuts), sum(each[::most]), min(most, len(each)), clamped)
