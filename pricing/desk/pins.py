"""Pinned jobs: what is pinned of a job, how it comes to be pinned, and what a later version of it is given."""

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any, Final, Literal

from nesting.base.version import made_by
from nesting.cutting.sheets import Layout
from nesting.cutting.sticks import StickPlan
from pricing.desk.content import Content, content_from
from pricing.desk.conversion import Conversion
from pricing.desk.frozen import content_of, papers_of, thaw
from pricing.desk.recent import Recent
from pricing.output.tables import quote_document
from pricing.quoting.quote import Quote
from pricing.quoting.sawn import Sawn
from pricing.quoting.ticked import Ticked, remains, sawn_of
from pricing.store import Conflict, Document, Store, StoreError
from pricing.store.pins import Cut, Pin, Pinning, Ticking
from pricing.store.plans import plan_text
from pricing.store.quotes import SentQuote
from pricing.store.rackroom import TakenError
from pricing.studio.rack import Rack

_KEPT: Final = 48
_Held = tuple[int, Quote, Mapping[tuple[str, int], int]]
_UNPRINTED: Final = (
    "Its papers are not made yet: they are made behind the pages, after it was pinned and whenever the desk is opened; "
    "ask again then."
)
_MOVED: Final = "the job was changed since this page was opened; look at it again first"


@dataclass(frozen=True)
class Pinned:
    """A job as it is pinned.

    Attributes
    ----------
    pin : Pin
        When, why, and what was entered.
    quote : Quote or None
        What came of it; None where this program cannot read it: its tables and papers are kept all the same.
    sawn : mapping of (str, int) to int
        How many are sawn of each layout of which any is, by good and place.
    based_on : int
        The revision of what is pinned and sawn.
    made : int
        How many cuts are ticked at the saw.
    """

    pin: Pin
    quote: Quote | None
    sawn: Mapping[tuple[str, int], int]
    based_on: int
    made: int = 0

    @cached_property
    def content(self) -> Content:
        """What was entered."""
        return content_from(self.pin.content)

    @cached_property
    def result(self) -> dict[str, Any]:
        """The quote as tables."""
        made: dict[str, Any] = json.loads(self.pin.result)
        return made

    @property
    def trouble(self) -> str:
        """Why there is no more of it than tables and papers, in a sentence; empty where there is."""
        if self.quote is not None:
            return ""
        if self.pin.sent and self.pin.made_by == made_by():
            return (
                f"{made_by()} comes to other figures than were sent as version {self.pin.sent}, so there is no plan of "
                "it to cut by: what was sent stands, as its tables show it."
            )
        return (
            f"{made_by()} cannot read the plan that {self.pin.made_by} pinned: what was pinned stands, as its tables "
            "and papers show it."
        )


@dataclass(frozen=True)
class Begun:
    """What exists of a job before a later version of it is planned.

    Attributes
    ----------
    sawn : Sawn
        What is cut and bought, and what that came to.
    offcuts : mapping of str to int
        Offcuts of the rack that are sawn: those that the job has taken, but that are no more.
    """

    sawn: Sawn
    offcuts: Mapping[str, int] = field(default_factory=dict)

    def left_of(self, rack: Rack) -> Rack:
        """Return the rack without what is sawn of it."""
        counts = ((each, each.count - self.offcuts.get(each.name, 0)) for each in rack.offcuts)
        return replace(rack, offcuts=tuple(replace(each, count=count) for each, count in counts if count > 0))


def bought_before(quote: Quote) -> dict[str, Decimal]:
    """Return how many of each stock were bought for the versions before that of a quote: they are on no list of it."""
    found: dict[str, Decimal] = {}
    for batch in quote.sawn.batches if quote.sawn else ():
        for row in batch.rows:
            found[row.stock] = found.get(row.stock, Decimal(0)) + row.bought
    return found


def plans_of(quote: Quote) -> tuple[Layout | StickPlan, ...]:
    """Return every cutting plan of a quote."""
    return (*quote.build.layouts, *quote.build.stick_plans)


def stock_of(plan: Layout | StickPlan) -> list[tuple[Any, int]]:
    """Return the sheet or stick of every layout of a plan, with how many are cut so."""
    if isinstance(plan, Layout):
        return [(each.sheet, each.repeat) for each in plan.sheets]
    return [(each.stick, each.repeat) for each in plan.sticks]


def stamp_of(quote: Quote) -> str:
    """Return a text that is another for other cutting plans: what a page showed of them."""
    return hashlib.sha256("\n".join(plan_text(plan) for plan in plans_of(quote)).encode()).hexdigest()[:16]


def from_rack(quote: Quote, sawn: Mapping[tuple[str, int], int] | None = None) -> dict[str, int]:
    """Return what the plans cut from the rack, by offcut; what is sawn of it only, where that is given."""
    found: Counter[str] = Counter()
    for plan in plans_of(quote):
        for number, (stock, repeat) in enumerate(stock_of(plan)):
            count = repeat if sawn is None else sawn.get((plan.good, number), 0)
            if stock.source == "rack" and count:
                found[stock.name] += count
    return dict(found)


class Pinboard:
    """What is pinned of every job.

    Parameters
    ----------
    store : Store
        Where it is kept.
    conversion : Conversion
        For the papers of sent quotes, which are those of what is pinned as it was sent.
    """

    def __init__(self, store: Store, conversion: Conversion) -> None:
        self._store = store
        self._conversion = conversion
        self._quotes: Recent = Recent(_KEPT)

    def forget(self) -> None:
        """Forget every quote that was read, after all that is stored was replaced."""
        self._quotes = Recent(_KEPT)

    def of(self, job: int) -> Pinned | None:
        """Return what is pinned of a job, or None."""
        pin = self._store.pins.current(job)
        if pin is None:
            return None
        document, cut = self._store.pins.document(job), self._store.pins.cut(job)
        made = sum(each[0] == pin.number for each in cut.made)
        return Pinned(pin, self._quote(pin), cut.of(pin.number), document.revision, made)

    def _quote(self, pin: Pin) -> Quote | None:
        key = (pin.job, pin.number, pin.at)
        if key not in self._quotes:
            self._quotes[key] = self._store.pins.quote(pin.job, pin.number)
        found: Quote | None = self._quotes[key]
        return found

    def paper(self, pin: Pin, name: str) -> bytes:
        """Return a paper of what is pinned, byte for byte; LookupError, which says why, where there is none."""
        if not pin.sent:
            if not self._conversion.printed(pin.job, pin.number):
                raise LookupError(_UNPRINTED)
            return self._store.pins.paper(pin.job, pin.number, name)
        sent = self._store.quotes.get(pin.job, pin.sent)
        printing = self._conversion.printing(sent)
        if printing is None or printing.trouble:
            raise LookupError(printing.trouble if printing else "its papers are not made yet; ask again soon")
        return self._store.sent_papers.get(pin.job, pin.sent, name)

    # How a job comes to be pinned.

    def as_it_stands(self, document: Document, content: Content, quote: Quote, why: str, on: date) -> Pinning:
        """Return a job as it stands, about to be pinned; its papers are made afterwards, for they take seconds."""
        return Pinning(why, on, document.revision, content.text(), quote, json.dumps(quote_document(quote)))

    def make_papers(
        self,
        job: int,
        number: int,
        pictures: Callable[[Content, Quote], Mapping[str, bytes]],
        ended: Callable[[], bool],
    ) -> bool:
        """Make the papers of a pin from what it keeps; none are kept where it is ended before. Return whether they are.

        Of what this program cannot read, or cannot print, none is made; what is pinned stands all the same.
        """
        pin = self._store.pins.get(job, number)
        quote = self._quote(pin)
        if quote is None:
            return False
        try:
            papers = papers_of(quote, "kept", pictures(content_from(pin.content), quote), ended)
        except StoreError:
            return False
        if not papers:
            return False
        self._store.pins.keep_papers(job, number, papers)
        return True

    def as_it_was_sent(self, sent: SentQuote, document: Document, why: str, on: date) -> Pinning:
        """Return a job as it was sent, about to be pinned; where its quote cannot be worked through any more, without.

        Its papers are those that were sent.
        """
        try:
            quote: Quote | None = thaw(sent)
        except StoreError:
            quote = None
        why = f"{why}: version {sent.version} as it was sent"
        return Pinning(why, on, document.revision, content_of(sent).text(), quote, sent.result, sent.version)

    def sent_as_it_is(self, job: int, content: Content) -> SentQuote | None:
        """Return the latest quote that was sent of a job, if what was entered is still the same; or None."""
        sent = self._store.quotes.of(job)[:1]
        return next((each for each in sent if content_of(each).as_it_is() == content.as_it_is()), None)

    def pin(
        self,
        document: Document,
        pinning: Pinning,
        job: int,
        based_on: int,
        sawn: tuple[str, int, int] | Ticking | None = None,
    ) -> Pin:
        """Pin a job within the caller's transaction, and take from the rack what its plans cut from it.

        Raises
        ------
        StoreError
            When the job was changed since `document`, or an offcut that the plans cut from is another's by now.
        """
        store = self._store
        with store.database.writing():
            if store.documents.get(document.name) != document:
                raise StoreError(_MOVED)
            if pinning.quote is not None:
                self._take(job, pinning.quote)
            try:
                pin = store.pins.pin(job, pinning, made_by(), based_on=based_on, sawn=sawn)
            except Conflict as conflict:
                raise StoreError(_MOVED) from conflict
            self._quotes[pin.job, pin.number, pin.at] = pinning.quote
            return pin

    def _take(self, job: int, quote: Quote) -> None:
        """Take what the plans cut from the rack, beside what earlier pins of the job have sawn from it."""
        wants = Counter(from_rack(quote))
        for _, earlier, sawn in self._held(job, self._store.pins.cut(job)):
            wants.update(from_rack(earlier, sawn))
        try:
            self._store.rack.take(job, {**self._store.rack.taken(job), **wants})
        except TakenError as error:
            names = ", ".join(error.names)
            raise StoreError(
                f"nothing was pinned: the plans cut from {names}, which another job has taken or nobody finds on the "
                "rack; put it there again, or send the job anew with other plans"
            ) from error

    def step(self, job: int, way: Literal["undo", "redo"], *, based_on: int) -> None:
        """Undo or redo the latest pin, tick or unpinning; what is pinned by it takes its offcuts again.

        Raises
        ------
        pricing.store.Conflict
            When something was pinned, ticked or unpinned since revision `based_on`.
        LookupError
            When nothing is left to undo or redo.
        StoreError
            When an offcut that the plans cut from is another's by now; nothing is changed then.
        """
        with self._store.database.writing():
            before = self._store.pins.cut(job).pins
            self._store.pins.step(job, way, based_on=based_on)
            pinned = self.of(job)
            if pinned and pinned.quote and pinned.pin.number not in before:
                self._take(job, pinned.quote)

    def pin_what_was_accepted(self, job: int, document: Document, on: date) -> None:
        """Pin a job that an earlier program let be accepted, at what was sent last, as it was sent.

        Its offcuts stay as they are taken or not: that program left them to whoever took them.
        """
        sent = next(iter(self._store.quotes.of(job)), None)
        if sent is None:
            return
        pinning = self.as_it_was_sent(sent, document, "accepted", on)
        with self._store.database.writing():
            now = self._store.pins.document(job)
            if not self._store.pins.ever(job) and self._store.quotes.of(job)[:1] == [sent]:
                self._store.pins.pin(job, pinning, made_by(), based_on=now.revision)

    # What a later version is given.

    def begun(self, job: int) -> Begun | None:
        """Return what exists of a job; None where nothing of it is sawn or fetched, or it is not pinned.

        Raises
        ------
        StoreError
            When something is sawn of a plan that this program cannot read.
        """
        held = self._held(job, self._store.pins.cut(job))
        if not held:
            return None
        number, quote, cut = held[-1]
        before = bought_before(quote)
        fetched = {
            stock: max(0, int(count - before.get(stock, 0))) for stock, count in self._store.jobs.fetched(job).items()
        }
        # What was put on the rack is there for other jobs, and no longer this one's.
        racked = any(each.from_job == job for gone in (False, True) for each in self._store.rack.all(gone=gone))
        done = Ticked(number, cut, fetched)
        sawn = sawn_of(quote, done if racked else replace(done, free=remains(quote, done)))
        offcuts: Counter[str] = Counter()
        for _, each, ticks in held:
            offcuts.update(from_rack(each, ticks))
        return Begun(sawn, dict(offcuts)) if sawn != Sawn() else None

    def _held(self, job: int, cut: Cut) -> list[_Held]:
        """Return the number and quote of every pin that holds, with what is sawn of it."""
        found: list[_Held] = []
        for number in cut.pins:
            quote = self._quote(self._store.pins.get(job, number))
            if quote is None and cut.of(number):
                raise StoreError("something is sawn of a plan that this program cannot read; nothing new is planned")
            if quote is not None:
                found.append((number, quote, cut.of(number)))
        return found
