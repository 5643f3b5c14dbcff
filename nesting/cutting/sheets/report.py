"""The numbers told of a finished layout: cost, spend, and what ties are broken by."""

from collections.abc import Sequence

from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.model import Cut, Layout, Node, Offcut, PartLeaf, SheetLayout, Stopped
from nesting.cutting.sheets.problem import Problem
from nesting.cutting.sheets.solution import Solution


def describe(
    problem: Problem,
    prices: Prices,
    solution: Solution,
    sheets: tuple[SheetLayout, ...],
    bound: int,
    stopped: Stopped | None = None,
) -> Layout:
    """Make the answer of a solution and its cut trees."""
    cost = prices.cost(solution.key(prices))
    spend = bought = 0
    for stock, count in enumerate(solution.counts(problem)):
        sheet = problem.stocks[stock].sheet
        if sheet.source == "buy":
            total, taken = sheet.purchase(count)
            spend += total
            bought += taken * sheet.length * sheet.width
    return Layout(
        good=problem.good,
        kerf=problem.kerf,
        sheets=sheets,
        cost=cost,
        spend=spend,
        bound=min(bound, cost),
        proven=bound >= cost,
        stopped=stopped,
        sheet_count=sum(each.repeat for each in sheets),
        offcut_area=largest_offcut(sheets, problem.kerf),
        layout_count=len({shape(each) for each in sheets}),
        setups=sum(setups(kind) for kind in {shape(each) for each in sheets}),
        use=_bought_parts_area(problem, sheets) / bought if bought else 0.0,
    )


def largest_offcut(sheets: Sequence[SheetLayout], kerf: int) -> int:
    """Area of the largest single offcut."""
    areas = (
        length * width for each in sheets for _, _, length, width, leaf in each.pieces(kerf) if isinstance(leaf, Offcut)
    )
    return max(areas, default=0)


def _bought_parts_area(problem: Problem, sheets: Sequence[SheetLayout]) -> int:
    """Area of the parts that lie on bought sheets."""
    return sum(
        each.repeat * length * width
        for each in sheets
        if each.sheet.source == "buy"
        for _, _, length, width, leaf in each.pieces(problem.kerf)
        if isinstance(leaf, PartLeaf)
    )


# The cuts of a sheet without names: nested (direction, at, first, rest).
Shape = tuple[object, ...]


def shape(layout: SheetLayout) -> Shape:
    """Tell what makes two layouts the same to the person at the saw: the sheet's name and the cuts."""

    def bare(node: Node) -> Shape:
        if isinstance(node, Cut):
            return node.direction, node.at, bare(node.first), bare(node.rest)
        return (type(node).__name__,)

    return layout.sheet.name, bare(layout.cuts)


def setups(cuts: Shape) -> int:
    """How often the fence is set for one layout.

    A stage is a run of cuts in one direction; pieces of a stage that are cut to the same size share one setting.
    """
    seen: set[tuple[int, object, object]] = set()
    stack: list[tuple[int, object, Shape]] = [(0, None, cuts[1])]  # type: ignore[list-item]  # shapes nest
    while stack:
        stage, before, node = stack.pop()
        if len(node) == 4:
            direction, at, first, rest = node
            stage += direction != before
            seen.add((stage, direction, at))
            stack += [(stage, direction, first), (stage, direction, rest)]  # type: ignore[list-item]  # shapes nest
    return len(seen)
