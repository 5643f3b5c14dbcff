"""Offers that went out: kept byte for byte with the quote, marked one by one, with a word while they are drafts."""

import json
import zipfile
from io import BytesIO
from typing import Any

import httpx
import pytest
from PIL import Image

from pricing.desk.desk import Desk
from pricing.desk.frozen import outgoing
from pricing.desk.lacking import stamp
from pricing.desk.offered import kept_of, marks_in, offers_paper
from pricing.desk.studio import for_job
from pricing.output.offer.content import INVENTED
from pricing.store import StoreError
from tests.pricing.desk.orders import HEADINGS, ROWS, looked_at
from tests.pricing.desk.test_parties import begin_with, keep, plain

TABLE = [[*HEADINGS, "buyer"], [*ROWS[0], "Bay Foundation"], [*ROWS[1], "Pier Hall"]]
BAY = "offer-bay-foundation"
PIER = "offer-pier-hall"


@pytest.fixture(autouse=True)
def other_papers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Spare the work on all papers but the offers: ``test_sending`` has those."""
    monkeypatch.setattr("pricing.desk.frozen.paper", lambda _quote, name, **_more: name.encode())


@pytest.fixture
def job(client: httpx.Client) -> int:
    """Begin a job with two buyers, one of whom is known, at revision 2."""
    keep(client, 0, party="Bay Foundation", deposit="50 %")
    return begin_with(client, TABLE)


def go_out(client: httpx.Client, desk: Desk, job: int, **fields: Any) -> httpx.Response:
    """Press the button below an offer."""
    facts = {"revision": 2, "version": 1, "name": BAY, "on": "2026-11-27", **looked_at(desk, job), **fields}
    return client.post(f"/jobs/{job}/client", data={name: str(each) for name, each in facts.items()})


def marked(desk: Desk, job: int) -> list[tuple[int, str, str, str]]:
    marks = marks_in(desk.store.documents.get(offers_paper(job)))
    return [(each.version, each.name, each.on, each.word) for each in marks]


def test_what_goes_out_is_kept_as_it_was_read_and_each_client_is_marked_apart(
    client: httpx.Client, desk: Desk, job: int
) -> None:
    live = {f"{name}.{ending}": client.get(f"/jobs/{job}/client/{number}/offer.{ending}").content
            for number, name in ((1, BAY), (2, PIER)) for ending in ("pdf", "xlsx")}  # fmt: skip
    assert go_out(client, desk, job).headers["location"] == f"/jobs/{job}/client"
    for name, content in live.items():
        answer = client.get(f"/jobs/{job}/versions/1/files/{name}")
        assert answer.content == content, name
        assert answer.headers["content-type"] in (
            "application/pdf", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        )  # fmt: skip
    word = "; ".join(dict.fromkeys(v for k, v in looked_at(desk, job).items() if k.startswith("word-")))[:200]
    assert marked(desk, job) == [(1, BAY, "2026-11-27", word)]
    assert [(each.client, each.kind) for each in kept_of(desk.store.quotes.get(job, 1))] == [
        ("Bay Foundation", "packing"), ("Pier Hall", "packing"),
    ]  # fmt: skip
    page = client.get(f"/jobs/{job}/client").text
    assert f"Sent on 27 November 2026 as {job}-1: {word}. These files are kept as they went out." in plain(page)
    assert f"Kept as it stands here, as {job}-1. Not marked as sent to Pier Hall." in plain(page)
    assert f"our offer {job}-1 of" in page
    assert f"our offer {job}-2 of" not in page
    assert f"/jobs/{job}/client/1/offer.pdf" not in page, "what was kept is handed out, and no other"
    other = {"version": "1", "name": PIER, "on": "2026-11-28"}
    refused = client.post(f"/jobs/{job}/client/sent", data=other)
    assert refused.status_code == 422
    assert INVENTED in refused.text, "a draft wants a word"
    assert client.post(f"/jobs/{job}/client/sent", data={**other, "word": "x" * 201}).status_code == 422
    for _ in range(2):  # the button is pressed twice
        assert client.post(f"/jobs/{job}/client/sent", data={**other, "word": "she knows"}).status_code == 303
    assert [each[1:] for each in marked(desk, job)][1:] == [(PIER, "2026-11-28", "she knows")]
    assert "28 November 2026: Offer: packing and shipping, to Pier Hall" in plain(
        client.get(f"/jobs/{job}/client").text
    )
    version = plain(client.get(f"/jobs/{job}/versions/1").text)
    assert "Kept with it: Offer: packing and shipping, to Bay Foundation" in version
    assert [each.standing for each in desk.store.jobs.standings(job)] == ["sent"]


def test_a_mark_has_a_way_back_and_goes_along_with_everything(client: httpx.Client, desk: Desk, job: int) -> None:
    go_out(client, desk, job)
    before = marked(desk, job)
    assert len(before) == 1
    out = {"version": "1", "name": BAY, "gone": "1"}
    assert client.post(f"/jobs/{job}/client/sent", data=out).status_code == 303
    assert marked(desk, job) == []
    for way, revision, found in (("undo", 2, before), ("redo", 3, []), ("undo", 4, before)):
        step = {"way": way, "revision": str(revision)}
        assert client.post(f"/jobs/{job}/client/step", data=step).status_code == 303
        assert marked(desk, job) == found
    late = client.post(f"/jobs/{job}/client/step", data={"way": "undo", "revision": "2"})
    assert (late.status_code, marked(desk, job)) == (422, before)
    kept = client.get(f"/jobs/{job}/versions/1/files/{BAY}.pdf").content
    with zipfile.ZipFile(BytesIO(client.get("/keep/everything.zip").content)) as archive:
        assert archive.read(f"sent/{job}-1/{BAY}.pdf") == kept
        revisions = [json.loads(line) for line in archive.read("tables/revisions.jsonl").decode().splitlines()]
    assert BAY in next(each["content"] for each in reversed(revisions) if each["document"] == offers_paper(job))


def test_another_kind_is_another_version_and_one_that_cannot_be_made_sends_nothing(
    client: httpx.Client, desk: Desk, job: int
) -> None:
    assert go_out(client, desk, job).status_code == 303
    page = client.get(f"/jobs/{job}/client?kind=sale").text
    assert "These files are kept" not in page
    assert go_out(client, desk, job, kind="sale", version=2).headers["location"] == f"/jobs/{job}/client?kind=sale"
    assert [each[0] for each in marked(desk, job)] == [1, 2]
    assert {each.kind for each in kept_of(desk.store.quotes.get(job, 2))} == {"sale"}
    rows = [[*row, ""] for row in ROWS]
    bare = begin_with(client, [[*HEADINGS, "buyer"], *rows])
    table = {"headings": HEADINGS, "rows": ROWS, "revision": 2}
    client.post(f"/jobs/{bare}/artworks", json=table, headers={"accept": "application/json"})
    facts = {"revision": "3", "version": "1", "kind": "sale", **looked_at(desk, bare)}
    refused = client.post(f"/jobs/{bare}/send", data=facts)
    assert refused.status_code == 422
    assert "the artist's price of each work that is sold" in plain(refused.text)
    assert not desk.store.quotes.of(bare)
    assert client.post(f"/jobs/{bare}/send", data={**facts, "kind": "gift"}).status_code == 422


def test_what_is_read_otherwise_since_is_no_longer_what_was_kept(client: httpx.Client, desk: Desk, job: int) -> None:
    """An address that moved, a logo or a photo makes another offer; back as it was, it is the one that was kept."""
    go_out(client, desk, job)
    same = "These files are kept as they went out"
    assert same in client.get(f"/jobs/{job}/client").text
    keep(client, 1, "Bay Foundation", party="Bay Foundation", deposit="50 %", address="Pier 9")
    page = client.get(f"/jobs/{job}/client").text
    assert same not in page
    assert "It goes out: keep these files" in page
    assert "27 November 2026: Offer: packing and shipping, to Bay Foundation" in plain(page), "what went out stays"
    client.post("/parties/step", data={"way": "undo", "revision": "2"})
    assert same in client.get(f"/jobs/{job}/client").text
    out = BytesIO()
    Image.new("RGB", (90, 60), "teal").save(out, "PNG")
    client.post("/rules/logo", data={"revision": "0"}, files={"logo": ("logo.png", out.getvalue(), "image/png")})
    assert same not in client.get(f"/jobs/{job}/client").text


def test_a_draft_whose_total_lacks_nothing_wants_a_word_too(
    client: httpx.Client, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Such as one that bears no studio's name yet."""
    for module in ("pricing.desk.sending", "pricing.desk.pages.client"):
        monkeypatch.setattr(f"{module}.lacks_of", lambda _sheaf: ())
    assert client.get(f"/jobs/{job}/client").text.count('name="word" required') == 2
    refused = go_out(client, desk, job, seen=stamp(()))
    assert refused.status_code == 422
    assert "Write a word on why it goes out so" in refused.text
    assert not desk.store.quotes.of(job)
    assert go_out(client, desk, job, seen=stamp(()), word="a first try").status_code == 303
    assert [each[3] for each in marked(desk, job)] == ["a first try"]


def test_what_is_not_right_keeps_and_marks_nothing(client: httpx.Client, desk: Desk, job: int) -> None:
    for wrong in (
        {"word-invented": ""},
        {"seen": "other"},
        {"revision": "1"},
        {"name": "offer-nobody"},
        {"on": "soon"},
    ):
        assert go_out(client, desk, job, **wrong).status_code in (404, 422), wrong
    assert marked(desk, job) == []
    assert not desk.store.quotes.of(job)
    assert not desk.store.database.rows("SELECT 1 FROM sent_papers")


def test_what_was_sent_before_offers_were_kept_says_so_and_is_made_from_what_was_frozen(
    client: httpx.Client, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheaf = desk.sheaf(job)
    assert sheaf.answer is not None
    office = for_job(desk.papers.office(job), sheaf.content)
    before = outgoing("Parties", sheaf.content, sheaf.answer.quote, office, {})
    desk.store.quotes.freeze(job, before, "an earlier program")
    assert "No offer was kept with it." in plain(client.get(f"/jobs/{job}/versions/1").text)
    with zipfile.ZipFile(BytesIO(client.get(f"/jobs/{job}/versions/1/offers.zip").content)) as made:
        assert sorted(made.namelist()) == sorted(f"{n}.{e}" for n in (BAY, PIER) for e in ("pdf", "xlsx"))
        assert made.read(f"{BAY}.pdf").startswith(b"%PDF")
    assert marked(desk, job) == []

    def other(_sent: object) -> None:
        raise StoreError("it comes to other figures than were sent (shares)")

    monkeypatch.setattr("pricing.desk.pages.client.thaw", other)
    refused = client.get(f"/jobs/{job}/versions/1/offers.zip")
    assert refused.status_code == 422
    assert "other figures than were sent" in refused.text


def test_a_pinned_job_shows_what_was_kept_and_takes_no_more(client: httpx.Client, desk: Desk, job: int) -> None:
    go_out(client, desk, job)
    assert client.post(f"/jobs/{job}/stand", data={"standing": "accepted"}).status_code == 303
    page = client.get(f"/jobs/{job}/client").text
    assert "These files are kept as they went out" in page
    assert "It goes out: keep these files" not in page
    sale = client.get(f"/jobs/{job}/client?kind=sale").text
    assert "It goes out: keep these files" not in sale
    assert go_out(client, desk, job, version=2).status_code == 422
