"""Which tool can make a cut: what each reaches, and where hands must keep away.

Nothing here knows an order of cuts; a cut is the size of its panel along it and across it, and what lies between fence,
stop or rule and the blade.
"""

from dataclasses import dataclass

from nesting.cutting.sawing.model import Tool
from nesting.shop.house_rules.saw import SawRules
from nesting.shop.house_rules.tools import ToolRules
from nesting.shop.needs import Blade


@dataclass(frozen=True, slots=True)
class Limits:
    """The tools of a shop, at one good.

    Attributes
    ----------
    tools : ToolRules
        The shop's.
    kerf : int
        What a cut takes.
    handle : int
        Area of the largest panel that one person handles: the table saw takes none above it.
    stack : int
        How many lie on each other at the chop saw, or under knife or band; 0 where no chop saw cuts the good.
    soft : {"knife", "band", "none"} or None
        What cuts a good that no saw cuts; None where saws do.
    """

    tools: ToolRules
    kerf: int
    handle: int
    stack: int
    soft: Tool | None

    @classmethod
    def of(cls, thickness: int, kerf: int, saw: SawRules, tools: ToolRules, cut_by: Blade) -> "Limits":
        """Return the limits at a good of some thickness."""
        soft = None if cut_by == "saw" else cut_by
        high = {"saw": tools.chop_stack if tools.chop else 0, "knife": tools.knife, "band": tools.band, "none": 0}
        stack = high[cut_by] // thickness
        return cls(tools, kerf, saw.panel_area, stack if soft is None else max(1, stack), soft)

    def stack_of(self, tool: Tool) -> int:
        """Return how many lie on each other at the most."""
        return self.stack if tool in ("chop", self.soft) else 1

    def fence(self, along: int, across: int, at: int) -> bool:
        """Whether the table saw makes a cut with `at` between fence and blade.

        The fence reaches so far; the piece lies long enough along it; it is wide enough for a push block to pass
        between fence and blade; it is not longer from the fence to the blade than along it; one person moves the panel,
        which is not so long across the fence that it swings.
        """
        tools = self.tools
        return (
            tools.narrowest <= at <= min(tools.rip, along)
            and along >= tools.along_fence
            and along * across <= self.handle
            and across <= tools.crosswise * along
        )

    def stop(self, along: int, across: int, at: int) -> bool:
        """Whether the chop saw makes a cut with `at` between stop and blade, held by hand or by its clamp."""
        return bool(self.stack) and along <= self.tools.chop and self._longer(across, at) >= self.tools.narrowest

    def by_hand(self, across: int, at: int) -> bool:
        """Whether a hand may hold one side of a cut at the chop saw; else its clamp does."""
        return self._longer(across, at) >= self.tools.hold

    def rail(self, along: int, across: int) -> bool:
        """Whether the track saw makes a cut: its rail is long enough, and wood enough lies under it to be clamped."""
        return self.tools.narrowest <= along <= self.tools.track and across >= self.tools.clamp

    def setting(self, along: int, at: int) -> Tool | None:
        """Return at which tool a size can be set, in a panel that can be handled; None where only a track saw may."""
        if self.soft is not None:
            return self.soft
        if self.stack and along <= self.tools.chop:
            return "chop"
        return "table" if self.fence(along, 0, at) else None

    def _longer(self, across: int, at: int) -> int:
        return max(at, across - at - self.kerf)
