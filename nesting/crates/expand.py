"""Expanding: an order becomes crates, every fault told at once."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from nesting.consignment import Grouping, check_grouping, near_sizes
from nesting.crates.choose import Bundle, Choice, bundles_of, choose
from nesting.crates.model import Crate, Method
from nesting.crates.registry import METHODS, Casing, Packing, Refused, RulesClash, case_maker, method
from nesting.faults import Fault, FaultsFound
from nesting.measure import UnitSystem
from nesting.order import Artwork, Order
from nesting.shop import Shop


@dataclass(slots=True)
class _Job:
    """One expansion while it runs."""

    shop: Shop
    units: UnitSystem
    source: str
    countries: Mapping[str, str]
    faults: list[Fault]

    def attempt(self, make: Callable[[], Crate]) -> Crate | None:
        """Make a crate, or note why not."""
        try:
            return make()
        except Refused as refused:
            self.faults += [
                Fault(self.source, r.row, r.column, f"{r.piece}: {r.found}", r.accepted) for r in refused.reasons
            ]
        except RulesClash as clash:
            fault = Fault("shop", None, None, clash.found, clash.accepted)
            if fault not in self.faults:
                self.faults.append(fault)
        except FaultsFound as found:
            self.faults += found.faults
        return None

    def packing(self, name: str, pieces: tuple[Artwork, ...], reason: str) -> Packing:
        """Make the request for one crate."""
        place = pieces[0].destination or ""
        return Packing(name, pieces, self.shop, reason, place, self.units, self.countries.get(place, ""))


def expand(
    order: Order, shop: Shop, *, grouping: Grouping | None = None, countries: Mapping[str, str] | None = None
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

    Returns
    -------
    tuple of Crate
        Named ``K1``, ``K2``, ... in the order of their first pieces; outer cases after all others.

    Raises
    ------
    FaultsFound
        Every piece that cannot be packed as asked, with what would be accepted, and every clash of shop rules.
    """
    job = _Job(shop, order.units, order.source, countries or {}, [])
    bundles = bundles_of(order)
    _refuse_mixed_sets(bundles, job)
    choices = choose(bundles, shop, order.units)
    crates: list[Crate] = []
    riders: list[Artwork] = []
    frames: dict[str, int] = {}
    number = 0
    for bundle, choice in zip(bundles, choices, strict=True):
        alone = [(piece,) for piece in bundle.pieces] if choice.method == "travel" else [bundle.pieces]
        for pieces in alone:
            number += 1
            crate = _one(job, f"K{number}", pieces, choice)
            if choice.method == "travel":
                riders += pieces
            if crate is None:
                continue
            if crate.method == "travel":
                frames[pieces[0].piece] = len(crates)
            crates.append(crate)
    if riders and not job.faults:
        _case_up(job, crates, riders, frames, grouping)
    if job.faults:
        raise FaultsFound(job.faults)
    return tuple(crates)


def _one(job: _Job, name: str, pieces: tuple[Artwork, ...], choice: Choice) -> Crate | None:
    """Make one crate; where the shop chose a method that turns out impossible, the next one is tried."""
    tries: list[tuple[Method, str]] = [(choice.method, choice.reason)]
    while (instead := _INSTEAD.get(tries[-1][0])) and choice.instead:
        tries.append((instead, choice.reason))
    why = ""
    for at, (name_of, reason) in enumerate(tries):
        if name_of not in METHODS:
            why = f"{name_of}: not offered"
            continue
        packing = job.packing(name, pieces, f"{reason}; {why}" if why else reason)
        if at + 1 < len(tries):
            try:
                return method(name_of)(packing)
            except Refused as refused:
                why = f"no {name_of}: {refused.reasons[0].found}"
                if any(r.column == "back" for r in refused.reasons):
                    # No other crate mends a piece without wood for screws: say so now.
                    return job.attempt(lambda refused=refused: _again(refused))  # type: ignore[misc]  # defaulted lambda
                continue
        return job.attempt(lambda name_of=name_of, packing=packing: method(name_of)(packing))  # type: ignore[misc]  # defaulted lambda
    return None


_INSTEAD: Mapping[Method, Method] = {"carton": "closed", "closed": "battened"}


def _again(refused: Refused) -> Crate:
    """Raise a refusal once more."""
    raise refused


def _refuse_mixed_sets(bundles: tuple[Bundle, ...], job: _Job) -> None:
    """Note sets whose pieces cannot share one crate: several methods asked for, or several destinations."""
    for bundle in bundles:
        if bundle.set_name is None:
            continue
        first = bundle.pieces[0]
        if len(bundle.asked) > 1:
            found = f"set {bundle.set_name}: {', '.join(bundle.asked)}"
            job.faults.append(Fault(job.source, first.row, "method", found, "one method for all pieces of a set"))
        places = dict.fromkeys(a.destination or "" for a in bundle.pieces)
        if len(places) > 1:
            found = f"set {bundle.set_name}: {', '.join(places)}"
            job.faults.append(
                Fault(job.source, first.row, "destination", found, "one destination for all pieces of a set")
            )


def _case_up(
    job: _Job, crates: list[Crate], riders: list[Artwork], frames: Mapping[str, int], grouping: Grouping | None
) -> None:
    """Put the travel frames into outer cases, which come after all other crates."""
    if grouping is None:
        try:
            grouping = near_sizes(riders, job.shop, job.source)
        except FaultsFound as found:
            job.faults += found.faults
            return
    elif wrong := check_grouping(grouping, riders, job.shop):
        job.faults += [Fault("grouping", None, None, text, "a grouping that fits the order") for text in wrong]
        return
    by_piece = {a.piece: a for a in riders}
    number = len(crates)
    cases: list[Crate] = []
    for load in grouping.cases:
        number += 1
        name = f"K{number}"
        inner = tuple(crates[frames[piece]] for piece in load.pieces)
        casing = Casing(
            name,
            inner,
            tuple(by_piece[piece] for piece in load.pieces),
            job.shop,
            grouping.how or "travel frames of one destination",
            load.destination,
            job.units,
            job.countries.get(load.destination, ""),
        )
        case = job.attempt(lambda casing=casing: case_maker()(casing))  # type: ignore[misc]  # defaulted lambda
        if case is not None:
            cases.append(case)
            for piece in load.pieces:
                crates[frames[piece]] = replace(crates[frames[piece]], inside_of=name)
    crates += cases
