import csv
import io
import json
import zipfile
from contextlib import closing
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from nesting.measure import INCH
from pricing.rack import RackOffcut
from pricing.store import Store, StoreError
from pricing.store.export import export, restore
from pricing.store.schema import TABLES


def _fill(store: Store) -> None:
    job = store.jobs.add("Spring show", "=HYPERLINK('x')")
    content = json.dumps({"headings": ["piece", "title"], "rows": [["A-01", "Ebb, and flow"]]})
    store.documents.save(f"job:{job}", content, based_on=0, what="begun")
    store.documents.save("prices", "{}", based_on=0, what="first")
    store.documents.save("prices", "[]", based_on=1, what="second")
    store.jobs.stand(job, "accepted", date(2026, 11, 25), Decimal("10.00"))
    store.jobs.add_actual(job, "hours", date(2026, 11, 25), "hour bench", Decimal("2.5"))
    store.jobs.fetch(job, "ply-3/8 4x8", Decimal(3))
    store.jobs.keep_photo(job, "A-01", bytes(range(256)))
    store.quotes.freeze(
        job, number="1-1", sent_on=date(2026, 11, 25), total=Decimal("10.00"), currency="USD", content="{}",
        office="{}", plans="[]", result="{}",
    )  # fmt: skip
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
