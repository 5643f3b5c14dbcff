import base64
import csv
import io
import json
import shutil
import zipfile
from contextlib import closing
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from nesting.base.measure import INCH
from pricing.store import Store, StoreError
from pricing.store.database import Database
from pricing.store.export import backups, bring_back, export, restore
from pricing.store.pins import Pinning
from pricing.store.schema import MIGRATIONS, TABLES
from pricing.studio.rack import RackOffcut
from tests.pricing.store.outgoing import PAPERS, outgoing


def _fill(store: Store) -> None:
    job = store.jobs.add("Spring show", "=HYPERLINK('x')")
    content = json.dumps({"headings": ["piece", "title"], "rows": [["A-01", "Ebb, and flow"]]})
    store.documents.save(f"job:{job}", content, based_on=0, what="begun")
    store.documents.save("prices", "{}", based_on=0, what="first")
    store.documents.save("prices", "[]", based_on=1, what="second")
    store.jobs.stand(job, "accepted", date(2026, 11, 25), Decimal("10.00"))
    store.jobs.add_actual(job, "hours", date(2026, 11, 25), "hour bench", Decimal("2.5"))
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
    archive = export(store.database)
    with closing(Store(tmp_path / "other")) as other:
        other.jobs.add("Something else")
        restore(other.database, archive)
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
    with zipfile.ZipFile(io.BytesIO(export(store.database))) as packed:
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
    with zipfile.ZipFile(io.BytesIO(export(store.database))) as whole, zipfile.ZipFile(out, "w") as less:
        for name in whole.namelist():
            if name != "sent/1-1/packet.pdf":
                less.writestr(name, whole.read(name))
    with pytest.raises(StoreError):
        restore(store.database, out.getvalue())
    assert _dump(store) == before


@pytest.mark.parametrize(
    ("files", "message"),
    [
        ({}, "no archive"),
        ({"about.json": "[]"}, "no archive"),
        ({"about.json": '{"format": "another"}'}, "not made by this program"),
        ({"about.json": '{"format": "casewright-desk/1", "version": 999}'}, "later version"),
        (
            {
                "about.json": '{"format": "casewright-desk/1", "version": 1}',
                "tables/standings.jsonl": '{"id": 1, "job": 5, "standing": "sent", "on_day": "2026-11-25"}',
            },
            "hold together",
        ),
    ],
)
def test_another_archive_changes_nothing(store: Store, files: dict[str, str], message: str) -> None:
    _fill(store)
    before = _dump(store)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name, text in files.items():
            packed.writestr(name, text)
    with pytest.raises(StoreError, match=message):
        restore(store.database, out.getvalue())
    assert _dump(store) == before


def test_bytes_that_are_no_archive_change_nothing(store: Store) -> None:
    with pytest.raises(StoreError, match="no archive"):
        restore(store.database, b"PK not really")


def test_a_damaged_archive_changes_nothing(store: Store) -> None:
    """Wherever it is damaged it is said, and by nothing but the store's own error."""
    _fill(store)
    before = _dump(store)
    archive = export(store.database)
    with zipfile.ZipFile(io.BytesIO(archive)) as packed:
        parts = [
            each for each in packed.infolist() if each.filename.startswith(("tables/", "sent/")) and each.file_size
        ]
    for part in parts:
        at = part.header_offset + 30 + len(part.filename)
        for byte in range(at, at + part.compress_size - 4, 9):
            damaged = archive[:byte] + bytes([archive[byte] ^ 0xFF]) + archive[byte + 1 :]
            with pytest.raises(StoreError):
                restore(store.database, damaged)
    for end in range(0, len(archive), 1999):
        with pytest.raises(StoreError):
            restore(store.database, archive[:end])
    assert _dump(store) == before


def test_line_ends_of_every_kind_come_back(store: Store, tmp_path: Path) -> None:
    """Text that was pasted may hold line ends that split no line of ours."""
    store.jobs.add("a\u2028b\u2029c\x85d\x0be\x0cf\x1cg\rh\ni", "x")
    with closing(Store(tmp_path / "other")) as other:
        restore(other.database, export(store.database))
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
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("about.json", '{"format": "casewright-desk/1", "version": 2}')
        for name, lines in rows.items():
            packed.writestr(f"tables/{name}.jsonl", "".join(f"{json.dumps(line)}\n" for line in lines))
    restore(store.database, out.getvalue())
    assert [each.name for each in store.jobs.find()] == ["Old"]
    (number,) = json.loads(store.documents.get("job:1").content)["photos"].values()
    assert store.jobs.picture(number) == b"old"


def test_a_backup_is_brought_back_and_so_is_what_it_replaced(store: Store, tmp_path: Path) -> None:
    """Restoring the wrong archive loses nothing for good, however old the backup is."""
    _fill(store)
    before = _dump(store)
    with closing(Store(tmp_path / "other")) as other:
        other.jobs.add("Something else")
        restore(store.database, export(other.database))
    (backup,) = backups(store.database)
    between = _dump(store)
    assert between != before
    bring_back(store.database, backup.name)
    assert _dump(store) == before
    bring_back(store.database, next(path.name for path in backups(store.database) if path.name != backup.name))
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
