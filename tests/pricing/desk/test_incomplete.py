"""An incomplete total on the desk: the word beside it on every page, in the list of jobs and in what was sent."""

import html
import json
import re
from dataclasses import replace
from decimal import Decimal
from typing import Any

import httpx
import pytest

from nesting.base.progress import silent
from nesting.base.stop import Stop
from nesting.intake import order_from_rows
from pricing.desk.desk import Desk
from pricing.desk.frozen import outgoing, thaw
from pricing.desk.lacking import incomplete_of, incomplete_sent
from pricing.desk.scenarios import Quoting, Weighing
from pricing.desk.slip import compare
from pricing.desk.studio import for_job
from pricing.desk.ways import Compared, Comparing, Wish
from pricing.output.tables import quote_document
from pricing.quoting.quote import Quote
from pricing.store.quotes import SentQuote
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS, looked_at

JSON = {"accept": "application/json"}
FAR = "Harbour Gallery"
LACK = f"incomplete: no freight to {FAR}"
YES_NO = dict.fromkeys(("dock", "forklift", "residential", "inside"), "no")


def place(client: httpx.Client, revision: int, distance: str = "") -> None:
    """Enter the one place: a van goes there, and how far it is may be left out."""
    fields = {"destination": FAR, "country": "US", "profile": "van", "distance": distance, **YES_NO}
    old = FAR if revision else ""
    assert client.post("/rules/place", data={**fields, "old": old, "revision": str(revision)}).status_code == 303


@pytest.fixture
def job(client: httpx.Client) -> int:
    """Begin a job of two pieces, of which the first goes to a place that nobody knows the way to."""
    place(client, 0)
    number = int(client.post("/jobs", data={"name": "Spring show"}).headers["location"].split("/")[2])
    save(client, number, ROWS, 1)
    return number


def save(client: httpx.Client, job: int, rows: Any, revision: int) -> dict[str, Any]:
    table = {"headings": HEADINGS, "rows": rows, "revision": revision}
    slip: dict[str, Any] = client.post(f"/jobs/{job}/artworks", json=table, headers=JSON).json()["slip"]
    return slip


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def priced(desk: Desk, job: int) -> Quote:
    answer = desk.sheaf(job).answer
    assert answer is not None
    return answer.quote


def test_the_word_stands_beside_the_total_of_every_page_and_goes_when_it_is_mended(
    client: httpx.Client, job: int
) -> None:
    for path in ("artworks", "crates", "sheets", "money", "plan", "yard", "record", "ways", "what-if", "returns"):
        page = client.get(f"/jobs/{job}/{path}").text
        assert f'id="slip-without">{LACK}</p>' in page, path
    assert "USD" in plain(client.get("/").text)
    assert re.search(r"USD [\d,.]+, incomplete", plain(client.get("/").text))
    place(client, 1, "40 km")
    slip = save(client, job, [*ROWS, ["A-03", "", "20", "20", "1", "6 lb", "auto", FAR]], 2)
    assert slip["without"] == ""
    assert 'id="slip-without"></p>' in client.get(f"/jobs/{job}/money").text
    assert "incomplete" not in plain(client.get("/").text)


def test_the_page_of_money_says_of_what_it_is_true(client: httpx.Client, desk: Desk, job: int) -> None:
    text = plain(client.get(f"/jobs/{job}/money").text)
    assert "Freight (estimate), incomplete as the shipments say, unmarked 0.00" in text
    assert f"Total, USD, {LACK} {priced(desk, job).total:,.2f}" in text
    assert f"All together, {LACK}" in text
    assert re.search(r"A-01 First K\d+ incomplete", text)
    assert not re.search(r"A-02 Second K\d+ incomplete", text)
    assert re.search(r"\(incomplete\) no distance", text)


def test_a_figure_that_is_incomplete_is_compared_with_no_other(client: httpx.Client, desk: Desk, job: int) -> None:
    far = priced(desk, job)
    place(client, 1, "40 km")
    near = priced(desk, job)
    rows = {row.label: row for row in compare(far, near, "A-01")}
    assert rows["Total"].now.endswith(f", {LACK}")
    assert LACK not in rows["Total"].then
    assert rows["Total"].difference == rows["A-01 bears"].difference == "do not compare"
    assert rows["A-01 bears"].now.endswith(f", {LACK}")
    other = {row.label: row for row in compare(far, near, "A-02")}
    assert other["A-02 bears"].difference != "do not compare", "its own share lacks nothing"
    assert {row.label: row for row in compare(near, near)}["Total"].difference != "do not compare"


def test_a_sent_quote_keeps_the_word_and_versions_tell_no_difference_of_it(
    client: httpx.Client, desk: Desk, job: int
) -> None:
    assert (
        client.post(f"/jobs/{job}/send", data={**looked_at(desk, job), "revision": "2", "version": "1"}).status_code
        == 303
    )
    (sent,) = desk.store.quotes.of(job)
    assert incomplete_sent(sent) == LACK
    record = plain(client.get(f"/jobs/{job}/record").text)
    assert f"{sent.total:,.2f} {LACK}" in record
    version = plain(client.get(f"/jobs/{job}/versions/1").text)
    assert f"as it was sent: USD {sent.total:,.2f}, {LACK} ." in version
    place(client, 1, "40 km")
    record = plain(client.get(f"/jobs/{job}/record").text)
    assert "Now, against version 1 The totals do not compare: one is incomplete." in record
    revision = desk.store.documents.get(f"job:{job}").revision
    again = {**looked_at(desk, job), "revision": str(revision), "version": "2"}
    assert client.post(f"/jobs/{job}/send", data=again).status_code == 303
    assert "does not compare since version 1" in plain(client.get(f"/jobs/{job}/record").text)


def test_what_was_sent_before_there_was_the_word_is_read_with_it(desk: Desk, job: int) -> None:
    """Its table of freight says what was to be charged and was refused; its figures are worked through as ever."""
    quote = priced(desk, job)
    document = quote_document(quote)
    del document["incomplete"]
    tables = document["tables"]
    tables["totals"] = [
        {**row, "step": row["step"].removesuffix(", incomplete")}
        for row in tables["totals"] if not row["step"].startswith("Total, ")
    ]  # fmt: skip
    for row in tables["freight"]:
        row["standing"] = "charged" if row["standing"] == "incomplete" else row["standing"]
    for name in ("shares", "sales"):
        tables[name] = [{key: cell for key, cell in row.items() if key != "incomplete"} for row in tables[name]]
    assert incomplete_of(document) == (f"no freight to {FAR}",)
    sheaf = desk.sheaf(job)
    office = for_job(desk.papers.office(job), sheaf.content)
    out = outgoing("Spring show", sheaf.content, quote, office, {})
    old = replace(out, result=json.dumps(document))
    sent = SentQuote(
        job, 1, old.number, DAY, old.total, old.currency, old.content, old.office, old.plans, old.result, ""
    )
    assert thaw(sent).total == quote.total
    assert incomplete_sent(sent) == LACK


def test_scenarios_and_ways_show_the_word_and_no_difference(client: httpx.Client, desk: Desk, job: int) -> None:
    sheaf, order = desk.sheaf(job), order_from_rows([HEADINGS, *ROWS])
    office = for_job(desk.papers.office(job), sheaf.content)
    text = f'[scenario.collected]\ndestinations."{FAR}".profile = "collect"\n'
    found = Quoting(order, office, text, DAY, 0).run(silent, Stop())
    assert [(each.without, each.compares_with(found[0])) for each in found] == [(LACK, False), ("", False)]
    desk.weighings.keep(job, Weighing("before", found, stopped=False))
    rows = re.findall(r"<tr[^>]*><th scope=\"row\">(.*?)</th>\s*<td>(.*?)</td><td>(.*?)</td>",
                      client.get(f"/jobs/{job}/what-if").text, re.DOTALL)  # fmt: skip
    assert [(name, LACK in total, difference) for name, total, difference in rows] == [
        ("as it is", True, ""), ("collected", False, ""),
    ]  # fmt: skip
    wish = Wish()
    made = Comparing(order, office, DAY, 0, wish).run(silent, Stop())
    desk.comparisons.keep(job, Compared(desk.comparison_key(sheaf), sheaf.content, wish, made, stopped=False))
    page = plain(client.get(f"/jobs/{job}/ways").text)
    assert f"As packed now {made.comparison.now.total:,.2f} {LACK}" in page
    assert "These totals do not compare" in page
    assert "It saves" not in page
    assert "Combination found that lacks least" in page
    assert Decimal(0) == made.saving
