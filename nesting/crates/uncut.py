"""What no tool of the shop can cut, however it is laid out: told before any search, one fault a good.

A part must be cut along both of its sides, unless a sheet is as wide as it is. Whether a layout asks for more than the
tools can do is another question: the order of its cuts tells (:attr:`nesting.cutting.sawing.model.SawPlan.refused`).
"""

from collections.abc import Callable, Sequence

from nesting.base.faults import Fault
from nesting.cutting.parts import Part, StickPart
from nesting.cutting.sheets import Sheet
from nesting.shop.goods import Good
from nesting.shop.house_rules import ToolRules
from nesting.shop.needs import blade_of
from nesting.shop.shop import Shop

Size = Callable[..., str]
"""Writes sides in the order's units."""


def uncut_sheets(shop: Shop, name: str, parts: Sequence[Part], stock: Sequence[Sheet], size: Size) -> list[Fault]:
    """Return the fault of a sheet good of which no tool cuts the parts; empty where they can be cut.

    Parameters
    ----------
    name : str
        The good.
    parts : sequence of Part
        All of it.
    stock : sequence of Sheet
        What they may come from.
    size : callable
        Writes sides in the order's units.
    """
    good, tools = shop.good(name), shop.tools
    blade = blade_of(shop, good)
    if blade == "none":
        return [_too_thick(good, tools, size)]
    sides = {side for sheet in stock for side in (sheet.usable_length, sheet.usable_width)}
    lost = [part for part in parts if blade == "saw" and not _sawn(part, sides, tools)]
    if not lost:
        return []
    first = max(lost, key=lambda part: max(part.length, part.width))
    long, short = max(first.length, first.width), min(first.length, first.width)
    more = f", and {len(lost) - 1} more of its parts" if len(lost) > 1 else ""
    found = f"{name}: no saw of the shop cuts {first.name}, {size(long, short)}{more}; {_reach(tools, size)}"
    return [Fault("shop", None, None, found, f"track of {size(long)} or more under [tools] in shop.toml")]


def uncut_sticks(shop: Shop, name: str, parts: Sequence[StickPart], size: Size) -> list[Fault]:
    """Return the fault of lumber that no saw cuts to length; empty where one does."""
    good, tools = shop.good(name), shop.tools
    if not parts or good.breadth <= max(tools.chop, tools.track):
        return []
    found = f"{name}, {size(good.breadth)} wide: no saw of the shop cuts it to length; {_reach(tools, size)}"
    return [
        Fault("shop", None, None, found, f"chop or track of {size(good.breadth)} or more under [tools] in shop.toml")
    ]


def _sawn(part: Part, sides: set[int], tools: ToolRules) -> bool:
    """Whether saws can cut a part along both its sides; a side that a sheet has already needs no cut along the other.

    What is too small for a fence comes off a strip, whose width is that of the part.
    """

    def along(cut: int, beside: int) -> bool:
        fence = tools.narrowest <= beside <= tools.rip
        return (
            beside in sides or cut <= max(tools.track, tools.chop) or (fence and beside <= max(cut, tools.along_fence))
        )

    return along(part.length, part.width) and along(part.width, part.length)


def _too_thick(good: Good, tools: ToolRules, size: Size) -> Fault:
    """Return the fault of foam or board that neither knife nor band cuts."""
    thick = size(good.thickness)
    found = (
        f"{good.good}, {thick} thick: no tool of the shop cuts it; a knife to {size(tools.knife)}, "
        f"a bandsaw or hot wire to {size(tools.band)}"
    )
    return Fault("shop", None, None, found, f"knife or band of {thick} or more under [tools] in shop.toml")


def _reach(tools: ToolRules, size: Size) -> str:
    """Say what the saws of a shop reach."""
    saws = (("track saw", tools.track), ("table saw", tools.rip), ("chop saw", tools.chop))
    return ", ".join(f"{name} to {size(reach)}" if reach else f"no {name}" for name, reach in saws)
