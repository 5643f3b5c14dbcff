"""The buying list: part of a line, the whole of it, and what a page says of it."""

import html
import re
from decimal import Decimal
from typing import Any

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.output.tables import buying
from tests.pricing.desk.orders import HEADINGS, twelve

JSON = {"accept": "application/json"}


@pytest.fixture
def job(client: httpx.Client) -> int:
    """Begin a job of twelve pieces."""
    number = int(client.post("/jobs", data={"name": "Yard"}).headers["location"].split("/")[2])
    table = {"headings": HEADINGS, "rows": twelve(), "revision": 1}
    client.post(f"/jobs/{number}/artworks", json=table, headers=JSON)
    return number


def line(desk: Desk, job: int) -> tuple[str, Decimal]:
    """Return a line of which several are bought."""
    answer = desk.sheaf(job).answer
    assert answer is not None
    return next((row.stock, row.bought) for row in buying(answer.quote) if row.form == "sheet" and row.bought > 2)


def tick(client: httpx.Client, job: int, **fields: object) -> Any:
    answer = client.post(f"/jobs/{job}/tick", data={name: str(each) for name, each in fields.items()}, headers=JSON)
    return answer.json() if answer.status_code == 200 else answer.status_code


def shown(client: httpx.Client, job: int, stock: str) -> tuple[bool, str]:
    """Return whether a line is ticked off, and how many of it the page says are fetched."""
    page = html.unescape(client.get(f"/jobs/{job}/yard").text)
    item = next(each for each in re.findall(r"<li.*?</li>", page, re.DOTALL) if f"<strong>{stock}</strong>" in each)
    found = re.search(r'<input name="count" value="([^"]*)"', item)
    return " checked" in item.partition("</form>")[0], found[1] if found else "no field"


def test_a_part_survives_a_full_tick_and_its_way_back(client: httpx.Client, desk: Desk, job: int) -> None:
    stock, whole = line(desk, job)
    assert shown(client, job, stock) == (False, "")
    assert tick(client, job, stock=stock, whole=whole, count=2) == {"fetched": "2", "done": False}
    assert shown(client, job, stock) == (False, "2")
    assert tick(client, job, stock=stock, whole=whole, count=whole) == {"fetched": str(whole), "done": True}
    assert shown(client, job, stock) == (True, str(whole))
    assert tick(client, job, stock=stock, whole=whole) == {"fetched": "2", "done": False}
    assert tick(client, job, stock=stock, whole=whole) == {"fetched": "2", "done": False}, "not twice"
    assert shown(client, job, stock) == (False, "2")
    assert tick(client, job, stock=stock, whole=whole, count="") == {"fetched": "", "done": False}
    assert shown(client, job, stock) == (False, "")


def test_more_than_is_needed_is_all_of_it_and_stays_said(client: httpx.Client, desk: Desk, job: int) -> None:
    stock, whole = line(desk, job)
    tick(client, job, stock=stock, whole=whole, count=whole + 1)
    assert shown(client, job, stock) == (True, str(whole + 1))
    assert re.search(r'id="done">1<', client.get(f"/jobs/{job}/yard").text)


@pytest.mark.parametrize("count", ["two", "-1", "nan", "1e9", "2,5"])
def test_a_number_that_will_not_do_changes_nothing(client: httpx.Client, desk: Desk, job: int, count: str) -> None:
    stock, whole = line(desk, job)
    tick(client, job, stock=stock, whole=whole, count=2)
    answer = client.post(f"/jobs/{job}/tick", data={"stock": stock, "count": count, "whole": "5"}, headers=JSON)
    assert answer.status_code == 422
    assert "a number such as 2" in answer.json()["message"]
    assert shown(client, job, stock) == (False, "2")


def test_without_a_script_the_page_comes_again(client: httpx.Client, desk: Desk, job: int) -> None:
    stock, _ = line(desk, job)
    answer = client.post(f"/jobs/{job}/tick", data={"stock": stock, "whole": "5", "count": "1"})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/jobs/{job}/yard")
    assert shown(client, job, stock) == (False, "1")
