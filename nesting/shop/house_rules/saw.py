"""Rules of the saw: what the blade eats, what comes off the sheet first, and what is worth keeping."""

from dataclasses import dataclass

from nesting.base.measure import FOOT, INCH
from nesting.base.rules import Checked, rule

_EIGHTH = INCH // 8


@dataclass(frozen=True, slots=True)
class SawRules(Checked):
    """The saw and what it leaves."""

    kerf: int = rule(
        _EIGHTH,
        unit="length",
        low=0,
        high=INCH // 4,
        doc="Width of wood that the blade eats.",
        source="full kerf [[1/8 in|3.2 mm]], several trade pages agree",
    )
    stick_kerf: int = rule(
        _EIGHTH,
        unit="length",
        low=0,
        high=INCH // 4,
        doc="The same for the chop saw, which cuts lumber to length.",
    )
    trim_left: int = rule(0, unit="length", low=0, high=2 * INCH, doc="Taken off the left short edge before any part.")
    trim_right: int = rule(0, unit="length", low=0, high=2 * INCH, doc="Taken off the right short edge.")
    trim_bottom: int = rule(0, unit="length", low=0, high=2 * INCH, doc="Taken off the lower long edge.")
    trim_top: int = rule(0, unit="length", low=0, high=2 * INCH, doc="Taken off the upper long edge.")
    offcut_length: int = rule(
        24 * INCH,
        unit="length",
        low=INCH,
        high=96 * INCH,
        doc="An offcut at least this long is worth keeping.",
    )
    offcut_width: int = rule(
        6 * INCH,
        unit="length",
        low=INCH,
        high=48 * INCH,
        doc="... if it is at least this wide.",
    )
    panel_sq_ft: float = rule(
        20.0,
        unit="sq ft",
        low=2.0,
        high=200.0,
        doc="A panel up to this is handled by one person; the first cuts of a sheet break down what is larger.",
        source="our habit: [[45 lb of plywood sold as 3/4 in, under the 51 lb|"
        "20 kg of plywood 18 mm thick, under the 23 kg]] of the Revised NIOSH Lifting Equation",
    )

    least_goods: bool = rule(
        default=False,
        unit="yes or no",
        doc="Cut the layout of the least goods, whatever work it takes; else the least sum of goods and saw's work.",
    )

    @property
    def panel_area(self) -> int:
        """The same area on the exact grid, for putting cuts in order; it decides no fit."""
        return round(self.panel_sq_ft * FOOT * FOOT)
