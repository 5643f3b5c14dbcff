"""Labels to stick on parts as they are cut, in that order: name, size, crate, and which edge or face lies outward."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from nesting.crates.bevels import bevelled
from nesting.crates.model import Box, Crate, Placed
from nesting.cutting.parts import Part, StickPart
from nesting.cutting.sawing.bevels import short_face
from nesting.drawings.packet.coming_off import coming_off
from nesting.drawings.packet.crates import part_size
from nesting.drawings.packet.page import Draft
from nesting.drawings.packet.paper import PAPERS
from nesting.drawings.packet.printing import Printing
from nesting.drawings.scene import BOLD, FAINT, POINT, THIN, WHITE, Inset, Item, Line, Scene, Text, rectangle
from nesting.drawings.typeface import ASCENT, LEAST, printable, shortened, text_width

FACES = {
    (-1, 0, 0): "left side",
    (1, 0, 0): "right side",
    (0, -1, 0): "bottom",
    (0, 1, 0): "top",
    (0, 0, -1): "back",
    (0, 0, 1): "front",
}
_PAD = 5.0
_SKETCHED: Final = 45.0
"""Height of a label from which it has room for a sketch beside its lines, in points."""


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on one label.

    Attributes
    ----------
    name, size, good : str
        The part's name; its finished size; what it is cut from.
    copy : str
        ``"2 of 4"``, or ``"4, bundled"``; empty for a part cut once. Of a blank that is ripped in two: which half.
    crate : str
        Where it belongs.
    accepted : str
        Why a crate is built that fails a check; empty for others.
    count : int
        How many parts it is for: those that lie inside and are alike are bundled.
    out : str
        Which of the crate's sides the part looks outward to; empty for one that lies inside.
    edge : str
        Which edge of the part that is, as the label is drawn: ``"face"``, ``"long edge"``, ``"end"``, or empty.
    cut : int
        Number of the cut at which the part comes off; 0 where there is none.
    """

    name: str
    size: str
    good: str
    copy: str
    crate: str
    out: str
    edge: str
    count: int = 1
    accepted: str = ""
    cut: int = 0


HALVES: Final = ("buyer's half", "piece's half")
"""The halves of a French cleat, which come off one blank and are alike: one goes to the buyer's wall."""

_BELOW: Final = ("skid", "outrigger", "skid pad")


def outward(crate: Crate, placed: Placed) -> tuple[tuple[int, int, int], str] | None:
    """Return the side of the crate that a part looks out to, and which of its surfaces does.

    Returns
    -------
    tuple or None
        The side as a direction, and ``"face"``, ``"long edge"`` or ``"end"``; the largest surface that lies
        farthest out among the crate's parts decides. None for a part that reaches no side.
    """
    # What a crate stands on lies below its sides, and hides none of them.
    body = [each.box for each in crate.placed if each.role not in _BELOW]
    hull = _hull([each.box for each in crate.placed] if placed.role in _BELOW else body)
    box = placed.box
    lows, highs, sizes = (
        (box.x, box.y, box.z),
        (box.x + box.dx, box.y + box.dy, box.z + box.dz),
        (box.dx, box.dy, box.dz),
    )
    hull_low, hull_high = (hull.x, hull.y, hull.z), (hull.x + hull.dx, hull.y + hull.dy, hull.z + hull.dz)
    found: list[tuple[int, int, tuple[int, int, int]]] = []
    for axis in range(3):
        area = sizes[(axis + 1) % 3] * sizes[(axis + 2) % 3]
        for sign, out in ((-1, lows[axis] == hull_low[axis]), (1, highs[axis] == hull_high[axis])):
            if out:
                found.append((area, axis, (sign * (axis == 0), sign * (axis == 1), sign * (axis == 2))))
    if not found:
        return None
    _, axis, side = max(found, key=lambda each: each[0])
    rank = sorted(range(3), key=lambda i: sizes[i]).index(axis)
    return side, ("face", "long edge", "end")[rank]


def _hull(boxes: list[Box]) -> Box:
    low = [min(getattr(box, axis) for box in boxes) for axis in "xyz"]
    high = [max(getattr(box, axis) + getattr(box, f"d{axis}") for box in boxes) for axis in "xyz"]
    return Box(*low, *(b - a for a, b in zip(low, high, strict=True)))


def labels(printing: Printing) -> list[Label]:
    """Return a label for every copy of every part and stick, in the order in which the cuts make them.

    Copies that lie inside take each other's place: one label is for all of them, tied together. It comes with the first
    of them, after those that look outward. What no cut makes comes last.
    """
    waiting: dict[str, list[Label]] = {}
    for each in _by_crate(printing):
        waiting.setdefault(each.name, []).append(each)
    made: list[Label] = []
    blanks = bevelled(printing.build.crates)
    for off in coming_off(printing.build):
        mine = waiting.get(off.name, [])
        count = len(HALVES) if off.name in blanks else 1
        made += [replace(label, cut=off.cut) for label in mine[:count]]
        del mine[:count]
    return [*made, *(label for mine in waiting.values() for label in mine)]


def _by_crate(printing: Printing) -> Iterator[Label]:
    """Yield the labels crate by crate, those of one name that look outward first."""
    blanks = bevelled(printing.build.crates)
    for crate in printing.build.crates:
        where: dict[tuple[str, int], Placed] = {}
        for each in crate.placed:
            where.setdefault((each.part, each.index), each)
        wanted: list[Part | StickPart] = [*crate.parts, *crate.sticks]
        for part in wanted:
            label = Label(
                part.name,
                part_size(printing.cut(part.good), part) + printing.cut(part.good).mark,
                part.good,
                "",
                crate.crate,
                "",
                "",
                accepted=crate.accepted if crate.standing == "accepted" else "",
            )
            if part.name in blanks:
                yield from _halves(printing, label, blanks[part.name])
                continue
            inside: list[Label] = []
            for copy in range(part.count):
                spot = where.get((part.name, copy))
                out = outward(crate, spot) if spot is not None else None
                told = replace(label, copy=f"{copy + 1} of {part.count}" if part.count > 1 else "")
                if out is None:
                    inside.append(told)
                else:
                    yield replace(told, out=FACES[out[0]], edge=out[1])
            if inside:
                tied = len(inside)
                yield replace(inside[0], copy=f"{tied}, bundled" if tied > 1 else inside[0].copy, count=tied)


def _halves(printing: Printing, label: Label, blank: Part) -> Iterator[Label]:
    """Yield a label for each half of each copy of a blank."""
    thickness = printing.build.shop.good(blank.good).thickness
    shop = printing.build.shop
    width = short_face(blank.width, thickness, shop.saw.kerf, shop.grain) + thickness
    size = printing.cut(blank.good).size(blank.length, width, mark=True)
    for copy in range(blank.count):
        of = f" {copy + 1} of {blank.count}" if blank.count > 1 else ""
        yield from (replace(label, size=size, copy=f"{half}{of}") for half in HALVES)


def label_pages(printing: Printing) -> Iterator[Draft]:
    """Yield label sheets; nothing but labels is on them, so that they print on plain label paper."""
    sheet = printing.label_sheet
    paper = PAPERS[sheet.paper] if sheet.paper else printing.paper
    top = paper.margin / POINT if sheet.top is None else sheet.top
    side = paper.margin / POINT if sheet.side is None else sheet.side
    width = (paper.width / POINT - 2 * side - sheet.column_gap * (sheet.columns - 1)) / sheet.columns
    height = (paper.height / POINT - 2 * top - sheet.row_gap * (sheet.rows - 1)) / sheet.rows
    page: Draft | None = None
    for index, label in enumerate(labels(printing)):
        place = index % (sheet.rows * sheet.columns)
        if place == 0:
            if page is not None:
                yield page
            page = Draft(paper, "Labels", numbered=False)
        row, column = divmod(place, sheet.columns)
        x = side + column * (width + sheet.column_gap)
        y = paper.height / POINT - top - row * (height + sheet.row_gap) - height
        if page is not None:
            page.insets.append(Inset(label_scene(label, width, height), (x * POINT, y * POINT)))
    if page is not None:
        yield page


def label_scene(label: Label, width: float, height: float) -> Scene:
    """Draw one label of a size in points: text at the left, the outward edge as a heavy line around a small part.

    A low label has fewer lines, none of smaller letters; what has no room at all is left out from the end on.
    """
    items: list[Item] = [rectangle(0, 0, width * POINT, height * POINT, pen=FAINT)]
    pad = min(_PAD, height * 0.08)
    sketch = min(34.0, width * 0.2) if height >= _SKETCHED else 0.0
    room = width - 2 * _PAD - (sketch + 4 if sketch else 0)
    pitch = LEAST * 1.22
    rows = max(1, int((height - 2 * pad) / pitch))
    out = f"{label.edge} out: {label.out}" if label.out else "inside"
    cut = f"cut {label.cut}" if label.cut else ""
    about = ", ".join(each for each in (label.good, label.copy, cut) if each)
    texts = {
        1: (f"{label.name}  {label.copy}  {label.size}",),
        2: (f"{label.name}  {label.copy}", f"{label.size}  {out}"),
        3: (label.name, f"{label.size}  {about}", f"crate {label.crate}, {out}"),
    }.get(rows, (label.name, label.size, about, f"crate {label.crate}, {out}"))
    if label.accepted and rows > 2:
        *most, last = texts
        last = last.replace(f"crate {label.crate}", f"crate {label.crate}, accepted")
        texts = (*most, last) if rows < 5 else (*most, last, f"Fails, accepted: {label.accepted}")
    big = max(LEAST, min(13.0, height - 2 * pad - (len(texts) - 1) * pitch))
    while big > LEAST and text_width(printable(texts[0]), big, bold=True) > room:
        big = max(LEAST, big - 0.5)
    y = height - pad
    for index, text in enumerate(texts):
        size, bold = (big, True) if index == 0 else (LEAST, False)
        y -= size * (1.0 if bold else 1.22)
        shown = shortened(printable(text), size, room, bold=bold)
        if shown:
            items.append(Text((_PAD * POINT, (y + 0.1 * size) * POINT), shown, size, bold=bold))
    if sketch:
        items.extend(_sketch(label, width - _PAD - sketch, height / 2, sketch))
    return Scene(width * POINT, height * POINT, tuple(items), title=label.name)


def _sketch(label: Label, x: float, y: float, side: float) -> list[Item]:
    """Draw a small part whose outward edge is heavy; a face that looks outward is marked in its middle."""
    high = side * 0.45
    low = y - high / 2
    items: list[Item] = [rectangle(x * POINT, low * POINT, side * POINT, high * POINT, pen=THIN, fill=WHITE)]
    if label.edge == "long edge":
        items.append(Line((x * POINT, (low + high) * POINT), ((x + side) * POINT, (low + high) * POINT), BOLD))
    elif label.edge == "end":
        items.append(Line(((x + side) * POINT, low * POINT), ((x + side) * POINT, (low + high) * POINT), BOLD))
    elif label.edge == "face":
        at = ((x + side / 2) * POINT, (y - ASCENT * LEAST / 2) * POINT)
        items.append(Text(at, "out", LEAST, "middle", bold=True))
    return items
