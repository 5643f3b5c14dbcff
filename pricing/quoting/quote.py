"""The front office in one call: a build, prices and rates go in, a quote comes out.

Every line is a quantity times a unit price, rounded half up to the cent; sums add lines. The steps from cost to total
stand in this order: direct, contingency, overhead, profit, discount, minimum, rounding; then freight and insurance,
which pass through unmarked unless the shop says otherwise; then tax. A spreadsheet can follow every one of them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property
from typing import get_args

from nesting.base.faults import FaultsFound
from nesting.build import Build
from nesting.order import Artwork, Order
from nesting.shop.goods import Good
from pricing.money import one_currency, show, total
from pricing.quoting.charging import Charging, words
from pricing.quoting.for_the_way import goods_needed, needed
from pricing.quoting.incomplete import beside, missing, of_pieces, titled
from pricing.quoting.incomplete import told as lacks_told
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
from pricing.quoting.particulars import particulars_of
from pricing.quoting.sale import Dealing, SalePrice, Shipping, sold
from pricing.quoting.sawn import ORDER, Sawn, sawn_lines, taxed_lines
from pricing.quoting.shares import Division, Share, divide, piece_weights
from pricing.quoting.shipments import Shipment, lifted_down, ship
from pricing.quoting.takeoff import Takeoff, take_off
from pricing.quoting.taxes import PlaceTax, levy, tax_rule, whole_tax, with_tax
from pricing.quoting.transit import Transit, transits
from pricing.studio.destinations import Destination, Destinations, Unsuited, unsuited
from pricing.studio.office import Office, stocked
from pricing.studio.parties import Parties
from pricing.studio.pricebook import PriceBook
from pricing.studio.rack import Rack
from pricing.studio.rates import Charge, Rates
from pricing.studio.vat import by_destination

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
        What one carrier takes from one place to another: what was chosen and what other profiles would cost.
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
    taxes : tuple of PlaceTax
        One for every rule of tax that holds somewhere; their amounts sum to the step of tax.
    parties : Parties
        Who buys, sells and receives.
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
    taxes: tuple[PlaceTax, ...] = ()
    parties: Parties = field(default_factory=Parties)

    @property
    def total(self) -> Decimal:
        """What the client pays, tax included; held crates are not in it."""
        return self.steps[-1].running

    @property
    def without(self) -> str:
        """What stands beside the total where it lacks something; else empty.

        Held crates, pieces that nothing packs, then what is incomplete: ``without K4, held; incomplete: no freight to
        Harbor Room``.
        """
        return beside(self.build.without, (*self.incomplete, *self.strangers))

    @cached_property
    def incomplete(self) -> tuple[str, ...]:
        """What must be paid and is not known, a place each, such as ``no freight to Harbor Room``."""
        return missing(self.shipments, self.rates)

    @cached_property
    def strangers(self) -> tuple[str, ...]:
        """Parties that order or places name and the table lacks: what was agreed with them is in no sale price."""
        return tuple(f"no party {name}" for name in self.parties.unknown(self.build.order, self.destinations))

    @cached_property
    def incomplete_pieces(self) -> Mapping[str, tuple[str, ...]]:
        """The same of each piece; only of those whose share lacks something.

        Where freight is marked up, the steps of the ladder divide what is missing among all: every share is incomplete.
        """
        if self.incomplete and self.rates.price.freight_marked_up:
            return {share.piece: self.incomplete for share in self.shares}
        carried = {crate.crate: crate.pieces for crate in self.build.travelling}
        return of_pieces(carried, self.shipments, self.rates)

    def beside(self, piece: str) -> str:
        """Return what stands beside one piece's share and list price where they are incomplete; else empty."""
        return lacks_told(self.incomplete_pieces.get(piece, ()))

    def compares_with(self, other: "Quote") -> bool:
        """Say whether advice may be drawn from two totals: neither is incomplete, and both lack the same pieces."""
        same = set(self.build.held_pieces) == set(other.build.held_pieces)
        return same and not (self.incomplete or other.incomplete)

    @cached_property
    def levied(self) -> tuple[PlaceTax, ...]:
        """The taxes by place; of a quote that was kept before there were any, the one of its rates."""
        return self.taxes or whole_tax(
            self.steps, self.rates, {copy.piece: copy.destination or "" for copy in self.build.order.copies()}
        )

    @cached_property
    def lacks(self) -> tuple[Lack, ...]:
        """What the total lacks or rests on, a line a kind, the gravest first: what every output shows beside it."""
        before = (row for batch in (self.sawn.batches if self.sawn else ()) for row in batch.rows)
        whole = Takeoff((*self.takeoff.rows, *before))  # the total rests on what was paid before as well
        priced = Priced(
            self.build, self.book, self.rates, self.destinations, whole, self.shipments, self.transits, self.sales,
            self.shares, self.unsuited, self.on, self.charge, self.parties,
        )  # fmt: skip
        return tuple(lacks_of(priced))

    @cached_property
    def transits(self) -> tuple[Transit, ...]:
        """How long the crates of each way are under way, and by when they must be handed over."""
        return transits(self.shipments, self.destinations, self.rates)

    @property
    def charging(self) -> Charging:
        """By which rule each material is charged."""
        # What was kept before goods had rules may say another rule than its rates.
        return replace(Charging.of(self.rates), rule=self.charge)

    @cached_property
    def otherwise(self) -> Mapping[Charge, Decimal]:
        """What the total would be by each other rule, found by billing the same build once more."""
        rules: list[Charge] = [rule for rule in get_args(Charge) if rule != self.charge]
        bills = (_billed(self.build, self.office, _charged(self.rates, rule), self._counted) for rule in rules)
        return {rule: bill.steps[-1].running for rule, bill in zip(rules, bills, strict=True)}

    @cached_property
    def _counted(self) -> "_Counted":
        """What is billed; counted anew of a quote that was kept, since programs before this one counted less."""
        return _count(self.build, self.office, self.on, self.sawn or Sawn(), self.shipments)

    @property
    def hours(self) -> Decimal:
        """Hours of work in all, with what the saw did after earlier versions."""
        batches = self.sawn.batches if self.sawn else ()
        return hours_in_all((*self.labour, *(row for batch in batches for row in batch.labour)))

    @property
    def office(self) -> Office:
        """The studio's papers that it was priced with."""
        # What was kept before there was gear has a shop without its goods.
        return Office(
            stocked(self.build.shop, self.book), self.book, self.rates, self.rack, self.destinations, self.parties
        )

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
        return self._by_piece[piece]

    @cached_property
    def _by_piece(self) -> Mapping[str, Share]:
        return {each.piece: each for each in reversed(self.shares)}


def quote(  # arguments: carriers are asked once for all rules of charge
    build: Build,
    office: Office,
    *,
    on: date,
    number: str = "",
    charge: Charge | None = None,
    sawn: Sawn | None = None,
    shipments: tuple[Shipment, ...] | None = None,
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
    shipments : tuple of Shipment, optional
        What carriers ask for this build, to this office's places on this day; asked anew where not given.

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
    home = build.shop.studio.country
    counted = _count(build, office, on, sawn or Sawn(), shipments)
    copies, shipments, sawn = counted.copies, counted.shipments, counted.sawn
    rates = _charged(rates, charge)
    bill = _billed(build, office, rates, counted)
    steps = titled(bill.steps, missing(shipments, rates))
    shares = bill.division.shares(copies, build.every)
    places = [(crate, destinations.get(crate.destination)) for crate in build.travelling]
    lifted = lifted_down(shipments)
    misfits = [
        each
        for crate, place in places
        for each in unsuited(crate, place, rates.delivery, home, build.units, lifted=crate.crate in lifted)
    ]
    sales = tuple(
        sold(_dealing(copy, build.order, bill.goes[copy.piece], office), _shipping(share))
        for copy, share in zip(copies, shares, strict=True)
        if copy.price is not None and copy.piece not in build.held_pieces
    )
    made = Quote(
        build=build,
        book=book,
        rates=rates,
        destinations=destinations,
        rack=rack,
        currency=currency,
        number=number,
        on=on,
        valid_until=on + timedelta(days=rates.price.valid_days),
        charge=rates.price.charge,
        takeoff=counted.takeoff,
        labour=counted.work,
        shipments=shipments,
        lines=bill.lines,
        passed=bill.passed,
        steps=steps,
        shares=shares,
        sales=sales,
        unsuited=tuple(misfits),
        sawn=sawn if sawn != Sawn() else None,
        taxes=bill.taxes,
        parties=office.parties,
    )
    vars(made)["_counted"] = counted  # where its property keeps it: the other rules bill what was counted just now
    return made


@dataclass(frozen=True, slots=True)
class _Counted:
    """What a build takes, whatever the rule that materials are charged by."""

    copies: tuple[Artwork, ...]
    values: Mapping[str, Decimal]
    sawn: Sawn
    shipments: tuple[Shipment, ...]
    takeoff: Takeoff
    work: tuple[Labour, ...]


def _count(
    build: Build, office: Office, on: date, sawn: Sawn, shipments: tuple[Shipment, ...] | None = None
) -> _Counted:
    """Count what a build takes; what has no price is a fault."""
    book, rates = office.book, office.rates
    copies = build.order.copies()
    values = insured(copies, build.held_pieces)
    if shipments is None:
        particulars = particulars_of(build, rates, values)
        home = build.shop.studio.country
        shipments = ship(build.crates, office.destinations, rates, build.units, particulars, on=on, home=home)
    faults = book.missing((*_used_goods(build), *goods_needed(shipments, build.shop)), rates.labour.hours)
    if faults:
        raise FaultsFound(faults)
    along = {need.good: need for need in needed(shipments)}
    takeoff = take_off(build, book, office.rack, offcut_value=rates.price.offcut_value, worth=sawn.worth, along=along)
    work = labour(build, rates.labour, book, () if sawn.fetched else takeoff.rows)
    return _Counted(copies, values, sawn, shipments, takeoff, work)


def _charged(rates: Rates, charge: Charge | None) -> Rates:
    """Return rates that charge materials by a rule; as they do where none is given."""
    if not charge or charge == rates.price.charge:
        return rates
    return replace(rates, price=replace(rates.price, charge=charge))


@dataclass(frozen=True, slots=True)
class _Bill:
    """What is charged for what was counted, and how it is divided; pieces by where they are taxed."""

    lines: tuple[Line, ...]
    passed: tuple[Line, ...]
    steps: tuple[Step, ...]
    division: Division
    taxes: tuple[PlaceTax, ...]
    goes: Mapping[str, Destination]


def _billed(build: Build, office: Office, rates: Rates, counted: _Counted) -> _Bill:
    """Charge what was counted by the rule of some rates."""
    charging, copies = Charging.of(rates), counted.copies
    everyone = [copy.piece for copy in copies]
    spread = Spread(piece_weights(build.crates), everyone)
    materials = [material_line(row, charging, spread) for row in counted.takeoff.rows]
    before = list(sawn_lines(counted.sawn, build, charging, spread))
    tax_lines = list(taxed_lines(materials, before, rates.purchase_tax))
    work_lines = [labour_line(row, spread) for row in counted.work]
    carried = [*freight_lines(counted.shipments, spread), *insurance_lines(counted.values, rates)]
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
        freight=total(line.amount for line in passed if line.section == "freight"),
        insurance=total(line.amount for line in passed if line.section == "insurance"),
    )
    division = divide(everyone, lines, passed, steps)
    goes = {
        copy.piece: _taxed_at(office.destinations.get(copy.destination or ""), copy, build, office) for copy in copies
    }
    taxes = levy(
        division,
        {piece: tax_rule(place, rates) for piece, place in goes.items()},
        {copy.piece: copy.destination or "" for copy in copies},
    )
    return _Bill(lines, passed, with_tax(steps, taxes), division, taxes, goes)


def _shipping(share: Share) -> Shipping:
    """Return what a piece's packing and shipping come to."""
    parts = (share.columns.get(section, Decimal(0)) for section in ("freight", "insurance"))
    return Shipping(share.total, *parts)


def _taxed_at(place: Destination, copy: Artwork, build: Build, office: Office) -> Destination:
    """Return where a piece goes, with the tax that follows from that and from who buys, sells or receives it."""
    parties, order = office.parties, build.order
    clients = (parties.buyer(copy, order), parties.gallery(copy, order), parties.get(place.party))
    return by_destination(place, office.rates, build.shop.studio.country, clients)


def _dealing(copy: Artwork, order: Order, place: Destination, office: Office) -> Dealing:
    """Return all who have a word on the sale of a piece."""
    parties = office.parties
    return Dealing(copy, order, place, office.rates, parties.buyer(copy, order), parties.gallery(copy, order))


def _used_goods(build: Build) -> tuple[Good, ...]:
    """Return the goods that the crates are made of."""
    used: set[str] = set()
    for crate in build.crates:
        used.update(part.good for part in crate.parts)
        used.update(stick.good for stick in crate.sticks)
        used.update(roll.good for roll in crate.rolls)
        used.update(work.good for work in crate.piecework)
    return tuple(good for good in build.shop.goods if good.good in used)


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
    lacking = f", each {lacks_told(made.incomplete)}" if made.incomplete else ""
    return f"materials are charged {words(rule)}{but}; {others}{lacking}"
