"""What the pages of the studio's own papers share: saving with a conflict told, undo and redo."""

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field
from typing import Final

from starlette.responses import Response

from pricing.desk.call import BadRequestError, Call
from pricing.desk.content import CellChange
from pricing.desk.desk import Desk
from pricing.desk.steps import said, way_of, ways_back, would
from pricing.store import Conflict, Document


@dataclass(frozen=True, slots=True)
class Field:
    """A cell of a paper's row, as its form asks for it.

    Attributes
    ----------
    name : str
        Its column.
    choices : tuple of str
        What it may hold, where that is a choice; the first stands for a blank cell.
    meant : str
        What it may hold, where its name alone does not say it.
    offered : str
        The list of the page that it offers, by its id.
    long, is_day : bool
        Whether it takes several lines, or a day.
    label : str
        What people call it; its column where nothing is said.
    more : str
        Below which heading it is folded away; empty for what a first row needs.
    """

    name: str
    choices: tuple[str, ...] = ()
    meant: str = ""
    offered: str = ""
    long: bool = False
    is_day: bool = False
    label: str = ""
    more: str = ""


_LONGEST: Final = 120
_TRIES: Final = 5
"""How often a change is made again on top of what others save at the same moment."""


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of some fields of a paper, by what it makes of the paper's text.

    Attributes
    ----------
    what : callable
        Says of a text what the change of it is, in words.
    make : callable
        Makes the change to a text.
    stands : callable
        What the fields that it touches say in a text, by their labels.
    values : callable
        What the fields that were typed say in the changed text, by their names, as they are shown then.
    """

    what: Callable[[str], str]
    make: Callable[[str], str]
    stands: Callable[[str], Mapping[str, str]]
    values: Callable[[str], Mapping[str, str]] = field(default=lambda _: {})


def save_edit(call: Call[Desk], name: str, edit: Edit, back: str) -> Response:
    """Save some fields of a paper as they were typed.

    Where others saved other fields since the page was shown, the change is made on top of theirs, and the page is told
    so; where it is the same fields, both are offered. What stands there already is saved: it is sent again by a page
    that was loaded anew before it was answered.
    """
    documents, revision = call.desk.store.documents, call.number("revision")
    for _ in range(_TRIES):
        current = documents.get(name)
        base = current if current.revision == revision else documents.at(name, revision)
        shown = "" if revision == 0 else base.content if base else None  # nothing saved yet is what is built in
        if shown is None or edit.stands(shown) != edit.stands(current.content):
            made, document = edit.make(current.content), current
            if edit.stands(made) != edit.stands(current.content):
                return _edit_conflict(call, Conflict(current, base), edit, back)
        else:
            try:
                made, what = edit.make(current.content), edit.what(current.content)
                document = call.desk.papers.save(name, made, based_on=current.revision, what=what[:_LONGEST])
            except Conflict:
                continue
        if not call.wants_json:
            return call.go(back)
        facts = {"revision": document.revision, "values": edit.values(made), "merged": current.revision != revision}
        return call.json({**facts, **ways_back(document)})
    return _edit_conflict(call, Conflict(documents.get(name), documents.at(name, revision)), edit, back)


def _edit_conflict(call: Call[Desk], conflict: Conflict, edit: Edit, back: str) -> Response:
    """Tell what was saved in the same fields meanwhile, and offer both."""
    before = edit.stands(conflict.base.content if conflict.base else "")
    now = edit.stands(conflict.current.content)
    wanted = edit.stands(edit.make(conflict.current.content))
    theirs = _changes(before, now)
    if call.wants_json:
        facts = {
            "conflict": True, "what": said(conflict.current), "at": conflict.current.at,
            "revision": conflict.current.revision, "theirs": [asdict(each) for each in theirs],
            "mine": [asdict(each) for each in _changes(before, wanted)],
        }  # fmt: skip
        return call.json(facts, 409)
    fields = {name: value for name, value in call.form.items() if name != "revision"}
    return call.page(
        "conflict.html", 409, conflict=conflict, what=edit.what(conflict.current.content), theirs=theirs,
        fields=fields, back=back, action=call.request.url.path,
    )  # fmt: skip


def _changes(before: Mapping[str, str], after: Mapping[str, str]) -> list[CellChange]:
    return [
        CellChange(0, name, before.get(name, ""), text) for name, text in after.items() if before.get(name, "") != text
    ]


@dataclass(frozen=True, slots=True)
class Rows:
    """A paper that is a table, as rows of text.

    Attributes
    ----------
    columns : tuple of str
        Of the rows, the first of which names a row.
    read, write : callable
        From the paper's text to rows, and back; what will not do raises ``FaultsFound`` there.
    """

    columns: tuple[str, ...]
    read: Callable[[str], list[list[str]]]
    write: Callable[[list[list[str]]], str]

    def edit(self, old: str, typed: Mapping[str, str]) -> Edit:
        """Return the change of some cells of one row."""
        name = typed.get(self.columns[0], old)

        def row(text: str, called: str) -> dict[str, str]:
            found = next((each for each in self.read(text) if each[0] == called), None)
            return dict(zip(self.columns, found, strict=True)) if found else {}

        def make(text: str) -> str:
            if not row(text, old):
                raise BadRequestError(f"there is no {old} any more")
            changed = list({**row(text, old), **typed}.values())
            return self.write(rows_with(self.read(text), old, changed))

        def stands(text: str) -> dict[str, str]:
            kept = row(text, old) or row(text, name)
            return {f"{old}, {column}": kept.get(column, "") for column in typed}

        def values(text: str) -> dict[str, str]:
            return {**{column: row(text, name).get(column, "") for column in typed}, "old": name}

        told = ", ".join(f"{column} {text or 'left blank'}" for column, text in typed.items())
        return Edit(lambda _: f"{old}: {told}", make, stands, values)


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
