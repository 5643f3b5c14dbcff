"""Rules of the plywood frame, its faces, its liner and its joints."""

from dataclasses import dataclass

from nesting.base.measure import INCH, MM
from nesting.base.rules import COMMON_PRACTICE, Checked, rule

_EIGHTH = INCH // 8


@dataclass(frozen=True, slots=True)
class FrameRules(Checked):
    """The plywood frame around a piece, its faces and its liner."""

    frame_good: str = rule("ply-23/32", unit="word", doc="Good that frame strips are ripped from.")
    larger_by: int = rule(
        6 * INCH,
        unit="length",
        low=2 * INCH,
        high=12 * INCH,
        doc="How much longer and wider the outside of the frame is than the piece.",
        source=COMMON_PRACTICE,
    )
    smaller_by: int = rule(
        3 * INCH // 2,
        unit="length",
        low=0,
        high=2 * INCH,
        doc="How much smaller than that it may be where its faces then come out of fewer sheets; 0: never.",
        source="our habit: beside a liner of [[1 in, 1/2 in|25 mm, 12 mm]] and more stays free on each side",
    )
    depth_over: int = rule(
        INCH,
        unit="length",
        low=INCH // 2,
        high=4 * INCH,
        doc="Strip width beyond piece and cleat, for pieces that are not large.",
    )
    depth_over_large: int = rule(
        3 * INCH // 2, unit="length", low=INCH // 2, high=4 * INCH, doc="The same for larger pieces."
    )
    large_from: int = rule(
        36 * INCH, unit="length", low=12 * INCH, high=96 * INCH, doc="Longest side up to which a piece is not large."
    )
    strip_least: int = rule(7 * INCH // 2, unit="length", low=2 * INCH, high=8 * INCH, doc="Narrowest frame strip.")
    strip_step: int = rule(
        _EIGHTH, unit="length", low=INCH // 64, high=INCH, doc="Strip widths are rounded up to this step."
    )
    strip_step_metric: int = rule(
        MM, unit="length", low=MM // 2, high=25 * MM, doc="The same for an order in metric units."
    )
    rails_run_through: bool = rule(
        default=True,
        unit="yes or no",
        doc="Rails run the full width and stiles stand between them; no: the other way round.",
    )
    liner_good: str = rule("foam-board-1", unit="word", doc="Rigid foam that lines the inside of the frame.")
    back_heavy_lb: float = rule(
        500.0,
        unit="lb",
        low=0.0,
        high=500.0,
        doc="Over this weight a closed crate's back is the heavy one, whatever else would hold.",
    )
    back_middling_lb: float = rule(
        500.0,
        unit="lb",
        low=0.0,
        high=500.0,
        doc="Over this weight it is at least the middling one.",
    )
    back_heavy: str = rule("ply-23/32", unit="word", doc="Heaviest good that a back may be of.")
    back_middling: str = rule("ply-15/32", unit="word", doc="Middling good that a back may be of.")
    back_light: str = rule("ply-3/8", unit="word", doc="Lightest good that a back may be of.")
    lid: str = rule("ply-3/8", unit="word", doc="Lid of a closed or battened crate.", source=COMMON_PRACTICE)
