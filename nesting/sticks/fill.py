"""Filling sticks one after another: quick plans that are often the best already.

First-fit decreasing and its kin (Johnson, Demers, Ullman, Garey and Graham 1974, doi:10.1137/0203025), and minimum bin
slack (Gupta and Ho 1999, doi:10.1080/095372899233298), with the stock chosen by what a length on it costs. Nothing is
guaranteed about the result except that it is a plan.
"""

from collections.abc import Callable, Iterator, Sequence

from nesting.sticks.bounds import Key, key, rate
from nesting.sticks.problem import Pattern, Problem, lots

# How often each (stock, pattern) is cut.
Cuts = dict[tuple[int, Pattern], int]

# Fills a length with some of what is left: (sizes, left, length) -> pattern.
Fill = Callable[[Sequence[int], Sequence[int], int], Pattern]

# Past this many units a subset-sum table is not worth its time.
_FINEST = 200_000


def longest_first(sizes: Sequence[int], left: Sequence[int], length: int) -> Pattern:
    """Take as many as fit of the longest, then of the next."""
    pattern = []
    for item, (size, count) in enumerate(zip(sizes, left, strict=True)):
        taken = min(count, length // size)
        if taken:
            pattern.append((item, taken))
            length -= taken * size
    return tuple(pattern)


def fullest(sizes: Sequence[int], left: Sequence[int], length: int) -> Pattern:
    """Leave as little as possible; among equals prefer long items."""
    if length > _FINEST:
        return longest_first(sizes, left, length)
    mask = (1 << (length + 1)) - 1
    items = [item for item in range(len(sizes) - 1, -1, -1) if left[item] and sizes[item] <= length]
    stages = [1]
    for item in items:
        bits = stages[-1]
        for lot in lots(min(left[item], length // sizes[item])):
            bits |= (bits << (lot * sizes[item])) & mask
        stages.append(bits)
    full = stages[-1].bit_length() - 1
    pattern = []
    for stage in range(len(items) - 1, -1, -1):
        item = items[stage]
        taken = min(left[item], full // sizes[item])
        while not stages[stage] >> (full - taken * sizes[item]) & 1:
            taken -= 1
        if taken:
            pattern.append((item, taken))
            full -= taken * sizes[item]
    return tuple(pattern)


def longest_then_fullest(sizes: Sequence[int], left: Sequence[int], length: int) -> Pattern:
    """Take one of the longest that fits, then leave as little as possible."""
    for item, (size, count) in enumerate(zip(sizes, left, strict=True)):
        if count and size <= length:
            rest = list(left)
            rest[item] -= 1
            pattern = dict(fullest(sizes, rest, length - size))
            pattern[item] = pattern.get(item, 0) + 1
            return tuple(sorted(pattern.items()))
    return ()


FILLS: tuple[Fill, ...] = (longest_first, longest_then_fullest, fullest)


def stock_counts(cuts: Cuts) -> dict[int, int]:
    """How many of each stock are cut."""
    counts: dict[int, int] = {}
    for (stock, _), repeat in cuts.items():
        counts[stock] = counts.get(stock, 0) + repeat
    return counts


def plan_key(problem: Problem, cuts: Cuts) -> Key:
    """Tell what a plan is compared by."""
    return key(problem.stocks, stock_counts(cuts))


def sequence(problem: Problem, fill: Fill, choice: Sequence[int], left: list[int]) -> Cuts | None:
    """Cut stick after stick, each time from the stock where the filled length costs least, until nothing is left.

    Parameters
    ----------
    problem : Problem
        What to cut.
    fill : Fill
        How a stick is filled.
    choice : sequence of int
        The stocks that may be used.
    left : list of int
        How many of each item are to be cut; used up.

    Returns
    -------
    Cuts or None
        None when the stocks ran out.
    """
    stocks = problem.stocks
    have = {index: stocks[index].limit for index in choice}
    each = {index: rate(stocks[index]) for index in choice}
    cuts: Cuts = {}
    while any(left):
        best = None
        for index in choice:
            if not have[index]:
                continue
            pattern = fill(problem.sizes, left, stocks[index].size)
            if pattern:
                worth = (each[index] / problem.used(pattern), stocks[index].size, index)
                if best is None or worth < best[0]:
                    best = (worth, index, pattern)
        if best is None:
            return None
        _, index, pattern = best
        repeat = min(have[index], *(left[item] // count for item, count in pattern))
        have[index] -= repeat
        for item, count in pattern:
            left[item] -= count * repeat
        cuts[index, pattern] = cuts.get((index, pattern), 0) + repeat
    return cuts


def downsize(problem: Problem, cuts: Cuts) -> Cuts:
    """Move each stick's parts to the cheapest stock that still holds them, the fullest sticks first."""
    have = [stock.limit for stock in problem.stocks]
    counts = [0] * len(have)
    moved: Cuts = {}
    for (_, pattern), repeat in sorted(cuts.items(), key=lambda cut: (-problem.used(cut[0][1]), cut)):
        used = problem.used(pattern)
        fits = [index for index, stock in enumerate(problem.stocks) if stock.size >= used]
        for _ in range(repeat):
            choices = [
                (stock.cost(counts[i] + 1) - stock.cost(counts[i]), not stock.rack, stock.size, i)
                for i, stock in ((i, problem.stocks[i]) for i in fits)
                if have[i]
            ]
            if not choices:
                return cuts
            index = min(choices)[-1]
            have[index] -= 1
            counts[index] += 1
            moved[index, pattern] = moved.get((index, pattern), 0) + 1
    return moved


def candidates(problem: Problem, left: Sequence[int] | None = None) -> Iterator[Cuts]:
    """Quick plans for the whole demand, or for what is left of it."""
    whole = range(len(problem.stocks))
    racks = [index for index in whole if problem.stocks[index].rack]
    choices = [list(whole)]
    choices += [[*racks, index] for index in whole if index not in racks]
    choices += [[index] for index in whole if racks and index not in racks]
    seen = set()
    for choice in choices:
        if tuple(choice) in seen:
            continue
        seen.add(tuple(choice))
        for fill in FILLS:
            cuts = sequence(problem, fill, choice, list(problem.demand if left is None else left))
            if cuts is not None:
                yield cuts
                yield downsize(problem, cuts)
