"""A bed: what lies between the strand board of a case and its frames on one side, in sheets from the outside in."""

from dataclasses import dataclass, field

from nesting.shop.goods import Good
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Bed:
    """The sheets that each pad of a side is made of.

    Attributes
    ----------
    planks : tuple of Good
        Foam, from the board inward.
    shims : tuple of Good
        Boards behind the foam where it is too thin for the lumber beside it.
    foam : int
        Thickness of the foam.
    depth : int
        From the strand board to the frames.
    """

    planks: tuple[Good, ...]
    shims: tuple[Good, ...] = ()
    foam: int = field(init=False)
    depth: int = field(init=False)

    def __post_init__(self) -> None:
        if not self.planks:
            raise ValueError("a bed has at least one sheet of foam")
        foam = sum(good.thickness for good in self.planks)
        object.__setattr__(self, "foam", foam)
        object.__setattr__(self, "depth", foam + sum(good.thickness for good in self.shims))

    @property
    def sheets(self) -> tuple[Good, ...]:
        """All of them, from the outside in."""
        return self.shims + self.planks


def shims_for(lacking: int, shop: Shop) -> tuple[Good, ...]:
    """Return boards that together are as thick as what is lacking, or as little more as can be: of one good.

    The case's own board, or the plywood of blocks and plates, all of which lie on the bench as cutoffs.
    """
    if lacking <= 0:
        return ()
    names = dict.fromkeys((shop.case.face_good, shop.joinery.block_good, shop.travel.plate_good))
    goods = [shop.good(name) for name in names]
    found = [(-(-lacking // good.thickness), good) for good in goods]
    count, good = min(found, key=lambda each: (each[0] * each[1].thickness, each[0], each[1].good))
    return (good,) * count
