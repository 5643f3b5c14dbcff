"""What the pages of a job share: saving a change, telling of a conflict, undo."""

from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

from starlette.responses import Response

from nesting.base.writing import Writing
from pricing.desk.call import BadRequestError, Call
from pricing.desk.content import Content, changes, content_from
from pricing.desk.desk import Desk, Sheaf, job_paper
from pricing.desk.held import MOST_WORD, WordWantedError
from pricing.desk.held import facts as held_facts
from pricing.desk.slip import slip
from pricing.desk.steps import marked, page_of, said
from pricing.store import Conflict
from pricing.store.jobs import named

Change = Callable[[Content], Content]


def asked(call: Call[Desk], *, wait: bool = True) -> Sheaf:
    """Return the job that is asked for: as it is pinned where it is, or the version entered since, where that is meant.

    The address says so by ``version=next``. A page that can be shown without its figure does not wait for it.
    """
    sheaf = call.desk.sheaf(call.number("job"), wait=wait)
    return sheaf.later if sheaf.later and _next(call) else sheaf


def _next(call: Call[Desk]) -> bool:
    return call.request.query_params.get("version") == "next"


def job_page(call: Call[Desk], template: str, here: str, sheaf: Sheaf, **values: Any) -> Response:
    """Answer with a page of a job, which changes nothing: what is unsettled, the page's script asks for once it shows.

    The names are those of the revision that stands with them, whoever changes them meanwhile.
    """
    whole = call.desk.sheaf(sheaf.row.id, wait=False) if _next(call) else sheaf
    search, names = call.desk.searches.of(sheaf.row.id), call.desk.store.jobs.names(sheaf.row.id)
    ask = "version=next" if whole.pinned and not sheaf.pinned else ""
    held = held_facts(sheaf.answer.quote.build, sheaf.row.id, ask) if sheaf.answer else {"held": [], "without": ""}
    settling = call.desk.settling(whole)
    # What waits for the settled figure; of what is pinned nothing does.
    waits = "" if sheaf.pinned else " data-waits inert" if settling else " data-waits"
    return call.page(
        template, sheaf=sheaf, whole=whole, ask=ask, held=held, job=named(sheaf.row, names), here=here,
        slip=slip(call.desk, whole), names=names, search=search.facts() if search else None,
        settled=call.desk.settled(whole), waits=waits, cut=call.desk.store.pins.document(sheaf.row.id),
        writing=writing_of(call, sheaf), **values,
    )  # fmt: skip


def writing_of(call: Call[Desk], sheaf: Sheaf) -> Writing:
    """Return how figures and days of a job are read: what its order says in words stays as it was written."""
    return sheaf.answer.quote.build.writing if sheaf.answer else call.views.writing


def told(call: Call[Desk], sheaf: Sheaf, **more: Any) -> dict[str, Any]:
    """Return what a script needs to know after a change."""
    search = call.desk.searches.of(sheaf.row.id)
    faults = [asdict(fault) for fault in sheaf.faults]
    shown = writing_of(call, sheaf).through(slip(call.desk, sheaf))
    return {"slip": shown, "faults": faults, "search": search.facts() if search else None, **more}


def change_job(
    call: Call[Desk], change: Change, what: str, back: str, values: Mapping[str, str] | None = None
) -> Response:
    """Make a change to a job that is based on the revision that the page showed, and save it.

    What it was is saved with the page that it was made on, which is where its answer leads back to. `values` are fields
    that are written otherwise than they were typed.
    """
    job, revision = call.number("job"), call.number("revision")
    document = call.desk.store.documents.get(job_paper(job))
    if document.revision == revision:
        try:
            made, saved_as = change(content_from(document.content)), marked(page_of(back), what)
            sheaf = call.desk.save(job, made, based_on=revision, what=saved_as)
        except Conflict as conflict:  # somebody was quicker by a hair
            return conflict_answer(call, conflict, what, back)
        more = {"values": values} if values else {}
        return call.json(told(call, sheaf, **more)) if call.wants_json else call.go(back)
    base = call.desk.store.documents.at(job_paper(job), revision)
    return conflict_answer(call, Conflict(document, base), what, back)


def conflict_answer(
    call: Call[Desk], conflict: Conflict, what: str, back: str, mine: Content | None = None
) -> Response:
    """Tell what was changed meanwhile, and offer both: what stands now, and what this page wanted."""
    now = content_from(conflict.current.content)
    before = content_from(conflict.base.content) if conflict.base else Content()
    theirs = changes(before, now)
    if call.wants_json:
        facts = {
            "conflict": True, "what": said(conflict.current), "at": conflict.current.at,
            "revision": conflict.current.revision, "theirs": [asdict(each) for each in theirs],
            "mine": [asdict(each) for each in changes(before, mine)] if mine else [],
        }  # fmt: skip
        return call.json(facts, 409)
    fields = {name: value for name, value in call.form.items() if name != "revision"}
    return call.page(
        "conflict.html", 409, conflict=conflict, what=what, theirs=theirs, fields=fields, back=back,
        action=call.request.url.path,
    )  # fmt: skip


def word_answer(call: Call[Desk], sheaf: Sheaf, wanted: WordWantedError, what: str, back: str) -> Response:
    """Tell what a job would be pinned without, and ask for a word on it: what was sent is sent again with it."""
    now = sheaf.moving
    if call.wants_json or now is None or now.answer is None:
        raise wanted
    ask = "version=next" if sheaf.pinned else ""
    fields = {name: value for name, value in call.form.items() if name != "word"}
    held = held_facts(now.answer.quote.build, sheaf.row.id, ask)
    return call.page(
        "word.html",
        422,
        job=sheaf.row,
        held=held,
        text=str(wanted),
        fields=fields,
        what=what,
        back=back,
        most=MOST_WORD,
    )


def local(path: str, otherwise: str) -> str:
    """Return a path of this desk to go back to; anything else is not followed."""
    return path if path.startswith("/") and not path.startswith("//") and "\\" not in path else otherwise


def checked(text: str, label: str) -> str:
    """Return a text that must not be empty."""
    if not text:
        raise BadRequestError(f"{label}: write something", faults={label: "write something"})
    return text
