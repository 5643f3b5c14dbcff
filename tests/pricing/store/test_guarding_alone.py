"""What guards the store, by itself: every sentence in full, every bound at its end."""

import errno
import json
import logging
import os
import sqlite3
import stat
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest

from pricing.store import OpenElsewhereError, Store, StoreError, UnusableError, UnwritableError
from pricing.store import folder as folder_module
from pricing.store import keeper as keeper_module
from pricing.store.backups import backups_in
from pricing.store.errors import told, told_of_system
from pricing.store.folder import ASIDE, BACKUPS, FILE, LOCK, PART, PASSING, DataFolder, passing, settle, sync
from pricing.store.keeper import Keeper
from pricing.store.shape import check_shape

AFTER = "Nothing of this was kept; all that was kept before stands."
FULL = f"The disk that holds P is full. {AFTER} Make room, then try again."
READ_ONLY = (
    f"P can only be read: the file, its folder or the disk is write-protected. {AFTER} Lift the protection, then try "
    "again."
)
FORBIDDEN = (
    f"There is no permission to open P, or to write beside it. {AFTER} Open the desk from the account whose folder it "
    "is, or give this account the right."
)
HELD = f"Another program holds P. {AFTER} Close that program, then try again."
FAILS = f"The disk that holds P fails (said). {AFTER} See that it is still connected, then try again."
DAMAGED = "P is damaged (said)."


@pytest.mark.parametrize(
    ("code", "words", "kind", "full"),
    [
        (sqlite3.SQLITE_CORRUPT, DAMAGED, UnusableError, None),
        (sqlite3.SQLITE_CORRUPT_INDEX, DAMAGED, UnusableError, None),
        (sqlite3.SQLITE_NOTADB, DAMAGED, UnusableError, None),
        (sqlite3.SQLITE_FULL, FULL, UnwritableError, True),
        (sqlite3.SQLITE_READONLY, READ_ONLY, UnwritableError, False),
        (sqlite3.SQLITE_BUSY, HELD, UnwritableError, False),
        (sqlite3.SQLITE_LOCKED, HELD, UnwritableError, False),
        (sqlite3.SQLITE_CANTOPEN, FORBIDDEN, UnwritableError, False),
        (sqlite3.SQLITE_PERM, FORBIDDEN, UnwritableError, False),
        (sqlite3.SQLITE_AUTH, FORBIDDEN, UnwritableError, False),
        (sqlite3.SQLITE_IOERR, FAILS, UnwritableError, False),
        (sqlite3.SQLITE_IOERR_FSYNC, FAILS, UnwritableError, False),
    ],
)
def test_every_cause_of_sqlite_has_its_sentence(
    code: int, words: str, kind: type[StoreError], full: bool | None
) -> None:
    error = sqlite3.OperationalError("said")
    error.sqlite_errorcode = code
    found = told(error, Path("P"))
    assert type(found) is kind
    assert str(found) == words
    assert getattr(found, "full", None) is full


def test_what_sqlite_says_of_a_row_or_of_nothing_is_no_cause() -> None:
    error = sqlite3.IntegrityError("said")
    assert told(error, Path("P")) is None
    error.sqlite_errorcode = sqlite3.SQLITE_CONSTRAINT
    assert told(error, Path("P")) is None
    assert UnwritableError("x").full is False


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, FULL), (errno.EDQUOT, FULL), (errno.EFBIG, FULL), (errno.EROFS, READ_ONLY),
        (errno.EACCES, FORBIDDEN), (errno.EPERM, FORBIDDEN),
    ],
)  # fmt: skip
def test_every_cause_of_the_system_has_its_sentence(number: int, words: str) -> None:
    assert str(told_of_system(OSError(number, "said", "there"), Path("P"))) == words
    assert str(told_of_system(OSError(number, "said", "there"))) == words.replace("P", "there", 1).replace(
        "thereermission", "permission"
    )
    assert "the desk" in str(told_of_system(OSError(number, "said")))


def test_another_error_of_the_system_is_no_cause() -> None:
    for number in (errno.ENOENT, errno.EIO, errno.EEXIST):
        assert told_of_system(OSError(number, "said", "there"), Path("P")) is None


# The data folder.


def _text(folder: Path) -> dict[str, object]:
    made: dict[str, object] = json.loads((folder / LOCK).read_text())
    return made


def test_a_folder_is_made_with_all_above_it_and_notes_what_was_begun(tmp_path: Path) -> None:
    place = tmp_path / "a" / "b"
    with closing(DataFolder(place)) as held:
        assert held.begun is None
        assert (held.path, held.remarks) == (place, ())
        assert stat.S_IMODE(place.stat().st_mode) == 0o700
        assert stat.S_IMODE((place / LOCK).stat().st_mode) == 0o600
        assert _text(place) == {"begun": None, "process": os.getpid()}
        held.note_begun()
        assert held.begun is True
        assert _text(place) == {"begun": True, "process": os.getpid()}
        (place / LOCK).write_text("changed by hand")
        held.note_begun()
        assert (place / LOCK).read_text() == "changed by hand", "what is noted is not noted again"
        held.note_begun(begun=False)
        assert held.begun is False
        assert (place / LOCK).read_text() == f'{{"begun": false, "process": {os.getpid()}}}\n'
    with closing(DataFolder(place)) as held:
        assert held.begun is False


@pytest.mark.parametrize("text", ["", "{", "[1]", '"x"', "\udcff", "null"])
def test_a_lock_that_says_nothing_says_nothing(tmp_path: Path, text: str) -> None:
    (tmp_path / LOCK).write_bytes(text.encode("utf-8", "surrogateescape"))
    with closing(DataFolder(tmp_path)) as held:
        assert held.begun is None
    assert _text(tmp_path)["begun"] is None


def test_another_desk_is_told_by_its_process_where_that_is_known(tmp_path: Path) -> None:
    with closing(DataFolder(tmp_path)) as first:
        with pytest.raises(OpenElsewhereError) as caught:
            DataFolder(tmp_path)
        assert str(caught.value) == (
            f"Another desk (process {os.getpid()}) is open on {tmp_path}. Work there, or close it and look again."
        )
        for text in ("", '{"process": "x"}', "{"):
            (tmp_path / LOCK).write_text(text)
            with pytest.raises(OpenElsewhereError, match=r"^Another desk is open on "):
                DataFolder(tmp_path)
        first.close()
        first.close()
        with closing(DataFolder(tmp_path)) as again:
            assert again.remarks == ()


@pytest.mark.parametrize("number", [errno.EWOULDBLOCK, errno.EACCES, errno.EDEADLK])
def test_a_lock_that_is_refused_is_anothers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    def refused(_: int) -> None:
        raise OSError(number, "said")

    monkeypatch.setattr(folder_module, "_lock", refused)
    handles = len(os.listdir("/proc/self/fd")) if os.path.exists("/proc/self/fd") else 0  # noqa: PTH208, PTH110
    with pytest.raises(OpenElsewhereError):
        DataFolder(tmp_path)
    if handles:
        assert len(os.listdir("/proc/self/fd")) == handles, "what is not held is let go"  # noqa: PTH208


def test_a_disk_without_locks_is_remarked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown(_: int) -> None:
        raise OSError(errno.ENOLCK, "said")

    monkeypatch.setattr(folder_module, "_lock", unknown)
    with closing(DataFolder(tmp_path)) as held:
        assert held.remarks == (f"{tmp_path} knows no locks: see that only one desk is open on it.",)


@pytest.mark.parametrize(
    ("number", "said"),
    [(errno.EROFS, "can only be read"), (errno.EIO, "cannot be used: said"), (errno.ENOSPC, "is full")],
)
@pytest.mark.parametrize("step", ["os.open", "_kept"])
def test_a_folder_that_the_system_refuses_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, said: str, step: str
) -> None:
    def refused(*_: object) -> None:
        raise OSError(number, "said")

    monkeypatch.setattr(f"pricing.store.folder.{step}", refused)
    with pytest.raises(StoreError, match=said) as caught:
        DataFolder(tmp_path)
    assert str(tmp_path) in str(caught.value)


@pytest.mark.parametrize("text", ["a file", "a folder"])
def test_a_path_that_is_no_folder_is_told(tmp_path: Path, text: str) -> None:
    place = tmp_path / "x"
    if text == "a file":
        place.write_text("letter")
    else:
        (place / LOCK).mkdir(parents=True)
    with pytest.raises(StoreError, match=r"cannot be used: (File exists|Is a directory)"):
        DataFolder(place)


@pytest.mark.parametrize(
    ("rights", "remarked"), [(0o755, True), (0o740, True), (0o704, True), (0o701, True), (0o710, True), (0o700, False)]
)
@pytest.mark.parametrize("holding", [FILE, BACKUPS])
def test_a_folder_with_a_desk_is_shut(tmp_path: Path, rights: int, remarked: bool, holding: str) -> None:
    (tmp_path / holding).mkdir()
    (tmp_path / holding / "x").touch()
    tmp_path.chmod(rights)
    with closing(DataFolder(tmp_path)) as held:
        told_so = (f"{tmp_path} could be read by others of this machine; from now on by you alone.",)
        assert held.remarks == (told_so if remarked else ())
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o700


def test_an_empty_folder_is_shut_without_a_word_and_one_of_other_things_left(tmp_path: Path) -> None:
    for name, holds, rights in (("empty", False, 0o700), ("theirs", True, 0o755)):
        place = tmp_path / name
        place.mkdir()
        place.chmod(0o755)
        if holds:
            (place / "letter.txt").touch()
        with closing(DataFolder(place)) as held:
            assert held.remarks == ()
        assert stat.S_IMODE(place.stat().st_mode) == rights


def test_what_is_cleared_and_what_is_not(tmp_path: Path) -> None:
    backups = tmp_path / BACKUPS
    backups.mkdir()
    (tmp_path / FILE).write_bytes(b"desk")
    gone = [tmp_path / PASSING, tmp_path / f".x{PART}", tmp_path / f".x{PART}-journal", backups / f".y{PART}"]
    kept = [tmp_path / f"x{PART}", tmp_path / ".hidden", backups / "y.sqlite", tmp_path / ASIDE, backups / "z.txt"]
    for path in (*gone[1:], *kept):
        path.write_bytes(b"x")
    (tmp_path / PASSING / "deep").mkdir(parents=True)
    os.link(tmp_path / FILE, backups / "second.sqlite")
    with closing(DataFolder(tmp_path)):
        assert [path for path in gone if path.exists()] == []
        assert all(path.exists() for path in kept)
        assert not (backups / "second.sqlite").exists()
    (tmp_path / FILE).unlink()
    with closing(DataFolder(tmp_path)):
        assert (backups / "y.sqlite").exists(), "without a store nothing is a second name of it"


def test_what_is_on_its_way_lies_in_a_folder_of_its_owner(tmp_path: Path) -> None:
    assert passing(tmp_path) == passing(tmp_path) == tmp_path / PASSING
    assert stat.S_IMODE((tmp_path / PASSING).stat().st_mode) == 0o700


def test_files_and_names_are_written_to_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[bool] = []
    monkeypatch.setattr(os, "fsync", lambda handle: synced.append(stat.S_ISDIR(os.fstat(handle).st_mode)))
    (tmp_path / "x").write_bytes(b"as it was")
    settle(tmp_path / "x")
    sync(tmp_path)
    assert synced == [False, True]
    assert (tmp_path / "x").read_bytes() == b"as it was"
    handles = len(list(Path("/proc/self/fd").iterdir())) if Path("/proc/self/fd").exists() else 0
    sync(tmp_path)
    if handles:
        assert len(list(Path("/proc/self/fd").iterdir())) == handles


# The keeper.

NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)


def test_room_is_wanted_for_the_copy_and_for_the_desk_to_go_on(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    store.jobs.add("x")
    keeper = Keeper(store.database, lambda: NOON)
    wanted = store.database.path.stat().st_size + 100_000_000
    left = [wanted - 1, wanted]
    monkeypatch.setattr("pricing.store.keeper.shutil.disk_usage", lambda _: SimpleNamespace(free=left.pop(0)))
    keeper.round()
    assert keeper.trouble == (
        f"There is no backup of the day: the disk that holds {store.database.backups} has 100 MB left, "
        "and 100 MB are wanted."
    )
    keeper.round()
    assert keeper.trouble == ""
    assert [each.at for each in backups_in(store.database.backups)] == [NOON]


def test_megabytes_of_a_large_disk_are_told_in_groups(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    store.jobs.add("x")
    keeper = Keeper(store.database, lambda: NOON)
    size = store.database.path.stat().st_size
    monkeypatch.setattr("pricing.store.keeper._ROOM", 9_000_000_000 - size)
    monkeypatch.setattr("pricing.store.keeper.shutil.disk_usage", lambda _: SimpleNamespace(free=8_765_000_000))
    keeper.round()
    assert "has 8,765 MB left, and 9,000 MB are wanted." in keeper.trouble


def test_one_backup_a_day_and_those_before_a_step_are_none_of_the_day(store: Store) -> None:
    store.documents.save("prices", "{}", based_on=0, what="begun")
    store.database.back_up("before-restoring", NOON - timedelta(hours=1))
    keeper = Keeper(store.database, lambda: NOON)
    keeper.trouble = "of yesterday"
    keeper.round()
    keeper.round()
    assert [each.why for each in backups_in(store.database.backups)] == ["daily", "before-restoring"]
    assert keeper.trouble == ""


def test_an_empty_desk_has_no_trouble(store: Store) -> None:
    keeper = Keeper(store.database, lambda: NOON)
    keeper.trouble = "of yesterday"
    keeper.round()
    assert (keeper.trouble, keeper.checked) == ("", NOON)
    assert backups_in(store.database.backups) == []


def test_an_empty_desk_is_looked_at_each_minute_and_one_with_work_each_hour(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    waits: list[float] = []
    keeper = Keeper(store.database, lambda: NOON)

    def wait(seconds: float) -> bool:
        waits.append(seconds)
        if len(waits) == 2:
            store.jobs.add("x")
        if len(waits) == 4:
            keeper._ended.set()  # noqa: SLF001 - or it would never leave off
        return True

    monkeypatch.setattr(keeper._ended, "wait", wait)  # noqa: SLF001 - seconds that nobody waits
    keeper.begin()
    thread = keeper._thread  # noqa: SLF001 - to wait for
    assert thread is not None
    assert (thread.name, thread.daemon) == ("keeper", True), "it keeps no program from ending"
    thread.join(5)
    assert waits == [60.0, 60.0, 3600.0, 3600.0]
    assert backups_in(store.database.backups)


def test_whoever_asks_for_less_than_a_minute_gets_it(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    waits: list[float] = []
    keeper = Keeper(store.database, lambda: NOON)

    def wait(seconds: float) -> bool:
        waits.append(seconds)
        keeper._ended.set()  # noqa: SLF001
        return True

    monkeypatch.setattr(keeper._ended, "wait", wait)  # noqa: SLF001
    keeper.begin(every=5.0)
    assert keeper._thread is not None  # noqa: SLF001
    keeper._thread.join(5)  # noqa: SLF001
    assert waits == [5.0]


# The shape of a store.


def shaped(*statements: str, version: int = 2) -> str:
    """Return what is said of a database of two migrations; nothing where it is taken."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as link:
        for statement in statements:
            link.execute(statement)
        link.execute(f"PRAGMA user_version={version}")
        try:
            check_shape(link, Path("P"), ("CREATE TABLE a (x, y); CREATE TABLE b (z)", "CREATE TABLE c (w)"))
        except UnusableError as error:
            return str(error)
    return ""


def test_a_database_is_known_by_its_tables_and_columns() -> None:
    whole = ("CREATE TABLE a (x, y)", "CREATE TABLE b (z)", "CREATE TABLE c (w)")
    assert shaped(*whole) == ""
    assert shaped(*whole, "CREATE TABLE theirs (x)") == "", "what is more is no harm"
    assert shaped(*whole[:2], version=1) == ""
    assert shaped(version=0) == ""
    assert shaped(*whole, version=3) == (
        "P was written by a later version of this program (its version is 3, known are 2); update the program."
    )
    theirs = "P is a database, but no store of this program."
    assert shaped("CREATE TABLE theirs (x)") == theirs
    assert shaped("CREATE TABLE theirs (x)", version=0) == theirs
    assert shaped(*whole, version=0) == theirs
    assert shaped(*whole, version=-1) == theirs
    assert shaped(*whole[1:]) == "P is not whole: table a is missing."
    assert shaped("CREATE TABLE a (q)", *whole[1:]) == "P is not whole: column x of a, column y of a is missing."
    assert shaped("CREATE TABLE a (q)") == (
        "P is not whole: table b, table c, column x of a, column y of a is missing."
    )
    assert shaped() == "P is not whole: table a, table b, table c is missing."
    many = "CREATE TABLE a (x); CREATE TABLE b (z); CREATE TABLE c (x); CREATE TABLE d (x); CREATE TABLE e (x)"
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as link:
        link.execute("PRAGMA user_version=1")
        with pytest.raises(UnusableError, match=r"table a, table b, table c, table d and 1 more is missing\.$"):
            check_shape(link, Path("P"), (many,))


class Rounds(Keeper):
    """A keeper whose rounds are told what to raise, and that leaves off after the last."""

    raised: list[Exception | None]

    def round(self) -> None:
        """Raise what is next."""
        error = self.raised.pop(0)
        if not self.raised:
            self._ended.set()
        if error is not None:
            raise error


@pytest.mark.parametrize("error", [StoreError("no"), OSError("no"), sqlite3.OperationalError("no")])
def test_a_round_that_fails_is_told_and_the_next_comes(store: Store, error: Exception) -> None:
    keeper = Rounds(store.database)
    keeper.raised = [error, error]
    keeper.begin(every=0.001)
    keeper.begin(every=0.001)
    assert keeper._thread is not None  # noqa: SLF001 - to wait for
    keeper._thread.join(5)  # noqa: SLF001
    assert keeper.raised == []
    assert keeper.trouble == "There is no backup of the day: no"
    keeper.stop()
    keeper.begin()
    assert not keeper._thread.is_alive(), "who was stopped begins no more"  # noqa: SLF001


def test_a_store_that_is_gone_ends_the_keeper(store: Store, caplog: pytest.LogCaptureFixture) -> None:
    keeper = Rounds(store.database)
    keeper.raised = [UnusableError("gone"), None]
    with caplog.at_level(logging.ERROR):
        keeper.begin(every=0.001)
        keeper.stop()
    assert keeper.raised == [None]
    assert keeper.trouble == ""
    assert [record.message for record in caplog.records] == ["the store cannot be used any more"]
    fresh = Keeper(store.database)
    fresh.stop()
    fresh.begin()
    assert fresh._thread is None  # noqa: SLF001 - stopped before it was begun


def test_the_keeper_looks_each_hour() -> None:
    assert (keeper_module.EVERY, keeper_module.SOON) == (3600.0, 60.0)


def test_the_keeper_tells_the_moment_in_utc(store: Store) -> None:
    keeper = Keeper(store.database)
    keeper.round()
    assert keeper.checked is not None
    assert keeper.checked.tzinfo is UTC
