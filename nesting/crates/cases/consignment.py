"""Consignments: which travel frames share an outer case.

:class:`Grouping` says which copies ride in which case, and nothing of how it was found, so that a search with costs
may hand in another one. :func:`near_sizes` is the simple way: by destination, the largest first, each into the first
case whose frames are near its own size. It respects what must and must not travel together, but promises no least
number of cases.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.base.faults import Fault, FaultsFound
from nesting.crates.chosen import (
    CARTON_AS_RULED,
    CASE_AS_RULED,
    CartonDesign,
    CaseDesign,
    ShellDesign,
)
from nesting.order import Artwork
from nesting.shop.shop import Shop

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_APART = "pieces that may travel in one case, or no word on it in the column apart"


@dataclass(frozen=True, slots=True)
class CaseLoad:
    """What rides in one outer case.

    Attributes
    ----------
    pieces : tuple of str
        Copies (``"A-01"``, ``"A-02#1"``), from the back of the case to its front.
    destination : str
        Where it goes; empty where the order does not say.
    design : CaseDesign
        How the case is made.
    """

    pieces: tuple[str, ...]
    destination: str = ""
    design: CaseDesign = CASE_AS_RULED

    def __post_init__(self) -> None:
        if not self.pieces or len(set(self.pieces)) != len(self.pieces):
            raise ValueError(f"a case carries at least one piece, each once, not {self.pieces}")


@dataclass(frozen=True, slots=True)
class CartonLoad:
    """What shares one carton.

    Attributes
    ----------
    pieces : tuple of str
        Copies, from the back of the carton to its front, those side by side from left to right.
    destination : str
        Where it goes; empty where the order does not say.
    design : CartonDesign
        How it is filled.
    """

    pieces: tuple[str, ...]
    destination: str = ""
    design: CartonDesign = CARTON_AS_RULED

    def __post_init__(self) -> None:
        if not self.pieces or len(set(self.pieces)) != len(self.pieces):
            raise ValueError(f"a carton carries at least one piece, each once, not {self.pieces}")


@dataclass(frozen=True, slots=True)
class Grouping:
    """Which copies of pieces share a case or a carton, and what was chosen for each crate.

    Attributes
    ----------
    cases : tuple of CaseLoad
        In the order in which the cases are named; a copy rides in one case only.
    how : str
        How it was found, for people.
    cartons : tuple of CartonLoad
        The same for cartons; a piece that is in none and goes in a carton has one of its own, as the rules give it.
    shells : tuple of (str, ShellDesign)
        How the faces of other crates are divided, by the first copy in each.
    tried : int
        How many designs of the whole order it was chosen from; 0 where nothing was searched.
    """

    cases: tuple[CaseLoad, ...]
    how: str = ""
    cartons: tuple[CartonLoad, ...] = ()
    shells: tuple[tuple[str, ShellDesign], ...] = ()
    tried: int = 0

    def __post_init__(self) -> None:
        seen: set[str] = set()
        loads: tuple[CaseLoad | CartonLoad, ...] = (*self.cases, *self.cartons)
        for load in loads:
            if twice := seen.intersection(load.pieces):
                raise ValueError(f"piece {min(twice)} rides in two cases")
            seen.update(load.pieces)

    @property
    def pieces(self) -> frozenset[str]:
        """Every copy that rides in some case."""
        return frozenset(piece for case in self.cases for piece in case.pieces)


def _stem(artwork: Artwork) -> str:
    """Return the name of the order's line that a copy comes from."""
    return artwork.copy_of or artwork.piece


def _by_name(artworks: Iterable[Artwork]) -> Mapping[str, tuple[int, ...]]:
    """Return the positions of copies under both of their names: a line's name stands for all its copies."""
    found: dict[str, list[int]] = {}
    for index, artwork in enumerate(artworks):
        for name in dict.fromkeys((artwork.piece, _stem(artwork))):
            found.setdefault(name, []).append(index)
    return {name: tuple(each) for name, each in found.items()}


def clusters(artworks: Sequence[Artwork]) -> tuple[tuple[int, ...], ...]:
    """Return the positions of copies that must share a case: named together, or of one set; each copy once."""
    names = _by_name(artworks)
    parent = list(range(len(artworks)))

    def root(index: int) -> int:
        while parent[index] != index:
            index = parent[index]
        return index

    sets: dict[str, int] = {}
    for index, artwork in enumerate(artworks):
        others = [other for name in artwork.together for other in names.get(name, ())]
        if artwork.set_name is not None:
            others.append(sets.setdefault(artwork.set_name, index))
        for other in others:
            first, second = sorted((root(index), root(other)))
            parent[second] = first
    members: dict[int, list[int]] = {}
    for index in range(len(artworks)):
        members.setdefault(root(index), []).append(index)
    return tuple(tuple(each) for each in members.values())


def apart(first: Artwork, second: Artwork) -> bool:
    """Tell whether two copies must not share a case; the word of either is enough."""
    return any(
        name in one.apart for one, other in ((first, second), (second, first)) for name in (other.piece, _stem(other))
    )


def parted(artworks: Sequence[Artwork]) -> frozenset[tuple[int, int]]:
    """Return the positions of all pairs of copies that must not share a case, the smaller first; see :func:`apart`."""
    names = _by_name(artworks) if any(artwork.apart for artwork in artworks) else {}
    return frozenset(
        (min(index, other), max(index, other))
        for index, artwork in enumerate(artworks)
        for name in artwork.apart
        for other in names.get(name, ())
        if other != index
    )


def near(first: Artwork, second: Artwork, share: float) -> bool:
    """Tell whether two pieces are near in size: the smaller is shorter by no more than ``share`` each way.

    A piece that may travel on another edge counts either way round.
    """
    sizes = (second.width, second.height)
    ways = [sizes, sizes[::-1]] if first.turn or second.turn else [sizes]
    return any(
        min(a, b) >= (1 - share) * max(a, b) and min(c, d) >= (1 - share) * max(c, d)
        for a, c in [(first.width, first.height)]
        for b, d in ways
    )


def far_masks(artworks: Sequence[Artwork], share: float) -> dict[int, int]:
    """Return for each copy those that are not :func:`near` it, as the ones of a mask, at once for very many."""
    import numpy as np

    if not artworks:
        return {}
    sides = np.array([(each.width, each.height) for each in artworks], dtype=np.float64)
    turns = np.array([each.turn for each in artworks], dtype=bool)

    def alike(one: float, others: "NDArray[np.float64]") -> "NDArray[np.bool_]":
        return np.asarray(np.minimum(one, others) >= (1 - share) * np.maximum(one, others))

    found: dict[int, int] = {}
    for n, (width, height) in enumerate(sides):
        near_by = alike(width, sides[:, 0]) & alike(height, sides[:, 1])
        near_by |= (alike(width, sides[:, 1]) & alike(height, sides[:, 0])) & (turns | turns[n])
        near_by[n] = True
        if not near_by.all():
            found[n] = int.from_bytes(np.packbits(~near_by, bitorder="little").tobytes(), "little")
    return found


def far(artworks: Sequence[Artwork], share: float) -> str:
    """Say which pieces of one case are not near in size though nobody asked for them together; empty where all are."""
    wished = {frozenset((i, j)) for cluster in clusters(artworks) for i in cluster for j in cluster}
    pairs = [
        (one.piece, other.piece)
        for i, one in enumerate(artworks)
        for j, other in enumerate(artworks[i + 1 :], i + 1)
        if not near(one, other, share) and frozenset((i, j)) not in wished
    ]
    if not pairs:
        return ""
    one, other = pairs[0]
    more = f", and {len(pairs) - 1} more such pairs" if len(pairs) > 1 else ""
    return (
        f"{one} and {other} share it though their sizes differ by more than case.near_size{more}: "
        "it is the cheaper way; pad the smaller frame so that it cannot shift"
    )


def faults_of(artworks: Sequence[Artwork], shop: Shop, source: str = "") -> list[Fault]:
    """Find what the order asks for that no grouping can give.

    Parameters
    ----------
    artworks : sequence of Artwork
        Copies that go in travel frames.
    shop : Shop
        How many frames a case takes.
    source : str
        File of the order, for messages.

    Returns
    -------
    list of Fault
        Pieces that must share a case but go to different places, are too many, or are also to be kept apart; and
        words about pieces that go in no travel frame.
    """
    names = _by_name(artworks)
    faults = [
        Fault(source, artwork.row, "together", f"{_stem(artwork)} with {name}", "pieces that both go in travel frames")
        for artwork in _lines(artworks)
        for name in artwork.together
        if name not in names
    ]
    for cluster in clusters(artworks):
        members = [artworks[index] for index in cluster]
        first = members[0]
        told = ", ".join(artwork.piece for artwork in members)
        column = "together" if any(artwork.together for artwork in members) else "set"
        if len({artwork.destination or "" for artwork in members}) > 1:
            faults.append(Fault(source, first.row, column, told, "pieces of one destination in one case"))
        if len(members) > shop.method.case_most:
            faults.append(
                Fault(
                    source,
                    first.row,
                    column,
                    f"{told}: {len(members)} pieces",
                    f"{shop.method.case_most} at most in a case",
                )
            )
        pair = next(((a, b) for i, a in enumerate(members) for b in members[i + 1 :] if apart(a, b)), None)
        if pair is not None:
            faults.append(Fault(source, pair[0].row, "apart", f"{pair[0].piece} with {pair[1].piece}", _APART))
    return faults


def _lines(artworks: Sequence[Artwork]) -> list[Artwork]:
    """Return the first copy of each line of the order."""
    found: dict[str, Artwork] = {}
    for artwork in artworks:
        found.setdefault(_stem(artwork), artwork)
    return list(found.values())


def near_sizes(artworks: Sequence[Artwork], shop: Shop, source: str = "") -> Grouping:
    """Group travel frames simply: by destination, the largest first, into the first case that takes them.

    Parameters
    ----------
    artworks : sequence of Artwork
        Copies that go in travel frames.
    shop : Shop
        ``method.case_most`` frames a case, and how near in size they must be (``case.near_size``).
    source : str
        File of the order, for messages.

    Returns
    -------
    Grouping
        The same for the same input; cases in the order in which the order first names one of their pieces.

    Raises
    ------
    FaultsFound
        All that no grouping can give; see :func:`faults_of`.
    """
    if faults := faults_of(artworks, shop, source):
        raise FaultsFound(faults)

    def takes(case: list[int], cluster: tuple[int, ...]) -> bool:
        return (
            len(case) + len(cluster) <= shop.method.case_most
            and artworks[case[0]].destination == artworks[cluster[0]].destination
            and not any(apart(artworks[one], artworks[other]) for one in case for other in cluster)
            and all(near(artworks[one], artworks[other], shop.case.near_size) for one in case for other in cluster)
        )

    def size(index: int) -> tuple[int, int, int]:
        sides = artworks[index].width, artworks[index].height
        return (-max(sides), -min(sides), index)

    cases: list[list[int]] = []
    least = 1 - shop.case.near_size
    opened: dict[str | None, list[list[int]]] = {}  # by place, those that may take more
    for cluster in sorted(clusters(artworks), key=lambda each: min(size(index) for index in each)):
        here = opened.setdefault(artworks[cluster[0]].destination, [])
        # The largest come first: a case whose own largest is too large by now is so for all that follow.
        largest = -min(size(index)[0] for index in cluster)
        at = 0
        while at < len(here):
            case = here[at]
            if takes(case, cluster):
                case.extend(cluster)
                break
            if len(case) >= shop.method.case_most or largest < least * artworks[case[0]].longest_side:
                del here[at]
            else:
                at += 1
        else:
            cases.append(list(cluster))
            here.append(cases[-1])
    return Grouping(
        tuple(
            CaseLoad(
                tuple(artworks[index].piece for index in sorted(case, key=size)), artworks[case[0]].destination or ""
            )
            for case in sorted(cases, key=min)
        ),
        "near sizes of one destination together, the largest first",
    )


def check_grouping(grouping: Grouping, artworks: Sequence[Artwork], shop: Shop) -> list[str]:
    """Hold a grouping against the order, however it was found.

    Returns
    -------
    list of str
        What is wrong: copies that ride nowhere or are unknown, cases too full or of two destinations, copies that
        must or must not share a case and do otherwise. Empty when all is well.
    """
    known, riding = {artwork.piece: artwork for artwork in artworks}, grouping.pieces
    wrong = [f"{piece} rides in no case" for piece in known if piece not in riding]
    wrong += [f"{piece} goes in no travel frame" for piece in sorted(riding - known.keys())]
    home = {piece: number for number, case in enumerate(grouping.cases) for piece in case.pieces}
    for case in grouping.cases:
        inside = [known[piece] for piece in case.pieces if piece in known]
        told = ", ".join(case.pieces)
        if len(case.pieces) > shop.method.case_most:
            wrong.append(f"{told}: more than {shop.method.case_most} in a case")
        if {artwork.destination or "" for artwork in inside} - {case.destination}:
            wrong.append(f"{told}: not all go to {case.destination or 'one place'}")
        wrong += [
            f"{one.piece} and {other.piece} must travel apart"
            for index, one in enumerate(inside)
            for other in inside[index + 1 :]
            if apart(one, other)
        ]
    for cluster in clusters(artworks):
        if len({home.get(artworks[index].piece) for index in cluster}) > 1:
            wrong.append(f"{', '.join(artworks[index].piece for index in cluster)} must travel together")
    return wrong
