"""What an offer says, as plain text: made of a quote, and laid on paper or in a table by others.

Nothing of how the price came about is in it: no mark, supplier, hour or check. What stands here is all that the client
gets to see.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Final, Literal, get_args

from nesting.base.counts import few, joined, plural
from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import MM, UnitSystem, format_length, format_weight
from nesting.base.ratio import ratio_text
from nesting.crates.model import Crate
from nesting.crates.registry import method_of, methods
from nesting.order import Artwork
from nesting.shop.shop import Studio
from pricing.ahead.calendar.dates import Calendar, plan_dates
from pricing.money import half_up, show, total
from pricing.quoting.incomplete import unpaid
from pricing.quoting.quote import Quote
from pricing.quoting.sale import SalePrice, Shipping
from pricing.quoting.shares import Share
from pricing.studio.parties import Party
from pricing.studio.workdays import Workdays

Kind = Literal["packing", "sale"]
"""What is offered: packing and shipping of works, or the works themselves with it."""

LOGO: Final = ""
"""What the studio's own picture is called among the pictures, where there is one."""
TITLES: Final[Mapping[Kind, str]] = {
    "packing": "Offer: packing and shipping",
    "sale": "Offer: artworks, packed and shipped",
}
INVENTED: Final = "Draft: its prices are invented examples and bind nobody. Replace them before it goes out."
_TERMS: Final = (
    "What is listed here is included; changes of the works, their number or where they go change the price.",
    "Freight and insurance are estimates of the day above; what carrier and insurer bill replaces them.",
    "Resin goes on curing after it is hard to the touch: no work is packed before its day.",
)
READY: Final = "Ready to leave"
"""Heads the fact that counts from the day of the offer."""


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the order, as the client knows it.

    Attributes
    ----------
    piece, title : str
        What it is called.
    about : str
        Artist, year and medium.
    size : str
        In inches and in millimetres, a line each.
    count : int
        How many copies.
    goes : str
        Where to.
    price : Decimal or None
        What all its copies cost, where works are sold.
    told : str
        Why it is not in the offer; empty where it is.
    """

    piece: str
    title: str
    about: str
    size: str
    count: int
    goes: str
    price: Decimal | None = None
    told: str = ""


@dataclass(frozen=True, slots=True)
class Package:
    """A crate or carton as it arrives: what it is, what it holds, outside size and weight in both systems."""

    what: str
    holds: str
    size: str
    weight: str


@dataclass(frozen=True, slots=True)
class Amount:
    """A row of the price; ``amount`` is None where it is still to be quoted."""

    title: str
    amount: Decimal | None


@dataclass(frozen=True, slots=True)
class Offer:
    """All that an offer says.

    Attributes
    ----------
    kind : {"packing", "sale"}
        What is offered.
    studio : tuple of str
        Name, then address and how to reach it, line by line.
    number, day, until : str
        Of the offer; its first and its last day (ISO 8601).
    to : tuple of str
        The client, line by line.
    dear, email : str
        Whom a letter begins with, and where it goes to.
    items, included, packages
        Works, what is included in a client's words, and crates.
    rows : tuple of Amount
        From what is included to the total, that not among them.
    total : Decimal
        Sum of the rows.
    currency : str
        Of every amount.
    other : str
        The total in a second currency, with rate, day and source; empty without one.
    payment : tuple of (str, str)
        Deposit, rest, how to pay.
    facts : tuple of (str, str)
        Lead time, delivery term and who bears import charges.
    terms : tuple of str
        Sentences.
    warning : str
        What must be read first: that it is a draft, or lacks something; empty where nothing is wrong.
    """

    kind: Kind
    studio: tuple[str, ...]
    number: str
    day: str
    until: str
    to: tuple[str, ...]
    dear: str
    items: tuple[Item, ...]
    included: tuple[str, ...]
    packages: tuple[Package, ...]
    rows: tuple[Amount, ...]
    total: Decimal
    currency: str
    other: str
    payment: tuple[tuple[str, str], ...]
    facts: tuple[tuple[str, str], ...]
    terms: tuple[str, ...]
    warning: str = ""
    email: str = ""

    @property
    def title(self) -> str:
        """What it is called."""
        return TITLES[self.kind]

    @property
    def client(self) -> str:
        """Whom it is for, in one line."""
        return self.to[0] if self.to else ""


@dataclass(frozen=True, slots=True)
class Client:
    """Somebody to whom an offer goes, and the pieces in it."""

    party: Party | None
    pieces: tuple[str, ...]


def clients(quote: Quote) -> tuple[Client, ...]:
    """Return whom offers go to: who buys a piece, else who sells it; nobody by name where the order names neither."""
    order, found = quote.build.order, dict[str, list[str]]()
    parties: dict[str, Party | None] = {}
    for copy in order.copies():
        party = quote.parties.buyer(copy, order) or quote.parties.gallery(copy, order)
        name = party.name.casefold() if party else ""
        parties.setdefault(name, party)
        found.setdefault(name, []).append(copy.piece)
    return tuple(Client(parties[name], tuple(pieces)) for name, pieces in found.items())


def offer_of(
    quote: Quote, client: Client, kind: Kind = "packing", unnamed: str = "", plan: Calendar | None = None
) -> Offer:
    """Make the offer to a client.

    Parameters
    ----------
    quote : Quote
        Of the whole order.
    client : Client
        One of :func:`clients`.
    kind : {"packing", "sale"}
        Whether the works are sold with it.
    unnamed : str
        Whom it is for where the order names nobody; as the order is called if not given.
    plan : Calendar, optional
        The days of the whole order, where they are planned already.

    Raises
    ------
    FaultsFound
        Where works are to be sold and some have no price.
    """
    made = _Making(quote, client, kind)
    if kind == "sale":
        made.check_prices()
    rows = made.rows
    price = total(row.amount for row in rows if row.amount is not None)
    studio, rates = quote.build.shop.studio, quote.rates
    party = client.party
    reached = ", ".join(filter(None, (studio.phone, studio.email)))
    return Offer(
        kind=kind,
        studio=tuple(filter(None, (studio.name, *studio.address.splitlines(), studio.country, reached))),
        number=quote.number,
        day=quote.on.isoformat(),
        until=quote.valid_until.isoformat(),
        to=party.lines if party else (unnamed or quote.build.order.name,),
        dear=(party.contact or party.name) if party else "",
        items=tuple(made.items()),
        included=tuple(made.included()),
        packages=tuple(made.packages()),
        rows=rows,
        total=price,
        currency=quote.currency,
        other=in_other_currency(quote, party, price),
        payment=tuple(_payment(quote, party, price)),
        facts=tuple(made.facts(plan or plan_dates(quote))),
        terms=tuple(filter(None, (*_TERMS, rates.offer.terms, party.terms if party else ""))),
        warning=made.warning(),
        email=party.email if party else "",
    )


def by_piece(quote: Quote, client: Client, kind: Kind) -> dict[str, tuple[Amount, ...]]:
    """Return the rows of the price of an offer as each piece has them; by title they sum to the offer's rows."""
    return {piece: _Making(quote, Client(client.party, (piece,)), kind).rows for piece in client.pieces}


@dataclass(frozen=True)
class _Making:
    """An offer while it is made."""

    quote: Quote
    client: Client
    kind: Kind

    @cached_property
    def copies(self) -> list[Artwork]:
        return [copy for copy in self.quote.build.order.copies() if copy.piece in set(self.client.pieces)]

    @cached_property
    def left_out(self) -> Mapping[str, str]:
        """Why pieces are in no offer."""
        build = self.quote.build
        why = dict.fromkeys(build.held_pieces, "still to be worked out; not in this offer")
        return why | {each.piece: "not packed by us; not in this offer" for each in build.unpacked}

    @cached_property
    def offered(self) -> list[str]:
        return [piece for piece in self.client.pieces if piece not in self.left_out]

    @cached_property
    def shares(self) -> list[Share]:
        offered = set(self.offered)
        return [share for share in self.quote.shares if share.piece in offered]

    @cached_property
    def sales(self) -> list[SalePrice]:
        offered = set(self.offered)
        return [sale for sale in self.quote.sales if sale.piece in offered]

    def check_prices(self) -> None:
        """Refuse to sell works whose price nobody has said."""
        priced = {sale.piece for sale in self.sales}
        order = self.quote.build.order
        faults = [
            Fault(order.source or order.name, copy.row, "price", "", "the artist's price of each work that is sold")
            for copy in self.copies
            if copy.piece not in priced and copy.piece not in self.left_out
        ]
        if faults:
            raise FaultsFound(faults)

    def items(self) -> Iterator[Item]:
        prices = {sale.piece: sale.list_price for sale in self.sales}
        mine = set(self.client.pieces)
        for artwork in self.quote.build.order.artworks:
            copies = [copy for copy in artwork.copies() if copy.piece in mine]
            if not copies:
                continue
            lacking = [copy.piece for copy in copies if copy.piece in self.left_out]
            told = self.left_out[lacking[0]] if lacking else ""
            if lacking and len(lacking) < len(copies):
                told = f"{few(lacking)} {told}"
            sold = [prices[copy.piece] for copy in copies if copy.piece in prices]
            yield Item(
                artwork.piece,
                artwork.title,
                ", ".join(filter(None, (artwork.artist, artwork.year, artwork.medium))),
                both_sizes((artwork.width, artwork.height, artwork.depth)),
                len(copies),
                artwork.destination or "",
                total(sold) if self.kind == "sale" and sold else None,
                told,
            )

    @cached_property
    def crates(self) -> list[Crate]:
        offered = set(self.offered)
        return [crate for crate in self.quote.build.travelling if offered.intersection(crate.pieces)]

    def packages(self) -> Iterator[Package]:
        for crate in self.crates:
            own = [piece for piece in crate.pieces if piece in set(self.client.pieces)]
            others = len(crate.pieces) - len(own)
            holds = few(own) + (f", and {plural(others, 'other work')}" if others else "")
            size = crate.outside
            weight = ", ".join(format_weight(crate.gross_kg, units, mark=True) for units in get_args(UnitSystem))
            word = method_of(crate).one
            yield Package(
                f"{word[:1].upper()}{word[1:]} {crate.crate}",
                holds,
                both_sizes((size.width, size.height, size.depth), ", "),
                weight,
            )

    def included(self) -> Iterator[str]:
        counts = Counter(crate.method for crate in self.crates)
        made = [kind.listed(counts[name]) for name, kind in methods().items() if counts[name]]
        if made:
            text = f"{joined(made)}, made to the measure of the works, with all materials, mounting and packing."
            yield f"{text[:1].upper()}{text[1:]}"
        yield from self._freight()
        if any(share.columns.get("insurance") for share in self.shares):
            yield "Insurance in transit for the declared value, an estimate."

    def _freight(self) -> Iterator[str]:
        """Say of each way whether the price holds it; that works are collected only where somebody said so."""
        quote, offered = self.quote, set(self.offered)
        goes = {quote.destinations.get(copy.destination or "").name for copy in self.copies if copy.piece in offered}
        refused = unpaid(quote.shipments, quote.rates)
        for shipment in quote.shipments:
            if shipment.destination not in goes:
                continue
            stated = any(copy.destination == shipment.destination for copy in self.copies)
            way = ", ".join(filter(None, (f" to {shipment.destination}" if stated else "", shipment.way)))
            if shipment in refused:
                yield f"Freight{way} is not included: it is quoted apart."
            elif shipment.chosen.charges:
                yield f"Freight{way}, an estimate."
            elif quote.destinations.get(shipment.destination).known:
                yield f"No freight{way}: the works are collected."
            else:
                yield f"No freight{way} is included."

    @cached_property
    def rows(self) -> tuple[Amount, ...]:
        return (*(self._sold() if self.kind == "sale" else self._packed()), *self._unknown())

    def _unknown(self) -> Iterator[Amount]:
        for line in self.quote.incomplete:
            if any(
                line in lines for piece, lines in self.quote.incomplete_pieces.items() if piece in set(self.offered)
            ):
                yield Amount(f"{line[:1].upper()}{line[1:]}: quoted apart", None)

    def _packed(self) -> Iterator[Amount]:
        shares = self.shares
        freight, insurance = (_column(shares, name) for name in ("freight", "insurance"))
        taxes = _column(shares, "tax")
        marked = self.quote.rates.price.freight_marked_up
        carried = Decimal(0) if marked else freight + insurance
        yield Amount("Packing: crates, materials and work", total(share.total for share in shares) - carried - taxes)
        if not marked:
            yield from _worth(("Freight, an estimate", freight), ("Insurance, an estimate", insurance))
        yield from self._taxes({share.piece: share.columns.get("tax", Decimal(0)) for share in shares})

    def _sold(self) -> Iterator[Amount]:
        sales, taxed = self.sales, {share.piece: share.columns.get("tax", Decimal(0)) for share in self.shares}
        yield Amount("Artworks", total(sale.list_price for sale in sales))
        agreed = {sale.piece: sale.agreed for sale in sales}
        borne = {
            part: total(
                getattr(Shipping(sale.shipping, sale.freight, sale.insurance), part)
                for sale in sales
                if getattr(agreed[sale.piece], f"{part}_by") == "buyer"
            )
            for part in ("packing", "freight", "insurance")
        }
        within = {
            sale.piece: taxed[sale.piece] if agreed[sale.piece].packing_by == "buyer" else Decimal(0) for sale in sales
        }
        yield from _worth(
            ("Packing: crates, materials and work", borne["packing"] - total(within.values())),
            ("Freight, an estimate", borne["freight"]),
            ("Insurance, an estimate", borne["insurance"]),
        )
        yield from self._taxes({sale.piece: within[sale.piece] + sale.tax for sale in sales})

    def _taxes(self, by_piece: Mapping[str, Decimal]) -> Iterator[Amount]:
        """Yield each tax that is due, and the reason of one that is not where a bill must bear it."""
        for tax in self.quote.levied:
            mine = [by_piece[piece] for piece in tax.pieces if piece in by_piece]
            if not mine:
                continue
            if tax.rule.reason:
                yield Amount(f"{tax.rule.name}: {tax.rule.reason}", Decimal("0.00"))
            elif any(mine):
                rate = ratio_text(tax.rule.rate or tax.rule.art)
                yield Amount(f"{tax.rule.name} {rate}", total(mine))

    def facts(self, plan: Calendar) -> Iterator[tuple[str, str]]:
        rates, on = self.quote.rates, self.quote.on
        days = Workdays.of(rates.calendar)
        places = {copy.destination or "" for copy in self.copies}
        last = [
            entry.last
            for entry in plan.entries
            if entry.kind == "hand over" and (entry.what in places or len(self.client.pieces) == len(self.quote.shares))
        ]
        if last:
            count = max(days.between(on, max(last)), rates.offer.lead_days)
            ready = days.later(on, count)
            yield READY, f"{plural(count, 'working day')} after your order; by {ready} if it comes on {on}"
        if rates.offer.delivery_term:
            yield "Delivery", rates.offer.delivery_term
        party = self.client.party
        if party is not None and party.import_by is not None:
            yield "Duty, import tax, brokerage", f"borne by the {party.import_by}; not included here"

    def warning(self) -> str:
        lacks = {lack.kind for lack in self.quote.lacks}
        told = [INVENTED] if "invented" in lacks else []
        if self.quote.build.shop.studio.name == Studio().name:
            told.append("It bears no studio's name yet.")
        party = self.client.party
        if party is not None and not party.known:
            told.append(f"{party.name} is not in the book of parties: address and what was agreed are not known.")
        if any(row.amount is None for row in self.rows):
            told.append("The total is not complete: see the price.")
        return " ".join(told)


def _column(shares: Sequence[Share], name: str) -> Decimal:
    return total(share.columns.get(name, Decimal(0)) for share in shares)


def _worth(*rows: tuple[str, Decimal]) -> Iterator[Amount]:
    """Yield the rows that come to anything."""
    yield from (Amount(title, amount) for title, amount in rows if amount)


def both_sizes(sides: Sequence[int], between: str = "\n") -> str:
    """Write sizes in inches and in whole millimetres, a line each unless told otherwise."""
    inches = " × ".join(format_length(side, denominator=16) for side in sides)
    return f"{inches} in{between}{whole_millimetres(sides)}"


def whole_millimetres(sides: Sequence[int]) -> str:
    """Write sizes in whole millimetres."""
    return f"{' × '.join(str(_millimetres(side)) for side in sides)} mm"


def _millimetres(side: int) -> int:
    """Return a length in whole millimetres, half up."""
    return (2 * side + MM) // (2 * MM)


def in_other_currency(quote: Quote, party: Party | None, price: Decimal) -> str:
    """Return a sum in a party's currency; empty where it is the studio's own, or no rate is typed."""
    exchange = quote.rates.exchange(party.currency) if party is not None and party.currency else None
    if exchange is None:
        return ""
    said = ", ".join(filter(None, (f"rate of {exchange.day}", exchange.source)))
    return (
        f"{exchange.show(price)} at {exchange.rate:f} {exchange.currency} for 1 {quote.currency} ({said}); "
        f"rounded half up to {exchange.smallest:f} {exchange.currency}"
    )


def _payment(quote: Quote, party: Party | None, price: Decimal) -> Iterator[tuple[str, str]]:
    """Yield deposit, rest and how to pay; deposit and rest sum to the total, the rounding on the rest."""
    rules, currency = quote.rates.offer, quote.currency
    part = party.deposit if party is not None and party.deposit is not None else rules.deposit
    due = (party.rest_due if party is not None else "") or rules.rest_due
    if part:
        deposit = half_up(price * part)
        yield f"Deposit {ratio_text(part)}, with the order", show(deposit, currency)
        if price - deposit:
            yield f"Rest, {due}" if due else "Rest", show(price - deposit, currency)
    elif due:
        yield "Payment", due
    if rules.pay:
        yield "How to pay", rules.pay
