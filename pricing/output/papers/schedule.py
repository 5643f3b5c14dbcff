"""The schedule of works on consignment: what a gallery takes to sell, and what holds until each work is paid or back.

It is laid on paper by :mod:`~pricing.output.papers.schedule_pages`. How a price divides is reckoned here: prices,
commission and what of packing and freight each side bears are those of the quote. Laws are told as advice, with their
source, never applied.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property
from typing import Final

from nesting.base.counts import few, joined, plural
from nesting.base.ratio import ratio_text
from nesting.order import Artwork
from pricing.money import half_up, show, total
from pricing.output.offer.content import in_other_currency
from pricing.output.papers.consignment import Consignment
from pricing.output.papers.said import addressed, hung_size, of_works, sender
from pricing.quoting.sale import Agreed, Dealing, SalePrice, Shipping
from pricing.studio.consignment_rules import ConsignmentRules, DiscountBy, Side
from pricing.studio.parties import Party
from pricing.studio.rates import Payer

USUAL_COMMISSION: Final = (Decimal("0.25"), Decimal("0.60"))
"""Outside of this a commission is told: 25 to 50 % in terms of six public galleries and leagues, up to 60 % in the
trade (from memory, medium)."""
REMOVED_WITHIN: Final = 30
"""Days after the agreed day of removal on which a consignment ends in Oregon (ORS 359.210)."""
_SAID: Final = "parties.csv, or [consignment] of rates.toml"
_SHOWN_OFF: Final = Decimal("0.1")
"""Discount of the example, where no work has a least price."""


@dataclass(frozen=True, slots=True)
class Division:
    """How one sale divides between artist and gallery.

    Attributes
    ----------
    commission : Decimal
        c, the gallery's part of one.
    discount_by : {"in proportion", "gallery", "half each"}
        How a discount is borne.
    production : Decimal
        What comes back to whoever paid it before the rest is divided.
    production_by : {"artist", "gallery"}
        Who paid it.
    """

    commission: Decimal
    discount_by: DiscountBy = "in proportion"
    production: Decimal = Decimal(0)
    production_by: Side = "artist"

    def of(self, price: Decimal, discount: Decimal = Decimal(0)) -> tuple[Decimal, Decimal]:
        """Return the parts of artist and gallery in a list price less a discount; they sum to what the buyer pays.

        Three rules, each of public terms (a gallery's, a template of contracts, an arts council's sample): commission
        on what is left of the price; the discount out of the gallery's part; half of it each. Cost of production first
        as in the arts council's sample. The gallery's part is rounded half up, the artist has the rest.
        """
        left = price - discount if self.discount_by == "in proportion" else price
        gallery = half_up(max(left - self.production, Decimal(0)) * self.commission)
        if self.discount_by == "gallery":
            gallery -= discount
        elif self.discount_by == "half each":
            gallery -= discount - half_up(discount / 2)
        if self.production_by == "gallery":
            gallery += self.production
        return price - discount - gallery, gallery


@dataclass(frozen=True, slots=True)
class Listed:
    """One work of the schedule; an amount that nobody said is None and left as a line to write on.

    Attributes
    ----------
    piece, title : str
        What it is called.
    about : str
        Artist, year and medium.
    edition : str
        Which of how many.
    size : str
        Height, width and depth in inches and in millimetres.
    price, least : Decimal or None
        List price, and the least for which it may be sold.
    division : Division
        How a sale divides.
    artist, gallery : Decimal or None
        Their parts at the list price.
    answered : Decimal or None
        The sum that is answered for.
    declared : bool
        Whether that sum was declared; else it is the artist's part.
    borne : tuple of (str, Decimal)
        Who bears packing, freight and insurance of it, with what they come to: ``list price`` is the artist, out of a
        price that was raised for it.
    """

    piece: str
    title: str
    about: str
    edition: str
    size: str
    price: Decimal | None
    least: Decimal | None
    division: Division
    answered: Decimal | None = None
    declared: bool = False
    borne: tuple[tuple[Payer, Decimal], ...] = ()

    @property
    def artist(self) -> Decimal | None:
        """The artist's part at the list price, before what he bears of packing and shipping."""
        return None if self.price is None else self.division.of(self.price)[0]

    @property
    def gallery(self) -> Decimal | None:
        """The gallery's part at the list price."""
        return None if self.price is None else self.division.of(self.price)[1]

    @property
    def kept(self) -> Decimal | None:
        """The commission alone: the gallery's part without what it paid for production."""
        gallery, division = self.gallery, self.division
        back = division.production if division.production_by == "gallery" else Decimal(0)
        return None if gallery is None else gallery - back

    @property
    def net(self) -> Decimal | None:
        """What the artist has left of the list price after packing and shipping, as the quote's sale price says."""
        return None if self.artist is None else self.artist - self.bears("list price", "artist")

    def bears(self, *payers: Payer) -> Decimal:
        """Return what some bear of packing and shipping."""
        return total(amount for payer, amount in self.borne if payer in payers)


@dataclass(frozen=True, slots=True)
class Held:
    """What holds between both: a label and a sentence; an empty one is left as a line to write on."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class Statute:
    """What a law says of consignment, for a lawyer to be asked about."""

    where: str
    cited: str
    says: str


STATUTES: Final = (
    Statute(
        "New York",
        "Arts and Cultural Affairs Law 12.01",
        "the gallery is the artist's agent; works and what is paid for them are trust property until the artist is "
        "paid in full, and no claim of the gallery's creditors touches them; a waiver is void, but for a narrow one "
        "on what is paid, and never on the first 2,500 dollars in twelve months",
    ),
    Statute(
        "California",
        "Civil Code 1738.5 to 1738.7",
        "a work that is delivered and not paid in full is on consignment; the gallery is agent, holds it in trust and "
        "answers for its loss and damage; what is paid goes to the artist first",
    ),
    Statute(
        "Oregon",
        "ORS 359.210 and 359.220",
        "a contract in writing with retail value, time of payment, least price and commission; the highest degree of "
        "care; a consignment ends 30 days after the agreed day of removal; the buyer's name on demand for sales of "
        "100 dollars and more",
    ),
    Statute(
        "Missouri",
        "RSMo 407.902",
        "a schedule of payment; the gallery is liable for the stated value; no sale below the agreed amount; shown "
        "elsewhere only with consent",
    ),
)
"""As read on 28 November 2026 in the statutes' own text (the 2,500 dollars from memory, high)."""
ASK: Final = (
    "This paper is no legal advice, and laws differ by place: ask a lawyer before either side signs it, the more so "
    "where artist and gallery are in different states or countries."
)


@dataclass(frozen=True, slots=True)
class Schedule:
    """All that a schedule says.

    Attributes
    ----------
    studio : tuple of str
        Whose paper it is, for its head.
    artist, gallery : tuple of str
        Both sides, line by line, with lines to write on where an address is not known.
    name : str
        Of the gallery; empty where nobody knows.
    destination : str
        Where the works go, where that is not the gallery's own name.
    number, day : str
        Of the quote (ISO 8601).
    works : tuple of Listed
        Single pieces.
    held : tuple of Held
        What holds between both.
    example : str
        How a discount divides, in figures of one work; empty where no price is known.
    currency : str
        Of every amount.
    other : str
        All list prices together in the gallery's own currency, with rate, day and source; empty without one.
    statutes : tuple of Statute
        Laws to ask about.
    missing : tuple of str
        What is left to write, a sentence each.
    doubts : tuple of str
        What is odd, a sentence each.
    warning : str
        What must be read first.
    """

    studio: tuple[str, ...]
    artist: tuple[str, ...]
    gallery: tuple[str, ...]
    name: str
    destination: str
    number: str
    day: str
    works: tuple[Listed, ...]
    held: tuple[Held, ...]
    example: str
    currency: str
    other: str
    statutes: tuple[Statute, ...]
    missing: tuple[str, ...]
    doubts: tuple[str, ...]
    warning: str = ""


def is_consigned(consignment: Consignment, work: Artwork) -> bool:
    """Say whether a work goes to be sold: it is stated so, or a gallery sells it and nobody has bought it."""
    terms = consignment.terms(work)
    return terms == "consigned" or (not terms and bool(consignment.gallery(work)) and consignment.buyer(work) is None)


def unsettled(consignment: Consignment) -> tuple[Artwork, ...]:
    """Return the works of which nobody says whether they are consigned or sold, who sells them or who buys them."""
    parties = (consignment.gallery, consignment.buyer)
    return tuple(
        work
        for work in consignment.works
        if not consignment.terms(work) and not any(party(work) is not None for party in parties)
    )


def schedules(consignment: Consignment) -> tuple[Schedule, ...]:
    """Return the schedule of each gallery in a consignment, in the order in which its works stand there."""
    found: dict[str, list[Artwork]] = {}
    galleries: dict[str, Party | None] = {}
    for work in consignment.works:
        if is_consigned(consignment, work):
            party = consignment.gallery(work) or consignment.receiver
            name = party.name.casefold() if party else ""
            galleries.setdefault(name, party)
            found.setdefault(name, []).append(work)
    return tuple(_Making(consignment, galleries[name], works).made() for name, works in found.items())


@dataclass(frozen=True)
class _Making:
    """A schedule while it is made."""

    consignment: Consignment
    gallery: Party | None
    pieces: Sequence[Artwork]

    def made(self) -> Schedule:
        quote, name = self.consignment.quote, self.gallery.name if self.gallery else ""
        return Schedule(
            studio=self.consignment.sender_lines,
            artist=sender(self.consignment),
            gallery=addressed(self.gallery),
            name=name,
            destination=self.consignment.destination if self.consignment.destination != name else "",
            number=quote.number,
            day=quote.on.isoformat(),
            works=self.works,
            held=tuple(self.terms()),
            example=self.example(),
            currency=quote.currency,
            other=self.other(),
            statutes=tuple(self.statutes()),
            missing=tuple(self.missing()),
            doubts=tuple(self.doubts()),
            warning=" ".join(filter(None, (self.consignment.warning, self.lacking))),
        )

    @property
    def lacking(self) -> str:
        """What list prices and sums lack, such as a freight that nobody knows; empty where they lack nothing."""
        lines = self.consignment.quote.incomplete_pieces
        found = tuple(dict.fromkeys(line for work in self.pieces for line in lines.get(work.piece, ())))
        return f"The amounts are not complete: {joined(found)}." if found else ""

    @property
    def american(self) -> bool:
        """Whether a law of the United States may be asked about: either side is there, or nobody says where it is."""
        countries = {self.consignment.studio.country, self.gallery.country if self.gallery else ""}
        return "US" in countries or countries == {""}

    @cached_property
    def rules(self) -> ConsignmentRules:
        """What holds: as the gallery's own row says, else as the studio's rates do."""
        rules, party = self.consignment.quote.rates.consignment, self.gallery
        if party is None:
            return rules
        return replace(
            rules,
            discount_by=party.discount_by or rules.discount_by,
            production_by=party.production_by or rules.production_by,
            loss_by=party.loss_by or rules.loss_by,
            way_back_by=party.way_back_by or rules.way_back_by,
            paid_within=party.paid_within or rules.paid_within,
            unsold_back=0 if party.back_on else party.back_after or rules.unsold_back,
        )

    @property
    def back_on(self) -> date | None:
        """The day on which unsold works are back, where one was agreed."""
        return self.gallery.back_on if self.gallery else None

    @cached_property
    def agreed(self) -> dict[str, Agreed]:
        """Commission and who bears what of each piece, as its sale price has it where there is one."""
        consignment, quote = self.consignment, self.consignment.quote
        sales, order = self.sales, quote.build.order
        found = {}
        for work in self.pieces:
            sale, place = sales.get(work.piece), quote.destinations.get(work.destination or "")
            dealing = Dealing(work, order, place, quote.rates, consignment.buyer(work), self.gallery)
            found[work.piece] = sale.agreed if sale else dealing.agreed
        return found

    @cached_property
    def sales(self) -> dict[str, SalePrice]:
        return {sale.piece: sale for sale in self.consignment.quote.sales}

    @cached_property
    def works(self) -> tuple[Listed, ...]:
        return tuple(map(self.listed, self.pieces))

    def listed(self, work: Artwork) -> Listed:
        agreed, sale = self.agreed[work.piece], self.sales.get(work.piece)
        price = sale.list_price if sale else None
        production = work.production_cost or Decimal(0)
        division = Division(agreed.commission, self.rules.discount_by, production, self.rules.production_by)
        payers: tuple[Payer, ...] = ("list price", "artist", "gallery", "buyer")
        shipping = Shipping(sale.shipping, sale.freight, sale.insurance) if sale else Shipping(Decimal(0))
        borne = tuple((payer, amount) for payer in payers if (amount := agreed.borne(shipping, payer)))
        answered = work.declared
        if answered is None and price is not None:
            answered = division.of(price)[0]
        return Listed(
            work.piece,
            work.title,
            ", ".join(filter(None, (work.artist, work.year, work.medium))),
            work.edition,
            hung_size(work, self.consignment.quote.build.shop.units, ", "),
            price,
            work.least_price,
            division,
            answered,
            work.declared is not None,
            borne,
        )

    def terms(self) -> Iterator[Held]:
        """Yield what holds between both.

        Title and trust as in New York 12.01 and California 1738.5 to 1738.7; consent below the least price and to other
        places as in Missouri 407.902; the buyer's name as in Oregon 359.210; the week in which a sale is told, and
        payment of parts, as in an arts council's sample agreement.
        """
        rules, currency = self.rules, self.consignment.quote.currency
        yield Held(
            "Title",
            "Each work stays the artist's until the artist is paid for it in full. Until then the gallery holds it and "
            "what is paid for it in trust for the artist.",
        )
        yield Held(
            "Sale",
            "No work is sold below its least price without the artist's consent in writing. The artist is told of each "
            "sale within a week and, on demand, who bought.",
        )
        yield Held("Discount", _DISCOUNTS[rules.discount_by])
        if any(each.division.production for each in self.works):
            yield Held(
                "Cost of production",
                f"Comes back to the {rules.production_by}, who paid it, before the rest of the price is divided.",
            )
        yield Held("Payment", _paid(rules.paid_within))
        yield Held("Loss and damage", f"The {rules.loss_by} answers for them, {self.sums()}, {_SPAN[rules.loss_by]}.")
        yield Held("Way out", self.way_out(currency))
        back = {"": "", "artist": "The artist pays.", "gallery": "The gallery pays."}[rules.way_back_by]
        yield Held("Way back", back)
        yield Held("Unsold works are back", self.back())
        yield Held("Shown elsewhere", "Only with the artist's consent in writing.")

    def sums(self) -> str:
        """Return for which sums loss is answered for."""
        declared = [each.piece for each in self.works if each.declared]
        if len(declared) == len(self.works):
            return "for the value declared of each work above"
        if not declared:
            return "for the artist's part of each work's list price"
        return f"for the value declared of {few(declared)}, for the artist's part of the list price of the others"

    def way_out(self, currency: str) -> str:
        """Return who bears packing, freight and insurance on the way out, with what they come to."""
        told = []
        for part, word in (("packing", "Packing"), ("freight", "freight"), ("insurance", "insurance")):
            payers = {getattr(each, f"{part}_by") for each in self.agreed.values()}
            told.append(f"{word}: {joined([_BEARERS[payer] for payer in _BEARERS if payer in payers])}")
        sums = [
            f"{who} {show(amount, currency)}"
            for who, payers in (("the artist", ("list price", "artist")), ("the gallery", ("gallery",)))
            if (amount := total(each.bears(*payers) for each in self.works))
        ]
        return f"{'; '.join(told)}." + (f" In all: {joined(sums)}." if sums else "")

    def back(self) -> str:
        """Return when unsold works are back."""
        days, on = self.rules.unsold_back, self.back_on
        if on is not None:
            return f"By {on.isoformat()}; the consignment ends then."
        return f"{plural(days, 'day')} after they arrive; the consignment ends then." if days else ""

    def statutes(self) -> Iterator[Statute]:
        """Yield the laws to ask about, with the day on which the consignment ends where one of them sets it."""
        if not self.american:
            return
        for each in STATUTES:
            if each.where == "Oregon" and self.back_on is not None:
                ends = (self.back_on + timedelta(days=REMOVED_WITHIN)).isoformat()
                says = each.says.replace("agreed day of removal", f"agreed day of removal, here {ends}")
                yield replace(each, says=says)
            else:
                yield each

    def example(self) -> str:
        """Return how a discount divides, in figures of the first work with a price, down to its least price."""
        currency = self.consignment.quote.currency
        priced = [each for each in self.works if each.price]
        lower = [each for each in priced if each.least is not None and each.price and each.least < each.price]
        for each in (*lower, *priced):
            price = each.price or Decimal(0)
            discount = price - each.least if each in lower and each.least else half_up(price * _SHOWN_OFF)
            artist, gallery = each.division.of(price, discount)
            first = ""
            if each.division.production:
                back = show(each.division.production, currency)
                first = f", with {back} back first to the {each.division.production_by}"
            return (
                f"{each.piece} at {show(price, currency)} less {discount:,.2f} brings {price - discount:,.2f}: the "
                f"artist {artist:,.2f}, the gallery {gallery:,.2f}{first}."
            )
        return ""

    def other(self) -> str:
        """Return all list prices together in the gallery's own currency; empty where one of them is not known."""
        prices = [each.price for each in self.works if each.price is not None]
        whole = len(prices) == len(self.works)
        return in_other_currency(self.consignment.quote, self.gallery, total(prices)) if whole else ""

    def missing(self) -> Iterator[str]:
        """Yield what is left to write, and where it is said."""
        if self.gallery is None:
            yield "gallery (order and parties.csv)"
        elif not self.gallery.address:
            yield f"address of {self.gallery.name} (parties.csv)"
        if not self.consignment.quote.number:
            yield "a number"
        if not self.consignment.studio.address:
            yield "address of the studio ([studio] of shop.toml)"
        listed = list(zip(self.pieces, self.works, strict=True))
        for what, key in (("price", "price"), ("least price", "least"), ("value if it is lost", "answered")):
            yield from of_works(what, (work for work, each in listed if getattr(each, key) is None))
        currency, rates = self.gallery.currency if self.gallery else "", self.consignment.quote.rates
        if currency not in ("", rates.currency) and rates.exchange(currency) is None:
            yield f"rate of {currency} ([currencies] of rates.toml)"
        for held in self.terms():
            if not held.text:
                yield f"{held.label[:1].lower()}{held.label[1:]} ({_SAID})"

    def doubts(self) -> Iterator[str]:
        """Yield what is odd."""
        if self.lacking:
            yield self.lacking.rstrip(".")
        low, high = USUAL_COMMISSION
        for each in self.works:
            part = each.division.commission
            if not low <= part <= high:
                yield (
                    f"{each.piece}: a commission of {ratio_text(part)} is unusual; "
                    f"{ratio_text(low)} to {ratio_text(high)} are common"
                )
            if each.price is None or each.least is None:
                continue
            if each.least > each.price:
                yield f"{each.piece}: a least price of {each.least:,.2f} is above its list price of {each.price:,.2f}"
            elif each.division.of(each.price, each.price - each.least)[1] < 0:
                yield f"{each.piece}: at its least price, {each.least:,.2f}, nothing is left for the gallery"


_DISCOUNTS: Final[dict[DiscountBy, str]] = {
    "in proportion": "Commission is reckoned on what is left of the price, so both bear it as they divide the price.",
    "gallery": "The gallery gives it out of its part; the artist's part stays as listed.",
    "half each": "Artist and gallery bear half of it each.",
}
_BEARERS: Final[dict[Payer, str]] = {
    "list price": "the artist, out of a list price that was raised for it",
    "artist": "the artist",
    "gallery": "the gallery",
    "buyer": "the buyer",
}
_SPAN: Final[dict[Side, str]] = {
    "gallery": "from receipt until the works are back with the artist or paid for in full",
    "artist": "while they are with the gallery too",
}


def _paid(days: int) -> str:
    """Return when the artist is paid; empty where nobody says."""
    if not days:
        return ""
    return (
        f"The artist is paid within {plural(days, 'day')} after a sale; where a buyer pays in parts, the artist's part "
        "of each within the same time."
    )
