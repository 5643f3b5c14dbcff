"""Sharing: which small works may share a carton, and in which ways it may be filled.

Candidates only: which of them are taken is for a search that knows what cartons, foam, work and freight cost. Soft foam
comes first, in the layers of common practice; plank only where soft foam does not keep to the limit of shock. Every
work is also a candidate by itself, as the shop's rules pack it.
"""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

from nesting.advice.carriage import Carriage
from nesting.advice.check import table_pounds
from nesting.crates.cartons.arrangement import arranged
from nesting.crates.cartons.carton import carton
from nesting.crates.cartons.contents import carried_kg, cushions, fall_on, laid_on, lightest_kg
from nesting.crates.cartons.parcel import Parcel, parcels
from nesting.crates.cartons.stock import cartons, fits
from nesting.crates.cases.consignment import CartonLoad, apart
from nesting.crates.chosen import CartonDesign
from nesting.crates.limits import never_snug
from nesting.crates.model import Size
from nesting.crates.sketch import Sketch, sketch_of
from nesting.crates.traits import Packing, Refused
from nesting.order import Artwork
from nesting.shop.goods import Good
from nesting.shop.shop import Shop

_MOST: Final = 400
"""Loads in all: a search looks at every one."""
_WAYS: Final = 3
"""Fillings of the same works that are kept: those of the least room."""
_CARTONS: Final = 2
"""Cartons that are tried for each of them."""
_BESIDE: Final = 4
"""Most works side by side."""


def sketch(packing: Packing) -> Sketch:
    """Return what a carton takes and comes to.

    Raises
    ------
    Refused
        Where no stocked carton takes it, or it weighs more than that is rated for.
    """
    return sketch_of(carton(packing))


def candidates(pieces: Sequence[Artwork], shop: Shop, carriage: Carriage) -> tuple[CartonLoad, ...]:
    """Return what may share a carton, each work by itself first.

    Parameters
    ----------
    pieces : sequence of Artwork
        Single copies of one destination that go in cartons; neighbours in the sequence are tried together, so it is
        best in the order of size.
    shop : Shop
        Goods and rules.
    carriage : {"own van", "art carrier", "common carrier"}
        Who takes them.

    Returns
    -------
    tuple of CartonLoad
        At most some hundreds, the same for the same works. Of equal works the first few stand for any.
    """
    place = pieces[0].destination or "" if pieces else ""
    alone = tuple(CartonLoad((piece.piece,), place) for piece in pieces)
    if not _stocked(shop):
        return alone
    loads: list[CartonLoad] = []
    filling = _Filling(shop, carriage, tuple(cartons(shop)), lightest_kg(shop))
    for count in range(1, min(shop.carton.share_most, len(pieces)) + 1):
        before = len(loads)
        for group in _groups(pieces, count):
            if len(loads) + len(alone) + _WAYS > _MOST:
                return (*alone, *loads)
            names = tuple(piece.piece for piece in group)
            loads += (CartonLoad(names, place, design) for design in filling.designs(tuple(group)))
        if len(loads) == before and count > 1:
            # More works need more room still.
            break
    return (*alone, *loads)


def _stocked(shop: Shop) -> bool:
    """Whether there is what a carton is filled with: a price book of before holds neither pads nor soft foam."""
    return shop.carton.divider_good in shop.by_name


def _alike(piece: Artwork) -> Hashable:
    """Return all of a work that its packing goes by."""
    return (
        piece.width, piece.height, piece.depth, piece.weight_kg, piece.surface, piece.support, piece.shock_limit,
        piece.back, piece.pour_depth, piece.pours, piece.apart,
    )  # fmt: skip


def _groups(pieces: Sequence[Artwork], count: int) -> Iterator[Sequence[Artwork]]:
    """Yield runs of so many neighbours; a run that is like an earlier one is left out."""
    seen: set[Hashable] = set()
    for start in range(len(pieces) - count + 1):
        group = pieces[start : start + count]
        kind = tuple(map(_alike, group))
        # Of equal works the first ones stand for any.
        if kind in seen or _parted(group):
            continue
        seen.add(kind)
        yield group


def _parted(group: Sequence[Artwork]) -> bool:
    """Whether any two of some works must travel apart."""
    return any(
        apart(one, other) for index, one in enumerate(group) for other in group[index + 1 :] if one.apart or other.apart
    )


@dataclass(slots=True)
class _Filling:
    """Finds how a carton with some works may be filled."""

    shop: Shop
    carriage: Carriage
    stock: tuple[Good, ...]
    lightest: float
    memory: dict[Hashable, Any] = field(default_factory=dict)

    def designs(self, group: tuple[Artwork, ...]) -> tuple[CartonDesign, ...]:
        """Return the fillings of least room in which the limit of shock is kept; none where it is in none."""
        packing = Packing("K", group, self.shop, "", carriage=self.carriage)
        # Resin is never stacked face to face: each in a tray of its own, air before the face.
        trays = len(group) > 1 and any(piece.surface == "resin" for piece in group)
        try:
            wrapped = tuple(self._parcel(piece, trays=trays) for piece in group)
        except Refused:
            return ()
        found: dict[tuple[int, CartonDesign], None] = {}
        for beside in range(1, min(len(group), _BESIDE) + 1):
            # One beside none: the whole may be turned in its carton anyway.
            for turned in (False, True) if beside > 1 else (False,):
                for backs in (False, True) if not trays and beside < len(group) <= 2 * beside else (False,):
                    design = CartonDesign("-", 1, "", beside, turned, trays, backs)
                    found |= dict.fromkeys(self._cushioned(packing, wrapped, design))
        return tuple(design for _, design in sorted(found)[:_WAYS])

    def _parcel(self, piece: Artwork, *, trays: bool) -> Parcel:
        """Return a work in its wrapping, worked out once for equal ones."""
        key = (_alike(piece), trays)
        if key not in self.memory:
            self.memory[key] = parcels(Packing("K", (piece,), self.shop, ""), trays=trays)[0]
        made: Parcel = self.memory[key]
        return replace(made, piece=piece.piece)

    def _cushioned(
        self, packing: Packing, wrapped: Sequence[Parcel], design: CartonDesign
    ) -> Iterator[tuple[int, CartonDesign]]:
        """Yield an arrangement with the cushion that keeps to the limit, with the room of the carton that takes it."""
        lying = arranged(wrapped, design, self.shop)
        if not fits(lying.size, self.stock):
            return
        carried = carried_kg(wrapped, lying, self.shop)
        if len(wrapped) > 1 and table_pounds(carried + self.lightest) > self.shop.lifting.one_person_lb:
            # What shares a carton is still carried by one person.
            return
        fall = fall_on(packing, carried + self.lightest)
        size, fixed = lying.size, never_snug(self.shop).case.cushion != "checked"
        for good, thickness in cushions(packing, carried + self.lightest):
            more = 2 * thickness
            taking = fits(Size(size.width + more, size.height + more, size.depth + more), self.stock)
            if not taking:
                continue
            if fixed or laid_on(size, carried, good, thickness, self.shop, fall).keeps(fall):
                made = replace(design, foam=good, thickness=thickness)
                # Another carton may cost less, though it has more room.
                for fit, name in zip(taking, ("", *(other.good.good for other in taking[1:_CARTONS])), strict=False):
                    yield fit.inside.width * fit.inside.height * fit.inside.depth, replace(made, good=name)
                return
