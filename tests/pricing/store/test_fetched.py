"""What was fetched at the yard: a part of a line, the whole of it, and back."""

from contextlib import closing
from decimal import Decimal
from pathlib import Path

import pytest

from pricing.store import Store
from pricing.store.database import Database
from pricing.store.schema import MIGRATIONS

SHEET = "ply-3/8 4x8"
FIVE = Decimal(5)


def counts(store: Store, job: int) -> dict[str, str]:
    return {stock: str(count) for stock, count in store.jobs.fetched(job).items()}


def test_a_tick_that_is_taken_back_brings_the_part_back(store: Store) -> None:
    job = store.jobs.add("Yard")
    store.jobs.fetch(job, SHEET, Decimal(2))
    store.jobs.fetch(job, SHEET, FIVE)
    store.jobs.fetch(job, SHEET, FIVE)  # sent twice
    assert counts(store, job) == {SHEET: "5"}
    store.jobs.unfetch(job, SHEET, FIVE)
    assert counts(store, job) == {SHEET: "2"}
    store.jobs.unfetch(job, SHEET, FIVE)  # by another tab, or sent twice
    assert counts(store, job) == {SHEET: "2"}


def test_a_tick_of_nothing_before_it_leaves_nothing(store: Store) -> None:
    job = store.jobs.add("Yard")
    store.jobs.fetch(job, SHEET, FIVE)
    store.jobs.fetch(job, "tube", Decimal("1.5"))
    store.jobs.unfetch(job, SHEET, FIVE)
    assert counts(store, job) == {"tube": "1.5"}
    store.jobs.unfetch(job, "paper", FIVE)
    assert counts(store, job) == {"tube": "1.5"}


def test_what_a_person_says_counts(store: Store) -> None:
    """A lower number is a correction, not a tick: it is not undone by taking a tick back."""
    job = store.jobs.add("Yard")
    for count in (3, 1, 5):
        store.jobs.fetch(job, SHEET, Decimal(count))
    store.jobs.unfetch(job, SHEET, FIVE)
    assert counts(store, job) == {SHEET: "1"}
    store.jobs.fetch(job, SHEET, Decimal(0))
    store.jobs.fetch(job, SHEET, FIVE)
    store.jobs.unfetch(job, SHEET, FIVE)
    assert counts(store, job) == {}


def test_a_line_that_grew_keeps_what_was_ticked_off(store: Store) -> None:
    job = store.jobs.add("Yard")
    store.jobs.fetch(job, SHEET, Decimal(3))
    store.jobs.fetch(job, SHEET, FIVE)  # the line wants five by now
    store.jobs.unfetch(job, SHEET, FIVE)
    assert counts(store, job) == {SHEET: "3"}
    store.jobs.fetch(job, SHEET, FIVE)
    store.jobs.unfetch(job, SHEET, Decimal(4))  # and four, on a page that is up to date
    assert counts(store, job) == {SHEET: "3"}


def test_no_job_no_tick(store: Store) -> None:
    with pytest.raises(LookupError):
        store.jobs.fetch(9, SHEET, FIVE)
    store.jobs.unfetch(9, SHEET, FIVE)
    assert store.jobs.fetched(9) == {}


def test_ticks_of_an_older_store_are_kept(tmp_path: Path) -> None:
    with closing(Database(tmp_path, migrations=MIGRATIONS[:4])) as database, database.writing() as link:
        link.execute("INSERT INTO jobs (name, created, changed) VALUES ('Old job', 'a', 'b')")
        link.execute("INSERT INTO fetched VALUES (1, ?, '5')", (SHEET,))
    with closing(Store(tmp_path)) as store:
        assert counts(store, 1) == {SHEET: "5"}
        store.jobs.unfetch(1, SHEET, FIVE)
        assert counts(store, 1) == {}
