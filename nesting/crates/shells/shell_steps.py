"""Steps: how a closed or battened crate is built and packed, one numbered instruction after the other."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from nesting.advice.lifting import team_for
from nesting.base.measure import format_length
from nesting.crates.model import Step
from nesting.crates.shells.battens import Grid
from nesting.crates.shells.faces import Face
from nesting.crates.shells.mounting import mounting_stop, piece_stop
from nesting.crates.shells.shell import MountedPiece, Shell

SAW = "Eye and ear protection; guards and riving knife on; dust extraction, and a mask for plywood, boards and foam."
FACE = (
    "Nothing touches the face: the piece stands upright or rests on padded bars under its edges. Clean gloves, "
    "clean soft table."
)
_EDGES = "Screws into plywood edges only clamp: the glue and the corner blocks hold."
_CURING = "Resin that still cures takes an imprint of whatever lies on it."
_STOP = "The piece is not in the crate while anybody drills."
_OPEN = (
    "To unpack: stand the crate upright, lid off; one person holds the piece, the lower screws come out first, "
    "the upper ones last."
)


@dataclass(frozen=True, slots=True)
class Told:
    """What the steps need to know of the finished crate.

    Attributes
    ----------
    handles : int
        How many.
    balance : int
        Height of the centre of gravity above the bottom of the crate.
    lift : str
        Who lifts the closed crate.
    rests : tuple of str
        When poured pieces may be packed.
    """

    handles: int
    balance: int
    lift: str
    rests: tuple[str, ...] = ()


def steps_for(shell: Shell, back: Face, grids: Sequence[Grid], told: Told) -> tuple[Step, ...]:
    """Return the steps in the order of the work."""
    steps = [
        Step("Cut all parts to the cut list and label each one.", SAW),
        *_frame(shell),
        *_faces(shell, back, grids),
    ]
    steps += [
        Step(f"Glue and screw the back to the frame{_around(shell, 'back to')}.", "The back is never taken off again."),
        _blocks(shell),
        Step("Glue the foam liner into the frame, between the corner blocks; the lower strip lies before the blocks."),
    ]
    if told.handles:
        height = _size(shell, told.balance, 8)
        screw = shell.packing.shop.good(shell.packing.shop.joinery.handle_screw)
        steps.append(
            Step(
                f"Screw {told.handles} handles to the stiles, one a side, their middle {height} up from the bottom: "
                "the height of the centre of gravity.",
                f"Screws of {_size(shell, screw.breadth)} at the most: no tip may show inside.",
            )
        )
    steps += rest_steps(told.rests)
    steps += [_cleats(shell, mounted) for mounted in shell.mounted]
    steps += _mounting(shell)
    steps.append(_lid(shell, told.lift))
    return tuple(steps)


def rest_steps(rests: Sequence[str]) -> list[Step]:
    """Say when pieces may be touched, before the first step that touches them."""
    return [Step(f"{text}: until then it stays where it cures.", _CURING) for text in rests]


def listed(words: Sequence[str]) -> str:
    """Return words one after the other: ``a``, ``a and b``, ``a, b and c``."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def lifters(lift: str) -> str:
    """Say who lifts, as a sentence needs it."""
    return "forks, a jack or a hoist, never hands alone" if lift == "forks" else lift


def _around(shell: Shell, purpose: str) -> str:
    """Say how many screws hold a face and how far apart they are."""
    count = next((f.count for f in shell.bench.fixings if f.purpose.startswith(purpose)), 0)
    if not count:
        return ""
    apart = _size(shell, 2 * (shell.frame.width + shell.frame.height) // count, 2)
    return f" with {count} screws all round, one near each corner, about {apart} apart"


def _blocks(shell: Shell) -> Step:
    """Say where the setting blocks go."""
    on_rail = shell.frame.thickness
    boxes = sorted(
        ((p.box.y, p.box.x) for p in shell.bench.placed if p.role == "setting block"),
    )
    told = []
    for foot, row in groupby(boxes, key=lambda box: box[0]):
        at = listed([_size(shell, x) for _, x in row])
        where = "standing on the lower rail" if foot == on_rail else f"{_size(shell, foot)} up from the bottom"
        told.append(f"{where}, their left edges {at} from the left outside, seen from the front")
    return Step(f"Glue and screw the setting blocks to the back, {'; '.join(told)}.")


def _size(shell: Shell, value: int, denominator: int = 32) -> str:
    return format_length(value, shell.packing.units, denominator, mark=True)


def _frame(shell: Shell) -> list[Step]:
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


def _faces(shell: Shell, back: Face, grids: Sequence[Grid]) -> list[Step]:
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


def _cleats(shell: Shell, mounted: MountedPiece) -> Step:
    """Say how the cleats go onto a piece."""
    fix, sink = mounted.piece_screw, shell.packing.shop.cleats.piece_sink
    return Step(
        f"{mounted.hung.artwork.piece}: screw the cleats across its back with {len(mounted.piece_drill)} screws "
        f"{fix.short}, heads sunk {_size(shell, sink)}; pilot holes through cleat and into the piece with a stop at "
        f"{piece_stop(fix, shell.packing.shop, shell.packing.units)}. Tips end at least "
        f"{_size(shell, fix.margin)} short of its face. Measured on the piece, seen from behind: "
        f"{'; '.join(_on_piece(shell, mounted))}. The drill map relies on these places.",
        FACE,
    )


def _on_piece(shell: Shell, mounted: MountedPiece) -> list[str]:
    """Say where each cleat lies on its piece and where its screws stand, from the piece's left and lower edge."""
    hung, wide = mounted.hung, shell.frame.width
    right = wide - hung.x - hung.artwork.width
    own = shell.cleats[shell.load.hung.index(hung)]
    told = []
    for cleat in own:
        left = wide - cleat.x - cleat.length
        screws = sorted(
            d.x for d in mounted.piece_drill if d.y == cleat.piece_line and left <= d.x <= left + cleat.length
        )
        at = listed([_size(shell, x - left) for x in screws])
        name = "upper" if cleat.upper else "lower"
        told.append(
            f"{name} cleat ({shell.packing.crate}.{cleat.name}): lower edge {_size(shell, cleat.y - hung.y)} up, "
            f"left end {_size(shell, left - right)} from the left edge, "
            f"screws {_size(shell, cleat.piece_line - cleat.y)} above its lower edge, {at} from its left end"
        )
    return told


def _mounting(shell: Shell) -> list[Step]:
    """Say how the mounting holes are drilled and the pieces screwed in."""
    screw = shell.screw
    if screw is None:
        return []
    shop = shell.packing.shop
    washer = " over washers" if screw.washer else ""
    steps = [
        Step(
            f"Drill {len(shell.drill)} mounting holes through the back from outside by the drill map, with a stop at "
            f"{mounting_stop(shell.held, shop, shell.packing.units)}.",
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


def _people(shell: Shell, mounted: MountedPiece) -> str:
    """Say who holds a piece while it is screwed in; one more drives the screws."""
    piece = mounted.hung.artwork
    team = team_for(mounted.hung.weight.kg, piece.longest_side, shell.packing.shop.lifting)
    return "a lift table or a hoist, and two people" if team == "forks" else team


def _lid(shell: Shell, lift: str) -> Step:
    """Say how the crate is closed."""
    start = "Gasket on the frame's edge, then the lid" if shell.packing.shop.joinery.gasket else "The lid"
    return Step(
        f"{start} on{_around(shell, 'lid')}, never glued. Mark the side that opens. To lift the closed crate: "
        f"{lifters(lift)}.",
        _OPEN,
    )
