"""What a crate is lifted by and stands on, worked out again from its own record, sharing no code with the program.

Who lifts and how much, whether handles bear three times their share at the height of the centre of gravity, whether
skids leave a pallet jack its room, the tilt at which the crate falls, and whether every bolt runs through the wood that
it names. Lengths are exact; strength and tilt by the figures that stand beside them.
"""

from collections.abc import Iterator
from itertools import combinations
from math import atan2, degrees
from typing import Any, Final

INCH: Final = 203_200
LB: Final = 0.45359237
TEAMS: Final = {"one person": (1, 1.0), "two people": (2, 2 / 3), "three people": (3, 0.5), "four people": (4, 0.5)}
"""How many, and what share of the sum of what each lifts a team lifts (British health and safety figures, quoted)."""
JACK: Final = 27 * INCH
"""Over both forks of a pallet jack (equipment pages, quoted)."""
JACK_HEIGHT: Final = 13 * INCH // 4
TILT: Final = 20.0
"""Degrees: tip test of MIL-STD-1660A, 5.4.5."""
PALLET: Final = (40 * INCH, 11 * INCH // 2)
"""Narrower side and height of the common pallet, 48 x 40 x 5-1/2 in (common practice, no source)."""
A_FRAME: Final = 48 * INCH
BELOW: Final = ("skid", "outrigger", "skid pad")


def gear_faults(crate: Any, shop: Any) -> list[str]:
    """Return every fault of a crate's gear as a sentence; a held crate answers only for its bolts."""
    found = list(_bolts(crate, shop))
    if crate.inside_of or crate.method == "carton":
        return found
    if crate.standing == "good":
        found += _lifting(crate, shop)
        found += _skids(crate, shop)
        found += _standing(crate, shop)
    return found


def gross_lb(crate: Any) -> float:
    """Return what it weighs with its pieces."""
    return float(round(crate.net_kg, 1) + round(crate.tare_kg, 1)) / LB


def floor_of(crate: Any) -> int:
    """Return the height of the floor in the crate's own coordinates."""
    lowest: int = min([0, *(p.box.y for p in crate.placed)])
    return lowest


def _lifting(crate: Any, shop: Any) -> Iterator[str]:
    """Nobody lifts more than the rule; handles bear three times their share where more than one lifts."""
    gross, rules = gross_lb(crate), shop.lifting
    if crate.lift == "forks":
        if gross < rules.forks_lb - 0.1:
            yield f"forks for {gross:.1f} lb"
        return
    people, share = TEAMS[crate.lift]
    if gross >= rules.forks_lb + 0.1:
        yield f"{crate.lift} lift {gross:.1f} lb"
    if people < 4 and gross > people * share * rules.one_person_lb + 0.1:
        yield f"{crate.lift} lift {gross:.1f} lb, over their share"
    if people == 1 or shop.gear.handles != "bolted" or not shop.joinery.handle or crate.method not in METHODS:
        return
    handles = [each for each in crate.gear if each.role == "handle"]
    if len(handles) < people and not any("handle" in text for text in crate.warnings):
        yield f"{len(handles)} handles for {crate.lift}"
    for each in handles:
        rated = shop.good(each.good).rated_lb
        if rated + 1e-6 < 3 * gross / max(people, len(handles)):
            yield f"a handle of {rated} lb bears 3 times {gross / people:.1f} lb"
        if each.box.y + each.box.dy // 2 < crate.centre[1] - INCH // 8:
            under = (crate.centre[1] - each.box.y - each.box.dy / 2) / INCH
            yield f"a handle's middle is {under:.2f} in under the centre of gravity"


METHODS: Final = ("closed", "battened", "outer")


def _skids(crate: Any, shop: Any) -> Iterator[str]:
    """Hold skids against a jack: what forks must take stands on two with room, or is strapped to what forks take."""
    if crate.lift != "forks" or not shop.gear.skids or crate.method not in METHODS:
        return
    skids = [p.box for p in crate.placed if p.role == "skid"]
    if not skids:
        if crate.stands not in ("pallet", "A-frame"):
            yield "forks must take it, and it has no skids"
        return
    sides: list[tuple[int, int]] = []
    for low, high in sorted((b.x, b.x + b.dx) for b in skids):
        if sides and low <= sides[-1][1]:
            sides[-1] = (sides[-1][0], max(high, sides[-1][1]))
        else:
            sides.append((low, high))
    if len(sides) != 2:
        yield f"{len(sides)} skids"
    elif sides[1][0] - sides[0][1] < JACK and crate.stands not in ("pallet", "A-frame"):
        yield f"skids {(sides[1][0] - sides[0][1]) / INCH:.2f} in apart"
    if min(b.dy for b in skids) <= JACK_HEIGHT:
        yield "skids too low for a jack"


def tilt_of(crate: Any) -> float:
    """Return the tilt in degrees at which it falls, by itself or by what it is strapped to."""
    floor, centre = floor_of(crate), crate.centre
    high = centre[1] - floor
    if crate.stands == "pallet":
        return degrees(atan2(PALLET[0] / 2, high + PALLET[1]))
    if crate.stands == "A-frame":
        return degrees(atan2(A_FRAME / 2, high))
    on = [p.box for p in crate.placed if p.box.y == floor]
    found = []
    for at, low, by in ((centre[2], "z", "dz"), (centre[0], "x", "dx")):
        least = min(getattr(b, low) for b in on)
        most = max(getattr(b, low) + getattr(b, by) for b in on)
        found.append(degrees(atan2(min(at - least, most - at), high)))
    return min(found)


def _standing(crate: Any, shop: Any) -> Iterator[str]:
    """Hold its tilt against the rule: it stands so far, or is strapped to what does."""
    if not shop.gear.standing or crate.method not in METHODS:
        return
    if not crate.stands:
        yield "nobody says how it keeps upright"
        return
    tilt = tilt_of(crate)
    if tilt < TILT - 0.05:
        yield f"falls at {tilt:.1f} degrees as {crate.stands}"
    if crate.stands in ("pallet", "A-frame") and not any(each.role == "strap" for each in crate.gear):
        yield "strapped without straps"


def _inside(box: Any, at: tuple[int, int, int], across: list[int], half: int) -> bool:
    """Whether a bolt's round, ``half`` its hole wide, lies within a box across its way."""
    low, by = (box.x, box.y, box.z), (box.dx, box.dy, box.dz)
    return all(low[i] <= at[i] - half and at[i] + half <= low[i] + by[i] for i in across)


class Shank:
    """A bolt as a straight round along an axis: 0, 1 or 2."""

    def __init__(self, bolt: Any, shop: Any) -> None:
        self.bolt = bolt
        self.axis = next(i for i in range(3) if bolt.way[i])
        self.sign = bolt.way[self.axis]
        self.at = (bolt.x, bolt.y, bolt.z)
        self.half = bolt.hole // 2
        self.tip = self.at[self.axis] + self.sign * shop.good(bolt.good).breadth

    def within(self, box: Any) -> bool:
        """Whether it lies within a box across its way."""
        return all(
            low <= self.at[i] - self.half and self.at[i] + self.half <= low + by
            for i, (low, by) in enumerate(_spans(box))
            if i != self.axis
        )

    def meets(self, box: Any) -> bool:
        """Whether it takes room of a box."""
        ends = sorted((self.at[self.axis], self.tip))
        return all(
            (ends[0] if i == self.axis else self.at[i] - self.half) < low + by
            and low < (ends[1] if i == self.axis else self.at[i] + self.half)
            for i, (low, by) in enumerate(_spans(box))
        )

    def far_side(self, reach: int, boxes: list[Any]) -> int | None:
        """Return where it leaves the one of these boxes that begins at a place; None where none does."""
        for box in boxes:
            low, by = _spans(box)[self.axis]
            near, far = (low, low + by) if self.sign > 0 else (low + by, low)
            if near == reach and self.within(box):
                return far
        return None


def _spans(box: Any) -> tuple[tuple[int, int], ...]:
    return (box.x, box.dx), (box.y, box.dy), (box.z, box.dz)


def _bolts(crate: Any, shop: Any) -> Iterator[str]:
    """Follow every bolt through the parts that it names; its tip stays where it may, and no piece is met."""
    lies: dict[str, list[Any]] = {}
    for p in crate.placed:
        lies.setdefault(p.part, []).append(p.box)
    for bolt in crate.bolts:
        shank = Shank(bolt, shop)
        where = f"a bolt at {[round(v / INCH, 2) for v in shank.at]}"
        reach: int | None = shank.at[shank.axis]
        for part in bolt.through:
            reach = shank.far_side(reach, lies.get(part, [])) if reach is not None else None
            if reach is None:
                yield f"{where} does not go through {part} where it says"
                break
        else:
            yield from (f"{where} {text}" for text in _tip(shank, reach))
        yield from (f"{where} meets {name}" for name, box in crate.pieces_placed if shank.meets(box))
    for one, other in combinations(crate.bolts, 2):
        apart = max(abs(one.x - other.x), abs(one.y - other.y), abs(one.z - other.z))
        if one.way == other.way and apart < one.hole:
            yield f"two bolts at {one.x}, {one.y}, {one.z}"


def _tip(shank: Shank, reach: int | None) -> Iterator[str]:
    """Say what is wrong with a bolt's tip, which leaves the last part at a place."""
    out = shank.sign * (shank.tip - (reach or 0))
    if shank.bolt.nut:
        if out > INCH // 8:
            yield f"stands out {out / INCH:.2f} in behind its nut"
    elif out > 0:
        yield f"stands out {out / INCH:.2f} in"
    elif -out > shank.bolt.bore:
        yield "does not reach its nut"
