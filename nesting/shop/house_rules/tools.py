"""The tools that a shop cuts with, as data: what each reaches, and where hands must keep away."""

from dataclasses import dataclass

from nesting.base.measure import INCH
from nesting.base.rules import Checked, rule

_MANUALS = "three saw makers' manuals"


@dataclass(frozen=True, slots=True)
class ToolRules(Checked):
    """What the shop's tools can do. The values are those of a common small shop."""

    rip: int = rule(
        30 * INCH,
        unit="length",
        low=0,
        high=60 * INCH,
        doc="Table saw: the farthest that its fence stands to the right of the blade; 0 where there is none.",
        source="common practice, no source",
    )
    along_fence: int = rule(
        12 * INCH,
        unit="length",
        low=6 * INCH,
        high=24 * INCH,
        doc="Table saw: the least length of a piece along the fence, and never less than from fence to blade.",
        source=f"{_MANUALS}; the HSE's circular saw page: the last 300 mm of a cut by push stick",
    )
    narrowest: int = rule(
        2 * INCH,
        unit="length",
        low=INCH // 2,
        high=6 * INCH,
        doc="Table saw: the least width of what lies between fence and blade.",
        source="common practice, no source",
    )
    push_below: int = rule(
        6 * INCH,
        unit="length",
        low=3 * INCH,
        high=12 * INCH,
        doc="Table saw: under this width a push block, not a hand, moves the piece.",
        source=f"{_MANUALS}; OSHA 1910.213 asks for push sticks for small pieces, and states no width",
    )
    crosswise: int = rule(
        3,
        unit="count",
        low=1,
        high=8,
        doc="Table saw: a panel is at most so many times as long across the fence as along it, or it swings and binds.",
        source="common practice, no source",
    )
    track: int = rule(
        110 * INCH,
        unit="length",
        low=0,
        high=240 * INCH,
        doc="Track saw, or circular saw on a guide: its longest cut; 0 where there is none.",
        source="common practice, no source: two rails of [[55 in|1400 mm]]",
    )
    chop: int = rule(
        11 * INCH // 2,
        unit="length",
        low=0,
        high=16 * INCH,
        doc="Chop saw: the widest board that it crosscuts, [[5-1/2 in, or 12 in|140 mm, or 305 mm]] "
        "where it slides on rails; 0: none.",
        source="common practice, no source",
    )
    chop_stack: int = rule(
        2 * INCH,
        unit="length",
        low=INCH // 2,
        high=6 * INCH,
        doc="Chop saw: the highest stack that it cuts at once, with a stop.",
        source="common practice, no source",
    )
    hold: int = rule(
        8 * INCH,
        unit="length",
        low=3 * INCH,
        high=24 * INCH,
        doc="Chop saw: the least length that a hand holds beside the blade; else a longer blank, or its clamp.",
        source="hands never within [[6 in (two saw makers' manuals; a third: 3 in), and 2 in|"
        "150 mm (two saw makers' manuals; a third: 76 mm), and 50 mm]] for the fingers that hold",
    )
    clamp: int = rule(
        6 * INCH,
        unit="length",
        low=0,
        high=24 * INCH,
        doc="Track saw: the least size of a panel across the cut, so that rail and clamps have wood under them.",
        source="common practice, no source",
    )
    knife: int = rule(
        INCH,
        unit="length",
        low=0,
        high=3 * INCH,
        doc="Knife: the thickest foam or board that it cuts, with no kerf.",
        source="common practice, no source",
    )
    band: int = rule(
        6 * INCH,
        unit="length",
        low=0,
        high=24 * INCH,
        doc="Bandsaw or hot wire: the thickest foam that it cuts; 0 where there is none.",
        source="common practice, no source",
    )
    band_kerf: int = rule(
        INCH // 16,
        unit="length",
        low=0,
        high=INCH // 4,
        doc="Bandsaw or hot wire: what a cut takes.",
        source="common practice, no source",
    )
