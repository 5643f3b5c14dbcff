"""Steps: how a closed or battened crate is built and packed, one numbered instruction after the other."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from nesting.advice.lifting import team_for
from nesting.crates.battens import Grid
from nesting.crates.faces import Face
from nesting.crates.model import Step
from nesting.crates.screwing import MountedPiece
from nesting.measure import format_length

if TYPE_CHECKING:
    from nesting.crates.shell import Shell

SAW = "Eye and ear protection; guards and riving knife on; dust extraction, and a mask for plywood, boards and foam."
FACE = (
    "Nothing touches the face: the piece stands upright or rests on padded bars under its edges. Clean gloves, "
    "clean soft table."
)
_EDGES = "Screws into plywood edges only clamp: the glue and the corner blocks hold."
_HANDLES = "Screws of 5/8 in at the most: no tip may show inside."
_STOP = "The piece is not in the crate while anybody drills."
_OPEN = (
    "To unpack: stand the crate upright, lid off; one person holds the piece, the lower screws come out first, "
    "the upper ones last."
)


def steps_for(shell: "Shell", back: Face, grids: Sequence[Grid], *, handles: int) -> tuple[Step, ...]:
    """Return the steps in the order of the work."""
    steps = [
        Step("Cut all parts to the cut list and label each one.", SAW),
        *_frame(shell),
        *_faces(shell, back, grids),
    ]
    steps += [
        Step("Glue and screw the back to the frame.", "The back is never taken off again."),
        Step("Glue and screw the setting blocks to the back, standing on the lower rail."),
        Step("Glue the foam liner into the frame, between the corner blocks; the lower strip lies before the blocks."),
    ]
    if handles:
        steps.append(
            Step(
                f"Screw {handles} handles to the stiles, one a side, at the height of the centre of gravity.", _HANDLES
            )
        )
    steps += [_cleats(shell, mounted) for mounted in shell.mounted]
    steps += _mounting(shell)
    steps.append(_lid(shell))
    return tuple(steps)


def _size(shell: "Shell", value: int, denominator: int = 32) -> str:
    return format_length(value, shell.packing.units, denominator, mark=True)


def _frame(shell: "Shell") -> list[Step]:
    """Say how the frame goes together."""
    frame, shop = shell.frame, shell.packing.shop
    through = shop.frame.rails_run_through
    joint = "rails over the ends of the stiles" if through else "stiles over the ends of the rails"
    wide, high, strip = (_size(shell, v) for v in (frame.width, frame.height, frame.strip))
    steps = []
    joints = len(frame.of("gusset"))
    if joints:
        steps.append(
            Step(
                f"Splice the long members end to end; glue and screw a gusset over each of the {joints} joints, inside."
            )
        )
    steps.append(
        Step(
            f"Glue and screw the frame, outside {wide} x {high}, strips {strip} wide, {joint}. Glue a block into each "
            "corner and screw it through the stile. Measure both diagonals: equal.",
            _EDGES,
        )
    )
    return steps


def _faces(shell: "Shell", back: Face, grids: Sequence[Grid]) -> list[Step]:
    """Say how seams and battens go on."""
    steps: list[Step] = []
    broad = shell.packing.shop.battens.seam_width
    if back.seamed:
        steps.append(
            Step(
                f"Lay the panels of each face edge to edge. Glue a batten {_size(shell, broad)} "
                "wide over each seam, its centre line on the seam, a row of screws on both sides.",
                "Drive from the batten's side; no tip may show inside.",
            )
        )
    if grids:
        lines = ", ".join(_size(shell, y) for y in shell.lines)
        steps.append(
            Step(
                "Glue and screw the battens to the outside of back and lid: the rectangle first, then crosspieces, "
                f"then uprights. Pieces butt. Mounting screws go through crosspieces of the back, {lines} up.",
                "Set those crosspieces exactly: every mounting screw must land on one.",
            )
        )
    return steps


def _cleats(shell: "Shell", mounted: MountedPiece) -> Step:
    """Say how the cleats go onto a piece."""
    fix, sink = mounted.piece_screw, shell.packing.shop.cleats.piece_sink
    return Step(
        f"{mounted.hung.artwork.piece}: screw the cleats across its back with {len(mounted.piece_drill)} screws "
        f"{fix.short}, heads sunk {_size(shell, sink)}; pilot holes with a stop. Tips end at least "
        f"{_size(shell, fix.margin)} short of its face.",
        FACE,
    )


def _mounting(shell: "Shell") -> list[Step]:
    """Say how the mounting holes are drilled and the pieces screwed in."""
    screw = shell.screw
    if screw is None:
        return []
    shop = shell.packing.shop
    cleat = shop.good(shop.cleats.good)
    stop = sum(g.least_thickness for g in shell.held) + cleat.least_thickness - shop.cleats.tip_short
    washer = " over washers" if screw.washer else ""
    steps = [
        Step(
            f"Drill {len(shell.drill)} mounting holes through the back from outside by the drill map, with a stop at "
            f"{_size(shell, stop // (shop.joinery.snap // 4) * (shop.joinery.snap // 4), 64)}.",
            _STOP,
        )
    ]
    steps += [
        Step(
            f"Set {m.hung.artwork.piece} on its setting blocks and hold it upright ({_people(shell, m)}); "
            f"drive {len(m.drill)} screws {screw.short}{washer} from outside, the upper row first.",
            "By hand or with the clutch set low; a longer screw reaches the artwork.",
        )
        for m in shell.mounted
    ]
    return steps


def _people(shell: "Shell", mounted: MountedPiece) -> str:
    """Say who holds a piece while it is screwed in; one more drives the screws."""
    piece = mounted.hung.artwork
    team = team_for(mounted.hung.weight.kg, piece.longest_side, shell.packing.shop.lifting)
    return "a lift table or a hoist, and two people" if team == "forks" else team


def _lid(shell: "Shell") -> Step:
    """Say how the crate is closed."""
    count = next((f.count for f in shell.bench.fixings if f.purpose.startswith("lid")), 0)
    start = "Gasket on the frame's edge, then the lid" if shell.packing.shop.joinery.gasket else "The lid"
    return Step(f"{start} on with {count} screws, never glued. Mark the side that opens.", _OPEN)
