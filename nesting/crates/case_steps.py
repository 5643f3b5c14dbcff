"""Steps: how an outer case is built, loaded and opened, one numbered instruction after the other."""

from typing import TYPE_CHECKING

from nesting.crates.model import Step
from nesting.measure import format_length

if TYPE_CHECKING:
    from nesting.crates.outer import Case

_SAW = (
    "Eye and ear protection; guards and riving knife on; dust extraction and a mask for plywood, strand board and foam."
)


def case_steps(case: "Case") -> tuple[Step, ...]:
    """Return the steps in the order of the work."""
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
    steps.append(
        Step(
            f"Glue and screw two rings of lumber lying flat, {mark(room.width)} x {mark(room.height)} outside, rails "
            f"right through, uprights between; join them by four posts {mark(room.depth - 2 * section.thick)} long.",
            "Diagonals equal.",
        )
    )
    if case.shell.seam_run:
        steps.append(
            Step("Lay lumber behind every seam, its middle on the seam; a row of screws on both sides of the seam.")
        )
    opening = "right end" if case.opening == "end" else "front"
    steps.append(
        Step(
            f"Glue and screw strand board on all faces but the {opening}; outside "
            f"{mark(body.width)} x {mark(body.height)} x {mark(body.depth)}. Heads flush, no tip inside.",
        )
    )
    if case.skids is not None:
        each = case.skids.section.plies
        strips = f"{case.skids.plies * each} glued strips" if each else f"{case.skids.plies} pieces"
        text = (
            f"Screw on two skids of {strips} on edge, {mark(case.skids.height)} high, across the "
            f"short side, {mark(case.skids.clear)} clear between."
        )
        if case.skids.over:
            text += f" Outriggers beside them reach {mark(case.skids.over)} beyond the case, front and back."
        steps.append(Step(text, "Turn the empty case with two people."))
    pads = (
        f"{case.layers} sheets of {shop.good(shop.case.cushion_good).title} at each spot, {mark(case.cushion)} in all"
    )
    steps.append(
        Step(
            f"Glue in the foam: {pads}; two strips across base, top and ends, blocks where slats end on back and "
            f"{'front' if case.opening == 'end' else 'door'}.",
            "Let hot glue cool and air out with the case open before any piece comes near.",
        )
    )
    frames = ", ".join(ride.crate for ride in case.rides)
    on_side = [ride.crate for ride, turned in zip(case.rides, case.turned, strict=True) if turned]
    way = (
        "slide in like books, one after the other" if case.opening == "end" else "go in from the front, back one first"
    )
    turned = f" upright, as they hang, but {', '.join(on_side)} on the side, turned to the right" if on_side else ""
    turned = turned or " upright, as they hang"
    steps.append(
        Step(
            f"Frames {frames}{turned}: {way}; spacers between neighbours, fillers over and beside the smaller ones. "
            "Nothing may move when the case is rocked.",
            "Two people to a frame, hands on the frame, never on the film. Case on the floor, wedged against tipping.",
        )
    )
    steps.append(
        Step(
            f"Gasket round the opening; {opening} on with {case.door} screws and washers, never glued. Mark where it "
            "opens, and mark the case fragile, this way up, keep dry.",
            "Move it upright; strap it upright; a case this narrow falls."
            if case.outside.depth * 3 < case.outside.height
            else "Move and strap it upright.",
        )
    )
    steps.append(
        Step(
            f"To open: case upright on a level floor; bottom screws of the {opening} first, the top ones last, one "
            "person holding it; take out fillers and spacers, then the frames one by one. Keep screws, washers and "
            "foam for the way back.",
            "The frames may lean on the face that opens: stand beside it, not before it.",
        )
    )
    return tuple(steps)
