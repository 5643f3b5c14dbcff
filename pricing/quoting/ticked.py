"""From a version whose sheets were ticked as cut to what the next version is given.

Every cent of what was cut or fetched is kept as it stood in that version's quote: where all that was bought of a stock
is cut or fetched, its amount to the cent; else its part at the price of that day.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from nesting.build import Build, to_cut
from nesting.cutting.existing import OPEN
from nesting.cutting.given import Given, OpenSheet
from nesting.cutting.parts import Part, StickPart
from nesting.cutting.rolls import RollPlan
from nesting.cutting.sheets import PartLeaf
from pricing.money import half_up
from pricing.quoting.labour import saw_labour
from pricing.quoting.offcuts import new_offcuts
from pricing.quoting.quote import Quote
from pricing.quoting.sawn import Batch, Sawn
from pricing.quoting.takeoff import Taken, take_off, used_amount
from pricing.studio.rack import RackOffcut

P = TypeVar("P", bound=Part | StickPart)

Ticks = Mapping[tuple[str, int], int]
"""How many sheets or sticks are cut, by good and place of the layout in the plan of that good, from 0."""


@dataclass(frozen=True, slots=True)
class Ticked:
    """What is known to be done of a version.

    Attributes
    ----------
    version : int
        Its number.
    cut : mapping of (str, int) to int
        Sheets and sticks that are cut, by good and place of the layout in its plan.
    fetched : mapping of str to int
        How many sheets or sticks of a stock were fetched for it in all, by the stock's name; where it says less than is
        cut, or nothing, as many as are cut. What is fetched and not cut is open.
    free : tuple of RackOffcut
        What is left of the cut sheets, has not been put on the rack, and may be cut again; :func:`remains` tells which
        there are.
    """

    version: int
    cut: Ticks = field(default_factory=dict)
    fetched: Mapping[str, int] = field(default_factory=dict)
    free: tuple[RackOffcut, ...] = ()


def sawn_of(before: Quote, ticked: Ticked) -> Sawn:
    """Return what the version after a quote is given.

    Parameters
    ----------
    before : Quote
        The version that was cut; what it was given itself goes on being given.
    ticked : Ticked
        What is done of it.

    Raises
    ------
    ValueError
        When more is ticked than the plan has.
    """
    earlier = before.sawn or Sawn()
    done = _only(before.build, ticked.cut)
    value = before.rates.price.offcut_value
    cut = take_off(done, before.book, before.rack, offcut_value=value, worth=earlier.worth)
    stocks = [_Stock.of(row, cut.rows, ticked) for row in before.takeoff.rows if row.form in ("sheet", "stick")]
    rows = tuple(stock.row() for stock in stocks if stock.count or stock.paid)
    free = [
        *_fetched(before, earlier, stocks, ticked.version),
        *_still_open(earlier, rows),
        *_rests(ticked),
    ]
    worth: dict[str, dict[str, Decimal]] = {}
    for each, what in free:
        worth.setdefault(each.good, {})[each.name] = what
    labour = saw_labour(done, before.rates.labour, before.book, () if earlier.fetched else rows)
    batch = Batch(ticked.version, rows, labour, dict(before.rates.purchase_tax))
    parts = _joined(earlier.given.parts, _cut_parts(done))
    sticks = _joined(earlier.given.sticks, _cut_sticks(done))
    given = Given(parts, sticks, tuple(each for each, _ in free))
    made = Sawn(given, (*earlier.batches, *([batch] if rows else [])), worth)
    build = before.build
    if made == Sawn() or build.grouping is None:
        return made
    return replace(made, design=build.grouping, pieces=tuple(build.order.copies()))


@dataclass(frozen=True, slots=True)
class _Stock:
    """One stock of the version that was cut.

    Attributes
    ----------
    full : Taken
        As the version's quote has it.
    used, net : Decimal
        What the cut sheets used up, and what of it became parts.
    count, paid : int
        How many are cut, and how many were paid for by then: with all that is needed cut, all that was bought.
    """

    full: Taken
    used: Decimal
    net: Decimal
    count: int
    paid: int

    @classmethod
    def of(cls, full: Taken, cut: Iterable[Taken], ticked: Ticked) -> "_Stock":
        """Return what was done of a stock."""
        part = next((row for row in cut if (row.good, row.stock) == (full.good, full.stock)), None)
        count = int(part.needed) if part else 0
        paid = {"rack": count, "open": 0}.get(full.source)
        if paid is None:
            paid = max(ticked.fetched.get(full.stock, 0), int(full.bought) if count == full.needed else count)
        used, net = (part.used, part.net) if part else (Decimal(0), Decimal(0))
        return cls(full, used, net, count, paid)

    def row(self) -> Taken:
        """Return the row of what was cut and paid: all of it to the cent, part of it at the price of that day."""
        full, price = self.full, self.full.price
        if price is None:
            amount, used = full.bought_amount, half_up(self.used * full.each)
        else:
            whole = self.paid == full.bought
            amount = full.bought_amount if whole else half_up(full.each * self.paid)
            used = used_amount(self.used, full.bought_amount, full.needed, price.price)
        return replace(
            full,
            needed=Decimal(self.count),
            bought=Decimal(self.paid if price else 0),
            used=self.used,
            bought_amount=amount,
            used_amount=used,
            net=self.net,
        )

    @property
    def open_each(self) -> Decimal:
        """What one that was fetched and not cut is worth by use, all of them alike.

        What the plan needs carries all that was bought for it; what only a price break brought carries nothing.
        """
        full, lie = self.full, self.paid - self.count
        planned = min(lie, int(full.needed) - self.count) * Fraction(full.bought_amount) / Fraction(full.needed)
        beyond = max(0, self.paid - int(full.bought)) * Fraction(full.each)
        return half_up((planned + beyond) / lie)


_Free = tuple[OpenSheet, Decimal]
"""Open stock, and what one is worth by use."""


def _fetched(before: Quote, earlier: Sawn, stocks: Iterable[_Stock], version: int) -> Iterator[_Free]:
    """Yield whole sheets and sticks that were fetched and not cut."""
    taken = {(each.good, each.name) for each in earlier.given.sheets}
    for stock in stocks:
        row = stock.full
        if row.source != "buy" or stock.paid <= stock.count:
            continue
        size = next(size for size in before.build.shop.good(row.good).sizes if size.stock == row.stock)
        # The same stock may lie open since an earlier version, at a price of its own.
        name = f"{row.stock}, version {version}" if (row.good, row.stock) in taken else row.stock
        width = size.width if row.form == "sheet" else 0
        yield OpenSheet(row.good, name, size.length, width, stock.paid - stock.count), stock.open_each


def _still_open(earlier: Sawn, rows: Iterable[Taken]) -> Iterator[_Free]:
    """Yield what lay open before this version and was not cut for it."""
    spent = {(row.good, row.stock.removeprefix(OPEN)): int(row.needed) for row in rows if row.source == "open"}
    for each in earlier.given.sheets:
        left = each.count - spent.get((each.good, each.name), 0)
        if left:
            yield replace(each, count=left), earlier.worth.get(each.good, {}).get(each.name, Decimal(0))


def _rests(ticked: Ticked) -> Iterator[_Free]:
    """Yield what is left of the cut sheets and may be cut again, at its book value."""
    for rest in ticked.free:
        name = f"{rest.name}, version {ticked.version}"
        yield OpenSheet(rest.good, name, rest.length, rest.width, rest.count), rest.value


def remains(before: Quote, ticked: Ticked) -> tuple[RackOffcut, ...]:
    """Return what is left of the sheets and sticks that are ticked as cut and is worth keeping, with its book value."""
    return new_offcuts(replace(before, build=_only(before.build, ticked.cut)))


def _only(build: Build, cut: Ticks) -> Build:
    """Return a build of which only what is cut is laid out."""
    plans = {plan.good: len(plan.sheets) for plan in build.layouts}
    plans |= {plan.good: len(plan.sticks) for plan in build.stick_plans}
    for (good, place), count in cut.items():
        if not 0 <= place < plans.get(good, 0):
            raise ValueError(f"{good} has no layout {place + 1} in the plan that was cut")
        if count < 0:
            raise ValueError(f"{good}, layout {place + 1}: {count} cannot be cut")
    layouts = []
    for layout in build.layouts:
        sheets = tuple(
            replace(each, repeat=_count(layout.good, place, each.repeat, cut))
            for place, each in enumerate(layout.sheets)
            if cut.get((layout.good, place))
        )
        if sheets:
            layouts.append(replace(layout, sheets=sheets, sheet_count=sum(s.repeat for s in sheets)))
    plans_cut = []
    for plan in build.stick_plans:
        sticks = tuple(
            replace(each, repeat=_count(plan.good, place, each.repeat, cut))
            for place, each in enumerate(plan.sticks)
            if cut.get((plan.good, place))
        )
        if sticks:
            plans_cut.append(replace(plan, sticks=sticks))
    return replace(build, layouts=tuple(layouts), stick_plans=tuple(plans_cut), roll_plan=RollPlan())


def _count(good: str, place: int, most: int, cut: Ticks) -> int:
    """Return how many of a layout are cut; no more than there are."""
    count = cut[good, place]
    if count > most:
        raise ValueError(f"{good}, layout {place + 1}: {count} are ticked as cut, and {most} were to be cut")
    return count


def _cut_parts(done: Build) -> Iterator[Part]:
    """Yield the parts that came off the sheets that are cut."""
    wanted, _ = to_cut(done)
    for layout in done.layouts:
        counts: Counter[str] = Counter()
        for each in layout.sheets:
            for *_, leaf in each.pieces(layout.kerf):
                if isinstance(leaf, PartLeaf):
                    counts[leaf.part] += each.repeat
        yield from (replace(part, count=counts[part.name]) for part in wanted[layout.good] if counts[part.name])


def _cut_sticks(done: Build) -> Iterator[StickPart]:
    """Yield the parts that came off the sticks that are cut."""
    _, wanted = to_cut(done)
    for plan in done.stick_plans:
        counts: Counter[str] = Counter()
        for each in plan.sticks:
            for name in each.parts:
                counts[name] += each.repeat
        yield from (replace(part, count=counts[part.name]) for part in wanted[plan.good] if counts[part.name])


def _joined(earlier: Mapping[str, tuple[P, ...]], new: Iterable[P]) -> dict[str, tuple[P, ...]]:
    """Return what existed before and what was cut now, by good."""
    found: dict[str, tuple[P, ...]] = dict(earlier)
    for part in new:
        found[part.good] = (*found.get(part.good, ()), part)
    return found
