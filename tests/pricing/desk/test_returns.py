"""The way back on the desk: the same figures as the command, for the pieces that are ticked."""

import html
import re

import httpx

from pricing.ahead.returns import plan_returns
from pricing.desk.desk import Desk
from tests.pricing.desk.orders import SAMPLES


def begin(client: httpx.Client, *, places: bool) -> int:
    """Begin a job of the sample consignment, with or without its places known."""
    if places:
        files = {"destinations.csv": ("destinations.csv", (SAMPLES / "destinations.csv").read_bytes())}
        assert client.post("/rules/files", files=files).status_code == 303
    files = {"file": ("consignment.csv", (SAMPLES / "gallery_consignment.csv").read_bytes())}
    return int(client.post("/jobs", data={"name": ""}, files=files).headers["location"].split("/")[2])


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def test_the_page_shows_what_the_command_says(client: httpx.Client, desk: Desk) -> None:
    job = begin(client, places=True)
    quote = desk.sheaf(job).answer
    assert quote is not None
    back = ["G-01", "G-03", "G-10"]
    text = plain(client.get(f"/jobs/{job}/returns", params={"chosen": "1", "back": back}).text)
    planned = plan_returns(quote.quote, back)
    assert sorted(each.destination for each in planned) == ["Harbour Gallery", "Hillside Gallery"]
    for each in planned:
        assert f"From {each.destination}" in text
        assert f"{each.freight.title}: USD {each.freight.amount:,.2f}" in text
        for crate in each.crates:
            assert crate.advice is not None
            assert f"{crate.costs[crate.advice]:,.2f} cheapest" in text
            assert crate.crate in text
    assert "sold: G-02" in text, "its frame comes back empty in the case of the two others"
    assert "G-08" not in text.partition("Show their way back")[2]


def test_all_come_back_until_some_are_chosen_and_none_if_none_is(client: httpx.Client) -> None:
    job = begin(client, places=False)
    page = client.get(f"/jobs/{job}/returns").text
    assert page.count(" checked") == 10
    assert "What an hour of the handlers there costs is not known" in page
    assert "and their work" in plain(page)
    none = client.get(f"/jobs/{job}/returns?chosen=1&back=X-99").text
    assert none.count(" checked") == 0
    assert "Nothing comes back." in none


def test_a_job_without_a_quote_says_what_to_do(client: httpx.Client) -> None:
    job = int(client.post("/jobs", data={"name": "Empty"}).headers["location"].split("/")[2])
    assert "Nothing is entered yet." in client.get(f"/jobs/{job}/returns").text
