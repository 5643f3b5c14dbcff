"""Start: what of an earlier layout still applies, as sheets of the present problem."""

from collections.abc import Mapping

from nesting.cutting.parts import Part
from nesting.cutting.sheets.cover import trimmed
from nesting.cutting.sheets.filling import fits
from nesting.cutting.sheets.model import Cut, Layout, Node, PartLeaf
from nesting.cutting.sheets.pattern import ACROSS, ALONG, Pattern, leaf, tidy
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.solution import Placed, Solution


def carried_over(problem: Problem, layout: Layout) -> Solution:
    """Take over every sheet whose stock is still there, without the parts that are no longer wanted.

    Some parts may be missing from the result; none is there too often.
    """
    known = {part.name: (t, part) for t, item in enumerate(problem.items) for part in item.parts}
    names = {stock.sheet.name: s for s, stock in enumerate(problem.stocks)}
    left = [stock.limit for stock in problem.stocks]
    placed: list[Placed] = []
    for each in layout.sheets:
        stock = names.get(each.sheet.name)
        pattern = _pattern(problem, each.cuts, known)
        if stock is None or pattern is None:
            continue
        pattern = tidy(problem, pattern)
        times = min(each.repeat, left[stock])
        if fits(problem, pattern, stock):
            placed += [(stock, pattern)] * times
            left[stock] -= times
    return trimmed(problem, placed)


def _pattern(problem: Problem, node: Node, known: Mapping[str, tuple[int, Part]]) -> Pattern | None:
    """Read a cut tree; None where nothing wanted is in it."""
    if isinstance(node, PartLeaf):
        if node.part not in known:
            return None
        t, part = known[node.part]
        along = (part.width if node.turned else part.length) + problem.kerf
        turned = along != problem.items[t].length * problem.unit
        return leaf(t, turned=turned) if problem.items[t].turns or not turned else None
    if isinstance(node, Cut):
        branches = [b for b in (_pattern(problem, side, known) for side in (node.first, node.rest)) if b is not None]
        return (ALONG if node.direction == "cross" else ACROSS, *branches) if branches else None
    return None
