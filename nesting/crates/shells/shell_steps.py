"""Steps: how a closed or battened crate is built and packed, one numbered instruction after the other.

What page 2 of a crate shows (battens, cleats, holes, blocks) is not written here again: "as drawn".
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.advice.lifting import team_for
from nesting.base.measure import INCH, MM, UnitSystem, format_length
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.driving import DUST, GLUE, HOT, SAW, driven, lifters, listed, roughly, said_once, square, stopped
from nesting.crates.model import Step
from nesting.crates.shells.battens import Grid
from nesting.crates.shells.closing_steps import (
    after_nuts,
    climate_steps,
    dry_steps,
    ledge_steps,
    lid_pilots,
    lid_steps,
)
from nesting.crates.shells.faces import Face
from nesting.crates.shells.mounting import piece_stop
from nesting.crates.shells.shell import MountedPiece, Shell

SHORTEST: Final = OwnLength(12 * INCH, 300 * MM)
"""Parts shorter than this are cut from a longer blank: saw makers' manuals, push stick under 12 in; HSE 300 mm."""

FACE = "Clean gloves; nothing touches the face."
OUT = "The piece is not in the crate while anybody drills; no hand behind what is drilled."
_BORE: Final = OwnLength(INCH // 2, 12 * MM)
"""Width of a bore for the head of a screw into the piece and its driver (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the steps need to know of the finished crate.

    Attributes
    ----------
    handles : int
        How many.
    balance : int
        Height of the centre of gravity above the bottom of the crate.
    lift, turn : str
        Who lifts the closed crate, and who turns the empty one.
    rests : tuple of str
        When poured pieces may be packed.
    gear, upright : tuple of Step
        Handles and skids; how the closed crate is kept upright.
    """

    handles: int
    balance: int
    lift: str
    turn: str
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
    bench, shop = shell.bench, shell.packing.shop
    foam_glue = shop.good(shop.joinery.foam_glue).title
    middle = shop.near(shell.frame.thickness // 2)
    steps = [
        cut_step(bench, shell.packing.units),
        *dry_steps(shell),
        *_frame(shell),
        *_faces(shell, lid, grids),
        *ledge_steps(shell),
        *_late_gussets(shell),
        *_holes(shell),
        driven(
            bench,
            Step(
                "Lay the frame front edge down and spread glue on its back edge; lay the back on, outside up, flush "
                "all round, and screw it.",
                GLUE,
                check=f"{_size(shell, middle)} from the edge all round{_beside(grids[0])}, no tip inside",
            ),
            "back to",
            apart=_apart(shell, "back to"),
        ),
        Step("Turn the crate over, so that it lies on its back.", f"To turn it: {lifters(told.turn)}; feet clear."),
        *_blocks(shell),
        *_pads(shell),
        *told.gear,
        *lid_pilots(shell, f"{_apart(shell, 'lid')}{_beside(grids[1])}"),
        *climate_steps(shell),
        Step(
            f"Glue the foam liner into the frame with {foam_glue}, between all blocks, its lower strip before the "
            "setting blocks.",
            HOT,
            check="flush with the frame's front edge or below it",
        ),
    ]
    if told.handles:
        height = _size(shell, told.balance, 8)
        screw = shop.good(shop.joinery.handle_screw)
        steps.append(
            driven(
                bench,
                Step(
                    f"Screw {told.handles} handles to the stiles, one a side, their middle {height} up from the "
                    "bottom: the height of the centre of gravity.",
                    check=f"screws of {_size(shell, screw.breadth)} at the most: no tip inside",
                ),
                "two handles",
            )
        )
    steps += rest_steps(told.rests)
    for mounted in shell.mounted:
        if mounted.piece_screw is not None:
            steps += _cleats(shell, mounted)
    if shell.mounted:
        steps.append(Step("Stand the crate upright and wedge it.", "It is narrow, and falls: somebody holds it."))
    for mounted in shell.mounted:
        if mounted.piece_screw is None:
            steps += _own_cleats(shell, mounted)
        steps.append(_mounting(shell, mounted))
    steps += lid_steps(shell, lifters(told.lift))
    return said_once((*steps, *told.upright))


def cut_step(bench: Bench, units: UnitSystem) -> Step:
    """Say how parts are cut: no saw takes a part by itself that is shorter than its hand's distance."""
    shortest = bench.shop.own(SHORTEST)
    short = any(max(part.length, part.width) < shortest for part in bench.parts)
    least = format_length(shortest, units, 8, mark=True)
    return Step(
        "Cut all parts by the saw pages and label each one.",
        SAW,
        check=f"parts under {least} come off a longer strip, at a stop block" if short else "",
    )


def rest_steps(rests: Sequence[str]) -> list[Step]:
    """Say when pieces may be touched, before the first step that touches them."""
    return [
        Step(f"Wait: {text}.", check="till then it stays where it cures: all that touches it leaves a mark")
        for text in rests
    ]


def _apart(shell: Shell, purpose: str) -> str:
    """Say how far apart the screws of a face are, all round."""
    count = next((f.count for f in shell.bench.fixings if f.purpose.startswith(purpose)), 0)
    if not count:
        return ""
    each = roughly(2 * (shell.frame.width + shell.frame.height) // count, shell.packing.units)
    return f"about {each} apart, half that from corners"


def _beside(grid: Grid | None) -> str:
    """Say that no screw along a face's edge goes through a batten, which it is too short for."""
    return ", none through a batten" if grid is not None and grid.battens else ""


def _blocks(shell: Shell) -> list[Step]:
    """Say how the setting blocks go in."""
    if not any(p.role == "setting block" for p in shell.bench.placed):
        return []
    heights = sorted({p.box.dy for p in shell.bench.placed if p.role == "setting block"})
    upright = f", {_size(shell, heights[0])} upright" if len(heights) == 1 else ""
    step = Step(
        f"Glue and screw the setting blocks to the inside of the back, as drawn{upright}.",
        check="their tops on one line: the piece's lower cleat stands on them",
    )
    step = driven(shell.bench, step, "setting blocks", apart=_each(shell, "setting block"))
    return [stopped(shell.bench, step, "setting blocks", shell.packing.units)]


def _each(shell: Shell, role: str) -> str:
    """Say how many screws hold each of the blocks of a role."""
    blocks = sum(p.role == role for p in shell.bench.placed)
    count = sum(each.count for each in shell.bench.fixings if each.purpose.startswith(role))
    return f"{count // blocks} each" if count % blocks == 0 else ""


def _pads(shell: Shell) -> list[Step]:
    """Say how the bearing pads go in."""
    if not any(shell.plan.pads):
        return []
    step = Step(
        "Glue and screw the bearing pads, all layers, to the inside of the back, as drawn.",
        check="heads just below the wood, no glue on top; never screwed to the piece",
    )
    step = driven(shell.bench, step, "bearing pads", apart="two each")
    return [stopped(shell.bench, step, "bearing pads", shell.packing.units)]


def _holes(shell: Shell) -> list[Step]:
    """Say how the mounting holes are drilled, through back and cleats together, before the back is on the frame."""
    own = {f"{shell.bench.crate}.{cleat.name}" for each in shell.cleats for cleat in each if cleat.own}
    shop = shell.packing.shop
    made, theirs = ([d for d in shell.drill if (d.into in own) is kept] for kept in (False, True))
    steps: list[Step] = []
    if made:
        drill = made[0]
        steps += [
            *_layers(shell),
            Step(
                "Mark each cleat with its name and upper edge and clamp it inside the back as drawn; drill back and "
                "cleat together from outside.",
                OUT,
                drill=f"{drill.pilot} pilot",
                stop=drill.stop,
                check=f"{len(made)} holes, each where drawn",
            ),
        ]
        if drill.clearance:
            steps.append(
                Step(
                    f"Take the cleats off; open the {len(made)} holes in the back alone.",
                    drill=drill.clearance,
                    stop=_size(shell, shop.whole_up(sum(good.greatest_thickness for good in shell.held)), 64),
                    check="screws drop through: threads bite the cleat alone",
                )
            )
    if theirs:
        drill = theirs[0]
        steps.append(
            Step(
                f"Drill the {len(theirs)} holes for pieces with cleats of their own through the back alone, from "
                "outside, as drawn.",
                OUT,
                drill=drill.clearance or drill.pilot,
            )
        )
    return steps


def _layers(shell: Shell) -> list[Step]:
    """Say how the layers of cleats and pads come together."""
    if len(shell.stack) == 1:
        return []
    what = "each cleat and pad" if any(shell.plan.pads) else "each cleat"
    back, piece = (good.good for good in (shell.stack[0], shell.stack[-1]))
    side = "" if back == piece else f"the side of {back} goes to the crate's back"
    return [Step(f"Glue the layers of {what} together, edges flush; clamp until the glue holds.", GLUE, check=side)]


def gauge(shell: Shell, mounted: MountedPiece) -> str:
    """Say how the distance of the cleats is taken over to the piece."""
    own = [c for c in shell.cleats[shell.load.hung.index(mounted.hung)] if not c.own]
    heights = sorted({c.y for c in own})
    rises = listed([_size(shell, y - heights[0]) for y in heights[1:]])
    return f"gauge stick: {rises}, from lower edge to lower edge" + (" of the lowest" if len(heights) > 2 else "")


def _size(shell: Shell, value: int, denominator: int = 32) -> str:
    return format_length(value, shell.packing.units, denominator, mark=True)


def _frame(shell: Shell) -> list[Step]:
    """Say how the frame goes together."""
    frame, shop, bench = shell.frame, shell.packing.shop, shell.bench
    through = shop.frame.rails_run_through
    joint = "rails over the ends of the stiles" if through else "stiles over the ends of the rails"
    wide, high, strip = (_size(shell, v) for v in (frame.width, frame.height, frame.strip))
    steps = []
    gussets, late = len(frame.of("gusset")), after_nuts(shell)
    if gussets > late:
        steps.append(
            driven(
                bench,
                Step(
                    "Lay the strips of each long member end to end; glue and screw a gusset over each joint, inside, "
                    "as drawn.",
                    GLUE,
                    check=f"{gussets - late} joints; gussets flush with the back edge",
                ),
                "gussets",
                count=8 * (gussets - late),
                how="four each side of the joint",
            )
        )
    if late:
        steps.append(
            Step(
                f"At {late} joints a T-nut comes under the gusset: clamp these to a scrap for now, without glue, and "
                "leave their gussets off."
            )
        )
    steps.append(
        driven(
            bench,
            Step(
                f"Glue and screw the frame on a flat table: {wide} x {high} over the strips, {strip} wide, {joint}.",
                GLUE,
                check=square(shell.packing.units, shell.packing.shop),
            ),
            "rails to stiles",
            how=f"{_corner(shell)} {roughly(INCH, shell.packing.units)} from the strip's edges",
        )
    )
    steps.append(
        driven(
            bench,
            Step(
                f"Glue a block into each corner, flat on the stile, {_size(shell, frame.of('corner block')[0].box.dy)} "
                "along it, flush with the frame's back edge; screw it through the stile.",
                check="clamped until the glue holds",
            ),
            "stiles to corner blocks",
            how="two each, from outside, as drawn",
        )
    )
    return steps


def _corner(shell: Shell) -> str:
    """Say how many screws hold each corner of the frame."""
    count = sum(each.count for each in shell.bench.fixings if each.purpose.startswith("rails to stiles")) // 4
    return f"{count} at each corner,{' the outer ones' if count > 2 else ''}"


def _late_gussets(shell: Shell) -> list[Step]:
    """Say how the gussets go in that stand behind T-nuts."""
    late = after_nuts(shell)
    if not late:
        return []
    step = Step(
        "Glue and screw the gussets that were left off over their joints, inside, as drawn, each bored for its T-nut.",
        check="gussets flush with the back edge",
    )
    return [driven(shell.bench, step, "gussets", count=8 * late, how="four each side of the joint")]


def _faces(shell: Shell, lid: Face, grids: tuple[Grid | None, Grid | None]) -> list[Step]:
    """Say how seams and battens go on."""
    steps: list[Step] = []
    rules, bench = shell.packing.shop.battens, shell.bench
    fast = "staple" if rules.staple else "screw"
    for face, grid in zip((shell.design.back, lid), grids, strict=True):
        if face.seamed:
            wide = _size(shell, rules.seam_width)
            steps.append(
                driven(
                    bench,
                    Step(
                        f"Lay the panels of the {face.name} edge to edge, outside up; glue and {fast} a batten {wide} "
                        "wide over each seam, centred.",
                        GLUE,
                        check="no tip inside",
                    ),
                    f"seam battens, both sides of each {face.name} seam",
                    how=f"a row on both sides, {_size(shell, rules.seam_width // 4)} from the seam",
                    apart=_row(shell),
                )
            )
        if grid is None or grid.good is None or not any(b.role == "batten" for b in grid.battens):
            continue
        lengths = {max(b.rect.dx, b.rect.dy) for b in grid.battens if b.role == "batten"}
        first = ", long ones first" if len(lengths) > 1 else ""
        exact = "places exact: mounting holes are drawn to clear or to meet them" if (
            face.name == "back") else "ends as drawn; the glue carries"  # fmt: skip
        steps.append(
            driven(
                bench,
                Step(
                    f"Glue the battens ({grid.good.good}) all over, lay them on the outside of the {face.name} as "
                    f"drawn{first}; {fast} and clamp them.",
                    GLUE,
                    check=exact,
                ),
                f"battens to the {face.name}",
                apart=_row(shell),
            )
        )
    return steps


def _row(shell: Shell) -> str:
    """Say how far apart the fixings of a batten are."""
    rules = shell.packing.shop.battens
    return f"at most {_size(shell, rules.staples_apart if rules.staple else rules.screws_apart)} apart"


def _cleats(shell: Shell, mounted: MountedPiece) -> list[Step]:
    """Say how the cleats go onto a piece."""
    fix, shop, units = mounted.piece_screw, shell.packing.shop, shell.packing.units
    if fix is None:
        raise ValueError("a piece with cleats of its own gets none")
    piece, sink = mounted.hung.artwork.piece, _size(shell, shop.cleats.piece_sink)
    stop, heads = f"{piece_stop(fix, shop, units)} from the cleat's face", f"heads sunk {sink}"
    steps = [
        Step(
            f"Stand {piece} upright, or rest its edges on padded bars; mark where its cleats lie across its back, as "
            "drawn.",
            FACE,
            check=gauge(shell, mounted),
        )
    ]
    if len(shell.stack) > 1:
        # The bore goes through the layer at the crate's back into the one on the piece, as deep as its head is sunk.
        layer = _size(shell, shell.stack[0].thickness + shop.cleats.piece_sink)
        steps.append(
            Step(
                f"{piece}: bore its cleats, loose, from the crate's side for the heads, {_bored(shell, mounted)}.",
                DUST,
                drill=f"{_size(shell, shop.own(_BORE))} wide",
                stop=layer,
                check="chips blown out away from the piece",
            )
        )
        stop, heads = (
            f"{piece_stop(fix, shop, units, sunk=True)} from the bore's bottom",
            "heads on the bottom of the bores",
        )
    screwed = Step(
        f"{piece}: drill and screw the cleats across its back, upper edges up, {heads}.",
        DUST,
        stop=stop,
        check=f"tips at least {_size(shell, shop.whole(fix.margin))} short of the face",
    )
    return [*steps, driven(shell.bench, screwed, f"cleats to {piece}, ")]


def _bored(shell: Shell, mounted: MountedPiece) -> str:
    """Say where the bores stand on the cleats, which lie on the bench: not from the piece's edge as it is drawn."""
    places: set[tuple[int, int]] = set()
    for cleat in shell.cleats[shell.load.hung.index(mounted.hung)]:
        across = [
            shell.frame.width - each.x for each in mounted.piece_drill if cleat.y < each.y < cleat.y + cleat.width
        ]
        ups = {each.y - cleat.y for each in mounted.piece_drill if cleat.y < each.y < cleat.y + cleat.width}
        if cleat.own or not across:
            continue
        ends = {min(across) - cleat.x, cleat.x + cleat.length - max(across)}
        places |= {(end, min(up, cleat.width - up)) for end in ends for up in ups}
    if len(places) != 1:
        return "where drawn: less what lies between cleat and edge"
    ((end, edge),) = places
    return f"{_size(shell, end)} from its ends, {_size(shell, edge)} from its edge, as drawn"


def _own_cleats(shell: Shell, mounted: MountedPiece) -> list[Step]:
    """Say how the cleats that a piece brings get their pilots: marked through the back, drilled with the piece out."""
    piece, drill = mounted.hung.artwork.piece, mounted.drill[0]
    whole = shell.packing.shop.whole
    stop = whole(drill.bores[2] - sum(good.greatest_thickness for good in shell.held)) if drill.bores else 0
    return [
        Step(
            f"{piece}: stand it in its place, held upright; mark its own cleats through the holes of the back from "
            "outside, and lift it out again.",
            FACE,
            check="marks in the middle of the wood of its cleats",
        ),
        Step(
            f"{piece}: drill the pilots at the marks.",
            DUST,
            drill=f"{drill.pilot} pilot, in its cleats",
            stop=_size(shell, stop, 64) if stop > 0 else "",
        ),
    ]


def _mounting(shell: Shell, mounted: MountedPiece) -> Step:
    """Say how a piece is screwed in."""
    piece = mounted.hung.artwork.piece
    rests = (
        ", its lower cleat on the setting blocks" if any(p.role == "setting block" for p in shell.bench.placed) else ""
    )
    step = Step(
        f"Set {piece} in{rests}, held by {_people(shell, mounted)}; another drives its screws from outside, upper row "
        "first.",
        check="clutch low; no longer screw: it reaches the artwork",
    )
    made = driven(shell.bench, step, f"mounting {piece}, ", how="over fender washers" if shell.screw.washer else "")
    # Its holes are drilled already.
    return replace(made, drill="")


def _people(shell: Shell, mounted: MountedPiece) -> str:
    """Say who holds a piece while it is screwed in; one more drives the screws."""
    piece = mounted.hung.artwork
    team = team_for(mounted.hung.weight.kg, piece.longest_side, shell.packing.shop.lifting)
    return "a hoist and two people" if team == "forks" else team
