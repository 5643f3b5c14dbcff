"""Members: the lumber of a case, sawn or laminated from plywood, spliced where it is longer than the stock."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from nesting.crates.bench import Axis, Bench, extent
from nesting.crates.model import Box, Role
from nesting.crates.splices import longest_strip, splice
from nesting.shop.shop import Shop

Interval = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Section:
    """What a member is made of.

    Attributes
    ----------
    good : str
        Lumber, or the plywood that it is laminated from.
    thick, breadth : int
        Its section.
    plies : int
        How many strips are laminated; 0 for sawn lumber.
    longest : int
        Longest piece in one length.
    """

    good: str
    thick: int
    breadth: int
    plies: int
    longest: int


def section_of(lumber: str, shop: Shop, *, laminated: bool) -> Section:
    """Return the section of a lumber good, or of plywood strips glued up to about its thickness."""
    sawn = shop.good(lumber)
    if not laminated:
        return Section(lumber, sawn.thickness, sawn.breadth, 0, max(size.length for size in sawn.sizes))
    ply = shop.good(shop.case.laminate_good)
    plies = max(1, (2 * sawn.thickness + ply.thickness) // (2 * ply.thickness))
    return Section(ply.good, plies * ply.thickness, sawn.breadth, plies, longest_strip(ply.good, shop))


def part_of(box: Box, axis: Axis, start: int, length: int) -> Box:
    """Return the part of a box between two places along an axis, counted from its lower corner."""
    at = {"x": box.x, "y": box.y, "z": box.z}
    by = {"x": box.dx, "y": box.dy, "z": box.dz}
    at[axis] += start
    by[axis] = length
    return Box(at["x"], at["y"], at["z"], by["x"], by["y"], by["z"])


@dataclass(slots=True)
class Lumber:
    """Members as they are put on the bench; remembers where they are, what is glued and how often they are spliced."""

    bench: Bench
    section: Section
    boxes: list[Box] = field(default_factory=list)
    splices: int = 0
    glued: int = 0

    # arguments: where a member lies and which way, by keyword
    def put(
        self,
        name: str,
        box: Box,
        *,
        along: Axis,
        flat: Axis,
        role: Role = "case lumber",
        inner: Literal[1, -1] = 1,
        avoid: Sequence[Interval] = (),
    ) -> None:
        """Put down a member.

        Parameters
        ----------
        box : Box
            Its extent along ``flat`` is the section's thickness.
        along : {"x", "y", "z"}
            Which way it runs.
        flat : {"x", "y", "z"}
            Across its broad faces.
        inner : {1, -1}
            On which side of ``flat`` the inside of the case is, for the gusset of a splice.
        avoid : sequence of (int, int)
            Stretches along the member, from its start, where other lumber leaves no room for a gusset.
        """
        self.boxes.append(box)
        if self.section.plies:
            self._laminate(name, box, along, flat, role)
            return
        length = extent(box, along)
        joints = self._joints(length, avoid)
        for start, end in pairwise([0, *joints, length]):
            self.bench.stick(name, self.section.good, part_of(box, along, start, end - start), role, along=along)
        if joints:
            self._gussets(box, along, flat, joints, inner)

    def _joints(self, length: int, avoid: Sequence[Interval]) -> list[int]:
        """Return where a sawn member is spliced: in equal pieces, moved aside where a gusset would be in the way."""
        joinery = self.bench.shop.joinery
        half = self.bench.shop.whole(joinery.gusset_length // 2)
        joints = splice(length, self.section.longest, joinery.snap)
        for number, at in enumerate(joints):
            places = [at, *(edge for low, high in avoid for edge in (low - half, high + half))]
            before = joints[number - 1] if number else 0
            after = joints[number + 1] if number + 1 < len(joints) else length
            free = [
                place
                for place in places
                if before + 2 * half <= place <= after - 2 * half
                and max(place - before, after - place) <= self.section.longest
                and all(place + half <= low or high <= place - half for low, high in avoid)
            ]
            joints[number] = min(free, key=lambda place: (abs(place - at), place), default=at)
        return joints

    def _laminate(self, name: str, box: Box, along: Axis, flat: Axis, role: Role) -> None:
        """Glue up a member of plywood strips; their joints are staggered, so that no gusset is needed."""
        length, thick = extent(box, along), self.section.thick // self.section.plies
        count, whole = -(-length // self.section.longest), self.bench.shop.whole
        for ply in range(self.section.plies):
            strip = part_of(box, flat, ply * thick, thick)
            joints = [whole(length * k // count) for k in range(1, count)]
            if ply % 2 and count > 1:
                joints = [whole(length * (2 * k + 1) // (2 * count)) for k in range(count)]
            for start, end in pairwise([0, *joints, length]):
                piece = part_of(strip, along, start, end - start)
                self.bench.panel(name, self.section.good, piece, role, flat=flat, along=along)
        self.splices += count - 1
        self.glued += (self.section.plies - 1) * length * self.section.breadth

    def _gussets(self, box: Box, along: Axis, flat: Axis, joints: Sequence[int], inner: Literal[1, -1]) -> None:
        """Put a plate over each splice, on the inner broad face."""
        shop = self.bench.shop
        plate = shop.good(shop.joinery.block_good)
        half = shop.whole(shop.joinery.gusset_length // 2)
        face = extent(box, flat) if inner == 1 else -plate.thickness
        for at in joints:
            over = part_of(part_of(box, along, at - half, 2 * half), flat, face, plate.thickness)
            self.bench.panel("splice-plate", plate.good, over, "gusset", flat=flat, along=along)
            self.boxes.append(over)
            self.splices += 1
            self.glued += 2 * half * self.section.breadth
