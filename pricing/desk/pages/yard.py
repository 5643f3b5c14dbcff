"""Yard: the buying list to tick off on a phone, and what to do when the yard has none of something."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.pages.common import asked, change_job, job_page
from pricing.desk.pages.crates import Trial, tried_out
from pricing.desk.pins import bought_before
from pricing.desk.studio import alternatives
from pricing.output.tables import buying
from pricing.quoting.quote import Quote
from pricing.studio.pricebook import MOST_UNITS


def shown(call: Call[Desk]) -> Response:
    """Show the list."""
    sheaf = asked(call)
    if sheaf.answer is None:
        return job_page(call, "yard.html", "yard", sheaf, quote=None, trial=_trial(call, sheaf))
    quote = sheaf.answer.quote
    rows = buying(quote)
    fetched = _fetched(call, quote)
    suppliers: dict[str, list[Any]] = {}
    for row in rows:
        suppliers.setdefault(row.price.supplier if row.price else "", []).append(row)
    kg = sum((Decimal(str(row.kg_each)) * row.bought for row in rows), Decimal(0))
    done = {row.stock for row in rows if fetched.get(row.stock, 0) >= row.bought}
    over = [(stock, count) for stock, count in fetched.items() if count and stock not in {row.stock for row in rows}]
    return job_page(
        call, "yard.html", "yard", sheaf, quote=quote, suppliers=suppliers, fetched=fetched, kg=kg, done=done,
        count=len(rows), trial=_trial(call, sheaf), over=over, stand_ins=_stand_ins(quote),
        sizes={row.stock: _sizes(quote, row.good, sheaf.content, row.stock) for row in rows},
    )  # fmt: skip


def _fetched(call: Call[Desk], quote: Quote) -> dict[str, Decimal]:
    """Return how many of each stock are fetched for a quote; what was bought for versions before it is not its own."""
    before, fetched = bought_before(quote), call.desk.store.jobs.fetched(call.number("job"))
    return {stock: max(Decimal(0), count - before.get(stock, Decimal(0))) for stock, count in fetched.items()}


def _stand_ins(quote: Quote) -> dict[str, list[tuple[str, str]]]:
    """Return for every good what could stand in for it, with its title."""
    shop = quote.build.shop
    return {
        good: [(name, shop.good(name).title) for name in alternatives(shop, good)]
        for good in {row.good for row in quote.takeoff.rows}
    }


def _sizes(quote: Quote, good: str, content: Content, stock: str) -> list[str]:
    """Return the other sizes of a good that are to be had."""
    return [
        size.stock
        for size in quote.build.shop.good(good).sizes
        if size.stock != stock and size.stock not in content.missing
    ]


def without(call: Call[Desk], content: Content) -> Content:
    """Return the job without a stock, and with a stand-in for its good if one is named."""
    stock, instead = call.text("none"), call.text("instead")
    row = call.desk.papers.book.by_stock.get(stock)
    if row is None:
        raise BadRequestError(f"there is no {stock} in the price book")
    made = replace(content, missing=tuple(dict.fromkeys((*content.missing, stock))))
    return replace(made, swaps={**made.swaps, row.good: instead}) if instead else made


def _trial(call: Call[Desk], sheaf: Sheaf) -> Trial | None:
    """Work out the job without what the yard has none of."""
    stock, instead = call.text("none"), call.text("instead")
    if not stock:
        return None
    what = f"without {stock}" + (f", {instead} instead" if instead else "")
    fields = {"none": stock, "instead": instead}
    return tried_out(call, sheaf, without(call, sheaf.content), what, "", ("swap", fields))


def swap(call: Call[Desk]) -> Response:
    """Cut the job from something else."""
    stock, instead = call.text("none"), call.text("instead")
    what = f"the yard had no {stock}" + (f": {instead} instead" if instead else "")
    return change_job(call, lambda content: without(call, content), what, f"/jobs/{call.number('job')}/yard")


def had(call: Call[Desk]) -> Response:
    """Take a stock, or a stand-in, back: the yard has it after all."""
    stock, good = call.text("stock"), call.text("good")

    def change(content: Content) -> Content:
        return replace(
            content,
            missing=tuple(each for each in content.missing if each != stock),
            swaps={old: new for old, new in content.swaps.items() if old != good},
        )

    return change_job(call, change, f"{stock or good} is to be had after all", f"/jobs/{call.number('job')}/yard")


def tick(call: Call[Desk]) -> Response:
    """Note how many of a line are fetched; without a count, take back that it was ticked off whole."""
    job, stock, whole = call.number("job"), call.text("stock"), _count(call, "whole")
    jobs, answer = call.desk.store.jobs, call.desk.sheaf(job).answer
    before = bought_before(answer.quote).get(stock, Decimal(0)) if answer else Decimal(0)
    if "count" in call.form:
        jobs.fetch(job, stock, before + _count(call, "count"))
    else:
        jobs.unfetch(job, stock, before + whole)
    if not call.wants_json:
        return call.go(f"/jobs/{job}/yard")
    fetched = max(Decimal(0), jobs.fetched(job).get(stock, Decimal(0)) - before)
    return call.json({"fetched": f"{fetched:f}" if fetched else "", "done": fetched >= whole})


def _count(call: Call[Desk], name: str) -> Decimal:
    """Return how many a field says; none where it is blank."""
    try:
        count = Decimal(call.text(name, 20) or "0")
    except ArithmeticError:
        count = Decimal("nan")
    if not (count.is_finite() and 0 <= count <= MOST_UNITS):
        raise BadRequestError(f"how many are fetched: a number such as 2, from 0 to {MOST_UNITS:,}")
    return count


ROUTES = (
    Route("/jobs/{job:int}/yard", endpoint(shown)),
    Route("/jobs/{job:int}/swap", endpoint(swap), methods=["POST"]),
    Route("/jobs/{job:int}/had", endpoint(had), methods=["POST"]),
    Route("/jobs/{job:int}/tick", endpoint(tick), methods=["POST"]),
)
