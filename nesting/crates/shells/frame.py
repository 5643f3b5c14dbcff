"""The plywood frame: strips that stand in for boards, round a piece with its clearance, spliced where they are long.

Its outside is the piece and a fixed amount more (common practice, no source), so the clearance follows from the real
thickness of the strips. Rails and stiles meet as the shop's rule says; corners are glued to blocks, because a screw
into a plywood edge counts nothing in withdrawal.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from nesting.base.measure import UnitSystem, format_length
from nesting.crates.bench import Axis, Bench
from nesting.crates.model import Box, Role, Size
from nesting.crates.splices import longest_strip, splice
from nesting.crates.traits import Packing, RulesClash
from nesting.shop.goods import Good
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Member:
    """One part of a frame, in the frame's own coordinates (z from the back edge of the strips)."""

    name: str
    role: Role
    good: str
    box: Box
    flat: Axis
    along: Axis


@dataclass(frozen=True, slots=True)
class Frame:
    """A frame with its corner blocks and gussets.

    Attributes
    ----------
    width, height : int
        Outside.
    strip : int
        Width of the strips, which is the depth of the frame.
    thickness : int
        Real thickness of the strips.
    border : int
        From the frame's outside to the piece, each side.
    members : tuple of Member
        Rails, stiles, gussets over their joints, corner blocks, and a ledge for a bolted lid where it has one.
    ledge : int
        Depth of that ledge at the front; what else lies inside stops short of it.
    """

    width: int
    height: int
    strip: int
    thickness: int
    border: int
    members: tuple[Member, ...]
    ledge: int = 0

    @property
    def lined(self) -> int:
        """Depth from the back edge of the strips to the ledge, or to their front edge where there is none."""
        return self.strip - self.ledge

    @property
    def clear(self) -> int:
        """Free space between the piece and the strips, each side."""
        return self.border - self.thickness

    @property
    def inside(self) -> Size:
        """Free room between the strips."""
        return Size(self.width - 2 * self.thickness, self.height - 2 * self.thickness, self.strip)

    def of(self, *roles: Role) -> tuple[Member, ...]:
        """Return the members of these roles."""
        return tuple(member for member in self.members if member.role in roles)

    def place(self, bench: Bench, z: int) -> None:
        """Put the frame on a bench with the back edge of its strips at ``z``."""
        for m in self.members:
            b = m.box
            at = Box(b.x, b.y, b.z + z, b.dx, b.dy, b.dz)
            bench.panel(m.name, m.good, at, m.role, flat=m.flat, along=m.along)


def framed(packing: Packing) -> Packing:
    """Return a packing whose rule for its frame is what was chosen for it, as far as the shop's rules let it go."""
    rules, chosen = packing.shop.frame, packing.shell.larger_by
    least = rules.larger_by - rules.smaller_by
    if not max(1, least) <= chosen < rules.larger_by:
        return packing
    return replace(
        packing, shop=replace(packing.shop, frame=replace(rules, larger_by=chosen, smaller_by=chosen - least))
    )


def strip_width(width: int, height: int, depth: int, shop: Shop, *, behind: int) -> int:
    """Return the width of the frame strips for a piece, before any face is laid on.

    Parameters
    ----------
    width, height, depth : int
        The piece, or the pieces of a set together.
    behind : int
        What lies between the back edge of the strips and the piece: the cleat.

    Returns
    -------
    int
        Depth, cleat and room in front, at least the least strip, up to the next step.
    """
    rules = shop.frame
    room = rules.depth_over if max(width, height) <= rules.large_from else rules.depth_over_large
    wanted = max(depth + behind + room, rules.strip_least)
    return -(-wanted // rules.strip_step) * rules.strip_step


def frame_for(width: int, height: int, depth: int, shop: Shop, units: UnitSystem, *, behind: int) -> Frame:
    """Work out the frame of a piece.

    Parameters
    ----------
    width, height, depth : int
        The piece (or the pieces of a set together), exact grid.
    units : {"inch", "metric"}
        How messages write lengths.
    behind : int
        What lies between the back edge of the strips and the piece.

    Returns
    -------
    Frame

    Raises
    ------
    RulesClash
        If the rules leave less clearance than the liner is thick, or corner blocks thicker than the liner, or if no
        sheet gives a strip so long or so wide.
    """
    rules, joinery = shop.frame, shop.joinery
    t = shop.good(rules.frame_good).thickness
    border = rules.larger_by // 2
    liner = shop.good(rules.liner_good).thickness
    block = shop.good(joinery.block_good).thickness
    if border - t < liner:
        clear, needed, larger = (format_length(v, units, mark=True) for v in (border - t, liner, rules.larger_by))
        raise RulesClash(
            f"frame.larger_by = {larger} leaves {clear} clear a side, less than the liner ({needed})",
            f"frame.larger_by of {format_length(2 * (t + liner), units, mark=True)} or more, or a thinner liner",
        )
    if block > liner:
        raise RulesClash(
            f"corner blocks of {joinery.block_good} are thicker than the liner of {rules.liner_good}",
            "joinery.block_good no thicker than frame.liner_good",
        )
    if longest_strip(rules.frame_good, shop) < joinery.gusset_length:
        raise RulesClash(
            f"sheets of {rules.frame_good} are too short for strips, once trimmed", "longer sheets, or less trim"
        )
    w, h = width + 2 * border, height + 2 * border
    strip = strip_width(width, height, depth, shop, behind=behind)
    if strip > (widest := widest_strip(rules.frame_good, shop)):
        needed, deep, most = (format_length(v, units, mark=True) for v in (strip, depth, widest))
        raise RulesClash(
            f"frame strips {needed} wide for a piece {deep} deep, and sheets of {rules.frame_good} give {most}",
            "a thinner piece, or a wider sheet",
        )
    through = rules.rails_run_through
    members: list[Member] = []
    rail = (0, w) if through else (t, w - 2 * t)
    stile = (t, h - 2 * t) if through else (0, h)
    members += _side("rail", "x", rail, (0, t), strip, shop)
    members += _side("rail", "x", rail, (h - t, h - t - block), strip, shop)
    members += _side("stile", "y", stile, (0, t), strip, shop)
    members += _side("stile", "y", stile, (w - t, w - t - block), strip, shop)
    leg = min(joinery.corner_leg, shop.whole((h - 2 * t) // 2))
    for x in (t, w - t - block):
        for y in (t, h - t - leg):
            box = Box(x, y, 0, block, leg, strip)
            members.append(Member("corner-block", "corner block", joinery.block_good, box, "x", "z"))
    return Frame(w, h, strip, t, border, tuple(members))


def with_ledge(frame: Frame, wide: int, shop: Shop) -> Frame:
    """Put a ring inside a frame at its front edge, flat under the lid; blocks and gussets stop short of it.

    Parameters
    ----------
    wide : int
        How far it reaches into the opening.
    """
    good = shop.good(shop.joinery.block_good)
    deep, t, z = good.thickness, frame.thickness, frame.strip - good.thickness
    inner = [
        replace(m, box=replace(m.box, dz=m.box.dz - deep)) if m.role in ("corner block", "gusset") else m
        for m in frame.members
    ]
    longest, aside = longest_strip(good.good, shop), shop.joinery.gusset_length

    def strips(along: Axis, run: tuple[int, int], across: int) -> Iterator[Member]:
        start, length = run
        ends = [0, *_staggered(splice(length, longest, shop.joinery.snap), length, longest, aside), length]
        for a, b in pairwise(ends):
            box = (
                Box(start + a, across, z, b - a, wide, deep)
                if along == "x"
                else Box(across, start + a, z, wide, b - a, deep)
            )
            yield Member("lid-ledge", "lid ledge", good.good, box, "z", along)

    level, upright = (t, frame.width - 2 * t), (t + wide, frame.height - 2 * t - 2 * wide)
    ring = [
        *(m for y in (t, frame.height - t - wide) for m in strips("x", level, y)),
        *(m for x in (t, frame.width - t - wide) for m in strips("y", upright, x)),
    ]
    return replace(frame, members=(*inner, *ring), ledge=deep)


def _staggered(joints: list[int], length: int, longest: int, aside: int) -> list[int]:
    """Return joints moved aside, where the stock is long enough, so that none lies over one of the frame's own."""
    moved = [at + aside for at in joints]
    return moved if all(0 < b - a <= longest for a, b in pairwise([0, *moved, length])) else joints


def _side(
    role: Role, along: Axis, run: tuple[int, int], begin: tuple[int, int], strip: int, shop: Shop
) -> Iterator[Member]:
    """Make one side of the frame: its strips end to end, and a gusset on the inner face over each joint.

    ``run`` is its start and length, ``begin`` where across it the strips begin, and where the gussets do.
    """
    good, plate = shop.good(shop.frame.frame_good), shop.good(shop.joinery.block_good)
    (start, length), (across, inner) = run, begin
    joints = splice(length, longest_strip(good.good, shop), shop.joinery.snap)
    for a, b in pairwise([0, *joints, length]):
        yield _strip(role, good, along, (start + a, b - a), (across, strip))
    half = shop.whole(shop.joinery.gusset_length // 2)
    for at in joints:
        yield _strip("gusset", plate, along, (start + at - half, 2 * half), (inner, strip))


def _strip(role: Role, good: Good, along: Axis, run: tuple[int, int], section: tuple[int, int]) -> Member:
    """Make one strip that runs along x or y, its width towards the front.

    ``run`` is its start and length, ``section`` where its thickness begins and how wide it is.
    """
    t = good.thickness
    (at, length), (across, wide) = run, section
    if along == "x":
        return Member(role, role, good.good, Box(at, across, 0, length, t, wide), "y", "x")
    return Member(role, role, good.good, Box(across, at, 0, t, length, wide), "x", "y")


def widest_strip(good: str, shop: Shop) -> int:
    """Return the widest strip that can be ripped from a stocked sheet of the good, trim taken off."""
    trim = shop.saw.trim_bottom + shop.saw.trim_top
    return max(size.width for size in shop.good(good).sizes) - trim
