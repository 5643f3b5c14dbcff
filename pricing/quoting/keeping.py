"""Keeping: how crates are made of which parts are cut already, so that those parts go on serving.

A crate whose pieces are as they were is made as it was; the others are made as is chosen for the order as it is now.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from nesting.build import Build
from nesting.crates.cases.consignment import CartonLoad, CaseLoad, Grouping
from nesting.crates.chosen import CARTON_AS_RULED, CASE_AS_RULED, SHELL_AS_RULED
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


def overlaid(chosen: Grouping, taken: Grouping, sharing: Mapping[str, str]) -> Grouping:
    """Return what was chosen for an order's crates, with the designs that somebody took for some of them.

    A design was taken for a case or carton with certain pieces; where they are divided otherwise, it counts no more.

    Parameters
    ----------
    chosen : Grouping
        As the search or the rules have it.
    taken : Grouping
        Designs by what is in each crate.
    sharing : mapping of str to str
        Pieces that go in cartons which several may share, with their destinations.
    """
    cases = {frozenset(load.pieces): load for load in taken.cases}
    cartons = {frozenset(load.pieces): load for load in taken.cartons}
    shared = {piece for load in chosen.cartons for piece in load.pieces}
    alone = [
        replace(load, destination=sharing[load.pieces[0]])
        for load in taken.cartons
        if len(load.pieces) == 1 and load.pieces[0] in sharing and load.pieces[0] not in shared
    ]
    shells = {**dict(chosen.shells), **dict(taken.shells)}
    return replace(
        chosen,
        cases=tuple(_as_taken(load, cases.get(frozenset(load.pieces))) for load in chosen.cases),
        cartons=tuple(
            load
            for load in (*(_as_taken(load, cartons.get(frozenset(load.pieces))) for load in chosen.cartons), *alone)
            if len(load.pieces) > 1 or load.design != CARTON_AS_RULED
        ),
        shells=tuple((piece, design) for piece, design in shells.items() if design != SHELL_AS_RULED),
    )


def of_these(taken: Grouping | None, pieces: Collection[str]) -> Grouping | None:
    """Return the designs that were taken for crates all of whose pieces are among some; None where none is left."""
    if taken is None:
        return None
    among = set(pieces)
    cases = tuple(load for load in taken.cases if among.issuperset(load.pieces))
    cartons = tuple(load for load in taken.cartons if among.issuperset(load.pieces))
    shells = tuple((piece, design) for piece, design in taken.shells if piece in among)
    return replace(taken, cases=cases, cartons=cartons, shells=shells) if cases or cartons or shells else None


def left_aside(taken: Grouping | None, build: Build) -> tuple[tuple[str, ...], ...]:
    """Return the pieces of each crate for which a design was taken that a build does not have."""
    if taken is None:
        return ()
    chosen = build.grouping or Grouping(())
    loads: tuple[CaseLoad | CartonLoad, ...] = (*chosen.cases, *chosen.cartons)
    made = {frozenset(load.pieces): load.design for load in loads}
    shells, crates = dict(chosen.shells), {frozenset(crate.pieces) for crate in build.every}

    def stands(pieces: tuple[str, ...], design: object, found: object) -> bool:
        # What the rules have is said of no crate: it is so wherever such a crate is made and nothing else is said.
        ruled = design in (CASE_AS_RULED, CARTON_AS_RULED, SHELL_AS_RULED) and frozenset(pieces) in crates
        return ruled or found == design

    wanted: tuple[CaseLoad | CartonLoad, ...] = (*taken.cases, *taken.cartons)
    aside = [load.pieces for load in wanted if not stands(load.pieces, load.design, made.get(frozenset(load.pieces)))]
    aside += [(piece,) for piece, design in taken.shells if not stands((piece,), design, shells.get(piece))]
    return tuple(aside)


def _as_taken(load: L, taken: L | None) -> L:
    return load if taken is None else replace(load, pieces=taken.pieces, design=taken.design)


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
