"""Handles, skids and standing of a crate, worked out once more from its own record, sharing no code with the program.

Where gear lies: nothing meets, every bolt runs through the wood of the parts that it names with its distances kept, and
the extremes are the crate's outside. What it bears, how the crate stands, and who lifts what.
"""

from collections.abc import Sequence
from itertools import combinations, pairwise
from math import atan, ceil, degrees, pi, radians, tan
from typing import Any, Final

from tests.lid_verifier import lid_faults

INCH: Final = 203_200
POUND: Final = 0.45359237

PEOPLE: Final = {"one person": 1, "two people": 2, "three people": 3, "four people": 4, "forks": 0}
PALLET: Final = (48 * INCH, 40 * INCH, 11 * INCH // 2)
"""Long side, short side, height of the deck, in trade practice."""

FRAME: Final = 48 * INCH
MM: Final = 8_000
PLATES: Final = {"inch": INCH // 8, "metric": 3 * MM}
"""A handle's plate, between the head of its bolt and the stile, by the sizes that a shop goes by."""
WASHERS: Final = {"inch": INCH // 16, "metric": 5 * MM // 2}
HOLES: Final = {"inch": INCH // 16, "metric": 2 * MM}
"""How thick a washer is, and how much wider than its bolt a hole may be: a T-nut M6 asks for 8 mm."""


def placed(crate: Any, *roles: str) -> list[Any]:
    """Return what has one of these roles."""
    return [p for p in crate.placed if p.role in roles]


def meets(a: Any, b: Any) -> bool:
    """Whether two boxes share room."""
    return bool(
        a.x < b.x + b.dx and b.x < a.x + a.dx and a.y < b.y + b.dy and b.y < a.y + a.dy and a.z < b.z + b.dz
        and b.z < a.z + a.dz
    )  # fmt: skip


def span(box: Any, axis: int) -> tuple[int, int]:
    """Return where a box begins and ends along an axis."""
    start, size = ((box.x, box.dx), (box.y, box.dy), (box.z, box.dz))[axis]
    return start, start + size


def gear_faults(crate: Any, shop: Any) -> list[str]:
    """Say what of a crate's gear does not lie as it must."""
    faults = []
    solid = [(p.part, p.box) for p in crate.placed] + list(crate.pieces_placed)
    fittings = [(f.text or f.good, f.box) for f in crate.gear]
    for name, box in fittings:
        faults += [f"{name} meets {other}" for other, at in solid if meets(box, at)]
    faults += [f"{a} meets {b}" for (a, one), (b, other) in combinations(fittings, 2) if meets(one, other)]
    every = [box for _, box in solid + fittings]
    sizes = [max(span(b, axis)[1] for b in every) - min(span(b, axis)[0] for b in every) for axis in (0, 1, 2)]
    if sizes != [crate.outside.width, crate.outside.height, crate.outside.depth]:
        faults.append(f"it reaches over {sizes}, and says {crate.outside}")
    # Bolts of a lid are proved with their ledge.
    faults += lid_faults(crate, shop)
    for number, bolt in enumerate(each for each in crate.bolts if not each.frees):
        faults += [f"bolt {number}, {bolt.good}: {each}" for each in bolt_faults(crate, bolt, shop)]
    skids = placed(crate, "skid")
    if any(p.box.y + p.box.dy != 0 for p in skids):
        faults.append("a skid does not lie under the body")
    handles = [f.box for f in crate.gear if f.role == "handle"]
    left = [h for h in handles if h.x < 0]
    if len(left) * 2 != len(handles):
        faults.append("handles are not even on both sides")
    # The centre of gravity is known to 1/1000 in where a handle is set to 1/4 in.
    if any(h.y + h.dy // 2 < crate.centre[1] - INCH // 1000 for h in handles):
        faults.append("a handle is lower than the centre of gravity")
    return faults + rules_broken(crate, shop)


def bolt_faults(crate: Any, bolt: Any, shop: Any) -> list[str]:
    """Follow a bolt from its head: wood of each part that it names, one after the other, its tip in wood or bore."""
    faults: list[str] = []
    good = shop.good(bolt.good)
    diameter = round(good.diameter_in * INCH)
    axis = next(n for n, each in enumerate(bolt.way) if each)
    sign = bolt.way[axis]
    at = (bolt.x, bolt.y, bolt.z)
    across = [n for n in (0, 1, 2) if n != axis]
    reached = at[axis]
    for number, name in enumerate(bolt.through):
        hit = [p for p in crate.placed if p.part == name and all(low <= at[n] <= high for n in across
                                                                 for low, high in [span(p.box, n)])]  # fmt: skip
        near = [p for p in hit if abs(start_of(p.box, axis, sign) - reached) <= (0 if number else PLATES[shop.units])]
        if not near:
            return [*faults, f"does not run through {name}"]
        role = near[0].role
        for n in across:
            low, high = merged([p.box for p in crate.placed if p.role == role], at, axis, n)
            grain = {"skid": 2, "skid block": 0, "rail": 0, "stile": 1, "backing block": 1}[role]
            least = ceil((4.0 if n == grain else 1.5) * diameter)
            if min(at[n] - low, high - at[n]) < least:
                faults.append(f"is {min(at[n] - low, high - at[n]) / INCH:.3f} in from an edge or end of {name}")
        reached = start_of(near[0].box, axis, -sign)
    return faults + end_faults(bolt, shop, (reached - at[axis]) * sign)


def end_faults(bolt: Any, shop: Any, deep: int) -> list[str]:
    """Hold a bolt's tip, nut, bore and hole against wood that is so deep from its head on."""
    faults = []
    good = shop.good(bolt.good)
    diameter = round(good.diameter_in * INCH)
    inside = deep - good.breadth
    if inside < 0:
        faults.append(f"its tip stands out by {-inside / INCH:.3f} in")
    if bolt.bore:
        nut = diameter * 7 // 8 + WASHERS[shop.units]
        if not bolt.washer or inside + nut > bolt.bore or inside >= bolt.bore:
            faults.append("its nut does not lie in its bore")
        if bolt.bore > INCH * 3 // 2:
            faults.append("its bore leaves too little wood")
    elif not bolt.nut or inside > shop.good(bolt.nut).breadth - diameter:
        faults.append("it does not bite its nut")
    if not diameter < bolt.hole <= diameter + HOLES[shop.units]:
        faults.append("its hole is too wide or too narrow")
    return faults


def start_of(box: Any, axis: int, sign: int) -> int:
    """Return where a bolt of that direction enters a box."""
    return span(box, axis)[0 if sign > 0 else 1]


def merged(boxes: Sequence[Any], at: tuple[int, int, int], axis: int, way: int) -> tuple[int, int]:
    """Return how far wood of one role reaches about a point along one way: laminations of one ply count together."""
    other = next(n for n in (0, 1, 2) if n not in (axis, way))
    runs = [span(b, way) for b in boxes if span(b, other)[0] <= at[other] <= span(b, other)[1]]
    deep = [span(b, axis) for b in boxes if span(b, other)[0] <= at[other] <= span(b, other)[1]]
    own = [run for run, _ in zip(runs, deep, strict=True) if run[0] <= at[way] <= run[1]]
    if len(own) == 1:
        return own[0]
    return min(low for low, _ in own), max(high for _, high in own)


def lifters(crate: Any) -> int:
    """Return how many people lift it."""
    return PEOPLE[crate.lift]


def rules_broken(crate: Any, shop: Any) -> list[str]:
    """Say where somebody lifts more than the rule, forks find no room, or nothing keeps the crate upright."""
    failing = {check.name for check in crate.checks if check.structure and check.verdict == "fails"}
    return [*lifting_broken(crate, shop), *standing_broken(crate, shop, failing)]


def lifting_broken(crate: Any, shop: Any) -> list[str]:
    """Say where people lift more than they may, or without a handle for each that nobody warned of."""
    faults = []
    gross, rules, people = crate.gross_kg / POUND, shop.lifting, lifters(crate)
    most = people * rules.one_person_lb * {1: 1.0, 2: 2 / 3}.get(people, 0.5)
    if people and (gross >= rules.forks_lb or (people < 4 and gross > most + 1e-6)):
        faults.append(f"{crate.lift} lift {gross:.0f} lb")
    handles = sum(f.role == "handle" for f in crate.gear)
    warned = any("handles have room" in text for text in crate.warnings)
    if shop.gear.handles == "bolted" and people and (people > 1 or gross >= shop.joinery.handles_from_lb):
        if handles < max(2, people) and not warned:
            faults.append(f"{handles} handles for {crate.lift}")
        if handles * 2 != len([b for b in crate.bolts if b.good == shop.gear.handle_bolt and b.way[0]]):
            faults.append("a handle has not two bolts")
    return faults


def standing_broken(crate: Any, shop: Any, failing: set[str]) -> list[str]:
    """Say where forks find no room, or nothing keeps the crate upright, and it is not held for that."""
    faults = []
    if not lifters(crate) and shop.gear.skids:
        found = room(crate)
        fits = found is not None and found[0] > shop.forks.jack_height and found[1] >= shop.forks.jack_width
        if not fits and crate.stands != "pallet" and not any(name.startswith("skids, ") for name in failing):
            faults.append(f"forks find no room: {found}")
    if shop.gear.standing:
        if bool(crate.stands) is ("standing" in failing):
            faults.append(f"it stands {crate.stands or 'by nothing'}, and is held for {failing}")
        strapped = any(item.good == shop.gear.strap for item in crate.piecework)
        if strapped is not (crate.stands in ("pallet", "A-frame")):
            faults.append(f"it stands {crate.stands}, and {'has' if strapped else 'lacks'} straps")
    return faults


def room(crate: Any) -> tuple[int, int] | None:
    """Return height and width clear between skids; None where it has none."""
    skids = sorted(span(p.box, 0) for p in placed(crate, "skid"))
    if not skids:
        return None
    gaps = [b[0] - a[1] for a, b in pairwise(skids)]
    return -min(p.box.y for p in placed(crate, "skid")), max(gaps)


def stands_half(crate: Any, shop: Any) -> tuple[int, int]:
    """Return how far inside its base the centre of gravity lies, and how high over the floor."""
    x, y, z = crate.centre
    skids = [p.box for p in placed(crate, "skid")]
    lift = -min((b.y for b in skids), default=0)
    if crate.stands == "pallet":
        return PALLET[1] // 2, y + PALLET[2]
    if crate.stands == "A-frame":
        half = ceil(tan(radians(shop.gear.tilt)) * (y + lift + PALLET[2]))
        step = INCH // 2
        return max(-(-2 * half // step), -(-crate.shell.depth // step)) * step // 2, y + lift + PALLET[2]
    left, right = min((b.x for b in skids), default=0), max((b.x + b.dx for b in skids), default=crate.shell.width)
    back = min((b.z for b in skids), default=0)
    front = max((b.z + b.dz for b in skids), default=crate.shell.depth)
    return max(0, min(x - left, right - x, z - back, front - z)), y + lift


def gear_found(crate: Any, shop: Any) -> dict[str, tuple[float, float | None, bool, bool]]:
    """Return each check of gear: demand, capacity, whether it is soft, whether it may hold the crate."""
    found: dict[str, tuple[float, float | None, bool, bool]] = {}
    gross, people = crate.gross_kg / POUND, lifters(crate)
    count = sum(f.role == "handle" for f in crate.gear)
    if count and shop.gear.handles == "bolted":
        usual = max(2, people + people % 2)
        share = gross / count if count > usual else gross / max(2, people)
        rated = shop.good(shop.joinery.handle).rated_lb
        wanted = shop.gear.handle_factor * share
        found["handles"] = (wanted, rated, False, 0 < rated < wanted)
        flange = pi / 4 * (0.75**2 - 0.3125**2)
        found["handles, pull-through"] = (wanted, 2 * flange * 340, False, False)
    if not people and shop.gear.skids and crate.stands != "pallet":
        high, clear = room(crate) or (0, 0)
        for name, demand, capacity in (
            ("skids, height for a pallet jack", shop.forks.jack_height + 1, high),
            ("skids, width for a pallet jack", shop.forks.jack_width, clear),
            ("skids, height for forks", shop.forks.fork_height, high),
        ):
            found[name] = (demand / INCH, capacity / INCH, False, True)
    if shop.gear.standing:
        half, height = stands_half(crate, shop)
        found["standing"] = (shop.gear.tilt, degrees(atan(half / height)), False, True)
        if crate.stands == "A-frame" and 2 * half > FRAME:
            found["standing"] = (shop.gear.tilt, None, False, True)
        if crate.stands == "pallet" and (crate.shell.width > PALLET[0] or crate.shell.depth > PALLET[1]):
            found["standing"] = (shop.gear.tilt, None, False, True)
    return found
