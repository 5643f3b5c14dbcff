"""Record: where a job stands, the quotes that were sent with what changed, and what it really took."""

import json
from datetime import date
from decimal import Decimal, InvalidOperation
from threading import Lock
from typing import Any, Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.version import made_by
from pricing.desk import lacking
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import content_from
from pricing.desk.desk import Desk, Sheaf, job_paper
from pricing.desk.frozen import Difference, content_of, difference, outgoing
from pricing.desk.held import WordWantedError
from pricing.desk.pages.common import change_job, checked, job_page, word_answer
from pricing.desk.steps import words
from pricing.desk.studio import for_job
from pricing.money import parse_amount
from pricing.output.tables import quote_document
from pricing.quoting.lacks import Lack
from pricing.store import StoreError
from pricing.store.jobs import PINNING, STANDINGS, Jobs
from pricing.store.quotes import SentQuote

_PAPERS: Final = (
    ("quote.xlsx", "Workbook"), ("packet.pdf", "Shop packet"), ("tables.zip", "Tables (CSV)"),
    ("quote.json", "Quote (JSON)"), ("build.json", "Build (JSON)"), ("calendar.ics", "Calendar file"),
)  # fmt: skip
_SENDING: Final = Lock()
"""One quote is sent at a time, so that none gets a number twice."""


def shown(call: Call[Desk]) -> Response:
    """Show the record."""
    sheaf = call.desk.sheaf(call.number("job"))
    job = sheaf.row.id
    sent = call.desk.store.quotes.of(job)
    return job_page(
        call, "record.html", "record", sheaf, versions=_versions(sent), since=_since(sheaf, sent),
        events=call.desk.store.jobs.standings(job), standings=STANDINGS[1:], today=call.desk.today(),
        unchanged=sheaf.moving is None, papers=_PAPERS,
        took=_took(sheaf, call.desk.store.jobs), history=call.desk.store.documents.history(job_paper(job)),
        hours=call.desk.papers.rates.labour.hours, events_out=call.desk.store.jobs.standings(job, gone=True),
        incomplete={each.version: lacking.incomplete_sent(each) for each in sent},
        lacks=lacking.shown(_lacks(sheaf), job), seen=lacking.stamp(_lacks(sheaf)),
    )  # fmt: skip


def _lacks(sheaf: Sheaf) -> tuple[Lack, ...]:
    now = sheaf.moving
    return now.answer.quote.lacks if now and now.answer else ()


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
    now = sheaf.moving or sheaf
    if not sent or now.answer is None:
        return None
    quote = now.answer.quote
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


def send(call: Call[Desk]) -> Response:
    """Freeze the quote as it stands with its papers, a word for all grave that it lacks, and note that it was sent.

    The papers are made first, within the request and outside the transaction that writes quote, papers and standing
    together: a quote is sent with all of them or not at all, nothing is left to be made up for after a crash, and other
    pages need not wait for the store meanwhile.
    """
    job = call.number("job")
    with _SENDING:
        sheaf = call.desk.sheaf(job)
        if call.text("version") and call.number("version") <= sheaf.row.versions:
            return call.go(f"/jobs/{job}/record")  # the button was pressed twice
        if sheaf.document.revision != call.number("revision"):
            raise BadRequestError("the job was changed since this page was opened; look at it again before it is sent")
        now = sheaf.moving
        if now is None:
            raise StoreError("it is pinned, and nothing else was entered since; what was pinned has its papers already")
        if now.answer is None:
            raise StoreError("there is no price yet; mend the table first")
        call.desk.wait_for(sheaf, "what is sent")
        words = lacking.words_for(_lacks(sheaf), call.form)
        office = for_job(call.desk.papers.office(job), sheaf.content)
        quote = outgoing(sheaf.row.name, sheaf.content, now.answer.quote, office, words)
        store = call.desk.store
        with store.database.writing():
            if store.documents.get(job_paper(job)) != sheaf.document:
                raise BadRequestError(
                    "the job was changed while its papers were made; look at it again before it is sent"
                )
            sent = store.quotes.freeze(job, quote, made_by())
            store.jobs.stand(job, "sent", quote.sent_on, sent.total, f"version {sent.version}")
    return call.go(f"/jobs/{job}/record")


def stand(call: Call[Desk]) -> Response:
    """Note a step of the job's way; that it was accepted, or anything after that, pins what is not pinned yet.

    A job that is pinned already is pinned anew, at what was entered since, only when it is accepted again.
    """
    job, standing = call.number("job"), call.text("standing")
    if standing not in STANDINGS:
        raise BadRequestError(f"standing: one of {', '.join(STANDINGS)}")
    amount = _amount(call.text("amount", 20), "amount") if call.text("amount", 20) else None
    on, note = _day(call), call.text("note")

    def event() -> None:
        call.desk.store.jobs.stand(job, standing, on, amount, note)

    with _SENDING:
        sheaf = call.desk.sheaf(job)
        now = sheaf.moving
        pins = standing == "accepted" if sheaf.pinned else standing in PINNING
        if not (pins and now and now.answer):
            event()
        elif call.text("revision") and call.number("revision") != sheaf.document.revision:
            raise BadRequestError("the job was changed since this page was opened; look at it again first")
        else:
            try:
                call.desk.pin(sheaf, standing, event, word=call.text("word", 1_000))
            except WordWantedError as wanted:
                return word_answer(call, sheaf, wanted, f"it was {standing}", f"/jobs/{job}/record")
    return call.go(f"/jobs/{job}/record")


def took(call: Call[Desk]) -> Response:
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


def strike(call: Call[Desk]) -> Response:
    """Take an entry out, or put it back."""
    job, table = call.number("job"), call.text("table")
    entry, gone = call.number("entry"), call.text("gone") != "0"
    if table == "standings":
        call.desk.store.jobs.remove("standings", job, entry, gone=gone)
    else:
        call.desk.store.jobs.remove("actuals", job, entry, gone=gone)
    return call.go(f"/jobs/{job}/record")


def again(call: Call[Desk]) -> Response:
    """Bring an earlier state of what was entered back, as one more change."""
    job = call.number("job")
    earlier = call.desk.store.documents.at(job_paper(job), call.number("number"))
    if earlier is None:
        raise LookupError("that state is not kept any more")
    what = f"as after “{words(earlier)}” again"
    return change_job(call, lambda _: content_from(earlier.content), what, f"/jobs/{job}/record")


def version(call: Call[Desk]) -> Response:
    """Show a quote as it was sent."""
    job = call.number("job")
    sent = call.desk.store.quotes.get(job, call.number("version"))
    printing = call.desk.store.sent_papers.printing(job, sent.version)
    return call.page(
        "version.html", sent=sent, job=call.desk.store.jobs.get(job), result=json.loads(sent.result), printing=printing,
        papers=_PAPERS, printed_on=date.fromisoformat(printing.at[:10]) if printing else None,
        lacked=lacking.lacked(sent), incomplete=lacking.incomplete_sent(sent),
    )  # fmt: skip


def _day(call: Call[Desk]) -> date:
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
