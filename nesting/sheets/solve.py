"""The solve loop: bounds and cheap layouts first, then as much search as the effort allows, then the ties."""

from collections.abc import Sequence
from typing import Literal, Protocol

from nesting.parts import Part
from nesting.sheets.bounds import area_bound
from nesting.sheets.cutting import lay
from nesting.sheets.filling import fill, orders, preferences
from nesting.sheets.model import Layout, NestError, Sheet
from nesting.sheets.prices import Prices
from nesting.sheets.problem import Problem, read_problem
from nesting.sheets.report import describe
from nesting.sheets.solution import Solution

Effort = Literal["quick", "normal", "thorough"]


class SearchProgress(Protocol):
    """Receives a stage for people, how much of it is done (0 to 1), the best cost so far and the proven bound."""

    def __call__(self, stage: str, fraction: float, cost: int | None, bound: int, /) -> None:
        """Take one report."""


def nest(
    parts: Sequence[Part],
    sheets: Sequence[Sheet],
    *,
    kerf: int = 0,
    seed: int = 0,
    effort: Effort = "normal",
    progress: SearchProgress | None = None,
    deadline: float | None = None,
    offcut_min: tuple[int, int] | None = None,
    start: Layout | None = None,
) -> Layout:
    """Lay parts on sheets at the lowest cost.

    Parameters
    ----------
    parts : sequence of Part
        All of one good.
    sheets : sequence of Sheet
        Everything that can be cut.
    kerf : int
        What each cut eats, in the unit of the parts.
    seed : int
        Of the search.
    effort : {"quick", "normal", "thorough"}
        How many steps are spent; never counted in seconds.
    progress : SearchProgress, optional
        Told about stages.
    deadline : float, optional
        Seconds after which the search is cut off; it changes nothing before.
    offcut_min : (int, int), optional
        Least length and width of a leftover worth keeping; without it every leftover is.
    start : Layout, optional
        An earlier layout to start from; the answer never costs more than what of it still applies.

    Returns
    -------
    Layout

    Raises
    ------
    NestError
        Every fault of the input at once, or that the limited sheets do not hold the parts.
    """
    problem = read_problem(parts, sheets, kerf)
    if not problem.items:
        return Layout("", kerf, (), 0, 0, 0, proven=True)
    prices = Prices(problem)
    bound = area_bound(problem, prices)
    best: Solution | None = None
    for preference in preferences(problem):
        for order in orders(problem):
            found = fill(problem, order, preference)
            if found and (best is None or found.key(prices) < best.key(prices)):
                best = found
    if best is None:
        raise NestError("no way was found to lay the parts on the sheets that there are")
    return describe(problem, prices, best, lay(problem, best, offcut_min or (0, 0)), bound)
