"""Making invoices for customs of a consignment: one for each buyer of what is sold, one for all that is not."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from itertools import takewhile
from typing import Final

from nesting.base.counts import few, plural
from nesting.base.ratio import ratio_text
from nesting.order import Artwork
from nesting.shop.stated import kind_of_work, under_carnet
from pricing.money import show, total
from pricing.output.papers.charges import Named, charges
from pricing.output.papers.consignment import Consignment, consignments
from pricing.output.papers.filing import export_filing
from pricing.output.papers.invoice import NOT_SOLD, TO_BE_SOLD, Charge, Invoice, Item
from pricing.output.papers.said import (
    BROKER,
    WRITE,
    heading_of,
    hung_size,
    of_works,
    origin_of,
    party_lines,
    party_missing,
    reason_of,
    sender_block,
    sender_missing,
    wood,
)
from pricing.output.papers.schedule import is_consigned
from pricing.quoting.sale import SalePrice
from pricing.studio.offer_rules import MINOR, Exchange
from pricing.studio.parties import Party

_INCOTERMS: Final = "Incoterms 2020 rule"
_MOST_NAMED: Final = 60
_CARNET: Final = "temporary export under carnet, to be returned within a year"


def invoices(consignment: Consignment) -> tuple[Invoice, ...]:
    """Return the invoices of a consignment: one for each buyer of what is sold, one for all that is not.

    What is bought by somebody and of which nobody says the terms counts as sold.
    """
    return tuple(
        _Making(consignment, works, sold, number).invoice()
        for (sold, works), number in zip(_groups(consignment), _numbers(consignment), strict=True)
    )


def _groups(consignment: Consignment) -> tuple[tuple[bool, tuple[Artwork, ...]], ...]:
    """Return the works of each invoice, and whether they are sold."""
    found: dict[tuple[bool, str], list[Artwork]] = {}
    for work in consignment.works:
        buyer = consignment.buyer(work)
        sold = (consignment.terms(work) or ("sold" if buyer else "")) == "sold"
        found.setdefault((sold, buyer.name.casefold() if buyer and sold else ""), []).append(work)
    return tuple((sold, tuple(works)) for (sold, _), works in found.items())


def _numbers(consignment: Consignment) -> tuple[str, ...]:
    """Return the number of each invoice: the quote's, and which of its invoices where it has several.

    Article 226(2) of directive 2006/112/EC: a number identifies one invoice and no other.
    """
    number = consignment.quote.number
    counts = {each.destination: len(_groups(each)) for each in consignments(consignment.quote) if each.customs}
    mine = len(_groups(consignment))
    if not number or sum(counts.values()) <= 1:
        return (number,) * mine
    before = sum(counts[place] for place in takewhile(lambda each: each != consignment.destination, counts))
    return tuple(f"{number}/{before + each}" for each in range(1, mine + 1))


@dataclass(frozen=True)
class _Making:
    """An invoice while it is made."""

    consignment: Consignment
    works: tuple[Artwork, ...]
    sold: bool
    number: str

    def invoice(self) -> Invoice:
        consignment, quote = self.consignment, self.consignment.quote
        within, added = charges(consignment, self.works, self.sales if self.sold else None)
        whole = self.whole(added)
        exchange = self.exchange
        return Invoice(
            sold=self.sold,
            studio=consignment.sender_lines,
            number=self.number,
            day=quote.on.isoformat(),
            until=quote.valid_until.isoformat(),
            place=consignment.destination,
            warning=consignment.warning,
            notice=TO_BE_SOLD if self.sold else NOT_SOLD,
            parties=tuple(self.parties()),
            facts=tuple(self.facts()),
            currency=quote.currency,
            other=exchange.currency if exchange else "",
            items=tuple(self.items()),
            within=tuple(self.charge(*each) for each in within),
            added=tuple(self.charge(*each) for each in added),
            total_title="Total" if self.sold else "Total value for customs",
            total="" if whole is None else show(whole, quote.currency),
            total_other=exchange.show(whole) if exchange and whole is not None else "",
            exchange=self.rate,
            closing=tuple(self.closing()),
            advice=tuple(self.advice()),
            missing=tuple(dict.fromkeys(self.missing())),
        )

    @property
    def buyer(self) -> Party | None:
        return self.consignment.buyer(self.works[0]) if self.sold else None

    @property
    def exchange(self) -> Exchange | None:
        """The second currency, where whoever pays or receives has one and its rate is typed."""
        party = self.buyer or self.consignment.receiver
        return self.consignment.quote.rates.exchange(party.currency) if party is not None and party.currency else None

    @property
    def rate(self) -> str:
        """Rate, day and source of the second currency, and how it is rounded."""
        exchange = self.exchange
        if exchange is None:
            return ""
        said = ", ".join(filter(None, (f"rate of {exchange.day}", exchange.source)))
        return (
            f"{exchange.rate:f} {exchange.currency} for 1 {self.consignment.quote.currency} ({said}); each amount by "
            f"itself, half up to {exchange.smallest:f}: rows may differ from their total by that"
        )

    def other(self, amount: Decimal) -> str:
        """Return an amount in the second currency; empty without one."""
        exchange = self.exchange
        return f"{exchange.of(amount):,.{MINOR.get(exchange.currency, 2)}f}" if exchange else ""

    def charge(self, title: str, amount: Decimal | None) -> Charge:
        return Charge(title, "", "") if amount is None else Charge(title, f"{amount:,.2f}", self.other(amount))

    @cached_property
    def sales(self) -> Mapping[str, SalePrice]:
        mine = {work.piece for work in self.works}
        return {sale.piece: sale for sale in self.consignment.quote.sales if sale.piece in mine} if self.sold else {}

    def value(self, work: Artwork) -> Decimal | None:
        """Return what a buyer pays for a work, or what it is worth where nobody does; None where it is not known.

        A value of nothing is none: customs take no work that is worth nothing.
        """
        if self.sold:
            return self.sales[work.piece].list_price if work.piece in self.sales else None
        return (work.price if work.declared is None else work.declared) or None

    def whole(self, added: Sequence[Named]) -> Decimal | None:
        """Return the sum of all works and of what comes on top; None where one of them is not known."""
        amounts = [*(self.value(work) for work in self.works), *((amount for _, amount in added) if self.sold else ())]
        known = [amount for amount in amounts if amount is not None]
        return total(known) if len(known) == len(amounts) else None

    def parties(self) -> Iterator[tuple[str, tuple[str, ...]]]:
        receiver = party_lines(self.consignment.receiver)
        if not self.sold:
            yield "Shipper", sender_block(self.consignment)
            yield "Receiver and consignee", receiver
            return
        yield "Seller and shipper", sender_block(self.consignment)
        if self.buyer is not None and self.buyer == self.consignment.receiver:
            yield "Buyer and consignee", receiver
        else:
            yield "Buyer", party_lines(self.buyer)
            yield "Consignee", receiver

    def facts(self) -> Iterator[tuple[str, str]]:
        consignment, quote = self.consignment, self.consignment.quote
        place, studio = consignment.place, consignment.studio
        leaves = consignment.leaves
        planned = f"{leaves}, as planned" if leaves else ""
        if self.sold:
            yield "Day and place of sale", ""
            yield "Day of supply", planned
            galleries = {party.name for work in self.works if (party := consignment.gallery(work)) is not None}
            if galleries:
                yield "Sold through", few(sorted(galleries))
        else:
            yield "Shipped from", ", ".join(filter(None, (*studio.address.splitlines()[-1:], studio.country)))
            yield "Shipped on", planned
            consigned = all(is_consigned(consignment, work) for work in self.works)
            yield "Terms", "consigned, not sold" if consigned else ""
        yield "Reason for export", self.reason
        yield "Port of entry", place.port if place else ""
        yield _INCOTERMS, quote.rates.offer.delivery_term
        if self.sold:
            yield "Payment", self.payment
        yield "Country of origin", "as stated beside each work" if self.origins is None else self.origins
        yield "Responsible person", studio.responsible

    @property
    def reason(self) -> str:
        reasons = {reason_of(self.consignment, work) for work in self.works}
        carnet = [under_carnet(work) is True for work in self.works]
        found = [next(iter(reasons))] if len(reasons) == 1 else []
        return "; ".join(filter(None, (*found, _CARNET if all(carnet) else "")))

    @property
    def payment(self) -> str:
        rules, party = self.consignment.quote.rates.offer, self.buyer
        deposit = party.deposit if party is not None and party.deposit is not None else rules.deposit
        rest = (party.rest_due if party is not None else "") or rules.rest_due
        first = f"{ratio_text(deposit)} with the order" if deposit else ""
        last = f"{'the rest ' if deposit else ''}{rest}" if rest and deposit != 1 else ""
        return "; ".join(filter(None, (first, last, rules.pay)))

    def items(self) -> Iterator[Item]:
        for copies in self.alike():
            work, value = copies[0], self.value(copies[0])
            packages = dict.fromkeys(
                self.consignment.package_of[copy.piece] for copy in copies if copy.piece in self.consignment.package_of
            )
            amount = None if value is None else value * len(copies)
            yield Item(
                piece=(work.copy_of or work.piece) if len(copies) > 1 else work.piece,
                marks=_named(tuple(packages)),
                about=tuple(self.about(work)),
                count=len(copies),
                each="" if value is None else f"{value:,.2f}",
                amount="" if amount is None else f"{amount:,.2f}",
                other="" if amount is None else self.other(amount),
            )

    def alike(self) -> Iterable[list[Artwork]]:
        """Return copies of one line of the order that cost the same together, all others alone."""
        found: dict[tuple[str, Decimal | None], list[Artwork]] = {}
        for work in self.works:
            found.setdefault((work.copy_of or work.piece, self.value(work)), []).append(work)
        return found.values()

    def about(self, work: Artwork) -> Iterator[str]:
        """Yield the description of a work, line by line."""
        consignment, studio = self.consignment, self.consignment.studio
        title = f"“{work.title}”" if work.title else WRITE
        yield f"Artist: {work.artist or WRITE}"
        yield f"Title: {title}, year: {work.year or WRITE}"
        yield f"Medium: {work.medium or WRITE}"
        yield hung_size(work, consignment.quote.build.shop.units, "; ")
        kind = kind_of_work(work, studio)
        told = f"{kind} work" if kind == "original" else kind or f"kind: {WRITE}"
        edition = f"edition {work.edition}" if work.edition else ""
        line = ", ".join(filter(None, (told, edition, heading_of(consignment, work).line)))
        yield f"{line[:1].upper()}{line[1:]}"
        if self.origins is None:
            yield f"Country of origin: {origin_of(consignment, work) or WRITE}"

    @cached_property
    def origins(self) -> str | None:
        """The country of origin of all works; None where they differ."""
        found = {origin_of(self.consignment, work) for work in self.works}
        return next(iter(found)) if len(found) == 1 else None

    def closing(self) -> Iterator[tuple[str, str]]:
        crates = [
            crate for crate in self.consignment.crates if {work.piece for work in self.works}.intersection(crate.pieces)
        ]
        count = plural(len(crates), "package")
        yield (
            "Packages",
            f"{count}: {', '.join(crate.crate for crate in crates)}; see the packing list" if crates else "",
        )
        text, marked = wood(self.consignment, crates)
        yield "Wood packing", text
        if marked:
            yield "Marks of ISPM 15 on the packages", ""
        yield "Discounts, rebates", "none in these amounts"

    def advice(self) -> Iterator[str]:
        yield BROKER
        about = {found.code: found.about for work in self.works if (found := heading_of(self.consignment, work)).about}
        yield from (f"Heading {code}: {text}." for code, text in about.items() if code)
        if self.consignment.studio.country == "US":
            by_heading: dict[str, list[Decimal | None]] = {}
            for work in self.works:
                by_heading.setdefault(heading_of(self.consignment, work).code, []).append(self.value(work))
            carnet = all(under_carnet(work) is True for work in self.works)
            yield export_filing(by_heading, self.consignment.quote.currency, self.consignment.country, carnet=carnet)

    def missing(self) -> Iterator[str]:
        """Yield what is left to be written, a sentence each."""
        consignment, works = self.consignment, self.works
        if not consignment.quote.number:
            yield "a number"
        yield from sender_missing(consignment)
        if self.sold:
            yield from party_missing(self.buyer, "who buys")
        if not self.sold or self.buyer != consignment.receiver:
            yield from party_missing(consignment.receiver, "who receives")
        for what, key in (("artist", "artist"), ("title", "title"), ("year", "year"), ("medium", "medium")):
            yield from of_works(what, (work for work in works if not getattr(work, key)))
        kinds = (work for work in works if not kind_of_work(work, consignment.studio))
        yield from of_works("kind of work (original, replica, reproduction or copy)", kinds)
        yield from of_works("country of origin", (work for work in works if not origin_of(consignment, work)))
        priced = "price" if self.sold else "declared value or price, more than 0,"
        yield from of_works(priced, (work for work in works if self.value(work) is None))
        yield from of_works("carnet, yes or no,", (work for work in works if under_carnet(work) is None))
        yield from (
            f"{title[:1].lower()}{title[1:]} (destinations.csv)"
            for each in charges(consignment, works, self.sales if self.sold else None)
            for title, amount in each
            if amount is None
        )
        yield from (
            f"{label if label == _INCOTERMS else f'{label[:1].lower()}{label[1:]}'} ({mended})"
            for label, text in (*self.facts(), *self.closing())
            if not text and (mended := _MENDED.get(label))
        )


def _named(packages: tuple[str, ...]) -> str:
    """Return the names of packages, of very many the first few: all stand on the packing list."""
    return ", ".join(packages) if len(packages) <= _MOST_NAMED else few(packages)


_MENDED: Final[Mapping[str, str]] = {
    "Day and place of sale": "written by hand",
    "Day of supply": "no day of handing over is planned",
    "Shipped on": "no day of handing over is planned",
    "Shipped from": "[studio] of shop.toml",
    "Terms": "order, column terms: sold or consigned",
    "Reason for export": "order, column reason",
    "Port of entry": "destinations.csv",
    _INCOTERMS: "[offer] of rates.toml",
    "Marks of ISPM 15 on the packages": "written by hand",
}
"""Where a fact that is not known is said."""
