"""Steps of undo in words: what each is, and the page that it was done on, so that none is taken back unseen.

What a change was stands with its revision. A job's bears the page that it was made on before the words, as in
``[money] price of ply-3/8 4x8: 97.50``; those that were saved before there were such marks bear none. The studio's own
papers have each a page of their own, which a mark overrules where something was done elsewhere.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from pricing.store.documents import REDONE, UNDONE, Document

_JOB: Final[Mapping[str, str]] = {
    "artworks": "Artworks", "crates": "Crates", "ways": "Ways to pack", "sheets": "Sheets", "money": "Money",
    "client": "Offer", "plan": "Plan", "what-if": "What if", "yard": "Yard", "record": "Record",
}  # fmt: skip
_STUDIO: Final[Mapping[str, tuple[str, str]]] = {
    "prices": ("Prices", "/prices"), "rules": ("Shop", "/rules"),
    "destinations": ("Shop, destinations", "/rules#places"), "rack": ("Rack", "/rack"),
    "parties": ("Parties", "/parties"), "learned": ("Learnt from jobs", "/learned"),
}  # fmt: skip
_MARK: Final = re.compile(r"\[([a-z-]+)\] ")
_LEFT: Final = re.compile(r"job (\d+)(?:: | left )")
"""How the rack says what a job left, which is put there from the job's page of sheets."""
_LONGEST: Final = 120
_SAID: Final = {"undone": "taken back", "redone": "done again"}
"""What a step of an earlier change is called, by the word that is stored of it."""


@dataclass(frozen=True, slots=True)
class Step:
    """One change of a document.

    Attributes
    ----------
    what : str
        In words.
    way : str
        ``"undone"`` or ``"redone"`` where it is the step of an earlier change; empty for a change itself.
    page, address : str
        Where it was done; empty where that is not known.
    """

    what: str
    way: str
    page: str
    address: str

    @property
    def placed(self) -> str:
        """Say what it was and where."""
        return f"{self.what}, on {self.page or 'this job'}"


def marked(page: str, what: str) -> str:
    """Return what a change was, as it is saved, with the page that it was made on; without, where that is none."""
    return f"[{page}] {what}"[:_LONGEST] if page else what[:_LONGEST]


def page_of(path: str) -> str:
    """Return the page of a job that an address leads to; empty where it is none of those on which a job is changed."""
    parts = re.split("[/#?]", path)
    return parts[3] if len(parts) > 3 and parts[1] == "jobs" and parts[3] in _JOB else ""


def step(name: str, saved: str) -> Step:
    """Read what was saved with a revision of a document of that name."""
    way = next((each for each in (UNDONE, REDONE) if saved.startswith(each)), "")
    what = saved.removeprefix(way)
    mark = _MARK.match(what)
    where = _where(name, mark[1]) if mark else ("", "")
    if mark and where[0]:
        return Step(what[mark.end() :], way.rstrip(": "), *where)
    left = _LEFT.match(what) if name == "rack" else None
    where = (f"Sheets of job {left[1]}", f"/jobs/{left[1]}/sheets") if left else _where(name, name.partition(":")[0])
    return Step(what, way.rstrip(": "), *where)


def _where(name: str, page: str) -> tuple[str, str]:
    """Return title and address of a page, for a document of that name."""
    kind, _, number = name.partition(":")
    if kind == "offers":
        return _JOB["client"], f"/jobs/{number}/client"
    if kind == "job" and page in _JOB:
        return _JOB[page], f"/jobs/{number}/{page}"
    return _STUDIO.get(page, ("", "")) if kind in _STUDIO else ("", "")


def said(document: Document) -> str:
    """Return what a revision's change was, for a history; with where, unless that is the document's own page."""
    found = step(document.name, document.what)
    own = _where(document.name, document.name)[0]
    text = found.what if found.page in ("", own) else found.placed
    return f"{_SAID[found.way]}: {text}" if found.way else text


def words(document: Document) -> str:
    """Return what a revision's change was, without where."""
    return step(document.name, document.what).what


def ways_back(document: Document) -> dict[str, Any]:
    """Return what the buttons of undo and redo say, empty where there is no such way, and what was stepped last.

    The last is there while the revision is that of an undo or a redo: what it took back, with the page that it took it
    back on, so that nothing done elsewhere goes in silence.
    """
    told: dict[str, Any] = {"undo": "", "redo": "", "stepped": None}
    if document.can_undo:
        told["undo"] = f"Take back: {_button(document, document.undoes)}"
    if document.can_redo:
        told["redo"] = f"Do again: {_button(document, document.redoes)}"
    last = step(document.name, document.what)
    if last.way:
        head = "Taken back" if last.way == "undone" else "Done again"
        told["stepped"] = {"text": f"{head}: {last.what}", "page": last.page, "address": last.address}
    return told


def would(document: Document, way: Literal["undo", "redo"]) -> str:
    """Return what a step would do from here, for whoever asked for it before another change came between."""
    return str(ways_back(document)[way]) or f"Nothing is left to {way}"


def way_of(text: str) -> Literal["undo", "redo"]:
    """Return which way a form asks for."""
    return "redo" if text == "redo" else "undo"


def _button(document: Document, saved: str) -> str:
    if not saved:
        return "an earlier change"
    return step(document.name, saved).placed
