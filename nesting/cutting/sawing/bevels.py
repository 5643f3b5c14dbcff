"""Bevels: blanks that are ripped in two with the blade tilted, a set-up of its own after all square cuts of a good.

The blade is tilted away from the fence, so that no piece lies under it. At the table saw the fence then stands at the
short face of the half beside it, which is the width of both halves less the kerf of the tilted blade and one thickness,
halved: the blank of :func:`nesting.crates.travel.french.blank_width` read backwards.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from math import isqrt
from typing import Final

from nesting.base.own_length import whole
from nesting.cutting.parts import Part
from nesting.cutting.sawing.limits import Limits
from nesting.cutting.sawing.model import Effort, Outcome, SawCut, Setting, Tool
from nesting.cutting.sheets import Layout, PartLeaf

BEVEL: Final = 45
"""Degrees of every bevel that there is."""

REASON: Final = "Blade tilted away from the fence: neither half lies under it. Stand aside of what it throws back."
SHORT: Final = " What is too short for the fence is ripped while it is still one strip, before its crosscuts."


def bevel_kerf(kerf: int) -> int:
    """Return the width of blank that a saw at 45 degrees eats, the square root of 2 times its kerf, rounded up."""
    return isqrt(2 * kerf * kerf - 1) + 1 if kerf else 0


def short_face(width: int, thickness: int, kerf: int, grain: int = 1) -> int:
    """Return the short face of each half of a blank, where the fence stands.

    Parameters
    ----------
    width : int
        Of the blank.
    thickness : int
        Of the good.
    kerf : int
        Of the saw that rips it.
    grain : int
        Finest step of a fence: blanks are rounded up to it, and the half off the fence keeps what that adds.
    """
    return whole((width - thickness - bevel_kerf(kerf)) // 2, grain)


# 7 arguments: what is ripped, of what, by which saw and to which step
def bevel_settings(
    layout: Layout,
    blanks: Mapping[str, Part],
    thickness: int,
    kerf: int,
    limits: Limits,
    first: int = 1,
    grain: int = 1,
) -> tuple[Setting, ...]:
    """Return the bevel rips of a good, one setting for each width of blank, the longest blank first.

    Parameters
    ----------
    layout : Layout
        On whose sheets the blanks lie; what exists already is not among them.
    blanks : mapping of str to Part
        The parts that are ripped in two, by name.
    thickness : int
        Of the good.
    kerf : int
        Of the saw that rips them.
    limits : Limits
        What the shop's tools can do.
    first : int
        Number of the first cut: they follow those of the sheets.
    grain : int
        As for :func:`short_face`.
    """
    found: Counter[tuple[int, str]] = Counter()
    for index, each in enumerate(layout.sheets):
        for *_, leaf in each.pieces(layout.kerf):
            if isinstance(leaf, PartLeaf) and leaf.part in blanks:
                found[index, leaf.part] += each.repeat
    by_width: dict[int, list[tuple[int, str]]] = {}
    for index, name in found:
        by_width.setdefault(blanks[name].width, []).append((index, name))
    settings = []
    for width in sorted(by_width, reverse=True):
        at = short_face(width, thickness, kerf, grain)
        rows = sorted(by_width[width], key=lambda row: (-blanks[row[1]].length, row[1], row[0]))
        tool = _tool(width, at, limits)
        cuts = []
        for index, name in rows:
            half = Outcome("part", name, blanks[name].length, at + thickness)
            cuts.append(
                SawCut(
                    number=first,
                    action="rip",
                    panel=name,
                    fence=at,
                    edge="bottom",
                    off=half,
                    stays=half,
                    line=(0.0, float(at), float(blanks[name].length), float(at)),
                    layout=index,
                    repeat=found[index, name],
                    tool=tool,
                    along=blanks[name].length,
                    across=width,
                )
            )
            first += 1
        short = any(cut.along < limits.tools.along_fence for cut in cuts)
        settings.append(
            Setting(
                tool,
                "rip",
                at,
                tuple(cuts),
                sum(cut.repeat for cut in cuts),
                with_block=tool == "table" and at < limits.tools.push_below,
                bevel=BEVEL,
                reason=REASON + (SHORT if short else ""),
            )
        )
    return tuple(settings)


def _tool(width: int, at: int, limits: Limits) -> Tool:
    """Return what rips blanks of a width; how long they are is of no account, since short ones are still one strip."""
    fence = limits.tools.along_fence
    if limits.fence(max(fence, at), width, at):
        return "table"
    return "track" if limits.rail(fence, width) else "none"


def bevel_effort(settings: Iterable[Setting], handle: int) -> Effort:
    """Return what bevel rips come to: their settings and passes, and the armfuls that are brought to the saw."""
    by_tool: dict[Tool, list[Setting]] = {}
    for each in settings:
        by_tool.setdefault(each.tool, []).append(each)
    passes = {tool: sum(each.passes for each in rows) for tool, rows in by_tool.items()}
    areas = [cut.repeat * cut.along * cut.across for rows in by_tool.values() for each in rows for cut in each.cuts]
    return Effort(
        {tool: len(rows) for tool, rows in by_tool.items()}, passes, dict(passes), carries=-(-sum(areas) // handle)
    )
