"""What designs are judged by: prices of sketches worked by hand, the yard, and whole choices by real quotes."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import INCH, LB_KG, MM
from nesting.base.search import QUICK, Search
from nesting.base.stop import Stop
from nesting.crates.cases.consignment import Grouping
from nesting.crates.judge import Bill
from nesting.crates.model import Size
from nesting.crates.sketch import Sketch
from nesting.cutting.parts import Part
from nesting.order import Artwork, Back, Order
from pricing.quoting.designing import UNIT, SketchPricer, WholeCost, marked_up, minute_costs, whole_cost, yard_of
from pricing.quoting.freight import offer
from pricing.quoting.quote import Quote
from pricing.quoting.supply import supply_of
from pricing.quoting.work import cheapest_grouping, choose, work
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from tests.pricing.builds import closed

ON = date(2027, 4, 1)
SIDE = Size(40 * INCH, 50 * INCH, 12 * INCH)


def office(**facts: object) -> Office:
    """Return a studio with one place, the facts as of a destination, and a wide door of its own."""
    place = Destination("Gallery", **facts)  # type: ignore[arg-type]  # plain keywords
    plain = Office(destinations=Destinations((place,)))
    ways = replace(plain.shop.passage, door_width=94 * INCH, door_height=108 * INCH)
    return replace(plain, shop=replace(plain.shop, passage=ways))


def sketch(outside: Size = SIDE, kg: float = 30.0, bill: Bill | None = None, *parts: Part) -> Sketch:
    return Sketch(outside, round(1000 * kg), parts, (), bill or Bill())


def test_the_ladder_marks_up_by_what_its_rates_multiply_to() -> None:
    price = Office().rates.price
    assert (price.contingency, price.overhead, price.profit, price.profit_rate) == (
        Decimal("0.03"), Decimal("0.10"), "markup", Decimal("0.25"),
    )  # fmt: skip
    assert marked_up(price) == Fraction("1.03") * Fraction("1.10") * Fraction("1.25")


def test_a_bill_costs_its_minutes_its_goods_and_its_foam_by_area() -> None:
    """20 screws from a box, drilled and driven, and one plank of foam, each with its part of waste."""
    studio = office(profile="collect")
    book, rules = studio.book, studio.rates.labour
    screw = studio.shop.good("screw 8x2-1/2")
    box = book.price(screw.sizes[0].stock).price / screw.sizes[0].holds
    hour = book.price(rules.bench_hour).price
    foam = studio.shop.good("pe-plank-2").sizes[0]
    plank = Part("pad", 10 * INCH, 8 * INCH, "pe-plank-2", 4)
    pricer = SketchPricer(studio, ON)
    bill = Bill(each={"screw 8x2-1/2": 20}, work={"hole": 20, "screw": 20})
    cents = 100 * (
        20 * box * Decimal("1.10")
        + 20 * (rules.hole + rules.screw) / 60 * hour
        + book.price(foam.stock).price * 320 * INCH**2 / (foam.length * foam.width) * Decimal("1.15")
    )
    made = pricer(sketch(SIDE, 30.0, bill, plank), None)
    assert made is not None
    assert abs(made - cents) <= 1
    assert pricer(sketch(SIDE, 30.0, bill), None) == SketchPricer(studio, ON, frozenset({"pe-plank-2"}))(
        sketch(SIDE, 30.0, bill, plank), None
    )


def test_a_part_costs_the_cuts_that_free_it() -> None:
    rules, book = Office().rates.labour, Office().book
    prices = {row.stock: row.price for row in book.rows}
    found = minute_costs(rules, prices)
    cuts = (rules.rip + rules.crosscut) / 60 * prices[rules.saw_hour]
    marked = rules.mark_out / 60 * prices[rules.bench_hour]
    assert abs(found["part"] - 100 * UNIT * (cuts + marked)) <= 2


@pytest.mark.parametrize(("profile", "once"), [("parcel", ()), ("pallet", ("base", "liftgate", "minimum"))])
def test_freight_is_what_a_carrier_asks_for_one_crate_more(profile: str, once: tuple[str, ...]) -> None:
    """What a parcel carrier asks, and of a pallet carrier what goes by weight, with its fuel."""
    studio = office(profile=profile, dock=True)
    size = Size(20 * INCH, 24 * INCH, 8 * INCH)
    crate = replace(closed("K1", "A-01", 20, 24), outside=size, net_kg=9.0, tare_kg=3.0)
    rules = studio.rates.profile(profile)
    if once:
        rules = replace(rules, base=Decimal(0), minimum=Decimal(0))
    asked = offer([crate], studio.destinations.get("Gallery"), rules)
    assert not asked.refused
    pricer = SketchPricer(studio, ON)
    of_crate = pricer(sketch(size, 12.0), "Gallery")
    plain = pricer(sketch(size, 12.0), None)
    assert of_crate is not None
    assert plain is not None
    handed = minute_costs(studio.rates.labour, {row.stock: row.price for row in studio.book.rows})["hand_over"] // UNIT
    wanted = 100 * Fraction(asked.amount) / marked_up(studio.rates.price)
    assert abs(of_crate - plain - handed - wanted) <= 2


def test_a_door_without_room_for_hands_takes_no_crate() -> None:
    narrow, roomy = (
        SketchPricer(office(profile="van", door_width=12 * INCH + more, door_height=60 * INCH), ON)
        for more in (INCH // 2 - 1, INCH // 2)
    )
    assert narrow(sketch(), "Gallery") is None
    assert roomy(sketch(), "Gallery") is not None
    assert narrow(sketch(), None) is not None, "what rides in a case passes no door by itself"


def test_outriggers_come_off_for_a_door() -> None:
    """A case 20 in deep on outriggers of 27 in passes a door of 26 in with half an inch for hands."""
    out, through = Size(40 * INCH, 50 * INCH, 27 * INCH), Size(40 * INCH, 50 * INCH, 20 * INCH)
    pricer = SketchPricer(office(profile="van", door_width=26 * INCH, door_height=60 * INCH), ON)
    assert pricer(sketch(out), "Gallery") is None
    assert pricer(replace(sketch(out), carried=through), "Gallery") is not None


def test_what_no_carrier_takes_has_no_cost_and_what_nobody_lifts_is_dearer() -> None:
    parcel = SketchPricer(office(profile="parcel"), ON)
    assert parcel(sketch(Size(90 * INCH, 80 * INCH, 20 * INCH), 120.0), "Gallery") is None
    studio = office(profile="van")
    light, heavy = (
        SketchPricer(studio, ON)(sketch(SIDE, float(studio.rates.delivery.hands_lb * LB_KG) + more), "Gallery")
        for more in (-1.0, 1.0)
    )
    assert light is not None
    assert heavy is not None
    assert heavy - light == 10_000


def test_the_yard_leaves_goods_that_are_charged_by_area_to_the_pricer() -> None:
    studio = office()
    yard = yard_of(studio, supply_of(studio))
    assert "pe-plank-2" not in yard.sheets
    rules = studio.rates.labour
    load = 100 * rules.load / 60 * studio.book.price(rules.saw_hour).price
    bought = supply_of(studio).sheets["ply-3/8"][0]
    assert abs(yard.sheets["ply-3/8"][0].cost - bought.cost - load) <= 1
    assert yard.back == 750
    bought_rules = replace(studio.rates, price=replace(studio.rates.price, charge="bought"))
    whole = yard_of(replace(studio, rates=bought_rules), supply_of(studio))
    assert "pe-plank-2" in whole.sheets
    assert whole.back == 0


def test_what_a_sheet_takes_to_bring_is_whole_cents_at_any_hour() -> None:
    """By hand: 47.47 an hour, 5 minutes a sheet, are 3.9558: 3.96."""
    studio = office()
    rows = [replace(row, price=Decimal("47.47")) if row.stock == "hour saw" else row for row in studio.book.rows]
    odd = replace(studio, book=replace(studio.book, rows=tuple(rows)),
                  rates=replace(studio.rates, labour=replace(studio.rates.labour, load=Decimal(5))))  # fmt: skip
    bought = supply_of(odd).sheets["ply-3/8"][0]
    assert yard_of(odd, supply_of(odd)).sheets["ply-3/8"][0].cost - bought.cost == 396


def frames(count: int, side: int = 40, method: str = "travel", **facts: object) -> Order:
    """Make an order of equal panels for one place."""
    one = Artwork(
        "A", side * INCH, side * INCH, 3 * INCH // 2, weight_kg=Decimal(9), support="birch panel", surface="paint",
        back=Back("solid"), method=method, destination="Gallery",
    )  # fmt: skip
    works = tuple(replace(one, piece=f"A-{n:02}", **facts) for n in range(1, count + 1))  # type: ignore[arg-type]
    return Order("frames", works, currency="USD")


def test_a_choice_is_no_dearer_than_what_the_rules_give() -> None:
    order, studio = frames(3), office(profile="pallet", dock=True)
    ruled = cheapest_grouping(order, studio)
    assert ruled is not None
    chosen = choose(order, studio, Search(memory={}), on=ON)
    assert chosen is not None
    assert chosen.tried > 1
    plain, made = (work(order, studio, on=ON, search=QUICK, design=design) for design in (ruled, chosen))
    assert made.total < plain.total
    assert made.build.grouping == chosen


def test_five_frames_that_must_pass_a_door_of_36_in_go_in_two_cases() -> None:
    """By hand: a door of 36 in is 34 in clear, 33-1/2 in with room for hands.

    A frame is 5-3/16 in deep, a spacer 1 in; before and behind them 2 in of foam on plywood of 23/32 in, boards of
    7/16 in, and skids that reach 1/8 in beyond. Five frames come to 36-1/2 in, four to 30-5/16 in.
    """
    order, wide = frames(5), office(profile="pallet", dock=True)
    assert wide.shop.passage != Office().shop.passage
    narrow = replace(wide, shop=Office().shop)
    assert narrow.shop.passage.door_width == 34 * INCH
    frame, aside = 83 * INCH // 16, 2 * (2 * INCH + 23 * INCH // 32 + 7 * INCH // 16 + INCH // 8)
    deep = {count: count * frame + (count - 1) * INCH + aside for count in (4, 5)}
    assert deep == {4: 485 * INCH // 16, 5: 73 * INCH // 2}
    assert deep[4] <= 34 * INCH - INCH // 2 < deep[5]
    for studio, most in ((wide, 5), (narrow, 4)):
        chosen = choose(order, studio, Search(memory={}), on=ON)
        made = work(order, studio, on=ON, search=QUICK, design=chosen)
        cases = [crate for crate in made.build.crates if crate.rides]
        assert sorted(len(case.rides) for case in cases) == ([5] if most == 5 else [1, 4])
        (full,) = [case for case in cases if len(case.rides) == most]
        assert full.carried.depth == deep[most]
        doors = [check for case in cases for check in case.checks if "door" in check.name]
        assert doors
        assert all(check.verdict == "ok" for check in doors)


def test_a_whole_choice_costs_its_total_and_trouble_outweighs_money() -> None:
    order, studio = frames(1, 12, "carton"), office(profile="parcel")
    asked: list[Grouping] = []

    def quoted(design: Grouping) -> Quote:
        asked.append(design)
        return work(order, studio, on=ON, search=QUICK, design=design)

    whole = WholeCost(quoted)
    cost = whole(Grouping(()))
    made = work(order, studio, on=ON, search=QUICK, design=Grouping(()))
    assert cost == whole_cost(made) == int(100 * made.total)
    assert whole.costed[Grouping(())].cost - whole.costed[Grouping(())].least <= 100 * sum(
        layout.cost - layout.bound for layout in made.build.layouts
    )
    far = replace(studio, destinations=Destinations((Destination("Gallery", profile="parcel", door_width=4 * INCH,
                                                                 door_height=4 * INCH),)))  # fmt: skip
    assert whole_cost(work(order, far, on=ON, search=QUICK, design=Grouping(()))) > 10**9

    def refuses(_: Grouping) -> Quote:
        raise FaultsFound([Fault("order", 2, "width", "x", "a length")])

    assert WholeCost(refuses)(Grouping(())) is None
    stop = Stop()
    stop.asked = True
    assert WholeCost(quoted, stop)(Grouping(())) is None
    assert len(asked) == 1


def test_an_order_with_faults_has_no_choice() -> None:
    """Its build tells them all."""
    order = frames(2, apart=("A-01",), together=("A-02",))
    assert choose(order, office(), QUICK) is None


def test_a_length_of_roll_costs_by_the_millimetre_and_by_area() -> None:
    studio = office(profile="collect")
    pricer = SketchPricer(studio, ON)
    roll = next(good for good in studio.shop.goods if good.form == "roll")
    size = roll.sizes[0]
    by_length = pricer(sketch(SIDE, 30.0, Bill(each={roll.good: size.length // MM})), None)
    by_area = pricer(sketch(SIDE, 30.0, Bill(areas={roll.good: size.length * size.width})), None)
    assert by_length is not None
    assert by_area is not None
    assert abs(by_length - by_area) <= by_area // 100
