"""The offer on the desk: read as the client will, its files made as the command makes them."""

import html
import re
from io import BytesIO

import httpx
import pdfplumber
import pytest
from PIL import Image

from pricing.desk.desk import Desk
from pricing.output.offer.content import INVENTED
from pricing.output.offer.files import offers
from tests.pricing.desk.orders import HEADINGS, ROWS
from tests.pricing.desk.test_parties import begin_with, keep, plain

TABLE = [[*HEADINGS, "buyer"], [*ROWS[0], "Bay Foundation"], [*ROWS[1], ""]]


def test_each_client_reads_what_the_files_say(client: httpx.Client, desk: Desk) -> None:
    keep(client, 0, party="Bay Foundation", contact="M. Example", deposit="50 %", rest_due="on delivery")
    job = begin_with(client, TABLE)
    named = {
        "name": "Parties",
        "client": "The Quay Collection",
        "names": desk.store.jobs.names(job).revision,
        "back": f"/jobs/{job}/client",
    }
    assert client.post(f"/jobs/{job}/name", data=named).status_code == 303
    answer = desk.sheaf(job).answer
    assert answer is not None
    made = offers(answer.quote, "packing", desk.sheaf(job).row.client)
    assert [offer.client for offer in made] == ["Bay Foundation", "The Quay Collection"]
    page = client.get(f"/jobs/{job}/client").text
    text = plain(page)
    for number, offer in enumerate(made, start=1):
        assert f"USD {offer.total:,.2f}" in text
        assert "Dear M. Example," in html.unescape(page)
        file = client.get(f"/jobs/{job}/client/{number}/offer.pdf")
        assert file.headers["content-type"] == "application/pdf"
        assert re.search(
            r'filename="offer-(bay-foundation|the-quay-collection)\.pdf"', file.headers["content-disposition"]
        )
        with pdfplumber.open(BytesIO(file.content)) as read:
            words = " ".join(" ".join(each.extract_text().split()) for each in read.pages)
        assert f"USD {offer.total:,.2f}" in words
        assert client.get(f"/jobs/{job}/client/{number}/offer.xlsx").content[:2] == b"PK"
    assert INVENTED in text, "the built-in prices are invented, and it says so"
    assert "Markup" not in page
    assert "Overhead" not in page


def test_photos_of_the_job_stand_in_the_offer(client: httpx.Client, desk: Desk) -> None:
    job, out = begin_with(client, TABLE), BytesIO()
    Image.new("RGB", (400, 300), "teal").save(out, "JPEG")
    before = client.get(f"/jobs/{job}/client/1/offer.pdf").content
    files = {"photo": ("one.jpg", out.getvalue(), "image/jpeg")}
    answer = client.post(f"/jobs/{job}/photo", data={"piece": "A-01", "revision": "2", "had": "0"}, files=files)
    assert answer.status_code == 303
    assert desk.sheaf(job).content.photos
    after = client.get(f"/jobs/{job}/client/1/offer.pdf").content
    with pdfplumber.open(BytesIO(before)) as one, pdfplumber.open(BytesIO(after)) as other:
        assert (len(one.pages[0].images), len(other.pages[0].images)) == (0, 1)


def test_a_photo_that_the_table_only_names_is_told(client: httpx.Client) -> None:
    table = [[*HEADINGS, "photo"], [*ROWS[0], "photos/one.jpg"], [*ROWS[1], ""]]
    text = plain(client.get(f"/jobs/{begin_with(client, table)}/client").text)
    assert "The table names a photo of A-01, but a page reads no folders" in text


def test_works_without_a_price_are_not_sold_and_the_page_says_which(client: httpx.Client) -> None:
    job = int(client.post("/jobs", data={"name": "No price"}).headers["location"].split("/")[2])
    assert "There is no price yet" in plain(client.get(f"/jobs/{job}/client").text)
    table = {"headings": HEADINGS, "rows": ROWS, "revision": 1}
    client.post(f"/jobs/{job}/artworks", json=table, headers={"accept": "application/json"})
    text = plain(client.get(f"/jobs/{job}/client?kind=sale").text)
    assert "This offer cannot be made yet" in text
    assert "the artist's price of each work that is sold" in text
    assert client.get(f"/jobs/{job}/client/1/offer.pdf?kind=sale").status_code == 422


@pytest.mark.parametrize(
    ("path", "status"), [("client?kind=gift", 422), ("client/9/offer.pdf", 404), ("client/1/offer.docx", 404)]
)
def test_what_there_is_not_is_told(client: httpx.Client, path: str, status: int) -> None:
    job = begin_with(client, TABLE)
    assert client.get(f"/jobs/{job}/{path}").status_code in (status, 400 if status == 422 else status)
