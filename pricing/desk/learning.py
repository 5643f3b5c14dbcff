"""What jobs took beside what they were reckoned with: of one job for its record, of all that are done for the rates."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from pricing.desk.desk import Sheaf
from pricing.money import half_up
from pricing.output.kept import counts_in, reckoned_in
from pricing.quoting.labour import TITLES
from pricing.quoting.learned import (
    Finished,
    Lesson,
    Reckoned,
    Unheard,
    forms_learned,
    minutes_rounded,
    operations_learned,
    reckoned_of,
    rooms_learned,
    unheard,
    used_in,
    wastes_learned,
)
from pricing.quoting.noted import HOURS, OTHER, RECEIPTS, ROOMS, room_of
from pricing.quoting.quote import Quote
from pricing.store import Store
from pricing.store.took import Actual, Took
from pricing.studio.rates import Rates

_TENTH: Final = Decimal("0.1")
_HUNDREDTH: Final = Decimal("0.01")


# Of one job.


@dataclass(frozen=True, slots=True)
class WorkRow:
    """A line of the record: hours of a room or an operation.

    Attributes
    ----------
    title : str
        For people.
    reckoned : Decimal or None
        Hours of the quote; None where it counts none of that.
    noted : Decimal
        Hours that were noted.
    each, took : Decimal or None
        Minutes of one, as reckoned and as it took; None where they are not told of one operation.
    is_room : bool
        Whether it sums a room.
    key : str
        The room or operation; empty of other work.
    """

    title: str
    reckoned: Decimal | None
    noted: Decimal
    each: Decimal | None = None
    took: Decimal | None = None
    is_room: bool = False
    key: str = ""


@dataclass(frozen=True, slots=True)
class StockRow:
    """A line of the record: what was used up of a stock.

    Attributes
    ----------
    stock : str
        What.
    reckoned : Decimal or None
        What parts, or use, take of it by the quote.
    used : Decimal
        Bought less left.
    waste : Decimal or None
        The part that was used up beyond what was reckoned.
    """

    stock: str
    reckoned: Decimal | None
    used: Decimal
    waste: Decimal | None


@dataclass(frozen=True)
class Sums:
    """What one job took, in sums.

    Attributes
    ----------
    work : tuple of WorkRow
        Rooms, each with its operations of which hours were noted.
    hours, reckoned_hours : Decimal
        All that was noted; of the quote, or None.
    paid : mapping of str to Decimal
        By what receipts were for, in words.
    materials, bought : Decimal
        What was paid for all but freight; what the quote buys, or None.
    stocks : tuple of StockRow
        Of which it is told how much was left.
    choices : tuple of str
        Stocks that the quote buys.
    """

    work: tuple[WorkRow, ...]
    hours: Decimal
    reckoned_hours: Decimal | None
    paid: Mapping[str, Decimal]
    materials: Decimal
    bought: Decimal | None
    stocks: tuple[StockRow, ...]
    choices: tuple[str, ...]


def sums_of(sheaf: Sheaf, took: Took) -> Sums:
    """Return reckoned and noted side by side."""
    noted, quote = took.of(sheaf.row.id), sheaf.answer.quote if sheaf.answer else None
    hours = hours_in(noted)
    paid: dict[str, Decimal] = {}
    for each in noted:
        if each.kind == "receipt":
            paid[each.under] = paid.get(each.under, Decimal("0.00")) + each.amount
    reckoned = reckoned_of(quote.takeoff.rows) if quote else {}
    return Sums(
        work=tuple(_work(quote, hours)),
        hours=sum(hours.values(), Decimal(0)),
        reckoned_hours=half_up(quote.hours, _TENTH) if quote else None,
        paid={title: paid[heading] for heading, title in RECEIPTS.items() if heading in paid},
        materials=sum((each for heading, each in paid.items() if heading != "freight"), Decimal("0.00")),
        bought=quote.takeoff.bought_amount if quote else None,
        stocks=tuple(_stocks(reckoned, used_in((each.stock, each.bought, each.left) for each in noted))),
        choices=tuple(reckoned),
    )


def hours_in(noted: Iterable[Actual]) -> dict[str, Decimal]:
    """Return the hours that were noted, by heading."""
    hours: dict[str, Decimal] = {}
    for each in noted:
        if each.kind == "hours":
            hours[each.under] = hours.get(each.under, Decimal(0)) + each.amount
    return hours


def _work(quote: Quote | None, hours: Mapping[str, Decimal]) -> Iterable[WorkRow]:
    rows = {row.operation: row for row in quote.labour} if quote else {}
    for room, title in ROOMS.items():
        reckoned = [row.hours for operation, row in rows.items() if TITLES[operation][0] == room]
        noted = sum((each for heading, each in hours.items() if room_of(heading) == room), Decimal(0))
        if reckoned or noted:
            yield WorkRow(
                title, half_up(sum(reckoned, Decimal(0)), _TENTH) if quote else None, noted, is_room=True, key=room
            )
        for operation, (own, name) in TITLES.items():
            if own == room and operation in hours:
                row = rows.get(operation)
                took = minutes_rounded(60 * Fraction(hours[operation]) / row.count) if row else None
                of_quote = half_up(row.hours, _HUNDREDTH) if row else None
                yield WorkRow(name, of_quote, hours[operation], row.minutes if row else None, took, key=operation)
    if other := sum((each for heading, each in hours.items() if room_of(heading) is None), Decimal(0)):
        yield WorkRow(HOURS[OTHER], None, other, is_room=True)


def _stocks(reckoned: Mapping[str, Reckoned], used: Mapping[str, Decimal]) -> Iterable[StockRow]:
    for stock, count in used.items():
        known = reckoned.get(stock)
        needed = known.needed if known and known.needed else None
        waste = half_up(Fraction(count - needed) / Fraction(needed), Decimal("0.001")) if needed else None
        yield StockRow(stock, half_up(needed, _HUNDREDTH) if needed else None, count, waste)


# Of all that are done.


@dataclass(frozen=True)
class Learned:
    """What all jobs that are done say, and what stands in the way of the others.

    Attributes
    ----------
    rooms, operations, wastes, forms : tuple of Lesson
        By what they are of.
    unheard : tuple of Unheard
        What was noted and says nothing.
    open : tuple of (int, str)
        Jobs of which something is noted, but that are not delivered yet.
    unreckoned : tuple of (int, str)
        Jobs that are done, and of which no quote was sent or pinned.
    done : int
        How many are done and reckoned.
    """

    rooms: tuple[Lesson, ...]
    operations: tuple[Lesson, ...]
    wastes: tuple[Lesson, ...]
    forms: tuple[Lesson, ...]
    unheard: tuple[Unheard, ...]
    open: tuple[tuple[int, str], ...]
    unreckoned: tuple[tuple[int, str], ...]
    done: int

    def lesson(self, key: str) -> Lesson:
        """Return the lesson on a rate; LookupError where nothing is learnt of it."""
        for each in (*self.rooms, *self.operations, *self.wastes):
            if each.key == key:
                return each
        raise LookupError("no job says anything of that")


def learned(store: Store, rates: Rates) -> Learned:
    """Return what all finished jobs say of the rates as they stand."""
    past = store.took.past()
    done = [
        Finished(
            each.job, each.name, counts_in(each.labour), hours_in(noted := store.took.of(each.job)),
            reckoned_in(each.takeoff), used_in((one.stock, one.bought, one.left) for one in noted), each.pins > 1,
        )
        for each in past
        if each.done and each.is_reckoned
    ]  # fmt: skip
    return Learned(
        rooms=rooms_learned(done, rates.labour),
        operations=operations_learned(done, rates.labour),
        wastes=wastes_learned(done, rates.price),
        forms=forms_learned(done, rates.price),
        unheard=tuple(unheard(done)),
        open=tuple((each.job, each.name) for each in past if not each.done),
        unreckoned=tuple((each.job, each.name) for each in past if each.done and not each.is_reckoned),
        done=len(done),
    )
