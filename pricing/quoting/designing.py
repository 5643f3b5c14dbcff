"""Designing: what a design of a crate costs but for its sheets and sticks, and what a whole order so chosen comes to.

The search itself is :mod:`nesting.crates.choice`; it knows no money, and is handed these two. Costs are direct cost in
cents. Freight passes through unmarked, so it weighs less there by what the steps of the ladder add to direct cost.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from math import ceil
from typing import Final

from nesting.advice.passage import Limit, Load, passes
from nesting.base.faults import FaultsFound
from nesting.base.measure import LB_KG, MM
from nesting.base.stop import Stop
from nesting.build import Supply
from nesting.crates.cases.consignment import Grouping
from nesting.crates.model import Size
from nesting.crates.sketch import Sketch
from nesting.crates.traits import Refused, RulesClash
from nesting.cutting.sheets import Sheet
from nesting.cutting.yardstick import Yard
from nesting.shop.goods import Good
from nesting.shop.needs import CUT, kerf_of, unfit
from pricing.money import cents, half_up
from pricing.quoting.bases import reckon
from pricing.quoting.charging import Charging
from pricing.quoting.ladder import climb
from pricing.quoting.loads import piece_of
from pricing.quoting.offers import Handed
from pricing.quoting.particulars import Particulars
from pricing.quoting.plans import plans_of
from pricing.quoting.quote import Quote
from pricing.quoting.shipments import Carriers, end_of, quotation_holds
from pricing.quoting.surcharges import all_charges, liftgate_refusals
from pricing.quoting.troubles import troubles
from pricing.studio.destinations import Destination
from pricing.studio.freight_rules import shipment_refusals
from pricing.studio.freight_ways import Way
from pricing.studio.office import Office
from pricing.studio.rates import FreightProfile, LabourRules, PriceRules

UNIT: Final = 1000
"""Parts of a cent that prices of one are kept in."""
_ME: Final = "C"
"""What the crate that is judged is called before carriers."""
_DIRECT: Final = Decimal(1_000_000)
_AWKWARD: Final = 10_000
"""Cents by which a crate counts dearer that does not suit its place for its weight: it goes there, and is told."""
_TROUBLE: Final = 10**12
"""What outweighs any money: a total that lacks something, or a crate that fails, is no saving."""
_BENCH: Final = ("hole", "screw", "staple", "glue_run", "bolt", "fitting", "assembly", "seal")
_PACKING: Final = ("wrap", "mounting", "strip", "label", "record", "hand_over")


@dataclass(frozen=True)
class SketchPricer:
    """Prices what sketches say: all but sheets and sticks that are laid out together; see :meth:`__call__`.

    Attributes
    ----------
    office : Office
        Prices, rates, carriers and places.
    on : date or None
        Day by which carriers' quotations hold.
    laid : frozenset of str
        Goods whose sheets and sticks are costed elsewhere; parts of all others are charged by area here.
    """

    office: Office
    on: date | None = None
    laid: frozenset[str] = frozenset()
    _freight: dict[tuple[Size, Size, int, str, bool], int | None] = field(
        default_factory=dict, repr=False, compare=False
    )

    def __call__(self, sketch: Sketch, destination: str | None, /) -> int | None:
        """Return the cost of a crate in cents, but for what is laid out; None where no carrier or door takes it.

        Parameters
        ----------
        sketch : Sketch
            What the design takes.
        destination : str or None
            Where the crate goes; None where it rides in a case, and so pays no way.
        """
        freight: int | None = 0
        if destination is not None:
            through = sketch.carried or sketch.outside
            key = (sketch.outside, through, round(sketch.gross_g, -1), destination, self._wooden(sketch))
            if key not in self._freight:
                self._freight[key] = self._carried(*key)
            freight = self._freight[key]
        if freight is None:
            return None
        bill = sketch.bill
        bought = sum(self._each.get(good, 0) * count for good, count in bill.each.items())
        work = sum(self._minutes.get(name, 0) * count for name, count in bill.work.items())
        work += self._minutes["hand_over"] if destination is not None else 0
        areas = sum(self._areas.get(good, 0) * area for good, area in bill.areas.items()) // _M2
        for part in sketch.parts:
            if part.good not in self.laid:
                areas += self._areas.get(part.good, 0) * part.length * part.width * part.count // _M2
        lengths = sum(
            self._each.get(stick.good, 0) * stick.length * stick.count // MM
            for stick in sketch.sticks
            if stick.good not in self.laid
        )
        return (bought + work + areas + lengths) // UNIT + freight

    @cached_property
    def _prices(self) -> Mapping[str, Decimal]:
        return {row.stock: row.price for row in self.office.book.rows}

    @cached_property
    def _charging(self) -> Charging:
        return Charging.of(self.office.rates)

    @cached_property
    def _areas(self) -> Mapping[str, int]:
        """Price of a square metre of each sheet and roll good by its cheapest size, with waste."""
        waste = {"sheet": self._charging.sheet_waste, "roll": self._charging.waste}
        found = {}
        for good in self.office.shop.goods:
            sizes = [
                (self._prices[size.stock], size.length * size.width)
                for size in good.sizes
                if good.form in waste and size.stock in self._prices
            ]
            if sizes:
                factor = 1 + waste[good.form]
                found[good.good] = min(_whole(price * _M2 / area * factor) for price, area in sizes)
        return found

    @cached_property
    def _each(self) -> Mapping[str, int]:
        """Price of a piece, a gram, or a millimetre of what is bought so, with waste."""
        found = {}
        for good in self.office.shop.goods:
            prices = [each for size in good.sizes if (each := self._one(good, size.stock)) is not None]
            if prices:
                found[good.good] = min(prices)
        return found

    def _one(self, good: Good, stock: str) -> int | None:
        """Return the price of one of a stock, with waste; None of sheets, and where there is none."""
        size = next(each for each in good.sizes if each.stock == stock)
        price = self._prices.get(stock)
        if price is None:
            return None
        if good.form == "each":
            return _whole(price / size.holds * (1 + self._charging.waste))
        if good.form == "roll":
            return _whole(price * MM / size.length * (1 + self._charging.waste))
        if good.form == "stick":
            return _whole(price * MM / size.length * (1 + self._charging.sheet_waste))
        return None

    @cached_property
    def _minutes(self) -> Mapping[str, int]:
        """Price of one of each operation; of a part that is sawn, the cuts that take it off a sheet or stick."""
        return minute_costs(self.office.rates.labour, self._prices)

    @cached_property
    def _weight_of_freight(self) -> Fraction:
        """Direct cost that comes to as much of the total as one of freight."""
        price = self.office.rates.price
        return Fraction(1) if price.freight_marked_up else 1 / marked_up(price)

    @cached_property
    def _ways(self) -> tuple[Limit, ...]:
        return tuple(self.office.shop.passage.limits())

    def _wooden(self, sketch: Sketch) -> bool:
        """Whether the outside is of wood; what stiffens a carton lies inside it."""
        shop = self.office.shop
        if any(
            shop.material(shop.by_name[good].material).is_carton for good in sketch.bill.each if good in shop.by_name
        ):
            return False
        goods = {part.good for part in sketch.parts} | {stick.good for stick in sketch.sticks}
        return any(shop.material(shop.by_name[good].material).is_wood for good in goods if good in shop.by_name)

    # arguments: how large it is on the way and through a door, how heavy, where to, and what outside
    def _carried(self, outside: Size, through: Size, grams: int, destination: str, wooden: bool) -> int | None:
        """Return what a crate adds to the freight, weighed as direct cost; None where none takes it."""
        place = self.office.destinations.get(destination)
        load = Load(through.width, through.height, through.depth, grams / 1000)
        doors = (*self._ways, *((place.door,) if place.door is not None else ()))
        if not all(passes(load, door) for door in doors):
            return None
        if quotation_holds(place, self.on):
            return 0
        particulars = Particulars(self.office.rates.delivery, wooden=(_ME,) if wooden else ())
        home = self.office.shop.studio.country
        carriers = Carriers(self.office.rates, particulars=particulars, on=self.on, home=home)
        try:
            ways = carriers.ways(place)
        except ValueError:
            return 0
        heavy = place.known and Decimal(grams) / 1000 > self.office.rates.delivery.hands_lb * LB_KG
        awkward = _AWKWARD if heavy and not (place.dock or place.forklift) else 0
        handed = Handed((_ME,), "", outside.width, outside.depth, outside.height, Decimal(grams) / 1000)
        for way in ways:
            asked = _along(way, handed, place, carriers)
            if asked is not None:
                return round(100 * Fraction(asked) * self._weight_of_freight) + awkward
        return None


def _along(way: Way, handed: Handed, place: Destination, carriers: Carriers) -> Decimal | None:
    """Return what one crate adds to what the carriers of a way ask; None where one of them does not take it."""
    whole = Decimal(0)
    for leg, name in enumerate(way, start=1):
        profile = carriers.rates.profile(name)
        if carriers.refused(way, leg, place):
            return None
        asked = _more(handed, end_of(way, leg, place, profile), profile, carriers.particulars)
        if asked is None:
            return None
        whole += asked
    return whole


def _more(handed: Handed, place: Destination, profile: FreightProfile, particulars: Particulars) -> Decimal | None:
    """Return what a carrier asks for one crate more, without what it asks for a shipment once."""
    if profile.kind in ("van", "fixed", "collect"):
        each = replace(profile, kind="collect", amount=Decimal(0))
    elif profile.kind == "parcel":
        each = replace(profile, minimum=Decimal(0))
    else:
        each = replace(profile, base=Decimal(0), minimum=Decimal(0), liftgate=Decimal(0), residential=Decimal(0),
                       limited=Decimal(0), inside=Decimal(0))  # fmt: skip
    piece = piece_of(handed, profile)
    billed, _, transport, missing = reckon([piece], place, each)
    refused = (*shipment_refusals([piece], profile.caps), *missing, *liftgate_refusals([piece], place, profile, "inch"))
    if refused or not billed or (profile.zones and place.zone not in profile.zones):
        return None
    charges = all_charges(transport, [(handed, piece)], place, each, particulars)
    return sum((charge.amount for charge in charges), Decimal(0))


def marked_up(rules: PriceRules) -> Fraction:
    """Return what the steps of the ladder make of one of direct cost, least charge and rounding left aside."""
    plain = replace(rules, minimum=Decimal(0), round_to=Decimal("0.01"))
    return Fraction(climb(_DIRECT, plain, freight=Decimal(0), insurance=Decimal(0))[-1].running) / Fraction(_DIRECT)


def minute_costs(rules: LabourRules, prices: Mapping[str, Decimal]) -> dict[str, int]:
    """Return what one of each operation costs, in thousandths of a cent."""

    def paid(hour: str, minutes: Decimal) -> int:
        return _whole(prices.get(hour, Decimal(0)) * minutes / 60)

    found = {name: paid(rules.bench_hour, getattr(rules, name)) for name in _BENCH}
    found |= {name: paid(rules.packing_hour, getattr(rules, name)) for name in _PACKING}
    found["part"] = paid(rules.saw_hour, rules.rip + rules.crosscut) + paid(rules.bench_hour, rules.mark_out)
    return found


@dataclass(frozen=True, slots=True)
class Costed:
    """What a choice came to with quick cuts.

    Attributes
    ----------
    cost : int
        By :func:`whole_cost`.
    least : int
        The least that it can come to when its cuts are searched longer.
    """

    cost: int
    least: int


@dataclass
class WholeCost:
    """What a choice for a whole order comes to, by a real build and quote of it.

    Attributes
    ----------
    quoted : callable
        Builds and prices the order by a choice.
    stop : Stop or None
        Through which somebody may ask for the end: then nothing more is costed.
    costed : dict of Grouping to Costed
        What was costed so far, in that order.
    """

    quoted: Callable[[Grouping], Quote]
    stop: Stop | None = None
    costed: dict[Grouping, Costed] = field(default_factory=dict)

    def __call__(self, grouping: Grouping, /) -> int | None:
        """Return the total in cents, ahead of it whatever is held, lacking or failing; None where it is not built."""
        if self.stop is not None and self.stop.asked:
            return None
        try:
            made = self.quoted(grouping)
        except (FaultsFound, Refused, RulesClash):
            return None
        cost = whole_cost(made)
        open_by = sum(plan.cost - plan.bound for plan in plans_of(made.build).values())
        self.costed[grouping] = Costed(cost, cost - ceil(open_by * marked_up(made.rates.price)))
        return cost


def whole_cost(made: Quote) -> int:
    """Return what a quote comes to in cents, ahead of it whatever is held, lacking or failing."""
    wrong = (len(made.build.held_pieces) * 1000 + len(made.incomplete)) * 1000 + len(troubles(made))
    return wrong * _TROUBLE + cents(made.total)


_M2: Final = (1000 * MM) ** 2


def _whole(price: Decimal) -> int:
    """Return a price in thousandths of a cent, rounded down."""
    return int(price * 100 * UNIT)


def yard_of(office: Office, supply: Supply) -> Yard:
    """Return what sheets and sticks cost a studio, with the time to bring each sheet to the saw.

    Goods that are charged by the area of their parts are left to :class:`SketchPricer`.
    """
    shop, charging = office.shop, Charging.of(office.rates)
    rules = office.rates.labour
    hour = next((row.price for row in office.book.rows if row.stock == rules.saw_hour), Decimal(0))
    brought = cents(half_up(Fraction(hour) * Fraction(rules.load) / 60))
    opened = supply.opened()
    sheets = {
        good: tuple(replace(each, cost=each.cost + brought, breaks=_dearer(each, brought)) for each in stock)
        for good, stock in opened.sheets.items()
        if charging.rule_of(good) != "area"
    }
    sticks = {good: stock for good, stock in opened.sticks.items() if charging.rule_of(good) != "area"}
    back = int(1000 * office.rates.price.offcut_value) if charging.rule == "used" else 0
    saw = shop.saw
    # What nobody said the cutting of is refused where a crate is made of it, with all else that it lacks.
    said = [good for good in map(shop.good, sheets) if not unfit(good.good, shop.material(good.material), CUT)]
    kerfs = {good.good: kerf_of(shop, good) for good in said}
    return Yard(sheets, sticks, kerfs, saw.stick_kerf, (saw.offcut_length, saw.offcut_width), back)


def _dearer(sheet: Sheet, by: int) -> tuple[tuple[int, int], ...]:
    return tuple((start, each + by) for start, each in sheet.breaks)
