"""What a total lacks, on the desk: each line with the page and field that mend it, and the words it goes out with."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any, Final
from urllib.parse import quote as quoted

from nesting.base.counts import plural
from pricing.desk.views import anchor
from pricing.quoting.incomplete import no_freight, told
from pricing.quoting.lacks import ADD, Lack, Mend, Page, graves
from pricing.store.quotes import SentQuote

_PAGES: Final[Mapping[Page, tuple[str, str, str]]] = {
    "artworks": ("Artworks", "/jobs/{job}/artworks", ""),
    "crates": ("Crates", "/jobs/{job}/crates", ""),
    "sheets": ("Sheets", "/jobs/{job}/sheets", ""),
    "money": ("Money", "/jobs/{job}/money", ""),
    "prices": ("Prices", "/prices", ""),
    "places": ("Shop, destinations", "/rules", "places"),
    "parties": ("Parties", "/parties", ""),
    "currencies": ("Shop, currencies", "/rules", "currencies"),
    "passage": ("Shop, passage", "/rules?group=passage", "r-passage.door_width"),
}
"""What each page is called, its address, and what is meant where no field is named."""
_ADDED: Final[Mapping[Page, str]] = {
    "parties": "/parties?add={name}&back={back}#party-new", "places": "/rules?place={name}&back={back}#destination-new",
    "currencies": "/rules?currency={name}&back={back}#currency-new",
}  # fmt: skip
"""Where a row is added, by its name; once it is, the job's other lacks are seen."""
_MOST_WORD: Final = 200
HELD: Final = ("held", "lapsed")
"""The kinds of lack that are crates which are held."""


def address(mend: Mend, job: int) -> str:
    """Return where on the desk something is mended; of a row that a table lacks, the form that adds it, begun."""
    _, path, usual = _PAGES[mend.page]
    if mend.page in _ADDED and (name := mend.at.removeprefix(ADD)) != mend.at:
        return _ADDED[mend.page].format(name=quoted(name, safe=""), back=quoted(f"/jobs/{job}/money", safe=""))
    at = anchor(mend.at) or usual
    return path.format(job=job) + (f"#{quoted(at, safe=',')}" if at else "")


def shown(lacks: Sequence[Lack], job: int) -> list[dict[str, Any]]:
    """Return what pages and scripts show of each."""
    return [
        {
            "kind": lack.kind, "grave": lack.grave, "text": lack.text, "line": lack.line,
            "where": _PAGES[lack.mend.page][0], "address": address(lack.mend, job),
        }
        for lack in lacks
    ]  # fmt: skip


def beside(lacks: Sequence[Lack], job: int) -> list[dict[str, Any]]:
    """Return what stands beside the total on every page: the grave ones, and how many others there are.

    What is held stands above the total by itself, with its reasons.
    """
    grave = graves(lacks)
    lines = shown([lack for lack in grave if lack.kind not in HELD], job)
    if more := len(lacks) - len(grave):
        text = plural(more, "more thing") + " to know" if lines else plural(more, "thing") + " to know"
        lines.append({"grave": False, "text": text, "where": "Money", "address": f"/jobs/{job}/money#lacks"})
    return lines


def stamp(lacks: Sequence[Lack]) -> str:
    """Return what tells what is grave in one list from another: a form sends it back, so that it was looked at.

    The others may change while a page is open, as a search that goes on finds better cuts.
    """
    return hashlib.sha256("\n".join(lack.line for lack in graves(lacks)).encode()).hexdigest()[:16]


def words_for(lacks: Sequence[Lack], form: Mapping[str, str]) -> dict[str, str]:
    """Return the word that a form gives for each grave kind.

    Raises
    ------
    ValueError
        When another list was looked at, or a word is missing or too long; all of it is told at once.
    """
    if form.get("seen") != stamp(lacks):
        raise ValueError(
            "Nothing was frozen: what the total lacks was not looked at as it is now. Open the page again, and look."
        )
    words = {lack.kind: " ".join(form.get(f"word-{lack.kind}", "").split()) for lack in graves(lacks)}
    wrong = [f"{lack.text}: found no word; accepted: why it goes out so"
             for lack in graves(lacks) if not words[lack.kind]]  # fmt: skip
    wrong += [f"{lack.text}: found {len(words[lack.kind])} characters; accepted: at most {_MOST_WORD}"
              for lack in graves(lacks) if len(words[lack.kind]) > _MOST_WORD]  # fmt: skip
    if wrong:
        raise ValueError("\n".join(["Nothing was frozen.", *wrong]))
    return words


def incomplete_of(document: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what a kept document of a quote says it is incomplete by.

    One that was kept before there was the word says it in its table of freight: what was to be charged and was refused.
    """
    if "incomplete" in document:
        return tuple(map(str, document["incomplete"]))
    rows = document.get("tables", {}).get("freight", ())
    refused = [row["destination"] for row in rows if row.get("standing") == "charged" and row.get("refused")]
    return tuple(dict.fromkeys(no_freight(str(place)) for place in refused))


def incomplete_sent(sent: SentQuote) -> str:
    """Return what stands beside the total of a sent quote; empty where it was complete."""
    return told(incomplete_of(json.loads(sent.result)))


def lacked(sent: SentQuote) -> list[dict[str, str]]:
    """Return what a quote lacked when it was sent, with the words; nothing of one sent before that was asked."""
    words = json.loads(sent.content).get("words", {})
    lacks = json.loads(sent.result).get("lacks", [])
    return [{"line": str(lack["line"]), "word": str(words.get(lack["kind"], ""))} for lack in lacks]
