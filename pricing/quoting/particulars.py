"""Particulars: what a carrier is told of crates beside their size and weight, and what they may be strapped to."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from nesting.build import Build
from nesting.crates.model import Crate
from nesting.shop.goods import Good
from nesting.shop.shop import Shop
from pricing.studio.rates import DeliveryRules, Rates

NOTHING: Final = Decimal("0.00")
SDR: Final = "XDR"
"""Special drawing rights among the currencies of the rates (ISO 4217)."""


@dataclass(frozen=True)
class Particulars:
    """What the shipper furnishes; all of it may be unknown.

    Attributes
    ----------
    rules : DeliveryRules
        Which goods serve on the way, by name.
    goods : mapping of str to Good
        Those of them that the shop stocks, by the piece.
    values : mapping of str to Decimal
        What is declared for each crate's pieces, in the rates' currency.
    wooden : collection of str
        Crates whose outside is of wood.
    tilt : float
        What a crate must stand on its pallet, in degrees; 0 where nobody asked.
    sdr : Decimal
        What one special drawing right is worth in the rates' currency; 0 where nobody typed it.
    """

    rules: DeliveryRules = field(default_factory=DeliveryRules)
    goods: Mapping[str, Good] = field(default_factory=dict)
    values: Mapping[str, Decimal] = field(default_factory=dict)
    wooden: Collection[str] = ()
    tilt: float = 0.0
    sdr: Decimal = Decimal(0)

    def decks(self, kind: str) -> tuple[Good, ...]:
        """Return what is stocked to strap a crate to, a ``"pallet"`` or an ``"A-frame"``, the smallest first."""
        names = self.rules.pallets if kind == "pallet" else self.rules.a_frames
        found = [self.goods[name] for name in _named(names) if name in self.goods and self.goods[name].deck]
        return tuple(sorted(found, key=lambda good: (good.deck[0] * good.deck[1], good.good)))


NONE_GIVEN: Final = Particulars()
"""As before anything was told."""


def particulars_of(build: Build, rates: Rates, values: Mapping[str, Decimal]) -> Particulars:
    """Return what carriers are told of a build.

    Parameters
    ----------
    values : mapping of str to Decimal
        What each piece is declared at.
    """
    shop, rules = build.shop, rates.delivery
    serve = frozenset(goods_for_the_way(rules))
    return Particulars(
        rules=rules,
        goods={good.good: good for good in shop.goods if good.form == "each" and good.good in serve},
        values={each.crate: sum((values.get(p, NOTHING) for p in each.pieces), NOTHING) for each in build.travelling},
        wooden=frozenset(each.crate for each in build.travelling if _of_wood(each, shop)),
        tilt=shop.gear.tilt if shop.gear.standing else 0.0,
        sdr=1 / right.rate if (right := rates.exchange(SDR)) is not None else Decimal(0),
    )


def goods_for_the_way(rules: DeliveryRules) -> Iterator[str]:
    """Yield the names of all goods that serve on the way."""
    for names in (rules.pallets, rules.a_frames, rules.tilt_indicator, rules.shock_indicator):
        yield from _named(names)


def _named(names: str) -> Iterator[str]:
    yield from (name for each in names.split(",") if (name := each.strip()))


def _of_wood(crate: Crate, shop: Shop) -> bool:
    """Whether the outside of a crate is of wood, raw or processed; what stiffens a carton lies inside it."""
    if any(shop.material(shop.by_name[each.good].material).is_carton for each in crate.piecework
           if each.good in shop.by_name):  # fmt: skip
        return False
    goods = {part.good for part in crate.parts} | {part.good for part in crate.sticks}
    return any(shop.material(shop.by_name[name].material).is_wood for name in goods if name in shop.by_name)
