"""Record: where a job stands, the quotes that were sent with what changed, and what it really took."""

import json
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk import lacking
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import content_from
from pricing.desk.desk import Sheaf, job_paper
from pricing.desk.frozen import Difference, content_of, difference, freeze
from pricing.desk.pages.common import change_job, checked, job_page
from pricing.money import parse_amount
from pricing.output.tables import quote_document
from pricing.quoting.lacks import Lack
from pricing.store.jobs import STANDINGS, Jobs
from pricing.store.quotes import SentQuote


def shown(call: Call) -> Response:
    """Show the record."""
    sheaf = call.desk.sheaf(call.number("job"))
    job = sheaf.row.id
    sent = call.desk.store.quotes.of(job)
    return job_page(
        call, "record.html", "record", sheaf, versions=_versions(sent), since=_since(sheaf, sent),
        events=call.desk.store.jobs.standings(job), standings=STANDINGS[1:], today=call.desk.today(),
        took=_took(sheaf, call.desk.store.jobs), history=call.desk.store.documents.history(job_paper(job)),
        hours=call.desk.papers.rates.labour.hours, events_out=call.desk.store.jobs.standings(job, gone=True),
        lacks=lacking.shown(_lacks(sheaf), job), seen=lacking.stamp(_lacks(sheaf)),
    )  # fmt: skip


def _lacks(sheaf: Sheaf) -> tuple[Lack, ...]:
    return sheaf.answer.quote.lacks if sheaf.answer else ()


def _versions(sent: list[SentQuote]) -> list[tuple[SentQuote, Difference | None]]:
    """Return every version with what changed since the one before it."""
    pairs: list[tuple[SentQuote, Difference | None]] = []
    for later, earlier in zip(sent, [*sent[1:], None], strict=False):
        pairs.append((later, _changed(earlier, later) if earlier else None))
    return pairs


def _changed(earlier: SentQuote, later: SentQuote) -> Difference:
    return difference(earlier, content_of(later), json.loads(later.result), later.total)


def _since(sheaf: Sheaf, sent: list[SentQuote]) -> Difference | None:
    """Return what changed since the latest version."""
    if not sent or sheaf.answer is None:
        return None
    quote = sheaf.answer.quote
    return difference(sent[0], sheaf.content, quote_document(quote), quote.total)


def _took(sheaf: Sheaf, jobs: Jobs) -> dict[str, Any]:
    """Return estimate and actual side by side."""
    actuals = jobs.actuals(sheaf.row.id)
    hours = sum((each.amount for each in actuals if each.kind == "hours"), Decimal(0))
    paid = sum((each.amount for each in actuals if each.kind == "receipt"), Decimal("0.00"))
    quote = sheaf.answer.quote if sheaf.answer else None
    kinds: dict[str, list[Decimal]] = {}
    for row in quote.labour if quote else ():
        kinds.setdefault(row.hour, [Decimal(0), Decimal(0)])[0] += row.hours
    for each in actuals:
        if each.kind == "hours":
            kinds.setdefault(each.what, [Decimal(0), Decimal(0)])[1] += each.amount
    return {
        "entries": actuals, "entries_out": jobs.actuals(sheaf.row.id, gone=True),
        "kinds": kinds, "hours": hours, "paid": paid,
        "estimated_hours": quote.hours if quote else None,
        "estimated_paid": quote.takeoff.bought_amount if quote else None,
    }  # fmt: skip


def send(call: Call) -> Response:
    """Freeze the quote as it stands, with a word for everything grave that it lacks, and note that it was sent."""
    job = call.number("job")
    sheaf = call.desk.sheaf(job)
    if sheaf.document.revision != call.number("revision"):
        raise BadRequestError("the job was changed since this page was opened; look at it again before it is sent")
    words = lacking.words_for(_lacks(sheaf), call.form)
    with call.desk.store.database.writing():
        sent = freeze(call.desk, sheaf, words)
        call.desk.store.jobs.stand(job, "sent", call.desk.today(), sent.total, f"version {sent.version}")
    return call.go(f"/jobs/{job}/record")


def stand(call: Call) -> Response:
    """Note a step of the job's way."""
    job, standing = call.number("job"), call.text("standing")
    if standing not in STANDINGS:
        raise BadRequestError(f"standing: one of {', '.join(STANDINGS)}")
    amount = _amount(call.text("amount", 20), "amount") if call.text("amount", 20) else None
    call.desk.store.jobs.stand(job, standing, _day(call), amount, call.text("note"))
    return call.go(f"/jobs/{job}/record")


def took(call: Call) -> Response:
    """Note hours or a receipt."""
    job, kind = call.number("job"), call.text("kind")
    if kind == "hours":
        try:
            amount = Decimal(call.text("amount", 20))
        except InvalidOperation:
            raise BadRequestError("hours: a number such as 2.5") from None
        if not (amount.is_finite() and 0 < amount <= 10_000):
            raise BadRequestError("hours: a number such as 2.5")
        call.desk.store.jobs.add_actual(
            job, "hours", _day(call), call.text("what") or "hour", amount, call.text("note")
        )
    else:
        amount = _amount(call.text("amount", 20), "amount")
        what = checked(call.text("what"), "from whom")
        call.desk.store.jobs.add_actual(job, "receipt", _day(call), what, amount, call.text("note"))
    return call.go(f"/jobs/{job}/record")


def strike(call: Call) -> Response:
    """Take an entry out, or put it back."""
    job, table = call.number("job"), call.text("table")
    entry, gone = call.number("entry"), call.text("gone") != "0"
    if table == "standings":
        call.desk.store.jobs.remove("standings", job, entry, gone=gone)
    else:
        call.desk.store.jobs.remove("actuals", job, entry, gone=gone)
    return call.go(f"/jobs/{job}/record")


def again(call: Call) -> Response:
    """Bring an earlier state of what was entered back, as one more change."""
    job = call.number("job")
    earlier = call.desk.store.documents.at(job_paper(job), call.number("number"))
    if earlier is None:
        raise LookupError("that state is not kept any more")
    what = f"as after “{earlier.what}” again"[:120]
    return change_job(call, lambda _: content_from(earlier.content), what, f"/jobs/{job}/record")


def version(call: Call) -> Response:
    """Show a quote as it was sent."""
    job = call.number("job")
    sent = call.desk.store.quotes.get(job, call.number("version"))
    return call.page(
        "version.html", sent=sent, job=call.desk.store.jobs.get(job), result=json.loads(sent.result),
        lacked=lacking.lacked(sent),
    )  # fmt: skip


def _day(call: Call) -> date:
    text = call.text("on", 20)
    try:
        return date.fromisoformat(text) if text else call.desk.today()
    except ValueError:
        raise BadRequestError(f"day: a day such as 2026-01-31, not {text!r}") from None


def _amount(text: str, label: str) -> Decimal:
    try:
        return parse_amount(text)
    except ValueError as error:
        raise BadRequestError(f"{label}: {error}") from None


ROUTES = (
    Route("/jobs/{job:int}/record", endpoint(shown)),
    Route("/jobs/{job:int}/send", endpoint(send), methods=["POST"]),
    Route("/jobs/{job:int}/stand", endpoint(stand), methods=["POST"]),
    Route("/jobs/{job:int}/took", endpoint(took), methods=["POST"]),
    Route("/jobs/{job:int}/again", endpoint(again), methods=["POST"]),
    Route("/jobs/{job:int}/strike", endpoint(strike), methods=["POST"]),
    Route("/jobs/{job:int}/versions/{version:int}", endpoint(version)),
)
