"""What the pages of the studio's own papers share: saving with a conflict told, undo and redo."""

from starlette.responses import Response

from pricing.desk.call import Call
from pricing.desk.desk import Desk
from pricing.desk.steps import said, way_of, ways_back, would
from pricing.store import Conflict, Document


def rows_with(rows: list[list[str]], old: str, typed: list[str] | None) -> list[list[str]]:
    """Return a paper's rows with one changed, or added where none is named; without it where nothing is typed."""
    if typed is None:
        return [row for row in rows if row[0] != old]
    if old:
        return [typed if row[0] == old else row for row in rows]
    return [*rows, typed]


def save_paper(call: Call[Desk], name: str, text: str, what: str, back: str) -> Response:
    """Save a paper that is based on the revision that the page showed."""
    try:
        document = call.desk.papers.save(name, text, based_on=call.number("revision"), what=what)
    except Conflict as conflict:
        return paper_conflict(call, conflict, what, back)
    return kept(call, document, back)


def paper_conflict(call: Call[Desk], conflict: Conflict, what: str, back: str) -> Response:
    """Tell what was changed meanwhile, and offer both."""
    if call.wants_json:
        text = f"Not saved: somebody else saved meanwhile ({said(conflict.current)}). The page now shows what stands."
        return call.json({"message": text, "revision": conflict.current.revision, "stale": True}, 409)
    fields = {name: value for name, value in call.form.items() if name != "revision"}
    return call.page(
        "conflict.html", 409, conflict=conflict, what=what, theirs=[], fields=fields, back=back,
        action=call.request.url.path,
    )  # fmt: skip


def step_paper(call: Call[Desk], name: str, back: str) -> Response:
    """Undo or redo the latest change of a paper."""
    documents, way = call.desk.store.documents, way_of(call.text("way"))
    go = documents.redo if way == "redo" else documents.undo
    try:
        document = go(name, based_on=call.number("revision"))
    except Conflict as conflict:
        return paper_conflict(call, conflict, would(conflict.current, way), back)
    return kept(call, document, back)


def kept(call: Call[Desk], document: Document, back: str) -> Response:
    """Answer with the revision that was written, and what undo and redo would do from there."""
    return call.json({"revision": document.revision, **ways_back(document)}) if call.wants_json else call.go(back)
