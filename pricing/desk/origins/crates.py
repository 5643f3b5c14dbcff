"""Hours by room and operation, of a job or of one crate; and what a crate weighs, part by part."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from nesting.base.measure import format_length, format_weight
from nesting.crates.model import Crate
from nesting.crates.weigh import part_kg, piece_weight
from nesting.cutting.parts import Part, RollPart, StickPart
from pricing.desk.origins.model import Address, Cell, Origin, Told, number, table
from pricing.desk.views import figure
from pricing.quoting.labour import TITLES
from pricing.quoting.noted import ROOMS
from pricing.quoting.quote import Quote

_ALMOST: Final = 0.05
"""Kilograms that are told of a crate's weight by no part of it."""


def of_hours(quote: Quote, room: str, crate: str, to: Address) -> Origin:
    """Return which operations hours are: of a room or of all, of a crate with what rides in it or of all."""
    rows, hours = [], Fraction(0)
    names = [crate, *(each.crate for each in quote.build.riding(crate))]
    for line in quote.lines:
        work = line.labour
        if work is None or (room and TITLES[work.operation][0] != room):
            continue
        part = sum((work.bearers.get(name, Fraction(0)) for name in names), Fraction(0)) if crate else Fraction(1)
        if not part:
            continue
        mine = Fraction(work.hours) * part
        hours += mine
        rows.append((
            Cell(ROOMS[TITLES[work.operation][0]], words=True), Cell(line.description, to.line(line), words=True),
            Cell(number(work.count * part)), Cell(number(work.minutes)), Cell(number(mine)), Cell(number(work.rate)),
            Cell(figure(work.amount) if not crate else ""),
        ))  # fmt: skip
    told = [Told("Minutes of one operation are the shop's rules.", "/rules?group=labour", "Shop")]
    told.append(Told("What it really took is noted on the record.", to("record", "took"), "Record"))
    if crate:
        text = f"A crate's part of the saw's work goes by its parts, all else by what is done on {crate} itself."
        told.append(Told(text, to.crate(crate), crate))
    of = ", ".join(filter(None, (room, crate)))
    heads = ("room", "operation", "times", "minutes each", "hours", "an hour", f"amount, {quote.currency}")
    whole = table("hours", "Operations", heads, rows)
    return Origin(f"Hours{f', {of}' if of else ''}", f"{number(hours)} h", tuple(told), (whole,))


def of_weight(quote: Quote, crate: Crate, to: Address, riding: Sequence[Crate] | None = None) -> Origin:
    """Return what a crate weighs: each piece in it, each part of it, frames that ride in it.

    `riding` are these frames where the crate is none of the quote's, but one that it might have instead.
    """
    build, units = quote.build, quote.build.units
    frames = build.riding(crate.crate) if riding is None else riding

    def weight(kg: float) -> str:
        return format_weight(kg, units, mark=True)

    copies = {copy.piece: copy for copy in build.order.copies()}
    pieces, told = [], []
    for piece in crate.pieces:
        found = piece_weight(copies[piece], build.shop)
        how = "; ".join(found.notes(units)) or "as the order states it"
        pieces.append((Cell(piece, to("artworks"), words=True), Cell(how, words=True), Cell(weight(found.kg))))
    rows, left = [], crate.tare_kg
    parts: tuple[Part | RollPart | StickPart, ...] = (*crate.parts, *crate.sticks, *crate.rolls)
    for part in parts:
        one = part_kg(part, build.shop)
        left -= one * part.count
        sides = (part.length,) if isinstance(part, StickPart) else (part.length, part.width)
        size = " × ".join(format_length(side, units, mark=True) for side in sides)
        rows.append((
            Cell(part.name, words=True), Cell(build.shop.good(part.good).title, words=True), Cell(size),
            Cell(f"{part.count}"), Cell(weight(one)), Cell(weight(one * part.count)),
        ))  # fmt: skip
    for item in crate.piecework:
        kg = build.shop.good(item.good).each_g * item.count / 1000
        left -= kg
        rows.append((
            Cell(item.good, words=True), Cell(build.shop.good(item.good).title, words=True), Cell(""),
            Cell(f"{item.count}"), Cell(""), Cell(weight(kg)),
        ))  # fmt: skip
    for frame in frames:
        left -= frame.tare_kg
        leads = to("from", weight=frame.crate) if riding is None else ""
        rows.append((
            Cell(frame.crate, leads, words=True), Cell("rides in it", words=True), Cell(""),
            Cell("1"), Cell(weight(frame.tare_kg)), Cell(weight(frame.tare_kg)),
        ))  # fmt: skip
    if abs(left) >= _ALMOST:
        told.append(Told(f"Parts that are cut to a shape weigh less than their blanks: {weight(left)} in all."))
    told.insert(0, Told(
        f"{weight(crate.net_kg)} carried + {weight(crate.tare_kg)} of its own = {weight(crate.gross_kg)}.",
        to.crate(crate.crate), crate.crate,
    ))  # fmt: skip
    told.append(Told("Densities are those of the shop's goods; how sure a weight is stands with the crate's checks."))
    heads = ("part", "of", "size", "count", "one", "all of them")
    tables = (
        table("pieces", "What it carries", ("piece", "how it is known", "weight"), pieces, weight(crate.net_kg)),
        table("parts", "What it is made of", heads, rows, weight(crate.tare_kg)),
    )
    return Origin(f"Weight of {crate.crate}", weight(crate.gross_kg), tuple(told), tables)
