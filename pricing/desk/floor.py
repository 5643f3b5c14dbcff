"""A job's quote in two steps: a first figure at once, and the settled one where a longer search has found it."""

import hashlib
from collections import OrderedDict
from dataclasses import dataclass, replace
from datetime import date
from threading import Lock
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.base.search import Effort
from nesting.base.version import made_by
from nesting.crates.model import Crate
from nesting.order import Order
from pricing.desk.content import Content
from pricing.desk.pins import Begun
from pricing.desk.recent import Recent
from pricing.desk.rough import rough_total
from pricing.desk.settling import Figured, Figuring, Settled, Settling, figure, settled
from pricing.desk.short_list import Candidate, short_list
from pricing.desk.studio import Papers, for_job
from pricing.desk.taken import taken_of
from pricing.desk.ways import Lately
from pricing.quoting.plans import plans_of, priced, with_plans
from pricing.quoting.quote import Quote
from pricing.store.plans import plan_keys

_KEPT: Final = 48
_REMEMBERED: Final = 400
LIGHT: Final = 40
"""Pieces up to which a page waits for a figure, about a second; of more it is worked out behind the pages."""


@dataclass(frozen=True)
class Answer:
    """A quote, and how far it has come.

    Attributes
    ----------
    quote : Quote
        The priced build.
    effort : {"quick", "normal", "thorough"}
        How long it was searched.
    settled : bool
        Whether it is what the command comes to; a first figure may still change.
    stopped : bool
        Whether the search that it comes of was ended early.
    asked : Settling or None
        What has to be worked through for it to settle; None for what is pinned.
    key : str
        What it is the answer to, what is for people only included.
    """

    quote: Quote
    effort: Effort = "quick"
    settled: bool = True
    stopped: bool = False
    asked: Settling | None = None
    key: str = ""


class FailedError(RuntimeError):
    """A mistake of ours on a large order, behind the pages; the text is what it says of itself."""


@dataclass(frozen=True)
class Unfigured:
    """A large order of which nobody worked a figure out yet: that is not done while a page waits.

    Attributes
    ----------
    key : str
        What its answer is known by.
    work : Figuring
        What has to be done.
    """

    key: str
    work: Figuring


class Floor:
    """Works orders into quotes and remembers them.

    Parameters
    ----------
    papers : Papers
        The studio's own.
    effort : {"quick", "normal", "thorough"}
        Of the search that a figure settles by.
    light : int
        Pieces up to which an order is worked out at once.
    """

    def __init__(self, papers: Papers, effort: Effort = "normal", light: int = LIGHT) -> None:
        self._papers = papers
        self.effort: Final[Effort] = effort
        self.light = light
        self._roughly = Recent(_KEPT)
        self._refused: OrderedDict[str, Figured] = OrderedDict()
        self._known: OrderedDict[str, Answer] = OrderedDict()
        self._lock = Lock()
        self._bench, self._large_bench, self._rough_bench = Lock(), Lock(), Lock()
        self._memory, self._large_memory, self._rough_memory = (Recent(_REMEMBERED) for _ in range(3))
        self._settled = Lately(papers.store.answers("settled", Settled, made_by()))
        self._tried: Lately[Settled] = Lately()
        self._listed = Recent(_KEPT)

    # The sixth argument is of a version that is planned after something is cut; all else is the plain job's.
    def answer(
        self, job: int, content: Content, order: Order, on: date, number: str = "", begun: Begun | None = None
    ) -> Answer | Unfigured:
        """Return the quote of an order; of what is sawn already, only the rest is planned.

        Of a large order that is not known yet, what has to be worked out; see :meth:`take`.

        Raises
        ------
        nesting.base.faults.FaultsFound
            Every reason why it cannot be built or priced.
        """
        facts = (job, order.name, content.as_it_is().text(), self._papers.stamp(job), on, number, begun)
        key = hashlib.sha256(repr(facts).encode()).hexdigest()
        if found := self.known(key):
            return found
        if is_large(order, self.light):
            asked = self.asking(job, content, order, on, number, begun)
            kept, tried = self._settled.of(job, asked.about), self._tried.of(job, asked.about)
            return Unfigured(key, Figuring(asked, kept, tried))
        # One at a time: working two through at once makes neither sooner, and pages that only show something wait.
        with self._bench:
            if found := self._remembered(key):
                return found
            made = self._work(job, self.asking(job, content, order, on, number, begun), key)
            self._note(made)
        return made

    def known(self, key: str) -> Answer | None:
        """Return the answer of a key, where it is known.

        Raises
        ------
        nesting.base.faults.FaultsFound
            Where a large order was found to have faults.
        FailedError
            Where this program failed on it.
        """
        with self._lock:
            refused = self._refused.get(key)
        if refused is None:
            return self._remembered(key)
        if refused.faults:
            raise FaultsFound(refused.faults)
        raise FailedError(refused.trouble)

    def take(self, wanted: Unfigured, made: Figured) -> None:
        """Keep what came of working a large order out: its answer, or why there is none."""
        if (found := made.figure) is not None:
            asked = wanted.work.asked
            self._note(
                Answer(found.quote, found.effort, found.settled, stopped=found.stopped, asked=asked, key=wanted.key)
            )
            return
        with self._lock:
            self._refused[wanted.key] = made
            while len(self._refused) > _KEPT:
                self._refused.popitem(last=False)

    # As for answer.
    def asking(
        self, job: int, content: Content, order: Order, on: date, number: str = "", begun: Begun | None = None
    ) -> Settling:
        """Return what has to be worked through for the figure of an order to settle; raises as :meth:`answer`."""
        office = for_job(self._papers.office(job), content)
        if begun:
            office = replace(office, rack=begun.left_of(office.rack))
        sawn = begun.sawn if begun else None
        return Settling(order, office, on, number, content.seed, sawn, self.effort, taken_of(content))

    def has_tried(self, job: int, asked: Settling) -> bool:
        """Whether an order was worked through for a job as long as a figure that has settled, saved or only tried."""
        found = (self._settled.of(job, asked.about), self._tried.of(job, asked.about))
        return self.effort == "quick" or any(each is not None and each.key == asked.about for each in found)

    def _remembered(self, key: str) -> Answer | None:
        with self._lock:
            if found := self._known.get(key):
                self._known.move_to_end(key)
            return found

    def _note(self, answer: Answer) -> None:
        with self._lock:
            self._known[answer.key] = answer
            self._known.move_to_end(answer.key)
            while len(self._known) > _KEPT:
                self._known.popitem(last=False)

    def _work(self, job: int, asked: Settling, key: str) -> Answer:
        """Return what a longer search came to for this order, or else the first figure with the plans that are kept."""
        kept, tried = self._settled.of(job, asked.about), self._tried.of(job, asked.about)
        made = figure(asked, kept, tried, self._memory)
        first = all(each is None or each.key != asked.about for each in (kept, tried))
        quote = self._with_kept_plans(made.quote) if first else made.quote
        return Answer(quote, made.effort, made.settled, stopped=made.stopped, asked=asked, key=key)

    def _with_kept_plans(self, quick: Quote) -> Quote:
        """Return a quote with the cutting plans that longer searches found for the same parts on the same stock."""
        store = self._papers.store.plans
        kept = {good: found[1] for good, key in plan_keys(quick.build).items() if (found := store.find(key))}
        return priced(quick, with_plans(quick.build, kept)) if kept else quick

    def rough(self, wanted: Unfigured) -> str:
        """Return a rough total of a large order, from some of its pieces; empty where there is none."""
        key = wanted.work.asked.about
        with self._rough_bench:
            if key not in self._roughly:
                self._roughly[key] = rough_total(wanted.work.asked, self._rough_memory)
            found: str = self._roughly[key]
            return found

    def short_list(self, answer: Answer, crate: Crate) -> tuple[Candidate, ...]:
        """Return the designs of a crate of an answer side by side; none of what is pinned."""
        if answer.asked is None:
            return ()
        key = answer.key, answer.quote.total, answer.effort, crate.crate
        large = is_large(answer.asked.order, self.light)
        # Whoever looks at a large job holds no other up.
        with self._large_bench if large else self._bench:
            if key not in self._listed:
                memory = self._large_memory if large else self._memory
                self._listed[key] = short_list(answer.asked, answer.quote, crate, memory)
            found: tuple[Candidate, ...] = self._listed[key]
            return found

    def forget(self) -> None:
        """Forget every answer, after all that is stored was replaced."""
        self._settled.forget()
        self._tried.forget()
        with self._lock:
            self._known.clear()
            self._refused.clear()

    def keep(self, job: int, before: Answer, found: Quote, *, stopped: bool) -> Answer:
        """Keep what a longer search came to as the job's answer, and return the answer that stands.

        What has settled stands where a still longer search found nothing better, and a first figure where a search
        that was ended early found nothing cheaper. A trial that was taken stands where as long a search came to more.
        """
        before = self._remembered(before.key) or before
        if before.asked is None:
            return before
        stands = found
        if (before.settled and before.quote.total < found.total) or (stopped and before.quote.total <= found.total):
            if before.settled:
                return before
            stands = before.quote
        elif before.effort == found.build.effort and _cheaper(before.quote, found):
            stands = before.quote  # a trial that was taken
        made = Answer(stands, stands.build.effort, stopped=stopped, asked=before.asked, key=before.key)
        kept = settled(replace(before.asked, effort=made.effort), stands, stopped=stopped)
        self._settled.keep(job, kept)
        plans = plans_of(stands.build)
        keys = plan_keys(stands.build)
        self._papers.store.plans.keep({key: plans[good] for good, key in keys.items()}, made.effort)
        self._note(made)
        return made

    def keep_trial(self, job: int, first: Answer, found: Quote) -> None:
        """Keep what a trial came to, or its first figure where that is cheaper, for when it is shown and taken.

        It has not settled: nobody has looked for the crates that suit it best.
        """
        if first.asked is None:
            return
        effort = first.asked.effort
        stands = found
        if _cheaper(first.quote, found):
            stands = priced(first.quote, replace(first.quote.build, effort=effort))
        self._tried.keep(job, settled(first.asked, stands, stopped=False))
        self._note(Answer(stands, effort, settled=False, asked=first.asked, key=first.key))


def is_large(order: Order, light: int = LIGHT) -> bool:
    """Whether an order has more pieces than a page waits for."""
    return sum(artwork.quantity for artwork in order.artworks) > light


def _cheaper(one: Quote, other: Quote) -> bool:
    """Whether a quote is cheaper than another that it compares with."""
    return one.compares_with(other) and one.total < other.total
