"""Rules of the battens that stiffen a face, and of the seams under them."""

from dataclasses import dataclass

from nesting.base.measure import INCH
from nesting.base.rules import COMMON_PRACTICE, Checked, rule


@dataclass(frozen=True, slots=True)
class BattenRules(Checked):
    """Battens on the outside of a face, and seams in faces larger than a sheet."""

    good: str = rule("ply-3/8", unit="word", doc="Good that battens are ripped from.", source=COMMON_PRACTICE)
    width: int = rule(3 * INCH, unit="length", low=2 * INCH, high=8 * INCH, doc="Width of a batten.")
    spacing: int = rule(
        24 * INCH,
        unit="length",
        low=6 * INCH,
        high=48 * INCH,
        doc="Most that battens stand apart, centre to centre.",
        source="24 in for panelboard boxes on a training page; clear or centre to centre is not certain",
    )
    seam_good: str = rule("ply-23/32", unit="word", doc="Good of the battens over seams.")
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
        "screw 8x5/8", unit="word", doc="Screw through a batten into the face; its tip never shows inside."
    )
    seam_screw: str = rule("screw 10x1", unit="word", doc="The same through a batten over a seam.")

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        if self.spacing < self.width + self.seam_width:
            raise ValueError("spacing: found less than a batten and a seam batten together; accepted: at least that")
