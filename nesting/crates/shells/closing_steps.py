"""Steps and findings of how a shell is closed: its lid, screwed or bolted, and the air shut in with the piece."""

from nesting.advice.check import Check, inform
from nesting.advice.climate import check_air
from nesting.base.measure import INCH, format_length
from nesting.crates.gear.climate import Bag
from nesting.crates.gear.lid import BARREL, BORED, GASKET, HOLE, LEDGE, comes_home, rows_told, tool_for
from nesting.crates.model import Step
from nesting.crates.shells.shell import Shell

DAY = "leave it unopened in the room where it will hang for 24 hours"
"""A common condition of loans, from memory."""
_OPEN = (
    "stand the crate upright, lid off; one person holds the piece, the lower screws come out first, the upper ones "
    "last."
)
_LEFT = (
    "climate is left to you: ends of the gasket, seals of the corners, how dry the panels are, silica gel for a "
    "journey abroad, and 24 hours unopened in the room where it will hang"
)


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
            "Let the parts lie in the shop until they are dry: 6 to 10 % moisture by a meter, on each sheet, before "
            "anything is glued.",
            "A damp panel gives its water to the air round the piece once the crate is closed.",
        )
    ]


def ledge_steps(shell: Shell) -> list[Step]:
    """Say how the ledge and its T-nuts go in, while the back of the frame is open; none for a screwed lid."""
    rim = shell.rim
    if rim is None:
        return []
    frame, shop = shell.frame, shell.packing.shop
    bolts = [bolt for bolt in shell.bench.bolts if bolt.frees]
    deep = _size(shell, frame.ledge)
    steps = [
        Step(
            f"Lay the frame on its front edge on a flat table. Glue the strips of the lid's ledge flat on the table "
            f"into it, {_size(shell, LEDGE)} wide and {deep} deep, end to end all round, those below and above from "
            "side to side, and screw them through the frame from outside, between the places of the T-nuts. Blocks and "
            "gussets end behind it.",
            "Narrow strips: push block, and rip them off the wide side of the sheet. No glue on the face that takes "
            "the gasket.",
        )
    ]
    bored = [bolt for bolt in bolts if rim.over_gusset(bolt.x, bolt.y)]
    bore = ""
    if bored:
        at = "; ".join(f"{_size(shell, b.x)} from the left, {_size(shell, b.y)} up" for b in bored)
        bore = (
            f" Behind {len(bored)} of these places comes a gusset or a block ({at}): bore that one "
            f"{_size(shell, INCH // 2)} wide and {_size(shell, BORED)} deep into its front end before it goes in, for "
            "T-nut and tip."
        )
    steps.append(
        Step(
            f"Turn the frame over, lay the lid on it flush all round and mark which side is up. Drill lid and ledge "
            f"through together, {_size(shell, HOLE, 64)}, at {len(bolts)} places: "
            f"{rows_told([(b.x, b.y) for b in bolts], rim, shell.packing.units)}. Lid off; from behind open the holes "
            f"of the ledge alone to {_size(shell, BARREL, 64)} and drive a T-nut ({shop.gear.nut}) into each until its "
            f"flange is flush with the ledge.{bore} Try every bolt by hand.",
            "Hands off the far side while drilling; the ledge lies on a block while its T-nuts are driven from behind.",
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
            f"Seal the four corners of the frame inside with a bead of {shop.joinery.foam_glue} along both edges of "
            "each corner block, from the back to the front, and along the back where the frame stands on it, no gap "
            "left; smooth it before the liner goes over it.",
            "Hot glue burns: gloves.",
        )
    ]
    bags = [fitting for fitting in shell.bench.fittings if fitting.role == "gel"]
    if bags:
        bag = Bag.of(shop.good(shop.gear.gel))
        steps.append(
            Step(
                f"Before the piece goes in: lay {counted(len(bags))} of silica gel, conditioned to the humidity of the "
                f"piece's own room, flat on the {'; '.join(each.text for each in bags)}. Put two bands of "
                f"{shop.wrap.tape_good} over each, pressed down on clean wood beyond it at both ends. They lie behind "
                f"the piece and stay {_size(shell, shell.behind - bag.thickness, 16)} clear of it; measure yours: no "
                f"thicker than {_size(shell, bag.thickness)}.",
                "No bag, beads or dust before the face; a bag that leaks is thrown away. Do not dry the gel in an "
                "oven: dry gel takes the piece's own moisture.",
            )
        )
    return steps


def lid_step(shell: Shell, held: str, lifters: str) -> Step:
    """Say how the crate is closed.

    Parameters
    ----------
    held : str
        How many screws hold the lid, for one that is screwed.
    lifters : str
        Who lifts the closed crate.
    """
    shop, climate = shell.packing.shop, shell.packing.shop.gear.climate
    gasket = bool(shop.joinery.gasket)
    ends = " in one closed ring, its ends butted tight at a lower corner" if climate else ""
    caution = f"To unpack: {DAY}; {_OPEN}" if climate else f"To unpack: {_OPEN}"
    if shell.rim is None:
        start = f"Gasket on the frame's edge{ends}, then the lid" if gasket else "The lid"
        words = f"{start} on{held}, never glued. Mark the side that opens."
    else:
        bolts = sum(bolt.frees == "crate" for bolt in shell.bench.bolts)
        ring = (
            f"Gasket on the inner {_size(shell, GASKET)} of the ledge, inside the bolts{ends}, never at a T-nut; then "
            "the lid"
            if gasket
            else "The lid"
        )
        words = (
            f"{ring} on, never glued, its marked side up: start all {bolts} bolts by hand, then tighten them crosswise "
            f"with {tool_for(shop.good(shop.gear.lid_bolt))}, until the gasket is pressed to about half, evenly all "
            "round, and no further. Mark the side that opens, and tie a bag for the bolts to a handle or strap."
        )
        caution = f"By hand only: a driver strips T-nuts and sinks heads. {caution}"
    return Step(f"{words} To lift the closed crate: {lifters}.", caution)


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
    return inform(
        "lid bolts, T-nuts",
        f"{len(places)} bolts draw their T-nuts into the ledge; a T-nut holds itself with about 250 lb (1113 N) in "
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
