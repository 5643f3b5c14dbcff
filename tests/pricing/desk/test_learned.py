"""Learning on the desk: noted by operation, said of the rates, taken by hand, taken back; never by itself."""

import html
import json
import re
from dataclasses import replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.desk.studio import RULES
from pricing.output.tables import quote_document
from pricing.store.took import Noting
from tests.pricing.desk.orders import DAY, quick_quote
from tests.pricing.desk.test_pages import begin, post
from tests.pricing.store.outgoing import outgoing

HOURS = ("2.5", "4", "30")
"""Of three jobs, the last one wild."""


@pytest.fixture(scope="module")
def tables() -> dict[str, Any]:
    """Work one small quote; return its tables as they are kept."""
    made: dict[str, Any] = json.loads(json.dumps(quote_document(quick_quote())))
    return made


def done(desk: Desk, tables: dict[str, Any], hours: str, **noting: Any) -> int:
    """Put a job on the desk that was sent and delivered, with hours noted at its screws."""
    store = desk.store
    job = store.jobs.add(f"Job of {hours} h")
    store.quotes.freeze(job, replace(outgoing(), result=json.dumps(tables)), "test")
    store.jobs.stand(job, "delivered", DAY)
    store.took.add(job, Noting("hours", DAY, "", Decimal(hours), under="screw", **noting))
    return job


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def minutes(tables: dict[str, Any], hours: str) -> Decimal:
    """Return what a job says of a screw, worked out from the table alone."""
    (count,) = (row["count"] for row in tables["tables"]["labour"] if row["operation"] == "Screws driven")
    return rounded(Decimal(hours) * 60 / int(count))


def rounded(each: Decimal) -> Decimal:
    """Round minutes as they are written."""
    return each.quantize(Decimal("0.001" if each < 1 else "0.01"), rounding=ROUND_HALF_UP)


def test_three_jobs_suggest_the_middle_which_is_taken_and_taken_back(
    client: httpx.Client, desk: Desk, tables: dict[str, Any]
) -> None:
    jobs = [done(desk, tables, hours) for hours in HOURS[:2]]
    page = client.get("/learned").text
    assert "suggested from 3 jobs on" in plain(page)
    assert "Take it" not in page
    jobs.append(done(desk, tables, HOURS[2]))
    desk.store.jobs.archive(jobs[0])
    page = client.get("/learned").text
    wanted = minutes(tables, "4")
    for job, hours in zip(jobs, HOURS, strict=True):
        assert f'href="/jobs/{job}/record#took">Job of {hours} h</a>: {minutes(tables, hours)}' in page
    assert f"Take it: Screws driven, {wanted} min" in page
    assert "All together lies far off: look at them." in page
    before = desk.papers.rates
    assert desk.papers.document(RULES).revision == 0, "a look changes nothing"
    fields = {"key": "labour.screw", "value": str(wanted), "revision": "0"}
    assert client.post("/learned", data={**fields, "value": "9"}).status_code == 422
    assert client.post("/learned", data={**fields, "key": "labour.rip"}).status_code == 404
    assert client.post("/learned", data=fields).status_code == 303
    assert desk.papers.rates == replace(before, labour=replace(before.labour, screw=wanted)), "this one rate alone"
    assert client.post("/learned", data=fields).status_code == 409, "somebody else saved meanwhile"
    page = client.get("/learned").text
    assert "as it stands" in plain(page)
    assert f"Take back: Screws driven: {before.labour.screw} to {wanted}, from 3 jobs, on Learnt from jobs" in plain(
        page
    )
    assert client.post("/learned/step", data={"way": "undo", "revision": "1"}).headers["location"] == "/learned"
    assert desk.papers.rates == before


def test_a_room_is_taken_as_one_change(client: httpx.Client, desk: Desk, tables: dict[str, Any]) -> None:
    for hours in HOURS:
        job = done(desk, tables, hours)
        (entry,) = desk.store.took.of(job)
        post(client, f"/jobs/{job}/took/put", entry=entry.id, under="bench")
    before = desk.papers.rates.labour
    bench = {"mark_out", "hole", "screw", "staple", "bolt", "fitting", "glue_run", "assembly", "seal"}
    page = client.get("/learned").text
    value = re.search(r'name="key" value="bench"><input type="hidden" name="value" value="([\d.]+)"', page)
    assert value is not None
    assert client.post("/learned", data={"key": "bench", "value": value[1], "revision": "0"}).status_code == 303
    now = desk.papers.rates.labour
    for name in before.__slots__:
        old, new = getattr(before, name), getattr(now, name)
        if name in bench and old:
            assert abs(new - old * Decimal(value[1])) <= Decimal("0.005")
            assert new != old
        else:
            assert new == old, name
    client.post("/learned/step", data={"way": "undo", "revision": "1"})
    assert desk.papers.rates.labour == before


def test_what_does_not_count_is_told(client: httpx.Client, desk: Desk, tables: dict[str, Any]) -> None:
    late, sent, never = done(desk, tables, "1"), done(desk, tables, "2"), desk.store.jobs.add("Never sent")
    desk.store.jobs.strike(late, desk.store.jobs.standings(late)[0].id)
    desk.store.took.add(sent, Noting("hours", DAY, "whole day", Decimal(8)))
    desk.store.took.add(never, Noting("hours", DAY, "", Decimal(8), under="saw"))
    desk.store.jobs.stand(never, "delivered", DAY)
    page = plain(client.get("/learned").text)
    assert "Job of 1 h : not delivered yet." in page
    assert "Never sent : no quote of it was sent or pinned." in page
    assert "Job of 2 h : 8 h under Other work: no operation is named." in page
    assert "What 1 finished job took" in page


def test_the_page_of_an_empty_desk_says_what_to_do(client: httpx.Client) -> None:
    page = plain(client.get("/learned").text)
    assert "Nothing is learnt yet. Note hours and receipts on the record of a job" in page


def test_the_record_shows_reckoned_and_noted_side_by_side(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    answer = desk.sheaf(job).answer
    assert answer is not None
    quote = answer.quote
    screws = next(row for row in quote.labour if row.operation == "screw")
    ply = next(row for row in quote.takeoff.rows if row.form == "sheet")
    post(client, f"/jobs/{job}/took", kind="hours", amount="1.5", under="screw")
    post(client, f"/jobs/{job}/took", kind="hours", amount="2", what="by hand, all of it")
    post(client, f"/jobs/{job}/took", kind="receipt", amount="80.00", what="Carrier", under="freight")
    post(
        client, f"/jobs/{job}/took", kind="receipt", amount="200.00", what="Yard", under="sheets", stock=ply.stock,
        bought=str(ply.net * 2), left="0",
    )  # fmt: skip
    page = client.get(f"/jobs/{job}/record").text
    text = plain(page)
    took = rounded(Decimal(90) / screws.count)
    assert f"Screws driven {round(screws.hours, 2)} h 1.5 h {screws.minutes} {took}" in text
    assert "Other work 2 h" in text
    assert "Freight USD 80.00" in text
    assert f"Materials bought, freight apart USD {quote.takeoff.bought_amount:,} USD 200.00" in text
    assert f"{ply.stock} {round(ply.net, 2)}" in text
    assert "100 %" in text
    assert "(typed: by hand, all of it)" in text
    other = next(each for each in desk.store.took.of(job) if each.under == "other")
    assert re.search(rf'id="noted-{other.id}">.*?<details class="screen elsewhere" open>', page, re.DOTALL)
    post(client, f"/jobs/{job}/took/put", entry=other.id, under="assembly")
    assert "2 h, Frames, faces and cases assembled (typed: by hand, all of it)" in plain(
        client.get(f"/jobs/{job}/record").text
    )


@pytest.mark.parametrize(
    "bad",
    [
        {"kind": "hours", "amount": "0", "under": "screw"},
        {"kind": "hours", "amount": "2", "under": "juggling"},
        {"kind": "receipt", "amount": "2", "what": "Yard", "under": "screw"},
        {"kind": "receipt", "amount": "2", "what": "Yard", "stock": "marble 4x8", "bought": "1"},
        {"kind": "receipt", "amount": "2", "what": "Yard", "stock": "ply-3/8 4x8"},
        {"kind": "receipt", "amount": "2", "what": "Yard", "stock": "ply-3/8 4x8", "bought": "1", "left": "2"},
        {"kind": "receipt", "amount": "2", "what": "Yard", "stock": "ply-3/8 4x8", "bought": "1", "left": "-1"},
        {"kind": "receipt", "amount": "2", "what": "Yard", "on": "yesterday"},
    ],
)
def test_what_cannot_be_noted_is_told_and_nothing_is(client: httpx.Client, desk: Desk, bad: dict[str, str]) -> None:
    job = desk.store.jobs.add("Spring show")
    assert post(client, f"/jobs/{job}/took", **bad).status_code == 422
    assert desk.store.took.of(job) == []


def test_an_entry_that_is_not_there_is_not_put_elsewhere(client: httpx.Client, desk: Desk) -> None:
    job = desk.store.jobs.add("Spring show")
    entry = desk.store.took.add(job, Noting("hours", date(2026, 11, 1), "", Decimal(1)))
    assert post(client, f"/jobs/{job}/took/put", entry=entry + 1, under="saw").status_code == 404
    assert post(client, f"/jobs/{job}/took/put", entry=entry, under="sheets").status_code == 422
    assert desk.store.took.of(job)[0].under == "other"
