"""The drawing of a stick: a bar with its parts, and where to mark each cut from one end."""

from collections.abc import Iterable, Mapping

from nesting.base.measure import UnitSystem, format_length
from nesting.cutting.sticks.plan import StickLayout
from nesting.drawings.caption import caption
from nesting.drawings.scene import PLAIN, POINT, THIN, WHITE, Item, Line, Scene, Text, rectangle
from nesting.drawings.typeface import text_width

BAR = 17.0
"""Height of a bar in points."""
_MARK = 8.0
_OFFCUT_FILL = 0.93


def marks(layout: StickLayout, lengths: Mapping[str, int], kerf: int) -> list[tuple[str, int, int]]:
    """Return each part of a stick with where it begins and ends, measured from the stick's end, kerfs included.

    The trim, if the stick has any, comes off first.
    """
    at = layout.stick.trim
    placed = []
    for part in layout.parts:
        placed.append((part, at, at + lengths[part]))
        at += lengths[part] + kerf
    return placed


def stops(layouts: Iterable[StickLayout], lengths: Mapping[str, int]) -> int:
    """Count how often the stop is set: changes of length from one cut to the next, the first included.

    Sticks that are cut alike are cut together.
    """
    cut = [lengths[part] for layout in layouts for part in layout.parts]
    return sum(1 for before, now in zip([None, *cut], cut, strict=False) if before != now)


def unnamed(layout: StickLayout, lengths: Mapping[str, int], *, scale: float, units: UnitSystem) -> tuple[str, ...]:
    """Return the parts of a stick that have no room for their names in its drawing, from the left."""
    return tuple(
        part
        for part in layout.parts
        if not _named((0, lengths[part]), 0, part, format_length(lengths[part], units), POINT * scale)
    )


# 5 arguments: where, what, and how large
def _named(along: tuple[float, float], low: float, part: str, size: str, unit: float) -> list[Text]:
    """Return a part's name in its place on the bar, with its size where there is room for both."""
    bar = (along[0], low, along[1], BAR * unit)
    return caption(bar, (part, size), unit, bold=True) or caption(bar, (part,), unit, bold=True) or []


def stick_scene(
    layout: StickLayout, lengths: Mapping[str, int], kerf: int, *, scale: float, units: UnitSystem
) -> Scene:
    """Draw a stick as a bar.

    Parameters
    ----------
    layout : StickLayout
        The stick and its parts in the order of cutting.
    lengths : mapping of str to int
        Length of each part by name.
    kerf : int
        What each cut eats.
    scale : float
        How many times the stick is longer than its drawing; its height is that of a bar.
    units : {"inch", "metric"}
        Of what is written.

    Returns
    -------
    Scene
        Under the end of each part stands where to mark the cut: the distance from the left end, kerfs included.
    """
    unit = POINT * scale
    high, low = BAR * unit, 11.0 * unit
    length = layout.stick.length
    items: list[Item] = [rectangle(0, low, length, high, pen=PLAIN, fill=WHITE)]
    placed = marks(layout, lengths, kerf)
    free = -2.0 * unit
    for part, start, end in placed:
        size = format_length(lengths[part], units)
        items.append(rectangle(start, low, end - start, high, pen=PLAIN, fill=WHITE, tip=f"{part}, {size}"))
        items.extend(_named((start, end - start), low, part, size, unit))
        if end < length:
            mark = format_length(end, units)
            half = text_width(mark, _MARK) / 2 * unit
            middle = min(max(end, half), length - half)
            items.append(Line((end, low), (end, low - 2.2 * unit), THIN))
            if middle - half >= free:
                items.append(Text((middle, 1.5 * unit), mark, _MARK, "middle"))
                free = middle + half + 2.0 * unit
    rest = placed[-1][2] + kerf if placed else 0
    if rest < length:
        items.append(rectangle(rest, low, length - rest, high, pen=THIN, fill=_OFFCUT_FILL))
        left = format_length(length - rest, units)
        place = (rest, low, length - rest, high)
        items.extend(
            caption(place, ("rest", left), unit, bold=False) or caption(place, (left,), unit, bold=False) or ()
        )
    return Scene(length, low + high, tuple(items), scale, layout.stick.name)
