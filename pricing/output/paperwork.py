"""Paperwork: what the shop packet needs from the front office, as plain text.

The shop floor draws the packet and knows no money. Here a quote becomes the buying list by supplier with prices, and
the papers that ride to each destination with names, addresses and values. What customs ask for is made in
:mod:`pricing.output.papers`.
"""

from collections.abc import Iterable
from decimal import ROUND_CEILING, Decimal
from typing import TYPE_CHECKING, Literal

from nesting.base.measure import INCH, MM, UnitSystem, format_length
from nesting.base.progress import Progress, silent
from nesting.drawings.packet.printing import BuyingLine, Strapped, TravelPapers
from nesting.drawings.packet.printing import Party as Printed
from nesting.order import Artwork
from nesting.shop.shop import Studio
from nesting.shop.stated import terms_of
from pricing.money import total
from pricing.output.papers.consignment import Consignment
from pricing.output.receiving import receiver_at
from pricing.output.tables import buying
from pricing.quoting.for_the_way import strapped
from pricing.quoting.quote import Quote
from pricing.quoting.takeoff import Taken
from pricing.studio.parties import Party

if TYPE_CHECKING:
    from nesting.drawings.packet.paper import PaperName


def packet_of(
    quote: Quote,
    paper: "PaperName | Literal['']" = "",
    progress: Progress = silent,
    *,
    sections: Iterable[str] = (),
) -> bytes:
    """Return the shop packet of a quote as one PDF.

    Parameters
    ----------
    quote : Quote
        What was built and priced.
    paper : {"letter", "a4"}, optional
        Letter for an order in inches, A4 for one in millimetres, when not given.
    progress : Progress
        Told about pages.
    sections : iterable of str
        Which of the packet's sections are printed; all when none is named.
    """
    from nesting.drawings.packet import packet_bytes  # loads the drawing libraries
    from pricing.ahead.calendar.dates import plan_dates
    from pricing.ahead.calendar.table import packet_days

    return packet_bytes(
        quote.build,
        paper=paper or ("letter" if quote.build.units == "inch" else "a4"),
        buying=buying_lines(quote),
        papers=travel_papers(quote),
        days=packet_days(plan_dates(quote), quote.rates.calendar),
        incomplete=quote.incomplete,
        sections=sections,
        on=quote.on,
        progress=progress,
    )


def buying_lines(quote: Quote) -> tuple[BuyingLine, ...]:
    """Return the buying list, by supplier, with the price of each line as a note."""
    return tuple(_line(quote, row) for row in buying(quote))


def _line(quote: Quote, row: Taken) -> BuyingLine:
    supplier = row.price.supplier if row.price else ""
    kg = row.kg_each * float(row.bought)
    whole = row.bought == row.bought.to_integral_value()
    each, amount = f"{row.each:,.2f}", f"{row.bought_amount:,.2f} {quote.currency}"
    if row.price is not None and row.price.by_length and not whole:
        length = _cut_length(quote, row)
        return BuyingLine(supplier, row.title, row.stock, 1, f"cut off a roll of {each}: {amount}", kg, length)
    note = amount if row.bought == 1 else f"{each} each, {amount}"
    return BuyingLine(supplier, row.title, row.stock, int(row.bought), note, kg)


def _cut_length(quote: Quote, row: Taken) -> str:
    """Return how much to have cut off a roll, rounded up to what a counter measures."""
    units: UnitSystem = quote.build.units
    step = INCH if units == "inch" else 10 * MM
    sizes = quote.build.shop.good(row.good).sizes
    length = next(size.length for size in sizes if size.stock == row.stock)
    count = (Decimal(length) * row.bought / step).to_integral_value(ROUND_CEILING)
    return format_length(int(count) * step, units, mark=True)


def travel_papers(quote: Quote) -> tuple[TravelPapers, ...]:
    """Return the papers of each destination, in the order in which the order names them; held pieces are on none."""
    parcels: dict[str, list[Artwork]] = {}
    for work in quote.build.order.copies():
        if work.piece in quote.build.held_pieces:
            continue
        parcels.setdefault(work.destination or "", []).append(work)
    return tuple(_papers(quote, name, works) for name, works in parcels.items())


def _papers(quote: Quote, name: str, works: list[Artwork]) -> TravelPapers:
    studio = quote.build.shop.studio
    place = quote.destinations.get(name) if name else None
    border = Consignment(quote, name, tuple(works)).border
    values = {work.piece: value for work in works if (value := _value(work)) is not None}
    return TravelPapers(
        destination=name,
        pieces=tuple(work.piece for work in works),
        number=quote.number,
        date=quote.on.isoformat(),
        sender=_sender(studio, border=border),
        receiver=_receiver(receiver_at(quote, place, works), border=border),
        border=border,
        terms={work.piece: terms_of(work, studio) for work in works},
        currency=quote.currency if values else "",
        values={piece: f"{value:,.2f}" for piece, value in values.items()},
        # A total that leaves a work out would be a false statement: somebody has to write it.
        total=f"{total(values.values()):,.2f}" if len(values) == len(works) else "",
        strapped=tuple(
            Strapped(
                each.crates,
                quote.build.shop.good(each.on).title,
                each.length,
                each.height,
                each.width,
                float(each.gross_kg),
            )
            for destination, each in strapped(quote.shipments)
            if destination == name
        ),
    )


def _value(work: Artwork) -> Decimal | None:
    """Return what a piece is worth on papers: the value declared, else its price."""
    return work.price if work.declared is None else work.declared


def _sender(studio: Studio, *, border: bool) -> Printed:
    lines = (studio.address, studio.country if border else "", studio.phone, studio.email)
    return Printed(studio.name, tuple(line for line in lines if line))


def _receiver(party: Party | None, *, border: bool) -> Printed:
    """Return who receives, as it is printed."""
    if party is None:
        return Printed()
    lines = (party.contact, *party.address, party.country if border else "", party.phone, party.email)
    return Printed(party.name, tuple(line for line in lines if line))
