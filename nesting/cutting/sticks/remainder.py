"""One long remainder: among plans that use the same sticks, the one that leaves the longest piece on one of them.

The other sticks are filled as well as they can be and what is left over goes on the last. A heuristic: the remainder
need not be the longest possible, nor the layouts the fewest.
"""

from collections.abc import Iterator

from nesting.cutting.sticks.fill import FILLS, Cuts, sequence, stock_counts
from nesting.cutting.sticks.problem import Pattern, Problem


def longest_remainder(problem: Problem, cuts: Cuts) -> int:
    """Return the length of the longest piece left over, after its kerf."""
    pieces = [problem.stocks[stock].stick.usable - problem.used(pattern) * problem.unit for stock, pattern in cuts]
    for stock, needed in stock_counts(cuts).items():
        stick = problem.stocks[stock].stick
        if stick.purchase(needed)[1] > needed:  # taken whole, to reach a price break
            pieces.append(stick.usable)
    return max(0, *pieces)


def worth(problem: Problem, cuts: Cuts) -> tuple[int, int]:
    """Tell what plans of one mix are compared by: the longer remainder, then the fewer layouts."""
    return -longest_remainder(problem, cuts), len(cuts)


def _one_short(problem: Problem, counts: dict[int, int]) -> Iterator[Cuts]:
    """Yield plans on the same sticks of which the last one takes what the others leave."""
    for last in counts:
        for order in dict.fromkeys((tuple(sorted(counts)), tuple(sorted(counts, reverse=True)))):
            for fill in FILLS:
                left = list(problem.demand)
                cuts: Cuts = {}
                for stock in order:
                    cuts |= sequence(problem, fill, {stock: counts[stock] - (stock == last)}, left)
                rest: Pattern = tuple((item, count) for item, count in enumerate(left) if count)
                if problem.used(rest) <= problem.stocks[last].size:
                    if rest:
                        cuts[last, rest] = cuts.get((last, rest), 0) + 1
                    yield cuts


def gather_remainder(problem: Problem, cuts: Cuts) -> Cuts:
    """Return the best of these plans and the given one: longest remainder, then fewest layouts.

    A plan that leaves a stick out altogether would have been cheaper, or have fewer sticks; it counts as well.
    """
    return min([cuts, *_one_short(problem, stock_counts(cuts))], key=lambda plan: worth(problem, plan))
