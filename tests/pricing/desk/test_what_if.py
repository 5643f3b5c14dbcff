"""What if, on the desk: scenarios written by a form and by hand, kept as typed, quoted as the command quotes them."""

import html
import re
import time
import tomllib
from decimal import Decimal
from typing import Any

import httpx
import pytest

from nesting.base.measure import INCH
from nesting.base.search import Search
from nesting.base.stop import Stop
from nesting.intake import order_from_rows
from pricing.ahead.what_if import run_scenarios, scenarios_from
from pricing.ahead.what_if.report import figures
from pricing.desk.desk import Desk
from pricing.desk.scenarios import Quoting, added, listed, without
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS

ORDER = order_from_rows([HEADINGS, *ROWS])
OFFICE = Office(destinations=Destinations((Destination("Harbour Gallery", "US"),)))
HAND = """# by hand
[scenario.one-less]  # the large one
title = "One <less>"
order.without = ["A-02"]

[scenario."Wide sheets".shop.frame]
larger_by = "9 in"
"""


def begin(client: httpx.Client) -> int:
    job = int(client.post("/jobs", data={"name": "What if"}).headers["location"].split("/")[2])
    table = {"headings": HEADINGS, "rows": ROWS, "revision": 1}
    client.post(f"/jobs/{job}/artworks", json=table, headers={"accept": "application/json"})
    return job


def post(client: httpx.Client, path: str, **fields: Any) -> httpx.Response:
    return client.post(path, data={name: str(value) for name, value in fields.items()})


def quoted(client: httpx.Client, desk: Desk, job: int) -> str:
    """Quote the scenarios, wait until it is done, and return the page."""
    assert client.post(f"/jobs/{job}/what-if").status_code == 303
    end = time.monotonic() + 60.0
    while desk.searches.pending(job, "scenarios"):
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.02)
    return client.get(f"/jobs/{job}/what-if").text


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def test_the_page_shows_what_the_command_says(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    assert post(client, f"/jobs/{job}/what-if/text", scenarios=HAND, revision=2).status_code == 303
    before = client.get(f"/jobs/{job}/what-if").text
    assert "Quote them side by side" in before
    assert "One <less>" not in before
    page = quoted(client, desk, job)
    scenarios = scenarios_from(HAND.encode(), "s.toml", ORDER, Office())
    text = plain(page)
    effort = desk.floor.effort
    for answer in run_scenarios(ORDER, Office(), scenarios, on=DAY, search=Search(effort=effort)):
        assert answer.quote is not None
        assert f"{answer.title} {answer.quote.total:,.2f}" in text
        assert f"{figures(answer.quote)['hours']:,.2f}" in text
    assert "One &lt;less&gt;" in page
    # Nothing of it is in the job, and undo takes the scenarios themselves back.
    plain_quote = run_scenarios(ORDER, Office(), (), on=DAY, search=Search(effort=effort))[0]
    assert desk.sheaf(job).row.total == f"USD {plain_quote.total:,.2f}"
    post(client, f"/jobs/{job}/step", way="undo", revision=3)
    assert desk.sheaf(job).content.scenarios == ""
    assert "was changed after these were quoted" in plain(client.get(f"/jobs/{job}/what-if").text)


def test_a_form_adds_one_and_takes_one_out(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    fields = {"title": "Crated", "what1": "A-01", "how1": "battened", "what2": "frame.larger_by", "how2": "8 in"}
    assert post(client, f"/jobs/{job}/what-if/add", revision=2, **fields).status_code == 303
    assert listed(desk.sheaf(job).content.scenarios) == [("crated", "Crated")]
    assert "Take out Crated" in client.get(f"/jobs/{job}/what-if").text
    assert desk.store.documents.get(f"job:{job}").what == "[what-if] scenario added: Crated"
    refused = post(client, f"/jobs/{job}/what-if/remove", name="crated", revision=2)
    assert refused.status_code == 409
    assert post(client, f"/jobs/{job}/what-if/remove", name="crated", revision=3).status_code == 303
    assert desk.sheaf(job).content.scenarios == ""
    assert post(client, f"/jobs/{job}/what-if/remove", name="crated", revision=4).status_code == 404


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"title": "", "what1": "A-01", "how1": "closed"}, "a scenario needs a name"),
        ({"title": "X"}, "what differs"),
        ({"title": "X", "what1": "A-01", "how1": ""}, "what differs"),
        ({"title": "X", "what1": "A-77", "how1": "closed"}, "there is no piece, rule, stock or destination"),
        ({"title": "X", "what1": "A-01", "how1": "bag"}, "one of auto, carton"),
        ({"title": "X", "what1": "A-01", "how1": "1000"}, "1000"),
        ({"title": "X", "what1": "frame.larger_by", "how1": "wide"}, "Frame larger than the piece by"),
        ({"title": "X", "what1": "hour saw", "how1": "dear"}, "write an amount in USD, such as 58.00"),
        ({"title": "X", "what1": "hour saw", "how1": "1.234"}, "whole hundredths"),
    ],
)
def test_what_cannot_be_added_is_told_and_changes_nothing(
    client: httpx.Client, desk: Desk, fields: dict[str, str], said: str
) -> None:
    job = begin(client)
    headers = {"accept": "application/json"}
    answer = client.post(f"/jobs/{job}/what-if/add", data={**fields, "revision": "2"}, headers=headers)
    assert answer.status_code == 422
    assert said in answer.json()["message"]
    assert desk.sheaf(job).document.revision == 2


def test_text_with_faults_is_kept_as_typed_and_not_quoted(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    text = '[scenario.a]\norder.without = ["A-99"]\n</textarea><script>'
    kept = post(client, f"/jobs/{job}/what-if/text", scenarios=text, revision=2)
    assert kept.headers["location"] == f"/jobs/{job}/what-if/text"
    assert desk.sheaf(job).content.scenarios == text
    page = client.get(f"/jobs/{job}/what-if/text").text
    assert "not TOML" in page
    assert "</textarea><script>" not in page
    assert client.post(f"/jobs/{job}/what-if").status_code == 422
    mended = post(client, f"/jobs/{job}/what-if/text", scenarios='[scenario.a]\norder.without = ["A-99"]', revision=3)
    assert mended.status_code == 303
    assert "A-99" in plain(client.get(f"/jobs/{job}/what-if").text)
    assert post(client, f"/jobs/{job}/what-if/text", scenarios="#" * 60_001, revision=4).status_code == 422


def test_scenarios_leave_the_comparison_of_ways_as_it_is(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    key = desk.comparison_key(desk.sheaf(job))
    post(client, f"/jobs/{job}/what-if/add", title="Crated", what1="A-01", how1="battened", revision=2)
    assert desk.comparison_key(desk.sheaf(job)) == key


def test_a_job_without_a_quote_or_without_scenarios_says_so(client: httpx.Client) -> None:
    empty = int(client.post("/jobs", data={"name": "Empty"}).headers["location"].split("/")[2])
    assert "Nothing is entered yet." in client.get(f"/jobs/{empty}/what-if").text
    assert client.post(f"/jobs/{empty}/what-if").status_code == 422
    assert client.get(f"/jobs/{empty}/what-if/text").status_code == 200
    assert client.post(f"/jobs/{begin(client)}/what-if").status_code == 422


# -- the text ----------------------------------------------------------------------------------------------------------


def test_what_a_form_writes_reads_back() -> None:
    changes = [
        ("A-01", "0"),
        ("A-02", "3"),
        ("frame.larger_by", "7"),
        ("price.overhead", "20 %"),
        ("hour saw", "50"),
        ("Harbour Gallery", "van"),
    ]
    text = added(HAND, 'A "new" one', changes, ORDER, OFFICE)
    assert text.startswith(HAND.rstrip()), "what was written by hand stays as it is"
    found = {each.name: each for each in scenarios_from(text.encode(), "s.toml", ORDER, OFFICE)}["a-new-one"]
    assert found.title == 'A "new" one'
    assert [(each.piece, each.quantity) for each in found.order.artworks] == [("A-02", 3)]
    assert found.office.shop.frame.larger_by == 7 * INCH
    assert found.office.rates.price.overhead == Decimal("0.2")
    assert found.office.book.price("hour saw").price == Decimal(50)
    assert found.office.destinations.get("Harbour Gallery").profile == "van"


def test_two_of_one_name_are_told_apart() -> None:
    text = added("", "Same", [("A-01", "closed")], ORDER, OFFICE)
    text = added(text, "Same", [("A-01", "travel")], ORDER, OFFICE)
    assert listed(text) == [("same", "Same"), ("same-2", "Same")]
    assert listed(added("", "§", [("A-01", "closed")], ORDER, OFFICE)) == [("scenario", "§")]


def test_one_is_taken_out_and_the_others_keep_their_words() -> None:
    assert without(HAND, "one-less") == '# by hand\n[scenario."Wide sheets".shop.frame]\nlarger_by = "9 in"\n'
    assert listed(without(HAND, "Wide sheets")) == [("one-less", "One <less>")]
    assert "# the large one" in without(HAND, "Wide sheets")
    alone = '[scenario.a]\ntitle = "A"\n[[scenario.a.order.add]]\npiece = "N"\n'
    assert without(alone, "a") == ""
    with pytest.raises(LookupError):
        without(HAND, "other")
    with pytest.raises(ValueError, match="by hand"):
        without("[scenario]\na = {title = 'A'}\nb = {title = 'B'}\n", "a")
    assert tomllib.loads(HAND)["scenario"].keys() == {"one-less", "Wide sheets"}


def test_asked_to_stop_those_that_follow_stay_unquoted() -> None:
    stop, told = Stop(), []

    def report(stage: str, *_: object) -> None:
        told.append(stage)
        stop.asked = len(told) == 2

    found = Quoting(ORDER, Office(), HAND, DAY, 0).run(report, stop)
    assert told == ["0 of 3 done", "1 of 3 done"]
    assert [bool(each.figures) for each in found] == [True, True, False]
    assert found[2].refused == ("not quoted: it was ended early",)
