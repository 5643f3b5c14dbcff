"""Neighbours that are cut alike inside, taken together: the strip is ripped once before it is cut to length.

A cut tree may cut a strip into blanks and then narrow each blank by the same cut. A person narrows them while they are
still one piece, which is fewer cuts, and longer along the fence. Strips that a chop saw cuts to one length are better
left apart: they lie on each other there. Nothing is moved, and the same parts and offcuts come out; waste that lay side
by side comes off as one piece.
"""

from collections.abc import Iterator
from itertools import groupby

from nesting.cutting.sawing.limits import Limits
from nesting.cutting.sawing.panels import Panel
from nesting.cutting.sheets import Waste

_Shape = tuple[str | None, tuple[tuple[int, bool], ...], bool]


def grouped(panel: Panel, limits: Limits) -> Panel:
    """Return a panel whose stages take together what is cut alike, where that is fewer cuts and no slower tool."""
    direction = panel.direction
    if direction is None:
        return panel
    segments: list[Panel] = []
    for _, alike in groupby(_flat(direction, (grouped(each, limits) for each in panel.segments)), key=_shape):
        neighbours = tuple(alike)
        if len(neighbours) > 1 and _saved(neighbours) > 0 and _suits(direction, neighbours, limits):
            segments.extend(_flat(direction, (grouped(_together(direction, neighbours), limits),)))
        else:
            segments.extend(neighbours)
    if len(segments) == 1 and not panel.sawdust:
        return segments[0]
    return Panel(*panel.place, None, direction, tuple(segments), panel.sawdust)


def _flat(direction: str, segments: Iterator[Panel] | tuple[Panel, ...]) -> Iterator[Panel]:
    """Yield segments, with stages of the same direction opened: their cuts belong to the stage around them."""
    for each in segments:
        if each.direction == direction and not each.sawdust:
            yield from each.segments
        else:
            yield each


def _shape(panel: Panel) -> _Shape:
    """Return what the first cuts inside a panel divide it into; nothing of a leaf."""
    inside = panel.direction or ""
    return panel.direction, tuple((each.extent(inside), _is_waste(each)) for each in panel.segments), panel.sawdust


def _is_waste(panel: Panel) -> bool:
    return isinstance(panel.leaf, Waste)


def _saved(neighbours: tuple[Panel, ...]) -> int:
    """Count the cuts that are saved where neighbours are cut together: each rip once, each row of parts to length."""
    first = neighbours[0]
    if first.direction is None:
        return 0
    others, rips = len(neighbours) - 1, len(first.segments) - 1 + first.sawdust
    rows = sum(not _is_waste(each) for each in first.segments)
    return others + len(neighbours) * rips - (rips + rows * others)


def _suits(direction: str, neighbours: tuple[Panel, ...], limits: Limits) -> bool:
    """Whether the tool that cuts neighbours together is no slower than what cuts each of them."""
    first = neighbours[0]
    if limits.soft is not None:
        return limits.stack == 1
    parts = [each.extent(first.direction or "") for each in first.segments if not _is_waste(each)]
    apart = first.extent(direction)
    along = sum(each.extent(direction) for each in neighbours) + limits.kerf * (len(neighbours) - 1)
    if len(parts) > 1 or limits.setting(apart, parts[0]) == "chop":
        return False
    return limits.setting(along, parts[0]) == "table"


def _together(direction: str, neighbours: tuple[Panel, ...]) -> Panel:
    """Return neighbours along a direction as one panel, cut the way that each of them is, then to length."""
    first, last = neighbours[0], neighbours[-1]
    rows = []
    for cells in zip(*(each.segments for each in neighbours), strict=True):
        place = _around(cells[0], cells[-1])
        if _is_waste(cells[0]):
            rows.append(Panel(*place, leaf=Waste()))
        else:
            rows.append(Panel(*place, None, direction, tuple(_flat(direction, cells))))
    return Panel(*_around(first, last), None, first.direction, tuple(rows), first.sawdust)


def _around(first: Panel, last: Panel) -> tuple[int, int, int, int]:
    """Return the place of all from the first to the last of panels in a row."""
    return first.x, first.y, last.x + last.dx - first.x, last.y + last.dy - first.y
