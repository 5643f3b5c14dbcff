"""What the command prints after a quote: crates, sheets with their use and proof, and the total with what it lacks."""

from collections.abc import Iterator, Mapping
from textwrap import wrap
from typing import Final

from nesting.base.counts import counted, plural
from nesting.base.measure import UnitSystem, format_length, format_weight
from nesting.build import Build
from nesting.crates.designs import best_of, foam_line
from nesting.crates.held import accept_by, accepted_line, reasons, told_of
from nesting.crates.limits import as_ordered
from nesting.crates.model import Crate
from nesting.crates.registry import called
from nesting.crates.unpacked import unpacked_rows
from pricing.ahead.cheaper import Cheaper
from pricing.quoting import fronts
from pricing.quoting.lacks import headed
from pricing.quoting.plans import proof
from pricing.quoting.quote import Quote, charged_told
from pricing.quoting.taxes import by_place

_WIDE: Final = 100
_ROOM: Final = 24
"""Letters that the works of a crate have before its size."""
_ABOVE: Final = frozenset({"held"})
"""What the first line gives the reasons of."""
STOPPED_EARLY: Final = "Stopped early: these are the best cuts found until then. The same command finishes them."


def summary(quote: Quote, way: Cheaper | None = None) -> str:
    """Return the summary as plain text, at most 100 columns wide where names allow; with a cheaper way if there is."""
    return "\n".join(_lines(quote, way))


def _lines(quote: Quote, way: Cheaper | None) -> Iterator[str]:
    build = quote.build
    if build.is_lacking:
        yield build.lacking_line  # on one line, whatever its length: who reads but one reads this
        yield ""
    pieces, packages = len(build.order.copies()) - len(build.held_pieces), len(build.travelling)
    yield f"{build.order.name}: {plural(pieces, 'piece')} in {plural(packages, 'package')}"
    yield ""
    yield from _crates(build)
    yield from _held(build)
    yield from _unpacked(build)
    if build.given_told:
        yield from wrap(build.given_told, _WIDE)
    yield from _cuts(quote)
    if told := best_of(build.grouping):
        yield f"Crates as made here: {told} of the whole order."
    yield from wrap(foam_line(build.every, as_ordered(build.shop, build.order).case.cushion), _WIDE)
    yield ""
    yield from _ladder(quote)
    if way is not None:
        yield from wrap(way.line, _WIDE, subsequent_indent="  ")
    for said in dict.fromkeys(f"{each.destination}: {each.sentence}" for each in quote.transits if each.deadline):
        yield from wrap(said, _WIDE, subsequent_indent="  ")
    for head, lacks in headed(quote.lacks):
        yield head
        for lack in lacks:
            told = lack.brief if lack.kind in _ABOVE else lack.whole
            yield from wrap(told, _WIDE, initial_indent="! " if lack.grave else "- ", subsequent_indent="  ")


def _ladder(quote: Quote) -> Iterator[str]:
    """Yield the steps from direct cost to the total, with the taxes of each place, and by which rule is charged."""
    if quote.takeoff.rows:
        told = charged_told(quote)
        yield from wrap(f"{told[:1].upper()}{told[1:]}.", _WIDE)
        yield ""
    yield f"{'':<46}{'adds':>14}{'so far':>14}"
    for step in quote.steps:
        if step.amount or (step.key == "freight" and quote.incomplete):
            yield f"{step.title:<46}{step.amount:>14,.2f}{step.running:>14,.2f}"
    for tax in by_place(quote.levied):
        sum_ = f": {tax.amount:,.2f} of {tax.base:,.2f}" if tax.base and not tax.rule.reason else ""
        yield from wrap(f"{tax.told}{sum_}", _WIDE, initial_indent="  ", subsequent_indent="    ")
    yield f"{'Total, ' + ', '.join(filter(None, (quote.currency, quote.without))):<60}{quote.total:>14,.2f}"


def _cuts(quote: Quote) -> Iterator[str]:
    """Say of each good how many sheets or sticks are cut, and how good the cuts are."""
    build = quote.build
    goods = [*(layout.good for layout in build.layouts), *(plan.good for plan in build.stick_plans)]
    wide = max(map(len, goods), default=0)
    for layout in build.layouts:
        count, told = layout.sheet_count, proof(layout, quote.currency)
        used = f"{float(layout.use) * 100:>4.0f} % used"
        yield f"{layout.good:<{wide}}{count:>4} {counted(count, 'sheet'):<8}{used}   {told}"
        if over := fronts.told(quote, layout):
            yield from wrap(f"{layout.good}: {over}.", _WIDE, subsequent_indent="  ")
    for plan in build.stick_plans:
        count = sum(each.repeat for each in plan.sticks)
        yield f"{plan.good:<{wide}}{count:>4} {counted(count, 'stick'):<8}{'':>11}   {proof(plan, quote.currency)}"


def _crates(build: Build) -> Iterator[str]:
    """Yield each crate that is made, one that was accepted with the reason."""
    named = build.order.called()
    for crate in build.crates:
        yield _crate_line(crate, build.units, named)
        if told := accepted_line(crate):
            yield from wrap(told, _WIDE, initial_indent="     ", subsequent_indent="     ")
    yield ""


def _held(build: Build) -> Iterator[str]:
    """Yield each held crate and how it is accepted, and its reasons where the first line has no room for them."""
    if not build.held:
        return
    yield "Held, not cut:"
    first = told_of(build.held)
    named = build.order.called()
    for crate in build.held:
        yield _crate_line(crate, build.units, named)
        if crate not in first:
            yield from wrap(f"{reasons(crate)}.", _WIDE, initial_indent="     ", subsequent_indent="     ")
        if how := accept_by(crate):
            yield f"     To take it all the same: {how}"
    yield ""


def _unpacked(build: Build) -> Iterator[str]:
    """Yield each piece that nothing packs with what speaks against every method; nothing where there is none."""
    if not build.unpacked:
        return
    yield "Packed by nothing:"
    for row in unpacked_rows(build.unpacked):
        yield from wrap(f"{row.pieces}: {row.why}.", _WIDE, initial_indent="  ", subsequent_indent="     ")
        yield from wrap(f"To pack it: {row.accepted}", _WIDE, initial_indent="     ", subsequent_indent="     ")
    yield ""


def _crate_line(crate: Crate, units: UnitSystem, named: Mapping[str, str]) -> str:
    size = " x ".join(
        format_length(side, units) for side in (crate.outside.width, crate.outside.height, crate.outside.depth)
    )
    mark = "in" if units == "inch" else "mm"
    where = f" in {crate.inside_of}" if crate.inside_of else ""
    weight = format_weight(crate.gross_kg, units, mark=True)
    return f"{crate.crate:<5}{called(crate.method) + where:<20}{_works(crate, named):<24} {size} {mark}, {weight}"


def _works(crate: Crate, named: Mapping[str, str]) -> str:
    """Return the pieces of a crate, one by itself with its title where there is room for it."""
    pieces = ", ".join(crate.pieces)
    said = named.get(pieces, pieces) if len(crate.pieces) == 1 else pieces
    return said if len(said) <= _ROOM else pieces
