"""What undo and redo say: which step, done on which page, and after it what was taken back, with the way there."""

import html
import re
from typing import Final

import httpx
import pytest

from nesting.base.measure import INCH
from pricing.desk.desk import Desk
from pricing.desk.steps import marked, page_of, said, step, would
from pricing.store.documents import KEPT, Document
from pricing.studio.office import office_texts
from pricing.studio.rack import RackOffcut
from tests.pricing.desk.orders import HEADINGS, ROWS

JSON: Final = {"accept": "application/json"}


@pytest.fixture
def job(client: httpx.Client) -> int:
    """Begin a job with two pieces, at revision 2."""
    client.post("/jobs", data={"name": "Spring show", "client": "Harbour"})
    table = {"headings": HEADINGS, "rows": ROWS, "revision": 1}
    assert client.post("/jobs/1/artworks", json=table, headers=JSON).status_code == 200
    return 1


def buttons(page: str) -> list[str]:
    """Return what the buttons of undo and redo say, those of the job on every page first, its names' left out."""
    page = re.sub(r"<div class=\"undoing\" data-paper=\"names\">.*?\n    </div>", "", page, flags=re.DOTALL)
    return [html.unescape(each) for each in re.findall(r"<button[^>]* data-way=\"\w+\"[^>]*>(.*?)</button>", page)]


def stepped(page: str) -> list[str]:
    """Return what the page says was stepped, links and all."""
    return [html.unescape(each) for each in re.findall(r'<p class="stepped" role="status">(.+?)</p>', page)]


def post(client: httpx.Client, path: str, /, **fields: object) -> httpx.Response:
    return client.post(path, data={name: str(value) for name, value in fields.items()})


def test_a_job_s_undo_names_the_step_and_its_page_on_every_page(client: httpx.Client, job: int) -> None:
    post(client, f"/jobs/{job}/price", stock="ply-3/8 4x8", price="61.00", revision=2)
    for page in ("artworks", "money", "sheets", "record"):
        assert buttons(client.get(f"/jobs/{job}/{page}").text) == [
            "Take back: price of ply-3/8 4x8: 61.00, on Money",
            "Nothing to do again",
        ], page
    post(client, f"/jobs/{job}/step", way="undo", revision=3, back=f"/jobs/{job}/artworks")
    page = client.get(f"/jobs/{job}/artworks").text
    link = f'<a href="/jobs/{job}/money">Money</a>'
    assert stepped(page) == [f"Taken back: price of ply-3/8 4x8: 61.00, on {link}"]
    assert buttons(page)[1] == "Do again: price of ply-3/8 4x8: 61.00, on Money"
    post(client, f"/jobs/{job}/step", way="redo", revision=4)
    assert stepped(client.get(f"/jobs/{job}/yard").text) == [f"Done again: price of ply-3/8 4x8: 61.00, on {link}"]
    post(client, f"/jobs/{job}/rate", rule="price.overhead", value="0.2", revision=5)
    assert stepped(client.get(f"/jobs/{job}/artworks").text) == [], "it stands until the next change"


@pytest.mark.parametrize(
    ("path", "fields", "button"),
    [
        ("rate", {"rule": "price.overhead", "value": "0.2"}, "Overhead: 20 %, on Money"),
        ("quantity", {"piece": "A-01", "count": 2}, "A-01: 2 copies, on Money"),
        ("method", {"piece": "A-01", "method": "battened"}, "A-01 as battened crate, on Crates"),
        ("rule", {"rule": "frame.larger_by", "value": "9 in"}, "Frame larger than the piece by: 9 in, on Crates"),
        ("ways/use", {"methods": '{"A-01": "battened"}'}, "A-01 as battened crate, on Ways to pack"),
        ("swap", {"none": "ply-3/8 4x8"}, "the yard had no ply-3/8 4x8, on Yard"),
        ("what-if/text", {"scenarios": "# none"}, "scenarios written, on What if"),
        ("again", {"number": 1}, "as after “begun” again, on Record"),
    ],
)
def test_every_change_of_a_job_bears_its_page(
    client: httpx.Client, job: int, path: str, fields: dict[str, object], button: str
) -> None:
    told = client.post(f"/jobs/{job}/{path}", data={**fields, "revision": 2}, headers=JSON).json()
    assert told["slip"]["undo"] == f"Take back: {button}"
    assert told["slip"]["stepped"] is None
    told = client.post(f"/jobs/{job}/step", data={"way": "undo", "revision": 3}, headers=JSON).json()
    what, _, page = button.rpartition(", on ")
    assert told["slip"]["redo"] == f"Do again: {button}"
    assert (told["slip"]["stepped"]["text"], told["slip"]["stepped"]["page"]) == (f"Taken back: {what}", page)
    assert client.get(told["slip"]["stepped"]["address"]).status_code == 200


def test_the_history_says_where_each_was_done(client: httpx.Client, job: int) -> None:
    post(client, f"/jobs/{job}/rate", rule="price.overhead", value="0.2", revision=2)
    post(client, f"/jobs/{job}/step", way="undo", revision=3)
    page = client.get(f"/jobs/{job}/record").text
    assert "taken back: Overhead: 20 %, on Money" in page
    assert "table edited, on Artworks" in page
    assert "[money]" not in page


def test_what_was_saved_without_a_page_is_on_this_job(client: httpx.Client, desk: Desk, job: int) -> None:
    """As 0.1.0 saved it."""
    stored = desk.store.documents
    stored.save(f"job:{job}", desk.sheaf(job).content.with_rows(HEADINGS, ROWS[:1]).text(), based_on=2, what="fewer")
    assert buttons(client.get(f"/jobs/{job}/money").text)[0] == "Take back: fewer, on this job"
    post(client, f"/jobs/{job}/step", way="undo", revision=3)
    assert stepped(client.get(f"/jobs/{job}/money").text) == ["Taken back: fewer"]


def test_prices_taken_from_files_are_told_as_done_on_the_page_of_the_shop(client: httpx.Client, desk: Desk) -> None:
    post(client, "/prices/row", stock="ply-3/8 4x8", price="61.00", revision=0)
    old = desk.papers.book.by_stock["ply-3/8 4x8"].price
    page = client.get("/prices").text
    assert buttons(page)[0].startswith("Take back: ply-3/8 4x8: ")
    assert buttons(page)[0].endswith(f"→ {old}, on Prices")
    files = {"prices": ("prices.csv", office_texts()["prices.csv"].encode())}
    assert client.post("/rules/files", files=files).status_code == 303
    assert buttons(client.get("/prices").text)[0] == "Take back: taken from files, on Shop"
    post(client, "/prices/step", way="undo", revision=2)
    assert desk.papers.book.by_stock["ply-3/8 4x8"].price == old
    assert stepped(client.get("/prices").text) == ['Taken back: taken from files, on <a href="/rules">Shop</a>']


def test_rules_and_destinations_each_say_their_own(client: httpx.Client) -> None:
    told = client.post("/rules", data={"rule": "price.overhead", "value": "0.2", "revision": 0}, headers=JSON).json()
    assert told["undo"] == "Take back: Overhead: 20 %, on Shop"
    place = {"destination": "Harbour", **dict.fromkeys(("dock", "forklift", "residential", "inside"), "no")}
    post(client, "/rules/place", revision=0, **place)
    assert [each for each in buttons(client.get("/rules").text) if each.startswith("Take back")] == [
        "Take back: Overhead: 20 %, on Shop",
        "Take back: Harbour added, on Shop, destinations",
    ]


def test_the_rack_says_what_a_job_left_and_leads_there(client: httpx.Client, desk: Desk, job: int) -> None:
    rack = desk.store.rack
    rack.put([RackOffcut("R-1", "ply-3/8", 40 * INCH, 30 * INCH)], from_job=job)
    assert buttons(client.get("/rack").text)[0] == "Take back: job 1: R-1 put on the rack, on Sheets of job 1"
    rack.change("R-1", based_on=rack.document().revision, count=2)
    assert buttons(client.get("/rack").text)[0] == "Take back: R-1: count 1 → 2, on Rack"
    for _ in range(2):
        post(client, "/rack/step", way="undo", revision=rack.document().revision)
    there = '<a href="/jobs/1/sheets">Sheets of job 1</a>'
    assert stepped(client.get("/rack").text) == [f"Taken back: job 1: R-1 put on the rack, on {there}"]


def test_names_say_what_they_take_back(client: httpx.Client, job: int) -> None:
    post(client, f"/jobs/{job}/name", name="Summer show", client="Harbour", names=0)
    told = client.post(f"/jobs/{job}/name", data={"name": "Summer show", "client": "", "names": 2}, headers=JSON).json()
    assert told["undo"] == "Take back: client none, on this job"
    told = client.post(f"/jobs/{job}/name/step", data={"way": "undo", "names": 3}, headers=JSON).json()
    assert told["undo"] == "Take back: name Summer show, on this job"
    assert told["stepped"]["text"] == "Taken back: client none"


def test_a_way_back_that_is_not_kept_is_not_offered(desk: Desk) -> None:
    documents = desk.store.documents
    for revision in range(KEPT + 1):
        document = documents.save("job:1", str(revision), based_on=revision, what=f"to {revision}")
    while document.can_undo:
        assert document.undoes == f"to {document.content}"
        document = documents.undo("job:1", based_on=document.revision)
    assert document.content == "100"
    assert would(document, "undo") == "Nothing is left to undo"
    with pytest.raises(LookupError):
        documents.undo("job:1", based_on=document.revision)


def test_a_step_whose_words_are_not_kept_is_an_earlier_change(desk: Desk) -> None:
    documents = desk.store.documents
    for revision in range(2):
        document = documents.save("prices", f"{revision}", based_on=revision, what="own prices", over_built_in=True)
    while document.revision <= KEPT:
        go = documents.redo if document.can_redo else documents.undo
        document = go("prices", based_on=document.revision)
    assert (document.can_undo, document.undoes) == (True, "")
    assert would(document, "undo") == "Take back: an earlier change"
    assert documents.undo("prices", based_on=document.revision).content == ""


def test_marks_are_read_as_they_are_written() -> None:
    found = step("job:3", f"undone: {marked('money', 'price of ply-3/8 4x8: 61.00')}")
    assert (found.way, found.what, found.page) == ("undone", "price of ply-3/8 4x8: 61.00", "Money")
    assert found.address == "/jobs/3/money"
    assert step("job:3", "[nowhere] text").what == "[nowhere] text"
    assert step("job:3", "[rules] text").page == "", "a page of the studio is none of a job"
    assert len(marked("money", "x" * 200)) == 120
    assert marked("", "as it is") == "as it is"
    assert said(Document("rules", 3, "", "undone: price.overhead: 0.2")) == "taken back: price.overhead: 0.2"
    assert said(Document("prices", 3, "", "[rules] taken from files")) == "taken from files, on Shop"
    assert [page_of(path) for path in ("/jobs/3/ways#way-2", "/jobs/3/money?x=1", "/prices", "/jobs/3/live", "")] == [
        "ways", "money", "", "", "",
    ]  # fmt: skip
