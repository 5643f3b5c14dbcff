"""Compiled ruin and recreate on cut trees.

After Gardeyn and Wauters (2022, doi:10.1016/j.ejor.2021.11.031): the state is a set of sheets divided by cut trees, with some
parts left out. Each step removes a few random nodes of the trees, puts parts back where the loss of leftover worth is least
(skipping a few choices at random), and opens sheets only while the total key stays within the budget. States are compared by
the area left out, then by the worth of leftovers, under late acceptance (Burke and Bykov 2017, doi:10.1016/j.ejor.2016.07.012).
Ours differ in the order of reinsertion, in drawing rows together when their widest part goes, and in the random numbers
(xorshift64*, Vigna 2016, doi:10.1145/2845077), which are our own integers so that every machine draws the same.

Nodes are rows of one integer array. A node is a leaf or divides its rectangle in one direction; what is left over at its end
is its slack. Every branch spans its parent's whole width; a leaf fills its rectangle.
"""

from math import sqrt

import numpy as np

from nesting.sheets.compiled import compiled

# Fields of a node.
HEAD, LONG, WIDE, SLACK, UP, FIRST, NEXT, PREV, CODE, SHEET = range(10)
FIELDS = 10
FREE, LEAF = -1, 2

# Fields of the book-keeping array.
SHEETS, FREES, TOP, STEP, POOLED, POOL_END, RNG, HISTORY = range(8)
BOOKS = 8


@compiled
def worth(length, width):
    area = float(length) * float(width)
    return area * sqrt(sqrt(area))


@compiled
def draw(book):
    """Next random integer, 0 to 2**31 - 1."""
    x = np.uint64(book[RNG])
    x ^= x >> np.uint64(12)
    x ^= x << np.uint64(25)
    x ^= x >> np.uint64(27)
    book[RNG] = np.int64(x)
    return np.int64((x * np.uint64(2685821657736338717)) >> np.uint64(33))


@compiled
def below(book, n):
    """Random integer, 0 to n - 1."""
    return (draw(book) * n) >> 31


@compiled
def take_node(node, free, book):
    book[FREES] -= 1
    i = free[book[FREES]]
    if i >= book[TOP]:
        book[TOP] = i + 1
    return i


@compiled
def give_node(node, free, book, i):
    node[i, HEAD] = FREE
    free[book[FREES]] = i
    book[FREES] += 1


@compiled
def attach(node, parent, i):
    first = node[parent, FIRST]
    node[i, UP] = parent
    node[i, PREV] = -1
    node[i, NEXT] = first
    if first >= 0:
        node[first, PREV] = i
    node[parent, FIRST] = i


@compiled
def make(node, free, book, parent, head, length, width, slack, code):
    """Make a node and attach it."""
    i = take_node(node, free, book)
    node[i, HEAD] = head
    node[i, LONG] = length
    node[i, WIDE] = width
    node[i, SLACK] = slack
    node[i, FIRST] = -1
    node[i, CODE] = code
    node[i, SHEET] = -1
    if parent >= 0:
        attach(node, parent, i)
    else:
        node[i, UP] = -1
        node[i, NEXT] = -1
        node[i, PREV] = -1
    return i


@compiled
def open_sheet(node, free, book, sheets, used, stock, length, width):
    i = make(node, free, book, -1, 0, length, width, length, -1)
    b = book[SHEETS]
    node[i, SHEET] = b
    sheets[b, 0] = i
    sheets[b, 1] = stock
    book[SHEETS] = b + 1
    used[stock] += 1
    return i


@compiled
def shrink(node, i):
    """Draw a row's width in to what its branches need; the gain becomes its parent's slack. Returns the gain."""
    parent = node[i, UP]
    if parent < 0 or node[i, HEAD] == LEAF:
        return 0
    gain = np.int64(2) ** 62
    c = node[i, FIRST]
    while c >= 0:
        if node[c, HEAD] == LEAF:
            return 0
        gain = min(gain, node[c, SLACK])
        if gain == 0:
            return 0
        c = node[c, NEXT]
    field = WIDE if node[i, HEAD] == 0 else LONG
    c = node[i, FIRST]
    while c >= 0:
        node[c, SLACK] -= gain
        node[c, field] -= gain
        c = node[c, NEXT]
    node[i, field] -= gain
    node[parent, SLACK] += gain
    return gain


@compiled
def remove(node, free, book, sheets, used, left, stack, i, tighten):
    """Take a subtree out; its parts are left out, its room becomes slack. Empty parents and sheets go too."""
    while True:
        parent = node[i, UP]
        if parent < 0 or node[parent, FIRST] != i or node[i, NEXT] >= 0 or node[parent, UP] < 0:
            break
        i = parent
    parent = node[i, UP]
    if parent >= 0 and node[parent, FIRST] == i and node[i, NEXT] < 0:
        i = parent  # the only branch of a root: the sheet becomes empty
        parent = -1
    if parent >= 0:
        before, after = node[i, PREV], node[i, NEXT]
        if before >= 0:
            node[before, NEXT] = after
        else:
            node[parent, FIRST] = after
        if after >= 0:
            node[after, PREV] = before
        node[parent, SLACK] += node[i, LONG] if node[parent, HEAD] == 0 else node[i, WIDE]
    else:
        b = node[i, SHEET]
        used[sheets[b, 1]] -= 1
        last = book[SHEETS] - 1
        book[SHEETS] = last
        if b != last:
            sheets[b, 0] = sheets[last, 0]
            sheets[b, 1] = sheets[last, 1]
            node[sheets[b, 0], SHEET] = b
    stack[0] = i
    n = 1
    while n > 0:
        n -= 1
        j = stack[n]
        if node[j, HEAD] == LEAF:
            left[node[j, CODE] >> 1] += 1
        else:
            c = node[j, FIRST]
            while c >= 0:
                stack[n] = c
                n += 1
                c = node[c, NEXT]
        give_node(node, free, book, j)
    if tighten:
        while parent >= 0 and node[parent, UP] >= 0:
            shrink(node, parent)
            parent = node[parent, UP]


@compiled
def insert(node, free, book, spots, spot_worth, n, k, code, p, q, perpendicular, least):
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


@compiled
def choose(node, book, spots, spot_worth, n, length, width, turns, blink):
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


@compiled
def choose_stock(book, stocks, keys, used, key, budget, length, width, turns):
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


@compiled
def find_spots(node, book, spots, spot_worth, least):
    n = 0
    for i in range(book[TOP]):
        head = node[i, HEAD]
        if (head == 0 or head == 1) and node[i, SLACK] >= least:
            across = node[i, WIDE] if head == 0 else node[i, LONG]
            if across >= least:
                spots[n] = i
                spot_worth[n] = worth(node[i, SLACK], across)
                n += 1
    return n


@compiled
def recreate(node, free, book, sheets, used, left, items, stocks, keys, budget, queue, rank, spots, spot_worth, blink, least):
    """Put parts back until none fits; returns the worth of what is left over."""
    m = 0
    mode = below(book, 8)
    for t in range(items.shape[0]):
        for _ in range(left[t]):
            length, width = items[t, 0], items[t, 1]
            u = draw(book) / 2147483648.0
            if mode <= 3:
                r = float(length) * float(width) * (0.7 + 0.6 * u)
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


@compiled
def left_area(left, items):
    area = 0
    for t in range(items.shape[0]):
        area += left[t] * items[t, 0] * items[t, 1]
    return area


@compiled
def copy_state(node, free, book, sheets, used, left, node2, free2, sheets2, used2, left2, counts):
    """Copy a state; counts keeps (sheets, frees, top) of the copy."""
    top = book[TOP]
    node2[:top] = node[:top]
    free2[: book[FREES]] = free[: book[FREES]]
    sheets2[: book[SHEETS]] = sheets[: book[SHEETS]]
    used2[:] = used
    left2[:] = left
    counts[0], counts[1], counts[2] = book[SHEETS], book[FREES], top


@compiled
def restore_state(node, free, book, sheets, used, left, node2, free2, sheets2, used2, left2, counts):
    """Bring a copied state back."""
    top = counts[2]
    node[:top] = node2[:top]
    for i in range(top, book[TOP]):
        node[i, HEAD] = FREE
    free[: counts[1]] = free2[: counts[1]]
    sheets[: counts[0]] = sheets2[: counts[0]]
    used[:] = used2
    left[:] = left2
    book[SHEETS], book[FREES], book[TOP] = counts[0], counts[1], top
