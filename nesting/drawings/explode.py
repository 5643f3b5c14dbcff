"""Taking a crate apart for a drawing: every part moved outward so that each can be seen, none through another.

Along an axis parts move by an amount that never falls from one part's centre to the next, so that two parts that are
side by side stay side by side: what does not intersect assembled does not intersect apart.
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Final

from nesting.base.measure import INCH
from nesting.crates.model import Box, Crate, Placed
from nesting.drawings.solid import Solid

_SOLID: Final = ("handle", "gel")
"""Gear that is drawn."""
_FACE = 2 * INCH
"""A layer of parts thinner than this, such as a back or its battens, moves as a whole."""
_LAYER_GAP = 0.42
"""Between layers, as a part of the longer side."""
_SIDE_GAP = 0.05
_SIDE_MOST = 0.34
"""Between neighbours along an axis, and in all, as a part of the extent."""


def contents(crate: Crate) -> frozenset[str]:
    """Return the names of what rides in a crate: travel frames, or the pieces themselves."""
    return frozenset(name for name, _ in crate.rides or crate.pieces_placed)


def gear(crate: Crate) -> list[Placed]:
    """Return the bought things that take room in a crate or on it, each kind under one name; straps are not drawn."""
    counts: Counter[str] = Counter()
    found = []
    for each in crate.gear:
        if each.role in _SOLID:
            found.append(Placed(f"{crate.crate}.{each.role}", counts[each.role], each.box, "other"))
            counts[each.role] += 1
    return found


def things(crate: Crate) -> list[Placed]:
    """Return everything that is drawn: parts, gear, travel frames that ride inside, and pieces where nothing rides."""
    found = [*crate.placed, *gear(crate)]
    if crate.rides:
        found += [Placed(name, 0, box, "other") for name, box in crate.rides]
    else:
        found += [Placed(name, 0, box, "other") for name, box in crate.pieces_placed]
    return found


def solid_of(placed: Placed) -> Solid:
    """Return a placed part as a solid where it is."""
    if placed.profile:
        return Solid.prism(placed.part, placed.box, placed.profile)
    return Solid.cuboid(placed.part, placed.box)


def layers(placed: Sequence[Placed]) -> list[list[int]]:
    """Group parts into layers from back to front: those whose depths overlap, directly or through others, are one."""
    order = sorted(range(len(placed)), key=lambda i: (placed[i].box.z, i))
    made: list[list[int]] = []
    reach = 0
    for i in order:
        box = placed[i].box
        if made and box.z < reach:
            made[-1].append(i)
            reach = max(reach, box.z + box.dz)
        else:
            made.append([i])
            reach = box.z + box.dz
    return made


def lifted_out(boxes: Sequence[Box], contents: Sequence[int]) -> set[int]:
    """Return what moves when contents are lifted out to the front: they and whatever lies before them."""
    out = set(contents)
    waiting = list(out)
    while waiting:
        mine = boxes[waiting.pop()]
        for i, box in enumerate(boxes):
            if i not in out and box.z >= mine.z + mine.dz and _overlap(box, mine):
                out.add(i)
                waiting.append(i)
    return out


def _overlap(a: Box, b: Box) -> bool:
    """Whether two boxes cover each other seen from the front."""
    return a.x < b.x + b.dx and b.x < a.x + a.dx and a.y < b.y + b.dy and b.y < a.y + a.dy


def explode(placed: Sequence[Placed], contents: frozenset[str] = frozenset()) -> list[Solid]:
    """Return the parts as solids, moved apart.

    Parameters
    ----------
    placed : sequence of Placed
        Parts that share no space.
    contents : frozenset of str
        Names of what rides inside: it is lifted out to the front.

    Returns
    -------
    list of Solid
        In the order of `placed`.
    """
    if not placed:
        return []
    boxes = [each.box for each in placed]
    width = max(b.x + b.dx for b in boxes) - min(b.x for b in boxes)
    height = max(b.y + b.dy for b in boxes) - min(b.y for b in boxes)
    gap = _LAYER_GAP * max(width, height)
    moved: list[Solid | None] = [None] * len(placed)
    shift = 0.0
    groups = layers(placed)
    for number, group in enumerate(groups):
        members = [boxes[i] for i in group]
        depth = max(b.z + b.dz for b in members) - min(b.z for b in members)
        inner = len(group) > 1 and depth >= _FACE
        sides = _spread(members, lambda b: 2 * b.x + b.dx, width) if inner else [0.0] * len(group)
        ups = _spread(members, lambda b: 2 * b.y + b.dy, height) if inner else [0.0] * len(group)
        deeps = _spread(members, lambda b: 2 * b.z + b.dz, max(width, height)) if inner else [0.0] * len(group)
        held = [k for k, i in enumerate(group) if placed[i].part in contents]
        out = lifted_out(members, held) if inner else set()
        deeps = [deep + (gap if k in out else 0.0) for k, deep in enumerate(deeps)]
        ahead = -min(deeps)
        for i, x, y, z in zip(group, sides, ups, deeps, strict=True):
            moved[i] = solid_of(placed[i]).moved(x, y, shift + ahead + z)
        shift += ahead + max(deeps)
        # A thin layer stands off a thin one by less: battens are seen to belong to their face.
        following = groups[number + 1] if number + 1 < len(groups) else []
        thin = not inner and bool(following) and max(boxes[i].dz for i in following) < _FACE
        shift += gap * 0.45 if thin else gap
    return [solid for solid in moved if solid is not None]


def _spread(boxes: Sequence[Box], middle: Callable[[Box], int], extent: int) -> list[float]:
    """Return how far each box moves along an axis: by its rank among the different centres, from the middle one."""
    centres = sorted({middle(box) for box in boxes})
    gap = min(_SIDE_GAP * extent, _SIDE_MOST * extent / max(1, len(centres) - 1))
    return [(bisect_left(centres, middle(box)) - (len(centres) - 1) / 2) * gap for box in boxes]
