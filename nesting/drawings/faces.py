"""Faces of a crate as they are drawn flat: what lies on each, seen from the side from which it goes on.

A face's coordinates run from its own left edge to the right and from its lower edge upward, as one stands before it.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from nesting.crates.model import Bolt, Box, Crate, Placed
from nesting.drawings.drill import half_held
from nesting.drawings.explode import gear

Look = Literal["solid", "hidden", "faint"]
Spotted = Literal["hole", "buyer's", "bolt", "screw"]
Flat = tuple[int, int, int, int]
"""A box seen flat: left and lower edge, extents."""

_FRAME: Final = frozenset({"rail", "stile"})
_FLUSH: Final = frozenset({"rail", "stile", "corner block", "liner", "lid ledge"})
"""What lies against its neighbours and is measured nowhere."""
_BELOW: Final = frozenset({"skid", "outrigger", "skid pad"})
_ON_BACK: Final = frozenset({"back", "batten", "seam batten", "slat"})
_ON_LID: Final = frozenset({"lid", "batten", "seam batten", "slat"})
_HOLDING: Final = frozenset({"cleat", "french cleat", "bearing pad"})
_BLOCKS: Final = frozenset({"setting block", "backing block", "skid block", "gusset"})
_OUTLINES: Final = frozenset({"back", "lid", "case face"})


@dataclass(frozen=True, slots=True)
class Shown:
    """Something that lies on a face.

    Attributes
    ----------
    parts : tuple of str
        Names; several where layers lie on each other.
    role : str
        What it does.
    at : tuple of int
        Left and lower edge, extents.
    look : {"solid", "hidden", "faint"}
        Dashed behind the face; faint where it is only there for the eye.
    measured : bool
        Whether its left and lower edges are told.
    """

    parts: tuple[str, ...]
    role: str
    at: Flat
    look: Look = "solid"
    measured: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """A hole: where, into which part, and which kind."""

    x: int
    y: int
    into: str
    kind: Spotted = "hole"


@dataclass(frozen=True, slots=True)
class Face:
    """One face.

    Attributes
    ----------
    key : str
        For files: ``back``, ``inside``.
    title : str
        What it is, and from where it is seen.
    width, height : int
        Extent of that from whose edges everything is measured.
    shown : tuple of Shown
        The farthest first.
    spots : tuple of Spot
        Holes.
    numbered : bool
        Whether its holes bear numbers, since not all are drilled alike.
    broken : bool
        Whether it goes on above what is drawn, so that its height is told nowhere.
    """

    key: str
    title: str
    width: int
    height: int
    shown: tuple[Shown, ...]
    spots: tuple[Spot, ...] = ()
    numbered: bool = False
    broken: bool = False

    @property
    def told(self) -> bool:
        """Whether it measures anything but its own extent."""
        return bool(self.spots) or any(each.measured for each in self.shown)


def body_of(crate: Crate) -> Box:
    """Return the cuboid of a crate's parts without what stands below or reaches out."""
    boxes = [each.box for each in crate.placed if each.role not in _BELOW]
    return _around(boxes)


def _around(boxes: Sequence[Box]) -> Box:
    low = [min(getattr(box, axis) for box in boxes) for axis in "xyz"]
    high = [max(getattr(box, axis) + getattr(box, f"d{axis}") for box in boxes) for axis in "xyz"]
    return Box(low[0], low[1], low[2], *(b - a for a, b in zip(low, high, strict=True)))


@dataclass(frozen=True, slots=True)
class Sight:
    """From where something is seen: what runs to the right and what upward, and which of them turn round.

    Attributes
    ----------
    right, up : {"x", "y", "z"}
        The crate's axes.
    turned : str
        Axes that run the other way.
    """

    right: str
    up: str
    turned: str = ""

    def flat(self, box: Box, datum: Box) -> Flat:
        """Return a box as it is seen, from the datum's left and lower edge."""
        left, across = self._along(box, datum, self.right)
        low, high = self._along(box, datum, self.up)
        return left, low, across, high

    def point(self, at: tuple[int, int, int], datum: Box) -> tuple[int, int]:
        """Return a point as it is seen."""
        left, low, _, _ = self.flat(Box(*at, 1, 1, 1), datum)
        # The box of one unit ends one unit farther where its axis runs the other way.
        return left + (self.right in self.turned), low + (self.up in self.turned)

    def _along(self, box: Box, datum: Box, axis: str) -> tuple[int, int]:
        start, size = getattr(box, axis), getattr(box, f"d{axis}")
        from_low, extent = getattr(datum, axis), getattr(datum, f"d{axis}")
        return (from_low + extent - start - size if axis in self.turned else start - from_low), size


FRONT = Sight("x", "y")
REAR = Sight("x", "y", "x")
LEFT = Sight("z", "y")
RIGHT = Sight("z", "y", "z")
UNDER = Sight("x", "z")
OVER = Sight("x", "z", "z")


def faces(crate: Crate) -> tuple[Face, ...]:
    """Return the faces of a crate on which something is measured, in the order in which they are made."""
    if not crate.placed:
        return ()
    if any(each.role == "case face" for each in crate.placed):
        found = [*_case(crate), *_below(crate), *_sides(crate)]
    elif any(each.role in _FRAME for each in crate.placed):
        found = [*_faces(_back(crate), _inside(crate), _lid(crate)), *_pieces(crate), *_below(crate), *_sides(crate)]
    else:
        found = _carton(crate)
    return tuple(face for face in found if face.told)


def told_parts(made: Iterable[Face]) -> frozenset[str]:
    """Return the names of the parts whose places the faces tell: what is measured, and the faces themselves."""
    return frozenset(
        part
        for face in made
        for each in face.shown
        if each.measured or each.role in (*_OUTLINES, "board")
        for part in each.parts
    )


def _layered(shown: Iterable[Shown]) -> tuple[Shown, ...]:
    """Join layers that lie on each other into one, in the order in which the first of them comes."""
    made: dict[object, Shown] = {}
    for each in shown:
        key = (each.at, each.look, each.measured)
        before = made.get(key)
        parts = tuple(dict.fromkeys((*(before.parts if before else ()), *each.parts)))
        made[key] = replace(each, parts=parts)
    return tuple(made.values())


def _see(
    placed: Iterable[Placed], sight: Sight, datum: Box, measured: Callable[[Placed], bool], look: Look = "solid"
) -> Iterable[Shown]:
    for each in placed:
        yield Shown((each.part,), each.role, sight.flat(each.box, datum), look, measured(each))


def _rear(each: Placed, body: Box) -> bool:
    return 2 * (each.box.z + each.box.dz) <= 2 * body.z + body.dz


def _never(_: Placed) -> bool:
    return False


def _always(_: Placed) -> bool:
    return True


def _added(each: Placed) -> bool:
    """Whether something is laid on a face, rather than being it."""
    return each.role not in _OUTLINES


def _faces(back: Face, inside: Face, lid: Face) -> list[Face]:
    """Return back, inside and lid; without the lid where the same lies on it as on the back."""
    mirrored = _flipped(lid)
    laid = {each.at: each.parts for each in mirrored.shown if each.measured}
    if lid.spots or not laid or laid.keys() != {each.at for each in back.shown if each.measured}:
        return [back, inside, lid]
    shown = (replace(each, parts=(*each.parts, *laid[each.at])) if each.measured else each for each in back.shown)
    other = lid.title.partition(",")[0].lower()
    title = (
        f"{back.title}; {other} the same, mirrored, without holes" if back.spots else f"{back.title}; {other} the same"
    )
    return [replace(back, title=title, shown=tuple(shown)), inside]


def _back(crate: Crate) -> Face:
    """Return the back from outside: what lies on it, and the mounting screws."""
    body = body_of(crate)
    own = [each for each in crate.placed if each.role in _ON_BACK and _rear(each, body)]
    behind = [each for each in crate.placed if each.role in _HOLDING]
    shown = [
        *_see(sorted(own, key=lambda each: -each.box.z), REAR, body, _added),
        *_see(behind, REAR, body, _never, "hidden"),
    ]
    spots = [
        Spot(each.x, each.y, each.into, "buyer's" if half_held(crate, each) == "hanging" else "hole")
        for each in crate.drill
    ]
    mixed = len({(each.pilot, each.stop, each.clearance) for each in crate.drill}) > 1
    return Face("back", "Back, from outside", body.dx, body.dy, _layered(shown), tuple(spots), mixed)


def _inside(crate: Crate) -> Face:
    """Return back and frame from the front: what is fixed inside."""
    body = body_of(crate)
    frame = [each for each in crate.placed if each.role in _FLUSH]
    held = [each for each in crate.placed if each.role in _HOLDING | _BLOCKS and each.half != "piece"]
    bags = [each for each in gear(crate) if each.part.endswith(".gel")]
    shown = [
        *_see(frame, FRONT, body, _never, "faint"),
        *_see(sorted(held, key=lambda each: each.box.z), FRONT, body, _always),
        *_see(bags, FRONT, body, _always),
    ]
    kept = [replace(each, look="solid") if each.role in _FRAME else each for each in shown]
    return Face("inside", "Back and frame, from the front", body.dx, body.dy, _layered(kept))


def _lid(crate: Crate) -> Face:
    """Return the lid, or the front with its slats, from outside."""
    body = body_of(crate)
    own = [each for each in crate.placed if each.role in _ON_LID and not _rear(each, body)]
    shown = _layered(_see(sorted(own, key=lambda each: each.box.z), FRONT, body, _added))
    bolts = [Spot(b.x - body.x, b.y - body.y, "", "bolt") for b in crate.bolts if b.way[2]]
    title = "Lid, from outside" if any(each.role == "lid" for each in own) else "Front, from outside"
    return Face("lid", title, body.dx, body.dy, shown, tuple(bolts))


def _pieces(crate: Crate) -> list[Face]:
    """Return each piece from behind with its cleats and their screws; pieces that get the same, as one."""
    body = body_of(crate)
    made: dict[object, Face] = {}
    for name, box in crate.pieces_placed:
        on = [
            each
            for each in crate.placed
            if each.role in ("cleat", "french cleat") and each.half != "hanging" and _within(each.box, box)
        ]
        shown = _layered(
            [
                Shown((name,), "piece", (0, 0, box.dx, box.dy)),
                *_see(on, REAR, box, _always),
            ]
        )
        left = body.x + body.dx - box.x - box.dx
        spots = tuple(
            Spot(each.x - left, each.y - box.y, "", "screw") for each in crate.cleat_drill if each.into == name
        )
        key = (box.dx, box.dy, tuple((each.role, each.at) for each in shown), spots)
        before = made.get(key)
        if before:
            both = (replace(a, parts=(*a.parts, *b.parts)) for a, b in zip(before.shown, shown, strict=True))
            made[key] = replace(before, shown=tuple(both))
        else:
            made[key] = Face("piece", "", box.dx, box.dy, shown, spots)
    return [
        replace(face, key="piece" if not index else f"piece-{index + 1}", title=f"{_names(face)}, from behind")
        for index, face in enumerate(made.values())
    ]


def _names(face: Face) -> str:
    names = face.shown[0].parts
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}, each"


def _within(inner: Box, outer: Box) -> bool:
    return (
        outer.x <= inner.x
        and outer.y <= inner.y
        and inner.x + inner.dx <= outer.x + outer.dx
        and inner.y + inner.dy <= outer.y + outer.dy
    )


def _below(crate: Crate) -> list[Face]:
    """Return the bottom from below, with what a crate stands on."""
    body = body_of(crate)
    on = [each for each in crate.placed if each.role in _BELOW]
    bolts = _bolts(crate.bolts, "y", UNDER, body)
    if not (on or bolts):
        return []
    shown = _layered(_see(sorted(on, key=lambda each: -each.box.y), UNDER, body, _always))
    return [Face("below", "From below, front at the top", body.dx, body.dz, shown, bolts)]


def _sides(crate: Crate) -> list[Face]:
    """Return the sides from outside with handles and bolts; one for both where they are mirror images."""
    body = body_of(crate)
    made = []
    for key, sight, near, hand in (
        ("left", LEFT, True, "back at the left"),
        ("right", RIGHT, False, "back at the right"),
    ):
        handles = [
            each
            for each in gear(crate)
            if each.part.endswith(".handle") and (each.box.x < body.x + body.dx // 2) == near
        ]
        bolts = [bolt for bolt in crate.bolts if bolt.way[0] and (bolt.x < body.x + body.dx // 2) == near]
        spots = _bolts(bolts, "x", sight, body)
        shown = _layered(_see(handles, sight, body, _never if spots else _always))
        made.append(
            Face(f"{key}-side", f"{key.capitalize()} side, from outside, {hand}", body.dz, body.dy, shown, spots)
        )
    left, right = made
    return _paired(left, right, "; right side")


def _paired(first: Face | None, second: Face | None, also: str) -> list[Face]:
    """Return two faces that lie across from each other: as one where both look the same, as seen or in a mirror."""
    if first is None or second is None:
        return [face for face in (first, second) if face is not None]
    for how, other in (("the same", second), ("mirrored", _flipped(second))):
        if _looks(first) == _looks(other):
            parts: dict[object, tuple[str, ...]] = {}
            for each in other.shown:
                parts.setdefault((each.at, each.measured), each.parts)
            shown = (replace(a, parts=(*a.parts, *parts[a.at, a.measured])) for a in first.shown)
            return [replace(first, title=f"{first.title}{also} {how}", shown=_layered(shown))]
    return [first, second]


def _looks(face: Face) -> object:
    """Return what makes two faces look the same."""
    shown = sorted((each.at, each.look, each.measured) for each in face.shown)
    return face.width, face.height, shown, sorted((spot.x, spot.y, spot.kind) for spot in face.spots)


def _flipped(face: Face) -> Face:
    """Return a face as a mirror shows it."""
    shown = (replace(each, at=(face.width - each.at[0] - each.at[2], *each.at[1:])) for each in face.shown)
    spots = (replace(each, x=face.width - each.x) for each in face.spots)
    return replace(face, shown=tuple(shown), spots=tuple(spots))


def _bolts(bolts: Iterable[Bolt], axis: str, sight: Sight, datum: Box) -> tuple[Spot, ...]:
    """Return the bolts that go along an axis, as they are seen."""
    way = "xyz".index(axis)
    points = dict.fromkeys(sight.point((b.x, b.y, b.z), datum) for b in bolts if b.way[way])
    return tuple(Spot(x, y, "", "bolt") for x, y in points)


_CASE: Final = (
    ("back", "z", 0, FRONT, "Back, from inside"),
    ("front", "z", 1, REAR, "Front, from inside"),
    ("left", "x", 0, RIGHT, "Left side, from inside"),
    ("right", "x", 1, LEFT, "Right side, from inside"),
    ("bottom", "y", 0, OVER, "Bottom, from inside, front at the bottom"),
    ("top", "y", 1, UNDER, "Top, from inside, front at the top"),
)
"""Faces of a case: name, axis across it, whether it is at that axis' end, and from where its inside is seen."""
_ON_CASE: Final = frozenset({"case lumber", "cushion", "backing block"})


def _case(crate: Crate) -> list[Face]:
    """Return the six faces of a case from inside; lumber and pads each on the face that they lie flat on."""
    walls = [each for each in crate.placed if each.role == "case face"]
    whole = _around([each.box for each in walls])
    inside = [each for each in crate.placed if each.role in _ON_CASE]
    lies = {id(each): _lies(each.box, walls, inside, whole) for each in inside}
    made = {}
    for name, axis, end, sight, title in _CASE:
        own = [each for each in walls if _flat_on(each.box, whole) == (axis, end)]
        if not own:
            continue
        datum = _around([each.box for each in own])
        on = [each for each in inside if lies[id(each)] == (axis, end)]
        shown = [*_see(own, sight, datum, _never), *_see(on, sight, datum, _always)]
        wide, high = (getattr(datum, f"d{each}") for each in (sight.right, sight.up))
        made[name] = Face(name, title, wide, high, _layered(shown))
    return [face for a, b, also in _PAIRS for face in _paired(made.get(a), made.get(b), f"; {also}")]


_PAIRS: Final = (("back", "front", "front"), ("left", "right", "right side"), ("bottom", "top", "top"))


def _lies(box: Box, walls: Sequence[Placed], inside: Sequence[Placed], whole: Box) -> tuple[str, int]:
    """Return the face that a thing lies on: right on it, or on a block of the same outline that does."""
    found = []
    for axis in sorted("xyz", key=lambda each: getattr(box, f"d{each}")):
        others = [each for each in "xyz" if each != axis]
        for end in (0, 1):
            own = [each.box for each in walls if _flat_on(each.box, whole) == (axis, end)]
            if not own:
                continue
            plane = max(_ends(each, axis)[1] for each in own) if end == 0 else min(_ends(each, axis)[0] for each in own)
            near = _ends(box, axis)[end]
            between = [
                each.box
                for each in inside
                if all(_ends(each.box, other) == _ends(box, other) for other in others)
                and _ends(each.box, axis)[end] == plane
                and _ends(each.box, axis)[1 - end] == near
            ]
            if near == plane or between:
                found.append((axis, end))
    return found[0] if found else _flat_on(box, whole)


def _ends(box: Box, axis: str) -> tuple[int, int]:
    start = getattr(box, axis)
    return start, start + getattr(box, f"d{axis}")


def _flat_on(box: Box, whole: Box) -> tuple[str, int]:
    """Return across which axis a flat thing lies, and at which end of it."""
    axis = min("xyz", key=lambda each: getattr(box, f"d{each}"))
    middle = 2 * getattr(box, axis) + getattr(box, f"d{axis}")
    return axis, int(middle > 2 * getattr(whole, axis) + getattr(whole, f"d{axis}"))


_CARTON: Final = (
    ("front", "z", 1, FRONT, "Front of the parcel"),
    ("back", "z", 0, REAR, "Back of the parcel"),
    ("left", "x", 0, LEFT, "Left edge of the parcel"),
    ("right", "x", 1, RIGHT, "Right edge of the parcel"),
    ("top", "y", 1, OVER, "Top edge of the parcel, its front below"),
    ("base", "y", 0, UNDER, "Lower edge of the parcel, its front above"),
)


def _carton(crate: Crate) -> list[Face]:
    """Return the six sides of what lies in a carton, boards and all, with the pads on each, as one stands before it."""
    boards = [each for each in crate.placed if each.role == "board"]
    pads = sorted((each for each in crate.placed if each.role == "cushion"), key=lambda each: (each.box.z, each.box.y))
    if not boards or not pads:
        return []
    parcel = _around([each.box for each in boards])
    made = {}
    for name, axis, end, sight, title in _CARTON:
        low, high = _ends(parcel, axis)
        on = [each for each in pads if (_ends(each.box, axis)[0] >= high if end else _ends(each.box, axis)[1] <= low)]
        if not end:
            on.reverse()
        shown = [*_see(boards, sight, parcel, _never, "faint"), *_see(on, sight, parcel, _always)]
        wide, tall = (getattr(parcel, f"d{each}") for each in (sight.right, sight.up))
        made[name] = Face(name, title, wide, tall, _layered(shown))
    pairs = (("front", "back", "; back"), ("left", "right", "; right edge"), ("top", "base", "; lower edge"))
    return [face for a, b, also in pairs for face in _paired(made[a], made[b], also)]
