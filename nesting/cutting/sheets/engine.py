"""Compiled search: steps of ruin and recreate under a budget, and a pool of the sheets met on the way."""

# ruff: noqa: PLR0917 - compiled functions take their arrays one by one

from nesting.cutting.sheets.compiled import (
    INT,
    NOTHING,
    REAL_TABLE,
    REALS,
    ROW,
    TABLE,
    TOGETHER,
    WORDS,
    Arrays,
    Floats,
    Ints,
    Words,
    compiled,
    inner,
)
from nesting.cutting.sheets.kernel import (
    CODE,
    FIRST,
    FREE,
    FREES,
    HEAD,
    HISTORY,
    LEAF,
    NEXT,
    POOL_END,
    POOLED,
    SHEETS,
    STEP,
    TOP,
    UP,
    VALUE,
    below,
    copy_state,
    left_value,
    remove,
    restore_state,
)
from nesting.cutting.sheets.recreate import find_spots, recreate

# Ends of branches in a sheet written down as a row of integers: -1 - head opens a node, CLOSE ends it.
CLOSE = -3


@compiled(INT(TABLE, INT, WORDS, INT))
def write_sheet(node: Ints, root: int, out: Words, start: int) -> int:
    """Write a cut tree in preorder; returns the end."""
    end = start
    i = root
    while True:
        if node[i, HEAD] == LEAF:
            out[end] = node[i, CODE]
            end += 1
        else:
            out[end] = -1 - node[i, HEAD]
            end += 1
            if node[i, FIRST] >= 0:
                i = node[i, FIRST]
                continue
            out[end] = CLOSE
            end += 1
        while i != root and node[i, NEXT] < 0:
            i = node[i, UP]
            out[end] = CLOSE
            end += 1
        if i == root:
            return end
        i = node[i, NEXT]


# arguments: compiled code takes arrays and numbers, no values that hold them
@inner(NOTHING(TABLE, ROW, TABLE, TABLE, TABLE, ROW, ROW, TABLE, WORDS, ROW, INT))
def pool_sheets(
    node: Ints,
    book: Ints,
    sheets: Ints,
    items: Ints,
    stocks: Ints,
    signs: Ints,
    slots: Ints,
    pool: Ints,
    words: Words,
    stack: Ints,
    fill: int,
) -> None:
    """Add every sheet worth `fill` thousandths of a full one or more, unless its parts were seen on the same stock."""
    size = slots.shape[0]
    for b in range(book[SHEETS]):
        root, stock = sheets[b, 0], sheets[b, 1]
        sign = signs[items.shape[0] + stock]
        value = 0
        parts = 0
        n = 1
        stack[0] = root
        while n > 0:
            n -= 1
            i = stack[n]
            if node[i, HEAD] == LEAF:
                t = node[i, CODE] >> 1
                sign += signs[t]
                value += items[t, VALUE]
                parts += 1
            else:
                c = node[i, FIRST]
                while c >= 0:
                    stack[n] = c
                    n += 1
                    c = node[c, NEXT]
        if float(value) * 1000.0 < fill * float(stocks[stock, VALUE]):
            continue
        slot = sign & (size - 1)
        while slots[slot] != 0 and slots[slot] != sign:
            slot = (slot + 1) & (size - 1)
        if slots[slot] == sign:
            continue
        if book[POOLED] >= pool.shape[0] or book[POOL_END] + 8 * parts + 8 > words.shape[0]:
            return
        slots[slot] = sign
        k = book[POOLED]
        pool[k, 0] = stock
        pool[k, 1] = book[POOL_END]
        end = write_sheet(node, root, words, book[POOL_END])
        pool[k, 2] = end
        pool[k, 3] = value
        book[POOL_END] = end
        book[POOLED] = k + 1


# arguments: compiled code takes arrays and numbers, no values that hold them
@inner(NOTHING(TABLE, ROW, ROW, TABLE, ROW, ROW, ROW, INT, INT))
def ruin(
    node: Ints, free: Ints, book: Ints, sheets: Ints, used: Ints, left: Ints, stack: Ints, mean: int, whole: int
) -> None:
    """Remove a few random nodes, or now and then whole sheets."""
    tighten = below(book, 2) == 0
    if below(book, 1000) < whole and book[SHEETS] > 0:
        for _ in range(1 + below(book, 2)):
            if book[SHEETS] > 0:
                b = below(book, book[SHEETS])
                remove(node, free, book, sheets, used, left, stack, sheets[b, 0], False)
        mean = 1 + mean // 2
    wanted = 1 + below(book, 2 * mean - 1)
    for _ in range(wanted):
        if book[SHEETS] == 0:
            break
        for _ in range(50):
            i = below(book, book[TOP])
            if node[i, HEAD] != FREE:
                break
        else:
            continue
        if node[i, UP] < 0 and below(book, 4) != 0:
            continue
        remove(node, free, book, sheets, used, left, stack, i, tighten)
    while book[FREES] < 16 and book[SHEETS] > 0:
        remove(node, free, book, sheets, used, left, stack, sheets[below(book, book[SHEETS]), 0], False)


# arguments: compiled code takes arrays and numbers, no values that hold them
@compiled(
    INT(
        TOGETHER((TABLE, ROW, ROW, TABLE, ROW, ROW)),
        TOGETHER((TABLE, ROW, TABLE, ROW, ROW, ROW)),
        TOGETHER((TABLE, ROW, TABLE, ROW, ROW, ROW)),
        TOGETHER((TABLE, TABLE, TABLE)),
        TOGETHER((ROW, ROW, TABLE, WORDS)),
        TOGETHER((ROW, REALS, ROW, REALS, ROW)),
        REAL_TABLE,
        INT,
        INT,
        ROW,
    )
)
def search(
    state: Arrays,
    saved: Arrays,
    best: Arrays,
    task: Arrays,
    pools: Arrays,
    room: Arrays,
    history: Floats,
    budget: int,
    steps: int,
    tuning: Ints,
) -> int:
    """Run ruin and recreate until nothing is left out or `steps` are used up; returns the steps used.

    Parameters
    ----------
    state, saved, best : tuple of arrays
        node, free, sheets, used, left of the state at work, its copy, and the best state; counts of copies.
    task : tuple of arrays
        items (length, width, turns, value), stocks (length, width, limit, value of a full sheet), keys of numbers of
        sheets.
    pools : tuple of arrays
        signs, slots, pool, words.
    room : tuple of arrays
        queue, rank, spots, worth of spots, stack.
    history : float array (n, 2)
        Late acceptance: value left out and worth of leftovers.
    budget : int
        Key that the sheets may not exceed.
    tuning : int array
        mean number of nodes removed, thousandths of whole-sheet ruins, thousandths of choices skipped, least side,
        thousandths of a full sheet's value for the pool, steps between pooling.
    """
    node, free, book, sheets, used, left = state
    node2, free2, sheets2, used2, left2, counts2 = saved
    node3, free3, sheets3, used3, left3, counts3 = best
    items, stocks, keys = task
    signs, slots, pool, words = pools
    queue, rank, spots, spot_worth, stack = room
    mean, whole, blink, least, fill, every = tuning
    n = find_spots(node, book, spots, spot_worth, least)
    now_worth = 0.0
    for k in range(n):
        now_worth += spot_worth[k]
    now_left = float(left_value(left, items))
    best_left = float(left_value(left3, items))
    size = history.shape[0]
    copy_state(node, free, book, sheets, used, left, node2, free2, sheets2, used2, left2, counts2)
    for step in range(steps):
        ruin(node, free, book, sheets, used, left, stack, mean, whole)
        new_worth = recreate(
            node,
            free,
            book,
            sheets,
            used,
            left,
            items,
            stocks,
            keys,
            budget,
            queue,
            rank,
            spots,
            spot_worth,
            blink,
            least,
        )
        new_left = float(left_value(left, items))
        book[STEP] += 1
        h = book[HISTORY]
        book[HISTORY] = (h + 1) % size
        accept = (
            new_left < now_left
            or (new_left == now_left and new_worth >= now_worth)
            or new_left < history[h, 0]
            or (new_left == history[h, 0] and new_worth >= history[h, 1])
        )
        if accept:
            now_left, now_worth = new_left, new_worth
            copy_state(node, free, book, sheets, used, left, node2, free2, sheets2, used2, left2, counts2)
            if new_left < best_left:
                best_left = new_left
                copy_state(node, free, book, sheets, used, left, node3, free3, sheets3, used3, left3, counts3)
                pool_sheets(node, book, sheets, items, stocks, signs, slots, pool, words, stack, fill)
            elif book[STEP] % every == 0:
                pool_sheets(node, book, sheets, items, stocks, signs, slots, pool, words, stack, fill)
            if new_left == 0.0:
                return step + 1
        else:
            restore_state(node, free, book, sheets, used, left, node2, free2, sheets2, used2, left2, counts2)
        if now_left < history[h, 0] or (now_left == history[h, 0] and now_worth > history[h, 1]):
            history[h, 0] = now_left
            history[h, 1] = now_worth
    return steps
