"""Stock: the cartons that the shop has, and how contents stand in one."""

from collections.abc import Iterable, Iterator
from itertools import permutations

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Axis
from nesting.crates.cartons.parcel import Fit
from nesting.crates.model import Size
from nesting.shop.goods import Good
from nesting.shop.shop import Shop

_STEP = OwnLength(INCH // 4, 5 * MM)
"""A telescoping carton is drawn out to such a measure: what a tape reads at a glance."""


def cartons(shop: Shop) -> Iterator[Good]:
    """Yield the cartons that are stocked."""
    for good in shop.goods:
        if shop.material(good.material).is_carton and len(good.inside) == 3:
            yield good


def fits(need: Size, stock: Iterable[Good], sizes: UnitSystem = "inch") -> list[Fit]:
    """Return how a parcel of that size stands in each of some cartons that takes it, that with the least room first."""
    step = _STEP.of(sizes)
    found, sides = [], sorted((need.width, need.height, need.depth))
    for good in stock:
        if any(map(int.__gt__, sides, sorted(good.opens_to or good.inside))):
            continue
        ways = [way for order in permutations(range(3)) if (way := _stands(need, good, order, step)) is not None]
        if ways:
            found.append(min(ways, key=lambda way: way[:4]))
    return [way[4] for way in sorted(found, key=lambda way: way[:4])]


def paper_beside(need: Size, room: Size) -> int:
    """Return how much room is left on the side where most is, contents in the middle: what paper fills."""
    return max(room.width - need.width, room.height - need.height, room.depth - need.depth) // 2


def _stands(
    need: Size, good: Good, order: tuple[int, ...], step: int
) -> tuple[int, str, bool, tuple[int, ...], Fit] | None:
    """Return a carton turned one way with its room, ready to be compared; None where the parcel does not go in."""
    wanted = (need.width, need.height, need.depth)
    most = tuple((good.opens_to or good.inside)[index] for index in order)
    if any(want > have for want, have in zip(wanted, most, strict=True)):
        return None
    least = tuple(good.inside[index] for index in order)
    # One that telescopes is drawn out as far as it must be.
    room = tuple(
        min(have, max(low, -(-want // step) * step)) for want, low, have in zip(wanted, least, most, strict=True)
    )
    flaps: Axis = ("x", "y", "z")[order.index(2)]
    volume = room[0] * room[1] * room[2]
    return volume, good.good, flaps != "z", order, Fit(good, Size(*room), flaps)


def smallest_carton(need: Size, shop: Shop, only: str = "") -> Fit | None:
    """Return the stocked carton of least room that takes a parcel of that size, turned as it may be; None if none.

    Parameters
    ----------
    only : str
        The one carton that is asked for; empty for all.
    """
    stock = (good for good in cartons(shop) if only in ("", good.good))
    return next(iter(fits(need, stock, shop.units)), None)
