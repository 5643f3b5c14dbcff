"""Seams: how a face larger than a sheet is made of panels, each seam on the centre line of a batten.

A face is first divided right across (by rows or by columns), then each strip may be divided once more the other way.
Among all such patterns whose panels fit a sheet, whose panels are not narrower than the shop allows and whose seams
keep clear of the mounting battens, the one is taken that needs the fewest sheets, then the fewest panels, then the
most even one. The count of sheets is that of a plain guillotine filling: good enough to compare patterns, not proven.
On a very large face there are more patterns than anybody would wait for: for each way of dividing, comparing ends after
a fixed number of steps (counted, so that the same face is always divided alike).

A face is not cut by itself: what is left of its sheets takes parts of other faces. :func:`patterns_for` gives a few
patterns that differ in what they leave, unequal panels among them, for whoever sees all parts of an order together.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain, islice, pairwise, product
from typing import Final, Literal, NamedTuple

from nesting.shop.goods import Good
from nesting.shop.house_rules import SawRules

Interval = tuple[int, int]

_MOST_STEPS: Final = 1_000_000
"""Steps of comparing patterns for each way of dividing; about a second. Faces up to 12 ft square need fewer."""
_MOST_MOVES: Final = 4096
"""Most combinations of moved cuts that are tried for one division: two places for each of twelve cuts."""
_MOST_PATTERNS: Final = 200
"""Patterns of each way of dividing that are looked at where several are wanted."""
_SHARES: Final = (2, 3, 4)
"""Into how many strips a side of a sheet is ripped for narrow panels, so that those of several faces share it."""


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle on a face, from its lower left corner (seen from the front)."""

    x: int
    y: int
    dx: int
    dy: int

    def __post_init__(self) -> None:
        if min(self.dx, self.dy) <= 0:
            raise ValueError(f"a rectangle must have extent both ways, not {self}")


@dataclass(frozen=True, slots=True)
class Seam:
    """A seam: ``runs`` along x or y, ``at`` its position across, from ``start`` to ``end``."""

    runs: Literal["x", "y"]
    at: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Pattern:
    """Panels of a face with the seam that each ends at, and the seams: those right across first."""

    panels: tuple[tuple[Rect, int | None], ...]
    seams: tuple[Seam, ...] = ()


@dataclass(frozen=True, slots=True)
class Stock:
    """Usable sheet sizes of a good: trim taken off.

    Attributes
    ----------
    sizes : tuple of (int, int)
        Longer and shorter side of each.
    kerf : int
        What the blade eats.
    under : int
        By how much the sides of a sheet that is bought may fall short of these sizes.
    """

    sizes: tuple[tuple[int, int], ...]
    kerf: int
    under: int = 0

    @classmethod
    def of(cls, good: Good, saw: SawRules) -> "Stock":
        """Take the sizes of a sheet good under the shop's saw rules."""
        sizes = (
            (s.length - saw.trim_left - saw.trim_right, s.width - saw.trim_bottom - saw.trim_top) for s in good.sizes
        )
        return cls(tuple((max(pair), min(pair)) for pair in sizes if min(pair) > 0), saw.kerf, good.under)

    @property
    def sure(self) -> "Stock":
        """The sizes that every sheet has, however short it was cut at the mill."""
        return Stock(tuple((a - self.under, b - self.under) for a, b in self.sizes), self.kerf)

    def fits(self, a: int, b: int) -> bool:
        """Whether a panel of these sides fits a sheet, either way round."""
        long, short = max(a, b), min(a, b)
        return any(long <= length and short <= width for length, width in self.sizes)

    def takes(self, a: int, b: int) -> int:
        """Return how many panels of these sides a sheet takes side by side, all turned alike; the most of any size."""
        return max(
            ((length + self.kerf) // (x + self.kerf)) * ((width + self.kerf) // (y + self.kerf))
            for length, width in self.sizes
            for x, y in ((a, b), (b, a))
        )

    def smallest(self, rect: Rect) -> int:
        """Return the area of the smallest sheet that takes a panel."""
        long, short = max(rect.dx, rect.dy), min(rect.dx, rect.dy)
        return min(length * width for length, width in self.sizes if long <= length and short <= width)

    def cap(self, across: int) -> int:
        """Return the greatest other side of a panel with one side given; 0 where none fits."""
        best = 0
        for length, width in self.sizes:
            if across <= width:
                best = max(best, length)
            elif across <= length:
                best = max(best, width)
        return best


@dataclass(frozen=True, slots=True)
class Dividing:
    """Where a face may be divided.

    Attributes
    ----------
    least : int
        Narrowest panel.
    snap : int
        Step to which seams are set.
    keep_clear : tuple of (int, int)
        Heights at which no seam may run across (mounting battens, joints of stiles), open intervals.
    keep_clear_x : tuple of (int, int)
        The same for upright seams (joints of rails).
    """

    least: int
    snap: int
    keep_clear: tuple[Interval, ...] = ()
    keep_clear_x: tuple[Interval, ...] = ()


@lru_cache(maxsize=4096)
def pattern_for(
    width: int, height: int, stock: Stock, dividing: Dividing, *, copies: int = 1, only: Literal["", "x", "y"] = ""
) -> Pattern | None:
    """Divide a face into panels.

    Parameters
    ----------
    width, height : int
        The face.
    stock : Stock
        Sheets.
    dividing : Dividing
        Where seams may be.
    copies : int
        How many equal faces are cut from the same sheets.
    only : {"", "x", "y"}
        Which way all seams run; either or both where empty.

    Returns
    -------
    Pattern or None
        One panel where a sheet takes the face; None where no pattern is allowed.
    """
    if stock.fits(width, height):
        return Pattern(((Rect(0, 0, width, height), None),))
    best: tuple[tuple[int, int, int, int], Pattern] | None = None
    for way in _ways((width, height), stock, dividing):
        steps = 0
        for draft in way:
            if steps > _MOST_STEPS:
                break
            if only and draft.runs - {only}:
                steps += 1
                continue
            count = draft.panels
            steps += count
            # Even if the sheets were filled to the last corner, this pattern could not do better: pass it over.
            bound = min(-(-copies * width * height // (a * b)) * a * b for a, b in stock.sizes)
            if best is not None and (bound, count) > best[0][:2]:
                continue
            steps += (count * copies) ** 2
            pattern = draft.made()
            score = _score(pattern, stock, copies)
            if best is None or score < best[0]:
                best = (score, pattern)
    return best[1] if best else None


@lru_cache(maxsize=4096)
def patterns_for(
    width: int, height: int, stock: Stock, dividing: Dividing, *, copies: int = 1, most: int = 8
) -> tuple[Pattern, ...]:
    """Divide a face into panels in several ways, which leave different rests of their sheets to other parts.

    After the first no panel needs more than every sheet of the good has (:attr:`Stock.sure`). Which of them is the best
    depends on what else is cut from the same sheets; each is the best by one of these: the shortest seams, the least
    area in panels that do not take a whole side of a sheet, seams the other way, the most even panels.

    Parameters
    ----------
    width, height, stock, dividing, copies
        As for :func:`pattern_for`.
    most : int
        How many, the first included.

    Returns
    -------
    tuple of Pattern
        The one of :func:`pattern_for` first, then others whose panels differ from those of all before; one where a
        sheet takes the face, none where no pattern is allowed.
    """
    first = pattern_for(width, height, stock, dividing, copies=copies)
    if first is None or not first.seams:
        return (first,) if first else ()
    sure = stock.sure
    found: dict[tuple[tuple[int, int], ...], Pattern] = {}
    for way in _ways((width, height), sure, dividing, uneven=True):
        for draft in islice(way, _MOST_PATTERNS):
            pattern = draft.made()
            known = found.get(sizes := _sizes(pattern))
            if known is None or _seam_run(pattern) < _seam_run(known):
                found[sizes] = pattern
    found.pop(_sizes(first), None)
    wanted = _by_each(found.values(), first, sure)
    return (first, *islice(wanted, most - 1))


def halved(pattern: Pattern, runs: Literal["x", "y"], at: int, stock: Stock, least: int) -> Pattern | None:
    """Divide the smallest panel of a pattern that a line crosses, along that line: x or y.

    What a sheet takes whole may be of two panels too, so that what is beside another part on its sheet is enough for
    one of them. None where the line crosses no panel, or what it divides fits no sheet, or is narrower than the least.
    """
    crossed = [
        (rect.dx * rect.dy, n)
        for n, (rect, _) in enumerate(pattern.panels)
        if (rect.x < at < rect.x + rect.dx if runs == "y" else rect.y < at < rect.y + rect.dy)
    ]
    if not crossed:
        return None
    place = min(crossed)[1]
    rect = pattern.panels[place][0]
    low, high = (rect.x, rect.x + rect.dx) if runs == "y" else (rect.y, rect.y + rect.dy)
    if min(at - low, high - at) < least:
        return None
    if runs == "y":
        ends = rect.y, rect.y + rect.dy
        parts = Rect(rect.x, rect.y, at - rect.x, rect.dy), Rect(at, rect.y, rect.x + rect.dx - at, rect.dy)
    else:
        ends = rect.x, rect.x + rect.dx
        parts = Rect(rect.x, rect.y, rect.dx, at - rect.y), Rect(rect.x, at, rect.dx, rect.y + rect.dy - at)
    if not all(stock.fits(part.dx, part.dy) for part in parts):
        return None
    made = tuple((part, at) for part in parts)
    return Pattern(
        (*pattern.panels[:place], *made, *pattern.panels[place + 1 :]), (*pattern.seams, Seam(runs, at, *ends))
    )


def pattern_taken(patterns: Sequence[Pattern], number: int) -> Pattern:
    """Return the pattern of that number, the first where there are not so many."""
    return patterns[number if number < len(patterns) else 0]


def _sizes(pattern: Pattern) -> tuple[tuple[int, int], ...]:
    """Return the sizes of the panels of a pattern, however they are turned and in whatever order."""
    return tuple(sorted((max(r.dx, r.dy), min(r.dx, r.dy)) for r, _ in pattern.panels))


def _seam_run(pattern: Pattern) -> int:
    """Return the length of all seams."""
    return sum(seam.end - seam.start for seam in pattern.seams)


def _by_each(patterns: Iterable[Pattern], first: Pattern, stock: Stock) -> Iterator[Pattern]:
    """Yield patterns, by turns the best by each thing that may matter of those not yet yielded."""
    sides = {side for pair in stock.sizes for side in pair}
    ways = {seam.runs for seam in first.seams}

    def told(pattern: Pattern) -> tuple[tuple[int, ...], ...]:
        run, count = _seam_run(pattern), len(pattern.panels)
        rects = [rect for rect, _ in pattern.panels]
        loose = [r for r in rects if sides.isdisjoint((r.dx, r.dy))]
        area = sum(r.dx * r.dy for r in loose)
        areas = [r.dx * r.dy for r in rects]
        other = any(seam.runs in ways for seam in pattern.seams)
        return (
            (run, count, area),
            (area, run, count),
            (other, run, count, area),
            (count, max(areas) - min(areas), run),
        )

    left = [(told(pattern), _sizes(pattern), pattern) for pattern in patterns]
    turn = 0
    while left:
        place = min(range(len(left)), key=lambda n: (left[n][0][turn], left[n][1]))
        yield left.pop(place)[2]
        turn = (turn + 1) % 4


def _score(pattern: Pattern, stock: Stock, copies: int) -> tuple[int, int, int, int]:
    """Return what patterns are compared by, the least best: sheet area, panels, unevenness, narrowness."""
    rects = [rect for rect, _ in pattern.panels]
    filled = [
        count * length * broad
        for length, broad in stock.sizes
        if (count := sheets_needed(rects * copies, (length, broad), stock.kerf))
    ]
    # Where no one size takes every panel, each is reckoned with a sheet of its own.
    area = min(filled) if filled else copies * sum(map(stock.smallest, rects))
    areas = [r.dx * r.dy for r in rects]
    return area, len(rects), max(areas) - min(areas), -min(min(r.dx, r.dy) for r in rects)


def _ways(
    face: tuple[int, int], stock: Stock, dividing: Dividing, *, uneven: bool = False
) -> Iterator[Iterator["_Draft"]]:
    """Yield the ways of dividing, rows first, then columns first, each for every side of a sheet as widest strip."""
    caps = sorted({side for pair in stock.sizes for side in pair})
    for rows in (True, False):
        for cap in caps:
            yield _patterns(face, cap, stock, dividing, rows=rows, uneven=uneven)


# arguments: a face, its widest strip, what it is cut from and where, and two ways of going about it, by keyword
def _patterns(
    face: tuple[int, int], cap: int, stock: Stock, dividing: Dividing, *, rows: bool, uneven: bool
) -> Iterator["_Draft"]:
    """Yield the two-stage patterns of one way, whose strips are no wider than ``cap``."""
    width, height = face
    total, other = (height, width) if rows else (width, height)
    level, upright = dividing.keep_clear, dividing.keep_clear_x
    across, between = (level, upright) if rows else (upright, level)
    least, snap = dividing.least, dividing.snap
    kerf = stock.kerf if uneven else None
    for cuts in divisions(total, cap, least, snap, across, shared=kerf):
        strips = [high - low for low, high in pairwise([0, *cuts, total])]
        # Strips of one width are divided alike: it looks right, and keeps the number of patterns small.
        widths = sorted(set(strips))
        limits = [stock.cap(width) for width in widths]
        if not all(limits):
            continue
        choices = [tuple(islice(divisions(other, limit, least, snap, between, shared=kerf), 6)) for limit in limits]
        for chosen in product(*choices):
            inner = [chosen[widths.index(width)] for width in strips]
            if cuts or any(inner):
                yield _Draft(face, rows, cuts, inner)


class _Draft(NamedTuple):
    """A pattern before its panels are made: of a giant face most are passed over by their count alone."""

    face: tuple[int, int]
    rows: bool
    cuts: tuple[int, ...]
    inner: Sequence[tuple[int, ...]]

    @property
    def panels(self) -> int:
        """How many panels it has."""
        return len(self.inner) + sum(map(len, self.inner))

    @property
    def runs(self) -> frozenset[str]:
        """Which ways its seams run."""
        across, between = "xy" if self.rows else "yx"
        return frozenset((across,) * bool(self.cuts) + (between,) * any(self.inner))

    def made(self) -> Pattern:
        """Make its panels and seams."""
        return _pattern(*self.face, rows=self.rows, cuts=self.cuts, inner=self.inner)


def _pattern(
    width: int, height: int, *, rows: bool, cuts: tuple[int, ...], inner: Sequence[tuple[int, ...]]
) -> Pattern:
    """Make a pattern of its cuts right across and, strip by strip, the cuts between them."""
    total, other = (height, width) if rows else (width, height)
    across: Literal["x", "y"] = "x" if rows else "y"
    between: Literal["x", "y"] = "y" if rows else "x"
    seams = [Seam(across, at, 0, other) for at in cuts]
    panels: list[tuple[Rect, int | None]] = []
    for number, (low, high) in enumerate(pairwise([0, *cuts, total])):
        own = inner[number]
        seams += [Seam(between, at, low, high) for at in own]
        ends = [0, *own, other]
        for place, (a, b) in enumerate(pairwise(ends)):
            rect = Rect(a, low, b - a, high - low) if rows else Rect(low, a, high - low, b - a)
            line, index = (own, place) if own else (cuts, number)
            panels.append((rect, line[min(index, len(line) - 1)] if line else None))
    return Pattern(tuple(panels), tuple(seams))


# arguments: what is cut, three rules of it, where not, and a wish by keyword
def divisions(
    total: int, cap: int, least: int, snap: int, keep_clear: Sequence[Interval] = (), *, shared: int | None = None
) -> Iterator[tuple[int, ...]]:
    """Yield sensible ways to cut a length into strips no wider than ``cap`` and no narrower than ``least``.

    For the fewest strips and one more: equal strips, full strips from either end with the rest at the other, and the
    rest shared by both ends. A cut inside a zone to keep clear is moved to the zone's nearer or farther edge.
    Where ``shared`` gives a kerf, also those whose last strip is a half, a third or a quarter of ``cap`` with kerfs
    between: strips of several faces are then ripped side by side.
    """
    seen: set[tuple[int, ...]] = set()
    fewest = max(1, -(-total // cap))
    for count in (fewest, fewest + 1):
        raw = _raw_divisions(total, cap, count, least, snap)
        if shared is not None:
            raw = chain(raw, _shared_divisions(total, cap, count, (least, snap, shared)))
        for cuts in raw:
            for moved in islice(product(*(_moves(at, keep_clear) for at in cuts)), _MOST_MOVES):
                widths = [b - a for a, b in pairwise([0, *moved, total])]
                # A face narrower than the least panel is left whole that way: only what is cut can be cut too narrow.
                if moved not in seen and max(widths) <= cap and (not moved or least <= min(widths)):
                    seen.add(moved)
                    yield moved
        if fewest == 1 and seen:
            return


def _raw_divisions(total: int, cap: int, count: int, least: int, snap: int) -> Iterator[tuple[int, ...]]:
    """Yield the cuts for a number of strips before any is moved out of a zone."""
    if count == 1:
        yield ()
        return
    yield tuple(total * k // count // snap * snap for k in range(1, count))
    full = cap // snap * snap
    rest = max(total - full * (count - 1), -(-least // snap) * snap)
    up = tuple(min(full * k, total - rest) for k in range(1, count))
    yield up
    yield tuple(total - at for at in reversed(up))
    if count > 2:
        half = (total - full * (count - 2)) // 2 // snap * snap
        yield tuple(half + full * k for k in range(count - 1))


def _shared_divisions(total: int, cap: int, count: int, rules: tuple[int, int, int]) -> Iterator[tuple[int, ...]]:
    """Yield the cuts for strips of which the last is a share of a full one."""
    least, snap, kerf = rules
    full = cap // snap * snap
    before = full * (count - 2)
    for share in _SHARES if count > 1 else ():
        rest = (full - (share - 1) * kerf) // share // snap * snap
        other = total - before - rest
        if rest < least or not least <= other <= cap:
            continue
        up = (*(full * k for k in range(1, count - 1)), before + other)
        yield up
        yield tuple(total - at for at in reversed(up))


def _moves(at: int, zones: Sequence[Interval]) -> list[int]:
    """Return where a cut may go: where it is, or else the nearest free places on both sides."""

    def free(place: int) -> bool:
        return not any(low < place < high for low, high in zones)

    if free(at):
        return [at]
    below = [low for low, _ in zones if low < at and free(low)]
    above = [high for _, high in zones if high > at and free(high)]
    return ([max(below)] if below else []) + ([min(above)] if above else [])


def sheets_needed(panels: Sequence[Rect], sheet: tuple[int, int], kerf: int) -> int:
    """Count sheets of one size for the panels by a guillotine first fit, the best of a few orders; 0 if one is too big.

    Free rectangles are split along the shorter rest; an upper bound, used to compare patterns only.
    """
    sides = [(max(r.dx, r.dy), min(r.dx, r.dy)) for r in panels]
    if any(a > sheet[0] or b > sheet[1] for a, b in sides):
        return 0
    best = len(sides)
    least = -(-sum(a * b for a, b in sides) // (sheet[0] * sheet[1]))
    for key in (lambda s: (s[0], s[1]), lambda s: (s[0] * s[1], s[0]), lambda s: (s[1], s[0])):
        for long_first in (True, False):
            if best > least:
                best = min(best, _fill(sorted(sides, key=key, reverse=True), sheet, kerf, long_first))
    return best


def _fill(sides: Sequence[tuple[int, int]], sheet: tuple[int, int], kerf: int, long_first: bool) -> int:
    """Fill sheets one panel after the other, each into the free rectangle that it fits most snugly."""
    sheets = 0
    free: list[tuple[int, int]] = []
    for a, b in sides:
        options = [
            (min(w - x, h - y), n, x, y)
            for n, (w, h) in enumerate(free)
            for x, y in ((a, b), (b, a))
            if x <= w and y <= h
        ]
        if options:
            _, n, x, y = min(options)
            w, h = free.pop(n)
        else:
            sheets += 1
            (w, h), (x, y) = sheet, (a, b)
        right, above = w - x - kerf, h - y - kerf
        upright = (right >= above) == long_first
        rests = ((right, h), (x, above)) if upright else ((right, y), (w, above))
        free += [rest for rest in rests if min(rest) > 0]
    return sheets
