"""Compiled enumeration of the least pieces that sets of parts can be cut from, edge to edge."""

# ruff: noqa: C901, PLR0912, PLR0915, PLR0917 - one flat compiled loop

from nesting.cutting.sheets.compiled import INT, ROW, TABLE, Ints, compiled


# arguments: compiled code takes arrays and numbers, no values that hold them
@compiled(INT(TABLE, ROW, ROW, INT, INT, INT, ROW, ROW, ROW, ROW, INT))
def least_pieces(
    ways: Ints,
    demands: Ints,
    areas: Ints,
    length: int,
    width: int,
    slack: int,
    ends: Ints,
    lengths: Ints,
    widths: Ints,
    least: Ints,
    most: int,
) -> int:
    """List for each set the least sizes of pieces that hold it: none of them both shorter and narrower than another.

    A set is a number whose digits, the first item's lowest, are how many it holds of each item; what is part of it has
    a lower number. Those of set s stand at ``ends[s]`` up to ``ends[s + 1]`` in `lengths` and `widths`, the shortest
    first. Sizes beyond `length` and `width` are left out, and those with more than `slack` unfilled.

    Parameters
    ----------
    ways : int array (n, 4)
        Length and width of each item in its ways to lie; 0 where there is one way.
    least : int array
        Working room: a number above `width` for each length.
    most : int
        Pairs of pieces that may be looked at.

    Returns
    -------
    int
        How many pairs were looked at; -1 where that or the room for the sizes was not enough.
    """
    kinds = len(demands)
    have, part, each = areas.copy(), areas.copy(), areas.copy()
    sets = 1
    for t in range(kinds):
        each[t] = sets
        sets *= demands[t] + 1
    end, steps = 0, 0
    ends[0] = 0
    ends[1] = 0
    for whole in range(1, sets):
        ends[whole + 1] = end
        area, single, left = 0, -1, whole
        for t in range(kinds):
            have[t] = left % (demands[t] + 1)
            left //= demands[t] + 1
            part[t] = 0
            area += have[t] * areas[t]
            if whole == each[t]:
                single = t
        if area > length * width:
            continue
        filled = area + slack
        first = 0
        while single < 0:
            # the next part of the set, counted up like a number; of two that make up the set, the lower
            t = 0
            while part[t] == have[t]:
                first -= part[t] * each[t]
                part[t] = 0
                t += 1
            part[t] += 1
            first += each[t]
            second = whole - first
            if first > second:
                break
            steps += 1 + (ends[first + 1] - ends[first]) * (ends[second + 1] - ends[second])
            for i in range(ends[first], ends[first + 1]):
                for j in range(ends[second], ends[second + 1]):
                    a, b = lengths[i] + lengths[j], max(widths[i], widths[j])
                    if a <= length and b < least[a] and a * b <= filled:
                        least[a] = b
                    a, b = max(lengths[i], lengths[j]), widths[i] + widths[j]
                    if b < least[a] and a * b <= filled:
                        least[a] = b
        if steps > most:
            return -1
        if single >= 0:
            for k in range(0, 4, 2):
                a, b = ways[single, k], ways[single, k + 1]
                if 0 < a <= length and b <= width:
                    least[a] = min(least[a], b)
        narrowest = width + 1
        for a in range(length + 1):
            if least[a] < narrowest:
                narrowest = least[a]
                if end == len(lengths):
                    return -1
                lengths[end] = a
                widths[end] = narrowest
                end += 1
            least[a] = width + 1
        ends[whole + 1] = end
    return steps
