from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from hypothesis import given

from nesting.base.tables.cells import Cell, Unreadable
from nesting.intake.cells import CellError
from nesting.intake.days import read_day, read_moment
from tests.strategies import days, moments, odd_texts


@pytest.mark.parametrize(
    "text",
    ["2026-03-14", "2026/03/14", "2026.3.14", "14 March 2026", "14 Mar 2026", "14th of March 2026".replace(" of",
     ""), "March 14, 2026",
     "Mar. 14 2026", "14-Mar-2026", "14/03/2026", "03/14/2026", "14.03.2026", " 2026-03-14 ", "2026–03–14"],
)  # fmt: skip
def test_days_that_mean_one_thing(text: str) -> None:
    assert read_moment(text, "a day") == date(2026, 3, 14)
    assert read_day(text, "a day") == date(2026, 3, 14)


@pytest.mark.parametrize(
    "text",
    ["2026-03-14 14:30", "2026-03-14T14:30:00", "2026-03-14 2:30 pm", "14 March 2026, 14.30",
     "March 14 2026 at 2:30 p.m.",
     "14/03/2026 14:30", "2026-03-14 14h30"],
)  # fmt: skip
def test_days_with_a_time(text: str) -> None:
    assert read_moment(text, "a day") == datetime(2026, 3, 14, 14, 30)  # noqa: DTZ001 - local
    with pytest.raises(CellError, match="without a time"):
        read_day(text, "a day")


def test_noon_and_midnight() -> None:
    assert read_moment("2026-03-14 12:05 am", "a day") == datetime(2026, 3, 14, 0, 5)  # noqa: DTZ001 - local
    assert read_moment("2026-03-14 12:05 pm", "a day") == datetime(2026, 3, 14, 12, 5)  # noqa: DTZ001 - local


def test_a_day_and_a_month_that_may_be_swapped_are_asked_about() -> None:
    with pytest.raises(CellError, match="2026-03-04 or 2026-04-03"):
        read_moment("03/04/2026", "a day")
    assert read_moment("03/03/2026", "a day") == date(2026, 3, 3)


@pytest.mark.parametrize(
    "cell",
    ["2026-02-29", "2026-13-01", "31/04/2026", "30/30/2026", "03/04/26", "tomorrow", "2026", "2026-03",
     "14 Foo 2026", "1999-12-31",
     "2101-01-01", "9999-12-31", "0001-01-01", "2026-03-14 25:00", "2026-03-14 13:00 pm", "2026-03-14 10:00Z",
     "2026-03-14T10:00+02:00",
     "2026-03-14 soon", 46095, 46095.5, True, time(10), [], {}, Unreadable("#REF!",
     "a value"), "x" * 5000, "2026/03-14",
     datetime(2026, 3, 14, tzinfo=UTC), datetime.max, datetime.min, date.max],  # noqa: DTZ901 - the ends of time are refused
)  # fmt: skip
def test_what_is_no_day_is_refused(cell: Any) -> None:
    with pytest.raises(CellError):
        read_moment(cell, "a day")


@pytest.mark.parametrize("cell", [None, "", " ", "-", "–", "n/a", "None"])
def test_blank_days(cell: Cell) -> None:
    assert read_moment(cell, "a day") is None
    assert read_day(cell, "a day") is None


@given(days, moments)
def test_iso_days_and_times_read_back(day: date, moment: datetime) -> None:
    assert read_day(day.isoformat(), "a day") == day
    assert read_moment(moment.isoformat(), "a day") == moment
    assert read_moment(moment.isoformat(" "), "a day") == moment
    # A spreadsheet's date cell is a time at midnight.
    assert read_day(datetime.combine(day, time()), "a day") == day


@given(odd_texts())
def test_odd_texts_are_refused_or_read(text: str) -> None:
    try:
        found = read_moment(text, "a day")
    except CellError:
        return
    assert found is None or 2000 <= found.year <= 2100
