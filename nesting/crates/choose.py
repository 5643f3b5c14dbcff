"""Choosing: which packing method each piece gets where the order leaves it to the shop, and why."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from nesting.advice.check import KG_PER_LB, table_pounds
from nesting.base.measure import UnitSystem, format_length, format_weight
from nesting.crates.load import arrange
from nesting.crates.model import Method
from nesting.crates.shells.seams import Stock
from nesting.crates.weigh import piece_weight
from nesting.order import Artwork, Order
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Bundle:
    """Single copies that share one crate: one piece, or all pieces of a set."""

    pieces: tuple[Artwork, ...]
    set_name: str | None = None

    @property
    def asked(self) -> tuple[str, ...]:
        """The methods that the order names for its pieces, ``auto`` left out, each once."""
        return tuple(dict.fromkeys(a.method for a in self.pieces if a.method != "auto"))


@dataclass(frozen=True, slots=True)
class Choice:
    """A method, why, and whether the shop chose it: then another may be tried where it does not serve."""

    method: Method
    reason: str
    by_shop: bool = True


def bundles_of(order: Order) -> tuple[Bundle, ...]:
    """Gather the copies of an order: each by itself, those of a set together, in the order of their first piece."""
    sets: dict[str, list[Artwork]] = {}
    for copy in order.copies():
        if copy.set_name is not None:
            sets.setdefault(copy.set_name, []).append(copy)
    seen: set[str] = set()
    bundles: list[Bundle] = []
    for copy in order.copies():
        if copy.set_name is None:
            bundles.append(Bundle((copy,)))
        elif copy.set_name not in seen:
            seen.add(copy.set_name)
            bundles.append(Bundle(tuple(sets[copy.set_name]), copy.set_name))
    return tuple(bundles)


def choose(bundles: Sequence[Bundle], shop: Shop, units: UnitSystem = "inch") -> tuple[Choice, ...]:
    """Choose a method for every bundle.

    What the order names stands. Else: a carton for the small and light, a closed crate up to its size, a battened one
    above; and travel frames in an outer case where enough of the larger pieces share a stated destination.
    """
    plain = [_alone(bundle, shop, units) for bundle in bundles]
    larger = Counter(
        bundle.pieces[0].destination
        for bundle, choice in zip(bundles, plain, strict=True)
        if choice.method == "battened" and not bundle.asked and bundle.set_name is None
    )
    chosen: list[Choice] = []
    for bundle, choice in zip(bundles, plain, strict=True):
        place = bundle.pieces[0].destination
        together = larger[place] if place else 0
        if (
            choice.method == "battened"
            and not bundle.asked
            and bundle.set_name is None
            and together >= shop.method.travel_from
        ):
            why = f"{together} of the larger pieces go to {place}: travel frames share an outer case"
            chosen.append(Choice("travel", why))
        else:
            chosen.append(choice)
    return tuple(chosen)


def _alone(bundle: Bundle, shop: Shop, units: UnitSystem) -> Choice:
    """Choose for one bundle without looking at the others."""
    rules, pieces = shop.method, bundle.pieces
    if bundle.asked:
        return Choice(bundle.asked[0], "the order asks for it", by_shop=False)  # type: ignore[arg-type]  # an order's methods are ours
    side = max(a.longest_side for a in pieces)
    kg = sum(piece_weight(a, shop).kg for a in pieces)
    size, weight = format_length(side, units, mark=True), format_weight(kg, units, mark=True)
    group = "" if bundle.set_name is None else f"set {bundle.set_name}: "
    if side <= rules.carton_size and table_pounds(kg) <= rules.carton_lb:
        up_to = format_length(rules.carton_size, units, mark=True)
        most = format_weight(rules.carton_lb * KG_PER_LB, units, mark=True)
        return Choice("carton", f"{group}{size} and {weight}: within {up_to} and {most} for a carton")
    together = arrange(pieces, shop)
    width, height = together.width, together.height
    limit = format_length(rules.closed_size, units, mark=True)
    reach = format_length(max(width, height), units, mark=True)
    if max(width, height) > rules.closed_size:
        return Choice("battened", f"{group}{reach} is over {limit}: thin faces stiffened by battens")
    outside = (width + shop.frame.larger_by, height + shop.frame.larger_by)
    if not all(Stock.of(shop.good(name), shop.saw).fits(*outside) for name in (shop.frame.back_light, shop.frame.lid)):
        faces = " x ".join(format_length(v, units, mark=True) for v in outside)
        return Choice("battened", f"{group}faces of {faces} are larger than a sheet: their seams lie on battens")
    return Choice("closed", f"{group}{reach} and {weight}: over a carton, up to {limit}")
