"""The shell of an outer case: strand-board faces on lumber along all twelve edges.

Two rings of lumber lie flat on the inside of front and back, or stand on edge there: rails right through and stiles
between them; four posts join them at the corners. Faces larger than a sheet are seamed over one more piece of lumber.
One face opens: it lies over the edges of the others, so that it comes off whole.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from nesting.advice.check import table_pounds
from nesting.advice.fasteners import withdrawal_allowable
from nesting.base.measure import INCH, MM, inches
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Axis, Bench
from nesting.crates.gear.members import Lumber, Section
from nesting.crates.model import Box
from nesting.crates.shells.seams import (
    Dividing,
    Pattern,
    Seam,
    Stock,
    halved,
    pattern_for,
    pattern_taken,
    patterns_for,
)
from nesting.shop.goods import Good
from nesting.shop.needs import gravity_of
from nesting.shop.shop import Shop

Opening = Literal["end", "front"]
Cut = tuple[str, Literal["x", "y"], int]
"""A face that is divided by choice, which way its seam runs, and where; see :class:`CaseDesign`."""
Way = Literal[1, -1]
SLIP = OwnLength(INCH // 8, 3 * MM)
"""Play at the ends of lumber that comes off with the opening face."""


@dataclass(frozen=True, slots=True)
class Room:
    """The inside of the strand board, in the case's coordinates."""

    x: int
    y: int
    z: int
    width: int
    height: int
    depth: int


@dataclass(frozen=True, slots=True)
class CaseFace:
    """One face.

    Attributes
    ----------
    name : str
        ``front``, ``back``, ``top``, ``bottom``, ``left``, ``right``.
    box : Box
        The whole face.
    flat : {"x", "y", "z"}
        Across it.
    opens : bool
        Whether it comes off.
    pattern : Pattern
        Its panels and seams, in the plane of the face: x before y before z.
    """

    name: str
    box: Box
    flat: Axis
    opens: bool
    pattern: Pattern

    @property
    def perimeter(self) -> int:
        """Length all the way round."""
        a, b = plane(self.box, self.flat)
        return 2 * (a + b)


def stock_of(shop: Shop) -> Stock:
    """Return the sheets that the faces are cut from."""
    return Stock.of(shop.good(shop.case.face_good), shop.saw)


def plane(box: Box, flat: Axis) -> tuple[int, int]:
    """Return the two extents of a box across an axis, in the order x, y, z; for a top or bottom x, z."""
    return {"x": (box.dz, box.dy), "y": (box.dx, box.dz), "z": (box.dx, box.dy)}[flat]


@dataclass(slots=True)
class CaseShell:
    """Faces and lumber on the bench.

    Attributes
    ----------
    bench : Bench
        Where they are put.
    lumber : Lumber
        The members.
    room : Room
        What they enclose.
    opening : {"end", "front"}
        Which face comes off.
    lying : Section
        The lumber as the rings lie: its thickness is how far they reach in from front and back.
    faces : list of CaseFace
        All six, once built.
    seam_run : int
        Length of all seams.
    keep_clear : mapping of str to tuple of (int, int)
        For front and back: heights in the room at which foam bears on slats, so that no seam runs across there.
    patterns : mapping of str to int
        Which of the patterns of a seamed face is taken, by face, where it is not the first.
    cuts : tuple of Cut
        Faces that are divided by choice.
    behind : dict of str to list of Box
        Lumber behind the seams of each face.
    """

    bench: Bench
    lumber: Lumber
    room: Room
    opening: Opening
    lying: Section
    faces: list[CaseFace] = field(default_factory=list)
    seam_run: int = 0
    keep_clear: Mapping[str, tuple[tuple[int, int], ...]] = field(default_factory=dict)
    patterns: Mapping[str, int] = field(default_factory=dict)
    cuts: tuple[Cut, ...] = ()
    behind: dict[str, list[Box]] = field(default_factory=dict)

    def build(self) -> None:
        """Put everything down.

        Raises
        ------
        LookupError
            Where a face cannot be made of the stocked sheets; names the face.
        """
        for name, box, flat, opens in face_boxes(self.room, self.board.thickness, self.opening):
            self._face(name, box, flat, opens=opens)
        self._edges()

    @property
    def board(self) -> Good:
        """The good of the faces."""
        return self.bench.shop.good(self.bench.shop.case.face_good)

    @property
    def door(self) -> CaseFace:
        """The face that opens."""
        return next(face for face in self.faces if face.opens)

    def _edges(self) -> None:
        """Lay lumber along all twelve edges."""
        r, s = self.room, self.lying
        thick, broad = s.thick, s.breadth
        flat = s == self.lumber.section
        # Lumber behind seams stands on the long edges and on the uprights, on the side where a plate would lie.
        on_rails, on_uprights = (("bottom", "top"), ("left", "right")) if flat else (("back", "front"),) * 2
        low = [(b.x - r.x, b.x + b.dx - r.x) for b in self._seam_lumber(*on_rails) if max(b.dy, b.dz) > b.dx]
        side = [
            (b.y - r.y - broad, b.y + b.dy - r.y - broad)
            for b in self._seam_lumber(*on_uprights)
            if max(b.dx, b.dz) > b.dy
        ]
        put = self.lumber.put
        for z, inner in _ends(r.z, r.depth, thick):
            for y, up in _ends(r.y, r.height, broad):
                rail = Box(r.x, y, z, r.width, broad, thick)
                put("edge-long", rail, along="x", flat="z" if flat else "y", inner=inner if flat else up, avoid=low)
            for x, right in _ends(r.x, r.width, broad):
                upright = Box(x, r.y + broad, z, broad, r.height - 2 * broad, thick)
                way: Way = inner if flat else right
                put("edge-upright", upright, along="y", flat="z" if flat else "x", inner=way, avoid=side)
        for x, right in _ends(r.x, r.width, broad):
            for y, up in _ends(r.y, r.height, thick):
                post = Box(x, y, r.z + thick, broad, thick, r.depth - 2 * thick)
                put("edge-deep", post, along="z", flat="y" if flat else "x", inner=up if flat else right)

    def _face(self, name: str, box: Box, flat: Axis, *, opens: bool) -> None:
        """Put down a face in as many panels as it takes, with lumber under each seam."""
        a, b = plane(box, flat)
        half = self.bench.shop.whole_up(self.lumber.section.breadth // 2)
        up = self.room.y - box.y
        zones = tuple((low + up - half, high + up + half) for low, high in self.keep_clear.get(name, ()))
        number = self.patterns.get(name, 0)
        pattern = self._pattern(a, b, zones, number) or self._pattern(a, b, (), number)
        if pattern is None:
            raise LookupError(name)
        for _, runs, at in (cut for cut in self.cuts if cut[0] == name):
            shop = self.bench.shop
            pattern = halved(pattern, runs, at, stock_of(shop), shop.battens.panel_least) or pattern
        whole = f"{self.bench.crate}.{name}" if pattern.seams else None
        for rect, seam in pattern.panels:
            self.bench.panel(
                name,
                self.board.good,
                in_plane(box, flat, (rect.x, rect.y, rect.dx, rect.dy)),
                "case face",
                flat=flat,
                panel_of=whole,
                seam=seam,
            )
        face = CaseFace(name, box, flat, opens, pattern)
        self.faces.append(face)
        for seam_ in pattern.seams:
            self._behind(face, seam_)

    def _pattern(self, a: int, b: int, zones: tuple[tuple[int, int], ...], number: int) -> Pattern | None:
        """Divide a face into panels, its seams out of the zones."""
        shop = self.bench.shop
        stock, dividing = stock_of(shop), Dividing(shop.battens.panel_least, shop.joinery.snap, zones)
        if not number:
            return pattern_for(a, b, stock, dividing)
        found = patterns_for(a, b, stock, dividing)
        return pattern_taken(found, number) if found else None

    def _seam_lumber(self, *faces: str) -> list[Box]:
        """Return the lumber behind the seams of these faces."""
        return [box for name in faces for box in self.behind.get(name, ())]

    def _behind(self, face: CaseFace, seam: Seam) -> None:
        """Lay lumber behind a seam, between the lumber of the edges, or of the seam that this one ends at."""
        r, s = self.room, self.lumber.section
        thick, broad = s.thick, s.breadth
        shop = self.bench.shop
        slip = shop.own(SLIP) if face.opens else 0
        # Half of a member on the one side of its seam, and the rest on the other.
        half, rest = shop.whole(broad // 2), shop.whole_up(broad // 2)
        # Where the lumber along the edges leaves off, in the plane of the face, from the corner of the room.
        aside, ahead = self.lying.breadth, self.lying.thick
        edge_a, edge_b = {"z": (aside, aside), "y": (aside, ahead), "x": (ahead, ahead)}[face.flat]
        size_a, size_b = {"z": (r.width, r.height), "y": (r.width, r.depth), "x": (r.depth, r.height)}[face.flat]
        off_a, off_b = {
            "z": (r.x - face.box.x, r.y - face.box.y),
            "y": (r.x - face.box.x, r.z - face.box.z),
            "x": (r.z - face.box.z, r.y - face.box.y),
        }[face.flat]
        whole_a, whole_b = plane(face.box, face.flat)
        if seam.runs == "y":
            low = edge_b if seam.start == 0 else seam.start - off_b + rest
            high = size_b - edge_b if seam.end == whole_b else seam.end - off_b - half
            rect = (seam.at - off_a - half, low + slip, broad, high - low - 2 * slip)
        else:
            low = edge_a if seam.start == 0 else seam.start - off_a + rest
            high = size_a - edge_a if seam.end == whole_a else seam.end - off_a - half
            rect = (low + slip, seam.at - off_b - half, high - low - 2 * slip, broad)
        inside = Box(r.x, r.y, r.z, r.width, r.height, r.depth)
        near = face.name in ("back", "bottom", "left")
        depth = {"x": r.width, "y": r.height, "z": r.depth}[face.flat]
        layer = _layer(inside, face.flat, 0 if near else depth - thick, thick)
        first, second = {"z": ("x", "y"), "y": ("x", "z"), "x": ("z", "y")}[face.flat]
        along: Axis = second if seam.runs == "y" else first  # type: ignore[assignment]  # mypy widens the literals
        member = in_plane(layer, face.flat, rect)
        self.lumber.put("seam-lumber", member, along=along, flat=face.flat, inner=1 if near else -1)
        self.behind.setdefault(face.name, []).append(member)
        self.seam_run += seam.end - seam.start


def _ends(start: int, whole: int, reach: int) -> tuple[tuple[int, Way], tuple[int, Way]]:
    """Return where a member lies at either end of a stretch, and which way the inside is from there."""
    return (start, 1), (start + whole - reach, -1)


def _layer(box: Box, flat: Axis, start: int, thick: int) -> Box:
    """Return a slice of a box across an axis."""
    if flat == "x":
        return Box(box.x + start, box.y, box.z, thick, box.dy, box.dz)
    if flat == "y":
        return Box(box.x, box.y + start, box.z, box.dx, thick, box.dz)
    return Box(box.x, box.y, box.z + start, box.dx, box.dy, thick)


def in_plane(box: Box, flat: Axis, rect: tuple[int, int, int, int]) -> Box:
    """Return the part of a flat box that a rectangle in its plane takes; see :func:`plane` for its axes."""
    a, b, da, db = rect
    if flat == "x":
        return Box(box.x, box.y + b, box.z + a, box.dx, db, da)
    if flat == "y":
        return Box(box.x + a, box.y, box.z + b, da, box.dy, db)
    return Box(box.x + a, box.y + b, box.z, da, db, box.dz)


def face_boxes(room: Room, t: int, opening: Opening) -> list[tuple[str, Box, Axis, bool]]:
    """Return the six faces round a room: name, place, axis across it, whether it opens.

    Front and back lie over top and bottom, and those over the ends; only the face that opens lies over all others.
    """
    x, y, z, w, h, d = room.x, room.y, room.z, room.width, room.height, room.depth
    wide, high, deep = w + 2 * t, h + 2 * t, d + 2 * t
    # An end that opens lies over the edges of the four faces beside it, which end where the room does.
    run = w + t if opening == "end" else wide
    faces: list[tuple[str, Box, Axis, bool]] = [
        ("back", Box(x - t, y - t, z - t, run, high, t), "z", False),
        ("bottom", Box(x - t, y - t, z, run, t, d), "y", False),
        ("top", Box(x - t, y + h, z, run, t, d), "y", False),
        ("left", Box(x - t, y, z, t, h, d), "x", False),
    ]
    if opening == "end":
        faces += [
            ("front", Box(x - t, y - t, z + d, run, high, t), "z", False),
            ("right", Box(x + w, y - t, z - t, t, high, deep), "x", True),
        ]
    else:
        faces += [
            ("right", Box(x + w, y, z, t, h, d), "x", False),
            ("front", Box(x - t, y - t, z + d, wide, high, t), "z", True),
        ]
    return faces


def door_screws(perimeter: int, shop: Shop, holding: int) -> int:
    """Return how many screws hold the opening face: by its perimeter, between the shop's least and most.

    As many more as hold what would lean on it in a fall, where the shop's most are enough for that; else straps must.
    """
    rules = shop.case
    spaced = min(rules.door_most, max(rules.door_least, -(-perimeter // rules.door_spacing)))
    return max(spaced, holding) if holding <= rules.door_most else spaced


def leaning_lbf(contents_kg: float, shop: Shop) -> float:
    """Return what leans on the opening face where the case falls on it: frames and pieces times the handling factor."""
    return table_pounds(contents_kg) * shop.mounting.handling_factor


def door_pull(lumber: str, shop: Shop) -> float:
    """Return what one screw of the opening face bears in withdrawal from lumber of this good, pounds-force."""
    screw = shop.good(shop.case.door_screw)
    thread = inches(screw.breadth - shop.good(shop.case.face_good).greatest_thickness)
    return withdrawal_allowable(gravity_of(shop, shop.good(lumber)), screw.diameter_in, thread)
