"""Record: where a job stands, the quotes that were sent with what changed, and what it really took."""

import json
from datetime import date

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk import lacking
from pricing.desk.budget import PAPERS
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import content_from
from pricing.desk.desk import Desk, Sheaf, job_paper
from pricing.desk.frozen import Difference, content_of, difference
from pricing.desk.held import WordWantedError
from pricing.desk.learning import sums_of
from pricing.desk.offered import kept_of, kind_of
from pricing.desk.origins.model import Address
from pricing.desk.pages.common import change_job, job_page, word_answer
from pricing.desk.pages.jobs import SAYS
from pricing.desk.pages.took import HOURS_BY_ROOM, amount_of, day_of
from pricing.desk.sending import SENDING, Asked, lacks_of
from pricing.desk.sending import send as send_quote
from pricing.desk.steps import words
from pricing.output.outgoing import KINDS, TITLES
from pricing.output.tables import quote_document
from pricing.quoting.noted import HOURS, RECEIPTS
from pricing.store.jobs import PINNING, STANDINGS
from pricing.store.quotes import SentQuote
from pricing.store.took import DONE


def shown(call: Call[Desk]) -> Response:
    """Show the record."""
    sheaf = call.desk.sheaf(call.number("job"), wait=False)
    job = sheaf.row.id
    sent = call.desk.store.quotes.of(job)
    return job_page(
        call, "record.html", "record", sheaf, versions=_versions(sent), since=_since(sheaf, sent),
        events=call.desk.store.jobs.standings(job), standings=STANDINGS[1:], says=SAYS, today=call.desk.today(),
        unchanged=sheaf.moving is None, papers=tuple(TITLES.items()),
        sums=sums_of(sheaf, call.desk.store.took), entries=call.desk.store.took.of(job),
        entries_out=call.desk.store.took.of(job, gone=True), headings={"hours": HOURS_BY_ROOM, "receipt": RECEIPTS},
        titles={"hours": HOURS, "receipt": RECEIPTS}, done=DONE,
        history=call.desk.store.documents.history(job_paper(job)),
        events_out=call.desk.store.jobs.standings(job, gone=True),
        incomplete={each.version: lacking.incomplete_sent(each) for each in sent},
        lacks=lacking.shown(lacks_of(sheaf), job), seen=lacking.stamp(lacks_of(sheaf)), leads_to=Address(job),
        lines={line.stock: line for line in sheaf.answer.quote.lines if line.taken} if sheaf.answer else {},
    )  # fmt: skip


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


def send(call: Call[Desk]) -> Response:
    """Freeze the quote as it stands with its papers and the offers of a kind, and note that it was sent."""
    job, version = call.number("job"), call.number("version") if call.text("version") else 0
    send_quote(call.desk, Asked(job, call.number("revision"), version, kind_of(call.text("kind")), call.form))
    return call.go(f"/jobs/{job}/record")


def stand(call: Call[Desk]) -> Response:
    """Note a step of the job's way; that it was accepted, or anything after that, pins what is not pinned yet.

    A job that is pinned already is pinned anew, at what was entered since, only when it is accepted again.
    """
    job, standing = call.number("job"), call.text("standing")
    if standing not in STANDINGS:
        raise BadRequestError(f"standing: one of {', '.join(STANDINGS)}")
    amount = amount_of(call.text("amount", 20), "amount") if call.text("amount", 20) else None
    on, note = day_of(call), call.text("note")

    def event() -> None:
        call.desk.store.jobs.stand(job, standing, on, amount, note)

    with SENDING:
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


def strike(call: Call[Desk]) -> Response:
    """Take a step out, or put it back."""
    job, gone = call.number("job"), call.text("gone") != "0"
    call.desk.store.jobs.strike(job, call.number("entry"), gone=gone)
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
    printing, kept = call.desk.store.sent_papers.printing(job, sent.version), kept_of(sent)
    names = call.desk.store.sent_papers.names(job, sent.version)
    return call.page(
        "version.html", sent=sent, job=call.desk.store.jobs.get(job), result=json.loads(sent.result), printing=printing,
        papers=[(name, TITLES[name]) for name in KINDS if name in names or not names], offers=kept,
        printed_on=date.fromisoformat(printing.at[:10]) if printing else None,
        lacked=lacking.lacked(sent), incomplete=lacking.incomplete_sent(sent),
    )  # fmt: skip


ROUTES = (
    Route("/jobs/{job:int}/record", endpoint(shown)),
    Route("/jobs/{job:int}/send", endpoint(send, budget=PAPERS), methods=["POST"]),
    Route("/jobs/{job:int}/stand", endpoint(stand, budget=PAPERS), methods=["POST"]),
    Route("/jobs/{job:int}/again", endpoint(again), methods=["POST"]),
    Route("/jobs/{job:int}/stand/strike", endpoint(strike), methods=["POST"]),
    Route("/jobs/{job:int}/versions/{version:int}", endpoint(version)),
)
