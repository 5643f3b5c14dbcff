"""What 0.1.0 stored opens, comes in from its archive, is undone and redone, and reads on to the last field."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from pricing.desk.content import content_from
from pricing.desk.scenarios import Weighing
from pricing.desk.studio import OwnSize, Rulings
from pricing.desk.ways import Compared
from pricing.store import Store, StoreError
from pricing.store.backups import backups_in
from pricing.store.codec import decode, encode
from pricing.store.former import FORMER
from pricing.store.plans import plan_from, plan_text
from pricing.store.schema import MIGRATIONS
from pricing.studio.office import Office
from pricing.studio.pricebook import Price
from tests.pricing.made_by_0_1_0 import FIGURES, PLACE, data_folder, digest
from tests.pricing.store.archives import restored

Rows = dict[str, list[dict[str, Any]]]


def stored(path: Path) -> Rows:
    """Read every table with the library alone."""
    with closing(sqlite3.connect(path)) as link:
        link.row_factory = sqlite3.Row
        query = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
        names = [row["name"] for row in link.execute(query).fetchall()]
        return {name: [dict(row) for row in link.execute(f"SELECT * FROM {name} ORDER BY rowid")] for name in names}  # noqa: S608 - names of tables


@pytest.fixture(scope="module")
def old(tmp_path_factory: pytest.TempPathFactory) -> Rows:
    """Return every row as 0.1.0 left it."""
    return stored(data_folder(tmp_path_factory.mktemp("old") / "data") / "desk.sqlite")


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Store]:
    """Open the data folder."""
    with closing(Store(data_folder(tmp_path / "data"))) as store:
        yield store


def known(now: Rows, old: Rows) -> Rows:
    """Return the rows that there are now as they were told then: tables and columns that came later left out."""
    heads = {name: rows[0].keys() if rows else () for name, rows in old.items()}
    return {name: [{key: row[key] for key in heads[name]} for row in now[name]] for name in old}


def test_the_data_folder_opens_and_every_row_is_there(opened: Store, old: Rows) -> None:
    assert FIGURES["store_version"] == 5
    assert opened.database.version == len(MIGRATIONS)
    assert {name: len(rows) for name, rows in old.items()} == FIGURES["tables"]
    now = stored(opened.database.path)
    assert known(now, old) == old
    assert [row["held"] for row in now["jobs"]] == [""] * len(old["jobs"])
    (backup,) = backups_in(opened.database.backups)
    assert backup.why == "before-6"
    assert opened.rates_form == 1, "it goes on with the rates that were built in then"
    assert stored(backup.path) == old


def test_the_archive_comes_in_row_for_row(store: Store, old: Rows) -> None:
    assert store.rates_form == 2
    (remark,) = restored(store.database, (PLACE / "archive.zip").read_bytes())
    assert "no manifest" in remark
    assert known(stored(store.database.path), old) == old
    assert store.rates_form == 1


@pytest.mark.parametrize("paper", FIGURES["documents"], ids=lambda paper: paper["name"])
def test_every_document_is_undone_to_its_beginning_and_redone(opened: Store, paper: dict[str, Any]) -> None:
    rows = {row["number"]: row for row in paper["revisions"]}
    documents, name = opened.documents, paper["name"]

    def step(way: str) -> str:
        """Make a step as the page does; return what stands then."""
        revision = documents.get(name).revision
        if name == "rack":
            opened.rack.step("undo" if way == "undo" else "redo", based_on=revision)
        else:
            (documents.undo if way == "undo" else documents.redo)(name, based_on=revision)
        return digest(documents.get(name).content)

    now = rows[paper["revision"]]
    assert digest(documents.get(name).content) == now["sha256"]
    before, ahead = [now["sha256"]], now["redo_gives"]
    while now["parent"] is not None:
        try:
            found = step("undo")
        except StoreError:  # what jobs have taken is not undone from under them
            assert name == "rack"
            break
        assert found == now["undo_gives"], f"undo from {now['number']}"
        before.append(found)
        now = rows.get(now["parent"], {"parent": None, "number": 0})
    assert len(before) > 1 or paper["revision"] == 1 or name == "rack"
    for wanted in before[-2::-1]:
        assert step("redo") == wanted
    if ahead is not None:
        assert step("redo") == ahead, "what was undone under 0.1.0 is redone"


def _holds(stored: Any, now: Any) -> bool:
    """Whether a value holds everything that a stored one does, by names of today; fields may have been added."""
    if isinstance(stored, dict):
        kind = FORMER.name(stored.get("is", ""))
        stored = {**FORMER.of(kind, stored), **({"is": kind} if kind else {})}
        return isinstance(now, dict) and all(name in now and _holds(each, now[name]) for name, each in stored.items())
    if isinstance(stored, list):
        return isinstance(now, list) and len(stored) == len(now) and all(map(_holds, stored, now))
    return bool(stored == now)


def test_the_check_of_fields_can_fail() -> None:
    assert _holds({"a": [1, {"b": 2}]}, {"a": [1, {"b": 2, "c": 3}]})
    changed: tuple[Any, ...] = ({"a": [1, {"c": 2}]}, {"a": [1]}, {}, {"a": [1, {"b": 3}]}, [])
    for lost in changed:
        assert not _holds({"a": [1, {"b": 2}]}, lost)


def _values(old: Rows) -> Iterator[tuple[str, Any, Any]]:
    """Yield everything that the codec wrote: where it is, its type, what is stored."""
    for row in old["quotes"]:
        yield f"office of {row['number']}", Office, json.loads(row["office"])
    for row in old["answers"]:
        kind = {"ways": Compared, "scenarios": Weighing}[row["kind"]]
        yield f"{row['kind']} of {row['job']}", kind, json.loads(row["content"])
    for row in old["revisions"]:
        if row["document"] == "rules":
            yield f"rules {row['number']}", Rulings, json.loads(row["content"])
        if row["document"] == "prices":
            document = json.loads(row["content"])
            for price in document["rows"]:
                yield f"price {price['stock']}", Price, price
            for stock, size in document.get("sizes", {}).items():
                yield f"size {stock}", OwnSize, size


def test_no_field_of_anything_stored_is_lost_in_reading(old: Rows) -> None:
    """A class or field that was renamed without a line in :mod:`pricing.store.former` is found here."""
    seen = 0
    for place, kind, value in _values(old):
        assert _holds(value, encode(decode(kind, value))), place
        seen += 1
    plans = [text for row in old["quotes"] for text in json.loads(row["plans"])] + [r["content"] for r in old["plans"]]
    for text in plans:
        assert _holds(json.loads(text), json.loads(plan_text(plan_from(text))))
    for row in old["revisions"]:
        if row["document"].startswith("job:"):
            assert _holds(json.loads(row["content"]), json.loads(content_from(row["content"]).text()))
    assert seen > 300
    assert len(plans) > 30
