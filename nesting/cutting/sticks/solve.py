"""Cut sticks: the cheapest lumber for a list of lengths, with a proof."""

from collections.abc import Sequence

from nesting.cutting.parts import StickPart
from nesting.cutting.sticks.fill import plan_key
from nesting.cutting.sticks.layouts import name_cuts
from nesting.cutting.sticks.plan import StickPlan
from nesting.cutting.sticks.problem import pose
from nesting.cutting.sticks.remainder import longest_remainder
from nesting.cutting.sticks.search import Search
from nesting.cutting.sticks.stock import Stick, StickError

EFFORTS = ("quick", "normal", "thorough")


def cut_sticks(
    parts: Sequence[StickPart],
    sticks: Sequence[Stick],
    *,
    kerf: int = 0,
    seed: int = 0,
    effort: str = "normal",
) -> StickPlan:
    """Cut parts from the cheapest sticks.

    Cost is minimised: bought sticks at the price that their number reaches, rack sticks at their book value. Among
    plans of that cost come first those that spend least on bought stock (ties favour the rack), then fewest sticks,
    then one long remainder, then few different layouts; the last two within a little work, so not always the best.

    :mod:`nesting.cutting.sticks.search` tells how. Where the effort does not reach a proof, the plan is the best one
    known, and `bound` says how far from the optimum it can be at most.

    Parameters
    ----------
    parts : sequence of StickPart
        Of one good, in any order.
    sticks : sequence of Stick
        Everything that can be cut, bought or from the rack.
    kerf : int
        What a cut eats. n parts on a stick lose n - 1 kerfs; the last cut may run off the end.
    seed : int
        Of the solver.
    effort : {"quick", "normal", "thorough"}
        How much work may be done, counted in steps and never in seconds.

    Returns
    -------
    StickPlan
        The same for the same input, seed and effort, whatever the order of parts and sticks.

    Raises
    ------
    StickError
        Before any search, for mixed goods, repeated names, a part longer than every stick, plainly too few sticks, or
        absurd values; after it, when sticks are so scarce that no plan was found.
    """
    if effort not in EFFORTS:
        raise StickError(f"effort must be one of {', '.join(EFFORTS)}, not {effort!r}")
    if not parts:
        return StickPlan("", kerf, (), 0, 0, 0, proven=True, stopped=None)
    problem = pose(parts, sticks, kerf)
    search = Search(problem, seed, effort)
    best = search.run()
    if best is None:
        sure = "there are" if search.hopeless else "no plan was found; perhaps there are"
        raise StickError(f"{parts[0].good}: {sure} too few sticks for these parts")
    best = search.tidy(best)
    cost, spend, _ = plan_key(problem, best)
    return StickPlan(
        parts[0].good,
        kerf,
        name_cuts(problem, best, parts, kerf),
        cost,
        spend,
        search.bound,
        proven=search.bound == cost,
        stopped="interrupt" if search.interrupted else None,
        remainder=longest_remainder(problem, best),
    )
