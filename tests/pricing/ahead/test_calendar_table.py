"""The calendar as rows, text, CSV and bars: the same days in all of them."""

import csv
import io
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from nesting.drawings.day_bars import bar_scenes
from nesting.drawings.scene import Text
from pricing.ahead.calendar.dates import Calendar, Entry
from pricing.ahead.calendar.table import (
    COLUMNS,
    calendar_bars,
    calendar_csv,
    calendar_rows,
    calendar_text,
    days_off,
    packet_days,
)
from pricing.studio.calendar_rules import CalendarRules

RULES = CalendarRules(closed="2027-03-29")
ENTRIES = (
    Entry("cure", "A-01", date(2027, 3, 26), date(2027, 3, 29), note="rests"),
    Entry("buy", "A yard", date(2027, 3, 26), date(2027, 3, 30), note="2 lines"),
    Entry("cut", "everything", date(2027, 3, 30), date(2027, 3, 30), hours=Decimal("1.5")),
    Entry("hand over", "Here", date(2027, 4, 1), date(2027, 4, 1), due=date(2027, 3, 31)),
)
CALENDAR = Calendar(date(2027, 3, 26), ENTRIES, date(2027, 3, 25))


def test_rows_have_the_columns_and_days_of_the_entries() -> None:
    rows = calendar_rows(CALENDAR)
    assert len(rows) == len(ENTRIES)
    assert all(len(row) == len(COLUMNS) for row in rows)
    assert rows[3] == ("hand over", "Here", date(2027, 4, 1), date(2027, 4, 1), date(2027, 3, 31), 1, "", "")
    read = list(csv.DictReader(io.StringIO(calendar_csv(CALENDAR))))
    assert [row["first"] for row in read] == ["2027-03-26", "2027-03-26", "2027-03-30", "2027-04-01"]
    assert (read[2]["hours"], read[3]["days_late"]) == ("1.5", "1")


def test_days_off_are_weekends_and_closed_days() -> None:
    # Sat 27, Sun 28 and the closed Monday 29 March 2027
    assert days_off(CALENDAR, RULES) == {date(2027, 3, 27), date(2027, 3, 28), date(2027, 3, 29)}
    assert days_off(Calendar(date(2027, 1, 1), (), None), RULES) == frozenset()


def test_the_text_has_a_sign_for_each_day() -> None:
    """Seven days, 26 March to 1 April, by hand."""
    lines = calendar_text(CALENDAR, RULES).splitlines()
    start = lines[0].index("03-26")
    assert [line[start:] for line in lines[1:5]] == ["----", "-----", " ...#", " ...  !"]
    assert "1 d" in lines[4]
    assert "Late: hand over Here by 1 day." in lines
    assert "Last day to buy without being late: 2027-03-25." in lines


@pytest.mark.parametrize(
    ("due", "told", "begins"),
    [
        (date(1, 1, 1), "740071 d", "03-26"),
        (date(2026, 3, 24), "373 d", "03-26"),
        (date(2026, 3, 25), "372 d", "03-25"),
        (date.max, "", "03-26"),
    ],
)
def test_a_due_day_far_from_all_work_is_told_and_takes_no_room(due: date, told: str, begins: str) -> None:
    """A deadline of the year 1 or 9999; 1 April 2027 is 740071 days after 1 January of the year 1."""
    far = replace(CALENDAR, entries=(*ENTRIES[:3], replace(ENTRIES[3], due=due)))
    lines = calendar_text(far, RULES).splitlines()
    assert told in lines[4]
    assert begins in lines[0]
    assert len(days_off(far, RULES)) == (3 if begins == "03-26" else 107)
    (scene,) = bar_scenes(calendar_bars(far), 500, 700)
    said = " ".join(each.text for each in scene.items if isinstance(each, Text))
    assert ("late" in said) is bool(told)


def test_a_long_calendar_is_drawn_with_several_days_to_a_sign() -> None:
    long = Calendar(date(2027, 1, 1), (Entry("cure", "A", date(2027, 1, 1), date(2027, 12, 31)),), None)
    lines = calendar_text(long, RULES).splitlines()
    # 365 days in at most 60 signs: 7 days each
    assert lines[1].endswith(" " + "-" * 53)
    assert "a sign is 7 days" in lines[3]
    assert calendar_text(Calendar(date(2027, 1, 1), (), None), RULES) == "Nothing to plan."


def test_no_day_early_enough_is_said() -> None:
    assert "No day of buying is early enough" in calendar_text(Calendar(CALENDAR.on, ENTRIES, None), RULES)


def test_bars_and_the_packet_take_the_same_days() -> None:
    bars = calendar_bars(CALENDAR)
    assert [(bar.first, bar.last, bar.late) for bar in bars] == [(e.first, e.last, e.late_days) for e in ENTRIES]
    assert [bar.look for bar in bars] == ["passing", "passing", "work", "moment"]
    days = packet_days(CALENDAR, RULES)
    assert days.bars == bars
    assert days.hours == {"cut everything": "1.5"}
    assert "Late: hand over Here, 1 day." in days.told
