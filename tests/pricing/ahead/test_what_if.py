"""Scenarios: read over what the studio says, each as good as an order of its own, the same in several processes."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.order import Back, Order
from nesting.shop.goods import StockSize
from nesting.shop.materials import Figure, Material
from nesting.shop.materials_built_in import overlaid
from pricing.ahead.what_if import Scenario, read_scenarios, run_scenarios, scenarios_from
from pricing.ahead.what_if.report import document, report
from pricing.output.job import read_both
from pricing.quoting.work import work
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from tests.pricing.ahead.test_methods import consignment

ON = date(2027, 4, 1)
SAMPLES = Path(__file__).parents[3] / "sample_orders"


@cache
def office() -> Office:
    place = Destination(
        "Harbour Gallery", "US", 72 * INCH, 96 * INCH, dock=True, km=Decimal("321.8688"), profile="pallet"
    )
    return Office(destinations=Destinations((place,)))


def read(text: str, order: Order | None = None, studio: Office | None = None) -> dict[str, Scenario]:
    found = scenarios_from(text.encode(), "s.toml", order or consignment(), studio or office())
    return {each.name: each for each in found}


def faults(text: str) -> list[str]:
    with pytest.raises(FaultsFound) as error:
        read(text)
    return [str(fault) for fault in error.value.faults]


def test_a_scenario_that_changes_nothing_is_the_order_as_it_is() -> None:
    (same,) = read('[scenario.same]\ntitle = "The same"').values()
    assert (same.title, same.order, same.office) == ("The same", consignment(), office())


def test_rules_and_rates_are_laid_over_the_studios_own() -> None:
    studio = replace(office(), rates=replace(office().rates, calendar=replace(office().rates.calendar, people=5)))
    made = read(
        "[scenario.a.rates.price]\ndiscount = 0.10\n[scenario.a.shop.method]\ncase_most = 1\nclosed_size = '40 in'",
        studio=studio,
    )["a"].office
    assert made.rates.price.discount == Decimal("0.10")
    assert made.rates.calendar.people == 5
    assert (made.shop.method.case_most, made.shop.method.closed_size) == (1, 40 * INCH)
    # all else stays: put back, the studio is as it was
    back = replace(
        made,
        rates=replace(made.rates, price=studio.rates.price),
        shop=replace(made.shop, method=studio.shop.method),
    )
    assert back == studio


def test_frames_of_another_size_are_made_smaller_by_what_the_studio_says_and_thicker_foam_is_that_thick() -> None:
    """How thick foam is would mean nothing where it is found by the shock; frames may be as much smaller as before."""
    text = "[scenario.a.shop]\nframe.larger_by = '8 in'\n[scenario.b.shop]\ncushion.thickness = '3 in'"
    own = replace(office(), shop=replace(office().shop, frame=replace(office().shop.frame, smaller_by=INCH)))
    for studio in (office(), own):
        made = read(text, studio=studio)
        frame = replace(studio.shop.frame, larger_by=8 * INCH)
        assert made["a"].office.shop == replace(studio.shop, frame=frame)
        thick = made["b"].office.shop
        assert (thick.cushion.thickness, thick.case.cushion) == (3 * INCH, "fixed")
        assert thick.frame == studio.shop.frame


def test_another_sheet_size_needs_no_more_than_the_size_and_its_price() -> None:
    text = """
    [[scenario.a.shop.good]]
    good = "ply-3/8"
    sizes = [{ stock = "ply-3/8 5x5", length = "60 in", width = "60 in" }]
    [scenario.a.prices]
    "ply-3/8 5x5" = 31.5
    """
    made = read(text)["a"].office
    old = office().shop.good("ply-3/8")
    new = made.shop.good("ply-3/8")
    assert [(size.stock, size.length, size.width) for size in new.sizes] == [("ply-3/8 5x5", 60 * INCH, 60 * INCH)]
    assert replace(new, sizes=old.sizes) == old
    row = made.book.price("ply-3/8 5x5")
    assert (row.good, row.form, row.price, row.breaks) == ("ply-3/8", "sheet", Decimal("31.50"), ())


def test_a_scenario_states_a_material_and_a_good_of_it() -> None:
    text = """
    [[scenario.a.shop.material]]
    material = "poplar plywood"
    source = "the maker (invented)"
    density = 430
    bending_along_psi = 700.0
    [[scenario.a.shop.good]]
    good = "ply-23/32"
    material = "poplar plywood"
    density = 0
    """
    made = read(text)["a"].office.shop
    assert made.good("ply-23/32").density == 430.0
    # Over what the studio states itself: its own figures stay where the scenario says nothing.
    own = Material("poplar plywood", gravity=Figure(0.38, "ours (invented)"))
    studio = replace(office(), shop=replace(office().shop, materials=overlaid([own])))
    found = read(text, studio=studio)["a"].office.shop.material("poplar plywood")
    assert found.gravity == own.gravity
    assert found.bending_along_psi == Figure(700.0, "the maker (invented)")
    assert faults("[scenario.a.shop]\nmaterial = 4") == [
        's.toml, scenario.a.shop, material: found "4"; accepted: an array of tables [[material]]'
    ]


def test_a_rule_may_name_the_studios_own_good() -> None:
    plain = office().shop
    ours = replace(plain.good("ply-23/32"), good="ours", sizes=(StockSize("ours 4x8", 96 * INCH, 48 * INCH),))
    shop = replace(plain, goods=(*plain.goods, ours), travel=replace(plain.travel, slat_good="ours"))
    made = read("[scenario.a.shop.saw]\nkerf = '3/32 in'", studio=replace(office(), shop=shop))["a"].office.shop
    assert (made.travel.slat_good, made.goods) == ("ours", shop.goods)


def test_rules_may_name_the_studios_own_goods_and_those_of_the_scenario() -> None:
    size = StockSize("our-ply 4x8", 96 * INCH, 48 * INCH)
    own = replace(office().shop.good("ply-3/8"), good="our-ply", sizes=(size,))
    shop = office().shop
    shop = replace(shop, goods=(*shop.goods, own), frame=replace(shop.frame, lid="our-ply"))
    text = """
    [scenario.a.shop.method]
    case_most = 1
    [scenario.b.shop.frame]
    lid = "their-ply"
    [[scenario.b.shop.good]]
    good = "their-ply"
    title = "Theirs"
    form = "sheet"
    material = "plywood"
    thickness = "3/8 in"
    sizes = [{ stock = "their-ply 5x5", length = "60 in", width = "60 in" }]
    """
    made = read(text, studio=replace(office(), shop=shop))
    assert made["a"].office.shop == replace(shop, method=replace(shop.method, case_most=1))
    assert made["b"].office.shop.frame.lid == "their-ply"
    assert made["b"].office.shop.goods[:-1] == shop.goods


def test_a_good_can_be_out_of_stock() -> None:
    made = read('[[scenario.a.shop.good]]\ngood = "osb-7/16"\nstocked = false')["a"].office
    assert "osb-7/16" not in [good.good for good in made.shop.goods]
    assert len(made.shop.goods) == len(office().shop.goods) - 1


def test_other_freight_is_a_profile_and_where_it_goes() -> None:
    text = """
    [scenario.a.rates.freight.two-vans]
    kind = "van"
    as_of = 2026-10-01
    base = 200
    per_km = 1.20
    [scenario.a.destinations."Harbour Gallery"]
    profile = "two-vans"
    inside = true
    """
    made = read(text)["a"].office
    place = made.destinations.get("Harbour Gallery")
    assert replace(place, profile="pallet", inside=False) == office().destinations.get("Harbour Gallery")
    assert (place.profile, place.inside) == ("two-vans", True)
    assert [p.name for p in made.rates.freight] == [*(p.name for p in office().rates.freight), "two-vans"]
    _, answer = run_scenarios(consignment(), office(), tuple(read(text).values()), on=ON, search=QUICK)
    quoted = answer.quote
    assert quoted is not None
    # 200.00 and 321.8688 km there and back at 1.20, by hand: 772.49
    assert quoted.shipments[0].chosen.amount == Decimal("972.49")


def test_pieces_are_left_out_changed_and_added_as_order_files_say_it() -> None:
    text = """
    [scenario.a.order]
    without = ["A-02"]
    [scenario.a.order.change.A-01]
    method = "battened"
    width = "51 1/2 in"
    set = "pair"
    weight = "14 kg"
    [[scenario.a.order.add]]
    piece = "C-01"
    width = 12
    height = 14
    depth = 1
    quantity = 2
    apart = "A-01"
    destination = "Harbour Gallery"
    """
    order = consignment()
    made = read(text)["a"].order
    assert [work.piece for work in made.artworks] == ["A-01", "B-01", "C-01"]
    first = made.artwork("A-01")
    assert (first.method, first.width, first.set_name) == ("battened", 103 * INCH // 2, "pair")
    assert first.weight_kg == 14
    kept = replace(first, method="auto", width=50 * INCH, set_name=None, weight_kg=order.artwork("A-01").weight_kg)
    assert kept == order.artwork("A-01")
    assert made.artwork("B-01") == order.artwork("B-01")
    added = made.artwork("C-01")
    assert (added.width, added.quantity, added.apart, added.destination) == (12 * INCH, 2, ("A-01",), "Harbour Gallery")


def test_changed_sizes_are_held_against_the_back_as_it_is() -> None:
    first, *rest = consignment().artworks
    cradle = replace(first, depth=2 * INCH, back=Back("cradle", INCH, 3 * INCH // 2, INCH // 4))
    order = replace(consignment(), artworks=(cradle, *rest))
    text = f"[scenario.a.order.change.{first.piece}]\n"
    with pytest.raises(FaultsFound, match=r"back: found .cradle.*; accepted: bars no deeper than the piece"):
        read(f'{text}depth = "1 in"', order)
    thinner = read(f'{text}depth = "1 in"\nback = "cradle 1 x 3/4"', order)["a"].order.artworks[0]
    assert (thinner.depth, thinner.back) == (INCH, Back("cradle", INCH, 3 * INCH // 4))
    assert read(f"{text}weight = 12", order)["a"].order.artworks[0].back == cradle.back


def test_a_piece_left_out_is_no_longer_wished_for() -> None:
    order = consignment()
    wished = replace(order, artworks=(replace(order.artworks[0], together=("A-02",)), *order.artworks[1:]))
    made = read('[scenario.a.order]\nwithout = ["A-02"]', wished)["a"].order
    assert made.artwork("A-01").together == ()


def test_every_fault_of_every_scenario_is_told_by_its_place() -> None:
    text = """
    other = 1
    [scenario.a]
    colour = "red"
    shop = 3
    [scenario.b.rates.price]
    discount = 2
    [scenario.b.shop.method]
    case_most = 99
    [scenario.b.prices]
    "no such stock" = 4
    "hour saw" = "much"
    [scenario.b.destinations."Harbour Gallery"]
    door = "1 in"
    [scenario.b.order.change.A-01]
    width = "wide"
    [scenario.c.order]
    without = ["Z-9"]
    [scenario.d.destinations."Harbour Gallery"]
    distance = "far"
    """
    told = "\n".join(faults(text))
    for words in (
        "s.toml, other",
        "scenario.a.colour",
        "scenario.a.shop",
        's.toml, scenario.b.rates, price.discount: found "2"',
        "scenario.b.shop, method.case_most",
        'scenario.b.prices, no such stock: found "no such stock"',
        'scenario.b.prices, hour saw: found "much"',
        'scenario.b.destinations, Harbour Gallery.door: found "door"',
        'scenario.b.order, A-01.width: found "wide"',
        'scenario.c.order, without: found "Z-9"',
        'scenario.d.destinations, Harbour Gallery.distance: found "far"',
    ):
        assert words in told


@pytest.mark.parametrize(
    "text", ["", "scenario = 3", "[scenario]\na = 3", "not toml", "[scenario.a.order]\nwithout = 3", "\ufffe"]
)
def test_what_is_no_file_of_scenarios_is_refused(text: str) -> None:
    assert faults(text)


def test_an_order_with_nothing_left_is_refused() -> None:
    assert "a row for each artwork" in faults('[scenario.a.order]\nwithout = ["A-01", "A-02", "B-01"]')[0]


def test_each_scenario_is_the_quote_that_its_own_order_gets_and_processes_change_nothing() -> None:
    thin = 'shop.frame.larger_by = "2 in"'  # no room for the liner: no crate that is screwed shut can be made
    told = read(
        f"""
        [scenario.a]
        order.without = ["A-02"]
        [scenario.b]
        {thin}
        order.change.A-01.method = "battened"
        [scenario.c]
        {thin}
        """
    )
    scenarios = tuple(told.values())
    alone = run_scenarios(consignment(), office(), scenarios, on=ON, search=QUICK)
    assert [answer.name for answer in alone] == ["as it is", "a", "b", "c"]
    assert alone[0].quote == work(consignment(), office(), on=ON, search=QUICK)
    assert alone[1].quote == work(told["a"].order, office(), on=ON, search=QUICK)
    assert alone[2].quote is None
    assert "less than the liner" in alone[2].refused[0]
    # What is asked by name and cannot be made refuses the order; what was left to the shop is told, and the rest goes.
    rest = alone[3].quote
    assert rest is not None
    assert [(each.piece, "less than the liner" in each.why[0]) for each in rest.build.unpacked] == [
        ("A-01", True), ("A-02", True),
    ]  # fmt: skip
    assert [crate.pieces for crate in rest.build.crates] == [("B-01#1", "B-01#2")]
    assert run_scenarios(consignment(), office(), scenarios, on=ON, search=QUICK, workers=2) == alone
    text = report(alone, "USD")
    now, then = alone[0].total, alone[1].total
    assert now is not None
    assert then is not None
    assert f"{then - now:+,.2f}" in text
    assert text.startswith("c: packed by nothing, and in no total: A-01, A-02: ")
    assert text.count("cannot be built") == 1
    assert rest.total < now
    assert f"{rest.total - now:+,.2f}" not in text, "it is another order's, and no saving"
    plain = document(alone, "USD")["scenarios"]
    assert [each.get("total") for each in plain] == [str(a.total) if a.total else None for a in alone]


def test_the_sample_file_fits_the_sample_order() -> None:
    order, studio = read_both(SAMPLES / "gallery_consignment.csv", None, None)
    found = read_scenarios(SAMPLES / "scenarios.toml", order, studio)
    assert [each.name for each in found] == ["long-sheets", "no-strand-board", "two-vans", "one-more", "paper-crated"]
    assert len(found[3].order.artworks) == len(order.artworks) + 1
    with pytest.raises(FaultsFound, match=r"none\.toml"):
        read_scenarios(SAMPLES / "none.toml", order, studio)


def test_a_scenario_whose_crate_fails_says_so() -> None:
    low = read("[scenario.low.shop.passage]\ndoor_height = '24 in'")["low"]
    made = run_scenarios(consignment(), office(), (low,), on=ON, search=QUICK)
    lines = report(made, "USD").splitlines()
    told = [index for index, line in enumerate(lines) if "passage, the studio's door: fails" in line]
    assert told
    assert min(told) > next(index for index, line in enumerate(lines) if line.startswith(made[1].title))
