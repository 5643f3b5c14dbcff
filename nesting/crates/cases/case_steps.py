"""Steps: how an outer case is built and loaded, one numbered instruction after the other; its opening page opens it."""

from collections.abc import Iterable
from dataclasses import replace

from nesting.base.measure import format_length, format_weight
from nesting.crates.cases.bed import Bed
from nesting.crates.cases.case import Case
from nesting.crates.cases.case_shell import SLIP
from nesting.crates.cases.gear_steps import handle_steps, skid_steps, strap_steps
from nesting.crates.cases.upright import Upright, girdle_length
from nesting.crates.driving import DRILL, GLUE, HOT, TICKED, driven, lifters, listed, roughly, said_once, square
from nesting.crates.model import Box, Step
from nesting.crates.shells.shell_steps import cut_step
from nesting.shop.planks import layers_told

_BESIDE = "both sides of the seams"


def _within(inner: Box, outer: Box) -> bool:
    """Whether a box lies in another."""
    return all(
        low <= at and at + by <= low + whole
        for at, by, low, whole in (
            (inner.x, inner.dx, outer.x, outer.dx),
            (inner.y, inner.dy, outer.y, outer.dy),
            (inner.z, inner.dz, outer.z, outer.dz),
        )
    )


def _names(case: Case, role: str, boxes: Iterable[Box]) -> str:
    """Return the names of the parts of a role that make up these boxes, without the case's own."""
    wanted = list(boxes)
    return listed(
        list(
            dict.fromkeys(
                p.part.partition(".")[2]
                for p in case.bench.placed
                if p.role == role and any(_within(p.box, box) for box in wanted)
            )
        )
    )


def case_steps(case: Case, empty_kg: float, found: Upright) -> tuple[Step, ...]:
    """Return the steps in the order of the work.

    Parameters
    ----------
    empty_kg : float
        Weight of the case without its frames.
    found : Upright
        How it keeps upright.
    """
    return said_once(
        (
            cut_step(case.bench, case.casing.units),
            *_lumber(case),
            *_rings(case),
            *_seams(case),
            _boards(case),
            *_door(case),
            *skid_steps(case, empty_kg),
            *handle_steps(case),
            _pilots(case),
            *_foam(case),
            *_loading(case),
            *_closed(case, found),
            *strap_steps(case, found),
        )
    )


def _mark(case: Case, value: int, denominator: int = 32) -> str:
    return format_length(value, case.casing.units, denominator, mark=True)


def _opening(case: Case) -> str:
    """Name the face that opens."""
    return "right end" if case.opening == "end" else "front"


def _lumber(case: Case) -> list[Step]:
    """Say how lumber is glued up or spliced."""
    shop, section = case.shop, case.section
    if section.plies:
        return [
            Step(
                f"Glue up the lumber of {section.plies} strips of {shop.good(section.good).title}, "
                f"{_mark(case, section.breadth)} wide, joints staggered; clamp over night.",
                GLUE,
                check="no raw wood goes in, not even a wedge: so ISPM 15 asks for no mark",
            )
        ]
    if not case.shell.lumber.splices:
        return []
    joined = Step(
        "Lay the lengths of spliced lumber end to end; glue and screw a plate over each joint, as drawn.", GLUE
    )
    return [driven(case.bench, joined, "plates over splices", how="four each side of the joint")]


def _rings(case: Case) -> list[Step]:
    """Say how the lumber goes together."""
    room = case.room
    lying = "standing on edge" if case.sizes.on_edge else "lying flat"
    wide, high, long = (_mark(case, v) for v in (room.width, room.height, room.depth - 2 * case.lying.thick))
    rings = Step(
        f"Glue and screw two rings of lumber {lying}, {wide} x {high} outside: rails right through, uprights between.",
        GLUE,
        check=square(case.casing.units, case.shop),
    )
    posts = Step(
        f"Join the rings by four posts {long} long, one in each corner, glued and screwed.",
        check="every side square: its diagonals are equal",
    )
    lumber = "lumber to lumber"
    return [
        driven(case.bench, rings, lumber, count=16, apart="two a joint, on its diagonal"),
        driven(case.bench, posts, lumber, count=16, apart="two at each end, clear of those"),
    ]


def _row(case: Case, *, door: bool) -> int:
    """Return how many of the screws beside seams go into the face that opens, or into the others."""
    shell = case.shell
    total = sum(each.count for each in case.bench.fixings if each.purpose.startswith(_BESIDE))
    own = sum(seam.end - seam.start for seam in shell.door.pattern.seams)
    # Half of them on either side of a seam.
    share = 2 * round(total / 2 * own / shell.seam_run) if shell.seam_run else 0
    return share if door else total - share


def _seams(case: Case) -> list[Step]:
    """Say which sticks go behind the seams of the faces that stay on."""
    shell = case.shell
    fixed = [
        f"{face.name} {_names(case, 'case lumber', shell.behind[face.name])}"
        for face in shell.faces
        if not face.opens and shell.behind.get(face.name)
    ]
    if not fixed:
        return []
    step = Step(
        "Glue and screw lumber behind the seams, its ends to the edge lumber and its middle on the seam, as drawn.",
        check="; ".join(fixed),
    )
    return [driven(case.bench, step, "seam lumber to the edges", apart="two at each end")]


def _boards(case: Case) -> Step:
    """Say how the faces that stay on are closed."""
    body, apart = case.body, f"about {_mark(case, case.shop.joinery.face_screws_apart)} apart"
    outside = " x ".join(_mark(case, v) for v in (body.width, body.height, body.depth))
    whole = case.opening == "front"
    ends, them, last = ("left and right", "them", "back") if whole else ("left", "it", "front and back")
    step = Step(
        f"Glue and screw strand board on all but the {_opening(case)}: {ends} first, bottom and top over {them}, "
        f"{last} over those; screws along all edges.",
        check=f"heads flush, no tip inside; {outside} outside, the {_opening(case)} included",
    )
    step = driven(case.bench, step, "strand board to lumber", apart=apart)
    rows = _row(case, door=False)
    return driven(case.bench, step, _BESIDE, count=rows, how="on both sides of the seams") if rows else step


def _door(case: Case) -> list[Step]:
    """Say how the panels of the face that opens are joined, and which sticks are its own."""
    shell = case.shell
    door = shell.door
    if not shell.behind.get(door.name):
        return []
    panels = _names(case, "case face", [door.box])
    lumber = _names(case, "case lumber", shell.behind[door.name])
    short = _mark(case, case.shop.own(SLIP))
    step = Step(
        f"The {_opening(case)} opens: lay its panels edge to edge on a flat floor; glue and screw its own lumber over "
        "the seam, middle on the seam.",
        GLUE,
        check=f"{panels}; {lumber} ends {short} short of the edge lumber: it comes off with the panels",
    )
    return [
        driven(case.bench, step, _BESIDE, count=_row(case, door=True), how="a row on both sides of the seam"),
        Step(f"Try the {_opening(case)} in its place before its glue sets; its lumber is fixed to its panels only."),
    ]


def _pilots(case: Case) -> Step:
    """Say how the pilots of the face that opens are drilled, before any frame is in the case."""
    return Step(
        f"Hold the {_opening(case)} in its place, flush all round, mark its upper edge, drill its screws' pilots; off "
        "again, sweep out the dust.",
        DRILL,
        drill=driven(case.bench, Step(""), "opening ").drill,
        check=f"{case.door} holes, about {_door_apart(case)} apart, into the lumber's middle; none is drilled later",
    )


def _door_apart(case: Case) -> str:
    """Say how far apart the screws of the face that opens are."""
    return roughly(case.shell.door.perimeter // case.door, case.casing.units)


def _foam(case: Case) -> list[Step]:
    """Say what each pad is made of and how the pads lie, side by side where they differ."""
    beds = case.sizes.beds
    door = "front" if case.opening == "end" else "door"
    blocks = f"on back and {door} blocks where slats end"
    lies = {"ends": "", "base and top": _laid(case), "back and front": blocks}
    told: dict[Bed, list[str]] = {}
    for side, bed in zip(("ends", "base and top", "back and front"), beds, strict=True):
        told.setdefault(bed, []).append(side)
    steps = []
    for bed, sides in told.items():
        where = "all six sides" if len(told) == 1 else listed(sides)
        if bed.shims:
            steps.append(
                Step(
                    f"Glue {layers_told(bed.shims)} to the strand board under each pad of {where} first, as drawn.",
                    GLUE,
                )
            )
        steps.append(
            Step(
                f"Glue in the foam of {where} as drawn: {layers_told(bed.planks)} at each spot.",
                HOT,
                check=f"{_mark(case, bed.foam)} of foam; {'; '.join(lies[side] for side in sides if lies[side])}",
            )
        )
    steps.append(
        Step(
            "Let the glue cool and air out, the case open, before any piece comes near.",
            check=f"the pads of the {_opening(case)} lie on its own board",
        )
    )
    return steps


def _laid(case: Case) -> str:
    """Say how the pads of base, top and ends lie."""
    deep = {ride.box.dz for ride in case.rides}
    pads = [placed.box for placed in case.bench.placed if placed.role == "cushion" and ".pad-base" in placed.part]
    if case.sizes.cut and max(box.dz for box in pads) <= max(deep):
        return "two pads of each frame on base and top and at either end, across its middle"
    return "two strips across base, top and ends"


def _loading(case: Case) -> list[Step]:
    """Say how the frames go in, and who carries each."""
    frames = [ride.crate for ride in case.rides]
    one = len(frames) == 1
    on_side = [ride.crate for ride, turned in zip(case.rides, case.turned, strict=True) if turned]
    turned = "upright, as " + ("it hangs" if one else "they hang")
    if on_side:
        turned += f", but {listed(on_side)} on the side, turned to the right"
    if len(on_side) == len(frames):
        turned = "on its side, turned to the right" if one else "on the side, turned to the right"
    ways = "" if one else (" like books, one after the other" if case.opening == "end" else ", the back one first")
    what = f"frame {frames[0]}" if one else f"the {len(frames)} frames"
    side = "right end" if case.opening == "end" else "front"
    steps = [
        Step(
            f"Stand the case up on the floor, wedged; slide in {what} from the {side}{ways}.",
            _carried(case),
            check=turned if one else f"{listed(frames)}; {turned}",
        )
    ]
    parts = [p.part for p in case.bench.placed if p.role == "spacer"]
    fill = []
    if any(".spacer" in part for part in parts):
        fill.append("spacers between neighbours as each frame goes in")
    if any(".filler" in part for part in parts):
        fill.append("fillers over or beside the smaller ones")
    if fill:
        squares = any(".spacer-square" in part for part in parts)
        taped = "squares taped to the slats where they cross, never to what lies over a face" if squares else ""
        steps.append(Step(f"Put in {listed(fill)}, as listed.", check=taped))
    return steps


def _carried(case: Case) -> str:
    """Say who carries frames, those together that the same people carry."""
    groups: dict[str, list[tuple[str, float]]] = {}
    for each in case.casing.frames:
        groups.setdefault(lifters(each.lift), []).append((each.crate, each.gross_kg))
    told = []
    for who, frames in groups.items():
        heaviest = format_weight(max(kg for _, kg in frames), case.casing.units, mark=True)
        names = f"{listed([name for name, _ in frames])}: " if len(groups) > 1 else ""
        upto = "up to " if len(frames) > 1 else ""
        told.append(f"{names}{who} ({upto}{heaviest})")
    return f"To lift a frame: {'; '.join(told)}. Hands on the frame, never on the film."


def _closed(case: Case, found: Upright) -> list[Step]:
    """Say how the case is closed and marked."""
    opening = _opening(case)
    falls = "Move and strap it upright" + (
        ": a case this narrow falls." if case.outside.depth * 3 < case.outside.height else "."
    )
    gasket = Step(
        "Stick the gasket on the lumber round the opening, inside the screws' pilots.",
        check="one closed ring, ends butted tight at a lower corner",
    )
    steps = [gasket] if case.shop.joinery.gasket else []
    lid = Step(
        f"Put the {opening} on with screws and washers all round, never glued. Mark where it opens.",
        falls,
        check=f"{TICKED}; rocked gently by hand: nothing moves inside",
    )
    # Its pilots are drilled already.
    steps.append(replace(driven(case.bench, lid, "opening ", how="in their pilots"), drill=""))
    if case.girdled(found):
        length, strap = _mark(case, girdle_length(case.shell_box, case.shop.units), 1), case.shop.gear.strap
        whose = f"{strap}, {length} each" if case.shop.gear.standing else "two of your own, not in the buying list"
        steps.append(
            Step(
                f"Draw two straps level round the case, over the {opening}: its screws alone do not hold it in a fall.",
                "A tight strap lashes when it slips: eyes protected, face out of its line.",
                check=f"{whose}, a sixth of its height from top and bottom",
            )
        )
    steps.append(Step("Put the handling marks on: the packing page says which, how large and where."))
    return steps
