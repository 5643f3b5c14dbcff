"""Rules of the battens that stiffen a face, and of the seams under them."""

from dataclasses import dataclass

from nesting.base.measure import INCH
from nesting.base.rules import COMMON_PRACTICE, Checked, rule


@dataclass(frozen=True, slots=True)
class BattenRules(Checked):
    """Battens on the outside of a face, and seams in faces larger than a sheet."""

    goods: tuple[str, ...] = rule(
        ("ply-3/8", "ply-15/32", "ply-23/32"),
        unit="words",
        doc="Goods that battens may be ripped from; the design takes the cheapest that holds.",
        source=COMMON_PRACTICE,
    )
    good: str = rule("", unit="word", doc="The one good that all battens are ripped from; empty for one of the goods.")
    width: int = rule(3 * INCH, unit="length", low=2 * INCH, high=8 * INCH, doc="Width of a batten.")
    clear: int = rule(
        24 * INCH,
        unit="length",
        low=6 * INCH,
        high=48 * INCH,
        doc="Most of a battened face that is open between battens or frame, across the battens.",
        source="US Army TM 43-0156, app. D-1: one more cleat where an unframed area is over [[24 in|610 mm]]",
    )
    spacing: int = rule(
        0,
        unit="length",
        low=0,
        high=48 * INCH,
        doc="Most that battens stand apart, centre to centre, where the shop asks for that as well; 0 where not.",
    )
    seam_good: str = rule(
        "ply-23/32", unit="word", doc="Thinnest good of battens over seams; all battens of such a face are as thick."
    )
    seam_width: int = rule(
        11 * INCH // 2, unit="length", low=4 * INCH, high=12 * INCH, doc="Width of a batten over a seam."
    )
    panel_least: int = rule(
        12 * INCH,
        unit="length",
        low=6 * INCH,
        high=48 * INCH,
        doc="Narrowest panel of a seamed face, so that it looks sensible and takes screws.",
    )
    screws_apart: int = rule(
        6 * INCH, unit="length", low=2 * INCH, high=16 * INCH, doc="Spacing of the screws that hold battens to a face."
    )
    screw: str = rule(
        "screw 8x5/8",
        unit="word",
        doc="Screw that clamps a batten to its face while the glue sets; a longer one of those for mounting where "
        "its tip never shows.",
    )
    seam_screw: str = rule("screw 10x1", unit="word", doc="The same through a batten over a seam, where it fits.")
    staple: str = rule("", unit="word", doc="Staple used instead of those screws; empty for screws.")
    staples_apart: int = rule(
        3 * INCH,
        unit="length",
        low=INCH,
        high=12 * INCH,
        doc="Spacing of such staples.",
        source="APA, stressed-skin panels: nails [[3 in apart to 3/8 in|75 mm apart to 9.5 mm]] (from memory)",
    )

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        if 0 < self.spacing < self.width + self.seam_width:
            raise ValueError("spacing: found less than two battens; accepted: at least a batten and a seam batten")
