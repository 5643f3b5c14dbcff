"""Faces of a case divided although a sheet takes them whole, so that more of each sheet is used.

A sheet of 48 x 96 in takes one face of 60 x 27 in and leaves a strip of 21 in, which no other such face fits: of two
panels, the one as wide as that strip, both faces may come out of fewer sheets. A seam takes lumber, glue, screws and
minutes, and more room before it where the foam is thin; whether it pays is for whoever sees the whole order to say.
Here are the few ways that promise most, by a first fit of the faces of the case alone.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, combinations, product
from typing import TYPE_CHECKING, Final, Literal

from nesting.base.measure import INCH
from nesting.crates.bench import Axis
from nesting.crates.cases.case_shell import Cut, Room, face_boxes, plane, stock_of
from nesting.crates.cases.sizes import Known, Sizes, sizes_of
from nesting.crates.chosen import CaseDesign
from nesting.crates.model import Box
from nesting.crates.shells.seams import Dividing, Pattern, halved, patterns_for
from nesting.crates.traits import Casing
from nesting.cutting.sheets import Sheet
from nesting.cutting.yardstick import SheetGauge
from nesting.shop.shop import Shop

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

PAIRS: Final[Mapping[Axis, tuple[str, str]]] = {"z": ("back", "front"), "y": ("bottom", "top"), "x": ("left", "right")}
_AXIS: Final[Mapping[str, Axis]] = {name: axis for axis, names in PAIRS.items() for name in names}
PATTERNS: Final = 4
"""Patterns of one face larger than a sheet that are looked at beside each other."""
_SHARES: Final = (2, 3, 4)
_FIRST: Final = 3
"""Changes of one pair of faces that are each followed by one of another pair."""
_LEFT: Final = 500
"""Thousandths of its cost that a rest at least as wide as a panel brings back: other crates are cut from it."""
_SEAM: Final = 10
"""What an inch of seam is reckoned at, in square inches of sheet: lumber and screws, by a rough look at usual prices.
It ranks what is looked at; what is taken is priced for good."""

Face = tuple[int, int]


@dataclass(frozen=True, slots=True)
class _Way:
    """How the two faces of a pair are made: what is said of them in a design, their panels and their seams."""

    patterns: tuple[tuple[str, int], ...] = ()
    seams: tuple[Cut, ...] = ()
    panels: tuple[Face, ...] = ()
    run: int = 0


def faces_of(sizes: Sizes) -> list[tuple[str, Box, Axis, bool]]:
    """Return the faces round the room of a case."""
    room = sizes.inside
    return face_boxes(Room(0, 0, 0, room.width, room.height, room.depth), sizes.board, sizes.opening)


def divided(casing: Casing, most: int) -> tuple[CaseDesign, ...]:
    """Return a case's design with its faces divided in the ways that promise most, the best first.

    Parameters
    ----------
    casing : Casing
        The case; where the seams of its design lie is not looked at.
    most : int
        How many.

    Returns
    -------
    tuple of CaseDesign
        None that takes as much of sheets as the design whose faces are divided only where they must.
    """
    design = replace(casing.design, patterns=(), seams=())
    known: Known = {}

    def sized(seams: tuple[Cut, ...]) -> Sizes:
        return sizes_of(replace(casing, design=replace(design, seams=seams)), known)

    start = _Cutting(sized(()), casing.shop, frozenset())
    found: list[tuple[int, CaseDesign, Sizes]] = []
    seen: set[tuple[Face, ...]] = set()
    # Where seams ask for no more room all axes come at once; else the faces grow, and each set of axes by itself.
    for axes in chain.from_iterable(combinations(PAIRS, count) for count in (3, 2, 1, 0)) if start.possible else ():
        sizes = sized(tuple((PAIRS[axis][0], "y", 0) for axis in axes))
        grown = _Cutting(sizes, casing.shop, frozenset(axes))
        if not grown.possible or (axes and grown.told in seen):
            continue
        seen.add(grown.told)
        for score, ways in grown.best(start.alone):
            seams = tuple(sorted(chain.from_iterable(way.seams for way in ways)))
            patterns = tuple(sorted(chain.from_iterable(way.patterns for way in ways)))
            found.append((score, replace(design, patterns=patterns, seams=seams), sizes))
    found.sort(key=lambda each: each[:2])
    told: dict[CaseDesign, None] = {}
    for _, made, sizes in found:
        # Not where the faces would be smaller than they were cut for: that comes by itself.
        if len(told) < most and made.seams and sized(made.seams) == sizes:
            told[made] = None
    return tuple(told)


class _Cutting:
    """The faces of a body of one size and how they may be divided, all with one gauge."""

    def __init__(self, sizes: Sizes, shop: Shop, axes: frozenset[Axis]) -> None:
        self.stock = stock_of(shop)
        self.least, self.snap = shop.battens.panel_least, shop.joinery.snap
        self.faces = {name: (plane(box, flat), flat) for name, box, flat, _ in faces_of(sizes)}
        self.told = tuple(face for face, _ in self.faces.values())
        self.sides = sorted({side for face in self.told for side in face})
        self.ways = [list(self._ways(axis, divide=axis in axes, more=not axes)) for axis in PAIRS]
        self.possible = all(self.ways)
        table = sorted({panel for ways in self.ways for way in ways for panel in way.panels})
        self.at = {panel: n for n, panel in enumerate(table)}
        sheets = tuple(
            Sheet(f"{length} x {width}", length, width, cost=length * width // INCH**2)
            for length, width in self.stock.sizes
        )
        self.gauge = SheetGauge(
            sheets, tuple((a, b, True) for a, b in table), self.stock.kerf, (self.least, self.least), _LEFT
        )
        self.counts = [[self._count(way.panels) for way in ways] for ways in self.ways]

    @property
    def alone(self) -> int:
        """What the first way of each pair takes."""
        return self._score((0, 0, 0)) if self.possible else 0

    def best(self, below: int) -> list[tuple[int, tuple[_Way, ...]]]:
        """Return the ways that take less than so much, seams reckoned with."""
        scores: dict[tuple[int, ...], int] = {}

        def look(ways: tuple[int, ...]) -> None:
            if ways not in scores:
                scores[ways] = self._score(ways)

        for pair, number in self._changes():
            look(tuple(number if n == pair else 0 for n in range(3)))
        for first in sorted(scores, key=lambda ways: (scores[ways], ways))[:_FIRST]:
            for pair, number in self._changes():
                if not first[pair]:
                    look(tuple(number if n == pair else first[n] for n in range(3)))
        good = sorted((score, ways) for ways, score in scores.items() if score < below and any(ways))
        return [(score, tuple(self.ways[n][way] for n, way in enumerate(ways))) for score, ways in good]

    def _changes(self) -> Iterator[tuple[int, int]]:
        for pair in range(3):
            for number in range(1, len(self.ways[pair])):
                yield pair, number

    def _score(self, ways: tuple[int, ...]) -> int:
        counts = self.counts[0][ways[0]] + self.counts[1][ways[1]] + self.counts[2][ways[2]]
        run = sum(self.ways[n][way].run for n, way in enumerate(ways))
        cost = self.gauge.fill(counts)
        return (1 << 40) if cost is None else cost + _SEAM * run // INCH

    def _count(self, panels: Sequence[Face]) -> "NDArray[np.int64]":
        import numpy as np

        counts = np.zeros(len(self.at), dtype=np.int64)
        for panel in panels:
            counts[self.at[panel]] += 1
        return counts

    def _ways(self, axis: Axis, *, divide: bool, more: bool) -> Iterator[_Way]:
        """Yield the ways of one pair: as it is first, then by other patterns, and one or both faces divided more."""
        one, other = PAIRS[axis]
        faces = self.faces[one][0], self.faces[other][0]
        seamed = not all(self.stock.fits(*face) for face in faces)
        dividing = Dividing(self.least, self.snap)
        both = [patterns_for(*face, self.stock, dividing, most=PATTERNS) for face in faces]
        for number in range(min(map(len, both))):
            whole = both[0][number], both[1][number]
            named = tuple((name, number) for name in sorted((one, other))) if number else ()
            yield _way(named, (), whole)
            for runs, at in self._cuts(whole[0], level=seamed or axis != "z") if (more if seamed else divide) else ():
                mine, its = (halved(pattern, runs, at, self.stock, self.least) for pattern in whole)
                if mine is not None:
                    yield _way(named, ((one, runs, at),), (mine, whole[1]))
                    if its is not None:
                        yield _way(named, ((one, runs, at), (other, runs, at)), (mine, its))

    def _cuts(self, pattern: Pattern, *, level: bool) -> Iterator[tuple[Literal["x", "y"], int]]:
        """Yield where a face may be cut: to what a sheet has left beside another side, to shares, to halves."""
        sure = sorted({side for pair in self.stock.sure.sizes for side in pair})
        kerf = self.stock.kerf
        wanted = {side - kerf - other for side in sure for other in self.sides}
        wanted |= {(side - (share - 1) * kerf) // share for side, share in product(sure, _SHARES)}
        rect = min((rect for rect, _ in pattern.panels), key=lambda r: (r.dx * r.dy, r.x, r.y))
        spans: dict[Literal["x", "y"], tuple[int, int]] = {"y": (rect.x, rect.dx)}
        if level:
            spans["x"] = rect.y, rect.dy
        for runs, (start, length) in spans.items():
            # The narrower panel first: cut at the other end the two are the same.
            places = {min(each, length - each) // self.snap * self.snap for each in (*wanted, length // 2)}
            for at in sorted(places):
                if at >= self.least:
                    yield runs, start + at


def _way(patterns: tuple[tuple[str, int], ...], seams: tuple[Cut, ...], made: tuple[Pattern, Pattern]) -> _Way:
    return _Way(patterns, seams, (*_panels(made[0]), *_panels(made[1])), _run(made[0]) + _run(made[1]))


def _turned(face: Face) -> Face:
    return max(face), min(face)


def _panels(pattern: Pattern) -> tuple[Face, ...]:
    return tuple(_turned((rect.dx, rect.dy)) for rect, _ in pattern.panels)


def _run(pattern: Pattern) -> int:
    return sum(seam.end - seam.start for seam in pattern.seams)
