"""Faces of a crate on pages: all to one scale, as large as they go, with a table of holes where those are uneven."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import zip_longest

from nesting.base.measure import UnitSystem
from nesting.crates.model import Crate
from nesting.drawings.corner import SCALE, corner_faces
from nesting.drawings.drill import half_held
from nesting.drawings.elevation import Elevation, elevation, stacked
from nesting.drawings.faces import Face
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.scene import POINT, Inset, Scene
from nesting.drawings.sheet import SCALES

_GAP = 14.0
_AROUND = 86.0
_CAUTION = 24.0
"""What heading and texts take around the drawings, and a caution before them, in points."""
_COARSEST = 60
"""Scale that is allowed in any case: below it the figures of a large crate crowd each other."""
_MIDDLE = 190.0
_SMALL = 110.0
"""How long the longest side of a crate is drawn, in points: at the most where it takes a second page, and at the least
where that page is spared."""


@dataclass(frozen=True, slots=True)
class DrawnFaces:
    """Faces to be drawn, the numbers of parts, how long the longest side may be on paper, in points; those drawn."""

    found: tuple[Face, ...]
    numbers: dict[str, int]
    longest: float
    drawn: dict[tuple[str, float], Elevation] = field(default_factory=dict)

    def at(self, face: Face, scale: float, units: UnitSystem) -> Elevation:
        """Draw a face at a scale; one that was drawn so already is not drawn again."""
        key = face.title, scale
        if key not in self.drawn:
            self.drawn[key] = elevation(face, self.numbers, scale, units)
        return self.drawn[key]


def faces_drawn(flow: Flow, printing: Printing, crate: Crate, faces: DrawnFaces) -> None:
    """Draw a crate's faces with their dimensions."""
    found = faces.found
    if not found:
        return
    corners = _corners(crate, printing)
    rows = _fitting(flow, printing, faces, corners, around=_AROUND + (_CAUTION if crate.drill else 0.0))
    scale = rows[0][0].scene.scale
    first = max(each.scene.paper[1] for each in rows[0]) / POINT
    flow.heading(f"Faces, in {printing.unit}", keep=first + 30 + (_CAUTION if crate.drill else 0.0))
    flow.paragraph(_key(found, scale, corner=bool(corners)), size=8)
    if crate.drill:
        flow.paragraph(said("caution", "drill"), size=8.5, bold=True)
    for row in rows:
        _row(flow, [each.scene for each in row])
    uneven = {each.scene.title for row in rows for each in row if each.listed}
    for face in found:
        if face.title in uneven:
            _holes(flow, printing, face, faces.numbers)
    if told := bore_lines(crate):
        flow.paragraph(f"{'. '.join(told)}.", bold=True, after=2)
    if any(half_held(crate, each) for each in crate.drill):
        flow.paragraph(said("drill", "halves"), size=8)


def _key(found: Sequence[Face], scale: float, *, corner: bool) -> str:
    told = (
        f"Drawn 1:{scale:g}. Every figure runs from the left or the lower edge of the heavy outline to the nearer "
        "edge of the part, or to the middle of the hole; heavier numbers are those of the list of parts."
    )
    hidden = any(each.look == "hidden" for face in found for each in face.shown)
    told = f"{told} Dashed: behind the back." if hidden else told
    return f"{told} {said('drill', 'corner')}" if corner else told


# 5 arguments: the page, what is drawn, and what stands around it
def _fitting(
    flow: Flow, printing: Printing, faces: DrawnFaces, corners: Sequence[Sequence[Elevation]], *, around: float
) -> list[list[Elevation]]:
    """Draw the faces on what is left of the page if they stay large enough there, else on that and the next page.

    The corners of a frame, to a scale of their own, stand where rows of faces leave room for them.
    """
    whole = flow.region.top - flow.region.bottom
    longest = max(max(face.width, face.height) for face in faces.found) / POINT
    rows: list[list[Elevation]] = []
    several = [flow.room, whole, whole, whole]
    wanted = max(faces.longest, longest / _COARSEST)
    for least, most, rooms in ((_SMALL, wanted, [flow.room]), (0.0, min(_MIDDLE, wanted), several)):
        for scale in SCALES:
            if longest / scale > most:
                continue
            if longest / scale < least:
                break
            drawn = [faces.at(face, scale, printing.units) for face in faces.found]
            rows = min((_shelves([*drawn, *each], flow.width) for each in corners or ((),)), key=_height)
            wide = max(each.scene.paper[0] for each in drawn) / POINT
            if wide <= flow.width and _fit(rows, rooms, around):
                return rows
    return rows


def _corners(crate: Crate, printing: Printing) -> tuple[tuple[Elevation, ...], ...]:
    """Return the ends of a frame's strips drawn one by one, and one below the other; nothing without a frame."""
    shown = corner_faces(crate, printing.build.shop.units)
    drawn = tuple(elevation(face, {}, SCALE, printing.units) for face in shown)
    return (drawn, (stacked(drawn, _GAP),)) if drawn else ()


def _height(rows: Sequence[Sequence[Elevation]]) -> float:
    """Return how high rows of drawings are."""
    return sum(max(each.scene.paper[1] for each in row) for row in rows)


def _fit(rows: Sequence[Sequence[Elevation]], rooms: Sequence[float], around: float) -> bool:
    """Whether rows of drawings fit into rooms, one after the other; texts around them stand in the first and last."""
    left = [rooms[0] - around, *rooms[1:]]
    at = 0
    for row in rows:
        high = max(each.scene.paper[1] for each in row) / POINT + _GAP
        while high > left[at]:
            at += 1
            if at == len(left):
                return False
        left[at] -= high
    return True


def _shelves(drawn: Sequence[Elevation], width: float) -> list[list[Elevation]]:
    """Set drawings in rows, each in the first row that has room for it."""
    rows: list[list[Elevation]] = []
    free: list[float] = []
    for each in drawn:
        wide = each.scene.paper[0] / POINT
        at = next((index for index, room in enumerate(free) if room >= wide), None)
        if at is None:
            at = len(rows)
            rows.append([])
            free.append(width)
        rows[at].append(each)
        free[at] -= wide + _GAP
    return rows


def _row(flow: Flow, scenes: Sequence[Scene]) -> None:
    """Set drawings side by side, their upper edges level, the width between them shared."""
    high = max(scene.paper[1] for scene in scenes) / POINT
    flow.need(high)
    wide = sum(scene.paper[0] for scene in scenes) / POINT
    gap = min(40.0, (flow.width - wide) / max(1, len(scenes) - 1))
    x = flow.left
    for scene in scenes:
        width, height = (each / POINT for each in scene.paper)
        flow.page.insets.append(Inset(scene, (x * POINT, (flow.y - height) * POINT)))
        x += width + gap
    flow.y -= high
    flow.space(_GAP)


def _holes(flow: Flow, printing: Printing, face: Face, numbers: dict[str, int]) -> None:
    """Write the places of holes that stand too unevenly for the drawing."""
    points = [
        [str(number), printing.length(each.x), printing.length(each.y), str(numbers.get(each.into, each.into))]
        for number, each in enumerate(face.spots, start=1)
    ]
    flow.heading(f"Holes of: {face.title}")
    third = -(-len(points) // 3)
    columns = [
        Column("hole", 0.5, "end", bold=True),
        Column("from left", 0.8),
        Column("from bottom", 0.9),
        Column("into", 0.8),
    ]
    thirds = (points[:third], points[third : 2 * third], points[2 * third :])
    rows = [[cell for part in row for cell in (part or [""] * 4)] for row in zip_longest(*thirds)]
    flow.table(columns * 3, rows)


def bore_lines(crate: Crate) -> list[str]:
    """Say which drill makes the holes of the back, where its stop stands, and to what they are opened."""
    kinds: dict[tuple[str, str, str], list[int]] = {}
    for number, each in enumerate(crate.drill, start=1):
        if each.pilot:
            kinds.setdefault((each.pilot, each.stop, each.clearance), []).append(number)
    told = []
    for (pilot, stop, clearance), numbers in kinds.items():
        which = "" if len(kinds) == 1 else f" {', '.join(_runs(numbers))}"
        told.append(f"Pilot hole{which}: {pilot}" + (f", stop on the drill at {stop}" if stop else ""))
        if clearance:
            told.append(f"Clearance hole{which}: {clearance}, through the back alone, with no cleat behind it")
    return told


def _runs(numbers: Sequence[int]) -> list[str]:
    """Write rising numbers with those that follow each other as one: ``1 to 8``, ``11``."""
    made: list[list[int]] = []
    for number in numbers:
        if made and number == made[-1][1] + 1:
            made[-1][1] = number
        else:
            made.append([number, number])
    return [str(a) if a == b else f"{a} to {b}" for a, b in made]
