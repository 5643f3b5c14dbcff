"""Filling: in which ways a carton with some works may be filled, and which of them is taken where nobody chose one."""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

from nesting.advice.carriage import Carriage
from nesting.advice.check import table_pounds
from nesting.crates.cartons.arrangement import arranged
from nesting.crates.cartons.contents import carried_kg, cushions, fall_on, laid_on, lightest_kg
from nesting.crates.cartons.parcel import Parcel, parcels
from nesting.crates.cartons.stock import cartons, fits, paper_beside
from nesting.crates.chosen import CARTON_AS_RULED, CartonDesign
from nesting.crates.limits import never_snug
from nesting.crates.model import Size
from nesting.crates.traits import Packing, Refused
from nesting.order import Artwork
from nesting.shop.goods import Good
from nesting.shop.shop import Shop

KEPT: Final = 3
"""Fillings of works that share that are kept: those of the least room."""
_CARTONS: Final = 2
"""Cartons that are tried for each of them."""
_BESIDE: Final = 4
"""Most works side by side."""


def has_dividers(shop: Shop) -> bool:
    """Whether there is what a carton is filled with: a price book of before holds neither pads nor soft foam."""
    return shop.carton.divider_good in shop.by_name


def bound(packing: Packing) -> bool:
    """Whether works must travel together by the order's word, beyond a set."""
    return len(packing.pieces) > 1 and any(piece.together for piece in packing.pieces)


def filled(packing: Packing) -> Packing:
    """Return the request with the filling of least room, where works must travel together and nobody chose one.

    Those of a set stay stacked, as the shop's rules have it, and so do works that no other filling takes.
    """
    if packing.carton != CARTON_AS_RULED or not bound(packing) or not has_dividers(packing.shop):
        return packing
    shop = packing.shop
    filling = Filling(shop, packing.carriage, tuple(cartons(shop)), lightest_kg(shop), shop.carton.fill_most)
    # What must travel together does so in more paper too, rather than without its trays.
    designs = filling.designs(packing.pieces) or replace(filling, most=None).designs(packing.pieces)
    return replace(packing, carton=designs[0]) if designs else packing


def alike(piece: Artwork) -> Hashable:
    """Return all of a work that its packing goes by."""
    return (
        piece.width, piece.height, piece.depth, piece.weight_kg, piece.surface, piece.support, piece.shock_limit,
        piece.back, piece.pour_depth, piece.pours, piece.apart,
    )  # fmt: skip


@dataclass(slots=True)
class Filling:
    """Finds how a carton with some works may be filled.

    Attributes
    ----------
    most : int or None
        How much room paper may fill on one side; None for any.
    passed_over : int
        Cushions so far that some carton takes, but none without more paper than that.
    """

    shop: Shop
    carriage: Carriage
    stock: tuple[Good, ...]
    lightest: float
    most: int | None
    passed_over: int = 0
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
        # A work by itself is little to look at: both foams stay.
        return tuple(design for _, design in sorted(found)[: KEPT if len(group) > 1 else None])

    def _parcel(self, piece: Artwork, *, trays: bool) -> Parcel:
        """Return a work in its wrapping, worked out once for equal ones."""
        key = (alike(piece), trays)
        if key not in self.memory:
            self.memory[key] = parcels(Packing("K", (piece,), self.shop, ""), trays=trays)[0]
        made: Parcel = self.memory[key]
        return replace(made, piece=piece.piece)

    def _cushioned(
        self, packing: Packing, wrapped: Sequence[Parcel], design: CartonDesign
    ) -> Iterator[tuple[int, CartonDesign]]:
        """Yield an arrangement with the cushion that keeps to the limit, with the room of the carton that takes it.

        Works that share have plank only where soft foam does not keep to it. One by itself has the thinnest of either,
        as the rules fill it, beside however much paper: that was how it went before soft foam was stocked, and what it
        costs is for the search to say.
        """
        lying = arranged(wrapped, design, self.shop)
        if not fits(lying.size, self.stock, self.shop.units):
            return
        carried = carried_kg(wrapped, lying, self.shop)
        if len(wrapped) > 1 and table_pounds(carried + self.lightest) > self.shop.lifting.one_person_lb:
            # What shares a carton is still carried by one person.
            return
        fall = fall_on(packing, carried + self.lightest)
        size, fixed = lying.size, never_snug(self.shop).case.cushion != "checked"
        alone = len(wrapped) == 1
        loose: set[str] = set()
        done: set[str] = set()
        for good, thickness in cushions(packing, carried + self.lightest):
            if good in done:
                continue
            more = 2 * thickness
            need = Size(size.width + more, size.height + more, size.depth + more)
            every = fits(need, self.stock, self.shop.units)
            taking = [fit for fit in every if self.most is None or paper_beside(need, fit.inside) <= self.most]
            if not taking and (not alone or good in loose):
                # A thicker cushion leaves less room for paper.
                self.passed_over += bool(every)
                continue
            if fixed or laid_on(size, carried, good, thickness, self.shop, fall).keeps(fall):
                made = replace(design, foam=good, thickness=thickness)
                # Another carton may cost less, though it has more room.
                for fit in (taking or every)[:_CARTONS]:
                    # The smallest of all needs no name.
                    name = "" if fit == every[0] else fit.good.good
                    yield fit.inside.width * fit.inside.height * fit.inside.depth, replace(made, good=name)
                if not alone:
                    return
                (done if taking else loose).add(good)
