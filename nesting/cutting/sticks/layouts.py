"""From patterns back to named parts on named sticks."""

from collections.abc import Iterator, Sequence

from nesting.cutting.parts import StickPart
from nesting.cutting.sticks.fill import Cuts, stock_counts
from nesting.cutting.sticks.plan import StickLayout
from nesting.cutting.sticks.problem import Pattern, Problem


def _deal(pattern: Pattern, queues: list[list[list[int | str]]], most: int) -> tuple[tuple[str, ...], int]:
    """Name the parts of one stick, and tell how many sticks can be named the same way, up to `most`.

    Each queue holds ``[left, name]`` of the parts that share an item's length. A run of equal sticks takes the name
    that has most left, so that few layouts differ by their names alone.
    """
    names: list[str] = []
    taken: list[tuple[list[int | str], int]] = []
    for item, count in pattern:
        missing = count
        for entry in sorted(queues[item], key=lambda e: (-int(e[0]), str(e[1]))):
            here = min(missing, int(entry[0]))
            if here:
                names += [str(entry[1])] * here
                taken.append((entry, here))
                missing -= here
            if not missing:
                break
    repeat = min([most, *(int(entry[0]) // here for entry, here in taken)])
    for entry, here in taken:
        entry[0] = int(entry[0]) - here * repeat
    return tuple(names), repeat


def name_cuts(problem: Problem, cuts: Cuts, parts: Sequence[StickPart], kerf: int) -> tuple[StickLayout, ...]:
    """Name what is cut, longest stock first, most repeated first, and add sticks taken whole to reach a break."""
    index = {size * problem.unit - kerf: item for item, size in enumerate(problem.sizes)}
    queues: list[list[list[int | str]]] = [[] for _ in problem.sizes]
    for part in sorted(parts, key=lambda p: p.name):
        queues[index[part.length]].append([part.count, part.name])
    merged: dict[tuple[int, tuple[str, ...]], int] = {}
    for (stock, pattern), repeat in sorted(cuts.items(), key=lambda cut: (cut[0][0], -cut[1], cut[0][1])):
        left = repeat
        while left:
            names, times = _deal(pattern, queues, left)
            merged[stock, names] = merged.get((stock, names), 0) + times
            left -= times
    for stock, needed in sorted(stock_counts(cuts).items()):
        extra = problem.stocks[stock].stick.purchase(needed)[1] - needed
        if extra:
            merged[stock, ()] = extra
    return tuple(_hand_out(problem, merged))


def _hand_out(problem: Problem, named: dict[tuple[int, tuple[str, ...]], int]) -> Iterator[StickLayout]:
    """Yield the layouts, with those of equal sticks handed out to each as far as it goes."""
    left = [[twin.count for twin in stock.twins] for stock in problem.stocks]
    for (stock, names), repeat in named.items():
        missing = repeat
        for number, twin in enumerate(problem.stocks[stock].twins):
            free = left[stock][number]
            times = missing if free is None else min(missing, free)
            if times:
                yield StickLayout(twin, names, times)
                missing -= times
                left[stock][number] = None if free is None else free - times
