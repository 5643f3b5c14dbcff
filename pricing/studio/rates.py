# ruff: noqa: RUF009 - rule() makes a dataclass field, which is what a default should be
"""Rates and profiles: how work, risk, profit, tax and freight are reckoned. Amounts are in one stated currency.

Each group is a frozen dataclass of documented rules, as the shop file's groups are. The built-in values are
``pricing/studio/rates.toml``; freight profiles exist only there, since every figure in them is an invented or dated
example. The default of a rule here is what it meant before there was such a rule: nothing charged, no limit, as bought.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Final, Literal, get_args

from nesting.base.measure import INCH, MM, MeasureError, UnitSystem, parse_length
from nesting.base.rules import COMMON_PRACTICE, Checked, check_rules, rule
from pricing.money import check_currency
from pricing.studio.calendar_rules import CalendarRules
from pricing.studio.consignment_rules import ConsignmentRules
from pricing.studio.freight_rules import Caps
from pricing.studio.freight_ways import ways_of
from pricing.studio.offer_rules import Exchange, OfferRules
from pricing.studio.workdays import Workdays

Charge = Literal["bought", "used", "area"]
ProfitKind = Literal["markup", "margin"]
RoundWay = Literal["nearest", "up"]
Payer = Literal["list price", "buyer", "artist", "gallery"]
FreightKind = Literal["collect", "parcel", "pallet", "air", "van", "handler", "fixed", "road", "sea"]
FreightItem = Literal["density", "pictures"]
NoStack = Literal["none", "strapped", "all"]
Handling = Literal["dearest", "all"]

FORM: Final = 2
"""Form of a rates file today. What a file of an older form leaves out is as it was built in then."""
ZERO: Final = Decimal(0)
ONE: Final = Decimal(1)
_OURS: Final = "our guess; time your own work and enter it"
_GUESS: Final = "our guess; count your own"
_LB_MOST: Final = Decimal(100_000)
_FACTOR_MOST: Final = 100


def _minutes(default: str, doc: str) -> Decimal:
    """Make a rule for the minutes that one operation takes."""
    return rule(Decimal(default), unit="minutes", low=ZERO, high=Decimal(480), doc=doc, source=_OURS)


def _ratio(default: str, doc: str, high: str = "5", source: str = "shop rule") -> Decimal:
    """Make a rule for a rate: 0.25 is 25 %."""
    return rule(Decimal(default), unit="ratio", low=ZERO, high=Decimal(high), doc=doc, source=source)


def _money(default: str, doc: str, high: str = "1000000", source: str = "shop rule") -> Decimal:
    """Make a rule for an amount in the currency of the rates."""
    return rule(Decimal(default), unit="money", low=ZERO, high=Decimal(high), doc=doc, source=source)


@dataclass(frozen=True, slots=True)
class LabourRules(Checked):
    """Minutes for each operation, and which hour of the price book pays for it."""

    load: Decimal = _minutes("3", "Fetch a sheet, square it on the saw, clear away.")
    setup: Decimal = _minutes("1", "Set the fence to a new width or length and check it.")
    rip: Decimal = _minutes("0.75", "One cut along a sheet.")
    crosscut: Decimal = _minutes("0.5", "One cut across a sheet.")
    track_cut: Decimal = _minutes(
        "0",
        "One cut with the track saw: mark, clamp the rail, cut; 0: paid as a rip or crosscut, its rail as a set-up.",
    )
    carry: Decimal = _minutes("0", "Carry an armful of panels from one tool to the next.")
    turn: Decimal = _minutes("0", "Turn a panel by a quarter before its next cut at the table saw.")
    stop_setup: Decimal = _minutes("0", "Set the stop of the chop saw to a new length; 0: paid as a set-up of a fence.")
    chop_cut: Decimal = _minutes("0", "One pass of the chop saw through strips of a sheet; 0: paid as a crosscut.")
    knife_cut: Decimal = _minutes(
        "0",
        "One cut of foam or board by knife or band, measured and marked; 0: paid as a rip or crosscut with set-ups.",
    )
    bevel_setup: Decimal = _minutes(
        "0", "Tilt the blade for one width of bevelled blanks, try it on scrap, set it back; 0: no bevel is paid."
    )
    stick_cut: Decimal = _minutes("0.75", "One cut of lumber to length, through all that lie in the stack.")
    strip: Decimal = _minutes("0.75", "Measure and cut off one strip of paper, film or foam.")
    hole: Decimal = _minutes("0.25", "Mark and drill one hole with its pilot.")
    screw: Decimal = _minutes("0.2", "Drive one screw.")
    staple: Decimal = _minutes("0.05", "Drive one staple.")
    bolt: Decimal = _minutes("1.5", "Drill for one bolt, bore for its nut where that is sunk, and draw it tight.")
    fitting: Decimal = _minutes("1", "Put one handle, strap or bag of silica gel in its place.")
    glue_run: Decimal = _minutes("1.5", "Glue one edge or strip and set it.")
    assembly: Decimal = _minutes("12", "Bring the members of one frame, face or case together square.")
    wrap: Decimal = _minutes("12", "Wrap one piece in one kind of layer.")
    mounting: Decimal = _minutes("15", "Screw one piece into its crate, two people counted.")
    mark_out: Decimal = _minutes("0", "Label one part that comes off the saw and mark on it what is joined to it.")
    seal: Decimal = _minutes("0", "Lay the gasket round one opening, its corners closed, and seal what is inside it.")
    label: Decimal = _minutes("0", "Put one handling mark or label on a side of a crate.")
    record: Decimal = _minutes("0", "Photograph one piece and write its condition report, before it is packed.")
    yard: Decimal = _minutes("0", "This order's part of a trip to the yard, once; none where nothing is bought.")
    hand_over: Decimal = _minutes("0", "Bring one crate to the carrier, load it, have its papers signed.")
    saw_hour: str = rule("hour saw", unit="word", doc="Hour that pays for the yard, loading, set-ups and cuts.")
    bench_hour: str = rule(
        "hour bench", unit="word", doc="Hour that pays for marking out, holes, screws, staples, glue and assembly."
    )
    packing_hour: str = rule(
        "hour packing",
        unit="word",
        doc="Hour that pays for strips, papers, wrapping, mounting, marks and handing over.",
    )

    @property
    def hours(self) -> tuple[str, ...]:
        """Every kind of hour that needs a price, each once."""
        return tuple(dict.fromkeys((self.saw_hour, self.bench_hour, self.packing_hour)))


@dataclass(frozen=True, slots=True)
class PriceRules(Checked):
    """From cost to price, in this order: direct, contingency, overhead, markup, discount, minimum, rounding, tax."""

    charge: Charge = rule(
        "bought",
        unit="word",
        low=get_args(Charge),
        doc="What the quote charges: bought, all that must be fetched; used, sheets and sticks less the value of kept "
        "offcuts, all else by use and waste; area, sheets and sticks too by their parts and waste.",
    )
    waste: Decimal = _ratio(
        "0",
        "Added to what is used off rolls, out of boxes and by the piece for ends and spoils; never more than was had.",
        high="1",
        source=COMMON_PRACTICE,
    )
    sheet_waste: Decimal = _ratio(
        "0",
        "The same, added to the parts of a sheet or stick that is charged by area.",
        high="1",
        source=COMMON_PRACTICE,
    )
    offcut_value: Decimal = _ratio(
        "0.5",
        "Part of its cost at which a kept offcut goes to the rack; the job bears the rest, since not all are used.",
        high="1",
        source=COMMON_PRACTICE,
    )
    contingency: Decimal = _ratio(
        "0.05", "Added to direct cost for work done twice; material that is spoiled is waste.", source=COMMON_PRACTICE
    )
    overhead: Decimal = _ratio(
        "0.10",
        "Added to direct cost and contingency for rent, tools and office, as far as the hours do not hold them.",
        source=COMMON_PRACTICE,
    )
    profit: ProfitKind = rule(
        "markup",
        unit="word",
        low=get_args(ProfitKind),
        doc="markup is a part of cost: price = cost x (1 + m); margin is a part of price: price = cost / (1 - m).",
    )
    profit_rate: Decimal = _ratio("0.25", "The markup or margin m; a markup of 25 % is a margin of 20 %.")
    discount: Decimal = _ratio("0", "Taken off after profit.", high="1")
    minimum: Decimal = _money(
        "75.00", "No job is charged less than this, before tax and freight.", source=COMMON_PRACTICE
    )
    round_to: Decimal = rule(
        Decimal("1.00"),
        unit="money",
        low=Decimal("0.01"),
        high=Decimal(1000),
        doc="The price is rounded to a multiple of this.",
    )
    round_way: RoundWay = rule(
        "nearest", unit="word", low=get_args(RoundWay), doc="To the nearest (halves up), or always up."
    )
    freight_marked_up: bool = rule(
        default=False,
        unit="yes or no",
        doc="yes: freight and insurance join the direct cost; no: they pass through unmarked.",
    )
    stale_days: int = rule(90, unit="days", low=1, high=3650, doc="A price older than this is flagged in the quote.")
    valid_days: int = rule(30, unit="days", low=1, high=365, doc="How long a quote holds.")

    def __post_init__(self) -> None:
        check_rules(self)
        if self.profit == "margin" and self.profit_rate >= 1:
            raise ValueError(f"profit_rate: found {self.profit_rate}; accepted: a margin less than 1 (100 %)")


@dataclass(frozen=True, slots=True)
class TaxRules(Checked):
    """Sales tax on the quote itself. Ask whoever does the books what applies where you are."""

    name: str = rule("Sales tax", unit="word", doc="What it is called on the quote.")
    rate: Decimal = _ratio("0", "Of the price.", high="1")
    on_freight: bool = rule(default=False, unit="yes or no", doc="Whether freight that passes through is taxed too.")
    on_insurance: bool = rule(default=False, unit="yes or no", doc="The same for insurance.")
    by_destination: bool = rule(
        default=False,
        unit="yes or no",
        doc="Value added tax by where crates go, where the place says nothing: none on export, nor to a business of "
        "another member state with its VAT number.",
        source="directive 2006/112/EC, art. 138, 146 and 196",
    )
    abroad: str = rule(
        "",
        unit="word",
        doc="Rates for consumers in other member states, such as FR 0.20, AT 0.20; blank: as at home.",
    )

    def __post_init__(self) -> None:
        check_rules(self)
        _ = self.rates_abroad

    @property
    def rates_abroad(self) -> Mapping[str, Decimal]:
        """Rates by country."""
        found: dict[str, Decimal] = {}
        for each in filter(None, (part.strip() for part in self.abroad.split(","))):
            if not re.fullmatch(r"[A-Z]{2} 0?\.[0-9]{1,4}", each):
                raise ValueError(
                    f"abroad: found {each}; accepted: countries with their rates, such as FR 0.20, AT 0.20"
                )
            found[each[:2]] = Decimal(each[3:])
        return found


@dataclass(frozen=True, slots=True)
class SaleRules(Checked):
    """From the artist's price to the list price at the gallery."""

    commission: Decimal = rule(
        Decimal("0.50"),
        unit="ratio",
        low=ZERO,
        high=Decimal("0.95"),
        doc="The gallery's part of the list price, tax not counted.",
    )
    shipping_paid_by: Payer = rule(
        "list price",
        unit="word",
        low=get_args(Payer),
        doc="Who bears packing and shipping S: the list price (P + S / (1 - c)), the buyer, the artist, the gallery.",
    )
    art_tax: Decimal = _ratio("0", "Sales tax on the artwork; it bears no commission.", high="1")


@dataclass(frozen=True, slots=True)
class InsuranceRules(Checked):
    """Insurance in transit, by declared value."""

    rate: Decimal = _ratio("0.006", "Premium as a part of declared value; invented example.", high="1")
    minimum: Decimal = _money("0", "Least premium of a consignment that declares anything.")
    as_of: date = rule(date(2026, 10, 1), unit="day", doc="Day of these figures.")


@dataclass(frozen=True, slots=True)
class DeliveryRules(Checked):
    """When a destination does not suit a crate."""

    hands_lb: Decimal = rule(
        Decimal(150),
        unit="lb",
        low=ZERO,
        high=_LB_MOST,
        doc="A heavier crate needs a dock, a forklift or a liftgate where it goes.",
        source="equipment above [[150 to 200 lb|68 to 91 kg]]; from memory, plausible only",
    )
    profile: str = rule("collect", unit="word", doc="Freight profile, or ways, where the destination names none.")
    home_dock: bool = rule(
        default=True, unit="yes or no", doc="Whether crates that come home are unloaded without a carrier's liftgate."
    )
    home_residential: bool = rule(
        default=False, unit="yes or no", doc="Whether carriers count the studio itself as a home."
    )
    freight_stale_days: int = rule(
        0, unit="days", low=0, high=3650, doc="Figures of freight older than this are told of; 0 is never."
    )
    pallets: str = rule(
        "", unit="word", doc="Goods that thin crates are strapped upright to, by name with commas; none where blank."
    )
    a_frames: str = rule("", unit="word", doc="The same for what is too large for a pallet, the smallest that does.")
    tilt_indicator: str = rule("", unit="word", doc="Good that shows whether a crate was tilted; none where blank.")
    shock_indicator: str = rule("", unit="word", doc="Good that shows whether a crate was dropped; none where blank.")


@dataclass(frozen=True, slots=True)
class ReuseRules(Checked):
    """Crates that come back or serve again, and what packing a work again takes."""

    carton_trips: int = rule(1, unit="count", low=1, high=100, doc="Trips that a carton serves.", source=_GUESS)
    closed_trips: int = rule(2, unit="count", low=1, high=100, doc="Trips that a closed crate serves.", source=_GUESS)
    battened_trips: int = rule(
        3, unit="count", low=1, high=100, doc="Trips that a battened crate serves.", source=_GUESS
    )
    travel_trips: int = rule(
        4, unit="count", low=1, high=100, doc="Trips that a travel frame and its case serve.", source=_GUESS
    )
    search_factor: Decimal = rule(
        Decimal("1.5"),
        unit="ratio",
        low=ONE,
        high=Decimal(10),
        doc="How many times as long packing again takes without instructions and spare screws.",
        source=_GUESS,
    )
    lids_lost: Decimal = _ratio("0.10", "Part of the opening faces that are spoiled or gone by then.", high="1")
    lid_minutes: Decimal = rule(
        Decimal(45), unit="minutes", low=ZERO, high=Decimal(480), doc="Making a new opening face at the gallery.",
        source=_GUESS,
    )  # fmt: skip
    spare_screws: Decimal = _ratio("0.25", "Spare screws sent along, as a part of those that open the crate.", high="1")
    kit_minutes: Decimal = rule(
        Decimal(10), unit="minutes", low=ZERO, high=Decimal(480), doc="Printing instructions and bagging spares.",
        source=_GUESS,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class FreightProfile(Checked):
    """One way to ship, with its figures and their day: what it takes from one place to another is one shipment."""

    name: str
    kind: FreightKind = rule(
        "fixed",
        unit="word",
        low=get_args(FreightKind),
        doc="collect, parcel, pallet, air, van, handler, fixed, road or sea.",
    )
    as_of: date = rule(date(2026, 10, 1), unit="day", doc="Day of these figures; every estimate shows it.")
    title: str = rule("", unit="word", doc="For people.")
    base: Decimal = _money("0", "Charge of a shipment (parcel: of each parcel) before weight or distance.")
    per_lb: Decimal = _money("0", "parcel: for each billed [[pound|kilogram]].")
    per_kg: Decimal = _money(
        "0", "air, road, sea, parcel by the kilogram: of what is billed; handler: of gross weight."
    )
    per_km: Decimal = _money("0", "van: for each kilometre driven.")
    per_piece: Decimal = _money("0", "handler: for each crate.")
    divisor: Decimal = rule(
        Decimal(139),
        unit="[[in3/lb or cm3/kg|cm3/kg]]",
        low=Decimal(50),
        high=Decimal(10_000),
        doc="Volume that counts as one [[pound (parcel by the pound, in3) or one kilogram (others, cm3)|kilogram]].",
    )
    metre_kg: Decimal = rule(
        ZERO, unit="kg", low=ZERO, high=Decimal(5000), doc="road: what a loading metre counts as at the least; 0: none."
    )
    trailer_wide: int = rule(
        2400 * MM,
        unit="length",
        low=1000 * MM,
        high=3000 * MM,
        doc="road: width of the trailer that such a metre is of.",
    )
    stack_most: int = rule(
        1,
        unit="count",
        low=1,
        high=4,
        doc="road: how many stand on each other and share their loading metres; 1: none.",
    )
    stack_high: int = rule(
        2600 * MM,
        unit="length",
        low=0,
        high=4000 * MM,
        doc="road: height under which they do; no_stack says on which nothing is put.",
        source="a curtain-sided trailer, from memory",
    )
    fuel: Decimal = _ratio("0", "Fuel surcharge on freight before extras.")
    minimum: Decimal = _money("0", "Least charge of a shipment before extras.")
    liftgate: Decimal = _money("0", "pallet: extra where the destination has neither dock nor forklift.")
    residential: Decimal = _money("0", "Extra where the destination is residential (parcel: for each parcel).")
    inside: Decimal = _money("0", "Extra where delivery goes inside.")
    there_and_back: bool = rule(default=True, unit="yes or no", doc="van: whether the way back is paid too.")
    part: Decimal = rule(ONE, unit="ratio", low=ZERO, high=ONE, doc="van: the part of a shared van that this job pays.")
    amount: Decimal = _money("0", "fixed: the quotation as typed.")
    longest: int = rule(0, unit="length", low=0, high=1000 * INCH, doc="Longest side taken; 0 is no limit.")
    length_girth: int = rule(
        0, unit="length", low=0, high=3000 * INCH, doc="parcel: longest length plus girth; 0 is no limit."
    )
    highest: int = rule(0, unit="length", low=0, high=1000 * INCH, doc="Highest piece taken, upright; 0 is no limit.")
    heaviest_lb: Decimal = rule(ZERO, unit="lb", low=ZERO, high=_LB_MOST, doc="Heaviest piece taken; 0 is no limit.")
    load_lb: Decimal = rule(ZERO, unit="lb", low=ZERO, high=_LB_MOST, doc="Heaviest shipment taken; 0 is no limit.")
    countries: str = rule("", unit="word", doc="Countries it goes to, such as US CA; empty goes anywhere.")
    goes_to: str = rule("", unit="word", doc="Where it ends if another carrier goes on from there; may be empty.")
    km: Decimal = rule(
        ZERO,
        unit="km",
        low=ZERO,
        high=Decimal(20_000),
        doc="van: its own way as one leg of several; 0 is the whole way to the destination.",
    )
    transit_days: int = rule(
        0,
        unit="days",
        low=0,
        high=365,
        doc="Fewest working days of the carrier on the way, pick-up day not counted.",
    )
    transit_days_most: int = rule(
        0, unit="days", low=0, high=365, doc="Most of them, by which dates are reckoned; 0 with 0 above is not known."
    )
    working_days: str = rule("Mon Tue Wed Thu Fri", unit="word", doc="Days of the week on which the carrier works.")
    closed: str = rule("", unit="word", doc="Days on which it does not, as 2026-12-25 2027-01-01.")
    item: FreightItem = rule(
        "density",
        unit="word",
        low=get_args(FreightItem),
        doc="pallet: what the class goes by: density alone, or the freight item of pictures with its classes.",
    )
    on_pallets: bool = rule(
        default=False,
        unit="yes or no",
        doc="Whether crates that only straps to a pallet or an A-frame keep upright are billed with it.",
    )
    no_stack: NoStack = rule(
        "none",
        unit="word",
        low=get_args(NoStack),
        doc="pallet, road: on which nothing is put, so that their volume counts up to the height that counts then, or "
        "their metres in full: none, strapped, all.",
    )
    no_stack_height: int = rule(
        84 * INCH, unit="length", low=0, high=1000 * INCH, doc="pallet: height up to which they count then."
    )
    cubic_ft3: Decimal = rule(
        ZERO, unit="ft3", low=ZERO, high=_LB_MOST, doc="pallet: cubic capacity rule beyond this volume; 0 is no rule."
    )
    cubic_lb_ft3: Decimal = rule(
        Decimal(6),
        unit="lb/ft3",
        low=ZERO,
        high=Decimal(100),
        doc="pallet: below this density the rule bills the volume at this density.",
    )
    linear_ft: Decimal = rule(
        ZERO, unit="ft", low=ZERO, high=Decimal(100), doc="pallet: linear feet rule beyond this; 0 is no rule."
    )
    linear_lb_ft3: Decimal = rule(
        Decimal("22.5"), unit="lb/ft3", low=ZERO, high=Decimal(100), doc="pallet: the rule counts below this density."
    )
    linear_lb_per_ft: Decimal = rule(
        Decimal(1250),
        unit="lb",
        low=ZERO,
        high=_LB_MOST,
        doc="pallet: weight that it bills for each linear foot.",
    )
    linear_turned: bool = rule(
        default=False, unit="yes or no", doc="pallet: whether the longer side goes across the trailer, not along it."
    )
    volume_over_ft3: Decimal = rule(
        ZERO, unit="ft3", low=ZERO, high=Decimal(1000), doc="parcel: volume counts only beyond this; 0: always."
    )
    over_lb: Decimal = rule(
        ZERO, unit="lb", low=ZERO, high=_LB_MOST, doc="Heavier pieces pay the extra for a heavy piece; 0: none."
    )
    over_lb_each: Decimal = _money("0", "Extra for each piece over that weight.")
    long_over: int = rule(
        0,
        unit="length",
        low=0,
        high=1000 * INCH,
        doc="Pieces with a longer longest side pay the extra for a long piece; 0: none.",
    )
    long_each: Decimal = _money("0", "Extra for each piece over that length.")
    second_over: int = rule(
        0,
        unit="length",
        low=0,
        high=1000 * INCH,
        doc="Pieces with a longer second side pay the extra for a second side; 0: none.",
    )
    second_each: Decimal = _money("0", "Extra for each piece over that second side.")
    girth_over: int = rule(
        0,
        unit="length",
        low=0,
        high=3000 * INCH,
        doc="Pieces over this length plus girth pay the extra for it; 0: none.",
    )
    girth_each: Decimal = _money("0", "Extra for each piece over that length plus girth.")
    wooden_each: Decimal = _money("0", "Extra for each piece packed in wood.")
    handling: Handling = rule(
        "dearest",
        unit="word",
        low=get_args(Handling),
        doc="Whether a piece bears the dearest of these five extras, or all of them.",
    )
    limited: Decimal = _money("0", "Extra where access to the destination is limited; none where it is residential.")
    liftgate_wide: int = rule(
        0, unit="length", low=0, high=200 * INCH, doc="Width of the liftgate's platform; 0 where unknown."
    )
    liftgate_deep: int = rule(
        0, unit="length", low=0, high=200 * INCH, doc="Depth of the liftgate's platform; 0 where unknown."
    )
    liftgate_lb: Decimal = rule(ZERO, unit="lb", low=ZERO, high=_LB_MOST, doc="What it lifts; 0 where unknown.")
    inside_100lb: Decimal = _money("0", "Inside delivery of [[100 lb|45.4 kg]]; `inside` is the least then.")
    inside_most: Decimal = _money("0", "Most that inside delivery costs; 0 is no limit.")
    over_length_each: bool = rule(
        default=False, unit="yes or no", doc="Whether over-length is charged for each piece, or once for the longest."
    )
    lineal_per_ft: Decimal = _money(
        "0", "Least charge of a [[foot|metre]] of all lengths where a long piece is light; 0: none."
    )
    lineal_over: int = rule(
        96 * INCH, unit="length", low=0, high=1000 * INCH, doc="It counts where a piece is longer than this."
    )
    lineal_under_lb: Decimal = rule(
        Decimal(500), unit="lb", low=ZERO, high=_LB_MOST, doc="And where the shipment weighs less than this."
    )
    declared_most: Decimal = _money("0", "Highest value that may be declared for a piece; 0 is no limit.")
    released_per_lb: Decimal = _money(
        "0", "What the carrier answers for at the most, by the [[pound|kilogram]]; 0 is not stated."
    )
    released_per_kg: Decimal = _money("0", "The same by the kilogram.")
    released_per_piece: Decimal = _money("0", "The same by the piece; the highest of the three counts.")
    released_sdr_per_kg: Decimal = _money(
        "0", "The same in special drawing rights by the kilogram, at the rate of XDR."
    )
    released_sdr_per_piece: Decimal = _money("0", "The same by the piece; the highest counts.")
    list_over_per_lb: Decimal = _money(
        "0", "What declares more by the [[pound|kilogram]] must be listed in writing; 0 is no rule."
    )
    cover_step: Decimal = _money("0", "Value that one step of the carrier's own excess cover covers; 0 is none.")
    cover_each: Decimal = _money("0", "What each started step costs; it is told, not charged.")
    cover_most: Decimal = _money("0", "Most that it covers; 0 is no limit.")
    tilt_each: int = rule(0, unit="count", low=0, high=20, doc="Tilt indicators on each crate.")
    shock_each: int = rule(0, unit="count", low=0, high=20, doc="Shock indicators on each crate.")
    per_100lb: Mapping[str, Decimal] = field(default_factory=dict, hash=False)
    over_length: Mapping[str, Decimal] = field(default_factory=dict, hash=False)
    zones: Mapping[str, Decimal] = field(default_factory=dict, hash=False)
    sizes: UnitSystem = "inch"
    """In which units its file states its limits, and whole ones of which its tariff goes by: inches or cm."""

    def __post_init__(self) -> None:
        if not self.name:
            raise ValueError("a freight profile needs a name")
        check_rules(self)
        for length, amount in self.over_length.items():
            try:
                parse_length(length)
            except MeasureError as error:
                raise ValueError(f"over_length: found {error.found}; accepted: {error.accepted}") from error
            if not (amount.is_finite() and 0 <= amount <= _LB_MOST):
                raise ValueError(f"over_length.{length}: found {amount}; accepted: 0 to {_LB_MOST}")
        for name, amount in self.per_100lb.items():
            if not (amount.is_finite() and 0 <= amount <= _LB_MOST):
                raise ValueError(f"per_100lb.{name}: found {amount}; accepted: 0 to {_LB_MOST}")
        for name, factor in self.zones.items():
            if not (factor.is_finite() and 0 <= factor <= _FACTOR_MOST):
                raise ValueError(f"zones.{name}: found {factor}; accepted: 0 to {_FACTOR_MOST}")
        self._check_where_and_when()

    def _check_where_and_when(self) -> None:
        """Refuse countries and days that cannot be."""
        for country in self.reached:
            if not re.fullmatch(r"[A-Z]{2}", country):
                raise ValueError(f"countries: found {country}; accepted: two capital letters each, such as US CA")
        if 0 < self.transit_days_most < self.transit_days:
            found = f"found {self.transit_days_most}; accepted: at least the {self.transit_days} of transit_days, or 0"
            raise ValueError(f"transit_days_most: {found}")
        _ = self.workdays

    @property
    def caps(self) -> Caps:
        """What it takes at the most."""
        unit = 10 * MM if self.sizes == "metric" else INCH
        return Caps(self.longest, self.highest, self.length_girth, self.heaviest_lb, self.load_lb, unit)

    @property
    def reached(self) -> tuple[str, ...]:
        """Countries that it goes to; empty where it goes anywhere."""
        return tuple(self.countries.replace(",", " ").split())

    @property
    def days_most(self) -> int:
        """Most working days on the way, by which dates are reckoned."""
        return max(self.transit_days, self.transit_days_most)

    @property
    def workdays(self) -> Workdays:
        """Days on which the carrier works."""
        return Workdays.typed(self.working_days, self.closed)


@dataclass(frozen=True)
class Rates:
    """All rates of the front office.

    Attributes
    ----------
    currency : str
        Of every amount here; the price book must be in the same.
    purchase_tax : mapping of str to Decimal
        Rate that the studio pays on bought goods and does not get back, by the price book's tax category.
    lead_days : mapping of str to Decimal
        Working days from an order to its delivery, by supplier.
    freight : tuple of FreightProfile
        In the order of the file.
    by_good : mapping of str to str
        Rules of single goods, as in ``PriceRules.charge``, where that is used.
    source : str
        File it was read from.
    form : int
        Of that file: 1 is that of 0.1.0 and 0.2.0, over whose built-in rates it was read.
    currencies : tuple of Exchange
        What other currencies are worth, for what goes out.
    sizes : {"inch", "metric"}
        In which units the file states what it states, and over whose built-in rates it was read.
    """

    currency: str
    labour: LabourRules = field(default_factory=LabourRules)
    price: PriceRules = field(default_factory=PriceRules)
    tax: TaxRules = field(default_factory=TaxRules)
    sale: SaleRules = field(default_factory=SaleRules)
    insurance: InsuranceRules = field(default_factory=InsuranceRules)
    delivery: DeliveryRules = field(default_factory=DeliveryRules)
    calendar: CalendarRules = field(default_factory=CalendarRules)
    reuse: ReuseRules = field(default_factory=ReuseRules)
    offer: OfferRules = field(default_factory=OfferRules)
    purchase_tax: Mapping[str, Decimal] = field(default_factory=dict)
    lead_days: Mapping[str, Decimal] = field(default_factory=dict)
    freight: tuple[FreightProfile, ...] = ()
    by_good: Mapping[str, Charge] = field(default_factory=dict)
    source: str = ""
    form: int = 1
    currencies: tuple[Exchange, ...] = ()
    consignment: ConsignmentRules = field(default_factory=ConsignmentRules)
    sizes: UnitSystem = "inch"

    def __post_init__(self) -> None:
        check_currency(self.currency)
        names = [each.name for each in self.freight]
        for name in {name for name in names if names.count(name) > 1}:
            raise ValueError(f"found the freight profile {name} twice; accepted: each once")
        if self.freight:
            try:
                _ = ways_of(self.delivery.profile, names)
            except ValueError as error:
                raise ValueError(f"delivery.profile: {error}") from error

    def exchange(self, currency: str) -> Exchange | None:
        """Return what another currency is worth; None where nobody said, and for the studio's own."""
        return next((each for each in self.currencies if each.currency == currency != self.currency), None)

    def profile(self, name: str) -> FreightProfile:
        """Return the freight profile of that name; :class:`KeyError` says which there are."""
        for each in self.freight:
            if each.name == name:
                return each
        raise KeyError(f"no freight profile {name!r}; there are {', '.join(each.name for each in self.freight)}")
