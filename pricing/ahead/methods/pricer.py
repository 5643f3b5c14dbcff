"""Pricer: an order priced under many choices of methods, each once, in one process or several.

Every price is a full one: crates, cutting plans, freight, shares. A price depends on nothing but the order, the
studio's files and the choice, so how many processes share the work changes how long it takes and nothing else.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

from nesting.base.counts import few
from nesting.base.faults import FaultsFound
from nesting.base.progress import silent
from nesting.base.search import QUICK, Search
from nesting.build import Build
from nesting.crates.cases.consignment import Grouping
from nesting.crates.held import held_for, without_named
from nesting.crates.registry import method as method_named
from nesting.crates.registry import method_of
from nesting.crates.unpacked import UNPACKED, without_pieces
from nesting.order import AUTO, Order
from pricing.ahead.methods.handling import Handling, handling
from pricing.ahead.methods.units import Unit, units_of, with_methods
from pricing.ahead.parallel import run_all
from pricing.money import half_up, total
from pricing.quoting.incomplete import beside
from pricing.quoting.keeping import left_aside, of_these
from pricing.quoting.labour import HOURS
from pricing.quoting.lacks import Lack, graves
from pricing.quoting.quote import Quote
from pricing.quoting.shares import Share, piece_weights
from pricing.quoting.troubles import troubles
from pricing.quoting.work import work
from pricing.studio.office import Office
from pricing.studio.rates import ReuseRules

Choice = tuple[str, ...]
"""A method for every unit, by name."""

CARRIED: Final = ("freight", "insurance")
"""Columns of a share that are paid on every trip."""
PAYS: Final = 16
"""Prices from which starting processes takes less time than it saves."""


@dataclass(frozen=True, slots=True)
class Bearing:
    """What one unit bears of an order priced under one choice, copies and pieces of a set together.

    Attributes
    ----------
    method : str
        Its crates'.
    crates : tuple of str
        That carry it, cases included.
    company : tuple of str
        Pieces of others in the same cases.
    cost : Decimal
        Its share of the total.
    freight : Decimal
        Of which freight.
    a_trip : Decimal
        Its share where making the crate is written off over the trips that it serves.
    hours : Decimal
        Of work.
    kg : float
        Its part of the gross weights as shipped.
    handling : Handling
        Of its first piece.
    held : str
        Why a crate of it is held, or why nothing packs it, so that it bears nothing; empty where it is made.
    incomplete : tuple of str
        What its cost lacks that must be paid and is not known.
    unpacked : bool
        Whether nothing packs it, so that there is no crate that could be held.
    columns : tuple of (str, Decimal)
        What its cost is the sum of, by section and step of the quote.
    work : tuple of (str, Decimal)
        Its hours by operation, to four places.
    carried : tuple of (str, float)
        Its part of the gross weight of each crate that travels.
    """

    method: str
    crates: tuple[str, ...]
    company: tuple[str, ...]
    cost: Decimal
    freight: Decimal
    a_trip: Decimal
    hours: Decimal
    kg: float
    handling: Handling
    held: str = ""
    incomplete: tuple[str, ...] = ()
    unpacked: bool = False
    columns: tuple[tuple[str, Decimal], ...] = ()
    work: tuple[tuple[str, Decimal], ...] = ()
    carried: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """An order priced under one choice.

    Attributes
    ----------
    total : Decimal
        What the client pays.
    a_trip : Decimal
        The same with the making of every crate written off over its trips.
    hours : Decimal
        Of work in all.
    troubles : tuple of str
        Failed checks, crates that do not suit where they go, freight that is refused.
    bearings : tuple of Bearing
        By unit.
    lacks : tuple of Lack
        What the total lacks gravely.
    held : tuple of str
        Pieces whose crate is held or that nothing packs: the total is without them, and compares only with one without
        the same.
    held_line : str
        What is said of their crates before anything else.
    incomplete : tuple of str
        What the total lacks that must be paid and is not known: it compares with no other.
    unpacked : tuple of str
        Those of ``held`` that nothing packs.
    columns : tuple of (str, Decimal)
        What the total is the sum of, by section and step of the quote.
    aside : tuple of str
        Pieces of crates for which a design was taken that cannot be made then.
    """

    total: Decimal
    a_trip: Decimal
    hours: Decimal
    troubles: tuple[str, ...]
    bearings: tuple[Bearing, ...]
    lacks: tuple[Lack, ...] = ()
    held: tuple[str, ...] = ()
    held_line: str = ""
    incomplete: tuple[str, ...] = ()
    unpacked: tuple[str, ...] = ()
    columns: tuple[tuple[str, Decimal], ...] = ()
    aside: tuple[str, ...] = ()

    @property
    def without(self) -> str:
        """What stands beside the total where pieces are left out or it is incomplete; else empty."""
        left = filter(None, (without_named(self._in_held), without_pieces(self.unpacked)))
        return beside("; ".join(left), self.incomplete)

    @property
    def left_out(self) -> str:
        """Which pieces are in no crate that is made, and why not."""
        return self.without_these(self.held) or "nothing"

    def without_these(self, pieces: Sequence[str]) -> str:
        """Say which of some pieces are held, and which nothing packs; empty where they are none."""
        held = few([piece for piece in pieces if piece in self._in_held])
        alone = few([piece for piece in pieces if piece in self.unpacked])
        return "; ".join(filter(None, (held and f"{held} held", alone and f"{alone} {UNPACKED}")))

    @property
    def _in_held(self) -> list[str]:
        """Those whose crate is held."""
        return [piece for piece in self.held if piece not in self.unpacked]

    def compares_with(self, other: "Outcome") -> bool:
        """Say whether advice may be drawn from two totals: neither is incomplete, and both lack the same pieces."""
        return set(self.held) == set(other.held) and not (self.incomplete or other.incomplete)

    @property
    def choice(self) -> Choice:
        """The methods that the crates have."""
        return tuple(bearing.method for bearing in self.bearings)


@dataclass(frozen=True, slots=True)
class Refusal:
    """A choice that cannot be built, and every reason."""

    reasons: tuple[str, ...]


Answer = Outcome | Refusal
EARLY: Final = "not priced: the comparison was ended early"
"""Reason of what somebody did not wait for."""


@dataclass(slots=True)
class Pricer:
    """Prices choices, each once.

    Attributes
    ----------
    order, office, on
        As :func:`pricing.quoting.work.work` takes them.
    search : Search
        The same, but that no price is cut short: its stop is asked before every price, and once it is asked for the
        end, what was not yet priced is refused. Its memory, where it has one, saves searches that others made.
    workers : int
        Processes; 1 stays in this one.
    told : callable
        Told after every price how many there are.
    taken : Grouping or None
        Designs that somebody took for crates of the order: they stay in every price in which their pieces are packed in
        the same way as now.
    """

    order: Order
    office: Office
    on: date
    search: Search = QUICK
    workers: int = 1
    told: Callable[[int], None] = lambda _count: None
    taken: Grouping | None = None
    _units: tuple[Unit, ...] = ()
    _answers: dict[Choice, Answer] = field(default_factory=dict)
    _now: Outcome | None = None

    def __post_init__(self) -> None:
        self._units = units_of(self.order, self.office.shop)
        if self.search.memory is None:
            self.search = replace(self.search, memory={})

    @property
    def units(self) -> tuple[Unit, ...]:
        """The order's units."""
        return self._units

    @property
    def evaluations(self) -> int:
        """Prices made so far."""
        return len(self._answers)

    @property
    def stopped(self) -> bool:
        """Whether the end was asked for."""
        return self.search.stop is not None and self.search.stop.asked

    def as_chosen(self) -> Outcome:
        """Price the order as it stands, by its own wishes and the shop's choice.

        Raises
        ------
        FaultsFound
            If it cannot be built.
        """
        if self._now is None:
            self._now = self._priced(self.order, self.taken)
            # Written into the order its own choice may be searched otherwise; to ask for what is there changes nothing.
            self._answers[self._now.choice] = self._now
        return self._now

    def price(self, choices: Sequence[Choice]) -> list[Answer]:
        """Price choices, several at a time where there are workers."""
        new = [choice for choice in dict.fromkeys(choices) if choice not in self._answers]
        if self.workers > 1 and len(new) >= PAYS and not self.stopped:
            tasks = [(self.order, self.office, self.on, self.search.elsewhere, self.taken, choice) for choice in new]
            self._answers.update(zip(new, run_all(_price, tasks, self.workers), strict=True))
            self.told(self.evaluations)
        else:
            for choice in new:
                if self.stopped:
                    break
                self._answers[choice] = self._one(choice)
                self.told(self.evaluations)
        return [self._answers.get(choice, Refusal((EARLY,))) for choice in choices]

    def ordered(self, choice: Choice) -> Order:
        """Return the order with a choice written in."""
        pairs = zip(self._units, choice, strict=True)
        return with_methods(self.order, {line: method for unit, method in pairs for line in unit.lines})

    def _one(self, choice: Choice) -> Answer:
        try:
            return self._priced(self.ordered(choice), self._standing(choice))
        except FaultsFound as found:
            return Refusal(tuple(f"{fault.found}; accepted: {fault.accepted}" for fault in found.faults))

    def _standing(self, choice: Choice) -> Grouping | None:
        """Return the designs that were taken for crates whose pieces are packed as now."""
        if self.taken is None:
            return None
        pairs = zip(self._units, choice, self.as_chosen().choice, strict=True)
        return of_these(self.taken, [piece for unit, method, now in pairs if method == now for piece in unit.copies])

    def _priced(self, order: Order, taken: Grouping | None) -> Outcome:
        whole = replace(self.search, stop=None, progress=silent)
        priced = work(order, self.office, on=self.on, search=whole, taken=taken)
        made = outcome(priced, self._units)
        aside = tuple(" + ".join(pieces) for pieces in left_aside(taken, priced.build))
        return replace(made, aside=aside) if aside else made


_SERVING: dict[str, Pricer] = {}
"""The pricer of a worker process, so that layouts are remembered from task to task."""


def _price(task: tuple[Order, Office, date, Search, Grouping | None, Choice]) -> Answer:
    """Price one choice in a worker process."""
    order, office, on, search, taken, choice = task
    known = _SERVING.get("pricer")
    if known is None or (known.order, known.on, known.search, known.taken) != (order, on, search, taken):
        known = _SERVING["pricer"] = Pricer(order, office, on, search, taken=taken)
    known.office = office
    return known.price([choice])[0]


def outcome(priced: Quote, units: Sequence[Unit]) -> Outcome:
    """Read a quote's figures, unit by unit."""
    build, reuse = priced.build, priced.rates.reuse
    weights = piece_weights(build.every)
    hours: dict[str, dict[str, Fraction]] = {}
    for row in priced.labour:
        for crate, part in row.bearers.items():
            mine = hours.setdefault(crate, {})
            mine[row.operation] = mine.get(row.operation, Fraction(0)) + Fraction(row.hours) * part
    bearings = []
    for unit in units:
        its = [c for c in build.every if any(piece in c.pieces for piece in unit.copies)]
        if not its:
            bearings.append(_unborne(build, unit))
            continue
        method = next(c.method for c in its if not method_of(c).is_case)
        shares = [priced.share(piece) for piece in unit.copies]
        carried = total(s.columns.get(name, Decimal(0)) for s in shares for name in CARRIED)
        cost = total(share.total for share in shares)
        parts = {
            c.crate: sum((weights[c.crate].get(piece, Fraction(0)) for piece in unit.copies), Fraction(0)) for c in its
        }
        work: dict[str, Fraction] = {}
        for name, part in parts.items():
            for operation, its_hours in hours.get(name, {}).items():
                work[operation] = work.get(operation, Fraction(0)) + its_hours * part
        weighs = {
            c.crate: c.gross_kg * float(parts[c.crate]) for c in its if c.inside_of is None and c.standing != "held"
        }
        bearings.append(
            Bearing(
                method,
                tuple(c.crate for c in its),
                tuple(p for c in its if method_of(c).is_case for p in c.pieces if p not in unit.copies),
                cost,
                total(s.columns.get("freight", Decimal(0)) for s in shares),
                carried + half_up((cost - carried) / trips(method, reuse)),
                half_up(sum(work.values(), Fraction(0))),
                round(sum(weighs.values()), 1),
                handling(unit.copies[0], build, priced.rates.labour),
                held_for(its),
                tuple(dict.fromkeys(line for piece in unit.copies for line in priced.incomplete_pieces.get(piece, ()))),
                columns=_columns(shares),
                work=tuple((name, half_up(each, HOURS)) for name, each in work.items() if each),
                carried=tuple((name, round(kg, 3)) for name, kg in weighs.items() if kg),
            )
        )
    return Outcome(
        priced.total, total(bearing.a_trip for bearing in bearings), priced.hours, troubles(priced), tuple(bearings),
        graves(priced.lacks), tuple(c.piece for c in build.order.copies() if c.piece in build.held_pieces),
        build.lacking_line, priced.incomplete, tuple(each.piece for each in build.unpacked), _columns(priced.shares),
    )  # fmt: skip


def _columns(shares: Sequence[Share]) -> tuple[tuple[str, Decimal], ...]:
    """Return what some shares are the sum of, without what comes to nothing."""
    names = dict.fromkeys(name for share in shares for name in share.columns)
    sums = ((name, total(share.columns.get(name, Decimal(0)) for share in shares)) for name in names)
    return tuple((name, amount) for name, amount in sums if amount)


def _unborne(build: Build, unit: Unit) -> Bearing:
    """Return what a unit bears that nothing packs: it stays left to the shop."""
    why = next(("; ".join(each.why) for each in build.unpacked if each.piece in unit.copies), UNPACKED)
    none = Decimal("0.00")
    return Bearing(AUTO, (), (), none, none, none, none, 0.0, Handling((), 0, 0, 0, none), why, unpacked=True)


def trips(method: str, rules: ReuseRules) -> int:
    """Return the trips that a crate of a method serves: by the studio's rule that the method names, or its own number.

    Raises
    ------
    AttributeError
        Where a method names a rule that the rates do not have.
    """
    told = method_named(method).trips
    return told if isinstance(told, int) else int(getattr(rules, told))
