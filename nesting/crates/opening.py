"""Opening: which side of a crate comes off, told of what is placed; a method names what is true of its crates."""

from collections.abc import Sequence
from typing import Protocol

from nesting.crates.model import Placed

Direction = tuple[int, int, int]
FRONT: Direction = (0, 0, 1)
RIGHT: Direction = (1, 0, 0)
Side = tuple[Direction, frozenset[int]]
"""Which way a side goes, and the indices of the placed parts that go with it."""


class Opening(Protocol):
    """Tells which side comes off."""

    def __call__(self, placed: Sequence[Placed], /) -> Side | None:
        """Return the side; None where none is known to, or where nothing is placed."""


def nothing_off(placed: Sequence[Placed], /) -> Side | None:  # noqa: ARG001 - asked as the others are
    """Return no side: it opens by flaps or tape, and no part of it is drawn apart."""
    return None


def lid_off(placed: Sequence[Placed], /) -> Side | None:
    """Return the lid with its battens, which comes off to the front."""
    lids = [each.box.z for each in placed if each.role == "lid"]
    off = {i for i, each in enumerate(placed) if lids and each.box.z >= min(lids)}
    return (FRONT, frozenset(off)) if off else None


def front_slats_off(placed: Sequence[Placed], /) -> Side | None:
    """Return the slats before the piece, which come off to the front."""
    slats = [i for i, each in enumerate(placed) if each.role == "slat"]
    middle = max((placed[i].box.z + placed[i].box.dz for i in slats), default=0) / 2
    off = {i for i in slats if placed[i].box.z > middle}
    return (FRONT, frozenset(off)) if off else None


def case_face_off(placed: Sequence[Placed], /) -> Side | None:
    """Return the face over the edges of all others: the front, or the right end where the front leaves it room."""
    faces = [i for i, each in enumerate(placed) if each.role == "case face"]
    if not faces:
        return None
    right = max(placed[i].box.x + placed[i].box.dx for i in faces)
    ahead = max(placed[i].box.z + placed[i].box.dz for i in faces)
    front = frozenset(i for i in faces if placed[i].box.z + placed[i].box.dz == ahead and _thin(placed[i], "z"))
    if max((placed[i].box.x + placed[i].box.dx for i in front), default=0) == right:
        return FRONT, front
    return RIGHT, frozenset(i for i in faces if placed[i].box.x + placed[i].box.dx == right and _thin(placed[i], "x"))


def _thin(placed: Placed, axis: str) -> bool:
    sizes = {"x": placed.box.dx, "y": placed.box.dy, "z": placed.box.dz}
    return sizes[axis] == min(sizes.values())
