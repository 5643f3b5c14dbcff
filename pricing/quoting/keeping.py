"""Keeping: how crates are made of which parts are cut already, so that those parts go on serving.

A crate whose pieces are as they were is made as it was; the others are made as is chosen for the order as it is now.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

from nesting.crates.cases.consignment import CartonLoad, CaseLoad, Grouping
from nesting.crates.chosen import CARTON_AS_RULED, CASE_AS_RULED
from nesting.order import Artwork, Order

L = TypeVar("L", CaseLoad, CartonLoad)


def kept_design(before: Grouping, pieces: Sequence[Artwork], order: Order, fresh: Grouping) -> Grouping:
    """Return how an order's crates are made where those with unchanged pieces stay.

    Parameters
    ----------
    before : Grouping
        How the crates of the earlier version are made.
    pieces : sequence of Artwork
        The copies that it was of.
    order : Order
        As it is now.
    fresh : Grouping
        What is chosen for it now.
    """
    was = {piece.piece: piece.as_made() for piece in pieces}
    copies = order.copies()
    at = {copy.piece: number for number, copy in enumerate(copies)}
    same = {copy.piece for copy in copies if was.get(copy.piece) == copy.as_made()}

    def first(load: CaseLoad | CartonLoad) -> int:
        return min(at[piece] for piece in load.pieces)

    shells = {piece: design for piece, design in fresh.shells if piece not in same}
    shells |= {piece: design for piece, design in before.shells if piece in same}
    return replace(
        fresh,
        cases=tuple(sorted(joined(before.cases, fresh.cases, same), key=first)),
        cartons=tuple(sorted(joined(before.cartons, fresh.cartons, same), key=first)),
        shells=tuple(sorted(shells.items(), key=lambda each: at[each[0]])),
    )


def joined(before: Iterable[L], fresh: Iterable[L], same: set[str]) -> list[L]:
    """Return loads that stay, and fresh ones of what is left, as the rules make them where that is less."""
    found = [load for load in before if same.issuperset(load.pieces)]
    gone = {piece for load in found for piece in load.pieces}
    for load in fresh:
        left = tuple(piece for piece in load.pieces if piece not in gone)
        if left == load.pieces:
            found.append(load)
        elif left:
            design = CASE_AS_RULED if isinstance(load, CaseLoad) else CARTON_AS_RULED
            found.append(replace(load, pieces=left, design=design))
    return found
