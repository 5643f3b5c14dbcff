import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.build import Build
from nesting.cutting.sawing.cut_order import SawWork, saw_work
from nesting.cutting.sheets import Cut, Offcut, PartLeaf
from nesting.cutting.sticks import Stick, StickLayout
from nesting.drawings.marking import marks_of
from nesting.drawings.packet.book import packet_scenes
from nesting.drawings.packet.paper import PAPERS
from nesting.drawings.packet.printing import Printing
from nesting.drawings.scene import Text
from nesting.drawings.stick import stops
from nesting.shop.shop_file import default_shop
from pricing.money import half_up
from pricing.output.job import Request
from pricing.quoting.labour import TITLES, UNCHARGED, hours_in_all, labour, work_hours, yard_counts
from pricing.quoting.quote import quote
from pricing.quoting.supply import make_supply
from pricing.studio.office import Office
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import LabourRules
from tests.generated_orders import KINDS, ON
from tests.pricing.builds import builds, small_build

SAMPLES = Path(__file__).parents[3] / "sample_orders"


@pytest.mark.parametrize(
    ("count", "minutes", "hours"), [(1, "20", "0.3333"), (3, "0.5", "0.025"), (7, "0.35", "0.0408")]
)
def test_hours_are_rounded_to_a_ten_thousandth(count: int, minutes: str, hours: str) -> None:
    assert work_hours(count, Decimal(minutes)) == Decimal(hours)


def test_what_every_crate_asks_besides_is_paid_where_rules_give_it_minutes() -> None:
    build = small_build()
    first = replace(build.crates[0], work=replace(build.crates[0].work, seals=2), marks=("fragile", "this way up"))
    build = replace(build, crates=(first, *build.crates[1:]))
    rows = {row.operation: row for row in labour(build, PAID, default_price_book())}
    parts = sum(part.count for crate in build.crates for part in crate.parts)
    parts += sum(part.count for crate in build.crates for part in crate.sticks)
    assert rows["mark_out"].count == parts
    assert rows["seal"].count == 2
    assert rows["label"].count == len(marks_of(first)) > 0
    assert rows["record"].count == 3  # a case holds no piece of its own
    assert rows["hand_over"].count == 2  # what rides in a case goes with it
    assert set(rows["hand_over"].bearers) == {each.crate for each in build.travelling}
    assert "yard" not in rows, "nothing is bought"
    old = {row.operation for row in labour(build, LabourRules(), default_price_book())}
    assert not old.intersection(UNCHARGED), "old rates know nothing of it"


def test_a_trip_to_the_yard_is_made_once_and_only_where_something_is_bought() -> None:
    build, office = small_build(), Office()
    paid = replace(office, rates=replace(office.rates, labour=PAID))
    made = quote(build, paid, on=date(2026, 11, 1))
    trip = next(row for row in made.labour if row.operation == "yard")
    assert (trip.count, trip.minutes) == (1, ONE)
    assert sum(trip.bearers.values()) == 1
    assert not yard_counts(replace(row, bought=Decimal(0)) for row in made.takeoff.rows)
    free = [replace(row, bought_amount=Decimal(0)) for row in made.takeoff.rows]
    assert sum(yard_counts(free)["yard"].values()) == 1, "what is free must be fetched too"


def test_hand_work_is_what_the_crates_say() -> None:
    counts = {row.operation: row.count for row in labour(small_build(), LabourRules(), default_price_book())}
    assert counts["hole"] == 90
    assert counts["screw"] == 3 * 24 + 40
    assert counts["glue_run"] == 12
    assert counts["assembly"] == 3 * 3 + 2
    assert counts["mounting"] == counts["wrap"] == 3
    assert "staple" not in counts


def test_bolts_and_what_is_fitted_take_their_own_minutes() -> None:
    build = small_build()
    first = replace(build.crates[0], work=replace(build.crates[0].work, bolts=14, fittings=5))
    rows = {row.operation: row for row in labour(replace(build, crates=(first, *build.crates[1:])), LabourRules(),
                                                 default_price_book())}  # fmt: skip
    assert (rows["bolt"].count, rows["bolt"].hours) == (14, Decimal("0.35"))
    assert (rows["fitting"].count, rows["fitting"].hours) == (5, Decimal("0.0833"))
    assert rows["bolt"].bearers == {first.crate: 1}


ONE = Decimal(1)
PAID = LabourRules(mark_out=ONE, seal=ONE, label=ONE, record=ONE, yard=ONE, hand_over=ONE)
"""Rules by which every operation takes its minutes."""


def printed(build: Build) -> str:
    """Return all that the packet's pages of sheets and sticks say."""
    printing = Printing(build, PAPERS["letter"], build.order.units)
    pages = packet_scenes(printing, sections=["saw"])
    return " ".join(item.text for page in pages for item in page.items if isinstance(item, Text))


def check_saw(build: Build) -> None:
    """Check the saw's work against what the packet prints beside each layout, and no more is paid."""
    counts = {row.operation: row.count for row in labour(build, LabourRules(), default_price_book())}
    text = printed(build)
    fences = [int(count) for count in re.findall(r"(\d+) fence settings", text)]
    stops = [int(count) for count in re.findall(r"(\d+) times? in this order", text)]
    assert len(fences) == sum(len(layout.sheets) for layout in build.layouts)
    assert counts.get("setup", 0) == sum(fences) + sum(stops)
    cuts = [int(count) for count in re.findall(r"(\d+) cuts with", text)]
    repeats = [each.repeat for layout in build.layouts for each in layout.sheets]
    sawn = sum(repeat * count for repeat, count in zip(repeats, cuts, strict=True))
    assert counts.get("rip", 0) + counts.get("crosscut", 0) == sawn
    assert counts.get("load", 0) == sum(repeat for repeat, count in zip(repeats, cuts, strict=True) if count)
    assert counts.get("stick_cut", 0) == sum(part.count for crate in build.crates for part in crate.sticks)


@given(builds())
@settings(max_examples=15)
def test_saw_work_is_what_the_packet_prints(build: Build) -> None:
    check_saw(build)


@pytest.mark.parametrize("name", ["gallery_consignment.csv", "small_sale.csv", "giant_panel.toml", "metric_pair.xlsx"])
def test_saw_work_of_the_samples_is_what_their_packets_print(name: str) -> None:
    check_saw(Request(SAMPLES / name, date(2026, 11, 28), search=QUICK).priced()[0].build)


def test_saw_work_of_generated_orders_is_what_their_packets_print(tmp_path: Path) -> None:
    for kind in ("consignment", "sale"):
        for seed in range(3):
            file = KINDS[kind](seed).write(tmp_path)
            check_saw(Request(file, ON, search=QUICK).priced()[0].build)


def test_a_trimmed_sheet_is_paid_for_its_trim() -> None:
    shop = default_shop()
    trimmed = replace(shop, saw=replace(shop.saw, trim_left=INCH // 4, trim_bottom=INCH // 4))
    sheet = make_supply(trimmed, default_price_book()).sheets["ply-3/8"][0]
    part = Cut("rip", 12 * INCH, PartLeaf("K1.a", turned=False), Offcut())
    assert saw_work(sheet, part, shop.saw.kerf) == SawWork(rips=2, crosscuts=1, settings=2)  # both edges lose alike


def test_a_stop_is_set_as_often_as_the_length_changes() -> None:
    stick = Stick("2x4 8ft", 96 * INCH, 500)
    plans = [StickLayout(stick, ("a", "a", "b"), 3), StickLayout(stick, ("b", "a"), 1)]
    assert stops(plans, {"a": 30 * INCH, "b": 20 * INCH}) == 3
    assert stops([], {}) == 0


@given(builds())
@settings(max_examples=10)
def test_amounts_are_hours_at_the_rate_and_every_minute_is_borne(build: Build) -> None:
    rows = labour(build, LabourRules(), default_price_book())
    for row in rows:
        assert row.hours == work_hours(row.count, row.minutes)
        assert row.amount == half_up(row.hours * row.rate)
        assert sum(row.bearers.values()) == 1
        assert set(row.bearers) <= {crate.crate for crate in build.crates}
    assert hours_in_all(rows) == sum(row.hours for row in rows)


@given(st.sampled_from(sorted(TITLES)), st.integers(1, 60))
def test_more_minutes_never_cost_less(operation: str, more: int) -> None:
    rules = PAID
    slower = replace(rules, **{operation: getattr(rules, operation) + more})
    build, book = small_build(), default_price_book()
    usual, slow = (sum(row.amount for row in labour(build, r, book)) for r in (rules, slower))
    assert usual <= slow


def test_each_operation_is_paid_by_its_own_hour() -> None:
    rows = {row.operation: row for row in labour(small_build(), LabourRules(), default_price_book())}
    assert rows["rip"].rate == default_price_book().price("hour saw").price
    assert rows["hole"].rate == default_price_book().price("hour bench").price
    assert rows["mounting"].rate == default_price_book().price("hour packing").price
    assert rows["hole"].bearers == {name: Fraction(1, 3) for name in ("K1", "K2", "K3")}
