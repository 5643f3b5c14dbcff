"""Choosing: which packing method each piece gets where the order leaves it to the shop, and why."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from nesting.base.counts import few
from nesting.base.measure import UnitSystem
from nesting.crates.cases.consignment import clusters
from nesting.crates.registry import maker, method, methods
from nesting.crates.traits import Method, Packing, PackingMethod
from nesting.order import AUTO, Artwork, Order
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Bundle:
    """Single copies that share one crate: one piece, all pieces of a set, or all that must travel together."""

    pieces: tuple[Artwork, ...]
    set_name: str | None = None

    @property
    def single(self) -> bool:
        """Whether it is one piece and no set: then others may share its carton."""
        return self.set_name is None and len(self.pieces) == 1

    @property
    def called(self) -> str:
        """What it is called where it is no single piece."""
        names = few([piece.piece for piece in self.pieces])
        return f"set {self.set_name}" if self.set_name is not None else f"{names} together"

    @property
    def asked(self) -> tuple[str, ...]:
        """The methods that the order names for its pieces, ``auto`` left out, each once."""
        return tuple(dict.fromkeys(a.method for a in self.pieces if a.method != AUTO))


@dataclass(frozen=True, slots=True)
class Choice:
    """A method, why, and whether the shop chose it: then another may be tried where it does not serve."""

    method: str
    reason: str
    by_shop: bool = True


@dataclass(frozen=True, slots=True)
class Way:
    """One method that is tried for pieces whose packing is left to the shop.

    Attributes
    ----------
    method : Method
        Which.
    spared : bool
        Whether it is tried only where the shop's rules go on to no other.
    """

    method: Method
    spared: bool = False

    @property
    def make(self) -> PackingMethod:
        """What makes its crates."""
        return maker(self.method.name)

    def takes(self, packing: Packing) -> str:
        """Say why it takes pieces that the shop's rules would not give it; empty where it does not."""
        return self.method.spare(packing) if self.method.spare else ""


def ways(first: str) -> tuple[Way, ...]:
    """Return what is tried in turn for pieces that the shop's rules give to a method: each method once at the most."""
    chain = [method(first)]
    while (then := chain[-1].otherwise) and then not in {each.name for each in chain}:
        chain.append(method(then))
    others = (each for each in methods().values() if each.spare is not None and each not in chain)
    return (*(Way(each) for each in chain), *(Way(each, spared=True) for each in others))


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


def packed_as(order: Order, shop: Shop) -> tuple[tuple[Bundle, Choice], ...]:
    """Return what shares a crate, with its method, in the order of first pieces.

    Pieces that must travel together are one bundle, as those of a set are, unless all of them ride: frames stay single,
    and share a case. What the order asks for one of them then goes for those that are left to the shop.
    """
    bundles = list(bundles_of(order))
    choices = list(choose(bundles, shop, shop.works_in(order.units)))
    home = {piece.piece: n for n, bundle in enumerate(bundles) for piece in bundle.pieces}
    copies = [piece for bundle in bundles for piece in bundle.pieces]
    gone: set[int] = set()
    for cluster in clusters(copies):
        members = sorted({home[copies[at].piece] for at in cluster})
        if len(members) == 1 or all(method(choices[n].method).rides for n in members):
            continue
        joined = Bundle(tuple(piece for n in members for piece in bundles[n].pieces))
        first, *others = members
        bundles[first], choices[first] = (
            joined,
            _for_all(joined, [choices[n] for n in members], shop, shop.works_in(order.units)),
        )
        gone.update(others)
    return tuple(pair for n, pair in enumerate(zip(bundles, choices, strict=True)) if n not in gone)


def _for_all(joined: Bundle, single: Sequence[Choice], shop: Shop, units: UnitSystem) -> Choice:
    """Choose for pieces that must travel together: as for each, where that is one method that several may share."""
    ways = {choice.method for choice in single}
    if joined.asked or len(ways) > 1 or not method(single[0].method).shares:
        return _alone(joined, shop, units)
    why = "; ".join(dict.fromkeys(choice.reason for choice in single))
    return Choice(single[0].method, f"{joined.called}: {why}")


def choose(bundles: Sequence[Bundle], shop: Shop, units: UnitSystem = "inch") -> tuple[Choice, ...]:
    """Choose a method for every bundle.

    What the order names stands. Else the first method, in the order of entry, whose own rule takes the pieces: a
    carton for the small and light, a closed crate up to its size, a battened one above; and one that gathers pieces,
    as travel frames in an outer case do, where enough of those that it takes share a stated destination.
    """
    plain = [_alone(bundle, shop, units) for bundle in bundles]
    gathering = {each.gathering.instead_of: each for each in methods().values() if each.gathering is not None}
    shared = Counter(
        (choice.method, bundle.pieces[0].destination)
        for bundle, choice in zip(bundles, plain, strict=True)
        if choice.method in gathering and _free(bundle)
    )
    chosen: list[Choice] = []
    for bundle, choice in zip(bundles, plain, strict=True):
        place, instead = bundle.pieces[0].destination, gathering.get(choice.method)
        together = shared[choice.method, place] if place else 0
        if instead and instead.gathering and _free(bundle) and together >= shop.method.travel_from:
            why = f"{together} of the larger pieces go to {place}: {instead.gathering.why}"
            chosen.append(Choice(instead.name, why))
        else:
            chosen.append(choice)
    return tuple(chosen)


def _free(bundle: Bundle) -> bool:
    """Whether it may be gathered with others: nothing is asked for it, and it is no set."""
    return not bundle.asked and bundle.set_name is None


def _alone(bundle: Bundle, shop: Shop, units: UnitSystem) -> Choice:
    """Choose for one bundle without looking at the others."""
    group = "" if bundle.single else f"{bundle.called}: "
    if bundle.asked:
        return Choice(bundle.asked[0], "the order asks for it", by_shop=False)
    packing = Packing("", bundle.pieces, shop, "", units=units)
    for each in methods().values():
        if each.suits is not None and (why := each.suits(packing)):
            return Choice(each.name, f"{group}{why}")
    raise LookupError("no packing method is entered that the shop's rules take for every piece")
