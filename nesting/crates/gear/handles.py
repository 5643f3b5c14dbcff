"""Handles: one for each who lifts, bolted through stile and backing block at or just above the centre of gravity."""

from dataclasses import dataclass
from typing import Final

from nesting.advice.bolts import check_handles, check_pull_through
from nesting.advice.check import Check, table_pounds
from nesting.advice.lifting import Team, team_size
from nesting.base.measure import INCH, MM
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.driving import DRILL, GLUE, bolted, listed
from nesting.crates.gear.site import Site, Weighed, part_at
from nesting.crates.model import Bolt, Box, Fitting, Step
from nesting.shop.needs import PART, refuse_unfit

PROUD: Final = OwnLength(INCH, 25 * MM)
"""How far a folding handle stands out from the stile."""

LONG: Final = OwnLength(9 * INCH // 2, 120 * MM)
"""Length of its plate: 4-1/2 in of grip (NIOSH coupling notes)."""

WIDE: Final = OwnLength(2 * INCH, 50 * MM)
PLATE: Final = OwnLength(INCH // 8, 3 * MM)
"""Width and thickness of its plate (common practice, no source)."""

BOLTS_APART: Final = OwnLength(3 * INCH, 80 * MM)
_HOLE: Final = OwnLength(5 * INCH // 16, 8 * MM)
"""Drill of a 1/4 in T-nut's barrel, 1/16 in over the bolt; of one M6, 8 mm."""

_BLOCKS: Final = (
    OwnLength(6 * INCH, 150 * MM),
    OwnLength(5 * INCH, 130 * MM),
    OwnLength(4 * INCH, 100 * MM),
)
"""How high a block may be; a handle that stands upright needs 5 in."""

_APART: Final = OwnLength(8 * INCH, 200 * MM)
"""From middle to middle of handles one above the other: room for a fist and a half (common practice, no source)."""

_ROOM: Final = OwnLength(INCH, 25 * MM)
"""How far over the centre of gravity handles may stay where they are when that moves a little."""

_MOST: Final = 8


@dataclass(frozen=True, slots=True)
class Handles:
    """Handles of a crate.

    Attributes
    ----------
    lifters : int
        Who lift.
    wanted : int
        How many there should be.
    middles : tuple of int
        Heights of their middles on each stile, from the lowest up; empty where none has room.
    block : int
        How high each backing block is.
    level : bool
        Whether their grips lie level, from back to front; upright where the strips are narrow.
    """

    lifters: int
    wanted: int
    middles: tuple[int, ...]
    block: int
    level: bool

    @property
    def count(self) -> int:
        """How many there are."""
        return 2 * len(self.middles)


def plan_handles(site: Site, team: Team, weighed: Weighed, before: Handles | None) -> Handles | None:
    """Plan the handles of a crate, or none where the shop's rules ask for none.

    Parameters
    ----------
    team : str
        Who lifts it.
    before : Handles or None
        As they were planned before they were weighed too.
    """
    shop = site.shop
    joinery, rules = shop.joinery, shop.gear
    gross, lifters = table_pounds(weighed.gross_kg), team_size(team)
    if rules.handles != "bolted" or not joinery.handle or not lifters:
        return None
    if lifters == 1 and gross < joinery.handles_from_lb:
        return None
    refuse_unfit(shop, ((joinery.block_good, PART),))
    rated = shop.good(joinery.handle).rated_lb
    wanted = most = max(2, lifters + lifters % 2)
    while rated and wanted < _MOST and rules.handle_factor * share(gross, lifters, wanted) > rated:
        wanted += 2
    level = site.strip >= shop.own(LONG) + shop.own(_ROOM) // 2
    if before is not None and before.middles and before.wanted == wanted and before.lifters == lifters:
        over = before.middles[0] - weighed.centre[1]
        if 0 <= over <= shop.own(_ROOM):
            return before
    best: tuple[int, ...] = ()
    blocks = [shop.own(block) for block in _BLOCKS]
    high = blocks[0]
    for block in blocks if level else blocks[:2]:
        found = _middles(site, wanted // 2, weighed.centre[1], block)
        if len(found) > len(best):
            best, high = found, block
    return Handles(lifters, max(wanted, most), best, high, level)


def share(gross_lb: float, lifters: int, count: int) -> float:
    """Return what one handle lifts: each who lifts holds one, or more where more were put on; one person holds two."""
    usual = max(2, lifters + lifters % 2)
    return gross_lb / (count if count > usual else max(2, lifters))


def _middles(site: Site, count: int, least: int, block: int) -> tuple[int, ...]:
    """Return where handles have room on a stile, none lower than that, each clear of gussets: moved up, never down."""
    low, top = site.foot + block // 2, site.height - site.foot - block // 2
    taken = sorted((g.y, g.y + g.dy) for g in site.gussets if g.dy > g.dx)
    found: list[int] = []
    at = site.up(max(low, least))
    while len(found) < count:
        for start, end in taken:
            if start < at + block // 2 and at - block // 2 < end:
                at = site.up(end + block // 2)
        if at > top:
            break
        found.append(at)
        at = site.up(at + max(site.shop.own(_APART), block))
    return tuple(found)


def lay_handles(site: Site, handles: Handles, bench: Bench) -> int:
    """Put blocks, handles and bolts on the bench; return the area that is glued."""
    shop = site.shop
    good, thick, strip = shop.joinery.block_good, site.block, site.strip
    middle, half = site.back + shop.whole(strip // 2), shop.own(BOLTS_APART) // 2
    proud, long, wide, plate_thick = (shop.own(each) for each in (PROUD, LONG, WIDE, PLATE))
    for side in (0, 1):
        inner = site.thick if side == 0 else site.width - site.thick - thick
        outer, way = (-proud, 1) if side == 0 else (site.width, -1)
        for y in handles.middles:
            box = Box(inner, y - handles.block // 2, site.back, thick, handles.block, strip)
            block = bench.panel("backing-block", good, box, "backing block", flat="x", along="y")
            high, deep = (wide, long) if handles.level else (long, wide)
            plate = Box(outer, y - high // 2, middle - deep // 2, proud, high, deep)
            where = f"{'left' if side == 0 else 'right'} stile, middle {site.say(y)} up"
            bench.fit(Fitting(shop.joinery.handle, "handle", plate, where))
            for shift in (-half, half):
                at_y, at_z = (y, middle + shift) if handles.level else (y + shift, middle)
                head = -plate_thick if side == 0 else site.width + plate_thick
                stile = part_at(bench, "stile", site.thick // 2 if side == 0 else site.width - site.thick // 2, at_y,
                                at_z)  # fmt: skip
                bench.bolt(
                    Bolt(shop.gear.handle_bolt, head, at_y, at_z, (way, 0, 0), (stile, block), shop.gear.nut,
                         hole=shop.own(_HOLE)),
                    "handles through stile and block, into T-nuts",
                )  # fmt: skip
    return handles.count * handles.block * strip


def handle_checks(site: Site, handles: Handles | None, weighed: Weighed) -> tuple[Check, ...]:
    """Judge handles and their bolts."""
    if handles is None or not handles.middles:
        return ()
    shop = site.shop
    gross, factor = table_pounds(weighed.gross_kg), shop.gear.handle_factor
    each = share(gross, handles.lifters, handles.count)
    rated = shop.good(shop.joinery.handle).rated_lb
    # With every handle on that there is room for, one that is too weak would be lifted by all the same.
    weak = rated > 0 and factor * each > rated
    bolt = shop.good(shop.gear.handle_bolt).diameter_in
    found = check_handles(each, factor, rated, site.units, structure=weak)
    return found, check_pull_through(each, factor, 2, bolt, site.units)


def handle_warnings(site: Site, handles: Handles | None, gross_kg: float, team: Team) -> list[str]:
    """Say where people must find another hold than a handle, or bolts do not fit."""
    shop = site.shop
    gross, lifters = table_pounds(gross_kg), team_size(team)
    needed = lifters > 1 or (lifters == 1 and gross >= shop.joinery.handles_from_lb)
    if handles is None:
        if needed and (shop.gear.handles == "none" or not shop.joinery.handle):
            none = (
                f"no handles, as the shop's rules say: {team} must find a hold under the lower rail; put the crate on "
                "blocks, so that fingers get under it and out again"
            )
            return [none]
        return []
    told = []
    if handles.count < handles.wanted:
        told.append(
            f"{handles.count or 'no'} of {handles.wanted} handles have room on the stiles at or above the centre of "
            "gravity: whoever has none lifts under the lower rail, from blocks"
        )
    if not handles.middles:
        return told
    bolt, nut = shop.good(shop.gear.handle_bolt), shop.good(shop.gear.nut)
    over = bolt.breadth - (shop.own(PLATE) + site.thick + site.block)
    bite = nut.breadth + over
    if over > shop.own(PLATE) or bite < round(bolt.diameter_in * INCH):
        told.append(
            f"bolts {bolt.good} of the handles end {site.say(abs(over), 32)} {'beyond' if over > 0 else 'short of'} "
            "their blocks' inner face: take bolts that end in the T-nut"
        )
    return told


def handle_steps(site: Site, handles: Handles | None, centre_y: int) -> list[Step]:
    """Say how handles go on."""
    if handles is None or not handles.middles:
        return []
    shop = site.shop
    feet = listed([site.say(y - handles.block // 2) for y in handles.middles])
    spots = listed([site.say(y) for y in handles.middles])
    mid = site.say(shop.whole(site.strip // 2))
    apart = site.say(shop.own(BOLTS_APART))
    lie = "level, from back to front" if handles.level else "upright"
    apart = (
        f"{apart} apart on the level of its middle, evenly about a line {mid} before the back's inside"
        if handles.level
        else f"{apart} apart, one above the other, {mid} before the back's inside"
    )
    deep = "from the back to the lid's ledge" if site.ledge else "as deep as the strips"
    bolts = 2 * handles.count
    return [
        Step(
            f"Glue a backing block for each handle to the inner face of its stile, as drawn, {deep}; clamp it.",
            GLUE,
            check=f"lower edges {feet} up from the bottom; blocks {site.say(handles.block)} high",
        ),
        Step(
            "Clamp a scrap inside; drill two holes for each handle from outside through stile and block, as drawn.",
            DRILL,
            drill=site.say(shop.own(_HOLE)),
            check=apart,
        ),
        Step(
            f"Tap a T-nut ({shop.gear.nut}) into each hole from the inside.",
            check=f"{bolts} T-nuts, flanges flat on the wood",
        ),
        Step(
            f"Bolt {handles.count} handles to the outside of the stiles, {len(handles.middles)} a side, grips {lie}.",
            f"Lifted by {_lifting(handles)}: gloves, backs straight, all at one word.",
            screw=bolted(bolts, shop.gear.handle_bolt, "with a spanner"),
            check=f"middles {spots} up; the centre of gravity is {site.say(centre_y, 8)} up",
        ),
    ]


def _lifting(handles: Handles) -> str:
    """Say who takes hold of what."""
    if handles.lifters == 1:
        return "one person, a hand at each handle"
    if handles.count >= handles.lifters:
        return f"{('two', 'three', 'four')[handles.lifters - 2]} people, one at a handle"
    return f"{('two', 'three', 'four')[handles.lifters - 2]} people, those without a handle under the lower rail"
