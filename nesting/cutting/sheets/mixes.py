"""The bound from mixes: with sheets of several prices, each mix of them below the best cost is refuted on its own.

The bound of :mod:`nesting.cutting.sheets.relaxation` weighs all stocks at once; a single mix can be refuted by values
made for it. A mix of n(s) sheets of each stock cannot hold the parts when some whole values v of the items are worth
more together than n(s) times h(s) summed over the stocks, where h(s) is at least what one sheet can hold (the same
integer pricing). When all mixes below a key are refuted, that key is a bound.
"""

from collections.abc import Callable, Iterable
from itertools import product

from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.relaxation import Bounding, Column, Master, Pricer

# More mixes than this are not looked at.
_MOST = 400

Mix = tuple[int, ...]


def mixes(problem: Problem, prices: Prices, target: int) -> list[tuple[int, Mix]] | None:
    """List all mixes with enough area and a key below the target, cheapest first; None where there are too many."""
    most = []
    for s, stock in enumerate(problem.stocks):
        count = 0
        while count < stock.limit and prices.key(s, count + 1) < target:
            count += 1
        most.append(count)
    size = 1
    for count in most:
        size *= count + 1
    if size > 100 * _MOST:
        return None
    found = []
    for mix in product(*(range(count + 1) for count in most)):
        key = prices.total(mix)
        if key < target and sum(n * s.area for n, s in zip(mix, problem.stocks, strict=True)) >= problem.area:
            found.append((key, mix))
    return sorted(found) if len(found) <= _MOST else None


def mix_bound(
    prices: Prices,
    least: int,
    target: int,
    work: Bounding,
    check: Callable[[], None],
    known: Iterable[Column] = (),
) -> int:
    """Raise a lower bound on the key by refuting mixes one after another.

    Parameters
    ----------
    prices : Prices
        Keys, and with them the problem.
    least, target : int
        The bound so far, and the best key known.
    work : Bounding
        How much; what is left of it passes from one mix to the next.
    check : callable
        Called between rounds; may raise to cut the work off.
    known : iterable of Column
        True patterns to start from.

    Returns
    -------
    int
        A bound that holds.
    """
    problem = prices.problem
    open_mixes = mixes(problem, prices, target)
    if open_mixes is None:
        return least
    columns = list(known)
    pricers = [pricer for pricer in (Pricer.of(problem, points) for points in work.points) if pricer is not None]
    left = work.effort
    refuted: list[Mix] = []
    for key, mix in open_mixes:
        if key < least or any(all(a <= b for a, b in zip(mix, other, strict=True)) for other in refuted):
            continue
        for pricer in pricers:
            done, used = _refuted(problem, pricer, mix, left // pricer.steps, check, columns)
            left -= used * pricer.steps
            if done:
                refuted.append(mix)
                break
        else:
            return max(least, key)
    return target


def _refuted(
    problem: Problem, pricer: Pricer, mix: Mix, rounds: int, check: Callable[[], None], known: Iterable[Column]
) -> tuple[bool, int]:
    """Tell whether a mix cannot hold the parts, and how many rounds that took."""
    master = Master(problem, (c for c in known if mix[c[0]]), mix)
    for used in range(1, rounds + 1):
        check()
        missing, values = master.solve()
        if missing <= 1e-7 or not values.any():
            return False, used
        holds = pricer.price(values)
        worth = sum(int(v) * item.demand for v, item in zip(values, problem.items, strict=True))
        if worth > sum(n * h for n, h in zip(mix, holds, strict=True)):
            return True, used
        fresh = [master.add(pricer.pattern(s)) for s, n in enumerate(mix) if n and holds[s]]
        if not any(fresh):
            return False, used
    return False, rounds
