"""A desk that is closed and opened again still has the last comparison and the last quoted scenarios of each job."""

import html
import json
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from nesting.base.version import made_by
from pricing.desk.desk import Desk
from pricing.desk.search import Kind
from pricing.store import Store
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS
from tests.pricing.store.archives import exported, restored

SCENARIOS = (
    '[scenario.one-less]\ntitle = "One less"\norder.without = ["A-02"]\n\n[scenario.none]\nprices."hour saw" = 0\n'
)


@contextmanager
def opened(folder: Path) -> Iterator[tuple[Desk, httpx.Client]]:
    """Open a desk on a folder, and close it."""
    desk = Desk(Store(folder), today=lambda: DAY, patience=60.0, effort="quick")
    try:
        with served(desk) as client:
            client.headers["origin"] = str(client.base_url).rstrip("/")
            yield desk, client
    finally:
        desk.close()


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def done(desk: Desk, kind: Kind) -> None:
    end = time.monotonic() + 60.0
    while desk.searches.pending(1, kind):
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.02)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a desk that was closed after its one job was compared and its scenarios quoted."""
    made = tmp_path_factory.mktemp("desk")
    with opened(made) as (desk, client):
        client.post("/jobs", data={"name": "Again"})
        table = {"headings": HEADINGS, "rows": ROWS, "revision": 1}
        client.post("/jobs/1/artworks", json=table, headers={"accept": "application/json"})
        client.post("/jobs/1/what-if/text", data={"scenarios": SCENARIOS, "revision": "2"})
        client.post("/jobs/1/ways", data={"by": "trip", "free": "yes"})
        client.post("/jobs/1/what-if")
        done(desk, "ways")
        done(desk, "scenarios")
        (made / "was").write_text(repr([desk.comparisons.of(1, ""), desk.weighings.of(1, "")]), encoding="utf-8")
    return made


def test_the_comparison_and_the_scenarios_are_there_again(folder: Path) -> None:
    with opened(folder) as (desk, client):
        ways, what_if = plain(client.get("/jobs/1/ways").text), plain(client.get("/jobs/1/what-if").text)
        made = desk.comparisons.of(1, desk.comparison_key(desk.sheaf(1)))
        assert made is not None
        assert made.key == desk.comparison_key(desk.sheaf(1)), "it is one of the job as it is"
        assert (made.wish.by, made.wish.free, made.stopped) == ("trip", True, False)
        assert f"{made.found.best.total:,.2f}" in ways
        assert "Use this combination" in ways or "Nothing to change" in ways
        assert re.search(r"One less [\d,]+\.\d\d − [\d,]+\.\d\d", what_if)
        assert "The figures are those of before" not in what_if
        assert what_if.count("Make the job so") == 2, "what was quoted then can be taken now"
        assert desk.searches.of(1) is None, "nothing was searched for"


def test_every_figure_comes_back_as_it_was(folder: Path) -> None:
    with opened(folder) as (desk, _):
        again = [desk.comparisons.of(1, ""), desk.weighings.of(1, "")]
        assert repr(again) == (folder / "was").read_text(encoding="utf-8")
        assert re.search(r"'kg': \d+\.\d", repr(again)), "a float stays one"


def test_after_a_change_it_is_one_of_what_was_before(folder: Path) -> None:
    with opened(folder) as (desk, client):
        revision = desk.sheaf(1).document.revision
        client.post("/jobs/1/rate", data={"rule": "price.overhead", "value": "0.2", "revision": str(revision)})
        assert "was changed after this was compared" in plain(client.get("/jobs/1/ways").text)
        client.post("/jobs/1/step", data={"way": "undo", "revision": str(revision + 1)})
        assert "was changed after this was compared" not in plain(client.get("/jobs/1/ways").text)


def test_after_a_price_was_changed_back_it_is_one_of_the_job_as_it_is(folder: Path) -> None:
    """It is a comparison of what prices said, not of how often they were saved."""
    with opened(folder) as (desk, client):
        for way in ("to 80.00", "back"):
            paper = desk.papers.document("prices")
            if way == "back":
                client.post("/prices/step", data={"way": "undo", "revision": str(paper.revision)})
            else:
                client.post("/prices/row", data={"stock": "ply-23/32 4x8", "price": "80.00", "revision": "0"})
            page = plain(client.get("/jobs/1/ways").text)
            assert ("was changed after this was compared" in page) is (way != "back")


def test_under_another_version_it_is_shown_and_told_as_that_of_the_one_before(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All it was worked out from is the same, but the program: its figures may be others."""
    monkeypatch.setattr("pricing.desk.ways.made_by", lambda: "casewright 9")
    with opened(folder) as (desk, client):
        made = desk.comparisons.of(1, "")
        assert made is not None
        ways, what_if = plain(client.get("/jobs/1/ways").text), plain(client.get("/jobs/1/what-if").text)
        assert f"This was compared by {made_by()}, not by this version of the program." in ways
        assert f"{made.found.best.total:,.2f}" in ways
        assert "Use this combination" not in ways
        assert f"These were quoted by {made_by()}, not by this version of the program." in what_if
        assert "One less" in what_if
        assert "Make the job so" not in what_if


def test_over_another_optimiser_it_is_one_of_before(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pricing.desk.ways.version", lambda _: "99.0")
    with opened(folder) as (_, client):
        assert "The figures are those of before" in plain(client.get("/jobs/1/ways").text)


def test_it_goes_with_everything_that_is_kept(folder: Path, desk: Desk, client: httpx.Client) -> None:
    with opened(folder) as (other, _):
        archive = exported(other.store.database)
    restored(desk.store.database, archive)
    desk.forget()
    assert desk.comparisons.of(1, "") is not None
    assert "One less" in plain(client.get("/jobs/1/what-if").text)
    rows = desk.store.database.rows("SELECT kind, content FROM answers ORDER BY kind")
    assert [(row["kind"], json.loads(row["content"])["is"]) for row in rows] == [
        ("scenarios", "Weighing"),
        ("ways", "Compared"),
    ]
