"""Work of the front office that grows with an order in line with it: steps are counted, never seconds."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.crates.model import Crate
from pricing.ahead.calendar import dates
from pricing.quoting import quote as quoting
from pricing.quoting import takeoff
from pricing.quoting.loads import _Decked, _on_decks
from pricing.quoting.quote import Quote, quote
from pricing.studio import workdays
from pricing.studio.calendar_rules import CalendarRules
from pricing.studio.office import Office
from pricing.studio.workdays import Workdays
from tests.counting import counted
from tests.pricing.builds import small_build
from tests.pricing.quoting.carried import box, stocked

WEEK = Workdays.of(CalendarRules())
ON = date(2027, 4, 1)


# Working days


def walked(days: Workdays, day: date, count: int, way: int) -> date:
    """Return a working day, one by one: the definition."""
    for n in range(count + 1):
        if n and day in (date.max, date.min):
            return day
        day += timedelta(days=way) * bool(n)
        while not days.works(day) and day not in (date.max, date.min):
            day += timedelta(days=way)
    return day


@settings(max_examples=60)
@given(
    day=st.dates(date(2026, 1, 1), date(2026, 12, 31)),
    count=st.integers(0, 120),
    weekdays=st.sets(st.integers(0, 6), min_size=1),
    closed=st.lists(st.dates(date(2026, 1, 1), date(2026, 12, 31)), max_size=6),
    holidays=st.integers(0, 40),
)
def test_weeks_at_a_time_lead_to_the_day_that_walking_leads_to(
    day: date, count: int, weekdays: set[int], closed: list[date], holidays: int
) -> None:
    away = {date(2026, 7, 1) + timedelta(days=n) for n in range(holidays)}
    days = Workdays(frozenset(weekdays), frozenset({*closed, *away}))
    assert days.later(day, count) == walked(days, day, count, 1)
    assert days.earlier(day, count) == walked(days, day, count, -1)


def test_time_has_two_ends() -> None:
    for count in (5, 9, 10**6, 10**12):
        assert WEEK.later(date.max - timedelta(days=4), count) == date.max
        assert WEEK.earlier(date.min + timedelta(days=4), count) == date.min


def test_a_day_far_away_is_no_longer_way(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = counted(monkeypatch, workdays, "beside")
    assert WEEK.later(ON, 5_000) == ON + timedelta(weeks=1_000)
    assert WEEK.earlier(ON, 5_004) == ON - timedelta(weeks=1_000, days=6)  # six days before lies a weekend
    assert calls["beside"] < 20


# Freight


def _slowly(crates: list[Crate]) -> list[list[str]]:
    """Put crates on decks as the rule reads: each on the first that takes it, all of them asked."""
    particulars, decked = stocked(), list[_Decked]()
    for crate in sorted(crates, key=lambda each: -each.outside.depth):
        if any(_Decked.take(each, crate, particulars.tilt) for each in decked):
            continue
        new = (
            _Decked(crate.stands, good, turned) for good in particulars.decks(crate.stands) for turned in (False, True)
        )
        found = next((each for each in new if each.take(crate, particulars.tilt)), None)
        decked += [found] if found is not None else []
    return [[crate.crate for crate in each.crates] for each in decked]


def test_decks_hold_what_they_held_when_each_was_asked() -> None:
    for seed in range(12):
        random = Random(seed)
        crates = [
            box(random.choice((30, 40, 47)), random.choice((5, 8, 13, 20)), random.randint(20, 60),
                random.choice((20.0, 60.0, 250.0)), f"K{n}", "pallet")
            for n in range(40)
        ]  # fmt: skip
        found = [[crate.crate for crate in each.crates] for each in _on_decks(crates, stocked())]
        assert found == _slowly(crates)


def test_full_decks_are_asked_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    def asked(count: int) -> int:
        with monkeypatch.context() as patch:
            calls = counted(patch, _Decked, "take")
            crates = [box(40, 8, 50, 60.0, f"K{n}", "pallet") for n in range(count)]
            assert sum(len(each.crates) for each in _on_decks(crates, stocked())) == count
            return calls["take"]

    assert asked(240) < 4.4 * asked(60)


# Quotes


def quoted() -> Quote:
    build = small_build()
    office = Office(shop=build.shop)
    return quote(build, office, on=ON)


def test_other_rules_of_charge_bill_what_was_counted_once(monkeypatch: pytest.MonkeyPatch) -> None:
    made = quoted()
    kept = replace(made)  # as one that is read from a store: nothing of it was counted by this program
    calls = [counted(monkeypatch, quoting, name) for name in ("take_off", "labour")]
    told = dict(made.otherwise)
    assert [sum(each.values()) for each in calls] == [0, 0]
    assert dict(kept.otherwise) == told
    assert [sum(each.values()) for each in calls] == [1, 1]
    for rule, amount in told.items():
        assert quote(made.build, made.office, on=ON, charge=rule).total == amount


def test_each_crate_is_walked_once_whatever_the_number_of_goods(monkeypatch: pytest.MonkeyPatch) -> None:
    made = quoted()
    calls = counted(monkeypatch, takeoff, "_count")
    takeoff.take_off(made.build, made.book, made.rack)
    parts: Callable[[Crate], int] = lambda c: len(c.parts) + len(c.sticks) + len(c.rolls) + len(c.piecework)  # noqa: E731
    assert calls["_count"] == sum(map(parts, made.build.crates))


def test_days_are_planned_with_one_list_of_the_copies(monkeypatch: pytest.MonkeyPatch) -> None:
    made = quoted()
    calls = counted(monkeypatch, type(made.build.order), "copies")
    assert dates.plan_dates(made).entries
    assert calls["copies"] == 1


def test_days_that_are_surely_late_are_not_planned(monkeypatch: pytest.MonkeyPatch) -> None:
    made = quoted()
    order = made.build.order
    for due in (40, 130, 400):
        artworks = tuple(replace(each, ship_by=ON + timedelta(days=due)) for each in order.artworks)
        slow = replace(made.rates, calendar=replace(made.rates.calendar, people=1, hours_per_day=Decimal("0.5")))
        hurried = replace(made, rates=slow, build=replace(made.build, order=replace(order, artworks=artworks)))
        with monkeypatch.context() as patch:
            patch.setattr("pricing.ahead.calendar.dates._Planner._surely_late", lambda _, __: False)
            calls = counted(patch, dates, "in_order")
            day = dates.plan_dates(hurried).last_day_to_buy
            assert calls["in_order"] > 8
        calls = counted(monkeypatch, dates, "in_order")
        assert dates.plan_dates(hurried).last_day_to_buy == day
        assert calls["in_order"] <= 3
