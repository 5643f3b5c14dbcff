"""StickPlan: which sticks are taken and what each is cut into."""

from dataclasses import dataclass
from typing import Literal

from nesting.cutting.sticks.stock import Stick

Stopped = Literal["interrupt"]


@dataclass(frozen=True, slots=True)
class StickLayout:
    """One way to cut a stick, and how many sticks are cut so.

    Attributes
    ----------
    stick : Stick
        The stock that is cut.
    parts : tuple of str
        Names of the parts in the order of cutting, longest first. Empty: taken whole, because the price
        break that it reaches costs less than it does.
    repeat : int
        How many sticks are cut this way.
    """

    stick: Stick
    parts: tuple[str, ...]
    repeat: int


@dataclass(frozen=True, slots=True)
class StickPlan:
    """The sticks of one good.

    Attributes
    ----------
    good : str
        The good that is cut; empty when nothing was wanted.
    kerf : int
        What each cut eats.
    sticks : tuple of StickLayout
        Longest stock first.
    cost : int
        What was minimised: bought stock plus the book value of rack stock, in the smallest unit of currency.
    spend : int
        What the bought stock alone costs.
    bound : int
        Proven lower bound on `cost`.
    proven : bool
        True exactly when `bound` equals `cost`.
    stopped : {"interrupt"} or None
        What cut the search off; None when it ended by itself, with a proof or at the end of its effort.
    remainder : int
        The longest piece left over, after its kerf.
    """

    good: str
    kerf: int
    sticks: tuple[StickLayout, ...]
    cost: int
    spend: int
    bound: int
    proven: bool
    stopped: Stopped | None
    remainder: int = 0

    @property
    def count(self) -> int:
        """Number of sticks taken."""
        return sum(layout.repeat for layout in self.sticks)
