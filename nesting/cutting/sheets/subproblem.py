"""Compiled pricing: the greatest value of parts that guillotine cuts can take from each rectangle of a grid.

Dynamic programming over cuts (Gilmore and Gomory 1966, doi:10.1287/opre.14.6.1045; Beasley 1985,
doi:10.1057/jors.1985.51). Parts may be used any number of times, except a few that are tracked: each of those is used
at most once in a pattern (state space relaxation, Christofides, Mingozzi and Toth 1981, doi:10.1002/net.3230110207).
What it finds is at least what a pattern with limited parts can give.
"""

# ruff: noqa: C901, PLR0912, PLR0917 - one flat compiled loop

import numpy as np

from nesting.cutting.sheets.compiled import CUBE, INT, NOTHING, ROW, TABLE, WORD_CUBES, Ints, Words, compiled, inner
from nesting.cutting.sheets.grid import Axis


def pairs(axis: Axis, shortest: int) -> tuple[Ints, Ints]:
    """Index of the second piece for each rectangle and first piece, and how many first pieces are no more than half.

    The second piece is rounded down to a sum of part sizes, which loses nothing, and then up to a point. It is 0, which
    is worth nothing, where no part fits it or where rounding up would make it the whole.
    """
    points, least = axis.points, axis.least
    n = len(points)
    second = np.zeros((n, n), np.int64)
    ends = np.ones(n, np.int64)
    for i in range(n):
        rest = points[i] - least[1:i]
        wrong = (2 * least[1:i] > points[i]) | (rest < shortest)
        count = int(wrong.argmax()) if wrong.any() else len(rest)
        ends[i] = 1 + count
        found = np.searchsorted(points, axis.down(rest[:count]))
        second[i, 1 : 1 + count] = np.where(found < i, found, 0)
    return second, ends


@inner(INT(ROW, INT))
def first_at_least(points: Ints, length: int) -> int:
    """Index of the first point that is no less than a length."""
    low, high = 0, points.shape[0]
    while low < high:
        middle = (low + high) >> 1
        if points[middle] < length:
            low = middle + 1
        else:
            high = middle
    return low


# arguments: compiled code takes arrays and numbers, no values that hold them
@compiled(NOTHING(ROW, ROW, TABLE, ROW, TABLE, ROW, TABLE, ROW, ROW, CUBE, CUBE, WORD_CUBES))
def best_values(
    xs: Ints,
    ys: Ints,
    x_second: Ints,
    x_ends: Ints,
    y_second: Ints,
    y_ends: Ints,
    items: Ints,
    values: Ints,
    tracked: Ints,
    found: Ints,
    turned_found: Ints,
    how: Words,
) -> None:
    """Fill `found[mask, i, j]` with the greatest value of rectangle (i, j) that uses tracked items of `mask` only.

    The tables hold noughts before. `turned_found` keeps the same by (mask, j, i). `how[mask, i, j]` tells the last cut:
    kind (0 nothing, 1 a part, 2 a crosscut, 3 a rip), the part or the first piece, the second piece, and the mask of
    the first piece.
    """
    masks, nx, ny = found.shape[0], xs.shape[0], ys.shape[0]
    for t in range(items.shape[0]):
        value = values[t]
        if value <= 0:
            continue
        bit = tracked[t]
        for turn in range(1 + items[t, 2]):
            a, b = (items[t, 1], items[t, 0]) if turn else (items[t, 0], items[t, 1])
            i, j = first_at_least(xs, a), first_at_least(ys, b)
            if i < nx and j < ny:  # larger rectangles hold it too: they take it over from the next smaller
                for mask in range(masks):
                    if (bit & mask) == bit and value > found[mask, i, j]:
                        found[mask, i, j] = value
                        how[mask, i, j, 0] = 1
                        how[mask, i, j, 1] = t
    for mask in range(masks):
        for i in range(nx):
            for j in range(ny):
                best = found[mask, i, j]
                kind, one, two, part = how[mask, i, j, 0], how[mask, i, j, 1], 0, 0
                # a smaller rectangle's best, so that values grow with the rectangle
                if i > 0 and found[mask, i - 1, j] > best:
                    best, kind, one, two, part = found[mask, i - 1, j], 2, i - 1, 0, mask
                if j > 0 and found[mask, i, j - 1] > best:
                    best, kind, one, two, part = found[mask, i, j - 1], 3, j - 1, 0, mask
                sub = mask
                while True:
                    rest = mask ^ sub
                    for a in range(1, x_ends[i]):
                        value = turned_found[sub, j, a] + turned_found[rest, j, x_second[i, a]]
                        if value > best:
                            best, kind, one, two, part = value, 2, a, x_second[i, a], sub
                    for a in range(1, y_ends[j]):
                        value = found[sub, i, a] + found[rest, i, y_second[j, a]]
                        if value > best:
                            best, kind, one, two, part = value, 3, a, y_second[j, a], sub
                    if sub == 0:
                        break
                    sub = (sub - 1) & mask
                found[mask, i, j] = best
                turned_found[mask, j, i] = best
                how[mask, i, j, 0] = kind
                how[mask, i, j, 1] = one
                how[mask, i, j, 2] = two
                how[mask, i, j, 3] = part
