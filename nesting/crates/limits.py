"""Limits: how much shock anybody allows for pieces, by the order or by the shop's rule, and how foam keeps to it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from nesting.advice.carriage import COMMON, Carriage
from nesting.base.faults import Fault
from nesting.crates.driving import listed
from nesting.order import Artwork, Order
from nesting.shop.shop import Shop


def shock_limit(pieces: Sequence[Artwork], shop: Shop) -> tuple[float, str]:
    """Return the least limit of shock that anybody states for some pieces, in G, and who does; 0 where nobody does."""
    stated = [(float(a.shock_limit), f"the order for {a.piece}") for a in pieces if a.shock_limit is not None]
    if shop.gear.shock_limit:
        stated.append((shop.gear.shock_limit, "the shop's rule"))
    return min(stated, default=(0.0, ""))


def as_ordered(shop: Shop, order: Order) -> Shop:
    """Return the shop with what the order says of its foam in place of the shop's rule (``case.cushion``)."""
    if not order.cushion or order.cushion == shop.case.cushion:
        return shop
    return replace(shop, case=replace(shop.case, cushion=order.cushion))


def never_snug(shop: Shop) -> Shop:
    """Return the shop as cartons have it: thin pads are for frames in a case, and what lies in a carton is checked."""
    if shop.case.cushion != "snug":
        return shop
    return replace(shop, case=replace(shop.case, cushion="checked"))


def snug_faults(
    destinations: Iterable[str], carriage: Mapping[str, Carriage], shop: Shop, order: Order
) -> tuple[Fault, ...]:
    """Return the fault of thin pads that would go by common carrier, with all destinations to which; none where none.

    Parameters
    ----------
    destinations : iterable of str
        Where outer cases go.
    carriage : mapping of str to str
        Who takes crates there; a common carrier where it says nothing.
    """
    if shop.case.cushion != "snug":
        return ()
    places = [place for place in dict.fromkeys(destinations) if carriage.get(place, COMMON) == COMMON]
    if not places:
        return ()
    file, key = (order.source, "cushion") if order.cushion else ("shop", "case.cushion")
    told = listed([place or "a destination that is not stated" for place in places])
    accepted = "checked or fixed; snug where the freight profile of each is an own van or an art handler"
    return (Fault(file, None, key, f"snug, to {told} by {COMMON}", accepted),)
