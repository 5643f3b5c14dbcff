from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.build import Build
from nesting.cutting.sheets import Cut, Offcut, PartLeaf, Waste
from pricing.money import half_up
from pricing.quoting.labour import TITLES, count_cuts, hours_in_all, labour, work_hours
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import LabourRules
from tests.pricing.builds import builds, small_build


def test_cuts_of_a_tree_are_counted_by_direction() -> None:
    leaf = PartLeaf("p", turned=False)
    tree = Cut("cross", 5, Cut("rip", 3, leaf, Cut("rip", 2, leaf, Waste())), Offcut())
    assert count_cuts(tree) == {"cross": 1, "rip": 2}
    assert count_cuts(leaf) == {}


@pytest.mark.parametrize(
    ("count", "minutes", "hours"), [(1, "20", "0.3333"), (3, "0.5", "0.025"), (7, "0.35", "0.0408")]
)
def test_hours_are_rounded_to_a_ten_thousandth(count: int, minutes: str, hours: str) -> None:
    assert work_hours(count, Decimal(minutes)) == Decimal(hours)


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


@given(builds())
@settings(max_examples=20)
def test_saw_work_follows_the_cutting_plans(build: Build) -> None:
    rows = {row.operation: row for row in labour(build, LabourRules(), default_price_book())}
    sheets = sum(each.repeat for layout in build.layouts for each in layout.sheets if isinstance(each.cuts, Cut))
    assert rows["load"].count == sheets
    # Dividing a rectangle into n pieces takes n - 1 cuts; what a kerf swallowed is a piece of no size.
    leaves = sum(
        each.repeat * sum(1 for _ in each.pieces(layout.kerf)) for layout in build.layouts for each in layout.sheets
    )
    whole = sum(each.repeat for layout in build.layouts for each in layout.sheets)
    assert rows["rip"].count + (rows["crosscut"].count if "crosscut" in rows else 0) == leaves - whole
    sticks = sum(part.count for crate in build.crates for part in crate.sticks)
    assert (rows["stick_cut"].count if "stick_cut" in rows else 0) == sticks


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
    rules = LabourRules()
    slower = LabourRules(**{operation: getattr(rules, operation) + more})
    build, book = small_build(), default_price_book()
    usual, slow = (sum(row.amount for row in labour(build, r, book)) for r in (rules, slower))
    assert usual <= slow


def test_each_operation_is_paid_by_its_own_hour() -> None:
    rows = {row.operation: row for row in labour(small_build(), LabourRules(), default_price_book())}
    assert rows["rip"].rate == default_price_book().price("hour saw").price
    assert rows["hole"].rate == default_price_book().price("hour bench").price
    assert rows["mounting"].rate == default_price_book().price("hour packing").price
    assert rows["hole"].bearers == {name: Fraction(1, 3) for name in ("K1", "K2", "K3")}
