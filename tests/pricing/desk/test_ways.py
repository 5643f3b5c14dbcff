"""Ways to pack on the desk: the same figures as the command, taken as one change, ended by changes and by the word."""

import html
import json
import re
import time
from collections.abc import Sequence
from dataclasses import replace

import httpx
import pytest

from nesting.base.stop import Stop
from nesting.intake import order_from_rows
from pricing.ahead.methods import Combination, Outcome, Pricer, combine
from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.desk.ways import Compared, Comparing, Lately, Wish, prices_at_most
from pricing.studio.office import Office
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS, twelve

SALE = (
    ("S-01", "Low <b>Tide</b>", "30", "30", "1 1/2", "18 lb", "auto", "Private buyer"),
    ('S-"02', "Small Shallows", "10", "10", "1 1/2", "2.5 lb", "auto", "Private buyer"),
)
"""A piece the rules pack in no carton, and a small one whose carton is dear, with what must not be taken for markup."""
RATES = Office().rates
BOUGHT = Office(rates=replace(RATES, price=replace(RATES.price, charge="bought")))
"""A studio that charges whole rolls and boxes, so that the small piece's carton costs more than a crate."""


def begin(client: httpx.Client, rows: Sequence[Sequence[str]] = SALE) -> int:
    client.post("/rules", data={"rule": "price.charge", "value": "bought", "revision": 0})
    job = int(client.post("/jobs", data={"name": "Ways"}).headers["location"].split("/")[2])
    table = {"headings": HEADINGS, "rows": rows, "revision": 1}
    assert client.post(f"/jobs/{job}/artworks", json=table, headers={"accept": "application/json"}).status_code == 200
    return job


def compare(client: httpx.Client, desk: Desk, job: int, **fields: str) -> str:
    """Compare, wait until it is done, and return the page."""
    assert client.post(f"/jobs/{job}/ways", data=fields).status_code == 303
    end = time.monotonic() + 60.0
    while desk.searches.pending(job, "ways"):
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.02)
    return client.get(f"/jobs/{job}/ways").text


def sent(page: str) -> list[dict[str, str]]:
    """Return what the buttons of a page send, in their order."""
    return [json.loads(html.unescape(text)) for text in re.findall(r'name="methods" value="([^"]*)"', page)]


def plain(page: str) -> str:
    """Return a page's words."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def revision(desk: Desk, job: int) -> int:
    return desk.store.documents.get(f"job:{job}").revision


def methods(desk: Desk, job: int) -> list[str]:
    order = desk.sheaf(job).reading.order
    assert order is not None
    return [artwork.method for artwork in order.artworks]


def test_the_page_shows_what_the_command_says(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    before = client.get(f"/jobs/{job}/ways").text
    assert "Compare all ways" in before
    assert sent(before) == []
    page = compare(client, desk, job)
    found = combine(Pricer(order_from_rows([HEADINGS, *SALE]), BOUGHT, DAY))
    text = plain(page)
    for unit, rows in zip(found.comparison.units, found.comparison.rows, strict=True):
        assert f"Ways to pack {unit.name}" in html.unescape(page)
        for row in rows:
            if row.bearing is not None:
                for figure in (row.bearing.cost, row.bearing.a_trip, row.bearing.hours):
                    assert f"{figure:,.2f}" in text
                for cover in row.bearing.handling.covers:
                    assert cover.sentence() in text
                assert row.bearing.handling.hands("inch") in text
    assert "speaks against it the shop's rules: 30 in and 18 lb: over a carton, up to 48 in" in text
    assert "travel frame : cannot be made: a travel frame for a piece 10 wide and 10 in high" in text
    assert f"It saves USD {found.saving:,.2f} against how the job is packed now" in text
    assert f"{found.evaluations} whole orders priced; every combination was." in text
    assert sent(page)[0] == {'S-"02': "closed"}
    assert found.changed == (('S-"02', "carton", "closed"),)


def test_what_was_typed_is_escaped(client: httpx.Client, desk: Desk) -> None:
    page = compare(client, desk, begin(client))
    assert "<b>Tide" not in page
    assert "Low &lt;b&gt;Tide" in page


def test_the_combination_is_one_change_and_undo_takes_it_back(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    page = compare(client, desk, job)
    total = desk.sheaf(job).row.total
    taken = client.post(f"/jobs/{job}/ways/use", data={"methods": json.dumps(sent(page)[0]), "revision": "2"})
    assert taken.headers["location"] == f"/jobs/{job}/ways"
    assert methods(desk, job) == ["auto", "closed"]
    assert desk.store.documents.get(f"job:{job}").what == '[ways] S-"02 as closed crate'
    made = desk.comparisons.of(job, "")
    assert made is not None
    assert desk.sheaf(job).row.total == f"USD {made.found.best.total:,.2f}" != total
    after = plain(client.get(f"/jobs/{job}/ways").text)
    assert "was changed after this was compared" in after
    assert "The job is packed so now." in after
    assert "Use this combination" not in after
    client.post(f"/jobs/{job}/step", data={"way": "undo", "revision": "3"})
    assert methods(desk, job) == ["auto", "auto"]
    again = plain(client.get(f"/jobs/{job}/ways").text)
    assert "was changed after this was compared" not in again
    assert "Use this combination" in again


def test_one_way_for_one_piece(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    page = compare(client, desk, job)
    buttons = dict(zip(re.findall(r'aria-label="(Use this way: [^"]*)"', html.unescape(page.replace("&#34;", "'"))),
                       sent(page)[1:], strict=True))  # fmt: skip
    assert buttons == {
        "Use this way: S-01 as carton": {"S-01": "carton"},  # the rules speak against it: a person may still take it
        "Use this way: S-01 as battened crate": {"S-01": "battened"},
        "Use this way: S-01 as travel frame": {"S-01": "travel"},
        "Use this way: S-'02 as closed crate": {'S-"02': "closed"},
        "Use this way: S-'02 as battened crate": {'S-"02': "battened"},
    }
    taken = client.post(f"/jobs/{job}/ways/use", data={"methods": '{"S-01": "battened"}', "revision": "2", "at": "1"})
    assert taken.headers["location"] == f"/jobs/{job}/ways#way-1", "the page stays at the piece"
    assert methods(desk, job) == ["battened", "auto"]
    page = client.get(f"/jobs/{job}/ways").text
    assert {"S-01": "closed"} in sent(page), "the way that it had is open to it again"
    assert {"S-01": "battened"} not in sent(page)


def test_a_long_job_shows_its_first_pieces_until_all_are_asked_for(
    client: httpx.Client, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pricing.desk.pages.ways._AT_ONCE", 1)
    job = begin(client)
    page = compare(client, desk, job)
    assert "Show 1 piece more" in page
    assert "Ways to pack S-01" in page
    assert "Ways to pack S-&#34;02" not in page
    assert "Ways to pack S-&#34;02" in client.get(f"/jobs/{job}/ways?all=1").text


def test_a_set_is_packed_as_one(client: httpx.Client, desk: Desk) -> None:
    headings = (*HEADINGS, "set")
    rows = [(*ROWS[0], "Pair"), ("A-02", "Other", *ROWS[0][2:], "Pair")]
    job = int(client.post("/jobs", data={"name": "Set"}).headers["location"].split("/")[2])
    table = {"headings": headings, "rows": rows, "revision": 1}
    client.post(f"/jobs/{job}/artworks", json=table, headers={"accept": "application/json"})
    page = compare(client, desk, job)
    ways = [each for each in sent(page) if "A-01" in each]
    assert ways
    assert all(each["A-01"] == each["A-02"] for each in ways)
    client.post(f"/jobs/{job}/ways/use", data={"methods": json.dumps(ways[-1]), "revision": "2"})
    assert methods(desk, job) == [ways[-1]["A-01"]] * 2


def test_an_old_page_is_offered_both(client: httpx.Client, desk: Desk) -> None:
    job = begin(client)
    wish = {"methods": '{"S-01": "battened"}', "revision": "2"}
    client.post(f"/jobs/{job}/rate", data={"rule": "price.overhead", "value": "0.2", "revision": "2"})
    refused = client.post(f"/jobs/{job}/ways/use", data=wish)
    assert refused.status_code == 409
    assert "S-01 as battened crate" in refused.text
    assert methods(desk, job) == ["auto", "auto"]
    assert sent(refused.text) == [{"S-01": "battened"}]
    assert client.post(f"/jobs/{job}/ways/use", data={**wish, "revision": "3"}).status_code == 303
    assert methods(desk, job) == ["battened", "auto"]


def test_what_the_table_asks_for_stays_unless_it_is_freed(client: httpx.Client, desk: Desk) -> None:
    job = begin(client, [SALE[0], (*SALE[1][:6], "carton", SALE[1][7])])
    assert "Nothing to change" in plain(compare(client, desk, job))
    page = compare(client, desk, job, free="yes", by="trip")
    assert "a trip against how the job is packed now" in plain(page)
    assert sent(page)[0]['S-"02'] in ("closed", "battened")
    made = desk.comparisons.of(job, "")
    assert made is not None
    assert made.wish == Wish("trip", free=True)


@pytest.mark.parametrize(
    ("path", "fields", "status"),
    [
        ("ways/use", {"methods": "", "revision": "2"}, 422),
        ("ways/use", {"methods": "[]", "revision": "2"}, 422),
        ("ways/use", {"methods": "{}", "revision": "2"}, 422),
        ("ways/use", {"methods": "[" * 100_000, "revision": "2"}, 422),
        ("ways/use", {"methods": '{"S-01": "bag"}', "revision": "2"}, 422),
        ("ways/use", {"methods": '{"S-01": ["carton"]}', "revision": "2"}, 422),
        ("ways/use", {"methods": '{"S-77": "carton"}', "revision": "2"}, 404),
        ("ways/use", {"methods": '{"S-01": "carton"}', "revision": "two"}, 422),
        ("ways", {"by": "weight"}, 422),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(
    client: httpx.Client, desk: Desk, path: str, fields: dict[str, str], status: int
) -> None:
    job = begin(client)
    answer = client.post(f"/jobs/{job}/{path}", data=fields, headers={"accept": "application/json"})
    assert answer.status_code == status
    assert answer.json()["message"]
    assert (methods(desk, job), revision(desk, job)) == (["auto", "auto"], 2)


def test_a_table_with_faults_is_not_compared(client: httpx.Client, desk: Desk) -> None:
    job = begin(client, [("S-01", "", "wide", "30", "1", "", "", "")])
    assert "To mend before there is a price" in client.get(f"/jobs/{job}/ways").text
    assert client.post(f"/jobs/{job}/ways").status_code == 422
    assert desk.searches.pending(job, "ways") is None


def test_a_change_ends_the_comparison_of_what_was(client: httpx.Client, desk: Desk) -> None:
    job = begin(client, twelve())
    client.post(f"/jobs/{job}/ways")
    search = desk.searches.pending(job, "ways")
    assert search is not None
    assert "The ways are being compared" in client.get(f"/jobs/{job}/ways").text
    client.post(f"/jobs/{job}/rate", data={"rule": "price.overhead", "value": "0.2", "revision": "2"})
    assert desk.searches.pending(job, "ways") is None
    end = time.monotonic() + 30.0
    while not search.over:
        assert time.monotonic() < end, "it goes on"
        time.sleep(0.02)
    assert search.state == "stopped"


def test_the_word_stops_it_and_what_was_compared_is_kept(client: httpx.Client, desk: Desk) -> None:
    job = begin(client, twelve())
    told = client.post(f"/jobs/{job}/ways", headers={"accept": "application/json"}).json()
    assert told["search"]["state"] in ("waiting", "running")
    search = desk.searches.pending(job, "ways")
    assert search is not None
    end = time.monotonic() + 60.0
    while "whole orders priced" not in search.text:
        assert time.monotonic() < end, "it does not begin"
        time.sleep(0.02)
    client.post(f"/jobs/{job}/stop")
    while not search.over:
        assert time.monotonic() < end, "it does not stop"
        time.sleep(0.02)
    assert search.news.startswith("Stopped; what was compared is kept.")
    page = plain(client.get(f"/jobs/{job}/ways").text)
    assert "It was stopped early" in page
    assert "not priced: the comparison was ended early." in page


# -- without a desk ----------------------------------------------------------------------------------------------------


def comparing(rows: Sequence[Sequence[str]] = SALE) -> Comparing:
    return Comparing(order_from_rows([HEADINGS, *rows]), BOUGHT, DAY, 0, Wish())


def test_progress_rises_and_names_its_limit() -> None:
    told: list[tuple[str, float]] = []
    work = comparing()
    work.run(lambda stage, fraction, *_: told.append((stage, fraction)), Stop())
    most = prices_at_most(work.order, work.office.shop)
    assert told[0] == (f"2 whole orders priced, {most} at most", 2 / most)
    assert [fraction for _, fraction in told] == sorted(fraction for _, fraction in told)
    assert told[-1][1] <= 1.0


def test_asked_to_stop_at_once_the_order_as_it_is_remains() -> None:
    stop = Stop()
    stop.asked = True
    found = comparing().run(lambda *_: None, stop)
    assert isinstance(found.best, Outcome)
    assert found.best == found.comparison.now
    assert not found.complete


def compared(key: str) -> Compared:
    found: Combination = comparing(SALE[:1]).run(lambda *_: None, Stop())
    return Compared(key, Content(), Wish(), found, stopped=False)


def test_comparisons_are_found_by_what_they_are_of_and_the_oldest_are_forgotten() -> None:
    kept: Lately[Compared] = Lately()
    one = compared("one")
    assert kept.of(1, "one") is None
    kept.forget()
    assert kept.of(3, "39") is None
    kept.keep(1, one)
    kept.keep(1, replace(one, key="two"))
    kept.keep(2, replace(one, key="other"))
    assert kept.of(1, "one") is one
    latest = kept.of(1, "three")
    assert latest is not None
    assert latest.key == "two"
    for number in range(40):
        kept.keep(3, replace(one, key=f"{number}"))
    assert kept.of(1, "one") is None
    kept.forget()
    assert kept.of(3, "39") is None
