"""Yard: the buying list to tick off on a phone, and what to do when the yard has none of something."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final
from urllib.parse import urlencode

from starlette.responses import Response
from starlette.routing import Route

from nesting.advice.lifting import team_for
from pricing.desk import trials
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.pages.common import asked, change_job, job_page, told
from pricing.desk.pages.crates import Trial, compared_with
from pricing.desk.pins import bought_before
from pricing.desk.studio import alternatives
from pricing.output.tables import buying
from pricing.quoting.quote import Quote
from pricing.quoting.takeoff import Taken
from pricing.studio.pricebook import MOST_UNITS

_FORMS: Final = ("sheet", "stick", "roll")
"""In this order a supplier's lines are fetched: sheets lie at the bottom of the load."""


def shown(call: Call[Desk]) -> Response:
    """Show the list."""
    sheaf = asked(call, wait=False)
    trial = _trial(call, sheaf)
    if sheaf.answer is None:
        return job_page(call, "yard.html", "yard", sheaf, quote=None, trial=trial)
    quote = sheaf.answer.quote
    rows = buying(quote)
    fetched = _fetched(call, quote)
    suppliers: dict[str, list[Any]] = {}
    for row in sorted(rows, key=lambda each: _FORMS.index(each.form) if each.form in _FORMS else len(_FORMS)):
        suppliers.setdefault(row.price.supplier if row.price else "", []).append(row)
    kg = sum((Decimal(str(row.kg_each)) * row.bought for row in rows), Decimal(0))
    done = {row.stock for row in rows if fetched.get(row.stock, 0) >= row.bought}
    over = [(stock, count) for stock, count in fetched.items() if count and stock not in {row.stock for row in rows}]
    return job_page(
        call, "yard.html", "yard", sheaf, quote=quote, suppliers=suppliers, fetched=fetched, kg=kg, done=done,
        count=len(rows), trial=trial, over=over, stand_ins=_stand_ins(quote), teams=_teams(quote, rows),
        sizes={row.stock: _sizes(quote, row.good, sheaf.content, row.stock) for row in rows},
    )  # fmt: skip


def _fetched(call: Call[Desk], quote: Quote) -> dict[str, Decimal]:
    """Return how many of each stock are fetched for a quote; what was bought for versions before it is not its own."""
    before, fetched = bought_before(quote), call.desk.store.jobs.fetched(call.number("job"))
    return {stock: max(Decimal(0), count - before.get(stock, Decimal(0))) for stock, count in fetched.items()}


def _teams(quote: Quote, rows: Sequence[Taken]) -> dict[str, str]:
    """Return who lifts one of what is bought, by stock, where one person does not."""
    rules = quote.build.shop.lifting
    teams = {row.stock: team_for(row.kg_each, 0, rules) for row in rows}
    return {stock: "a jack" if who == "forks" else who for stock, who in teams.items() if who != "one person"}


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


@dataclass(frozen=True)
class _AtYard:
    """What another stock comes to, as the page shows it.

    Attributes
    ----------
    shown : Trial
        Both ways side by side.
    settled : bool
        Whether it was worked through as long as the job's own figure.
    going : bool
        Whether it is being worked through.
    waits : bool
        Whether it waits for the job's own figure.
    """

    shown: Trial
    settled: bool
    going: bool
    waits: bool


def _tried(call: Call[Desk], sheaf: Sheaf) -> Sheaf:
    """Return the job without what the yard has none of, not saved."""
    return call.desk.work(sheaf.row, sheaf.document, without(call, sheaf.content))


def _trial(call: Call[Desk], sheaf: Sheaf) -> _AtYard | None:
    """Work out the job without what the yard has none of."""
    stock, instead = call.text("none"), call.text("instead")
    if not stock:
        return None
    what = f"without {stock}" + (f", {instead} instead" if instead else "")
    fields, tried = {"none": stock, "instead": instead}, _tried(call, sheaf)
    shown = compared_with(sheaf, tried, what, "", ("swap", fields))
    settled, going = trials.has_settled(call.desk, tried), trials.goes_on(call.desk, sheaf.row.id)
    waits = not settled and call.desk.settling(call.desk.sheaf(sheaf.row.id, wait=False))
    return _AtYard(shown, settled or bool(shown.why_not), going, waits)


def tried(call: Call[Desk]) -> Response:
    """Begin to work out the job without what the yard has none of, and lead to it."""
    sheaf = asked(call)
    fields = {"none": call.text("none"), "instead": call.text("instead")}
    trials.begin(call.desk, sheaf, without(call, sheaf.content))
    if call.wants_json:
        return call.json(told(call, sheaf))
    version = {"version": "next"} if call.request.query_params.get("version") == "next" else {}
    return call.go(f"/jobs/{sheaf.row.id}/yard?{urlencode({**fields, **version})}")


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
        text = f"how many are fetched: a number such as 2, from 0 to {MOST_UNITS:,}"
        raise BadRequestError(text, field="count")
    return count


ROUTES = (
    Route("/jobs/{job:int}/yard", endpoint(shown)),
    Route("/jobs/{job:int}/try", endpoint(tried), methods=["POST"]),
    Route("/jobs/{job:int}/swap", endpoint(swap), methods=["POST"]),
    Route("/jobs/{job:int}/had", endpoint(had), methods=["POST"]),
    Route("/jobs/{job:int}/tick", endpoint(tick), methods=["POST"]),
)
