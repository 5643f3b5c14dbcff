"""Cushions of a case: how thick the foam of each side is, and how much of it bears, by the shock that comes through.

Pads that do not buckle can be too large for what they carry, and are then as hard as none; so a thickness is judged by
the pads that can be laid of it, not by the foam's best load alone.
"""

from dataclasses import dataclass

from nesting.advice.carriage import Carriage
from nesting.advice.cushion import Foam, least_foam
from nesting.advice.weights import cuboid_kg
from nesting.crates.cases.attitudes import Turned, standing, standing_slats
from nesting.crates.cases.case_cushion import lying
from nesting.crates.cases.pad_plan import area_of_blocks, area_of_strips, blocks, strips
from nesting.crates.cases.pads import Fall, cushion_choices, fall_of, felt_on, least_pad, load_area
from nesting.crates.model import Size
from nesting.crates.traits import Casing
from nesting.shop.goods import Good
from nesting.shop.needs import density_of, foam_of
from nesting.shop.planks import stacked, thickness_of
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Cushion:
    """The foam of the pads on one axis.

    Attributes
    ----------
    planks : tuple of Good
        Its sheets, from the strand board inward.
    wanted : int
        Bearing area that it is to have.
    felt : float
        Shock in G that then comes through the pads that can be laid.
    keeps : bool
        Whether that is within what is allowed.
    """

    planks: tuple[Good, ...]
    wanted: int
    felt: float
    keeps: bool


def cushions_of(casing: Casing, turned: Turned, contents_kg: float, limit: float) -> tuple[Cushion, Cushion, Cushion]:
    """Choose the foam of each axis: as the design says, else the thinnest whose pads keep the shock to the limit.

    Where no thickness does, the one that comes nearest: the check of the case tells.
    """
    shop, carriage, frames = casing.shop, casing.carriage, standing(casing.frames, turned)
    longest = max(artwork.longest_side for artwork in casing.artworks)
    good = shop.case.cushion_good
    gross = contents_kg + _least_shell_kg(frames, shop, carriage)
    fall = fall_of(gross, longest, shop, limit=limit, carriage=carriage)
    ruled = cushion_choices(gross, longest, shop, good, limit=limit, carriage=carriage)
    pads = _Pads(casing, turned, contents_kg, fall, foam_of(shop, shop.good(good)))
    made = []
    for axis, asked in enumerate(casing.design.foam):
        thick = (asked,) if asked else ruled
        tried = (pads.cushion(axis, stacked(each, shop, good)) for each in thick)
        found = []
        for cushion in tried:
            found.append(cushion)
            if cushion.keeps:
                break
        made.append(min(found, key=lambda each: (not each.keeps, each.felt)))
    return made[0], made[1], made[2]


def _least_shell_kg(frames: tuple[Size, ...], shop: Shop, carriage: Carriage) -> float:
    """Return what strand board and lumber of any case round these frames weigh at the least."""
    foam = 2 * least_foam(shop.cushion, carriage) if shop.case.cushion == "checked" else 0
    board = shop.good(shop.case.face_good)
    wide = max(size.width for size in frames) + foam
    high = max(size.height for size in frames) + foam
    deep = sum(size.depth for size in frames) + foam
    faces = 2 * (wide * high + wide * deep + high * deep)
    return cuboid_kg(density_of(shop, board), faces, 1, board.thickness)


@dataclass(frozen=True, slots=True)
class _Pads:
    """Pads as they are planned round some frames, for the shock that comes through them."""

    casing: Casing
    turned: Turned
    contents_kg: float
    fall: Fall
    foam: Foam

    def cushion(self, axis: int, planks: tuple[Good, ...]) -> Cushion:
        """Return the foam of one axis, of these sheets."""
        shop, kg = self.casing.shop, self.contents_kg
        thick, cut = thickness_of(planks), shop.case.cushion != "fixed"
        wanted = load_area(kg, self.foam, thick, self.fall.drop) if cut else load_area(kg, self.foam)
        least = least_pad(thick, shop)
        if axis < 2:
            sizes = standing(self.casing.frames, self.turned)
            reach = min(size.width if axis else size.height for size in sizes)
            depths = [size.depth for size in sizes]
            area = area_of_strips(strips(reach, depths, wanted, least, cut=cut, sizes=shop.units))
        else:
            back = standing_slats(self.casing.frames[0], turned=self.turned[0])
            slats = [lying(slat) for slat in back if slat.z == 0]
            area = area_of_blocks(blocks(slats, wanted, least, cut=cut, sizes=shop.units), slats)
        felt = felt_on(kg, max(1, area), self.foam, thick, self.fall)
        return Cushion(planks, wanted, felt, round(felt, 9) <= self.fall.limit)
