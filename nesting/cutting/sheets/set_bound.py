"""The bound from sets: a mix of sheets is refuted by all ways to cut the largest parts out of it, edge to edge.

Why it holds. Parts may be left out: what cannot be cut for some cannot be cut for all. Of the parts that are kept,
equal ones in any number are a set. A piece that holds a set and more than one part was cut in two, so its least sizes
are sums along and the larger across (or the other way round) of the least sizes of two smaller sets: by these all sets
are gone through, from the small to the large, and each keeps the sizes that no other is within. That is the
enumeration of builds of Wang (1983, doi:10.1287/opre.31.3.573), made exhaustive; as there, a build is dropped where it
wastes more than all sheets can spare. A set that has no size within a sheet is on no sheet. Then sheets are taken one
after another, and of what they leave of all parts only the least is kept; where each choice leaves something, the mix
is refuted. Unlike free packing (:mod:`nesting.cutting.sheets.packing_bound`) this knows that cuts go from edge to edge,
and unlike patterns (:mod:`nesting.cutting.sheets.relaxation`) that a part is cut once.

Units are made coarser first (:mod:`nesting.cutting.sheets.coarse`). The largest part comes first, then another and
another, while the work allows. Everything is reckoned in integers.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from nesting.cutting.sheets.coarse import coarsened
from nesting.cutting.sheets.compiled import Ints
from nesting.cutting.sheets.mixes import Mix
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.set_kernel import least_pieces

# Units that the longest side of a sheet may take.
_CELLS = 1600

# More sets than this are too many; sizes of pieces that there is room for, by set.
_SETS = 100_000
_SIZES = 12

# What is left of the sets after a sheet, at most, times what the next can hold.
_LEFTOVERS = 1_000_000

# Past so many leftovers none are compared with one another.
_COMPARED = 1_000

# A kind of part: its ways to lie, and how many are wanted.
Kind = tuple[tuple[tuple[int, int], ...], int]


def sets_refute(problem: Problem, mix: Mix, work: int, check: Callable[[], None]) -> bool:
    """Tell whether it is proven that the largest parts cannot be cut from a mix.

    Parameters
    ----------
    mix : tuple of int
        How many sheets of each stock.
    work : int
        How many pairs of pieces may be looked at, in all.
    check : callable
        Called before each further part; may raise to cut the work off.
    """
    rough = coarsened(problem, _CELLS)
    kinds = _kinds(rough)
    left = work
    for many in range(1, len(kinds) + 1):
        check()
        sets = _Sets.of(rough, mix, kinds[:many], left)
        if sets is None:
            return False
        if not sets.cut_from(mix):
            return True
        left -= sets.steps
    return False


def _kinds(problem: Problem) -> list[Kind]:
    """List the sizes of parts with how many there are of each, those of the largest area first."""
    wanted: Counter[tuple[tuple[int, int], ...]] = Counter()
    for item in problem.items:
        wanted[tuple(sorted(set(item.ways())))] += item.demand
    return sorted(wanted.items(), key=lambda kind: (-kind[0][0][0] * kind[0][0][1], kind[0]))


class _Sets:
    """All sets of some kinds of parts, and on which stocks each can be cut.

    Attributes
    ----------
    steps : int
        Pairs of pieces that were looked at.
    """

    def __init__(self, kinds: Sequence[Kind], rooms: Sequence[int], fits: "list[np.ndarray]", steps: int) -> None:
        self.steps = steps
        self._all = np.array([wanted for _, wanted in kinds], np.int64)
        self._areas = np.array([ways[0][0] * ways[0][1] for ways, _ in kinds], np.int64)
        self._digits = np.cumprod(np.append(1, self._all[:-1] + 1))
        self._rooms = rooms
        self._fullest = [self._largest(fit) for fit in fits]

    @classmethod
    def of(cls, problem: Problem, mix: Mix, kinds: Sequence[Kind], work: int) -> "_Sets | None":
        """Go through all sets; None where that is too much work."""
        demands = np.array([wanted for _, wanted in kinds], np.int64)
        if np.prod(demands + 1.0) > _SETS:
            return None
        stocks = [stock for stock, n in zip(problem.stocks, mix, strict=True) if n]
        length, width = max(s.length for s in stocks), max(s.width for s in stocks)
        ways = np.zeros((len(kinds), 4), np.int64)
        for row, (sizes, _) in zip(ways, kinds, strict=True):
            row[: 2 * len(sizes)] = [side for size in sizes for side in size]
        areas = ways[:, 0] * ways[:, 1]
        # What of all sheets these parts do not fill, others may, or nothing.
        spare = sum(n * s.area for n, s in zip(mix, problem.stocks, strict=True)) - int(areas @ demands)
        sets = int(np.prod(demands + 1))
        ends = np.zeros(sets + 1, np.int64)
        lengths, widths = (np.zeros(_SIZES * sets, np.int64) for _ in range(2))
        least = np.full(length + 1, width + 1, np.int64)
        steps = least_pieces(ways, demands, areas, length, width, spare, ends, lengths, widths, least, work)
        if steps < 0:
            return None
        owners = np.repeat(np.arange(sets), np.diff(ends))
        fits = []
        for stock in problem.stocks:
            inside = (lengths[: ends[-1]] <= stock.length) & (widths[: ends[-1]] <= stock.width)
            fit = np.bincount(owners[inside], minlength=sets) > 0
            fit[0] = True
            fits.append(fit)
        return cls(kinds, [stock.area for stock in problem.stocks], fits, steps)

    def _largest(self, fits: "np.ndarray") -> Ints:
        """List the sets that fit to which no part can be added, a row of counts each."""
        shape = tuple(int(n) + 1 for n in self._all[::-1])
        table = fits.reshape(shape)
        more = np.zeros(shape, np.bool_)
        for side in range(len(shape)):
            before = [slice(None)] * len(shape)
            after = [slice(None)] * len(shape)
            before[side], after[side] = slice(0, -1), slice(1, None)
            more[tuple(before)] |= table[tuple(after)]
        return np.argwhere(table & ~more)[:, ::-1]

    def cut_from(self, mix: Mix) -> bool:
        """Whether the sheets of a mix hold all parts together, or it would be too much work to tell."""
        left = self._all[None, :]
        sheets = [stock for stock, n in enumerate(mix) for _ in range(n)]
        rooms = [self._rooms[stock] for stock in sheets]
        for number, stock in enumerate(sheets):
            # What is left must have room on the sheets that follow.
            room = sum(rooms[number + 1 :])
            after = [np.zeros((0, len(self._all)), np.int64)]
            # Where the sheets that follow are all alike, the first part left may as well be cut from this one.
            for rows, fullest in self._matched(left, stock, stock == sheets[-1]):
                if len(rows) * len(fullest) * len(self._all) > _LEFTOVERS:
                    return True
                rest = np.maximum(rows[:, None, :] - fullest[None, :, :], 0).reshape(-1, len(self._all))
                after.append(rest[rest @ self._areas <= room])
            left = self._least(np.concatenate(after))
            if not len(left):
                return False
            if not left[0].any():
                return True
        return False

    def _matched(self, left: Ints, stock: int, alike: bool) -> Iterator[tuple[Ints, Ints]]:
        """Yield rows of what is left with the sets that may come next from a stock."""
        fullest = self._fullest[stock]
        if not alike:
            yield left, fullest
            return
        first = (left > 0).argmax(axis=1)
        for t in np.unique(first):
            yield left[first == t], fullest[fullest[:, t] > 0]

    def _least(self, rows: Ints) -> Ints:
        """Leave out what comes twice, and what is nowhere less than another row: some that leave least come first."""
        _, first = np.unique(rows @ self._digits, return_index=True)
        rows = rows[first]
        rows = rows[np.argsort(rows.sum(axis=1), kind="stable")]
        if len(rows) > _COMPARED:
            return rows
        kept = []
        alive = np.arange(len(rows))
        while len(alive):
            kept.append(alive[0])
            alive = alive[1:][(rows[alive[1:]] < rows[alive[0]]).any(axis=1)]
        return rows[kept]
