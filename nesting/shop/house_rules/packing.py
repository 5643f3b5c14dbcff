"""The shop's rules for cartons, wrapping, curing, travel frames and outer cases.

Each constant stands with its unit, range, meaning and source, as in :mod:`nesting.shop.house_rules`.
"""

from dataclasses import dataclass

from nesting.base.measure import INCH
from nesting.base.rules import COMMON_PRACTICE, Checked, rule


@dataclass(frozen=True, slots=True)
class CureRules(Checked):
    """How long resin rests before it is packed, and before anything may lie against its face."""

    pack_hours: float = rule(
        72.0,
        unit="hours",
        low=0.0,
        high=2000.0,
        doc="Least time from the last pour to packing.",
        source=COMMON_PRACTICE,
    )
    thin_pour: int = rule(
        INCH // 8,
        unit="length",
        low=INCH // 64,
        high=2 * INCH,
        doc="A pour up to this deep needs no more than the least time.",
    )
    pour_step: int = rule(INCH // 8, unit="length", low=INCH // 64, high=INCH, doc="What a step of depth is.")
    hours_per_eighth: float = rule(
        24.0,
        unit="hours",
        low=0.0,
        high=240.0,
        doc="More time for every step, begun or whole, that one pour is deeper than that.",
    )
    hours_per_pour: float = rule(
        12.0, unit="hours", low=0.0, high=240.0, doc="More time for every pour after the first."
    )
    face_days: float = rule(
        7.0,
        unit="days",
        low=0.0,
        high=365.0,
        doc="Least time from the last pour until anything may lie against the face.",
        source="full cure about a week or more, a resin supplier's support page",
    )


@dataclass(frozen=True, slots=True)
class WrapRules(Checked):
    """Paper, foam and film by the piece."""

    overlap: int = rule(
        3 * INCH,
        unit="length",
        low=0,
        high=24 * INCH,
        doc="How far a wrapped sheet laps over itself.",
        source=COMMON_PRACTICE,
    )
    roll_lap: int = rule(
        3 * INCH,
        unit="length",
        low=0,
        high=12 * INCH,
        doc="Lap of two strips where the roll is too narrow.",
        source=COMMON_PRACTICE,
    )
    paper_turns: int = rule(1, unit="count", low=1, high=4, doc="Layers of paper against the piece.")
    foam_good: str = rule("foam-wrap", unit="word", doc="Foam off the roll, around the paper.")
    foam_light: int = rule(
        2, unit="count", low=2, high=4, doc="Layers of foam wrap around a light piece.", source=COMMON_PRACTICE
    )
    foam_middling: int = rule(3, unit="count", low=2, high=4, doc="... for a middling piece.", source=COMMON_PRACTICE)
    foam_heavy: int = rule(4, unit="count", low=2, high=4, doc="... for a heavy one.", source=COMMON_PRACTICE)
    middling_lb: float = rule(3.0, unit="lb", low=0.0, high=100.0, doc="Over this weight a wrapped piece is middling.")
    heavy_lb: float = rule(6.0, unit="lb", low=0.0, high=100.0, doc="Over this weight it is heavy.")
    film_good: str = rule("poly-6mil", unit="word", doc="Film stapled over a travel frame.")
    staple_good: str = rule("staple", unit="word", doc="Staples that hold it.")
    staple_spacing: int = rule(6 * INCH, unit="length", low=INCH, high=24 * INCH, doc="Farthest from staple to staple.")
    film_clear: int = rule(
        INCH,
        unit="length",
        low=INCH // 4,
        high=12 * INCH,
        doc="Least distance of film and slats from the face of a piece.",
    )
    tape_good: str = rule("tape", unit="word", doc="Tape for wrapping and cartons; never on the piece.")


@dataclass(frozen=True, slots=True)
class CartonRules(Checked):
    """A corrugated box for a small light piece."""

    board_good: str = rule("ply-3/8", unit="word", doc="Rigid board at both faces of the wrapped piece.")
    cushion_good: str = rule("pe-plank-2", unit="word", doc="Foam plank on all six sides of it.")
    soft_good: str = rule(
        "soft-foam-1", unit="word", doc="Soft foam in layers, where several works share a carton; plank where it fails."
    )
    soft_least: int = rule(2, unit="count", low=1, high=6, doc="Fewest layers of soft foam.", source=COMMON_PRACTICE)
    soft_most: int = rule(4, unit="count", low=1, high=8, doc="Most layers of soft foam.", source=COMMON_PRACTICE)
    divider_good: str = rule(
        "corrugated-pad", unit="word", doc="Dividers, interleaves and trays, where several works share a carton."
    )
    tray_air: int = rule(
        INCH,
        unit="length",
        low=INCH // 4,
        high=4 * INCH,
        doc="Air before the face of a work in a tray.",
        source=COMMON_PRACTICE,
    )
    share_most: int = rule(
        12, unit="count", low=1, high=40, doc="Most works that share a carton; 1 gives each one of its own."
    )
    wall: int = rule(
        INCH // 4,
        unit="length",
        low=INCH // 16,
        high=INCH,
        doc="Wall of a double-wall carton; its flaps are two walls.",
    )
    fill_good: str = rule("kraft", unit="word", doc="Paper crumpled into what room remains; never near the face.")
    fill_from: int = rule(
        INCH // 4, unit="length", low=0, high=2 * INCH, doc="Room on one side from which it is filled rather than left."
    )
    fill_most: int = rule(
        4 * INCH,
        unit="length",
        low=0,
        high=24 * INCH,
        doc="Most room on one side that paper fills where works share a carton: more of it settles on the way, and the "
        "whole shifts. One piece as the rules have it goes in the smallest carton, whatever room that leaves.",
        source=COMMON_PRACTICE,
    )
    fill_share: float = rule(
        0.015,
        unit="ratio",
        low=0.0,
        high=1.0,
        doc="Solid paper in crumpled paper, by volume.",
        source="about [[0.8 lb/ft3|13 kg/m3]] of crumpled kraft, plausible, no source",
    )


@dataclass(frozen=True, slots=True)
class TravelRules(Checked):
    """Open frame in which a piece hangs on French cleats, behind slats."""

    slat_good: str = rule("ply-23/32", unit="word", doc="Good that slats are ripped from.", source=COMMON_PRACTICE)
    slat_width: int = rule(
        7 * INCH // 2,
        unit="length",
        low=INCH,
        high=12 * INCH,
        doc="Width of a front slat, and of a back slat without a cleat.",
    )
    slat_width_large: int = rule(
        11 * INCH // 2, unit="length", low=INCH, high=12 * INCH, doc="The same on a large piece."
    )
    large_from: int = rule(
        48 * INCH, unit="length", low=12 * INCH, high=120 * INCH, doc="Longest side over which slats are wide."
    )
    third_from: int = rule(
        36 * INCH,
        unit="length",
        low=12 * INCH,
        high=120 * INCH,
        doc="Height of a piece over which a third slat goes in.",
    )
    plate_good: str = rule(
        "ply-3/8", unit="word", doc="Plate over the joint of a slat without cleats; thinner than the cleats."
    )
    cleat_past: int = rule(
        16 * INCH,
        unit="length",
        low=8 * INCH,
        high=36 * INCH,
        doc="A cleat that is itself spliced runs so far past the joint of its slat.",
    )
    slat_screw: str = rule("screw 10x1-1/4", unit="word", doc="Screw through a slat's end.")
    slat_screws: int = rule(2, unit="count", low=1, high=6, doc="Screws in each end of a slat.")
    cleat_width: int = rule(
        3 * INCH,
        unit="length",
        low=3 * INCH // 2,
        high=8 * INCH,
        doc="Long face of a French cleat, each half.",
        source=COMMON_PRACTICE,
    )
    cleat_inset: int = rule(
        2 * INCH, unit="length", low=0, high=24 * INCH, doc="From an edge of the piece to the nearer edge of the cleat."
    )
    cleat_short: int = rule(
        2 * INCH,
        unit="length",
        low=0,
        high=24 * INCH,
        doc="From a side of the piece to the end of its cleats, each side.",
    )
    hanging_screws: int = rule(
        2, unit="count", low=2, high=8, doc="Screws that hold the buyer's half of a French cleat to its slat."
    )


@dataclass(frozen=True, slots=True)
class CaseRules(Checked):
    """Strand-board case around travel frames."""

    face_good: str = rule("osb-7/16", unit="word", doc="Good of the faces.", source=COMMON_PRACTICE)
    lumber_good: str = rule("2x3", unit="word", doc="Lumber flat along all twelve edges.", source=COMMON_PRACTICE)
    skid_good: str = rule("2x4", unit="word", doc="Lumber on edge for skids; its breadth is the skid's height.")
    skid_plies: int = rule(2, unit="count", low=1, high=4, doc="Pieces of lumber side by side in one skid.")
    skid_from_lb: float = rule(
        150.0, unit="lb", low=0.0, high=4000.0, doc="Gross weight from which a case stands on skids."
    )
    skid_clear: int = rule(
        28 * INCH,
        unit="length",
        low=20 * INCH,
        high=96 * INCH,
        doc="Clear between the two skids.",
        source="pallet jack forks [[27 in|685 mm]] over all, several equipment pages",
    )
    laminate_abroad: bool = rule(
        True,  # noqa: FBT003 - the one positional argument is the default
        unit="yes or no",
        doc="For a destination abroad, lumber and skids are laminated from plywood, so that ISPM 15 asks for no mark.",
    )
    laminate_good: str = rule("ply-23/32", unit="word", doc="Plywood that they are laminated from.")
    opens: str = rule("end", unit="word", low=("end", "front"), doc="Which face opens: one narrow end, or the front.")
    front_up_to: int = rule(
        1, unit="count", low=0, high=12, doc="A case of so many frames at the most opens at the front in any case."
    )
    door_spacing: int = rule(
        16 * INCH,
        unit="length",
        low=4 * INCH,
        high=36 * INCH,
        doc="Perimeter of the opening face for each of its screws.",
    )
    door_least: int = rule(
        5, unit="count", low=3, high=50, doc="Fewest screws in the opening face.", source=COMMON_PRACTICE
    )
    door_most: int = rule(
        15, unit="count", low=3, high=60, doc="Most screws in the opening face.", source=COMMON_PRACTICE
    )
    door_screw: str = rule("screw 10x1-1/4", unit="word", doc="Screw of the opening face, with a washer.")
    cushion: str = rule(
        "checked",
        unit="word",
        low=("checked", "snug", "fixed"),
        doc="Foam round the frames: the least that keeps the shock to what is allowed (checked), thin pads that carry "
        "it snugly by own van or art carrier (snug), or cushion.thickness (fixed).",
    )
    cushion_good: str = rule(
        "pe-plank-2",
        unit="word",
        doc="Foam plank under and around the frames; other sheets of its material are stacked with it.",
    )
    pad_slender: float = rule(
        1.33,
        unit="ratio",
        low=0.5,
        high=4.0,
        doc="A pad is at least so many times as wide as it is thick, so that it does not buckle.",
        source="foam handbooks' rule for the least bearing area, (1.33 t)^2, from memory",
    )
    spacer_good: str = rule("foam-board-1", unit="word", doc="Strips between neighbouring frames.")
    spacer_width: int = rule(3 * INCH, unit="length", low=INCH, high=12 * INCH, doc="Width of such a strip.")
    near_size: float = rule(
        0.25,
        unit="ratio",
        low=0.0,
        high=1.0,
        doc="Frames share a case only while the smaller is shorter by no more than this share each way.",
    )
