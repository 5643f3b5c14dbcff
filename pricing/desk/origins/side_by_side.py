"""What totals that are shown side by side come from: ways to pack, scenarios, designs of a crate.

Each is a whole order that was priced as its page shows it; what it is the sum of was kept with it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from nesting.base.counts import plural
from nesting.base.measure import format_weight
from nesting.crates.registry import called
from pricing.ahead.methods import Combination, Outcome
from pricing.ahead.methods.pricer import CARRIED, Bearing, trips
from pricing.desk.origins.crates import of_weight
from pricing.desk.origins.model import Address, Cell, Origin, Table, Told, number, table
from pricing.desk.scenarios import Weighed
from pricing.desk.short_list import Candidate
from pricing.desk.views import figure
from pricing.money import show, total
from pricing.quoting.labour import TITLES
from pricing.quoting.ledger import STEP, Entry
from pricing.quoting.quote import Quote
from pricing.studio.rates import ReuseRules

Amounts = Mapping[str, Decimal]
Write = Callable[[Decimal], str]
_QUICK: Final = "Every way on that page is priced as a whole order, with quick cutting plans, the rest of it as it is."
_BEFORE: Final = "What it is made of was not kept when it was reckoned. Ask for it again, and it stands here."
_HOURS: Final = ("operation", "as it is", "so")
_KINDS: Final = ("kind", "as it is", "so")


def _signed(amount: Decimal, write: Write) -> str:
    return f"{'+' if amount > 0 else '−'} {write(abs(amount))}" if amount else ""


def _sides(key: str, title: str, heads: Sequence[str], now: Amounts | None, so: Amounts, write: Write) -> Table:
    """Return what a sum is made of, beside another one with the difference where there is one."""
    what, was, then = heads
    if now is None:
        alone = [(Cell(name, words=True), Cell(write(amount))) for name, amount in so.items()]
        return replace(table(key, title, (what, then), alone), sums=(write(total(so.values())),))
    rows = [(name, now.get(name, Decimal(0)), so.get(name, Decimal(0))) for name in dict.fromkeys((*now, *so))]
    lines = [
        (Cell(name, words=True), Cell(write(one)), Cell(write(other)), Cell(_signed(other - one, write)))
        for name, one, other in rows
    ]
    one, other = (total(each.values()) for each in (now, so))
    sums = (write(one), write(other), _signed(other - one, write))
    return replace(table(key, title, (what, was, then, "+/−"), lines), sums=sums)


def _operations(work: Sequence[tuple[str, Decimal]]) -> Amounts:
    """Return hours by the names of operations, in the order of the work."""
    hours = dict(work)
    return {title: hours[name] for name, (_, title) in TITLES.items() if name in hours}


def of_way(found: Combination, name: str, method: str, quote: Quote, to: Address) -> Origin:
    """Return what a unit bears as one way packs it: kinds of cost, hours, weights, and the whole order then."""
    table_of = found.comparison
    at = next((place for place, unit in enumerate(table_of.units) if unit.name == name), None)
    row = next((each for each in table_of.rows[at] if each.method == method), None) if at is not None else None
    if at is None or row is None or row.bearing is None:
        raise LookupError("that way was not priced, as it stands now")
    unit, bearing = table_of.units[at], row.bearing
    was = next((each for each in table_of.rows[at] if each.chosen and each.bearing is not None), None)
    now = was.bearing if was is not None and was is not row else None
    told = [Told(_QUICK, to("ways", f"way-{at + 1}"), "Ways to pack"), _trips(bearing, method, quote.rates.reuse)]
    if len(unit.lines) == 1 and not row.chosen:
        text = f"{unit.name} as {called(method)}, tried on the job as it stands, line by line:"
        told.append(Told(text, to("crates", piece=unit.lines[0], method=method), "See what it does"))
    if not bearing.columns:
        told.append(Told(_BEFORE, to("ways"), "Ways to pack"))
    columns = dict(now.columns) if now else None
    tables = [_sides("bears", f"What {name} bears", _KINDS, columns, dict(bearing.columns), figure)]
    work = _operations(now.work) if now else None
    tables.append(_sides("hours", "Hours of work", _HOURS, work, _operations(bearing.work), number))
    weights = [
        (Cell(crate, words=True), Cell(format_weight(kg, quote.build.units, mark=True)))
        for crate, kg in bearing.carried
    ]
    whole = format_weight(bearing.kg, quote.build.units, mark=True)
    tables.append(table("weights", f"The part of {name} in each crate, by weight", ("crate", "weight"), weights, whole))
    if row.order_columns:
        order = dict(table_of.now.columns)
        tables.append(_sides("order", "The whole order", _KINDS, order, dict(row.order_columns), figure))
    title = f"{name} as {called(method)} bears"
    return Origin(title, show(bearing.cost, quote.currency), tuple(told), tuple(tables))


def _trips(bearing: Bearing, method: str, reuse: ReuseRules) -> Told:
    """Return how what it costs a trip comes about."""
    carried = total(amount for name, amount in bearing.columns if name in CARRIED)
    count = trips(method, reuse)
    made = bearing.cost - carried
    text = f"A trip: {figure(carried)} of freight and insurance, and {figure(made)} over {plural(count, 'trip')}"
    return Told(f"{text} = {figure(bearing.a_trip)}.", "/rules?group=reuse", "Shop")


def of_together(found: Combination, which: str, quote: Quote, to: Address) -> Origin:
    """Return what one of the orders that a comparison weighs comes to: by kind, and unit by unit."""
    outcomes = {"now": found.comparison.now, "each": found.each_cheapest, "best": found.best}
    titles = {"now": "As packed now", "each": "Every piece its own cheapest way", "best": found.best_called}
    outcome = outcomes.get(which)
    if not isinstance(outcome, Outcome):  # refused, or no word of ours
        raise LookupError(  # noqa: TRY004 - nobody handed in a wrong type: it is not there
            "that order was not priced, as it stands now"
        )
    told = [Told("A whole order, priced with quick cutting plans.", to("ways"), "Ways to pack")]
    if not outcome.columns:
        told.append(Told(_BEFORE, to("ways"), "Ways to pack"))
    now = dict(found.comparison.now.columns) if which != "now" else None
    kinds = _sides("kinds", "What it comes to", _KINDS, now, dict(outcome.columns), figure)
    rows = [
        (
            Cell(unit.name, to("ways", f"way-{place}"), words=True), Cell(called(each.method), words=True),
            Cell(figure(each.freight)), Cell(figure(each.hours)), Cell(figure(each.a_trip)), Cell(figure(each.cost)),
        )
        for place, (unit, each) in enumerate(zip(found.comparison.units, outcome.bearings, strict=True), start=1)
    ]  # fmt: skip
    heads = ("piece", "packed as", "of which freight", "hours", "a trip", "bears")
    sums = ("", figure(total(each.freight for each in outcome.bearings)), figure(outcome.hours),
            figure(outcome.a_trip), figure(outcome.total))  # fmt: skip
    units = replace(table("units", "Piece by piece", heads, rows), sums=sums)
    return Origin(titles[which], show(outcome.total, quote.currency), tuple(told), (kinds, units))


def of_scenario(found: Sequence[Weighed], name: str, quote: Quote, to: Address) -> Origin:
    """Return what a scenario comes to, line by line beside the job as it is."""
    wanted = next((each for each in found if each.name == name and each.total is not None), None)
    if wanted is None or wanted.total is None:
        raise LookupError("that scenario was not quoted, as it stands now")
    base = found[0] if found[0].total is not None and found[0] is not wanted else None
    told = [Told("Each scenario is a full quote beside the job as it is.", to("what-if"), "What if")]
    if not wanted.entries:
        told.append(Told(_BEFORE, to("what-if"), "What if"))
    tables = _entries(wanted.entries, base.entries if base else None, quote, to)
    units = quote.build.units
    rows = [
        (Cell(crate, words=True), Cell(called(method), words=True), Cell(format_weight(kg, units, mark=True)))
        for crate, method, kg in wanted.packages
    ]
    whole = format_weight(float(wanted.figures["kg"]), units, mark=True)
    tables.append(table("packages", "Packages", ("crate", "packed as", "weight"), rows, whole))
    cut = [(Cell(good, words=True), Cell(f"{count}")) for good, count in wanted.sheets]
    tables.append(table("sheets", "Sheets that are cut", ("good", "sheets"), cut, f"{wanted.figures['sheets']}"))
    late = [(Cell(what, words=True), Cell(plural(days, "day"))) for what, days in wanted.late]
    tables.append(table("late", "What is late", ("what", "late by"), late))
    return Origin(wanted.title, show(wanted.total, quote.currency), tuple(told), tuple(tables))


def _entries(so: Sequence[Entry], now: Sequence[Entry] | None, quote: Quote, to: Address) -> list[Table]:
    """Return lines and steps beside those of the job, and hours by operation; the job's own lead on."""
    mine = {line.key: line for line in (*quote.lines, *quote.passed)}
    was, then = ({each.key: each for each in entries} for entries in (now or (), so))
    rows = []
    for key in dict.fromkeys((*was, *then)):
        entry = then.get(key) or was[key]
        one, other = (each[key].amount if key in each else Decimal(0) for each in (was, then))
        line = mine.get(key)
        leads = to.line(line) if line is not None else to("money", "climb") if entry.section == STEP else ""
        head = (Cell(entry.section, words=True), Cell(entry.title, leads, words=True))
        rows.append((*head, Cell(figure(one)), Cell(figure(other)), Cell(_signed(other - one, figure))))
    before, after = (total(each.amount for each in entries.values()) for entries in (was, then))
    hours = {each.title: each.hours for each in so if each.hours}
    if now is None:
        alone = [(*row[:2], row[3]) for row in rows]
        made = replace(table("entries", "Line by line", ("kind", "what", "amount"), alone), sums=("", figure(after)))
        return [made, _sides("hours", "Hours of work", _HOURS, None, hours, number)]
    sums = ("", figure(before), figure(after), _signed(after - before, figure))
    heads = ("kind", "what", "as it is", "so", "+/−")
    worked = {each.title: each.hours for each in now if each.hours}
    return [
        replace(table("entries", "Line by line", heads, rows), sums=sums),
        _sides("hours", "Hours of work", _HOURS, worked, hours, number),
    ]


def of_design(listed: Sequence[Candidate], stamp: str, quote: Quote, to: Address) -> Origin:
    """Return what a design of a crate makes of the job's lines and hours, and what the crate then weighs."""
    each = next((one for one in listed if one.stamp == stamp), None)
    if each is None:
        raise LookupError("there is no such design of that crate, as it stands now")
    crate = each.crate
    here = f"designs/{crate.crate}"
    told = [
        Told("The whole job, cut quickly for each design alike, all other crates as they are.", to(here), "Designs")
    ]
    now = next((one for one in listed if one.now), None)
    told.append(Told("Checks stand with formula, numbers and source on the card of the design.", to(here), "Designs"))
    tables = _entries(each.entries, now.entries if now is not None and now is not each else None, quote, to)
    weight = of_weight(quote, crate, to, each.riding)
    more = "" if each.more is None or each.now else _signed(each.more, figure) or "the same"
    amount = ", ".join(filter(None, (f"{quote.currency} {more}" if more else "", weight.amount)))
    return Origin(f"{crate.crate}, {each.words}", amount, (*told, weight.told[0]), (*tables, *weight.tables))
