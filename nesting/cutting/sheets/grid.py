"""Grid: the positions at which the pricing of patterns cuts, few enough to be quick and never too few to be a bound.

A layout can be pushed left and down, so cuts fall on sums of part sizes (normal patterns, Herz 1972,
doi:10.1147/rd.165.0462). There may be thousands of those. Then only some are kept as points, and every sum is rounded
up to the next point: pieces only grow, so the value that the pricing finds is never below the true one.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

_FINEST = 4_000_000


@dataclass(frozen=True, slots=True)
class Axis:
    """Points of one direction.

    Attributes
    ----------
    points : int array
        Ascending; the first is 0.
    least : int array
        The least sum that each point stands for: the point itself where nothing was rounded.
    sums : int array or None
        Every sum; None where they are too many to list.
    exact : bool
        Whether every sum is a point.
    """

    points: "np.ndarray"
    least: "np.ndarray"
    sums: "np.ndarray | None"
    exact: bool

    def down(self, sizes: "np.ndarray") -> "np.ndarray":
        """Return the greatest sums within sizes: a piece holds what a piece of that sum does, and no more."""
        if self.sums is None:
            return sizes
        return np.asarray(self.sums[np.searchsorted(self.sums, sizes, side="right") - 1])

    def up(self, size: int) -> int:
        """Index of the point that a size is rounded up to."""
        return int(np.searchsorted(self.points, size))


def sums(sizes: Iterable[tuple[int, int]], limit: int) -> list[int] | None:
    """All sums up to `limit` of sizes, each at most as often as given; None where that is too much work."""
    if limit > _FINEST:
        return None
    bits, mask = 1, (1 << (limit + 1)) - 1
    for size, times in sizes:
        left = min(times, limit // size)
        lot = 1
        while left > 0:
            taken = min(lot, left)
            bits |= (bits << (taken * size)) & mask
            left -= taken
            lot *= 2
    digits = bin(bits)[:1:-1]
    return [x for x, digit in enumerate(digits) if digit == "1"]


def axis(sizes: list[tuple[int, int]], limits: list[int], most: int) -> Axis | None:
    """Choose the points of one direction.

    Parameters
    ----------
    sizes : list of (int, int)
        Sizes of parts in this direction, and how often each can come.
    limits : list of int
        Sizes of the sheets in this direction.
    most : int
        About how many points to keep.

    Returns
    -------
    Axis or None
        None where the points would lie too far apart for a bound.
    """
    top = max(limits)
    every = sums(sizes, top)
    if every is not None and len(every) <= most:
        points = sorted({*every, *limits})
        return Axis(np.array(points, np.int64), np.array(points, np.int64), np.array(every, np.int64), exact=True)
    shortest = min(size for size, _ in sizes)
    raster = None if every is None else _raster(every, limits)
    chosen = raster if raster is not None and len(raster) <= most else _wanted(sizes, limits, most)
    filled = _filled(chosen, shortest, 4 * most)
    if filled is None:
        return None
    grid = np.array(filled, np.int64)
    lower = np.concatenate([[0], grid[:-1] + 1])
    if every is None:
        return Axis(grid, np.minimum(np.maximum(lower, shortest), grid), None, exact=False)
    known = np.array(every, np.int64)
    index = np.searchsorted(known, lower)
    least = np.where(index < len(known), known[np.minimum(index, len(known) - 1)], grid)
    least[0] = 0
    return Axis(grid, np.minimum(least, grid), known, exact=False)


def _raster(every: list[int], limits: list[int]) -> list[int]:
    """Keep of the sums that leave room for the same sum only the largest (Scheithauer and Terno 1996)."""
    known = np.array(every, np.int64)
    points = {0, *limits}
    for limit in limits:
        within = known[known <= limit]
        left = known[np.searchsorted(known, limit - within, side="right") - 1]
        points.update(int(x) for x in known[np.searchsorted(known, limit - left, side="right") - 1])
    return sorted(points)


def _wanted(sizes: list[tuple[int, int]], limits: list[int], most: int) -> list[int]:
    """Choose sums worth a point of their own: repeats of one size and pairs, and what they leave of a sheet."""
    top = max(limits)
    shortest = min(size for size, _ in sizes)
    wanted: dict[int, None] = dict.fromkeys((0, *limits))
    kinds = sorted({size for size, _ in sizes})
    times = dict(sizes)
    for k in range(1, top // shortest + 1):
        for size in kinds:
            if k <= times[size] and k * size <= top:
                wanted[k * size] = None
                wanted.update(dict.fromkeys(limit - k * size for limit in limits if limit > k * size))
        if len(wanted) > most:
            break
    for first in kinds:
        for second in kinds:
            if len(wanted) <= most and first + second <= top:
                wanted[first + second] = None
                wanted.update(dict.fromkeys(limit - first - second for limit in limits if limit > first + second))
    return sorted(wanted)


def _filled(points: list[int], shortest: int, most: int) -> list[int] | None:
    """Put points into the gaps; None when that takes too many."""
    filled = [0]
    for point in points[1:]:
        # No two points as far apart as the shortest part, or a rounded piece could hold more than the whole.
        while point - filled[-1] >= shortest:
            filled.append(min(point, filled[-1] + shortest - 1) if shortest > 1 else filled[-1] + 1)
        if filled[-1] != point:
            filled.append(point)
        if len(filled) > most:
            return None
    return filled
