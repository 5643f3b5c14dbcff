"""Paper: the sizes that the packet is printed on."""

from dataclasses import dataclass, replace
from typing import Literal

from nesting.base.measure import INCH, MM

PaperName = Literal["letter", "a4"]


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper, upright, and the margin that nothing enters; in grid units."""

    width: int
    height: int
    margin: int

    @property
    def sideways(self) -> "Paper":
        """The same paper turned."""
        return replace(self, width=self.height, height=self.width)


PAPERS: dict[PaperName, Paper] = {
    "letter": Paper(17 * INCH // 2, 11 * INCH, INCH // 2),
    "a4": Paper(210 * MM, 297 * MM, 13 * MM),
}
