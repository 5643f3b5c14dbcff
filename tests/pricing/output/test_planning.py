"""The planning commands from files to text and files: what they print, write and refuse."""

import json
from pathlib import Path

import pytest
from icalendar import Calendar
from typer.testing import CliRunner

from nesting.base.faults import FaultsFound
from pricing.cli.command import app

SAMPLES = Path(__file__).parents[3] / "sample_orders"
SALE = str(SAMPLES / "small_sale.csv")
DAY = ("--date", "2027-03-01")


def run(*words: str) -> str:
    result = CliRunner().invoke(app, words, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def refused(*words: str) -> str:
    with pytest.raises(FaultsFound) as error:
        CliRunner().invoke(app, words, catch_exceptions=False)
    return str(error.value)


def test_compare_prints_a_table_or_json_of_the_same_figures() -> None:
    text = run("compare", SALE, *DAY)
    plain = json.loads(run("compare", SALE, *DAY, "--json"))
    assert [unit["unit"] for unit in plain["units"]] == ["S-01", "S-02"]
    for money in (plain["now"]["total"], plain["best"]["total"]):
        assert f"{float(money):,.2f}" in text
    assert f"{plain['evaluations']} whole orders priced; every combination was priced." in text


@pytest.mark.parametrize("day", ["1999-12-31", "2101-01-01", "9999-12-31", "2027-13-01"])
@pytest.mark.parametrize("command", ["calendar", "compare", "returns"])
def test_a_day_that_nothing_can_be_planned_around_is_refused(command: str, day: str) -> None:
    result = CliRunner().invoke(app, [command, SALE, "--date", day])
    assert result.exit_code == 2, result.exception
    assert day in result.output


def test_compare_by_the_trip_says_so() -> None:
    assert "a trip, crates written off" in run("compare", SALE, *DAY, "--by-trip", "--free")


def test_what_if_puts_scenarios_beside_the_order(tmp_path: Path) -> None:
    scenarios = tmp_path / "ways.toml"
    scenarios.write_text('[scenario.one]\ntitle = "Only one"\n[scenario.one.order]\nwithout = ["S-02"]\n', "utf-8")
    text = run("what-if", SALE, str(scenarios), *DAY, "--effort", "quick")
    plain = json.loads(run("what-if", SALE, str(scenarios), *DAY, "--effort", "quick", "--json", "--workers", "1"))
    assert [each["name"] for each in plain["scenarios"]] == ["as it is", "one"]
    assert "Only one" in text
    assert all(f"{float(each['total']):,.2f}" in text for each in plain["scenarios"])
    scenarios.write_text('[scenario.one.order]\nwithout = ["S-03"]\n', "utf-8")
    assert 'ways.toml, scenario.one.order, without: found "S-03"' in refused("what-if", SALE, str(scenarios))


def test_calendar_prints_and_writes_the_same_days(tmp_path: Path) -> None:
    text = run("calendar", SALE, *DAY, "--out", str(tmp_path / "new"))
    events = Calendar.from_ical((tmp_path / "new" / "calendar.ics").read_bytes()).walk("VEVENT")
    table = (tmp_path / "new" / "calendar.csv").read_text("utf-8").splitlines()
    kinds = ("cure", "buy", "cut", "build", "pack", "hand", "arrive")
    lines = [line for line in text.splitlines() if line.startswith(kinds)]
    assert len(events) == len(table) - 1 == len(lines)
    assert "Written to" in text
    assert "Written to" not in run("calendar", SALE, *DAY)


def test_returns_takes_pieces_and_refuses_strangers() -> None:
    assert "S-01" in run("returns", SALE, *DAY)
    assert "S-02" not in run("returns", SALE, *DAY, "--unsold", "S-01")
    assert 'found "S-09"' in refused("returns", SALE, *DAY, "--unsold", "S-09")
