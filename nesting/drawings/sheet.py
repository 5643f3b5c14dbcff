"""The drawing of a sheet: every part with name and size, grain, what is left over, and the numbered cuts."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from nesting.base.measure import UnitSystem, format_length, what_is_left
from nesting.cutting.sawing.model import letters
from nesting.cutting.sawing.panels import Panel, panels
from nesting.cutting.sheets import SheetLayout
from nesting.drawings.caption import caption
from nesting.drawings.scene import (
    BLACK,
    BOLD,
    FAINT,
    PLAIN,
    POINT,
    THIN,
    WHITE,
    Arrow,
    Bounds,
    Circle,
    Item,
    Line,
    Pen,
    Polygon,
    Scene,
    Text,
    hatch,
    rectangle,
)
from nesting.drawings.typeface import ASCENT, LEAST, text_width

SCALES = (2, 4, 5, 6, 8, 10, 12, 15, 16, 20, 24, 25, 30, 32, 40, 48, 50, 60, 75, 100, 150, 200)
"""Scales that rulers have, and those between them that a person can still divide by."""

_BUBBLE = 5.4
_FAR = 130.0
"""How far a number may stand from its cut, with a line to it, in points."""
_TRIES = 8
"""How often to either side a place for it is looked for."""
_LEADER = Pen(0.35, grey=0.3)
_THINNEST = 3.0
"""Points of a strip under which no letter tells it from its neighbours."""
_OFFCUT_FILL = 0.93
_SPOTS = (0.12, 0.88, 0.5, 0.25, 0.75, 0.06, 0.94, 0.35, 0.65, 0.18, 0.82, 0.43, 0.57)


@dataclass(frozen=True, slots=True)
class SheetDrawing:
    """A sheet's scene, and what did not find room on it.

    Attributes
    ----------
    key : tuple of (str, str, str, int)
        Parts too small to bear their names: the letter that stands in them, name, size, how many.
    unnumbered : tuple of int
        Cuts whose number found no room; they are in the list only.
    unnamed : tuple of (str, str)
        Name and size of parts that have no room even for a letter.
    """

    scene: Scene
    key: tuple[tuple[str, str, str, int], ...]
    unnumbered: tuple[int, ...] = ()
    unnamed: tuple[tuple[str, str], ...] = ()


class Numbered(Protocol):
    """A cut with its number and the middle of its kerf on the sheet."""

    @property
    def number(self) -> int:
        """From 1, in the order of cutting."""

    @property
    def line(self) -> tuple[float, float, float, float]:
        """Both ends."""


def fitting_scale(width: float, height: float, room_width: float, room_height: float) -> float:
    """Return the largest drawing's scale of :data:`SCALES` at which a thing fits into a room on paper."""
    least = max(width / room_width, height / room_height)
    return next((float(scale) for scale in SCALES if scale >= least), least)


def size_text(dx: int, dy: int, units: UnitSystem) -> str:
    """Return a rectangle's size for people: along the sheet, then across."""
    return f"{format_length(dx, units)} × {format_length(dy, units)}"


def outlines(root: Panel) -> Iterator[tuple[Panel, str]]:
    """Yield what is kept of a sheet, parts and offcuts, with its name."""
    for leaf in root.leaves():
        if (leaf.is_part or leaf.name == "offcut") and min(leaf.dx, leaf.dy) > 0:
            yield leaf, leaf.name


def sheet_drawing(
    layout: SheetLayout, steps: Sequence[Numbered], kerf: int, *, scale: float, units: UnitSystem, grain: bool
) -> SheetDrawing:
    """Draw one way to cut a sheet.

    Parameters
    ----------
    layout : SheetLayout
        The sheet and its cut tree.
    steps : sequence of Numbered
        Its cuts in order, to be numbered on the drawing.
    kerf : int
        What each cut eats.
    scale : float
        How many times the sheet is larger than its drawing.
    units : {"inch", "metric"}
        Of the sizes written.
    grain : bool
        Whether the good has a grain, shown by an arrow along the sheet's length.
    """
    sheet, unit = layout.sheet, POINT * scale
    root = panels(sheet, layout.cuts, kerf)
    items: list[Item] = [rectangle(0, 0, sheet.length, sheet.width, pen=None, fill=WHITE)]
    offcuts: list[Text] = []
    for leaf in root.leaves():
        if min(leaf.dx, leaf.dy) <= 0:
            continue
        along, across = (side if leaf.is_part else what_is_left(side, units) for side in (leaf.dx, leaf.dy))
        size = size_text(along, across, units)
        tip = f"{leaf.name}, {size}"
        if leaf.is_part:
            items.append(rectangle(leaf.x, leaf.y, leaf.dx, leaf.dy, pen=PLAIN, fill=WHITE, tip=tip))
            continue
        items.append(rectangle(leaf.x, leaf.y, leaf.dx, leaf.dy, pen=None, fill=_OFFCUT_FILL, tip=tip))
        if leaf.name == "waste":
            items.extend(hatch(leaf.x, leaf.y, leaf.dx, leaf.dy, 7 * unit))
        else:
            items.append(rectangle(leaf.x, leaf.y, leaf.dx, leaf.dy, pen=PLAIN))
            offcuts.extend(caption(leaf.place, ("offcut", size), unit, bold=False) or ())
    whole = Bounds(0, 0, sheet.length, sheet.width)
    tried = (_Names(whole, unit, units, each=each, texts=list(offcuts)).written(root) for each in (True, False))
    names = min(tried, key=lambda made: len(made.without))
    texts = names.texts
    items.append(rectangle(0, 0, sheet.length, sheet.width, pen=BOLD))
    taken = [text.box(scale) for text in texts]
    found = _grain(sheet.length, sheet.width, unit, taken, root) if grain else None
    if found is not None:
        arrow, word, box = found
        items.append(arrow)
        names.ground.append(_under(word, unit))
        texts.append(word)
        taken.append(box)
    left_over = [
        Bounds(each.x, each.y, each.x + each.dx, each.y + each.dy)
        for each in root.leaves()
        if not each.is_part and min(each.dx, each.dy) > 2 * _BUBBLE * unit
    ]
    marks, unnumbered = _numbers(steps, Bounds(0, 0, sheet.length, sheet.width), unit, taken, left_over)
    scene = Scene(sheet.length, sheet.width, (*items, *marks, *names.ground, *texts), scale, sheet.name)
    small = names.key.items()
    small_ones = tuple((letters(i).lower(), name, size, count) for i, ((name, size), count) in enumerate(small))
    return SheetDrawing(scene, small_ones, unnumbered, tuple(names.without))


def _runs(panel: Panel) -> Iterator[list[Panel]]:
    """Yield the parts of a sheet, those that lie alike side by side together."""
    run: list[Panel] = []
    for each in panel.segments or (panel,):
        if run and not (each.is_part and (each.name, each.dx, each.dy) == (run[0].name, run[0].dx, run[0].dy)):
            yield run
            run = []
        if each.is_part and min(each.dx, each.dy) > 0:
            run.append(each)
        elif each.segments:
            yield from _runs(each)
    if run:
        yield run


@dataclass
class _Names:
    """Names being written on the parts of a drawing, the widest parts first.

    A part bears its name and size where they find room, else a small letter, since panels have the capitals, and the
    letter stands in the key. Several alike side by side that have no room for a letter each, or are to have none, bear
    name or letter once, with their count.
    """

    sheet: Bounds
    unit: float
    units: UnitSystem
    each: bool
    texts: list[Text] = field(default_factory=list)
    ground: list[Item] = field(default_factory=list)
    key: dict[tuple[str, str], int] = field(default_factory=dict)
    without: list[tuple[str, str]] = field(default_factory=list)

    def written(self, root: Panel) -> "_Names":
        """Name all parts of a sheet."""
        for run in sorted(_runs(root), key=lambda each: -min(each[0].dx, each[0].dy)):
            self.write(run)
        return self

    def write(self, run: list[Panel]) -> None:
        """Name the parts of a run."""
        first, last, count = run[0], run[-1], len(run)
        name, size = first.name, size_text(first.dx, first.dy, self.units)
        if caption(first.place, (name, size), self.unit, bold=True) is not None:
            for each in run:
                self.texts.extend(caption(each.place, (name, size), self.unit, bold=True) or ())
            return
        whole = (first.x, first.y, last.x + last.dx - first.x, last.y + last.dy - first.y)
        times = f" {count}×" if count > 1 else ""
        written = caption(whole, (name + times, size), self.unit, bold=True)
        small = (name, size_text(max(first.dx, first.dy), min(first.dx, first.dy), self.units))
        letter = letters(list(self.key).index(small) if small in self.key else len(self.key)).lower()
        if self.each and count > 1 and caption(first.place, (letter,), self.unit, bold=True) is not None:
            self.key[small] = self.key.get(small, 0) + count
            for each in run:  # a letter in each: no text lies over the cuts between them
                self.texts.extend(caption(each.place, (letter,), self.unit, bold=True) or ())
            return
        if written is None:
            written = caption(whole, (letter + times,), self.unit, bold=True) or self._squeezed(whole, letter + times)
            if written is None:
                self.without += [small] * count
                return
            self.key[small] = self.key.get(small, 0) + count
        self.texts.extend(written)
        if count > 1 or min(whole[2:]) < LEAST * self.unit:
            self.ground.extend(_under(text, self.unit) for text in written)

    def _squeezed(self, place: tuple[float, float, float, float], text: str) -> list[Text] | None:
        """Write a letter on a strip that is thinner than it, where it meets no other text: it stands out a little."""
        x, y, dx, dy = place
        if min(dx, dy) < _THINNEST * self.unit:
            return None
        taken = [other.box(self.unit / POINT) for other in self.texts]
        for part in _SPOTS[2:]:
            at = (x + dx * part, y + dy / 2) if dx >= dy else (x + dx / 2, y + dy * part)
            found = Text((at[0], at[1] - ASCENT * LEAST / 2 * self.unit * 0.8), text, LEAST, "middle", bold=True)
            box = found.box(self.unit / POINT)
            along = box.width <= dx if dx >= dy else box.height <= dy
            if along and self.sheet.holds(box) and not any(box.meets(other, 0) for other in taken):
                return [found]
        return None


def _under(text: Text, unit: float) -> Polygon:
    """Return the white ground of a text that stands over lines."""
    box = text.box(unit / POINT)
    return rectangle(box.left, box.bottom, box.width, box.height, pen=None, fill=WHITE)


# 5 arguments: where, how large, and what is there already
def _grain(length: int, width: int, unit: float, taken: list[Bounds], root: Panel) -> tuple[Arrow, Text, Bounds] | None:
    """Return a grain arrow along the sheet with its word where no text stands, if there is such a place.

    It lies within one part or offcut where one of them has room for it, so that no cut runs through the word.
    """
    long = min(length * 0.2, 60 * unit)
    leaves = [Bounds(each.x, each.y, each.x + each.dx, each.y + each.dy) for each in root.leaves()]
    spare = None
    for row in range(1, 20):
        for column in range(1, 10):
            x, y = length * column / 10 - long / 2, width * row / 20
            box = Bounds(x - 2 * unit, y - 4 * unit, x + long + 2 * unit, y + 10 * unit)
            if box.left >= 0 and box.bottom >= 0 and not any(box.meets(other, unit) for other in taken):
                word = Text((x + long / 2, y + 2.5 * unit), "grain", LEAST, "middle", grey=0.35)
                found = Arrow((x, y), (x + long, y), FAINT, both=True), word, box
                if any(leaf.holds(box) for leaf in leaves):
                    return found
                spare = spare or found
    return spare


# 5 arguments: what is numbered, on what, how large, and where there is room
def _numbers(
    steps: Sequence[Numbered], sheet: Bounds, unit: float, taken: list[Bounds], free: Sequence[Bounds]
) -> tuple[list[Item], tuple[int, ...]]:
    """Draw each cut with its number in a circle on it, where it hides no text; return the numbers without room too.

    Cuts that follow each other side by side share a number, as they share a row of the list, where not each has room;
    what has no room on its cut stands on what is left over nearby, with a line to it.
    """
    marks: list[Item] = [Line(step.line[:2], step.line[2:], PLAIN) for step in steps]
    waiting: list[Numbered] = []
    for step in steps:
        text = str(step.number)
        radius = max(_BUBBLE, text_width(text, LEAST) / 2 + 1.0)
        spot = _free_spot(step.line, radius * unit, sheet, taken, unit / 2)
        if spot is None:
            waiting.append(step)
            continue
        x, y = spot
        reach = radius * unit
        taken.append(Bounds(x - reach, y - reach, x + reach, y + reach))
        marks.append(Circle((x, y), radius, THIN, WHITE))
        marks.append(Text((x, y - (ASCENT - 0.02) * LEAST / 2 * unit), text, LEAST, "middle"))
    without: list[int] = []
    for run in _side_by_side(waiting):
        drawn = _led(run, unit, taken, free)
        marks += drawn
        without += [] if drawn else [step.number for step in run]
    return marks, tuple(without)


def _side_by_side(steps: Sequence[Numbered]) -> Iterator[list[Numbered]]:
    """Yield cuts together that follow each other, one beside the other over the same length."""
    run: list[Numbered] = []
    for step in steps:
        if run and not (step.number == run[-1].number + 1 and _over(step) == _over(run[-1])):
            yield run
            run = []
        run.append(step)
    if run:
        yield run


def _over(step: Numbered) -> tuple[bool, float, float]:
    """Return whether a cut is upright, and from where to where it runs."""
    x1, y1, x2, y2 = step.line
    return (True, min(y1, y2), max(y1, y2)) if x1 == x2 else (False, min(x1, x2), max(x1, x2))


def _led(run: Sequence[Numbered], unit: float, taken: list[Bounds], free: Sequence[Bounds]) -> list[Item]:
    """Write the numbers of cuts on what is left over near them, with a line to the first; nothing without room."""
    text = str(run[0].number) if len(run) == 1 else f"{run[0].number}–{run[-1].number}"
    half, up = (text_width(text, LEAST) / 2 + 2.0) * unit, _BUBBLE * 0.95 * unit
    x1, y1, x2, y2 = run[0].line
    found: list[tuple[float, float, float, tuple[float, float]]] = []
    for part in (0.5, 0.25, 0.75):
        end = (x1 + (x2 - x1) * part, y1 + (y2 - y1) * part)
        near = Bounds(end[0] - _FAR * unit, end[1] - _FAR * unit, end[0] + _FAR * unit, end[1] + _FAR * unit)
        for area in (each for each in free if each.meets(near)):
            for x in _along(area.left + half + unit, area.right - half - unit, end[0], 9 * unit):
                for y in _along(area.bottom + up + unit, area.top - up - unit, end[1], 9 * unit):
                    far = ((x - end[0]) ** 2 + (y - end[1]) ** 2) ** 0.5
                    if far <= _FAR * unit:
                        found.append((far, x, y, end))
    reach = Bounds(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))
    around = [other for other in taken if other.meets(reach, (_FAR + 20) * unit)]
    for _, x, y, end in sorted(found):
        box = Bounds(x - half, y - up, x + half, y + up)
        met = next((at for at, other in enumerate(around) if box.meets(other, unit)), None)
        if met is not None:
            around.insert(0, around.pop(met))  # what is in the way of one place is likely in that of the next
            continue
        if _struck((x, y), end, box, around):
            continue
        taken.append(box)
        return [
            Line((x, y), end, _LEADER),
            Circle(end, 1.0, None, BLACK),
            rectangle(box.left, box.bottom, box.width, box.height, pen=THIN, fill=WHITE),
            Text((x, y - (ASCENT - 0.02) * LEAST / 2 * unit), text, LEAST, "middle"),
        ]
    return []


def _along(low: float, high: float, wanted: float, step: float) -> Iterator[float]:
    """Yield places between two limits, evenly from the one nearest to what is wanted."""
    if high < low:
        return
    start = min(max(wanted, low), high)
    for number in range(-_TRIES, _TRIES + 1):
        if low <= start + number * step <= high:
            yield start + number * step


def _struck(start: tuple[float, float], end: tuple[float, float], own: Bounds, taken: Sequence[Bounds]) -> bool:
    """Whether a line runs through anything written."""
    (x1, y1), (x2, y2) = start, end
    left, right, low, high = min(x1, x2), max(x1, x2), min(y1, y2), max(y1, y2)
    near = [
        (other.left, other.right, other.bottom, other.top)
        for other in taken
        if other.left <= right and other.right >= left and other.bottom <= high and other.top >= low
    ]
    for number in range(1, 25) if near else ():
        part = number / 24
        x, y = x1 + (x2 - x1) * part, y1 + (y2 - y1) * part
        if own.left <= x <= own.right and own.bottom <= y <= own.top:
            continue
        if any(a <= x <= b and c <= y <= d for a, b, c, d in near):
            return True
    return False


def _free_spot(
    line: tuple[float, float, float, float], reach: float, sheet: Bounds, taken: list[Bounds], gap: float
) -> tuple[float, float] | None:
    """Return a point on a line, or else beside it, with nothing written around nor hard by it: near the ends first."""
    x1, y1, x2, y2 = line
    length = max(x2 - x1, y2 - y1)
    if length < 2 * reach:
        return None
    inset = reach * 1.15 / length
    across, up = (0.0, reach) if y1 == y2 else (reach, 0.0)
    along = Bounds(min(x1, x2) - 2 * reach, min(y1, y2) - 2 * reach, max(x1, x2) + 2 * reach, max(y1, y2) + 2 * reach)
    near = [other for other in taken if other.meets(along)]
    for beside in (0.0, -0.8, 0.8):
        for part in (inset, 1 - inset, *_SPOTS):
            x, y = x1 + (x2 - x1) * part + across * beside, y1 + (y2 - y1) * part + up * beside
            box = Bounds(x - reach, y - reach, x + reach, y + reach)
            if sheet.holds(box) and not any(box.meets(other, gap) for other in near):
                return x, y
    return None
