"""Rates of other currencies on the desk: asked for where an offer wants one, typed with day and source, undone."""

import html
import re
from datetime import date
from decimal import Decimal

import httpx
import pytest

from pricing.desk.desk import Desk
from pricing.desk.lacking import address
from pricing.studio.offer_rules import Exchange, exchange_from
from tests.pricing.desk.orders import HEADINGS, ROWS
from tests.pricing.desk.test_parties import begin_with, keep, plain


def worth(client: httpx.Client, revision: int, **fields: str) -> httpx.Response:
    facts = {"currency": "jpy", "rate": "150.25", "day": "2026-11-27", "source": "our bank; noon", **fields}
    return client.post("/rules/currency", data={"revision": str(revision), **facts})


def test_a_rate_that_an_offer_wants_is_told_typed_and_shown(client: httpx.Client, desk: Desk) -> None:
    keep(client, 0, party="Bay Foundation", currency="JPY")
    job = begin_with(client, [[*HEADINGS, "buyer"], [*ROWS[0], "Bay Foundation"]])
    answer = desk.sheaf(job).answer
    assert answer is not None
    (lack,) = [each for each in answer.quote.lacks if each.kind == "currency"]
    assert lack.line == "the rate of 1 currency is not known: JPY (Bay Foundation reads its offer in USD alone)"
    path, _, at = address(lack.mend, job).partition("#")
    page = html.unescape(client.get(path).text)
    assert f'id="{at}"' in page
    assert re.search(r'name="currency"[^>]*value="JPY"', page)
    assert f'name="back" value="/jobs/{job}/money"' in page, "where the job's other lacks are seen"
    assert worth(client, 0, back=f"/jobs/{job}/money").headers["location"] == f"/jobs/{job}/money"
    typed = [Exchange("JPY", Decimal("150.25"), date(2026, 11, 27), "our bank, noon")]
    assert [*desk.papers.rates.currencies] == typed
    told = plain(client.get(f"/jobs/{job}/client").text)
    said = r"That is JPY [\d,]+ at 150\.25 JPY for 1 USD \(rate of 2026-11-27, our bank, noon\); rounded half up"
    assert re.search(said, told)
    assert worth(client, 0, rate="151").status_code == 409, "somebody else saved meanwhile"
    assert worth(client, 1, rate="", back="//elsewhere.example").headers["location"] == "/rules#currencies"
    assert not desk.papers.rates.currencies
    assert client.post("/rules/step", data={"way": "undo", "revision": "2", "paper": "rules"}).status_code == 303
    assert [*desk.papers.rates.currencies] == typed


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"rate": "much"}, "JPY: rate: found much; accepted: a number such as 0.9137"),
        ({"rate": "0"}, "rate: found 0; accepted: more than 0"),
        ({"rate": "NaN"}, "rate: found NaN; accepted: more than 0"),
        ({"day": ""}, "day: found nothing; accepted: a day such as 2026-03-14"),
        ({"currency": "¥"}, "accepted: three capital letters"),
        ({"currency": "usd"}, "USD: found the studio's own currency; accepted: another one"),
    ],
)
def test_what_is_no_rate_is_told_and_nothing_kept(
    client: httpx.Client, desk: Desk, fields: dict[str, str], told: str
) -> None:
    answer = worth(client, 0, **fields)
    assert answer.status_code == 422
    assert told in html.unescape(answer.text)
    assert not desk.papers.rates.currencies


def test_a_rate_in_a_line_is_read_back() -> None:
    for text in ("0.9137; 2026-11-27; our bank; noon", "150.25; 2026-11-27; "):
        assert exchange_from("EUR", text).text == text
