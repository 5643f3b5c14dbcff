"""The studio's own papers in the store, and the office that they make: prices, rules, rates, rack, places, parties."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import MeasureError, UnitSystem, parse_length
from nesting.base.rules import rules_of
from nesting.base.toml_text import tables_of
from nesting.shop.goods import StockSize
from nesting.shop.shop import Shop, Studio
from nesting.shop.shop_file import default_shop, rule_groups, shop_from
from pricing.desk.content import Content
from pricing.desk.rulebook import with_rate_rules, with_shop_rules
from pricing.money import CENT, half_up, parse_amount
from pricing.store import Document, Store
from pricing.store.codec import decode, encode
from pricing.studio.destinations import Destinations, destinations_from
from pricing.studio.office import Office, stocked
from pricing.studio.parties import Parties, parties_from
from pricing.studio.pricebook import Price, PriceBook
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import FORM, Rates
from pricing.studio.rates_file import built_in_rates, rates_from

PRICES: Final = "prices"
RULES: Final = "rules"
PLACES: Final = "destinations"
PARTIES: Final = "parties"


@dataclass(frozen=True, slots=True)
class OwnSize:
    """A stock size that the studio added to a good; lengths on the exact grid."""

    good: str
    length: int
    width: int = 0


@dataclass(frozen=True, slots=True)
class Rulings:
    """What the studio changed of the built-in shop and rates.

    Attributes
    ----------
    studio : mapping of str to str
        Name, address and the like; and by which sizes the built-in goods, rules, rates and prices go.
    rules : mapping of str to str
        Values by rule, as text.
    thickness : mapping of str to str
        Measured thickness by good.
    sizes : mapping of str to OwnSize
        Stock sizes that were added when they did not yet stand with their prices; see :func:`sizes_from`.
    logo : int
        The studio's picture at the head of offers, by its number among the pictures of the store; 0 for none.
    shop_file, rates_file : str
        The studio's own files, as text, on which the changes stand; empty for the built-in ones.
    """

    studio: Mapping[str, str] = field(default_factory=dict)
    rules: Mapping[str, str] = field(default_factory=dict)
    thickness: Mapping[str, str] = field(default_factory=dict)
    sizes: Mapping[str, OwnSize] = field(default_factory=dict)
    shop_file: str = ""
    rates_file: str = ""
    logo: int = 0

    def text(self) -> str:
        """Write as JSON, one entry a line, so that it reads well as a plain file."""
        return json.dumps(encode(self), indent=1, ensure_ascii=False, sort_keys=True)


def rulings_from(text: str) -> Rulings:
    """Read what :meth:`Rulings.text` wrote; nothing is an unchanged shop."""
    made: Rulings = decode(Rulings, json.loads(text)) if text else Rulings()
    return made


def book_text(book: PriceBook, sizes: Mapping[str, OwnSize]) -> str:
    """Write a price book as JSON, one row a line, with the stock sizes that the studio added, by their stock.

    Both stand in one paper, so that a size comes and goes with its price, by one undo.
    """
    rows = ",\n".join(json.dumps(encode(replace(row, row=None)), ensure_ascii=False) for row in book.rows)
    head = f'"currency": "{book.currency}", "invented": {json.dumps(book.invented)}'
    more = f'"sizes": {json.dumps(encode(sizes), ensure_ascii=False, sort_keys=True)}, ' if sizes else ""
    return f'{{{head}, {more}"rows": [\n{rows}\n]}}'


@lru_cache(maxsize=8)
def book_from(text: str, units: UnitSystem = "inch") -> PriceBook:
    """Read what :func:`book_text` wrote; nothing is the built-in book of a shop that goes by these sizes."""
    if not text:
        return default_price_book(units)
    document = json.loads(text)
    rows = tuple(decode(Price, row) for row in document["rows"])
    return PriceBook(document["currency"], rows, "the price book", invented=document["invented"])


@lru_cache(maxsize=8)
def sizes_from(text: str) -> Mapping[str, OwnSize]:
    """Read the stock sizes that the studio added out of what :func:`book_text` wrote."""
    sizes = json.loads(text).get("sizes", {}) if text else {}
    return {stock: decode(OwnSize, size) for stock, size in sizes.items()}


@lru_cache(maxsize=8)
def places_from(text: str, rulings: str, form: int) -> Destinations:
    """Read the table of destinations, whose freight profiles the rulings may have changed; see :func:`bases`."""
    return destinations_from(text.encode(), "destinations.csv", ruled(rulings, form)[1]) if text else Destinations()


@lru_cache(maxsize=8)
def parties_in(text: str) -> Parties:
    """Read the table of parties; nothing is an empty one."""
    return parties_from(text.encode(), "parties.csv") if text else Parties()


@lru_cache(maxsize=8)
def ruled(text: str, form: int) -> tuple[Shop, Rates]:
    """Return shop and rates with the studio's changes; FaultsFound where they do not stand together; see `bases`."""
    rulings = rulings_from(text)
    shop, rates = bases(rulings, form)
    shop, faults = with_shop_rules(shop, rulings.rules, before=form < FORM)
    rates, more = with_rate_rules(rates, rulings.rules)
    shop, others = with_thickness(with_sizes(shop, rulings.sizes), rulings.thickness)
    if rulings.studio:
        shop = replace(shop, studio=replace(shop.studio, **rulings.studio))
    if found := [*faults, *more, *others]:
        raise FaultsFound(found)
    return shop, rates


def bases(rulings: Rulings, form: int) -> tuple[Shop, Rates]:
    """Return shop and rates as the studio's own files, or else the program, have them.

    Parameters
    ----------
    rulings : Rulings
        With the studio's own files.
    form : int
        Of the built-in rates that the data folder was begun with: it goes on with them.
    """
    shop = default_shop("metric" if rulings.studio.get("sizes") == "metric" else "inch")
    if rulings.shop_file:
        shop = shop_from(tables_of(rulings.shop_file, "shop.toml", "a TOML text"), "shop.toml")
    rates = built_in_rates(form, shop.units)
    if rulings.rates_file:
        rates = rates_from(rulings.rates_file, "rates.toml", sizes=shop.units)
    return shop, rates


def with_sizes(shop: Shop, sizes: Mapping[str, OwnSize]) -> Shop:
    """Return the shop with more stock sizes of its goods; a size that it knows already stays as it has it."""
    known, goods = {size.stock for good in shop.goods for size in good.sizes}, []
    for good in shop.goods:
        own = [(stock, size) for stock, size in sizes.items() if size.good == good.good and stock not in known]
        more = tuple(StockSize(stock, size.length, size.width) for stock, size in own)
        goods.append(replace(good, sizes=(*good.sizes, *more)) if more else good)
    return replace(shop, goods=tuple(goods))


def with_thickness(shop: Shop, measured: Mapping[str, str]) -> tuple[Shop, list[Fault]]:
    """Return the shop with goods as thick as they were measured."""
    goods, faults = [], []
    for good in shop.goods:
        text = measured.get(good.good)
        try:
            goods.append(replace(good, thickness=parse_length(text)) if text else good)
        except (MeasureError, ValueError) as error:
            accepted = error.accepted if isinstance(error, MeasureError) else str(error)
            faults.append(Fault("goods", None, good.good, text or "", accepted))
            goods.append(good)
    return replace(shop, goods=tuple(goods)), faults


class Papers:
    """The studio's papers in a store.

    Parameters
    ----------
    store : Store
        Where they are kept.
    """

    def __init__(self, store: Store) -> None:
        self.store = store

    def document(self, name: str) -> Document:
        """Return a paper's current revision."""
        return self.store.documents.get(name)

    @property
    def book(self) -> PriceBook:
        """The price book."""
        return self.book_of(self.document(PRICES).content)

    def book_of(self, text: str) -> PriceBook:
        """Return the price book as a state of its paper has it."""
        return book_from(text, self.units)

    @property
    def sizes(self) -> Mapping[str, OwnSize]:
        """The stock sizes that were added together with their prices."""
        return sizes_from(self.document(PRICES).content)

    @property
    def rulings(self) -> Rulings:
        """What the studio changed."""
        return rulings_from(self.document(RULES).content)

    @property
    def form(self) -> int:
        """The form of the built-in rates that the studio began with."""
        return self.store.rates_form

    @property
    def shop(self) -> Shop:
        """The shop with the studio's changes."""
        return with_sizes(ruled(self.document(RULES).content, self.form)[0], self.sizes)

    @property
    def units(self) -> UnitSystem:
        """By which sizes the shop goes, and what bare numbers are in its fields."""
        return ruled(self.document(RULES).content, self.form)[0].units

    @property
    def country(self) -> str:
        """The studio's country, by its two letters."""
        return ruled(self.document(RULES).content, self.form)[0].studio.country

    @property
    def rates(self) -> Rates:
        """The rates with the studio's changes."""
        return ruled(self.document(RULES).content, self.form)[1]

    @property
    def places(self) -> Destinations:
        """Where crates go."""
        return places_from(self.document(PLACES).content, self.document(RULES).content, self.form)

    @property
    def parties(self) -> Parties:
        """Who buys, sells and receives."""
        return parties_in(self.document(PARTIES).content)

    def office(self, job: int | None = None) -> Office:
        """Return the office as it is now, with the rack as the job may use it."""
        shop, rates = ruled(self.document(RULES).content, self.form)
        book = self.book
        return Office(
            stocked(with_sizes(shop, self.sizes), book),
            book,
            rates,
            self.store.rack.rack(book.currency, job),
            self.places,
            self.parties,
        )

    def stamp(self, job: int | None) -> str:
        """Return a text that changes whenever the office does, and is the same again after an undo."""
        rack = [(each.offcut, each.free, each.taken) for each in self.store.rack.for_job(job)]
        texts = [self.document(name).content for name in (PRICES, RULES, PLACES)]
        # A studio that keeps no parties has the stamp that it had before there were any.
        texts += filter(None, [self.document(PARTIES).content])
        papers = [hashlib.sha256(text.encode()).hexdigest() for text in texts]
        return f"{self.form}{papers}{job if any(taken for *_, taken in rack) else 0}{rack}{self.store.rack.shelf()}"

    def save(self, name: str, text: str, *, based_on: int, what: str) -> Document:
        """Save a paper; its first undo leads back to what is built in."""
        return self.store.documents.save(name, text, based_on=based_on, what=what, over_built_in=True)


def for_job(office: Office, content: Content) -> Office:
    """Return the office as one job sees it: its own prices and rules, and without what is not to be had.

    Raises
    ------
    FaultsFound
        Every change that will not do.
    """
    book, faults = _own_prices(office.book, content.prices)
    shop, more = with_shop_rules(office.shop, content.rules, before=office.rates.form < FORM)
    rates, others = with_rate_rules(office.rates, content.rules)
    faults += [*more, *others]
    for old, new in content.swaps.items():
        if old not in shop.by_name or new not in shop.by_name:
            faults.append(Fault("swaps", None, old, new, "a good of the shop"))
        else:
            shop = swapped(shop, old, new)
    if faults:
        raise FaultsFound(faults)
    gone = set(content.missing)
    rows = tuple(_sold_out(row) if row.stock in gone else row for row in book.rows)
    return replace(office, shop=shop, book=replace(book, rows=rows), rates=rates)


def _sold_out(row: Price) -> Price:
    """Return a price of something that the supplier has none of."""
    return replace(row, limit=0, by_length=False) if row.form != "hour" else row


def _own_prices(book: PriceBook, prices: Mapping[str, str]) -> tuple[PriceBook, list[Fault]]:
    """Return the book with a job's own prices; breaks that are dearer than a new price go."""
    faults: list[Fault] = []
    rows = []
    for row in book.rows:
        text = prices.get(row.stock)
        try:
            rows.append(repriced(row, text) if text else row)
        except ValueError as error:
            faults.append(Fault("prices", None, row.stock, text or "", str(error).rpartition("accepted: ")[2]))
            rows.append(row)
    return replace(book, rows=tuple(rows)), faults


def repriced(row: Price, text: str) -> Price:
    """Return a row with another price; its breaks keep what they take off, in proportion."""
    price = parse_amount(text)
    if price % CENT:
        raise ValueError(f"found {text}; accepted: two decimals at the most")
    share = price / row.price if row.price else Decimal(1)
    breaks = tuple((start, min(price, half_up(each * share))) for start, each in row.breaks)
    return replace(row, price=price.quantize(CENT), breaks=breaks)


def swapped(shop: Shop, old: str, new: str) -> Shop:
    """Return the shop with one good wherever its rules name another."""
    changes: dict[str, Any] = {}
    for name, _ in rule_groups():
        group = getattr(shop, name)
        own: dict[str, Any] = {}
        for facts in rules_of(group):
            value = getattr(group, facts.name)
            if facts.unit == "word" and value == old:
                own[facts.name] = new
            elif facts.unit == "words" and old in value:
                own[facts.name] = tuple(dict.fromkeys(new if each == old else each for each in value))
        if own:
            changes[name] = replace(group, **own)
    return replace(shop, **changes)


def alternatives(shop: Shop, good: str) -> Sequence[str]:
    """Return the goods that could stand in for one: of its form and material, nearest in thickness first."""
    own = shop.good(good)
    others = [g for g in shop.goods if g.form == own.form and g.material == own.material and g.good != good]
    others.sort(key=lambda g: (abs(g.thickness - own.thickness) + abs(g.breadth - own.breadth), g.good))
    return [each.good for each in others]


def studio_fields() -> tuple[str, ...]:
    """Return what is known of the studio itself."""
    return tuple(Studio.__slots__)
