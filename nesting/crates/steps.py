"""Steps: how a closed or battened crate is built and packed, one numbered instruction after the other."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from nesting.crates.battens import Grid
from nesting.crates.faces import Face
from nesting.crates.model import Step
from nesting.measure import format_length

if TYPE_CHECKING:
    from nesting.crates.shell import Shell

_SAW = (
    "Eye and ear protection; guards and riving knife on; dust extraction and a mask for plywood, strand board and foam."
)
_FACE = "Nothing touches the face: the piece stands upright or rests on padded bars under its edges. Clean gloves."


def steps_for(shell: "Shell", back: Face, grids: Sequence[Grid]) -> tuple[Step, ...]:
    """Return the steps in the order of the work."""
    shop, frame, units = shell.packing.shop, shell.frame, shell.packing.units

    def size(value: int) -> str:
        return format_length(value, units, mark=True)

    screws = {f.purpose: f for f in shell.bench.fixings}
    joints = sum(1 for m in frame.members if m.role == "gusset")
    steps = [
        Step("Cut all parts to the cut list and label each one.", _SAW),
        Step(
            f"Glue and screw the frame, outside {size(frame.width)} x {size(frame.height)}, strips {size(frame.strip)} "
            f"wide: {'rails over the ends of the stiles' if shop.frame.rails_run_through else 'stiles over the ends of the rails'}. "
            "Glue a corner block into each corner and screw it through the stile. Diagonals equal.",
            "Screws into plywood edges only clamp: the glue and the corner blocks hold.",
        ),
    ]
    if joints:
        steps.append(
            Step(
                f"Splice the long members end to end; glue and screw a gusset over each of the {joints} joints, inside."
            )
        )
    if back.seamed:
        seam = shop.battens.seam_width
        steps.append(
            Step(
                f"Lay the panels of each face edge to edge. Glue a batten {size(seam)} wide over each seam, its centre line on the "
                "seam, with a row of screws on both sides.",
                "Drive from the batten's side; no tip may show inside.",
            )
        )
    if grids:
        steps.append(
            Step(
                "Glue and screw the battens to the outside of back and lid: the rectangle first, then crosspieces, then "
                "uprights between them. Pieces butt.",
                "The two crosspieces of the back that take mounting screws are drawn on the drill map: set them exactly.",
            )
        )
    steps += [
        Step("Glue and screw the back to the frame.", "The back is never taken off again."),
        Step("Glue and screw the setting blocks to the back, standing on the lower rail."),
        Step(
            "Glue the foam liner into the frame, between the corner blocks; the lower strip lies in front of the setting blocks."
        ),
    ]
    for mounted in shell.mounted:
        name, fix = mounted.hung.artwork.piece, mounted.piece_screw
        count = len(mounted.piece_screws)
        steps.append(
            Step(
                f"{name}: screw both cleats across its back, {count // 2} screws {fix.short} each, heads sunk "
                f"{size(shop.cleats.piece_sink)}; pilot holes with a stop. Tips end {size(fix.margin)} short of the face.",
                _FACE,
            )
        )
    if shell.screw is not None:
        cleat = shop.good(shop.cleats.good)
        depth = sum(g.least_thickness for g in shell.held) + cleat.least_thickness - shop.cleats.tip_short
        steps.append(
            Step(
                f"Drill {len(shell.drill)} mounting holes through the back from outside by the drill map, with a stop at "
                f"{format_length(depth, units, denominator=64, mark=True)}.",
                "The piece is not in the crate while anybody drills.",
            )
        )
        washer = " over washers" if shell.screw.washer else ""
        for mounted in shell.mounted:
            steps.append(
                Step(
                    f"Set {mounted.hung.artwork.piece} on its setting blocks, one person holding it; drive {len(mounted.drill)} screws "
                    f"{shell.screw.short}{washer} from outside, the upper cleat first. Heads on the surface, nothing sunk.",
                    "Hand-tight with a stop clutch; a longer screw reaches the artwork.",
                )
            )
    lid = screws.get("lid, never glued")
    steps.append(
        Step(
            f"Gasket on the frame's edge; lid on with {lid.count if lid else 0} screws, never glued. Mark the side that opens.",
            "To unpack: stand the crate upright, lid off, one person holds the piece, lower screws out first, upper ones last.",
        )
    )
    return tuple(steps)
