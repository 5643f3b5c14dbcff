"""Battens: the strips on the outside of a face that keep it from bending, and those that cover its seams.

A rectangle runs all the way round, the long pieces full length. Seam battens stand inside it, those of the seams right
across first. They leave cells; in each cell crosspieces run from side to side, one under every row of mounting screws,
and uprights stand between them, so that no two battens stand further apart than the shop's spacing and no face has an
unstiffened middle. Pieces butt and never overlap.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from nesting.crates.bench import Bench
from nesting.crates.model import Box, Role
from nesting.crates.shells.frame import longest_strip, splice
from nesting.crates.shells.mounting import screw_edge
from nesting.crates.shells.seams import Interval, Pattern, Rect, Seam, divisions
from nesting.shop.house_rules import BattenRules
from nesting.shop.shop import Shop


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
class _Cell:
    """A part of the face between battens, with the centre lines of the battens round it."""

    rect: Rect
    left: int
    right: int
    bottom: int
    top: int


@dataclass(frozen=True, slots=True)
class Grid:
    """All battens of one face, and the seams under them."""

    battens: tuple[Batten, ...]
    seams: tuple[Seam, ...] = ()

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

    def breaks(self, y: int, margin: int) -> tuple[Interval, ...]:
        """Return the stretches of a level line where no mounting screw may go: seams, their battens and joints."""
        zones = [(s.at - margin, s.at + margin) for s in self.seams if s.runs == "y" and s.start <= y <= s.end]
        for b in self.battens:
            r = b.rect
            if not r.y <= y <= r.y + r.dy:
                continue
            if b.role == "seam batten":
                zones.append((r.x - margin, r.x + r.dx + margin))
            else:
                zones += [(r.x - margin, r.x + margin), (r.x + r.dx - margin, r.x + r.dx + margin)]
        return tuple(sorted(zones))


def grid_for(pattern: Pattern, width: int, height: int, lines: Sequence[int], shop: Shop) -> Grid:
    """Lay battens on a face.

    Parameters
    ----------
    pattern : Pattern
        Its panels and seams.
    width, height : int
        The face.
    lines : sequence of int
        Heights of the rows of mounting screws; each gets a crosspiece centred on it where there is room.
    shop : Shop
        Rules and stock lengths.
    """
    rules = shop.battens
    low = _edge_width(lines, rules.width, screw_edge(shop))
    high = _edge_width([height - line for line in lines], rules.width, screw_edge(shop))
    made = [*_perimeter(width, height, rules.width, low, high)]
    seams, cells = _seam_battens(pattern, (width, height), rules, low, high)
    made += seams
    for cell in cells:
        made += _fill(cell, lines, shop)
    long_plain, long_seam = longest_strip(rules.good, shop), longest_strip(rules.seam_good, shop)
    cut: list[Batten] = []
    for batten in made:
        cut += _to_stock(batten, long_seam if batten.role == "seam batten" else long_plain, pattern.seams, shop)
    return Grid(tuple(cut), pattern.seams)


def _edge_width(lines: Sequence[int], width: int, edge: int) -> int:
    """Return the width of a level perimeter batten: wider where a row of screws lies near its inner edge."""
    for line in sorted(lines):
        # Widened for one row, its new edge may come too near the next one.
        if width - edge < line < width + edge:
            width = line + edge
    return width


def _perimeter(width: int, height: int, b: int, low: int, high: int) -> list[Batten]:
    """Lay the rectangle all the way round; ``low`` and ``high`` are the widths of its lower and upper pieces."""
    if width >= height:
        long = [Rect(0, 0, width, low), Rect(0, height - high, width, high)]
        short = [Rect(x, low, b, height - low - high) for x in (0, width - b)]
        runs = ("x", "y")
    else:
        long = [Rect(x, 0, b, height) for x in (0, width - b)]
        short = [Rect(b, 0, width - 2 * b, low), Rect(b, height - high, width - 2 * b, high)]
        runs = ("y", "x")
    return [
        *(Batten("batten-long", "batten", rect, runs[0]) for rect in long),
        *(Batten("batten-short", "batten", rect, runs[1]) for rect in short),
    ]


def _seam_battens(
    pattern: Pattern, face: tuple[int, int], rules: BattenRules, lower: int, upper: int
) -> tuple[list[Batten], list[_Cell]]:
    """Lay the battens over the seams, and return the cells that they leave."""
    width, height = face
    b, broad = rules.width, rules.seam_width
    half = broad // 2
    if not pattern.seams:
        whole = Rect(b, lower, width - 2 * b, height - lower - upper)
        return [], [_Cell(whole, b // 2, width - b // 2, lower // 2, height - upper // 2)]
    rows = pattern.seams[0].runs == "x" and pattern.seams[0].end == width
    # Worked out with rows; for columns first, the face is looked at with x and y exchanged.
    along, across = (width, height) if rows else (height, width)
    near, far = (lower, upper) if rows else (b, b)
    left_b, right_b = (b, b) if rows else (lower, upper)
    way = pattern.seams[0].runs
    first = [s for s in pattern.seams if s.runs == way]
    battens = [_seam(left_b, s.at - half, along - left_b - right_b, broad, turned=not rows) for s in first]
    edges = [(near, near // 2), *((s.at, s.at) for s in first), (across - far, across - far // 2)]
    cells: list[_Cell] = []
    for number, ((low, low_line), (high, high_line)) in enumerate(pairwise(edges)):
        start = low if number == 0 else low - half + broad
        end = high if number == len(edges) - 2 else high - half
        inner = [s for s in pattern.seams if s.runs != way and low_line <= (s.start + s.end) // 2 <= high_line]
        battens += [_seam(s.at - half, start, broad, end - start, turned=not rows) for s in inner]
        sides = [
            (left_b, left_b // 2),
            *((s.at, s.at) for s in inner),
            (along - right_b, along - right_b // 2),
        ]
        for place, ((left, left_line), (right, right_line)) in enumerate(pairwise(sides)):
            x0 = left if place == 0 else left - half + broad
            x1 = right if place == len(sides) - 2 else right - half
            rect = Rect(x0, start, x1 - x0, end - start)
            if rows:
                cells.append(_Cell(rect, left_line, right_line, low_line, high_line))
            else:
                cells.append(_Cell(_turned(rect), low_line, high_line, left_line, right_line))
    return battens, cells


def _turned(rect: Rect) -> Rect:
    """Return the rectangle with x and y exchanged."""
    return Rect(rect.y, rect.x, rect.dy, rect.dx)


def _seam(x: int, y: int, dx: int, dy: int, *, turned: bool) -> Batten:
    rect = Rect(x, y, dx, dy)
    rect = _turned(rect) if turned else rect
    return Batten("seam-batten", "seam batten", rect, "x" if rect.dx >= rect.dy else "y")


def _fill(cell: _Cell, lines: Sequence[int], shop: Shop) -> list[Batten]:
    """Lay crosspieces and uprights in one cell."""
    rules, snap = shop.battens, shop.joinery.snap
    r, b = cell.rect, rules.width
    low, high = r.y, r.y + r.dy
    bands = _bands(lines, low, high, b)
    centres = [cell.bottom, *((a + z) // 2 for a, z in bands), cell.top]
    for one, next_ in pairwise(centres):
        bands += [(at - b // 2, at - b // 2 + b) for at in _between(one, next_, rules.spacing, snap)]
    if not bands and r.dy >= 2 * b:
        at = (cell.bottom + cell.top) // 2 // snap * snap
        bands.append((at - b // 2, at - b // 2 + b))
    bands = sorted(band for band in bands if low <= band[0] and band[1] <= high)
    made = [Batten("crosspiece", "batten", Rect(r.x, a, r.dx, z - a), "x") for a, z in bands]
    columns = [at - b // 2 for at in _between(cell.left, cell.right, rules.spacing, snap)]
    if not columns and r.dx >= 2 * b:
        columns = [(cell.left + cell.right) // 2 // snap * snap - b // 2]
    open_ = [(a, z) for a, z in pairwise([low, *(v for band in bands for v in band), high])][::2]
    for x in columns:
        if r.x <= x and x + b <= r.x + r.dx:
            # Between crosspieces closer than a batten's width the face is stiff, and a block so short unsafe to saw.
            made += [Batten("upright", "batten", Rect(x, a, b, z - a), "y") for a, z in open_ if z - a >= b]
    return made


def _bands(lines: Iterable[int], low: int, high: int, b: int) -> list[Interval]:
    """Return where crosspieces lie under rows of screws: as wide as a batten, joined where they would overlap."""
    bands: list[Interval] = []
    for line in sorted(set(lines)):
        if not low < line < high:
            continue
        a, z = max(low, line - b // 2), min(high, line - b // 2 + b)
        if bands and a < bands[-1][1]:
            bands[-1] = (bands[-1][0], z)
        else:
            bands.append((a, z))
    return bands


def _between(low: int, high: int, spacing: int, snap: int) -> list[int]:
    """Return evenly set centre lines between two others, so that no gap is wider than the spacing."""
    count = -(-(high - low) // spacing) - 1
    at = [low + (high - low) * k // (count + 1) // snap * snap for k in range(1, count + 1)]
    if count > 0 and max(z - a for a, z in pairwise([low, *at, high])) > spacing:
        # Setting to the step opened the last gap beyond the rule: one more batten closes it.
        return [low + (high - low) * k // (count + 2) // snap * snap for k in range(1, count + 2)]
    return at


def _to_stock(batten: Batten, longest: int, seams: Sequence[Seam], shop: Shop) -> list[Batten]:
    """Cut a batten that is longer than the stock into pieces that butt, away from the seams that it crosses."""
    r = batten.rect
    start, length = (r.x, r.dx) if batten.runs == "x" else (r.y, r.dy)
    if length <= longest:
        return [batten]
    reach = shop.battens.seam_width // 2 + 1
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
    rules, shop = bench.shop.battens, bench.shop
    for batten in grid.battens:
        seam = batten.role == "seam batten"
        good = rules.seam_good if seam else rules.good
        t = shop.good(good).thickness
        r = batten.rect
        box = Box(r.x, r.y, face if outwards > 0 else face - t, r.dx, r.dy, t)
        along = "x" if batten.runs == "x" else "y"
        bench.panel(f"{prefix}-{batten.name}", good, box, batten.role, flat="z", along=along)  # type: ignore[arg-type]  # literals
