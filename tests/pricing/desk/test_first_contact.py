"""An empty desk leads to a first offer: three steps, a sample that says it is invented, help on each page."""

import re

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.desk.help import HELP, STEPS
from pricing.desk.sample import CLIENT, NAME, PLACE
from tests.nesting.intake.messy_tables import MESSY
from tests.pricing.desk.test_learned import plain


def test_an_empty_desk_offers_three_steps_and_a_sample(client: httpx.Client, desk: Desk) -> None:
    page = plain(client.get("/").text)
    assert all(title in page and text in page for title, text in STEPS)
    address = client.post("/sample").headers["location"]
    job = int(address.split("/")[2])
    sheaf = desk.sheaf(job)
    assert sheaf.faults == ()
    assert sheaf.answer is not None
    assert sheaf.answer.quote.total > 0
    assert not sheaf.answer.quote.incomplete
    assert sheaf.row.name == NAME
    assert [row.name for row in desk.papers.places.rows] == [PLACE]
    assert [row.name for row in desk.papers.parties.rows] == [CLIENT]
    assert all("invented" in text for text in (NAME, PLACE, CLIENT))
    assert "Three steps" not in client.get("/").text
    client.post("/sample")
    assert len(desk.papers.places.rows) == len(desk.papers.parties.rows) == 1, "the second sample adds none"


def test_every_page_has_its_short_help_and_help_has_all(client: httpx.Client) -> None:
    client.post("/sample")
    whole = client.get("/help").text
    assert set(re.findall(r'<section class="help-page" id="([a-z]+)"', whole)) == {*HELP, "columns", "safety"}
    own = {"jobs": "/", "rack": "/rack", "prices": "/prices", "parties": "/parties", "rules": "/rules",
           "learned": "/learned", "keep": "/keep"}  # fmt: skip
    for key, told in HELP.items():
        page = client.get(own.get(key, f"/jobs/1/{key}"))
        assert page.status_code == 200, key
        assert f'href="/help#{key}"' in page.text, key
        assert told.short.split(".")[0] in plain(page.text).replace("&#39;", "'"), key


_OTHERWISE = ("in doubt.csv", "sizes.csv", "all at once.csv", "Werkliste.csv")  # faults, each told elsewhere or below


@pytest.mark.parametrize("file", [name for name in MESSY if name not in _OTHERWISE])
def test_a_messy_spreadsheet_gets_a_first_figure(client: httpx.Client, desk: Desk, file: str) -> None:
    sent = client.post("/jobs", files={"file": (file, MESSY[file])})
    sheaf = desk.sheaf(int(sent.headers["location"].split("/")[2]))
    assert sheaf.faults == ()
    assert sheaf.answer is not None
    assert sheaf.answer.quote.total > 0


def test_a_table_in_another_currency_is_one_clear_fault(client: httpx.Client, desk: Desk) -> None:
    sent = client.post("/jobs", files={"file": ("Werkliste.csv", MESSY["Werkliste.csv"])})
    (fault,) = desk.sheaf(int(sent.headers["location"].split("/")[2])).faults
    assert fault.text == "currency: EUR in the table, USD in prices.csv. Write one currency throughout."


def test_days_on_the_desk_are_those_of_the_studios_country(client: httpx.Client, desk: Desk) -> None:
    client.post("/jobs", files={"file": ("o.csv", b"Title,W,H,D,Ship by\nA,20,20,1,03/04/2027\n")})
    order = desk.sheaf(1).reading.order
    assert order is not None
    assert str(order.artworks[0].ship_by) == "2027-03-04"
    assert any("as the studio's country writes them" in told for told in order.warnings)
