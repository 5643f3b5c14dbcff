"""Compiled ruin and recreate on cut trees.

After Gardeyn and Wauters (2022, doi:10.1016/j.ejor.2021.11.031): the state is a set of sheets divided by cut trees,
with some parts left out. Each step removes a few random nodes of the trees, puts parts back where the loss of
leftover worth is least (skipping a few choices at random), and opens sheets only while the total key stays within the
budget. States are compared by the area left out (or another value of the parts), then by the worth of leftovers, under
late acceptance (Burke and Bykov 2017, doi:10.1016/j.ejor.2016.07.012). Ours differ in the order of reinsertion, in
drawing rows together when their widest part goes, and in the random numbers (xorshift64*, Vigna 2016,
doi:10.1145/2845077), which are our own integers so that every machine draws the same.

Nodes are rows of one integer array. A node is a leaf or divides its rectangle in one direction; what is left over at
its end is its slack. Every branch spans its parent's whole width; a leaf fills its rectangle.
"""

# ruff: noqa: C901, PLR0912, PLR0917 - the inner loops are flat on purpose, and compiled functions take their arrays one by one

import numpy as np

from nesting.cutting.sheets.compiled import INT, NOTHING, ROW, TABLE, TRUTH, Ints, compiled, inner

# Fields of a node.
HEAD, LONG, WIDE, SLACK, UP, FIRST, NEXT, PREV, CODE, SHEET = range(10)
FIELDS = 10
FREE, LEAF = -1, 2

# Field of an item that holds its value, and of a stock that holds what a full sheet is worth.
VALUE = 3

# Fields of the book-keeping array.
SHEETS, FREES, TOP, STEP, POOLED, POOL_END, RNG, HISTORY = range(8)
BOOKS = 8


@inner(INT(ROW))
def draw(book: Ints) -> int:
    """Next random integer, 0 to 2**31 - 1."""
    x = np.uint64(book[RNG])
    x ^= x >> np.uint64(12)
    x ^= x << np.uint64(25)
    x ^= x >> np.uint64(27)
    book[RNG] = np.int64(x)
    return int((x * np.uint64(2685821657736338717)) >> np.uint64(33))


@inner(INT(ROW, INT))
def below(book: Ints, n: int) -> int:
    """Random integer, 0 to n - 1."""
    return draw(book) * n >> 31


@inner(INT(ROW, ROW))
def take_node(free: Ints, book: Ints) -> int:
    """Take a row that is free."""
    book[FREES] -= 1
    i = int(free[book[FREES]])
    if i >= book[TOP]:
        book[TOP] = i + 1
    return i


@inner(NOTHING(TABLE, ROW, ROW, INT))
def give_node(node: Ints, free: Ints, book: Ints, i: int) -> None:
    """Free a row."""
    node[i, HEAD] = FREE
    free[book[FREES]] = i
    book[FREES] += 1


@inner(NOTHING(TABLE, INT, INT))
def attach(node: Ints, parent: int, i: int) -> None:
    """Make a node the first branch of its parent."""
    first = node[parent, FIRST]
    node[i, UP] = parent
    node[i, PREV] = -1
    node[i, NEXT] = first
    if first >= 0:
        node[first, PREV] = i
    node[parent, FIRST] = i


# arguments: compiled code takes arrays and numbers, no values that hold them
@compiled(INT(TABLE, ROW, ROW, INT, INT, INT, INT, INT, INT))
def make(
    node: Ints, free: Ints, book: Ints, parent: int, head: int, length: int, width: int, slack: int, code: int
) -> int:
    """Make a node and attach it."""
    i = take_node(free, book)
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


# arguments: compiled code takes arrays and numbers, no values that hold them
@compiled(INT(TABLE, ROW, ROW, TABLE, ROW, INT, INT, INT))
def open_sheet(
    node: Ints, free: Ints, book: Ints, sheets: Ints, used: Ints, stock: int, length: int, width: int
) -> int:
    """Open a sheet of a stock; returns its root."""
    i = make(node, free, book, -1, 0, length, width, length, -1)
    b = book[SHEETS]
    node[i, SHEET] = b
    sheets[b, 0] = i
    sheets[b, 1] = stock
    book[SHEETS] = b + 1
    used[stock] += 1
    return i


@inner(INT(TABLE, INT))
def shrink(node: Ints, i: int) -> int:
    """Draw a row's width in to what its branches need; the gain becomes its parent's slack. Returns the gain."""
    parent = node[i, UP]
    if parent < 0 or node[i, HEAD] == LEAF:
        return 0
    gain = 1 << 62
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


# arguments: compiled code takes arrays and numbers, no values that hold them
@compiled(NOTHING(TABLE, ROW, ROW, TABLE, ROW, ROW, ROW, INT, TRUTH))
def remove(
    node: Ints, free: Ints, book: Ints, sheets: Ints, used: Ints, left: Ints, stack: Ints, i: int, tighten: bool
) -> None:
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


@compiled(INT(ROW, TABLE))
def left_value(left: Ints, items: Ints) -> int:
    """Value of the parts left out."""
    value = 0
    for t in range(items.shape[0]):
        value += left[t] * items[t, VALUE]
    return value


@inner(NOTHING(TABLE, TABLE, INT))
def copy_rows(source: Ints, target: Ints, n: int) -> None:
    """Copy the first rows. In loops, since a slice takes seconds to compile for the message of its error."""
    for i in range(n):
        for k in range(source.shape[1]):
            target[i, k] = source[i, k]


@inner(NOTHING(ROW, ROW, INT))
def copy_values(source: Ints, target: Ints, n: int) -> None:
    """Copy the first values."""
    for i in range(n):
        target[i] = source[i]


# arguments: compiled code takes arrays and numbers, no values that hold them
@compiled(NOTHING(TABLE, ROW, ROW, TABLE, ROW, ROW, TABLE, ROW, TABLE, ROW, ROW, ROW))
def copy_state(
    node: Ints,
    free: Ints,
    book: Ints,
    sheets: Ints,
    used: Ints,
    left: Ints,
    node2: Ints,
    free2: Ints,
    sheets2: Ints,
    used2: Ints,
    left2: Ints,
    counts: Ints,
) -> None:
    """Copy a state; counts keeps (sheets, frees, top) of the copy."""
    top = book[TOP]
    copy_rows(node, node2, top)
    copy_values(free, free2, book[FREES])
    copy_rows(sheets, sheets2, book[SHEETS])
    copy_values(used, used2, used.shape[0])
    copy_values(left, left2, left.shape[0])
    counts[0], counts[1], counts[2] = book[SHEETS], book[FREES], top


# arguments: compiled code takes arrays and numbers, no values that hold them
@inner(NOTHING(TABLE, ROW, ROW, TABLE, ROW, ROW, TABLE, ROW, TABLE, ROW, ROW, ROW))
def restore_state(
    node: Ints,
    free: Ints,
    book: Ints,
    sheets: Ints,
    used: Ints,
    left: Ints,
    node2: Ints,
    free2: Ints,
    sheets2: Ints,
    used2: Ints,
    left2: Ints,
    counts: Ints,
) -> None:
    """Bring a copied state back."""
    top = counts[2]
    copy_rows(node2, node, top)
    for i in range(top, book[TOP]):
        node[i, HEAD] = FREE
    copy_values(free2, free, counts[1])
    copy_rows(sheets2, sheets, counts[0])
    copy_values(used2, used, used.shape[0])
    copy_values(left2, left, left.shape[0])
    book[SHEETS], book[FREES], book[TOP] = counts[0], counts[1], top
