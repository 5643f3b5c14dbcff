"""Lacks: what a total lacks or rests on, the gravest first, made once and read by everything that shows the total.

:data:`KINDS` is the one table of it: which kinds there are, how grave each is (by its place), its words, where it is
mended, and how it is found. All that is found of a kind is one line with a count. A new kind is one entry there.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from typing import Any, Final, Literal

from nesting.base.counts import few, plural
from nesting.base.measure import format_length
from nesting.base.ratio import ratio_text
from nesting.build import Build
from nesting.crates.held import reasons, roots
from nesting.crates.model import Crate
from nesting.crates.standing import lapsed
from nesting.cutting.sawing.plan import plan_in
from nesting.order import Artwork
from nesting.shop.former import remarks
from pricing.money import from_cents, show
from pricing.quoting.incomplete import unpaid
from pricing.quoting.sale import SalePrice
from pricing.quoting.shares import Share
from pricing.quoting.shipments import Shipment, quotation_holds
from pricing.quoting.takeoff import Takeoff
from pricing.quoting.transit import Transit
from pricing.studio.destinations import Destinations, Unsuited
from pricing.studio.former import remarks as former_rates
from pricing.studio.parties import Parties, ready_line
from pricing.studio.pricebook import PriceBook
from pricing.studio.pricebook_file import unchanged
from pricing.studio.rates import Charge, Rates
from pricing.studio.rates_file import default_rates

Page = Literal["artworks", "crates", "sheets", "money", "prices", "places", "parties", "currencies", "passage"]
"""What of the studio's work mends a lack: the pages of a job, prices, places, parties, the rules of passage."""

LACKING: Final = "This total lacks what it should hold, and should not go out so:"
"""Heads the grave ones, wherever they stand."""
TO_KNOW: Final = "To know before it goes out:"
"""Heads the others."""
ADD: Final = "add "
"""Begins where on a page something is mended by a row that is added: the row's name follows."""
_REASONS: Final = 2
"""Reasons that a line tells."""


@dataclass(frozen=True, slots=True)
class Priced:
    """What lacks are found in: a build with its prices, as :class:`pricing.quoting.quote.Quote` holds them."""

    build: Build
    book: PriceBook
    rates: Rates
    destinations: Destinations
    takeoff: Takeoff
    shipments: tuple[Shipment, ...]
    transits: tuple[Transit, ...]
    sales: tuple[SalePrice, ...]
    shares: tuple[Share, ...]
    unsuited: tuple[Unsuited, ...]
    on: date
    charge: Charge
    parties: Parties


@dataclass(frozen=True, slots=True)
class Mend:
    """Where something is mended.

    Attributes
    ----------
    files : str
        In a studio's files, for people: file and column or key.
    page : Page
        On the desk.
    at : str
        Which of the page's fields, rows or crates; empty where the whole page is meant.
    """

    files: str
    page: Page
    at: str = ""


@dataclass(frozen=True, slots=True)
class Lack:
    """All that a total lacks of one kind.

    Attributes
    ----------
    kind : str
        Key of :data:`KINDS`.
    gravity : int
        Its place there: 0 is the gravest.
    grave : bool
        Whether the price itself is wrong or the work unsafe: nothing goes out so without a word on it.
    count : int
        Of how many things it is true.
    names : tuple of str
        All of them; empty where they have no names.
    text : str
        In a few words, with the count.
    reasons : tuple of str
        Each with the names that it is true of; empty where the text says it all.
    mend : Mend
        Where, of the first of them.
    """

    kind: str
    gravity: int
    grave: bool
    count: int
    names: tuple[str, ...]
    text: str
    reasons: tuple[str, ...]
    mend: Mend

    @property
    def line(self) -> str:
        """The text, the first names and the first reasons."""
        if self.reasons:
            told = "; ".join(self.reasons[:_REASONS])
            more = len(self.reasons) - _REASONS
            told += f"; and {more} more" if more > 0 else ""
        else:
            told = few(self.names)
        return f"{self.text}: {told}" if told else self.text

    @property
    def whole(self) -> str:
        """The line, and where it is mended in files."""
        return f"{self.line}. Mended in: {self.mend.files}."

    @property
    def brief(self) -> str:
        """The same without reasons, for a page that says them already."""
        return f"{self.text}: {few(self.names)}. Mended in: {self.mend.files}." if self.names else self.whole

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain values for JSON."""
        return {
            "kind": self.kind,
            "grave": self.grave,
            "count": self.count,
            "names": list(self.names),
            "text": self.text,
            "line": self.line,
            "reasons": list(self.reasons),
            "mended_in": self.mend.files,
        }


@dataclass(frozen=True, slots=True)
class Found:
    """One thing of a kind: what it is called, why, where on its page it is mended, and a line of a file that does."""

    name: str
    why: str = ""
    at: str = ""
    line: str = ""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of lack.

    Attributes
    ----------
    kind : str
        Its key.
    one, many : str
        Its words for one thing, and for ``{n}`` of them.
    mend : Mend
        Where it is mended.
    find : callable
        Returns what a priced build lacks of it.
    grave : bool
        As of :class:`Lack`.
    """

    kind: str
    one: str
    many: str
    mend: Mend
    find: Callable[[Priced], Iterator[Found]]
    grave: bool = False


def lacks_of(priced: Priced) -> Iterator[Lack]:
    """Yield what a priced build lacks, one of each kind that there is, the gravest first."""
    for gravity, kind in enumerate(KINDS):
        if found := list(kind.find(priced)):
            yield _lack(kind, gravity, found)


def graves(lacks: Sequence[Lack]) -> tuple[Lack, ...]:
    """Return the grave ones."""
    return tuple(each for each in lacks if each.grave)


def headed(lacks: Sequence[Lack]) -> Iterator[tuple[str, list[Lack]]]:
    """Yield the grave ones under their head, then the others under theirs; neither where there are none."""
    for head, grave in ((LACKING, True), (TO_KNOW, False)):
        if group := [each for each in lacks if each.grave == grave]:
            yield head, group


def _lack(kind: Kind, gravity: int, found: Sequence[Found]) -> Lack:
    """Make one line of all that was found of a kind."""
    by_reason: dict[str, dict[str, None]] = {}
    for each in found:
        by_reason.setdefault(each.why, {})[each.name] = None
    names = tuple(dict.fromkeys(each.name for each in found if each.name))
    count = len(names) or len(found)
    reasons = tuple(_reason(why, [*of]) for why, of in by_reason.items() if why)
    text = kind.one if count == 1 else kind.many.format(n=count)
    mend = replace(kind.mend, at=found[0].at) if found[0].at else kind.mend
    if lines := [each.line for each in found if each.line]:
        mend = replace(mend, files=f"{mend.files}; a line that adds it: {'; '.join(lines[:_REASONS])}")
    return Lack(kind.kind, gravity, kind.grave, count, names, text, reasons, mend)


def _reason(why: str, names: Sequence[str]) -> str:
    return f"{few(names)} ({why})" if any(names) else why


# -- what is found -----------------------------------------------------------------------------------------------------


def _held(priced: Priced) -> Iterator[Found]:
    """Yield crates that no design makes pass: they are not cut, and the total lacks them."""
    own = roots(priced.build.held)
    for crate in (*own, *(each for each in priced.build.held if each not in own)):
        yield Found(crate.crate, reasons(crate), crate.crate)


def _unpacked(priced: Priced) -> Iterator[Found]:
    """Yield pieces that no method packs: the total lacks them."""
    for each in priced.build.unpacked:
        yield Found(each.piece, "; ".join(each.why))


def _lapsed(priced: Priced) -> Iterator[Found]:
    """Yield pieces whose acceptance does not hold, while their crate is held."""
    for copy, crates in _acceptances(priced.build):
        held = [crate for crate in crates if crate.code]
        if not held:
            continue
        if any(not lapsed(copy, crate) for crate in held):
            if not copy.accept_held.partition(":")[2].strip():
                yield Found(copy.piece, "no reason is written after its code", held[0].crate)
            continue
        now = " or ".join(crate.code for crate in held)
        told = f"piece, check or design changed since; {held[0].crate} has code {now} now"
        yield Found(copy.piece, told, held[0].crate)


def _unneeded(priced: Priced) -> Iterator[Found]:
    """Yield pieces whose acceptance nobody needs, since their crate passes."""
    for copy, crates in _acceptances(priced.build):
        if not any(crate.code for crate in crates):
            yield Found(copy.piece, f"{crates[0].crate} passes")


def _acceptances(build: Build) -> Iterator[tuple[Artwork, list[Crate]]]:
    """Yield every piece with an acceptance, and the crates around it."""
    accepted = [copy for copy in build.order.copies() if copy.accept_held]
    around: dict[str, list[Crate]] = {copy.piece: [] for copy in accepted}
    for crate in build.every if accepted else ():
        for piece in dict.fromkeys(crate.pieces):
            if piece in around:
                around[piece].append(crate)
    for copy in accepted:
        if around[copy.piece]:
            yield copy, around[copy.piece]


def _failing(priced: Priced) -> Iterator[Found]:
    """Yield crates that fail a check of what they are made of."""
    yield from _checks(priced, passage=False)


def _leaving(priced: Priced) -> Iterator[Found]:
    """Yield crates that do not pass what every crate must: the studio's own door, its van, and ways of its choice."""
    yield from _checks(priced, passage=True)


def _checks(priced: Priced, *, passage: bool) -> Iterator[Found]:
    for crate in priced.build.crates:
        for check in crate.checks:
            if check.verdict == "fails" and check.name.startswith("passage, ") == passage:
                said = check.sentence()
                # A crate's own warning may add what mends it.
                told = next((warning for warning in crate.warnings if warning.startswith(said)), said)
                if check.structure and crate.standing == "accepted":
                    told = f"{told}; accepted: {crate.accepted}"
                yield Found(crate.crate, told, "" if passage else crate.crate)


def _freight(priced: Priced) -> Iterator[Found]:
    """Yield places to which a carrier refuses to go, and places that the table lacks to which nothing is charged."""
    unknown = priced.destinations.unknown(priced.build.order)
    missing = unpaid(priced.shipments, priced.rates)
    for shipment in priced.shipments:
        name, chosen = shipment.destination, shipment.chosen
        for refusal in chosen.refused:
            yield Found(name, f"{chosen.title} refuses: {refusal}", f"{ADD if name in unknown else 'place-'}{name}")
        if name in unknown and not chosen.refused and not chosen.amount:
            yield Found(name, _meant(priced, name), f"{ADD}{name}")
        elif not chosen.refused and shipment in missing:
            yield Found(name, f"the rates have no profile {chosen.profile}", f"place-{name}")


def _strangers(priced: Priced) -> Iterator[Found]:
    """Yield parties that order or places name and the table lacks, each with a line that adds it."""
    for name in priced.parties.unknown(priced.build.order, priced.destinations):
        like = get_close_matches(name, [row.name for row in priced.parties.rows], n=1, cutoff=0.7)
        meant = f"; did you mean {like[0]}?" if like else ""
        yield Found(name, f"not in the book of parties{meant}", f"{ADD}{name}", ready_line(name))


def _unknown(priced: Priced) -> Iterator[Found]:
    """Yield places of which nothing is known, freight aside."""
    charged = {each.destination for each in priced.shipments if each.chosen.amount}
    for name in priced.destinations.unknown(priced.build.order):
        if name in charged:
            yield Found(name, _meant(priced, name), f"{ADD}{name}")


def _meant(priced: Priced, name: str) -> str:
    """Say of a place that the table lacks it, and which one may be meant."""
    like = get_close_matches(name, [row.name for row in priced.destinations.rows], n=1, cutoff=0.7)
    return f"not in the table of destinations{f'; did you mean {like[0]}?' if like else ''}"


def _late(priced: Priced) -> Iterator[Found]:
    """Yield places whose deadline cannot be kept, even by handing everything over today."""
    for each in priced.transits:
        day, days = each.hand_over, each.late_days(priced.on)
        if each.deadline is None or day is None or not days:
            continue
        if each.deadline < priced.on:
            why = f"its deadline {each.deadline} is {plural((priced.on - each.deadline).days, 'day')} past"
        else:
            why = f"to arrive by {each.deadline} with {each.told} the hand-over was due {day}"
        yield Found(each.destination, f"{why}; late by {plural(days, 'day')} if handed over today",
                    f"place-{each.destination}")  # fmt: skip


def _days(priced: Priced) -> Iterator[Found]:
    """Yield places with a deadline to which a carrier goes whose days on the way are not known."""
    for each in priced.transits:
        if each.deadline is not None and each.unknown:
            why = f"none are known of {few(each.unknown)}; they count as none"
            yield Found(each.destination, why, f"place-{each.destination}")


def _expired(priced: Priced) -> Iterator[Found]:
    """Yield places whose quotation has run out, so that the estimate counts again."""
    for name in dict.fromkeys(each.destination for each in priced.shipments):
        place = priced.destinations.get(name)
        if place.quoted is not None and not quotation_holds(place, priced.on):
            asked = show(place.quoted, priced.book.currency)
            told = f"{asked} was quoted until {place.quoted_until}; the estimate counts again"
            yield Found(name, told, f"place-{name}")


def _old_figures(priced: Priced) -> Iterator[Found]:
    """Yield carriers whose figures, as charged, are older than the rule for freight says."""
    days = priced.rates.delivery.freight_stale_days
    for each in priced.shipments:
        if days and each.chosen.amount and each.chosen.as_of and (priced.on - each.chosen.as_of).days > days:
            yield Found(each.chosen.title, f"of {each.chosen.as_of}, older than {plural(days, 'day')}")


def _unsuited(priced: Priced) -> Iterator[Found]:
    for each in priced.unsuited:
        yield Found(each.crate, f"to {each.destination}: {each.text}", f"place-{each.destination}")


def _uninsured(priced: Priced) -> Iterator[Found]:
    """Yield works with neither a declared value nor a price."""
    held = priced.build.held_pieces
    for copy in priced.build.order.copies():
        if copy.declared is None and copy.price is None and copy.piece not in held:
            yield Found(copy.piece)


def _invented(priced: Priced) -> Iterator[Found]:
    """Yield the prices used that are invented: those built in, until somebody changes them."""
    book, used = priced.book, _used(priced)
    if book.invented:
        yield from (Found(row.stock, at=f"stock-{row.stock}") for row in book.rows if row.stock in used)
        return
    yield from (Found(row.stock, "still as built in", f"stock-{row.stock}") for row in unchanged(book)
                if row.stock in used)  # fmt: skip


def _on_the_way(priced: Priced) -> Iterator[Found]:
    """Yield what to know of the carriers that are charged, such as pallets that are in no price."""
    for shipment in priced.shipments:
        for text in shipment.chosen.told:
            yield Found("", f"to {shipment.destination}, {shipment.chosen.title}: {text}")


def _stale(priced: Priced) -> Iterator[Found]:
    days, used = priced.rates.price.stale_days, _used(priced)
    for row in priced.book.stale(priced.on, days):
        if row.stock in used:
            why = f"older than {plural(days, 'day')}" if row.priced else "of a day that is not known"
            yield Found(row.stock, why, f"stock-{row.stock}")


def _used(priced: Priced) -> set[str]:
    """Return the stock whose prices are used."""
    return {row.stock for row in priced.takeoff.rows if row.source == "buy"} | set(priced.rates.labour.hours)


def _stopped(priced: Priced) -> Iterator[Found]:
    if priced.build.stopped:
        yield Found("", "these are the best cuts found until then")


def _sale(priced: Priced) -> Iterator[Found]:
    """Yield works that cost more to ship than they sell for."""
    currency = priced.book.currency
    for sale in priced.sales:
        if sale.shipping > sale.artist_price:
            costs, price = (show(amount, currency) for amount in (sale.shipping, sale.artist_price))
            yield Found(sale.piece, f"{costs}, and its price is {price}")


def _commission(priced: Priced) -> Iterator[Found]:
    """Yield works that are sold by the commission of the rates, since nobody says another."""
    for sale in priced.sales:
        if sale.said == "rates":
            rate = ratio_text(sale.commission)
            told = f"{rate}, as the rates say for all; neither order, gallery nor destination says another"
            yield Found(sale.piece, told)


def _currencies(priced: Priced) -> Iterator[Found]:
    """Yield the currencies in which a client of the order is to read the total, and whose rate nobody has typed."""
    parties, order = priced.parties, priced.build.order
    for copy in order.copies():
        party = parties.buyer(copy, order) or parties.gallery(copy, order)
        code = party.currency if party else ""
        if party and code and code != priced.rates.currency and priced.rates.exchange(code) is None:
            yield Found(code, f"{party.name} reads its offer in {priced.rates.currency} alone", f"{ADD}{code}")


def _taxed_twice(priced: Priced) -> Iterator[Found]:
    """Yield works whose list price bears packing and way with their tax, and is taxed once more.

    Who sells at such a price bills no packing by itself: the buyer owes the tax on the list price alone, and what is
    taxed there should be ``art``. Who packs for somebody else owes the tax on that bill, and the seller bears it as a
    cost. Which of the two holds is not in any file, so both taxes stay as typed and are told.
    """
    taxes = {share.piece: share.columns.get("tax", Decimal(0)) for share in priced.shares}
    for sale in priced.sales:
        tax = taxes.get(sale.piece, Decimal(0))
        if sale.paid_by == "list price" and sale.art_tax and tax:
            told = (
                f"its list price bears packing and way with {show(tax, priced.book.currency)} of tax, and is taxed "
                "too; who bills the list price alone owes tax on art only"
            )
            yield Found(sale.piece, told)


def _plans(priced: Priced) -> Iterator[Found]:
    """Yield goods whose cutting plan may not be the cheapest."""
    build = priced.build
    gaps = [(plan.good, plan.cost - plan.bound) for plan in build.layouts]
    gaps += [(plan.good, plan.cost - plan.bound) for plan in build.stick_plans]
    for good, gap in gaps:
        if gap:
            yield Found(good, f"by at most {show(from_cents(gap), priced.book.currency)}")


def _uncut(priced: Priced) -> Iterator[Found]:
    """Yield goods with cuts that are shorter, narrower or longer than the shop's tools take."""
    for layout in priced.build.layouts:
        cuts = [cut for each in plan_in(priced.build.shop, layout).refused for cut in each.cuts]
        if cuts:
            units = priced.build.units
            size = f"{format_length(cuts[0].along, units)} x {format_length(cuts[0].across, units, mark=True)}"
            yield Found(layout.good, f"{plural(sum(cut.repeat for cut in cuts), 'cut')}, such as in a panel of {size}")


def _charged(priced: Priced) -> Iterator[Found]:
    """Yield that more is charged than the job uses up, where what must be bought is charged."""
    takeoff, currency = priced.takeoff, priced.book.currency
    must, uses = takeoff.bought_amount + takeoff.book_amount, takeoff.used_amount
    if priced.charge == "bought" and must > uses:
        told = f"they cost {show(must, currency)}, of which the job uses up {show(uses, currency)}"
        yield Found("", f"materials are charged as bought: {told}")


def _notes(priced: Priced) -> Iterator[Found]:
    """Yield what was read with a doubt."""
    read = (*priced.build.order.warnings, *priced.book.warnings, *priced.destinations.warnings)
    designed = any(crate.design for crate in priced.build.every)
    of_rules = remarks(priced.build.shop, designed=designed) if priced.build.every else ()
    former = (*former_rates(priced.rates), *of_rules)
    for text in (*read, *former, *_unknown_goods(priced)):
        yield Found("", text)


def _unknown_goods(priced: Priced) -> Iterator[str]:
    """Say which goods have a rule of charging and are none of the shop's; those built in may have been given up."""
    known = priced.build.shop.by_name.keys() | default_rates(priced.rates.sizes).by_good.keys()
    if gone := [good for good in priced.rates.by_good if good not in known]:
        yield f"[charge] in the rates names {', '.join(gone)}: no good of the shop, so nothing is charged by it"


KINDS: Final = (
    Kind("held", "1 crate is held, not cut and not in this total", "{n} crates are held, not cut and not in this total",
         Mend("column accept_held or method of the order", "crates"), _held, grave=True),
    Kind("unpacked", "1 work is packed by nothing and not in this total",
         "{n} works are packed by nothing and not in this total",
         Mend("column method or back of the order", "artworks", "method,back"), _unpacked, grave=True),
    Kind("lapsed", "1 acceptance of a held crate has lapsed", "{n} acceptances of held crates have lapsed",
         Mend("column accept_held of the order", "crates"), _lapsed, grave=True),
    Kind("check", "1 crate fails a check", "{n} crates fail a check",
         Mend("column method of the order, or the rules in shop.toml", "crates"), _failing, grave=True),
    Kind("freight", "no freight to 1 destination", "no freight to {n} destinations",
         Mend("column profile of destinations.csv", "places"), _freight, grave=True),
    Kind("party", "1 party is not known", "{n} parties are not known",
         Mend("parties.csv, or column buyer or gallery of the order", "parties"), _strangers, grave=True),
    Kind("passage", "1 crate cannot leave the studio", "{n} crates cannot leave the studio",
         Mend("column method of the order, or [passage] in shop.toml", "passage"), _leaving, grave=True),
    Kind("unsuited", "1 crate does not suit its destination", "{n} crates do not suit their destinations",
         Mend("destinations.csv, or column method of the order", "places"), _unsuited, grave=True),
    Kind("insurance", "1 work not insured", "{n} works not insured",
         Mend("column declared or price of the order", "artworks", "declared,price"), _uninsured, grave=True),
    Kind("invented", "1 invented price", "{n} invented prices",
         Mend("column price of prices.csv", "prices"), _invented, grave=True),
    Kind("unneeded", "1 acceptance is not needed", "{n} acceptances are not needed",
         Mend("column accept_held of the order", "artworks", "accept_held"), _unneeded),
    Kind("stopped", "stopped early", "stopped early",
         Mend("another run of the same command, to its end", "sheets", "longer"), _stopped),
    Kind("unknown", "nothing is known of 1 destination", "nothing is known of {n} destinations",
         Mend("destinations.csv", "places"), _unknown),
    Kind("way", "1 remark on what goes along", "{n} remarks on what goes along",
         Mend("pallets and a_frames under [delivery] in rates.toml, on_pallets of the profile, prices.csv", "prices"),
         _on_the_way),
    Kind("late", "1 destination cannot be reached by its deadline",
         "{n} destinations cannot be reached by their deadlines",
         Mend("column deadline or profile of destinations.csv", "places"), _late),
    Kind("days", "days on the way to 1 destination are not known",
         "days on the way to {n} destinations are not known",
         Mend("transit_days of its freight profile in rates.toml", "places"), _days),
    Kind("quotation", "1 quotation has run out", "{n} quotations have run out",
         Mend("columns quoted and quoted until of destinations.csv", "places"), _expired),
    Kind("figures", "freight figures of 1 carrier are old", "freight figures of {n} carriers are old",
         Mend("as_of and amounts of its freight profile in rates.toml", "places"), _old_figures),
    Kind("stale", "1 stale price", "{n} stale prices", Mend("column priced of prices.csv", "prices"), _stale),
    Kind("sale", "1 work costs more to pack and ship than it sells for",
         "{n} works cost more to pack and ship than they sell for",
         Mend("column price or method of the order", "artworks", "price"), _sale),
    Kind("commission", "1 work is sold by the commission for all", "{n} works are sold by the commission for all",
         Mend("column commission of the order, parties.csv or destinations.csv; 0 for a direct sale", "artworks",
              "commission"),
         _commission),
    Kind("currency", "the rate of 1 currency is not known", "the rates of {n} currencies are not known",
         Mend("[currencies] of rates.toml, or column currency of parties.csv", "currencies"), _currencies),
    Kind("taxed", "packing of 1 work may be taxed twice", "packing of {n} works may be taxed twice",
         Mend("column tax on of destinations.csv: art alone; rate under [tax] in rates.toml", "places"), _taxed_twice),
    Kind("plan", "1 cutting plan may not be the cheapest", "{n} cutting plans may not be the cheapest",
         Mend("a longer search: --effort thorough", "sheets", "longer"), _plans),
    Kind("uncut", "1 good has cuts that no tool of the shop makes",
         "{n} goods have cuts that no tool of the shop makes",
         Mend("[tools] in shop.toml, or sheets of another size", "sheets"), _uncut),
    Kind("charge", "more is charged than the job uses", "more is charged than the job uses",
         Mend("charge under [price] in rates.toml", "money", "levers"), _charged),
    Kind("note", "1 remark on how the files were read", "{n} remarks on how the files were read",
         Mend("the files that it names", "artworks"), _notes),
)  # fmt: skip
"""Every kind, the gravest first; the grave ones stand before all others. A kind more is one entry more."""
