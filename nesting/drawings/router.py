"""A sheet at 1:1 for a router: outlines of sheet, parts and offcuts, and the holes of parts, each on a layer."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from nesting.crates.model import Box, Crate, Drill
from nesting.cutting.sawing.panels import Panel, panels
from nesting.cutting.sheets import SheetLayout
from nesting.drawings.layers import CUTS, DRILL, NAMES, OFFCUTS, SHEET
from nesting.drawings.scene import POINT, Circle, Item, Scene, Text, rectangle
from nesting.drawings.sheet import outlines
from nesting.drawings.typeface import text_width

_ON_BACK: Final = frozenset({"back", "batten", "seam batten", "slat"})


class Hole(NamedTuple):
    """A hole of a part: its middle from the part's left and lower edge as seen from outside, and its width."""

    x: int
    y: int
    wide: int


class Bored(NamedTuple):
    """A part that is drilled: its extents as it stands on the crate, seen from outside, and its holes."""

    wide: int
    high: int
    holes: tuple[Hole, ...]


def bored(crates: Iterable[Crate]) -> dict[str, Bored]:
    """Return the parts through which mounting screws go, by name.

    Only parts of which there is one: of several alike a sheet does not say which becomes which, and their holes are
    marked from the crate's drill map.
    """
    return {name: part for crate in crates for name, part in _of(crate)}


def _of(crate: Crate) -> Iterator[tuple[str, Bored]]:
    counts = Counter(each.part for each in crate.placed)
    wide = max((each.box.x + each.box.dx for each in crate.placed if each.role == "back"), default=0)
    low = min((each.box.y for each in crate.placed if each.role == "back"), default=0)
    behind = min((each.box.z + each.box.dz for each in crate.placed if each.role == "back"), default=0)
    for each in crate.placed:
        if each.role in _ON_BACK and counts[each.part] == 1 and each.box.z < behind:
            holes = tuple(_holes(each.box, wide, low, crate.drill))
            if holes:
                yield each.part, Bored(each.box.dx, each.box.dy, holes)


def _holes(box: Box, wide: int, low: int, drill: Sequence[Drill]) -> Iterator[Hole]:
    """Yield the holes through a box: x runs the other way there, since the back is seen from outside."""
    left, bottom = wide - box.x - box.dx, box.y - low
    for each in drill:
        x, y = each.x - left, each.y - bottom
        if each.bores and 0 < x < box.dx and 0 < y < box.dy:
            yield Hole(x, y, each.bores[0])


def router_scene(layout: SheetLayout, kerf: int, drilled: Mapping[str, Bored] | None = None) -> Scene:
    """Return a sheet at 1:1 with outlines, names and holes, each on a layer of :mod:`nesting.drawings.layers`.

    Parameters
    ----------
    layout : SheetLayout
        The sheet and its cut tree.
    kerf : int
        What each cut eats.
    drilled : mapping of str to Bored, optional
        Parts with holes, by name; they lie on the sheet with the crate's outside up.
    """
    root = panels(layout.sheet, layout.cuts, kerf)
    items: list[Item] = [rectangle(0, 0, layout.sheet.length, layout.sheet.width, layer=SHEET)]
    for leaf, name in outlines(root):
        items.append(rectangle(leaf.x, leaf.y, leaf.dx, leaf.dy, layer=CUTS if leaf.is_part else OFFCUTS))
        along = leaf.dx >= leaf.dy
        room = max(leaf.dx, leaf.dy) / POINT * 0.9
        size = min(min(leaf.dx, leaf.dy) / POINT * 0.4, room / text_width(name, 1.0), 72.0)
        centre = (leaf.x + leaf.dx / 2, leaf.y + leaf.dy / 2)
        items.append(Text(centre, name, size, "middle", turned=not along, layer=NAMES))
        if drilled and leaf.is_part and name in drilled:
            items += _circles(leaf, drilled[name])
    return Scene(layout.sheet.length, layout.sheet.width, tuple(items), title=layout.sheet.name)


def _circles(leaf: Panel, part: Bored) -> Iterator[Circle]:
    """Yield the holes of a part where it lies: as it stands, or turned by a quarter to the right; never mirrored."""
    for x, y, wide in part.holes:
        if (leaf.dx, leaf.dy) == (part.wide, part.high):
            at = (leaf.x + x, leaf.y + y)
        elif (leaf.dx, leaf.dy) == (part.high, part.wide):
            at = (leaf.x + y, leaf.y + part.wide - x)
        else:  # it stands on its edge: the screws go into what is no side of the sheet
            return
        yield Circle(at, wide / 2 / POINT, layer=DRILL)
