"""Attitudes: which frames of a case stand as they hang, and which on their side."""

from itertools import pairwise, product

from nesting.crates.cases.case_cushion import crossing
from nesting.crates.model import Box, Crate, Size
from nesting.crates.traits import Casing

_CROSSINGS = 4
"""Fewest places in which the slats of neighbours cross where one of them is turned."""

Turned = tuple[bool, ...]


def turned_size(size: Size) -> Size:
    """Return an outside turned on its side."""
    return Size(size.height, size.width, size.depth)


def ways(casing: Casing) -> tuple[Turned, ...]:
    """Return every way in which the frames may stand and bear on each other, the best by their sizes alone first.

    The smallest front decides, then the lower case, then as many frames as may be as they hang. Neighbours of which
    one alone is turned bear on each other where their slats cross, which must be in four places at least.
    """
    each = [(False, True) if artwork.turn else (False,) for artwork in casing.artworks]

    def cost(turned: Turned) -> tuple[int, int, int, Turned]:
        sizes = standing(casing.frames, turned)
        wide, high = max(size.width for size in sizes), max(size.height for size in sizes)
        return wide * high, high, sum(turned), turned

    if not any(artwork.turn for artwork in casing.artworks):
        return ((False,) * len(casing.frames),)
    return tuple(sorted((turned for turned in product(*each) if _bear(casing, turned)), key=cost))


def standing(frames: tuple[Crate, ...], turned: Turned) -> tuple[Size, ...]:
    """Return each frame's outside as it stands."""
    return tuple(
        turned_size(frame.outside) if on_side else frame.outside for frame, on_side in zip(frames, turned, strict=True)
    )


def _bear(casing: Casing, turned: Turned) -> bool:
    """Whether all neighbours bear on each other well."""
    for (one, on_side), (other, other_on_side) in pairwise(zip(casing.frames, turned, strict=True)):
        if on_side != other_on_side:
            front = [slat for slat in standing_slats(one, turned=on_side) if slat.z > 0]
            back = [slat for slat in standing_slats(other, turned=other_on_side) if slat.z == 0]
            if sum(crossing(a, b) is not None for a in front for b in back) < _CROSSINGS:
                return False
    return True


def standing_slats(frame: Crate, *, turned: bool) -> list[Box]:
    """Return the slats of a frame as it stands, from its own lower left corner."""
    return [stand(placed.box, frame.outside, turned=turned) for placed in frame.placed if placed.role == "slat"]


def stand(box: Box, frame: Size, *, turned: bool) -> Box:
    """Return where a box of a frame is when the frame stands as it hangs, or on its side, turned to the right."""
    if not turned:
        return box
    return Box(box.y, frame.width - box.x - box.dx, box.z, box.dy, box.dx, box.dz)
