"""What is pinned of a job: taking the pin off, with all that it undoes said before; and undo of pins and ticks."""

from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.counts import plural
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk, Sheaf, job_paper
from pricing.desk.pages.common import job_page, local
from pricing.desk.pins import Pinned
from pricing.desk.views import day, signed
from pricing.money import show
from pricing.quoting.quote import Quote
from pricing.store import Conflict

_MEANWHILE: Final = (
    "Somebody pinned, unpinned or ticked meanwhile ({what}). Nothing was changed; open the page again, and look."
)


def shown(call: Call[Desk]) -> Response:
    """Say what taking the pin off undoes, and offer it."""
    sheaf = call.desk.sheaf(call.number("job"), wait=False)
    if sheaf.pinned is None:
        return job_page(call, "unpin.html", "", sheaf, undoes=[], begun="")
    return job_page(call, "unpin.html", "", sheaf, undoes=_undoes(call, sheaf), begun=_begun(sheaf.pinned))


def _begun(pinned: Pinned) -> str:
    """Say what is cut of a job, whole sheets or else single cuts; nothing where nothing is."""
    if sheets := sum(pinned.sawn.values()):
        return plural(sheets, "sheet or stick is", "sheets and sticks are")
    return plural(pinned.made, "cut is", "cuts are") if pinned.made else ""


def _undoes(call: Call[Desk], sheaf: Sheaf) -> list[str]:
    """Return all that taking the pin off undoes, a sentence each."""
    earlier = call.desk.store.pins.cut(sheaf.row.id).without_latest().pins
    if earlier:
        before = call.desk.store.pins.get(sheaf.row.id, earlier[-1])
        told = [f"The job is then as it was pinned on {day(before.on_day)}, {before.why}."]
    else:
        told = ["Plans, design, prices and papers follow the rack, the price book and the rules again."]
        told += _total(call, sheaf)
    if sheaf.pinned and (begun := _begun(sheaf.pinned)):
        told.append(f"{begun} ticked as cut: a new plan knows nothing of what is sawn.")
    if taken := call.desk.store.rack.taken(sheaf.row.id):
        told.append(f"What it has taken from the rack stays taken until it is put back: {', '.join(taken)}.")
    told.append(f"The job stays {sheaf.row.standing}.")
    told.append("What was pinned is kept: undo on the page of sheets brings all of it back.")
    return told


def _total(call: Call[Desk], sheaf: Sheaf) -> list[str]:
    """Return what becomes of the total."""
    now = call.desk.work(sheaf.row, sheaf.document, sheaf.content, afresh=True).answer
    if now is None:
        return ["As it is entered now, the job has no price."]
    quote, was = now.quote, sheaf.answer.quote if sheaf.answer else None
    if was is None or was.currency != quote.currency:
        return [f"The total is then {_shown(quote)}."]
    moved = signed(quote.total - was.total, was.currency) if quote.compares_with(was) else "they do not compare"
    return [f"The total that is pinned, {_shown(was)}, becomes {_shown(quote)} ({moved})."]


def _shown(quote: Quote) -> str:
    """Write a total with what stands beside it."""
    return " ".join(filter(None, (show(quote.total, quote.currency), quote.without)))


def unpin(call: Call[Desk]) -> Response:
    """Take the pin off, as one step of undo."""
    job = call.number("job")
    pinned = call.desk.pins.of(job)
    if pinned is None:
        raise BadRequestError("it is not pinned")
    if (pinned.sawn or pinned.made) and call.text("sure") != "yes":
        raise BadRequestError("sheets are ticked as cut; tick that a new plan is to know nothing of them")
    try:
        call.desk.store.pins.unpin(job, based_on=call.number("cut"))
    except Conflict as conflict:
        return _moved(call, conflict)
    call.desk.after_save(job, call.desk.store.documents.get(job_paper(job)))
    return call.go(f"/jobs/{job}/sheets")


def step(call: Call[Desk]) -> Response:
    """Undo or redo the latest pin, tick or unpinning."""
    job = call.number("job")
    try:
        call.desk.pins.step(job, "redo" if call.text("way") == "redo" else "undo", based_on=call.number("cut"))
    except Conflict as conflict:
        return _moved(call, conflict)
    call.desk.after_save(job, call.desk.store.documents.get(job_paper(job)))
    return call.go(local(call.text("back"), f"/jobs/{job}/sheets"))


def _moved(call: Call[Desk], conflict: Conflict) -> Response:
    text = _MEANWHILE.format(what=conflict.current.what)
    return call.page("message.html", 409, title="Not changed", text=text)


ROUTES = (
    Route("/jobs/{job:int}/unpin", endpoint(shown)),
    Route("/jobs/{job:int}/unpin", endpoint(unpin), methods=["POST"]),
    Route("/jobs/{job:int}/cut/step", endpoint(step), methods=["POST"]),
)
