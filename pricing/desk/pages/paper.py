"""What the pages of the studio's own papers share: saving with a conflict told, undo and redo."""

from starlette.responses import Response

from pricing.desk.call import Call
from pricing.desk.desk import Desk
from pricing.store import Conflict


def save_paper(call: Call[Desk], name: str, text: str, what: str, back: str) -> Response:
    """Save a paper that is based on the revision that the page showed."""
    try:
        document = call.desk.papers.save(name, text, based_on=call.number("revision"), what=what)
    except Conflict as conflict:
        return paper_conflict(call, conflict, what, back)
    if call.wants_json:
        return call.json({"revision": document.revision, "undo": document.can_undo, "redo": document.can_redo})
    return call.go(back)


def paper_conflict(call: Call[Desk], conflict: Conflict, what: str, back: str) -> Response:
    """Tell what was changed meanwhile, and offer both."""
    if call.wants_json:
        text = f"Not saved: somebody else saved meanwhile ({conflict.current.what}). The page now shows what stands."
        return call.json({"message": text, "revision": conflict.current.revision, "stale": True}, 409)
    fields = {name: value for name, value in call.form.items() if name != "revision"}
    return call.page(
        "conflict.html", 409, conflict=conflict, what=what, theirs=[], fields=fields, back=back,
        action=call.request.url.path,
    )  # fmt: skip


def step_paper(call: Call[Desk], name: str, back: str) -> Response:
    """Undo or redo the latest change of a paper."""
    documents = call.desk.store.documents
    go = documents.redo if call.text("way") == "redo" else documents.undo
    try:
        go(name, based_on=call.number("revision"))
    except Conflict as conflict:
        return paper_conflict(call, conflict, call.text("way"), back)
    return call.go(back)
