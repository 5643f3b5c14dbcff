"""Steps: how a closed or battened crate is built and packed, one numbered instruction after the other."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Final

from nesting.advice.lifting import team_for
from nesting.base.measure import INCH, UnitSystem, format_length
from nesting.crates.bench import Bench
from nesting.crates.model import Step
from nesting.crates.shells.battens import Grid
from nesting.crates.shells.closing_steps import climate_steps, dry_steps, ledge_steps, lid_step
from nesting.crates.shells.faces import Face
from nesting.crates.shells.mounting import piece_stop
from nesting.crates.shells.shell import MountedPiece, Shell

SHORTEST: Final = 12 * INCH
"""Parts shorter than this are cut from a longer blank: saw makers' manuals, push stick under 12 in; HSE 300 mm."""

SAW = "Eye and ear protection; guards and riving knife on; dust extraction, and a mask for plywood, boards and foam."
FACE = (
    "Nothing touches the face: the piece stands upright or rests on padded bars under its edges. Clean gloves, "
    "clean soft table."
)
_EDGES = "Screws into plywood edges only clamp: the glue and the corner blocks hold."
_CURING = "Resin that still cures takes an imprint of whatever lies on it."
_STOP = "The piece is not in the crate while anybody drills."


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
    gear, upright : tuple of Step
        Handles and skids; how the closed crate is kept upright.
    """

    handles: int
    balance: int
    lift: str
    rests: tuple[str, ...] = ()
    gear: tuple[Step, ...] = ()
    upright: tuple[Step, ...] = ()


def steps_for(shell: Shell, lid: Face, grids: tuple[Grid | None, Grid | None], told: Told) -> tuple[Step, ...]:
    """Return the steps in the order of the work.

    Parameters
    ----------
    grids : tuple of (Grid or None)
        Battens on back and lid.
    """
    steps = [
        Step("Cut all parts to the cut list and label each one.", SAW),
        *short_parts(shell.bench, shell.packing.units),
        *dry_steps(shell),
        *_frame(shell),
        *_faces(shell, lid, grids),
        *ledge_steps(shell),
        *_holes(shell),
        Step(f"Glue and screw the back to the frame{_around(shell, 'back to')}.", "The back is never taken off again."),
        *_blocks(shell),
        *_pads(shell),
        *told.gear,
        *climate_steps(shell),
        Step(
            "Glue the foam liner into the frame, between all blocks on it; the lower strip lies before the setting "
            "blocks."
        ),
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
    steps += [_cleats(shell, mounted) for mounted in shell.mounted if mounted.piece_screw is not None]
    steps += _mounting(shell)
    steps.append(lid_step(shell, _around(shell, "lid"), lifters(told.lift)))
    return (*steps, *told.upright)


def short_parts(bench: Bench, units: UnitSystem) -> list[Step]:
    """Say from what short parts are cut: no saw takes a part by itself that is shorter than its hand's distance."""
    short = [part for part in bench.parts if max(part.length, part.width) < SHORTEST]
    if not short:
        return []
    least = format_length(SHORTEST, units, 8, mark=True)

    def size(value: int) -> str:
        return format_length(value, units, 32, mark=True)

    named = listed(
        [f"{part.count} {part.name.partition('.')[2]} ({size(part.length)} x {size(part.width)})" for part in short]
    )
    return [
        Step(
            f"Short parts come off a longer blank: rip a strip of the part's width, at least {least} long, and "
            f"crosscut the parts off its end: {named}.",
            "Clamp a stop block ahead of the blade, clear of it before the cut; push stick for what is narrow; never a "
            "short piece against the fence.",
        )
    ]


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


def _blocks(shell: Shell) -> list[Step]:
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
    return [Step(f"Glue and screw the setting blocks to the back, {'; '.join(told)}.")] if told else []


def _pads(shell: Shell) -> list[Step]:
    """Say where the bearing pads go."""
    places = sorted((pad.y, -pad.x) for pads in shell.plan.pads for pad in pads)
    if not places:
        return []
    told = []
    for foot, row in groupby(places, key=lambda place: place[0]):
        at = listed([_size(shell, -x) for _, x in row])
        told.append(
            f"lower edges {_size(shell, foot)} up from the bottom, left edges {at} from the left outside, seen from "
            "the front"
        )
    return [
        Step(
            f"Glue and screw the bearing pads to the inside of the back, all layers: {'; '.join(told)}. They are as "
            "thick as the cleats: the piece rests on them when it is pressed back, and is not screwed to them.",
            "Flush and free of glue and screw heads where the piece lies on them.",
        )
    ]


def along(places: Sequence[int], write: Callable[[int], str]) -> str:
    """Say where points stand on a line: the first, then every so much, where they are even; else each of them."""
    gaps = {b - a for a, b in pairwise(places)}
    if len(places) > 2 and len(gaps) == 1:
        return f"first at {write(places[0])}, then every {write(gaps.pop())}, {len(places)} in all"
    return f"at {listed([write(x) for x in places])}"


def _holes(shell: Shell) -> list[Step]:
    """Say how the mounting holes are drilled, through back and cleats together, before the back is on the frame."""
    if not shell.drill:
        return []
    drill = shell.drill[0]
    own = all(cleat.own for each in shell.cleats for cleat in each)
    rows = [
        f"row {_size(shell, y)} up: {along(sorted({d.x for d in shell.drill if d.y == y}), lambda x: _size(shell, x))}"
        for y in sorted({d.y for d in shell.drill})
    ]
    places = f"from its left edge, seen from outside: {'; '.join(rows)}"
    wide = shell.frame.width
    if own:
        first = (
            f"Drill the mounting holes through the back from outside by the drill map: drill {drill.pilot}, stop at "
            f"{drill.stop}, {places}. The piece's own cleats get their pilots through these, with the same drill and "
            "stop, when it stands in its place."
        )
    else:
        at = listed(
            [
                f"{cleat.name} {_size(shell, cleat.y)} up, {_size(shell, wide - cleat.x - cleat.length)} in"
                for each in shell.cleats for cleat in each
            ]
        )  # fmt: skip
        first = (
            "Clamp the cleats to the inside of the back where they will lie (lower edge and left end, seen from "
            f"outside: {at}) and drill back and cleat through together from outside: drill {drill.pilot}, stop at "
            f"{drill.stop}, {places}. Mark each cleat with its name and the side that is up."
        )
    steps = [*_layers(shell), Step(first, _STOP)]
    if drill.clearance:
        back = shell.held
        deep = _size(shell, sum(good.greatest_thickness for good in back), 64)
        steps.append(
            Step(
                f"Take the cleats off. Open the {len(shell.drill)} holes in the back to {drill.clearance}, stop at "
                f"{deep}: the threads then bite the cleat alone and draw it tight.",
                "A thread that bites the back as well holds the piece off it.",
            )
        )
    return steps


def _layers(shell: Shell) -> list[Step]:
    """Say how the layers of cleats and pads come together."""
    if len(shell.stack) == 1 or all(cleat.own for each in shell.cleats for cleat in each):
        return []
    what = "each cleat and pad" if any(shell.plan.pads) else "each cleat"
    back, piece = (good.good for good in (shell.stack[0], shell.stack[-1]))
    side = "" if back == piece else f"; the side of {back} goes to the crate's back"
    return [Step(f"Glue the layers of {what} together, edges flush, under clamps until the glue holds{side}.")]


def gauge(shell: Shell, mounted: MountedPiece) -> str:
    """Say how the distance of the cleats is taken over to the piece."""
    own = [c for c in shell.cleats[shell.load.hung.index(mounted.hung)] if not c.own]
    heights = sorted({c.y for c in own})
    rises = listed([_size(shell, y - heights[0]) for y in heights[1:]])
    return (
        f"Take their spacing over with a gauge stick: {rises} from lower edge to lower edge, from the lowest cleat up"
    )


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


def _faces(shell: Shell, lid: Face, grids: tuple[Grid | None, Grid | None]) -> list[Step]:
    """Say how seams and battens go on."""
    steps: list[Step] = []
    rules = shell.packing.shop.battens
    if shell.design.back.seamed or lid.seamed:
        steps.append(
            Step(
                f"Lay the panels of each face edge to edge. Glue a batten {_size(shell, rules.seam_width)} "
                "wide over each seam, its centre line on the seam, a row of fasteners on both sides.",
                "Drive from the batten's side; no tip may show inside.",
            )
        )
    for name, grid in zip(("back", "lid"), grids, strict=True):
        if grid is None or grid.good is None:
            continue
        told = []
        for runs, words in (("y", "uprights, edge to edge of the face over the rails"), ("x", "level ones")):
            lying = [b for b in grid.battens if b.runs == runs]
            at = sorted({b.rect.x if runs == "y" else b.rect.y for b in lying})
            if at:
                edge = "left edges" if runs == "y" else "lower edges"
                told.append(f"{words}: {edge} {along(at, lambda v: _size(shell, v))}")
        fast = "staple" if rules.staple else "screw"
        steps.append(
            Step(
                f"Glue and {fast} the battens of {grid.good.good} to the outside of the {name}, the full-length ones "
                f"first, seen from the front, from the left and lower edge: {'; '.join(told)}. Spread glue over the "
                "whole batten and clamp it down with cauls until it sets: the glue carries, the fasteners only hold.",
                "Set those under mounting screws exactly: every one of these must land where the drill map says."
                if name == "back"
                else "",
            )
        )
    return steps


def _cleats(shell: Shell, mounted: MountedPiece) -> Step:
    """Say how the cleats go onto a piece."""
    fix, sink = mounted.piece_screw, shell.packing.shop.cleats.piece_sink
    if fix is None:
        raise ValueError("a piece with cleats of its own gets none")
    bored = ""
    if len(shell.stack) > 1:
        layer = _size(shell, shell.stack[0].thickness + sink)
        bored = f" (bored out {layer} deep for the heads, through the second layer)"
    return Step(
        f"{mounted.hung.artwork.piece}: screw the cleats across its back with {len(mounted.piece_drill)} screws "
        f"{fix.short}, heads sunk {_size(shell, sink)}{bored}; pilot holes through cleat and into the piece with a "
        f"stop at {piece_stop(fix, shell.packing.shop, shell.packing.units)} from there. Tips end at least "
        f"{_size(shell, fix.margin)} short of its face. {gauge(shell, mounted)}. Measured on the piece, seen from "
        f"behind: {'; '.join(_on_piece(shell, mounted))}. The drill map relies on these places.",
        FACE,
    )


def _on_piece(shell: Shell, mounted: MountedPiece) -> list[str]:
    """Say where each cleat lies on its piece and where its screws stand, from the piece's left and lower edge."""
    hung, wide = mounted.hung, shell.frame.width
    right = wide - hung.x - hung.artwork.width
    own = shell.cleats[shell.load.hung.index(hung)]
    told = []
    for cleat in own:
        if cleat.own:
            continue
        left = wide - cleat.x - cleat.length
        name = "upper" if cleat.upper else "middle" if cleat.middle else "lower"
        words = (
            f"{name} cleat ({shell.packing.crate}.{cleat.name}): lower edge {_size(shell, cleat.y - hung.y)} up, "
            f"left end {_size(shell, left - right)} from the left edge"
        )
        mine = [d for d in mounted.piece_drill
                if cleat.y < d.y < cleat.y + cleat.width and left <= d.x <= left + cleat.length]  # fmt: skip
        for y in sorted({d.y for d in mine}):
            at = along(sorted(d.x - left for d in mine if d.y == y), lambda x: _size(shell, x))
            words += f", screws {_size(shell, y - cleat.y)} above its lower edge, {at} from its left end"
        told.append(words)
    return told


def _mounting(shell: Shell) -> list[Step]:
    """Say how the pieces are screwed in."""
    washer = " over fender washers" if shell.screw.washer else ""
    rests = " on its setting blocks" if any(p.role == "setting block" for p in shell.bench.placed) else ""
    return [
        Step(
            f"Set {m.hung.artwork.piece}{rests} and hold it upright ({_people(shell, m)}); "
            f"drive {len(m.drill)} screws {shell.screw.short}{washer} from outside into the holes of its cleats, the "
            "upper row first.",
            "By hand or with the clutch set low; a longer screw reaches the artwork. The crate stands wedged or held "
            "too: it is narrow, and falls.",
        )
        for m in shell.mounted
    ]


def _people(shell: Shell, mounted: MountedPiece) -> str:
    """Say who holds a piece while it is screwed in; one more drives the screws."""
    piece = mounted.hung.artwork
    team = team_for(mounted.hung.weight.kg, piece.longest_side, shell.packing.shop.lifting)
    return "a lift table or a hoist, and two people" if team == "forks" else team
