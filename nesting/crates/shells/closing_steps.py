"""Steps and findings of how a shell is closed: its lid, screwed or bolted, and the air shut in with the piece."""

from dataclasses import replace

from nesting.advice.check import Check, inform
from nesting.advice.climate import check_air
from nesting.base.measure import INCH, MM, format_length
from nesting.base.own_length import OwnLength
from nesting.crates.driving import DRILL, GLUE, HOT, TICKED, bolted, driven
from nesting.crates.gear.climate import Bag
from nesting.crates.gear.lid import BARREL, BORED, GASKET, HOLE, LEDGE, PRESSED, comes_home, tool_for
from nesting.crates.model import Bolt, Step
from nesting.crates.shells.shell import Shell

_LEFT = (
    "climate is left to you: ends of the gasket, seals of the corners, how dry the panels are, silica gel for a "
    "journey abroad, and 24 hours unopened in the room where it will hang"
)


_BESIDE = OwnLength(INCH // 8, 3 * MM)
"""From the middle of a lid screw to the gasket beside it: half a No. 8 screw and a little, common practice."""


_TIP_BORE = OwnLength(INCH // 2, 12 * MM)
"""Width of the bore for the tip of a bolt."""


def _size(shell: Shell, value: int, denominator: int = 32) -> str:
    return format_length(value, shell.packing.units, denominator, mark=True)


def counted(bags: int) -> str:
    """Write so many bags."""
    return "1 bag" if bags == 1 else f"{bags} bags"


def dry_steps(shell: Shell) -> list[Step]:
    """Say how dry panels are when they are glued."""
    if not shell.packing.shop.gear.climate:
        return []
    return [
        Step(
            "Let the parts lie in the shop until they are dry; glue none before.",
            check="6 to 10 % moisture by a meter, on each sheet",
        )
    ]


def over_wood(shell: Shell) -> list[Bolt]:
    """Return the lid's bolts behind whose T-nuts a gusset or block stands."""
    rim = shell.rim
    return [b for b in shell.bench.bolts if b.frees and rim.over_gusset(b.x, b.y)] if rim else []


def after_nuts(shell: Shell) -> int:
    """Return how many gussets of the frame go in after the T-nuts that they stand behind."""
    if shell.rim is None:
        return 0
    behind = over_wood(shell)
    # The rim counts all wood behind the ledge among its gussets: blocks too, which go in later anyway.
    boxes = [m.box for m in shell.frame.of("gusset")]
    return sum(any(replace(shell.rim, gussets=(box,)).over_gusset(b.x, b.y) for b in behind) for box in boxes)


def ledge_steps(shell: Shell) -> list[Step]:
    """Say how the ledge and its T-nuts go in, while the back of the frame is open; none for a screwed lid."""
    if shell.rim is None:
        return []
    frame, shop = shell.frame, shell.packing.shop
    bolts = [bolt for bolt in shell.bench.bolts if bolt.frees]
    steps = [
        driven(
            shell.bench,
            Step(
                "Lay the frame front edge down on a flat table. Glue the ledge's strips flat into it, bottom and top "
                "from side to side.",
                GLUE,
                check=f"strips {_size(shell, shop.own(LEDGE))} wide, {_size(shell, frame.ledge)} deep; no glue where "
                "the gasket goes",
            ),
            "frame to the lid's ledge",
            how="from outside, clear of the T-nuts as drawn",
        ),
        Step(
            "Turn the frame over; lay the lid on flush all round, mark which side is up, and drill lid and ledge "
            "together where drawn.",
            DRILL,
            drill=f"{_size(shell, shop.own(HOLE), 64)}, right through",
            check=f"{len(bolts)} holes",
        ),
        Step(
            f"Lid off. From behind, open the holes in the ledge alone and drive a T-nut ({shop.gear.nut}) into each, "
            "the ledge on a block.",
            "Fingers off the T-nut while it is driven.",
            drill=_size(shell, shop.own(BARREL), 64),
            check="flanges flat on the ledge; every bolt turns in by hand",
        ),
    ]
    bored = over_wood(shell)
    if bored:
        at = "; ".join(f"{_size(shell, b.x)}, {_size(shell, b.y)}" for b in bored)
        steps.append(
            Step(
                f"Behind {len(bored)} T-nuts comes a gusset or a block: before it goes in, bore its front end for the "
                "tip of the bolt.",
                drill=f"{_size(shell, shell.packing.shop.own(_TIP_BORE))} wide",
                stop=_size(shell, shell.packing.shop.own(BORED)),
                check=f"from the left, from below, seen from the front: {at}",
            )
        )
    return steps


def climate_steps(shell: Shell) -> list[Step]:
    """Say how the corners are sealed and where bags of silica gel lie."""
    shop = shell.packing.shop
    if not shop.gear.climate:
        return []
    steps = [
        Step(
            f"Seal the inside with a bead of {shop.joinery.foam_glue}: along both edges of each corner block, and "
            "where the frame stands on the back.",
            HOT,
            check="no gap left; smoothed before the liner goes over it",
        )
    ]
    bags = [fitting for fitting in shell.bench.fittings if fitting.role == "gel"]
    if bags:
        bag = Bag.of(shop.good(shop.gear.gel), shop.units)
        clear = _size(shell, shell.behind - bag.thickness, 16)
        steps.append(
            Step(
                f"Lay {counted(len(bags))} of silica gel, conditioned to the humidity of the piece's own room, flat on "
                "the inside of the back as drawn.",
                "A bag that leaks is thrown away: no beads or dust before the face.",
                check=f"no thicker than {_size(shell, bag.thickness)}: the piece stays {clear} clear; never dried in "
                "an oven",
            )
        )
        steps.append(
            Step(
                f"Put two bands of {shop.wrap.tape_good} over each bag.",
                check="pressed down on clean wood beyond the bag at both ends",
            )
        )
    return steps


def lid_pilots(shell: Shell, apart: str) -> list[Step]:
    """Say how the pilots of a lid that is screwed are drilled, before any piece is in the crate; bolts have holes.

    Parameters
    ----------
    apart : str
        How far apart they are.
    """
    if shell.rim is not None:
        return []
    pilot = driven(shell.bench, Step(""), "lid").drill
    count = sum(each.count for each in shell.bench.fixings if each.purpose.startswith("lid"))
    half = _size(shell, shell.packing.shop.near(shell.frame.thickness // 2))
    return [
        Step(
            "Lay the lid on, flush all round, and mark its upper edge; drill its screws' pilots, lift it off and sweep "
            "out the dust.",
            DRILL,
            drill=pilot,
            check=f"{count} holes, {apart}, {half} from the edge; none is drilled later",
        )
    ]


def lid_steps(shell: Shell, lifters: str) -> list[Step]:
    """Say how the crate is closed.

    Parameters
    ----------
    lifters : str
        Who lifts the closed crate.
    """
    shop, climate = shell.packing.shop, shell.packing.shop.gear.climate
    ends = ", one closed ring, ends butted tight at a lower corner" if climate else ""
    lift = f"To lift the closed crate: {lifters}."
    steps: list[Step] = []
    if shell.rim is None:
        if shop.joinery.gasket:
            edge = _size(shell, shop.near(shell.frame.thickness // 2) + shop.own(_BESIDE), 16)
            steps.append(
                Step(
                    f"Stick the gasket on frame and liner, inside the screws' pilots{ends}.",
                    check=f"its outer side {edge} from the frame's outside",
                )
            )
        lid = Step(
            "Put the lid on, marked edge up, never glued, and screw it. Mark the side that opens.",
            lift,
            check=f"{TICKED}; gasket pressed to about {_size(shell, shop.own(PRESSED))}, in no depth drawn",
        )
        # Its pilots are drilled already.
        return [*steps, replace(driven(shell.bench, lid, "lid", how="in their pilots"), drill="")]
    bolts = sum(bolt.frees == "crate" for bolt in shell.bench.bolts)
    if shop.joinery.gasket:
        wide = _size(shell, shop.own(GASKET))
        steps.append(
            Step(
                f"Stick the gasket on the inner {wide} of the ledge, inside the bolts{ends}.", check="never on a T-nut"
            )
        )
    return [
        *steps,
        Step(
            f"Lid on, never glued, its marked side up: start all {bolts} bolts by hand, then tighten them crosswise.",
            lift,
            stop=tool_for(shop.good(shop.gear.lid_bolt)),
            screw=bolted(bolts, shop.gear.lid_bolt),
            check=f"{TICKED}; gasket pressed to about half all round, no further; no driver: it strips T-nuts",
        ),
        Step("Mark the side that opens; tie a bag for the bolts to a handle or strap."),
    ]


def closing_checks(shell: Shell) -> tuple[Check, ...]:
    """Say what holds the lid, and what the air inside asks for on a journey abroad."""
    packing = shell.packing
    gear = packing.shop.gear
    checks = [_bolts(shell) if shell.rim else _screws()]
    if gear.climate and packing.shop.abroad(packing.country):
        got, wanted = shell.bags
        grams = Bag.of(packing.shop.good(gear.gel)).gel_g
        bags = f"{counted(got)} of {grams:g} g" + ("" if got == wanted else f", {wanted} wanted")
        checks.append(check_air(shell.air, gear.exchanges, gear.days, gear.humidity, bags, packing.units))
    return tuple(checks)


def _screws() -> Check:
    return inform(
        "lid screws, withdrawal",
        "screws into plywood edges count nothing in withdrawal: the lid carries nothing, the piece hangs on the back",
        source="house rule after NDS, which forbids withdrawal from end grain",
        limits="lid and frame only",
    )


def _bolts(shell: Shell) -> Check:
    places = sorted((bolt.x, bolt.y) for bolt in shell.bench.bolts if bolt.frees)
    holds = "1113 N" if shell.packing.units == "metric" else "250 lb (1113 N)"
    return inform(
        "lid bolts, T-nuts",
        f"{len(places)} bolts draw their T-nuts into the ledge; a T-nut holds itself with about {holds} in "
        "plywood against falling out of its hole while no bolt is in it: no strength of the joint; the lid carries "
        "nothing, the piece hangs on the back",
        source="Drvna industrija 73(3), 2022, abstract: T-nut M6, four prongs, 8 mm hole, 1113 to 1158 N in softwood "
        "and plywood",
        limits="falling out only, measured at M6; strand board and particleboard hold half of it",
    )


def closing_warnings(shell: Shell) -> tuple[str, ...]:
    """Say what of lid and climate is left to people."""
    gear = shell.packing.shop.gear
    out = []
    if shell.unbolted:
        out.append(f"lid screwed although it is opened again: {shell.unbolted}; screws into edges strip, so few times")
    if gear.lid == "screws" and comes_home(shell.packing):
        out.append(
            "lid screwed although it may come home: closing it again is left to you, its screws into edges strip"
        )
    got, wanted = shell.bags
    if got < wanted:
        out.append(
            f"silica gel: {counted(wanted)} wanted, and behind the pieces is room for {got}: hand in what is missing "
            "elsewhere, never before a face"
        )
    if not gear.climate:
        out.append(_LEFT)
    return tuple(out)
