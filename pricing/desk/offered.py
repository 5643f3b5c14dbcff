"""Offers on the desk: their pictures, the ones that are kept with a sent quote, and which of those went to whom.

An offer is kept byte for byte with the other papers of a quote that is sent. That it went out is a mark of its own: the
same version may go to several clients, on several days. Marks are a document of the job, with the same way back as all.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from typing import Any, Final, get_args

from nesting.base.writing import PLAIN, Writing
from pricing.desk.content import Content
from pricing.output.offer.content import LOGO, READY, TITLES, Kind, Offer
from pricing.output.offer.files import names_of, offers, paper_of
from pricing.output.offer.letter import letter
from pricing.output.offer.pages import offer_pdf
from pricing.output.offer.pictures import taken
from pricing.output.offer.sheet import offer_xlsx
from pricing.quoting.quote import Quote
from pricing.store import Document, Store, StoreError
from pricing.store.quotes import SentQuote

MOST_WORD: Final = 200
"""Characters of the word with which a draft goes out."""


def offers_paper(job: int) -> str:
    """Return the name of the document in which a job's offers are marked."""
    return f"offers:{job}"


@dataclass(frozen=True, slots=True)
class Kept:
    """An offer that is kept with a sent quote.

    Attributes
    ----------
    name : str
        Of its files, without the ending.
    client : str
        Whom it is for.
    kind : {"packing", "sale"}
        What it offers.
    total, currency : str
        What it comes to.
    warning : str
        What stands at its head: a draft, or something that it lacks.
    letter : str
        The text of the e-mail that it goes out with.
    digest : str
        Of all that it says; see :func:`digest_of`.
    """

    name: str
    client: str
    kind: Kind
    total: str
    currency: str
    warning: str = ""
    letter: str = ""
    digest: str = ""

    @property
    def title(self) -> str:
        """What it is called."""
        return TITLES[self.kind]


@dataclass(frozen=True, slots=True)
class Mark:
    """That an offer went out: of which version, under which name, on which day, and the word on a draft."""

    version: int
    name: str
    on: str
    word: str = ""

    @property
    def day(self) -> date:
        """The day."""
        return date.fromisoformat(self.on)


@dataclass(frozen=True)
class Going:
    """The offers that go out with a quote.

    Attributes
    ----------
    made : tuple of Offer
        One for each client.
    unnamed : str
        Whom those are for that the order gives to nobody.
    files : mapping of str to bytes
        A PDF and a workbook of each, by name.
    logo : int
        The picture at their head, by its number in the store; 0 for none.
    pictures : mapping of str to bytes
        Those of the works and that one, made small.
    writing : Writing
        How figures and days are written in them.
    """

    made: tuple[Offer, ...] = ()
    unnamed: str = ""
    files: Mapping[str, bytes] = field(default_factory=dict)
    logo: int = 0
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    writing: Writing = PLAIN

    @property
    def kept(self) -> tuple[Kept, ...]:
        """What is kept of each beside its files."""
        return tuple(
            Kept(
                name,
                offer.client,
                offer.kind,
                str(offer.total),
                offer.currency,
                offer.warning,
                self.writing.told(letter(offer)),
                digest_of(offer),
            )
            for name, offer in zip(names_of(self.made), self.made, strict=True)
        )

    @property
    def facts(self) -> dict[str, Any]:
        """The same as plain values for JSON, with what they were made of."""
        return {"kept": [asdict(each) for each in self.kept], "unnamed": self.unnamed, "logo": self.logo}


def digest_of(offer: Offer) -> str:
    """Return what is another text for an offer that says anything else, its number and what its day moves aside."""
    facts = [each for each in offer.facts if each[0] != READY]
    plain = replace(offer, number="", day="", until="", facts=tuple(facts))
    return hashlib.sha256(repr(plain).encode()).hexdigest()[:16]


def kind_of(text: str) -> Kind:
    """Return the kind of offers that is asked for; packing and shipping where none is.

    Raises
    ------
    ValueError
        For any other word.
    """
    for kind in get_args(Kind):
        if kind == (text or "packing"):
            return kind  # type: ignore[no-any-return]  # one of the words
    raise ValueError(f"kind: {' or '.join(get_args(Kind))}")


def pictures(store: Store, content: Content, quote: Quote, logo: int) -> dict[str, bytes]:
    """Return the photos of a job's pieces and the studio's logo, made small."""
    pieces = {artwork.piece for artwork in quote.build.order.artworks}
    wanted = {piece: number for piece, number in content.photos.items() if piece in pieces}
    found = taken((piece, data) for piece, number in wanted.items() if (data := store.jobs.picture(number)))
    head = store.jobs.picture(logo) if logo else None
    return {**found, **({LOGO: head} if head else {})}


def going(quote: Quote, kind: Kind, unnamed: str, shown: Mapping[str, bytes], logo: int = 0) -> Going:
    """Make the offers of a kind to every client of a quote, with their files.

    Raises
    ------
    FaultsFound
        Where works are to be sold and some have no price.
    """
    made, paper, writing = offers(quote, kind, unnamed), paper_of(quote), quote.build.writing
    files: dict[str, bytes] = {}
    for name, offer in zip(names_of(made), made, strict=True):
        files[f"{name}.pdf"] = offer_pdf(offer, shown, paper, writing)
        files[f"{name}.xlsx"] = offer_xlsx(offer, paper, shown.get(LOGO), writing)
    return Going(made, unnamed, files, logo, shown, writing)


def kept_of(sent: SentQuote) -> tuple[Kept, ...]:
    """Return the offers that are kept with a sent quote; none of one that was sent before they were."""
    facts = json.loads(sent.content).get("offers", {})
    return tuple(Kept(**each) for each in facts.get("kept", ()))


def marks_in(document: Document) -> tuple[Mark, ...]:
    """Return the marks of a job, oldest first."""
    return tuple(Mark(**each) for each in json.loads(document.content)) if document.content else ()


def mark(store: Store, job: int, made: Mark, kept: Kept) -> None:
    """Mark an offer that is kept as sent; once it is, it stays as it was marked.

    Raises
    ------
    StoreError
        Where it is a draft, and the word on that is missing or too long.
    """
    if kept.warning and not made.word:
        raise StoreError(f"it was not marked: {kept.warning} Write a word on why it goes out so")
    if len(made.word) > MOST_WORD:
        raise StoreError(f"it was not marked: {len(made.word)} characters found, at most {MOST_WORD} accepted")
    with store.database.writing():
        document = store.documents.get(offers_paper(job))
        now = marks_in(document)
        if any((each.version, each.name) == (made.version, made.name) for each in now):
            return
        _save(store, job, document, (*now, made), f"offer to {kept.client} marked as sent")


def unmark(store: Store, job: int, version: int, name: str) -> None:
    """Take a mark out; it can be put back by undo."""
    with store.database.writing():
        document = store.documents.get(offers_paper(job))
        now = marks_in(document)
        left = tuple(each for each in now if (each.version, each.name) != (version, name))
        if left != now:
            _save(store, job, document, left, f"mark on {name} of version {version} taken out")


def _save(store: Store, job: int, document: Document, marks: tuple[Mark, ...], what: str) -> None:
    text = json.dumps([asdict(each) for each in marks], indent=1, ensure_ascii=False)
    store.documents.save(offers_paper(job), text, based_on=document.revision, what=what[:120], over_built_in=True)
