"""Compiled reinsertion: parts go back where the loss of leftover worth is least.

Gardeyn and Wauters (2022) value leftovers by area to the power 1.2; square roots make 1.25 the same on every machine.
"""

# ruff: noqa: C901, PLR0912, PLR0917 - flat inner loops; compiled functions take their arrays one by one

from math import sqrt

from nesting.cutting.sheets.compiled import INT, REAL, REALS, ROW, TABLE, TOGETHER, TRUTH, Floats, Ints, inner
from nesting.cutting.sheets.kernel import (
    FREES,
    HEAD,
    LEAF,
    LONG,
    SLACK,
    TOP,
    VALUE,
    WIDE,
    below,
    draw,
    make,
    open_sheet,
)


@inner(REAL(INT, INT))
def worth(length: int, width: int) -> float:
    """Value of a leftover: area to the power 1.25."""
    area = float(length) * float(width)
    return area * sqrt(sqrt(area))


# arguments: compiled code takes arrays and numbers, no values that hold them
@inner(INT(TABLE, ROW, ROW, ROW, REALS, INT, INT, INT, INT, INT, TRUTH, INT))
def insert(
    node: Ints,
    free: Ints,
    book: Ints,
    spots: Ints,
    spot_worth: Floats,
    n: int,
    k: int,
    code: int,
    p: int,
    q: int,
    perpendicular: bool,
    least: int,
) -> int:
    """Put a leaf of p x q into the k-th spot; returns how many spots there are then."""
    i = spots[k]
    head = node[i, HEAD]
    if head == 0:
        room, depth, run, rise = node[i, SLACK], node[i, WIDE], p, q
    else:
        room, depth, run, rise = node[i, SLACK], node[i, LONG], q, p
    fresh_a = -1
    fresh_b = -1
    if perpendicular:
        if head == 0:
            fresh_a = make(node, free, book, i, 1, room, depth, depth - rise, -1)
            fresh_b = make(node, free, book, fresh_a, 0, room, rise, room - run, -1)
        else:
            fresh_a = make(node, free, book, i, 0, depth, room, depth - rise, -1)
            fresh_b = make(node, free, book, fresh_a, 1, rise, room, room - run, -1)
        make(node, free, book, fresh_b, LEAF, p, q, 0, code)
        node[i, SLACK] = 0
    elif rise < depth:
        if head == 0:
            fresh_a = make(node, free, book, i, 1, run, depth, depth - rise, -1)
        else:
            fresh_a = make(node, free, book, i, 0, depth, run, depth - rise, -1)
        make(node, free, book, fresh_a, LEAF, p, q, 0, code)
        node[i, SLACK] -= run
    else:
        make(node, free, book, i, LEAF, p, q, 0, code)
        node[i, SLACK] -= run
    if node[i, SLACK] >= least:
        spot_worth[k] = worth(node[i, SLACK], depth)
    else:
        n -= 1
        spots[k] = spots[n]
        spot_worth[k] = spot_worth[n]
    for fresh in (fresh_a, fresh_b):
        if fresh >= 0 and node[fresh, SLACK] >= least:
            across = node[fresh, WIDE] if node[fresh, HEAD] == 0 else node[fresh, LONG]
            if across >= least:
                spots[n] = fresh
                spot_worth[n] = worth(node[fresh, SLACK], across)
                n += 1
    return n


# arguments: compiled code takes arrays and numbers, no values that hold them
@inner(TOGETHER((INT, INT, TRUTH))(TABLE, ROW, ROW, REALS, INT, INT, INT, INT, INT))
def choose(
    node: Ints, book: Ints, spots: Ints, spot_worth: Floats, n: int, length: int, width: int, turns: int, blink: int
) -> tuple[int, int, bool]:
    """Best spot of a part: (index, turned, whether the cut across the row comes first), or index -1."""
    best = -1.0e300
    best_k = -1
    best_turn = 0
    best_perpendicular = False
    for k in range(n):
        i = spots[k]
        head = node[i, HEAD]
        if head == 0:
            a, b = node[i, SLACK], node[i, WIDE]
        else:
            a, b = node[i, LONG], node[i, SLACK]
        for turn in range(1 + turns):
            p, q = (width, length) if turn else (length, width)
            if p > a or q > b or (blink > 0 and below(book, 1000) < blink):
                continue
            gain = worth(a - p, b) + worth(p, b - q) - spot_worth[k]
            if gain > best:
                best, best_k, best_turn, best_perpendicular = gain, k, turn, head == 1 and p < a and q < b
            if p < a and q < b:
                gain = worth(a - p, q) + worth(a, b - q) - spot_worth[k]
                if gain > best:
                    best, best_k, best_turn, best_perpendicular = gain, k, turn, head == 0
    return best_k, best_turn, best_perpendicular


# arguments: compiled code takes arrays and numbers, no values that hold them
@inner(INT(ROW, TABLE, TABLE, ROW, INT, INT, INT, INT, INT))
def choose_stock(
    book: Ints, stocks: Ints, keys: Ints, used: Ints, key: int, budget: int, length: int, width: int, turns: int
) -> int:
    """Choose a stock to open, mostly the one whose next sheet is cheapest for its area, within the budget; or -1."""
    best = -1
    best_rate = 0.0
    fitting = 0
    wild = below(book, 3) == 0
    for s in range(stocks.shape[0]):
        n = used[s]
        if n >= stocks[s, 2] or key - keys[s, n] + keys[s, n + 1] > budget:
            continue
        fits = length <= stocks[s, 0] and width <= stocks[s, 1]
        if not fits and turns:
            fits = width <= stocks[s, 0] and length <= stocks[s, 1]
        if not fits:
            continue
        fitting += 1
        if wild:
            if below(book, fitting) == 0:
                best = s
        else:
            rate = (keys[s, n + 1] - keys[s, n]) / (float(stocks[s, 0]) * float(stocks[s, 1]))
            if best < 0 or rate < best_rate:
                best, best_rate = s, rate
    return best


@inner(INT(TABLE, ROW, ROW, REALS, INT))
def find_spots(node: Ints, book: Ints, spots: Ints, spot_worth: Floats, least: int) -> int:
    """List the leftovers that are not too narrow for every part; returns how many."""
    n = 0
    for i in range(book[TOP]):
        head = node[i, HEAD]
        if 0 <= head <= 1 and node[i, SLACK] >= least:
            across = node[i, WIDE] if head == 0 else node[i, LONG]
            if across >= least:
                spots[n] = i
                spot_worth[n] = worth(node[i, SLACK], across)
                n += 1
    return n


# arguments: compiled code takes arrays and numbers, no values that hold them
@inner(REAL(TABLE, ROW, ROW, TABLE, ROW, ROW, TABLE, TABLE, TABLE, INT, ROW, REALS, ROW, REALS, INT, INT))
def recreate(
    node: Ints,
    free: Ints,
    book: Ints,
    sheets: Ints,
    used: Ints,
    left: Ints,
    items: Ints,
    stocks: Ints,
    keys: Ints,
    budget: int,
    queue: Ints,
    rank: Floats,
    spots: Ints,
    spot_worth: Floats,
    blink: int,
    least: int,
) -> float:
    """Put parts back until none fits; returns the worth of what is left over."""
    m = 0
    mode = below(book, 8)
    for t in range(items.shape[0]):
        for _ in range(left[t]):
            length, width = items[t, 0], items[t, 1]
            u = draw(book) / 2147483648.0
            if mode <= 3:
                r = float(items[t, VALUE]) * (0.7 + 0.6 * u)
            elif mode <= 5:
                r = float(max(length, width)) * (0.8 + 0.4 * u)
            elif mode == 6:
                r = float(min(length, width)) * (0.8 + 0.4 * u)
            else:
                r = u
            j = m
            while j > 0 and rank[j - 1] < r:
                rank[j] = rank[j - 1]
                queue[j] = queue[j - 1]
                j -= 1
            rank[j] = r
            queue[j] = t
            m += 1
    key = 0
    for s in range(stocks.shape[0]):
        key += keys[s, used[s]]
    n = find_spots(node, book, spots, spot_worth, least)
    for j in range(m):
        t = queue[j]
        length, width, turns = items[t, 0], items[t, 1], items[t, 2]
        if book[FREES] < 4:
            break
        k, turn, perpendicular = choose(node, book, spots, spot_worth, n, length, width, turns, blink)
        if k < 0:
            s = choose_stock(book, stocks, keys, used, key, budget, length, width, turns)
            if s < 0:
                continue
            key += keys[s, used[s] + 1] - keys[s, used[s]]
            i = open_sheet(node, free, book, sheets, used, s, stocks[s, 0], stocks[s, 1])
            spots[n] = i
            spot_worth[n] = worth(stocks[s, 0], stocks[s, 1])
            n += 1
            spots[0], spots[n - 1] = spots[n - 1], spots[0]
            spot_worth[0], spot_worth[n - 1] = spot_worth[n - 1], spot_worth[0]
            k, turn, perpendicular = choose(node, book, spots, spot_worth, 1, length, width, turns, 0)
        p, q = (width, length) if turn else (length, width)
        n = insert(node, free, book, spots, spot_worth, n, k, 2 * t + turn, p, q, perpendicular, least)
        left[t] -= 1
    total = 0.0
    for k in range(n):
        total += spot_worth[k]
    return total
