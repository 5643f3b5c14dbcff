"""Downloads: the papers of a quote, made as it stands, or as they were kept when it was sent."""

import json
import re
from functools import partial
from typing import Final

from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from nesting.drawings.packet.names import listed
from pricing.desk.aside import seen
from pricing.desk.budget import PAPERS
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.pages.common import asked
from pricing.desk.pins import Pinned
from pricing.output.outgoing import KINDS, TITLES, media_type, paper
from pricing.output.tables import document_json

_LATER: Final = (
    "Its papers are not made yet. They are made behind the pages whenever the desk is opened; ask again then."
)

_PLAIN: Final = ("tables.zip", "quote.json", "build.json", "calendar.ics")
"""Papers that draw nothing: of large jobs too they are made at once, and wait for no packet that is being made."""
_WHOLE: Final = "What {what} is kept with its packet whole: print its pages from the packet, section by section."


def current(call: Call[Desk]) -> Response:
    """Make a file of the quote as it stands; of a job that is pinned, hand out the paper that is kept."""
    sheaf = asked(call)
    sections = chosen_sections(call)
    if sheaf.pinned and sections:
        return _none(call, _WHOLE.format(what="is pinned"))
    if sheaf.pinned:
        return _pinned(call, sheaf.pinned)
    if sheaf.answer is None:
        raise LookupError("there is no price yet")
    quote, name = sheaf.answer.quote, _wanted(call)
    call.desk.wait_for(sheaf, name, looking=True)
    pictures = call.desk.pictures(sheaf.content, quote) if name == "papers.zip" else {}
    if name in _PLAIN:
        return _file(quote.build.order.name, name, paper(quote, name))
    cheaper = call.desk.cheaper(sheaf)
    made = call.desk.made(
        sheaf.row.id, quote, (name, cheaper, sections, seen(pictures)), TITLES[name],
        partial(paper, quote, name, cheaper, sections, pictures),
    )  # fmt: skip
    return _file(quote.build.order.name, name, made)


def chosen_sections(call: Call[Desk]) -> tuple[str, ...]:
    """Return the sections of the packet that are asked for; LookupError names those that there are."""
    names = ",".join(call.request.query_params.getlist("section"))
    try:
        return listed(names[:400])
    except ValueError as error:
        raise LookupError(str(error)) from None


def _pinned(call: Call[Desk], pinned: Pinned) -> Response:
    """Hand out a paper of what is pinned, as it is kept; where there is none, say so."""
    name, order = _wanted(call), call.desk.store.jobs.get(pinned.pin.job).name
    try:
        return _file(order, name, call.desk.pins.paper(pinned.pin, name))
    except LookupError as error:
        if name == "quote.json":
            return _file(order, name, document_json(pinned.result).encode())  # kept from the first
        return _none(call, str(error.args[0]))


def sent(call: Call[Desk]) -> Response:
    """Hand out a paper of a quote that was sent, as it is kept; where there is none, say so."""
    quote = call.desk.store.quotes.get(call.number("job"), call.number("version"))
    if chosen_sections(call):
        return _none(call, _WHOLE.format(what="was sent"))
    store = call.desk.store
    beside = store.sent_papers.names(quote.job, quote.version)
    name, order = _wanted(call, *beside), json.loads(quote.content)["name"]
    printing = call.desk.conversion.printing(quote)
    if printing is not None and not printing.trouble:
        return _file(order, name, store.sent_papers.get(quote.job, quote.version, name))
    if name == "quote.json":
        return _file(order, name, document_json(json.loads(quote.result)).encode())  # kept from the first
    return _none(call, printing.trouble) if printing else _none(call, _LATER, 503)


def _none(call: Call[Desk], trouble: str, status: int = 410) -> Response:
    """Say why there is no paper: a program that asks must not take the sentence for it."""
    return call.json({"message": trouble}, status) if call.wants_json else PlainTextResponse(f"{trouble}\n", status)


def _wanted(call: Call[Desk], *beside: str) -> str:
    """Return the name of the paper that is asked for: one that every quote has, or one that is kept beside them."""
    name: str = call.request.path_params["name"]
    known = dict.fromkeys((*KINDS, *beside))
    if name not in known:
        raise LookupError(f"there is no {name[:40]}; there are {', '.join(known)}")
    return name


def _file(order: str, name: str, content: bytes) -> Response:
    """Answer with a file that is named after its order."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", order).strip("-").lower() or "job"
    headers = {"content-disposition": f'attachment; filename="{plain}-{name}"'}
    return Response(content, media_type=media_type(name), headers=headers)


ROUTES = (
    Route("/jobs/{job:int}/files/{name}", endpoint(current, budget=PAPERS)),
    Route("/jobs/{job:int}/versions/{version:int}/files/{name}", endpoint(sent, budget=PAPERS)),
)
