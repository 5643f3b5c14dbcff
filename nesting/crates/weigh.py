"""Weighing a crate: tare from every placed part and all hardware, gross, centre of gravity and how sure it is."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

from nesting.advice.estimate import Estimate, estimate_weight
from nesting.advice.weights import centre_of_gravity, cuboid_kg
from nesting.base.measure import UnitSystem
from nesting.crates.model import Box, Placed
from nesting.cutting.parts import Part, Piecework, RollPart, StickPart
from nesting.order import Artwork
from nesting.shop.needs import WEIGHT, density_of, refuse_unfit
from nesting.shop.shop import Shop
from nesting.shop.supports import makeup


@dataclass(frozen=True, slots=True)
class PieceWeight:
    """What one piece weighs.

    Attributes
    ----------
    kg : float
        Given or estimated.
    spread_kg : float
        Uncertainty; 0 for a given weight.
    estimate : Estimate or None
        How it was estimated; None for a given weight.
    """

    kg: float
    spread_kg: float = 0.0
    estimate: Estimate | None = None

    def notes(self, units: UnitSystem) -> tuple[str, ...]:
        """Return what to know of the weight: how it was estimated, where it was not given."""
        return (self.estimate.note(units),) if self.estimate else ()


def piece_weight(artwork: Artwork, shop: Shop) -> PieceWeight:
    """Return the weight of one copy: as the order says, else estimated from support, size and resin.

    Raises
    ------
    UnfitMaterialError
        Where it must be estimated and nobody said what its support weighs.
    """
    if artwork.weight_kg is not None:
        return PieceWeight(float(artwork.weight_kg))
    guess = estimate_weight(artwork, shop.estimate, makeup(artwork, shop))
    return PieceWeight(guess.kg, guess.high_kg - guess.kg, guess)


@dataclass(frozen=True, slots=True)
class Weighing:
    """What a crate weighs, ready for :class:`nesting.crates.model.Crate`."""

    net_kg: float
    tare_kg: float
    spread_kg: float
    centre: tuple[int, int, int]


def part_kg(part: Part | StickPart | RollPart, shop: Shop) -> float:
    """Return the weight of one copy of a part in kg, from the density of its good or of the good's material."""
    good = shop.good(part.good)
    width = good.breadth if isinstance(part, StickPart) else part.width
    return cuboid_kg(density_of(shop, good), part.length, width, good.thickness)


# arguments: all that has weight, by keyword
def weigh(
    *,
    parts: Sequence[Part] = (),
    sticks: Sequence[StickPart] = (),
    rolls: Sequence[RollPart] = (),
    piecework: Sequence[Piecework] = (),
    placed: Sequence[Placed] = (),
    pieces: Iterable[tuple[PieceWeight, Box]] = (),
    inner: Iterable[tuple[float, float, Box]] = (),
    outside: Box,
    shop: Shop,
) -> Weighing:
    """Weigh a crate.

    Parameters
    ----------
    parts, sticks, rolls, piecework
        All that it is made of, as in :class:`nesting.crates.model.Crate`.
    placed : sequence of Placed
        Where parts and sticks go; every copy must be placed. Rolls and hardware count at the middle of ``outside``.
    pieces : iterable of (PieceWeight, Box)
        Artworks, each with its place.
    inner : iterable of (float, float, Box)
        Travel frames of a case: tare in kg, its uncertainty, place. Their artworks belong into ``pieces``.
    outside : Box
        Extremes of the crate.

    Returns
    -------
    Weighing
        Within one good uncertainties add up (all sheets come from one mill); between goods and pieces they combine
        as the root of the sum of squares.

    Raises
    ------
    ValueError
        If a copy of a part is not placed.
    UnfitMaterialError
        Every good of which nobody said what it weighs.
    """
    cut: tuple[Part | StickPart | RollPart, ...] = (*parts, *sticks, *rolls)
    refuse_unfit(shop, ((part.good, WEIGHT) for part in cut))
    by_name: dict[str, Part | StickPart] = {**{p.name: p for p in parts}, **{s.name: s for s in sticks}}
    if len(placed) != sum(part.count for part in by_name.values()):
        raise ValueError(f"{len(placed)} placed copies of {sum(part.count for part in by_name.values())} parts")
    bodies: list[tuple[float, Box]] = []
    spreads: dict[str, float] = defaultdict(float)
    tare = 0.0

    def add(kg: float, good: str) -> None:
        nonlocal tare
        tare += kg
        spreads[good] += kg * shop.good(good).weight_spread

    one = {name: part_kg(part, shop) for name, part in by_name.items()}
    for each in placed:
        part = by_name[each.part]
        kg = one[each.part]
        if each.profile:
            kg *= _area(each.profile) / _section(part, shop)
        add(kg, part.good)
        bodies.append((kg, each.box))
    loose = 0.0
    for roll in rolls:
        kg = part_kg(roll, shop) * roll.count
        add(kg, roll.good)
        loose += kg
    for item in piecework:
        kg = shop.good(item.good).each_g * item.count / 1000
        add(kg, item.good)
        loose += kg
    bodies.append((loose, outside))
    squares = sum(value**2 for value in spreads.values())
    for kg, spread, box in inner:
        tare += kg
        squares += spread**2
        bodies.append((kg, box))
    net = 0.0
    for weight, box in pieces:
        net += weight.kg
        squares += weight.spread_kg**2
        bodies.append((weight.kg, box))
    x, y, z = centre_of_gravity(bodies)
    return Weighing(net, tare, sqrt(squares), (shop.near(x), shop.near(y), shop.near(z)))


def _area(profile: Sequence[tuple[int, int]]) -> float:
    """Return the area of a simple polygon (shoelace)."""
    total = 0
    for (y1, z1), (y2, z2) in zip(profile, (*profile[1:], profile[0]), strict=True):
        total += y1 * z2 - y2 * z1
    return abs(total) / 2


def _section(part: Part | StickPart, shop: Shop) -> float:
    """Return the area of a part's section across its length, as cut before any bevel."""
    good = shop.good(part.good)
    return float(good.thickness * (part.width if isinstance(part, Part) else good.breadth))
