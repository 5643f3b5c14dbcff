import os
import sqlite3
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event, Thread
from types import SimpleNamespace

import pytest

from pricing.store import Store, StoreError, UnusableError
from pricing.store.backups import Backup, Look, backups_in, free, look, name_for, prune, surplus
from pricing.store.keeper import Keeper
from pricing.store.schema import MIGRATIONS

NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)


def _made(at: datetime, why: str = "daily") -> Backup:
    return Backup(Path(f"{name_for(why, at)}.sqlite"), at, why, 1)


def test_days_weeks_and_months_are_kept_and_the_rest_goes() -> None:
    """Two years of a backup a day: the latest 7 days, the last day of each of 4 weeks and of 6 months."""
    daily = [_made(NOON - timedelta(days=number)) for number in range(730)]
    gone = surplus(daily)
    kept = sorted({each.at.date().isoformat() for each in daily} - {each.at.date().isoformat() for each in gone})
    assert kept == [
        "2026-06-30", "2026-07-31", "2026-08-31", "2026-09-30", "2026-10-31", "2026-11-15", "2026-11-22", "2026-11-24",
        "2026-11-25", "2026-11-26", "2026-11-27", "2026-11-28", "2026-11-29", "2026-11-30",
    ]  # fmt: skip


def test_a_desk_that_was_closed_for_a_year_keeps_what_it_had() -> None:
    """Days without the desk count as none; what is pruned does not hang on today."""
    assert surplus([_made(NOON - timedelta(days=400 + number)) for number in range(7)]) == []


def test_of_those_before_a_step_the_latest_ten_are_kept() -> None:
    steps = [_made(NOON - timedelta(hours=number), "before-restoring") for number in range(14)]
    assert surplus(steps) == steps[10:]
    assert surplus([*steps[:10], _made(NOON - timedelta(days=3))]) == [], "and take no place from a day's"


def test_a_file_of_another_name_is_never_removed(store: Store) -> None:
    """What earlier versions named, and what a person copied there."""
    store.jobs.add("x")
    store.database.backups.mkdir()
    own = [store.database.backups / name for name in ("desk-before-7.sqlite", "desk-2026.sqlite", "mine.sqlite")]
    for path in own:
        path.write_bytes(b"x")
    for number in range(12):
        store.database.back_up("before-restoring", NOON + timedelta(minutes=number))
    assert all(path.exists() for path in own)
    assert len(list(store.database.backups.iterdir())) == 3 + 10


def test_what_a_backup_holds_is_seen_without_changing_anything(store: Store, tmp_path: Path) -> None:
    store.jobs.add("x")
    path = store.database.back_up("daily", NOON)
    (made,) = backups_in(store.database.backups)
    assert (made.at, made.why, made.told, made.size) == (NOON, "daily", "of the day", path.stat().st_size)
    seen = look(path, len(MIGRATIONS))
    assert (seen.trouble, seen.jobs, seen.version) == ("", 1, len(MIGRATIONS))
    assert [each.name for each in path.parent.iterdir()] == [path.name]
    assert look(path, 1).trouble == "of a later version of this program"
    damaged = bytearray(path.read_bytes())
    damaged[8192:] = b"\xff" * (len(damaged) - 8192)
    path.write_bytes(damaged)
    assert look(path, len(MIGRATIONS)).trouble == "damaged"
    empty = tmp_path / "empty.sqlite"
    empty.write_bytes(b"")
    assert look(empty, len(MIGRATIONS)).trouble == "no store"


def test_pages_go_on_while_a_backup_is_made(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is of the moment at which it was begun."""
    store.jobs.add("Before")
    within, go_on = Event(), Event()

    def waiting(why: str, at: datetime) -> str:
        within.set()
        go_on.wait(timeout=5)
        return name_for(why, at)

    monkeypatch.setattr("pricing.store.backups.name_for", waiting)
    copying = Thread(target=store.database.back_up, args=("daily",))
    copying.start()
    assert within.wait(timeout=5)
    assert store.jobs.add("Meanwhile") == 2, "a page saves, and does not wait"
    go_on.set()
    copying.join()
    (made,) = backups_in(store.database.backups)
    with closing(sqlite3.connect(made.path)) as link:
        assert link.execute("SELECT name FROM jobs").fetchall() == [("Before",)]


def test_the_keeper_backs_up_once_a_day_and_checks_every_time(store: Store) -> None:
    moments = iter([NOON, NOON + timedelta(hours=1), NOON + timedelta(hours=13), NOON + timedelta(hours=14)])
    keeper = Keeper(store.database, lambda: next(moments))
    keeper.round()
    assert backups_in(store.database.backups) == [], "of an empty desk none is made"
    store.jobs.add("x")
    keeper.round()
    keeper.round()
    keeper.round()
    made = [each.at for each in backups_in(store.database.backups)]
    assert made == [NOON + timedelta(hours=13), NOON + timedelta(hours=1)]
    assert keeper.checked == NOON + timedelta(hours=14)


def test_a_first_hour_of_work_has_a_backup(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty desk is looked at each minute until something is in it, though others are each hour."""
    monkeypatch.setattr("pricing.store.keeper.SOON", 0.005)
    store.keeper.begin(every=3600)
    store.jobs.add("x")
    end = time.monotonic() + 10
    while not backups_in(store.database.backups):
        assert time.monotonic() < end
        time.sleep(0.005)


def test_a_disk_without_room_for_a_backup_is_told_and_the_desk_goes_on(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.jobs.add("x")
    keeper = Keeper(store.database)
    with monkeypatch.context() as patch:
        patch.setattr("pricing.store.keeper.shutil.disk_usage", lambda _: SimpleNamespace(free=5_000_000))
        keeper.round()
    assert "has 5 MB left" in keeper.trouble
    assert backups_in(store.database.backups) == []
    keeper.round()
    assert keeper.trouble == ""
    assert len(backups_in(store.database.backups)) == 1


def test_by_the_clock_the_keeper_finds_what_happened_to_the_file(store: Store) -> None:
    store.jobs.add("x")
    store.database.path.unlink()
    store.keeper.begin(every=0.01)
    store.keeper.stop()
    assert "is gone" in store.database.trouble
    with pytest.raises(UnusableError):
        store.jobs.add("y")


def test_a_copy_that_fails_leaves_none_and_is_told(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    store.jobs.add("x")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pricing.store.backups.sync", full)
    with pytest.raises(StoreError, match="is full"):
        store.database.back_up("daily")
    monkeypatch.setattr("pricing.store.backups.os.open", full)
    with pytest.raises(StoreError, match="is full"):
        store.database.back_up("daily", NOON)
    assert not list(store.database.backups.glob(".*"))


# What follows notices changes that a mutation run found unnoticed.


def test_names_that_are_taken_get_the_next_number(tmp_path: Path) -> None:
    names = []
    for _ in range(4):
        path = free(tmp_path, "daily", NOON)
        path.write_bytes(b"")
        names.append(path.name)
    assert names == [f"desk-20261130T120000Z-daily{end}.sqlite" for end in ("", ".2", ".3", ".4")]


def test_names_tell_the_moment_in_utc_wherever_the_machine_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "Asia/Tokyo")
    time.tzset()
    try:
        assert name_for("daily", NOON) == "desk-20261130T120000Z-daily"
    finally:
        monkeypatch.undo()
        time.tzset()


def test_a_look_tells_jobs_last_change_and_form(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        empty = store.database.back_up("x")  # two of a day would be one too many
        store.jobs.add("One")
        changed = store.database.rows("SELECT max(changed) AS at FROM jobs")[0]["at"]
        made = store.database.back_up("daily")
    known = len(MIGRATIONS)
    before = sorted(made.parent.iterdir())
    assert look(empty, known) == Look("", 0, "", known)
    assert look(made, known) == Look("", 1, changed, known)
    assert look(made, known - 1) == Look("of a later version of this program", version=known)
    assert sorted(made.parent.iterdir()) == before, "nothing is written beside a backup"


def test_a_page_that_only_a_check_sees_is_told_as_damage(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        for number in range(40):
            store.documents.save(f"paper {number}", "x" * 3000, based_on=0, what="begun")
        made = store.database.back_up("daily")
    page = 4096
    pages = made.stat().st_size // page
    with made.open("r+b") as file:
        for number in range(pages // 2, pages):
            file.seek(number * page)
            file.write(b"\x01" * 64)
    assert look(made, len(MIGRATIONS)) == Look(trouble="damaged")


def test_what_cannot_be_looked_at_or_removed_hides_no_other(tmp_path: Path) -> None:
    for number in range(12):
        (tmp_path / f"{name_for('daily', NOON - timedelta(days=400 + 40 * number))}.sqlite").mkdir()
    (tmp_path / f"{name_for('daily', NOON)}.sqlite").symlink_to("nowhere")
    good = tmp_path / f"{name_for('daily', NOON - timedelta(days=1))}.sqlite"
    good.write_bytes(b"")
    assert good in [each.path for each in backups_in(tmp_path)]
    prune(tmp_path)
    assert good in [each.path for each in backups_in(tmp_path)]


def test_of_two_of_one_second_the_later_written_is_the_later(tmp_path: Path) -> None:
    made = [tmp_path / f"{name_for('daily', NOON)}.{number}.sqlite" for number in (9, 10)]
    for number, path in enumerate(made):
        path.write_bytes(b"")
        os.utime(path, (1000 + number, 1000 + number))
    assert [each.path for each in backups_in(tmp_path)] == made[::-1]
