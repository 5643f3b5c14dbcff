"""Compiled listing of all sets of parts that one sheet holds and that are worth a given value.

A set is a bit mask over at most 126 single parts, in two words. What is needed of a set is the list of least pieces
that it can be cut from, edge to edge (Wang 1983, doi:10.1287/opre.31.3.573, made exhaustive): the least pieces of a set
come from those of every two sets that it falls into. They are remembered by set, since each set is part of many.
"""

# ruff: noqa: C901, PLR0911, PLR0912, PLR0915, PLR0917 - flat compiled loops, which take their arrays one by one

import numpy as np

from nesting.cutting.sheets.compiled import INT, ROW, TABLE, TRUTH, WORDS, Ints, Words, compiled, inner

# More parts than this on one sheet are not looked at.
DEEPEST = 16

# Ends of a listing: complete, cut short by the room for sets or by the work allowed.
DONE, FULL, SPENT = 0, 1, 2

# Fields of the notebook that a listing keeps.
SETS, PIECES, WORK, FOUND, SHORT = range(5)


@inner(INT(ROW, ROW, INT, INT))
def slot_of(low: Ints, high: Ints, a: int, b: int) -> int:
    """Where a set is in the memory, or would be."""
    size = low.shape[0]
    x = np.uint64(a) * np.uint64(0x9E3779B97F4A7C15) ^ (np.uint64(b) + np.uint64(0x632BE59BD9B4E019)) * np.uint64(
        0xD6E8FEB86659FD93
    )
    x ^= x >> np.uint64(29)
    x *= np.uint64(0xBF58476D1CE4E5B9)
    x ^= x >> np.uint64(32)
    slot = np.int64(x & np.uint64(size - 1))
    while (low[slot] != a or high[slot] != b) and (low[slot] != 0 or high[slot] != 0):
        slot = (slot + 1) & (size - 1)
    return int(slot)


# arguments: compiled code takes arrays and numbers, no values that hold them
@inner(TRUTH(TABLE, INT, INT, ROW, ROW, ROW, ROW, ROW, ROW, ROW, WORDS, WORDS, ROW, ROW, INT, INT))
def holds(
    parts: Ints,
    length: int,
    width: int,
    note: Ints,
    low: Ints,
    high: Ints,
    starts: Ints,
    counts: Ints,
    mine_low: Ints,
    mine_high: Ints,
    piece_long: Words,
    piece_wide: Words,
    slots: Ints,
    least: Ints,
    depth: int,
    part: int,
) -> bool:
    """Whether a sheet holds the parts of the path and one more; their sets are remembered.

    `mine_low`, `mine_high` and `slots` stand for the sets of the path's parts, by the mask of their places in it.
    """
    bit_low = 1 << part if part < 63 else 0
    bit_high = 1 << (part - 63) if part >= 63 else 0
    top = 1 << depth
    for m in range(top):
        whole = top | m
        a, b = mine_low[m] | bit_low, mine_high[m] | bit_high
        mine_low[whole], mine_high[whole] = a, b
        slot = slot_of(low, high, a, b)
        slots[whole] = slot
        if low[slot] == 0 and high[slot] == 0:
            if 2 * note[SETS] > low.shape[0] or note[PIECES] + length > piece_long.shape[0]:
                note[SHORT] = FULL
                return False
            low[slot], high[slot] = a, b
            note[SETS] += 1
            start = note[PIECES]
            end = start
            if m == 0:
                for turn in range(1 + parts[part, 2]):
                    p, q = (parts[part, 1], parts[part, 0]) if turn else (parts[part, 0], parts[part, 1])
                    if p <= length and q <= width:
                        least[p] = min(least[p], q)
            else:
                sub = m
                while True:  # one side has the new part, the other does not and is not empty
                    first, second = slots[whole ^ sub], slots[sub]
                    for i in range(starts[first], starts[first] + counts[first]):
                        for j in range(starts[second], starts[second] + counts[second]):
                            x = piece_long[i] + piece_long[j]
                            if x <= length:
                                least[x] = min(least[x], max(piece_wide[i], piece_wide[j]))
                            y = piece_wide[i] + piece_wide[j]
                            if y <= width:
                                x = max(piece_long[i], piece_long[j])
                                least[x] = min(least[x], y)
                    note[WORK] += 1
                    sub = (sub - 1) & m
                    if sub == 0:
                        break
            narrowest = width + 1
            for x in range(length + 1):
                if least[x] < narrowest:
                    narrowest = least[x]
                    piece_long[end] = x
                    piece_wide[end] = narrowest
                    end += 1
                least[x] = width + 1
            starts[slot] = start
            counts[slot] = end - start
            note[PIECES] = end
        if counts[slot] == 0:
            return False
    return True


# arguments: compiled code takes arrays and numbers, no values that hold them
@compiled(
    INT(
        TABLE,
        TABLE,
        TABLE,
        ROW,
        ROW,
        INT,
        INT,
        INT,
        INT,
        INT,
        INT,
        ROW,
        ROW,
        ROW,
        ROW,
        ROW,
        WORDS,
        WORDS,
        ROW,
        ROW,
        ROW,
    )
)
def list_sets(
    parts: Ints,
    scaled: Ints,
    ranked: Ints,
    rooms: Ints,
    ends: Ints,
    length: int,
    width: int,
    worth: int,
    each: int,
    work: int,
    share: int,
    note: Ints,
    low: Ints,
    high: Ints,
    starts: Ints,
    counts: Ints,
    piece_long: Words,
    piece_wide: Words,
    out_low: Ints,
    out_high: Ints,
    out_value: Ints,
) -> int:
    """List all sets worth `worth` or more that a sheet holds and to which no part can be added.

    Parameters
    ----------
    parts : int array (n, 6)
        Length, width, whether it turns, value, area, and the equal part before it or -1; equal parts stand together.
    scaled : int array (m, n)
        Areas of the parts, plain and as dual feasible functions scale them: what a sheet holds has no more of any than
        `rooms` of them says.
    ends : int array (n)
        From which part on none is the second of a set whose first is this one; negative where it is the first of none.
    ranked : int array (m, n)
        The parts by value for each area, highest first.
    each : int
        Sets listed with the same first part, at most.
    work : int
        Pairs of sets that may be joined.
    share : int
        And of those with the same first part.
    note : int array
        What is remembered, in numbers; kept from listing to listing.

    Returns
    -------
    int
        `DONE` where all were listed, or why not.
    """
    n = parts.shape[0]
    room = length * width
    chosen = np.zeros(DEEPEST + 2, np.int64)
    candidates = np.zeros((DEEPEST + 2, n), np.int64)
    sizes = np.zeros(DEEPEST + 2, np.int64)
    at = np.zeros(DEEPEST + 2, np.int64)
    areas = np.zeros(DEEPEST + 2, np.int64)
    values = np.zeros(DEEPEST + 2, np.int64)
    sums = np.zeros((DEEPEST + 3, scaled.shape[0]), np.int64)
    is_tried = np.zeros(n, np.int64)  # 1 does not fit, 2 fits
    is_in = np.zeros(n, np.int64)  # 1 on the path, 2 a candidate
    mine_low = np.zeros(1 << (DEEPEST + 1), np.int64)
    mine_high = np.zeros(1 << (DEEPEST + 1), np.int64)
    slots = np.zeros(1 << (DEEPEST + 1), np.int64)
    least = np.full(length + 1, width + 1, np.int64)
    end = DONE
    note[WORK] = 0
    note[FOUND] = 0
    note[SHORT] = DONE
    for i in range(n):
        if parts[i, 5] < 0:
            candidates[0, sizes[0]] = i
            sizes[0] += 1
    depth = 0
    listed, began = 0, 0
    while depth >= 0:
        if at[depth] >= sizes[depth]:
            depth -= 1
            if depth >= 0:
                is_in[chosen[depth]] = 0
            continue
        if 3 * note[SETS] > low.shape[0] or 2 * note[PIECES] > piece_long.shape[0]:  # forget all but the path
            low[:] = 0
            high[:] = 0
            note[SETS] = 0
            note[PIECES] = 0
            for k in range(depth):
                holds(
                    parts, length, width, note, low, high, starts, counts, mine_low, mine_high, piece_long, piece_wide,
                    slots, least, k, chosen[k],
                )  # fmt: skip
        j = candidates[depth, at[depth]]
        at[depth] += 1
        if depth == 0:
            listed, began = 0, note[WORK]
        elif listed >= each or note[WORK] - began > share:
            end = FULL
            continue
        if depth == 1 and j >= ends[chosen[0]]:
            at[1] = sizes[1]
            continue
        area, value = areas[depth] + parts[j, 4], values[depth] + parts[j, 3]
        if area > room or (depth == 0 and ends[j] < 0):
            continue
        # what the candidates after this one and their copies could add, by area alone
        following = j + 1 if j + 1 < n and parts[j + 1, 5] == j else -1
        for mark in range(2, -1, -2):
            for k in range(at[depth] - 1, sizes[depth]):
                i = candidates[depth, k]
                if i != j:
                    is_in[i] = mark
                while i + 1 < n and parts[i + 1, 5] == i:
                    i += 1
                    is_in[i] = mark
            if mark == 2:
                enough = True
                for q in range(scaled.shape[0]):
                    left, more = rooms[q] - sums[depth, q] - scaled[q, j], value
                    sums[depth + 1, q] = sums[depth, q] + scaled[q, j]
                    if left < 0:
                        enough = False
                        break
                    for k in range(n):
                        i = ranked[q, k]
                        if is_in[i] == 2 and parts[i, 4] <= room - area:
                            each_area = scaled[q, i]
                            if each_area > left:
                                more += parts[i, 3] * left // each_area + 1
                                break
                            left -= each_area
                            more += parts[i, 3]
                            if more >= worth:
                                break
                    if more < worth:
                        enough = False
                        break
        if not enough:
            continue
        if not holds(
            parts, length, width, note, low, high, starts, counts, mine_low, mine_high, piece_long, piece_wide, slots,
            least, depth, j,
        ):  # fmt: skip
            if note[SHORT] != DONE:
                return int(note[SHORT])
            continue
        if note[WORK] > work:
            return SPENT
        chosen[depth] = j
        is_in[j] = 1
        deeper = depth + 1
        if deeper >= DEEPEST:
            return FULL
        # Of the candidates those are tried first that count for what may be added by area: often they are enough to
        # tell that it is too little.
        for k in range(at[depth] - 1, sizes[depth]):
            i = candidates[depth, k]
            if i != j:
                is_in[i] = 2
            while i + 1 < n and parts[i + 1, 5] == i:
                i += 1
                is_in[i] = 2
        left, more = room - area, value
        for k in range(n):
            i = ranked[0, k]
            if is_in[i] == 2 and parts[i, 4] <= room - area:
                if parts[i, 5] < 0 or is_in[parts[i, 5]] == 1:
                    is_tried[i] = holds(
                        parts, length, width, note, low, high, starts, counts, mine_low, mine_high, piece_long,
                        piece_wide, slots, least, deeper, i,
                    ) + 1  # fmt: skip
                    if is_tried[i] == 1:
                        continue
                if parts[i, 4] > left:
                    more += parts[i, 3] * left // parts[i, 4] + 1
                    break
                left -= parts[i, 4]
                more += parts[i, 3]
                if more >= worth:
                    break
        size = 0
        if more >= worth:
            if following >= 0 and area + parts[following, 4] <= room:
                if is_tried[following] == 0:
                    is_tried[following] = holds(
                        parts, length, width, note, low, high, starts, counts, mine_low, mine_high, piece_long,
                        piece_wide, slots, least, deeper, following,
                    ) + 1  # fmt: skip
                if is_tried[following] == 2:
                    candidates[deeper, size] = following
                    size += 1
            for k in range(at[depth], sizes[depth]):
                i = candidates[depth, k]
                if area + parts[i, 4] <= room:
                    if is_tried[i] == 0:
                        is_tried[i] = holds(
                            parts, length, width, note, low, high, starts, counts, mine_low, mine_high, piece_long,
                            piece_wide, slots, least, deeper, i,
                        ) + 1  # fmt: skip
                    if is_tried[i] == 2:
                        candidates[deeper, size] = i
                        size += 1
        for k in range(n):
            is_tried[k] = 0
            if is_in[k] == 2:
                is_in[k] = 0
        if note[SHORT] != DONE:
            return int(note[SHORT])
        if size > 0:
            sizes[deeper], at[deeper], areas[deeper], values[deeper] = size, 0, area, value
            depth = deeper
            continue
        if more >= worth and value >= worth:
            largest = True
            for i in range(n):
                if is_in[i] == 1 or area + parts[i, 4] > room or (parts[i, 5] >= 0 and is_in[parts[i, 5]] != 1):
                    continue
                if holds(
                    parts, length, width, note, low, high, starts, counts, mine_low, mine_high, piece_long, piece_wide,
                    slots, least, deeper, i,
                ):  # fmt: skip
                    largest = False
                    break
            if note[SHORT] != DONE:
                return int(note[SHORT])
            if largest:
                if note[FOUND] >= out_low.shape[0]:
                    return FULL
                a, b = 0, 0
                for k in range(deeper):
                    if chosen[k] < 63:
                        a |= 1 << chosen[k]
                    else:
                        b |= 1 << (chosen[k] - 63)
                out_low[note[FOUND]] = a
                out_high[note[FOUND]] = b
                out_value[note[FOUND]] = value
                note[FOUND] += 1
                listed += 1
        is_in[j] = 0
    return end
