"""Which travel frames share an outer case, at the least cost of the cases.

The costs come from a function that the front office hands in, so the shop floor knows no money. The search itself is
:mod:`nesting.crates.cases.partition`; here an order's wishes become what it may and may not combine.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from nesting.base.faults import Fault, FaultsFound
from nesting.crates.cases.consignment import CaseLoad, Grouping, apart, clusters, faults_of, near
from nesting.crates.cases.partition import CaseCosts, NoPartitionError, Partition, partition
from nesting.crates.expand import riding
from nesting.crates.model import Crate
from nesting.crates.registry import method
from nesting.order import AUTO, Artwork, Order
from nesting.shop.shop import Shop


class CostsFor(Protocol):
    """Makes the cost function of one destination."""

    def __call__(self, artworks: Sequence[Artwork], frames: Sequence[Crate], destination: str, /) -> CaseCosts:
        """Return what cases of these frames cost; piece numbers are positions in the two sequences."""


@dataclass(frozen=True, slots=True)
class PlaceSearch:
    """What was found for one destination."""

    destination: str
    pieces: tuple[str, ...]
    partition: Partition


@dataclass(frozen=True, slots=True)
class CaseSearch:
    """The cheapest cases of an order.

    Attributes
    ----------
    grouping : Grouping
        To hand to :func:`nesting.build.build`; empty where nothing goes in travel frames.
    places : tuple of PlaceSearch
        By destination, with cost, bound and how many cases were considered.
    """

    grouping: Grouping
    places: tuple[PlaceSearch, ...]


def cheapest_cases(order: Order, shop: Shop, costs_for: CostsFor) -> CaseSearch:
    """Find the cheapest cases for an order's travel frames.

    Parameters
    ----------
    order : Order
        Its wishes (together, apart, set) and the shop's (``method.case_most``, ``case.near_size``) are kept.
    shop : Shop
        Goods and rules.
    costs_for : CostsFor
        Makes the cost function of a destination.

    Returns
    -------
    CaseSearch

    Raises
    ------
    FaultsFound
        Wishes that no grouping can give, frames that cannot be made, and pieces that no allowed case takes.
    """
    travelling = riding(order, shop)
    copies, frames = [piece for piece, _ in travelling], [frame for _, frame in travelling]
    if faults := faults_of(copies, shop, order.source):
        raise FaultsFound(faults)
    by_place: dict[str, list[int]] = {}
    for index, copy in enumerate(copies):
        by_place.setdefault(copy.destination or "", []).append(index)
    loads: list[tuple[int, CaseLoad]] = []
    places = []
    for place, indices in by_place.items():
        # Near sizes beside each other: where not every case can be considered, those of neighbours are.
        indices.sort(key=lambda i: (-copies[i].longest_side, -min(copies[i].width, copies[i].height), i))
        here = [copies[i] for i in indices]
        found = _search(here, [frames[i] for i in indices], place, shop, order, costs_for)
        places.append(PlaceSearch(place, tuple(a.piece for a in here), found))
        loads += [
            (min(indices[n] for n in case), CaseLoad(tuple(here[n].piece for n in case), place)) for case in found.cases
        ]
    loads.sort(key=lambda pair: pair[0])
    # A frame that the shop chose and that would ride alone is left out: it goes battened instead.
    asked = (
        {copy.piece for copy in copies if copy.method != AUTO and method(copy.method).rides}
        if shop.method.travel_from > 1
        else {copy.piece for copy in copies}
    )
    kept = tuple(load for _, load in loads if len(load.pieces) > 1 or set(load.pieces) & asked)
    grouping = Grouping(kept, "the cheapest cases, by estimated cost")
    return CaseSearch(grouping, tuple(places))


def _search(
    artworks: Sequence[Artwork],
    frames: Sequence[Crate],
    place: str,
    shop: Shop,
    order: Order,
    costs_for: CostsFor,
) -> Partition:
    """Search one destination."""
    count = len(artworks)
    never = frozenset(
        (i, j)
        for i in range(count)
        for j in range(i + 1, count)
        if apart(artworks[i], artworks[j]) or not near(artworks[i], artworks[j], shop.case.near_size)
    )
    atoms = sorted((tuple(sorted(each)) for each in clusters(artworks)), key=min)
    # Pieces that must share a case do so even where their sizes differ; the order's word is above the shop's habit.
    wished = {(i, j) for atom in atoms for i in atom for j in atom if i < j}
    try:
        return partition(atoms, never - wished, shop.method.case_most, costs_for(artworks, frames, place))
    except NoPartitionError as error:
        raise FaultsFound(
            Fault(
                order.source,
                artworks[index].row,
                "destination",
                f"{artworks[index].piece}: no case with it suits {place or 'its destination'}",
                "a wider door, another freight profile, or another method",
            )
            for index in error.pieces
        ) from error
