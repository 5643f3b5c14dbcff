"""What a total lacks, on the desk: in view with where it is mended, and nothing goes out without a word on it."""

import html
import json
import re
from dataclasses import replace
from typing import Any
from urllib.parse import unquote

import httpx
import pytest

from nesting.base.counts import plural
from nesting.base.version import made_by
from pricing.desk.desk import Desk
from pricing.desk.lacking import address, lacked, stamp, words_for
from pricing.output.outgoing import KINDS as PAPERS
from pricing.quoting.lacks import KINDS, Lack, Mend, graves
from pricing.store.quotes import Outgoing
from tests.pricing.desk.orders import HEADINGS, ROWS, looked_at, quick_quote

JSON = {"accept": "application/json"}
_LINK = re.compile(r'<a href="([^"]+)"[^>]*>([^<]*)</a>')


def begin(client: httpx.Client, rows: Any = ROWS) -> tuple[int, dict[str, Any]]:
    """Begin a job with rows; return its number and its slip."""
    job = int(client.post("/jobs", data={"name": "Spring show"}).headers["location"].split("/")[2])
    table = {"headings": HEADINGS, "rows": rows, "revision": 1}
    return job, client.post(f"/jobs/{job}/artworks", json=table, headers=JSON).json()["slip"]


def lacks_of(desk: Desk, job: int) -> tuple[Lack, ...]:
    answer = desk.sheaf(job).answer
    assert answer is not None
    return answer.quote.lacks


def part(page: str, start: str, end: str) -> str:
    """Return what stands between two marks of a page, as text."""
    return html.unescape(page.partition(start)[2].partition(end)[0])


def test_the_slip_shows_the_grave_ones_with_where_they_are_mended_and_counts_the_others(
    client: httpx.Client, desk: Desk
) -> None:
    client.post("/rules", data={"rule": "price.charge", "value": "bought", "revision": 0})
    job, slip = begin(client)
    lacks = lacks_of(desk, job)
    grave = graves(lacks)
    assert len(lacks) > len(grave), "more is bought than the job uses"
    assert [lack.kind for lack in grave] == ["freight", "insurance", "invented"]
    assert [each["text"] for each in slip["lacks"]] == [
        *(lack.text for lack in grave), plural(len(lacks) - len(grave), "more thing") + " to know",
    ]  # fmt: skip
    for path in ("artworks", "crates", "sheets", "money", "plan", "yard", "record", "ways", "what-if", "returns"):
        shown = _LINK.findall(part(client.get(f"/jobs/{job}/{path}").text, 'id="slip-lacks"', "</ul>"))
        assert shown == [(each["address"], each["text"]) for each in slip["lacks"]], path


def test_every_kind_leads_to_a_page_that_there_is_and_to_what_is_there(client: httpx.Client, desk: Desk) -> None:
    job, _ = begin(client)
    for mend in [*(kind.mend for kind in KINDS), *(lack.mend for lack in lacks_of(desk, job))]:
        path, _, at = address(mend, job).partition("#")
        page = client.get(path)
        assert page.status_code == 200, path
        for name in unquote(at).split(","):
            assert not at or f'id="{name}"' in html.unescape(page.text) or path.endswith("/artworks"), (path, name)


def test_a_place_and_a_price_are_led_to_by_their_row(client: httpx.Client, desk: Desk) -> None:
    client.post("/rules/place", data={"revision": "0", "old": "", "destination": "Hillside Gallery", "profile": "van"})
    job, _ = begin(client, [ROWS[1]])
    freight = next(lack for lack in lacks_of(desk, job) if lack.kind == "freight")
    assert address(freight.mend, job) == "/rules#place-Hillside_Gallery"
    assert 'id="place-Hillside_Gallery"' in client.get("/rules").text
    assert address(Mend("", "prices", "stock-ply-3/8 4x8"), job) == "/prices#stock-ply-3/8_4x8".replace("/8", "%2F8")
    assert 'id="stock-ply-3/8_4x8"' in client.get("/prices").text


def test_the_money_page_has_every_line_in_order(client: httpx.Client, desk: Desk) -> None:
    job, _ = begin(client)
    lacks = lacks_of(desk, job)
    page = part(client.get(f"/jobs/{job}/money").text, 'id="lacks"', "</details>")
    assert re.findall(r"<li[^>]*>(.*?) <span ", page) == [lack.line for lack in lacks]


def test_the_record_asks_for_a_word_on_each_that_is_grave(client: httpx.Client, desk: Desk) -> None:
    job, _ = begin(client)
    form = part(client.get(f"/jobs/{job}/record").text, 'class="sending"', "</form>")
    lacks = lacks_of(desk, job)
    assert [lack.line for lack in lacks if lack.line in form] == [lack.line for lack in lacks]
    assert re.findall(r'name="word-(\w+)" required', form) == [lack.kind for lack in graves(lacks)]
    assert f'name="seen" value="{stamp(lacks)}"' in form


@pytest.mark.parametrize("how", ["no look", "no words", "one word", "blank word", "long word", "another list"])
def test_nothing_is_frozen_without_a_look_and_a_word_on_each(client: httpx.Client, desk: Desk, how: str) -> None:
    job, _ = begin(client)
    lacks = graves(lacks_of(desk, job))
    whole = looked_at(desk, job)
    first = f"word-{lacks[0].kind}"
    fields: dict[str, str] = {
        "no look": {name: text for name, text in whole.items() if name != "seen"},
        "no words": {"seen": whole["seen"]},
        "one word": {"seen": whole["seen"], first: whole[first]},
        "blank word": whole | {first: "   "},
        "long word": whole | {first: "x" * 201},
        "another list": whole | {"seen": "0" * 16},
    }[how]
    answer = client.post(f"/jobs/{job}/send", data={"revision": "2", **fields})
    told = html.unescape(answer.text)
    assert answer.status_code == 422
    assert "Nothing was frozen" in told
    wanted = {"no words": lacks, "one word": lacks[1:], "blank word": lacks[:1], "long word": lacks[:1]}.get(how, ())
    assert [lack.text for lack in lacks if f"{lack.text}: found" in told] == [lack.text for lack in wanted]
    assert desk.store.quotes.of(job) == []
    assert desk.store.jobs.standings(job) == []


def test_a_list_that_changed_since_the_page_was_opened_is_looked_at_again(client: httpx.Client, desk: Desk) -> None:
    """The job stays at its revision when the price book changes under it; the list does not stay the same."""
    job, _ = begin(client)
    opened = looked_at(desk, job)
    stock = next(lack for lack in lacks_of(desk, job) if lack.kind == "invented").names[0]
    revision = desk.papers.document("prices").revision
    client.post("/prices/row", data={"stock": stock, "price": "77.00", "revision": str(revision)})
    answer = client.post(f"/jobs/{job}/send", data={"revision": "2", **opened})
    assert answer.status_code == 422
    assert "was not looked at as it is now" in answer.text
    assert client.post(f"/jobs/{job}/send", data={"revision": "2", **looked_at(desk, job)}).status_code == 303


def test_words_are_kept_with_what_was_sent_and_stand_on_its_page(client: httpx.Client, desk: Desk) -> None:
    job, _ = begin(client)
    lacks = lacks_of(desk, job)
    assert client.post(f"/jobs/{job}/send", data={"revision": "2", **looked_at(desk, job)}).status_code == 303
    (sent,) = desk.store.quotes.of(job)
    assert [each["line"] for each in lacked(sent)] == [lack.line for lack in lacks]
    page = html.unescape(client.get(f"/jobs/{job}/versions/1").text)
    for lack in lacks:
        assert lack.line in page
        assert (f"The client knows of it ({lack.kind})." in page) == lack.grave
    # The version's own files say the same of its total.
    found = client.get(f"/jobs/{job}/versions/1/files/quote.json").json()["lacks"]
    assert [each["line"] for each in found] == [lack.line for lack in lacks]


def test_a_quote_that_was_sent_before_words_were_asked_opens_without_them(client: httpx.Client, desk: Desk) -> None:
    job, _ = begin(client)
    client.post(f"/jobs/{job}/send", data={"revision": "2", **looked_at(desk, job)})
    (sent,) = desk.store.quotes.of(job)
    content, result = json.loads(sent.content), json.loads(sent.result)
    del content["words"], result["lacks"]
    for row in result["tables"]["notes"]:
        del row["mended in"]
    old = replace(sent, content=json.dumps(content), result=json.dumps(result))
    assert lacked(old) == []
    kept = {name: desk.store.sent_papers.get(job, 1, name) for name in PAPERS}
    fields = {name: getattr(old, name) for name in Outgoing.__slots__ if name != "papers"}
    desk.store.quotes.freeze(job, Outgoing(**fields, papers=kept), made_by())
    page = client.get(f"/jobs/{job}/versions/2")
    assert page.status_code == 200
    assert "What it lacked" not in page.text
    assert client.get(f"/jobs/{job}/versions/2/files/quote.xlsx").status_code == 200
    assert client.get(f"/jobs/{job}/record").status_code == 200


def test_a_total_that_lacks_nothing_goes_out_after_one_look() -> None:
    assert words_for((), {"seen": stamp(())}) == {}
    with pytest.raises(ValueError, match="Nothing was frozen"):
        words_for((), {})
    light = [replace(lack, grave=False) for lack in quick_quote().lacks]
    assert light
    assert stamp(light) == stamp(()), "cuts that a search betters meanwhile ask for no other look"
    assert words_for(light, {"seen": stamp(light)}) == {}
