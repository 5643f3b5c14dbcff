"""Steps: how an outer case is built, loaded and opened, one numbered instruction after the other."""

from collections.abc import Iterable, Sequence

from nesting.base.measure import format_length, format_weight
from nesting.crates.cases.bed import Bed
from nesting.crates.cases.case import Case
from nesting.crates.cases.case_shell import SLIP
from nesting.crates.cases.gear_steps import handle_steps, skid_steps, strap_steps
from nesting.crates.cases.upright import Upright
from nesting.crates.model import Box, Step
from nesting.crates.shells.shell_steps import lifters, listed
from nesting.shop.goods import Good

_SAW = (
    "Eye and ear protection; guards and riving knife on; dust extraction and a mask for plywood, strand board and foam."
)


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
    """Return the names of the parts of a role that make up these boxes."""
    wanted = list(boxes)
    return listed(
        list(
            dict.fromkeys(
                p.part for p in case.bench.placed if p.role == role and any(_within(p.box, box) for box in wanted)
            )
        )
    )


def _seams(case: Case) -> list[Step]:
    """Say which sticks go behind the seams of the faces that stay on."""
    shell = case.shell
    fixed = [
        f"{face.name}: {_names(case, 'case lumber', shell.behind[face.name])}"
        for face in shell.faces
        if not face.opens and shell.behind.get(face.name)
    ]
    if not fixed:
        return []
    return [
        Step(
            f"Lay lumber behind the seams, its middle on the seam ({'; '.join(fixed)}); a row of screws on both "
            "sides of the seam."
        )
    ]


def _door(case: Case, opening: str) -> list[Step]:
    """Say how the panels of the face that opens are joined, and which sticks are its own."""
    shell = case.shell
    door = shell.door
    steps = []
    if shell.behind.get(door.name):
        panels = _names(case, "case face", [door.box])
        lumber = _names(case, "case lumber", shell.behind[door.name])
        slip = format_length(SLIP, case.casing.units, mark=True)
        steps.append(
            Step(
                f"The {opening} opens and is made of panels: lay {panels} edge to edge on a flat floor, glue "
                f"{lumber} behind the seam, its middle on the seam, a row of screws on both sides. This lumber is the "
                f"door's own: it ends {slip} short of the edge lumber, is fixed to the panels only, and comes off "
                "with them.",
                "Try the door in its place before the glue sets.",
            )
        )
    return steps


def _loading(case: Case) -> Step:
    """Say how the frames go in, and who carries each."""
    frames = [ride.crate for ride in case.rides]
    one = len(frames) == 1
    on_side = [ride.crate for ride, turned in zip(case.rides, case.turned, strict=True) if turned]
    ways = (
        "" if one else ("; slide in like books, one after the other" if case.opening == "end" else "; back one first")
    )
    turned = " upright, as it hangs" if one else " upright, as they hang"
    if on_side:
        turned += f", but {listed(on_side)} on the side, turned to the right"
    if len(on_side) == len(frames):
        turned = f" on {'its' if one else 'the'} side, turned to the right"
    parts = [p.part for p in case.bench.placed if p.role == "spacer"]
    fill = []
    if any(".spacer" in part for part in parts):
        fill.append("spacers between neighbours")
    if any(".filler" in part for part in parts):
        fill.append("fillers over or beside the smaller ones, as listed")
    fills = f"; {', '.join(fill)}" if fill else ""
    carried = "; ".join(
        f"{each.crate} ({format_weight(each.gross_kg, case.casing.units, mark=True)}) {lifters(each.lift)}"
        for each in case.casing.frames
    )
    return Step(
        f"Frame{'' if one else 's'} {listed(frames)}{turned}, in from the "
        f"{'right end' if case.opening == 'end' else 'front'}{ways}{fills}. Nothing may move when the case is rocked.",
        f"Who lifts: {carried}. Hands on the frame, never on the film. Case on the floor, wedged against tipping.",
    )


def _pads(case: Case) -> str:
    """Say what each pad is made of, side by side where they differ."""
    units = case.casing.units

    def sheets(goods: Sequence[Good]) -> str:
        return " and ".join(
            f"{goods.count(good)} sheet{'s' if goods.count(good) > 1 else ''} of {good.title}"
            for good in dict.fromkeys(goods)
        )

    def told(bed: Bed) -> str:
        on = f", on {sheets(bed.shims)}, glued to the strand board first" if bed.shims else ""
        return f"{sheets(bed.planks)} at each spot, {format_length(bed.foam, units, mark=True)} in all{on}"

    beds = case.sizes.beds
    if len(set(beds)) == 1:
        return told(beds[0])
    sides = ("at the ends", "at base and top", "at back and front")
    return "; ".join(f"{side} {told(bed)}" for side, bed in zip(sides, beds, strict=True))


def _laid(case: Case) -> str:
    """Say how the pads of base, top and ends lie."""
    deep = {ride.box.dz for ride in case.rides}
    pads = [placed.box for placed in case.bench.placed if placed.role == "cushion" and ".pad-base" in placed.part]
    if case.sizes.cut and max(box.dz for box in pads) <= max(deep):
        return "two pads of each frame on base and top and at either end, across its middle"
    return "two strips across base, top and ends"


def case_steps(case: Case, empty_kg: float, found: Upright, *, door_holds: bool) -> tuple[Step, ...]:
    """Return the steps in the order of the work.

    Parameters
    ----------
    empty_kg : float
        Weight of the case without its frames.
    found : Upright
        How it keeps upright.
    door_holds : bool
        Whether the screws of the opening face hold alone.
    """
    shop, body, room, units = case.shop, case.body, case.room, case.casing.units
    section = case.section

    def mark(value: int) -> str:
        return format_length(value, units, mark=True)

    steps = [Step("Cut all parts to the cut list and label each one.", _SAW)]
    if section.plies:
        steps.append(
            Step(
                f"Glue up the lumber of {section.plies} strips of {shop.good(section.good).title}, "
                f"{mark(section.breadth)} wide, joints staggered; clamp over night.",
                "All of it processed wood, so that ISPM 15 asks for no mark: put no raw wood in, not even a wedge.",
            )
        )
    lying = "standing on edge" if case.sizes.on_edge else "lying flat"
    steps.append(
        Step(
            f"Glue and screw two rings of lumber {lying}, {mark(room.width)} x {mark(room.height)} outside, rails "
            f"right through, uprights between; join them by four posts {mark(room.depth - 2 * case.lying.thick)} long.",
            "Diagonals equal.",
        )
    )
    opening = "right end" if case.opening == "end" else "front"
    steps += _seams(case)
    steps.append(
        Step(
            f"Glue and screw strand board on all faces but the {opening}; outside "
            f"{mark(body.width)} x {mark(body.height)} x {mark(body.depth)}. Heads flush, no tip inside, "
            f"screws about {mark(shop.joinery.face_screws_apart)} apart.",
        )
    )
    steps += _door(case, opening)
    steps += skid_steps(case, empty_kg)
    steps += handle_steps(case)
    steps.append(
        Step(
            f"Glue in the foam: {_pads(case)}; {_laid(case)}, blocks where slats end on back "
            f"and {'front' if case.opening == 'end' else 'door'}. The table of places says where each lies.",
            "Let hot glue cool and air out with the case open before any piece comes near.",
        )
    )
    steps.append(_loading(case))
    apart = format_length(case.shell.door.perimeter // case.door, units, 2, mark=True)
    straps = (
        "" if door_holds else f" Strap the case round, over the {opening}: its screws alone do not hold it in a fall."
    )
    steps.append(
        Step(
            f"Gasket round the opening; {opening} on with {case.door} screws and washers all round, "
            f"about {apart} apart, never glued.{straps} Mark where it opens, and put the handling marks "
            "on: the packing page says which, how large and where.",
            "Move it upright; strap it upright; a case this narrow falls."
            if case.outside.depth * 3 < case.outside.height
            else "Move and strap it upright.",
        )
    )
    steps += strap_steps(case, found)
    alone = len(case.rides) == 1
    loose = any(p.role == "spacer" for p in case.bench.placed)
    rest = "then the frame" if alone else "then the frames one by one"
    out = f"take out the loose fillers and spacers, {rest}" if loose else f"take out {rest.removeprefix('then ')}"
    steps.append(
        Step(
            f"To open: case upright on a level floor; bottom screws of the {opening} first, the top ones last, one "
            f"person holding it; {out}. Keep screws, washers and foam for the way back.",
            "What is inside may lean on the face that opens: stand beside it, not before it."
            + (" Where straps are in the way, two people hold the case until it is empty." if found.on else ""),
        )
    )
    return tuple(steps)
