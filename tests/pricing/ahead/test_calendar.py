"""The calendar against days worked by hand, across year ends and changes of clocks, and against its own laws."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.search import QUICK
from nesting.build import Build, build
from nesting.intake import order_from_rows
from pricing.ahead.calendar.dates import Calendar, Entry, plan_dates
from pricing.ahead.calendar.ics import calendar_ics
from pricing.ahead.calendar.schedule import Task, in_order
from pricing.ahead.calendar.workdays import Workdays
from pricing.quoting.quote import Quote, quote
from pricing.quoting.supply import supply_of
from pricing.studio.calendar_rules import CalendarRules
from pricing.studio.office import Office

WEEK = Workdays.of(CalendarRules())


# -- working days, by a wall calendar -------------------------------------------------------------------------------


def test_friday_and_three_working_days_is_wednesday() -> None:
    assert WEEK.later(date(2026, 11, 27), 3) == date(2026, 12, 2)


def test_days_off_and_the_year_end_do_not_count() -> None:
    rules = CalendarRules(closed="2026-12-24, 2026-12-25 2027-01-01")
    days = Workdays.of(rules)
    # Wed 23 Dec 2026; then Mon 28, Tue 29, Wed 30, Thu 31, (Fri 1 Jan off), Mon 4 Jan 2027
    assert days.later(date(2026, 12, 23), 5) == date(2027, 1, 4)
    assert days.earlier(date(2027, 1, 4), 5) == date(2026, 12, 23)


def test_a_leap_day_counts() -> None:
    assert WEEK.later(date(2028, 2, 28), 1) == date(2028, 2, 29)


@given(day=st.dates(date(2020, 1, 1), date(2040, 1, 1)), count=st.integers(0, 60))
def test_later_and_earlier_undo_each_other_on_working_days(day: date, count: int) -> None:
    day = WEEK.on_or_after(day)
    there = WEEK.later(day, count)
    assert WEEK.works(there)
    assert WEEK.earlier(there, count) == day
    assert WEEK.between(day, there) == count


@given(
    first=st.dates(date(2026, 1, 1), date(2028, 1, 1)),
    length=st.integers(-10, 400),
    weekdays=st.frozensets(st.integers(0, 6), min_size=1),
    closed=st.frozensets(st.dates(date(2026, 1, 1), date(2028, 1, 1)), max_size=8),
)
def test_working_days_between_are_those_counted_one_by_one(
    first: date, length: int, weekdays: frozenset[int], closed: frozenset[date]
) -> None:
    days = Workdays(weekdays, closed)
    counted = sum(days.works(first + timedelta(days=number)) for number in range(length))
    assert days.between(first, first + timedelta(days=length)) == counted


def test_rules_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="working_days"):
        CalendarRules(working_days="Mon Someday")
    with pytest.raises(ValueError, match="closed"):
        CalendarRules(closed="25 December")
    with pytest.raises(ValueError, match="people"):
        CalendarRules(people=0)


# -- the order of the work -------------------------------------------------------------------------------------------


def test_what_is_due_first_is_done_first_and_waits_for_its_day() -> None:
    hour = Fraction
    tasks = [
        Task("cut", hour(4), hour(0), hour(0)),
        Task("late", hour(2), hour(0), hour(100), ("cut",)),
        Task("soon", hour(3), hour(0), hour(20), ("cut",)),
        Task("cured", hour(1), hour(12), hour(30), ("soon",)),
    ]
    # by hand: cut 0-4, soon 4-7, late 7-9, nothing may begin until 12, cured 12-13
    spans = {key: (int(begin), int(end)) for key, (begin, end) in in_order(tasks).items()}
    assert spans == {"cut": (0, 4), "soon": (4, 7), "late": (7, 9), "cured": (12, 13)}


def test_tasks_that_wait_for_each_other_are_an_error() -> None:
    zero = Fraction(0)
    with pytest.raises(ValueError, match="wait for each other"):
        in_order([Task("a", zero, zero, zero, ("b",)), Task("b", zero, zero, zero, ("a",))])


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 30), st.integers(0, 60)), min_size=1, max_size=12))
def test_the_team_does_one_thing_at_a_time_and_loses_no_hour_without_need(raw: list[tuple[int, int, int]]) -> None:
    tasks = [Task(f"t{n}", Fraction(h), Fraction(r), Fraction(d)) for n, (h, r, d) in enumerate(raw)]
    spans = in_order(tasks)
    assert spans.keys() == {task.key for task in tasks}
    ordered = sorted(spans.values())
    assert all(first[1] <= second[0] for first, second in pairwise(ordered))
    for task in tasks:
        begin, end = spans[task.key]
        assert begin >= task.ready
        assert end - begin == task.hours
    # one machine, no idle time while a task may begin: the last hour is the least possible
    finish = Fraction(0)
    for task in sorted(tasks, key=lambda each: each.ready):
        finish = max(finish, task.ready) + task.hours
    assert max(end for _, end in spans.values()) == finish


# -- a quote's calendar ------------------------------------------------------------------------------------------------


def small(poured: str, ship_by: str, method: str = "auto", side: str = "30", pounds: str = "18") -> Build:
    rows = [
        ["piece", "width", "height", "depth", "weight", "poured", "ship by", "destination", "surface", "method"],
        ["A-01", side, side, "1 1/2", f"{pounds} lb", poured, ship_by, "Harbour Gallery", "resin", method],
    ]
    office = Office()
    return build(order_from_rows(rows), office.shop, supply_of(office), search=QUICK)


def priced(made: Build, on: date, rules: CalendarRules | None = None) -> Quote:
    office = Office()
    rates = replace(office.rates, calendar=rules or CalendarRules(), lead_days={})
    return quote(made, replace(office, rates=rates), on=on)


def only(calendar: Calendar, kind: str) -> Entry:
    (entry,) = [entry for entry in calendar.entries if entry.kind == kind]
    return entry


def test_a_calendar_worked_by_hand() -> None:
    """Ordered on Wed 25 Nov 2026 with three working days to deliver: Mon 30 Nov; one small crate is a day's work."""
    calendar = plan_dates(priced(small("2026-11-20", "2026-12-04"), date(2026, 11, 25)))
    assert {entry.last for entry in calendar.entries if entry.kind == "buy"} == {date(2026, 11, 30)}
    assert (only(calendar, "cut").first, only(calendar, "cut").last) == (date(2026, 11, 30), date(2026, 11, 30))
    # poured on Fri 20 Nov, counted from the end of that day: 72 h end as Tue 24 Nov begins
    assert only(calendar, "cure").last == date(2026, 11, 24)
    pack = only(calendar, "pack")
    assert pack.first <= pack.last == date(2026, 11, 30)
    hand_over = only(calendar, "hand over")
    assert hand_over.last == date(2026, 12, 1)
    assert hand_over.late_days == 0
    assert hand_over.note == "1 package: K1"
    counts = {entry.note.split()[0]: entry.note for entry in calendar.entries if entry.kind == "buy"}
    assert all(note.endswith(" line" if count == "1" else " lines") for count, note in counts.items())
    assert {"1"} < set(counts)
    # due on Fri 4 Dec: packed on Thu 3 Dec, delivered the same day, so ordered three working days before, Mon 30 Nov
    assert calendar.last_day_to_buy == date(2026, 11, 30)


def test_a_pour_that_cures_too_late_is_said_and_by_how_much() -> None:
    calendar = plan_dates(priced(small("2026-12-02", "2026-12-04"), date(2026, 11, 25)))
    # poured on Wed 2 Dec: packed on Sun 6 at the earliest, so Mon 7; handed over on Tue 8, four days after Fri 4
    assert only(calendar, "hand over").last == date(2026, 12, 8)
    assert [entry.late_days for entry in calendar.late] == [4]
    assert calendar.last_day_to_buy is None


def test_a_piece_not_yet_poured_has_a_last_day_to_pour() -> None:
    calendar = plan_dates(priced(small("", "2026-12-18"), date(2026, 11, 25)))
    pour, pack = only(calendar, "pour"), only(calendar, "pack")
    assert pour.last == pack.first - timedelta(days=4)
    # and poured on that very day it may indeed be packed then
    again = plan_dates(priced(small(pour.last.isoformat(), "2026-12-18"), date(2026, 11, 25)))
    assert only(again, "pack").first == pack.first


def test_paper_lies_against_a_face_seven_days_after_the_pour_planned_or_done() -> None:
    """The calendar counts what the crate counts: seven days for a carton, whose paper lies on the face; not hours."""
    made = small("2026-11-24", "", "carton", "12", "3")
    (crate,) = made.crates
    # poured some time on Tue 24 Nov, so seven days count from midnight
    assert f"{crate.earliest_packing:%Y-%m-%d %H:%M}" == "2026-12-02 00:00"
    calendar = plan_dates(priced(made, date(2026, 11, 25)))
    assert only(calendar, "cure").last == date(2026, 12, 2)
    assert only(calendar, "pack").first == date(2026, 12, 2)
    planned = plan_dates(priced(small("", "2026-12-18", "carton", "12", "3"), date(2026, 11, 25)))
    assert only(planned, "pack").first - only(planned, "pour").last == timedelta(days=8)


def test_a_piece_in_a_frame_in_a_case_waits_for_packing_alone() -> None:
    planned = plan_dates(priced(small("", "2026-12-18", "travel"), date(2026, 11, 25)))
    assert only(planned, "pack").first - only(planned, "pour").last == timedelta(days=4)


@pytest.mark.parametrize(
    ("poured", "packed"),
    [
        ("2026-10-29 12:00", date(2026, 11, 1)),  # clocks go back in this zone on 1 Nov 2026: 72 h end at 11:00
        ("2027-03-11 23:30", date(2027, 3, 15)),  # clocks go forward on 14 Mar 2027: 72 h end at 00:30 on the 15th
        ("2026-12-30 08:00", date(2027, 1, 2)),  # across the year's end
    ],
)
def test_cure_counts_real_hours_across_changes_of_clocks(poured: str, packed: date) -> None:
    calendar = plan_dates(priced(small(poured, ""), date(2026, 10, 1)))
    assert only(calendar, "cure").last == packed


@given(more=st.integers(1, 20))
def test_more_people_never_end_later(more: int) -> None:
    made = small("2026-11-20", "2026-12-04")
    few = plan_dates(priced(made, date(2026, 11, 25), CalendarRules(people=1, hours_per_day=Decimal(2))))
    many = plan_dates(priced(made, date(2026, 11, 25), CalendarRules(people=1 + more, hours_per_day=Decimal(2))))
    assert only(many, "hand over").last <= only(few, "hand over").last


def test_the_calendar_file_is_read_by_another_reader_as_all_day_events() -> None:
    from icalendar import Calendar as File

    calendar = plan_dates(priced(small("2026-11-20", "2026-12-04"), date(2026, 11, 25)))
    data = calendar_ics(calendar, "A job")
    assert data == calendar_ics(calendar, "A job")
    events = list(File.from_ical(data).walk("VEVENT"))
    assert len(events) == len(calendar.entries)
    for event, entry in zip(events, calendar.entries, strict=True):
        first, after = event.decoded("dtstart"), event.decoded("dtend")
        assert type(first) is date
        assert (first, after) == (entry.first, entry.last + timedelta(days=1))
    assert len({str(event["uid"]) for event in events}) == len(events)
