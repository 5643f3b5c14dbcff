"""The front office in one call: a build, prices and rates go in, a quote comes out.

Every line is a quantity times a unit price, rounded half up to the cent; sums add lines. The steps from cost to total
stand in this order: direct, contingency, overhead, profit, discount, minimum, rounding; then freight and insurance,
which pass through unmarked unless the shop says otherwise; then tax. A spreadsheet can follow every one of them.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from nesting.build import Build
from nesting.crates.model import Crate
from nesting.faults import FaultsFound
from nesting.goods import Good
from nesting.order import Artwork
from pricing.destinations import Destinations, Unsuited, unsuited
from pricing.freight import Shipment, ship
from pricing.labour import Labour, hours_in_all, labour
from pricing.ladder import Step, StepKey, climb
from pricing.money import from_cents, half_up, one_currency, show, total
from pricing.pricebook import Price, PriceBook, PriceForm
from pricing.rack import Rack
from pricing.rates import Charge, Rates
from pricing.shares import SalePrice, Share, apportion, piece_weights, sale_price, to_pieces
from pricing.takeoff import Taken, Takeoff, take_off

Section = Literal["sheets", "sticks", "rolls", "hardware", "purchase tax", "labour", "freight", "insurance"]
FlagKind = Literal["stale price", "invented prices", "destination", "freight", "declared value", "plan", "order"]
_SECTIONS: Mapping[PriceForm, Section] = {
    "sheet": "sheets", "stick": "sticks", "roll": "rolls", "each": "hardware", "box": "hardware",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """One cost: quantity times unit price, rounded half up to the cent.

    Attributes
    ----------
    key : str
        Unique in the quote, such as ``"sheets:ply-3/8 4x8"``.
    section : str
        Where it belongs: sheets, sticks, rolls, hardware, purchase tax, labour, freight or insurance.
    description : str
        For people.
    good, stock : str
        What it is of; the kind of hour for labour; empty for freight.
    quantity : Decimal
        In ``unit``.
    unit : str
        sheet, stick, roll, each, box, hour, lb, ...
    unit_price : Decimal
        Price of one unit.
    amount : Decimal
        ``quantity x unit_price`` rounded half up; for used stock see ``taken``.
    tax : str
        Tax category; empty where purchase tax does not apply.
    taken : Taken or None
        For materials: both truths with the row of the price book and its breaks. Charging what is used,
        ``unit_price`` is ``taken.used_each``, which may have no end; the amount is ``used x bought_amount / needed``,
        rounded once.
    labour : Labour or None
        For labour: count, minutes, hours and rate.
    bearers : mapping of str to Fraction
        Each piece's part, for every piece, summing to 1.
    """

    key: str
    section: Section
    description: str
    good: str
    stock: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    amount: Decimal
    tax: str = ""
    taken: Taken | None = None
    labour: Labour | None = None
    bearers: Mapping[str, Fraction] = field(default_factory=dict)

    @property
    def price(self) -> Price | None:
        """Row of the price book with its breaks, for bought stock."""
        return self.taken.price if self.taken else None


@dataclass(frozen=True, slots=True)
class Flag:
    """Something to know before the quote is sent."""

    kind: FlagKind
    text: str


@dataclass(frozen=True)
class Quote:
    """A priced build.

    Attributes
    ----------
    build : Build
        What is priced.
    book, rates : PriceBook, Rates
        What with.
    destinations, rack
        Where to, and what was in store.
    currency : str
        Of every amount.
    number : str
        Of the quote; may be empty.
    on, valid_until : date
        Day of the quote and last day on which it holds.
    charge : {"bought", "used"}
        Which truth the lines charge.
    takeoff : Takeoff
        Both truths.
    labour : tuple of Labour
        Operations with their hours.
    shipments : tuple of Shipment
        One for each destination: what was chosen and what the other profiles would cost.
    lines : tuple of Line
        Direct cost, in order of section.
    passed : tuple of Line
        Freight and insurance that pass through unmarked.
    steps : tuple of Step
        From direct cost to the total.
    shares : tuple of Share
        For every piece; their totals sum to ``total``.
    sales : tuple of SalePrice
        For every piece with a price.
    unsuited : tuple of Unsuited
        Crates that do not suit their destination.
    flags : tuple of Flag
        What to know before it is sent.
    """

    build: Build
    book: PriceBook
    rates: Rates
    destinations: Destinations
    rack: Rack
    currency: str
    number: str
    on: date
    valid_until: date
    charge: Charge
    takeoff: Takeoff
    labour: tuple[Labour, ...]
    shipments: tuple[Shipment, ...]
    lines: tuple[Line, ...]
    passed: tuple[Line, ...]
    steps: tuple[Step, ...]
    shares: tuple[Share, ...]
    sales: tuple[SalePrice, ...]
    unsuited: tuple[Unsuited, ...]
    flags: tuple[Flag, ...]

    @property
    def total(self) -> Decimal:
        """What the client pays, tax included."""
        return self.steps[-1].running

    @property
    def hours(self) -> Decimal:
        """Hours of work in all."""
        return hours_in_all(self.labour)

    def step(self, key: StepKey) -> Step:
        """Return the step of that key."""
        for each in self.steps:
            if each.key == key:
                return each
        raise KeyError(key)

    def section(self, section: Section) -> Decimal:
        """Return the sum of a section, wherever its lines stand."""
        return total(line.amount for line in (*self.lines, *self.passed) if line.section == section)

    def share(self, piece: str) -> Share:
        """Return what one piece bears."""
        for each in self.shares:
            if each.piece == piece:
                return each
        raise KeyError(piece)


def quote(
    build: Build,
    book: PriceBook,
    rates: Rates,
    *,
    on: date,
    destinations: Destinations | None = None,
    rack: Rack | None = None,
    number: str = "",
    charge: Charge | None = None,
) -> Quote:
    """Price a build.

    Parameters
    ----------
    build : Build
        Crates and layouts.
    book : PriceBook
        Prices; another one than the build was searched with gives the same plan at other prices.
    rates : Rates
        Rates and profiles, in the book's currency.
    on : date
        Day of the quote; nothing here reads the clock.
    destinations : Destinations, optional
        Where crates go; nothing is known of a place that isn't in it.
    rack : Rack, optional
        What was in store when the supply was made.
    number : str
        Of the quote.
    charge : {"bought", "used"}, optional
        Instead of the rates' own choice.

    Returns
    -------
    Quote

    Raises
    ------
    FaultsFound
        Every stock or hour without a price.
    CurrencyError
        When order, prices, rates and rack are not all in one currency.
    """
    destinations, rack = destinations or Destinations(), rack or Rack()
    currency = one_currency(
        (book.source or "the price book", book.currency),
        (rates.source or "the rates", rates.currency),
        ("the rack", rack.currency),
        (build.order.source or "the order", build.order.currency),
    )
    faults = book.missing(_used_goods(build), rates.labour.hours)
    if faults:
        raise FaultsFound(faults)
    charge = charge or rates.price.charge
    copies = build.order.copies()
    takeoff = take_off(build, book, rack)
    work = labour(build, rates.labour, book)
    weights = piece_weights(build.crates)
    everyone = [copy.piece for copy in copies]
    shipments = ship(build.crates, destinations, rates)
    spread = _Spread(weights, everyone)
    materials = [_material(row, charge, spread) for row in takeoff.rows]
    tax_lines = list(_purchase_tax(materials, rates))
    work_lines = [_labour_line(row, spread) for row in work]
    carried = [*_freight_lines(shipments, spread), *_insurance(copies, rates)]
    marked = rates.price.freight_marked_up
    lines = (*(line for line in materials if line.quantity), *tax_lines, *work_lines, *(carried if marked else ()))
    passed = () if marked else tuple(carried)
    steps = climb(
        total(line.amount for line in lines),
        rates.price,
        rates.tax,
        freight=total(line.amount for line in passed if line.section == "freight"),
        insurance=total(line.amount for line in passed if line.section == "insurance"),
    )
    shares = _shares(copies, build.crates, lines, passed, steps, rates)
    places = [(crate, destinations.get(crate.destination)) for crate in build.crates if crate.inside_of is None]
    misfits = [
        each for crate, place in places for each in unsuited(crate, place, rates.delivery, build.shop.studio.country)
    ]
    return Quote(
        build, book, rates, destinations, rack, currency, number, on, on + timedelta(days=rates.price.valid_days),
        charge, takeoff, work, shipments, lines, passed, steps, shares, _sales(copies, shares, rates), tuple(misfits),
        tuple(_flags(build, book, rates, destinations, takeoff, shipments, on)),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Spread:
    """Turns crates' parts into pieces' parts."""

    weights: Mapping[str, Mapping[str, Fraction]]
    everyone: Sequence[str]

    def __call__(self, by_crate: Mapping[str, Fraction]) -> dict[str, Fraction]:
        return to_pieces(by_crate, self.weights, self.everyone)


def _used_goods(build: Build) -> tuple[Good, ...]:
    """Return the goods that the crates are made of."""
    used: set[str] = set()
    for crate in build.crates:
        used.update(part.good for part in crate.parts)
        used.update(stick.good for stick in crate.sticks)
        used.update(roll.good for roll in crate.rolls)
        used.update(work.good for work in crate.piecework)
    return tuple(good for good in build.shop.goods if good.good in used)


def _material(row: Taken, charge: Charge, spread: _Spread) -> Line:
    """Return the line of a material in the truth that is charged."""
    section = _SECTIONS[row.form]
    if charge == "used":
        quantity, each, amount = row.used, row.used_each, row.used_amount
    elif row.source == "rack":
        quantity, each, amount = row.needed, row.each, row.book_amount
    else:
        quantity, each, amount = row.bought, row.each, row.bought_amount
    title = f"{row.title}: {row.stock}" + (" (from the rack, at book value)" if row.source == "rack" else "")
    tax = row.price.tax if row.price else ""
    return Line(
        f"{section}:{row.stock}", section, title, row.good, row.stock, quantity, row.form, each, amount, tax, row,
        bearers=spread(row.bearers),
    )  # fmt: skip


def _purchase_tax(materials: Sequence[Line], rates: Rates) -> Iterator[Line]:
    """Yield a line for each tax category with a rate, borne as the materials that it is on."""
    for category, rate in rates.purchase_tax.items():
        taxed = [line for line in materials if line.tax == category and line.amount]
        base = total(line.amount for line in taxed)
        if not rate or not base:
            continue
        bearers: dict[str, Fraction] = {}
        for line in taxed:
            for piece, part in line.bearers.items():
                bearers[piece] = bearers.get(piece, Fraction(0)) + part * Fraction(line.amount) / Fraction(base)
        yield Line(
            f"purchase tax:{category}", "purchase tax", f"Purchase tax on {category}", "", "", base, "amount", rate,
            half_up(base * rate), bearers=bearers,
        )  # fmt: skip


def _labour_line(row: Labour, spread: _Spread) -> Line:
    return Line(
        f"labour:{row.operation}", "labour", row.title, row.hour, row.hour, row.hours, "hour", row.rate, row.amount,
        labour=row, bearers=spread(row.bearers),
    )  # fmt: skip


def _freight_lines(shipments: Sequence[Shipment], spread: _Spread) -> Iterator[Line]:
    """Yield the charges of every chosen profile."""
    for shipment in shipments:
        offer = shipment.chosen
        for charge in offer.charges:
            yield Line(
                f"freight:{shipment.destination}:{charge.key}", "freight",
                f"{shipment.destination}, {offer.title}: {charge.title} ({offer.estimate})", "", "",
                charge.quantity, charge.unit, charge.each, charge.amount, bearers=spread(offer.bearers),
            )  # fmt: skip


def declared(artwork: Artwork) -> Decimal:
    """Return the value that a copy is insured for: as declared, else its price, else nothing."""
    value = artwork.declared if artwork.declared is not None else artwork.price
    return value or Decimal(0)


def _insurance(copies: Sequence[Artwork], rates: Rates) -> Iterator[Line]:
    """Yield the premium, borne by declared value."""
    values = {copy.piece: declared(copy) for copy in copies}
    value, rules = sum(values.values(), Decimal(0)), rates.insurance
    if not value or not (rules.rate or rules.minimum):
        return
    bearers = {piece: Fraction(each) / Fraction(value) for piece, each in values.items()}
    premium = half_up(value * rules.rate)
    text = f"Insurance in transit by declared value (estimate, figures of {rules.as_of})"
    yield Line("insurance:premium", "insurance", text, "", "", value, "declared", rules.rate, premium, bearers=bearers)
    if premium < rules.minimum:
        more = half_up(rules.minimum) - premium
        yield Line(
            "insurance:minimum", "insurance", f"Insurance, up to the minimum of {rules.minimum}", "", "",
            Decimal(1), "once", more, more, bearers=bearers,
        )  # fmt: skip


def _shares(
    copies: Sequence[Artwork],
    crates: Sequence[Crate],
    lines: Sequence[Line],
    passed: Sequence[Line],
    steps: Sequence[Step],
    rates: Rates,
) -> tuple[Share, ...]:
    """Divide every line and every step among the pieces; each column sums to its amount to the cent."""
    everyone = [copy.piece for copy in copies]
    columns: dict[str, dict[str, Decimal]] = {}
    short: dict[str, Fraction] = {}

    def add(column: str, parts: Mapping[str, Decimal]) -> None:
        into = columns.setdefault(column, dict.fromkeys(everyone, Decimal("0.00")))
        for piece, part in parts.items():
            into[piece] += part

    def so_far(names: Sequence[str]) -> dict[str, Fraction]:
        return {piece: sum((Fraction(columns[name][piece]) for name in names), Fraction(0)) for piece in everyone}

    for line in lines:
        add(line.section, apportion(line.amount, line.bearers, short))
    work = list(columns)
    for step in steps:
        if step.key in ("contingency", "overhead", "profit", "discount", "minimum", "rounding"):
            add(step.key, apportion(step.amount, so_far(work), short))
            work.append(step.key)
    for line in passed:
        add(line.section, apportion(line.amount, line.bearers, short))
    taxed = [
        *work,
        *(["freight"] if rates.tax.on_freight and "freight" in columns and "freight" not in work else []),
        *(["insurance"] if rates.tax.on_insurance and "insurance" in columns and "insurance" not in work else []),
    ]
    for step in steps:
        if step.key == "tax":
            add("tax", apportion(step.amount, so_far(taxed), short))
    where = {piece: crate.crate for crate in crates if crate.method != "outer" for piece in crate.pieces}
    return tuple(
        Share(
            copy.piece,
            copy.title,
            where.get(copy.piece, ""),
            {name: parts[copy.piece] for name, parts in columns.items()},
            total(parts[copy.piece] for parts in columns.values()),
        )
        for copy in copies
    )


def _sales(copies: Sequence[Artwork], shares: Sequence[Share], rates: Rates) -> tuple[SalePrice, ...]:
    """Return the sale price of every piece that has an artist's price."""
    return tuple(
        sale_price(copy.piece, copy.price, share.total, rates.sale)
        for copy, share in zip(copies, shares, strict=True)
        if copy.price is not None
    )


def _flags(
    build: Build,
    book: PriceBook,
    rates: Rates,
    destinations: Destinations,
    takeoff: Takeoff,
    shipments: Sequence[Shipment],
    on: date,
) -> Iterator[Flag]:
    """Yield what to know before the quote is sent."""
    yield from _price_flags(book, rates, takeoff, on)
    for name in destinations.unknown(build.order):
        yield Flag("destination", f"Nothing is known of the destination {name}: add it to the destinations table.")
    for shipment in shipments:
        told = f"{shipment.destination}: {shipment.chosen.title} refuses"
        for refusal in shipment.chosen.refused:
            yield Flag("freight", f"{told}: {refusal}. No freight is included.")
    for copy in build.order.copies():
        if copy.declared is None and copy.price is None:
            yield Flag("declared value", f"{copy.piece} has neither a declared value nor a price; it is not insured.")
    plans = [(plan.good, plan.cost - plan.bound) for plan in build.layouts]
    plans += [(plan.good, plan.cost - plan.bound) for plan in build.stick_plans]
    for good, gap in plans:
        if gap:
            more = show(from_cents(gap), book.currency)
            yield Flag("plan", f"{good}: the cutting plan costs at most {more} more than the cheapest there is.")
    for warning in (*build.order.warnings, *book.warnings, *destinations.warnings):
        yield Flag("order", warning)


def _price_flags(book: PriceBook, rates: Rates, takeoff: Takeoff, on: date) -> Iterator[Flag]:
    """Yield what is wrong with the prices that are used."""
    if book.invented:
        yield Flag("invented prices", "The built-in prices are invented, for demonstration only.")
    used = {row.stock for row in takeoff.rows if row.source == "buy"} | set(rates.labour.hours)
    for price in book.stale(on, rates.price.stale_days):
        if price.stock in used:
            since = f"of {price.priced}" if price.priced else "of a day that is not known"
            yield Flag("stale price", f"{price.stock}: the price is {since}, older than {rates.price.stale_days} days.")
