"""What a line of the quote comes from: parts on sheets, operations and minutes, what carriers bill, values."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from urllib.parse import urlencode

from nesting.base.counts import plural
from nesting.base.measure import UnitSystem, format_length
from nesting.base.ratio import ratio_text
from nesting.build import Build
from nesting.crates.model import Crate
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.cutting.sheets import Layout, Offcut, PartLeaf
from pricing.desk.origins.bearing import bearers
from pricing.desk.origins.model import Address, Cell, Origin, Table, Told, number, table
from pricing.desk.views import anchor, day, figure, percent
from pricing.money import show, total
from pricing.quoting.charging import words
from pricing.quoting.labour import Labour, hand_counts, saw_counts
from pricing.quoting.lines import Line, insured
from pricing.quoting.offers import Offer
from pricing.quoting.quote import Quote
from pricing.quoting.takeoff import Taken


def line_called(quote: Quote, key: str) -> Line:
    """Return the line of a key; LookupError where there is none by now."""
    for line in (*quote.lines, *quote.passed):
        if line.key == key:
            return line
    raise LookupError("there is no such line in the quote as it stands now")


def of_line(quote: Quote, line: Line, to: Address) -> Origin:
    """Return what a line comes from."""
    told: list[Told] = [*_sum(line)]
    tables: list[Table] = []
    if line.taken is not None:
        told += _priced(quote, line, line.taken, to)
        if not line.version:
            tables += _goods(quote.build, line.taken, to)
    elif line.labour is not None:
        told += _worked(line.labour, to)
        if not line.version:
            tables += _work(quote, line.labour, to)
    elif line.section == "freight":
        told, tables = _carried(quote, line, told, to)
    elif line.section == "insurance":
        values = insured(quote.build.order.copies(), quote.build.held_pieces)
        rows = [
            (Cell(piece, to("artworks"), words=True), Cell(figure(value))) for piece, value in values.items() if value
        ]
        tables.append(table("values", "Declared values", ("piece", "value"), rows, figure(total(values.values()))))
    elif line.section == "purchase tax":
        taxed = [each for each in quote.lines if each.tax and line.key.endswith(f":{each.tax}") and each.amount]
        rows = [(Cell(each.description, to.line(each), words=True), Cell(figure(each.amount))) for each in taxed]
        tables.append(table("taxed", "What it is on", ("cost", "amount"), rows, figure(line.quantity)))
    if line.version:
        told.append(
            Told(f"Cut or fetched for version {line.version}: paid at the prices of that day.", to("record"), "Record")
        )
    tables.append(bearers(quote, line, to))
    return Origin(line.description, show(line.amount, quote.currency), tuple(told), tuple(tables))


def _sum(line: Line) -> Iterator[Told]:
    """Yield the product that a line is."""
    unit = f" {line.unit_said}".rstrip()
    each = ratio_text(line.unit_price) if line.is_part else number(line.unit_price)
    yield Told(f"{number(line.quantity)}{unit} × {each} = {figure(line.amount)}")


def _priced(quote: Quote, line: Line, taken: Taken, to: Address) -> Iterator[Told]:
    """Yield how much is needed, used and charged of a material, and whose price it is."""
    yield Told(f"Charged {words(line.charged or quote.charge)}.", to("money", "levers"), "Money")
    units = [f"{number(taken.needed)} needed"]
    if taken.shelf:
        units.append(f"{number(taken.shelf)} off the shelf")
    if taken.bought != taken.needed and taken.source == "buy":
        units.append(f"{number(taken.bought)} fetched, since a price break makes that cost less")
    units.append(f"{number(taken.used)} used up, waste included")
    if taken.net:
        units.append(f"{number(taken.net)} are parts")
    if taken.count:
        units.append(f"{taken.count:,} pieces, grams or millimetres in boxes of {taken.holds:,}")
    yield Told(f"{line.units.capitalize()}: {'; '.join(units)}.", to("yard"), "Yard")
    if taken.source == "rack":
        yield Told("From the rack, at its book value.", "/rack", "Rack")
    if taken.price is not None:
        price = taken.price
        whose = ", ".join(filter(None, (price.supplier, f"of {day(price.priced)}" if price.priced else "")))
        breaks = "; ".join(f"from {count}: {number(each)}" for count, each in price.breaks)
        text = f"Price of one: {number(price.price)}{f' ({whose})' if whose else ''}{f'; {breaks}' if breaks else ''}."
        yield Told(text, f"/prices#stock-{anchor(price.stock)}", "Prices")


def _goods(build: Build, taken: Taken, to: Address) -> Iterator[Table]:
    """Yield which sheets or sticks are cut, and which parts of which crates a material is for."""
    units = build.units
    rows: list[tuple[Cell, ...]] = []
    for layout in build.layouts:
        if layout.good == taken.good:
            rows += _sheets(layout, taken.stock, to)
    if rows:
        yield table("sheets", "Sheets", ("layout", "how many", "parts on one", "parts", "worth keeping"), rows)
    rows = []
    for plan in build.stick_plans:
        if plan.good == taken.good:
            rows += [
                (
                    Cell(f"{place}", to("sheets", f"{anchor(plan.good)}-{place}"), words=True), Cell(f"{each.repeat}"),
                    Cell(", ".join(each.parts), words=True),
                )
                for place, each in enumerate(plan.sticks, start=1) if each.stick.name == taken.stock
            ]  # fmt: skip
    if rows:
        yield table("sticks", "Sticks", ("layout", "how many", "parts on one"), rows)
    rows = []
    for crate in build.crates:
        rows += _parts(crate, taken.good, to, units)
    if rows:
        yield table("parts", "Parts", ("crate", "part", "size", "count"), rows)


def _sheets(layout: Layout, stock: str, to: Address) -> Iterator[tuple[Cell, ...]]:
    for place, each in enumerate(layout.sheets, start=1):
        if each.sheet.name != stock:
            continue
        leaves = list(each.pieces(layout.kerf))
        names = list(dict.fromkeys(leaf.part for *_, leaf in leaves if isinstance(leaf, PartLeaf)))
        area = each.sheet.length * each.sheet.width
        parts = sum(dx * dy for _, _, dx, dy, leaf in leaves if isinstance(leaf, PartLeaf))
        kept = sum(dx * dy for _, _, dx, dy, leaf in leaves if isinstance(leaf, Offcut))
        yield (
            Cell(f"{place}", to("sheets", f"{anchor(layout.good)}-{place}"), words=True), Cell(f"{each.repeat}"),
            Cell(", ".join(names), words=True), Cell(percent(Fraction(parts, area))),
            Cell(percent(Fraction(kept, area))),
        )  # fmt: skip


def _parts(crate: Crate, good: str, to: Address, units: UnitSystem) -> Iterator[tuple[Cell, ...]]:
    """Yield a crate's parts of a good, or how many things of it the crate takes."""
    here = Cell(crate.crate, to.crate(crate.crate), words=True)
    parts: tuple[Part | RollPart | StickPart, ...] = (*crate.parts, *crate.rolls, *crate.sticks)
    for part in parts:
        if part.good == good:
            sides = (part.length,) if isinstance(part, StickPart) else (part.length, part.width)
            size = " × ".join(format_length(side, units, mark=True) for side in sides)
            yield here, Cell(part.name, words=True), Cell(size), Cell(f"{part.count}")
    things = sum(work.count for work in crate.piecework if work.good == good)
    if things:
        yield here, Cell("by number", words=True), Cell(""), Cell(f"{things}")


def _worked(work: Labour, to: Address) -> Iterator[Told]:
    """Yield how hours come from a count and minutes, and whose minutes and hours they are."""
    text = f"{plural(work.count, 'time')} at {number(work.minutes)} min, / 60 = {number(work.hours)} h."
    yield Told(text, f"/rules?group=labour#r-labour.{work.operation}", "Shop")
    yield Told(f"An hour of {work.hour}: {number(work.rate)}.", f"/prices#stock-{anchor(work.hour)}", "Prices")
    yield Told("What such work really took is noted on the record.", to("record", "took"), "Record")


def _work(quote: Quote, work: Labour, to: Address) -> Iterator[Table]:
    """Yield at which goods the saw does an operation, and for which crates it is done."""
    build, rules = quote.build, quote.rates.labour
    none = replace(build.roll_plan, takes=())
    alone = [
        (good, replace(build, layouts=layouts, stick_plans=sticks, roll_plan=none))
        for good, layouts, sticks in (
            *((each.good, (each,), ()) for each in build.layouts),
            *((each.good, (), (each,)) for each in build.stick_plans),
        )
    ]
    alone += [
        (each.good, replace(build, layouts=(), stick_plans=(), roll_plan=replace(none, takes=(each,))))
        for each in build.roll_plan.takes
    ]
    by_good = {good: sum(saw_counts(part, rules).get(work.operation, {}).values(), Fraction(0)) for good, part in alone}
    rows = [
        (Cell(build.shop.good(good).title, to("sheets"), words=True), Cell(number(count)))
        for good, count in by_good.items() if count
    ]  # fmt: skip
    if rows:
        yield table("goods", "At which goods", ("good", "times"), rows, f"{work.count}")
    hand = hand_counts(build).get(work.operation, {})
    each = [
        (
            Cell(crate, to.crate(crate), words=True), Cell(number(hand.get(crate, part * work.count))),
            Cell(number(part * work.count * Fraction(work.minutes))),
        )
        for crate, part in work.bearers.items()
    ]  # fmt: skip
    yield table("crates", "For which crates", ("crate", "times", "minutes"), each, number(work.count * work.minutes))


def _carried(quote: Quote, line: Line, told: list[Told], to: Address) -> tuple[list[Told], list[Table]]:
    """Return what a charge of a carrier goes by: the profile, its basis, and what each crate is billed by."""
    for shipment in quote.shipments:
        if line.key.startswith(f"freight:{shipment.key}:"):
            offer = shipment.chosen
            profile = f"/rules?group={urlencode({'': f'freight {offer.profile}'})[1:]}"
            told.append(Told(f"{offer.title}: {offer.estimate}.", profile, "Shop"))
            if offer.basis:
                told.append(Told(f"Goes by: {offer.basis.rstrip('.')}."))
            told.append(Told("Other ways for the same crates stand beside it.", to("money", "freight"), "Money"))
            return told, [_billed(offer, to)] if offer.billed else []
    return told, []


def _billed(offer: Offer, to: Address) -> Table:
    unit = offer.billed[0].unit
    rows = [
        (
            Cell(each.crate, to.crate(each.crate), words=True), Cell(number(each.gross)),
            Cell(number(each.dimensional) if each.dimensional else ""), Cell(number(each.billed)),
        )
        for each in offer.billed
    ]  # fmt: skip
    heads = ("crate", f"gross, {unit}", f"by size, {unit}", f"billed, {unit}")
    return table("billed", "What each crate is billed by", heads, rows)
