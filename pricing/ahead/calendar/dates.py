"""The calendar of a quote: what to pour, buy, cut, build, pack and hand over, when it arrives, and what is late."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from math import ceil
from typing import Final, Literal

from nesting.base.counts import plural
from nesting.build import Build
from nesting.crates.held import without
from nesting.crates.model import Crate
from nesting.crates.registry import called, method_of
from nesting.order import Artwork
from nesting.shop.surfaces import cure_hours
from pricing.ahead.calendar.schedule import Task, in_order
from pricing.quoting.incomplete import of_crates, told
from pricing.quoting.labour import TITLES
from pricing.quoting.quote import Quote
from pricing.quoting.transit import Transit, by_crate
from pricing.studio.calendar_rules import CalendarRules
from pricing.studio.workdays import Workdays, beside

Kind = Literal["pour", "cure", "buy", "cut", "build", "pack", "hand over", "arrive"]
KINDS: Final[tuple[Kind, ...]] = ("pour", "cure", "buy", "cut", "build", "pack", "hand over", "arrive")
_EARLIEST: Final = 520
"""Working days before its due day that the last day to buy is looked for: two years."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the calendar.

    Attributes
    ----------
    kind : str
        ``pour``, ``cure``, ``buy``, ``cut``, ``build``, ``pack``, ``hand over`` or ``arrive``.
    what : str
        Of what: a supplier, a crate, a destination, a piece.
    first, last : date
        First and last day, both included; local dates of the studio. Of an arrival the days between which it may be.
    due : date or None
        Last day that is in time, where there is one.
    hours : Decimal
        Person hours of work in it.
    note : str
        For people.
    """

    kind: Kind
    what: str
    first: date
    last: date
    due: date | None = None
    hours: Decimal = Decimal(0)
    note: str = ""

    @property
    def late_days(self) -> int:
        """Calendar days after the due day; 0 where in time."""
        return max(0, (self.last - self.due).days) if self.due else 0


@dataclass(frozen=True, slots=True)
class Calendar:
    """All dates of one quote.

    Attributes
    ----------
    on : date
        The day from which is planned.
    entries : tuple of Entry
        By kind, then by day.
    last_day_to_buy : date or None
        The last working day on which everything can be ordered and nothing be late; None where no due day is
        given, or where even an order two years before would not help (a cure that ends too late).
    held : tuple of Crate
        Crates that no day is planned for.
    lacking : str
        What is said first of them, and of pieces that nothing packs.
    """

    on: date
    entries: tuple[Entry, ...]
    last_day_to_buy: date | None
    held: tuple[Crate, ...] = ()
    lacking: str = ""

    @property
    def late(self) -> tuple[Entry, ...]:
        """Entries that end after their due day."""
        return tuple(entry for entry in self.entries if entry.late_days)


@dataclass(frozen=True, slots=True)
class _Load:
    """The work on one package that travels by itself, with what rides inside it."""

    crate: Crate
    bench: Fraction
    packing: Fraction
    ready: date | None
    due: date | None
    way: Transit | None = None


def plan_dates(quote: Quote) -> Calendar:
    """Plan the days of a quote.

    Parameters
    ----------
    quote : Quote
        Its hours by operation and crate, suppliers, crates' earliest packing and the order's days; people, hours,
        working days and suppliers' days come from its rates.

    Returns
    -------
    Calendar
    """
    planner = _Planner(quote, quote.rates.calendar, quote.rates.lead_days)
    start = planner.days.on_or_after(quote.on)
    entries = planner.entries(start)
    return Calendar(quote.on, tuple(entries), planner.last_day_to_buy(), quote.build.held, quote.build.lacking_line)


@dataclass
class _Planner:
    """Plans the same work from any day of ordering."""

    quote: Quote
    rules: CalendarRules
    lead_days: Mapping[str, Decimal]

    @cached_property
    def days(self) -> Workdays:
        return Workdays.of(self.rules)

    @cached_property
    def day_hours(self) -> Fraction:
        """Person hours of the whole team in a day."""
        return Fraction(self.rules.hours_per_day) * self.rules.people

    @cached_property
    def hours(self) -> dict[tuple[str, str], Fraction]:
        """Each operation's hours, divided among the crates, by crate and room."""
        return _hours_by_crate(self.quote)

    @cached_property
    def copies(self) -> tuple[Artwork, ...]:
        """Every single piece."""
        return self.quote.build.order.copies()

    @cached_property
    def ways(self) -> Mapping[str, Transit]:
        """How long each crate is under way."""
        return by_crate(self.quote.transits)

    @cached_property
    def loads(self) -> list[_Load]:
        """The work on every package, in the order of the build."""
        build, hours = self.quote.build, self.hours
        by_name = {copy.piece: copy for copy in self.copies}
        loads = []
        for crate in build.travelling:
            inside = build.riding(crate.crate)
            names = [crate.crate, *(each.crate for each in inside)]
            moments = [each.earliest_packing for each in (crate, *inside) if each.earliest_packing is not None]
            dues = [day for piece in crate.pieces if (day := by_name[piece].ship_by) is not None]
            way = self.ways.get(crate.crate)
            if way is not None and way.hand_over is not None:
                dues.append(way.hand_over)
            loads.append(
                _Load(
                    crate,
                    sum((hours.get((name, "bench"), Fraction(0)) for name in names), Fraction(0)),
                    sum((hours.get((name, "packing"), Fraction(0)) for name in names), Fraction(0)),
                    max(moment.date() for moment in moments) if moments else None,
                    min(dues) if dues else None,
                    way,
                )
            )
        return loads

    def entries(self, start: date) -> list[Entry]:
        """Return all entries when everything is ordered on a working day ``start``."""
        loads = self.loads
        if not loads:
            return []
        bought = self._purchases(start)
        tasks, dated = self._dated(start, bought)
        hours = {task.key: task.hours for task in tasks}
        named = {load.crate.crate: load.crate for load in loads}
        found = [*bought]
        for key, (first, last) in dated.items():
            kind, _, what = key.partition(":")
            note = _contents(named[what]) if what in named else "all sheets and lumber"
            found.append(Entry(_KIND_OF[kind], what or "everything", first, last, None, _hours(hours[key]), note))
        found += self._hand_overs(loads, dated)
        found += self._arrivals(loads, dated)
        found += _cures(self.quote.build, self.copies)
        found += self._pours(dated)
        rank = {kind: number for number, kind in enumerate(KINDS)}
        return sorted(found, key=lambda entry: (rank[entry.kind], entry.first, entry.what))

    def _dated(self, start: date, bought: Sequence[Entry]) -> tuple[list[Task], dict[str, tuple[date, date]]]:
        """Return all tasks, and the first and last day of each."""
        arrival = max((entry.last for entry in bought), default=start)
        tasks = list(self._tasks(self.loads, start, arrival))
        return tasks, {key: self._days_of(start, span) for key, span in in_order(tasks).items()}

    def _late(self, start: date) -> bool:
        """Whether any hand-over is late when everything is ordered on a day; only hand-overs have due days."""
        _, dated = self._dated(start, self._purchases(start))
        return any(entry.late_days for entry in self._hand_overs(self.loads, dated))

    def last_day_to_buy(self) -> date | None:
        """Return the last day of ordering with which no hand-over is late."""
        days = self.days
        dues = [load.due for load in self.loads if load.due is not None]
        if not dues:
            return None
        for load in self.loads:  # what cures too long is late whenever the rest is bought
            if load.due is not None and load.ready is not None:
                soonest = days.later(days.on_or_after(load.ready), self.rules.hand_over_days)
                if soonest > load.due:
                    return None
        day = days.on_or_before(max(dues))
        for _ in range(_EARLIEST):
            if not self._late(day):
                return day
            day = days.earlier(day, 1)
        return None

    def _purchases(self, start: date) -> list[Entry]:
        """Return one entry for each supplier: from the order to the delivery."""
        suppliers: dict[str, int] = {}
        for row in self.quote.takeoff.rows:
            if row.bought and row.price is not None:
                suppliers.setdefault(row.price.supplier or "supplier not stated", 0)
                suppliers[row.price.supplier or "supplier not stated"] += 1
        return [
            Entry(
                "buy",
                name,
                start,
                self.days.later(start, ceil(self.lead_days.get(name, self.rules.lead_days))),
                note=plural(count, "line"),
            )
            for name, count in sorted(suppliers.items())
        ]

    def _tasks(self, loads: Sequence[_Load], start: date, arrival: date) -> Iterator[Task]:
        """Yield the tasks: cut once, then build and pack each package."""
        here = self._hour_of(start, arrival)
        saw = sum((hours for (_, room), hours in self.hours.items() if room == "saw"), Fraction(0))
        far = self._hour_of(start, max((load.due for load in loads if load.due), default=start)) + 10**6
        yield Task("cut:", saw, here, Fraction(0))
        for load in loads:
            name = load.crate.crate
            due = far
            if load.due is not None:
                packed_by = self.days.earlier(load.due, self.rules.hand_over_days)
                due = self._hour_of(start, beside(packed_by, 1))
            ready = here if load.ready is None else max(here, self._hour_of(start, load.ready))
            yield Task(f"build:{name}", load.bench, here, due, ("cut:",))
            yield Task(f"pack:{name}", load.packing, ready, due, (f"build:{name}",))

    def _hour_of(self, start: date, day: date) -> Fraction:
        """Return the working hour, from ``start`` on, at which a day begins."""
        return self.days.between(start, day) * self.day_hours

    def _days_of(self, start: date, span: tuple[Fraction, Fraction]) -> tuple[date, date]:
        """Return the first and last day of a span of working hours; a span that ends with a day ends on that day."""
        first = span[0] // self.day_hours
        last = max(first, ceil(span[1] / self.day_hours) - 1)
        return self.days.later(start, int(first)), self.days.later(start, int(last))

    def _hand_overs(self, loads: Sequence[_Load], dated: Mapping[str, tuple[date, date]]) -> Iterator[Entry]:
        """Yield one entry for each destination and due day."""
        for place, due, day, group in self._handed_over(loads, dated):
            note = f"{plural(len(group), 'package')}: {', '.join(load.crate.crate for load in group)}"
            if lacking := without([crate for crate in self.quote.build.held if crate.destination == place]):
                note = f"{note}; {lacking}"
            yield Entry("hand over", place or "destination not stated", day, day, due, note=note)

    def _handed_over(
        self, loads: Sequence[_Load], dated: Mapping[str, tuple[date, date]]
    ) -> Iterator[tuple[str, date | None, date, list[_Load]]]:
        """Yield destination, due day and day of all that is handed over together."""
        groups: dict[tuple[str, date | None], list[_Load]] = {}
        for load in loads:
            groups.setdefault((load.crate.destination, load.due), []).append(load)
        for (place, due), group in groups.items():
            packed = max(dated[f"pack:{load.crate.crate}"][1] for load in group)
            yield place, due, self.days.later(packed, self.rules.hand_over_days), group

    def _arrivals(self, loads: Sequence[_Load], dated: Mapping[str, tuple[date, date]]) -> Iterator[Entry]:
        """Yield one entry for all that goes one way together, where days on the way or a deadline are known."""
        found: list[tuple[Transit, date, list[str]]] = []
        for _, _, day, group in self._handed_over(loads, dated):
            ways: dict[Transit, list[str]] = {}
            for load in group:
                if load.way is not None and (load.way.told or load.way.deadline):
                    ways.setdefault(load.way, []).append(load.crate.crate)
            found += [(way, day, crates) for way, crates in ways.items()]
        places = Counter(way.destination for way, _, _ in found)
        unknown = of_crates(self.quote.shipments, self.quote.rates)
        for way, day, crates in found:
            names, place = ", ".join(crates), way.destination or "destination not stated"
            note = f"{plural(len(crates), 'package')}: {names}; {way.told or 'days on the way not known'}"
            if lines := tuple(dict.fromkeys(line for crate in crates for line in unknown.get(crate, ()))):
                note = f"{note}; {told(lines)}"
            what = f"{place}, {names}" if places[way.destination] > 1 else place
            yield Entry("arrive", what, way.soonest(day), way.arrives(day), way.deadline, note=note)

    def _pours(self, dated: Mapping[str, tuple[date, date]]) -> Iterator[Entry]:
        """Yield the last day to pour each resin piece whose pour is not yet known."""
        build = self.quote.build
        where = {piece: crate.inside_of or crate.crate for crate in build.crates for piece in crate.pieces}
        touched = _touched(build)
        for copy in self.copies:
            if copy.poured is None and copy.surface == "resin" and copy.piece in where:
                packed = dated[f"pack:{where[copy.piece]}"][0]
                days = _cure_days(copy, build, touches_face=copy.piece in touched)
                day = packed - timedelta(days=days)
                yield Entry("pour", copy.piece, day, day, note=f"no later, for packing on {packed}")


_KIND_OF: Final[Mapping[str, Kind]] = {"cut": "cut", "build": "build", "pack": "pack"}


def _hours(hours: Fraction) -> Decimal:
    """Round hours for people, to a tenth, up."""
    return Decimal(ceil(hours * 10)) / 10


def _hours_by_crate(quote: Quote) -> dict[tuple[str, str], Fraction]:
    """Divide each operation's hours among the crates, by room."""
    sums: dict[tuple[str, str], dict[int, int]] = {}  # numerators by denominator, of which there are few
    for row in quote.labour:
        room = TITLES[row.operation][0]
        hours, whole = row.hours.as_integer_ratio()
        for crate, part in row.bearers.items():
            mine, over = sums.setdefault((crate, room), {}), whole * part.denominator
            mine[over] = mine.get(over, 0) + hours * part.numerator
    none = Fraction(0)
    return {key: sum((Fraction(count, over) for over, count in mine.items()), none) for key, mine in sums.items()}


def _contents(crate: Crate) -> str:
    """Say what a package is and holds."""
    return f"{called(crate.method)} with {', '.join(crate.pieces)}"


def _cures(build: Build, copies: Sequence[Artwork]) -> Iterator[Entry]:
    """Yield, for each poured piece, the days from its pour to its earliest packing."""
    when = {
        piece: crate.earliest_packing.date()
        for crate in build.crates
        if crate.earliest_packing is not None and not method_of(crate).is_case
        for piece in crate.pieces
    }
    for copy in copies:
        if copy.poured is not None and copy.piece in when:
            yield Entry("cure", copy.piece, _day(copy.poured), when[copy.piece], note="rests until it may be packed")


def _day(moment: date) -> date:
    """Return the day of a date or a date with a time."""
    return date(moment.year, moment.month, moment.day)


def _touched(build: Build) -> frozenset[str]:
    """Return the pieces whose face something of a crate touches."""
    return frozenset(piece for crate in build.crates if method_of(crate).touches_face for piece in crate.pieces)


def _cure_days(artwork: Artwork, build: Build, *, touches_face: bool) -> int:
    """Return the days before packing by whose end the pour must be done."""
    hours, _ = cure_hours(artwork, build.shop.cure, touches_face=touches_face)
    return ceil(hours / 24) + 1
