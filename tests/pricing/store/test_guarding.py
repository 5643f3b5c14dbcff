"""What can happen to the store's file, and to the disk below it: told by its cause, and nothing kept is lost."""

import errno
import os
import shutil
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from random import Random
from threading import Thread

import pytest

from pricing.store import OpenElsewhereError, Store, StoreError, UnusableError, UnwritableError
from pricing.store.backups import backups_in
from pricing.store.database import Database
from pricing.store.errors import told, told_of_system
from pricing.store.folder import BACKUPS, FILE, LOCK, PASSING, DataFolder
from pricing.store.restoring import recover
from pricing.store.schema import MIGRATIONS

PAGE = 4096


def _begun(folder: Path, jobs: int = 60) -> Path:
    """Begin a store with so many jobs, and close it; return its file."""
    with closing(Store(folder)) as store:
        for number in range(jobs):
            job = store.jobs.add(f"Job {number}")
            store.documents.save(f"job:{job}", f'"{"x" * 9000}{number}"', based_on=0, what="begun")
    return folder / FILE


# What happened while the desk was closed.


def test_twelve_damaged_pages_are_found_at_the_start_and_nothing_is_written(tmp_path: Path) -> None:
    """Wherever they lie: of every draw of twelve, the file is refused and left as it is."""
    whole = _begun(tmp_path / "whole").read_bytes()
    pages = len(whole) // PAGE
    assert pages > 150
    for seed in range(8):
        chance = Random(seed)
        damaged = bytearray(whole)
        for page in chance.sample(range(1, pages), 12):
            damaged[page * PAGE : (page + 1) * PAGE] = chance.randbytes(PAGE)
        folder = tmp_path / str(seed)
        folder.mkdir()
        (folder / FILE).write_bytes(damaged)
        with pytest.raises(UnusableError, match="is damaged"):
            Store(folder)
        assert (folder / FILE).read_bytes() == damaged


def test_an_empty_file_is_no_empty_desk(tmp_path: Path) -> None:
    (tmp_path / FILE).write_bytes(b"")
    with pytest.raises(UnusableError, match="is empty: 0 bytes"):
        Store(tmp_path)
    assert (tmp_path / FILE).read_bytes() == b""


@pytest.mark.parametrize("left", ["the lock's text", "a backup", "the log"])
def test_a_file_that_is_gone_is_no_new_desk(tmp_path: Path, left: str) -> None:
    """An older folder has no lock with a text; then what lies beside the file tells."""
    if left == "the lock's text":
        _begun(tmp_path, 1).unlink()
    elif left == "a backup":
        with closing(Database(tmp_path)) as database:
            database.back_up("daily")
        (tmp_path / FILE).unlink()
    else:
        (tmp_path / f"{FILE}-wal").write_bytes(b"of a crash")
    with pytest.raises(UnusableError, match="is gone"):
        Store(tmp_path)
    assert not (tmp_path / FILE).exists()


@pytest.mark.parametrize("counted", [0, 3, len(MIGRATIONS)])
def test_a_database_of_another_program_is_left_alone(tmp_path: Path, counted: int) -> None:
    """Whatever that program counts where we keep our version."""
    with closing(sqlite3.connect(tmp_path / FILE)) as link:
        link.execute("CREATE TABLE theirs (id INTEGER)")
        link.execute(f"PRAGMA user_version={counted}")
    before = (tmp_path / FILE).read_bytes()
    with pytest.raises(UnusableError, match="is a database, but no store of this program"):
        Store(tmp_path)
    assert (tmp_path / FILE).read_bytes() == before
    assert not (tmp_path / BACKUPS).exists()


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        ("DROP TABLE jobs", "is not whole: table jobs is missing"),
        ("ALTER TABLE jobs RENAME COLUMN name TO nome", "column name of jobs is missing"),
    ],
)
def test_a_store_that_lost_a_table_or_a_column_is_told_at_the_start(tmp_path: Path, spoilt: str, said: str) -> None:
    """SQLite's check finds no fault in it."""
    Store(tmp_path).close()
    with closing(sqlite3.connect(tmp_path / FILE)) as link:
        link.execute("PRAGMA writable_schema=ON")
        link.create_function("plain", 1, str, deterministic=True)
        link.execute(spoilt)
        link.commit()
    with pytest.raises(UnusableError, match=said):
        Store(tmp_path)


def test_a_folder_where_the_store_should_be_is_no_want_of_rights(tmp_path: Path) -> None:
    (tmp_path / FILE).mkdir()
    with pytest.raises(UnusableError, match="is no file, but a folder"):
        Store(tmp_path)


def test_a_kill_while_a_desk_is_begun_leaves_no_half_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file has its name only when it is whole; what is left of it is cleared at the next start."""

    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr("pricing.store.database.settle", killed)
        with pytest.raises(KeyboardInterrupt):
            Store(tmp_path)
    assert not (tmp_path / FILE).exists()
    with closing(Store(tmp_path)) as store:
        assert store.jobs.count() == 0


# What happens while it is open.


@pytest.mark.parametrize(
    ("happens", "said"),
    [
        (lambda path: path.unlink(), "is gone: it was deleted or moved while the desk was open"),
        (lambda path: path.rename(path.with_suffix(".old")), "is gone"),
        (lambda path: shutil.copyfile(path, path.with_suffix(".x")).replace(path), "is another file: it was replaced"),
        (lambda path: os.truncate(path, 0), "was emptied"),
    ],
    ids=["deleted", "moved", "replaced", "emptied"],
)
def test_a_write_into_a_file_that_is_not_there_any_more_is_not_acknowledged(
    store: Store, happens: Callable[[Path], object], said: str
) -> None:
    store.jobs.add("Before")
    happens(store.database.path)
    with pytest.raises(UnusableError, match=said):
        store.jobs.add("Into nowhere")
    with pytest.raises(UnusableError, match=said):
        store.jobs.find()
    with pytest.raises(UnusableError, match=said):
        store.database.check()


def test_a_file_that_goes_between_the_write_and_its_answer_is_told(store: Store) -> None:
    def saved() -> None:
        with store.database.writing() as link:
            link.execute("INSERT INTO jobs (name, created, changed) VALUES ('Lost', 'a', 'b')")
            store.database.path.unlink()

    with pytest.raises(UnusableError, match="is gone"):
        saved()


def test_damage_is_found_by_the_check_and_by_reading(store: Store) -> None:
    for number in range(30):
        store.documents.save(f"note:{number}", "x" * 9000, based_on=0, what="begun")
    store.database.check()
    store.database.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    damaged = bytearray(store.database.path.read_bytes())
    damaged[2 * PAGE :] = b"\xff" * (len(damaged) - 2 * PAGE)
    with store.database.path.open("rb+") as file:
        file.write(damaged)
    with pytest.raises(UnusableError, match="is damaged"):
        store.database.check()
    assert "is damaged" in store.database.trouble
    with pytest.raises(UnusableError, match="is damaged"):
        store.jobs.add("Nothing is written any more")


# Other programs, and the system.


def test_one_desk_a_folder_and_a_crash_frees_it(tmp_path: Path) -> None:
    code = f"""if True:
        from pathlib import Path
        from pricing.store import Store
        store = Store(Path({str(tmp_path)!r}))
        print(flush=True)
        input()
    """
    with subprocess.Popen([sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE) as other:
        assert other.stdout is not None
        other.stdout.readline()
        with pytest.raises(OpenElsewhereError, match=rf"Another desk \(process {other.pid}\) is open on"):
            Store(tmp_path)
        other.kill()
        other.wait()
    with closing(Store(tmp_path)) as store, pytest.raises(OpenElsewhereError):
        Store(store.folder)
    with closing(Store(tmp_path)) as store:
        assert store.jobs.add("Free again") == 1


def test_a_full_disk_is_told_and_nothing_is_lost(store: Store) -> None:
    """SQLite's own bound on pages stands for the disk's: both give SQLITE_FULL."""
    before = store.jobs.keep_picture(b"kept")
    pages = store.database.rows("PRAGMA page_count")[0][0]
    store.database.rows(f"PRAGMA max_page_count={pages + 2}")
    with pytest.raises(UnwritableError, match=r"The disk that holds .* is full. Nothing of this was kept") as caught:
        store.jobs.keep_picture(b"x" * 100_000)
    assert caught.value.full
    assert store.jobs.picture(before) == b"kept"
    assert store.jobs.picture(before + 1) is None
    store.database.rows(f"PRAGMA max_page_count={pages + 1000}")
    assert store.jobs.keep_picture(b"x" * 100_000) == before + 1, "with room again it goes on"


def test_a_disk_that_can_only_be_read_is_told(store: Store) -> None:
    store.database.rows("PRAGMA query_only=ON")
    with pytest.raises(UnwritableError, match="can only be read") as caught:
        store.jobs.add("x")
    assert not caught.value.full


def test_once_the_protection_is_lifted_the_desk_goes_on(store: Store) -> None:
    """A connection that was opened while the file was protected never writes: it is opened anew."""
    store.database.rows("PRAGMA query_only=ON")
    with pytest.raises(UnwritableError, match="Lift the protection, then try again"):
        store.jobs.add("x")
    assert store.jobs.add("x") == 1


@pytest.mark.skipif(os.name != "posix", reason="rights as POSIX has them")
def test_what_lies_beside_a_store_has_its_rights_and_a_protected_one_stays_protected(tmp_path: Path) -> None:
    """SQLite makes ``-shm`` with the file's rights: after one start while protected it could never be written again."""
    Store(tmp_path).close()
    file, beside = tmp_path / FILE, tmp_path / f"{FILE}-shm"
    beside.touch()
    beside.chmod(0o400)
    with closing(Store(tmp_path)):
        assert beside.stat().st_mode & 0o777 == 0o600
    file.chmod(0o444)
    with closing(Store(tmp_path)):
        assert file.stat().st_mode & 0o777 == 0o400


def test_a_file_that_another_program_holds_is_told(store: Store) -> None:
    store.database.rows("PRAGMA busy_timeout=20")
    with closing(sqlite3.connect(store.database.path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(UnwritableError, match=r"Another program holds .*Close that program"):
            store.jobs.add("x")
        other.execute("ROLLBACK")
    assert store.jobs.add("x") == 1


@pytest.mark.parametrize(
    ("code", "words", "full"),
    [
        (sqlite3.SQLITE_CANTOPEN, "There is no permission to open", False),
        (sqlite3.SQLITE_READONLY_DBMOVED, "can only be read", False),
        (sqlite3.SQLITE_IOERR_WRITE, "The disk that holds .* fails", False),
        (sqlite3.SQLITE_FULL, "is full", True),
    ],
)
def test_each_cause_has_its_sentence(code: int, words: str, full: bool) -> None:
    error = sqlite3.OperationalError("said")
    error.sqlite_errorcode = code
    found = told(error, Path("desk.sqlite"))
    with pytest.raises(UnwritableError, match=words) as caught:
        raise found or AssertionError
    assert caught.value.full == full


def test_what_is_about_a_row_is_not_about_the_disk() -> None:
    error = sqlite3.IntegrityError("said")
    error.sqlite_errorcode = sqlite3.SQLITE_CONSTRAINT_TRIGGER
    assert told(error, Path("desk.sqlite")) is None
    assert told_of_system(FileNotFoundError(errno.ENOENT, "said", "x"), "y") is None


@pytest.mark.parametrize(
    ("number", "words", "full"),
    [
        (errno.ENOSPC, "is full", True),
        (errno.EDQUOT, "is full", True),
        (errno.EROFS, "can only be read", False),
        (errno.EACCES, "no permission", False),
    ],
)
def test_the_system_says_the_same(number: int, words: str, full: bool) -> None:
    found = told_of_system(OSError(number, "said", "/there/x"))
    assert found is not None
    assert words in str(found)
    assert "/there/x" in str(found)
    assert "/the/store" in str(told_of_system(OSError(number, "said", "/there/x"), Path("/the/store")))
    assert found.full == full


@pytest.mark.skipif(os.name != "posix", reason="rights as POSIX has them")
def test_the_folder_is_its_owners_alone(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    with closing(Store(folder)) as store:
        store.jobs.add("x")
        made = store.database.back_up("daily")
        assert store.remarks == ()
        open_to_others = [path for path in (folder, *folder.rglob("*")) if path.stat().st_mode & 0o077]
        assert made.exists()
        assert open_to_others == []
    folder.chmod(0o755)
    (folder / FILE).chmod(0o644)
    with closing(Store(folder)) as store:
        (remark,) = store.remarks
        assert "could be read by others of this machine; from now on by you alone" in remark
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
        assert stat.S_IMODE((folder / FILE).stat().st_mode) == 0o600
    theirs = tmp_path / "theirs"
    theirs.mkdir(mode=0o755)
    (theirs / "letter.txt").write_text("of somebody")
    with closing(Store(theirs)):
        assert stat.S_IMODE(theirs.stat().st_mode) == 0o755, "a folder that holds other things stays as it is"
        assert stat.S_IMODE((theirs / FILE).stat().st_mode) == 0o600


def test_what_killed_runs_left_is_cleared_at_the_start(tmp_path: Path) -> None:
    _begun(tmp_path, 1)
    backups = tmp_path / "backups"
    left = [tmp_path / PASSING / "store-x" / FILE, tmp_path / ".desk.sqlite.9.part", backups / ".desk-a.part"]
    for path in left:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"half")
    own, second = backups / "mine.sqlite", backups / "desk-20261130T120000Z-before-restoring.sqlite"
    own.write_bytes(b"kept")
    os.link(tmp_path / FILE, second)  # of a kill just before the store was to be replaced
    with closing(Store(tmp_path)):
        assert not [path for path in left if path.exists()]
        assert own.exists()
        assert not second.exists(), "it would change with the store, and be no backup"


# Mending, without a store.


def test_a_backup_stands_in_the_place_of_what_is_put_aside(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        store.jobs.add("Kept")
        backup = store.database.back_up("daily")
        store.jobs.add("After the backup")
    (tmp_path / FILE).write_bytes(b"nonsense" * 1000)
    with pytest.raises(UnusableError):
        Store(tmp_path)
    with closing(DataFolder(tmp_path)) as held:
        with pytest.raises(LookupError):
            recover(held, "../desk.sqlite")
        broken = backup.with_name("broken.sqlite")
        broken.write_bytes(b"no")
        with pytest.raises(StoreError, match=r"broken\.sqlite cannot be used, it is damaged"):
            recover(held, "broken.sqlite")
        assert (tmp_path / FILE).read_bytes() == b"nonsense" * 1000
        moved = recover(held, backup.name)
    assert moved is not None
    assert (moved / FILE).read_bytes() == b"nonsense" * 1000
    with closing(Store(tmp_path)) as store:
        assert [job.name for job in store.jobs.find()] == ["Kept"]


def test_an_empty_desk_can_be_begun_though_backups_lie_there(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        store.jobs.add("Kept")
        store.database.back_up("daily")
    (tmp_path / FILE).unlink()
    with closing(DataFolder(tmp_path)) as held:
        assert recover(held) is None
    with closing(Store(tmp_path)) as store:
        assert store.jobs.count() == 0
        assert len(list(store.database.backups.iterdir())) == 1
    assert (tmp_path / LOCK).exists()


def test_a_store_that_cannot_be_put_in_place_leaves_the_one_that_stands(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever stops it, and after it has become a backup already."""
    store.jobs.add("Stands")
    with closing(Store(tmp_path / "new")) as other:
        other.jobs.add("New")
        other.jobs.add("Newer")
    new, file = tmp_path / "new" / FILE, tmp_path / "new.sqlite"

    def stopped(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    for place in ("pricing.store.database.settle", "pricing.store.database.Path.replace"):
        shutil.copyfile(new, file)
        with monkeypatch.context() as patch:
            patch.setattr(place, stopped)
            with pytest.raises(UnwritableError, match="is full"):
                store.database.become(file, "before-restoring")
        assert [job.name for job in store.jobs.find()] == ["Stands"]
        assert store.jobs.picture(store.jobs.keep_picture(b"goes on")) == b"goes on"
        assert backups_in(store.database.backups) == [], "no second name of what stands is taken for a backup"

    monkeypatch.setattr("pricing.store.database.os.link", stopped)  # a disk that knows no second names
    store.database.become(file, "before-restoring")
    assert len(store.jobs.find()) == 2
    latest, *_ = backups_in(store.database.backups)
    with closing(sqlite3.connect(latest.path)) as link:
        assert link.execute("SELECT name FROM jobs").fetchall() == [("Stands",)]


def test_a_request_while_the_store_is_put_in_place_takes_it_for_no_other_file(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(Store(tmp_path / "new")) as other:
        other.jobs.add("New")
    shutil.copyfile(tmp_path / "new" / FILE, tmp_path / "new.sqlite")
    looking = Thread(target=store.database.look)

    def between(_: Path) -> None:
        looking.start()
        looking.join(timeout=0.2)
        assert looking.is_alive(), "it waits until the new file is known"

    monkeypatch.setattr("pricing.store.database.sync", between)
    store.database.become(tmp_path / "new.sqlite", "before-restoring")
    looking.join(timeout=5)
    assert store.database.trouble == ""
    assert [job.name for job in store.jobs.find()] == ["New"]
