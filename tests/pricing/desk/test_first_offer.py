"""From works without an address to an offer that has one: by what the page itself leads to."""

import re

import httpx
import pytest

from pricing.desk.content import HEADINGS
from pricing.desk.desk import Desk
from pricing.desk.pages.fields import PARTY_FIELDS, PLACE_FIELDS, place_fields
from pricing.studio.destinations import COLUMNS as PLACE_COLUMNS
from pricing.studio.parties import COLUMNS as PARTY_COLUMNS
from pricing.studio.rates_file import default_rates

WORKS = [
    ["piece", "title", "width", "height", "depth", "gallery", "destination"],
    ["Q-1", "Tidewater", "24", "36", "1 1/2", "", "Quay House"],
    ["Q-2", "Slow Field", "30", "30", "1 1/2", "Row Gallery", "Quay House"],
    ["", "", "", "", "", "", ""],
    ["Q-3", "Night Ferry", "20", "20", "1", "", "Quay House"],
]


def test_a_new_table_has_the_columns_of_an_offer_in_view() -> None:
    assert set(HEADINGS[:10]) == {
        "piece", "title", "width", "height", "depth", "weight", "quantity", "price", "buyer", "destination",
    }  # fmt: skip


@pytest.mark.parametrize(("fields", "columns"), [(PLACE_FIELDS, PLACE_COLUMNS), (PARTY_FIELDS, PARTY_COLUMNS)])
def test_a_form_asks_for_every_column_once_and_calls_it_something(fields: tuple, columns: tuple) -> None:  # type: ignore[type-arg]
    assert sorted(each.name for each in fields) == sorted(columns)
    labels = [each.label for each in fields]
    assert all(labels)
    assert len(set(labels)) == len(labels)
    assert sum(not each.more for each in fields) <= 7, "what a first row needs is seen at a glance"
    assert not fields[0].more


def test_a_destination_says_how_works_go_to_one_that_says_nothing() -> None:
    profiles = default_rates().freight
    for usual, told in (
        ("collect", "collected"),
        ("van", "Our own van"),
        ("parcel, van then air", "parcel, van then air"),
    ):
        ((_, first), *_) = place_fields(profiles, usual)
        assert [each.meant for _, each in first if each.name == "profile"] == [f"blank: {told}"]


def begun(client: httpx.Client, desk: Desk) -> int:
    answer = client.post("/jobs", data={"name": "Three panels", "client": "Ilse Quent"})
    job = int(answer.headers["location"].split("/")[2])
    sent = client.post(f"/jobs/{job}/artworks", json={"headings": WORKS[0], "rows": WORKS[1:], "revision": 1})
    assert sent.status_code == 200
    client.post(
        "/rules/place",
        data={"destination": "Quay House", "revision": str(desk.papers.document("destinations").revision)},
    )
    return job


def test_the_page_of_offers_leads_to_an_address_and_a_way_to_go(client: httpx.Client, desk: Desk) -> None:
    job = begun(client, desk)
    page = client.get(f"/jobs/{job}/client").text
    assert "No address is known" in page
    assert 'value="Ilse Quent"' in page
    assert 'Nothing is shipped to <a href="/rules#place-Quay_House">Quay House</a>' in page
    assert f"/parties?add=Row%20Gallery&amp;back=%2Fjobs%2F{job}%2Fclient#party-new" in page
    revision = re.search(r'name="revision" value="(\d+)"', page)
    assert revision
    sent = client.post(
        f"/jobs/{job}/client/named", data={"revision": revision[1], "name": " Ilse  Quent ", "role": "buyer"}
    )
    assert sent.status_code == 303
    assert sent.headers["location"].startswith("/parties?add=Ilse%20Quent&back=")
    content = desk.sheaf(job).content
    place = content.headings.index("buyer")
    assert [content.cell(row, place) for row in range(4)] == ["Ilse Quent", "", "", "Ilse Quent"]
    form = client.get(sent.headers["location"].partition("#")[0]).text
    assert 'value="Ilse Quent"' in form
    added = client.post("/parties", data={"party": "Ilse Quent", "address": "12 Quay Road", "old": "", "revision": "0",
                                          "back": f"/jobs/{job}/client"})  # fmt: skip
    assert added.headers["location"] == f"/jobs/{job}/client"
    page = client.get(f"/jobs/{job}/client").text
    assert "12 Quay Road" in page
    assert f'action="/jobs/{job}/client/named"' not in page


def test_who_buys_or_sells_is_asked_in_words_that_are_known(client: httpx.Client, desk: Desk) -> None:
    job = begun(client, desk)
    revision = str(desk.sheaf(job).document.revision)
    for name, role in (("", "buyer"), ("Ilse Quent", "price")):
        sent = client.post(f"/jobs/{job}/client/named", data={"revision": revision, "name": name, "role": role})
        assert sent.status_code == 422
    assert "buyer" not in desk.sheaf(job).content.headings
