"""Cut sticks: the cheapest lumber for a list of lengths, with a proof."""

from collections.abc import Sequence

from nesting.parts import StickPart
from nesting.sticks.bounds import attainable, cheapest_mix, fractional
from nesting.sticks.fill import candidates, plan_key
from nesting.sticks.layouts import name_cuts
from nesting.sticks.plan import StickPlan
from nesting.sticks.problem import pose
from nesting.sticks.stock import Stick, StickError

EFFORTS = ("quick", "normal", "thorough")


def cut_sticks(
    parts: Sequence[StickPart],
    sticks: Sequence[Stick],
    *,
    kerf: int = 0,
    seed: int = 0,
    effort: str = "normal",
) -> StickPlan:
    """Cut `parts` from the cheapest `sticks`."""
    if effort not in EFFORTS:
        raise StickError(f"effort must be 'quick', 'normal' or 'thorough', not {effort!r}")
    if not parts:
        return StickPlan("", kerf, (), 0, 0, 0, proven=True, stopped=None)
    problem = pose(parts, sticks, kerf)
    best = min(candidates(problem), key=lambda cuts: plan_key(problem, cuts), default=None)
    if best is None:
        raise StickError(f"{parts[0].good}: there are too few sticks for these parts")
    cost, spend, _ = plan_key(problem, best)
    mix = cheapest_mix(problem)
    bound = attainable(problem, fractional(problem), cost) if mix is None else mix[0]
    layouts = name_cuts(problem, best, parts, kerf)
    return StickPlan(parts[0].good, kerf, layouts, cost, spend, bound, proven=bound == cost, stopped=None)
