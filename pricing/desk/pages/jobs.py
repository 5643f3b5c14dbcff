"""Jobs: the list, searched; new ones; copies; put away and back; undo of what was entered."""

import json
from dataclasses import asdict, replace
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import Call, endpoint
from pricing.desk.content import CellChange, Content, content_from
from pricing.desk.desk import Desk, job_paper
from pricing.desk.help import STEPS
from pricing.desk.pages.beginning import CALLED, may_choose
from pricing.desk.pages.common import checked, conflict_answer, local, told
from pricing.desk.pages.paper import kept
from pricing.desk.steps import said, way_of, would
from pricing.desk.studio import RULES
from pricing.desk.table import dropped
from pricing.store import Conflict
from pricing.store.jobs import MOST, WAYS, named

SAYS: Final = {
    "": "all", "open": "still to leave the studio", "late": "late", "draft": "draft", "sent": "quote sent",
    "accepted": "accepted", "deposit": "deposit received", "cut": "being cut", "delivered": "delivered",
    "invoiced": "invoiced", "paid": "paid", "declined": "declined",
}  # fmt: skip
"""Which jobs are listed, and where a job stands, for people."""


def shown(call: Call[Desk]) -> Response:
    """List jobs: those that hold the words, of one standing or due, in the order that is asked for."""
    words, away, today = call.text("q"), call.text("away") == "1", call.desk.today()
    way = call.text("way") if call.text("way") in WAYS else ""
    by_due = call.text("by") == "due"
    jobs = call.desk.store.jobs.find(words, archived=away, way=way, today=today, by_due=by_due)
    counts = call.desk.store.jobs.count(), call.desk.store.jobs.count(archived=True)
    put = call.desk.store.jobs.get(call.number("put")) if call.text("put") else None
    units, rules = call.desk.papers.units, call.desk.papers.document(RULES)
    return call.page(
        "jobs.html", here="jobs", jobs=jobs, words=words, away=away, counts=counts, way=way, ways=WAYS,
        by_due=by_due, says=SAYS, most=MOST,
        put=put if put and put.archived else None, steps=() if any(counts) else STEPS, units=units,
        revision=rules.revision, sizes=CALLED if not any(counts) and may_choose(call.desk) else {},
    )  # fmt: skip


def add(call: Call[Desk]) -> Response:
    """Begin a job, empty or from a dropped file."""
    name = call.text("name", 120)
    content = Content(units="metric" if (call.text("units") or call.desk.papers.units) == "metric" else "inch")
    file, data = call.files.get("file", ("", b""))
    if data:
        title, units, headings, rows = dropped(file, data)
        name = name or title
        content = replace(content, units=units or content.units).with_rows(headings, rows)
    what = f"begun from {file}" if data else "begun"
    job = call.desk.begin(name or "New job", call.text("client", 120), content, what)
    return call.go(f"/jobs/{job}/artworks")


def rename(call: Call[Desk]) -> Response:
    """Change name or client, as they are typed."""
    job, back = call.number("job"), local(call.text("back"), f"/jobs/{call.number('job')}/artworks")
    now = named(call.desk.store.jobs.get(job), call.desk.store.jobs.names(job))
    name, client = checked(call.typed("name", now.name, 120), "name"), call.typed("client", now.client, 120)
    try:
        document = call.desk.store.jobs.rename(job, name, client, based_on=call.number("names"))
    except Conflict as conflict:
        return _other_names(call, conflict, f"{name}, {client}".rstrip(", "), back)
    return kept(call, document, back)


def step_name(call: Call[Desk]) -> Response:
    """Undo or redo a change of name and client."""
    job, way = call.number("job"), way_of(call.text("way"))
    back = local(call.text("back"), f"/jobs/{job}/artworks")
    try:
        document = call.desk.store.jobs.step_name(job, way, based_on=call.number("names"))
    except Conflict as conflict:
        return _other_names(call, conflict, would(conflict.current, way), back)
    return kept(call, document, back)


def _other_names(call: Call[Desk], conflict: Conflict, what: str, back: str) -> Response:
    """Tell that the job is called otherwise by now, and offer both."""
    now = call.desk.store.jobs.get(call.number("job"))
    before = json.loads(conflict.base.content) if conflict.base else {"name": "", "client": ""}
    theirs = [
        CellChange(0, column, before[column] or "nothing", getattr(now, column) or "nothing")
        for column in ("name", "client")
        if before[column] != getattr(now, column)
    ]
    if call.wants_json:
        facts = {
            "conflict": True, "what": said(conflict.current), "at": conflict.current.at,
            "revision": conflict.current.revision, "theirs": [asdict(each) for each in theirs],
            "mine": [
                asdict(CellChange(0, name, before[name], call.text(name, 120)))
                for name in ("name", "client") if name in call.form
            ],
        }  # fmt: skip
        return call.json(facts, 409)
    fields = {**call.form, "names": conflict.current.revision}
    return call.page(
        "conflict.html", 409, conflict=conflict, what=what, theirs=theirs, fields=fields, back=back,
        action=call.request.url.path,
    )  # fmt: skip


def duplicate(call: Call[Desk]) -> Response:
    """Copy a job's entries into a new one; what was sent, taken and noted stays with the old one."""
    job = call.number("job")
    row = call.desk.store.jobs.get(job)
    content = content_from(call.desk.store.documents.get(job_paper(job)).content)
    what = f"copied from job {job}"
    copy = call.desk.begin(f"{row.name} (copy)"[:120], row.client, replace(content, missing=()), what)
    return call.go(f"/jobs/{copy}/artworks")


def archive(call: Call[Desk]) -> Response:
    """Put a job away, or back."""
    job, away = call.number("job"), call.text("away") != "0"
    if away:
        call.desk.searches.stop(job)
    call.desk.store.jobs.archive(job, away=away)
    return call.go(f"/?put={job}" if away else "/")


def step(call: Call[Desk]) -> Response:
    """Undo or redo the latest change of a job's entries."""
    job, back = call.number("job"), local(call.text("back"), f"/jobs/{call.number('job')}/artworks")
    way = way_of(call.text("way"))
    try:
        sheaf = call.desk.step(job, way, based_on=call.number("revision"))
    except Conflict as conflict:
        return conflict_answer(call, conflict, would(conflict.current, way), back)
    return call.json(told(call, sheaf)) if call.wants_json else call.go(back)


ROUTES = (
    Route("/", endpoint(shown)),
    Route("/jobs", endpoint(add), methods=["POST"]),
    Route("/jobs/{job:int}/name", endpoint(rename), methods=["POST"]),
    Route("/jobs/{job:int}/name/step", endpoint(step_name), methods=["POST"]),
    Route("/jobs/{job:int}/copy", endpoint(duplicate), methods=["POST"]),
    Route("/jobs/{job:int}/archive", endpoint(archive), methods=["POST"]),
    Route("/jobs/{job:int}/step", endpoint(step), methods=["POST"]),
)
