"""For the way: pallets, A-frames and indicators that go along with the crates, counted and priced as all else is.

They are no part of a crate: how many there are depends on who takes the crates where, and several crates may share one.
"""

from collections.abc import Sequence
from fractions import Fraction

from nesting.shop.goods import Good
from nesting.shop.shop import Shop
from pricing.quoting.offers import Handed, Need
from pricing.quoting.shipments import Shipment


def needed(shipments: Sequence[Shipment]) -> tuple[Need, ...]:
    """Return what all shipments take for the way, a need a good, with each crate's part.

    Where one shipment hands the same crates on to the next, what they are strapped to goes along: of each good as
    many count as most are needed at once.
    """
    counts: dict[str, dict[tuple[str, frozenset[str]], int]] = {}
    parts: dict[str, dict[str, Fraction]] = {}
    for shipment in shipments:
        for need in shipment.chosen.needs:
            by_crates = counts.setdefault(need.good, {})
            own = (shipment.destination, frozenset(need.bearers))
            if need.count <= by_crates.get(own, 0):
                continue
            by_crates[own] = need.count
            bearers = parts.setdefault(need.good, {})
            bearers |= {crate: part * need.count for crate, part in need.bearers.items()}
    return tuple(Need(good, sum(by_crates.values()), _whole(parts[good])) for good, by_crates in counts.items())


def _whole(parts: dict[str, Fraction]) -> dict[str, Fraction]:
    whole = sum(parts.values())
    return {crate: part / whole for crate, part in parts.items()}


def strapped(shipments: Sequence[Shipment]) -> tuple[tuple[str, Handed], ...]:
    """Return what is handed over on a pallet or an A-frame, each once with its destination, whoever takes it on."""
    return tuple(
        dict.fromkeys(
            (shipment.destination, handed)
            for shipment in shipments
            for handed in shipment.chosen.handed
            if handed.on and not shipment.chosen.refused
        )
    )


def goods_needed(shipments: Sequence[Shipment], shop: Shop) -> tuple[Good, ...]:
    """Return the goods of it, which need a price."""
    return tuple(shop.by_name[need.good] for need in needed(shipments))
