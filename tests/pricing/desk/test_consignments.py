"""Papers of a job's consignments on the desk: which, what they lack, each as a file, and kept with what is pinned."""

import html
import re
import zipfile
from io import BytesIO

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.desk.pages.consignments import led
from tests.pricing.desk.orders import HEADINGS, ROWS
from tests.pricing.desk.test_parties import begin_with, keep, plain

LIST = "packing-list-harbour-gallery.pdf"


@pytest.fixture
def job(client: httpx.Client) -> int:
    """Begin a job of two places."""
    return begin_with(client, [list(HEADINGS), *(list(row) for row in ROWS)])


def names_in(page: str) -> list[str]:
    return re.findall(r'href="/jobs/\d+/papers/([^"?]+)', html.unescape(page))


def test_each_paper_is_a_file_beside_what_it_lacks_and_is_kept_with_what_is_pinned(
    client: httpx.Client, desk: Desk, job: int
) -> None:
    page = client.get(f"/jobs/{job}/papers").text
    names = names_in(page)
    assert {LIST, "packing-list-hillside-gallery.pdf"} <= set(names)
    assert "address of Harbour Gallery ( Parties )" in plain(page)
    assert "country of Harbour Gallery: abroad, an invoice for customs is needed ( Shop, destinations )" in plain(page)
    assert "address of the studio ( Shop, studio )" in plain(page)
    assert keep(client, 0, party="Harbour Gallery", address="12 Quay Walk (invented)").status_code == 303
    assert "address of Harbour Gallery" not in plain(client.get(f"/jobs/{job}/papers").text)
    answer = client.get(f"/jobs/{job}/papers/{LIST}")
    assert answer.content.startswith(b"%PDF")
    assert answer.headers["content-disposition"] == f'attachment; filename="{LIST}"'
    assert client.get(f"/jobs/{job}/papers/packing-list-elsewhere.pdf").status_code == 404
    with zipfile.ZipFile(BytesIO(client.get(f"/jobs/{job}/files/papers.zip").content)) as packed:
        assert packed.namelist() == names
        assert packed.read(LIST) == answer.content
    # What is pinned hands out the papers that were kept.
    assert client.post(f"/jobs/{job}/stand", data={"standing": "accepted"}).status_code == 303
    assert keep(client, 1, "Harbour Gallery", party="Harbour Gallery", address="9 Other Row").status_code == 303
    assert client.get(f"/jobs/{job}/papers/{LIST}").content == answer.content
    page = client.get(f"/jobs/{job}/papers").text
    assert "these files are kept as they were made then" in plain(page)
    assert LIST in names_in(page)
    assert client.get(f"/jobs/{job}/papers/nothing.pdf").status_code == 404
    assert desk.store.jobs.get(job).standing == "accepted"


@pytest.mark.parametrize(
    ("text", "address"),
    [
        ("title of A-01 (order)", "/jobs/7/artworks"),
        ("port of entry (destinations.csv)", "/rules#places"),
        ("Incoterms 2020 rule ([offer] of rates.toml)", "/rules?group=offer"),
        ("day and place of sale (written by hand)", ""),
        ("a number", ""),
    ],
)
def test_what_lacks_leads_to_where_it_is_said(text: str, address: str) -> None:
    found = led(text, 7)
    assert found.address == address
    assert found.text == (text.partition(" (")[0] if address else text)


def test_without_a_price_there_are_none(client: httpx.Client) -> None:
    job = int(client.post("/jobs", data={"name": "Empty"}).headers["location"].split("/")[2])
    assert "There is no price yet" in plain(client.get(f"/jobs/{job}/papers").text)
    assert client.get(f"/jobs/{job}/papers/{LIST}").status_code == 404
