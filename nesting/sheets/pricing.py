"""Compiled pricing: the greatest value of parts that guillotine cuts can take from each rectangle of a grid.

Dynamic programming over cuts (Gilmore and Gomory 1966, doi:10.1287/opre.14.6.1045; Beasley 1985, doi:10.1057/jors.1985.51), with
parts used any number of times: what it finds is at least what parts with limited counts can give.
"""

import numpy as np

from nesting.sheets.compiled import compiled


@compiled
def round_up(points, sizes):
    """Index of the point that each size is rounded up to."""
    return np.searchsorted(points, sizes)


@compiled
def best_values(xs, x_least, ys, y_least, shortest, items, values, found, how, other):
    """Fill `found` with greatest values; `how` and `other` tell the last cut.

    `how` is -2 - item for a part, the index of the first piece for a crosscut (`other` is the second's), or
    nx + index for a rip; -1 for nothing.
    """
    nx, ny = len(xs), len(ys)
    for i in range(nx):
        for j in range(ny):
            found[i, j] = 0
            how[i, j] = -1
            other[i, j] = -1
    for t in range(items.shape[0]):
        value = values[t]
        if value <= 0:
            continue
        for turn in range(1 + items[t, 2]):
            a, b = (items[t, 1], items[t, 0]) if turn else (items[t, 0], items[t, 1])
            first = np.searchsorted(ys, b)
            for i in range(np.searchsorted(xs, a), nx):
                for j in range(first, ny):
                    if value > found[i, j]:
                        found[i, j] = value
                        how[i, j] = -2 - t
    for i in range(nx):
        for j in range(ny):
            best = found[i, j]
            # a smaller rectangle's best, so that values grow with the rectangle
            if i > 0 and found[i - 1, j] > best:
                best = found[i - 1, j]
                how[i, j] = i - 1
                other[i, j] = 0
            if j > 0 and found[i, j - 1] > best:
                best = found[i, j - 1]
                how[i, j] = nx + j - 1
                other[i, j] = 0
            r = i
            for a in range(1, i):
                if 2 * x_least[a] > xs[i]:
                    break
                rest = xs[i] - x_least[a]
                if rest < shortest:
                    break
                while r > 0 and xs[r - 1] >= rest:
                    r -= 1
                if r >= i:
                    continue
                value = found[a, j] + found[r, j]
                if value > best:
                    best = value
                    how[i, j] = a
                    other[i, j] = r
            r = j
            for a in range(1, j):
                if 2 * y_least[a] > ys[j]:
                    break
                rest = ys[j] - y_least[a]
                if rest < shortest:
                    break
                while r > 0 and ys[r - 1] >= rest:
                    r -= 1
                if r >= j:
                    continue
                value = found[i, a] + found[i, r]
                if value > best:
                    best = value
                    how[i, j] = nx + a
                    other[i, j] = r
            found[i, j] = best
