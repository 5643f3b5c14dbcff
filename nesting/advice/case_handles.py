"""Handles of cases: whether they and what holds them bear their share of the weight, with the shop's factor."""

from dataclasses import dataclass
from typing import Final

from nesting.advice.bolts import pull_allowed, washer_area
from nesting.advice.check import Check, compare, said
from nesting.base.measure import UnitSystem

T_NUT_LBF: Final = pull_allowed(washer_area(0.25))
"""What a 1/4 in T-nut's flange bears on wood, as a cut washer of its bolt."""


@dataclass(frozen=True, slots=True)
class Gripped:
    """How a crate is held by its handles.

    Attributes
    ----------
    gross_lb : float
        What is lifted.
    lifters : int
        How many lift; one alone takes two handles.
    factor : float
        So many times its share each handle must bear.
    rated_lb : float
        What the handle's maker allows; 0 where nobody states it.
    holds_lbf : float
        What its bolts or screws bear, pulled straight out.
    by : str
        What they are.
    """

    gross_lb: float
    lifters: int
    factor: float
    rated_lb: float
    holds_lbf: float
    by: str

    @property
    def share(self) -> float:
        """What one handle carries, where each lifter holds by one; one alone holds two."""
        return self.gross_lb / max(2, self.lifters)


def check_handles(held: Gripped, units: UnitSystem = "inch", *, may_fail: bool = True) -> Check:
    """Hold what a handle must bear against its rating and against what holds it, the lesser of both."""
    rated = held.rated_lb or held.holds_lbf
    stated = (
        f"rated {said(held.rated_lb, 'lb', units)} by its maker"
        if held.rated_lb
        else "nobody states what it bears itself"
    )
    return compare(
        "handles",
        held.factor * held.share,
        min(rated, held.holds_lbf),
        "lb",
        formula="factor x gross / handles in hand <= least of the handle's rating and n x what one fastening bears",
        source="factor: common practice, no source; washers: area x bearing across the grain (Canadian Wood Council)",
        limits="pulled straight out, dry wood; not for hooks, slings or one handle alone",
        note=f"{held.by}; {stated}",
        worst="fails" if may_fail else "watch",
        structure=may_fail,
        worked=(
            "{} x {} lb / {} = {} lb against the lesser of {} lb and {} lbf[[| / 9.807]]",
            held.factor,
            held.gross_lb,
            max(2, held.lifters),
            held.factor * held.share,
            rated,
            held.holds_lbf,
        ),
    ).in_system(units)
