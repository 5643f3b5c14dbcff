"""A quote as plain tables (CSV) and as one document for programs (JSON).

Amounts are decimal strings in the quote's one currency. Text never becomes a formula in a spreadsheet.
"""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from nesting.base.measure import UnitSystem, format_length, format_weight
from nesting.crates.designs import built_to
from nesting.crates.held import accepted_line, held_rows
from nesting.crates.unpacked import UNPACKED
from nesting.cutting.sheets import PartLeaf
from pricing.money import CENT, amount_text, half_up
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

FORMAT: Final = "casewright-quote/1"
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
        Text, integers, Decimals and dates.
    """

    name: str
    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]


def quote_tables(quote: Quote) -> tuple[QuoteTable, ...]:
    """Return every table of a quote; those of what is left out only where there is any."""
    plain = (QuoteTable(name, title, headings, tuple(make(quote))) for name, (title, headings, make) in _TABLES.items())
    return (*(table for table in plain if table.rows or table.name not in ("held", "unpacked")), _shares(quote))


def csv_files(quote: Quote) -> dict[str, str]:
    """Return each table as the text of a CSV file, by file name."""
    return {f"{table.name}.csv": csv_text(table.headings, table.rows) for table in quote_tables(quote)}


def buying(quote: Quote) -> tuple[Taken, ...]:
    """Return what must be fetched, by supplier, then in the order of the shop's goods."""
    rows = [row for row in quote.takeoff.rows if row.bought]
    suppliers = sorted({row.price.supplier for row in rows if row.price})
    return tuple(row for supplier in suppliers for row in rows if row.price and row.price.supplier == supplier)


def _totals(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for step in quote.steps:
        yield step.title, step.rate, step.base, step.amount, step.running, step.how
    if quote.without:
        why = "; ".join(filter(None, (quote.build.lacking_line, *quote.incomplete)))
        yield f"Total, {quote.without}", None, None, None, quote.total, why


def _costs(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for line in (*quote.lines, *quote.passed):
        each = half_up(line.unit_price, _SHORT)
        each = each.quantize(CENT) if each == each.quantize(CENT) else each
        yield line.section, line.description, line.quantity, line.unit, each, line.amount, line.tax


def _buying(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for row in buying(quote):
        price = row.price
        supplier, priced = (price.supplier, price.priced) if price else ("", None)
        kg = half_up(Decimal(str(row.kg_each)) * row.bought, Decimal("0.1"))
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


def _days(offer: Offer) -> str:
    """Return the working days on the way; empty where not known."""
    few, most = offer.days, offer.days_most
    return "" if not most else f"{most}" if few in (0, most) else f"{few} to {most}"


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


def _crates(quote: Quote) -> Iterator[tuple[Any, ...]]:
    units = quote.build.order.units
    for crate in quote.build.crates:
        size = crate.outside
        sides = (format_length(side, units) for side in (size.width, size.height, size.depth))
        weights = (format_weight(kg, units) for kg in (crate.net_kg, crate.tare_kg, crate.gross_kg))
        yield (
            crate.crate, crate.method, ", ".join(crate.pieces), crate.inside_of or "", *sides, *weights,
            crate.destination, "; ".join(filter(None, (crate.reason, accepted_line(crate)))), built_to(crate),
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
    units = quote.build.order.units
    for good in quote.build.shop.goods:
        for crate in quote.build.crates:
            for part in crate.parts:
                count = part.count - quote.build.existing(part.name)
                if part.good == good.good and count:
                    length, width = format_length(part.length, units), format_length(part.width, units)
                    yield good.good, crate.crate, part.name, length, width, count, part.grain
            for stick in crate.sticks:
                count = stick.count - quote.build.existing(stick.name)
                if stick.good == good.good and count:
                    yield good.good, crate.crate, stick.name, format_length(stick.length, units), "", count, ""
            for roll in crate.rolls:
                if roll.good == good.good:
                    length, width = format_length(roll.length, units), format_length(roll.width, units)
                    yield good.good, crate.crate, roll.name, length, width, roll.count, ""


def _sheets(quote: Quote) -> Iterator[tuple[Any, ...]]:
    for layout in quote.build.layouts:
        for number, each in enumerate(layout.sheets, start=1):
            names = [leaf.part for *_, leaf in each.pieces(layout.kerf) if isinstance(leaf, PartLeaf)]
            yield layout.good, number, each.sheet.name, each.sheet.source, each.repeat, ", ".join(names)
    for plan in quote.build.stick_plans:
        for number, stick in enumerate(plan.sticks, start=1):
            yield plan.good, number, stick.stick.name, stick.stick.source, stick.repeat, ", ".join(stick.parts)


def _notes(quote: Quote) -> Iterator[tuple[Any, ...]]:
    yield "units", _UNITS[quote.build.order.units], ""
    for lack in quote.lacks:
        yield lack.kind, lack.line, lack.mend.files


_Make = Callable[[Quote], Iterator[tuple[Any, ...]]]
_TABLES: Final[dict[str, tuple[str, tuple[str, ...], _Make]]] = {
    "totals": ("From cost to total", ("step", "rate", "on", "amount", "running total", "rule"), _totals),
    "costs": (
        "Every cost",
        ("section", "description", "quantity", "unit", "unit price", "amount", "tax category"),
        _costs,
    ),
    "buying": (
        "What to fetch",
        ("supplier", "stock", "description", "quantity", "unit", "unit price", "amount", "board feet", "kg", "priced"),
        _buying,
    ),
    "takeoff": (
        "Bought and used",
        ("good", "stock", "source", "unit", "needed", "bought", "off the shelf", "used", "unit price", "bought amount",
         "book value", "used amount", "parts alone", "charged by", "charged", "charged amount"),
        _takeoff,
    ),
    "labour": ("Work", ("operation", "count", "minutes each", "hours", "hour", "rate", "amount"), _labour),
    "freight": (
        "Freight",
        ("destination", "profile", "standing", "amount", "estimate", "basis", "refused", "told", "crates", "from", "to",
         "days"),
        _freight,
    ),
    "sales": (
        "Sale prices",
        ("piece", "artist's price", "packing and shipping", "commission", "paid by", "list price", "gallery keeps",
         "artist nets", "sales tax", "buyer pays", "commission said by", "tax rate", "tax name",
         "untaxed because", "freight", "freight paid by", "insurance", "insurance paid by", "incomplete"),
        _sales,
    ),
    "taxes": ("Taxes by place", ("tax", "places", "rate", "on", "taxed", "amount", "untaxed because"), _taxes),
    "prices": (
        "Prices used",
        ("stock", "form", "price", "price breaks", "supplier", "priced", "tax category"),
        _prices,
    ),
    "crates": (
        "Crates",
        ("crate", "method", "pieces", "inside of", "width", "height", "depth", "net", "tare", "gross", "destination",
         "reason", "built to", "next best"),
        _crates,
    ),
    "held": (
        "Held and accepted crates",
        ("crate", "standing", "method", "pieces", "check", "found", "allowed", "would pass", "code", "to accept"),
        _held,
    ),
    "unpacked": ("Pieces that nothing packs", ("piece", "row", "why", "would mend it"), _unpacked),
    "cut-list": ("Cut list", ("good", "crate", "part", "length", "width", "count", "grain"), _cut_list),
    "sheets": ("Sheets and sticks", ("good", "number", "stock", "source", "repeat", "parts"), _sheets),
    "notes": ("Notes", ("kind", "note", "mended in"), _notes),
}  # fmt: skip


def _shares(quote: Quote) -> QuoteTable:
    """Return the shares, one column for each section and step, with a last row that sums them."""
    columns = list(quote.shares[0].columns)
    rows: list[tuple[Any, ...]] = [
        (
            share.piece, share.title, _in_crate(quote, share), *(share.columns[name] for name in columns), share.total,
            quote.beside(share.piece),
        )
        for share in quote.shares
    ]  # fmt: skip
    sums = [sum((share.columns[name] for share in quote.shares), Decimal(0)) for name in columns]
    rows.append(("all", quote.without, "", *sums, quote.total, told(quote.incomplete)))
    headings = ("piece", "title", "crate", *columns, "total", "incomplete")
    return QuoteTable("shares", "What each piece bears", headings, tuple(rows))


def _in_crate(quote: Quote, share: Share) -> str:
    """Return the crate of a share, and whether it is held, so that it bears nothing; or that there is none."""
    if not share.crate:
        return UNPACKED
    return f"{share.crate}, held" if share.piece in quote.build.held_pieces else share.crate


def quote_document(quote: Quote) -> dict[str, Any]:
    """Return the quote as plain values for programs: figures as strings, tables as lists of objects."""
    markup, margin = markup_and_margin(quote.rates.price)
    return {
        "format": FORMAT,
        "number": quote.number,
        "currency": quote.currency,
        "date": quote.on.isoformat(),
        "valid_until": quote.valid_until.isoformat(),
        "units": quote.build.order.units,
        "charges": quote.charge,
        "charges_by_good": dict(quote.charging.by_good),
        "total_otherwise": {rule: amount_text(each) for rule, each in quote.otherwise.items()},
        "total": amount_text(quote.total),
        "incomplete": [*quote.incomplete, *quote.strangers],
        **({"total_without": [crate.crate for crate in quote.build.held]} if quote.build.held else {}),
        **({"unpacked": [each.piece for each in quote.build.unpacked]} if quote.build.unpacked else {}),
        "lacks": [lack.as_dict() for lack in quote.lacks],
        "arrivals": [_arrival(each, quote.on) for each in quote.transits],
        **({"strapped": on_decks} if (on_decks := list(_strapped(quote))) else {}),
        "bought": amount_text(quote.takeoff.bought_amount),
        "from_the_rack": amount_text(quote.takeoff.book_amount),
        "used": amount_text(quote.takeoff.used_amount),
        "hours": str(quote.hours),
        "markup": _ratio(markup),
        "margin": _ratio(margin),
        "tables": {
            table.name: [dict(zip(table.headings, map(_plain, row), strict=True)) for row in table.rows]
            for table in quote_tables(quote)
        },
    }


def _arrival(each: Transit, on: date) -> dict[str, Any]:
    """Return when crates arrive at a place, and by when they must be handed over; days late if handed over today."""
    return {
        "destination": each.destination,
        "crates": list(each.crates),
        "carriers": [leg.carrier for leg in each.legs],
        "days": list(each.days),
        "days_unknown": list(each.unknown),
        "deadline": _plain(each.deadline),
        "hand_over_by": _plain(each.hand_over),
        "days_late": each.late_days(on),
    }


def _strapped(quote: Quote) -> Iterator[dict[str, Any]]:
    """Yield what is handed over on a pallet or an A-frame, measured and weighed with it."""
    units = quote.build.order.units
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


def quote_json(quote: Quote) -> str:
    """Return the document as JSON text."""
    return document_json(quote_document(quote))


def document_json(document: dict[str, Any]) -> str:
    """Write a document of :func:`quote_document` as the text of a file."""
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def _ratio(value: Fraction) -> str:
    return str(half_up(value, _SHORT))


def _plain(value: Any) -> Any:
    """Return a cell for JSON: Decimals as strings, days in ISO form."""
    if isinstance(value, Decimal):
        return f"{value:f}"
    return value.isoformat() if isinstance(value, date) else value
