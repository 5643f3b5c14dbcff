"""Days on the way, by a wall calendar; and what a quote says of a deadline, a quotation and old figures."""

import re
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.ahead.calendar.dates import Entry, plan_dates
from pricing.ahead.calendar.ics import calendar_ics
from pricing.ahead.calendar.table import calendar_bars, calendar_csv, calendar_text
from pricing.quoting.lacks import Lack
from pricing.quoting.quote import Quote, quote
from pricing.quoting.transit import Leg, Transit
from pricing.studio.calendar_rules import CalendarRules
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates import FreightProfile, Rates
from pricing.studio.rates_file import default_rates
from pricing.studio.workdays import Workdays
from tests.pricing.builds import small_build

WEEK = Workdays.of(CalendarRules())
ON = date(2026, 11, 2)  # a Monday
PLACE = "Harbour Gallery"


def way(*days: int, deadline: date | None = None, works: Workdays = WEEK) -> Transit:
    """Make a way of legs of so many days."""
    legs = tuple(Leg(f"carrier {number}", each, each, works, each > 0) for number, each in enumerate(days, 1))
    return Transit(PLACE, ("K1",), legs, deadline)


def test_time_ends_without_a_fault() -> None:
    """A deadline in the year 1 or 9999, or a carrier closed for more than ten years, is odd and no error."""
    first, last = date.min, date.max
    assert way(3, deadline=first).hand_over == first
    assert way(3).arrives(last) == last
    assert way(365, deadline=date(1, 2, 1)).hand_over == first
    closed = Workdays(WEEK.weekdays, frozenset(ON + timedelta(days=n) for n in range(5000)))
    assert closed.on_or_after(ON) == ON + timedelta(days=5000)  # a Wednesday


def test_three_days_from_a_thursday_are_friday_monday_and_tuesday() -> None:
    """An LTL carrier's public page: the day of pick-up, weekends and holidays do not count."""
    assert way(3).arrives(date(2026, 11, 5)) == date(2026, 11, 10)
    assert way(3, deadline=date(2026, 11, 10)).hand_over == date(2026, 11, 5)
    holiday = Workdays(WEEK.weekdays, frozenset({date(2026, 11, 9)}))
    assert way(3, works=holiday).arrives(date(2026, 11, 5)) == date(2026, 11, 11)
    assert way(3, deadline=date(2026, 11, 10), works=holiday).hand_over == date(2026, 11, 4)


def test_legs_follow_each_other() -> None:
    """Mon 2 + 1 = Tue 3, + 4 = Mon 9, + 2 = Wed 11; a deadline on Saturday 14 is Friday's."""
    assert way(1, 4, 2).arrives(ON) == date(2026, 11, 11)
    assert way(1, 4, 2, deadline=date(2026, 11, 14)).hand_over == date(2026, 11, 4)
    assert way(1, 4, 2, deadline=date(2026, 11, 9)).late_days(ON) == 2


def test_a_carrier_whose_days_are_not_known_counts_as_none_and_is_told() -> None:
    some = way(1, 0)
    assert (some.unknown, some.told) == (("carrier 2",), "at least 1 working day on the way")
    assert way(0, deadline=date(2026, 11, 8)).hand_over == date(2026, 11, 8)
    assert way(0).told == ""
    assert Transit(PLACE, ("K1",), (Leg("c", 3, 5, WEEK, known=True),), None).told == "3 to 5 working days on the way"


@given(
    st.lists(st.integers(0, 9), min_size=1, max_size=4),
    st.dates(date(2026, 1, 1), date(2028, 1, 1)),
    st.frozensets(st.integers(0, 6), min_size=1),
)
def test_whoever_hands_over_by_the_day_told_is_in_time_and_a_day_later_is_not_sooner(
    days: list[int], deadline: date, weekdays: frozenset[int]
) -> None:
    transit = way(*days, deadline=deadline, works=Workdays(weekdays, frozenset()))
    day = transit.hand_over
    assert day is not None
    assert transit.late_days(day) == 0
    assert not any(days) or transit.late_days(day + timedelta(days=8)) > 0


def rates_with(days: int, most: int, as_of: date = date(2026, 10, 1)) -> Rates:
    """Return the built-in rates, their van so many days under way."""
    rates = default_rates()
    van = replace(rates.profile("van"), transit_days=days, transit_days_most=most, as_of=as_of)
    return replace(rates, freight=tuple(van if each.name == "van" else each for each in rates.freight))


def priced(place: Destination, rates: Rates | None = None, on: date = ON) -> Quote:
    """Price the small build to a place, by van."""
    return quote(small_build(), Office(rates=rates or rates_with(2, 4), destinations=Destinations((place,))), on=on)


ONE_LATE = (
    "to arrive by 2026-11-05 with 2 to 4 working days on the way the hand-over was due 2026-10-30; "
    "late by 1 day if handed over today"
)
VAN = Destination(PLACE, "US", km=Decimal(120), profile="van")


def lack(made: Quote, kind: str) -> Lack | None:
    """Return what a quote lacks of a kind."""
    return next((each for each in made.lacks if each.kind == kind), None)


def test_a_deadline_reaches_the_calendar() -> None:
    """To arrive by Fri 13 Nov after 4 working days, Mon 9; the shop hands over on its own day, and says how late."""
    made = priced(replace(VAN, deadline=date(2026, 11, 13)))
    assert [each.hand_over for each in made.transits] == [date(2026, 11, 9)]
    (hand_over,) = [each for each in plan_dates(made).entries if each.kind == "hand over"]
    assert hand_over.due == date(2026, 11, 9)
    assert hand_over.late_days == max(0, (hand_over.last - date(2026, 11, 9)).days)
    assert lack(made, "late") is None
    tight = plan_dates(priced(replace(VAN, deadline=date(2026, 11, 6))))
    late, arrives = tight.late
    assert (late.kind, late.due) == ("hand over", ON)
    assert (arrives.kind, arrives.due) == ("arrive", date(2026, 11, 6))
    assert arrives.late_days == (WEEK.later(late.last, 4) - date(2026, 11, 6)).days


def arrivals(made: Quote) -> list[Entry]:
    """Return when what is handed over arrives."""
    return [each for each in plan_dates(made).entries if each.kind == "arrive"]


def test_an_arrival_is_an_entry_between_the_carriers_fewest_and_most_days() -> None:
    """It stands in the table, the calendar file and the bars as all others, with its deadline as the due day."""
    made = priced(replace(VAN, deadline=date(2026, 12, 18)))
    plan = plan_dates(made)
    (handed,) = [each for each in plan.entries if each.kind == "hand over"]
    (arrives,) = arrivals(made)
    assert (arrives.first, arrives.last) == (WEEK.later(handed.last, 2), WEEK.later(handed.last, 4))
    assert arrives.first < arrives.last
    assert (arrives.what, arrives.due, arrives.late_days) == (PLACE, date(2026, 12, 18), 0)
    assert arrives.note == "2 packages: K1, K4; 2 to 4 working days on the way"
    assert plan.entries[-1] == arrives, "it comes last"
    assert "there by" not in handed.note
    assert f"SUMMARY:Arrive: {PLACE}".encode() in calendar_ics(plan, "A job")
    assert f"arrive,{PLACE},{arrives.first},{arrives.last},2026-12-18,0" in calendar_csv(plan)
    assert f"arrive: {PLACE}" in calendar_text(plan, made.rates.calendar)
    assert calendar_bars(plan)[-1].name == f"arrive {PLACE}"


def test_an_arrival_of_which_nothing_is_known_is_no_entry_and_a_deadline_makes_it_one() -> None:
    unknown = rates_with(0, 0)
    assert arrivals(priced(VAN, unknown)) == []
    (arrives,) = arrivals(priced(replace(VAN, deadline=date(2026, 12, 18)), unknown))
    assert arrives.first == arrives.last
    assert arrives.note.endswith("; days on the way not known")
    (counted,) = arrivals(priced(VAN, rates_with(0, 4)))
    assert counted.first == counted.last, "one number only"


def test_an_arrival_whose_freight_is_not_known_says_so() -> None:
    (arrives,) = arrivals(priced(replace(VAN, km=None, deadline=date(2026, 12, 18))))
    assert arrives.note.endswith(f"; incomplete: no freight to {PLACE}")


def test_what_goes_two_ways_to_one_place_arrives_in_two_entries() -> None:
    """Each bears the names of its crates, so that no two have one identity in a calendar file."""
    rates = rates_with(2, 4)
    light = FreightProfile("light", "fixed", amount=Decimal(20), heaviest_lb=Decimal(100), transit_days=1)
    made = priced(replace(VAN, profile="light, van"), replace(rates, freight=(*rates.freight, light)))
    assert len(made.shipments) == 2
    found = arrivals(made)
    assert sorted(each.what for each in found) == [f"{PLACE}, K1", f"{PLACE}, K4"]
    plan = plan_dates(made)
    ids = re.findall(rb"UID:(\S+)", calendar_ics(plan, "A job"))
    assert len(set(ids)) == len(ids) == len(plan.entries)


def test_without_a_deadline_nothing_is_due_as_before() -> None:
    entries = plan_dates(priced(VAN, default_rates())).entries
    assert [each.due for each in entries if each.kind == "hand over"] == [None]


@pytest.mark.parametrize(
    ("deadline", "told"),
    [
        (
            date(2026, 11, 5),
            ONE_LATE,
        ),
        (date(2026, 10, 30), "its deadline 2026-10-30 is 3 days past; late by 7 days if handed over today"),
    ],
    ids=["too late to hand over", "past"],
)
def test_a_deadline_that_cannot_be_kept_is_one_line_and_no_refusal(deadline: date, told: str) -> None:
    made = priced(replace(VAN, deadline=deadline))
    late = lack(made, "late")
    assert late is not None
    assert late.line == f"1 destination cannot be reached by its deadline: {PLACE} ({told})"
    assert not late.grave
    assert made.total == priced(VAN).total


def test_a_deadline_without_known_days_is_told() -> None:
    days = lack(priced(replace(VAN, deadline=date(2026, 12, 20)), rates_with(0, 0)), "days")
    assert days is not None
    assert days.line.endswith(f"{PLACE} (none are known of Our own van; they count as none)")
    assert lack(priced(VAN, rates_with(0, 0)), "days") is None
    collected = Destination(PLACE, "US", profile="collect", deadline=date(2026, 12, 20))
    assert lack(priced(collected), "days") is None


def test_a_quotation_that_ran_out_is_one_line_and_the_estimate_counts() -> None:
    place = replace(VAN, quoted=Decimal("99.00"), quoted_until=date(2026, 11, 1))
    made = priced(place)
    assert made.total == priced(VAN).total
    expired = lack(made, "quotation")
    assert expired is not None
    assert expired.line == (
        f"1 quotation has run out: {PLACE} (USD 99.00 was quoted until 2026-11-01; the estimate counts again)"
    )
    holds = priced(place, on=date(2026, 11, 1))
    assert lack(holds, "quotation") is None
    assert holds.step("freight").amount == Decimal("99.00")
    assert holds.incomplete == ()


def test_figures_go_stale_by_the_rule_alone() -> None:
    rates = rates_with(2, 4, as_of=date(2026, 5, 1))
    assert lack(priced(VAN, replace(rates, delivery=replace(rates.delivery, freight_stale_days=0))), "figures") is None
    asked = replace(rates, delivery=replace(rates.delivery, freight_stale_days=184))
    old = lack(priced(VAN, asked), "figures")
    assert old is not None
    assert old.line == "freight figures of 1 carrier are old: Our own van (of 2026-05-01, older than 184 days)"
    asked = replace(rates, delivery=replace(rates.delivery, freight_stale_days=185))
    assert lack(priced(VAN, asked), "figures") is None
