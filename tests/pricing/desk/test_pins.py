"""A job that is accepted or first cut is pinned: shown and printed as it was, whatever changes."""

import html
import json
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from pathlib import Path
from threading import Event
from typing import Any

import httpx
import pytest

from nesting.base.measure import INCH
from nesting.cutting.sheets import PartLeaf
from pricing.desk.conversion import Conversion
from pricing.desk.desk import Desk, job_paper
from pricing.desk.pins import from_rack, plans_of, stamp_of, stock_of
from pricing.output.outgoing import KINDS, paper
from pricing.quoting.quote import Quote
from pricing.store import Store
from pricing.studio.rack import RackOffcut
from tests.pricing.desk.conftest import served
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS, looked_at
from tests.pricing.made_by_0_1_0 import data_folder

PAGES = (
    "artworks",
    "crates",
    "ways",
    "sheets",
    "money",
    "papers",
    "yard",
    "record",
    "plan",
    "returns",
    "what-if",
    "what-if/text",
)
BIG = RackOffcut("R-1", "ply-3/8", 96 * INCH, 48 * INCH, Decimal("1.00"))
SCRIPT = {"accept": "application/json"}


def begun(client: httpx.Client, rows: Any = ROWS[:1]) -> int:
    """Begin a job, at revision 2."""
    number = int(client.post("/jobs", data={"name": "Spring show"}).headers["location"].split("/")[2])
    table = {"headings": HEADINGS, "rows": rows, "revision": 1}
    client.post(f"/jobs/{number}/artworks", json=table, headers=SCRIPT)
    return number


@pytest.fixture
def job(client: httpx.Client) -> int:
    return begun(client)


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def stand(client: httpx.Client, job: int, standing: str = "accepted") -> httpx.Response:
    return client.post(f"/jobs/{job}/stand", data={"standing": standing})


def papers(client: httpx.Client, job: int, version: str = "") -> dict[str, bytes]:
    return {name: client.get(f"/jobs/{job}/files/{name}", params={"version": version}).content for name in KINDS}


def now(desk: Desk, job: int) -> int:
    return desk.store.pins.document(job).revision


def total(desk: Desk, job: int) -> Decimal:
    answer = desk.sheaf(job).answer
    assert answer is not None
    return answer.quote.total


def moved(desk: Desk) -> None:
    """Change the price book, a rule and the rack."""
    from pricing.desk.studio import PRICES, book_text

    book, paper = desk.papers.book, desk.papers.document(PRICES)
    text = book_text(book, {}).replace('"price": "', '"price": "1')
    desk.papers.save(PRICES, text, based_on=paper.revision, what="all dearer")
    number = desk.store.rack.free_name("M-")
    desk.store.rack.put([RackOffcut(f"M-{number}", "ply-3/8", 96 * INCH, 48 * INCH)])


def tick(client: httpx.Client, desk: Desk, job: int, count: int, **other: Any) -> httpx.Response:
    """Tick the first layout of the first sheet good as the page does."""
    sheaf = desk.sheaf(job)
    shown = sheaf.later if other.get("version") and sheaf.later else sheaf
    assert shown.answer is not None
    quote = shown.answer.quote
    fields = {"good": quote.build.layouts[0].good, "number": 1, "count": count, "cut": now(desk, job),
              "plan": stamp_of(quote), **other}  # fmt: skip
    return client.post(f"/jobs/{job}/sawn", data={name: str(each) for name, each in fields.items()})


def test_an_accepted_job_stays_whatever_changes(client: httpx.Client, desk: Desk, job: int) -> None:
    before, was = papers(client, job), total(desk, job)
    assert stand(client, job).status_code == 303
    moved(desk)
    desk.today = lambda: date(2027, 5, 3)
    line = "Pinned since 25 November 2026, accepted: as it stood."
    for page in PAGES:
        assert line in plain(client.get(f"/jobs/{job}/{page}").text), page
    assert papers(client, job) == before
    assert total(desk, job) == was
    assert desk.store.jobs.get(job).total == f"USD {was:,.2f}"
    assert desk.searches.of(job) is None or desk.searches.of(job).facts()["state"] not in ("waiting", "running")  # type: ignore[union-attr]


def test_a_pinned_job_is_read_again_by_another_desk(client: httpx.Client, desk: Desk, job: int, tmp_path: Path) -> None:
    before = papers(client, job)
    stand(client, job)
    moved(desk)
    desk.close()
    other = Desk(Store(tmp_path / "data"), today=lambda: DAY, patience=60.0, effort="quick")
    other.conversion.begin()  # as whoever opens a desk does: some papers may not have been made when it was closed
    with served(other) as again:
        assert papers(again, job) == before
        assert "Pinned since" in again.get(f"/jobs/{job}/sheets").text
    other.close()


def test_an_unchanged_job_is_pinned_as_it_was_sent(client: httpx.Client, desk: Desk, job: int) -> None:
    sent = client.post(f"/jobs/{job}/send", data={**looked_at(desk, job), "revision": "2", "version": "1"})
    assert sent.status_code == 303
    went_out = {name: client.get(f"/jobs/{job}/versions/1/files/{name}").content for name in KINDS}
    was = total(desk, job)
    moved(desk)
    assert total(desk, job) != was
    stand(client, job)
    assert total(desk, job) == was
    assert "accepted: version 1 as it was sent" in client.get(f"/jobs/{job}/money").text
    assert papers(client, job) == went_out
    assert desk.store.database.rows("SELECT 1 FROM pin_papers") == [], "the papers of the sent version are its papers"


def test_a_change_goes_into_a_next_version(client: httpx.Client, desk: Desk, job: int) -> None:
    stand(client, job)
    before, was = papers(client, job), total(desk, job)
    told = client.post(f"/jobs/{job}/quantity", data={"piece": "A-01", "count": "3", "revision": "2"}, headers=SCRIPT)
    slip = told.json()["slip"]
    assert slip["total"] == f"USD {was:,.2f}"
    assert slip["later"]["text"].startswith("Version 2, not cut yet: USD ")
    assert slip["later"]["address"] == f"/jobs/{job}/money?version=next"
    assert papers(client, job) == before
    page = plain(client.get(f"/jobs/{job}/money", params={"version": "next"}).text)
    assert "Version 2, not cut yet: entered since the job was pinned." in page
    assert papers(client, job, "next")["quote.json"] != before["quote.json"]
    for name in ("crates", "sheets", "plan", "yard"):
        assert client.get(f"/jobs/{job}/{name}", params={"version": "next"}).status_code == 200, name
    # It is sent as any other, and accepted, which pins it in its turn; taken off again, the first stands.
    client.post(f"/jobs/{job}/send", data={**_words(desk, job), "revision": "3", "version": "1"})
    stand(client, job)
    assert total(desk, job) == desk.store.quotes.get(job, 1).total != was
    client.post(f"/jobs/{job}/unpin", data={"cut": str(now(desk, job))})
    assert total(desk, job) == was
    assert papers(client, job) == before


def _words(desk: Desk, job: int) -> dict[str, str]:
    from pricing.desk.lacking import stamp
    from pricing.quoting.lacks import graves

    later = desk.sheaf(job).later
    assert later is not None
    assert later.answer is not None
    lacks = later.answer.quote.lacks
    return {"seen": stamp(lacks), **{f"word-{lack.kind}": "They know." for lack in graves(lacks)}}


def test_what_is_pinned_is_not_sent_again(client: httpx.Client, desk: Desk, job: int) -> None:
    stand(client, job)
    assert "Freeze it as version" not in client.get(f"/jobs/{job}/record").text
    answer = client.post(f"/jobs/{job}/send", data={**looked_at(desk, job), "revision": "2", "version": "1"})
    assert answer.status_code == 422
    assert "it is pinned" in answer.text
    assert desk.store.quotes.of(job) == []


def test_a_table_with_faults_leaves_what_is_pinned(client: httpx.Client, desk: Desk, job: int) -> None:
    stand(client, job)
    was = total(desk, job)
    table = {"headings": HEADINGS, "rows": [["A-01", "First", "wide", "30", "1", "", "", ""]], "revision": 2}
    slip = client.post(f"/jobs/{job}/artworks", json=table, headers=SCRIPT).json()["slip"]
    assert (slip["faults"], slip["total"]) == (1, f"USD {was:,.2f}")
    assert slip["later"]["text"] == "Version 2, not cut yet: no price yet"
    for page in PAGES:
        assert client.get(f"/jobs/{job}/{page}").status_code == 200, page


def test_the_first_tick_pins_and_every_tick_is_undone(client: httpx.Client, desk: Desk, job: int) -> None:
    before = papers(client, job)
    assert "cut 0 of 1" in plain(client.get(f"/jobs/{job}/sheets").text)
    answer = tick(client, desk, job, 1)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith(f"/jobs/{job}/sheets#")
    page = plain(client.get(f"/jobs/{job}/sheets").text)
    assert "first sheet cut: as it stood" in page
    assert "cut 1 of 1" in page
    moved(desk)
    assert papers(client, job) == before
    assert desk.store.jobs.get(job).standing == "draft"
    client.post(f"/jobs/{job}/cut/step", data={"way": "undo", "cut": str(now(desk, job))})
    assert desk.pins.of(job) is None
    client.post(f"/jobs/{job}/cut/step", data={"way": "redo", "cut": str(now(desk, job))})
    assert "cut 1 of 1" in plain(client.get(f"/jobs/{job}/sheets").text)
    assert tick(client, desk, job, 0).status_code == 303
    assert "cut 1 of 1" not in plain(client.get(f"/jobs/{job}/sheets").text)
    assert desk.pins.of(job) is not None


def test_a_tick_of_what_the_page_did_not_show_is_refused(client: httpx.Client, desk: Desk, job: int) -> None:
    assert tick(client, desk, job, 1, plan="other").status_code == 409
    assert tick(client, desk, job, 1, cut=7).status_code == 409
    assert tick(client, desk, job, 9).status_code == 422
    assert tick(client, desk, job, 1, number=99).status_code == 422
    assert tick(client, desk, job, 1, good="gold").status_code == 422
    assert desk.pins.of(job) is None
    assert not desk.store.pins.ever(job)


def test_unpinning_says_what_it_undoes_and_is_undone(client: httpx.Client, desk: Desk, job: int) -> None:
    stand(client, job)
    tick(client, desk, job, 1)
    before, was = papers(client, job), total(desk, job)
    moved(desk)
    page = plain(client.get(f"/jobs/{job}/unpin").text)
    for said in ("follow the rack, the price book and the rules again", f"that is pinned, USD {was:,.2f}, becomes USD",
                 "1 sheet or stick is ticked as cut", "The job stays accepted", "undo"):  # fmt: skip
        assert said in page
    refused = client.post(f"/jobs/{job}/unpin", data={"cut": str(now(desk, job))})
    assert refused.status_code == 422
    assert "ticked as cut" in refused.text
    assert client.post(f"/jobs/{job}/unpin", data={"cut": "1", "sure": "yes"}).status_code == 409
    assert total(desk, job) == was
    assert client.post(f"/jobs/{job}/unpin", data={"cut": str(now(desk, job)), "sure": "yes"}).status_code == 303
    assert total(desk, job) != was
    assert "Pinned since" not in client.get(f"/jobs/{job}/money").text
    client.post(f"/jobs/{job}/cut/step", data={"way": "undo", "cut": str(now(desk, job))})
    assert total(desk, job) == was
    assert papers(client, job) == before
    assert "cut 1 of" in plain(client.get(f"/jobs/{job}/sheets").text)
    assert "This job is not pinned." in client.get(f"/jobs/{begun(client)}/unpin").text


def test_what_its_plans_cut_from_the_rack_is_taken_with_the_pin(client: httpx.Client, desk: Desk, job: int) -> None:
    desk.store.rack.put([BIG])
    other = begun(client)
    for each in (job, other):
        answer = desk.sheaf(each).answer
        assert answer is not None
        assert from_rack(answer.quote) == {"R-1": 1}
    stand(client, job)
    assert desk.store.rack.taken(job) == {"R-1": 1}
    answer = desk.sheaf(other).answer
    assert answer is not None
    assert from_rack(answer.quote) == {}
    assert client.post(f"/jobs/{job}/take", data={"back": "1"}).status_code == 422
    # Unpinned, put back, and taken by the other: undo cannot pin what is not there, and says so.
    client.post(f"/jobs/{job}/unpin", data={"cut": str(now(desk, job))})
    desk.store.rack.take(job, {})
    stand(client, other)
    undone = client.post(f"/jobs/{job}/cut/step", data={"way": "undo", "cut": str(now(desk, job))})
    assert undone.status_code == 422
    assert "R-1" in undone.text
    assert desk.pins.of(job) is None


def test_an_offcut_that_is_gone_keeps_a_sent_job_from_being_pinned(client: httpx.Client, desk: Desk, job: int) -> None:
    desk.store.rack.put([BIG])
    client.post(f"/jobs/{job}/send", data={**looked_at(desk, job), "revision": "2", "version": "1"})
    desk.store.rack.take(begun(client), {"R-1": 1})
    refused = stand(client, job)
    assert refused.status_code == 422
    assert "R-1" in refused.text
    assert desk.store.jobs.get(job).standing == "sent", "neither accepted nor pinned"
    assert desk.pins.of(job) is None


def test_a_change_meanwhile_is_not_pinned(
    client: httpx.Client, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow(_quote: object) -> dict[str, str]:
        document = desk.store.documents.get(job_paper(job))
        text = document.content.replace("First", "Other")
        desk.store.documents.save(job_paper(job), text, based_on=document.revision, what="meanwhile")
        return {}

    monkeypatch.setattr("pricing.desk.pins.quote_document", slow)
    refused = stand(client, job)
    assert refused.status_code == 422
    assert "changed since" in refused.text
    assert desk.store.jobs.get(job).standing == "draft"
    assert client.post(f"/jobs/{job}/stand", data={"standing": "accepted", "revision": "1"}).status_code == 422


def test_standings_before_acceptance_pin_nothing(client: httpx.Client, desk: Desk, job: int) -> None:
    for standing in ("sent", "declined"):
        stand(client, job, standing)
        assert desk.pins.of(job) is None
    stand(client, job, "cut")
    stand(client, job, "paid")
    assert [row["number"] for row in desk.store.database.rows("SELECT number FROM pins")] == [1]
    empty = int(client.post("/jobs", data={"name": "Empty"}).headers["location"].split("/")[2])
    assert stand(client, empty).status_code == 303, "a job without a price may be accepted; there is nothing to pin"


def test_what_a_program_cannot_read_is_shown_by_its_tables_and_papers(
    client: httpx.Client, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand(client, job)
    before, listed = papers(client, job), desk.store.jobs.get(job).total
    monkeypatch.setattr("pricing.store.pins.decode", lambda *_: int("no number"))
    desk.forget()
    for page in PAGES:
        assert client.get(f"/jobs/{job}/{page}").status_code == 200, page
    page = plain(client.get(f"/jobs/{job}/sheets").text)
    assert "cannot read the plan that" in page
    assert "What each piece bears" in page
    assert listed in page
    assert desk.store.jobs.get(job).total == listed
    assert papers(client, job) == before


def test_a_later_version_plans_only_what_is_not_cut(client: httpx.Client, desk: Desk, job: int) -> None:
    """Everything is cut; then a second copy is ordered: what is cut is not laid out again, and paid once."""
    desk.store.rack.put([BIG])
    answer = desk.sheaf(job).answer
    assert answer is not None
    first = answer.quote
    for plan in plans_of(first):
        for place, (_, repeat) in enumerate(stock_of(plan)):
            tick(client, desk, job, repeat, good=plan.good, number=place + 1)
    client.post(f"/jobs/{job}/quantity", data={"piece": "A-01", "count": "2", "revision": "2"})
    later = desk.sheaf(job).later
    assert later is not None
    assert later.answer is not None, later.faults
    second = later.answer.quote
    assert from_rack(second) == {}, "what is sawn of the rack is no more"
    cut, wanted = (sum(p.count for c in q.build.crates for p in c.parts) for q in (first, second))
    laid = sum(
        each.repeat * sum(isinstance(leaf, PartLeaf) for *_, leaf in each.pieces(layout.kerf))
        for layout in second.build.layouts for each in layout.sheets
    )  # fmt: skip
    assert (wanted, laid) == (2 * cut, cut)
    client.post(f"/jobs/{job}/step", data={"way": "undo", "revision": "3"})
    assert desk.sheaf(job).later is None, "what was entered is again what is pinned"


def test_what_was_fetched_for_the_first_version_is_not_fetched_for_the_second(
    client: httpx.Client, desk: Desk, job: int
) -> None:
    answer = desk.sheaf(job).answer
    assert answer is not None
    row = next(row for row in answer.quote.takeoff.rows if row.form == "sheet" and row.bought)
    whole = {"stock": row.stock, "whole": str(row.bought), "count": str(row.bought)}
    client.post(f"/jobs/{job}/tick", data=whole)
    tick(client, desk, job, 1, good=row.good)
    client.post(f"/jobs/{job}/quantity", data={"piece": "A-01", "count": "9", "revision": "2"})
    stand(client, job)
    again = desk.sheaf(job).answer
    assert again is not None
    now_wanted = next(each for each in again.quote.takeoff.rows if each.stock == row.stock)
    page = client.get(f"/jobs/{job}/yard").text
    assert now_wanted.bought > 0
    assert re.search(rf'<li class="done"[^>]*>(?:(?!</li>).)*{re.escape(row.stock)}', page, re.DOTALL) is None
    asked = {"stock": row.stock, "whole": str(now_wanted.bought), "count": str(now_wanted.bought)}
    told = client.post(f"/jobs/{job}/tick", data=asked, headers=SCRIPT).json()
    assert told["done"]
    assert desk.store.jobs.fetched(job)[row.stock] == row.bought + now_wanted.bought


@contextmanager
def old_desk(folder: Path) -> Iterator[tuple[Desk, httpx.Client]]:
    desk = Desk(Store(data_folder(folder)), today=lambda: DAY, patience=1e6, effort="quick")
    try:
        with served(desk) as client:
            client.headers["origin"] = str(client.base_url).rstrip("/")
            client.timeout = 600.0
            yield desk, client
    finally:
        desk.close()


@pytest.mark.slow
def test_a_job_accepted_under_0_1_0_is_pinned_at_what_was_sent(tmp_path: Path) -> None:
    """On opening, once, and not again after it is unpinned; as its crates are built otherwise now, by its tables."""
    with old_desk(tmp_path / "data") as (desk, client):
        desk.conversion.run()
        assert [row["job"] for row in desk.store.database.rows("SELECT job FROM pins")] == [1]
        sent, pinned = desk.store.quotes.get(1, 2), desk.pins.of(1)
        assert pinned is not None
        assert (pinned.quote, pinned.result) == (None, json.loads(sent.result))
        page = plain(client.get("/jobs/1/money").text)
        assert "accepted: version 2 as it was sent" in page
        assert f"{sent.total:,.2f}" in page
        for name in KINDS:
            answer = client.get(f"/jobs/1/files/{name}")
            if name == "quote.json":
                assert answer.json() == pinned.result
                continue
            assert answer.status_code == 410, name
            assert "What was sent stands, as its tables show it" in answer.text
        client.post("/jobs/1/unpin", data={"cut": str(now(desk, 1))})
        desk.conversion.run()
        assert desk.pins.of(1) is None


def test_nobody_waits_for_papers_at_the_first_cut(
    client: httpx.Client, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They took 16 to 57 seconds; what asks for one meanwhile waits for it, and where none can be made is told so."""
    printing, go_on = Event(), Event()
    real = paper

    def slow(quote: Quote, name: str, **more: Any) -> bytes:
        printing.set()
        assert go_on.wait(30)
        return real(quote, name, **more)

    monkeypatch.setattr("pricing.desk.frozen.paper", slow)
    begun_at = time.perf_counter()
    assert tick(client, desk, job, 1).status_code == 303
    assert time.perf_counter() - begun_at < 5.0
    assert printing.wait(30)
    assert desk.store.pins.unprinted() == [(job, 1)]
    go_on.set()
    assert client.get(f"/jobs/{job}/files/tables.zip").content[:2] == b"PK"
    assert desk.store.pins.unprinted() == []


def test_papers_that_cannot_be_made_are_not_tried_for_ever(
    client: httpx.Client, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> bytes:
        raise ZeroDivisionError("a mistake of ours")

    monkeypatch.setattr("pricing.desk.frozen.paper", broken)
    assert tick(client, desk, job, 1).status_code == 303
    desk.conversion.wait()
    answer = client.get(f"/jobs/{job}/files/tables.zip")
    assert answer.status_code == 410
    assert "Its papers are not made yet" in answer.text
    assert "Pinned since" in client.get(f"/jobs/{job}/sheets").text
    # Another desk, whose program can, makes them.
    monkeypatch.undo()
    again = Conversion(desk.store, paper=desk._print_pinned)  # noqa: SLF001 - as the desk hands it in
    again.run()
    assert desk.store.pins.printed(job, 1)
