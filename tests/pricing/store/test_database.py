import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from pricing.store import Store, StoreError
from pricing.store.database import Database
from pricing.store.folder import FILE
from pricing.store.schema import MIGRATIONS, TABLES


def test_it_is_opened_so_that_a_commit_is_on_the_disk(tmp_path: Path) -> None:
    # SQLite's manual: with WAL, only synchronous=FULL (2) syncs the log before a commit returns.
    with closing(Database(tmp_path)) as database:
        settings = {
            name: database.rows(f"PRAGMA {name}")[0][0] for name in ("journal_mode", "synchronous", "foreign_keys")
        }
    assert settings == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


def test_every_table_of_the_schema_is_exported(tmp_path: Path) -> None:
    with closing(Database(tmp_path)) as database:
        found = {row[0] for row in database.rows("SELECT name FROM sqlite_master WHERE type = 'table'")}
    assert found - {"sqlite_sequence"} == set(TABLES)


def test_a_store_of_version_1_is_backed_up_and_brought_up_to_date(tmp_path: Path) -> None:
    with closing(Database(tmp_path, migrations=MIGRATIONS[:1])) as database, database.writing() as link:
        link.execute("INSERT INTO jobs (name, created, changed) VALUES ('Old job', 'a', 'b')")
    with closing(Store(tmp_path)) as store:
        assert store.database.version == len(MIGRATIONS)
        assert store.jobs.get(1).name == "Old job"
        assert store.rack.all() == []
    (backup,) = (tmp_path / "backups").iterdir()
    with closing(sqlite3.connect(backup)) as old:
        assert old.execute("PRAGMA user_version").fetchone() == (1,)
        assert old.execute("SELECT name FROM jobs").fetchone() == ("Old job",)
        assert old.execute("SELECT count(*) FROM sqlite_master WHERE name = 'offcuts'").fetchone() == (0,)


def test_a_migration_that_fails_leaves_the_version_before_it(tmp_path: Path) -> None:
    broken = (*MIGRATIONS, "CREATE TABLE more (id INTEGER) STRICT; INSERT INTO nowhere VALUES (1);")
    with pytest.raises(StoreError, match="nowhere"):
        Database(tmp_path, migrations=broken)
    with closing(Database(tmp_path)) as database:
        assert database.version == len(MIGRATIONS)
        assert not database.rows("SELECT 1 FROM sqlite_master WHERE name = 'more'")


def test_a_store_of_a_later_version_is_left_alone(tmp_path: Path) -> None:
    with closing(Database(tmp_path, migrations=(*MIGRATIONS, "CREATE TABLE later (id INTEGER) STRICT;"))):
        pass
    before = (tmp_path / FILE).read_bytes()
    with pytest.raises(StoreError, match="later version"):
        Store(tmp_path)
    assert (tmp_path / FILE).read_bytes() == before


def test_a_file_that_is_no_store_is_named(tmp_path: Path) -> None:
    (tmp_path / FILE).write_bytes(b"this is a letter, not a database, and long enough to be looked at" * 40)
    with pytest.raises(StoreError, match=FILE):
        Store(tmp_path)


def test_a_block_that_raises_writes_nothing(store: Store) -> None:

    def half() -> None:
        with store.database.writing():
            store.jobs.add("Half a job")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        half()
    assert store.jobs.find() == []


def test_foreign_keys_hold(store: Store) -> None:
    with pytest.raises(sqlite3.IntegrityError), store.database.writing() as link:
        link.execute("INSERT INTO standings (job, standing, on_day) VALUES (99, 'sent', '2026-11-25')")


def test_photos_of_version_2_become_part_of_every_revision_of_their_job(tmp_path: Path) -> None:
    """An undo of something older must not take a photo away, and no job may show another's."""
    with closing(Database(tmp_path, migrations=MIGRATIONS[:2])) as database, database.writing() as link:
        for job in (1, 2, 3):
            link.execute("INSERT INTO jobs (name, created, changed) VALUES ('Old job', 'a', 'b')")
            link.execute("INSERT INTO documents VALUES (?, 2)", (f"job:{job}",))
            for number in (1, 2):
                values = (f"job:{job}", number, f'{{"seed":{number}}}', number, number - 1 or None)
                link.execute("INSERT INTO revisions VALUES (?, ?, ?, 'x', 'y', ?, ?, NULL)", values)
        for job, piece, jpeg in ((1, "A-01", b"one"), (1, 'A"02', b"two"), (2, "A-01", b"three")):
            link.execute("INSERT INTO photos VALUES (?, ?, ?)", (job, piece, jpeg))
    with closing(Store(tmp_path)) as store:
        for job, wanted in ((1, {"A-01": b"one", 'A"02': b"two"}), (2, {"A-01": b"three"}), (3, {})):
            for content in (store.documents.get(f"job:{job}"), store.documents.undo(f"job:{job}", based_on=2)):
                photos = json.loads(content.content).get("photos", {})
                assert {piece: store.jobs.picture(number) for piece, number in photos.items()} == wanted
            assert json.loads(store.documents.get(f"job:{job}").content)["seed"] == 1


@pytest.mark.parametrize(
    ("query", "form"),
    [
        ("INSERT INTO jobs (name, created, changed) VALUES ('Old job', 'a', 'b')", 1),
        ("INSERT INTO documents VALUES ('prices', 1)", 1),
        ("INSERT INTO pictures VALUES (1, x'00')", 2),
    ],
)
def test_a_folder_that_holds_work_goes_on_with_the_rates_it_was_begun_with(
    tmp_path: Path, query: str, form: int
) -> None:
    with closing(Database(tmp_path, migrations=MIGRATIONS[:8])) as database, database.writing() as link:
        link.execute(query)
    with closing(Store(tmp_path)) as store:
        assert store.rates_form == form
