"""Skids under closed and battened crates: two runners across the short side, each ply bolted through the lower rail.

A bolt goes from a block inside, through rail and ply, into a bore in the underside: no tip and no nut comes down to the
floor. Skids lie below the body, from minus their height to 0.
"""

from dataclasses import dataclass, replace
from math import ceil
from typing import Final

from nesting.advice.bolts import EDGE, END, check_prying
from nesting.advice.check import Check, table_pounds
from nesting.advice.fasteners import pilot_hole, screw_number
from nesting.advice.forks import check_forks
from nesting.base.measure import INCH, MM, inches
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.driving import DRILL, GLUE, bolted, driven
from nesting.crates.gear.members import Lumber, section_of
from nesting.crates.gear.site import Site, Weighed, part_at
from nesting.crates.gear.skids import Skids
from nesting.crates.model import Bolt, Box, Step
from nesting.shop.needs import BORDER, PART, WEIGHT, refuse_unfit

BORE: Final = OwnLength(9 * INCH // 8, 32 * MM)
"""Width of the bore for washer and nut: a washer of 1 in and 1/16 in all round, or one of 30 mm."""

_BLOCK: Final = OwnLength(5 * INCH, 130 * MM)
_ROW: Final = OwnLength(8 * INCH, 200 * MM)
"""From screw to screw where plies are glued to each other."""

_STEP: Final = OwnLength(INCH // 8, 2 * MM)
_WASHER: Final = OwnLength(INCH // 16, 5 * MM // 2)
"""Thickness of a washer: ASME B18.21.1; 2.5 mm for a wide one M10 (ISO 7093; both from memory)."""
_OVER: Final = OwnLength(INCH // 32, MM)
"""Hole over its bolt: EN 1995-1-1, 10.4.3, allows 1 mm (from memory)."""
_BESIDE: Final = OwnLength(INCH, 25 * MM)
"""How far a block reaches beyond its skid, each side; no crate is so narrow that its skids stand nearer than two."""


@dataclass(frozen=True, slots=True)
class Bolting:
    """Bolts of one kind through block, rail and ply.

    Attributes
    ----------
    hole : int
        Its drill, a little over.
    bore : int
        How deep the nut is sunk.
    tip : int
        From its tip to the floor.
    front, back : int
        Where the front and back ones stand.
    """

    hole: int
    bore: int
    tip: int
    front: int
    back: int


def plan_bolted(site: Site, plies: int = 0, over: int = 0) -> Skids | None:
    """Plan two skids; None where the crate is too narrow for their blocks, or gussets leave no place.

    As for a case, they stand at least the shop's clear width apart and at the quarters of a long crate, but no nearer
    to a side than their blocks have room beside the corner blocks, bolts 4 D from a block's end.

    Parameters
    ----------
    plies : int
        Of each; none for as many as the shop's rule says.
    over : int
        How far they reach beyond the crate, front and back.
    """
    rules = site.shop.case
    plies = plies or rules.skid_plies
    section = section_of(rules.skid_good, site.shop, laminated=site.laminated)
    wide = plies * section.thick
    bolt, step = round(site.shop.good(site.shop.gear.skid_bolt).diameter_in * INCH), site.shop.own(_STEP)
    margin = max(0, -(-(site.thick + site.block + ceil(END * bolt) - section.thick // 2) // step) * step)
    most = site.width - 2 * (wide + margin)
    if most < 2 * site.shop.own(_BESIDE):
        return None
    wanted = min(max(rules.skid_clear, site.width // 2 // step * step), most)
    for clear in sorted({wanted, *range(wanted % step, most + 1, step)}, key=lambda c: abs(c - wanted)):
        left = site.shop.whole((site.width - clear) // 2) - wide
        skids = Skids(section, section.breadth, plies, clear, (left, left + wide + clear), over)
        if all(_free(site, block_of(site, skids, start)) for start in skids.starts):
            return skids
    return None


def block_of(site: Site, skids: Skids, start: int) -> Box:
    """Return the block over a skid: on the inner face of the lower rail, from the setting blocks to the front."""
    middle, corner = start + skids.wide // 2, site.thick + site.block
    half = site.shop.whole(max(site.shop.own(_BLOCK), skids.wide + 2 * site.shop.own(_BESIDE)) // 2)
    left, right = max(middle - half, corner), min(middle + half, site.width - corner)
    return Box(left, site.thick, site.back + site.behind, right - left, site.block, site.strip - site.behind)


def _free(site: Site, block: Box) -> bool:
    return not any(g.dx > g.dy and g.y < site.height // 2 and g.x < block.x + block.dx and block.x < g.x + g.dx
                   for g in site.gussets)  # fmt: skip


def bolting(site: Site, skids: Skids) -> Bolting:
    """Return how the bolts of skids go in."""
    shop = site.shop
    bolt = shop.good(shop.gear.skid_bolt)
    diameter = round(bolt.diameter_in * INCH)
    # A nut is 7/8 D high (ASME B18.2.2; 8.4 mm at M10, ISO 4032; both from memory), and a washer lies under it.
    nut, step = diameter * 7 // 8 + shop.own(_WASHER), shop.own(_STEP)
    inside = site.thick + site.block
    bore = max(0, -(-(inside + skids.height - bolt.breadth + nut) // step) * step)
    tip = inside + skids.height - bolt.breadth
    edge, end = shop.whole_up(ceil(EDGE * diameter)), shop.whole_up(ceil(END * diameter))
    first, last = site.back + site.behind + edge, site.back + site.strip - edge
    front, back = min(last, site.depth + skids.over - end), max(first, end - skids.over)
    if front < back:
        front = back = shop.whole((first + last) // 2)
    return Bolting(diameter + shop.own(_OVER), bore, tip, front, back)


def lay_bolted(site: Site, skids: Skids, bench: Bench) -> tuple[int, int]:
    """Put blocks, skids and bolts on the bench; return the area that is glued, and in how many joints."""
    shop = site.shop
    refuse_unfit(shop, ((shop.joinery.block_good, PART),))
    lumber, how = Lumber(bench, skids.section), bolting(site, skids)
    thick, over = skids.section.thick, skids.over
    long = site.depth + 2 * over
    known = {stick.name for stick in bench.sticks} | {part.name for part in bench.parts}
    glued = 0
    for start in skids.starts:
        block = block_of(site, skids, start)
        name = bench.panel("skid-block", shop.joinery.block_good, block, "skid block", flat="y", along="x")
        glued += block.dx * block.dz
        for ply in range(max(skids.plies, 2)):
            at = start + ply % skids.plies * thick
            if ply < skids.plies:
                box = Box(at, -skids.height, -over, thick, skids.height, long)
                lumber.put("skid", box, along="z", flat="x", role="skid")
            x, z = at + thick // 2, how.back if ply % 2 else how.front
            rail = part_at(bench, "rail", x, site.thick // 2, z)
            bench.bolt(
                Bolt(
                    shop.gear.skid_bolt, x, site.thick + site.block, z, (0, -1, 0),
                    (name, rail, part_at(bench, "skid", x, -skids.height // 2, z)), "", shop.gear.skid_washer, how.hole,
                    how.bore,
                ),
                "skids through rail and inner block, nuts sunk",
            )  # fmt: skip
    made = {stick.good for stick in bench.sticks if stick.name not in known}
    refuse_unfit(shop, ((good, (*WEIGHT, *BORDER)) for good in made))
    joints = 2 * (skids.plies - 1)
    screw = shop.good(shop.joinery.corner_screw)
    pilot = pilot_hole(screw_number(screw.diameter_in))
    drill = pilot.drill if site.units == "inch" else pilot.drill_metric
    count = screws_of(skids, long, shop.own(_ROW))
    bench.fix(screw.good, count, "plies of the skids to each other, glued", site.say(drill, 64))
    return glued + lumber.glued + joints * long * skids.height, joints + 2


def screws_of(skids: Skids, long: int, row: int) -> int:
    """Return how many screws hold the plies of both skids together: two at each end, and a row between."""
    return 2 * (skids.plies - 1) * max(4, 2 * -(-long // row)) if skids.plies > 1 else 0


def prying_of(site: Site, skids: Skids, gross_kg: float) -> Check | None:
    """Judge the bolts of skids that reach out; None where they do not."""
    if not skids.over:
        return None
    how, bolt = bolting(site, skids), site.shop.good(site.shop.gear.skid_bolt)
    # A crate rocks about its front or back edge; the farther bolt holds it down, over the shorter lever of the two.
    lever = min(site.depth - how.back, how.front)
    return check_prying(table_pounds(gross_kg), inches(skids.over), inches(lever), bolt.diameter_in, site.units)


def skid_checks(site: Site, skids: Skids | None, weighed: Weighed) -> tuple[Check, ...]:
    """Judge the room for forks, and bolts that are pried; a crate that forks do not get under is held."""
    rules = site.shop.forks
    wide = skids.wide if skids else 0
    # The least outside that leaves the jack its width between the skids.
    least = rules.jack_width + (site.width - skids.clear if skids and skids.clear < rules.jack_width else 2 * wide)
    would = f"a crate of {site.say(least)} or wider, or one so light that people lift it"
    height, clear = (skids.height, skids.clear) if skids else (0, 0)
    found = [
        replace(check, structure=True, would_pass=would if check.verdict == "fails" else "")
        for check in check_forks(height, clear, rules, site.units)
    ]
    pried = prying_of(site, skids, weighed.gross_kg) if skids else None
    return (*found, pried) if pried else tuple(found)


def skid_steps(site: Site, skids: Skids | None, bench: Bench) -> list[Step]:
    """Say how skids are made and bolted on."""
    if skids is None:
        return []
    how, say, gear = bolting(site, skids), site.say, site.shop.gear
    long, section = site.depth + 2 * skids.over, skids.section
    steps = []
    if section.plies:
        steps.append(
            Step(
                f"Glue each ply of the skids up from {section.plies} strips of {section.good}, edges flush; clamp it "
                "until the glue holds.",
                GLUE,
            )
        )
    if skids.plies > 1:
        made = Step(
            f"Make two skids {say(long)} long: {skids.plies} plies of {section.good} on edge, glued face to face, ends "
            "flush.",
            GLUE,
            check="clamped before they are screwed; screws clear of the bolts as drawn",
        )
        steps.append(driven(bench, made, "plies of the skids", how="half of them in each skid"))
    flush = "against the lid's ledge" if site.ledge else "flush with the strips"
    reach = f"they reach {say(skids.over)} beyond the crate at the front and at the back" if skids.over else (
        "ends flush with the crate's back and front")  # fmt: skip
    count = max(skids.plies, 2) * 2
    return [
        *steps,
        Step(
            f"Glue the two skid blocks inside on the lower rail as drawn, front edges {flush}; clamp until the glue "
            "holds.",
            GLUE,
        ),
        Step(
            "Clamp the skids under the rail as drawn; from inside drill straight down through block, rail and skid "
            "where drawn.",
            DRILL,
            drill=f"{say(how.hole, 32)}, right through",
            check=f"{count} holes; {reach}",
        ),
        Step(
            "Take the skids off and bore each hole from the underside for washer and nut.",
            DRILL,
            drill=f"{say(site.shop.own(BORE))} wide",
            stop=say(how.bore),
        ),
        Step(
            "Bolt the skids on: heads inside on the blocks, a washer and a nut in each bore, drawn until the square "
            "neck is in the wood.",
            "Fingers and feet never under a crate that is held up.",
            screw=bolted(count, gear.skid_bolt, f"each with {gear.skid_washer}"),
            check="nothing stands out of the underside",
        ),
    ]


def fork_steps(site: Site, skids: Skids | None) -> list[Step]:
    """Say where forks get under."""
    if skids is None:
        return []
    return [
        Step(
            "Forks or a pallet jack go in from the front or the back, between the skids and right through under the "
            "crate.",
            "One person steadies it from its narrow side; nobody before or behind it, feet clear.",
            check=f"{site.say(skids.clear)} clear between the skids, {site.say(skids.height)} high; lift just clear",
        )
    ]
