"""Filling sticks one after another: quick plans that are often the best already.

First-fit decreasing and its kin (Johnson, Demers, Ullman, Garey and Graham 1974, doi:10.1137/0203025), and minimum bin
slack (Gupta and Ho 1999, doi:10.1080/095372899233298), with the stock chosen by what a length on it costs. Nothing is
guaranteed about the result except that it is a plan.
"""

from collections.abc import Callable, Iterator, Sequence

from nesting.cutting.sticks.bounds import Key, Mix, mix_key, rate
from nesting.cutting.sticks.problem import Pattern, Problem, Stock, lots

# How often each (stock, pattern) is cut.
Cuts = dict[tuple[int, Pattern], int]

# Fills a length with some of what is left: (sizes, left, length) -> pattern.
Fill = Callable[[Sequence[int], Sequence[int], int], Pattern]

# With more sizes or stocks than this, a plan that is begun is continued from all stocks at once only.
_FEW = 50
_FEW_STOCKS = 10

# Equal sticks are moved to cheaper stock in so many lots.
_LOTS = 50

# A subset-sum table is no wider than this.
_FINEST = 50_000


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
    if length > _FINEST:  # on a coarser grid, rounded so that what fits there fits
        grid = -(-length // _FINEST)
        sizes, length = [-(-size // grid) for size in sizes], length // grid
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


def plan_mix(problem: Problem, cuts: Cuts) -> Mix:
    """Return how many of each stock are cut, as a mix."""
    counts = stock_counts(cuts)
    return tuple(counts.get(index, 0) for index in range(len(problem.stocks)))


def plan_key(problem: Problem, cuts: Cuts) -> Key:
    """Tell what a plan is compared by."""
    return mix_key(problem, plan_mix(problem, cuts))


def sequence(problem: Problem, fill: Fill, have: dict[int, int], left: list[int]) -> Cuts:
    """Cut stick after stick, each time from the stock where the filled length costs least.

    Parameters
    ----------
    problem : Problem
        What to cut.
    fill : Fill
        How a stick is filled.
    have : dict of int to int
        How many of each stock may be used; used up.
    left : list of int
        How many of each item are to be cut; used up. What remains in it found no stick.
    """
    stocks = problem.stocks
    each = {index: rate(stocks[index]) for index in have}
    cuts: Cuts = {}
    while any(left):
        best = None
        filled: dict[int, Pattern] = {}
        for index, free in have.items():
            if free and stocks[index].size not in filled:
                filled[stocks[index].size] = fill(problem.sizes, left, stocks[index].size)
            pattern = filled[stocks[index].size] if free else ()
            if pattern:
                worth = (each[index] / problem.used(pattern), stocks[index].size, index)
                if best is None or worth < best[0]:
                    best = (worth, index, pattern)
        if best is None:
            break
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
        # Where a break may be reached, equal sticks are moved in lots, each to what is cheapest by then.
        breaks = any(problem.stocks[index].stick.breaks for index in fits)
        lot, left = max(repeat // _LOTS, 1) if breaks else repeat, repeat
        while left:
            index = min(
                (index for index in fits if have[index]),
                key=lambda i: _next_cost(problem.stocks[i], counts[i], min(lot, left, have[i])),
                default=None,
            )
            if index is None:
                return cuts
            times = min(lot, left, have[index])
            have[index] -= times
            counts[index] += times
            moved[index, pattern] = moved.get((index, pattern), 0) + times
            left -= times
    return moved


def _next_cost(stock: Stock, count: int, more: int) -> tuple[int, bool, int]:
    """Tell what each of some more sticks costs, when there are some already; ties favour the rack."""
    return (stock.cost(count + more) - stock.cost(count)) // more, not stock.rack, stock.size


def _choices(problem: Problem) -> list[tuple[int, ...]]:
    """Return sets of stocks to try: all, each bought one with the rack, each bought one alone."""
    racks = tuple(index for index, stock in enumerate(problem.stocks) if stock.rack)
    buys = [index for index, stock in enumerate(problem.stocks) if not stock.rack]
    choices = [(*racks, *buys), *((*racks, index) for index in buys), *((index,) for index in buys)]
    return list(dict.fromkeys(choices))


def candidates(problem: Problem, begun: Cuts | None = None) -> Iterator[Cuts]:
    """Quick plans, each continuing what is begun.

    Parameters
    ----------
    problem : Problem
        What to cut.
    begun : Cuts, optional
        What is cut in any case; no more than is wanted and there is.
    """
    start = begun or {}
    rest = list(problem.demand)
    for (_, pattern), repeat in start.items():
        for item, count in pattern:
            rest[item] -= count * repeat
    used = stock_counts(start)
    choices = _choices(problem)
    many = len(problem.sizes) > _FEW or len(problem.stocks) > _FEW_STOCKS
    for choice in choices[:1] if begun and many else choices:
        for fill in FILLS:
            left = list(rest)
            have = {index: problem.stocks[index].limit - used.get(index, 0) for index in choice}
            cuts = dict(start)
            for cut, repeat in sequence(problem, fill, have, left).items():
                cuts[cut] = cuts.get(cut, 0) + repeat
            if not any(left):
                yield cuts
                yield downsize(problem, cuts)
