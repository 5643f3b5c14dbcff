"""Bounds by length alone: what any plan must pay for enough length, before asking how parts share a stick."""

from fractions import Fraction
from math import gcd

from nesting.sticks.problem import Problem, Stock, lots

# Totals of money are kept as the bits of one integer; past this many it is not worth the time.
_FINEST = 4_000_000
_NODES = 20_000

# What plans are compared by: money, then bought money (ties favour the rack), then number of sticks.
Key = tuple[int, int, int]


def rate(stock: Stock) -> Fraction:
    """Least cost of one stick of a stock, over all numbers that can be used.

    Between two breaks the mean cost either stays or falls towards the next one, so only the breaks and the ends count.
    """
    ends = {1, stock.limit, *(start for start, _ in stock.stick.breaks if start <= stock.limit)}
    return min(Fraction(stock.cost(count), count) for count in ends)


def key(stocks: tuple[Stock, ...], counts: dict[int, int]) -> Key:
    """Tell what a number of each stock costs, how much of it is bought, and how many sticks it is."""
    cost = spend = sticks = 0
    for index, needed in counts.items():
        total, count = stocks[index].stick.purchase(needed)
        cost += total
        spend += 0 if stocks[index].rack else total
        sticks += count
    return cost, spend, sticks


def fractional(problem: Problem) -> int:
    """Lower bound on cost: length bought where it is cheapest, as if sticks could be bought in part."""
    missing, cost = problem.total, Fraction(0)
    for each, stock in sorted(((rate(s) / s.size, s) for s in problem.stocks), key=lambda pair: pair[0]):
        taken = min(missing, stock.limit * stock.size)
        cost += each * taken
        missing -= taken
    return -(-cost.numerator // cost.denominator)


def cheapest_mix(problem: Problem) -> Key | None:
    """Least (cost, spend, sticks) of any whole numbers of sticks that are long enough together.

    Depth-first over the stocks, cheapest length first, cut off by :func:`fractional` on what is missing.

    Returns
    -------
    Key or None
        None when too many numbers would have to be tried; then nothing is known.
    """
    stocks = tuple(sorted(problem.stocks, key=lambda s: rate(s) / s.size))
    rates = [rate(s) / s.size for s in stocks]
    room = [sum(s.limit * s.size for s in stocks[i:]) for i in range(len(stocks) + 1)]
    longest = [max((s.size for s in stocks[i:]), default=1) for i in range(len(stocks))]
    best: Key | None = None
    nodes = 0

    def descend(index: int, missing: int, cost: int, spend: int, sticks: int) -> None:
        nonlocal best, nodes
        if missing <= 0:
            found = (cost, spend, sticks)
            best = found if best is None else min(best, found)
            return
        if room[index] < missing or nodes > _NODES:
            return
        least = rates[index] * missing
        floor = (cost - (-least.numerator // least.denominator), spend, sticks - (-missing // longest[index]))
        if best is not None and floor >= best:
            return
        stock = stocks[index]
        for needed in range(min(stock.limit, -(-missing // stock.size)), -1, -1):
            nodes += 1
            total, count = stock.stick.purchase(needed)
            descend(
                index + 1,
                missing - needed * stock.size,
                cost + total,
                spend + (0 if stock.rack else total),
                sticks + count,
            )

    descend(0, problem.total, 0, 0, 0)
    return None if nodes > _NODES else best


def attainable(problem: Problem, least: int, most: int) -> int:
    """Smallest total that some numbers of the stocks cost, from `least` up; never more than `most`."""
    prices = [price for s in problem.stocks for price in (s.stick.cost, *(each for _, each in s.stick.breaks))]
    unit = gcd(*prices)
    if unit == 0 or least >= most:
        return min(least, most)
    span = most // unit
    if span > _FINEST:
        return min(-(-least // unit) * unit, most)
    mask = (1 << (span + 1)) - 1
    bits = 1
    for stock in problem.stocks:
        if not stock.stick.breaks:
            each = stock.stick.cost // unit
            for lot in lots(min(stock.limit, span // each) if each else 0):
                bits |= (bits << (lot * each)) & mask
        else:
            reached = bits
            for total in sorted({stock.cost(n) // unit for n in range(1, stock.limit + 1)}):
                if total > span:
                    break
                reached |= (bits << total) & mask
            bits = reached
    above = bits >> -(-least // unit)
    return min((-(-least // unit) + (above & -above).bit_length() - 1) * unit, most) if above else most
