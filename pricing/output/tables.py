"""A quote as tables (CSV) and as one document (JSON) for programs, and as the document that is kept with it.

For programs, format 2: numbers are numbers, and what they count stands in the heading; see
:mod:`pricing.output.columns`. No text becomes a formula, a day or a number in a spreadsheet. Kept with a quote, format
1: figures are strings as people read them, the same for every quote that was ever sent.
"""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final

from nesting.base.measure import UnitSystem, format_length, format_weight
from nesting.crates.designs import built_to
from nesting.crates.held import accepted_line, held_rows
from nesting.crates.unpacked import UNPACKED
from nesting.cutting.sheets import PartLeaf
from pricing.money import CENT, amount_text, half_up
from pricing.output.columns import Column, Terms, as_number, as_text, plain
from pricing.quoting.board_feet import bought_board_feet
from pricing.quoting.for_the_way import strapped
from pricing.quoting.incomplete import WORD, told, unpaid
from pricing.quoting.judging import next_priced
from pricing.quoting.ladder import markup_and_margin
from pricing.quoting.offers import Offer
from pricing.quoting.quote import Quote, Share
from pricing.quoting.sale import SAID
from pricing.quoting.takeoff import Taken
from pricing.quoting.transit import Transit
from pricing.studio.table_file import csv_text

FORMAT: Final = "casewright-quote/2"
"""Of the document for programs."""
KEPT: Final = "casewright-quote/1"
"""Of the document that is kept with a quote."""
_SHORT: Final = Decimal("0.0001")
_UNITS: Final[dict[UnitSystem, str]] = {
    "inch": "Sizes without a unit are in inches, weights in pounds.",
    "metric": "Sizes without a unit are in millimetres, weights in kilograms.",
}


@dataclass(frozen=True, slots=True)
class QuoteTable:
    """One table of a quote.

    Attributes
    ----------
    name : str
        Also the name of its file, such as ``"costs"``.
    title : str
        For people.
    headings : tuple of str
        Of the columns.
    rows : tuple of tuple
        Text, integers, Decimals and dates; None where there is no value.
    """

    name: str
    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]


def quote_tables(quote: Quote) -> tuple[QuoteTable, ...]:
    """Return every table of a quote for programs; those of what is left out only where there is any."""
    terms = Terms(quote.build.units, quote.currency)
    return tuple(
        QuoteTable(
            name,
            title,
            tuple(heading for column in columns for heading in column.headings(terms)),
            tuple(tuple(cell for column, value in zip(columns, row, strict=True) for cell in column.cells(value, terms))
                  for row in rows),
        )
        for name, title, columns, rows in _filled(quote)
    )  # fmt: skip


def _kept_tables(quote: Quote) -> dict[str, list[dict[str, Any]]]:
    """Return the tables as they are kept."""
    terms = Terms(quote.build.units, quote.currency)
    return {
        name: [
            {column.name: _kept(column.kept(value, terms)) for column, value in zip(columns, row, strict=True)}
            for row in rows
        ]
        for name, _, columns, rows in _filled(quote)
        if name not in _ONLY_FOR_PROGRAMS
    }


_Filled = tuple[str, str, tuple[Column, ...], tuple[tuple[Any, ...], ...]]


def _filled(quote: Quote) -> Iterator[_Filled]:
    """Yield name, title, columns and rows of every table."""
    for name, (title, columns, make) in _TABLES.items():
        rows = tuple(make(quote))
        if rows or name not in _WHERE_ANY:
            yield name, title, columns, rows
    yield _shares(quote)


def csv_files(quote: Quote) -> dict[str, str]:
    """Return each table as the text of a CSV file (RFC 4180), by file name."""
    return {
        f"{table.name}.csv": csv_text(table.headings, (map(as_text, row) for row in table.rows), end="\r\n")
        for table in quote_tables(quote)
    }


def buying(quote: Quote) -> tuple[Taken, ...]:
    """Return what must be fetched, by supplier, then in the order of the shop's goods."""
    rows = [row for row in quote.takeoff.rows if row.bought]
    suppliers = sorted({row.price.supplier for row in rows if row.price})
    return tuple(row for supplier in suppliers for row in rows if row.price and row.price.supplier == supplier)


def _totals(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for step in quote.steps:
        kept_to = (None, step.rate) if step.key in ("minimum", "rounding") else (step.rate, None)
        yield step.title, kept_to, step.base, step.amount, step.running, step.how
    if quote.without:
        why = "; ".join(filter(None, (quote.build.lacking_line, *quote.incomplete)))
        yield f"Total, {quote.without}", (None, None), None, None, quote.total, why


def _costs(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for line in (*quote.lines, *quote.passed):
        each = half_up(line.unit_price, _SHORT)
        each = each.quantize(CENT) if each == each.quantize(CENT) else each
        yield line.section, line.description, line.quantity, line.unit, each, line.amount, line.tax


def _buying(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for row in buying(quote):
        price = row.price
        supplier, priced = (price.supplier, price.priced) if price else ("", None)
        kg = Decimal(str(row.kg_each)) * row.bought
        feet = bought_board_feet(quote.build.shop, row)
        yield supplier, row.stock, row.title, row.bought, row.form, row.each, row.bought_amount, feet, kg, priced


def _takeoff(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for row in quote.takeoff.rows:
        charged = quote.charging(row)
        yield (
            row.good, row.stock, row.source, row.form, row.needed, row.bought, row.shelf, row.used, row.each,
            row.bought_amount, row.book_amount, row.used_amount, row.net, charged.rule, charged.units, charged.amount,
        )  # fmt: skip


def _labour(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for row in quote.labour:
        yield row.title, row.count, row.minutes, row.hours, row.hour, row.rate, row.amount


def _freight(quote: Quote) -> Iterator[tuple[Any, ...]]:
    missing = unpaid(quote.shipments, quote.rates)
    for shipment in quote.shipments:
        known = not any(shipment is each for each in missing)
        for offer in (shipment.chosen, *shipment.others):
            charged = ("charged" if known else WORD) if offer is shipment.chosen else "for comparison"
            why, said = "; ".join(offer.refused), "; ".join((*offer.told, *offer.insure))
            amount = None if offer.refused or charged == WORD else offer.amount
            yield (
                shipment.destination, offer.title, charged, amount, offer.estimate, offer.basis, why, said,
                ", ".join(shipment.crates), shipment.origin, shipment.to, _days(offer),
            )  # fmt: skip


def _days(offer: Offer) -> tuple[int | None, int | None]:
    """Return the fewest and the most working days on the way; None where not known."""
    few, most = offer.days, offer.days_most
    return (few or most, most) if most else (None, None)


def _sales(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for sale in quote.sales:
        yield (
            sale.piece, sale.artist_price, sale.shipping, sale.commission, sale.paid_by, sale.list_price, sale.gallery,
            sale.artist, sale.tax, sale.delivered, SAID[sale.said], sale.art_tax, sale.tax_name, sale.untaxed,
            sale.freight, sale.freight_by or sale.paid_by, sale.insurance, sale.insurance_by or sale.paid_by,
            quote.beside(sale.piece),
        )  # fmt: skip


def _taxes(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for tax in quote.levied:
        rule = tax.rule
        yield rule.name, ", ".join(tax.places), rule.rate, ", ".join(rule.on), tax.base, tax.amount, rule.reason


def _prices(quote: Quote) -> Iterator[tuple[Any, ...]]:
    used = {row.stock for row in quote.takeoff.rows} | {row.hour for row in quote.labour}
    for price in quote.book.rows:
        if price.stock in used:
            breaks = "; ".join(f"from {start}: {amount_text(each)}" for start, each in price.breaks)
            yield price.stock, price.form, price.price, breaks, price.supplier, price.priced, price.tax


def _price_breaks(quote: Quote) -> Iterator[tuple[Any, ...]]:
    used = {row.stock for row in quote.takeoff.rows} | {row.hour for row in quote.labour}
    for price in quote.book.rows:
        if price.stock in used:
            for start, each in price.breaks:
                yield price.stock, price.form, start, each


def _crates(quote: Quote) -> Iterator[tuple[Any, ...]]:
    units = quote.build.units
    for crate in quote.build.crates:
        size = crate.outside
        yield (
            crate.crate, crate.method, ", ".join(crate.pieces), crate.inside_of or "",
            size.width, size.height, size.depth, crate.net_kg, crate.tare_kg, crate.gross_kg, crate.destination,
            "; ".join(filter(None, (crate.reason, accepted_line(crate)))), built_to(crate),
            next_priced(crate, units, quote.currency),
        )  # fmt: skip


def _unpacked(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for each in quote.build.unpacked:
        yield each.piece, each.row, "; ".join(each.why), each.accepted


def _held(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for row in held_rows((*quote.build.held, *quote.build.crates)):
        crate = quote.build.crate(row.crate)
        yield (
            crate.crate, crate.standing, crate.method, ", ".join(crate.pieces), row.check, row.found, row.allowed,
            row.would_pass, row.code, row.how,
        )  # fmt: skip


def _cut_list(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for good in quote.build.shop.goods:
        for crate in quote.build.crates:
            for part in crate.parts:
                count = part.count - quote.build.existing(part.name)
                if part.good == good.good and count:
                    yield good.good, crate.crate, part.name, part.length, part.width, count, part.grain
            for stick in crate.sticks:
                count = stick.count - quote.build.existing(stick.name)
                if stick.good == good.good and count:
                    yield good.good, crate.crate, stick.name, stick.length, None, count, ""
            for roll in crate.rolls:
                if roll.good == good.good:
                    yield good.good, crate.crate, roll.name, roll.length, roll.width, roll.count, ""


def _sheets(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for layout in quote.build.layouts:
        for number, each in enumerate(layout.sheets, start=1):
            names = [leaf.part for *_, leaf in each.pieces(layout.kerf) if isinstance(leaf, PartLeaf)]
            yield layout.good, number, each.sheet.name, each.sheet.source, each.repeat, ", ".join(names)
    for plan in quote.build.stick_plans:
        for number, stick in enumerate(plan.sticks, start=1):
            yield plan.good, number, stick.stick.name, stick.stick.source, stick.repeat, ", ".join(stick.parts)


def _notes(quote: Quote) -> Iterator[tuple[Any, ...]]:
    yield "units", _UNITS[quote.build.units], ""
    for lack in quote.lacks:
        yield lack.kind, lack.line, lack.mend.files


_Make = Callable[[Quote], Iterator[tuple[Any, ...]]]


def _text(*names: str) -> tuple[Column, ...]:
    return tuple(Column(name) for name in names)


def _money(*names: str) -> tuple[Column, ...]:
    return tuple(Column(name, "money") for name in names)


_TABLES: Final[dict[str, tuple[str, tuple[Column, ...], _Make]]] = {
    "totals": (
        "From cost to total",
        (Column("step"), Column("rate", "step"), *_money("on", "amount", "running total"), Column("rule")),
        _totals,
    ),
    "costs": (
        "Every cost",
        (*_text("section", "description", "quantity", "unit"), *_money("unit price", "amount"), Column("tax category")),
        _costs,
    ),
    "buying": (
        "What to fetch",
        (*_text("supplier", "stock", "description", "quantity", "unit"), *_money("unit price", "amount"),
         Column("board feet"), Column("kg", "kg", "weight"), Column("priced")),
        _buying,
    ),
    "takeoff": (
        "Bought and used",
        (*_text("good", "stock", "source", "unit", "needed", "bought", "off the shelf", "used"),
         *_money("unit price", "bought amount", "book value", "used amount"),
         *_text("parts alone", "charged by", "charged"), *_money("charged amount")),
        _takeoff,
    ),
    "labour": (
        "Work",
        (*_text("operation", "count", "minutes each", "hours", "hour"), Column("rate", "money", a="hour"),
         *_money("amount")),
        _labour,
    ),
    "freight": (
        "Freight",
        (*_text("destination", "profile", "standing"), *_money("amount"),
         *_text("estimate", "basis", "refused", "told", "crates", "from", "to"), Column("days", "days")),
        _freight,
    ),
    "sales": (
        "Sale prices",
        (Column("piece"), *_money("artist's price", "packing and shipping"), *_text("commission", "paid by"),
         *_money("list price", "gallery keeps", "artist nets", "sales tax", "buyer pays"),
         *_text("commission said by", "tax rate", "tax name", "untaxed because"), *_money("freight"),
         Column("freight paid by"), *_money("insurance"), *_text("insurance paid by", "incomplete")),
        _sales,
    ),
    "taxes": (
        "Taxes by place",
        (*_text("tax", "places", "rate", "on"), *_money("taxed", "amount"), Column("untaxed because")),
        _taxes,
    ),
    "prices": (
        "Prices used",
        (*_text("stock", "form"), *_money("price"), *_text("price breaks", "supplier", "priced", "tax category")),
        _prices,
    ),
    "price-breaks": (
        "Prices from a count on",
        (*_text("stock", "form", "from"), *_money("price")),
        _price_breaks,
    ),
    "crates": (
        "Crates",
        (*_text("crate", "method", "pieces", "inside of"),
         *(Column(side, "length") for side in ("width", "height", "depth")),
         *(Column(kind, "weight") for kind in ("net", "tare", "gross")),
         *_text("destination", "reason", "built to", "next best")),
        _crates,
    ),
    "held": (
        "Held and accepted crates",
        _text("crate", "standing", "method", "pieces", "check", "found", "allowed", "would pass", "code", "to accept"),
        _held,
    ),
    "unpacked": ("Pieces that nothing packs", _text("piece", "row", "why", "would mend it"), _unpacked),
    "cut-list": (
        "Cut list",
        (*_text("good", "crate", "part"), Column("length", "length"), Column("width", "length"),
         *_text("count", "grain")),
        _cut_list,
    ),
    "sheets": ("Sheets and sticks", _text("good", "number", "stock", "source", "repeat", "parts"), _sheets),
    "notes": ("Notes", (*_text("kind", "note"), Column("mended in", called="where_mended")), _notes),
}  # fmt: skip
_WHERE_ANY: Final = ("held", "unpacked", "price-breaks")
_ONLY_FOR_PROGRAMS: Final = ("price-breaks",)


def _shares(quote: Quote) -> _Filled:
    """Return the shares, one column for each section and step, with a last row that sums them."""
    names = list(quote.shares[0].columns)
    rows: list[tuple[Any, ...]] = [
        (
            share.piece, share.title, _in_crate(quote, share), *(share.columns[name] for name in names), share.total,
            quote.beside(share.piece),
        )
        for share in quote.shares
    ]  # fmt: skip
    sums = [sum((share.columns[name] for share in quote.shares), Decimal(0)) for name in names]
    rows.append(("all", quote.without, "", *sums, quote.total, told(quote.incomplete)))
    columns = (*_text("piece", "title", "crate"), *_money(*names, "total"), Column("incomplete"))
    return "shares", "What each piece bears", columns, tuple(rows)


def _in_crate(quote: Quote, share: Share) -> str:
    """Return the crate of a share, and whether it is held, so that it bears nothing; or that there is none."""
    if not share.crate:
        return UNPACKED
    return f"{share.crate}, held" if share.piece in quote.build.held_pieces else share.crate


def quote_document(quote: Quote) -> dict[str, Any]:
    """Return the quote as it is kept (format 1): figures as strings, tables as lists of objects."""
    figures = {name: f"{value:f}" for name, value in _figures(quote).items()}
    strapped = list(_strapped(quote))
    return {
        "format": KEPT,
        **_head(quote),
        "total_otherwise": {rule: amount_text(each) for rule, each in quote.otherwise.items()},
        **figures,
        **({"strapped": strapped} if strapped else {}),
        "tables": _kept_tables(quote),
    }


def program_document(quote: Quote) -> dict[str, Any]:
    """Return the quote as plain values for programs (format 2): figures as numbers, tables as lists of objects."""
    on_decks = list(_on_decks(quote))
    return {
        "format": FORMAT,
        **_head(quote),
        "total_otherwise": {rule: as_number(each) for rule, each in quote.otherwise.items()},
        **{name: as_number(value) for name, value in _figures(quote).items()},
        **({"strapped": on_decks} if on_decks else {}),
        "tables": {
            table.name: [dict(zip(table.headings, map(plain, row), strict=True)) for row in table.rows]
            for table in quote_tables(quote)
        },
    }


def _head(quote: Quote) -> dict[str, Any]:
    """Return what both documents say in the same words."""
    return {
        "number": quote.number,
        "currency": quote.currency,
        "date": quote.on.isoformat(),
        "valid_until": quote.valid_until.isoformat(),
        "units": quote.build.units,
        "charges": quote.charge,
        "charges_by_good": dict(quote.charging.by_good),
        "incomplete": [*quote.incomplete, *quote.strangers],
        **({"total_without": [crate.crate for crate in quote.build.held]} if quote.build.held else {}),
        **({"unpacked": [each.piece for each in quote.build.unpacked]} if quote.build.unpacked else {}),
        "lacks": [lack.as_dict() for lack in quote.lacks],
        "arrivals": [_arrival(each, quote.on) for each in quote.transits],
    }


def _figures(quote: Quote) -> dict[str, Decimal]:
    """Return the figures that stand by themselves."""
    markup, margin = markup_and_margin(quote.rates.price)
    return {
        "total": half_up(quote.total),
        "bought": half_up(quote.takeoff.bought_amount),
        "from_the_rack": half_up(quote.takeoff.book_amount),
        "used": half_up(quote.takeoff.used_amount),
        "hours": quote.hours,
        "markup": half_up(markup, _SHORT),
        "margin": half_up(margin, _SHORT),
    }


def _arrival(each: Transit, on: date) -> dict[str, Any]:
    """Return when crates arrive at a place, and by when they must be handed over; days late if handed over today."""
    return {
        "destination": each.destination,
        "crates": list(each.crates),
        "carriers": [leg.carrier for leg in each.legs],
        "days": list(each.days),
        "days_unknown": list(each.unknown),
        "deadline": plain(each.deadline),
        "hand_over_by": plain(each.hand_over),
        "days_late": each.late_days(on),
    }


def _strapped(quote: Quote) -> Iterator[dict[str, Any]]:
    """Yield what is handed over on a pallet or an A-frame, measured and weighed with it."""
    units = quote.build.units
    for destination, each in strapped(quote.shipments):
        yield {
            "destination": destination,
            "crates": list(each.crates),
            "on": each.on,
            "width": format_length(each.length, units),
            "height": format_length(each.height, units),
            "depth": format_length(each.width, units),
            "gross": format_weight(each.gross_kg, units),
        }


_DECK: Final = (
    *(Column(side, "length") for side in ("width", "height", "depth")),
    Column("gross", "weight"),
)


def _on_decks(quote: Quote) -> Iterator[dict[str, Any]]:
    """Yield the same for programs."""
    terms = Terms(quote.build.units, quote.currency)
    for destination, each in strapped(quote.shipments):
        made: dict[str, Any] = {"destination": destination, "crates": list(each.crates), "on": each.on}
        values = (each.length, each.height, each.width, each.gross_kg)
        for column, value in zip(_DECK, values, strict=True):
            made |= zip(column.headings(terms), map(plain, column.cells(value, terms)), strict=True)
        yield made


def quote_json(quote: Quote) -> str:
    """Return the document for programs as JSON text."""
    return document_json(program_document(quote))


def document_json(document: dict[str, Any]) -> str:
    """Write a document of a quote as the text of a file."""
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def _kept(value: Any) -> Any:
    """Return a cell as it is kept: Decimals as strings, days in ISO form."""
    if isinstance(value, Decimal):
        return f"{value:f}"
    return value.isoformat() if isinstance(value, date) else value
