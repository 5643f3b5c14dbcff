"""Rules of the saw: what the blade eats, what comes off the sheet first, and what is worth keeping."""

from dataclasses import dataclass

from nesting.house_rules.checked import Checked
from nesting.measure import INCH
from nesting.rules import rule

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
        source="full kerf 1/8 in, several trade pages agree",
    )
    stick_kerf: int = rule(
        _EIGHTH,
        unit="length",
        low=0,
        high=INCH // 4,
        doc="The same for the saw that cuts lumber to length.",
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
