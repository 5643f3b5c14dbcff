"""All sets of parts that one sheet holds and that are worth something: one stock, up to 126 parts."""

from collections import Counter
from dataclasses import dataclass

import numpy as np

from nesting.cutting.sheets.bounds import scales
from nesting.cutting.sheets.compiled import Ints
from nesting.cutting.sheets.pattern import ACROSS, ALONG, Pattern, leaf
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.relaxation import Column, Pricer
from tests.benchmarks.record import kernel

MOST_PARTS = 126
"""Parts that two words have bits for."""

# Sets that the memory has room for, as a power of two, and that a listing may return.
_BITS = 24
_LISTED = 3_000_000

# Areas beside the plain one by which a set is judged, and points of the grid that cuts off small parts.
_SCALED = 8
_POINTS = 400


@dataclass(frozen=True, slots=True)
class Listed:
    """What a listing found.

    Attributes
    ----------
    columns : list of Column
        The sets, those worth most first.
    most : int
        What the first is worth; 0 where there is none.
    is_complete : bool
        Whether there is no other.
    work : int
        Pairs of sets joined.
    """

    columns: list[Column]
    most: int
    is_complete: bool
    work: int


class Sets:
    """Lists sets of parts of a problem."""

    def __init__(self, problem: Problem) -> None:
        (self._stock,) = problem.stocks
        self.problem = problem
        rows: list[tuple[int, ...]] = []
        owners = []
        for t, item in enumerate(problem.items):
            for copy in range(item.demand):
                rows.append((item.length, item.width, int(item.turns), 0, item.area, len(rows) - 1 if copy else -1))
                owners.append(t)
        if len(rows) > MOST_PARTS:
            raise ValueError(f"{len(rows)} parts are more than {MOST_PARTS}")
        self._parts = np.array(rows, np.int64)
        self._items = np.array(owners)
        self._first = [owners.index(t) for t in range(len(problem.items))]
        self._rooms, self._scaled = self._areas()
        size = 1 << _BITS
        self._note = np.zeros(5, np.int64)
        self._memory = (
            np.zeros(size, np.int64),
            np.zeros(size, np.int64),
            np.zeros(size, np.int64),
            np.zeros(size, np.int64),
        )
        self._pieces = (np.zeros(8 * size, np.int32), np.zeros(8 * size, np.int32))
        self._out = (np.zeros(_LISTED, np.int64), np.zeros(_LISTED, np.int64), np.zeros(_LISTED, np.int64))
        self._pricer = Pricer.of(problem, _POINTS)

    def _areas(self) -> tuple[Ints, Ints]:
        """Return rooms and areas by which sets are judged: plain, and by the scales of `scaled_bound` that say most."""
        length, width = self._stock.length, self._stock.width
        ways = [item.ways() for item in self.problem.items]
        areas = {}
        for f in scales(length, [a for each in ways for a, _ in each]):
            for g in scales(width, [b for each in ways for _, b in each]):
                room = f(length) * g(width)
                area = tuple(min(f(a) * g(b) for a, b in each if a <= length and b <= width) for each in ways)
                total = sum(a * item.demand for a, item in zip(area, self.problem.items, strict=True))
                areas[room, area] = total / room
        plain = (length * width, tuple(item.area for item in self.problem.items))
        areas.pop(plain, None)
        chosen = [plain, *sorted(areas, key=lambda each: (-areas[each], each))[:_SCALED]]
        rooms = np.array([room for room, _ in chosen], np.int64)
        return rooms, np.array([[area[t] for t in self._items] for _, area in chosen], np.int64)

    def _ends(self, values: Ints, worth: int) -> Ints:
        """Return from which part on none is the second of a set, by its first; negative where it is the first of none.

        Parts go by area. A sheet with one part first and others from some part on holds no more than patterns do that
        use the first at most once and those others any number of times, and the fewer they are the less that is.
        """
        ends = np.full(len(self._items), len(self._items), np.int64)
        if self._pricer is None:
            return ends
        pricer, items = self._pricer, self.problem.items
        for t, item in enumerate(items):
            pricer.track((t,) if item.demand == 1 else ())

            def most(start: int, t: int = t) -> int:
                only = values.copy()
                only[:start] = 0
                only[t] = values[t]
                return pricer.price(only)[0]

            low, high = t + 1, len(items)
            if most(low) < worth:
                ends[self._first[t]] = -1
            elif most(high) < worth:
                while high - low > 1:
                    middle = (low + high) // 2
                    low, high = (middle, high) if most(middle) >= worth else (low, middle)
                if high < len(items):
                    ends[self._first[t]] = self._first[high]
        return ends

    def listed(  # 6 arguments: what is asked for, and how much of it, by how much work
        self,
        values: Ints,
        worth: int,
        *,
        each: int = 1 << 40,
        work: int = 1 << 60,
        share: int = 1 << 60,
        most: int = _LISTED,
    ) -> Listed:
        """List the largest sets worth `worth` or more.

        Parameters
        ----------
        values : int array
            Of each item.
        each : int
            Sets with the same first part, at most.
        work : int
            Pairs of sets that may be joined.
        share : int
            And of those with the same first part.
        most : int
            Sets returned, at most: those worth most.
        """
        self._parts[:, 3] = values[self._items]
        rates = (self._parts[:, 3] + 1e-3) / np.maximum(self._scaled, 1e-9)
        ranked = np.argsort(-rates, axis=1, kind="stable").astype(np.int64)
        end = kernel.list_sets(
            self._parts,
            self._scaled,
            ranked,
            self._rooms,
            self._ends(values, worth),
            self._stock.length,
            self._stock.width,
            worth,
            each,
            work,
            share,
            self._note,
            *self._memory,
            *self._pieces,
            *self._out,
        )
        found = int(self._note[kernel.FOUND])
        low, high, value = (out[:found] for out in self._out)
        best = np.argsort(-value, kind="stable")[:most]
        columns = [self._column(int(low[k]), int(high[k])) for k in best]
        is_complete = end == kernel.DONE and len(columns) == found
        return Listed(columns, int(value.max()) if found else 0, is_complete, int(self._note[kernel.WORK]))

    def _column(self, low: int, high: int) -> Column:
        held: Counter[int] = Counter()
        bits = low | high << 63
        while bits:
            last = bits & -bits
            held[int(self._items[last.bit_length() - 1])] += 1
            bits ^= last
        return 0, frozenset(held.items())


def laid_out(problem: Problem, column: Column) -> Pattern | None:
    """Return how a set of parts is cut from a sheet, by looking at all ways; None where there is none."""
    stock = problem.stocks[column[0]]
    parts = [t for t, n in sorted(column[1]) for _ in range(n)]
    made: list[dict[tuple[int, int], Pattern]] = [{} for _ in range(1 << len(parts))]
    for whole in range(1, len(made)):
        found = made[whole]
        if whole & (whole - 1) == 0:
            t = parts[whole.bit_length() - 1]
            for turned, size in enumerate(problem.items[t].ways()):
                found.setdefault(size, leaf(t, turned=bool(turned)))
        first = (whole - 1) & whole
        while first > whole ^ first:
            for (a, b), one in made[first].items():
                for (c, d), two in made[whole ^ first].items():
                    found.setdefault((a + c, max(b, d)), (ALONG, one, two))
                    found.setdefault((max(a, c), b + d), (ACROSS, one, two))
            first = (first - 1) & whole
        made[whole] = _least(found, stock.length, stock.width)
    return next(iter(made[-1].values()), None)


def _least(found: dict[tuple[int, int], Pattern], length: int, width: int) -> dict[tuple[int, int], Pattern]:
    """Keep the pieces within a sheet that no other is within."""
    kept: dict[tuple[int, int], Pattern] = {}
    narrowest = width + 1
    for a, b in sorted(found):
        if a <= length and b < narrowest:
            kept[a, b] = found[a, b]
            narrowest = b
    return kept
