"""Sending: a quote is frozen as it stands with its papers and its offers, and noted as sent."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from threading import Lock
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.base.version import made_by
from pricing.desk import lacking
from pricing.desk.aside import seen
from pricing.desk.call import BadRequestError
from pricing.desk.desk import Desk, Sheaf, job_paper
from pricing.desk.frozen import outgoing, papers_of
from pricing.desk.offered import Going, Kept, Mark, going, kept_of, mark
from pricing.desk.studio import for_job
from pricing.output.offer.content import Kind
from pricing.quoting.lacks import Lack
from pricing.quoting.quote import Quote
from pricing.store import StoreError
from pricing.store.quotes import SentQuote

_NOT_YET: Final = "Nothing was sent yet."
_WAITS: Final = 2.0
"""Seconds that papers of a large job are waited for: what others send waits meanwhile."""
SENDING: Final = Lock()
"""One quote is sent at a time, so that none gets a number twice."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a form asks to be sent.

    Attributes
    ----------
    job : int
        Of which.
    revision, version : int
        What the page showed, and the version that it was to become; 0 where a page says none.
    kind : {"packing", "sale"}
        Of its offers.
    words : mapping of str to str
        The form: the list of lacks that was looked at, and a word on each grave one; ``word`` for a draft without any.
    to, on : str
        The offer that is marked as sent at once, by the name of its files, and the day; empty for none.
    """

    job: int
    revision: int
    version: int
    kind: Kind
    words: Mapping[str, str]
    to: str = ""
    on: str = ""


def lacks_of(sheaf: Sheaf) -> tuple[Lack, ...]:
    """Return what the total of a job lacks, as it would be sent now."""
    now = sheaf.moving
    return now.answer.quote.lacks if now and now.answer else ()


def offers_of(desk: Desk, sheaf: Sheaf, quote: Quote, kind: Kind) -> Going:
    """Make the offers of a job's quote, with what the desk keeps for them; of a large job they are waited for."""
    logo, shown = desk.papers.rulings.logo, desk.pictures(sheaf.content, quote)
    client, what = sheaf.row.client, f"{_NOT_YET} The offers that go out with it"
    key = ("offers", kind, client, seen(shown), logo)
    make = partial(going, quote, kind, client, shown, logo)
    return desk.made(sheaf.row.id, quote, key, what, make, longest=_WAITS)


def _papers(desk: Desk, job: int, quote: Quote, pictures: Mapping[str, bytes]) -> dict[str, bytes]:
    """Make the papers of a quote; of a large job they are waited for."""
    make, what = partial(papers_of, quote, "sent", pictures), f"{_NOT_YET} The papers that go out with it"
    return desk.made(job, quote, ("sent", seen(pictures)), what, make, longest=_WAITS)


def send(desk: Desk, asked: Asked) -> None:
    """Freeze a quote as it stands with its papers, a word for all grave that it lacks, and note that it was sent.

    The papers are made first, outside the transaction that writes quote, papers and standing together: a quote is sent
    with all of them or not at all, nothing is left to be made up for after a crash, and other pages need not wait for
    the store meanwhile. Where the button was pressed twice nothing more happens.

    Raises
    ------
    ValueError
        When another state was looked at, or a word is missing.
    StoreError
        When it cannot be sent as it is; nothing happened then.
    SettlingError
        While its figure settles.
    pricing.desk.aside.AsideError
        While the papers of a large job are made.
    """
    job = asked.job
    with SENDING:
        sheaf = desk.sheaf(job)
        if asked.version and asked.version <= sheaf.row.versions:
            return
        if sheaf.document.revision != asked.revision:
            raise BadRequestError("the job was changed since this page was opened; look at it again before it is sent")
        now = sheaf.moving
        if now is None:
            raise StoreError("it is pinned, and nothing else was entered since; what was pinned has its papers already")
        if now.answer is None:
            raise StoreError("there is no price yet; mend the table first")
        desk.wait_for(sheaf, "what is sent")
        words = lacking.words_for(lacks_of(sheaf), asked.words)
        office, quote = for_job(desk.papers.office(job), sheaf.content), now.answer.quote
        try:
            offered = offers_of(desk, sheaf, quote, asked.kind)
        except FaultsFound as error:
            told = "; ".join(map(str, error.faults))
            raise StoreError(f"nothing was sent, since its offer cannot be made: {told}") from error
        papers = _papers(desk, job, quote, offered.pictures)
        going_out = outgoing(sheaf.row.name, sheaf.content, quote, office, words, offered, papers)
        store = desk.store
        with store.database.writing():
            if store.documents.get(job_paper(job)) != sheaf.document:
                raise BadRequestError(
                    "the job was changed while its papers were made; look at it again before it is sent"
                )
            sent = store.quotes.freeze(job, going_out, made_by())
            store.jobs.stand(job, "sent", going_out.sent_on, sent.total, f"version {sent.version}")
            if asked.to:
                kept = kept_named(sent, asked.to)
                typed = " ".join(asked.words.get("word", "").split())
                word = ("; ".join(dict.fromkeys(words.values())) or typed) if kept.warning else ""
                mark(store, job, Mark(sent.version, kept.name, asked.on, word[:200]), kept)


def kept_named(sent: SentQuote, name: str) -> Kept:
    """Return an offer that is kept with a sent quote; LookupError where none of that name is."""
    for each in kept_of(sent):
        if each.name == name:
            return each
    raise LookupError(f"version {sent.version} keeps no {name[:80]}")
