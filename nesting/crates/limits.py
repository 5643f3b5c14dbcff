"""Limits: how much shock anybody allows for pieces, by the order or by the shop's rule."""

from collections.abc import Sequence

from nesting.order import Artwork
from nesting.shop.shop import Shop


def shock_limit(pieces: Sequence[Artwork], shop: Shop) -> tuple[float, str]:
    """Return the least limit of shock that anybody states for some pieces, in G, and who does; 0 where nobody does."""
    stated = [(float(a.shock_limit), f"the order for {a.piece}") for a in pieces if a.shock_limit is not None]
    if shop.gear.shock_limit:
        stated.append((shop.gear.shock_limit, "the shop's rule"))
    return min(stated, default=(0.0, ""))
