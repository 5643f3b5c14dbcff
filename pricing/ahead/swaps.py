"""Swaps: single changes of an order, or of one rule, that might make it cheaper, the most promising first.

What a swap promises is an estimate, from single crates at area prices with their own freight: good enough to choose
what is worth a real quote, and told to nobody.
"""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from nesting.advice.carriage import COMMON
from nesting.base.counts import few
from nesting.base.faults import FaultsFound
from nesting.base.search import Memory
from nesting.crates.case_choice import plain
from nesting.crates.expand import expand
from nesting.crates.kept import kept, room_for
from nesting.crates.limits import as_ordered
from nesting.crates.model import Crate
from nesting.crates.registry import askable, method_of
from nesting.crates.registry import method as method_named
from nesting.crates.sketch import sketch_of
from nesting.order import Order
from pricing.ahead.methods.units import Unit, units_of, with_methods
from pricing.quoting.designing import SketchPricer
from pricing.quoting.judging import judge_of
from pricing.quoting.quote import Quote
from pricing.studio.carriages import carriage_of
from pricing.studio.office import Office

_LOOKED: Final = 8
"""Units whose other methods are estimated: those that bear most."""
_ALIKE: Final = 24
"""Copies of one piece that are estimated; of more, these many times over."""
_COMPANY: Final = 2
"""How many frames may be hoped to share the case of a frame that is estimated alone."""
_ASTRAY: Final = 5
"""An estimate may be wrong by a fifth of what it is held against: what seems a little dearer is quoted too."""
SNUG: Final = "snug"
"""How frames lie side by side with thin pads, as orders and the shop's rules name it."""


@dataclass(frozen=True, slots=True)
class Swap:
    """One change.

    Attributes
    ----------
    words : str
        What is done otherwise.
    protection : str
        What it costs in protection.
    order, office
        With the change.
    promise : int
        Estimated saving in cents of direct cost, as much more as the estimate may be wrong.
    keeps : bool
        Whether all crates that it does not touch may stay as they are made.
    """

    words: str
    protection: str
    order: Order
    office: Office
    promise: int = field(default=0, compare=False)
    keeps: bool = False


def swaps(made: Quote, memory: Memory | None = None) -> tuple[Swap, ...]:
    """Return the swaps of a quote that are worth a quote of their own, the most promising first."""
    found = [*_methods(made, memory), *_together(made), *_fuller(made), *_snug(made)]
    found.sort(key=lambda each: (-each.promise, each.words))
    # Equal pieces promise the same: one of them is quoted.
    first = {(each.promise, each.protection): each for each in reversed(found) if each.promise > 0}
    return tuple(reversed(first.values()))


def _methods(made: Quote, memory: Memory | None) -> Iterator[Swap]:
    """Yield other methods of single units that none of the shop's rules speaks against."""
    order, office = made.build.order, made.office
    pricer = SketchPricer(office, made.on)
    shares = {share.piece: share.total for share in made.shares}
    held = made.build.held_pieces
    units = [unit for unit in units_of(order, office.shop) if not held & set(unit.copies)]
    units.sort(key=lambda unit: (-sum(shares[piece] for piece in unit.copies), unit.name))
    known: dict[Hashable, int | None] = {}
    for unit in units[:_LOOKED]:
        now = _method_of(unit, made.build.crates)
        before = _borne(made.build.crates, unit, pricer)
        if before is None:
            continue
        for name in askable():
            if name != now and not unit.against(name):
                other = with_methods(order, dict.fromkeys(unit.lines, name))
                kind = name, _kind(unit, order)
                if kind not in known:
                    known[kind] = _alone(other, unit, office, pricer, memory)
                after = known[kind]
                if after is not None:
                    yield Swap(
                        _method_words(unit, name, now),
                        _protection(name, now),
                        other,
                        office,
                        before - after + before // _ASTRAY,
                        keeps=True,
                    )


def _kind(unit: Unit, order: Order) -> Hashable:
    """Return what units have in common that cost the same by themselves."""
    mine = [line for line in order.artworks if line.piece in unit.lines]
    return unit.destination, tuple((plain(line), line.quantity) for line in mine)


def _method_of(unit: Unit, crates: Sequence[Crate]) -> str:
    """Return how a unit is packed now."""
    mine = (crate for crate in crates if unit.copies[0] in crate.pieces and not method_of(crate).is_case)
    return next(mine).method


def _method_words(unit: Unit, name: str, now: str) -> str:
    kind = method_named(name)
    each = "each " if len(unit.copies) > 1 and len(unit.lines) == 1 else ""
    return f"{unit.name} {each}in a {kind.one} instead of a {method_named(now).one}"


def _protection(name: str, now: str) -> str:
    """Say what another method costs in protection, by the ranks that methods state of themselves."""
    then, before = method_named(name), method_named(now)
    told = []
    if then.protection != before.protection:
        more = "more" if then.protection > before.protection else "less"
        told.append(f"a {then.one} protects {more} than a {before.one}")
    # What hangs in its own crate hangs rigidly; what rides in a case, or only lies in its box, lies in foam.
    foam, had = (kind.rides or not kind.hangs for kind in (then, before))
    if foam != had:
        told.append("it lies in foam instead of hanging rigidly" if foam else "it hangs rigidly, no longer in foam")
    return ", and ".join(told) or "as well protected"


def _borne(crates: Sequence[Crate], unit: Unit, pricer: SketchPricer) -> int | None:
    """Return what a unit's crates cost now, of a shared case the part of its frames."""
    whole = 0
    mine = set(unit.copies)
    for crate in crates:
        inside = mine.intersection(crate.pieces)
        if inside:
            cost = pricer(sketch_of(crate), None if crate.inside_of else crate.destination)
            if cost is None:
                return None
            whole += cost * len(inside) // len(crate.pieces)
    return whole


def _alone(order: Order, unit: Unit, office: Office, pricer: SketchPricer, memory: Memory | None) -> int | None:
    """Return what a unit would cost made by itself; a case is hoped to find company where others go there."""
    lines = tuple(replace(line, together=(), apart=()) for line in order.artworks if line.piece in unit.lines)
    copies = made = 1
    if len(lines) == 1 and lines[0].quantity > _ALIKE:  # many alike cost as a few of them do, so many times
        copies, made = lines[0].quantity, _ALIKE
        lines = (replace(lines[0], quantity=made),)
    judge = judge_of(office)
    shop = as_ordered(office.shop.in_units(order.units), order)
    crates_made = kept(memory, ("crates", room_for(len(order.copies()))), shop, shop.works_in(order.units), judge)
    try:
        crates = expand(
            replace(order, artworks=lines), office.shop, countries=office.countries, judge=judge, made=crates_made
        )
    except FaultsFound:
        return None
    if any(crate.standing == "held" for crate in crates):
        return None
    others = sum((line.destination or "") == unit.destination for line in order.artworks) > len(lines)
    whole = 0
    for crate in crates:
        cost = pricer(sketch_of(crate), None if crate.inside_of else crate.destination)
        if cost is None:
            return None
        whole += cost // _COMPANY if method_of(crate).is_case and others else cost
    return whole * copies // made


def _cases(made: Quote) -> dict[str, list[Crate]]:
    """Return the cases of each place."""
    found: dict[str, list[Crate]] = {}
    for crate in made.build.crates:
        if method_of(crate).is_case:
            found.setdefault(crate.destination, []).append(crate)
    return found


def _case_cost(cases: Sequence[Crate], pricer: SketchPricer) -> int:
    """Return what the smallest of some cases costs: what one case fewer may save at the most, and about half of it."""
    costs = [cost for case in cases if (cost := pricer(sketch_of(case), case.destination)) is not None]
    return min(costs, default=0) // 2


def _together(made: Quote) -> Iterator[Swap]:
    """Yield the order with pieces in one case or carton that it wants apart."""
    order, office = made.build.order, made.office
    pricer = SketchPricer(office, made.on)
    kept = [line for line in order.artworks if line.apart]
    if not kept:
        return
    cost = max((_case_cost(cases, pricer) for cases in _cases(made).values() if len(cases) > 1), default=0)
    boxed = [crate for crate in made.build.travelling if not method_of(crate).is_case]
    cost = cost or min((pricer(sketch_of(crate), crate.destination) or 0 for crate in boxed), default=0) // 2
    other = replace(order, artworks=tuple(replace(line, apart=()) for line in order.artworks))
    words = f"{few([line.piece for line in kept])} no longer kept apart from others"
    yield Swap(words, "pieces that the order keeps apart share a case", other, office, cost)


def _fuller(made: Quote) -> Iterator[Swap]:
    """Yield one case fewer, with a frame more in each than the shop's rule has."""
    order, office = made.build.order, made.office
    pricer = SketchPricer(office, made.on)
    shop = office.shop
    most = shop.method.case_most + 1
    for place, cases in _cases(made).items():
        frames = sum(len(case.rides) for case in cases)
        if len(cases) > 1 and frames <= (len(cases) - 1) * most:
            try:
                rules = replace(shop.method, case_most=most)
            except ValueError:  # the rule has an end of its own
                return
            other = replace(office, shop=replace(shop, method=rules))
            words = f"up to {most} frames in a case instead of {most - 1}{f' to {place}' if place else ''}"
            yield Swap(words, "no foam is lost, but the case is heavier", order, other, _case_cost(cases, pricer))


def _snug(made: Quote) -> Iterator[Swap]:
    """Yield frames side by side with thin pads, where every case goes by gentle hands and lies in more."""
    order, office = made.build.order, made.office
    cases = [case for group in _cases(made).values() for case in group]
    gentle = all(carriage_of(office.destinations.get(case.destination), office.rates) != COMMON for case in cases)
    if not cases or not gentle or as_ordered(office.shop, order).case.cushion == SNUG:
        return
    pricer = SketchPricer(office, made.on)
    cost = sum(pricer(sketch_of(case), case.destination) or 0 for case in cases) // 4
    words = "frames side by side in their cases with thin pads"
    yield Swap(words, "they lie in less foam, and take a higher shock", replace(order, cushion=SNUG), office, cost)
