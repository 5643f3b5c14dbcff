"""Sharing: which small works may share a carton, and in which ways it may be filled.

Candidates only: which of them are taken is for a search that knows what cartons, foam, work and freight cost. Soft foam
comes first, in the layers of common practice; works that share have plank only where soft foam does not keep to the
limit of shock. Every work is also a candidate by itself, as the shop's rules pack it, and in the thinnest of each foam.
"""

from collections.abc import Hashable, Iterator, Sequence
from typing import Final

from nesting.advice.carriage import Carriage
from nesting.crates.cartons.carton import carton
from nesting.crates.cartons.contents import lightest_kg
from nesting.crates.cartons.filling import KEPT, Filling, alike, has_dividers
from nesting.crates.cartons.stock import cartons
from nesting.crates.cases.consignment import CartonLoad, apart
from nesting.crates.sketch import Sketch, sketch_of
from nesting.crates.traits import Packing
from nesting.order import Artwork
from nesting.shop.shop import Shop

_MOST: Final = 400
"""Loads in all: a search looks at every one."""


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
    if not has_dividers(shop):
        return alone
    loads: list[CartonLoad] = []
    filling = Filling(shop, carriage, tuple(cartons(shop)), lightest_kg(shop), shop.carton.fill_most)
    for count in range(1, min(shop.carton.share_most, len(pieces)) + 1):
        before = len(loads), filling.passed_over
        for group in _groups(pieces, count):
            if len(loads) + len(alone) + KEPT > _MOST:
                return (*alone, *loads)
            names = tuple(piece.piece for piece in group)
            loads += (CartonLoad(names, place, design) for design in filling.designs(tuple(group)))
        if (len(loads), filling.passed_over) == before and count > 1:
            # More works need more room still; but of what lay in too much paper, they leave less for it.
            break
    return (*alone, *loads)


def _groups(pieces: Sequence[Artwork], count: int) -> Iterator[Sequence[Artwork]]:
    """Yield runs of so many neighbours; a run that is like an earlier one is left out."""
    seen: set[Hashable] = set()
    for start in range(len(pieces) - count + 1):
        group = pieces[start : start + count]
        kind = tuple(map(alike, group))
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
