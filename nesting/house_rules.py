"""The shop's rules, group by group: every constant of the carpentry with its meaning, unit, range and source.

A group is refused at birth where a value is outside its range. Groups that belong to the advice on strength stand in
:mod:`nesting.advice`, beside the formulas that use them.
"""

from dataclasses import dataclass

from nesting.measure import INCH
from nesting.rules import COMMON_PRACTICE, check_rules, rule

_EIGHTH = INCH // 8


class _Checked:
    """Refuses a group with a rule out of range."""

    __slots__ = ()

    def __post_init__(self) -> None:
        check_rules(self)


@dataclass(frozen=True, slots=True)
class SawRules(_Checked):
    """The saw and what it leaves."""

    kerf: int = rule(
        _EIGHTH, unit="length", low=0, high=INCH // 4, doc="Width of wood that the blade eats.",
        source="full kerf 1/8 in, several trade pages agree",
    )
    stick_kerf: int = rule(
        _EIGHTH, unit="length", low=0, high=INCH // 4, doc="The same for the saw that cuts lumber to length.",
    )
    trim_left: int = rule(0, unit="length", low=0, high=2 * INCH, doc="Taken off the left short edge before any part.")
    trim_right: int = rule(0, unit="length", low=0, high=2 * INCH, doc="Taken off the right short edge.")
    trim_bottom: int = rule(0, unit="length", low=0, high=2 * INCH, doc="Taken off the lower long edge.")
    trim_top: int = rule(0, unit="length", low=0, high=2 * INCH, doc="Taken off the upper long edge.")
    offcut_length: int = rule(
        24 * INCH, unit="length", low=INCH, high=96 * INCH, doc="An offcut at least this long is worth keeping.",
    )
    offcut_width: int = rule(
        6 * INCH, unit="length", low=INCH, high=48 * INCH, doc="... if it is at least this wide.",
    )


@dataclass(frozen=True, slots=True)
class MethodRules(_Checked):
    """How ``auto`` picks a packing method."""

    carton_size: int = rule(
        24 * INCH, unit="length", low=0, high=60 * INCH, doc="Longest side that may travel in a carton.",
        source=COMMON_PRACTICE,
    )
    carton_lb: float = rule(
        10.0, unit="lb", low=0.0, high=70.0, doc="Heaviest piece that may travel in a carton.", source=COMMON_PRACTICE
    )
    closed_size: int = rule(
        48 * INCH, unit="length", low=0, high=120 * INCH,
        doc="Longest side of a piece for a plain closed crate; larger pieces get battens.", source=COMMON_PRACTICE,
    )
    travel_from: int = rule(
        2, unit="count", low=1, high=99,
        doc="Travel frames in an outer case are chosen when this many larger pieces share a destination.",
        source=COMMON_PRACTICE,
    )
    case_most: int = rule(
        5, unit="count", low=1, high=12, doc="Most travel frames in one outer case.", source=COMMON_PRACTICE
    )


@dataclass(frozen=True, slots=True)
class FrameRules(_Checked):
    """The plywood frame around a piece, its faces and its liner."""

    frame_good: str = rule("ply-23/32", unit="word", doc="Good that frame strips are ripped from.")
    larger_by: int = rule(
        6 * INCH, unit="length", low=2 * INCH, high=12 * INCH,
        doc="How much longer and wider the outside of the frame is than the piece.", source=COMMON_PRACTICE,
    )
    depth_over: int = rule(
        INCH, unit="length", low=INCH // 2, high=4 * INCH, doc="Strip width beyond piece and cleat, for pieces up to 36 in."
    )
    depth_over_large: int = rule(
        3 * INCH // 2, unit="length", low=INCH // 2, high=4 * INCH, doc="The same for larger pieces."
    )
    large_from: int = rule(36 * INCH, unit="length", low=12 * INCH, high=96 * INCH, doc="Longest side up to which a piece is not large.")
    strip_least: int = rule(7 * INCH // 2, unit="length", low=2 * INCH, high=8 * INCH, doc="Narrowest frame strip.")
    strip_step: int = rule(_EIGHTH, unit="length", low=INCH // 64, high=INCH, doc="Strip widths are rounded up to this step.")
    rails_run_through: bool = rule(
        True, unit="yes or no", doc="Rails run the full width and stiles stand between them; no: the other way round."
    )
    liner_good: str = rule("foam-board-1", unit="word", doc="Rigid foam that lines the inside of the frame.")
    back_heavy_lb: float = rule(40.0, unit="lb", low=0.0, high=500.0, doc="Over this weight the back is 3/4 in.", source=COMMON_PRACTICE)
    back_middling_lb: float = rule(20.0, unit="lb", low=0.0, high=500.0, doc="Over this weight the back is 1/2 in.", source=COMMON_PRACTICE)
    back_heavy: str = rule("ply-23/32", unit="word", doc="Back of a closed crate for a heavy piece.")
    back_middling: str = rule("ply-15/32", unit="word", doc="Back of a closed crate for a middling piece.")
    back_light: str = rule("ply-3/8", unit="word", doc="Back of a closed crate for a light piece, and of a battened crate.")
    lid: str = rule("ply-3/8", unit="word", doc="Lid of a closed or battened crate.", source=COMMON_PRACTICE)
