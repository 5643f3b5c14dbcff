"""Rules of mounting: cleats on the back of the piece, the screws through the crate's back, setting blocks."""

from dataclasses import dataclass

from nesting.base.measure import INCH, MM
from nesting.base.rules import COMMON_PRACTICE, Checked, rule
from nesting.shop.backs import hollow_backs

_EIGHTH = INCH // 8


@dataclass(frozen=True, slots=True)
class CleatRules(Checked):
    """How a piece is held to the back of its crate."""

    good: str = rule("ply-23/32", unit="word", doc="Good of the mounting cleats.", source=COMMON_PRACTICE)
    width: int = rule(
        3 * INCH,
        unit="length",
        low=3 * INCH // 2,
        high=8 * INCH,
        doc="Width of a mounting cleat; less on a piece too low for two.",
        source=COMMON_PRACTICE,
    )
    width_least: int = rule(
        5 * INCH // 4, unit="length", low=INCH, high=3 * INCH, doc="Narrowest mounting cleat on a small piece."
    )
    gap_least: int = rule(
        INCH // 4, unit="length", low=0, high=6 * INCH, doc="Least gap between the upper and the lower cleat."
    )
    inset_ends: int = rule(
        INCH, unit="length", low=0, high=6 * INCH, doc="How far a cleat stays inside the piece's sides."
    )
    inset_edge: int = rule(
        INCH // 2,
        unit="length",
        low=_EIGHTH,
        high=6 * INCH,
        doc="... and inside its upper and lower edges, at the most.",
    )
    inset_least: int = rule(
        _EIGHTH, unit="length", low=0, high=INCH, doc="Least distance of a cleat from the piece's upper and lower edge."
    )
    length_least: int = rule(
        4 * INCH, unit="length", low=2 * INCH, high=24 * INCH, doc="Shortest mounting cleat: room for its screws."
    )
    screws: tuple[str, ...] = rule(
        ("screw 10x3/4", "screw 10x1", "screw 10x1-1/4", "screw 10x1-1/2"),
        unit="words",
        doc="Screws stocked for mounting.",
    )
    washer_heads: tuple[str, ...] = rule(
        ("screw 10x3/4", "screw 10x1"), unit="words", doc="Which of them have a washer head; others get a loose washer."
    )
    washer: str = rule("washer-10", unit="word", doc="Loose washer under other mounting screws.")
    tip_short: int = rule(
        _EIGHTH,
        unit="length",
        low=INCH // 16,
        high=INCH // 2,
        doc="A mounting screw's tip stays this far short of the cleat's face against the artwork.",
    )
    countersink: int = rule(
        0,
        unit="length",
        low=0,
        high=3 * INCH // 16,
        doc="How deep heads are sunk into a back; into a thin one never.",
    )
    thread_least: int = rule(
        INCH // 4,
        unit="length",
        low=_EIGHTH,
        high=INCH,
        doc="Least thread of a screw that keeps a piece on its French cleats, and of any mounting screw.",
    )
    thread: int = rule(
        5 * INCH // 8,
        unit="length",
        low=_EIGHTH,
        high=2 * INCH,
        doc="Least thread of a mounting screw that a piece hangs by; a second layer on the cleat gives it.",
    )
    second: str = rule(
        "ply-3/8", unit="word", doc="Good of a cleat's second layer, glued on where one gives too little thread."
    )
    clearance: int = rule(
        INCH // 4,
        unit="length",
        low=0,
        high=INCH // 2,
        doc="Hole through the back for a mounting screw, so that its thread bites the cleat alone.",
        source="common practice for a No. 10 under a fender washer, no source",
    )
    apart_most: int = rule(
        30 * INCH,
        unit="length",
        low=12 * INCH,
        high=120 * INCH,
        doc="Most that a piece spans between rows of cleats or bearing pads.",
        source="two cleats [[56 in apart bend a 3/4 in|1400 mm apart bend an 18 mm]] panel past its allowable stress "
        "in a drop: arithmetic",
    )
    tie: bool = rule(
        default=False,
        unit="yes or no",
        doc="Cleats, screwed to back and piece, in place of pads where a piece would not bear its own span alone.",
    )
    pad_length: int = rule(
        6 * INCH, unit="length", low=2 * INCH, high=24 * INCH, doc="Length of a bearing pad behind a solid piece."
    )
    step: int = rule(_EIGHTH, unit="length", low=INCH // 64, high=INCH, doc="Mounting screws are set out to this step.")
    step_metric: int = rule(
        5 * MM, unit="length", low=MM // 2, high=25 * MM, doc="The same for an order in metric units."
    )
    screw_ends: int = rule(
        INCH, unit="length", low=INCH // 2, high=6 * INCH, doc="Mounting screws stay this far from a cleat's ends."
    )
    screw_apart: int = rule(
        INCH, unit="length", low=INCH // 2, high=12 * INCH, doc="Mounting screws stand at least this far apart."
    )
    piece_screws: tuple[str, ...] = rule(
        ("screw 8x5/8", "screw 10x3/4", "screw 10x1", "screw 10x1-1/4", "screw 10x1-1/2", "screw 8x2-1/2"),
        unit="words",
        doc="Screws that may hold a cleat to the piece.",
    )
    piece_sink: int = rule(
        _EIGHTH,
        unit="length",
        low=0,
        high=INCH // 4,
        doc="How deep the heads of the screws into the piece are sunk into the cleat, so that it lies flat.",
    )
    piece_wood: int = rule(
        3 * INCH // 4,
        unit="length",
        low=INCH // 2,
        high=3 * INCH,
        doc="Least depth of wood in the piece behind a cleat.",
        source=COMMON_PRACTICE,
    )
    hollow_backs: tuple[str, ...] = rule(
        (),
        unit="words",
        doc="What words of a hollow build in an order's support mean for its back where the order states none, such as "
        '"cradled = cradle [[3/4 x 1 1/2, face 1/4|18 x 38 mm, face 6 mm]]"; a piece of a word without an '
        "entry is refused.",
    )
    bar_least: int = rule(
        3 * INCH // 4,
        unit="length",
        low=INCH // 2,
        high=3 * INCH,
        doc="Narrowest bar of a strainer or cradle that takes a screw in its middle.",
        source="common practice: a No. 10 in a drilled pilot hole keeps 2 diameters to each side",
    )
    piece_tip: int = rule(
        INCH // 4,
        unit="length",
        low=_EIGHTH,
        high=INCH,
        doc="Tips in the piece stay this far short of its face.",
        source=COMMON_PRACTICE,
    )
    block_good: str = rule(
        "ply-15/32",
        unit="word",
        doc="Good of the setting blocks where neither back nor lid is thinner than the cleat and half as thick.",
    )
    block_width: int = rule(3 * INCH, unit="length", low=INCH, high=8 * INCH, doc="Width of a setting block.")
    block_height: int = rule(
        2 * INCH, unit="length", low=INCH, high=6 * INCH, doc="Height of a setting block that stands on no rail."
    )
    block_spacing: int = rule(
        36 * INCH,
        unit="length",
        low=12 * INCH,
        high=96 * INCH,
        doc="A cleat rests on a setting block at least this often.",
    )
    set_gap: int = rule(
        3 * INCH, unit="length", low=INCH, high=12 * INCH, doc="Gap between the pieces of a set in one crate."
    )

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        hollow_backs(self.hollow_backs)
