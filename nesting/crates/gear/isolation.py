"""Isolation: pads of foam under the skids of a closed or battened crate, so that a drop on its base is cushioned.

The pads are as thick as the cushion factor asks for (t = C h / G, :mod:`nesting.advice.cushion`), in whole layers of
the plank, as large as the foam likes to be loaded, and no narrower than what buckles. They are glued flush under the
ends of the skids, so that the crate stands as wide as before. A crate without skids gets two for them.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil, sqrt
from typing import Final

from nesting.advice.check import Check, said, table_pounds
from nesting.advice.cushion import Foam, bearing_area, design_drop, shock, static_stress, thickness_needed
from nesting.advice.shock import Padded, check_pads
from nesting.advice.weights import cuboid_kg
from nesting.base.measure import INCH, MM, UnitSystem, format_length
from nesting.base.own_length import OwnLength, whole
from nesting.crates.bench import Bench
from nesting.crates.driving import HOT
from nesting.crates.judge import Bill
from nesting.crates.model import Box, Placed, Step
from nesting.shop.goods import Good
from nesting.shop.needs import density_of, foam_of
from nesting.shop.shop import Shop

KEY: Final = "-pads"
"""How the key of a design ends that stands on pads."""

_STEP: Final = OwnLength(INCH // 8, 5 * MM)
_METRE: Final = 1000 * MM
_BOLTS: Final = 2
"""Bolts in each skid that is made for pads, as in those of other crates."""
_SHARE: Final = 3
"""A skid made for pads takes no more than a third of a crate's width."""


@dataclass(frozen=True, slots=True)
class Runners:
    """Two skids under a crate, from front to back.

    Attributes
    ----------
    wide, long : int
        Of each, as they bear on the floor.
    """

    wide: int
    long: int


@dataclass(frozen=True, slots=True)
class Resting:
    """A crate that is to stand on pads.

    Attributes
    ----------
    gross_kg : float
        With the skids that it has, without pads.
    allowed : float
        Shock in G that the drop may pass on.
    width, depth : int
        Of its underside.
    runners : Runners or None
        The skids that it has; None where it has none.
    laminated : bool
        Whether skids are laminated from plywood, as for a destination abroad.
    """

    gross_kg: float
    allowed: float
    width: int
    depth: int
    runners: Runners | None = None
    laminated: bool = False


@dataclass(frozen=True, slots=True)
class NoPads:
    """Why no pads will do."""

    reason: str


@dataclass(frozen=True, slots=True)
class Isolation:
    """Pads that keep a crate's drop to what is allowed.

    Attributes
    ----------
    good : str
        Their foam.
    layers, thickness : int
        How many layers of the plank, and how thick they are together.
    pads : tuple of Box
        Under one skid, all its layers in one box: ``x`` and ``z`` from the lower left corner of its underside, ``y``
        below it. The other skid has the same.
    runners : Runners
        What they lie under.
    made : bool
        Whether the skids are made for them, the crate having none.
    raises : int
        By how much pads, and skids made for them, make the crate higher.
    drop : int
        How far it is taken to drop.
    felt : float
        Shock in G that reaches the pieces then.
    stress : float
        Weight over bearing area, psi.
    checks : tuple of Check
        Load and buckling of the pads.
    bill : Bill
        What pads and skids made for them take.
    """

    good: str
    layers: int
    thickness: int
    pads: tuple[Box, ...]
    runners: Runners
    made: bool
    raises: int
    drop: int
    felt: float
    stress: float
    checks: tuple[Check, ...]
    bill: Bill

    @property
    def count(self) -> int:
        """How many pads there are under both skids."""
        return 2 * len(self.pads)

    @property
    def kg(self) -> float:
        """What pads and skids made for them weigh."""
        return self.bill.grams / 1000

    def text(self, units: UnitSystem) -> str:
        """Say in a few words what it is; without commas, which part the words of a design."""
        thick = format_length(self.thickness, units, mark=True)
        skids = "two skids made for them" if self.made else "its skids"
        higher = format_length(self.raises, units, mark=True)
        pads = f"{self.count} pads of {self.good} {thick} thick"
        return f"isolated on {pads} under {skids} ({self.felt:.0f} G and {higher} higher)"


def wanted(rule: str, *, stated: bool, felt: float, allowed: float) -> bool:
    """Whether a crate is to stand on pads.

    Parameters
    ----------
    rule : {"auto", "never", "always"}
        Of the shop.
    stated : bool
        Whether somebody states a limit.
    felt, allowed : float
        Shock in G of its drop without pads, and what is allowed.
    """
    return rule == "always" or (rule == "auto" and stated and felt > allowed)


def isolate(crate: Resting, shop: Shop, units: UnitSystem = "inch") -> Isolation | NoPads:
    """Plan pads under a crate's skids, or under two that are made for them.

    The drop is that of the crate without its pads: they make it heavier, which never makes the drop longer.
    """
    good = shop.good(shop.gear.pad_good)
    foam = foam_of(shop, good)
    drop = design_drop(crate.gross_kg, shop.cushion).height
    layers = ceil(thickness_needed(drop, crate.allowed, shop.cushion.factor) / good.thickness)
    thickness = layers * good.thickness
    step = shop.own(_STEP)
    least = ceil(shop.case.pad_slender * thickness / step) * step
    lumber, ply = _lumber(shop, laminated=crate.laminated)
    refused = NoPads("there is no room for skids")
    tries = [(crate.runners, 0)] if crate.runners else list(_made(crate, ply, least, shop.gear.outrigger_most))
    for runners, plies in tries:
        kg = crate.gross_kg + _skids_kg(runners, lumber, shop) * (plies > 0)
        found = _pads(kg, runners, thickness, (least, step, shop.grain), foam, units)
        if isinstance(found, NoPads):
            refused = found
            continue
        area = 2 * sum(pad.dx * pad.dz for pad in found)
        padded = Padded(area, min(min(pad.dx, pad.dz) for pad in found), thickness, shop.case.pad_slender, foam)
        return Isolation(
            good.good,
            layers,
            thickness,
            found,
            runners,
            plies > 0,
            thickness + shop.good(shop.case.skid_good).breadth * (plies > 0),
            drop,
            shock(drop, thickness, shop.cushion.factor),
            static_stress(kg, area),
            check_pads(kg, padded, units),
            _bill(found, layers, runners, plies, shop, lumber),
        )
    return refused


def _lumber(shop: Shop, *, laminated: bool) -> tuple[Good, int]:
    """Return what skids are made of, and the thickness of one ply."""
    good = shop.good(shop.case.laminate_good if laminated else shop.case.skid_good)
    return good, good.thickness


def _made(crate: Resting, ply: int, least: int, beyond: int) -> Iterator[tuple[Runners, int]]:
    """Yield skids from front to back of more and more plies, that a crate without any may get.

    They reach beyond a crate that is less deep than a pad must be, as far as the shop lets them.
    """
    long = max(crate.depth, least) if least <= crate.depth + 2 * beyond else crate.depth
    for plies in range(2, crate.width // (_SHARE * ply) + 1):
        yield Runners(plies * ply, long), plies


def _skids_kg(runners: Runners, lumber: Good, shop: Shop) -> float:
    """Return what two skids weigh."""
    return 2 * cuboid_kg(density_of(shop, lumber), runners.wide, runners.long, shop.good(shop.case.skid_good).breadth)


# arguments: what is carried, by what, and on what foam
def _pads(
    kg: float, runners: Runners, thickness: int, sides: tuple[int, int, int], foam: Foam, units: UnitSystem
) -> tuple[Box, ...] | NoPads:
    """Lay pads under one skid: at both its ends, or one all along where it is short.

    ``sides`` are the least of a pad, the step in which they grow, and the grain of where they lie.
    """
    least, step, grain = sides
    wide, long = runners.wide, runners.long
    narrow, thick = (format_length(v, units, mark=True) for v in (least, thickness))
    if min(wide, long) < least:
        each = " x ".join(format_length(v, units, mark=True) for v in (wide, long))
        return NoPads(f"foam {thick} thick buckles in pads narrower than {narrow}, and its skids are {each}")
    fewest, most = (area * INCH**2 for area in bearing_area(kg, foam))
    ends = long >= 2 * least
    room, smallest = 2 * wide * long, 2 * least * (2 * least if ends else long)
    pounds = table_pounds(kg)
    weighs = said(pounds, "lb", units)
    if room < fewest:
        asked, there = (said(area / INCH**2, "sq in", units) for area in (fewest, room))
        return NoPads(f"{foam.name} would bottom out under {weighs}: it asks for {asked}, its skids have {there}")
    if smallest > most:
        return NoPads(f"{weighs} is too light for {foam.name} {thick} thick: it would be hard")
    target = min(max(sqrt(fewest * most), smallest), room)
    if not ends:
        return (_pad(0, _up(max(least, target / (2 * long)), wide, step), long, (wide, grain), thickness),)
    deep = max(least, target / (4 * wide))
    broad = _up(max(least, target / (4 * deep)), wide, step)
    deep = _up(deep, whole(long // 2, grain), step)
    return tuple(_pad(z, broad, deep, (wide, grain), thickness) for z in (0, long - deep))


def _up(value: float, most: int, step: int) -> int:
    """Round up to the next step, no more than there is room for."""
    return min(most, ceil(value / step) * step)


def _pad(z: int, broad: int, deep: int, across: tuple[int, int], thickness: int) -> Box:
    """Return a pad in the middle of a skid's width, which stands before the grain of its place."""
    wide, grain = across
    return Box(whole((wide - broad) // 2, grain), -thickness, z, broad, thickness, deep)


# arguments: pads and skids as planned
def _bill(pads: Sequence[Box], layers: int, runners: Runners, plies: int, shop: Shop, lumber: Good) -> Bill:
    """Return what pads and skids made for them take: foam, glue, lumber, bolts and washers."""
    foam = shop.good(shop.gear.pad_good)
    area = 2 * layers * sum(pad.dx * pad.dz for pad in pads)
    grams = 1000 * cuboid_kg(density_of(shop, foam), area, 1, foam.thickness)
    run = 2 * layers * sum(max(pad.dx, pad.dz) for pad in pads)
    areas = {foam.good: area}
    each = {shop.joinery.foam_glue: ceil(run * shop.joinery.foam_glue_g_m / _METRE)}
    work = {"part": 2 * layers * len(pads), "glue_run": 2 * layers * len(pads)}
    if plies:
        grams += 1000 * _skids_kg(runners, lumber, shop)
        high = shop.good(shop.case.skid_good).breadth
        if lumber.form == "sheet":
            areas[lumber.good] = areas.get(lumber.good, 0) + 2 * plies * runners.long * high
        else:
            each[lumber.good] = ceil(2 * plies * runners.long / MM)
        bolts = 2 * _BOLTS
        each |= {shop.gear.skid_bolt: bolts, shop.gear.skid_washer: bolts}
        work = {"part": work["part"] + 2 * plies, "glue_run": work["glue_run"] + 2 * (plies - 1), "hole": bolts}
        work["bolt"] = bolts
    return Bill(areas, each, work, round(grams))


def runners_of(placed: Iterable[Placed]) -> tuple[Box, ...]:
    """Return the skids of a crate from left to right, plies side by side as one."""
    boxes = sorted((p.box for p in placed if p.role == "skid"), key=lambda box: (box.x, box.z))
    found: list[Box] = []
    for box in boxes:
        last = found[-1] if found else None
        if last and last.x + last.dx == box.x and (last.y, last.z, last.dz) == (box.y, box.z, box.dz):
            found[-1] = Box(last.x, last.y, last.z, last.dx + box.dx, last.dy, last.dz)
        else:
            found.append(box)
    return tuple(found)


def place_pads(bench: Bench, skids: Sequence[Box], isolation: Isolation) -> tuple[Box, ...]:
    """Put the pads under a crate's skids on the bench, layer by layer, with their glue; return one box for each layer.

    Parameters
    ----------
    skids : sequence of Box
        The two, as :func:`runners_of` returns them.
    """
    placed: list[Box] = []
    layer = isolation.thickness // isolation.layers
    for skid in skids:
        for pad in isolation.pads:
            for number in range(1, isolation.layers + 1):
                box = Box(skid.x + pad.x, skid.y - number * layer, skid.z + pad.z, pad.dx, layer, pad.dz)
                bench.panel("skid-pad", isolation.good, box, "skid pad", flat="y")
                placed.append(box)
    joinery = bench.shop.joinery
    bench.use(joinery.foam_glue, isolation.bill.each[joinery.foam_glue])
    return tuple(placed)


def pad_steps(isolation: Isolation, units: UnitSystem, glue: str) -> tuple[Step, ...]:
    """Return how the pads go on, for whoever builds the crate, and what must not be done to them afterwards."""
    pad = isolation.pads[0]
    size = " x ".join(format_length(v, units, mark=True) for v in (pad.dx, pad.dz))
    where = "flush with the ends of each skid" if len(isolation.pads) > 1 else "all along each skid"
    clean = "wood clean, dry, free of dust; nothing stands on the pads until the glue has set"
    steps = [Step("Draw every bolt of the skids tight: the pads cover their nuts.")]
    if isolation.layers > 1:
        steps.append(Step(f"Glue each pad up from {isolation.layers} layers with {glue}, edges flush.", HOT))
    return (
        *steps,
        Step(
            f"Glue {isolation.count} pads of {isolation.good} {size} under the skids with {glue}: {where}, in the "
            "middle of its width.",
            "Lay the crate down or chock it up: no hands under a crate that leans.",
            check=clean,
        ),
        Step(
            "Lift the crate clear of the floor to move it; never drag or push it on its pads: they shear off.",
            "Feet out from under it as it is set down.",
        ),
    )
