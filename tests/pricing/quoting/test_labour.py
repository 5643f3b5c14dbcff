from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.build import Build
from nesting.crates.bevels import bevels_in
from nesting.cutting.sawing.model import Effort
from nesting.cutting.sawing.plan import plan_in
from nesting.cutting.sawing.sticks import StickWork, stick_work
from nesting.cutting.sticks import Stick, StickLayout, StickPlan
from nesting.drawings.marking import marks_of
from nesting.drawings.stick import stops
from pricing.money import half_up
from pricing.output.job import Request
from pricing.quoting.labour import (
    TITLES,
    UNCHARGED,
    hours_in_all,
    labour,
    paid_as,
    saw_minutes,
    saw_operations,
    work_hours,
    yard_counts,
)
from pricing.quoting.quote import quote
from pricing.studio.office import Office
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import LabourRules
from pricing.studio.rates_file import rates_from
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
_ONES: dict[str, Any] = dict.fromkeys(UNCHARGED, ONE)
PAID = LabourRules(**_ONES)
"""Rules by which every operation takes its minutes."""


def check_saw(build: Build) -> None:
    """Check the saw's work against the order in which each good is cut, counted once more from its settings."""
    old = {row.operation: row.count for row in labour(build, LabourRules(), default_price_book())}
    new = {row.operation: row.count for row in labour(build, PAID, default_price_book())}
    made: Counter[tuple[str, str]] = Counter()
    loads = 0
    for layout in build.layouts:
        plan = plan_in(build.shop, layout)
        loads += sum(each.repeat for index, each in enumerate(layout.sheets) if plan.of_layout(index))
        for setting in plan.settings:
            made[setting.tool, "set"] += 1
            made[setting.tool, "pass"] += setting.passes
    sticks = [stick_work_of(build, plan) for plan in build.stick_plans]
    stops, sawn = (sum(sum(getattr(each.effort, name).values()) for each in sticks) for name in ("settings", "passes"))
    assert old.get("load", 0) == new.get("load", 0) == loads
    assert old.get("stick_cut", 0) == new.get("stick_cut", 0) == sawn
    # Rates of before: each setting is one of a fence, each pass a rip or a crosscut, and nothing else is paid.
    assert old.get("setup", 0) == stops + sum(count for (_, what), count in made.items() if what == "set")
    passes = sum(count for (_, what), count in made.items() if what == "pass")
    assert old.get("rip", 0) + old.get("crosscut", 0) == passes
    bevels = [each for layout in build.layouts for each in bevels_in(build.shop, build.crates, layout)]
    assert new.get("bevel_setup", 0) == len(bevels)
    for each in bevels:
        made[each.tool, "pass"] += each.passes
    # Today's: each tool by its own minutes, what is marked for each cut without a setting.
    assert new.get("setup", 0) == made["table", "set"]
    assert new.get("rip", 0) + new.get("crosscut", 0) == made["table", "pass"]
    assert new.get("stop_setup", 0) == stops + made["chop", "set"]
    assert new.get("chop_cut", 0) == made["chop", "pass"]
    assert new.get("track_cut", 0) == made["track", "pass"] + made["none", "pass"]
    assert new.get("knife_cut", 0) == made["knife", "pass"] + made["band", "pass"]


def stick_work_of(build: Build, plan: StickPlan) -> StickWork:
    """Return the order in which the lumber of a plan is cut."""
    length = {part.name: part.length for crate in build.crates for part in crate.sticks if part.good == plan.good}
    good = build.shop.good(plan.good)
    return stick_work(plan, length, (good.thickness, good.breadth), build.shop.tools)


@given(builds())
@settings(max_examples=15, deadline=None)
def test_saw_work_is_that_of_the_order_of_cutting(build: Build) -> None:
    check_saw(build)


@pytest.mark.parametrize("name", ["gallery_consignment.csv", "small_sale.csv", "giant_panel.toml", "metric_pair.xlsx"])
def test_saw_work_of_the_samples_is_that_of_their_order_of_cutting(name: str) -> None:
    check_saw(Request(SAMPLES / name, date(2026, 11, 28), search=QUICK).priced()[0].build)


def test_saw_work_of_generated_orders_is_that_of_their_order_of_cutting(tmp_path: Path) -> None:
    for kind in ("consignment", "sale"):
        for seed in range(3):
            file = KINDS[kind](seed).write(tmp_path)
            check_saw(Request(file, ON, search=QUICK).priced()[0].build)


EFFORT = Effort(
    settings={"track": 2, "table": 3, "chop": 4, "knife": 5}, passes={"track": 6, "table": 7, "chop": 8, "knife": 9},
    rips={"track": 1, "table": 2, "knife": 4}, loads=10, turns=11, carries=12,
)  # fmt: skip


def test_each_tool_is_paid_by_its_own_operations() -> None:
    assert saw_operations(EFFORT, PAID) == {
        "load": 10, "turn": 11, "carry": 12, "track_cut": 6, "setup": 3, "rip": 2, "crosscut": 5, "stop_setup": 4,
        "chop_cut": 8, "knife_cut": 9,
    }  # fmt: skip


def test_rates_of_before_pay_every_cut_as_a_rip_or_a_crosscut() -> None:
    """They have no minutes for a track saw, a stop or a knife: 14 settings; 1 + 2 + 4 rips; 5 + 5 + 8 + 5 crosscuts."""
    paid = saw_operations(EFFORT, LabourRules())
    assert {name: paid[name] for name in ("load", "setup", "rip", "crosscut")} == {
        "load": 10, "setup": 14, "rip": 7, "crosscut": 23,
    }  # fmt: skip
    assert not {"track_cut", "stop_setup", "chop_cut", "knife_cut"} & set(paid)
    # Turns and armfuls are counted and take no time of their own: 30 + 14 + 5.25 + 11.5 minutes.
    assert saw_minutes(EFFORT, LabourRules()) == Decimal("60.75")
    written = rates_from('currency = "USD"\n', "rates.toml").labour
    assert saw_minutes(EFFORT, written) == Decimal("60.75"), "a file of before, without a form"


def test_one_tool_alone_can_have_minutes_of_its_own() -> None:
    rules = LabourRules(stop_setup=Decimal("0.5"))
    assert (paid_as("chop", rules).setting, paid_as("chop", rules).crosscut) == ("stop_setup", "crosscut")
    assert paid_as("track", rules) == paid_as("knife", rules) == paid_as("table", PAID)
    assert paid_as("knife", LabourRules(knife_cut=ONE)).setting is None


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
