"""Steps of a case's gear: where skids, outriggers, bolts, handles and straps go, with which drill, in which order."""

from collections.abc import Callable

from nesting.advice.lifting import team_for
from nesting.base.measure import INCH, MM, format_length, format_weight
from nesting.base.own_length import OwnLength
from nesting.crates.cases.bolting import BORE_WIDE, Runners, bolted, hole_of
from nesting.crates.cases.case import Case
from nesting.crates.cases.handles import BOLTS, Handles
from nesting.crates.cases.upright import STRAPS, Upright, strap_length
from nesting.crates.driving import DRILL, GLUE, driven, lifters
from nesting.crates.driving import bolted as in_words
from nesting.crates.gear.skids import Skids
from nesting.crates.model import Step

_SCREWS_APART = OwnLength(6 * INCH, 150 * MM)
_LAG_PILOT = OwnLength(INCH // 4, 7 * MM)
"""Drill for the thread of a lag screw: 65 to 75 % of it (NDS 12.1.4), 0.7 of it (EN 1995-1-1, 10.4.5; from memory)."""
_DRILL = "Eye protection; long bits catch: side handle on, both hands behind the bit, nobody's hand inside."


def _marker(case: Case) -> Callable[[int], str]:
    """Return how this case's steps write lengths."""

    def mark(value: int) -> str:
        return format_length(value, case.casing.units, mark=True)

    return mark


def skid_steps(case: Case, empty_kg: float) -> list[Step]:
    """Say where skids and their bolts go; nothing for a case without skids."""
    skids, runners, units = case.skids, case.runners, case.casing.units
    if skids is None or runners is None:
        return []
    body = case.body
    empty = format_weight(empty_kg, units, mark=True)
    longest = max(body.width, body.height, body.depth)
    who = lifters(team_for(empty_kg, longest, case.shop.lifting))
    steps = [
        Step(
            "Lay the empty case on its back, so that its underside can be reached.",
            f"To turn it, up to {empty}: {who}; gloves, feet clear.",
            check="no forks under it before its skids are bolted" if bolted(runners.spots) else "",
        ),
        *_laid(case, skids, runners),
    ]
    if bolted(runners.spots):
        steps += _bolts(case, runners)
    if skids.over:
        steps += _outriggers(case, skids, runners)
    return steps


def _laid(case: Case, skids: Skids, runners: Runners) -> list[Step]:
    """Say how the skids are made, and where they lie."""
    mark, section = _marker(case), skids.section
    strips = f"{skids.plies * section.plies} strips" if section.plies else f"{skids.plies} pieces"
    ends = f", reaching {mark(case.reach)} beyond front and back" if case.reach else ""
    where = f"{mark(skids.clear)} clear between"
    made = Step(
        f"Make two skids of {strips} on edge, glued and screwed to each other.",
        GLUE,
        check=f"{mark(skids.height)} high",
    )
    if bolted(runners.spots):
        held = Step(
            f"Lay the skids on the underside from front to back as drawn{ends}; two screws each from inside.",
            check=where,
        )
        steps = [made] if skids.plies * max(1, section.plies) > 1 else []
        steps = [driven(case.bench, each, "pieces of a skid", how="half of them in each skid") for each in steps]
        return [*steps, driven(case.bench, held, "skids from inside through the base, to hold")]
    held = Step(
        f"Lay the skids on the underside from front to back as drawn{ends}; screw them on from inside.",
        check=where,
    )
    # One fixing for both: how many of them join the pieces of a skid is left to who makes it.
    apart = f"{mark(case.shop.own(_SCREWS_APART))} apart, those that join the pieces of a skid included"
    return [made, driven(case.bench, held, "skids from inside through the base, and", apart=apart)]


def _bolts(case: Case, runners: Runners) -> list[Step]:
    """Say where the bolts go, and how they are drilled, bored and drawn."""
    mark, shop = _marker(case), case.shop
    made = [bolt for bolt in case.bench.bolts if bolt.way == (0, -1, 0)]
    steps = []
    for post in (False, True):
        chosen = [(spot, bolt) for spot, bolt in zip(runners.spots, made, strict=True) if spot.post == post]
        if not chosen:
            continue
        bolt = chosen[0][1]
        good = shop.good(bolt.good)
        where, into = ("corner posts", "post") if post else ("front and back rails", "rail")
        steps += [
            Step(
                f"From below, bore the skids for the nuts of {len(chosen)} bolts through the {where}, as drawn.",
                _DRILL,
                drill=f"{mark(shop.own(BORE_WIDE))} wide",
                stop=mark(bolt.bore),
                check=f"{mark(chosen[0][0].deep)} from the case's front and back",
            ),
            Step(
                f"Clamp a scrap inside against splinters; drill on through skid, board and {into}, square to the skid.",
                _DRILL,
                drill=mark(hole_of(good, shop.units)),
            ),
            Step(
                "Put the bolts in from inside, heads drawn into the lumber; washer and nut in the bore, tight with a "
                "socket.",
                screw=in_words(len(chosen), good.good, f"each with {bolt.washer}"),
                check="no tip below the skid",
            ),
        ]
    return steps


def _outriggers(case: Case, skids: Skids, runners: Runners) -> list[Step]:
    """Say where the outriggers go and how they come off."""
    mark, shop = _marker(case), case.shop
    held = [bolt for bolt in case.bench.bolts if bolt.way[0]]
    side = "outward" if skids.starts[0] >= skids.section.thick else "inward"
    beyond = f"they reach {mark(skids.over)} beyond the case, front and back"
    caution = "Two people hold a case without outriggers, one at each end; shins and forks clear of what sticks out."
    purpose = "outriggers to the skids"
    if not held:
        step = Step(
            f"Screw the outriggers to the sides of the skids that face {side}, as drawn: they come off for a door.",
            caution,
            check=beyond,
        )
        return [driven(case.bench, step, purpose)]
    bolt = held[0]
    wide = mark(shop.own(BORE_WIDE))
    what, bits = (
        ("lag screws", f"{mark(bolt.hole)} through the outrigger; {mark(shop.own(_LAG_PILOT))} into the skid")
        if runners.lags
        else ("bolts", f"{mark(bolt.hole)} through both; {wide} wide bore in the skid's other side")
    )
    return [
        Step(
            f"Clamp the outriggers to the sides of the skids that face {side}, and drill them for two {what} each, as "
            "drawn.",
            _DRILL,
            drill=bits,
            stop="no deeper than the screw" if runners.lags else f"{mark(bolt.bore)} for the bore",
            check=f"{beyond}; {what} {mark(bolt.y)} up",
        ),
        Step(
            "Bolt the outriggers on: they come off for a door, and go back on before the case is let go.",
            caution,
            screw=in_words(len(held), shop.good(bolt.good).good, f"each with {bolt.washer}"),
        ),
    ]


def handle_steps(case: Case) -> list[Step]:
    """Say where handles go and how they are held; nothing for a case without."""
    handles = case.handles
    if handles is None:
        return []
    mark, shop = _marker(case), case.shop
    where = _handle_places(case, handles)
    up = f"their middle {mark(handles.up)} up: at the centre of gravity or just above"
    bolt = handles.bolt
    if bolt is None:
        step = Step(
            f"Screw four handles on upright, {where}.",
            check=f"{up}; no tip inside; pull at each as hard as it will be lifted",
        )
        return [driven(case.bench, step, "handles, through the board")]
    held = [each for each in case.bench.bolts if each.nut and not each.washer]
    return [
        Step(
            "Clamp a scrap inside; drill for four handles from outside straight through board and upright, as drawn.",
            DRILL,
            drill=mark(hole_of(bolt, shop.units)),
            check=f"{BOLTS} holes each, {mark(2 * handles.from_middle)} apart, one above the other; {up}",
        ),
        Step(f"Drive a T-nut ({shop.gear.nut}) into each hole from inside.", check="before any foam goes in"),
        Step(
            f"Bolt four handles on upright, {where}.",
            "Each handle is for one pair of hands: no hook or sling in it.",
            screw=in_words(len(held), bolt.good),
            check="no tip inside; pull at each",
        ),
    ]


def _handle_places(case: Case, handles: Handles) -> str:
    """Say where the handles are, measured on the case."""
    mark = _marker(case)
    board, section = handles.board, handles.section
    if handles.sides == "front and back":
        aside = mark(board + case.shop.whole(section.breadth // 2))
        return f"two on the front and two on the back, their middle {aside} from either end"
    return f"two on each end, their middle {mark(board + case.shop.whole(section.thick // 2))} from front and back"


def strap_steps(case: Case, found: Upright) -> list[Step]:
    """Say how a case that does not stand by itself is strapped to what does."""
    if not found.on:
        return []
    gear, body = case.shop.gear, case.shell_box
    apart, length = (
        format_length(value, case.casing.units, 1, mark=True)
        for value in (case.shop.whole(body.dx // 4), strap_length(body, gear.pallet_high, case.shop.units))
    )
    return [
        Step(
            f"Stand the case on {found.on}, its centre of gravity over the middle.",
            f"By itself it falls when tilted {found.own:.0f} degrees: two people hold it until both straps are tight, "
            "and before either is opened; feet clear.",
            check="leaned on nothing, and never let go of unstrapped",
        ),
        Step(
            f"Strap it down at once: {STRAPS} straps over the top, down front and back and under the deck, each drawn "
            "tight in its buckle.",
            "A tight strap lashes when it slips: eyes protected, face out of its line.",
            check=f"{gear.strap}, {length} each, {apart} from either end; a scrap board under it at the edges",
        ),
    ]
