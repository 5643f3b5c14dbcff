"""A form that will not do comes back with all that was typed and the fault at its field; what will do is saved."""

import html
import re

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.desk.typed_back import Sent, typed_back

JSON = {"accept": "application/json"}
PAGE = """<!doctype html><body class="plain"><p id="saved" data-state="saved">All saved</p><main id="board">
<form method="post" action="/a"><input type="hidden" name="rule" value="x"><input name="value" value="1"></form>
<details><summary>more</summary><form method="post" action="/a" id="f"><input type="hidden" name="rule" value="y">
<label>value <input name="value" value="1" aria-label="of &quot;y&quot;"></label><textarea name="note">old</textarea>
<select name="kind"><option>one</option><option value="2" selected>two</option></select>
<input type="checkbox" name="tick" value="yes" checked><button>Keep</button></form></details>
<a href="?all=1">all</a><input form="f" name="far" value="b"></main>"""


def test_what_was_typed_stands_in_the_form_that_sent_it() -> None:
    form = {"rule": "y", "value": '<b>"', "note": "new </textarea>", "kind": "one", "far": "c", "revision": "3"}
    page = typed_back(("/page?q=1", PAGE), Sent("/a", form, {"value": "write < 3"}, "and all of it"))
    assert '<input name="value" value="1"></form>' in page, "the other form is left alone"
    marked = 'aria-label="of &quot;y&quot;" aria-invalid="true" aria-describedby="fault-0" autofocus>'
    assert f'value="&lt;b&gt;&quot;" {marked}' in page
    assert '</label><span class="fault" id="fault-0">write &lt; 3</span>' in page
    assert '<p class="fault" role="alert">and all of it</p>' in page
    assert "new &lt;/textarea&gt;</textarea>" in page
    assert '<option selected>one</option><option value="2">two' in page
    assert '<input type="checkbox" name="tick" value="yes">' in page
    assert 'name="far" value="c"' in page
    assert "<details open>" in page
    assert page.count('name="came_from" value="/page?q=1"') == 2
    assert '<body data-page="/page?q=1" class="plain">' in page
    assert 'href="/page?all=1"' in page
    assert 'data-state="failed">Not saved: see what is marked</p>' in page.replace(' data-state="saved"', "")


def test_a_form_that_is_on_the_page_no_more_leaves_what_was_typed_at_its_top() -> None:
    page = typed_back(("/page", PAGE), Sent("/gone", {"note": "<long>"}, {}, "it is gone"))
    assert "it is gone" in page
    assert "note: &lt;long&gt;" in page


def refused(client: httpx.Client, page: str, path: str, /, **fields: object) -> str:
    """Post a form as a browser without scripts does, from a page, and be refused."""
    answer = client.post(path, data=fields, headers={"referer": f"{str(client.base_url).rstrip('/')}{page}"})
    assert answer.status_code == 422, answer.text
    return html.unescape(answer.text)


@pytest.fixture
def job(client: httpx.Client) -> str:
    return client.post("/jobs", data={"name": "Typed"}).headers["location"].removesuffix("/artworks")


def test_every_kind_of_form_comes_back_as_its_page(client: httpx.Client, job: str) -> None:
    page = refused(
        client, "/prices", "/prices/row", stock="ply-3/8 4x8", revision=0, price="sixty", supplier="Mill", limit="x"
    )
    assert re.search(r'value="sixty"[^>]*aria-invalid', page)
    assert 'value="Mill"' in page
    assert page.count('class="fault"') == 2
    assert "<h1>Prices</h1>" in page
    page = refused(client, "/rules?group=price", "/rules", rule="price.overhead", value="much", revision=0)
    assert 'value="much"' in page
    assert "write per cent, such as 12 %" in page
    page = refused(client, "/rules", "/rules", kind="studio", rule="country", value="Sweden", revision=0)
    assert "write two capital letters" in page
    page = refused(client, "/rules", "/rules/currency", currency="eur", rate="much", day="2026-11-27", revision=0)
    assert 'value="much"' in page
    page = refused(client, "/parties", "/parties", old="", party="Pier Hall", **{"e-mail": "nobody"}, revision=0)
    assert 'value="Pier Hall"' in page
    assert re.search(r'value="nobody"[^>]*aria-invalid', page)
    page = refused(client, "/rules", "/rules/place", old="", destination="Quay", distance="far", revision=0)
    assert re.search(r'value="far"[^>]*aria-invalid', page)
    page = refused(client, "/rack", "/rack", good="ply-3/8", length="forty", width="20", count="2")
    assert re.search(r'value="forty"[^>]*aria-invalid', page)
    page = refused(
        client, f"{job}/record", f"{job}/took", kind="hours", amount="two", under="bench", on="2026-11-27", note="late"
    )
    assert 'value="two"' in page
    assert 'value="late"' in page
    page = refused(client, f"{job}/artworks", f"{job}/name", names=0, name="", client="Pier Hall")
    assert 'value="Pier Hall"' in page
    # Sent once more from the page that came back, whose address is that of its form.
    page = refused(
        client, "/prices/row", "/prices/row", came_from="/prices", stock="ply-3/8 4x8", revision=0, price="6o"
    )
    assert "<h1>Prices</h1>" in page


def test_a_page_elsewhere_and_one_that_is_none_are_not_asked_for(client: httpx.Client) -> None:
    for came in ("//elsewhere.example/prices", "/nothing", "https://elsewhere.example/prices"):
        page = refused(client, "/", "/prices/row", came_from=came, stock="ply-3/8 4x8", revision=0, price="sixty")
        assert "That will not do" in page


def test_fields_are_saved_by_themselves_and_told_as_they_are_shown(client: httpx.Client, desk: Desk) -> None:
    old = desk.papers.book.by_stock["ply-3/8 4x8"]
    told = client.post("/prices/row", data={"stock": old.stock, "revision": 0, "price": "$35"}, headers=JSON).json()
    assert (told["values"]["price"], told["values"]["priced"]) == ("35.00", desk.today().isoformat())
    now = desk.papers.book.by_stock[old.stock]
    assert (now.supplier, now.breaks, now.limit) == (old.supplier, old.breaks, old.limit)
    answer = client.post(
        "/prices/row", data={"stock": old.stock, "revision": 1, "price": "s", "limit": "many"}, headers=JSON
    )
    assert (answer.status_code, set(answer.json()["faults"])) == (422, {"price", "limit"})
    assert desk.papers.book.by_stock[old.stock] == now
    # A break that costs more than the price is refused at the price that was typed.
    answer = client.post("/prices/row", data={"stock": old.stock, "revision": 1, "price": "1"}, headers=JSON)
    assert set(answer.json()["faults"]) == {"price"}


def test_other_fields_saved_meanwhile_are_no_matter_and_the_same_one_is(client: httpx.Client, desk: Desk) -> None:
    def save(revision: int, **fields: str) -> httpx.Response:
        return client.post("/prices/row", data={"stock": "ply-3/8 4x8", "revision": revision, **fields}, headers=JSON)

    assert save(0, supplier="Mill").json()["merged"] is False
    told = save(0, price="35")
    assert (told.status_code, told.json()["revision"], told.json()["merged"]) == (200, 2, True)
    clash = save(0, supplier="Dock")
    assert clash.status_code == 409
    (theirs,), (mine,) = clash.json()["theirs"], clash.json()["mine"]
    assert (theirs["column"], theirs["after"], mine["after"]) == ("supplier of ply-3/8 4x8", "Mill", "Dock")
    assert desk.papers.book.by_stock["ply-3/8 4x8"].supplier == "Mill"
    for name, text in (("price.overhead", "20"), ("price.waste", "12 %")):
        assert client.post("/rules", data={"rule": name, "value": text, "revision": 0}, headers=JSON).status_code == 200
    assert (
        client.post("/rules", data={"rule": "price.waste", "value": "9", "revision": 0}, headers=JSON).status_code
        == 409
    )
    assert desk.papers.rulings.rules == {"price.overhead": "0.2", "price.waste": "0.12"}


def test_a_row_of_a_table_is_changed_cell_by_cell(client: httpx.Client, desk: Desk) -> None:
    client.post("/parties", data={"old": "", "party": "Pier Hall", "phone": "1", "revision": 0})
    told = client.post(
        "/parties", data={"old": "Pier Hall", "e-mail": "a@b.example", "revision": 1}, headers=JSON
    ).json()
    assert told["values"] == {"e-mail": "a@b.example", "old": "Pier Hall"}
    told = client.post("/parties", data={"old": "Pier Hall", "party": "Quay Hall", "revision": 2}, headers=JSON).json()
    assert told["values"] == {"party": "Quay Hall", "old": "Quay Hall"}
    (row,) = desk.papers.parties.rows
    assert (row.name, row.phone, row.email) == ("Quay Hall", "1", "a@b.example")
    gone = client.post("/parties", data={"old": "Pier Hall", "phone": "2", "revision": 3}, headers=JSON)
    assert gone.status_code == 422
    assert "there is no Pier Hall any more" in gone.json()["message"]


def test_a_stored_rule_keeps_its_meaning(client: httpx.Client, desk: Desk) -> None:
    """What was stored as a part before rates were shown as per cent is the same rate."""
    papers = desk.papers
    papers.save("rules", '{"rules": {"price.overhead": "0.35"}}', based_on=0, what="before")
    assert str(papers.rates.price.overhead) == "0.35"
    page = html.unescape(client.get("/rules?group=price").text)
    assert re.search(r'id="r-price.overhead" name="value" value="35 %"', page)
