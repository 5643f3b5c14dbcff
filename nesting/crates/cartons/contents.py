"""Contents: what goes into one carton, pieces in their wrapping between boards, and the cushion round them."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from nesting.advice.cushion import Foam, static_stress
from nesting.advice.weights import cuboid_kg
from nesting.crates.bench import Axis, Bench
from nesting.crates.cartons.arrangement import Arrangement, arranged, stacked_up
from nesting.crates.cartons.parcel import Parcel, parcels
from nesting.crates.cartons.stock import cartons
from nesting.crates.cases.pads import Fall, Spot, cushion_choices, cushion_layers, fall_of, felt_on, spots
from nesting.crates.limits import never_snug, shock_limit
from nesting.crates.model import Box, Size
from nesting.crates.traits import Packing
from nesting.crates.weigh import part_kg
from nesting.shop.goods import Good
from nesting.shop.needs import CUSHION, FACE, PART, WEIGHT, density_of, foam_of, refuse_unfit
from nesting.shop.planks import stacked, thickness_of
from nesting.shop.shop import Shop

_SIDES: Final[tuple[tuple[str, Axis], ...]] = (
    ("left", "x"), ("right", "x"), ("base", "y"), ("top", "y"), ("back", "z"), ("front", "z"),
)  # fmt: skip
_FACING: Final = {"left": "left and right", "base": "base and top", "back": "faces"}


@dataclass(frozen=True, slots=True)
class Contents:
    """Wrapped pieces between their boards, and the cushion that goes round them.

    Attributes
    ----------
    parcels : tuple of Parcel
        From the back to the front, those of a layer from left to right.
    lying : Arrangement
        How they lie.
    stack : tuple of Good
        Sheets of which each pad is made.
    carried_kg : float
        What the cushion carries.
    fall : Fall or None
        What the pads are laid for; None where they are laid by the foam's range alone.
    """

    parcels: tuple[Parcel, ...]
    lying: Arrangement
    stack: tuple[Good, ...]
    carried_kg: float
    fall: Fall | None = None

    @property
    def size(self) -> Size:
        """Of the whole, boards included."""
        return self.lying.size

    @property
    def layers(self) -> int:
        """Sheets in each pad."""
        return len(self.stack)

    @property
    def cushion(self) -> int:
        """How thick it is on each side."""
        return thickness_of(self.stack)

    @property
    def need(self) -> Size:
        """Room that a carton must have."""
        more = 2 * self.cushion
        return Size(self.size.width + more, self.size.height + more, self.size.depth + more)


def contents_of(packing: Packing) -> Contents:
    """Wrap the pieces of a carton, lay them as its design says, and find the cushion that goes round them.

    Raises
    ------
    Refused
        Where no paper is stocked that may touch a face.
    UnfitMaterialError
        All that a carton asks of its materials and nobody stated.
    """
    shop, design = packing.shop, packing.carton
    _ask(shop, (design.foam, shop.carton.divider_good) if design.foam else (shop.carton.cushion_good,))
    wrapped = parcels(packing, trays=design.trays)
    net = sum(each.weight.kg for each in wrapped)
    if not design.foam:
        return _as_ruled(packing, wrapped, net)
    lying = arranged(wrapped, design, shop)
    carried = carried_kg(wrapped, lying, shop)
    fall = fall_on(packing, carried + lightest_kg(shop))
    return Contents(wrapped, lying, stacked(design.thickness, shop, design.foam), carried, fall)


def fall_on(packing: Packing, least_kg: float) -> Fall:
    """Return what the cushion of a carton that weighs at least so much is to keep to."""
    limit, longest = _limits(packing)
    return fall_of(least_kg, longest, packing.shop, limit=limit, carriage=packing.carriage)


def _as_ruled(packing: Packing, wrapped: tuple[Parcel, ...], net: float) -> Contents:
    """Stack the pieces, with the cushion round them that the rules ask."""
    shop, good = never_snug(packing.shop), packing.shop.carton.cushion_good
    lying = stacked_up(wrapped, shop)
    if shop.case.cushion != "checked":
        limit, longest = _limits(packing)
        count = cushion_layers(net, longest, shop, good, limit=limit, carriage=packing.carriage)
        return Contents(wrapped, lying, (shop.good(good),) * count, net)
    carried = carried_kg(wrapped, lying, shop)
    least = carried + lightest_kg(shop)
    fall = fall_on(packing, least)
    tried: list[tuple[float, str, int]] = []
    for foam, thickness in cushions(packing, least):
        bearing = laid_on(lying.size, carried, foam, thickness, shop, fall)
        if bearing.keeps(fall):
            tried = [(0.0, foam, thickness)]
            break
        # Where none keeps to the limit, that which is known to let the least through.
        tried.append((bearing.felt if bearing.known else float("inf"), foam, thickness))
    _, foam, thickness = min(tried)
    return Contents(wrapped, lying, stacked(thickness, shop, foam), carried, fall)


def _limits(packing: Packing) -> tuple[float, int]:
    """Return the least limit of shock that is stated for the pieces, and their longest side."""
    limit, _ = shock_limit(packing.pieces, packing.shop)
    return limit, max(artwork.longest_side for artwork in packing.pieces)


def cushions(packing: Packing, least_kg: float) -> Iterator[tuple[str, int]]:
    """Yield the cushions that are tried in turn, each a foam with its thickness, the thinnest first.

    Layers of soft foam as common practice has it, then plank; or plank as thick as the rule fixes it.
    """
    shop, rules = never_snug(packing.shop), packing.shop.carton
    limit, longest = _limits(packing)

    def thick(good: str) -> tuple[int, ...]:
        return cushion_choices(least_kg, longest, shop, good, limit=limit, carriage=packing.carriage)

    if shop.case.cushion == "checked" and rules.soft_good in shop.by_name:
        for thickness in thick(rules.soft_good):
            if rules.soft_least <= len(stacked(thickness, shop, rules.soft_good)) <= rules.soft_most:
                yield rules.soft_good, thickness
    for thickness in thick(rules.cushion_good):
        yield rules.cushion_good, thickness


def carried_kg(wrapped: Sequence[Parcel], lying: Arrangement, shop: Shop) -> float:
    """Return what the cushion of a shared carton carries: pieces, wrapping, boards, dividers and trays."""
    net = sum(each.weight.kg for each in wrapped)
    rolls = sum(part_kg(part, shop) * part.count for each in wrapped for part in each.wrapped.parts)
    rigid = (cuboid_kg(density_of(shop, shop.good(r.good)), r.box.dx, r.box.dy, r.box.dz) for r in lying.rigid)
    return net + rolls + sum(rigid)


def lightest_kg(shop: Shop) -> float:
    """Return what the lightest carton weighs: no carton with such contents weighs less than both."""
    return min((good.each_g for good in cartons(shop)), default=0.0) / 1000


def laid_on(size: Size, carried: float, good: str, thickness: int, shop: Shop, fall: Fall | None) -> "Bearing":
    """Return how contents of a size bear on pads of so much of a foam, each way down."""
    foam = foam_of(shop, shop.good(good))
    sides = ((size.height, size.depth), (size.width, size.depth), (size.width, size.height))
    areas = tuple(sum(pad.da * pad.db for pad in spots(*side, carried, thickness, foam, shop, fall)) for side in sides)
    stresses = tuple(static_stress(carried, area) for area in areas)
    felt = max(felt_on(carried, area, foam, thickness, fall) for area in areas) if fall else 0.0
    return Bearing(felt, min(stresses), max(stresses), foam)


@dataclass(frozen=True, slots=True)
class Bearing:
    """How contents bear on their cushion.

    Attributes
    ----------
    felt : float
        Worst shock in G.
    least_psi, most_psi : float
        Static stress of the way down that loads the foam least, and most.
    foam : Foam
        Which.
    """

    felt: float
    least_psi: float
    most_psi: float
    foam: Foam

    @property
    def known(self) -> bool:
        """Whether the foam is loaded so that its shock is known."""
        return self.foam.curve is not None or self.foam.low_psi <= self.least_psi

    def keeps(self, fall: Fall) -> bool:
        """Whether the limit is kept for sure, and nothing creeps."""
        return self.known and self.most_psi <= self.foam.high_psi and round(self.felt, 9) <= fall.limit


def _ask(shop: Shop, more: tuple[str, ...]) -> None:
    """Refuse, all at once, what boards, foam, cushion and dividers are asked and nobody stated."""
    refuse_unfit(
        shop,
        (
            (shop.wrap.foam_good, (*FACE, *WEIGHT)),
            (shop.carton.board_good, (*FACE, *PART)),
            (more[0], (*FACE, *CUSHION, *PART)),
            *((good, (*FACE, *PART)) for good in more[1:]),
        ),
    )


@dataclass(slots=True)
class Padding:
    """The cushion of a carton while it is laid on the bench.

    Attributes
    ----------
    areas : list of (str, int)
        Bearing area of each way down.
    smallest : list of (str, int)
        Area of the smallest pad of each way down.
    pads : dict of str to Counter of str
        For each side, how many sheets of each part its pads are made of.
    """

    inner: Contents
    shop: Shop
    at: tuple[int, int, int]
    areas: list[tuple[str, int]] = field(default_factory=list)
    smallest: list[tuple[str, int]] = field(default_factory=list)
    pads: dict[str, Counter[str]] = field(default_factory=dict)

    @property
    def foam(self) -> Foam:
        """What it is of."""
        return foam_of(self.shop, self.inner.stack[0])

    def lay(self, bench: Bench) -> None:
        """Put down the sheets, one on the other, at the spots of each of the six sides."""
        inner, size = self.inner, self.inner.size
        across = {"x": (size.height, size.depth), "y": (size.width, size.depth), "z": (size.width, size.height)}
        for name, axis in _SIDES:
            laid = spots(*across[axis], inner.carried_kg, inner.cushion, self.foam, self.shop, inner.fall)
            if name in _FACING:
                self.areas.append((_FACING[name], sum(pad.da * pad.db for pad in laid)))
                self.smallest.append((_FACING[name], min(pad.da * pad.db for pad in laid)))
            for pad in laid:
                away = 0
                for good in inner.stack:
                    sheet = self._sheet(name, axis, pad, away, good)
                    part = bench.panel("pad", good.good, sheet, "cushion", flat=axis)
                    self.pads.setdefault(name, Counter())[part] += 1
                    away += good.thickness

    def _sheet(self, name: str, axis: Axis, pad: Spot, away: int, plank: Good) -> Box:
        """Return the box of one sheet of a pad, ``away`` from the contents."""
        x, y, z = self.at
        size, t = self.inner.size, plank.thickness
        if axis == "x":
            start = x - away - t if name == "left" else x + size.width + away
            return Box(start, y + pad.a, z + pad.b, t, pad.da, pad.db)
        if axis == "y":
            start = y - away - t if name == "base" else y + size.height + away
            return Box(x + pad.a, start, z + pad.b, pad.da, t, pad.db)
        start = z - away - t if name == "back" else z + size.depth + away
        return Box(x + pad.a, y + pad.b, start, pad.da, pad.db, t)
