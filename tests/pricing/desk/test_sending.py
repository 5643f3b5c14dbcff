"""A quote is sent with its papers, which are handed out as they went out, whatever the program has come to since."""

import html
import re
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest

from nesting.base.version import made_by
from pricing.desk.desk import Desk
from pricing.output.outgoing import KINDS
from tests.pricing.desk.orders import HEADINGS, ROWS, looked_at


@pytest.fixture
def job(client: httpx.Client) -> int:
    """Begin a job of one piece, at revision 2."""
    number = int(client.post("/jobs", data={"name": "Spring show"}).headers["location"].split("/")[2])
    table = {"headings": HEADINGS, "rows": ROWS[:1], "revision": 1}
    client.post(f"/jobs/{number}/artworks", json=table, headers={"accept": "application/json"})
    return number


def send(client: httpx.Client, desk: Desk, job: int, **fields: Any) -> httpx.Response:
    return client.post(
        f"/jobs/{job}/send", data=looked_at(desk, job) | {name: str(each) for name, each in fields.items()}
    )


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def test_papers_are_handed_out_as_they_went_out(
    client: httpx.Client, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    live = {name: client.get(f"/jobs/{job}/files/{name}").content for name in KINDS}
    assert send(client, desk, job, revision=2, version=1).status_code == 303

    def changed(*_: object, **__: object) -> None:
        raise AssertionError("nothing is worked through again")

    for name in ("work", "priced", "with_plans", "paper", "decode"):
        monkeypatch.setattr(f"pricing.desk.frozen.{name}", changed)
    for name, content in live.items():
        answer = client.get(f"/jobs/{job}/versions/1/files/{name}")
        assert answer.content == content, name
        assert answer.headers["content-type"].startswith(KINDS[name])
        assert answer.headers["content-disposition"] == f'attachment; filename="spring-show-{name}"'
    page = client.get(f"/jobs/{job}/versions/1").text
    assert f"Its papers are kept as they went out, made by {made_by()}." in plain(page)
    assert [name for name in KINDS if f'/versions/1/files/{name}"' in page] == list(KINDS)
    printing = desk.store.sent_papers.printing(job, 1)
    assert printing is not None
    assert not printing.afterwards
    assert client.get(f"/jobs/{job}/versions/1/files/passwd").status_code == 404


def test_sections_of_a_packet_that_is_kept_whole_are_refused_and_say_why(
    client: httpx.Client, desk: Desk, job: int
) -> None:
    """Else whoever asks for the saw's pages alone prints all of them."""
    assert send(client, desk, job, revision=2, version=1).status_code == 303
    went_out = f"/jobs/{job}/versions/1/files/packet.pdf"
    some, none = client.get(f"{went_out}?section=saw"), client.get(f"{went_out}?section=roof")
    assert (some.status_code, none.status_code) == (410, 404)
    assert some.text.startswith("What was sent is kept with its packet whole")
    assert client.get(went_out).content.startswith(b"%PDF")
    assert client.post(f"/jobs/{job}/stand", data={"standing": "accepted"}).status_code == 303
    pinned = client.get(f"/jobs/{job}/files/packet.pdf?section=saw")
    assert pinned.status_code == 410
    assert pinned.text.startswith("What is pinned is kept with its packet whole")
    assert 'name="section"' not in client.get(f"/jobs/{job}/money").text


def test_a_button_pressed_twice_sends_once(client: httpx.Client, desk: Desk, job: int) -> None:
    with ThreadPoolExecutor() as pool:
        answers = list(pool.map(lambda _: send(client, desk, job, revision=2, version=1), range(3)))
    assert [answer.status_code for answer in answers] == [303, 303, 303]
    assert [(each.version, each.number) for each in desk.store.quotes.of(job)] == [(1, f"{job}-1")]
    assert [each.standing for each in desk.store.jobs.standings(job)] == ["sent"]
    assert send(client, desk, job, revision=2, version=2).status_code == 303
    assert [each.number for each in desk.store.quotes.of(job)] == [f"{job}-2", f"{job}-1"]


def nothing_sent(desk: Desk, job: int) -> bool:
    kept = [table for table in ("sent_papers", "printings") if desk.store.database.rows(f"SELECT 1 FROM {table}")]  # noqa: S608 - our own names
    return not kept and not desk.store.quotes.of(job) and desk.store.jobs.get(job).standing == "draft"


def test_without_a_paper_nothing_is_sent(
    client: httpx.Client, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_quote: object, name: str, **_: object) -> bytes:
        if name == "build.json":
            raise ZeroDivisionError("a mistake of ours")
        return b""

    monkeypatch.setattr("pricing.desk.frozen.paper", fail)
    answer = send(client, desk, job, revision=2, version=1)
    assert answer.status_code == 422
    assert "nothing was sent: its papers could not be made (ZeroDivisionError: a mistake of ours)" in answer.text
    assert nothing_sent(desk, job)


def test_a_change_while_papers_are_made_is_not_sent_past(
    client: httpx.Client, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow(_quote: object, name: str, **_: object) -> bytes:
        if name == "packet.pdf":
            document = desk.store.documents.get(f"job:{job}")
            text = document.content.replace("First", "Other")
            desk.store.documents.save(f"job:{job}", text, based_on=document.revision, what="meanwhile")
        return b""

    monkeypatch.setattr("pricing.desk.frozen.paper", slow)
    answer = send(client, desk, job, revision=2, version=1)
    assert answer.status_code == 422
    assert "was changed while its papers were made" in answer.text
    assert nothing_sent(desk, job)


def test_a_job_without_a_price_is_not_sent(client: httpx.Client, desk: Desk) -> None:
    number = int(client.post("/jobs", data={"name": "Empty"}).headers["location"].split("/")[2])
    answer = send(client, desk, number, revision=desk.sheaf(number).document.revision)
    assert answer.status_code == 422
    assert "there is no price yet" in answer.text
    assert nothing_sent(desk, number)
