"""A job's quote: a quick answer at once, and the better cutting plans of longer searches wherever they are known."""

import hashlib
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from threading import Lock
from typing import Final

from nesting.base.search import Effort, Search
from nesting.build import to_cut
from nesting.cutting.sheets import Layout
from nesting.cutting.sticks import StickPlan
from nesting.order import Order
from pricing.desk.content import Content
from pricing.desk.pins import Begun
from pricing.desk.recent import Recent
from pricing.desk.studio import Papers, for_job
from pricing.desk.worker import Task
from pricing.quoting.plans import no_dearer, priced, with_plans
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.store.plans import RANK, plan_keys
from pricing.studio.office import Office

_KEPT: Final = 48
_REMEMBERED: Final = 400


@dataclass(frozen=True)
class Answer:
    """A quote and how long its cutting plans were searched.

    Attributes
    ----------
    quote : Quote
        The priced build.
    keys : mapping of str to str
        By good: what its plan is a plan of.
    efforts : mapping of str to str
        By good: the longest search that it has had.
    """

    quote: Quote
    keys: Mapping[str, str]
    efforts: Mapping[str, str]

    @property
    def effort(self) -> str:
        """The shortest of the searches, over all goods."""
        return min(self.efforts.values(), key=RANK.__getitem__, default="thorough")

    def open_goods(self, effort: str) -> tuple[str, ...]:
        """Return the goods that have not had so long a search yet."""
        return tuple(good for good, had in self.efforts.items() if RANK[had] < RANK[effort])


class Floor:
    """Works orders into quotes and remembers them.

    Parameters
    ----------
    papers : Papers
        The studio's own.
    """

    def __init__(self, papers: Papers) -> None:
        self._papers = papers
        self._known: OrderedDict[str, Answer] = OrderedDict()
        self._lock = Lock()
        self._bench = Lock()
        self._memory = Recent(_REMEMBERED)

    # The sixth argument is of a version that is planned after something is cut; all else is the plain job's.
    def answer(
        self, job: int | None, content: Content, order: Order, on: date, number: str = "", begun: Begun | None = None
    ) -> Answer:
        """Return the quote of an order; of what is sawn already, only the rest is planned.

        Raises
        ------
        nesting.base.faults.FaultsFound
            Every reason why it cannot be built or priced.
        """
        facts = (order.name, content.as_it_is().text(), self._papers.stamp(job), on, number, begun)
        key = hashlib.sha256(repr(facts).encode()).hexdigest()
        if found := self._remembered(key):
            return found
        # One at a time: working two through at once makes neither sooner, and pages that only show something wait.
        with self._bench:
            if found := self._remembered(key):
                return found
            made = self.work(order, for_job(self._papers.office(job), content), on, content.seed, number, begun)
            with self._lock:
                self._known[key] = made
                while len(self._known) > _KEPT:
                    self._known.popitem(last=False)
        return made

    def _remembered(self, key: str) -> Answer | None:
        with self._lock:
            if found := self._known.get(key):
                self._known.move_to_end(key)
            return found

    # The sixth argument as above.
    def work(
        self, order: Order, office: Office, on: date, seed: int = 0, number: str = "", begun: Begun | None = None
    ) -> Answer:
        """Build and price quickly, then put in the plans of longer searches that are kept."""
        search = Search(seed, "quick", memory=self._memory)
        if begun:
            office = replace(office, rack=begun.left_of(office.rack))
        sawn = begun.sawn if begun else None
        quick = work(order, office, on=on, search=search, number=number, sawn=sawn)
        keys = plan_keys(quick.build)
        kept = {good: found for good, key in keys.items() if (found := self._papers.store.plans.find(key))}
        efforts = {good: kept[good][0] if good in kept else "quick" for good in keys}
        if not kept:
            return Answer(quick, keys, efforts)
        plans = {good: plan for good, (_, plan) in kept.items()}
        return Answer(priced(quick, with_plans(quick.build, plans)), keys, efforts)

    def forget(self) -> None:
        """Forget every answer, after better plans were kept."""
        with self._lock:
            self._known.clear()

    def keep(self, before: Answer, plans: Mapping[str, Layout | StickPlan], effort: str) -> bool:
        """Keep what a longer search found, if the quote gets no dearer by it; return whether it got cheaper.

        A search looks at the cost of sheets, then at offcuts; a quote has saw time in it too. Where the new plans would
        make the quote dearer, the plans it has are kept as the result of that search.
        """
        best, chosen = no_dearer(before.quote, plans)
        self._papers.store.plans.keep({before.keys[good]: plan for good, plan in chosen.items()}, effort)
        self.forget()
        return best.total < before.quote.total


def tasks(answer: Answer, effort: Effort) -> tuple[Task, ...]:
    """Return what a longer search has to do: one task for every good that has not had it."""
    build = answer.quote.build
    sheets, sticks = to_cut(build)
    saw, wanted, search = build.shop.saw, answer.open_goods(effort), Search(build.seed, effort)
    found = [
        Task(
            "sheet", layout.good, tuple(sheets[layout.good]), build.supply.sheets[layout.good], layout.kerf, search,
            (saw.offcut_length, saw.offcut_width),
        )
        for layout in build.layouts
        if layout.good in wanted
    ]  # fmt: skip
    found += [
        Task("stick", plan.good, tuple(sticks[plan.good]), build.supply.sticks[plan.good], plan.kerf, search)
        for plan in build.stick_plans
        if plan.good in wanted
    ]
    return tuple(found)
