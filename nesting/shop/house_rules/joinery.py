"""Rules of joining: glue, screws, corner blocks, gussets, handles."""

from dataclasses import dataclass

from nesting.base.measure import INCH, MM
from nesting.base.rules import Checked, rule


@dataclass(frozen=True, slots=True)
class JoineryRules(Checked):
    """How the parts of a crate hold together."""

    glue: str = rule("wood-glue", unit="word", doc="Glue for wood.")
    glue_g_m2: float = rule(
        180.0,
        unit="g/m2",
        low=50.0,
        high=500.0,
        doc="Glue on a joint.",
        source="maker's pages say 150 to 250, from memory",
    )
    foam_glue: str = rule("hot-glue", unit="word", doc="Glue for foam.")
    foam_glue_g_m: float = rule(20.0, unit="g/m", low=2.0, high=100.0, doc="Hot glue for each metre of liner.")
    frame_screw: str = rule(
        "screw 10x1-1/4", unit="word", doc="Screw through a strip into a corner block or gusset; its tip never shows."
    )
    corner_screw: str = rule(
        "screw 8x2-1/2",
        unit="word",
        doc="Screw through a rail into the end of a stile; it clamps the glue and counts nothing in withdrawal.",
    )
    face_screw: str = rule(
        "screw 10x1-1/4", unit="word", doc="Screw through a back or lid up to [[1/2 in|12 mm]] into the frame."
    )
    face_screw_long: str = rule(
        "screw 8x2-1/2", unit="word", doc="The same through a thicker face, or through batten and face."
    )
    face_screws_apart: int = rule(
        8 * INCH,
        unit="length",
        low=3 * INCH,
        high=16 * INCH,
        doc="Spacing of the screws that hold a face to the frame.",
    )
    corner_leg: int = rule(
        2 * INCH, unit="length", low=INCH, high=6 * INCH, doc="How far a corner block reaches along the stile."
    )
    block_good: str = rule(
        "ply-23/32", unit="word", doc="Good of corner blocks and gussets, no thicker than the liner."
    )
    gusset_length: int = rule(
        12 * INCH, unit="length", low=6 * INCH, high=36 * INCH, doc="Gusset over the joint of a spliced member."
    )
    grain_along: bool = rule(
        default=True,
        unit="yes or no",
        doc="Strips and battens are ripped along the face grain; no: either way of the sheet.",
    )
    gasket: str = rule("gasket", unit="word", doc="Gasket under the lid; empty for none.")
    handle: str = rule("handle", unit="word", doc="Handle on a stile; empty for none.")
    handle_screw: str = rule("screw 8x5/8", unit="word", doc="Screw of a handle; its tip never shows inside.")
    handles_from_lb: float = rule(
        20.0, unit="lb", low=0.0, high=500.0, doc="Gross weight from which a crate has handles."
    )
    snap: int = rule(
        INCH // 16,
        unit="length",
        low=INCH // 64,
        high=INCH // 2,
        doc="Positions of battens and screws are set to this step.",
    )
    snap_metric: int = rule(MM, unit="length", low=MM // 2, high=10 * MM, doc="The same for an order in metric units.")
