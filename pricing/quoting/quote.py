"""The front office in one call: a build, prices and rates go in, a quote comes out.

Every line is a quantity times a unit price, rounded half up to the cent; sums add lines. The steps from cost to total
stand in this order: direct, contingency, overhead, profit, discount, minimum, rounding; then freight and insurance,
which pass through unmarked unless the shop says otherwise; then tax. A spreadsheet can follow every one of them.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property
from typing import get_args

from nesting.base.faults import FaultsFound
from nesting.build import Build
from nesting.crates.held import without
from nesting.order import Artwork
from nesting.shop.goods import Good
from pricing.money import one_currency, show, total
from pricing.quoting.charging import Charging, words
from pricing.quoting.freight import Shipment, ship
from pricing.quoting.labour import Labour, hours_in_all, labour
from pricing.quoting.lacks import Lack, Priced, lacks_of
from pricing.quoting.ladder import Step, StepKey, climb
from pricing.quoting.lines import (
    Line,
    Section,
    Spread,
    freight_lines,
    insurance_lines,
    insured,
    labour_line,
    material_line,
)
from pricing.quoting.sale import SalePrice, sale_price
from pricing.quoting.sawn import ORDER, Sawn, sawn_lines, taxed_lines
from pricing.quoting.shares import Share, divide, piece_weights
from pricing.quoting.takeoff import Takeoff, take_off
from pricing.studio.destinations import Destinations, Unsuited, unsuited
from pricing.studio.office import Office, stocked
from pricing.studio.pricebook import PriceBook
from pricing.studio.rack import Rack
from pricing.studio.rates import Charge, Rates

__all__ = ["Lack", "Line", "Quote", "Section", "Share", "Shipment", "Step", "quote"]


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
    charge : {"bought", "used", "area"}
        The rule that charges materials; where it is used, a good may have one of its own.
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
        For every piece, those of held crates with nothing; their totals sum to ``total``.
    sales : tuple of SalePrice
        For every piece with a price, but for those of held crates.
    unsuited : tuple of Unsuited
        Crates that do not suit their destination.
    sawn : Sawn or None
        What earlier versions cut and bought. Its cost stands among the lines; takeoff and labour hold what is to come.
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
    sawn: Sawn | None = None

    @property
    def total(self) -> Decimal:
        """What the client pays, tax included; held crates are not in it."""
        return self.steps[-1].running

    @property
    def without(self) -> str:
        """What stands beside the total where it lacks held crates, such as ``without K4, held``; else empty."""
        return without(self.build.held)

    @cached_property
    def lacks(self) -> tuple[Lack, ...]:
        """What the total lacks or rests on, a line a kind, the gravest first: what every output shows beside it."""
        before = (row for batch in (self.sawn.batches if self.sawn else ()) for row in batch.rows)
        whole = Takeoff((*self.takeoff.rows, *before))  # the total rests on what was paid before as well
        priced = Priced(
            self.build, self.book, self.rates, self.destinations, whole, self.shipments, self.sales,
            self.unsuited, self.on, self.charge,
        )  # fmt: skip
        return tuple(lacks_of(priced))

    @property
    def charging(self) -> Charging:
        """By which rule each material is charged."""
        # What was kept before goods had rules may say another rule than its rates.
        return replace(Charging.of(self.rates), rule=self.charge)

    @cached_property
    def otherwise(self) -> Mapping[Charge, Decimal]:
        """What the total would be by each other rule, found by pricing the same build once more."""
        return {
            rule: quote(self.build, self.office, on=self.on, number=self.number, charge=rule, sawn=self.sawn).total
            for rule in get_args(Charge)
            if rule != self.charge
        }

    @property
    def hours(self) -> Decimal:
        """Hours of work in all, with what the saw did after earlier versions."""
        batches = self.sawn.batches if self.sawn else ()
        return hours_in_all((*self.labour, *(row for batch in batches for row in batch.labour)))

    @property
    def office(self) -> Office:
        """The studio's papers that it was priced with."""
        # What was kept before there was gear has a shop without its goods.
        return Office(stocked(self.build.shop, self.book), self.book, self.rates, self.rack, self.destinations)

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
    office: Office,
    *,
    on: date,
    number: str = "",
    charge: Charge | None = None,
    sawn: Sawn | None = None,
) -> Quote:
    """Price a build.

    Parameters
    ----------
    build : Build
        Crates and layouts.
    office : Office
        Prices, rates and profiles in one currency, where crates go, and what was in store when the supply was made; the
        shop is the build's own. Other prices than the build was searched with give the same plan at other prices.
    on : date
        Day of the quote; nothing here reads the clock.
    number : str
        Of the quote.
    charge : {"bought", "used", "area"}, optional
        Instead of the rates' own choice.
    sawn : Sawn, optional
        What earlier versions cut and bought: the build was given it, and the total holds what it came to.

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
    book, rates, destinations, rack = office.book, office.rates, office.destinations, office.rack
    currency = one_currency(
        (book.source or "the price book", book.currency),
        (rates.source or "the rates", rates.currency),
        ("the rack", rack.currency),
        (build.order.source or "the order", build.order.currency),
    )
    faults = book.missing(_used_goods(build), rates.labour.hours)
    if faults:
        raise FaultsFound(faults)
    if charge and charge != rates.price.charge:
        rates = replace(rates, price=replace(rates.price, charge=charge))
    charging = Charging.of(rates)
    copies = build.order.copies()
    sawn = sawn or Sawn()
    takeoff = take_off(build, book, rack, offcut_value=rates.price.offcut_value, worth=sawn.worth)
    work = labour(build, rates.labour, book)
    weights = piece_weights(build.crates)
    everyone = [copy.piece for copy in copies]
    shipments = ship(build.crates, destinations, rates, build.order.units)
    spread = Spread(weights, everyone)
    materials = [material_line(row, charging, spread) for row in takeoff.rows]
    before = list(sawn_lines(sawn, build, charging, spread))
    tax_lines = list(taxed_lines(materials, before, rates.purchase_tax))
    work_lines = [labour_line(row, spread) for row in work]
    carried = [*freight_lines(shipments, spread), *insurance_lines(insured(copies, build.held_pieces), rates)]
    marked = rates.price.freight_marked_up
    lines = (*(line for line in materials if line.quantity), *tax_lines, *work_lines, *(carried if marked else ()))
    if before:
        lines = tuple(
            sorted((*lines, *(line for _, line in before if line.quantity)), key=lambda line: ORDER.index(line.section))
        )
    passed = () if marked else tuple(carried)
    steps = climb(
        total(line.amount for line in lines),
        rates.price,
        rates.tax,
        freight=total(line.amount for line in passed if line.section == "freight"),
        insurance=total(line.amount for line in passed if line.section == "insurance"),
    )
    shares = divide(copies, build.every, lines, passed, steps, rates.tax)
    places = [(crate, destinations.get(crate.destination)) for crate in build.travelling]
    misfits = [
        each
        for crate, place in places
        for each in unsuited(crate, place, rates.delivery, build.shop.studio.country, build.order.units)
    ]
    sales = _sales(copies, shares, rates, build.held_pieces)
    return Quote(
        build=build,
        book=book,
        rates=rates,
        destinations=destinations,
        rack=rack,
        currency=currency,
        number=number,
        on=on,
        valid_until=on + timedelta(days=rates.price.valid_days),
        charge=charging.rule,
        takeoff=takeoff,
        labour=work,
        shipments=shipments,
        lines=lines,
        passed=passed,
        steps=steps,
        shares=shares,
        sales=sales,
        unsuited=tuple(misfits),
        sawn=sawn if sawn != Sawn() else None,
    )


def _used_goods(build: Build) -> tuple[Good, ...]:
    """Return the goods that the crates are made of."""
    used: set[str] = set()
    for crate in build.crates:
        used.update(part.good for part in crate.parts)
        used.update(stick.good for stick in crate.sticks)
        used.update(roll.good for roll in crate.rolls)
        used.update(work.good for work in crate.piecework)
    return tuple(good for good in build.shop.goods if good.good in used)


def _sales(
    copies: Sequence[Artwork], shares: Sequence[Share], rates: Rates, held: Collection[str]
) -> tuple[SalePrice, ...]:
    """Return the sale price of every piece that has an artist's price; of none whose crate is held."""
    return tuple(
        sale_price(copy.piece, copy.price, share.total, rates.sale)
        for copy, share in zip(copies, shares, strict=True)
        if copy.price is not None and copy.piece not in held
    )


def charged_told(made: Quote) -> str:
    """Say by which rule materials are charged, and what the total would be by each other."""
    rule = made.charging.rule
    own: dict[Charge, list[str]] = {}
    for row in made.takeoff.rows:
        theirs = own.setdefault(made.charging.rule_of(row.good), [])
        if row.good not in theirs:
            theirs.append(row.good)
    told = [f"{', '.join(goods)} {words(each)}" for each, goods in own.items() if each != rule]
    others = ", ".join(
        f"{words(each)} {'it would be ' if not n else ''}{show(amount, made.currency)}"
        for n, (each, amount) in enumerate(made.otherwise.items())
    )
    but = f" ({'; '.join(told)})" if told else ""
    return f"materials are charged {words(rule)}{but}; {others}"
