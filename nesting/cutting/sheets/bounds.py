"""Lower bounds on what any layout must cost."""

from collections.abc import Callable, Sequence
from fractions import Fraction
from operator import mul

from nesting.cutting.sheets.key_costs import Prices, rate
from nesting.cutting.sheets.problem import Problem

# Nodes of the search for the cheapest mix; past them the fractional bound has to do.
_NODES = 5_000

# Steps and roundings tried in each direction.
_STEPS = 12
_ROUNDS = 6

# A dual feasible function, times a constant that makes it whole.
Scale = Callable[[int], int]


def cheapest_mix(  # noqa: C901 - one small branch and bound, closures over its tables
    problem: Problem, prices: Prices, holds: Sequence[int], total: int
) -> int:
    """Least key of any numbers of sheets that together hold `total`, where one sheet of stock s holds ``holds[s]``.

    Depth-first over the stocks, cheapest by what they hold first, cut off by the fractional bound on the rest. When
    too many nodes would be needed, the fractional bound (which holds) is returned.
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
    # A stack of its own: there may be more stocks than Python can nest calls.
    work = [(0, total, 0)]
    for _ in range(_NODES):
        if not work:
            break
        index, missing, key = work.pop()
        if missing <= 0:
            best = key if best is None else min(best, key)
            continue
        if rest[index] < missing:
            continue
        lower = fractional(index, missing)
        least = -(-lower.numerator // lower.denominator) * prices.scale
        if best is not None and key + least >= best:
            continue
        s = order[index]
        most = min(problem.stocks[s].limit, -(-missing // holds[s]))
        work += [(index + 1, missing - n * holds[s], key + prices.key(s, n)) for n in range(most + 1)]
    if not work and best is not None:
        return best
    lower = fractional(0, total)
    return -(-lower.numerator // lower.denominator) * prices.scale


def area_bound(problem: Problem, prices: Prices) -> int:
    """Key of the cheapest mix of sheets with enough area."""
    return cheapest_mix(problem, prices, [s.area for s in problem.stocks], problem.area)


def _rounded(limit: int, k: int) -> Scale:
    """Dual feasible function u(k) of Lueker as Fekete and Schepers (2001) state it, times k * limit."""

    def scale(size: int) -> int:
        whole, rest = divmod((k + 1) * size, limit)
        return k * size if rest == 0 else whole * limit

    return scale


def _stepped(limit: int, least: int) -> Scale:
    """Dual feasible function, times limit: sizes below `least` count nothing, those that leave less than it all."""

    def scale(size: int) -> int:
        if size < least:
            return 0
        return limit if size > limit - least else size

    return scale


def _plain(size: int) -> int:
    """Leave a size as it is."""
    return size


def scales(limit: int, sizes: Sequence[int]) -> list[Scale]:
    """Functions worth trying for one direction of a sheet."""
    steps = sorted({min(size, limit - size + 1) for size in sizes if 0 < size <= limit}, reverse=True)
    steps = [step for step in steps if 0 < step <= limit // 2]
    if len(steps) > _STEPS:
        steps = [steps[i * len(steps) // _STEPS] for i in range(_STEPS)]
    return [_plain, *(_stepped(limit, step) for step in steps), *(_rounded(limit, k) for k in range(1, _ROUNDS + 1))]


def _least_product(firsts: Sequence[int | None], seconds: Sequence[int | None]) -> int:
    """Return the least area of a part over the ways in which it may lie, of those for which there is room."""
    if len(firsts) == 1 and firsts[0] is not None and seconds[0] is not None:
        return firsts[0] * seconds[0]
    return min([x * y for x, y in zip(firsts, seconds, strict=True) if x is not None and y is not None])


def scaled_bound(problem: Problem, prices: Prices, target: int) -> int:
    """Bound on the key from areas of rescaled parts; stops early once `target` is reached.

    Where f and g are superadditive (as maximal dual feasible functions are), parts of f(l) x g(w) cut from one L x W
    have at most the area f(L) g(W): Fekete and Schepers (2004, doi:10.1287/moor.1030.0079). A part that may be turned
    counts with the lesser of its two areas, after Dell'Amico, Martello and Vigo (2002,
    doi:10.1016/S0166-218X(01)00218-X). The functions are made for the largest sheet; smaller ones hold f(L') g(W') of
    it. Only integers are used.
    """
    best = 0
    length = max(s.length for s in problem.stocks)
    width = max(s.width for s in problem.stocks)
    ways = [item.ways() for item in problem.items]
    along = scales(length, [a for each in ways for a, _ in each])
    across = scales(width, [b for each in ways for _, b in each])
    seen: set[tuple[int, ...]] = set()
    # What each function makes of a side is worked out once; a side that no sheet has room for counts as None.
    firsts = [[[f(a) if a <= length else None for a, _ in each] for each in ways] for f in along]
    seconds = [[[g(b) if b <= width else None for _, b in each] for each in ways] for g in across]
    demands = [item.demand for item in problem.items]
    for f, mine in zip(along, firsts, strict=True):
        for g, other in zip(across, seconds, strict=True):
            total = sum(map(mul, demands, map(_least_product, mine, other)))
            holds = [f(s.length) * g(s.width) for s in problem.stocks]
            sign = (total, *holds)
            if sign in seen or min(holds) < 0:
                continue
            seen.add(sign)
            best = max(best, cheapest_mix(problem, prices, holds, total))
            if best >= target:
                return best
    return best
