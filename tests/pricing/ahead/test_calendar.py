"""The calendar against days worked by hand, across year ends and changes of clocks, and against its own laws."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.search import QUICK
from nesting.build import Build, build
from nesting.intake import order_from_rows
from nesting.shop.house_rules.packing import CureRules
from pricing.ahead.calendar.dates import Calendar, Entry, plan_dates
from pricing.ahead.calendar.ics import calendar_ics
from pricing.ahead.calendar.schedule import Task, in_order
from pricing.quoting.labour import TITLES
from pricing.quoting.quote import Quote, quote
from pricing.quoting.supply import supply_of
from pricing.studio.calendar_rules import CalendarRules
from pricing.studio.office import Office
from pricing.studio.workdays import Workdays
from tests.pricing.builds import holding, small_build

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


WEDNESDAY = date(2026, 11, 25)
COLUMNS = ("piece", "width", "height", "depth", "weight", "destination", "surface")
SLOW = CalendarRules(people=1, hours_per_day=Decimal("0.5"))
"""A team so small that every task takes days."""


def several(*pieces: dict[str, str]) -> Build:
    """Make the crates of pieces of one size, each with what its row says beside that."""
    usual = dict(zip(COLUMNS, ("", "30", "30", "1 1/2", "18 lb", "Harbour Gallery", "resin"), strict=True))
    columns = list(dict.fromkeys((*COLUMNS, *(column for row in pieces for column in row))))
    rows = [[{**usual, **row}.get(column, "") for column in columns] for row in pieces]
    office = Office()
    return build(order_from_rows([columns, *rows]), office.shop, supply_of(office), search=QUICK)


def all_of(calendar: Calendar, kind: str) -> dict[str, Entry]:
    return {entry.what: entry for entry in calendar.entries if entry.kind == kind}


def paid(quoted: Quote, room: str) -> Decimal:
    return sum((row.hours for row in quoted.labour if TITLES[row.operation][0] == room), Decimal(0))


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


def test_resin_alone_is_poured_and_only_what_is_not_poured_yet() -> None:
    made = several(
        {"piece": "A-01", "ship by": "2026-12-18"},
        {"piece": "A-02", "ship by": "2026-12-18", "poured": "2026-11-20"},
        {"piece": "A-03", "ship by": "2026-12-18", "surface": "paint"},
    )
    calendar = plan_dates(priced(made, date(2026, 11, 25)))
    (pour,) = all_of(calendar, "pour").values()
    assert pour.what == "A-01"
    assert pour.first == pour.last
    assert pour.note == f"no later, for packing on {all_of(calendar, 'pack')['K1'].first}"
    (cure,) = all_of(calendar, "cure").values()
    assert (cure.what, cure.first, cure.last) == ("A-02", date(2026, 11, 20), date(2026, 11, 24))
    assert cure.note == "rests until it may be packed"


def test_a_painting_in_one_crate_with_resin_has_no_cure_of_its_own() -> None:
    made = several({"piece": "A-01", "set": "Tide", "poured": "2026-12-01"}, {"piece": "A-02", "set": "Tide"})
    painted = several(
        {"piece": "A-01", "set": "Tide", "poured": "2026-12-01"}, {"piece": "A-02", "set": "Tide", "surface": "paint"}
    )
    calendar = plan_dates(priced(painted, date(2026, 11, 25)))
    assert list(all_of(calendar, "cure")) == ["A-01"]
    assert all_of(calendar, "pour") == {}
    # poured on Tue 1 Dec: 72 h from midnight end as Sat 5 begins, so the crate is packed on Mon 7
    assert only(calendar, "pack").first == date(2026, 12, 7)
    # were the other one resin too, it would have to be poured by Thu 3, to be packed on that Mon 7
    assert only(plan_dates(priced(made, date(2026, 11, 25))), "pour").last == date(2026, 12, 3)


def test_a_case_waits_for_the_last_of_the_frames_inside_it() -> None:
    early, late = ({"piece": f"A-0{n}", "method": "travel", "poured": f"2026-12-0{n}"} for n in (1, 7))
    calendar = plan_dates(priced(several(late, early), date(2026, 11, 25)))
    assert {what: entry.last for what, entry in all_of(calendar, "cure").items()} == {
        "A-01": date(2026, 12, 5),
        "A-07": date(2026, 12, 11),
    }
    assert only(calendar, "pack").first == date(2026, 12, 11)


def test_hours_that_do_not_end_with_a_day_take_one_day_more_to_pour_before() -> None:
    made = small("", "2026-12-18")
    slower = replace(made, shop=replace(made.shop, cure=replace(CureRules(), pack_hours=73.0)))
    planned = plan_dates(priced(slower, date(2026, 11, 25)))
    # 73 h are four days begun, after the day of the pour
    assert only(planned, "pack").first - only(planned, "pour").last == timedelta(days=5)


def test_a_pour_is_counted_back_from_the_first_day_of_a_packing_that_takes_days() -> None:
    planned = plan_dates(priced(several(*({"piece": f"A-{n}", "set": "Tide"} for n in range(4))), WEDNESDAY, SLOW))
    pack = only(planned, "pack")
    assert pack.first < pack.last
    assert {entry.last for entry in all_of(planned, "pour").values()} == {pack.first - timedelta(days=4)}


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


# -- what is bought, cut, built and handed over ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("due", "order_by"),
    [("2026-12-07", 2), ("2026-12-08", 3), ("2026-12-09", 4), ("2026-12-10", 7), ("2026-12-11", 8)],
)
def test_the_last_day_to_buy_is_three_working_days_before_whatever_the_weekday(due: str, order_by: int) -> None:
    """Two working days to deliver, cut and packed on that day, handed over on the next: by a wall calendar."""
    made = priced(small("2026-11-20", due), WEDNESDAY, CalendarRules(lead_days=2))
    assert plan_dates(made).last_day_to_buy == date(2026, 12, order_by)


def test_a_cure_that_ends_just_in_time_is_in_time() -> None:
    # poured on Wed 25 Nov: 72 h end as Sun 29 begins, packed on Mon 30, handed over on Tue 1 Dec, its very due day
    calendar = plan_dates(priced(small("2026-11-25", "2026-12-01"), WEDNESDAY))
    assert calendar.late == ()
    assert calendar.last_day_to_buy == WEDNESDAY


def test_what_has_no_due_day_makes_nothing_late_however_long_it_cures() -> None:
    made = several({"piece": "A-01", "poured": "2026-12-20"}, {"piece": "A-02", "ship by": "2026-12-04"})
    assert plan_dates(priced(made, WEDNESDAY)).last_day_to_buy == date(2026, 11, 30)


@pytest.mark.parametrize(
    ("sooner", "later"),
    [
        ("2026-12-07", "2026-12-08"),
        ("2026-12-08", "2026-12-09"),
        ("2026-12-09", "2026-12-10"),
        ("2026-12-10", "2026-12-11"),
        ("2026-12-11", "2026-12-14"),
        ("2026-12-11", ""),
    ],
)
def test_what_is_due_first_is_packed_first_and_what_has_no_due_day_last(sooner: str, later: str) -> None:
    """Whatever the weekday, and though the order lists the other one first."""
    made = several(
        {"piece": "A-01", "ship by": later, "surface": "paint"},
        {"piece": "A-02", "ship by": sooner, "surface": "paint"},
    )
    calendar = plan_dates(priced(made, WEDNESDAY, SLOW))
    builds, packs = all_of(calendar, "build"), all_of(calendar, "pack")
    assert builds["K2"].first < packs["K2"].last <= builds["K1"].first < packs["K1"].last


@pytest.mark.parametrize("method", ["auto", "travel"])
def test_the_hours_of_the_calendar_are_those_that_are_paid_each_line_rounded_up_to_a_tenth(method: str) -> None:
    """Those of frames inside a case too, which stand in the case's line."""
    quoted = priced(several({"piece": "A-01", "method": method}, {"piece": "A-02", "method": method}), WEDNESDAY)
    calendar = plan_dates(quoted)
    for kind, room in (("cut", "saw"), ("build", "bench"), ("pack", "packing")):
        lines = all_of(calendar, kind).values()
        more = sum(entry.hours for entry in lines) - paid(quoted, room)
        assert 0 <= more < len(lines) * Decimal("0.1")
        assert all(entry.hours == round(entry.hours, 1) for entry in lines)


def test_every_task_has_the_days_that_its_hours_need_and_begins_where_the_last_one_ended() -> None:
    quoted = priced(several({"piece": "A-01"}), WEDNESDAY, SLOW)
    calendar = plan_dates(quoted)
    ended = only(calendar, "cut").first
    for kind, room in (("cut", "saw"), ("build", "bench"), ("pack", "packing")):
        task = only(calendar, kind)
        days = WEEK.between(task.first, task.last) + 1
        assert task.first in (ended, WEEK.later(ended, 1))
        # half an hour a day; the first and the last day may be shared with other work
        assert Decimal("0.5") * (days - 2) < paid(quoted, room) <= Decimal("0.5") * days
        ended = task.last


def test_two_people_do_in_a_day_what_one_does_in_two() -> None:
    made = several({"piece": "A-01"})
    two = plan_dates(priced(made, WEDNESDAY, replace(SLOW, people=2)))
    one = plan_dates(priced(made, WEDNESDAY, replace(SLOW, hours_per_day=2 * SLOW.hours_per_day)))
    alone = plan_dates(priced(made, WEDNESDAY, SLOW))
    assert two.entries == one.entries
    assert only(two, "hand over").last < only(alone, "hand over").last


def test_a_case_is_due_when_the_first_of_its_pieces_is() -> None:
    soon, late = ({"piece": f"A-{day}", "method": "travel", "ship by": f"2026-12-{day}"} for day in (11, 18))
    for both in ((soon, late), (late, soon)):
        calendar = plan_dates(priced(several(*both), WEDNESDAY))
        assert only(calendar, "hand over").due == date(2026, 12, 11)


def test_every_line_says_of_what_it_is() -> None:
    pieces = ({"piece": "A-01", "set": "Tide"}, {"piece": "A-02", "set": "Tide"}, {"piece": "A-03", "width": "20"})
    calendar = plan_dates(priced(several(*pieces), WEDNESDAY))
    assert {what: entry.note for what, entry in all_of(calendar, "cut").items()} == {
        "everything": "all sheets and lumber"
    }
    for kind in ("build", "pack"):
        assert {what: entry.note for what, entry in all_of(calendar, kind).items()} == {
            "K1": "battened crate with A-01, A-02",
            "K2": "closed crate with A-03",
        }
    assert {what: entry.note for what, entry in all_of(calendar, "hand over").items()} == {
        "Harbour Gallery": "2 packages: K1, K2"
    }
    nowhere = plan_dates(priced(several({"piece": "A-01", "destination": ""}), WEDNESDAY))
    assert list(all_of(nowhere, "hand over")) == ["destination not stated"]


def test_a_supplier_with_days_of_its_own_is_waited_for() -> None:
    quoted = priced(small("2026-11-20", ""), WEDNESDAY)
    yard = "Eastbank Panel Yard (invented)"
    calendar = plan_dates(replace(quoted, rates=replace(quoted.rates, lead_days={yard: Decimal(5)})))
    bought = all_of(calendar, "buy")
    # five working days from Wed 25 Nov are Wed 2 Dec; the others deliver after the usual three, on Mon 30 Nov
    assert bought.pop(yard).last == only(calendar, "cut").first == date(2026, 12, 2)
    assert {entry.last for entry in bought.values()} == {date(2026, 11, 30)}


def test_goods_without_a_supplier_are_bought_in_one_line_that_says_so() -> None:
    quoted = priced(small("2026-11-20", ""), WEDNESDAY)
    rows = tuple(
        replace(row, price=replace(row.price, supplier="")) if row.price else row for row in quoted.takeoff.rows
    )
    bought = only(plan_dates(replace(quoted, takeoff=replace(quoted.takeoff, rows=rows))), "buy")
    assert (bought.what, bought.note) == ("supplier not stated", f"{len(rows)} lines")


def test_what_lies_on_the_shelf_is_not_waited_for() -> None:
    quoted = priced(small("2026-11-20", ""), WEDNESDAY)
    rows = tuple(replace(row, bought=Decimal(0)) for row in quoted.takeoff.rows)
    calendar = plan_dates(replace(quoted, takeoff=replace(quoted.takeoff, rows=rows)))
    assert all_of(calendar, "buy") == {}
    assert only(calendar, "cut").first == WEDNESDAY


@given(more=st.integers(1, 20))
def test_more_people_never_end_later(more: int) -> None:
    made = small("2026-11-20", "2026-12-04")
    few = plan_dates(priced(made, date(2026, 11, 25), CalendarRules(people=1, hours_per_day=Decimal(2))))
    many = plan_dates(priced(made, date(2026, 11, 25), CalendarRules(people=1 + more, hours_per_day=Decimal(2))))
    assert only(many, "hand over").last <= only(few, "hand over").last


def test_the_calendar_file_is_read_by_another_reader_as_all_day_events() -> None:
    """Read by vobject, not by what wrote it: RFC 5545, 3.6.1, an all-day event ends on the day after its last."""
    calendar = plan_dates(priced(small("2026-11-20", "2026-12-04"), date(2026, 11, 25)))
    data = calendar_ics(calendar, "A job")
    assert data == calendar_ics(calendar, "A job")
    read = vobject.readOne(data.decode())
    assert (read.version.value, read.prodid.value.startswith("-//")) == ("2.0", True)
    events = read.vevent_list
    assert len(events) == len(calendar.entries)
    for event, entry in zip(events, calendar.entries, strict=True):
        first, after = event.dtstart.value, event.dtend.value
        assert type(first) is date
        assert (first, after) == (entry.first, entry.last + timedelta(days=1))
        assert event.summary.value == f"{entry.kind.capitalize()}: {entry.what}"
        assert entry.note in getattr(event, "description", event.summary).value or not entry.note
    assert len({event.uid.value for event in events}) == len(events)


def test_lines_of_the_calendar_file_are_as_long_as_the_standard_allows() -> None:
    """RFC 5545, 3.1: lines end in CRLF and have 75 octets at the most; a longer one goes on after a blank."""
    calendar = plan_dates(priced(small("2026-11-20", "2026-12-04"), date(2026, 11, 25)))
    long = "Ünterwegs, with a note; longer than a line, and with a comma \\ and a backslash, to the very end of it"
    first, *others = calendar.entries
    data = calendar_ics(replace(calendar, entries=(replace(first, note=long), *others)), "A job")
    lines = data.split(b"\r\n")
    assert lines.pop() == b""
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert max(map(len, lines)) <= 75
    assert long in vobject.readOne(data.decode()).vevent_list[0].description.value


def test_no_day_is_planned_for_a_held_crate_and_the_hand_over_says_what_it_lacks() -> None:
    made = small_build()
    whole, some, none = (
        plan_dates(priced(each, WEDNESDAY)) for each in (made, holding(made, "A-01"), holding(made, "A-01", "A-02#1"))
    )
    assert whole.held == ()
    assert only(whole, "hand over").note == "2 packages: K1, K4"
    assert [crate.crate for crate in some.held] == ["K1"]
    assert set(all_of(some, "build")) == {"K4"}
    assert only(some, "hand over").note == "1 package: K4; without K1, held"
    assert (none.entries, none.last_day_to_buy, len(none.held)) == ((), None, 4)
