"""The rack as a person works with it: undo, two tabs, the file of the command, and what must not come through it."""

import csv
import io
import re
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import Any

import httpx
import pytest
from openpyxl import Workbook

from nesting.base.measure import INCH
from nesting.shop.shop_file import default_shop
from pricing.desk.desk import Desk
from pricing.store import Store
from pricing.studio.rack import MOST, MOST_OFFCUTS, read_rack

JSON = {"accept": "application/json"}
FILE = """name,good,length,width,count,value,place
R-1,ply-3/8,40 in,36 in,2,12.50,wall
R-2,2x3,50 in,,,1.00,
box,screw 8x2-1/2,,,140,,drawer
roll,glassine,20 ft,,,,
"""


def post(client: httpx.Client, path: str, **fields: Any) -> httpx.Response:
    return client.post(path, data={name: str(value) for name, value in fields.items()})


def now(desk: Desk) -> int:
    return desk.store.rack.document().revision


def put(client: httpx.Client, name: str = "R-1", **fields: Any) -> None:
    facts = {"good": "ply-3/8", "length": "40", "width": "36", "place": "bay 1", "name": name, **fields}
    assert post(client, "/rack", **facts).status_code == 303


def listed(desk: Desk) -> dict[str, tuple[int, str, str]]:
    """Return count, place and worth of everything on the rack."""
    return {
        each.offcut.name: (each.offcut.count, each.offcut.place, str(each.offcut.value))
        for each in desk.store.rack.all()
    }


def test_what_is_taken_off_comes_back_by_undo_and_goes_again_by_redo(client: httpx.Client, desk: Desk) -> None:
    put(client)
    post(client, "/rack/strike", name="R-1", revision=now(desk))
    assert listed(desk) == {}
    page = client.get("/rack").text
    assert "Latest change: R-1 taken off the list" in page
    post(client, "/rack/step", way="undo", revision=now(desk))
    assert listed(desk) == {"R-1": (1, "bay 1", "0.00")}
    post(client, "/rack/step", way="redo", revision=now(desk))
    assert listed(desk) == {}
    post(client, "/rack/shelf", good="screw 8x2-1/2", quantity=40, revision=now(desk))
    post(client, "/rack/shelf", name="screw 8x2-1/2", remove=1, revision=now(desk))
    post(client, "/rack/step", way="undo", revision=now(desk))
    assert [thing.quantity for thing in desk.store.rack.shelf()] == [40]


def test_what_a_job_leaves_is_one_change(client: httpx.Client, desk: Desk) -> None:
    rows = [["piece", "width", "height", "depth"], ["A-01", "30", "30", "1 1/2"]]
    job = int(client.post("/jobs", data={"name": "x"}).headers["location"].split("/")[2])
    client.post(f"/jobs/{job}/artworks", json={"headings": rows[0], "rows": rows[1:], "revision": 1}, headers=JSON)
    post(client, f"/jobs/{job}/put", place="bay 2")
    assert len(listed(desk)) > 1
    post(client, "/rack/step", way="undo", revision=now(desk))
    assert listed(desk) == {}
    assert "It is cut: put them on the rack" in client.get(f"/jobs/{job}/sheets").text


def test_two_tabs_on_one_offcut_are_offered_both(client: httpx.Client, desk: Desk) -> None:
    """The second to save is told what the first changed; what it then makes on top is its own change and no other."""
    put(client)
    seen = now(desk)
    fields = {"name": "R-1", "count": "1", "place": "bay 1", "value": "0.00", "revision": str(seen)}
    assert post(client, "/rack/change", **{**fields, "place": "bay 7"}).status_code == 303
    refused = client.post("/rack/change", data={**fields, "count": "4"}, headers=JSON)
    assert refused.status_code == 409
    told = refused.json()
    assert told["theirs"] == [{"row": 0, "column": "R-1: place", "before": "bay 1", "after": "bay 7"}]
    assert told["mine"] == [{"row": 0, "column": "R-1: count", "before": "1", "after": "4"}]
    assert told["fields"] == {"name": "R-1", "count": "4"}
    page = post(client, "/rack/change", **{**fields, "count": "4"})
    assert page.status_code == 409
    assert "R-1: place: <del>bay 1</del> → <ins>bay 7</ins>" in page.text
    assert listed(desk)["R-1"] == (1, "bay 7", "0.00"), "nothing of the second was written"
    again = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', page.text))
    assert post(client, "/rack/change", **again).status_code == 303
    assert listed(desk)["R-1"] == (4, "bay 7", "0.00")
    # A page that wants nothing else is not bothered, nor one that changes another offcut.
    assert post(client, "/rack/change", **fields).status_code == 303
    put(client, "R-2", length="20")
    assert post(client, "/rack/change", name="R-2", place="bay 3", revision=now(desk) - 1).status_code == 409
    assert post(client, "/rack/change", name="R-2", place="bay 3", revision=now(desk)).status_code == 303


def test_an_offcut_that_is_gone_meanwhile_is_told_and_comes_back_by_a_change(client: httpx.Client, desk: Desk) -> None:
    put(client)
    seen = now(desk)
    post(client, "/rack/strike", name="R-1", revision=seen)
    told = client.post("/rack/change", data={"name": "R-1", "place": "x", "revision": str(seen)}, headers=JSON).json()
    assert [(each["before"], each["after"]) for each in told["theirs"]] == [("on the rack", "not on the list")]
    post(client, "/rack/change", **told["fields"], revision=told["revision"])
    assert listed(desk)["R-1"][1] == "x"
    assert post(client, "/rack/change", name="none", place="x", revision=now(desk)).status_code == 404
    for path in ("/rack/step", "/rack/strike"):
        assert post(client, path, name="R-1", way="undo", revision=seen).status_code == 409


def test_two_tabs_on_the_shelf(client: httpx.Client, desk: Desk) -> None:
    facts = {"good": "screw 8x2-1/2", "name": "box"}
    seen = now(desk)
    assert post(client, "/rack/shelf", **facts, quantity=40, revision=seen).status_code == 303
    assert post(client, "/rack/shelf", **facts, quantity=9, revision=seen).status_code == 409
    assert post(client, "/rack/shelf", name="box", remove=1, revision=seen).status_code == 409
    assert [thing.quantity for thing in desk.store.rack.shelf()] == [40]


# The file.


def read(client: httpx.Client, desk: Desk, text: str, **fields: Any) -> httpx.Response:
    return client.post(
        "/rack/file", data={"text": text, "revision": str(now(desk)), **fields}, files={"file": ("", b"")}
    )


def test_a_file_is_read_and_taken_along_again(client: httpx.Client, desk: Desk, tmp_path: Path) -> None:
    sent = {"file": ("my rack.csv", FILE.encode())}
    assert client.post("/rack/file", data={"revision": "0", "text": ""}, files=sent).status_code == 303
    answer = client.get("/rack/rack.csv")
    assert answer.headers["content-disposition"] == 'attachment; filename="rack.csv"'
    (tmp_path / "rack.csv").write_bytes(answer.content)
    (tmp_path / "theirs.csv").write_text(FILE)
    ours, theirs = (read_rack(tmp_path / name, default_shop(), "USD") for name in ("rack.csv", "theirs.csv"))
    assert {each.name: each for each in ours.offcuts} == {each.name: each for each in theirs.offcuts}
    assert set(ours.shelf) == set(theirs.shelf)
    before = now(desk)
    assert read(client, desk, answer.text).status_code == 303
    assert now(desk) == before, "the same again is no change"
    assert "read from my rack.csv: 4 new, 0 changed, 0 taken off" in client.get("/rack").text


def test_a_pasted_table_goes_beside_and_in_place_and_is_one_change(client: httpx.Client, desk: Desk) -> None:
    put(client)
    put(client, "R-9", length="10")
    before = listed(desk)
    pasted = "name\tgood\tlength\twidth\tcount\tplace\r\nR-1\tply-3/8\t40\t36\t3\tbay 5\r\nR-3\t2x3\t60\t\t\t\r\n"
    assert read(client, desk, pasted, how="beside").status_code == 303
    assert listed(desk) == {"R-1": (3, "bay 5", "0.00"), "R-3": (1, "", "0.00"), "R-9": before["R-9"]}
    post(client, "/rack/step", way="undo", revision=now(desk))
    assert listed(desk) == before
    assert read(client, desk, pasted, how="instead").status_code == 303
    assert listed(desk) == {"R-1": (3, "bay 5", "0.00"), "R-3": (1, "", "0.00")}
    post(client, "/rack/step", way="undo", revision=now(desk))
    assert listed(desk) == before


def test_every_fault_of_a_file_is_shown_at_its_row_and_nothing_is_written(client: httpx.Client, desk: Desk) -> None:
    put(client)
    before = desk.store.rack.state(), now(desk)
    text = (
        "name,good,length,width,count,value,place\nR-5,ply-3/8,40 in,36 in,1,1.00,\nR-1,ply-3/8,41 in,36 in,1,1,\n"
        "R-6,ply-9/9,40 in,36 in,1,1,\n,ply-3/8,<b>long,0,0,1.005,\nR-7,2x3,,,,,\n"
    )
    answer = read(client, desk, text)
    assert answer.status_code == 422
    rows = re.findall(r'<th scope="row">(\d+)</th>', answer.text)
    assert rows == ["3", "4", "5", "6"]
    assert "there is another R-1 on the rack: ply-3/8, 40 in × 36 in" in answer.text
    assert answer.text.count("<li>") >= 7
    assert "<b>long" not in answer.text
    assert "R-5,ply-3/8,40 in,36 in,1,1.00," in answer.text, "what was pasted stays to be mended"
    assert (desk.store.rack.state(), now(desk)) == before


@pytest.mark.parametrize(
    ("name", "data", "message"),
    [
        ("", b"", "paste rows"),
        ("x.exe", b"MZ", "a table in .csv or .xlsx"),
        ("x.xlsx", b"PK no", "no workbook"),
        ("x.csv", b"\xff\xfe\x00", "UTF-8"),
        ("x.csv", b"good,length\nply-3/8,30\n", "a column name"),
        ("x.csv", b"name,good,length,width,shape\nR-1,ply-3/8,30,30,round\n", "a column that is not known"),
        ("x.csv", b'name,good\n"R-1,ply-3/8\n', "quotes in pairs"),
    ],
)
def test_a_file_that_is_none_is_refused(client: httpx.Client, desk: Desk, name: str, data: bytes, message: str) -> None:
    answer = client.post("/rack/file", data={"revision": "0", "text": ""}, files={"file": (name, data)})
    assert answer.status_code == 422
    assert message in answer.text
    assert listed(desk) == {}


def test_too_long_a_paste_is_told_to_come_as_a_file(client: httpx.Client, desk: Desk) -> None:
    refused = read(client, desk, "name,good\n" + "x,y\n" * 300_000)
    assert refused.status_code == 422
    assert "send a file" in refused.text
    both = {"text": FILE, "revision": "0"}
    assert client.post("/rack/file", data=both, files={"file": ("r.csv", FILE.encode())}).status_code == 422
    assert listed(desk) == {}


def sheet(client: httpx.Client, *cells: object) -> httpx.Response:
    """Send a workbook of one offcut."""
    book = Workbook()
    for row in (["Name", "Good", "Length", "Width", "Place"], list(cells)):
        book.active.append(row)  # type: ignore[union-attr]
    out = io.BytesIO()
    book.save(out)
    return client.post("/rack/file", data={"revision": "0"}, files={"file": ("r.xlsx", out.getvalue())})


def test_a_workbook_is_read_too(client: httpx.Client, desk: Desk) -> None:
    assert sheet(client, "R-1", "ply-3/8", 40, "36 in", "bay 1").status_code == 303
    assert listed(desk) == {"R-1": (1, "bay 1", "0.00")}


def test_a_formula_that_was_never_calculated_is_told_and_not_lost(client: httpx.Client, desk: Desk) -> None:
    refused = sheet(client, "R-1", "ply-3/8", 40, "36 in", "=1+1")
    assert refused.status_code == 422
    assert "save the file in a spreadsheet" in refused.text
    assert listed(desk) == {}


def test_what_jobs_have_taken_stays_theirs(client: httpx.Client, desk: Desk) -> None:
    """The file counts what is free: read again it changes nothing, and in place of all it spares what is taken."""
    put(client, count=3)
    job = desk.store.jobs.add("One")
    desk.store.rack.take(job, {"R-1": 2})
    text = client.get("/rack/rack.csv").text
    assert "R-1,ply-3/8,40 in,36 in,1,0.00,bay 1" in text
    read(client, desk, text, how="instead")
    assert listed(desk)["R-1"][0] == 3
    other = "name,good,length,width,count\nR-8,ply-3/8,20,20,1\n"
    read(client, desk, other, how="instead")
    assert {name: count for name, (count, *_) in listed(desk).items()} == {"R-1": 2, "R-8": 1}
    assert desk.store.rack.taken(job) == {"R-1": 2}
    assert "R-1" not in client.get("/rack/rack.csv").text
    for row in ("R-1,ply-3/8,41,36,1", f"R-1,ply-3/8,40,36,{MOST - 1}"):
        refused = read(client, desk, f"name,good,length,width,count\n{row}\n", how="instead")
        assert refused.status_code == 422


def test_a_rack_that_changed_meanwhile_is_not_read_over(client: httpx.Client, desk: Desk) -> None:
    put(client)
    seen = now(desk)
    put(client, "R-2", length="20")
    text = "name,good,length,width\nR-3,ply-3/8,30,30\n"
    sent = {"text": text, "how": "instead", "revision": str(seen)}
    refused = client.post("/rack/file", data=sent)
    assert refused.status_code == 409
    assert "R-2: it is: <del>not on the list</del> → <ins>on the rack</ins>" in refused.text
    assert set(listed(desk)) == {"R-1", "R-2"}
    assert client.post("/rack/file", data={**sent, "revision": str(now(desk))}).status_code == 303
    assert set(listed(desk)) == {"R-3"}
    # Beside it, only what has the same names is looked at.
    assert client.post("/rack/file", data={**sent, "text": FILE, "how": "beside"}).status_code == 409
    text = "name,good,length,width\nR-4,ply-3/8,31,30\n"
    assert client.post("/rack/file", data={**sent, "text": text, "how": "beside"}).status_code == 303


def test_too_many_kinds_are_refused(client: httpx.Client, desk: Desk) -> None:
    put(client)
    rows = "".join(f"K-{n},ply-3/8,{n}/8,30\n" for n in range(1, MOST_OFFCUTS + 1))
    refused = read(client, desk, f"name,good,length,width\n{rows}")
    assert refused.status_code == 422
    assert f"{MOST_OFFCUTS + 1} kinds of ply-3/8" in refused.text
    assert read(client, desk, f"name,good,length,width\n{rows}", how="instead").status_code == 303
    assert len(listed(desk)) == MOST_OFFCUTS


# What must not come through it.

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{ 7 * 7 }}",
    "' OR 1=1 --",
    "=1+1",
    "#9",
    "'=x",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_names_and_places_are_text_everywhere(client: httpx.Client, desk: Desk, text: str) -> None:
    put(client, text, place=text)
    post(client, "/rack/shelf", good="screw 8x2-1/2", name=f"{text}s", place=text, quantity=4, revision=now(desk))
    post(client, "/rack/change", name=text, place=f"{text}2", revision=now(desk))
    clash = post(client, "/rack/change", name=text, place="x", revision=0)
    pages = [client.get("/rack").text, clash.text, read(client, desk, f"name,good\n{text},{text}\n").text]
    for page in pages:
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "49" not in re.sub(r"\d{4}-[^<]*", "", page)
    plain = client.get("/rack/rack.csv").text
    cells = [cell for row in csv.reader(io.StringIO(plain)) for cell in row]
    assert not [cell for cell in cells if cell[:1] in ("=", "+", "-", "@")]
    before = listed(desk)
    assert read(client, desk, plain).status_code == 303
    assert listed(desk) == before, "it comes back as it was typed"
    assert before[text][1] == f"{text}2"


@pytest.mark.parametrize(
    "fields",
    [
        {"length": "9" * 39},
        {"length": "30 m"},
        {"width": "1e9"},
        {"count": "9" * 12},
        {"count": "²"},
        {"count": "0"},
        {"count": "-1"},
        {"value": "1E+30"},
        {"value": "99999999999"},
        {"value": "NaN"},
        {"value": "0.001"},
        {"name": "x" * 61},
        {"place": "x" * 81},
        {"name": "ply-3/8 4x8"},
        {"good": "screw 8x2-1/2"},
    ],
)
def test_huge_and_odd_values_are_refused_by_a_message(client: httpx.Client, desk: Desk, fields: dict[str, str]) -> None:
    facts = {"good": "ply-3/8", "length": "40", "width": "36", "name": "R-1", **fields}
    answer = client.post("/rack", data=facts, headers=JSON)
    assert answer.status_code == 422
    assert answer.json()["message"]
    assert listed(desk) == {}
    assert client.get("/rack").status_code == 200


def test_revisions_that_are_none_are_refused(client: httpx.Client, desk: Desk) -> None:
    put(client)
    for revision in ("-1", "999999999999999", "0"):
        assert post(client, "/rack/strike", name="R-1", revision=revision).status_code == 409
    for revision in ("x", "", "999999999999999999999999"):
        assert post(client, "/rack/strike", name="R-1", revision=revision).status_code == 422
    assert list(listed(desk)) == ["R-1"]


def test_two_jobs_take_one_offcut_at_once_through_the_desk(client: httpx.Client, desk: Desk) -> None:
    """Of eight jobs that all plan with the one offcut, one has it, and the others are told; none fails."""
    put(client, length="90", width="48", value="1.00")
    jobs = []
    for number in range(8):
        job = int(client.post("/jobs", data={"name": f"Job {number}"}).headers["location"].split("/")[2])
        table = {
            "headings": ["piece", "width", "height", "depth", "method"],
            "rows": [["A", "30", "30", "1 1/2", "closed"]],
        }
        client.post(f"/jobs/{job}/artworks", json={**table, "revision": 1}, headers=JSON)
        jobs.append(job)
    address, headers = str(client.base_url), dict(client.headers)

    def take(job: int) -> int:
        with httpx.Client(base_url=address, headers=headers, timeout=60, trust_env=False) as own:
            return own.post(f"/jobs/{job}/take").status_code

    with ThreadPoolExecutor(8) as pool:
        codes = list(pool.map(take, jobs))
    assert set(codes) <= {303, 422}, codes
    holders = [job for job in jobs if desk.store.rack.taken(job).get("R-1")]
    assert len(holders) == 1
    (each,) = desk.store.rack.all()
    assert (each.free, each.taken) == (0, ((holders[0], 1),))


def test_it_survives_a_restart(client: httpx.Client, desk: Desk) -> None:
    put(client)
    post(client, "/rack/strike", name="R-1", revision=now(desk))
    desk.store.close()
    with closing(Store(desk.store.folder)) as again:
        again.rack.step("undo", based_on=again.rack.document().revision)
        assert [(each.offcut.name, each.offcut.length) for each in again.rack.all()] == [("R-1", 40 * INCH)]
