"""What jobs took: noted, put elsewhere, taken out; read with what was reckoned; and brought over from free text."""

import json
from contextlib import closing
from dataclasses import asdict, replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import get_args

import pytest

from pricing.quoting.labour import Operation
from pricing.quoting.noted import HOURS, OTHER, RECEIPTS, ROOMS
from pricing.store import Store
from pricing.store.database import Database
from pricing.store.pins import Pinning
from pricing.store.schema import MIGRATIONS
from pricing.store.took import Actual, Noting
from tests.pricing.made_by_0_1_0 import data_folder
from tests.pricing.store.outgoing import outgoing

ON = date(2026, 11, 20)
BENCH = Noting("hours", ON, "", Decimal("2.5"), under="bench")
YARD = Noting(
    "receipt", date(2026, 11, 19), "Yard", Decimal("310.20"), "two trips", "sheets", "ply-3/8 4x8", Decimal(6),
    Decimal("0.5"),
)  # fmt: skip


def test_what_was_noted_is_kept_and_can_come_back(store: Store) -> None:
    job = store.jobs.add("Spring show")
    entry = store.took.add(job, BENCH)
    store.took.add(job, YARD)
    kept = store.took.of(job)
    assert [_noting(each) for each in kept] == [YARD, BENCH]
    assert [each.used for each in kept] == [Decimal("5.5"), None]
    store.took.strike(job, entry)
    assert [each.what for each in store.took.of(job)] == ["Yard"]
    assert [each.id for each in store.took.of(job, gone=True)] == [entry]
    store.took.strike(job, entry, gone=False)
    assert len(store.took.of(job)) == 2


def _noting(kept: Actual) -> Noting:
    values = asdict(kept)
    del values["id"]
    return Noting(**values)


def test_an_entry_goes_under_another_heading_with_its_words_as_typed(store: Store) -> None:
    job = store.jobs.add("Spring show")
    entry = store.took.add(job, Noting("hours", ON, "Tuesday evening", Decimal(3)))
    store.took.put(job, entry, "screw")
    (found,) = store.took.of(job)
    assert (found.under, found.what) == ("screw", "Tuesday evening")
    receipt = store.took.add(job, YARD)
    store.took.tell(job, receipt, "ply-1/2 4x8", Decimal(3), None)
    (told, _) = store.took.of(job)
    assert (told.stock, told.bought, told.left, told.used) == ("ply-1/2 4x8", Decimal(3), None, None)
    with pytest.raises(LookupError):
        store.took.tell(job, entry, "ply-1/2 4x8", Decimal(3), None)


def test_an_entry_of_another_job_is_not_touched(store: Store) -> None:
    one, other = store.jobs.add("One"), store.jobs.add("Other")
    entry = store.took.add(one, BENCH)
    with pytest.raises(LookupError):
        store.took.strike(other, entry)
    with pytest.raises(LookupError):
        store.took.put(other, entry, "saw")
    with pytest.raises(LookupError):
        store.took.add(other + 1, BENCH)
    assert store.took.of(one)[0].under == "bench"


def test_past_jobs_come_with_the_quote_that_is_pinned_else_sent_last(store: Store) -> None:
    sent, pinned, draft, away = (store.jobs.add(name) for name in ("Sent", "Pinned", "Draft", "Away"))
    store.jobs.add("Nothing noted")
    for job in (sent, pinned, draft, away):
        store.took.add(job, BENCH)
    tables = [{"labour": [{"operation": "Rips", "count": count}], "takeoff": []} for count in (1, 2, 3)]
    results = [json.dumps({"tables": each}) for each in tables]
    for result in results[:2]:
        store.quotes.freeze(sent, replace(outgoing("9.00"), result=result), "test")
    store.quotes.freeze(pinned, replace(outgoing("9.00"), result=results[0]), "test")
    store.pins.pin(pinned, Pinning("accepted", ON, 1, "{}", None, results[2]), "test", based_on=0)
    for standing in ("delivered", "paid"):
        store.jobs.stand(sent, standing, ON)
    store.jobs.stand(pinned, "delivered", ON)
    store.jobs.stand(pinned, "declined", ON)
    gone = store.jobs.stand(draft, "delivered", ON)
    store.jobs.strike(draft, gone)
    store.jobs.stand(away, "invoiced", ON)
    store.jobs.archive(away)
    found = store.took.past()
    assert [(each.name, each.done, each.is_reckoned, each.pins) for each in found] == [
        ("Sent", True, True, 0), ("Pinned", False, True, 1), ("Draft", False, False, 0), ("Away", True, False, 0),
    ]  # fmt: skip
    assert [each.labour for each in found] == [tables[1]["labour"], tables[2]["labour"], [], []]
    store.took.strike(sent, store.took.of(sent)[0].id)
    assert [each.name for each in store.took.past()] == ["Pinned", "Draft", "Away"]


OLD = (
    ("hours", "hour saw", "first cuts", "saw"),
    ("hours", "hour bench", "", "bench"),
    ("hours", " Hour Packing ", "", "packing"),
    ("hours", "hour bench", "Screws driven", "screw"),
    ("hours", "hour bench", "drilling and screws", "bench"),
    ("hours", "Ripping", "", "rip"),
    ("hours", "hour joiner", "", OTHER),
    ("hours", "whole day; it's late", "", OTHER),
    ("receipt", "Eastbank Panel Yard (invented)", "sheets", "sheets"),
    ("receipt", "Eastbank Panel Yard (invented)", "sheets and screws", OTHER),
    ("receipt", "Freight", "", "freight"),
    ("receipt", "hour saw", "", OTHER),
)
"""Kind, what was typed, its note, and the heading that it comes under."""


def test_free_text_of_before_stays_and_counts_where_it_names_one_heading(tmp_path: Path) -> None:
    with closing(Database(tmp_path, migrations=MIGRATIONS[:9])) as database, database.writing() as link:
        link.execute("INSERT INTO jobs (name, created, changed) VALUES ('Old job', 'a', 'b')")
        for number, (kind, what, note, _) in enumerate(OLD):
            row = (1, kind, "2026-10-01", what, "2.50", note, number % 2)
            link.execute(
                "INSERT INTO actuals (job, kind, on_day, what, amount, note, gone) VALUES (?, ?, ?, ?, ?, ?, ?)", row
            )
    with closing(Store(tmp_path)) as store:
        kept = sorted((*store.took.of(1), *store.took.of(1, gone=True)), key=lambda each: each.id)
        assert [(each.kind, each.what, each.note, each.under) for each in kept] == list(OLD)
        assert {(str(each.amount), each.stock, each.bought, each.left) for each in kept} == {("2.50", "", None, None)}
        assert len(store.took.of(1)) == len(OLD) // 2
        leftover = store.database.rows("SELECT name FROM sqlite_temp_master")
        assert not leftover


def test_every_heading_that_the_migration_gives_is_one_of_the_list(tmp_path: Path) -> None:
    """And it gives every operation's own title its operation: read out of the migration itself."""
    rows = MIGRATIONS[9].split("VALUES", 1)[1].split(";", 1)[0]
    named: dict[str, dict[str, str]] = {"hours": {}, "receipt": {}}
    with closing(Database(tmp_path)) as database:
        for kind, words, heading in database.rows(f"VALUES {rows}"):
            named[kind][words] = heading
    assert set(named["hours"].values()) <= set(HOURS) - {OTHER, *ROOMS}
    assert set(named["receipt"].values()) <= set(RECEIPTS) - {OTHER}
    assert {named["hours"][HOURS[operation].lower()] for operation in get_args(Operation)} == set(get_args(Operation))


def test_what_0_1_0_noted_comes_under_its_rooms(tmp_path: Path) -> None:
    with closing(Store(data_folder(tmp_path / "data"))) as store:
        found = [(each.kind, each.what, each.under) for each in store.took.of(1)]
        assert found == [
            ("hours", "hour saw", "saw"), ("receipt", "Eastbank Panel Yard (invented)", "sheets"),
            ("hours", "hour bench", "bench"),
        ]  # fmt: skip
        (past,) = store.took.past()
        assert (past.name != "", past.done, past.is_reckoned) == (True, False, True)
        assert past.labour[0] == {
            "operation": "Sheets brought to the saw", "count": 19, "minutes each": "3", "hours": "0.9500",
            "hour": "hour saw", "rate": "46.00", "amount": "43.70",
        }  # fmt: skip
