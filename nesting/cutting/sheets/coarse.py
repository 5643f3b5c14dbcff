"""Coarser units: a problem in fewer, larger units that every layout of the finer one still answers.

Sizes and sheets are rounded down to multiples of the larger unit. Lengths side by side then still fit: the floors of
some numbers sum to no more than the floor of their sum (the superadditive rounding behind many dual feasible functions:
Clautiaux, Alves and Valerio de Carvalho 2010, doi:10.1007/s10479-008-0453-8). So whatever is impossible in the larger
unit is impossible. What is lost is area, and the unit is chosen to lose little: most sizes of an order are multiples of
some fraction of an inch, and a few odd ones keep the greatest common divisor of all from being as large.
"""

from dataclasses import replace
from itertools import combinations
from math import gcd

from nesting.cutting.sheets.problem import Problem


def coarsened(problem: Problem, cells: int) -> Problem:
    """Round a problem down to a unit of which no side of a sheet takes more than some number.

    Parameters
    ----------
    problem : Problem
        In units as fine as it needs.
    cells : int
        How many units the longest side of a sheet may take.

    Returns
    -------
    Problem
        A relaxation, or the problem itself where its units are coarse enough or its parts too small for larger ones.
    """
    longest = max(max(s.length, s.width) for s in problem.stocks)
    if longest <= cells:
        return problem
    units = _units(problem, -(-longest // cells))
    if not units:
        return problem
    # The more of the parts is left the better; of equals the larger unit.
    return _divided(problem, max(units, key=lambda unit: (_kept(problem, unit), unit)))


def _kept(problem: Problem, unit: int) -> int:
    """Area of the parts after rounding."""
    return sum(i.demand * (i.length // unit) * (i.width // unit) for i in problem.items) * unit * unit


def _units(problem: Problem, least: int) -> list[int]:
    """List units worth trying, from the least upwards: what pairs of sides have in common, and its whole fractions."""
    sides = {side for item in problem.items for side in (item.length, item.width)}
    sides |= {side for stock in problem.stocks for side in (stock.length, stock.width)}
    shortest = min(side for item in problem.items for side in (item.length, item.width))
    common = {gcd(a, b) for a, b in combinations(sorted(sides), 2)} | {least}
    units = {
        each // share
        for each in common
        for share in range(1, min(each // least, 64) + 1)
        if each % share == 0 and each // share <= shortest
    }
    return sorted(units)


def _divided(problem: Problem, unit: int) -> Problem:
    """Round every size down to multiples of a unit, and count in it."""
    items = tuple(replace(item, length=item.length // unit, width=item.width // unit) for item in problem.items)
    stocks = tuple(replace(each, length=each.length // unit, width=each.width // unit) for each in problem.stocks)
    return replace(problem, unit=problem.unit * unit, items=items, stocks=stocks)
