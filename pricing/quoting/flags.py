"""Flags: what to know before a quote is sent."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from typing import Final, Literal

from nesting.build import Build
from pricing.money import from_cents, show
from pricing.quoting.freight import Shipment
from pricing.quoting.sale import SalePrice
from pricing.quoting.takeoff import Takeoff
from pricing.studio.destinations import Destinations
from pricing.studio.office import Office
from pricing.studio.pricebook import PriceBook
from pricing.studio.pricebook_file import unchanged
from pricing.studio.rates import Charge, Rates

_NAMED: Final = 4
"""Things of one flag that are named one by one."""

FlagKind = Literal[
    "stale price",
    "invented prices",
    "charge",
    "crate",
    "destination",
    "freight",
    "declared value",
    "sale",
    "plan",
    "order",
]


@dataclass(frozen=True, slots=True)
class Flag:
    """Something to know before the quote is sent."""

    kind: FlagKind
    text: str


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What was reckoned for a quote, as far as flags look at it.

    Attributes
    ----------
    takeoff : Takeoff
        Both truths.
    charge : {"bought", "used"}
        Which of them the lines charge.
    shipments : tuple of Shipment
        One for each destination.
    sales : tuple of SalePrice
        For every piece with a price.
    """

    takeoff: Takeoff
    charge: Charge
    shipments: tuple[Shipment, ...]
    sales: tuple[SalePrice, ...]


def flags_of(build: Build, office: Office, reckoned: Reckoned, *, on: date) -> Iterator[Flag]:
    """Yield what to know before the quote of that day is sent."""
    book, destinations, takeoff = office.book, office.destinations, reckoned.takeoff
    yield from _crate_flags(build)
    yield from _price_flags(book, office.rates, takeoff, on)
    must, uses = takeoff.bought_amount + takeoff.book_amount, takeoff.used_amount
    if must > uses:
        told = f"Materials are charged as {reckoned.charge}. Bought they cost {show(must, book.currency)}"
        yield Flag("charge", f"{told}, of which the job uses up {show(uses, book.currency)}; the rest stays in store.")
    yield from _way_flags(build, destinations, reckoned.shipments)
    yield from _piece_flags(build, reckoned.sales, book.currency)
    yield from _plan_flags(build, book.currency)
    for warning in (*build.order.warnings, *book.warnings, *destinations.warnings):
        yield Flag("order", warning)


def _crate_flags(build: Build) -> Iterator[Flag]:
    """Yield what a crate fails, such as a back too weak or the studio's own door: once for all crates it is true of."""
    found: dict[str, list[str]] = {}
    for crate in build.crates:
        for check in crate.checks:
            if check.verdict == "fails":
                said = check.sentence()
                # A crate's own warning may add what mends it.
                told = next((warning for warning in crate.warnings if warning.startswith(said)), said)
                found.setdefault(told, []).append(crate.crate)
    for told, crates in found.items():
        yield Flag("crate", f"{', '.join(crates)}: {told}")


def _way_flags(build: Build, destinations: Destinations, shipments: Sequence[Shipment]) -> Iterator[Flag]:
    """Yield which destinations are not known, and what a carrier refuses."""
    known = [row.name for row in destinations.rows]
    for name in destinations.unknown(build.order):
        like = get_close_matches(name, known, n=1, cutoff=0.7)
        meant = (
            f"did you mean {like[0]}? Else add it to the destinations table"
            if like
            else "add it to the destinations table"
        )
        told = "" if _carried(shipments, name) else " No freight to it is in this price."
        yield Flag("destination", f"Nothing is known of the destination {name}: {meant}.{told}")
    for shipment in shipments:
        told = f"{shipment.destination}: {shipment.chosen.title} refuses"
        for refusal in shipment.chosen.refused:
            yield Flag("freight", f"{told}: {refusal}. No freight is included.")


def _piece_flags(build: Build, sales: Sequence[SalePrice], currency: str) -> Iterator[Flag]:
    """Yield which pieces are not insured, and which cost more to ship than they sell for."""
    for copy in build.order.copies():
        if copy.declared is None and copy.price is None:
            yield Flag("declared value", f"{copy.piece} has neither a declared value nor a price; it is not insured.")
    for sale in sales:
        if sale.shipping > sale.artist_price:
            costs, price = (show(amount, currency) for amount in (sale.shipping, sale.artist_price))
            yield Flag("sale", f"Packing and shipping {sale.piece} costs {costs}, more than its price of {price}.")


def _plan_flags(build: Build, currency: str) -> Iterator[Flag]:
    """Yield which cutting plans may not be the cheapest."""
    plans = [(plan.good, plan.cost - plan.bound) for plan in build.layouts]
    plans += [(plan.good, plan.cost - plan.bound) for plan in build.stick_plans]
    for good, gap in plans:
        if gap:
            more = show(from_cents(gap), currency)
            yield Flag("plan", f"{good}: the cutting plan costs at most {more} more than the cheapest there is.")


def _carried(shipments: Sequence[Shipment], name: str) -> bool:
    """Whether some freight to a destination is in the price."""
    return any(shipment.destination == name and shipment.chosen.amount for shipment in shipments)


def _price_flags(book: PriceBook, rates: Rates, takeoff: Takeoff, on: date) -> Iterator[Flag]:
    """Yield what is wrong with the prices that are used."""
    used = {row.stock for row in takeoff.rows if row.source == "buy"} | set(rates.labour.hours)
    if book.invented:
        yield Flag("invented prices", "The built-in prices are invented, for demonstration only.")
    elif left := [row.stock for row in unchanged(book) if row.stock in used]:
        more = f" and {len(left) - _NAMED} more" if len(left) > _NAMED else ""
        text = f"{len(left)} of the {len(used)} prices used are still as built in, which are invented"
        yield Flag("invented prices", f"{text}: {', '.join(left[:_NAMED])}{more}.")
    for price in book.stale(on, rates.price.stale_days):
        if price.stock in used:
            since = f"of {price.priced}" if price.priced else "of a day that is not known"
            yield Flag("stale price", f"{price.stock}: the price is {since}, older than {rates.price.stale_days} days.")
