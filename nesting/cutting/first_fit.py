"""First fit: parts one after another into the leftover where the least of its worth is lost.

The quickest honest way to cut: guillotine cuts only, every sheet can be sawn as it is counted, nothing is improved
afterwards. It keeps no positions, for nobody saws it: it says how many sheets it took and what was left.

The first fillings of a process are done in plain Python, so that an order which asks for few neither loads the compiler
nor waits for it. Both do the same sums in the same order and come to the same.
"""

# ruff: noqa: C901, PLR0912, PLR0915, PLR0917 - a flat inner loop; compiled functions take their arrays one by one

from collections.abc import Callable
from functools import cache
from itertools import count
from math import sqrt
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

_FEW: Final = 12
"""Fillings for which compiled code is not loaded: plain ones take some 3 to 5 ms each."""
_SMALL: Final = 150
"""Parts of the largest filling that is done plainly; the work grows with the square of them."""
_WINDOW: Final = 1024
"""Leftovers that are looked at for a part, the youngest: in orders of very many parts all of them would be too many."""
_FILLED: Final = count()


def first_fit(parts: int = 0) -> "Callable[..., int]":
    """Return :func:`fit`, plain for the first fillings of a process of not too many parts, compiled for the others."""
    return fit if parts <= _SMALL and next(_FILLED) < _FEW else _compiled()


@cache
def _compiled() -> "Callable[..., int]":
    from nesting.cutting.sheets.compiled import INT, ROW, TABLE, compiled  # loads numba

    return compiled(INT(TABLE, ROW, ROW, TABLE, ROW, TABLE, ROW, ROW, INT, INT, INT))(fit)


# arguments: compiled code takes arrays and numbers, no values that hold them
def fit(
    items: "Ints",
    order: "Ints",
    counts: "Ints",
    stocks: "Ints",
    preference: "Ints",
    spots: "Ints",
    used: "Ints",
    kept: "Ints",
    kerf: int,
    keep_long: int,
    keep_short: int,
) -> int:
    """Lay parts; returns 1 where all found room, else 0.

    Parameters
    ----------
    items : int64 array, n x 3
        Length and width with the kerf, and 1 where it may be turned.
    order : int64 array, n
        In which order items are taken.
    counts : int64 array, n
        How many of each.
    stocks : int64 array, m x 3
        Length and width that parts fill, kerf added, and how many there are.
    preference : int64 array, m
        In which order stocks are opened.
    spots : int64 array, at least 2 parts + 2 rows x 3
        Room for leftovers.
    used, kept : int64 array, m
        Filled: sheets taken of each stock, and the area of its leftovers worth keeping.
    kerf : int
        What a cut takes.
    keep_long, keep_short : int
        Least sides of a leftover worth keeping.
    """
    n = 0
    for s in range(stocks.shape[0]):
        used[s] = 0
        kept[s] = 0
    for j in range(order.shape[0]):
        t = order[j]
        for _ in range(counts[t]):
            best = -1.0e300
            at, wide, long, split = -1, 0, 0, 0
            for fresh in range(2):
                if fresh == 1:
                    if at >= 0:
                        break
                    opened = -1
                    for m in range(preference.shape[0]):
                        s = preference[m]
                        if used[s] < stocks[s, 2] and (
                            (items[t, 0] <= stocks[s, 0] and items[t, 1] <= stocks[s, 1])
                            or (items[t, 2] == 1 and items[t, 1] <= stocks[s, 0] and items[t, 0] <= stocks[s, 1])
                        ):
                            opened = s
                            break
                    if opened < 0:
                        return 0
                    used[opened] += 1
                    spots[n, 0] = stocks[opened, 0]
                    spots[n, 1] = stocks[opened, 1]
                    spots[n, 2] = opened
                    n += 1
                for k in range(n - 1 if fresh == 1 else max(0, n - _WINDOW), n):
                    a, b = spots[k, 0], spots[k, 1]
                    if (items[t, 0] > a or items[t, 1] > b) and (
                        items[t, 2] == 0 or items[t, 1] > a or items[t, 0] > b
                    ):
                        continue  # most places are too small for most parts: no roots for those
                    area = float(a) * float(b)
                    had = area * sqrt(sqrt(area))
                    for turn in range(1 + items[t, 2]):
                        p = items[t, turn]
                        q = items[t, 1 - turn]
                        if p > a or q > b:
                            continue
                        first = float(a - p) * float(b)
                        second = float(p) * float(b - q)
                        gain = first * sqrt(sqrt(first)) + second * sqrt(sqrt(second)) - had
                        if gain > best:
                            best, at, long, wide, split = gain, k, p, q, 0
                        first = float(a - p) * float(q)
                        second = float(a) * float(b - q)
                        gain = first * sqrt(sqrt(first)) + second * sqrt(sqrt(second)) - had
                        if gain > best:
                            best, at, long, wide, split = gain, k, p, q, 1
            a, b, s = spots[at, 0], spots[at, 1], spots[at, 2]
            n -= 1
            spots[at, 0], spots[at, 1], spots[at, 2] = spots[n, 0], spots[n, 1], spots[n, 2]
            for side in range(2):
                if side == 0:
                    p, q = a - long, (b if split == 0 else wide)
                else:
                    p, q = (long if split == 0 else a), b - wide
                if p > 0 and q > 0:
                    spots[n, 0], spots[n, 1], spots[n, 2] = p, q, s
                    n += 1
    for k in range(n):
        a, b = spots[k, 0] - kerf, spots[k, 1] - kerf
        if min(a, b) >= keep_short and max(a, b) >= keep_long:
            kept[spots[k, 2]] += a * b
    return 1
