"""Archives by themselves: each way in which one is not taken, in full, and each bound at its end."""

import base64
import hashlib
import io
import json
import stat
import warnings
import zipfile
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from pricing.store import Store, StoreError, UnwritableError
from pricing.store import restoring as module
from pricing.store.backups import backups_in
from pricing.store.folder import ASIDE, FILE, PASSING, DataFolder
from pricing.store.restoring import bring_back, recover, restore
from pricing.store.schema import MIGRATIONS, TABLES
from tests.pricing.store.archives import exported, former, restored, zipped

LATEST = len(MIGRATIONS)
FORMER = (
    "This archive is of an earlier version and has no manifest: its files could not be held against their digests. "
    "All tables were there, and hold together."
)
NOTHING = "; nothing was changed"


def refused(store: Store, archive: bytes) -> str:
    """Return the sentence of an archive that is not taken, without its end, which says that nothing was changed."""
    with pytest.raises(StoreError) as caught:
        restored(store.database, archive)
    text = str(caught.value)
    assert text.endswith(NOTHING)
    assert not backups_in(store.database.backups)
    assert not list((store.folder / PASSING).iterdir()), "nothing is left on its way"
    return text.removesuffix(NOTHING)


def files_of(archive: bytes) -> dict[str, bytes]:
    """Return what an archive holds."""
    with zipfile.ZipFile(io.BytesIO(archive)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def signed(files: Mapping[str, bytes], **counts: int) -> bytes:
    """Return files as an archive whose manifest has their digests; `counts` are what it says of rows."""
    within = {name: content for name, content in files.items() if name != "manifest.json"}
    rows = {
        table: within[f"tables/{table}.jsonl"].count(b"\n") for table in TABLES if f"tables/{table}.jsonl" in within
    }
    manifest = {
        "files": {name: {"sha256": hashlib.sha256(content).hexdigest()} for name, content in within.items()},
        "rows": {**rows, **counts},
    }
    return zipped({**within, "manifest.json": json.dumps(manifest)})


@pytest.fixture
def filled(store: Store) -> Store:
    """Return a store with a job, its document and a picture."""
    job = store.jobs.add("Spring")
    store.documents.save(f"job:{job}", '{"rows": []}', based_on=0, what="begun")
    store.jobs.keep_picture(b"p" * 500)
    return store


@pytest.fixture
def files(filled: Store) -> dict[str, bytes]:
    """Return the files of its archive."""
    return files_of(exported(filled.database))


# From outside.


def test_the_bounds_are_what_they_say() -> None:
    assert (module.MOST_UNPACKED, module.MOST_SQUEEZED, module.MOST_FILES) == (4_000_000_000, 200, 200_000)
    assert (module.MOST_LINE, module.MOST_DOCUMENT, module.MOST_PICTURE) == (64_000_000, 16_000_000, 20_000_000)
    assert (module._LITTLE, module._MOST_HEAD, module._MOST_TOLD) == (32_000_000, 64_000_000, 12)  # noqa: SLF001


@pytest.mark.parametrize(
    ("name", "bound", "said"),
    [
        ("MOST_FILES", len, "the archive holds more than {least} files, or one twice"),
        ("MOST_UNPACKED", lambda files: sum(map(len, files.values())), "the archive unpacks to more than 0 GB"),
        ("_LITTLE", lambda files: max(map(len, files.values())), None),
        ("_MOST_HEAD", lambda files: max(len(files["about.json"]), len(files["manifest.json"])),
         "manifest.json: found {most:,} bytes; accepted: at most {least:,}"),
        ("MOST_PICTURE", lambda _: 500, "pictures/1.jpg: found 500 bytes; accepted: at most 499"),
        ("MOST_DOCUMENT", lambda _: 12,
         "tables/revisions.jsonl, line 1, content: found more than 11 characters; accepted: no more"),
    ],
)  # fmt: skip
def test_each_bound_is_taken_at_its_end_and_not_beyond(  # 6 arguments: what is fixed and what is asked
    filled: Store,
    files: dict[str, bytes],
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    bound: Callable[[dict[str, bytes]], int],
    said: str | None,
) -> None:
    archive = zipped(files)
    most = bound(files)
    if name == "_LITTLE":
        monkeypatch.setattr(module, "MOST_SQUEEZED", 0)
    monkeypatch.setattr(module, name, most - 1)
    told = refused(filled, archive)
    if said is None:
        large = max(files, key=lambda each: len(files[each]))
        said = f"{large}: found {most:,} bytes that unpack to {most:,}; accepted: at most 0 times as many"
    assert told == said.format(most=most, least=most - 1)
    monkeypatch.setattr(module, name, most)
    assert restored(filled.database, archive) == ()


def test_how_hard_a_file_is_packed(filled: Store, files: dict[str, bytes], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_LITTLE", 0)
    monkeypatch.setattr(module, "MOST_SQUEEZED", 1)
    assert restored(filled.database, zipped(files)) == (), "what is stored unpacks to once its size"


def test_a_line_is_taken_to_its_bound(filled: Store, files: dict[str, bytes], monkeypatch: pytest.MonkeyPatch) -> None:
    archive = zipped(files)
    longest = max(len(line) for name in files if name.startswith("tables/") for line in files[name].split(b"\n")) + 1
    monkeypatch.setattr(module, "MOST_LINE", longest - 1)
    assert refused(filled, archive).endswith(f", line 1: found more than {longest - 1:,} bytes; accepted: no more")
    monkeypatch.setattr(module, "MOST_LINE", longest)
    assert restored(filled.database, archive) == ()
    two = {**files, "tables/jobs.jsonl": files["tables/jobs.jsonl"] + b"x" * 5000 + b"\n"}
    monkeypatch.setattr(module, "MOST_LINE", 4999)
    with pytest.raises(StoreError, match=r"^tables/jobs\.jsonl, line 2: found more than 4,999 bytes"):
        restored(filled.database, signed(two))


def test_a_file_that_is_there_twice(filled: Store, files: dict[str, bytes]) -> None:
    out = io.BytesIO()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with zipfile.ZipFile(out, "w") as packed:
            for name, content in [*files.items(), ("about.json", files["about.json"])]:
                packed.writestr(name, content)
    assert refused(filled, out.getvalue()) == "the archive holds more than 200,000 files, or one twice"


def test_packed_bytes_that_are_more_than_the_archive(
    filled: Store, files: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    archive = zipped(files)
    listed = zipfile.ZipFile.infolist
    within = sum(map(len, files.values()))
    more = {"by": len(archive) - within + 1}

    def heavier(packed: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
        found = listed(packed)
        found[0].compress_size = found[0].file_size + more["by"]
        return found

    with monkeypatch.context() as patch:
        patch.setattr(zipfile.ZipFile, "infolist", heavier)
        assert refused(filled, archive) == f"the archive lists more than the {len(archive):,} bytes that it has"
        more["by"] -= 1
        assert restored(filled.database, archive) == ()


OTHERS = "this archive was not made by this program, or by a later version of it"
NONE = "this is no archive of the desk, or a damaged one"


@pytest.mark.parametrize(
    ("about", "said"),
    [
        ({"format": "casewright-desk/2", "version": 0}, OTHERS),
        ({"format": "casewright-desk/2", "version": LATEST + 1}, OTHERS),
        ({"format": "casewright-desk/2"}, OTHERS),
        ({"format": "casewright-desk/2", "version": True}, OTHERS),
        ({"format": "casewright-desk/3", "version": 1}, OTHERS),
        ({"version": 1}, OTHERS),
        ({"format": "casewright-desk/2", "version": "1"}, OTHERS),
        ({"format": "casewright-desk/2", "version": LATEST},
         "manifest.json is missing from this archive: it is not whole"),
        ([], NONE),
        ("x", NONE),
    ],
)  # fmt: skip
def test_whose_an_archive_is(store: Store, about: object, said: str) -> None:
    assert refused(store, zipped({"about.json": json.dumps(about)})) == said


@pytest.mark.parametrize(
    "manifest",
    ["", "[]", "{}", '{"files": {}}', '{"files": {"x": {}}, "rows": {}}', '{"files": [], "rows": {}}',
     '{"files": {}, "rows": {"jobs": "many"}}'],
)  # fmt: skip
def test_a_manifest_that_says_nothing(filled: Store, files: dict[str, bytes], manifest: str) -> None:
    assert refused(filled, zipped({**files, "manifest.json": manifest})) == NONE


def test_what_is_no_zip(store: Store) -> None:
    for data in (b"", b"PK\x03\x04", b"x" * 500):
        assert refused(store, data) == NONE


# By the manifest.


def test_every_file_that_is_not_as_the_manifest_says_is_named_up_to_twelve(store: Store) -> None:
    names = [f"f{number:02}" for number in range(13)]
    about = {"about.json": json.dumps({"format": "casewright-desk/2", "version": LATEST})}
    for count, more in ((12, ""), (13, "; and 1 more")):
        manifest = {"files": {name: {"sha256": "0"} for name in names[:count]}, "rows": {}}
        told = refused(store, zipped({**about, "manifest.json": json.dumps(manifest), "f01": b"another"}))
        lost = [f"{name} is missing" for name in names[:12]]
        lost[1] = "f01 is not as it was when the archive was made"
        assert told == f"this archive is not whole: {'; '.join(lost)}{more}"


def test_tables_that_no_manifest_has_are_named(filled: Store, files: dict[str, bytes]) -> None:
    del files["tables/jobs.jsonl"], files["tables/pins.jsonl"]
    assert refused(filled, signed(files)) == "its manifest does not count the tables of its version: jobs; pins"
    assert refused(filled, signed(files, jobs=1, pins=0, odd=0)) == (
        "its manifest does not count the tables of its version: odd"
    )
    assert refused(filled, signed(files, jobs=1, pins=0)) == (
        "this archive is not whole: tables/jobs.jsonl is missing; tables/pins.jsonl is missing"
    )


def test_rows_are_counted(filled: Store, files: dict[str, bytes]) -> None:
    assert refused(filled, signed(files, jobs=2)) == "tables/jobs.jsonl has 1 rows, and 2 by the manifest"
    assert restored(filled.database, signed(files, jobs=1)) == ()


def test_a_picture_that_no_manifest_has_is_named(filled: Store, files: dict[str, bytes]) -> None:
    del files["pictures/1.jpg"]
    assert refused(filled, signed(files)) == "tables/pictures.jsonl, line 1, jpeg: pictures/1.jpg is missing"


def test_a_part_that_cannot_be_unpacked_is_not_as_it_was(filled: Store, files: dict[str, bytes]) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in files.items():
            packed.writestr(name, content)
    data = bytearray(out.getvalue())
    with zipfile.ZipFile(io.BytesIO(bytes(data))) as packed:
        at = packed.getinfo("tables/jobs.jsonl").header_offset + 30 + len("tables/jobs.jsonl")
    data[at] ^= 0xFF
    assert refused(filled, bytes(data)) == (
        "this archive is not whole: tables/jobs.jsonl is not as it was when the archive was made"
    )


# By its rows.

REVISION = {"number": 1, "content": "{}", "what": "x", "at": "y", "position": 1}
JOB = {"id": 1, "name": "Old", "created": "a", "changed": "b"}


def rows(*each: Mapping[str, Any]) -> str:
    """Return rows as a table of an archive."""
    return "".join(f"{json.dumps(row)}\n" for row in each)


def test_an_archive_without_a_manifest_is_taken_with_a_remark(store: Store) -> None:
    assert restored(store.database, former(LATEST, {"jobs": rows(JOB)})) == (FORMER,)
    assert [job.name for job in store.jobs.find()] == ["Old"]


@pytest.mark.parametrize("number", [2**63, -(2**63) - 1, 10**60])
def test_a_number_beyond_64_bits_is_shown_by_its_beginning(store: Store, number: int) -> None:
    assert refused(store, former(LATEST, {"jobs": rows(JOB, JOB | {"id": number})})) == (
        f"tables/jobs.jsonl, line 2, id: found {str(number)[:40]}; accepted: a whole number from -2^63 to 2^63 - 1"
    )


@pytest.mark.parametrize("number", [2**63 - 1, -(2**63)])
def test_a_number_of_64_bits_is_taken(store: Store, number: int) -> None:
    restored(store.database, former(LATEST, {"jobs": rows(JOB | {"id": number})}))
    assert [job.id for job in store.jobs.find()] == [number]


@pytest.mark.parametrize("line", ["", "{", "[1]", '"x"', "[" * 100_000, '{"id": NaN}', '{"id": Infinity}'])
def test_a_line_that_is_no_row(store: Store, line: str) -> None:
    told = refused(store, former(LATEST, {"jobs": f"{rows(JOB)}{line}\n"}))
    assert told == "tables/jobs.jsonl, line 2: no row that can be read"


def test_a_number_without_end_is_told(store: Store) -> None:
    told = refused(store, former(LATEST, {"jobs": f"{rows(JOB)}" + '{"id": 1e999}\n'}))
    assert told == "tables/jobs.jsonl, line 2, id: found inf; accepted: a text, a number or a file"


def test_bytes_within_a_row_are_taken_as_they_were(store: Store) -> None:
    picture = {"id": 1, "jpeg": {"base64": base64.b64encode(b"\0\xff").decode()}}
    restored(store.database, former(LATEST, {"pictures": rows(picture)}))
    assert store.jobs.picture(1) == b"\0\xff"
    assert refused_by(store, former(LATEST, {"pictures": rows({"id": 1, "jpeg": {"x": 1}})})) == NONE


def refused_by(store: Store, archive: bytes) -> str:
    """Return the sentence of an archive that is not taken by a store that has backups."""
    with pytest.raises(StoreError) as caught:
        restored(store.database, archive)
    return str(caught.value).removesuffix(NOTHING)


def test_every_row_without_its_parent_is_told_once(store: Store) -> None:
    standing = {"id": 1, "job": 5, "standing": "sent", "on_day": "2026-11-25"}
    assert refused(store, former(LATEST, {"standings": rows(standing, standing | {"id": 2})})) == (
        "the tables do not hold together: a row of standings belongs to one of jobs that is not there"
    )


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        ({"documents": rows({"name": "prices", "revision": 3})}, "document prices: its revision 3 is missing"),
        ({"documents": rows({"name": "job:7", "revision": 1}),
          "revisions": rows(REVISION | {"document": "job:7"})},
         "document job:7: there is no such job"),
        ({"documents": rows({"name": "cut:7", "revision": 1}),
          "revisions": rows(REVISION | {"document": "cut:7"})},
         "document cut:7: there is no such job"),
        ({"plans": rows({"key": "k", "effort": "quick", "content": "{", "at": "a"})},
         "plans k: its content is no JSON"),
        ({"jobs": rows(JOB), "answers": rows({"job": 1, "kind": "saw", "made_by": "x", "content": "x", "at": "a"})},
         "answers 1 saw: its content is no JSON"),
    ],
)  # fmt: skip
def test_what_the_keys_of_the_tables_do_not_see(store: Store, tables: dict[str, str], said: str) -> None:
    head = "what is in this archive does not hold together"
    assert refused(store, former(LATEST, tables)) == f"{head}: {said}"


def test_what_the_desk_finds_unsound_is_told(filled: Store, files: dict[str, bytes]) -> None:
    with pytest.raises(StoreError) as caught:
        restore(filled.database, io.BytesIO(zipped(files)), lambda _: ["a", "b"])
    assert str(caught.value) == f"what is in this archive does not hold together: a; b{NOTHING}"


def test_what_stood_becomes_a_backup_of_before(filled: Store, files: dict[str, bytes]) -> None:
    filled.jobs.add("Later")
    restored(filled.database, zipped(files))
    assert [job.name for job in filled.jobs.find()] == ["Spring"]
    (backup,) = backups_in(filled.database.backups)
    assert backup.why == "before-restoring"
    bring_back(filled.database, backup.name)
    assert {job.name for job in filled.jobs.find()} == {"Spring", "Later"}
    assert [each.why for each in backups_in(filled.database.backups)] == ["before-restoring"] * 2


def test_a_full_disk_is_told_of_the_store(
    filled: Store, files: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    archive = zipped(files)
    for what in ("hashlib.file_digest", "json.loads"):
        with monkeypatch.context() as patch:
            patch.setattr(f"pricing.store.restoring.{what}", full)
            with pytest.raises(UnwritableError, match=f"The disk that holds {filled.database.path} is full"):
                restored(filled.database, archive)
    assert filled.jobs.count() == 1


# Backups.


def test_a_backup_that_is_none(filled: Store) -> None:
    with pytest.raises(LookupError, match="there is no such backup"):
        bring_back(filled.database, "desk.sqlite")
    made = filled.database.back_up("daily")
    made.write_bytes(b"nonsense" * 100)
    with pytest.raises(StoreError) as caught:
        bring_back(filled.database, made.name)
    assert str(caught.value) == f"{made.name} cannot be used, it is damaged{NOTHING}"


def test_what_is_put_aside_keeps_its_names_and_is_its_owners(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Noon:
        """A clock that stands."""

        @staticmethod
        def now(_: object) -> Any:
            """Tell the time."""
            from datetime import UTC, datetime

            return datetime(2026, 11, 30, 12, 5, 9, tzinfo=UTC)

    monkeypatch.setattr(module, "datetime", Noon)
    with closing(DataFolder(tmp_path)) as held:
        assert recover(held) is None
        assert not (tmp_path / ASIDE).exists()
        for number, name in enumerate(("20261130T120509Z", "20261130T120509Z-2", "20261130T120509Z-3")):
            (tmp_path / FILE).write_bytes(b"%d" % number)
            (tmp_path / f"{FILE}-wal").write_bytes(b"log")
            held.note_begun()
            moved = recover(held)
            assert moved == tmp_path / ASIDE / name
            assert {path.name: path.read_bytes() for path in moved.iterdir()} == {
                FILE: b"%d" % number, f"{FILE}-wal": b"log",
            }  # fmt: skip
            assert stat.S_IMODE(moved.stat().st_mode) == 0o700
            assert held.begun is False


def test_a_backup_in_place_of_nothing_is_a_desk_that_was_begun(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        store.jobs.add("Kept")
        name = store.database.back_up("daily").name
    (tmp_path / FILE).unlink()
    with closing(DataFolder(tmp_path)) as held:
        held.note_begun(begun=False)
        assert recover(held, name) is None
        assert held.begun is True
        assert not list((tmp_path / PASSING).iterdir())
    with closing(Store(tmp_path)) as store:
        assert [job.name for job in store.jobs.find()] == ["Kept"]
        assert (store.database.backups / name).exists(), "a backup that was brought back is one still"


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({}, "jobs, row 2: found none of its columns; accepted: id, name, "),
        (JOB | {"id": 2, "x": 1}, "jobs, row 2: found x; accepted: id, name, "),
        (JOB | {"id": 2, **dict.fromkeys("edcba", 1)}, "jobs, row 2: found a, b, c, d; accepted: id, name, "),
        ({"y" * 41: 1}, f"jobs, row 2: found {'y' * 40}; accepted: id, name, "),
        (JOB, "jobs, row 2: UNIQUE constraint failed: jobs.id"),
        (JOB | {"id": 2, "name": None}, "jobs, row 2: NOT NULL constraint failed: jobs.name"),
        (
            JOB | {"id": 2, "name": ["a"]},
            "tables/jobs.jsonl, line 2, name: found ['a']; accepted: a text, a number or a file",
        ),
        (
            JOB | {"id": 2, "name": ["a"] * 20},
            f"tables/jobs.jsonl, line 2, name: found {str(['a'] * 20)[:40]}; accepted: a text, a number or a file",
        ),
        (JOB | {"id": "x"}, "jobs, row 2: datatype mismatch"),
    ],
)
def test_a_row_that_a_table_does_not_take_is_told(store: Store, row: dict[str, Any], said: str) -> None:
    assert refused(store, former(LATEST, {"jobs": rows(JOB, row)})).startswith(said)
