"""The part for the yard: what to buy from whom, what it weighs, and what the yard's own saw may do first."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from itertools import groupby
from typing import Final

from nesting.base.measure import MM
from nesting.build import Build
from nesting.cutting.sawing.model import SawCut
from nesting.cutting.sawing.plan import plan_in
from nesting.drawings.cut_list import fence, outcome
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import BuyingLine, Printing
from nesting.drawings.packet.side_by_side import Band, Row, column_table
from nesting.shop.goods import Good, StockSize
from nesting.shop.needs import blade_of

_METRE = 1000 * MM
_HINTS: Final = 2
"""Cuts at the yard, at the most."""
_LIGHTER: Final = 0.9
"""What is largest after a cut is at most so much of what was largest before, or the yard need not make it."""


def stock_kg(good: Good, size: StockSize) -> float:
    """Return what one bought unit weighs, in kg: from density and size, or from the weight of one thing."""
    if good.form == "each":
        return good.each_g * size.holds / 1000
    across = good.breadth if good.form == "stick" else size.width
    return good.density * (size.length / _METRE) * (across / _METRE) * (good.thickness / _METRE)


def plain_buying(build: Build) -> tuple[BuyingLine, ...]:
    """Return the buying list of a build without suppliers or prices: every sheet, stick, roll and box, none twice."""
    counts = _bought(build)
    order = {good.good: index for index, good in enumerate(build.shop.goods)}
    lines = []
    for (name, stock), number in sorted(counts.items(), key=lambda item: (order.get(item[0][0], 0), item[0][1])):
        good = build.shop.good(name)
        found = next((each for each in good.sizes if each.stock == stock), None)
        kg = stock_kg(good, found) * number if found else 0.0
        lines.append(BuyingLine("", good.title, stock, number, kg=kg))
    return tuple(lines)


def _bought(build: Build) -> Counter[tuple[str, str]]:
    """Count what is bought, by good and stock."""
    counts: Counter[tuple[str, str]] = Counter()
    for good, each in ((a.good, b) for a in build.layouts for b in a.sheets if b.sheet.source == "buy"):
        counts[good, each.sheet.name] += each.repeat
    for good, bar in ((a.good, b) for a in build.stick_plans for b in a.sticks if b.stick.source == "buy"):
        counts[good, bar.stick.name] += bar.repeat
    for take in build.roll_plan.takes:
        for roll, number in take.rolls:
            counts[take.good, roll.name] += number
    used: Counter[str] = Counter()
    for piecework in (each for crate in build.crates for each in crate.piecework):
        used[piecework.good] += piecework.count
    for name, number in used.items():
        size = build.shop.good(name).sizes[0]
        counts[name, size.stock] += -(-number // size.holds)
    return counts


def write_yard(flow: Flow, printing: Printing) -> None:
    """Write what is bought, supplier by supplier, and what the yard's saw may cut."""
    lines = plain_buying(printing.build) if printing.buying is None else printing.buying
    flow.paragraph(f"For {printing.name}. Tick what is on the van.", after=2)
    suppliers: dict[str, list[BuyingLine]] = defaultdict(list)
    for line in lines:
        suppliers[line.supplier].append(line)
    notes = any(line.note for line in lines)
    columns = [
        Column("", 0.2),
        # A length off a roll is wider than a count: its unit stays on its line.
        Column("count", 1.0 if any(line.amount for line in lines) else 0.5, "end", bold=True),
        Column("stock", 1.8),
        Column("what it is", 3.2),
        Column("weight", 0.7, "end"),
        *([Column("note", 1.8)] if notes else []),
    ]
    rows: list[Row] = []
    for supplier, wanted in suppliers.items():
        kg = sum(line.kg for line in wanted)
        weight = f". Weight from here: about {printing.weight(kg)}." if kg else ""
        rows.append(Band(f"{supplier or 'Any supplier'}{weight}"))
        rows += [
            ["☐", line.amount or str(line.count), line.stock, line.good, printing.weight(line.kg) if line.kg else "",
             *([line.note] if notes else [])]
            for line in wanted
        ]  # fmt: skip
    if rows:
        column_table(flow, 1, columns, rows)
    total = sum(line.kg for line in lines)
    if total:
        flow.paragraph(
            f"All together about {printing.weight(total)}. Will the van and its rack carry it?", size=9.5, bold=True
        )
    flow.caution(said("caution", "yard"))
    _from_rack(flow, printing)
    _hints(flow, printing)


def _from_rack(flow: Flow, printing: Printing) -> None:
    """List what is taken from the rack, or was paid for before, instead of bought."""
    build = printing.build
    for source, heading in (("rack", "From the rack, not to buy"), ("open", "Paid already, not to buy")):
        taken = [(a.good, b.sheet.name, b.repeat) for a in build.layouts for b in a.sheets if b.sheet.source == source]
        taken += [
            (a.good, b.stick.name, b.repeat) for a in build.stick_plans for b in a.sticks if b.stick.source == source
        ]
        if taken:
            flow.heading(heading)
            for good, name, count in taken:
                flow.tick(f"{count}× {name} ({good})")


def _hints(flow: Flow, printing: Printing) -> None:
    """Say which first cuts the yard's saw may make so that sheets are easier to carry."""
    shop = printing.build.shop
    hints = [
        (layout.good, each.repeat, step)
        for layout in printing.build.layouts
        if blade_of(shop, shop.good(layout.good)) == "saw"
        for plan in (plan_in(shop, layout),)
        for index, each in enumerate(layout.sheets)
        for step in first_cuts(plan.of_layout(index), each.sheet.length * each.sheet.width, shop.saw.panel_area)
    ]
    if not hints:
        return
    flow.heading("Cut-down hints for the yard's saw", keep=70)
    flow.paragraph(said("yard", "hints"))
    columns = [
        Column("cut", 0.5, "end", bold=True),
        Column("panel, edge", 1.0),
        Column("at", 1.0, bold=True),
        Column("gives", 2.0),
    ]
    rows: list[Row] = []
    for good, group in groupby(hints, key=lambda hint: hint[0]):
        rows.append(Band(shop.good(good).title))
        for _, repeat, step in group:
            sheets = f", {repeat} sheets" if repeat > 1 else ""
            rows.append(
                [
                    str(step.number), f"{step.panel} {step.edge}{sheets}", _marked(printing, good, step.fence),
                    f"{outcome(step.off)}; {outcome(step.stays)}",
                ]
            )  # fmt: skip
    column_table(flow, 2, columns, rows)


def _marked(printing: Printing, good: str, at: int) -> str:
    """Write where a cut is; with its unit where its good has its own."""
    own = printing.cut(good)
    return fence(at, own.units) + (own.mark if own.units != printing.units else "")


def first_cuts(steps: Sequence[SawCut], area: int, handle: int) -> list[SawCut]:
    """Return the cuts, at most two, that bring a sheet of that area to panels of an area one person can handle.

    Each divides what is largest still, and no strip is ripped off it: what is as heavy afterwards is no easier to
    carry. A trim cut belongs to the shop's own saw: a sheet that is trimmed first gets no hint.
    """
    hints: list[SawCut] = []
    pieces = [area]
    for step in steps[:_HINTS]:
        largest = max(pieces)
        if step.action == "trim" or largest <= handle or step.along * step.across < largest * _LIGHTER:
            break
        pieces.remove(largest)
        pieces += [step.off.dx * step.off.dy, step.stays.dx * step.stays.dy]
        if max(pieces) > largest * _LIGHTER:
            break
        hints.append(step)
    return hints
