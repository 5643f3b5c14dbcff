"""The shop's rules for what it prints: the label paper that it has."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from nesting.base.measure import INCH, MM
from nesting.base.rules import Checked, rule

_NARROWEST, _LOWEST = 210 * MM, 11 * INCH
"""The narrower of letter and A4, and the lower of them: what a sheet of labels has to go on."""
_LEAST_WIDTH, _LEAST_HEIGHT = INCH, 3 * INCH // 8


@dataclass(frozen=True, slots=True)
class Grid:
    """A common label paper: for which paper it is cut, rows and columns, margins, gap between columns; exact grid."""

    paper: Literal["letter", "a4"]
    rows: int
    columns: int
    top: int
    side: int
    column_gap: int


GRIDS: Final[Mapping[str, Grid]] = {
    "10x3": Grid("letter", 10, 3, INCH // 2, 3 * INCH // 16, INCH // 8),
    "20x4": Grid("letter", 20, 4, INCH // 2, 9 * INCH // 32, 5 * INCH // 16),
    "8x3": Grid("a4", 8, 3, 0, 0, 0),
    "7x3": Grid("a4", 7, 3, 15 * MM, 7 * MM, 5 * MM // 2),
    "7x2": Grid("a4", 7, 2, 15 * MM, 9 * MM // 2, 5 * MM // 2),
    "13x5": Grid("a4", 13, 5, 11 * MM, 9 * MM // 2, 5 * MM // 2),
}
"""Label papers as they are sold, by rows x columns: the first two for letter, the others for A4. Margins and gaps are
from memory, no source: hold a printed page against the paper before you print on it."""


@dataclass(frozen=True, slots=True)
class LabelRules(Checked):
    """Label paper, the same for letter and A4."""

    grid: str = rule(
        "",
        unit="word",
        low=("", *GRIDS),
        doc="Common label paper, by rows x columns; where it is empty, the rules below say how labels lie.",
        source="margins and gaps from memory, no source",
    )
    rows: int = rule(10, unit="count", low=1, high=30, doc="Labels from top to bottom of a sheet.")
    columns: int = rule(3, unit="count", low=1, high=8, doc="Labels side by side.")
    top: int = rule(
        0, unit="length", low=0, high=3 * INCH, doc="Margin above and below all labels; 0 takes the paper's own."
    )
    side: int = rule(
        0, unit="length", low=0, high=3 * INCH, doc="Margin left and right of all labels; 0 takes the paper's own."
    )
    row_gap: int = rule(0, unit="length", low=0, high=INCH, doc="Gap from a label to the one below it.")
    column_gap: int = rule(INCH // 8, unit="length", low=0, high=INCH, doc="Gap from a label to the one beside it.")

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        wide = 2 * (self.side or INCH // 2) + (self.columns - 1) * self.column_gap + self.columns * _LEAST_WIDTH
        high = 2 * (self.top or INCH // 2) + (self.rows - 1) * self.row_gap + self.rows * _LEAST_HEIGHT
        if wide > _NARROWEST or high > _LOWEST:
            raise ValueError(
                f"found {self.rows} rows and {self.columns} columns of labels with these margins and gaps; accepted: "
                "labels at least 1 in wide and 3/8 in high on letter and A4"
            )
