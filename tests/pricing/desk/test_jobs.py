"""The list of jobs: due days that follow the table and the way there, standings in words, found by any cell."""

import re
from datetime import date

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.desk.pages.jobs import SAYS
from pricing.store.jobs import STANDINGS, WAYS
from tests.pricing.desk.orders import HEADINGS, ROWS
from tests.pricing.desk.test_learned import plain
from tests.pricing.desk.test_pages import post


def begin_due(client: httpx.Client, name: str, days: tuple[str, str]) -> int:
    """Begin a job of two pieces that are to leave by two days."""
    job = int(client.post("/jobs", data={"name": name}).headers["location"].split("/")[2])
    rows = [[*row, day] for row, day in zip(ROWS, days, strict=True)]
    facts = {"headings": [*HEADINGS, "ship by"], "rows": rows, "revision": 1}
    client.post(f"/jobs/{job}/artworks", json=facts, headers={"accept": "application/json"})
    return job


def listed(client: httpx.Client, query: str = "") -> list[str]:
    return re.findall(r'class="card-name"[^>]*>([^<]+)<', client.get(f"/?{query}").text)


def test_a_job_is_due_when_the_first_of_it_must_leave(client: httpx.Client, desk: Desk) -> None:
    late = begin_due(client, "Late one", ("2026-12-09", "2026-11-20"))
    begin_due(client, "Later one", ("2026-12-09", "2026-12-24"))
    assert desk.store.jobs.get(late).due == date(2026, 11, 20)
    page = plain(client.get("/").text)
    assert "2 pieces · draft · due 20 November 2026 5 days late · changed" in page
    assert "2 pieces · draft · due 9 December 2026 · changed" in page
    assert listed(client) == ["Later one", "Late one"]
    assert listed(client, "by=due") == ["Late one", "Later one"]
    assert listed(client, "way=late") == ["Late one"]
    assert listed(client, "q=A-02+hillside") == ["Later one", "Late one"], "pieces and places are searched"
    desk.store.jobs.stand(late, "delivered", date(2026, 11, 24))
    assert listed(client, "way=open") == ["Later one"]
    assert listed(client, "way=late") == []
    assert "No job is listed under “late”" in plain(client.get("/?way=late").text)
    assert "delivered · due 20 November 2026 · changed" in plain(client.get("/").text)
    assert sorted(listed(client, "way=nonsense")) == ["Late one", "Later one"]


def test_a_place_with_a_deadline_makes_a_job_due_before_it(client: httpx.Client, desk: Desk) -> None:
    """Three working days on the way and a deadline on Friday, 18 December: it is handed over the Tuesday before."""
    post(
        client, "/rules/place", destination="Harbour Gallery", profile="pallet", deadline="2026-12-18", revision="0",
        country="US",
    )  # fmt: skip
    for revision, rule in enumerate(("transit_days", "transit_days_most")):
        post(client, "/rules", rule=f"freight.pallet.{rule}", value="3", revision=revision)
    job = begin_due(client, "To the harbour", ("", ""))
    row = desk.store.jobs.get(job)
    assert row.due == date(2026, 12, 15)


def test_a_job_without_days_says_none(client: httpx.Client, desk: Desk) -> None:
    job = begin_due(client, "No day", ("", ""))
    assert desk.store.jobs.get(job).due is None
    assert "due" not in plain(client.get("/").text).partition("No day")[2].partition("Copy")[0]


@pytest.mark.parametrize("standing", STANDINGS)
def test_every_standing_has_words(standing: str) -> None:
    assert SAYS[standing]
    assert set(SAYS) == set(WAYS)
