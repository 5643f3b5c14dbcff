"""Lower bounds on what any layout must cost."""

from collections.abc import Sequence
from fractions import Fraction

from nesting.sheets.prices import Prices, rate
from nesting.sheets.problem import Problem

# Nodes of the search for the cheapest mix; past them the fractional bound has to do.
_NODES = 50_000


def cheapest_mix(problem: Problem, prices: Prices, holds: Sequence[int], total: int) -> int:
    """Least key of any numbers of sheets that together hold `total`, where one sheet of stock s holds ``holds[s]``.

    Depth-first over the stocks, cheapest by what they hold first, cut off by the fractional bound on the rest. When too many
    nodes would be needed, the fractional bound (which holds) is returned.
    """
    rates = [rate(problem, s) for s in range(len(problem.stocks))]
    order = sorted((s for s in range(len(holds)) if holds[s] > 0), key=lambda s: (rates[s] / holds[s], -holds[s], s))
    if not order:
        return 0

    def fractional(index: int, missing: int) -> Fraction:
        cost = Fraction(0)
        for s in order[index:]:
            if missing <= 0:
                break
            taken = min(Fraction(missing, holds[s]), Fraction(problem.stocks[s].limit))
            cost += taken * rates[s]
            missing -= problem.stocks[s].limit * holds[s]
        return cost

    rest = [sum(problem.stocks[s].limit * holds[s] for s in order[i:]) for i in range(len(order) + 1)]
    if rest[0] < total:
        return prices.scale << 60
    best: int | None = None
    nodes = 0

    def visit(index: int, missing: int, key: int) -> bool:
        nonlocal best, nodes
        nodes += 1
        if nodes > _NODES:
            return False
        if missing <= 0:
            if best is None or key < best:
                best = key
            return True
        if rest[index] < missing:
            return True
        lower = fractional(index, missing)
        least = -(-lower.numerator // lower.denominator) * prices.scale
        if best is not None and key + least >= best:
            return True
        s = order[index]
        most = min(problem.stocks[s].limit, -(-missing // holds[s]))
        return all(visit(index + 1, missing - n * holds[s], key + prices.key(s, n)) for n in range(most, -1, -1))

    if visit(0, total, 0) and best is not None:
        return best
    lower = fractional(0, total)
    return -(-lower.numerator // lower.denominator) * prices.scale


def area_bound(problem: Problem, prices: Prices) -> int:
    """Cost of the cheapest mix of sheets with enough area."""
    return prices.cost(cheapest_mix(problem, prices, [s.area for s in problem.stocks], problem.area))
