"""Which travel frames share an outer case, at the least cost of the cases.

The costs come from a function that the front office hands in, so the shop floor knows no money. The search itself is
:mod:`nesting.crates.cases.partition`; here an order's wishes become what it may and may not combine. Near sizes are the
shop's wish and no wall: frames of other sizes share a case where that is cheaper, and the case says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Protocol

from nesting.base.faults import Fault, FaultsFound
from nesting.crates.cases.consignment import CaseLoad, Grouping, clusters, far_masks, faults_of, parted
from nesting.crates.cases.partition import CaseCosts, NoPartitionError, Partition, masks, partition
from nesting.crates.expand import riding
from nesting.crates.model import Crate
from nesting.crates.registry import method
from nesting.order import AUTO, Artwork, Order
from nesting.shop.shop import Shop

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_UNSUITED: Final = 10**9
"""What a case costs more that no carrier or door takes, where nothing takes its pieces anyhow."""


class CostsFor(Protocol):
    """Makes the cost function of one destination."""

    def __call__(self, artworks: Sequence[Artwork], frames: Sequence[Crate], destination: str, /) -> CaseCosts:
        """Return what cases of these frames cost; piece numbers are positions in the two sequences."""


@dataclass(frozen=True, slots=True)
class Ways:
    """How cases are looked for.

    Attributes
    ----------
    near_only : bool
        Whether near sizes are kept to as if they were a wall.
    keep : int
        How many partitions of each destination are wanted.
    anyhow : bool
        Whether pieces that no carrier or door takes in any case are put in cases all the same, so that the quote can
        say so of each, instead of a fault.
    longer : bool
        Whether a longer search follows where a few steps prove nothing.
    """

    near_only: bool = False
    keep: int = 1
    anyhow: bool = False
    longer: bool = True


@dataclass(frozen=True, slots=True)
class PlaceSearch:
    """What was found for one destination.

    Attributes
    ----------
    destination : str
        Its name; empty where the order does not say.
    pieces : tuple of str
        Those that ride, by which the partition's numbers go.
    partition : Partition
        Of them.
    unsuited : bool
        Whether some case of it suits no carrier or door.
    """

    destination: str
    pieces: tuple[str, ...]
    partition: Partition
    unsuited: bool = False

    def loads(self, cases: Sequence[Sequence[int]]) -> tuple[CaseLoad, ...]:
        """Return cases of piece numbers as loads."""
        return tuple(CaseLoad(tuple(self.pieces[n] for n in case), self.destination) for case in cases)


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


def cheapest_cases(
    order: Order,
    shop: Shop,
    costs_for: CostsFor,
    ways: Ways | None = None,
    travelling: Sequence[tuple[Artwork, Crate]] | None = None,
) -> CaseSearch:
    """Find the cheapest cases for an order's travel frames.

    Parameters
    ----------
    order : Order
        Its wishes (together, apart, set) and the shop's ``method.case_most`` are kept.
    shop : Shop
        Goods and rules.
    costs_for : CostsFor
        Makes the cost function of a destination.
    ways : Ways, optional
        How they are looked for.
    travelling : sequence of (Artwork, Crate), optional
        The copies that ride with their frames, where they are made already.

    Returns
    -------
    CaseSearch

    Raises
    ------
    FaultsFound
        Wishes that no grouping can give, frames that cannot be made, and pieces that no allowed case takes.
    """
    travelling = riding(order, shop) if travelling is None else travelling
    copies, frames = [piece for piece, _ in travelling], [frame for _, frame in travelling]
    if faults := faults_of(copies, shop, order.source):
        raise FaultsFound(faults)
    by_place: dict[str, list[int]] = {}
    for index, copy in enumerate(copies):
        by_place.setdefault(copy.destination or "", []).append(index)
    places = []
    for place, indices in by_place.items():
        # Near sizes beside each other: where not every case can be considered, those of neighbours are.
        indices.sort(key=lambda i: (*by_size(copies[i]), i))
        here = [copies[i] for i in indices]
        search = _Place(here, [frames[i] for i in indices], place, shop, order.source)
        places.append(search.find(costs_for, ways or Ways()))
    at = {copy.piece: index for index, copy in enumerate(copies)}
    loads = [load for found in places for load in found.loads(found.partition.cases)]
    loads.sort(key=lambda load: min(at[piece] for piece in load.pieces))
    # A frame that the shop chose and that would ride alone is left out: it goes battened instead.
    free = may_stay_out(copies, shop)
    kept = tuple(load for load in loads if len(load.pieces) > 1 or not free.issuperset(load.pieces))
    return CaseSearch(Grouping(kept, "the cheapest cases, by estimated cost"), tuple(places))


def may_stay_out(copies: Sequence[Artwork], shop: Shop) -> frozenset[str]:
    """Return the copies that ride only because the shop chose so, and that go another way where they ride alone."""
    if shop.method.travel_from == 1:
        return frozenset()
    return frozenset(copy.piece for copy in copies if copy.method == AUTO or not method(copy.method).rides)


def plain(artwork: Artwork) -> Artwork:
    """Return a piece without its name and what else makes no difference to how it is packed."""
    return replace(
        artwork.as_made(), piece="-", copy_of=None, accept_held="", price=None, declared=None, commission=None,
        ship_by=None, quantity=1, buyer="", gallery="",
    )  # fmt: skip


def by_size(artwork: Artwork) -> tuple[object, ...]:
    """Return what puts pieces in an order that hangs on what they are, not on where they stand."""
    return -artwork.longest_side, -min(artwork.width, artwork.height), -artwork.depth, repr(plain(artwork))


@dataclass(frozen=True, slots=True)
class _Place:
    """One destination: its pieces, largest first, and their frames."""

    artworks: Sequence[Artwork]
    frames: Sequence[Crate]
    place: str
    shop: Shop
    source: str

    def find(self, costs_for: CostsFor, ways: Ways) -> PlaceSearch:
        """Search it."""
        artworks, count = self.artworks, len(self.artworks)
        never = self._never(ways)
        for one, mask in masks(parted(artworks)).items():
            never[one] = never.get(one, 0) | mask
        atoms = sorted((tuple(sorted(each)) for each in clusters(artworks)), key=min)
        # Pieces that must share a case do so even where their sizes differ; the order's word is above the shop's habit.
        for atom in atoms:
            together = sum(1 << piece for piece in atom) if len(atom) > 1 else 0
            for piece in atom if together else ():
                never[piece] = never.get(piece, 0) & ~together
        never = {piece: mask for piece, mask in never.items() if mask}
        named = never.keys() if any(a.apart for a in artworks) else set()
        kinds = [
            index if index in named else (plain(each), frame.standing)
            for index, (each, frame) in enumerate(zip(artworks, self.frames, strict=True))
        ]
        costs = costs_for(artworks, self.frames, self.place)
        names = tuple(each.piece for each in artworks)
        most = self.shop.method.case_most
        try:
            return PlaceSearch(self.place, names, partition(atoms, never, most, costs, ways.keep, kinds, ways.longer))
        except NoPartitionError as error:
            if not ways.anyhow:
                raise self._fault(error) from error
        found = partition(atoms, never, most, _Anyhow(costs, count), ways.keep, kinds, ways.longer)
        return PlaceSearch(self.place, names, found, unsuited=True)

    def _never(self, ways: Ways) -> dict[int, int]:
        """Return the frames that do not share a case though nobody asked for them to be apart, as masks."""
        if ways.near_only:
            return far_masks(self.artworks, self.shop.case.near_size)
        # One that is held would hold the other with it.
        held = sum(1 << n for n, frame in enumerate(self.frames) if frame.standing == "held")
        others = (1 << len(self.frames)) - 1 ^ held
        return {n: others if held >> n & 1 else held for n in range(len(self.frames))} if held else {}

    def _fault(self, error: NoPartitionError) -> FaultsFound:
        return FaultsFound(
            Fault(
                self.source,
                self.artworks[index].row,
                "destination",
                f"{self.artworks[index].piece}: no case with it suits {self.place or 'its destination'}",
                "a wider door, another freight profile, or another method",
            )
            for index in error.pieces
        )


@dataclass(frozen=True, slots=True)
class _Anyhow:
    """Costs that allow every case, those that suit nothing at a cost that is only paid where it must be."""

    costs: CaseCosts
    count: int

    def __call__(self, cases: "NDArray[np.int16]", /) -> "NDArray[np.int64]":
        """Cost many cases."""
        import numpy as np

        found = np.asarray(self.costs(cases), dtype=np.int64)
        # A case that suits nothing counts by its pieces, so that what can leave does.
        held = np.asarray((cases < self.count).sum(axis=1), dtype=np.int64)
        return np.asarray(np.where(found < 0, _UNSUITED * held, found), dtype=np.int64)
