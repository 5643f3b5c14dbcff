"""Shared: which pieces of an order go in one carton, as a grouping says that somebody found."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from nesting.base.faults import Fault
from nesting.crates.cases.consignment import CartonLoad, Grouping, apart
from nesting.crates.choose import Bundle, Choice
from nesting.crates.registry import method
from nesting.order import Artwork


@dataclass(frozen=True, slots=True)
class Share:
    """What is packed together, or by itself.

    Attributes
    ----------
    bundles : tuple of (Bundle, Choice)
        What it holds; one where nothing is shared.
    load : CartonLoad or None
        How the carton is filled; None where each is packed as its method is.
    """

    bundles: tuple[tuple[Bundle, Choice], ...]
    load: CartonLoad | None = None

    @property
    def pieces(self) -> tuple[Artwork, ...]:
        """Its pieces, in the order of the load."""
        known = {piece.piece: piece for bundle, _ in self.bundles for piece in bundle.pieces}
        return tuple(known[name] for name in self.load.pieces) if self.load else tuple(known.values())

    @property
    def reason(self) -> str:
        """Why they are packed so."""
        why = "; ".join(dict.fromkeys(choice.reason for _, choice in self.bundles))
        count = len(self.pieces)
        return f"{why}; {count} works share it" if count > 1 else why


def sharing_cartons(
    bundles: Iterable[tuple[Bundle, Choice]], grouping: Grouping | None, faults: list[Fault]
) -> Iterator[Share]:
    """Yield what is packed in turn: the bundles of a load where the first of them stands, each other one by itself.

    Parameters
    ----------
    bundles : iterable of (Bundle, Choice)
        Of the order, in its order.
    grouping : Grouping, optional
        Its cartons are followed.
    faults : list of Fault
        Loads that do not fit the order are added: pieces that it has not, that are no carton's, of a set or bound to
        others, that go to different places or must travel apart.
    """
    every = list(bundles)
    home = {bundle.pieces[0].piece: (bundle, choice) for bundle, choice in every if bundle.single}
    loads: dict[str, CartonLoad] = {}
    for load in grouping.cartons if grouping else ():
        if wrong := _wrong(load, home):
            faults.append(Fault("grouping", None, None, wrong, "a grouping that fits the order"))
        else:
            loads |= dict.fromkeys(load.pieces, load)
    told: set[CartonLoad] = set()
    for bundle, choice in every:
        found = loads.get(bundle.pieces[0].piece) if bundle.single else None
        if found is None:
            yield Share(((bundle, choice),))
        elif found not in told:
            told.add(found)
            yield Share(tuple(home[piece] for piece in found.pieces), found)


def _wrong(load: CartonLoad, home: dict[str, tuple[Bundle, Choice]]) -> str:
    """Say what of a load does not fit the order; empty where all does."""
    told = ", ".join(load.pieces)
    if any(piece not in home or not method(home[piece][1].method).shares for piece in load.pieces):
        return f"{told}: not all go in cartons that several may share"
    pieces = [home[name][0].pieces[0] for name in load.pieces]
    if {piece.destination or "" for piece in pieces} != {load.destination}:
        return f"{told}: not all go to {load.destination or 'one place'}"
    pairs = ((one, other) for index, one in enumerate(pieces) for other in pieces[index + 1 :])
    return next((f"{one.piece} and {other.piece} must travel apart" for one, other in pairs if apart(one, other)), "")
