"""Captions: text that finds its place and size inside a rectangle of a drawing."""

from nesting.drawings.scene import Text
from nesting.drawings.typeface import ASCENT, DESCENT, LEAST, text_width

_PAD = 2.0
"""Clear points around a text inside its rectangle."""


def caption(
    place: tuple[float, float, float, float],
    lines: tuple[str, ...],
    unit: float,
    *,
    bold: bool,
) -> list[Text] | None:
    """Write lines into a rectangle of a drawing where they fit.

    They stand one over the other or side by side, level or else turned.

    Parameters
    ----------
    place : tuple of float
        The rectangle: x, y, dx, dy.
    lines : tuple of str
        What is written, the first line heavier if `bold`.
    unit : float
        A point of paper in the drawing's own units.
    bold : bool
        Whether the first line is heavier.

    Returns
    -------
    list of Text or None
        None where they do not fit.
    """
    x, y, dx, dy = place
    centre = (x + dx / 2, y + dy / 2)
    for turned in (False, True) if dy > 1.5 * dx else (False,):
        along, across = (dy, dx) if turned else (dx, dy)
        room, high = along / unit - 2 * _PAD, across / unit - _PAD / 2
        rows = _rows(lines, LEAST, room, high, bold=bold)
        if rows is not None:
            return _stack(rows, centre, LEAST, unit, turned=turned)
    return None


def _rows(
    lines: tuple[str, ...], size: float, room: float, high: float, *, bold: bool
) -> list[list[tuple[str, bool]]] | None:
    """Return the rows of a caption that fit into a room: pieces of text with their weight."""
    height = (ASCENT + DESCENT) * size
    pieces = [(line, bold and index == 0) for index, line in enumerate(lines)]
    widths = [text_width(text, size, bold=heavy) for text, heavy in pieces]
    if max(widths) <= room and len(pieces) * height * 1.08 <= high:
        return [[piece] for piece in pieces]
    if len(pieces) > 1 and sum(widths) + size * 0.6 <= room and height <= high:
        return [pieces]
    return None


def _stack(
    rows: list[list[tuple[str, bool]]], centre: tuple[float, float], size: float, unit: float, *, turned: bool
) -> list[Text]:
    """Centre rows of text on a point."""
    texts = []
    pitch = (ASCENT + DESCENT) * size * 1.08
    for index, row in enumerate(rows):
        gap = size * 0.6
        widths = [text_width(text, size, bold=heavy) for text, heavy in row]
        start = -(sum(widths) + gap * (len(row) - 1)) / 2
        # The middle of the letters' height, not of the line, stands on the centre.
        down = (len(rows) - 1) / 2 * pitch - index * pitch - (ASCENT - DESCENT) * size / 2
        for (text, heavy), width in zip(row, widths, strict=True):
            along, across = start * unit, down * unit
            at = (centre[0] - across, centre[1] + along) if turned else (centre[0] + along, centre[1] + across)
            texts.append(Text(at, text, size, bold=heavy, turned=turned))
            start += width + gap
    return texts
