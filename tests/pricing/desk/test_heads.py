import httpx
import pytest

from nesting.intake.likely import likely
from pricing.desk.content import Content, content_from
from pricing.desk.desk import Desk, job_paper
from pricing.desk.heads import heads, names_beside, read_as

HEADINGS = ("piece", "width", "height", "depth")
JSON = {"accept": "application/json"}


@pytest.mark.parametrize(
    ("text", "cells", "meant"),
    [
        ("Retail", ["$1,200", "900"], "price"),
        ("Retail", [], "price"),
        ("Retail (EUR)", ["1,200"], "price"),
        ("Retail", ["the big shop", "by post"], None),
        ("Insurance", ["4000"], "declared"),
        ("Client", ["Ann Example"], "buyer"),
        ("Wieght", ["18 lb"], "weight"),
        ("Due", ["2026-12-04"], "ship_by"),
        ("Retail", ["about 1.800", "2.400", "TBD"], "price"),
        ("Collection", ["14.03.2027", "14.03.2027"], "ship_by"),
        ("Collection", ["Ann Example"], "buyer"),
        ("Client", ["2027-03-14"], None),
        ("Shelf", ["bay 2"], None),
        ("Frame colour", ["black"], None),
        ("price", ["1"], None),
        ("terms", ["sale"], None),
        ("", ["1"], None),
    ],
)
def test_what_a_heading_is_offered_as(text: str, cells: list[str], meant: str | None) -> None:
    assert likely(text, cells) == meant


@pytest.mark.parametrize(
    ("text", "name", "made"),
    [
        ("Retail", "price", "price"),
        ("Retail (EUR)", "price", "price (EUR)"),
        ("Retail EUR", "price", "price (EUR)"),
        ("Retail (framed)", "price", "price"),
        ("Format (cm)", "width", "width (cm)"),
        ("Format", "dimensions (h x w x d)", "dimensions (h x w x d)"),
        ("Leaves", "ship_by", "ship by"),
    ],
)
def test_a_heading_that_is_mapped_keeps_the_unit_that_it_states(text: str, name: str, made: str) -> None:
    assert read_as(text, name) == made
    head = heads(Content(headings=(made,)))[0]
    assert head.name == name.partition(" (")[0]


def test_a_column_is_offered_once_and_only_while_no_other_holds_it() -> None:
    rows = (("A-01", "30", "40", "1", "1200", "900", ""),)
    table = Content(headings=(*HEADINGS, "Retail", "Asking", "price"), rows=rows)
    assert [head.likely for head in heads(table)] == ["", "", "", "", "price", "", ""]
    filled = Content(headings=table.headings, rows=((*rows[0][:-1], "1500"),))
    assert not any(head.likely for head in heads(filled))


def test_a_title_that_names_pieces_is_a_title_beside_a_column_that_does() -> None:
    assert names_beside(("Title", "W"), ()) == ["piece", "width"]
    assert names_beside(("Title", "W"), HEADINGS) == ["title", "width"]
    assert names_beside(("Shelf", "H"), HEADINGS) == ["Shelf", "height"]


def _table(client: httpx.Client, **more: object) -> httpx.Response:
    return client.post("/jobs/1/artworks", json=more, headers=JSON)


def test_a_heading_is_mapped_as_it_is_saved(client: httpx.Client, desk: Desk) -> None:
    client.post("/jobs", data={"name": "Mapped"})
    table = {"headings": [*HEADINGS, "Retail (EUR)"], "rows": [["A-01", "30", "40", "1", "1,200"]]}
    told = _table(client, **table, revision=1).json()
    assert told["heads"][4]["likely"] == "price"
    answer = _table(client, **table, revision=2, reads={"4": "price"}, what="Retail (EUR) read as price")
    assert answer.json()["heads"][4]["text"] == "price (EUR)"
    assert content_from(desk.store.documents.get(job_paper(1)).content).headings[4] == "price (EUR)"
    for reads in ({"9": "price"}, {"x": "price"}, {"0": "nothing"}):
        assert _table(client, **table, revision=3, reads=reads).status_code == 422


def test_rows_that_nobody_looks_at_follow_the_columns(client: httpx.Client, desk: Desk) -> None:
    client.post("/jobs", data={"name": "Unseen"})
    rows = [[f"A-{number:02}", "30", "40", "1", "bay"] for number in range(5)]
    _table(client, headings=[*HEADINGS, "Shelf"], rows=rows, revision=1)
    # Two rows are seen: depth moves to the front, the note is taken out, another column is new.
    seen = [["1", "A-00", "30", "40", "x"], ["1", "A-01", "30", "40", ""]]
    moved = {"headings": ["depth", "piece", "width", "height", "notes"], "places": [3, 0, 1, 2, None]}
    assert _table(client, **moved, rows=seen, unseen=3, revision=2).status_code == 200
    content = content_from(desk.store.documents.get(job_paper(1)).content)
    assert content.headings == ("depth", "piece", "width", "height", "notes")
    assert [row[1] for row in content.rows] == [f"A-{number:02}" for number in range(5)]
    assert content.rows[4] == ("1", "A-04", "30", "40", "")
    for places in ([0], [0, 1, 2, 3, "4"]):
        assert _table(client, **{**moved, "places": places}, rows=seen, unseen=3, revision=3).status_code == 422


def test_the_page_offers_methods_of_the_registry_parties_and_places(client: httpx.Client) -> None:
    client.post("/jobs", data={"name": "Offered"})
    client.post("/parties", data={"revision": 0, "old": "", "party": "Ann Example"})
    page = client.get("/jobs/1/artworks").text
    for text in ('["closed", "closed crate"]', '["Ann Example", ""]', '"destination": "destination"'):
        assert text in page
