"""A quote as it is sent: frozen with all that it rests on, worked through again later, and told apart from others."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from nesting.order import Order
from pricing.desk.content import CellChange, Content, changes, content_from
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.studio import for_job
from pricing.desk.table import read
from pricing.output.tables import quote_document
from pricing.quoting.plans import priced, with_plans
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.store import StoreError
from pricing.store.codec import decode, encode
from pricing.store.plans import plan_from, plan_text
from pricing.store.quotes import SentQuote
from pricing.studio.office import Office


def freeze(desk: Desk, sheaf: Sheaf, words: Mapping[str, str]) -> SentQuote:
    """Freeze a job's quote as its next version, with the words it goes out with in spite of what it lacks.

    Raises
    ------
    StoreError
        When there is no quote yet.
    """
    if sheaf.answer is None:
        raise StoreError("there is no price yet; mend the table first")
    quote = sheaf.answer.quote
    office = for_job(desk.papers.office(sheaf.row.id), sheaf.content)
    plans = [plan_text(plan) for plan in quote.build.layouts] + [plan_text(plan) for plan in quote.build.stick_plans]
    return desk.store.quotes.freeze(
        sheaf.row.id, number=quote.number, sent_on=quote.on, total=quote.total, currency=quote.currency,
        content=json.dumps({"name": sheaf.row.name, "content": json.loads(sheaf.content.text()), "words": words}),
        office=json.dumps(encode(office)), plans=json.dumps(plans), result=json.dumps(quote_document(quote)),
    )  # fmt: skip


def content_of(sent: SentQuote) -> Content:
    """Return what was entered when a quote was sent."""
    return content_from(json.dumps(json.loads(sent.content)["content"]))


def thaw(sent: SentQuote) -> Quote:
    """Work a sent quote through again from what was frozen with it, for drawings and workbook.

    Raises
    ------
    StoreError
        When this version of the program comes to another total; the figures that were kept stand.
    """
    order: Order | None = read(content_of(sent), json.loads(sent.content)["name"]).order
    if order is None:
        raise StoreError("the table of that quote cannot be read by this version of the program")
    office: Office = decode(Office, json.loads(sent.office))
    quick = work(order, office, on=sent.sent_on, effort="quick", number=sent.number)
    plans = {plan.good: plan for plan in map(plan_from, json.loads(sent.plans))}
    quote = priced(quick, with_plans(quick.build, plans))
    if quote.total != sent.total:
        raise StoreError(
            f"this version of the program comes to {quote.total} for the quote that was sent with {sent.total}; "
            "what was sent stands, as its tables show it"
        )
    return quote


@dataclass(frozen=True)
class Difference:
    """What changed from one quote to a later one.

    Attributes
    ----------
    entries : list of CellChange
        In the table and the job's own settings.
    prices : list of CellChange
        Prices that both used, before and after.
    total : Decimal
        The later total less the earlier.
    """

    entries: list[CellChange]
    prices: list[CellChange]
    total: Decimal


def difference(before: SentQuote, content: Content, document: dict[str, Any], total: Decimal) -> Difference:
    """Compare a sent quote with a later state of its job."""
    old, new = (_prices(each) for each in (json.loads(before.result), document))
    prices = [
        CellChange(0, stock, old[stock], new[stock]) for stock in old if stock in new and old[stock] != new[stock]
    ]
    sent, now = (replace(each, photos={}) for each in (content_of(before), content))
    return Difference(changes(sent, now), prices, total - before.total)


def _prices(document: dict[str, Any]) -> dict[str, str]:
    return {row["stock"]: f"{row['price']} {row['price breaks']}".strip() for row in document["tables"]["prices"]}
