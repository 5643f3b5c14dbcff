"""For the client: each offer as the client will read it, its files, the text of an e-mail, and what went out."""

import io
import json
import zipfile
from dataclasses import dataclass
from functools import partial
from typing import Any, Final
from urllib.parse import quote as quoted

from starlette.responses import Response
from starlette.routing import Route

from nesting.base.counts import few
from nesting.base.days import DayError, parse_day
from nesting.base.faults import FaultsFound
from pricing.desk import lacking
from pricing.desk.aside import seen
from pricing.desk.budget import PAPERS
from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.frozen import content_of, thaw
from pricing.desk.offered import (
    Kept,
    Mark,
    digest_of,
    going,
    kept_of,
    kind_of,
    mark,
    marks_in,
    offers_paper,
    pictures,
    unmark,
)
from pricing.desk.origins.model import Address
from pricing.desk.pages.common import asked, change_job, checked, job_page, writing_of
from pricing.desk.sending import Asked, kept_named, lacks_of, send
from pricing.desk.table import with_everywhere
from pricing.desk.views import anchor
from pricing.output.offer.content import READY, TITLES, Kind, Offer, clients
from pricing.output.offer.files import names_of, offers
from pricing.output.offer.letter import letter
from pricing.output.outgoing import media_type
from pricing.quoting.quote import Quote
from pricing.store import Conflict, StoreError
from pricing.store.quotes import SentQuote

_ROLES: Final = ("buyer", "gallery")
"""Columns that name whom an offer goes to."""
_ENDINGS: Final = {"pdf": "Offer to print", "xlsx": "Offer as a table"}


@dataclass(frozen=True)
class Shown:
    """An offer on the page.

    Attributes
    ----------
    offer : Offer
        What it says.
    letter : str
        The text of an e-mail.
    name : str
        Of its files.
    kept : SentQuote or None
        The version with which it is kept as it stands here.
    mark : Mark or None
        That it went out.
    leads : str
        Where the address of whom it is for is written down; empty where the order names nobody.
    collected : tuple of str
        Destinations to which nothing is shipped, since none says by which way it goes.
    """

    offer: Offer
    letter: str
    name: str
    kept: SentQuote | None
    mark: Mark | None
    leads: str = ""
    collected: tuple[str, ...] = ()


@dataclass(frozen=True)
class Sent:
    """An offer that went out."""

    quote: SentQuote
    kept: Kept
    mark: Mark


def shown(call: Call[Desk]) -> Response:
    """Show every offer of a kind, what keeps one from being made, and what was sent."""
    sheaf, kind = asked(call, wait=False), _kind(call)
    made: tuple[Offer, ...] = ()
    faults: list[str] = []
    if sheaf.answer is not None:
        try:
            made = offers(sheaf.answer.quote, kind, sheaf.row.client)
        except FaultsFound as error:
            faults = [str(fault) for fault in error.faults]
    job, store = sheaf.row.id, call.desk.store
    document, sent = store.documents.get(offers_paper(job)), store.quotes.of(job)
    marks = {(each.version, each.name): each for each in marks_in(document)}
    kept = _kept_as_it_is(call, sheaf, sent, made)
    told = writing_of(call, sheaf).told
    letters = {each.name: each.letter for each in kept_of(kept)} if kept else {}
    each = [
        Shown(
            offer, letters.get(name) or told(letter(offer)), name, kept,
            marks.get((kept.version, name)) if kept else None,
            *(_mended(sheaf.answer.quote, offer, job) if sheaf.answer else ("", ())),
        )
        for name, offer in zip(names_of(made), made, strict=True)
    ]  # fmt: skip
    lacks = lacks_of(sheaf)
    return job_page(
        call, "client.html", "client", sheaf, offers=each, kind=kind, kinds=TITLES, faults=faults, endings=_ENDINGS,
        document=document, sent=[each for quote in sent for each in _sent(quote, marks)], on=call.desk.today(),
        lacks=[each for each in lacking.shown(lacks, job) if each["grave"]], seen=lacking.stamp(lacks),
        remarks=[each.line for each in lacks if each.kind == "commission" and kind == "sale"],
        leads_to=Address(job, "version=next" if call.request.query_params.get("version") == "next" else ""),
        crates={crate.crate for crate in sheaf.answer.quote.build.every} if sheaf.answer else set(), ready=READY,
        unseen=_unseen(sheaf), sends=sheaf.moving is not None and not sheaf.pinned,
    )  # fmt: skip


def _mended(quote: Quote, offer: Offer, job: int) -> tuple[str, tuple[str, ...]]:
    """Return where the client's address is written down, and which destinations of an offer say no way to go."""
    party = quote.parties.by_name.get(offer.client.casefold())
    named = any(each.party and each.party.name == offer.client for each in clients(quote))
    back = quoted(f"/jobs/{job}/client", safe="")
    add = f"/parties?add={quoted(offer.client, safe='')}&back={back}#party-new"
    leads = f"/parties#party-{anchor(party.name)}" if party else add if named else ""
    goes = {each.goes for each in offer.items}
    places = quote.destinations
    unsaid = [
        each.destination for each in quote.shipments
        if each.chosen.kind == "collect" and each.destination in goes and not places.get(each.destination).profile
    ]  # fmt: skip
    return leads, tuple(dict.fromkeys(unsaid))


def named(call: Call[Desk]) -> Response:
    """Write into the artworks who buys or sells them, where they say neither; then to the form with the address."""
    job, name, role = call.number("job"), " ".join(call.text("name", 120).split()), call.text("role")
    if role not in _ROLES:
        raise BadRequestError(f"write {' or '.join(_ROLES)}", "role")
    back = f"/jobs/{job}/client?kind={_kind(call)}"
    known = call.desk.papers.parties.by_name.get(checked(name, "name").casefold())
    add = f"/parties?add={quoted(name, safe='')}&back={quoted(back, safe='')}#party-new"
    return change_job(
        call, lambda content: with_everywhere(content, role, known.name if known else name, _ROLES),
        f"{role}: {name}", back if known else add,
    )  # fmt: skip


def _unseen(sheaf: Sheaf) -> str:
    """Return the pieces whose photo is named in the table, where no page of the desk finds it, and none was sent."""
    works = sheaf.reading.order.artworks if sheaf.reading.order else ()
    return few([each.piece for each in works if each.photo and not sheaf.content.photos.get(each.piece)])


def _sent(quote: SentQuote, marks: dict[tuple[int, str], Mark]) -> list[Sent]:
    pairs = ((kept, marks.get((quote.version, kept.name))) for kept in kept_of(quote))
    return [Sent(quote, kept, found) for kept, found in pairs if found]


def _kept_as_it_is(call: Call[Desk], sheaf: Sheaf, sent: list[SentQuote], made: tuple[Offer, ...]) -> SentQuote | None:
    """Return the version whose offers are those of the page: the latest, if nothing in them has changed since."""
    number = sheaf.pinned.pin.sent if sheaf.pinned else 0
    found = next((each for each in sent if not number or each.version == number), None)
    if found is None or not made or (sheaf.pinned and not number):
        return None
    kept = kept_of(found)
    if sheaf.pinned:
        return found if {each.kind for each in kept} == {made[0].kind} else None
    facts = json.loads(found.content).get("offers", {})
    heads = facts.get("logo", 0), content_of(found).photos
    same = heads == (call.desk.papers.rulings.logo, sheaf.content.photos)
    return found if same and [each.digest for each in kept] == [digest_of(offer) for offer in made] else None


def file(call: Call[Desk]) -> Response:
    """Make one offer as a file."""
    sheaf, kind = asked(call), _kind(call)
    if sheaf.answer is None:
        raise LookupError("there is no price yet")
    ending: str = call.request.path_params["ending"]
    if ending not in _ENDINGS:
        raise LookupError(f"there is no offer.{ending[:10]}; there are offer.pdf, offer.xlsx")
    call.desk.wait_for(sheaf, "offer", looking=True)
    quote, logo, number = sheaf.answer.quote, call.desk.papers.rulings.logo, call.number("number")
    shown = call.desk.pictures(sheaf.content, quote)
    made = call.desk.made(
        sheaf.row.id, quote, ("offers", kind, sheaf.row.client, seen(shown), logo), "The offers",
        partial(going, quote, kind, sheaf.row.client, shown, logo),
    )  # fmt: skip
    if not 1 <= number <= len(made.made):
        raise LookupError(f"there is no offer {number}; there are {len(made.made)}")
    name = f"{names_of(made.made)[number - 1]}.{ending}"
    return _file(name, made.files[name])


def afterwards(call: Call[Desk]) -> Response:
    """Make the offers of a quote that was sent before they were kept, from what was frozen with it, in one archive."""
    store, kind = call.desk.store, _kind(call)
    sent = store.quotes.get(call.number("job"), call.number("version"))
    if kept_of(sent):
        raise LookupError(f"the offers of version {sent.version} are kept as they went out")
    try:
        quote, content = thaw(sent), content_of(sent)
    except StoreError as error:
        told = f"no offer of version {sent.version} can be made any more: {error}; what was sent stands in its tables"
        raise StoreError(told) from error
    made = going(quote, kind, store.jobs.get(sent.job).client, pictures(store, content, quote, 0))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in made.files.items():
            packed.writestr(zipfile.ZipInfo(name), data)
    return _file("offers.zip", out.getvalue())


def _file(name: str, content: bytes) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=media_type(name), headers=headers)


def go_out(call: Call[Desk]) -> Response:
    """Freeze the quote with its offers of a kind, and mark one of them as sent."""
    job, kind, on = call.number("job"), _kind(call), _day(call)
    words = {**call.form}
    asked = Asked(job, call.number("revision"), call.number("version"), kind, words, call.text("name", 80), on)
    send(call.desk, asked)
    return call.go(_back(call, job, kind))


def sent(call: Call[Desk]) -> Response:
    """Mark an offer that is kept as sent, or take the mark out."""
    job, version, name = call.number("job"), call.number("version"), call.text("name", 80)
    kept = kept_named(call.desk.store.quotes.get(job, version), name)
    if call.text("gone"):
        unmark(call.desk.store, job, version, name)
    else:
        word = " ".join(call.text("word", 1_000).split())
        mark(call.desk.store, job, Mark(version, name, _day(call), word), kept)
    return call.go(_back(call, job, kept.kind))


def step(call: Call[Desk]) -> Response:
    """Undo or redo a mark."""
    job, documents = call.number("job"), call.desk.store.documents
    call.desk.store.jobs.get(job)
    go = documents.redo if call.text("way") == "redo" else documents.undo
    try:
        go(offers_paper(job), based_on=call.number("revision"))
    except Conflict:
        raise StoreError("another offer was marked since this page was opened; look at it again") from None
    return call.go(_back(call, job, "packing"))


def _day(call: Call[Desk]) -> str:
    text = call.text("on", 20)
    try:
        return (parse_day(text, call.desk.days) if text else call.desk.today()).isoformat()
    except DayError as error:
        raise BadRequestError(f"day: {error}", field="on") from None


def _kind(call: Call[Desk]) -> Kind:
    try:
        return kind_of(call.text("kind", 20))
    except ValueError as error:
        raise BadRequestError(str(error)) from None


def _back(call: Call[Desk], job: int, kind: Kind) -> str:
    facts: dict[str, Any] = {"kind": kind} if kind != "packing" else {}
    if call.text("next"):
        facts["version"] = "next"
    ask = "&".join(f"{name}={value}" for name, value in facts.items())
    return f"/jobs/{job}/client" + (f"?{ask}" if ask else "")


ROUTES = (
    Route("/jobs/{job:int}/client", endpoint(shown)),
    Route("/jobs/{job:int}/client", endpoint(go_out, budget=PAPERS), methods=["POST"]),
    Route("/jobs/{job:int}/client/named", endpoint(named), methods=["POST"]),
    Route("/jobs/{job:int}/client/sent", endpoint(sent), methods=["POST"]),
    Route("/jobs/{job:int}/client/step", endpoint(step), methods=["POST"]),
    Route("/jobs/{job:int}/client/{number:int}/offer.{ending}", endpoint(file, budget=PAPERS)),
    Route("/jobs/{job:int}/versions/{version:int}/offers.zip", endpoint(afterwards, budget=PAPERS)),
)
