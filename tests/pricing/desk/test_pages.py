"""What the pages do, asked as forms and scripts ask: saving, conflicts, files, versions, rack, prices, rules."""

import csv
import html
import io
import json
import re
import zipfile
from contextlib import closing
from dataclasses import replace
from random import Random
from threading import Thread
from typing import Any

import httpx
import pdfplumber
import pytest
from openpyxl import load_workbook
from PIL import Image

from pricing.desk.content import content_from
from pricing.desk.desk import Desk
from pricing.desk.guard import MOST_BYTES
from pricing.desk.pages import photos
from pricing.desk.pages.crates import around
from pricing.desk.pages.photos import small
from pricing.store import Store
from pricing.studio.office import office_texts
from tests.nesting.crates.cartons.test_sharing import SIX, loads_of, made
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS, SAMPLES, looked_at

JSON = {"accept": "application/json"}


def begin(client: httpx.Client, rows: Any = ROWS) -> int:
    """Begin a job with rows; return its number."""
    place = client.post("/jobs", data={"name": "Spring show", "client": "Harbour"}).headers["location"]
    job = int(place.split("/")[2])
    assert save(client, job, rows, 1).status_code == 200
    return job


def save(client: httpx.Client, job: int, rows: Any, revision: int) -> httpx.Response:
    table = {"headings": HEADINGS, "rows": rows, "revision": revision}
    return client.post(f"/jobs/{job}/artworks", json=table, headers=JSON)


def post(client: httpx.Client, path: str, /, **fields: Any) -> httpx.Response:
    return client.post(path, data={name: str(value) for name, value in fields.items()})


def test_a_save_tells_total_faults_and_revision(client: httpx.Client) -> None:
    job = begin(client)
    told = save(client, job, [*ROWS, ("A-03", "", "wide", "", "1", "", "", "")], 2).json()
    assert told["slip"]["revision"] == 3
    assert told["slip"]["total"] == ""
    assert {(fault["row"], fault["column"], fault["missing"]) for fault in told["faults"]} == {
        (2, 2, False),
        (2, 3, True),
    }
    told = save(client, job, ROWS, 3).json()
    assert re.fullmatch(r"USD [\d,]+\.\d\d", told["slip"]["total"])
    assert told["slip"]["undo"]


@pytest.mark.parametrize("headings", [HEADINGS, (*HEADINGS, "shelf"), HEADINGS[::-1], HEADINGS[1:]])
def test_rows_that_a_long_table_does_not_show_stay(client: httpx.Client, desk: Desk, headings: tuple[str, ...]) -> None:
    """Whatever is done to the columns of those that it shows; what they mean is matched.

    A width is still missing everywhere: what 200 crates cost is nothing to do with it, and would take most of the time.
    """
    (_, title, _, *others) = ROWS[0]
    job = begin(client, [[f"P-{number:03d}", title, "", *others] for number in range(200)])
    page = client.get(f"/jobs/{job}/artworks").text
    unseen = int(re.findall(r'data-unseen="(\d+)"', page)[0])
    assert unseen == 80
    rows = [[f"Q-{number:03d}" if name == "piece" else "1" for name in headings] for number in range(3)]
    table = {"headings": headings, "rows": rows, "unseen": unseen, "revision": 2}
    assert client.post(f"/jobs/{job}/artworks", json=table, headers=JSON).status_code == 200
    content = content_from(desk.store.documents.get(f"job:{job}").content)
    assert len(content.rows) == 3 + unseen
    assert set(HEADINGS) <= set(content.headings)
    for number, row in enumerate(content.rows[3:], start=120):
        cells = dict(zip(content.headings, row, strict=False))
        assert [cells[name] for name in HEADINGS] == [f"P-{number:03d}", title, "", *others]


def test_the_second_of_two_saves_is_told_what_changed(client: httpx.Client) -> None:
    job = begin(client)
    first = [("A-01", "Renamed", *ROWS[0][2:]), ROWS[1]]
    second = [ROWS[0], ("A-02", "Second", "40", *ROWS[1][3:])]
    assert save(client, job, first, 2).status_code == 200
    refused = save(client, job, second, 2)
    assert refused.status_code == 409
    told = refused.json()
    assert told["theirs"] == [{"row": 1, "column": "title", "before": "First", "after": "Renamed"}]
    assert told["mine"] == [{"row": 2, "column": "width", "before": "36", "after": "40"}]
    assert save(client, job, second, told["revision"]).status_code == 200


def test_a_form_on_an_old_page_is_offered_both(client: httpx.Client) -> None:
    job = begin(client)
    assert post(client, f"/jobs/{job}/rate", rule="price.overhead", value="0.2", revision=2).status_code == 303
    refused = post(client, f"/jobs/{job}/rate", rule="price.contingency", value="0.3", revision=2)
    assert refused.status_code == 409
    assert "Overhead: " in refused.text
    current = re.search(r'name="revision" value="(\d+)"', refused.text)
    assert current is not None
    again = post(client, f"/jobs/{job}/rate", rule="price.contingency", value="0.3", revision=current[1])
    assert again.status_code == 303
    page = client.get(f"/jobs/{job}/money").text
    assert 'value="30 %"' in page
    assert 'value="20 %"' in page


@pytest.mark.parametrize(
    "data",
    [
        None,
        [],
        {"headings": "piece", "rows": []},
        {"headings": ["piece"], "rows": [[1]]},
        {"rows": [["x"]]},
        {"headings": ["piece"], "rows": [["x"] * 61], "revision": 2},
        {"headings": ["piece"], "rows": [["x"]], "revision": -1},
    ],
)
def test_a_table_that_is_none_is_refused_and_changes_nothing(client: httpx.Client, desk: Desk, data: Any) -> None:
    job = begin(client)
    before = desk.store.documents.get(f"job:{job}")
    answer = client.post(f"/jobs/{job}/artworks", json=data, headers=JSON)
    assert answer.status_code == 422
    assert answer.json()["message"]
    assert desk.store.documents.get(f"job:{job}") == before


def test_undo_and_redo_by_form(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    save(client, job, ROWS[:1], 2)
    post(client, f"/jobs/{job}/step", way="undo", revision=3)
    assert desk.sheaf(job).content.rows == ROWS
    post(client, f"/jobs/{job}/step", way="redo", revision=4)
    assert desk.sheaf(job).content.rows == ROWS[:1]
    assert post(client, f"/jobs/{job}/step", way="redo", revision=5).status_code == 404


def test_copy_and_put_away(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    post(client, f"/jobs/{job}/copy")
    gone = post(client, f"/jobs/{job}/archive", away=1).headers["location"]
    assert "Spring show is put away." in client.get(gone).text
    assert [each.name for each in desk.store.jobs.find()] == ["Spring show (copy)"]
    assert desk.sheaf(job + 1).content.rows == ROWS
    post(client, f"/jobs/{job}/archive", away=0)
    assert desk.store.jobs.count() == 2


def test_a_name_that_was_written_over_comes_back(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    assert post(client, f"/jobs/{job}/name", name="Other", client="Hill", names=0).status_code == 303
    refused = post(client, f"/jobs/{job}/name", name="Third", client="Harbour", names=0)
    assert refused.status_code == 409
    assert "name: <del>Spring show</del> → <ins>Other</ins>" in refused.text
    again = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', refused.text))
    assert post(client, f"/jobs/{job}/name", **again).status_code == 303
    seen = []
    for way in ("undo", "undo", "redo"):
        post(client, f"/jobs/{job}/name/step", way=way, names=desk.store.jobs.names(job).revision)
        row = desk.store.jobs.get(job)
        seen.append((row.name, row.client))
    assert seen == [("Other", "Hill"), ("Spring show", "Harbour"), ("Other", "Hill")]
    assert desk.store.jobs.find("Hill")
    assert post(client, f"/jobs/{job}/name/step", way="undo", names=1).status_code == 409
    assert post(client, f"/jobs/{job}/name", name=" ", names=0).status_code == 422


def test_a_state_that_undo_does_not_reach_is_brought_back(client: httpx.Client, desk: Desk) -> None:
    """Undone and then written over: the history still has it, of a job as of the rules."""
    job = begin(client)
    save(client, job, ROWS[:1], 2)
    post(client, f"/jobs/{job}/step", way="undo", revision=3)
    save(client, job, [ROWS[1]], 4)
    assert "Bring this state back" in client.get(f"/jobs/{job}/record").text
    assert post(client, f"/jobs/{job}/again", number=3, revision=4).status_code == 409
    assert post(client, f"/jobs/{job}/again", number=3, revision=5).status_code == 303
    assert desk.sheaf(job).content.rows == ROWS[:1]
    assert post(client, f"/jobs/{job}/again", number=99, revision=6).status_code == 404
    for revision, value in enumerate(("8 in", "9 in")):
        post(client, "/rules", rule="frame.larger_by", value=value, revision=revision)
    assert post(client, "/rules/again", number=1, revision=2).status_code == 303
    assert desk.papers.rulings.rules["frame.larger_by"] == "8 in"
    assert post(client, "/rules/again", number=99, revision=3).status_code == 404


@pytest.mark.parametrize("name", ["gallery_consignment.csv", "metric_pair.xlsx", "giant_panel.toml"])
def test_a_file_becomes_a_job(client: httpx.Client, desk: Desk, name: str) -> None:
    files = {"file": (name, (SAMPLES / name).read_bytes())}
    assert client.post("/jobs", data={"name": ""}, files=files).headers["location"] == "/jobs/1/artworks"
    sheaf = desk.sheaf(1)
    assert sheaf.answer is not None
    assert sheaf.row.total == f"USD {sheaf.answer.quote.total:,.2f}"


def test_a_file_goes_below_what_is_there(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    text = b"Depth,Height,Width,Ref,Frame\n1,20,21,C-01,oak\n"
    files, how = {"file": ("c.csv", text)}, {"revision": "2", "how": "below"}
    answer = client.post(f"/jobs/{job}/artworks/file", data=how, files=files)
    assert answer.status_code == 303
    sheaf = desk.sheaf(job)
    assert sheaf.answer is not None
    assert [artwork.piece for artwork in sheaf.answer.quote.build.order.artworks] == ["A-01", "A-02", "C-01"]
    assert sheaf.content.cell(2, sheaf.content.headings.index("width")) == "21"
    assert sheaf.content.cell(2, sheaf.content.headings.index("Frame")) == "oak"


def _bomb() -> bytes:
    """Return a workbook whose one sheet unpacks to a gigabyte, a thousandth of it packed."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("[Content_Types].xml", "<Types/>")
        with packed.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as sheet:
            for _ in range(1000):
                sheet.write(b"0" * 1_000_000)
    return out.getvalue()


def test_hostile_uploads_are_refused_and_change_nothing(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    before = desk.store.documents.get(f"job:{job}")
    entity = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><x>&a;</x>'
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name in ("[Content_Types].xml", "xl/workbook.xml", "_rels/.rels", "xl/worksheets/sheet1.xml"):
            packed.writestr(name, entity)
    rows = b"piece,width,height,depth\n" + b"A,1,1,1\n" * 900_000
    for name, data in (("bomb.xlsx", _bomb()), ("entity.xlsx", out.getvalue()), ("rows.csv", rows), ("x.exe", b"MZ")):
        files = {"file": (name, data)}
        answer = client.post(f"/jobs/{job}/artworks/file", data={"revision": "2"}, files=files, timeout=60)
        assert answer.status_code == 422, name
        assert "root:" not in answer.text
    assert desk.store.documents.get(f"job:{job}") == before


def test_every_file_of_a_quote_can_be_had(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    answer = desk.sheaf(job).answer
    assert answer is not None
    book = load_workbook(io.BytesIO(client.get(f"/jobs/{job}/files/quote.xlsx").content), data_only=True)
    assert len(book.sheetnames) > 5
    assert client.get(f"/jobs/{job}/files/packet.pdf").content.startswith(b"%PDF-")
    some = client.get(f"/jobs/{job}/files/packet.pdf?section=yard&section=labels").content
    with pdfplumber.open(io.BytesIO(some)) as document:
        assert (document.pages[0].extract_text() or "").startswith("To buy")
        assert [title for level, title, *_ in document.doc.get_outlines() if level == 1] == ["Yard", "Labels"]
    refused = client.get(f"/jobs/{job}/files/packet.pdf?section=roof")
    assert refused.status_code == 404
    assert "accepted: cover, wall, yard" in refused.text
    assert 'name="section" value="bench"' in client.get(f"/jobs/{job}/money").text
    with zipfile.ZipFile(io.BytesIO(client.get(f"/jobs/{job}/files/tables.zip").content)) as packed:
        assert "costs.csv" in packed.namelist()
    assert client.get(f"/jobs/{job}/files/quote.json").json()["total"] == float(answer.quote.total)
    assert client.get(f"/jobs/{job}/files/calendar.ics").content.startswith(b"BEGIN:VCALENDAR")
    build = client.get(f"/jobs/{job}/files/build.json")
    assert build.json()["format"] == "casewright-build/2"
    assert build.headers["content-disposition"] == 'attachment; filename="spring-show-build.json"'
    assert client.get(f"/jobs/{job}/files/passwd").status_code == 404


def test_what_was_sent_stays_as_it_was(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    before = desk.sheaf(job).answer
    assert before is not None
    assert post(client, f"/jobs/{job}/send", revision=1).status_code == 422, "an old page does not send"
    assert post(client, f"/jobs/{job}/send", revision=2, **looked_at(desk, job)).status_code == 303
    assert desk.store.jobs.get(job).standing == "sent"
    # Prices, rules and the job itself go on; the version does not.
    revision = desk.papers.document("prices").revision
    post(client, "/prices/row", stock="ply-23/32 4x8", price="80.00", revision=revision)
    post(client, "/rules", rule="frame.larger_by", value="8 in", revision=0)
    save(client, job, ROWS[:1], 2)
    after = desk.sheaf(job).answer
    assert after is not None
    assert after.quote.total != before.quote.total
    sent = client.get(f"/jobs/{job}/versions/1/files/quote.json").json()
    assert sent["total"] == float(before.quote.total), "a number, for programs"
    page = client.get(f"/jobs/{job}/versions/1").text
    assert f"{before.quote.total:,.2f}" in page
    record = client.get(f"/jobs/{job}/record").text
    assert "price of ply-23/32 4x8: <del>58.00" in record
    assert "row 2, piece: <del>A-02</del> → <ins>nothing</ins>" in record
    post(client, f"/jobs/{job}/send", revision=3, **looked_at(desk, job))
    assert [each.version for each in desk.store.quotes.of(job)] == [2, 1]
    assert client.get(f"/jobs/{job}/versions/2").status_code == 200
    assert client.get(f"/jobs/{job}/versions/3").status_code == 404


def test_standing_and_actuals(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    post(client, f"/jobs/{job}/stand", standing="deposit", amount="250.00", on="2026-11-20")
    post(client, f"/jobs/{job}/took", kind="hours", amount="2.5", what="hour bench")
    post(client, f"/jobs/{job}/took", kind="receipt", amount="310.20", what="Eastbank")
    page = client.get(f"/jobs/{job}/record").text
    assert "USD 250.00" in page
    assert "2.5 h" in page
    assert "USD 310.20" in page
    for bad in (
        {"kind": "hours", "amount": "NaN"},
        {"kind": "receipt", "amount": "-1", "what": "x"},
        {"kind": "receipt", "amount": "1"},
    ):
        assert post(client, f"/jobs/{job}/took", **bad).status_code == 422
    entry = desk.store.took.of(job)[0].id
    post(client, f"/jobs/{job}/took/strike", entry=entry)
    assert len(desk.store.took.of(job)) == 1
    (step,) = desk.store.jobs.standings(job)
    post(client, f"/jobs/{job}/stand/strike", entry=step.id)
    # They are offered back whenever the page is opened, not only at once.
    back = re.compile(r'/(\w+)/strike"><input type="hidden" name="entry" value="(\d+)"><input[^>]* name="gone"')
    offered = back.findall(client.get(f"/jobs/{job}/record").text)
    assert offered == [("stand", str(step.id)), ("took", str(entry))]
    for path, number in offered:
        post(client, f"/jobs/{job}/{path}/strike", entry=number, gone=0)
    assert (len(desk.store.took.of(job)), desk.store.jobs.standings(job)) == (2, [step])


def test_prices_their_history_and_an_old_state(client: httpx.Client, desk: Desk) -> None:
    post(
        client,
        "/prices/row",
        stock="ply-3/8 4x8",
        price="40.00",
        breaks="from 10: 38.00",
        supplier="New Yard",
        revision=0,
    )
    row = desk.papers.book.price("ply-3/8 4x8")
    assert (str(row.price), row.breaks[0][0], row.supplier, row.priced) == ("40.00", 10, "New Yard", DAY)
    for bad in (
        {"price": "forty"},
        {"price": "40.001"},
        {"price": "40", "breaks": "ten for 38"},
        {"price": "40", "limit": "many"},
    ):
        assert post(client, "/prices/row", stock="ply-3/8 4x8", revision=1, **bad).status_code == 422
    assert post(client, "/prices/row", stock="ply-3/8 4x8", price="41.00", revision=0).status_code == 409
    # Sent once more, by a page that was loaded anew before it was answered: it stands there, and is not saved twice.
    again = post(client, "/prices/row", stock="ply-3/8 4x8", price="40.00", revision=0)
    assert (again.status_code, desk.store.documents.get("prices").revision) == (303, 1)
    post(client, "/prices/row", stock="ply-3/8 4x8", price="45.00", revision=1)
    history = client.get("/prices/history").text
    assert "<del>40.00</del> → <ins>45.00</ins>" in history
    post(client, "/prices/again", number=1, revision=2)
    assert str(desk.papers.book.price("ply-3/8 4x8").price) == "40.00"
    post(client, "/prices/step", way="undo", revision=3)
    assert str(desk.papers.book.price("ply-3/8 4x8").price) == "45.00"


def test_a_suppliers_list_is_compared_then_taken_over(client: httpx.Client, desk: Desk) -> None:
    text = b"Item,Price\nPLY-3/8 4X8,39.50\nply-23/32 4x8,58.00\nspaghetti,1.20\n"
    page = client.post("/prices/offer", files={"file": ("list.csv", text)}).text
    assert "1 price would change, 1 are as in the book, 1 are not known here" in page
    assert str(desk.papers.book.price("ply-3/8 4x8").price) == "36.00", "nothing is taken over by looking"
    post(client, "/prices/accept", changes=json.dumps({"ply-3/8 4x8": "39.50"}), file="list.csv", revision=0)
    row = desk.papers.book.price("ply-3/8 4x8")
    assert str(row.price) == "39.50"
    # 36.00 with 33.50 from 10: the break keeps its 6.9 % off, 33.50 / 36.00 x 39.50 = 36.757, half up 36.76.
    assert str(row.breaks[0][1]) == "36.76"
    for bad in (b"Item,Cost\nx,1\n", b"Item,Price\nply-3/8 4x8,cheap\n", b"Item,Price,Currency\nply-3/8 4x8,39,EUR\n"):
        assert client.post("/prices/offer", files={"file": ("list.csv", bad)}).status_code == 422


def test_rules_are_checked_kept_and_undone(client: httpx.Client, desk: Desk) -> None:
    assert post(client, "/rules", rule="frame.larger_by", value="8 in", revision=0).status_code == 303
    assert client.get("/rules?q=larger").text.count("Built in: 6 in.") == 1
    refused = client.post("/rules", data={"rule": "frame.larger_by", "value": "90 in", "revision": "1"}, headers=JSON)
    assert refused.status_code == 422
    assert "2 in to 12 in" in refused.json()["message"]
    post(client, "/rules", rule="price.overhead", value="15 %", revision=1)
    assert str(desk.papers.rates.price.overhead) == "0.15"
    post(client, "/rules", rule="ply-3/8", kind="thickness", value="9.2 mm", revision=2)
    assert desk.papers.shop.good("ply-3/8").thickness == 73600
    post(client, "/rules", rule="name", kind="studio", value="Tide Studio (invented)", revision=3)
    assert desk.papers.shop.studio.name == "Tide Studio (invented)"
    post(client, "/rules/step", way="undo", revision=4, paper="rules")
    assert desk.papers.shop.studio.name != "Tide Studio (invented)"
    post(client, "/rules", rule="frame.larger_by", value="", revision=5)
    assert "frame.larger_by" not in desk.papers.rulings.rules


def test_the_studios_own_files_are_taken_over(client: httpx.Client, desk: Desk) -> None:
    texts = office_texts()
    shop = texts["shop.toml"].replace('larger_by = "6 in"', 'larger_by = "7 in"')
    rates = texts["rates.toml"].replace("overhead = 0.10", "overhead = 0.17")
    prices = texts["prices.csv"].replace(",36.00,", ",37.25,")
    assert shop != texts["shop.toml"]
    files = [("a", ("shop.toml", shop)), ("b", ("rates.toml", rates)), ("c", ("prices.csv", prices))]
    assert client.post("/rules/files", files=files).status_code == 303
    assert desk.papers.shop.frame.larger_by == 7 * 203200
    assert str(desk.papers.rates.price.overhead) == "0.17"
    assert str(desk.papers.book.price("ply-3/8 4x8").price) == "37.25"
    before = desk.papers.document("rules"), desk.papers.document("prices")
    dear = prices.replace("USD", "EUR")
    for bad in ([("a", ("shop.toml", "larger = "))], [("a", ("prices.csv", dear))], [("a", ("notes.txt", "x"))]):
        assert client.post("/rules/files", files=bad).status_code == 422
    assert (desk.papers.document("rules"), desk.papers.document("prices")) == before


def test_destinations_are_kept_and_reach_the_freight(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    fields = {"destination": "Harbour Gallery", "country": "US", "door width": "68 in", "door height": "90 in",
              "distance": "420 mi", "profile": "van", "dock": "yes"}  # fmt: skip
    assert client.post("/rules/place", data={**fields, "old": "", "revision": "0"}).status_code == 303
    answer = desk.sheaf(job).answer
    assert answer is not None
    assert next(s for s in answer.quote.shipments if s.destination == "Harbour Gallery").chosen.profile == "van"
    bad = client.post("/rules/place", data={**fields, "distance": "far", "old": "Harbour Gallery", "revision": "1"})
    assert bad.status_code == 422
    assert 'list="freight-profiles"' in client.get("/rules").text
    ways = {**fields, "profile": "parcel, shared-van then handler", "deadline": "2020-01-31", "old": "Harbour Gallery"}
    assert client.post("/rules/place", data={**ways, "revision": "1"}).status_code == 303
    money = client.get(f"/jobs/{job}/money").text
    assert "To arrive by 2020-01-31, with " in money
    assert "1 destination cannot be reached by its deadline" in money
    client.post("/rules/place", data={"old": "Harbour Gallery", "remove": "1", "revision": "2"})
    assert desk.papers.places.rows == ()


def test_places_say_commission_payer_and_tax_and_the_money_page_shows_them(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    table = {"headings": [*HEADINGS, "price"], "rows": [[*row, "1000"] for row in ROWS], "revision": 2}
    assert client.post(f"/jobs/{job}/artworks", json=table, headers=JSON).status_code == 200
    near = {"destination": "Harbour Gallery", "profile": "collect", "commission": "0", "paid by": "buyer",
            "tax name": "VAT", "tax rate": "20 %", "tax on": "work, art"}  # fmt: skip
    far = {"destination": "Hillside Gallery", "profile": "collect", "export": "zero-rated: shipped abroad"}
    for revision, fields in enumerate((near, far)):
        assert client.post("/rules/place", data={**fields, "old": "", "revision": str(revision)}).status_code == 303
    places = client.get("/rules?all=1").text
    assert re.search(r'<select name="paid by">.*?<option selected>buyer</option>', places)
    assert 'name="tax on" value="art, work"' in places
    page = client.get(f"/jobs/{job}/money").text
    made = desk.sheaf(job).answer
    assert made is not None
    first, second = made.quote.levied
    assert f"VAT 20 % on work; Harbour Gallery: {first.amount:,.2f} of {first.base:,.2f}" in page
    assert f"{second.rule.name} none: zero-rated: shipped abroad; Hillside Gallery: 0.00" in page
    assert "50% <span" in page.replace(" %", "%"), "the commission for all is told as such"
    assert [sale.said for sale in made.quote.sales] == ["place", "rates"]
    bad = client.post("/rules/place", data={**near, "commission": "40", "old": "Harbour Gallery", "revision": "2"})
    assert bad.status_code == 422
    assert "40 %" in bad.text


def test_the_rack_goes_round(client: httpx.Client, desk: Desk) -> None:
    """One job leaves offcuts, the next is cut from them, and no third can have them too."""
    one = begin(client)
    post(client, f"/jobs/{one}/put", place="bay 2")
    left = desk.store.rack.all()
    assert left
    assert all(each.offcut.place == "bay 2" for each in left)
    assert post(client, f"/jobs/{one}/put").status_code == 422, "once is enough"
    post(client, "/rack", good="ply-3/8", length="96", width="48", value="5.00", count="1", place="bay 1", name="R-77")
    other = begin(client, [("C-01", "Small", "30", "30", "1 1/2", "18 lb", "closed", "")])
    page = client.get(f"/jobs/{other}/sheets").text
    assert "Take them for this job" in page
    assert post(client, f"/jobs/{other}/take").status_code == 303
    taken = desk.store.rack.taken(other)
    assert "R-77" in taken
    third = begin(client, [("D-01", "Small", "30", "30", "1 1/2", "18 lb", "closed", "")])
    assert "R-77" not in client.get(f"/jobs/{third}/sheets").text
    now = desk.store.rack.document().revision
    assert post(client, "/rack/strike", name="R-77", revision=now).status_code == 422
    post(client, f"/jobs/{other}/take", back=1)
    assert desk.store.rack.taken(other) == {}
    post(client, "/rack/strike", name="R-77", revision=now)
    assert "R-77" not in {each.offcut.name for each in desk.store.rack.all()}


def _jpeg(colour: str, **more: Any) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (3000, 2000), colour).save(out, "JPEG", **more)
    return out.getvalue()


def _send_photo(client: httpx.Client, job: int, data: bytes, had: int, piece: str = "A-01") -> httpx.Response:
    files = {"photo": ("x.jpg", data)}
    return client.post(f"/jobs/{job}/photo", data={"piece": piece, "had": str(had)}, files=files)


def test_photos_are_made_small_and_lose_all_else(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    exif = Image.Exif()
    exif[0x010E] = "a secret place"
    sent = _jpeg("navy", exif=exif)
    _send_photo(client, job, sent, 0)
    answer = client.get(f"/jobs/{job}/photo?piece=A-01")
    assert answer.headers["content-type"] == "image/jpeg"
    assert b"a secret place" not in answer.content
    with Image.open(io.BytesIO(answer.content)) as picture:
        assert picture.size == (1200, 800)
    for data in (b"<svg onload='x'/>", b"GIF89a", sent[:500]):
        assert _send_photo(client, job, data, 0, "A-02").status_code == 422
    assert list(desk.sheaf(job).content.photos) == ["A-01"]


def test_a_photo_that_was_taken_out_or_replaced_comes_back_by_undo(waiting_client: httpx.Client, waiting: Desk) -> None:
    client, desk = waiting_client, waiting
    job = begin(client)
    _send_photo(client, job, _jpeg("navy"), 0)
    search = desk.searches.of(job)
    first = client.get(f"/jobs/{job}/photo?piece=A-01").content
    _send_photo(client, job, _jpeg("red"), desk.sheaf(job).content.photos["A-01"])
    second = client.get(f"/jobs/{job}/photo?piece=A-01").content
    assert first != second
    post(client, f"/jobs/{job}/photo", piece="A-01", had=desk.sheaf(job).content.photos["A-01"], remove=1)
    assert client.get(f"/jobs/{job}/photo?piece=A-01").status_code == 404
    assert desk.searches.of(job) is search, "no search looks at a photo"
    assert "photo of A-01 taken out" in client.get(f"/jobs/{job}/record").text
    for wanted in (second, first):
        post(client, f"/jobs/{job}/step", way="undo", revision=desk.sheaf(job).document.revision)
        assert client.get(f"/jobs/{job}/photo?piece=A-01").content == wanted
    based_on = desk.sheaf(job).document.revision
    desk.store.close()
    with closing(Store(desk.store.folder)) as again:
        content = content_from(again.documents.redo(f"job:{job}", based_on=based_on).content)
        assert again.jobs.picture(content.photos["A-01"]) == second


def test_two_tabs_on_one_photo_are_offered_both(client: httpx.Client, desk: Desk) -> None:
    """What the table says meanwhile is no matter; another photo of that piece is, and both are kept."""
    job = begin(client)
    save(client, job, ROWS[:1], 2)
    assert _send_photo(client, job, _jpeg("navy"), 0).status_code == 303
    first = desk.sheaf(job).content.photos["A-01"]
    assert desk.sheaf(job).content.rows == ROWS[:1]
    refused = _send_photo(client, job, _jpeg("red"), 0)
    assert refused.status_code == 409
    assert desk.sheaf(job).content.photos["A-01"] == first
    again = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', refused.text))
    assert post(client, f"/jobs/{job}/photo", **again).status_code == 303
    second = desk.sheaf(job).content.photos["A-01"]
    assert second != first
    assert desk.store.jobs.picture(second) != desk.store.jobs.picture(first)
    assert post(client, f"/jobs/{job}/photo", piece="A-01", had=first, remove=1).status_code == 409
    for bad in ({"had": "x"}, {"had": second, "piece": ""}, {"had": second, "picture": 99}, {"had": second}):
        assert post(client, f"/jobs/{job}/photo", **{"piece": "A-01", **bad}).status_code == 422
    assert post(client, "/jobs/99/photo", piece="A-01", had=0, picture=second).status_code == 404


def test_one_picture_is_decoded_at_a_time() -> None:
    """Ten large ones at once took 6.5 GB; the next one waits here, with its bytes alone in memory."""
    done: list[bytes] = []
    waiting = Thread(target=lambda: done.append(small(_jpeg("navy"))))
    with photos._ONE_AT_A_TIME:  # noqa: SLF001 - as if another were being decoded
        waiting.start()
        waiting.join(timeout=0.1)
        assert not done
    waiting.join(timeout=10)
    assert len(done) == 1


def test_the_name_of_a_photo_is_text(client: httpx.Client, desk: Desk) -> None:
    name = "\"><script>alert('1')</script>&=#?"
    job = begin(client, [(name, *ROWS[0][1:])])
    assert _send_photo(client, job, _jpeg("navy"), 0, name).status_code == 303
    _send_photo(client, job, _jpeg("red"), desk.sheaf(job).content.photos[name], name)
    clash = _send_photo(client, job, _jpeg("red"), 0, name)
    pages = [client.get(f"/jobs/{job}/{page}").text for page in ("artworks", "record")]
    for page in (clash.text, *pages):
        assert "<script>alert" not in page
    address = re.search(r'<img src="([^"]+/photo[^"]+)"', pages[0])
    assert address is not None
    assert client.get(html.unescape(address[1])).headers["content-type"] == "image/jpeg"


def test_everything_as_files_and_back(client: httpx.Client, desk: Desk) -> None:
    begin(client)
    archive = client.get("/keep/everything.zip").content
    begin(client)
    files = {"file": ("a.zip", archive)}
    assert client.post("/keep", files=files).status_code == 422, "a tick is asked for"
    assert client.post("/keep", data={"sure": "yes"}, files=files).status_code == 303
    assert desk.store.jobs.count() == 1
    assert client.post("/keep", data={"sure": "yes"}, files={"file": ("a.zip", b"no")}).status_code == 422
    # What was replaced comes back from the backup that was made before.
    (name,) = re.findall(r'name="backup" value="([^"]+)"', client.get("/keep").text)
    assert post(client, "/keep/backup", backup=name).status_code == 422, "a tick is asked for"
    assert post(client, "/keep/backup", backup="../desk.sqlite", sure="yes").status_code == 404
    assert post(client, "/keep/backup", backup=name, sure="yes").status_code == 303
    assert desk.store.jobs.count() == 2


def test_the_photos_of_years_come_back(client: httpx.Client, desk: Desk) -> None:
    """What is kept as one archive may be larger than anything else that is sent, or it could not be put back."""
    begin(client)
    picture = Random(1).randbytes(MOST_BYTES)
    number = desk.store.jobs.keep_picture(picture)
    archive = client.get("/keep/everything.zip").content
    assert len(archive) > MOST_BYTES
    begin(client)
    assert client.post("/keep", data={"sure": "yes"}, files={"file": ("a.zip", archive)}).status_code == 303
    assert desk.store.jobs.count() == 1
    assert desk.store.jobs.picture(number) == picture


def test_a_table_that_was_kept_as_a_file_drops_back_as_it_was(client: httpx.Client, desk: Desk) -> None:
    """What a spreadsheet would take for a formula is guarded in the file, and no more when it is read again."""
    rows = [("=A1", '=HYPERLINK("x")', *ROWS[0][2:-1], "@there"), ("'=B", "- a note", *ROWS[1][2:-1], "+1")]
    begin(client, rows)
    with zipfile.ZipFile(io.BytesIO(client.get("/keep/everything.zip").content)) as packed:
        data = packed.read("artworks/1.csv")
    cells = [cell for row in csv.reader(io.StringIO(data.decode())) for cell in row]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]
    client.post("/jobs", data={"name": ""}, files={"file": ("1.csv", data)})
    assert desk.sheaf(2).content.rows == tuple(rows)


def test_numbers_beyond_all_bounds_are_refused(client: httpx.Client) -> None:
    job, huge = begin(client), 10**30
    for path in (f"/jobs/{huge}/artworks", f"/jobs/{huge}/live", f"/jobs/{job}/versions/{huge}"):
        assert client.get(path).status_code == 422
    assert save(client, job, ROWS, huge).status_code == 422
    assert post(client, f"/jobs/{job}/step", way="undo", revision=huge).status_code == 422
    assert post(client, f"/jobs/{job}/took/strike", entry=huge).status_code == 422


def test_live_news_ends_with_the_slip(waiting_client: httpx.Client) -> None:
    client = waiting_client
    job = begin(client)
    client.post(f"/jobs/{job}/stop", headers=JSON)
    with client.stream("GET", f"/jobs/{job}/live") as stream:
        assert stream.headers["content-type"].startswith("text/event-stream")
        text = "".join(stream.iter_text())
    event, _, data = text.partition("\n")
    assert event == "event: over"
    told = json.loads(data.removeprefix("data: "))
    assert told["state"] == "stopped"
    assert told["slip"]["total"].startswith("USD ")


def test_a_price_that_moved_is_searched_for_when_the_page_asks(waiting_client: httpx.Client, waiting: Desk) -> None:
    """Looking at the job changes nothing; its page says that something is to be settled, and its script asks for it."""
    client, desk = waiting_client, waiting
    job = begin(client)
    first = desk.searches.of(job)
    assert "data-unsettled" not in client.get(f"/jobs/{job}/money").text, "nothing moved"
    client.post(f"/jobs/{job}/stop", headers=JSON)
    assert "data-unsettled" not in client.get(f"/jobs/{job}/money").text, "what was stopped stays so"
    client.post(f"/jobs/{job}/settle", headers=JSON)
    assert desk.searches.of(job) is first
    post(client, "/prices/row", stock="ply-23/32 4x8", price="80.00", revision=0)
    listed = desk.store.jobs.get(job).total
    page = client.get(f"/jobs/{job}/money").text
    assert "data-unsettled" in page
    assert listed.partition(",")[0] not in page
    assert (desk.searches.of(job), desk.store.jobs.get(job).total) == (first, listed)
    told = client.post(f"/jobs/{job}/settle", headers=JSON).json()
    assert told["search"]["state"] == "waiting"
    assert desk.searches.of(job) is not first
    assert desk.store.jobs.get(job).total == f"{told['slip']['total']}, settling"
    page = client.get(f"/jobs/{job}/money").text
    assert told["slip"]["total"] in page
    assert "data-unsettled" not in page
    assert client.post(f"/jobs/{job}/settle").headers["location"] == f"/jobs/{job}/artworks"


def test_a_mistake_of_ours_locks_nobody_out(
    client: httpx.Client, desk: Desk, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    job = begin(client)

    def broken(*_: Any) -> None:
        raise ZeroDivisionError("by nothing")

    monkeypatch.setattr(desk.floor, "answer", broken)
    page = client.get(f"/jobs/{job}/artworks")
    assert page.status_code == 200
    assert "The program failed on this job (ZeroDivisionError: by nothing). All that was entered is saved." in page.text
    assert 'value="A-02"' in page.text
    assert "could not be worked through" in caplog.text


def test_the_yards_swap_and_back(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    page = client.get(f"/jobs/{job}/yard?none=ply-3/8 4x8&instead=ply-15/32").text
    assert "Cut anew without ply-3/8 4x8, ply-15/32 instead" in page
    assert desk.sheaf(job).content.missing == ()
    post(client, f"/jobs/{job}/swap", none="ply-3/8 4x8", instead="ply-15/32", revision=2)
    assert desk.sheaf(job).content.swaps == {"ply-3/8": "ply-15/32"}
    post(client, f"/jobs/{job}/had", stock="ply-3/8 4x8", revision=3)
    post(client, f"/jobs/{job}/had", good="ply-3/8", revision=4)
    assert desk.sheaf(job).content == desk.sheaf(job).content.with_rows(HEADINGS, ROWS)
    assert post(client, f"/jobs/{job}/swap", none="spaghetti", revision=5).status_code == 422


@pytest.mark.parametrize(
    "path", ["/jobs/99/artworks", "/jobs/99/live", "/jobs/1/versions/9", "/nowhere", "/jobs/1/photo?piece=x"]
)
def test_what_is_not_there_is_said(client: httpx.Client, path: str) -> None:
    begin(client)
    assert client.get(path).status_code == 404


def test_what_lies_round_equal_works_is_told_once_with_all_their_names() -> None:
    """Of a carton that three share; the packet's pages gather equal works too."""
    crate = made(SIX[:3], loads_of(SIX, 3)[0].design)
    assert [(names, len(texts)) for names, texts in around(crate)] == [("A#1, A#2, A#3", 5)]
    other = replace(crate.layers[-5], text="Another paper")
    assert (other.piece, other.material) == ("A#3", crate.layers[0].material)
    told = around(replace(crate, layers=(*crate.layers[:-5], other, *crate.layers[-4:])))
    assert [(names, texts[0]) for names, texts in told] == [
        ("A#1, A#2", crate.layers[0].text), ("A#3", "Another paper"),
    ]  # fmt: skip
