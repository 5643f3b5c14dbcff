"""Steps: how a travel frame is made and loaded, one numbered instruction after the other; its opening page opens it."""

from dataclasses import replace

from nesting.base.measure import INCH
from nesting.crates.driving import DRILL, DUST, GLUE, HOT, driven, lifters, listed, roughly, said_once, square, stopped
from nesting.crates.model import Step
from nesting.crates.shells.mounting import mounting_stop, piece_stop
from nesting.crates.shells.shell_steps import FACE, OUT, cut_step, rest_steps
from nesting.crates.travel.travel_frame import TravelFrame


def travel_steps(made: TravelFrame, cured: tuple[str, ...], lift: str) -> tuple[Step, ...]:
    """Write down making and packing, in order."""
    return said_once(
        (
            cut_step(made.bench, made.units),
            *_frame(made),
            *_slats(made),
            *_pads(made),
            *_halves(made),
            *rest_steps(cured),
            *_hung(made),
            *_closed(made, lift),
        )
    )


def _frame(made: TravelFrame) -> list[Step]:
    """Say how the cleats are ripped and the frame goes together."""
    frame, bench, low = made.frame, made.bench, made.rows[0]
    steps = [
        Step(
            "Rip each French cleat blank in two along its middle, as on the saw page: blade at 45 degrees, tilted away "
            "from the fence.",
            "Tilted towards the fence it catches the strip and throws it back; push stick.",
            check=f"two halves alike, each with a long face of {made.mark(low.pair.width)}; label one as the buyer's, "
            "one as the piece's",
        )
    ]
    if frame.of("gusset"):
        joints = Step(
            "Lay the strips of each long member end to end; glue and screw a gusset over each joint, inside, as drawn.",
            GLUE,
            check=f"{len(frame.of('gusset'))} joints",
        )
        steps.append(driven(bench, joints, "gussets over splices", how="four each side of the joint"))
    through = made.shop.frame.rails_run_through
    joint = "rails over the ends of the stiles" if through else "stiles over the ends of the rails"
    whole = Step(
        f"Glue and screw the frame on a flat table: {made.mark(frame.width)} x {made.mark(frame.height)} outside, "
        f"strips {made.mark(frame.strip)} wide, {joint}.",
        GLUE,
        check=square(made.units, made.shop),
    )
    block = frame.of("corner block")[0].box
    blocks = Step(
        f"Glue a block into each corner, flat on the stile, {made.mark(block.dy)} along it; screw both "
        "strips to it from outside.",
        check="clamped until the glue holds",
    )
    return [
        *steps,
        driven(bench, whole, "rails to stiles", apart=f"two a corner, {roughly(INCH, made.units)} from the edges"),
        driven(bench, blocks, "strips to corner blocks", how="four each, as drawn"),
    ]


def _slats(made: TravelFrame) -> list[Step]:
    """Say how slats are joined, and how those at the back go on."""
    back, front = made.slats
    steps = []
    if made.plates:
        joined = Step(
            "Lay the lengths of each spliced slat end to end; glue and screw a plate over each joint on its inner "
            "side, as drawn.",
            check="no tip behind a slat; none where cleats run across the joint: they hold it",
        )
        steps.append(driven(made.bench, joined, "plates over splices of slats", how="four each side of the joint"))
    on = Step(
        f"Glue and screw the {len(back)} back slats to the frame as drawn"
        + (", two of them behind the pairs of cleats." if len(back) > 2 else ", one behind each pair of cleats."),
        check=f"lower edges {_heights(made, 0)} up",
    )
    return [
        *steps,
        driven(made.bench, on, "back slats", apart=_ends(made)),
        Step(
            f"Turn the frame over; lay the {len(front)} front slats on as drawn, mark each with its place, drill their "
            "pilots and take them off again.",
            DRILL,
            drill=driven(made.bench, Step(""), "front slats").drill,
            check=f"{_ends(made)}; {_front(made)}none is drilled later; dust swept out",
        ),
        Step(
            f"Glue the foam liner in between all blocks with {made.shop.good(made.shop.joinery.foam_glue).title}.", HOT
        ),
    ]


def _pads(made: TravelFrame) -> list[Step]:
    """Say how the bearing pads go on."""
    if not made.pads:
        return []
    step = Step(
        f"Glue and screw the {made.pads} bearing pads to the inside of the slats between the cleats, as drawn.",
        check="heads just below the wood, no glue on top; never screwed to the piece",
    )
    step = driven(made.bench, step, "bearing pads", apart="two each")
    return [stopped(made.bench, step, "bearing pads", made.units)]


def _halves(made: TravelFrame) -> list[Step]:
    """Say how the pairs are drilled, and the buyer's halves go in."""
    low, high = made.rows
    washers = ", over fender washers" if made.mount.washer else ""
    hanging, removal = (sum(map(len, each)) for each in ((low.hanging, high.hanging), (low.removal, high.removal)))
    pilot = driven(made.bench, Step(""), "slats to the buyer's halves").drill
    drilled = Step(
        "Hook the halves of each pair together, clamp them inside their slat, and drill from outside where drawn.",
        OUT,
        drill=pilot,
        stop=mounting_stop([made.slat], made.shop, made.units),
        check=f"{hanging + removal} holes; pairs' lower edges {made.mark(low.pair.y)} and {made.mark(high.pair.y)} up",
    )
    screwed = Step(
        f"Screw the buyer's halves down through the slats{washers}: the holes marked with a square.",
        check=f"lower halves, short face on the slats, bevel up; the {removal} plain holes stay empty until the piece "
        "hangs",
    )
    up = Step("Stand the frame upright and wedge it.", "It is narrow, and falls: somebody holds it.")
    return [up, drilled, replace(driven(made.bench, screwed, "slats to the buyer's halves"), drill="")]


def _hung(made: TravelFrame) -> list[Step]:
    """Say how the other halves go onto the piece, and how it is hung."""
    low, high, name = *made.rows, made.piece.piece
    tops = listed([made.mark(rows.pair.y + rows.pair.height - made.hung.y) for rows in (low, high)])
    holding = "two people hold" if made.load.kg > 15 else "one person holds"
    driver = "a third drives" if made.load.kg > 15 else "another drives"
    washers = " over fender washers" if made.mount.washer else ""
    screwed = Step(
        f"{name}: drill and screw the halves across its back, short face on the piece, bevel below, heads sunk "
        f"{made.mark(made.shop.cleats.piece_sink)}.",
        DUST,
        stop=f"{piece_stop(made.fix, made.shop, made.units)} from the half's face",
        check=f"in wood only; tips {made.mark(made.shop.whole(made.fix.margin))} short of the face at the least",
    )
    hooked = Step(
        f"Hook {name} onto the buyer's halves; {holding} it while {driver} its removal screws from behind, upper row "
        "first.",
        check="clutch low; no longer screw",
    )
    return [
        Step(
            f"Stand {name} upright, or rest its edges on padded bars; mark where the other halves lie on its back, as "
            "drawn.",
            FACE,
            check=f"square upper edges {tops} up from its lower edge",
        ),
        driven(made.bench, screwed, "halves to the piece"),
        replace(driven(made.bench, hooked, "removal screws", how=washers.strip()), drill=""),
    ]


def _closed(made: TravelFrame, lift: str) -> list[Step]:
    """Say how the front is closed."""
    slats = Step(
        "Screw on the front slats, each where it is marked, without glue; lay nothing on the face, keep tools away.",
        check=f"{made.mark(made.shop.whole(made.air))} of air before the face",
    )
    sheet = made.cover.sheet
    film = Step(
        f"Wrap the film, {made.mark(sheet.along)} x {made.mark(sheet.around)}, the {made.mark(sheet.around)} round the "
        "frame, tight; its ends meet behind; staple the edges only.",
        f"To lift the frame: {lifters(lift)}.",
        check="no sag: no plastic touches the face",
    )
    apart = f"about {made.mark(made.shop.wrap.staple_spacing)} apart"
    # Their pilots are drilled already.
    slats = replace(driven(made.bench, slats, "front slats", apart=_ends(made)), drill="")
    return [slats, driven(made.bench, film, "film to the edges", apart=apart)]


def _ends(made: TravelFrame) -> str:
    """Say how many screws hold a slat."""
    return f"{made.shop.travel.slat_screws} at each end, into the stile's middle"


def _heights(made: TravelFrame, side: int) -> str:
    """Write the lower edges of the slats of a side, from the bottom of the frame up."""
    return listed([made.mark(y) for y in sorted({slat.y for slat in made.slats[side]})])


def _front(made: TravelFrame) -> str:
    """Say where the slats of the front lie, where they lie otherwise than those of the back."""
    return "" if _heights(made, 0) == _heights(made, 1) else f"lower edges {_heights(made, 1)} up; "
