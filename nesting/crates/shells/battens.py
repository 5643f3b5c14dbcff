"""Battens: the strips on the outside of a face that carry it from side to side and cover its seams.

The battens of a face run one way, unbroken from edge to edge over the frame, so that they end on its strips. Seams that
run the same way lie under battens of their own among them; what lies across, over other seams or under rows of
mounting screws, butts between them. All battens of one face are of one thickness, and there are two at the least, so
that the crate lies flat. Nothing overlaps.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from nesting.base.own_length import whole
from nesting.crates.bench import Bench
from nesting.crates.model import Box, Role
from nesting.crates.shells.seams import Interval, Pattern, Rect, Seam, divisions
from nesting.crates.splices import longest_strip, splice
from nesting.shop.goods import Good
from nesting.shop.shop import Shop

Runs = Literal["x", "y"]

FEWEST: Final = 2
"""Battens that a face needs to lie flat."""


@dataclass(frozen=True, slots=True)
class Batten:
    """One batten on a face; ``runs`` is the way of its length."""

    name: str
    role: Role
    rect: Rect
    runs: str

    def covers(self, y: int) -> bool:
        """Whether it lies over a level line."""
        return self.rect.y < y < self.rect.y + self.rect.dy


@dataclass(frozen=True, slots=True)
class Lay:
    """Where battens are wanted on a face.

    Attributes
    ----------
    runs : {"x", "y"}
        Which way they run.
    at : tuple of int
        Centre lines of those over no seam, across the face from its left or lower edge.
    width : int
        Of one.
    good : Good
        What all of them are ripped from.
    rows : tuple of int
        Heights of rows of screws that get a crosspiece between battens that run up; empty for none.
    beside : bool
        Whether level battens lie beside the rows, so that mounting screws go through the bare face.
    """

    runs: Runs
    at: tuple[int, ...]
    width: int
    good: Good
    rows: tuple[int, ...] = ()
    beside: bool = False

    @property
    def through(self) -> bool:
        """Whether mounting screws go through battens."""
        return bool(self.rows) or (self.runs == "x" and not self.beside)


@dataclass(frozen=True, slots=True)
class Grid:
    """All battens of one face, the seams under them, and what they are of."""

    battens: tuple[Batten, ...]
    seams: tuple[Seam, ...] = ()
    good: Good | None = None

    def of(self, role: Role) -> tuple[Batten, ...]:
        """Return the battens of a role."""
        return tuple(b for b in self.battens if b.role == role)

    def at(self, x: int, y: int) -> Batten | None:
        """Return the batten that covers a point, its edges included, or None."""
        for b in self.battens:
            r = b.rect
            if r.x <= x <= r.x + r.dx and r.y <= y <= r.y + r.dy:
                return b
        return None

    def breaks(self, y: int, edge: int, beside: int) -> tuple[Interval, ...]:
        """Return the stretches of a level line where no mounting screw may go.

        Parameters
        ----------
        edge : int
            What a screw keeps from joints and seams where it goes through battens.
        beside : int
            What it keeps from battens where it goes through the bare face.
        """
        zones = [(s.at - edge, s.at + edge) for s in self.seams if s.runs == "y" and s.start <= y <= s.end]
        through = any(b.covers(y) and b.runs == "x" for b in self.battens)
        for b in self.battens:
            r = b.rect
            if not r.y <= y <= r.y + r.dy:
                continue
            if b.role == "seam batten" and through:
                zones.append((r.x - edge, r.x + r.dx + edge))
            elif through:
                zones += [(r.x - edge, r.x + edge), (r.x + r.dx - edge, r.x + r.dx + edge)]
            else:
                zones.append((r.x - beside, r.x + r.dx + beside))
        return tuple(sorted(zones))


def set_out(across: int, frame: int, seams: Sequence[int], extra: int, width: int, shop: Shop) -> tuple[int, ...]:
    """Return centre lines of so many battens beside those over seams, each in the widest opening that is left.

    Parameters
    ----------
    across : int
        The face across the battens.
    frame : int
        Thickness of the frame's strips, which bound the outer openings.
    seams : sequence of int
        Centre lines of seams that run with the battens.
    """
    half, snap = shop.whole(shop.battens.seam_width // 2), shop.joinery.snap
    edges = [
        frame,
        *(v for at in sorted(seams) for v in (at - half, at - half + shop.battens.seam_width)),
        across - frame,
    ]
    openings = list(zip(edges[::2], edges[1::2], strict=True))
    counts = [0] * len(openings)
    for _ in range(extra):
        n = max(range(len(openings)), key=lambda i: (_gap(openings[i], counts[i], width), -i))
        counts[n] += 1
    made = []
    for (low, high), count in zip(openings, counts, strict=True):
        gap = (high - low - count * width) / (count + 1)
        made += [int(low + (k + 1) * gap + k * width + width / 2) // snap * snap for k in range(count)]
    return tuple(made)


def _gap(opening: Interval, count: int, width: int) -> float:
    return (opening[1] - opening[0] - count * width) / (count + 1)


def open_most(across: int, frame: int, bands: Iterable[Interval]) -> int:
    """Return the widest opening between battens, or a batten and the frame."""
    edges = [(0, frame), *sorted(bands), (across - frame, across)]
    return max((b[0] - a[1] for a, b in pairwise(edges)), default=0)


def bands_of(lay: Lay, pattern: Pattern, shop: Shop) -> list[Interval]:
    """Return what the battens of a lay take across their way, those over seams included."""
    half, own = shop.whole(shop.battens.seam_width // 2), shop.whole(lay.width // 2)
    over = {s.at for s in pattern.seams if s.runs == lay.runs}
    return sorted(
        [(at - half, at - half + shop.battens.seam_width) for at in over]
        + [(at - own, at - own + lay.width) for at in lay.at]
    )


def fits(lay: Lay, pattern: Pattern, across: int, shop: Shop) -> bool:
    """Whether the battens of a lay find room beside each other, and those across between the seams across."""
    bands = bands_of(lay, pattern, shop)
    half = shop.whole_up(shop.battens.seam_width // 2)
    seams = [(s.at - half, s.at + half) for s in pattern.seams if s.runs != lay.runs]
    rows = joined(lay.rows, lay.width, shop.grain)
    return (
        all(low >= 0 and high <= across for low, high in bands)
        and all(a[1] <= b[0] for a, b in pairwise(bands))
        and not any(low < z and a < high for a, z in rows for low, high in seams)
    )


def joined(lines: Iterable[int], width: int, grain: int = 1) -> list[Interval]:
    """Return bands of a width over lines, those that would overlap as one; half of it is set to the grain."""
    made: list[Interval] = []
    half = whole(width // 2, grain)
    for line in sorted(set(lines)):
        low, high = line - half, line - half + width
        if made and low < made[-1][1]:
            made[-1] = (made[-1][0], high)
        else:
            made.append((low, high))
    return made


def longest_batten(good: Good, shop: Shop) -> int:
    """Return the longest batten that is in one piece."""
    return longest_strip(good.good, shop)


def grid_for(pattern: Pattern, width: int, height: int, lay: Lay, shop: Shop) -> Grid:
    """Lay battens on a face.

    Parameters
    ----------
    pattern : Pattern
        Its panels and seams.
    width, height : int
        The face.
    lay : Lay
        What is wanted beside the battens over its seams.
    """
    up = lay.runs == "y"
    along, across = (height, width) if up else (width, height)
    over = {s.at for s in pattern.seams if s.runs == lay.runs}
    half, broad = shop.whole(shop.battens.seam_width // 2), shop.battens.seam_width
    made: list[tuple[str, Role, Interval, Interval, bool]] = [
        ("seam-batten", "seam batten", (at - half, at - half + broad), (0, along), True) for at in sorted(over)
    ]
    name = "upright" if up else "crosspiece"
    own = shop.whole(lay.width // 2)
    made += [(name, "batten", (at - own, at - own + lay.width), (0, along), True) for at in lay.at]
    bands = bands_of(lay, pattern, shop)
    for seam in pattern.seams:
        if seam.runs != lay.runs:
            for low, high in _between(seam.start, seam.end, bands):
                made.append(
                    ("seam-batten", "seam batten", (low, high), (seam.at - half, seam.at - half + broad), False)
                )
    for row in joined(lay.rows, lay.width, shop.grain):
        made += [("crosspiece", "batten", part, row, False) for part in _between(0, across, bands)]
    cut: list[Batten] = []
    longest = longest_batten(lay.good, shop)
    for label, role, (a, z), (b, y), with_lay in made:
        rect = Rect(a, b, z - a, y - b) if up else Rect(b, a, y - b, z - a)
        runs = lay.runs if with_lay else "x" if up else "y"
        cut += _to_stock(Batten(label, role, rect, runs), longest, pattern.seams, shop)
    return Grid(tuple(cut), pattern.seams, lay.good)


def _between(start: int, end: int, bands: Sequence[Interval]) -> list[Interval]:
    """Return what bands leave of a stretch."""
    made, at = [], start
    for low, high in bands:
        if high <= start or low >= end:
            continue
        if low > at:
            made.append((at, low))
        at = max(at, high)
    return [*made, (at, end)] if at < end else made


def _to_stock(batten: Batten, longest: int, seams: Sequence[Seam], shop: Shop) -> list[Batten]:
    """Cut a batten that is longer than the stock into pieces that butt, away from the seams that it crosses."""
    r = batten.rect
    start, length = (r.x, r.dx) if batten.runs == "x" else (r.y, r.dy)
    if length <= longest:
        return [batten]
    reach = shop.whole_up(shop.battens.seam_width // 2 + 1)
    zones = [(s.at - start - reach, s.at - start + reach) for s in seams if s.runs != batten.runs]
    snap = shop.joinery.snap
    joints = next(divisions(length, longest, shop.battens.seam_width, snap, zones), None)
    ends = [0, *(splice(length, longest, snap) if joints is None else joints), length]
    rects = [
        Rect(r.x + a, r.y, z - a, r.dy) if batten.runs == "x" else Rect(r.x, r.y + a, r.dx, z - a)
        for a, z in pairwise(ends)
    ]
    return [Batten(batten.name, batten.role, rect, batten.runs) for rect in rects]


def place_grid(bench: Bench, grid: Grid, prefix: str, face: int, *, outwards: int) -> None:
    """Put battens on a bench.

    Parameters
    ----------
    prefix : str
        ``"back"`` or ``"lid"``, before each part's name.
    face : int
        z of the face's outside, where the battens lie.
    outwards : int
        1 where the outside is towards the front (a lid), -1 for a back.
    """
    if grid.good is None:
        return
    t = grid.good.thickness
    for batten in grid.battens:
        r = batten.rect
        box = Box(r.x, r.y, face if outwards > 0 else face - t, r.dx, r.dy, t)
        along = "x" if batten.runs == "x" else "y"
        bench.panel(f"{prefix}-{batten.name}", grid.good.good, box, batten.role, flat="z", along=along)  # type: ignore[arg-type]  # literals
