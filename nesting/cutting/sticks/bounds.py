"""Cuts: inequalities that the numbers of sticks of every plan satisfy, and what they say about money.

Give each item any worth of zero or more, and let a stock's top be the most worth that a pattern on it can hold. Then
the tops of all sticks of a plan make up at least the worth of all items. With lengths as worths this says that the
sticks are long enough together; with the duals of a linear program it is as strong as the linear relaxation over
cutting patterns (Gilmore and Gomory 1961, doi:10.1287/opre.9.6.849). Everything is whole numbers, so that nothing is
lost or gained by rounding.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from nesting.cutting.sticks.problem import Problem, Stock, lots

# Totals of money are kept as the bits of one integer; past this many it is not worth the time.
_FINEST = 4_000_000

# What plans are compared by: money, then bought money (ties favour the rack), then number of sticks.
Key = tuple[int, int, int]

# How many sticks of each stock are cut.
Mix = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """One such inequality.

    Attributes
    ----------
    worth : tuple of int
        Of each item.
    tops : tuple of int
        For each stock, no pattern on it is worth more.
    need : int
        Worth of all items together.
    """

    worth: tuple[int, ...]
    tops: tuple[int, ...]
    need: int

    def slack(self, mix: Mix) -> int:
        """Return what a mix has to spare; below zero it cannot be a plan."""
        return sum(top * count for top, count in zip(self.tops, mix, strict=True)) - self.need


def by_length(problem: Problem) -> Cut:
    """Return the cut that says that sticks are long enough together."""
    return Cut(problem.sizes, tuple(stock.size for stock in problem.stocks), problem.total)


def rate(stock: Stock) -> Fraction:
    """Least cost of one stick of a stock, over all numbers that can be used.

    Between two breaks the mean cost either stays or falls towards the next one, so only the breaks and the ends count.
    """
    ends = {1, max(stock.limit, 1), *(start for start, _ in stock.stick.breaks if start <= stock.limit)}
    return min(Fraction(stock.cost(count), count) for count in ends)


def mix_key(problem: Problem, mix: Mix) -> Key:
    """Tell what a mix costs, how much of it is bought, and how many sticks it is."""
    cost = spend = sticks = 0
    for stock, needed in zip(problem.stocks, mix, strict=True):
        total, count = stock.stick.purchase(needed)
        cost += total
        spend += 0 if stock.rack else total
        sticks += count
    return cost, spend, sticks


def fractional(problem: Problem, cut: Cut) -> int:
    """Lower bound on cost by one cut: worth bought where it is cheapest, as if sticks could be bought in part."""
    missing, cost = Fraction(cut.need), Fraction(0)
    offers = [
        (rate(stock) / top, top * stock.limit) for stock, top in zip(problem.stocks, cut.tops, strict=True) if top
    ]
    for each, most in sorted(offers):
        taken = min(missing, Fraction(most))
        cost += each * taken
        missing -= taken
    return -(-cost.numerator // cost.denominator)


def attainable(problem: Problem, least: int, most: int) -> int:
    """Return the smallest total that some numbers of the stocks cost, from `least` up; never more than `most`."""
    prices = [price for s in problem.stocks for price in (s.stick.cost, *(each for _, each in s.stick.breaks))]
    unit = gcd(*prices)
    if least <= 0 or least >= most:
        return min(max(least, 0), most)
    if unit == 0:
        return most
    span = most // unit
    if span > _FINEST:
        return min(-(-least // unit) * unit, most)
    bits = _totals(problem.stocks, unit, span)
    above = bits >> -(-least // unit)
    return min((-(-least // unit) + (above & -above).bit_length() - 1) * unit, most) if above else most


def _totals(stocks: Sequence[Stock], unit: int, span: int) -> int:
    """Return every total that can be paid, in units up to `span`, as the bits of an integer."""
    mask = (1 << (span + 1)) - 1
    bits = 1
    for stock in stocks:
        if stock.stick.breaks:
            reached = bits
            for total in sorted({stock.cost(count) // unit for count in range(1, stock.limit + 1)}):
                reached |= (bits << min(total, span + 1)) & mask
            bits = reached
        elif each := stock.stick.cost // unit:
            for lot in lots(min(stock.limit, span // each)):
                bits |= (bits << (lot * each)) & mask
    return bits
