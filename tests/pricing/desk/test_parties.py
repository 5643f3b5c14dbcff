"""The book of parties on the desk: kept, named by orders, undone, and taken over from a file."""

import html
import re
from datetime import date

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.desk.studio import PARTIES
from pricing.studio.parties import COLUMNS, Party
from tests.pricing.desk.orders import HEADINGS, ROWS
from tests.pricing.desk.test_what_if import post


def keep(client: httpx.Client, revision: int, old: str = "", **cells: str) -> httpx.Response:
    """Keep a row of the book."""
    fields = {column: cells.get(column.replace(" ", "_").replace("-", "_").lower(), "") for column in COLUMNS}
    return client.post("/parties", data={"revision": revision, "old": old, **fields})


def begin_with(client: httpx.Client, table: list[list[str]]) -> int:
    """Begin a job with a table of artworks, each with a price."""
    job = int(client.post("/jobs", data={"name": "Parties"}).headers["location"].split("/")[2])
    heads, *rows = table
    facts = {"headings": [*heads, "price"], "rows": [[*row, "900"] for row in rows], "revision": 1}
    client.post(f"/jobs/{job}/artworks", json=facts, headers={"accept": "application/json"})
    return job


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def test_a_party_is_kept_changed_taken_back_and_removed(client: httpx.Client, desk: Desk) -> None:
    assert "A new party" in plain(client.get("/parties").text)
    first = keep(client, 0, party="Pier Hall", address="Pier 4\r\n12 Quay Street", commission="40 %", deposit="50 %")
    assert first.status_code == 303
    (row,) = desk.papers.parties.rows
    assert (row.name, row.address, f"{row.commission}", f"{row.deposit}") == (
        "Pier Hall", ("Pier 4", "12 Quay Street"), "0.4", "0.5",
    )  # fmt: skip
    page = client.get("/parties").text
    assert 'id="party-Pier' in page.replace("pier", "Pier")
    assert "Pier 4\n12 Quay Street" in page
    assert keep(client, 1, "Pier Hall", party="Pier Hall", freight_by="buyer").status_code == 303
    assert desk.papers.parties.rows == (Party("Pier Hall", freight_by="buyer"),)
    assert keep(client, 1, party="Late").status_code == 409, "somebody else saved meanwhile"
    assert post(client, "/parties/step", way="undo", revision=2).status_code == 303
    assert desk.papers.parties.rows == (row,)
    assert post(client, "/parties", old="Pier Hall", remove="1", revision=3, party="Pier Hall").status_code == 303
    assert len(desk.papers.parties.rows) == 0


def test_what_holds_of_works_on_consignment_is_kept_and_shown(client: httpx.Client, desk: Desk) -> None:
    cells = {"discount_by": "half each", "loss_by": "gallery", "paid_within": "14", "unsold_back": "90 days"}
    assert keep(client, 0, party="Pier Hall", **cells).status_code == 303
    assert desk.papers.parties.rows == (
        Party("Pier Hall", discount_by="half each", loss_by="gallery", paid_within=14, back_after=90),
    )
    page = client.get("/parties").text
    for shown in ("<option selected>half each</option>", 'value="14 days"', 'value="90 days"'):
        assert shown in page
    assert keep(client, 1, "Pier Hall", party="Pier Hall", unsold_back="2027-03-31").status_code == 303
    assert keep(client, 2, "Pier Hall", party="Pier Hall", unsold_back="soon").status_code == 422
    assert desk.papers.parties.rows == (Party("Pier Hall", back_on=date(2027, 3, 31)),)


@pytest.mark.parametrize(
    ("column", "text"), [("country", "USA"), ("commission", "lots"), ("e_mail", "nobody"), ("party", "")]
)
def test_what_cannot_be_read_is_told_and_nothing_kept(client: httpx.Client, desk: Desk, column: str, text: str) -> None:
    answer = keep(client, 0, **{"party": "Pier Hall", "contact": "M. Example", column: text})
    assert answer.status_code == 422
    assert desk.papers.document(PARTIES).content == ""


def test_a_job_follows_what_the_book_says_of_its_gallery(client: httpx.Client, desk: Desk) -> None:
    """Unknown it is told with a line that adds it; known, its commission counts, and an undo takes it back."""
    rows = [[*HEADINGS, "gallery"], *([*row, "Pier Hall"] for row in ROWS)]
    job = begin_with(client, rows)
    first = desk.sheaf(job).answer
    assert first is not None
    assert first.quote.strangers == ("no party Pier Hall",)
    assert "no party Pier Hall" in plain(client.get(f"/jobs/{job}/money").text)
    keep(client, 0, party="Pier Hall", commission="10 %")
    now = desk.sheaf(job).answer
    assert now is not None
    assert now.quote.strangers == ()
    assert {f"{sale.commission}" for sale in now.quote.sales} == {"0.1"}
    assert now.quote.total == first.quote.total, "what is packed costs the same, whoever sells it"
    assert '"Pier Hall"' in client.get(f"/jobs/{job}/artworks").text  # among the choices of its column
    post(client, "/parties/step", way="undo", revision=1)
    again = desk.sheaf(job).answer
    assert again is not None
    assert again.quote.strangers == ("no party Pier Hall",)


def test_a_file_of_parties_is_taken_over_or_refused_as_a_whole(client: httpx.Client, desk: Desk) -> None:
    good = {"a": ("parties.csv", "party,commission\nPier Hall,40 %\n")}
    assert client.post("/rules/files", files=good).status_code == 303
    assert [row.name for row in desk.papers.parties.rows] == ["Pier Hall"]
    bad = {"a": ("parties.csv", "party,commission\nPier Hall,most\n")}
    assert client.post("/rules/files", files=bad).status_code == 422
    assert [row.name for row in desk.papers.parties.rows] == ["Pier Hall"]
