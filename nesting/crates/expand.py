"""Expanding: an order becomes crates, every fault told at once."""

import re
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from nesting.advice.carriage import COMMON, Carriage
from nesting.base.counts import one_of
from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import UnitSystem
from nesting.crates.cases.consignment import (
    CaseLoad,
    Grouping,
    apart,
    check_grouping,
    clusters,
    far,
    faults_of,
    near_sizes,
)
from nesting.crates.choose import Bundle, Choice, packed_as
from nesting.crates.chosen import CARTON_AS_RULED, SHELL_AS_RULED, CartonDesign
from nesting.crates.framed import why_unframed
from nesting.crates.handling import with_marks
from nesting.crates.judge import Judge
from nesting.crates.limits import as_ordered, snug_faults
from nesting.crates.model import Crate
from nesting.crates.registry import askable, case_maker, maker, method, method_of
from nesting.crates.shared import Share, sharing_cartons
from nesting.crates.standing import held_by, held_with, with_standing
from nesting.crates.traits import Casing, Packing, Refused, RulesClash
from nesting.crates.trying import NothingPacks, by_any_method
from nesting.crates.unpacked import Unpacked
from nesting.order import AUTO, Artwork, Order
from nesting.shop.needs import UnfitMaterialError
from nesting.shop.shop import MissingGoodError, Shop
from nesting.shop.supports import refuse_unweighable


@dataclass(slots=True)
class _Expansion:
    """An order on its way to crates: what all of them are made with, and what was found wrong so far."""

    shop: Shop
    units: UnitSystem
    source: str
    countries: Mapping[str, str]
    faults: list[Fault]
    judge: Judge = field(default_factory=Judge)
    carriage: Mapping[str, Carriage] = field(default_factory=dict)
    grouping: Grouping | None = None
    made: dict[Hashable, Any] = field(default_factory=dict)
    memory: dict[Hashable, Any] = field(default_factory=dict)
    unpacked: list[Unpacked] = field(default_factory=list)
    keys: dict[str, Hashable] = field(default_factory=dict)

    def once_made(self, name: str, key: Hashable, make: Callable[[], Crate | None]) -> Crate | None:
        """Make a crate of that name, or take the one that was made by the same key; what is refused is asked anew."""
        self.keys[name] = key
        if key in self.made:
            known: Crate = self.made[key]
            return known
        crate = make()
        if crate is not None:
            self.made[key] = crate
        return crate

    def attempt(self, make: Callable[[], Crate]) -> Crate | None:
        """Make a crate, or note why not."""
        try:
            return make()
        except Refused as refused:
            self.faults += [
                Fault(self.source, r.row, r.column, f"{r.piece}: {r.found}", r.accepted) for r in refused.reasons
            ]
        except RulesClash as clash:
            self.once(clash.found, clash.accepted)
        except MissingGoodError as missing:
            self.once(f"no good named {missing.name}", f"one of {', '.join(missing.stocked)}")
        except UnfitMaterialError as unfit:
            # The same good may be asked the same for every crate.
            self.faults += [fault for fault in unfit.faults if fault not in self.faults]
        except FaultsFound as found:
            self.faults += found.faults
        except NothingPacks as nothing:
            self.unpacked += nothing.unpacked
        return None

    def refuse_unpacked(self, first: int = 0) -> None:
        """Note what nothing packs among the faults, where it stands in the order."""
        more = dict.fromkeys(fault for each in self.unpacked[first:] for fault in each.faults(self.source))
        if more:
            found = [*self.faults, *(fault for fault in more if fault not in self.faults)]
            self.faults = sorted(found, key=lambda fault: fault.row or 0)

    def once(self, found: str, accepted: str) -> None:
        """Note a fault of the shop's rules, which every crate may run into, once."""
        fault = Fault("shop", None, None, found, accepted)
        if fault not in self.faults:
            self.faults.append(fault)

    def packing(
        self, name: str, pieces: tuple[Artwork, ...], reason: str, carton: CartonDesign = CARTON_AS_RULED
    ) -> Packing:
        """Make the request for one crate."""
        place = pieces[0].destination or ""
        shells = dict(self.grouping.shells) if self.grouping else {}
        first = pieces[0].piece
        return Packing(
            name, pieces, self.shop, reason, place, self.units, self.countries.get(place, ""), self.judge, self.memory,
            self.carriage.get(place, COMMON), carton, shells.get(first, SHELL_AS_RULED),
            why_unframed,
        )  # fmt: skip


def expand(  # 8 arguments: what an order goes out by and what is known, each of which may be left out
    order: Order,
    shop: Shop,
    *,
    grouping: Grouping | None = None,
    countries: Mapping[str, str] | None = None,
    judge: Judge | None = None,
    carriage: Mapping[str, Carriage] | None = None,
    unpacked: list[Unpacked] | None = None,
    made: dict[Hashable, Any] | None = None,
) -> tuple[Crate, ...]:
    """Turn an order into crates.

    Parameters
    ----------
    order : Order
        Artworks; copies are packed one by one, pieces of a set together.
    shop : Shop
        Goods and rules.
    grouping : Grouping, optional
        Which travel frames share an outer case; near sizes together when not given.
    countries : mapping of str to str, optional
        Two-letter country of each destination, where known.
    judge : Judge, optional
        What designs of crates are judged by; by weight and work where not given.
    carriage : mapping of str to str, optional
        Who takes crates to each destination; a common carrier where it says nothing.
    unpacked : list of Unpacked, optional
        Where it is given, pieces that were left to the shop and that no method packs are added to it, and the rest of
        the order goes on, unless nothing of it would be left; else they are faults.
    made : dict, optional
        Crates of the same shop, units and judge that were made before: read and added to.

    Returns
    -------
    tuple of Crate
        Held ones among them. Named ``K1``, ``K2``, ... in the order of their first pieces; outer cases come last.

    Raises
    ------
    FaultsFound
        Every piece that cannot be packed as asked, with what would be accepted, and every clash of shop rules.
    """
    shop = as_ordered(shop.in_units(order.units), order)
    run = _Expansion(
        shop, shop.works_in(order.units), order.source, countries or {}, [], judge or Judge(), carriage or {}, grouping,
        {} if made is None else made,
    )  # fmt: skip
    _refuse_unknown(order)
    refuse_unweighable(order.copies(), shop)
    chosen = packed_as(order, shop)
    _refuse_mixed(chosen, run)
    pieces = _Made()
    for share in sharing_cartons(_shared(chosen, grouping, run), grouping, run.faults):
        pieces.add(run, share)
    strict = unpacked is None or not pieces.crates
    if run.faults or strict:
        run.refuse_unpacked()
    if run.faults:
        # No case is made, but what no case could give is told with the rest.
        run.faults += faults_of(pieces.hoped, run.shop, run.source)
    elif pieces.riders:
        run.faults += snug_faults((piece.destination or "" for piece in pieces.riders), run.carriage, shop, order)
        before = len(run.unpacked)
        _case_up(run, pieces, grouping)
        if run.faults or strict or not pieces.crates:
            run.refuse_unpacked(before)
    if unpacked is not None:
        unpacked += run.unpacked
    if run.faults:
        raise FaultsFound(_once_a_row(run.faults))
    return tuple(pieces.crates)


@dataclass(slots=True)
class _Made:
    """Crates made so far, and which of them are frames that wait for a case.

    Attributes
    ----------
    crates : list of Crate
        In the order of their first pieces.
    hoped, riders : list of Artwork
        Pieces that should ride in a case, and those that do.
    frames : dict of str to int
        Where each rider's frame stands among the crates.
    chosen : dict of str to Choice
        How each rider's method came about.
    """

    crates: list[Crate] = field(default_factory=list)
    hoped: list[Artwork] = field(default_factory=list)
    riders: list[Artwork] = field(default_factory=list)
    frames: dict[str, int] = field(default_factory=dict)
    chosen: dict[str, Choice] = field(default_factory=dict)

    def add(self, run: _Expansion, share: Share) -> None:
        """Make the carton that was chosen for some bundles, or the crates of each; names go on without a gap."""
        if share.load is not None:
            crate = _filled(run, f"K{len(self.crates) + 1}", share)
            if crate is not None:
                self.crates.append(crate)
                return
        for bundle, choice in share.bundles:
            self._add(run, bundle, choice)

    def _add(self, run: _Expansion, bundle: Bundle, choice: Choice) -> None:
        """Make the crates of a bundle; names go on past what is left out."""
        rides = method(choice.method).rides
        for pieces in [(piece,) for piece in bundle.pieces] if rides else [bundle.pieces]:
            self.hoped += pieces if rides else ()
            crate = _one(run, f"K{len(self.crates) + 1}", pieces, choice)
            if crate is None:
                continue
            if method_of(crate).rides:
                self.frames[pieces[0].piece] = len(self.crates)
                self.riders += pieces
                self.chosen[pieces[0].piece] = choice
            self.crates.append(crate)

    def wishing(self, gone: Iterable[Unpacked]) -> list[Artwork]:
        """Return the riders with no wish to ride with what nothing packs."""
        names = {name for each in gone for name in (each.piece, each.piece.partition("#")[0])}
        return [
            replace(piece, together=tuple(name for name in piece.together if name not in names))
            for piece in self.riders
        ]

    def shop_chose(self, piece: Artwork) -> bool:
        """Whether the shop chose that it rides."""
        return self.chosen[piece.piece].by_shop

    def stray(self, piece: Artwork) -> bool:
        """Whether it rides only because no other method takes it: no search of cases knew of it."""
        return not method(self.chosen[piece.piece].method).rides

    def reseat(self, run: _Expansion, pieces: tuple[Artwork, ...], why: str) -> None:
        """Pack a rider otherwise that no case takes, with what must travel with it; left out where nothing does."""
        choice = self.chosen[pieces[0].piece]
        first, *others = (self.frames[piece.piece] for piece in pieces)
        alone = replace(choice, method=_without_case(choice), reason=f"{choice.reason}; no outer case: {why}")
        crate = _one(run, self.crates[first].crate, pieces, alone, cased=False)
        if crate is not None:
            self.crates[first] = crate
        for at in sorted(others if crate else (first, *others), reverse=True):
            del self.crates[at]
            self.frames = {name: place - (place > at) for name, place in self.frames.items()}


def _without_case(choice: Choice) -> str:
    """Return the method that a piece gets which rides in no case."""
    chosen = method(choice.method)
    return chosen.gathering.instead_of if chosen.gathering else choice.method


def _once_a_row(faults: Iterable[Fault]) -> list[Fault]:
    """Tell what is wrong with several copies of a row once, by the name of the row."""
    alike: dict[Fault, list[Fault]] = {}
    for fault in faults:
        stem = replace(fault, found=re.sub(r"#[0-9]+: ", ": ", fault.found, count=1))
        alike.setdefault(stem if fault.row is not None else fault, []).append(fault)
    return [stem if len(same) > 1 and stem != same[0] else same[0] for stem, same in alike.items()]


def _shared(
    chosen: Sequence[tuple[Bundle, Choice]], grouping: Grouping | None, run: _Expansion
) -> tuple[tuple[Bundle, Choice], ...]:
    """Leave frames that the shop chose only where they share a case; a frame alone in one saves nothing.

    A grouping that is handed in says by itself which pieces ride, alone ones too; what it leaves out is packed as it
    would be by itself.
    Where the shop's rule takes even a single piece in a frame (``method.travel_from`` 1), nothing changes.
    """
    riders = [piece for bundle, choice in chosen if method(choice.method).rides for piece in bundle.pieces]
    if run.shop.method.travel_from == 1 or faults_of(riders, run.shop, run.source):
        return tuple(chosen)
    if grouping is None:
        loads = [load for load in near_sizes(riders, run.shop, run.source).cases if len(load.pieces) > 1]
        riding_on = {piece for load in loads for piece in load.pieces}
    else:
        riding_on = set(grouping.pieces)
    return tuple(
        (bundle, choice if riding_on & {piece.piece for piece in bundle.pieces} else _by_itself(choice))
        for bundle, choice in chosen
    )


def _by_itself(choice: Choice) -> Choice:
    """Return what a piece gets that nothing rides with, where the shop chose its method for a gathering."""
    gathering = method(choice.method).gathering
    return Choice(gathering.instead_of, gathering.alone) if choice.by_shop and gathering else choice


def riding(order: Order, shop: Shop, made: dict[Hashable, Any] | None = None) -> tuple[tuple[Artwork, Crate], ...]:
    """Return the copies that :func:`expand` puts in travel frames, each with its frame, before any case is made.

    Frames that were made before of the same shop and units, without a judge, are read from ``made`` and added to it.

    Raises
    ------
    FaultsFound
        Every frame that cannot be made as the order asks.
    """
    shop = as_ordered(shop.in_units(order.units), order)
    # Whatever nothing packs is told when it is expanded.
    run = _Expansion(shop, shop.works_in(order.units), order.source, {}, [], made={} if made is None else made)
    _refuse_unknown(order)
    found: list[tuple[Artwork, Crate]] = []
    for bundle, choice in packed_as(order, shop):
        for piece in bundle.pieces if method(choice.method).rides else ():
            crate = _one(run, f"F{len(found) + 1}", (piece,), choice)
            if crate is not None and method_of(crate).rides:
                found.append((piece, crate))
    if run.faults:
        raise FaultsFound(run.faults)
    return tuple(found)


def _one(
    run: _Expansion, name: str, pieces: tuple[Artwork, ...], choice: Choice, *, cased: bool = True
) -> Crate | None:
    """Make one crate: as the order asks, or by any method that serves where it leaves that to the shop."""
    packing = run.packing(name, pieces, choice.reason)

    def make() -> Crate | None:
        if choice.by_shop:
            crate = run.attempt(lambda: by_any_method(packing, choice, cased=cased))
        else:
            crate = run.attempt(lambda: maker(choice.method)(packing))
        return crate and with_marks(with_standing(crate, pieces))

    return run.once_made(name, (*_asked(packing), choice, cased), make)


def _asked(packing: Packing) -> tuple[Hashable, ...]:
    """Return all of a request that its crate depends on, but the shop, its units and its judge."""
    by = packing.reason, packing.destination, packing.country, packing.carriage
    return packing.crate, packing.pieces, *by, packing.carton, packing.shell


def _filled(run: _Expansion, name: str, share: Share) -> Crate | None:
    """Make a carton by the design that was chosen for it; None where it does not come out, or fails its checks."""
    load = share.load
    if load is None:
        return None
    packing = run.packing(name, share.pieces, share.reason, load.design)
    by = share.bundles[0][1].method

    def make() -> Crate | None:
        try:
            crate = maker(by)(packing)
        except (Refused, RulesClash, MissingGoodError, UnfitMaterialError):
            # Each by itself tells what is wrong, or goes another way.
            return None
        crate = with_marks(with_standing(crate, share.pieces))
        return None if crate.standing == "held" else crate

    return run.once_made(name, (*_asked(packing), by), make)


def _refuse_unknown(order: Order) -> None:
    """Refuse methods that nobody entered, or that no order may ask for; an order that was read has none."""
    known = (AUTO, *askable())
    faults = [
        Fault(order.source, artwork.row, "method", f"{artwork.piece}: {artwork.method}", one_of(known))
        for artwork in order.artworks
        if artwork.method not in known
    ]
    if faults:
        raise FaultsFound(faults)


def _refuse_mixed(chosen: Sequence[tuple[Bundle, Choice]], run: _Expansion) -> None:
    """Note sets, and pieces that must travel together, which cannot share one crate.

    Several methods are asked for, or several destinations, or a word keeps them apart. Of what rides the case tells.
    """
    for bundle, choice in chosen:
        if bundle.single:
            continue
        first, which = bundle.pieces[0], "pieces of a set" if bundle.set_name is not None else "that travels together"
        if len(bundle.asked) > 1:
            found = f"{bundle.called}: {', '.join(bundle.asked)}"
            run.faults.append(Fault(run.source, first.row, "method", found, f"one method for all {which}"))
        if bundle.set_name is None and method(choice.method).rides:
            continue
        places = dict.fromkeys(a.destination or "" for a in bundle.pieces)
        if len(places) > 1:
            found = f"{bundle.called}: {', '.join(places)}"
            run.faults.append(Fault(run.source, first.row, "destination", found, f"one destination for all {which}"))
        pairs = ((a, b) for at, a in enumerate(bundle.pieces) for b in bundle.pieces[at + 1 :] if apart(a, b))
        if bundle.set_name is None and (pair := next(pairs, None)):
            found = f"{pair[0].piece} with {pair[1].piece}"
            run.faults.append(Fault(run.source, pair[0].row, "apart", found, "pieces that may travel in one crate"))


def _case_up(run: _Expansion, made: _Made, grouping: Grouping | None) -> None:
    """Put the travel frames into outer cases, which come after all other crates."""
    wishing = made.wishing(run.unpacked)
    if grouping is None:
        try:
            grouping = near_sizes(wishing, run.shop, run.source)
        except FaultsFound as found:
            run.faults += found.faults
            return
    else:
        riding_on = grouping.pieces
        strays = [piece for piece in wishing if piece.piece not in riding_on and made.stray(piece)]
        alone = (CaseLoad((piece.piece,), piece.destination or "") for piece in strays)
        grouping = replace(grouping, cases=(*grouping.cases, *alone))
        if wrong := check_grouping(grouping, wishing, run.shop):
            run.faults += [Fault("grouping", None, None, text, "a grouping that fits the order") for text in wrong]
            return
    by_piece = {piece.piece: piece for piece in made.riders}
    cases: list[Crate] = []
    number = len(made.crates)
    for load in grouping.cases:
        casing = Casing(
            crate=f"K{number + len(cases) + 1}",
            frames=tuple(made.crates[made.frames[piece]] for piece in load.pieces),
            artworks=tuple(by_piece[piece] for piece in load.pieces),
            shop=run.shop,
            reason=grouping.how or "travel frames of one destination",
            destination=load.destination,
            units=run.units,
            country=run.countries.get(load.destination, ""),
            carriage=run.carriage.get(load.destination, COMMON),
            design=load.design,
        )
        case = _cased(run, casing, made)
        if case is None:
            continue
        if differing := far(casing.artworks, run.shop.case.near_size):
            case = replace(case, warnings=(*case.warnings, differing))
        case = held_with(with_standing(with_marks(case), casing.artworks), casing.frames)
        cases.append(case)
        for piece in load.pieces:
            at = made.frames[piece]
            made.crates[at] = replace(held_by(made.crates[at], case), inside_of=case.crate)
    made.crates += cases


def _cased(run: _Expansion, casing: Casing, made: _Made) -> Crate | None:
    """Make a case; where it cannot be made and the shop chose all its frames, their pieces travel otherwise."""

    def make() -> Crate:
        try:
            return case_maker()(casing)
        except Refused as refused:
            if all(map(made.shop_chose, casing.artworks)):
                raise _NoCase(refused.reasons[0].found) from refused
            raise

    frames = tuple(run.keys[frame.crate] for frame in casing.frames)
    by = casing.reason, casing.destination, casing.country, casing.carriage, casing.design
    try:
        return run.once_made(casing.crate, (casing.crate, frames, casing.artworks, *by), lambda: run.attempt(make))
    except _NoCase as none:
        for cluster in clusters(casing.artworks):
            made.reseat(run, tuple(casing.artworks[at] for at in cluster), none.found)
    return None


class _NoCase(Exception):  # noqa: N818 - reads as what it says
    """No case can be made round frames that the shop chose."""

    def __init__(self, found: str) -> None:
        self.found = found
        super().__init__(found)
