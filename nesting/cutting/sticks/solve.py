"""Cut sticks: the cheapest lumber for a list of lengths, with a proof."""

from collections.abc import Sequence

from nesting.base.search import USUAL, Search
from nesting.cutting.parts import StickPart
from nesting.cutting.sticks.fill import plan_key
from nesting.cutting.sticks.layouts import name_cuts
from nesting.cutting.sticks.plan import StickPlan
from nesting.cutting.sticks.problem import pose
from nesting.cutting.sticks.remainder import longest_remainder
from nesting.cutting.sticks.search import Decomposition
from nesting.cutting.sticks.stock import Stick, StickError


def cut_sticks(
    parts: Sequence[StickPart],
    sticks: Sequence[Stick],
    *,
    kerf: int = 0,
    search: Search = USUAL,
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
    search : Search
        From which seed and with how much work, and who may end it. Sticks take too little time for a deadline or for
        telling how far it is, and its memory is not looked at here.

    Returns
    -------
    StickPlan
        The same for the same input, seed and effort, whatever the order of parts and sticks.

    Raises
    ------
    StickError
        Before any search, for mixed goods, repeated names, a part longer than every stick, plainly too few sticks, or
        absurd values; after it, when sticks are so scarce that no plan was found.
    KeyboardInterrupt
        When it was interrupted, and there is no ``search.stop`` or no plan yet.
    """
    if not parts:
        return StickPlan("", kerf, (), 0, 0, 0, proven=True, stopped=None)
    problem = pose(parts, sticks, kerf)
    work = Decomposition(problem, search)
    with search.interruptible():
        best = work.run()
        if best is None:
            sure = "there are" if work.hopeless else "no plan was found; perhaps there are"
            raise StickError(f"{parts[0].good}: {sure} too few sticks for these parts")
        best = work.tidy(best)
    cost, spend, _ = plan_key(problem, best)
    return StickPlan(
        parts[0].good,
        kerf,
        name_cuts(problem, best, parts, kerf),
        cost,
        spend,
        work.bound,
        proven=work.bound == cost,
        stopped="interrupt" if work.interrupted else None,
        remainder=longest_remainder(problem, best),
    )
