"""Steps of a case's gear: where skids, outriggers, bolts, handles and straps go, with which drill, in which order."""

from collections.abc import Callable

from nesting.advice.lifting import team_for
from nesting.base.measure import INCH, format_length, format_weight
from nesting.crates.cases.bolting import BORE_WIDE, Runners, Spot, bolted, hole_of
from nesting.crates.cases.case import Case
from nesting.crates.cases.handles import BOLTS, HOLE_FROM_MIDDLE, Handles
from nesting.crates.cases.upright import STRAPS, Upright, strap_length
from nesting.crates.gear.skids import Skids
from nesting.crates.model import Step
from nesting.crates.shells.shell_steps import lifters, listed

_DRILL = "Eye protection; long bits catch: side handle on the drill, both hands behind the bit, nobody's hand inside."


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
    turn = (
        f"To turn the empty case, up to {empty}: {who}, gloves on, feet clear of the edge that comes down; no forks "
        "take it by its skids before these are bolted."
    )
    steps = [Step(_laid(case, skids, runners), turn)]
    if bolted(runners.spots):
        steps += _bolts(case, runners)
    if skids.over:
        steps.append(_outriggers(case, skids, runners))
    return steps


def _laid(case: Case, skids: Skids, runners: Runners) -> str:
    """Say where the skids lie."""
    mark = _marker(case)
    each = skids.section.plies
    strips = f"{skids.plies * each} glued strips" if each else f"{skids.plies} pieces"
    left = skids.starts[0]
    right = case.body.width - skids.starts[1] - skids.wide
    ends = f" and reaching {mark(case.reach)} beyond its front and back" if case.reach else ""
    text = (
        f"Lay the empty case on its back, so that its underside can be reached. Two skids of {strips} on edge, glued "
        f"and screwed to each other, {mark(skids.height)} high, from front to back{ends}: outer side of the left one "
        f"{mark(left)} from the left side of the case, of the right one {mark(right)} from its right side, "
        f"{mark(skids.clear)} clear between."
    )
    if bolted(runners.spots):
        return f"{text} Hold each with two screws from inside through the base; bolts carry it."
    return f"{text} Screw them on from inside through the base, a screw every 6 in (150 mm)."


def _bolts(case: Case, runners: Runners) -> list[Step]:
    """Say where the bolts go, and how they are drilled, bored and drawn."""
    mark, shop = _marker(case), case.shop
    made = [bolt for bolt in case.bench.bolts if bolt.way == (0, -1, 0)]
    steps = []
    for post in (False, True):
        chosen = [(spot, bolt) for spot, bolt in zip(runners.spots, made, strict=True) if spot.post == post]
        if not chosen:
            continue
        bolt, across = chosen[0][1], _across([spot for spot, _ in chosen], mark)
        good = shop.good(bolt.good)
        where = "corner posts" if post else "front and back rails"
        steps.append(
            Step(
                f"Bolts through the {where}, {len(chosen)} of {good.title}: mark on the underside "
                f"{mark(chosen[0][0].deep)} from the front and from the back of the case, {across} "
                f"from its left side. First bore {mark(BORE_WIDE)} wide and {mark(bolt.bore)} deep into the skid, then "
                f"{mark(hole_of(good))} right through skid, board and {'post' if post else 'rail'}, square to the "
                "skid, a scrap clamped inside against splinters. Bolts in from inside, heads drawn into the lumber; "
                "washer and nut in the bore, tight with a socket: no tip below the skid.",
                _DRILL,
            )
        )
    return steps


def _across(spots: list[Spot], mark: Callable[[int], str]) -> str:
    """List the places of bolts from the left; front and back apart where they differ."""
    front, back = (sorted({spot.x for spot in spots if spot.front == side}) for side in (True, False))
    if front == back:
        return listed([mark(x) for x in front])
    told = [f"{name} {listed([mark(x) for x in xs])}" for name, xs in (("front", front), ("back", back)) if xs]
    return "; ".join(told)


def _outriggers(case: Case, skids: Skids, runners: Runners) -> Step:
    """Say where the outriggers go and how they come off."""
    mark, shop = _marker(case), case.shop
    held = [bolt for bolt in case.bench.bolts if bolt.way[0]]
    side = "outward" if skids.starts[0] >= skids.section.thick else "inward"
    beyond = f"{mark(skids.over)} beyond the case, front and back"
    text = f"Outriggers on the sides of the skids that face {side} reach {beyond}"
    if not held:
        return Step(f"{text}; screwed on, so that they come off for a door.", "Never let the case stand without them.")
    bolt = held[0]
    good = shop.good(bolt.good)
    inset = bolt.z - case.shell_box.z
    text += (
        f": two {'lag screws' if runners.lags else 'bolts'} each, {good.title}, {mark(inset)} from front and back of "
        f"the case, {mark(bolt.y)} up."
    )
    if runners.lags:
        text += (
            f" {mark(bolt.hole)} through the outrigger, {mark(INCH // 4)} into the skid, no deeper than the screw; "
            "washer under each head."
        )
    else:
        text += (
            f" {mark(bolt.hole)} through outrigger and skid; nut and washer {mark(bolt.bore)} deep in a bore "
            f"{mark(BORE_WIDE)} wide in the skid's other side."
        )
    return Step(
        f"{text} They come off for a door, and go back on before the case is let go.",
        "Without outriggers two people hold the case, one at each end; shins and forks clear of what sticks out.",
    )


def handle_steps(case: Case) -> list[Step]:
    """Say where handles go and how they are held; nothing for a case without."""
    handles = case.handles
    if handles is None:
        return []
    mark, shop = _marker(case), case.shop
    where = _handle_places(case, handles)
    bolt = handles.bolt
    if bolt is None:
        screw = shop.good(shop.case.door_screw)
        return [
            Step(
                f"Screw four handles on upright, {where}, with {screw.title} through the board into the uprights.",
                "No tip may show inside; pull at each as hard as it will be lifted.",
            )
        ]
    return [
        Step(
            f"Bolt four handles on upright, {where}, before any foam goes in: mark their holes, drill "
            f"{mark(hole_of(bolt))} straight through board and upright, a scrap clamped inside; drive a T-nut "
            f"({shop.good(shop.gear.nut).title}) into each hole from inside, {bolt.title} from outside, "
            f"{BOLTS} to each handle, {mark(2 * HOLE_FROM_MIDDLE)} apart.",
            "No tip may stand out inside. Each handle is for one pair of hands: no hook or sling goes in it.",
        )
    ]


def _handle_places(case: Case, handles: Handles) -> str:
    """Say where the handles are, measured on the case."""
    mark = _marker(case)
    up = f"their middle {mark(handles.up)} up from the bottom, at the centre of gravity or just above"
    board, section = handles.board, handles.section
    if handles.sides == "front and back":
        aside = mark(board + section.breadth // 2)
        return f"two on the front and two on the back, their middle {aside} from either end, {up}"
    return f"two on each end, their middle {mark(board + section.thick // 2)} from front and back, {up}"


def strap_steps(case: Case, found: Upright) -> list[Step]:
    """Say how a case that does not stand by itself is strapped to what does."""
    if not found.on:
        return []
    gear, body = case.shop.gear, case.shell_box
    apart, length = (
        format_length(value, case.casing.units, 1, mark=True) for value in (body.dx // 4, strap_length(body))
    )
    return [
        Step(
            f"Stand the case on {found.on}, its centre of gravity over the middle, and strap it down at once: {STRAPS} "
            f"straps ({case.shop.good(gear.strap).title}), {length} each, over the top, down front and back and "
            f"under the deck, {apart} from either end, each drawn tight in its buckle, a board under it at the edges.",
            f"By itself it falls when tilted {found.own:.0f} degrees: two people hold it until both straps are tight, "
            "and again before either is opened; feet clear. Lean it on nothing, and never let go of it unstrapped.",
        )
    ]
