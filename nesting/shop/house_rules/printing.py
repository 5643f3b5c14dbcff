"""The shop's rules for what it prints: the label paper that it has."""

from dataclasses import dataclass

from nesting.base.measure import INCH, MM
from nesting.base.rules import Checked, rule

_NARROWEST, _LOWEST = 210 * MM, 11 * INCH
"""The narrower of letter and A4, and the lower of them: what a sheet of labels has to go on."""
_LEAST_WIDTH, _LEAST_HEIGHT = INCH, 3 * INCH // 8


@dataclass(frozen=True, slots=True)
class LabelRules(Checked):
    """Label paper, the same for letter and A4."""

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
