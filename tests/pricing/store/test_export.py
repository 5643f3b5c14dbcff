import base64
import csv
import hashlib
import io
import json
import os
import shutil
import struct
import tracemalloc
import zipfile
from collections.abc import Callable
from contextlib import closing
from datetime import date
from decimal import Decimal
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from nesting.base.measure import INCH
from pricing.store import Store, StoreError
from pricing.store.backups import backups_in
from pricing.store.database import Database
from pricing.store.export import export
from pricing.store.pins import Pinning
from pricing.store.restoring import bring_back, restore
from pricing.store.schema import MIGRATIONS, TABLES
from pricing.store.took import Noting
from pricing.studio.rack import RackOffcut
from tests.pricing.store.archives import exported, former, restored, zipped
from tests.pricing.store.outgoing import PAPERS, outgoing


def _fill(store: Store) -> None:
    job = store.jobs.add("Spring show", "=HYPERLINK('x')")
    content = json.dumps({"headings": ["piece", "title"], "rows": [["A-01", "Ebb, and flow"]]})
    store.documents.save(f"job:{job}", content, based_on=0, what="begun")
    store.documents.save("prices", "{}", based_on=0, what="first")
    store.documents.save("prices", "[]", based_on=1, what="second")
    store.jobs.stand(job, "accepted", date(2026, 11, 25), Decimal("10.00"))
    store.took.add(job, Noting("hours", date(2026, 11, 25), "hour bench", Decimal("2.5"), under="bench"))
    store.jobs.fetch(job, "ply-3/8 4x8", Decimal(3))
    store.jobs.keep_picture(bytes(range(256)))
    store.quotes.freeze(job, outgoing(), "v1")
    pinning = Pinning("accepted: as it stood", date(2026, 11, 25), 1, content, None, "{}", papers=PAPERS)
    store.pins.pin(job, pinning, "v1", based_on=0, sawn=("ply-3/8", 0, 2))
    store.rack.put([RackOffcut("R-1", "ply-3/8", 10 * INCH, 5 * INCH, Decimal("1.00"))], from_job=job)
    store.rack.take(job, {"R-1": 1})


def _dump(store: Store) -> dict[str, list[tuple[object, ...]]]:
    return {
        table: [tuple(row) for row in store.database.rows(f"SELECT * FROM {table}")]  # noqa: S608 - our own names
        for table in TABLES
    }


def test_everything_comes_back_from_plain_files(store: Store, tmp_path: Path) -> None:
    _fill(store)
    archive = exported(store.database)
    with closing(Store(tmp_path / "other")) as other:
        other.jobs.add("Something else")
        restored(other.database, archive)
        assert _dump(other) == _dump(store)
        assert other.documents.undo("prices", based_on=2).content == "{}"
        assert other.jobs.add("Next") == 2
        assert len(list(other.database.backups.iterdir())) == 1
        # The guards are on again: what was sent is still frozen.
        with pytest.raises(Exception, match="frozen"), other.database.writing() as link:
            link.execute("UPDATE quotes SET total = '1.00'")
        assert {name: other.sent_papers.get(1, 1, name) for name in PAPERS} == PAPERS
        with pytest.raises(Exception, match="frozen"), other.database.writing() as link:
            link.execute("UPDATE sent_papers SET content = x'00'")
        assert {name: other.pins.paper(1, 1, name) for name in PAPERS} == PAPERS
        assert other.pins.cut(1) == store.pins.cut(1)
        with pytest.raises(Exception, match="frozen"), other.database.writing() as link:
            link.execute("UPDATE pin_papers SET content = x'00'")


def test_the_files_can_be_read_without_us(store: Store) -> None:
    _fill(store)
    with zipfile.ZipFile(io.BytesIO(exported(store.database))) as packed:
        assert list(csv.reader(packed.read("artworks/1.csv").decode().splitlines())) == [
            ["piece", "title"],
            ["A-01", "Ebb, and flow"],
        ]
        (row,) = csv.DictReader(io.StringIO(packed.read("csv/jobs.csv").decode()))
        assert row["name"] == "Spring show"
        assert row["client"] == "'=HYPERLINK('x')", "text never becomes a formula"
        assert json.loads(packed.read("tables/jobs.jsonl"))["client"] == "=HYPERLINK('x')"
        assert {name: packed.read(f"sent/1-1/{name}") for name in PAPERS} == PAPERS, "papers are files of their own"
        assert {name: packed.read(f"pinned/1-1/{name}") for name in PAPERS} == PAPERS
        rows = csv.DictReader(io.StringIO(packed.read("csv/sent_papers.csv").decode()))
        assert [row["content"] for row in rows] == [f"sent/1-1/{name}" for name in PAPERS]


def test_an_archive_that_lost_a_paper_changes_nothing(store: Store) -> None:
    _fill(store)
    before = _dump(store)
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(exported(store.database))) as whole, zipfile.ZipFile(out, "w") as less:
        for name in whole.namelist():
            if name != "sent/1-1/packet.pdf":
                less.writestr(name, whole.read(name))
    with pytest.raises(StoreError):
        restored(store.database, out.getvalue())
    assert _dump(store) == before


@pytest.mark.parametrize(
    ("files", "message"),
    [
        ({}, "no archive"),
        ({"about.json": "[]"}, "no archive"),
        ({"about.json": '{"format": "another"}'}, "not made by this program"),
        ({"about.json": '{"format": "casewright-desk/1", "version": 999}'}, "later version"),
        ({"about.json": '{"format": "casewright-desk/1", "version": 1}'}, "tables/jobs.jsonl is missing"),
        ({"about.json": '{"format": "casewright-desk/1", "version": 9}'}, "tables/jobs.jsonl is missing"),
        ({"about.json": '{"format": "casewright-desk/2", "version": 9}'}, "manifest.json is missing"),
        ({"about.json": '{"format": "casewright-desk/2", "version": true}'}, "not made by this program"),
    ],
)
def test_another_archive_changes_nothing(store: Store, files: dict[str, str], message: str) -> None:
    _fill(store)
    before = _dump(store)
    with pytest.raises(StoreError, match=message):
        restored(store.database, zipped(files))
    assert _dump(store) == before


JOB = '{"id": 1, "name": "Old", "created": "a", "changed": "b"}'
REVISION = '{"document": "%s", "number": 1, "content": "{}", "what": "x", "at": "y", "position": 1}'


@pytest.mark.parametrize(
    ("tables", "message"),
    [
        ({"standings": '{"id": 1, "job": 5, "standing": "sent", "on_day": "2026-11-25"}'}, "hold together.*standings"),
        ({"jobs": "no row"}, r"tables/jobs.jsonl, line 1: no row"),
        ({"jobs": "[]"}, r"tables/jobs.jsonl, line 1: no row"),
        ({"jobs": JOB.replace("1", "NaN")}, r"tables/jobs.jsonl, line 1: no row"),
        ({"jobs": JOB.replace("1", "1e999")}, r"tables/jobs.jsonl, line 1, id: found inf"),
        ({"jobs": JOB.replace('"Old"', "[1]")}, r"line 1, name: found \[1\]; accepted: a text, a number or a file"),
        ({"jobs": JOB.replace('"id"', '"of_later": 1, "id"')}, "jobs, row 1: found of_later; accepted: "),
        (
            {"jobs": f"{JOB}\n" + JOB.replace("1", str(2**63))},
            rf"line 2, id: found {2**63}; accepted: a whole",
        ),
        ({"jobs": JOB.replace("1", str(-(2**63) - 1))}, r"jobs.jsonl, line 1, id: found -9223372036854775809"),
        ({"jobs": JOB.replace('"Old"', "null")}, "jobs, row 1: NOT NULL"),
        ({"documents": '{"name": "prices", "revision": 3}'}, "prices: its revision 3 is missing"),
        (
            {"documents": '{"name": "job:7", "revision": 1}', "revisions": REVISION % "job:7"},
            "job:7: there is no such job",
        ),
        ({"plans": '{"key": "k", "effort": "quick", "content": "{", "at": "a"}'}, "plans k: its content is no JSON"),
    ],
)
def test_rows_that_cannot_stand_are_named(store: Store, tables: dict[str, str], message: str) -> None:
    _fill(store)
    before = _dump(store)
    with pytest.raises(StoreError, match=message):
        restored(store.database, former(len(MIGRATIONS), tables))
    assert _dump(store) == before


def test_an_archive_that_expands_is_refused_by_its_listed_sizes(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Before anything of it is unpacked: 40 MB of blanks are packed into 40 kB."""
    _fill(store)
    before, out = _dump(store), io.BytesIO()
    about = json.dumps({"format": "casewright-desk/2", "version": len(MIGRATIONS)})
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("about.json", about)
        packed.writestr("tables/jobs.jsonl", b" " * 40_000_000)
    assert len(out.getvalue()) < 50_000
    twice = out.getvalue()

    def unpacked(*_: object, **__: object) -> None:
        raise AssertionError("something was unpacked")

    with monkeypatch.context() as patch:
        patch.setattr(zipfile.ZipFile, "open", unpacked)
        with pytest.raises(StoreError, match=r"tables/jobs.jsonl: found [0-9,]+ bytes that unpack to 40,000,000"):
            restored(store.database, twice)
        patch.setattr("pricing.store.restoring.MOST_UNPACKED", 39_000_000)
        with pytest.raises(StoreError, match="unpacks to more"):
            restored(store.database, twice)
    assert _dump(store) == before


def test_an_archive_whose_files_lie_over_each_other_is_refused(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """It lists more packed bytes than it has: the same bytes several times."""
    _fill(store)
    before, archive = _dump(store), exported(store.database)
    listed = zipfile.ZipFile.infolist

    def three_times(packed: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
        found = listed(packed)
        for number, each in enumerate(found):
            each.filename, each.compress_size = f"{number}", 3 * each.compress_size + len(archive)
        return found

    with monkeypatch.context() as patch:
        patch.setattr(zipfile.ZipFile, "infolist", three_times)
        with pytest.raises(StoreError, match="lists more than the"):
            restored(store.database, archive)
    assert _dump(store) == before


def test_what_is_too_large_for_a_row_a_document_or_a_picture_is_named(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    _fill(store)
    before, archive = _dump(store), exported(store.database)
    for limit, found in (
        ("LINE", "tables/actuals.jsonl, line 1: found more than 9 bytes"),
        ("DOCUMENT", "tables/revisions.jsonl, line 1, content: found more than 9 characters"),
        ("PICTURE", "pictures/1.jpg: found 256 bytes; accepted: at most 9"),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(f"pricing.store.restoring.MOST_{limit}", 9)
            with pytest.raises(StoreError, match=found):
                restored(store.database, archive)
    assert _dump(store) == before


def test_the_manifest_counts_and_digests_every_other_file(store: Store) -> None:
    _fill(store)
    with zipfile.ZipFile(io.BytesIO(exported(store.database))) as packed:
        files = {name: packed.read(name) for name in packed.namelist()}
    manifest = json.loads(files.pop("manifest.json"))
    assert manifest["files"] == {
        name: {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()} for name, content in files.items()
    }
    assert manifest["rows"] == {table: len(rows) for table, rows in _dump(store).items()}
    assert files["pictures/1.jpg"] == bytes(range(256)), "a picture is a file that every program can open"


@pytest.mark.parametrize(
    ("file", "content", "message"),
    [
        ("csv/jobs.csv", b"id\n", "csv/jobs.csv is not as it was"),
        ("tables/jobs.jsonl", b"", "tables/jobs.jsonl is not as it was"),
        ("pictures/1.jpg", None, "pictures/1.jpg is missing"),
        ("manifest.json", None, "manifest.json is missing"),
        ("manifest.json", b"[]", "damaged"),
    ],
)
def test_an_archive_that_is_not_as_its_manifest_says_changes_nothing(
    store: Store, file: str, content: bytes | None, message: str
) -> None:
    _fill(store)
    before = _dump(store)
    with zipfile.ZipFile(io.BytesIO(exported(store.database))) as packed:
        files: dict[str, str | bytes] = {name: packed.read(name) for name in packed.namelist()}
    del files[file]
    with pytest.raises(StoreError, match=message):
        restored(store.database, zipped(files if content is None else {**files, file: content}))
    assert _dump(store) == before


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        (lambda _, manifest: manifest["rows"].pop("jobs"), "does not count the tables of its version: jobs"),
        (lambda _, manifest: manifest["rows"].update(jobs=float("inf")), "damaged"),
        (lambda about, _: about.update(version=1), "does not count the tables of its version: "),
    ],
    ids=["a count gone", "a count without end", "of an earlier version"],
)
def test_a_manifest_counts_each_table_of_its_version(
    store: Store, changed: Callable[[dict[str, Any], dict[str, Any]], object], message: str
) -> None:
    """Said to be of an earlier version, an archive would come in without what that version did not have."""
    _fill(store)
    before = _dump(store)
    with zipfile.ZipFile(io.BytesIO(exported(store.database))) as packed:
        files: dict[str, str | bytes] = {name: packed.read(name) for name in packed.namelist()}
    about, manifest = json.loads(files["about.json"]), json.loads(files["manifest.json"])
    changed(about, manifest)
    files["about.json"] = json.dumps(about)
    manifest["files"]["about.json"]["sha256"] = hashlib.sha256(json.dumps(about).encode()).hexdigest()
    files["manifest.json"] = json.dumps(manifest)
    with pytest.raises(StoreError, match=message):
        restored(store.database, zipped(files))
    assert _dump(store) == before


def test_a_document_that_the_desk_cannot_decode_changes_nothing(store: Store) -> None:
    _fill(store)
    before = _dump(store)
    with pytest.raises(StoreError, match="prices: no price book"):
        restore(store.database, io.BytesIO(exported(store.database)), lambda _: ["prices: no price book"])
    assert _dump(store) == before
    assert not list(store.database.backups.glob("*")), "and nothing was to be kept for it"


def test_pages_go_on_while_an_archive_is_written(store: Store) -> None:
    """It is of the moment at which it was begun, whatever is saved meanwhile."""
    _fill(store)
    before = exported(store.database)

    class _Slow(io.BytesIO):
        """Saves something in another thread before each bit that is written."""

        def write(self, more: Any) -> int:
            if len(store.jobs.find()) < 3:
                saving = Thread(target=store.jobs.add, args=("Meanwhile",))
                saving.start()
                saving.join(timeout=5)
                assert not saving.is_alive(), "nobody waits for the archive"
            return super().write(more)

    out = _Slow()
    export(store.database, out)
    assert len(store.jobs.find()) == 3
    assert out.getvalue() == before


@pytest.mark.slow
def test_an_archive_is_never_whole_in_memory(store: Store, tmp_path: Path) -> None:
    """60 MB of pictures; the peak of both ways together is far below that."""
    for _ in range(60):
        store.jobs.keep_picture(os.urandom(1_000_000))
    tracemalloc.start()
    try:
        with (tmp_path / "all.zip").open("wb") as out:
            export(store.database, out)
        with (tmp_path / "all.zip").open("rb") as archive:
            restore(store.database, archive)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 20_000_000
    assert store.jobs.picture(60) is not None


def test_bytes_that_are_no_archive_change_nothing(store: Store) -> None:
    with pytest.raises(StoreError, match="no archive"):
        restored(store.database, b"PK not really")


def test_a_damaged_archive_changes_nothing(store: Store) -> None:
    """Wherever it is damaged it is said, and by nothing but the store's own error."""
    _fill(store)
    before = _dump(store)
    archive = exported(store.database)
    with zipfile.ZipFile(io.BytesIO(archive)) as packed:
        parts = [
            each for each in packed.infolist() if each.filename.startswith(("tables/", "sent/")) and each.file_size
        ]
    for part in parts:
        name, extra = struct.unpack_from("<HH", archive, part.header_offset + 26)  # lengths of what stands before it
        at = part.header_offset + 30 + name + extra
        for byte in range(at, at + part.compress_size - 4, 9):
            damaged = archive[:byte] + bytes([archive[byte] ^ 0xFF]) + archive[byte + 1 :]
            with pytest.raises(StoreError):
                restored(store.database, damaged)
    for end in range(0, len(archive), 1999):
        with pytest.raises(StoreError):
            restored(store.database, archive[:end])
    assert _dump(store) == before


def test_line_ends_of_every_kind_come_back(store: Store, tmp_path: Path) -> None:
    """Text that was pasted may hold line ends that split no line of ours."""
    store.jobs.add("a\u2028b\u2029c\x85d\x0be\x0cf\x1cg\rh\ni", "x")
    with closing(Store(tmp_path / "other")) as other:
        restored(other.database, exported(store.database))
        assert _dump(other) == _dump(store)


def test_an_archive_of_an_earlier_version_is_brought_up_to_date(store: Store) -> None:
    """Photos lay in a table of their own in version 2; they come back as pictures of the job's document."""
    _fill(store)
    rows = {
        "jobs": [{"id": 1, "name": "Old", "created": "a", "changed": "b"}],
        "documents": [{"name": "job:1", "revision": 1}],
        "revisions": [{"document": "job:1", "number": 1, "content": "{}", "what": "x", "at": "y", "position": 1}],
        "photos": [{"job": 1, "piece": "A-01", "jpeg": {"base64": base64.b64encode(b"old").decode()}}],
    }
    tables = {name: "".join(f"{json.dumps(line)}\n" for line in lines) for name, lines in rows.items()}
    (remark,) = restored(store.database, former(2, tables))
    assert "has no manifest" in remark
    assert [each.name for each in store.jobs.find()] == ["Old"]
    (number,) = json.loads(store.documents.get("job:1").content)["photos"].values()
    assert store.jobs.picture(number) == b"old"


def test_a_backup_is_brought_back_and_so_is_what_it_replaced(store: Store, tmp_path: Path) -> None:
    """Restoring the wrong archive loses nothing for good, however old the backup is."""
    _fill(store)
    before = _dump(store)
    with closing(Store(tmp_path / "other")) as other:
        other.jobs.add("Something else")
        restored(store.database, exported(other.database))
    (backup,) = backups_in(store.database.backups)
    between = _dump(store)
    assert between != before
    bring_back(store.database, backup.name)
    assert _dump(store) == before
    bring_back(store.database, *({each.name for each in backups_in(store.database.backups)} - {backup.name}))
    assert _dump(store) == between
    with closing(Database(tmp_path / "old", migrations=MIGRATIONS[:1])) as old:
        with old.writing() as link:
            link.execute("INSERT INTO jobs (name, created, changed) VALUES ('Oldest', 'a', 'b')")
        shutil.copyfile(old.back_up("x"), store.database.backups / "desk-old.sqlite")
    bring_back(store.database, "desk-old.sqlite")
    assert [each.name for each in store.jobs.find()] == ["Oldest"]
    for name in ("../desk.sqlite", "desk.sqlite", "", "nothing"):
        with pytest.raises(LookupError):
            bring_back(store.database, name)
    (store.database.backups / "desk-broken.sqlite").write_bytes(b"no store at all" * 100)
    with pytest.raises(StoreError):
        bring_back(store.database, "desk-broken.sqlite")
    assert [each.name for each in store.jobs.find()] == ["Oldest"]


def test_a_row_with_none_of_its_columns_is_told(store: Store) -> None:
    """Found by fuzzing: it was an error of the database's own."""
    with pytest.raises(StoreError, match=r"jobs, row 1: found x; accepted: id, name"):
        restored(store.database, former(len(MIGRATIONS), {"jobs": '{"x": 1}\n'}))
