from collections import Counter
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import product
from math import prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import FOOT, INCH
from nesting.build import Build
from nesting.cutting.rolls import RollPlan, RollRow
from nesting.cutting.sheets import Offcut, PartLeaf
from nesting.shop.goods import StockSize
from pricing.money import half_up
from pricing.quoting.takeoff import Taken, Takeoff, fewest_cost, take_off
from pricing.studio.pricebook import Price, PriceBook, purchase
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rack import OnShelf, Rack, RackOffcut
from tests.pricing.builds import build_of, builds, small_build


def row(takeoff: Takeoff, stock: str) -> Taken:
    """Return the row of a stock."""
    return next(each for each in takeoff.rows if each.stock == stock)


def test_bought_is_whole_and_used_leaves_out_what_is_kept() -> None:
    build = small_build()
    taken = take_off(build, default_price_book())
    layout = next(each for each in build.layouts if each.good == "ply-3/8")
    kept = sum(
        each.repeat * length * width
        for each in layout.sheets
        for _, _, length, width, leaf in each.pieces(layout.kerf)
        if isinstance(leaf, Offcut)
    )
    sheet = 96 * 48 * INCH * INCH
    count = sum(each.repeat for each in layout.sheets)
    ply = row(taken, "ply-3/8 4x8")
    assert ply.bought == ply.needed == count
    assert ply.used == half_up(count - Fraction(kept, sheet), Decimal("0.000001"))
    assert ply.used_amount == half_up(ply.used * ply.each)
    assert kept > 0


def test_an_offcut_kept_at_half_its_cost_leaves_the_job_the_other_half() -> None:
    build, book = small_build(), default_price_book()
    none, half, all_of_it = (take_off(build, book, offcut_value=Decimal(v)) for v in ("0", "0.5", "1"))
    for stock in ("ply-3/8 4x8", "ply-23/32 4x8"):
        nothing, some, most = (row(taken, stock).used for taken in (none, half, all_of_it))
        assert nothing == row(none, stock).needed
        assert abs(some - (nothing + most) / 2) <= Decimal("0.000001")


def test_screws_come_in_boxes_and_rolls_whole() -> None:
    taken = take_off(small_build(), default_price_book())
    screws = row(taken, "screw 8x2-1/2 box 100")
    assert [screws.needed, screws.used, screws.count] == [1, Decimal("0.72"), 72]
    glassine = row(taken, "glassine 48in x 100yd")
    assert glassine.bought == 1
    assert 0 < glassine.used < Decimal("0.1")


@given(builds())
@settings(max_examples=25)
def test_buying_never_costs_less_than_using_with_empty_rack_and_shelf(build: Build) -> None:
    taken = take_off(build, default_price_book())
    for each in taken.rows:
        assert each.used <= each.needed <= each.bought
        assert each.used_amount <= each.bought_amount
        assert sum(each.bearers.values()) == 1
    assert taken.used_amount <= taken.bought_amount


@given(builds())
@settings(max_examples=25)
def test_what_is_bought_costs_what_the_cutting_plans_say(build: Build) -> None:
    taken = take_off(build, default_price_book())
    spent: Counter[str] = Counter()
    for each in taken.rows:
        spent[each.good] += int(each.bought_amount * 100)
    for layout in build.layouts:
        assert spent[layout.good] == layout.spend
    for plan in build.stick_plans:
        assert spent[plan.good] == plan.spend
    for take in build.roll_plan.takes:
        assert spent[take.good] == take.cost


@given(builds())
@settings(max_examples=15)
def test_used_area_is_parts_and_waste(build: Build) -> None:
    """Computed apart from the takeoff: area of the sheets less area of the kept pieces."""
    for layout in build.layouts:
        area = {PartLeaf: 0, Offcut: 0}
        for each in layout.sheets:
            for *_, length, width, leaf in each.pieces(layout.kerf):
                if type(leaf) in area:
                    area[type(leaf)] += each.repeat * length * width
        used = sum(r.used for r in take_off(build, default_price_book()).rows if r.good == layout.good)
        sheet = 96 * 48 * INCH * INCH
        assert Decimal(area[PartLeaf]) / sheet <= used + Decimal("0.000001")
        assert used <= sum(each.repeat for each in layout.sheets) - Decimal(area[Offcut]) / sheet + Decimal("0.000001")


def test_rack_stock_is_taken_at_book_value_and_not_fetched() -> None:
    offcut = RackOffcut("R-1", "osb-7/16", 96 * INCH, 48 * INCH, Decimal("9.00"), 3)
    rack = Rack((offcut,), currency="USD")
    taken = take_off(small_build(rack), default_price_book(), rack)
    osb = [each for each in taken.rows if each.good == "osb-7/16"]
    assert [each.source for each in osb] == ["rack"]
    assert [osb[0].bought, osb[0].bought_amount] == [0, 0]
    assert osb[0].book_amount == 9 * osb[0].needed
    assert taken.book_amount == osb[0].book_amount
    assert osb[0].used_amount == half_up(osb[0].used * 9)


def test_a_tie_of_cost_favours_the_rack() -> None:
    price = default_price_book().price("osb-7/16 4x8").price
    rack = Rack((RackOffcut("R-1", "osb-7/16", 96 * INCH, 48 * INCH, price, 9),), currency="USD")
    taken = take_off(small_build(rack), default_price_book(), rack)
    assert {each.source for each in taken.rows if each.good == "osb-7/16"} == {"rack"}


def test_the_shelf_gives_first() -> None:
    shelf = Rack(shelf=(OnShelf("box", "screw 8x2-1/2", 40), OnShelf("glue", "wood-glue", 500)), currency="USD")
    taken = take_off(small_build(), default_price_book(), shelf)
    screws = row(taken, "screw 8x2-1/2 box 100")
    assert [screws.needed, screws.shelf, screws.used] == [1, Decimal("0.4"), Decimal("0.72")]
    glue = row(taken, "wood-glue 500g")
    assert [glue.bought, glue.bought_amount] == [0, 0]
    assert glue.used_amount == half_up(glue.used * glue.each) > 0


def test_an_open_roll_gives_what_fits_on_it_and_the_rest_is_bought() -> None:
    build = small_build()
    take = build.roll_plan.take("glassine")
    everything = Rack(shelf=(OnShelf("roll", "glassine", take.length, take.width),), currency="USD")
    assert row(take_off(build, default_price_book(), everything), "glassine 48in x 100yd").bought == 0
    longest = take.rows[0].length
    some = Rack(shelf=(OnShelf("roll", "glassine", longest, take.width),), currency="USD")
    taken = row(take_off(build, default_price_book(), some), "glassine 48in x 100yd")
    assert taken.bought == 1
    assert taken.shelf == half_up(Fraction(longest, 3600 * INCH), Decimal("0.000001"))
    too_short = Rack(shelf=(OnShelf("roll", "glassine", take.rows[-1].length - 1, take.width),), currency="USD")
    assert row(take_off(build, default_price_book(), too_short), "glassine 48in x 100yd").shelf == 0


def test_open_rolls_are_cut_another_way_where_that_saves_a_roll() -> None:
    """Rows of 5, 4 and 3 ft off rolls of 7 and 5 ft: the longest first strands the 3; 4 + 3 and 5 take none new."""
    build = small_build()
    old = build.roll_plan.take("glassine")
    rows = tuple(RollRow(feet * FOOT, (("x", INCH, feet * FOOT),), 1) for feet in (5, 4, 3))
    take = replace(old, rows=rows, length=12 * FOOT)
    build = replace(build, roll_plan=RollPlan((take,)))
    shelf = Rack(shelf=tuple(OnShelf(f"{f}", "glassine", f * FOOT, old.width) for f in (7, 5)), currency="USD")
    assert row(take_off(build, default_price_book(), shelf), "glassine 48in x 100yd").needed == 0


@given(builds(), st.sampled_from(["ply-3/8 4x8", "ply-23/32 4x8", "2x3 8ft", "2x3 10ft"]), st.integers(1, 3000))
@settings(max_examples=10)
def test_a_dearer_size_never_lowers_what_is_paid_even_when_cut_anew(build: Build, stock: str, more: int) -> None:
    book = default_price_book()
    rows = [
        replace(each, price=each.price + Decimal(more).scaleb(-2)) if each.stock == stock else each
        for each in book.rows
    ]
    dearer = replace(book, rows=tuple(rows))
    again = build_of(build.order, build.crates, book=dearer)
    before, after = take_off(build, book), take_off(again, dearer)
    unproven = {p.good for b in (build, again) for p in b.layouts if not p.proven}
    unproven |= {p.good for b in (build, again) for p in b.stick_plans if not p.proven}
    for good in build.shop.goods:
        if good.good not in unproven:
            paid = [sum(r.bought_amount for r in taken.rows if r.good == good.good) for taken in (before, after)]
            assert paid[0] <= paid[1]


def by_length(book: PriceBook) -> PriceBook:
    """Return the book with glassine cut to length."""
    rows = tuple(replace(each, by_length=True) if each.good == "glassine" else each for each in book.rows)
    return replace(book, rows=rows)


def test_a_roll_sold_by_length_costs_its_part() -> None:
    book = by_length(default_price_book())
    build = small_build(book=book)
    glassine = row(take_off(build, book), "glassine 48in x 100yd")
    exact = Fraction(build.roll_plan.take("glassine").length, 3600 * INCH)
    assert exact <= Fraction(glassine.needed) < exact + Fraction(1, 10_000)
    assert glassine.bought == glassine.needed
    assert glassine.bought_amount == half_up(glassine.needed * 96)
    assert glassine.used_amount <= glassine.bought_amount
    open_roll = Rack(shelf=(OnShelf("roll", "glassine", build.roll_plan.take("glassine").length, 48 * INCH),))
    assert row(take_off(build, book, open_roll), "glassine 48in x 100yd").bought_amount == 0


sizes = st.lists(st.tuples(st.integers(1, 60), st.integers(1, 2000)), min_size=1, max_size=3, unique_by=lambda s: s[0])


@given(sizes, st.integers(0, 150))
def test_boxes_cost_the_least_there_is(boxes: list[tuple[int, int]], wanted: int) -> None:
    """Against trying every number of every size."""
    stocks = [StockSize(f"box {holds}", holds=holds) for holds, _ in boxes]
    rows = tuple(
        Price(f"box {holds}", "x", "box", Decimal(cents).scaleb(-2), breaks=((3, Decimal(cents // 2).scaleb(-2)),))
        for holds, cents in boxes
    )
    book = PriceBook("USD", rows)
    counts = fewest_cost(wanted, stocks, book)
    assert sum(counts.get(size.stock, 0) * size.holds for size in stocks) >= wanted
    cost = sum(purchase(book.price(stock), n).amount for stock, n in counts.items())
    most = [-(-wanted // size.holds) + 3 for size in stocks]
    if prod(n + 1 for n in most) > 30_000:
        return
    least = min(
        sum((purchase(book.price(size.stock), k).amount for size, k in zip(stocks, tried, strict=True)), Decimal(0))
        for tried in product(*(range(n + 1) for n in most))
        if sum(k * size.holds for size, k in zip(stocks, tried, strict=True)) >= wanted
    )
    assert cost == least


def test_weight_of_lumber_goes_by_its_dressed_size() -> None:
    """Standards section 2, computed: a dressed 2x3 has 3.75/6 of its nominal volume; going by that errs 1.6 times."""
    sticks = row(take_off(small_build(), default_price_book()), "2x3 8ft")
    nominal = 470.0 * (2 * 3 * 96) * 0.0254**3
    assert sticks.kg_each == pytest.approx(nominal * 3.75 / 6)
